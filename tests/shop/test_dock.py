"""The scale stops a wrong blade, ranks why, and lets it go only when measured or explained."""

from __future__ import annotations

from dataclasses import replace

import pytest

from plowwright.blade import spec as specs
from plowwright.blade.build import Build, work_out
from plowwright.errors import EntryError
from plowwright.rulebook.dock import Dock
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.dock import Weighed, clear, oil_mass, predicted, weigh
from plowwright.shop.dock_causes import alternatives
from plowwright.units import LB, pounds


def blade(rules: Rulebook, **choices: object) -> Build:
    entry = {"series": "basalt", "width": "84 in", "mount": "loader", "carrier": "skid steer", "hoses": "flat-face",
             "extras": ["shoes"], "number": "418K", **choices}  # fmt: skip
    return work_out(specs.from_dict(entry), rules, level=0)


def legs_of_3_16(rules: Rulebook) -> Rulebook:
    own = rules.sections["tube 3 x 3 x 1/4"]
    light = own.model_copy(update={"wall": 3 / 16 * 0.0254, "mass": 6.87 * LB / 0.3048})
    return replace(
        rules, data=rules.data.model_copy(update={"sections": {**rules.sections, "tube 3 x 3 x 1/4": light}})
    )


@pytest.fixture(scope="module")
def dock(demo_rules: Rulebook) -> Dock:
    assert demo_rules.dock is not None
    return demo_rules.dock


@pytest.fixture(scope="module")
def right(demo_rules: Rulebook) -> Build:
    return blade(demo_rules)


def off(build: Build, dock: Dock, by_lb: float, **more: object) -> Weighed:
    return weigh(build, predicted(build) + by_lb * LB, dock, **more)  # type: ignore[arg-type]


def test_a_right_blade_passes_and_nothing_is_suspected(right: Build, dock: Dock) -> None:
    found = off(right, dock, 2.0)
    assert not found.stopped
    assert found.finding.verdict == "holds"
    assert found.causes == ()


def test_a_basalt_84_that_weighs_as_if_its_legs_were_of_the_thinner_wall_is_stopped(
    demo_rules: Rulebook, right: Build, dock: Dock
) -> None:
    wrong = blade(legs_of_3_16(demo_rules))
    found = weigh(right, predicted(wrong), dock)
    assert found.stopped
    assert "It stays here until it is measured or explained" in found.finding.sentence
    assert "lighter" in found.finding.value
    named = next(c for c in found.causes if c.said == "tube 3 x 3 x 3/16 instead of tube 3 x 3 x 1/4")
    assert named.look == "caliper on the push-frame leg, right: 1/4 in as ordered, 3/16 in if wrong"


def test_with_hoses_and_springs_looked_at_a_wrong_wall_is_the_likeliest_cause(
    demo_rules: Rulebook, right: Build, dock: Dock
) -> None:
    wrong = blade(legs_of_3_16(demo_rules))
    found = weigh(right, predicted(wrong), dock, looked=("hoses", "spring", "extras"))
    assert found.causes[0].kind == "wall"
    assert sum(c.chance for c in found.causes if c.kind == "wall") > 0.7


def test_every_tube_of_the_push_frame_of_the_next_thinner_wall_is_stopped_and_named_first(
    demo_rules: Rulebook, right: Build, dock: Dock
) -> None:
    alike = {one.said: one for one in alternatives(right, dock)}
    change = alike["every tube of the push frame one wall thinner"].change
    assert pounds(change) < -15
    found = weigh(right, predicted(right) + change, dock, looked=("extras", "hoses"))
    assert found.stopped
    assert found.causes[0].kind == "wall"


@pytest.mark.parametrize(
    ("choices", "kind"),
    [
        ({"hoses": "none"}, "hoses"),
        ({"extras": []}, "extras"),
        ({"series": "flint"}, "class"),
    ],
)
def test_the_blade_that_really_hangs_there_is_among_the_first_causes(
    demo_rules: Rulebook, right: Build, dock: Dock, choices: dict[str, object], kind: str
) -> None:
    found = weigh(right, predicted(blade(demo_rules, **choices)), dock)
    assert found.stopped
    assert kind in [cause.kind for cause in found.causes[:2]]


