"""Pictures of how a blade moves: its swing from above, seconds each way, and where the relief sits.

The swing is drawn to scale from the blade's own parts; arcs are those of the two ends of the edge about the king pin.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, sin
from typing import Final

import numpy as np

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.moving.geometry import LEFT
from plowwright.blade.moving.judging import end_speed, joules, seconds, span_said
from plowwright.blade.moving.results import OneWay, Swinging
from plowwright.blade.poses import Pose, apply, motions
from plowwright.blade.spans import Span
from plowwright.papers import charts, fonts
from plowwright.papers.drawing import Picture
from plowwright.papers.elevations import System, draw
from plowwright.papers.marks import ACCENT, CENTRE, DIMENSION, THIN, Point
from plowwright.papers.projection import see
from plowwright.papers.suiting import GHOST, silhouettes
from plowwright.papers.views import MM_PER_M, STANDARD_SCALES, View

ROWS: Final = ("warm oil", "first swing, cold", "speed of the end", "energy at the stop", "force at the end, F")
"""What the table below a swing says of each way."""
_SIZE: Final = 2.8
_LINE: Final = 4.8
_STEPS: Final = 25
_HEAD: Final = 8.0
_BESIDE: Final = 17.0
"""Room beside an arc for its seconds [mm]."""
_ARROW: Final = 9.0


@dataclass(frozen=True, kw_only=True)
class _Way:
    """One way of the blade in words.

    Attributes:
        name: Which end goes forward.
        rod: What the rod does.
        sign: Sense of the angle it ends at, + left end forward [-].
        seconds: Likely time, warm.
        cells: What stands in the table, in the order of its rows.
    """

    name: str
    rod: str
    sign: float
    seconds: str
    cells: tuple[str, ...]


def swing(build: Build, swinging: Swinging, *, width: float, system: System = "us", table: bool = True) -> Picture:
    """The blade's swing from above to scale, with the arcs of both ends and what each way takes and brings.

    Args:
        build: The blade.
        swinging: How it swings.
        width: Width of the picture [mm].
        system: Units of the words.
        table: Whether times, speeds and forces of both ways stand below.
    """
    with units.speaking(system):
        return _swing(build, swinging, width=width, table=table)


def _swing(build: Build, swinging: Swinging, *, width: float, table: bool) -> Picture:
    stop = build.assembly.pivots.angle_stop
    left, right = (see(build, "above", Pose(angle=sign * stop)) for sign in (1.0, -1.0))
    arcs = {sign: arc(build, stop, sign=sign) for sign in (1.0, -1.0)}
    points = [p for one in arcs.values() for p in one]
    ys = [y for y, _ in points] + [left.left, left.right, right.left, right.right]
    xs = [x for _, x in points] + [left.low, left.high, right.low, right.high]
    room = width - 2 * _BESIDE
    scale = next((s for s in STANDARD_SCALES if (max(ys) - min(ys)) * MM_PER_M / s <= room), STANDARD_SCALES[-1])
    ways = _ways(swinging)
    foot = 8.0 + (_LINE * (len(ROWS) + 2) + 3.0 if table else 0.0)
    page = Picture(width, foot + (max(xs) - min(xs)) * MM_PER_M / scale + _HEAD + _ARROW)
    view = View(ratio=scale, x=width / 2, y=foot, model_x=(max(ys) + min(ys)) / 2, model_y=min(xs), mirrored=True)
    draw(page, left, view)
    with page.group("other stop", title="the blade at its other stop"):
        for ring in silhouettes(right):
            page.polygon(view.points(ring), pen=GHOST)
    for way in ways:
        _draw_arc(page, view, arcs[way.sign], way)
    _force(page, view, arcs[1.0][-1], stop)
    _pin(page, view, build)
    said = f"{units.say(2 * stop, 'angle')} from stop to stop, scale {view.title}"
    page.text((width / 2, page.height - 4.0), said, size=3.0, anchor="middle")
    if table:
        _table(page, ways, top=foot - 6.0)
    page.text((0.0, 1.0), "Broken: the other stop. F: an end may press so hard, whatever the restrictors.", size=_SIZE)
    return page


def arc(build: Build, stop: float, *, sign: float) -> list[Point]:
    """Places of one end of the edge, from the stop where it is behind to the one where it is ahead.

    Args:
        build: The blade.
        stop: Greatest angle each way [rad].
        sign: + for the left end, - for the right [-].

    Returns:
        To the left and ahead of the mount plate's face [m].
    """
    half, front = build.assembly.width / 2, build.datum.edge_back + build.assembly.facts["edge thickness"]
    found: list[Point] = []
    for angle in np.linspace(-sign * stop, sign * stop, _STEPS):
        moved = motions(build.assembly.pivots, Pose(angle=float(angle)))["moldboard"]
        x, y, _ = apply(moved, (front, sign * half, 0.0))
        found.append((y, x))
    return found


def _draw_arc(page: Picture, view: View, path: Sequence[Point], way: _Way) -> None:
    """The path of one end, with an arrow at its forward stop and the seconds outside its middle."""
    points = [view.at(*p) for p in path]
    with page.group("arc", title=f"{way.name}: {way.seconds}"):
        page.polyline(points, pen=THIN)
        page.arrow(points[-2], points[-1], pen=DIMENSION, shaft=False)
        x, y = points[len(points) // 2]
        outside = (x - 2.0, y) if way.sign > 0 else (x + 2.0, y)
        page.text(outside, way.seconds, size=3.2, weight="bold", anchor="right" if way.sign > 0 else "left", halo=True)


def _force(page: Picture, view: View, tip: Point, stop: float) -> None:
    """Where the end that goes forward presses, square to the blade's face."""
    start = view.at(*tip)
    ux, uy = sin(stop), cos(stop)  # the face's normal on the page, the left end forward
    end = (start[0] + _ARROW * ux, start[1] + _ARROW * uy)
    back = (end[0] - 3.2 * ux, end[1] - 3.2 * uy)
    head = (end, (back[0] - 1.1 * uy, back[1] + 1.1 * ux), (back[0] + 1.1 * uy, back[1] - 1.1 * ux))
    with page.group("force", title="force at the blade's end"):
        page.line(start, back, pen=ACCENT)
        page.polygon(head, pen=None, fill="accent")
        page.text((end[0] + 1.5, end[1] - 1.0), "F", size=3.2, weight="bold", halo=True)


