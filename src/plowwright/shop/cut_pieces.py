"""From builds to the saw: tagged pieces of several orders, and the sticks they can come from.

Cutting edges are left out: they are cut down from drilled blanks (`edge_planning`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import atan
from types import MappingProxyType

from plowwright.blade.bill import BillRow
from plowwright.blade.build import Build
from plowwright.blade.parts import Part
from plowwright.errors import RulebookError
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.schema import Section
from plowwright.shop.cutting_model import Ends, Mitre, Piece, Stick
from plowwright.shop.lines import entry

EDGE = "edge"
"""Mark of the cutting edge."""
TURNABLE = ("tube", "round tube", "flat", "round")
"""Sections that may be turned on the saw; an angle's leg is in the way."""
_NO_DISCOUNT: Mapping[float, float] = MappingProxyType({})


def pieces_of(order: str, build: Build, *, rush: bool = False) -> tuple[Piece, ...]:
    """What the saw cuts from sticks for one order, one piece at a time, each with its tag.

    Args:
        order: Number with its check letter.
        build: The blade worked out.
        rush: Whether it is cut before the others.
    """
    sections = build.rulebook.sections
    return tuple(
        _piece(order, row, number, build.assembly.part(part), sections[row.stock], rush=rush)
        for row in build.bill.cut_list()
        if row.mark != EDGE
        for number, part in enumerate(row.ids[: row.quantity], 1)
    )


def of_orders(builds: Mapping[str, Build], rush: Iterable[str] = ()) -> tuple[Piece, ...]:
    """The pieces of several orders together, in the order in which they are given.

    Args:
        builds: Blade by order number.
        rush: Orders that are cut first.
    """
    first = set(rush)
    return tuple(p for order, build in builds.items() for p in pieces_of(order, build, rush=order in first))


def sticks_for(
    rulebook: Rulebook,
    stocks: Iterable[str],
    *,
    discounts: Mapping[float, float] = _NO_DISCOUNT,
    on_hand: Mapping[tuple[str, float], int] | None = None,
    remnants: Sequence[Stick] = (),
) -> tuple[Stick, ...]:
    """The stick lengths of the rulebook at the sections' prices, and the rack's remnants.

    Args:
        rulebook: The rules in force.
        stocks: Sections wanted.
        discounts: What a stick length [m] is cheaper per length than the section's price, as a share [-].
        on_hand: How many lie in the rack, by section and length [m].
        remnants: Tagged remnants of any section.

    Raises:
        RulebookError: A section is not in the rulebook.
    """
    there = on_hand or {}
    wanted = sorted(set(stocks))
    out: list[Stick] = []
    for stock in wanted:
        section = entry(rulebook.sections, stock, "sections.toml", f'["{stock}"]')
        if section.price <= 0:
            raise RulebookError(
                "a section to be cut needs a price", where=f'sections.toml, ["{stock}"]', value=f"{section.price:g}",
                limit="above 0", way_out='Add price = "USD 4.20/ft".',
            )  # fmt: skip
        for length in rulebook.shop.sticks:
            price = section.price * length * (1.0 - discounts.get(length, 0.0))
            out.append(Stick(stock=stock, length=length, price=round(price, 2), on_hand=there.get((stock, length), 0)))
    return (*out, *(r for r in remnants if r.stock in wanted))


def look_alikes(rulebook: Rulebook, stocks: Iterable[str]) -> tuple[tuple[str, ...], ...]:
    """Sections of one kind and outside size with different walls: kept apart, told from each other by the caliper.

    Args:
        rulebook: The rules in force.
        stocks: Sections in question.
    """
    groups: dict[tuple[object, ...], list[str]] = {}
    for stock in sorted(set(stocks)):
        s = entry(rulebook.sections, stock, "sections.toml", f'["{stock}"]')
        groups.setdefault((s.kind, s.width, s.height, s.diameter), []).append(stock)
    return tuple(tuple(g) for g in groups.values() if len(g) > 1)


def _piece(order: str, row: BillRow, number: int, part: Part, section: Section, *, rush: bool) -> Piece:
    ends = _ends(part)
    tag = f"{order} {row.mark}" + (f" {number}/{row.quantity}" if row.quantity > 1 else "")
    return Piece(
        stock=row.stock,
        length=part.length,
        tag=tag,
        order=order,
        mark=row.mark,
        ends=ends or (None, None),
        # Ends mitred over two sides at once are cut by themselves, by their length over the long points.
        flips=ends is not None and section.kind in TURNABLE,
        rush=rush,
    )


def _ends(part: Part) -> Ends | None:
    """The two end cuts, None where they are not mitred over one and the same pair of faces."""
    if len(part.solids) != 1:
        return None
    solid = part.solids[0]
    low_u, low_v, high_u, high_v = solid.region.bounds()
    slopes = (solid.start_slope, solid.end_slope)
    over_u = any(abs(s[0]) > 1e-9 for s in slopes)
    over_v = any(abs(s[1]) > 1e-9 for s in slopes)
    if over_u and over_v:
        return None
    axis, depth = (1, high_v - low_v) if over_v else (0, high_u - low_u)
    sides = [cut.across for cut in part.cuts] if part.cuts else ["", ""]
    # Along the bar the far face lies at the positive side; there the start is longer where its slope is negative.
    angles = (-atan(slopes[0][axis]), atan(slopes[1][axis]))
    made = [
        Mitre(angle=angle, depth=depth, side=side) if abs(angle) > 1e-9 else None
        for angle, side in zip(angles, sides, strict=True)
    ]
    return made[0], made[1]
