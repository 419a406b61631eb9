"""The checker of nests lets nothing false through: each fault is made by hand and must be found."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import pytest

from plowwright.errors import PlanFaultError
from plowwright.physics.regions import circle, rectangle
from plowwright.shop.nest_checker import check, shape_of
from plowwright.shop.nesting_model import (
    NestedSheet,
    NestPlan,
    Outline,
    PlacedOutline,
    Rest,
    RestRule,
    Sheet,
    StockNest,
)

STOCK, GAP, EDGE = "plate 1/4", 0.01, 0.02
RULE = RestRule(least=0.2, value_share=0.4)
SHEET = Sheet(stock=STOCK, length=2.0, width=1.0, price=100.0, on_hand=1, buyable=False)
FRAME = Outline(stock=STOCK, tag="frame", outer=rectangle(0, 0, 0.5, 0.5), inner=(rectangle(0.1, 0.1, 0.4, 0.4),))
DISC = Outline(stock=STOCK, tag="disc", outer=circle(0, 0, 0.1))
BAR = Outline(stock=STOCK, tag="bar", outer=rectangle(0, 0, 0.5, 0.1), grain=True)
ASKED = (FRAME, DISC, BAR)
PLACED = (
    PlacedOutline(outline=FRAME, turn=0.0, x=0.02, y=0.02),
    PlacedOutline(outline=DISC, turn=0.0, x=0.27, y=0.27, inside="frame"),
    PlacedOutline(outline=BAR, turn=0.0, x=0.02, y=0.53),
)
REST = Rest(box=(0.53, 0.0, 2.0, 1.0), worth=0.4 * 100.0 * 1.47 / 2.0, tag="rest 1")


def made(placed: tuple[PlacedOutline, ...] = PLACED, rests: tuple[Rest, ...] = (REST,), **changes: object) -> NestPlan:
    cost = 100.0 - sum(r.worth for r in rests)
    nested = NestedSheet(sheet=SHEET, placed=placed, rests=rests, cost=cost, number=1)
    nested = replace(nested, **changes)  # type: ignore[arg-type]
    return of((nested,))


def of(sheets: tuple[NestedSheet, ...], bound: float = 1.0) -> NestPlan:
    nest = StockNest(
        stock=STOCK, sheets=sheets, cost=sum(n.cost for n in sheets), bound=bound, status="not proved", seconds=0.1,
        method="by hand",
    )  # fmt: skip
    return NestPlan(stocks=(nest,), gap=GAP, edge=EDGE, rest_rule=RULE, seconds=0.1)


def verdict(plan: NestPlan, sheets: tuple[Sheet, ...] = (SHEET,)) -> None:
    check(plan, ASKED, sheets, GAP, EDGE, (0.0, pi / 2), RULE)


def moved(at: int, **changes: object) -> tuple[PlacedOutline, ...]:
    return tuple(replace(p, **changes) if n == at else p for n, p in enumerate(PLACED))  # type: ignore[arg-type]


def test_a_nest_without_a_fault_passes() -> None:
    asked = (FRAME, DISC, replace(BAR, turns=(0.0, pi)))
    placed = (*PLACED[:2], PlacedOutline(outline=asked[2], turn=pi, x=0.52, y=0.63))
    verdict(made())
    check(made(placed), asked, (SHEET,), GAP, EDGE, (0.0, pi / 2), RULE)


def test_a_circle_is_a_circle_to_the_checker() -> None:
    shape = shape_of(PlacedOutline(outline=DISC, turn=0.7, x=1.0, y=2.0))
    assert shape.area == pytest.approx(pi * 0.01, rel=1e-4)
    assert shape.bounds == pytest.approx((0.9, 1.9, 1.1, 2.1), abs=1e-5)


@pytest.mark.parametrize(
    ("plan", "text"),
    [
        (made(PLACED[:2]), r"a piece is on no sheet \(given: bar\)"),
        (made((*PLACED, replace(PLACED[2], x=0.52, y=0.8))), r"cut more than once \(given: bar\)"),
        (made((*PLACED[:2], replace(PLACED[2], outline=replace(BAR, tag="bat")))), "on no sheet"),
        (made(moved(1, outline=replace(DISC, outer=circle(0, 0, 0.09)))), r"not as it was asked for \(given: disc\)"),
        (made(moved(1, x=0.225)), r"frame, disc: 5\.000 mm\); limit: 10\.000 mm apart"),
        (made(moved(1, x=0.15)), r"two pieces overlap"),
        (made(moved(2, turn=0.0, x=0.02, y=0.5299)), r"closer than the gap \(given: frame, bar: 9\.900 mm\)"),
        (made(moved(2, turn=0.0, x=0.0199, y=0.6)), r"too near the sheet's edge .*bar, 19\.90 mm\); limit: 20\.00 mm"),
        (made(moved(1, turn=0.3)), r"lies at an angle it may not \(given: disc at 17\.19 deg\); limit: the angles"),
        (made(moved(2, turn=pi / 2, x=0.4, y=0.6)), r"bar at 90\.00 deg\); limit: 0 and 180 deg, its grain"),
        (made(moved(1, x=0.8, y=0.27, inside="frame")), "does not lie in the opening it is said to .*disc in frame"),
    ],
)  # fmt: skip
def test_each_fault_of_a_piece_is_found_and_named(plan: NestPlan, text: str) -> None:
    with pytest.raises(PlanFaultError, match=text):
        verdict(plan)


@pytest.mark.parametrize(
    ("plan", "text"),
    [
        (made(PLACED, rests=(replace(REST, box=(0.525, 0.0, 2.0, 1.0)),)), "rest lies closer to a piece than the gap"),
        (made(PLACED, rests=(replace(REST, box=(0.53, 0.0, 2.1, 1.0)),)), "rest reaches beyond its sheet"),
        (made(PLACED, rests=(replace(REST, box=(1.9, 0.0, 2.0, 1.0), worth=0.0),)), "is kept that is of no use"),
        (made(PLACED, rests=(replace(REST, worth=40.0),)), "counts for more than it is worth .*40.0000.*29.4000"),
        (made(PLACED, rests=(REST, replace(REST, box=(1.0, 0.0, 2.0, 1.0), worth=1.0))), "two rests overlap"),
        (made(PLACED, cost=99.0), "not its price less its rests .*99.0000.*70.6000"),
        (made(PLACED, number=2), "not numbered from 1"),
        (of((*made().sheets, NestedSheet(sheet=SHEET, placed=(), rests=(), cost=100.0, number=2))), "more is cut than"),
        (of(made(PLACED).sheets, bound=80.0), "or its bound lies above it .*bound 80"),
    ],
)  # fmt: skip
def test_each_fault_of_a_sheet_is_found(plan: NestPlan, text: str) -> None:
    with pytest.raises(PlanFaultError, match=text):
        verdict(plan)


def test_a_sheet_that_is_not_in_the_list_is_found() -> None:
    with pytest.raises(PlanFaultError, match="a sheet that is not in the list is cut"):
        verdict(made(PLACED), (replace(SHEET, price=90.0),))


def test_an_empty_sheet_and_a_piece_of_another_thickness_are_found() -> None:
    spare = replace(SHEET, on_hand=2)
    full = replace(made(PLACED).sheets[0], sheet=spare)
    with pytest.raises(PlanFaultError, match="a sheet with nothing on it"):
        verdict(of((full, NestedSheet(sheet=spare, placed=(), rests=(), cost=100.0, number=2))), (spare,))
    thick = replace(SHEET, stock="plate 3/8")
    with pytest.raises(PlanFaultError, match=r"lies on another stock \(given: frame wants plate 1/4\)"):
        verdict(of((replace(made(PLACED).sheets[0], sheet=thick),)), (thick,))


def test_rush_pieces_come_before_the_others() -> None:
    hurried = replace(BAR, rush=True)
    spare = replace(SHEET, on_hand=2)
    one = NestedSheet(sheet=spare, placed=PLACED[:2], rests=(), cost=100.0, number=1)
    placed = PlacedOutline(outline=hurried, turn=0.0, x=0.02, y=0.02)
    two = NestedSheet(sheet=spare, placed=(placed,), rests=(), cost=100.0, number=2)
    with pytest.raises(PlanFaultError, match=r"comes before one with a rush piece .*sheet 1"):
        check(of((one, two)), (FRAME, DISC, hurried), (spare,), GAP, EDGE, (0.0,), RULE)