def _pin(page: Picture, view: View, build: Build) -> None:
    x, y, _ = build.assembly.pivots.king_pin
    at = view.at(y, x)
    page.line((at[0] - 4.0, at[1]), (at[0] + 4.0, at[1]), pen=CENTRE)
    page.line((at[0], at[1] - 4.0), (at[0], at[1] + 4.0), pen=CENTRE)


def _in_order(swinging: Swinging) -> tuple[OneWay, OneWay]:
    """Both ways, the one that brings the left end forward first."""
    first, second = sorted(swinging.by_way.values(), key=lambda one: one.says != LEFT)
    return first, second


def _ways(swinging: Swinging) -> tuple[_Way, _Way]:
    first, second = (
        _Way(
            name=one.says,
            rod=f"rod {one.way}",
            sign=1.0 if one.says == LEFT else -1.0,
            seconds=seconds(one.time.likely),
            cells=(
                span_said(one.time, seconds),
                span_said(Span(low=one.band.first, likely=one.band.first, high=one.band.high), seconds),
                span_said(one.end_speed, end_speed),
                span_said(one.energy, joules),
                one.stall.said("force"),
            ),
        )
        for one in _in_order(swinging)
    )
    return first, second


def _table(page: Picture, ways: tuple[_Way, _Way], *, top: float) -> None:
    """Both ways under the ends they bring forward."""
    names = max(fonts.text_width(n, size=_SIZE) for n in ROWS) + 4.0
    column = (page.width - names) / 2
    for number, way in enumerate(ways):
        x = names + column * (number + 0.5)
        page.text((x, top), way.name, size=_SIZE, weight="bold", anchor="middle")
        page.text((x, top - _LINE), way.rod, size=_SIZE, anchor="middle")
        for row, cell in enumerate(way.cells):
            page.text((x, top - _LINE * (row + 2)), cell, size=_SIZE, anchor="middle")
    for row, name in enumerate(ROWS):
        page.text((0.0, top - _LINE * (row + 2)), name, size=_SIZE)


def times(swinging: Swinging, *, width: float) -> Picture:
    """Seconds each way on the shop's test pack, and on the carrier with warm oil, on one scale.

    Args:
        swinging: How the blade swings.
        width: Width of the picture [mm].
    """
    carrier = "" if swinging.carrier is None else swinging.carrier.name
    rows: list[charts.Range] = []
    for one in _in_order(swinging):
        found: list[tuple[str, Span, charts.RangeKind]] = [("test pack", swinging.on_pack.of(one.way), "caps")]
        if swinging.on_carrier is not None:
            found.append((carrier, swinging.on_carrier.of(one.way), "stands"))
        rows += [
            charts.Range(
                name=f"{one.says}, {name}", low=span.low, high=span.high, says=span_said(span, seconds), kind=kind
            )
            for name, span, kind in found
        ]
    return charts.ranges(width=width, scale="seconds from stop to stop, warm oil", rows=rows)


_RIGHT_ORDER: Final = ("cylinder", "crossover relief", "restrictors", "hoses", "couplers")
_WRONG_ORDER: Final = ("cylinder", "restrictors", "crossover relief", "hoses", "couplers")


def order(swinging: Swinging, *, width: float) -> Picture:
    """What sits where between cylinder and carrier, and whether the relief can help there.

    Args:
        swinging: How the blade swings.
        width: Width of the picture [mm].
    """
    right = swinging.order == "relief at the cylinder"
    names = _RIGHT_ORDER if right else _WRONG_ORDER
    page = Picture(width, 21.0)
    gap, tall, foot = 5.0, 9.0, 9.0
    spare = width - gap * (len(names) - 1)
    wants = [fonts.text_width(n, size=_SIZE, weight="bold") + 4.0 for n in names]
    factor = max(spare / sum(wants), 1.0)
    x = 0.0
    for number, (name, want) in enumerate(zip(names, wants, strict=True)):
        wide = want * factor
        with page.group("sits", title=name):
            page.rectangle(x, foot, wide, tall, pen=THIN, fill="tint" if name == "crossover relief" else "paper")
            page.text((x + wide / 2, foot + tall / 2), name, size=_SIZE, weight="bold", anchor="middle", stand="centre")
        if number < len(names) - 1:
            for level in (foot + 0.3 * tall, foot + 0.7 * tall):
                page.line((x + wide, level), (x + wide + gap, level), pen=THIN)
        x += wide + gap
    words = (
        "the relief sees the cylinder's own pressure: right"
        if right
        else "fails: a restrictor between cylinder and relief makes the relief useless"
    )
    page.text((0.0, 3.0), words, size=_SIZE, weight="regular" if right else "bold", colour="ink" if right else "fails")
    return page
