"""Section lines: parallel strokes over an area, holes left out."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import ceil, cos, floor, radians, sin

from plowwright.errors import EntryError
from plowwright.papers.marks import Point, Vertex, flatten


def hatch_lines(
    loops: Sequence[Sequence[Vertex]], *, angle: float, spacing: float
) -> list[tuple[Point, Point]]:
    """Strokes that fill the area between loops by the even-odd rule.

    The strokes lie on one grid through the page's origin, so two areas that touch line up.

    Args:
        loops: Boundary and holes, arcs allowed [mm].
        angle: Direction of the strokes, counter-clockwise from x [deg].
        spacing: Distance of two strokes [mm].
    """
    if spacing <= 0:
        raise EntryError(
            "hatching needs a distance between its lines", value=f"{spacing:g} mm", limit="above 0 mm"
        )
    c, s = cos(radians(angle)), sin(radians(angle))
    turned: list[list[Point]] = []
    for loop in loops:
        run = flatten(loop, closed=True)
        turned.append([(c * x + s * y, c * y - s * x) for x, y in run])
    levels = [v for run in turned for _, v in run]
    if not levels:
        return []
    strokes: list[tuple[Point, Point]] = []
    for step in range(floor(min(levels) / spacing), ceil(max(levels) / spacing) + 1):
        # Half a step off the grid keeps a stroke from running along an edge drawn on a whole millimetre.
        level = (step + 0.5) * spacing
        crossings = sorted(u for run in turned for u in _crossings(run, level=level))
        for begin, end in zip(crossings[::2], crossings[1::2], strict=True):
            strokes.append(
                ((c * begin - s * level, s * begin + c * level), (c * end - s * level, s * end + c * level))
            )
    return strokes


def _crossings(run: Sequence[Point], *, level: float) -> list[float]:
    found: list[float] = []
    for (u0, v0), (u1, v1) in pairwise([*run, run[0]]):
        if (v0 <= level) != (v1 <= level):
            found.append(u0 + (level - v0) * (u1 - u0) / (v1 - v0))
    return found
