"""Receiving: a wrong wall is found at the truck, not on the scale."""

from __future__ import annotations

import pytest

from plowwright.blade import spec as specs
from plowwright.blade.build import work_out
from plowwright.errors import EntryError, NotFoundError
from plowwright.rulebook.dock import Dock
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.stock_receiving import Measured, receive, template
from plowwright.units import FOOT, INCH, LB

TUBE = "tube 3 x 3 x 1/4"


@pytest.fixture(scope="module")
def dock(demo_rules: Rulebook) -> Dock:
    assert demo_rules.dock is not None
    return demo_rules.dock


def test_a_bar_as_ordered_goes_into_the_rack(demo_rules: Rulebook, dock: Dock) -> None:
    own = demo_rules.sections[TUBE]
    found = receive(
        Measured(stock=TUBE, wall=0.246 * INCH, width=3 * INCH, height=3 * INCH, mass_per_length=own.mass), demo_rules,
        dock,
    )  # fmt: skip
    assert found.racked
    assert found.text == f"{TUBE}: as ordered"


def test_a_thinner_wall_is_sent_back_with_what_it_measures_as(demo_rules: Rulebook, dock: Dock) -> None:
    found = receive(Measured(stock=TUBE, wall=0.188 * INCH, width=3 * INCH), demo_rules, dock)
    assert not found.racked
    assert found.looks_like == ("tube 3 x 3 x 3/16",)
    assert "wall 0.188 in, 1/4 in ordered, 0.025 in either way allowed" in found.text


def test_the_weight_of_a_foot_finds_it_too(demo_rules: Rulebook, dock: Dock) -> None:
    found = receive(Measured(stock=TUBE, mass_per_length=6.87 * LB / FOOT), demo_rules, dock)
    assert found.verdict == "fails"
    assert "tube 3 x 3 x 3/16" in found.text


def test_outside_size_alone_tells_nothing_of_the_wall(demo_rules: Rulebook, dock: Dock) -> None:
    found = receive(Measured(stock=TUBE, width=3 * INCH, height=3 * INCH), demo_rules, dock)
    assert found.verdict == "not checked"
    assert "not racked before wall or weight per foot is measured" in found.text


def test_no_two_walls_of_the_demo_are_taken_for_each_other(demo_rules: Rulebook, dock: Dock) -> None:
    for name, own in demo_rules.sections.items():
        for other, entry in demo_rules.sections.items():
            alike = (own.kind, own.width, own.height, own.diameter) == (
                entry.kind, entry.width, entry.height, entry.diameter
            )  # fmt: skip
            if other != name and alike and own.wall and entry.wall:
                assert receive(Measured(stock=name, wall=entry.wall), demo_rules, dock).verdict == "fails"


def test_nonsense_is_refused(demo_rules: Rulebook, dock: Dock) -> None:
    with pytest.raises(NotFoundError, match=r"no such section.*Did you mean tube 3 x 3 x 1/4"):
        receive(Measured(stock="tube 3 x 3 x 1-4", wall=0.2 * INCH), demo_rules, dock)
    with pytest.raises(EntryError, match=r"a wall of nothing was not measured.*Leave it out"):
        receive(Measured(stock=TUBE, wall=0.0), demo_rules, dock)


def test_an_edge_is_laid_on_the_hole_template_from_either_end(demo_rules: Rulebook, dock: Dock) -> None:
    build = work_out(specs.from_dict({"series": "flint", "width": "90 in", "mount": "loader", "carrier": "skid steer",
                                      "hoses": "none"}), demo_rules, level=0)  # fmt: skip
    layout = build.datum.layout
    right = layout.positions
    assert template(layout, right, dock.receiving).verdict == "holds"
    off = [*right[:3], right[3] + 0.25 * INCH, *right[4:]]
    found = template(layout, off, dock.receiving)
    assert found.verdict == "fails"
    assert found.sentence == "the hole at 34 in is 0.250 in off, 0.031 in allowed"
    short = template(layout, right[:-1], dock.receiving)
    assert short.sentence == "8 holes, 9 on the template"


def test_an_angle_of_the_lighter_class_is_known_by_the_rulebooks_own_list(demo_rules: Rulebook, dock: Dock) -> None:
    found = receive(Measured(stock="angle 4 x 4 x 1/2", wall=0.375 * INCH), demo_rules, dock)
    assert found.looks_like == ("angle 4 x 4 x 3/8",)
