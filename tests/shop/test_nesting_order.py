"""The order in which a sheet is cut, and how long it takes."""

from __future__ import annotations

from itertools import pairwise
from math import dist, pi

import pytest

from plowwright.errors import PlanInputError
from plowwright.physics.regions import circle, rectangle
from plowwright.shop.nesting_model import NestedSheet, Outline, PlacedOutline, Rest, Sheet
from plowwright.shop.nesting_order import CutSpeed, cut_order, table_time

SHEET = Sheet(stock="plate 1/4", length=2.0, width=1.0, price=100.0)
FRAME = Outline(
    stock="plate 1/4", tag="frame", outer=rectangle(0, 0, 0.5, 0.5),
    inner=(rectangle(0.1, 0.1, 0.4, 0.4), circle(0.05, 0.05, 0.01)), drilled=(circle(0.45, 0.05, 0.01),),
)  # fmt: skip
RING = Outline(stock="plate 1/4", tag="ring", outer=circle(0, 0, 0.1), inner=(circle(0, 0, 0.05),))
DOT = Outline(stock="plate 1/4", tag="dot", outer=circle(0, 0, 0.02))
INSIDE = (
    PlacedOutline(outline=FRAME, turn=0.0, x=0.1, y=0.1),
    PlacedOutline(outline=RING, turn=0.0, x=0.35, y=0.35, inside="frame"),
    PlacedOutline(outline=DOT, turn=0.0, x=0.35, y=0.35, inside="ring"),
)
RESTS = (
    Rest(box=(0.61, 0.0, 2.0, 1.0), worth=1.0, tag="rest 1a"),
    Rest(box=(0.0, 0.61, 0.61, 1.0), worth=1.0, tag="rest 1b"),
)


def laid(*placed: PlacedOutline, rests: tuple[Rest, ...] = ()) -> NestedSheet:
    return NestedSheet(sheet=SHEET, placed=placed, rests=rests, cost=100.0, number=1)


def test_what_lies_inside_is_cut_before_what_is_around_it() -> None:
    done = [(c.tag, c.kind) for c in cut_order(laid(*INSIDE, rests=RESTS))]
    assert done == [
        ("dot", "outline"),
        ("ring", "opening"), ("ring", "outline"),
        ("frame", "opening"), ("frame", "opening"), ("frame", "outline"),
        ("rest 1a", "rest"), ("rest 1b", "rest"),
    ]  # fmt: skip


def test_a_drilled_hole_is_neither_pierced_nor_cut() -> None:
    sheet = laid(INSIDE[0])
    assert sheet.pierces == len(cut_order(sheet)) == 3
    assert sheet.cut_length == pytest.approx(2.0 + 1.2 + 2 * pi * 0.01)


def test_the_cut_between_two_rests_is_made_once() -> None:
    sheet = laid(*INSIDE, rests=RESTS)
    assert sheet.freeing() == ((0.0, 1.0, True, 0.61), (0.0, 0.61, False, 0.61))
    assert sheet.cut_length == pytest.approx(laid(*INSIDE).cut_length + 1.61)


def test_the_torch_goes_to_the_nearest_part_that_is_not_beside_a_hot_one() -> None:
    row = [
        PlacedOutline(outline=Outline(stock="plate 1/4", tag=f"p{n}", outer=rectangle(0, 0, 0.08, 0.08)),
                      turn=0.0, x=0.1 + 0.1 * n, y=0.1)
        for n in range(10)
    ]  # fmt: skip
    cuts = cut_order(laid(*row), apart=0.15, remembered=1)
    starts = [c.start for c in cuts]
    middles = {p.outline.tag: p.x + 0.04 for p in row}
    steps = [abs(middles[a.tag] - middles[b.tag]) for a, b in pairwise(cuts)]
    assert min(steps[:6]) >= 0.15
    assert [c.tag for c in cuts][:2] == ["p0", "p2"]
    neighbours = [c.tag for c in cut_order(laid(*row), apart=0.0)]
    assert neighbours == [f"p{n}" for n in range(10)]
    assert dist(starts[0], (0.0, 0.0)) < 0.2


def test_table_time_is_cutting_piercing_and_travel() -> None:
    speeds = (CutSpeed(up_to=0.0064, speed=0.05, pierce=0.7), CutSpeed(up_to=0.0128, speed=0.02, pierce=1.3))
    sheet = laid(*INSIDE)
    thin, thick = (table_time(sheet, t, speeds=speeds, travel=0.25) for t in (0.00635, 0.0127))
    assert thin.pierces == 6 and thin.cut_length == pytest.approx(sheet.cut_length)
    assert thin.seconds == pytest.approx(sheet.cut_length / 0.05 + 6 * 0.7 + thin.travel / 0.25)
    assert thick.seconds > thin.seconds


def test_plate_too_thick_for_the_table_is_refused_with_its_limit() -> None:
    with pytest.raises(PlanInputError, match=r"no speed for plate this thick \(given: 1 in\); limit: up to 3/4 in"):
        table_time(laid(*INSIDE), 0.0254)
