"""What each part covers when the blade is looked at along one of its axes, in any pose."""

from __future__ import annotations

from functools import lru_cache

from plowwright.blade.parts import Part, Solid
from plowwright.blade.poses import REST, Matrix, apply, turn
from plowwright.papers.marks import Fill
from plowwright.physics.regions import Loop, flatten

Point = tuple[float, float]

_END_ON = 0.9999
_CHORD = 1e-3


def outlines(part: Part, *, across: int, up: int, motion: Matrix = REST) -> list[list[Point]]:
    """Outlines of a part's solids, seen along the axis that is left.

    A solid seen end-on shows its own outline; seen from any other side its convex hull, which is exact for bars and
    flat plates and within a line's width for the rest.

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
    rings: list[list[Point]] = []
    for at, slope in ((solid.start, solid.start_slope), (solid.end, solid.end_slope)):
        ring: list[Point] = []
        for u, v in _chords(solid.region.outer):
            w = at + slope[0] * u + slope[1] * v
            x = o[across] + u * a[across] + v * b[across] + w * c[across]
            ring.append((x, o[up] + u * a[up] + v * b[up] + w * c[up]))
        rings.append(ring)
    if abs(c[3 - across - up]) > _END_ON:
        return rings[0]
    return _hull([*rings[0], *rings[1]])


@lru_cache(maxsize=4096)
def _chords(loop: Loop) -> tuple[Point, ...]:
    return flatten(loop, _CHORD)


def _hull(points: list[Point]) -> list[Point]:
    """Convex hull, counter-clockwise, by the monotone chain (Andrew 1979, from memory)."""
    # A hundredth of a millimetre is nothing on a drawing, and equal points fall together.
    ordered = sorted({(round(x, 5), round(y, 5)) for x, y in points})
    half: list[Point] = []
    for run in (ordered, ordered[::-1]):
        chain: list[Point] = []
        for x, y in run:
            while len(chain) > 1:
                (x0, y0), (x1, y1) = chain[-2], chain[-1]
                if (x1 - x0) * (y - y0) - (y1 - y0) * (x - x0) > 1e-12:
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
