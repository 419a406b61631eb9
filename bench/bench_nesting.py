"""Nests of a week of 2, 5, 10 and 15 orders: cost against rectangles, against the bound by area, and how full they are.

The week's plates are those of the demo's wall, its orders taken in turn. Sheets are what a dealer cuts for a shop: 5 by
10 ft, 4 by 8 ft, half and quarter sheets, the smaller ones dearer by area, and two remnants. The rectangles are the
pieces' bounding boxes by the best of rectpack's heuristics, same sheets, gap, edge and worth of what is left.
"""

from __future__ import annotations

from functools import cache
from math import pi
from pathlib import Path

from bench import Row
from plowwright import rulebook
from plowwright.blade.build import Build, work_out
from plowwright.desk.orders import load
from plowwright.physics.regions import rectangle
from plowwright.shop.nesting import plan
from plowwright.shop.nesting_model import NestPlan, Outline, RestRule, Sheet
from plowwright.shop.plate_pieces import ANY_SQUARE_TURN, of_orders
from plowwright.units.constants import INCH
from tests.references.nesting_rectangles import best_cost

DEMO = Path(__file__).resolve().parent.parent / "demo"
GAP, EDGE = 3 / 8 * INCH, INCH / 2
RULE = RestRule(least=12 * INCH, value_share=0.4)
# Length, width [in] and price over that of the same area in whole sheets.
SIZES = ((120, 60, 1.0), (96, 48, 1.02), (60, 60, 1.06), (60, 30, 1.12))
REMNANTS = (("plate 3/8", 60, 34, "P-41", 38.0), ("plate 1/2", 60, 22, "P-44", 30.0))
WEEKS = (2, 5, 10, 15)
SECONDS = 25.0
LONGEST_SKIN = 119 * INCH
"""What the longest sheet holds inside its edge; the demo's 120 in skin is bought ready."""


@cache
def builds() -> tuple[Build, ...]:
    """The blades of the wall whose skins fit on a sheet."""
    rules = rulebook.load(DEMO / "rulebook")
    specs = [o.spec for o in load(DEMO / "orders.toml").orders if o.spec is not None]
    return tuple(work_out(spec, rules, level=0) for spec in specs if spec.width <= LONGEST_SKIN)


def week(orders: int) -> tuple[Outline, ...]:
    """The outlines of so many orders."""
    every = builds()
    return of_orders({f"{number:03d}": every[number % len(every)] for number in range(orders)})


def sheets(outlines: tuple[Outline, ...]) -> tuple[Sheet, ...]:
    """What they can be cut from."""
    plates = builds()[0].rulebook.plates
    out: list[Sheet] = []
    for stock in sorted({o.stock for o in outlines}):
        plate = plates[stock]
        for length, width, dearer in SIZES:
            a, b = length * INCH, width * INCH
            price = round(plate.mass * plate.price * a * b * dearer, 2)
            out.append(Sheet(stock=stock, length=a, width=b, price=price))
        out += [
            Sheet(stock=stock, length=a * INCH, width=b * INCH, price=book, on_hand=1, buyable=False, tag=tag)
            for of, a, b, tag, book in REMNANTS
            if of == stock
        ]
    return tuple(out)


def nested(orders: int) -> tuple[NestPlan, float]:
    """The nest of a week and what its rectangles would cost."""
    outlines = week(orders)
    there = sheets(outlines)
    made = plan(outlines, there, GAP, ANY_SQUARE_TURN, SECONDS, edge=EDGE, rest_rule=RULE)
    return made, best_cost(outlines, there, GAP, EDGE, RULE)


def only_way_in() -> int:
    """Sheets for two frames and what fits nowhere but in their openings."""
    frame, hole = rectangle(0, 0, 0.56, 0.56), rectangle(0.06, 0.06, 0.5, 0.5)
    pieces = [Outline(stock="p", outer=frame, inner=(hole,), tag=f"frame {n}") for n in range(2)]
    pieces += [Outline(stock="p", outer=rectangle(0, 0, 0.2, 0.2), tag=f"small {n}") for n in range(8)]
    sheet = Sheet(stock="p", length=1.17, width=0.58, price=100.0)
    return plan(pieces, [sheet], 0.01, (0.0, pi / 2), 5.0, edge=0.01).sheets_used


def run() -> list[Row]:
    """Ratios to rectangles and bound, utilisation, seconds; the checker has passed every nest or there is no row."""
    made = {orders: nested(orders) for orders in WEEKS}
    ratios = {orders: ours.cost / boxes for orders, (ours, boxes) in made.items()}
    rows = [
        Row(name="nests: cost over the best rectangles, mean of 2, 5, 10, 15 orders", limit=0.9,
            value=sum(ratios.values()) / len(ratios)),
        Row(name="nests: cost over the best rectangles, the worst of them", limit=1.0, value=max(ratios.values())),
        Row(name="nests: utilisation, 10 orders", value=made[10][0].utilisation, limit=0.75, unit="share",
            bound="at least"),
        Row(name="nests: sheets where small parts fit only in openings", value=only_way_in(), limit=1, unit="sheets"),
    ]  # fmt: skip
    for orders, (ours, _) in made.items():
        rows.append(
            Row(name=f"nests: cost over the bound by area, {orders} orders", value=1 + ours.over_bound, limit=1.5)
        )
        rows.append(Row(name=f"nests: seconds, {orders} orders", value=ours.seconds, limit=1.2 * SECONDS + 2, unit="s"))
    return rows