def test_a_crate_is_not_weighed_with_its_blade_and_named_where_it_is(
    demo_rules: Rulebook, right: Build, dock: Dock
) -> None:
    crated = blade(demo_rules, extras=["shoes", "crate"])
    assert predicted(crated) == pytest.approx(predicted(right))
    assert weigh(crated, crated.mass + oil_mass(crated), dock).causes[0].said.endswith("crate: round it already")
    assert not weigh(crated, predicted(right), dock).stopped


def test_a_missing_edge_and_a_forgotten_stand_are_named(right: Build, dock: Dock) -> None:
    edge = off(right, dock, -pounds(right.tally.group_masses["cutting edge"]))
    assert edge.causes[0].said == "the cutting edge is not on it"
    assert edge.causes[0].chance > 0.9
    assert off(right, dock, 38.0).causes[0].said == "a paint stand is still in its pocket"


def test_419t_on_the_scale_in_place_of_418k_is_told_by_its_weight(
    demo_rules: Rulebook, right: Build, dock: Dock
) -> None:
    other = blade(demo_rules, series="reed", width="72 in", hoses="none", number="419T")
    found = weigh(right, predicted(other), dock, others={"419T": other})
    assert found.causes[0].said == "it is 419T, Reed 72 in"
    assert found.causes[0].look == "read the stamp and count the notches: 3 as ordered, 1 on 419T"


def test_a_weight_nothing_explains_says_so(right: Build, dock: Dock) -> None:
    assert off(right, dock, 250.0).causes[0].said == "something nobody thought of"


def test_what_the_scale_cannot_see_is_said(right: Build, dock: Dock) -> None:
    unseen = [one.said for one in off(right, dock, 0.0).unseen]
    assert "one trip spring is missing" in unseen
    assert not any("hose" in said for said in unseen)


def test_a_stop_is_cleared_by_a_person_with_a_measurement(right: Build, dock: Dock) -> None:
    found = off(right, dock, -12.0)
    with pytest.raises(EntryError, match=r"cleared by a person"):
        clear(found, who=" ", measured="wall 1/4 in")
    with pytest.raises(EntryError, match=r"a measurement or a reason.*Begin with: look at the valve block"):
        clear(found, who="M.S.")
    with pytest.raises(EntryError, match=r"would explain it too, so words will not do.*limit: measured.*caliper"):
        clear(found, who="M.S.", explained="the paint is thin this time")
    done = clear(found, who="M.S.", measured="legs 0.25 in, beam 0.25 in", explained="hoses on the hook")
    assert done.text == (
        "418K 12 lb lighter than predicted. measured: legs 0.25 in, beam 0.25 in; hoses on the hook (M.S.)"
    )


def test_an_edge_on_the_shelf_is_explained_in_words(right: Build, dock: Dock) -> None:
    found = off(right, dock, -pounds(right.tally.group_masses["cutting edge"]), looked=("wall", "plate", "class"))
    assert clear(found, who="M.S.", explained="edge goes on at the customer's").measured == ""


def test_a_right_blade_has_nothing_to_clear(right: Build, dock: Dock) -> None:
    with pytest.raises(EntryError, match=r"418K is not stopped"):
        clear(off(right, dock, 0.0), who="M.S.", measured="all of it")


def test_nonsense_is_refused(right: Build, dock: Dock) -> None:
    with pytest.raises(EntryError, match=r"a ticket says a weight.*Write it as 1004 lb"):
        weigh(right, 0.0, dock)
    with pytest.raises(EntryError, match=r"no cause is called that.*gremlins"):
        weigh(right, 450.0, dock, looked=("gremlins",))


def test_the_cylinder_is_weighed_full_of_oil(right: Build) -> None:
    assert pounds(oil_mass(right)) == pytest.approx(2.33, abs=0.05)
    assert predicted(right) == pytest.approx(right.mass + oil_mass(right))


def test_the_band_is_narrower_than_any_wall_of_the_push_frame_on_every_basalt_from_72_up(
    demo_rules: Rulebook, dock: Dock
) -> None:
    for width in ("72 in", "84 in"):
        build = blade(demo_rules, width=width)
        change = {one.said: one.change for one in alternatives(build, dock)}
        wrong = change["tube 3 x 3 x 3/16 instead of tube 3 x 3 x 1/4"]
        assert weigh(build, predicted(build) + wrong, dock).stopped
