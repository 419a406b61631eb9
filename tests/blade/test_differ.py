from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from plowwright import rulebook
from plowwright.blade import build
from plowwright.blade.build import Build
from plowwright.blade.differ import differ
from plowwright.blade.looks import looks
from plowwright.blade.spec import Spec
from plowwright.errors import EntryError
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.price import price
from plowwright.units import INCH
from tests.conftest import ROOT


@cache
def rules(name: str) -> Rulebook:
    where = {"common": ROOT / "tests" / "rulebooks" / "common", "demo": ROOT / "demo" / "rulebook"}
    return rulebook.load(where[name])


@cache
def blade(
    series: str, width: float = 84, *, rules_of: str = "common", extras: tuple[str, ...] = ("markers",),
    number: str = "", hoses: str = "flat-face", mount: str = "loader", carrier: str = "skid steer",
) -> Build:  # fmt: skip
    spec = Spec(
        series=series, width=width * INCH, mount=mount, carrier_kind=carrier, hoses=hoses, extras=extras, number=number
    )  # type: ignore[arg-type]
    return build.work_out(spec, rules(rules_of), level=0)


CHAPTERS = ["class", "spec", "class row", "parts", "joints", "holes", "mass", "price"]


def test_two_same_blades_differ_in_nothing() -> None:
    found = differ([blade("heavy"), blade("heavy")])
    assert found.rows == ()
    assert found.looks[0].sentence == "cannot be told apart: the same blade"


def test_a_heavy_and_a_standard_blade_cannot_be_told_apart_by_eye() -> None:
    heavy, standard = blade("heavy"), blade("standard")
    found = looks(standard, heavy)
    assert not found.told_apart
    apart = (heavy.mass - standard.mass) / 0.45359237
    assert found.sentence == (
        "cannot be told apart by eye: measure the leg's wall with a caliper (0.188 in against 0.250 in),"
        f" count the notches (2 against 3), or weigh (expect {apart:.0f} lb between them)"
    )
    assert any("cross member's wall" in way for way in found.by_tool)


def test_a_light_blade_is_told_by_its_height_springs_and_webs() -> None:
    found = looks(blade("heavy"), blade("light", 72))
    assert found.told_apart
    assert "body height 32 in against 28 in" in found.by_eye
    assert "4 springs against 2" in found.by_eye
    assert "width 84 in against 72 in" in found.by_eye


@pytest.mark.parametrize(
    ("changed", "seen"),
    [
        ({"extras": ("markers", "shoes")}, "only the second has skid shoes"),
        ({"extras": ()}, "only the first has pair of edge markers"),
        ({"extras": ("markers", "second-colour")}, "only the second has frame in the customer's colour"),
        ({"hoses": "none"}, "only the first has hoses with flat-face couplers"),
    ],
)
def test_an_option_that_can_be_seen_tells_them_apart(changed: dict[str, object], seen: str) -> None:
    assert looks(blade("heavy"), blade("heavy", **changed)).by_eye == (seen,)  # type: ignore[arg-type]


@pytest.mark.parametrize(("more", "seen"), [(0.2, False), (0.25, True), (0.5, True)])
def test_a_quarter_of_an_inch_is_seen_and_less_is_not(more: float, seen: bool) -> None:
    heavy = blade("heavy")
    facts = heavy.assembly.facts
    taller = {**facts, "body height": facts["body height"] + more * INCH}
    other = replace(heavy, assembly=replace(heavy.assembly, facts=taller))
    assert looks(heavy, other).told_apart is seen


def test_a_metric_reader_gets_millimetres_and_kilograms() -> None:
    found = differ([blade("heavy"), blade("standard")], system="metric")
    said = found.looks[0].sentence
    assert "the leg's wall with a caliper (6.35 mm against 4.76 mm)" in said
    assert "kg between them" in said
    own = [row for row in found.rows if not row.what.endswith("stock") and row.chapter in ("parts", "joints", "mass")]
    assert own and not any(value.endswith((" in", " lb")) for row in own for value in row.values)


