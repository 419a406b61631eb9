"""Cut plans of shop mixes: gap to the bound, against first fit and an assignment model, and how time grows.

Four sections, sums over them; orders draw their width in 6 in steps. First fit is `cutting_first` on the same grid,
its sticks downsized as ours are.
"""

from __future__ import annotations

import random
import time
from math import inf

from bench import Row
from plowwright.shop.cutting import plan
from plowwright.shop.cutting_first import first_fit
from plowwright.shop.cutting_grid import build
from plowwright.shop.cutting_model import CutPlan, Piece, RemnantRule, Stick
from plowwright.units.constants import INCH
from tests.references.cutting_models import with_cp_sat

KERF, TRIM, RULE = INCH / 8, INCH / 2, RemnantRule(least=inf)
PRICES = {"tube a": 4.20, "tube b": 6.60, "angle": 6.85, "flat": 12.25}
# Section: pieces of one order as share of the width, inches more, how many.
SHARES: dict[str, tuple[tuple[float, float, int], ...]] = {
    "tube a": ((0.5, 0.0, 2), (0.125, 18.0, 1), (0.33, 4.0, 2), (0.125, 3.0, 4)),
    "tube b": ((0.125, 28.0, 1), (0.4, 2.0, 1), (0.125, 6.5, 2)),
    "angle": ((1.0, 0.0, 1), (0.5, -6.0, 1)),
    "flat": ((1.0, 0.0, 1), (1.0, -2.0, 1), (0.125, 8.0, 2)),
}


def mix(orders: int, seed: int) -> list[Piece]:
    """The pieces of so many orders."""
    draw = random.Random(seed)
    out: list[Piece] = []
    for order in range(orders):
        width = draw.randrange(48, 121, 6)
        for stock, parts in SHARES.items():
            for mark, (share, more, count) in enumerate(parts):
                length = round((share * width + more) * 16) / 16 * INCH
                out += [
                    Piece(stock=stock, length=length, tag=f"{order}-{stock}-{mark}-{n}", order=f"{order:04d}")
                    for n in range(count)
                ]
    return out


def sticks() -> list[Stick]:
    """20 and 24 ft of every section, the longer 4 % cheaper per length."""
    return [
        Stick(stock=stock, length=feet * 12 * INCH, price=round(price * feet * (0.96 if feet == 24 else 1.0), 2))
        for stock, price in PRICES.items()
        for feet in (20, 24)
    ]


def planned(orders: int, seconds: float, *, good_enough: float = 0.0) -> tuple[CutPlan, float]:
    """A plan and the seconds it took."""
    begin = time.perf_counter()
    made = plan(mix(orders, orders), sticks(), KERF, TRIM, RULE, seconds, good_enough=good_enough)
    return made, time.perf_counter() - begin


def plain(orders: int) -> tuple[float, float]:
    """Cost and seconds of first fit, downsized."""
    cost = taken = 0.0
    for stock in SHARES:
        own = [p for p in mix(orders, orders) if p.stock == stock]
        problem = build(own, [s for s in sticks() if s.stock == stock], kerf=KERF, trim=TRIM, rule=RULE, share=False)
        begin = time.perf_counter()
        cost += first_fit(problem, problem.demand, [inf] * len(problem.stocks), inf).cost
        taken += time.perf_counter() - begin
    return cost, taken


def by_hand(orders: int) -> float:
    """Cost of first-fit decreasing as it is done on paper: one stick length a section, the cheaper one, no exchange."""
    total = 0.0
    for stock in SHARES:
        sizes = sorted((p.length + KERF for p in mix(orders, orders) if p.stock == stock), reverse=True)
        costs: list[float] = []
        for stick in (s for s in sticks() if s.stock == stock):
            room: list[float] = []
            for size in sizes:
                at = next((n for n, free in enumerate(room) if free >= size - 1e-9), None)
                if at is None:
                    room.append(stick.length - 2 * TRIM + KERF - size)
                else:
                    room[at] -= size
            costs.append(len(room) * stick.price)
        total += min(costs)
    return total


def assigned(orders: int, seconds: float) -> float:
    """Cost of CP-SAT's assignment model, each section a quarter of the time."""
    return sum(
        with_cp_sat([p for p in mix(orders, orders) if p.stock == stock], [s for s in sticks() if s.stock == stock],
                    KERF, TRIM, unit=INCH / 16, seconds=seconds / 4)[0]
        for stock in SHARES
    )  # fmt: skip


def run() -> list[Row]:
    """Gaps at 10 to 1,000 orders, cost against first fit and CP-SAT, speed at 1 % and growth from 200 to 1,000."""
    planned(1, 2.0)
    ten, ten_seconds = planned(10, 8.0)
    fifty, _ = planned(50, 15.0)
    quick, quick_seconds = planned(10, 8.0, good_enough=0.01)
    many, many_seconds = planned(200, 60.0, good_enough=0.005)
    most, most_seconds = planned(1000, 300.0, good_enough=0.01)
    first, first_seconds = plain(10)
    return [
        Row(name="gap to the bound, 10 orders", value=ten.gap, limit=0.006, unit="share"),
        Row(name="gap to the bound, 50 orders", value=fifty.gap, limit=0.0035, unit="share"),
        Row(name="gap to the bound, 200 orders", value=many.gap, limit=0.005, unit="share"),
        Row(name="gap to the bound, 1,000 orders", value=most.gap, limit=0.01, unit="share"),
        Row(name="cost over first fit on one stick length, 10 orders", value=ten.cost / by_hand(10), limit=0.97),
        Row(name="cost over first fit, downsized, 10 orders", value=ten.cost / first, limit=1.0),
        Row(name="cost over CP-SAT's in ten times the time, 10 orders", limit=1.0,
            value=ten.cost / assigned(10, 10 * max(0.5, ten_seconds))),
        Row(name="time to within 1 %, over first fit's, 10 orders", value=quick_seconds / first_seconds, limit=300),
        Row(name="gap where it was content with 1 %", value=quick.gap, limit=0.01, unit="share"),
        Row(name="time for 1,000 orders over 200", value=most_seconds / many_seconds, limit=10),
    ]  # fmt: skip
