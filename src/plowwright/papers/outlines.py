"""What each part covers when the blade is looked at along one of its axes, in any pose."""

from __future__ import annotations

from functools import lru_cache

from plowwright.blade.parts import Part
from plowwright.blade.poses import REST, Matrix, apply, turn
from plowwright.blade.shapes import Solid
from plowwright.papers.marks import Fill
from plowwright.physics.regions import Loop, flatten

Point = tuple[float, float]

_END_ON = 0.9999
_SQUARE = 1e-6
"""An axis this short in the picture is looked along [-]."""
_CHORD = 1e-3
_NOTHING = 1e-10
"""Twice an area too small to draw [m2]."""


def outlines(part: Part, *, across: int, up: int, motion: Matrix = REST) -> list[list[Point]]:
    """Outlines of a part's solids, seen along the axis that is left.

    A solid seen end-on shows its own outline; seen square to one of its sides the four corners of its box; seen from
    anywhere else its convex hull, which is exact for bars and flat plates and within a line's width for the rest.

    Args:
        part: The part.
        across: Which blade axis runs across the picture.
        up: Which blade axis runs up the picture.
        motion: Its motion from rest.
    """
    return [shape for solid in part.solids if len(shape := _shape(part, solid, across, up, motion)) > 2]


def _shape(part: Part, solid: Solid, across: int, up: int, motion: Matrix) -> list[Point]:
    place = solid.place or part.place
    o, a, b, c = place.origin, place.u, place.v, place.w
    if motion is not REST:
        o, a, b, c = apply(motion, o), turn(motion, a), turn(motion, b), turn(motion, c)
    ox, oy, ax, ay, bx, by, cx, cy = o[across], o[up], a[across], a[up], b[across], b[up], c[across], c[up]
    start, (start_u, start_v), end, (end_u, end_v) = solid.start, solid.start_slope, solid.end, solid.end_slope
    loop = solid.region.outer
    seen_end_on = abs(c[3 - across - up]) > _END_ON
    if not seen_end_on:
        # Looked at along u or v: what is left of the outline is its extent in the other of the two.
        if -_SQUARE < ax < _SQUARE and -_SQUARE < ay < _SQUARE and not start_u and not end_u:
            _, _, low, high = _extent(loop)
            return _corners((ox, oy, bx, by, cx, cy), (low, high), (start, start_v), (end, end_v))
        if -_SQUARE < bx < _SQUARE and -_SQUARE < by < _SQUARE and not start_v and not end_v:
            low, high, _, _ = _extent(loop)
            return _corners((ox, oy, ax, ay, cx, cy), (low, high), (start, start_u), (end, end_u))
    rings: list[list[Point]] = []
    for w, slope_u, slope_v in ((start, start_u, start_v), (end, end_u, end_v)):
        x0, y0 = ox + w * cx, oy + w * cy
        # An end cut at a slant carries every point along w by its own share.
        xu, yu, xv, yv = ax + slope_u * cx, ay + slope_u * cy, bx + slope_v * cx, by + slope_v * cy
        ring = [(x0 + u * xu + v * xv, y0 + u * yu + v * yv) for u, v in _chords(loop)]
        if seen_end_on:
            return ring
        rings.append(ring)
    return _hull([*rings[0], *rings[1]])


def _corners(
    axes: tuple[float, float, float, float, float, float],
    extent: tuple[float, float],
    start: tuple[float, float],
    end: tuple[float, float],
) -> list[Point]:
    """Where the four corners of a box are seen whose third axis is looked along."""
    ox, oy, ax, ay, cx, cy = axes
    low, high = extent
    spots = (
        (low, start[0] + start[1] * low),
        (high, start[0] + start[1] * high),
        (high, end[0] + end[1] * high),
        (low, end[0] + end[1] * low),
    )
    return [(ox + s * ax + w * cx, oy + s * ay + w * cy) for s, w in spots]


@lru_cache(maxsize=4096)
def _chords(loop: Loop) -> tuple[Point, ...]:
    return flatten(loop, _CHORD)


@lru_cache(maxsize=4096)
def _extent(loop: Loop) -> tuple[float, float, float, float]:
    us, vs = zip(*_chords(loop), strict=True)
    return min(us), max(us), min(vs), max(vs)


def _hull(points: list[Point]) -> list[Point]:
    """Convex hull, counter-clockwise, by the monotone chain (Andrew 1979, from memory)."""
    ordered = sorted(points)
    half: list[Point] = []
    for run in (ordered, ordered[::-1]):
        chain: list[Point] = []
        for x, y in run:
            while len(chain) > 1:
                (x0, y0), (x1, y1) = chain[-2], chain[-1]
                # Points that fall together, or in a line, go: what they span is nothing on a drawing.
                if (x1 - x0) * (y - y0) - (y1 - y0) * (x - x0) > _NOTHING:
                    break
                chain.pop()
            chain.append((x, y))
        half += chain[:-1]
    return half


def fill_of(part: Part) -> Fill:
    """The filling that sets moldboard and edge apart from the frame behind them.

    Args:
        part: The part.
    """
    return "tint" if part.kind == "rolled" or part.group == "cutting edge" else "paper"
