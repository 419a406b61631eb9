"""The drill table: complete, in order, never rounded up."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.errors import ModelError, NotFoundError
from plowwright.physics import drills
from plowwright.units.constants import INCH


def test_every_number_and_every_64th_to_a_quarter_inch_is_there_in_order() -> None:
    table = drills.table()
    assert {drill.name for drill in table} >= {f"#{n}" for n in range(1, 81)} | {"1/64", "1/16", "3/32", "15/64", "1/4"}
    assert len(table) == 96
    sizes = [drill.diameter for drill in table]
    assert sizes == sorted(sizes) and len(set(sizes)) == len(sizes)


def test_a_higher_number_is_a_smaller_drill() -> None:
    sizes = [drills.named(f"#{n}").diameter for n in range(1, 81)]
    assert sizes == sorted(sizes, reverse=True)


def test_a_drill_is_found_as_people_write_it() -> None:
    assert drills.named("52") == drills.named("#52") == drills.named(" #52 ")
    assert drills.named("1/16 in").text == "1/16 in (0.0625 in)"
    assert drills.named("#60").text == "#60 (0.0400 in)"
    with pytest.raises(NotFoundError, match=r"no such drill in the table \(given: #99\)"):
        drills.named("#99")


@given(st.floats(0.0135, 0.30))
def test_a_restrictor_is_never_rounded_up(size: float) -> None:
    drill = drills.not_over(size * INCH)
    assert drill.diameter <= size * INCH * (1 + 1e-9)
    larger = [d for d in drills.table() if d.diameter > drill.diameter]
    assert not larger or larger[0].diameter > size * INCH


def test_a_hole_under_every_drill_is_refused_with_the_smallest() -> None:
    with pytest.raises(ModelError, match=r"every drill is larger.*0.01 in.*smallest drill #80 \(0.0135 in\)"):
        drills.not_over(0.01 * INCH)


def test_a_measured_hole_is_named_by_its_nearest_drill() -> None:
    assert drills.nearest(0.0630 * INCH).name == "1/16"
    assert [d.name for d in drills.within(0.0620 * INCH, 0.0640 * INCH)] == ["1/16", "#52"]


def test_two_thousandths_on_a_sixteenth_are_six_to_seven_per_cent_of_time() -> None:
    assert 0.06 <= drills.named("1/16").time_spread() <= 0.07
    assert drills.named("1/16").holes() == pytest.approx((0.0605 * INCH, 0.0645 * INCH))