def test_a_crate_and_a_rush_cannot_be_seen_on_the_blade() -> None:
    found = looks(blade("heavy"), blade("heavy", extras=("markers", "crate", "rush")))
    assert not found.told_apart


def test_what_differs_comes_in_order_from_class_to_price() -> None:
    flint, basalt = blade("flint", rules_of="demo", number="420A"), blade("basalt", rules_of="demo", number="421M")
    prices = [price(b.spec, b.bill, b.tally, b.rulebook) for b in (flint, basalt)]
    found = differ([flint, basalt], prices)
    order = [CHAPTERS.index(row.chapter) for row in found.rows]
    assert order == sorted(order)
    assert set(order) >= {0, 2, 3, 4, 6, 7}
    assert found.names == ("420A Flint 84 in", "421M Basalt 84 in")
    legs = next(row for row in found.chapter("parts") if row.what == "leg left and right, stock")
    assert legs.values == ("tube 2-1/2 x 2-1/2 x 3/16", "tube 3 x 3 x 1/4")
    money = found.chapter("price")[0]
    assert (money.what, money.values, money.apart) == ("list price", ("USD 2,612", "USD 3,027"), "USD 415")


def test_only_what_differs_is_listed() -> None:
    found = differ([blade("heavy"), blade("standard")])
    assert all(len(set(row.values)) > 1 for row in found.rows)
    assert not found.chapter("spec")
    assert not any("skin" in row.what for row in found.rows if row.chapter in ("class row", "parts"))


def test_mass_apart_is_what_the_groups_add_up_to() -> None:
    heavy, standard = blade("heavy"), blade("standard")
    found = differ([standard, heavy])
    total = next(row for row in found.chapter("mass") if row.what == "mass in all")
    groups = sum(
        float(row.values[1].split()[0]) - float(row.values[0].split()[0])
        for row in found.chapter("mass")
        if row.apart.endswith("lb") and row.what != "mass in all"
    )
    assert float(total.apart.split()[0]) == pytest.approx(groups, abs=0.6)
    assert found.mass_apart == pytest.approx(heavy.mass - standard.mass)


def test_a_part_that_only_one_has_is_named_with_its_stock() -> None:
    found = differ([blade("heavy"), blade("heavy", extras=("markers", "shoes"))])
    shoe = next(row for row in found.rows if row.what == "skid shoe")
    assert shoe.values == ("none", "2 of skid shoe")


def test_a_wider_edge_differs_in_its_holes() -> None:
    found = differ([blade("heavy"), blade("heavy", 90)])
    edge = next(row for row in found.chapter("holes") if row.what == "edge, holes")
    assert all(" of 21/32 in at " in value or " of " in value for value in edge.values)
    assert edge.values[0] != edge.values[1]


def test_three_builds_are_held_against_each_other_in_pairs() -> None:
    found = differ([blade("heavy"), blade("standard"), blade("light", 72)])
    assert [one.told_apart for one in found.looks] == [False, True, True]
    assert all(len(row.values) == 3 for row in found.rows)


def test_one_build_alone_is_refused() -> None:
    with pytest.raises(EntryError, match=r"takes two builds or more .given: 1.; limit: at least 2"):
        differ([blade("heavy")])


def test_prices_must_match_the_builds() -> None:
    heavy = blade("heavy")
    one = price(heavy.spec, heavy.bill, heavy.tally, heavy.rulebook)
    with pytest.raises(EntryError, match=r"1 prices for 2 builds"):
        differ([heavy, blade("standard")], [one])


def test_the_number_of_an_order_alone_is_no_difference() -> None:
    heavy = blade("heavy")
    other = build.work_out(replace(heavy.spec, number="999Z"), heavy.rulebook, level=0)
    assert differ([heavy, other]).rows == ()


def test_the_difference_reads_as_plain_values() -> None:
    said = differ([blade("heavy"), blade("standard")]).as_dict()
    assert said["builds"] == ["Heavy 84 in", "Standard 84 in"]
    assert said["rows"][0] == {"chapter": "class", "what": "series", "values": ["Heavy", "Standard"], "apart": ""}
    assert said["looks"][0]["told_apart_by_eye"] is False
