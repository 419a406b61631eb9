"""From builds to the plate table: tagged outlines of several orders, and the sheets they can come from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import pi

from plowwright.blade.bill import BillRow
from plowwright.blade.build import Build
from plowwright.blade.parts import Part
from plowwright.errors import RulebookError
from plowwright.physics.regions import Loop, rectangle
from plowwright.rulebook.cutting import Plates
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.lines import entry
from plowwright.shop.nesting_model import Outline, RestRule, Sheet
from plowwright.shop.nesting_order import CutSpeed

ANY_SQUARE_TURN = (0.0, pi / 2, pi, 3 * pi / 2)
"""The four square angles [rad]."""


def outlines_of(
    order: str, build: Build, *, rolled: bool = True, grain: Iterable[str] = (), rush: bool = False
) -> tuple[Outline, ...]:
    """What the plate table cuts for one order, one piece at a time, each with its tag.

    Round holes that the build sheet gives the drill are left to it; slots and other openings are cut.

    Args:
        order: Number with its check letter.
        build: The blade worked out.
        rolled: Whether blanks of rolled parts are cut here; False where the roller brings them.
        grain: Marks whose u axis must lie along the sheet.
        rush: Whether it is cut before the others.
    """
    along = set(grain)
    return tuple(
        _outline(order, row, number, build.assembly.part(part), grain=row.mark in along, rush=rush)
        for row in build.bill.plate_list()
        if rolled or row.kind != "rolled"
        for number, part in enumerate(row.ids[: row.quantity], 1)
    )


def of_orders(
    builds: Mapping[str, Build], rush: Iterable[str] = (), *, rolled: bool = True, grain: Iterable[str] = ()
) -> tuple[Outline, ...]:
    """The outlines of several orders together, in the order in which they are given.

    Args:
        builds: Blade by order number.
        rush: Orders that are cut first.
        rolled: Whether blanks of rolled parts are cut here.
        grain: Marks whose u axis must lie along the sheet.
    """
    first, along = set(rush), tuple(grain)
    return tuple(
        outline
        for order, build in builds.items()
        for outline in outlines_of(order, build, rolled=rolled, grain=along, rush=order in first)
    )


def sheets_for(
    rulebook: Rulebook,
    stocks: Iterable[str],
    *,
    on_hand: Mapping[tuple[str, float, float], int] | None = None,
    remnants: Sequence[Sheet] = (),
) -> tuple[Sheet, ...]:
    """The sheet size of the rulebook at its price for each stock, further sizes on hand, and tagged remnants.

    Args:
        rulebook: The rules in force.
        stocks: Sheets and plates wanted.
        on_hand: How many are there, by stock, width [m] and length [m]; a size that is not bought is used up only.
        remnants: Tagged remnants of any stock.

    Raises:
        RulebookError: A stock is not in the rulebook or has no price.
    """
    there = dict(on_hand or {})
    wanted = sorted(set(stocks))
    out: list[Sheet] = []
    for stock in wanted:
        plate = entry(rulebook.plates, stock, "plates.toml", f'["{stock}"]')
        if plate.price <= 0:
            raise RulebookError(
                "a plate to be cut needs a price", where=f'plates.toml, ["{stock}"]', value=f"{plate.price:g}",
                limit="above 0", way_out='Add price = "USD 0.82/lb".',
            )  # fmt: skip
        bought = (plate.sheet_width, plate.sheet_length)
        sizes = [bought, *(k[1:] for k in there if k[0] == stock and k[1:] != bought)]
        for width, length in sizes:
            out.append(
                Sheet(
                    stock=stock,
                    length=max(width, length),
                    width=min(width, length),
                    price=round(plate.mass * plate.price * width * length, 2),
                    on_hand=there.get((stock, width, length), 0),
                    buyable=(width, length) == bought,
                )
            )
    return (*out, *(r for r in remnants if r.stock in wanted))


def rest_rule(plates: Plates) -> RestRule:
    """Which rests are kept, as the rulebook has it.

    Args:
        plates: The plate table's settings of cutting.toml.
    """
    return RestRule(least=plates.least_remnant.value, value_share=plates.value_share.value)


def speeds(plates: Plates) -> tuple[CutSpeed, ...]:
    """How fast the table cuts each thickness, as the rulebook has it.

    Args:
        plates: The plate table's settings of cutting.toml.
    """
    return tuple(CutSpeed(up_to=s.up_to, speed=s.per_minute / 60, pierce=s.pierce) for s in plates.speeds)


def _outline(order: str, row: BillRow, number: int, part: Part, *, grain: bool, rush: bool) -> Outline:
    outer, inner, drilled = _loops(part)
    tag = f"{order} {row.mark}" + (f" {number}/{row.quantity}" if row.quantity > 1 else "")
    return Outline(
        stock=row.stock,
        outer=outer,
        inner=inner,
        drilled=drilled,
        tag=tag,
        order=order,
        mark=row.mark,
        grain=grain,
        rush=rush,
    )


def _loops(part: Part) -> tuple[Loop, tuple[Loop, ...], tuple[Loop, ...]]:
    """Outer boundary, openings the table cuts, holes the drill makes; a rolled part's blank laid flat."""
    if part.kind == "rolled":
        return rectangle(0.0, 0.0, part.length, part.width), (), ()
    region = part.solids[0].region
    round_ones = [(h.along, h.across) for h in part.holes if h.kind == "round"] if "drill" in part.operations else []
    drilled = tuple(loop for loop in region.inner if any(_about(loop, at) for at in round_ones))
    return region.outer, tuple(loop for loop in region.inner if loop not in drilled), drilled


def _about(loop: Loop, at: tuple[float, float]) -> bool:
    """Whether the loop is a full circle about a point."""
    middle = tuple(sum(v[k] for v in loop) / len(loop) for k in (0, 1))
    circle = len(loop) == 2 and all(abs(abs(v[2]) - 1) < 1e-9 for v in loop)
    return circle and all(abs(m - a) < 1e-6 for m, a in zip(middle, at, strict=True))
