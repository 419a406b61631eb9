"""Drawings for the fitter: each body of a blade to scale with its seams numbered in the order they are welded."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from plowwright.blade.build import Build
from plowwright.blade.welding import Seam
from plowwright.papers.drawing import Picture
from plowwright.papers.elevations import draw
from plowwright.papers.marks import DIMENSION, OUTLINE, Point
from plowwright.papers.placing import spread
from plowwright.papers.projection import AXES, Seen, ViewName, see
from plowwright.papers.views import MM_PER_M, STANDARD_SCALES, View

_RADIUS: Final = 2.9
_MARGIN: Final = 20.0
_PITCH: Final = 6.6


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """One body and how it is looked at.

    Attributes:
        key: As parts name it.
        name: In words.
        view: From where.
        with_: Bodies drawn beside it because it is welded to none of them but hangs on them.
    """

    key: str
    name: str
    view: ViewName
    with_: tuple[str, ...] = ()


BODIES: Final = (
    Body(key="moldboard", name="moldboard, from behind", view="back"),
    Body(key="frame", name="push frame, from above", view="above"),
    Body(key="hub", name="hub, from above", view="above"),
    Body(key="mount", name="mount, from the front", view="front"),
)


def body_view(build: Build, body: Body, seams: Sequence[Seam], *, width: float, height: float) -> tuple[Picture, float]:
    """One body with its seams numbered, numbers in two columns with a line to each seam.

    Args:
        build: The blade.
        body: Which, and from where.
        seams: Its seams in order.
        width: Room across [mm].
        height: Most room upwards [mm].

    Returns:
        The picture and its scale (12 for 1:12).
    """
    seen = _only(see(build, body.view), (body.key, *body.with_))
    wide, tall = seen.right - seen.left, seen.high - seen.low
    columns = -(-len(seams) // 2) * _PITCH + 4.0
    scale = next(
        (
            s
            for s in STANDARD_SCALES
            if wide * MM_PER_M / s <= width - 2 * _MARGIN and tall * MM_PER_M / s <= height - 6.0
        ),
        STANDARD_SCALES[-1],
    )
    mm = MM_PER_M / scale
    page = Picture(width, max(tall * mm + 8.0, min(columns, height)))
    mirrored = body.view != "front"
    view = View(
        ratio=scale,
        x=(width - wide * mm) / 2,
        y=(page.height - tall * mm) / 2,
        model_x=seen.right if mirrored else seen.left,
        model_y=seen.low,
        mirrored=mirrored,
    )
    draw(page, replace(seen, name="above") if seen.upright else seen, view)
    across, up, *_ = AXES[body.view]
    places = [view.at(s.middle[across], s.middle[up]) for s in seams]
    _balloons(page, places, [s.number for s in seams])
    return page, float(scale)


def _only(seen: Seen, bodies: Sequence[str]) -> Seen:
    shapes = tuple((part, rings) for part, rings in seen.shapes if part.body in bodies and part.kind != "bought")
    points = [p for _, rings in shapes for ring in rings for p in ring]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return replace(seen, shapes=shapes, left=min(xs), right=max(xs), low=min(ys), high=max(ys))


def _balloons(page: Picture, places: Sequence[Point], numbers: Sequence[int]) -> None:
    """Half of the numbers to each margin, the leftmost to the left, each column in the order of its seams' heights."""
    order = sorted(range(len(places)), key=lambda i: places[i][0])
    half = (len(order) + 1) // 2
    for column, x in ((order[:half], _RADIUS + 1.0), (order[half:], page.width - _RADIUS - 1.0)):
        column.sort(key=lambda i: places[i][1])
        least = min(_PITCH, (page.height - 2 * _RADIUS - 1.0) / max(1, len(column) - 1)) if column else _PITCH
        heights = _inside(spread([places[i][1] for i in column], least=least), page.height, least)
        inner = x + (_RADIUS if x < page.width / 2 else -_RADIUS)
        for i, y in zip(column, heights, strict=True):
            page.line((inner, y), places[i], pen=DIMENSION)
            page.circle(places[i], 0.55, pen=DIMENSION, fill="ink")
            page.circle((x, y), _RADIUS, pen=OUTLINE, fill="paper")
            page.text((x, y), str(numbers[i]), size=3.4, anchor="middle", stand="centre", weight="bold")


def _inside(heights: list[float], tall: float, least: float) -> list[float]:
    """The column pushed back onto the page where it hangs over."""
    low, high = _RADIUS + 0.3, tall - _RADIUS - 0.3
    out = sorted(heights)
    out[:] = [max(v, low + least * k) for k, v in enumerate(out)]
    for k in range(len(out) - 1, -1, -1):
        ceiling = high - least * (len(out) - 1 - k)
        out[k] = min(out[k], ceiling)
    return out
