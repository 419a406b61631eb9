"""In which order a sheet is cut, and how long the table takes for it.

What lies inside is cut before what is around it, for a part that has come loose moves: openings before their outline,
pieces in an opening before the piece around them, the cuts that free a rest at the very end. From part to part the
torch goes to the nearest one that is not beside what it has just heated (*common practice*).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import dist, inf
from typing import Literal

from plowwright.errors import PlanInputError
from plowwright.physics.regions import Loop, Region
from plowwright.shop.nesting_model import NestedSheet, PlacedOutline
from plowwright.units import tape
from plowwright.units.constants import INCH

Point = tuple[float, float]
Kind = Literal["opening", "outline", "rest"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CutSpeed:
    """What the table does in plate up to a thickness.

    Attributes:
        up_to: Greatest thickness [m].
        speed: Along the cut [m/s].
        pierce: Time to go through once [s].
    """

    up_to: float
    speed: float
    pierce: float


def _row(up_to: float, inches_a_minute: float, pierce: float) -> CutSpeed:
    return CutSpeed(up_to=up_to * INCH, speed=inches_a_minute * INCH / 60, pierce=pierce)


ASSUMED_SPEEDS = (
    _row(1 / 8, 180, 0.4),
    _row(3 / 16, 130, 0.5),
    _row(1 / 4, 100, 0.7),
    _row(3 / 8, 60, 0.9),
    _row(1 / 2, 40, 1.3),
    _row(3 / 4, 22, 2.0),
)
"""Assumed, of the size a small plasma table does: put your own table's in their place."""
ASSUMED_TRAVEL = 0.25
"""Speed from cut to cut, torch lifted; assumed [m/s]."""
ASSUMED_APART = 0.15
"""How far the next part should be from those just cut; assumed [m]."""
ASSUMED_REMEMBERED = 2
"""How many parts just cut count as hot; assumed [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """One cut, from pierce to end.

    Attributes:
        tag: Piece or rest it belongs to.
        kind: Opening, outline or the freeing of a rest.
        loop: What is cut on the sheet, closed; for a rest its two ends [m].
        start: Where the torch goes through [m].
        length: Length of the cut [m].
    """

    tag: str
    kind: Kind
    loop: Loop
    start: Point
    length: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TableTime:
    """How long the table takes for a sheet.

    Attributes:
        cut_length: Length of all cuts [m].
        pierces: How often the torch goes through [-].
        travel: Way from cut to cut [m].
        seconds: Cutting, piercing and travel; nothing for loading and clearing [s].
    """

    cut_length: float
    pierces: int
    travel: float
    seconds: float


def cut_order(
    nested: NestedSheet, *, apart: float = ASSUMED_APART, remembered: int = ASSUMED_REMEMBERED
) -> tuple[Cut, ...]:
    """Every cut of a sheet in the order in which it is made, starting near the sheet's corner.

    Args:
        nested: The sheet with its pieces.
        apart: How far the next part should be from those just cut [m].
        remembered: How many parts just cut count as hot [-].
    """
    waiting = list(nested.placed)
    at: Point = (0.0, 0.0)
    hot: list[Point] = []
    cuts: list[Cut] = []
    while waiting:
        held = {p.inside for p in waiting if p.inside}
        ready = [p for p in waiting if p.outline.tag not in held]
        chosen = _next(ready, at, hot[-remembered:] if remembered else [], apart)
        waiting.remove(chosen)
        made = _part(chosen, at)
        cuts.extend(made)
        at = made[-1].start
        hot.append(_middle(chosen))
    return (*cuts, *_freeing(nested))


def table_time(
    nested: NestedSheet,
    thickness: float,
    *,
    speeds: Sequence[CutSpeed] = ASSUMED_SPEEDS,
    travel: float = ASSUMED_TRAVEL,
) -> TableTime:
    """Cut length, pierces and time of a sheet.

    Args:
        nested: The sheet with its pieces.
        thickness: Of the plate [m].
        speeds: What the table does by thickness.
        travel: Speed from cut to cut [m/s].

    Raises:
        PlanInputError: The plate is thicker than any the table has a speed for.
    """
    row = min((s for s in speeds if s.up_to >= thickness - 1e-6), key=lambda s: s.up_to, default=None)
    if row is None:
        raise PlanInputError(
            "the table has no speed for plate this thick", where=nested.sheet.in_words(), value=tape(thickness),
            limit=f"up to {tape(max((s.up_to for s in speeds), default=0.0))}",
            way_out="Add a row for it to the table's speeds, or have it cut elsewhere.",
        )  # fmt: skip
    cuts = cut_order(nested)
    ends = [c.start if c.kind != "rest" else (c.loop[-1][0], c.loop[-1][1]) for c in cuts]
    way = sum(dist(a, c.start) for a, c in zip([(0.0, 0.0), *ends[:-1]], cuts, strict=True))
    length = sum(c.length for c in cuts)
    return TableTime(
        cut_length=length,
        pierces=len(cuts),
        travel=way,
        seconds=length / row.speed + len(cuts) * row.pierce + way / travel,
    )


def _next(ready: Sequence[PlacedOutline], at: Point, hot: Sequence[Point], apart: float) -> PlacedOutline:
    """The nearest part that is far enough from what is hot; where none is, the one furthest from it."""

    def coolness(placed: PlacedOutline) -> float:
        return min((dist(_middle(placed), h) for h in hot), default=inf)

    cool = [p for p in ready if coolness(p) >= apart]
    if cool:
        return min(cool, key=lambda p: (dist(_nearest(p.loop(p.outline.outer), at), at), p.outline.tag))
    return max(ready, key=lambda p: (coolness(p), p.outline.tag))


def _part(placed: PlacedOutline, at: Point) -> list[Cut]:
    """A part's openings, the nearest first, then its outline."""
    cuts: list[Cut] = []
    openings = [(loop, placed.loop(loop)) for loop in placed.outline.inner]
    while openings:
        nearest = min(openings, key=lambda pair: dist(_nearest(pair[1], at), at))
        openings.remove(nearest)
        cuts.append(_cut(placed, "opening", nearest[1], at))
        at = cuts[-1].start
    cuts.append(_cut(placed, "outline", placed.loop(placed.outline.outer), at))
    return cuts


def _cut(placed: PlacedOutline, kind: Kind, loop: Loop, at: Point) -> Cut:
    length = Region(outer=loop).properties().perimeter
    return Cut(tag=placed.outline.tag, kind=kind, loop=loop, start=_nearest(loop, at), length=length)


def _freeing(nested: NestedSheet) -> list[Cut]:
    """The straight cuts that free the rests, each named after the first rest it borders on."""
    cuts: list[Cut] = []
    for low, high, across, at in nested.freeing():
        ends = ((at, low), (at, high)) if across else ((low, at), (high, at))
        tag = next(
            r.tag for r in nested.rests
            if min(abs(at - r.box[0 if across else 1]), abs(at - r.box[2 if across else 3])) < 1e-9
        )  # fmt: skip
        loop = tuple((x, y, 0.0) for x, y in ends)
        cuts.append(Cut(tag=tag, kind="rest", loop=loop, start=ends[0], length=high - low))
    return cuts


def _nearest(loop: Loop, at: Point) -> Point:
    vertex = min(loop, key=lambda v: dist(v[:2], at))
    return vertex[0], vertex[1]


def _middle(placed: PlacedOutline) -> Point:
    a, b, c, d = Region(outer=placed.loop(placed.outline.outer)).bounds()
    return (a + c) / 2, (b + d) / 2
