"""How a blade is lifted, drawn to scale from its parts: from the left, from behind, from above."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, degrees, radians, sin, tan
from typing import Final

from plowwright import units
from plowwright.blade.build import Build
from plowwright.papers.drawing import Picture
from plowwright.papers.elevations import System, draw
from plowwright.papers.marks import HIDDEN, OUTLINE, THIN, Pen
from plowwright.papers.outlines import Point
from plowwright.papers.projection import Seen, see
from plowwright.papers.views import MM_PER_M, STANDARD_SCALES, View
from plowwright.shop.dock_freight import Lifting

_SLING: Final = Pen(name="sling", layer="slings", width=1.1)
_EDGE, _GAP, _HEAD, _ROW, _TEXT = 8.0, 20.0, 7.0, 7.0, 2.8
_MARK: Final = 2.6
"""Radius of the mark at the centre of gravity [mm]."""
_AROUND: Final = 0.06
"""A sling lies this far off the middle of what it goes round [m]."""
_QUARTER: Final = tuple(range(0, 91, 15))
"""Rim of a quarter circle [deg]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rig:
    """Where hook and slings are, in the blade's own axes [m]."""

    hook: tuple[float, float, float]
    beam: tuple[float, float]
    foot: tuple[float, float]
    ends: tuple[float, float]
    centre: tuple[float, float, float]


def lifting_picture(build: Build, lift: Lifting, *, width: float, system: System) -> Picture:
    """Three views at one scale with slings, hook and centre of gravity.

    Args:
        build: The blade.
        lift: Where slings go.
        width: Room across the sheet [mm].
        system: US or metric dimensions.
    """
    side, back, above = see(build, "side"), see(build, "back"), see(build, "above")
    rig = _rigged(build, lift)
    deep, wide = side.right - side.left, back.right - back.left
    scale = next((s for s in STANDARD_SCALES if (deep + wide) * MM_PER_M / s + _GAP + 2 * _EDGE <= width), 100)
    mm = MM_PER_M / scale
    top = max(rig.hook[2], side.high) * mm + 6.0
    plan = (above.high - above.low) * mm
    page = Picture(width, top + plan + _HEAD + 2 * _ROW + 7.0)
    ground = plan + _HEAD + 2 * _ROW + 2.0
    right = _EDGE + deep * mm + _GAP
    views = {
        "side": View(ratio=scale, x=_EDGE, y=ground, model_x=side.right, mirrored=True),
        "back": View(ratio=scale, x=right, y=ground, model_x=back.right, mirrored=True),
        "above": View(ratio=scale, x=right, y=2.0, model_x=above.right, model_y=above.low, mirrored=True),
    }
    heads = {"side": "from the left", "back": "from behind", "above": "from above"}
    for seen in (side, back, above):
        view = views[seen.name]
        draw(page, seen, view)
        middle = (view.at(seen.left, 0.0)[0] + view.at(seen.right, 0.0)[0]) / 2
        high = view.at(0.0, seen.high)[1] if seen.name == "above" else ground + top - 1.0
        page.text((middle, high + 4.0), heads[seen.name], size=3.2, anchor="middle")
    _from_the_left(page, views["side"], side, rig, lift, system)
    _from_behind(page, views["back"], rig, lift, system)
    _from_above(page, views["above"], rig, lift)
    page.text((_EDGE, 3.0), f"scale 1:{scale:g}", size=_TEXT)
    return page


def _rigged(build: Build, lift: Lifting) -> _Rig:
    hinge, _, high = build.assembly.pivots.hinge
    half = lift.apart / 2
    # The flattest leg that is allowed sets the lowest hook; a longer sling only makes it steeper.
    rise = half * tan(min(lift.angle, radians(89.0)))
    foot = build.datum.edge_back
    return _Rig(
        hook=(lift.ahead, lift.aside, high + rise), beam=(hinge, high), foot=(foot, high),
        ends=(lift.aside - half, lift.aside + half), centre=(lift.ahead, lift.aside, lift.above),
    )  # fmt: skip


def _from_the_left(page: Picture, view: View, seen: Seen, rig: _Rig, lift: Lifting, system: System) -> None:
    hook = view.at(rig.hook[0], rig.hook[2])
    low = max(rig.beam[1] - _AROUND, 0.02)
    back = rig.beam[0] - _AROUND
    loop = [(back, rig.beam[1] + _AROUND), (back, low), (rig.foot[0], low)]
    page.polyline([hook, *(view.at(*point) for point in loop), hook], pen=_SLING)
    _plumb(page, view, hook, rig.centre[0], rig.centre[2])
    page.dimension(
        view.at(0.0, 0.0), view.at(lift.ahead, 0.0), text=f"plate to hook {_said(lift.ahead, system)}", offset=-_ROW,
        along="horizontal", size=_TEXT,
    )  # fmt: skip
    page.dimension(
        view.at(seen.right, 0.0), view.at(seen.right, rig.centre[2]), text=_said(lift.above, system), offset=5,
        along="vertical", size=_TEXT,
    )  # fmt: skip


def _from_behind(page: Picture, view: View, rig: _Rig, lift: Lifting, system: System) -> None:
    hook = view.at(rig.hook[1], rig.hook[2])
    for y in rig.ends:
        page.line(hook, view.at(y, rig.beam[1]), pen=_SLING)
    _plumb(page, view, hook, rig.centre[1], rig.centre[2])
    left = view.at(rig.ends[1], rig.beam[1])
    page.line(left, (left[0] + 15.0, left[1]), pen=HIDDEN)
    page.arc(left, 12.0, start=0.0, end=degrees(lift.angle), pen=HIDDEN)
    page.text((hook[0] + 8.0, hook[1] - 2.0), f"legs {units.say(lift.angle, 'angle')} or steeper", size=_TEXT)
    page.dimension(
        view.at(rig.ends[1], 0.0), view.at(rig.ends[0], 0.0), text=f"slings {_said(lift.apart, system)} apart",
        offset=-_ROW, along="horizontal", size=_TEXT,
    )  # fmt: skip


def _from_above(page: Picture, view: View, rig: _Rig, lift: Lifting) -> None:
    for y in rig.ends:
        back, front = view.at(y, rig.beam[0] - _AROUND), view.at(y, rig.foot[0] + _AROUND)
        page.line(back, front, pen=_SLING)
        page.circle(back, 1.0, pen=THIN, fill="ink")
        page.circle(front, 1.0, pen=THIN, fill="ink")
    _centre_mark(page, view.at(lift.aside, lift.ahead))


def _plumb(page: Picture, view: View, hook: Point, across: float, up: float) -> None:
    """The line from the hook straight down through the centre of gravity, and both marks."""
    centre = view.at(across, up)
    page.line(hook, (centre[0], view.at(0.0, 0.0)[1]), pen=HIDDEN)
    _centre_mark(page, centre)
    page.circle((hook[0], hook[1] + 1.8), 1.8, pen=OUTLINE, fill="paper")
    page.text((hook[0] + 3.0, hook[1] + 1.0), "hook", size=_TEXT)


def _centre_mark(page: Picture, at: Point) -> None:
    """A quartered circle, two quarters solid."""
    page.circle(at, _MARK, pen=OUTLINE, fill="paper")
    for turn in (0.0, 180.0):
        rim = [(at[0] + _MARK * cos(radians(turn + a)), at[1] + _MARK * sin(radians(turn + a))) for a in _QUARTER]
        page.polygon([at, *rim], pen=THIN, fill="ink")


def _said(length: float, system: System) -> str:
    return units.say(length, "length", system=system)
