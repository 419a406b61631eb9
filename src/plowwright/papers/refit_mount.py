"""The old mount and the new one side by side, from behind and from above, at one scale; what is new is drawn thick."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.parts import Part, Pinned
from plowwright.blade.refit import Refit
from plowwright.papers.drawing import Picture
from plowwright.papers.elevations import System
from plowwright.papers.marks import ACCENT, GROUND, THIN, Group, Outlines
from plowwright.papers.outlines import fill_of
from plowwright.papers.projection import Seen, see
from plowwright.papers.views import MM_PER_M, View, pick_ratio

_GAP: Final = 8.0
_HEAD: Final = 6.0
_BELOW: Final = 5.0
_BETWEEN: Final = 9.0
_LEVEL: Final = 12.0
"""For words over a row, for dimensions under it, between the rows, and beside a view for its height [mm]."""
_TEXT: Final = 2.8
_PLAN: Final = ("mount", "hub", "frame", "link")
"""Bodies shown from above: what carries the moldboard, without it."""


def side_by_side(refit: Refit, *, width: float, system: System) -> Picture:
    """Old and new mount from behind, and below them from above with the cylinder.

    Args:
        refit: The refit.
        width: Room across the sheet [mm].
        system: US or metric dimensions.
    """
    half = (width - _GAP) / 2
    new = {part.id for part in refit.compared.new} | {after.id for _, after in refit.compared.moved}
    backs = [_only(see(build, "back"), lambda part: part.body == "mount") for build in (refit.old, refit.new)]
    plans = [
        _only(see(build, "above"), lambda part: part.body in _PLAN and part.group != "springs")
        for build in (refit.old, refit.new)
    ]
    # The plates of both lie on one line.
    rear, ahead = min(s.low for s in plans), max(s.high for s in plans)
    plans = [replace(s, low=rear, high=ahead) for s in plans]
    room = half - 2 * _LEVEL
    back_scale = max(pick_ratio(_wide(s), s.high, box_width=room, box_height=22.0) for s in backs)
    plan_scale = max(pick_ratio(_wide(s), s.high - s.low, box_width=room, box_height=46.0) for s in plans)
    back_high = max(s.high for s in backs) * MM_PER_M / back_scale
    plan_high = max(s.high - s.low for s in plans) * MM_PER_M / plan_scale
    page = Picture(width, _BELOW + plan_high + _BETWEEN + back_high + _HEAD)
    carriers = (refit.existing.carrier_name or "the old machine", refit.carrier.name)
    for number, build in enumerate((refit.old, refit.new)):
        left, fresh = number * (half + _GAP), new if number else set[str]()
        base = _BELOW + plan_high + _BETWEEN
        word = "as it is, on" if number == 0 else "as it will be, on"
        page.text((left, base + back_high + 2.5), f"{word} {carriers[number]}: {build.datum.mount.name}", size=3.1)
        _back(page, build, backs[number], _view(backs[number], left, half, base, back_scale), fresh, system)
        view = _view(plans[number], left, half, _BELOW, plan_scale)
        _plan(page, build, plans[number], view, fresh, (left, half))
    scales = f"from behind 1:{back_scale:g}" + (f", from above 1:{plan_scale:g}" if plan_scale != back_scale else "")
    page.text((0.0, 1.0), f"{scales}; thick: new, moved or turned over", size=_TEXT)
    return page


def _only(seen: Seen, wanted: Callable[[Part], bool]) -> Seen:
    """The view with some of its parts, and its size by them."""
    shapes = tuple((part, rings) for part, rings in seen.shapes if wanted(part))
    points = [point for _, rings in shapes for ring in rings for point in ring]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    low = 0.0 if seen.upright else min(ys)
    return replace(seen, shapes=shapes, left=min(xs), right=max(xs), low=low, high=max(ys))


def _wide(seen: Seen) -> float:
    return 2 * max(abs(seen.left), abs(seen.right))


def _view(seen: Seen, left: float, half: float, base: float, scale: float) -> View:
    """The blade's middle in the middle of its half of the sheet, its left end at the reader's left."""
    return View(ratio=scale, x=left + half / 2, y=base, model_x=0.0, model_y=seen.low, mirrored=True)


def _draw(page: Picture, seen: Seen, view: View, fresh: set[str]) -> None:
    start, step = view.at(0.0, 0.0), view.step()
    for part, shapes in seen.shapes:
        pen = ACCENT if part.id in fresh else THIN
        marks = [Outlines(rings=shapes, start=start, step=step, pen=pen, fill=fill_of(part))]
        if part.id in seen.holes:
            marks.append(Outlines(rings=seen.holes[part.id], start=start, step=step, pen=THIN))
        page.add(Group(name=part.id, part=part.id, title=part.name, marks=tuple(marks)))


def _back(page: Picture, build: Build, seen: Seen, view: View, fresh: set[str], system: System) -> None:
    mount = build.datum.mount
    half, low, high = mount.width / 2, mount.above_ground, mount.above_ground + mount.height
    a, b = view.at(half + 0.1, 0.0), view.at(-half - 0.1, 0.0)
    page.line(a, b, pen=GROUND)
    _draw(page, seen, view, fresh)
    wide, tall = (units.say(size, "length", system=system) for size in (mount.width, mount.height))
    page.dimension(view.at(half, 0.0), view.at(-half, 0.0), text=wide, offset=-5.0, along="horizontal", size=_TEXT)
    page.dimension(view.at(half, low), view.at(half, high), text=tall, offset=6.0, along="vertical", size=_TEXT)


def _plan(page: Picture, build: Build, seen: Seen, view: View, fresh: set[str], room: tuple[float, float]) -> None:
    _draw(page, seen, view, fresh)
    side = build.spec.outlets
    base = next(j for j in build.assembly.joints if isinstance(j, Pinned) and j.id == "cylinder base")
    x, y, _ = base.position
    left, half = room
    at = view.at(y, x)
    out = left + 16.0 if y > 0 else left + half - 18.0
    page.leader(at, (out, at[1] - 9.0), ["cylinder's", f"base, {side}"], size=_TEXT)
