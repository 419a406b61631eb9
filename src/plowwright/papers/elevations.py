"""Elevations of a blade drawn from its parts: front, side, back, and from above at full angle, to scale."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import Literal

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.parts import Part, Pinned
from plowwright.blade.poses import Pose, apply, clear_width, motions
from plowwright.papers.drawing import Picture
from plowwright.papers.marks import DIMENSION, GROUND, THIN, Group, Outlines
from plowwright.papers.outlines import Point, fill_of
from plowwright.papers.projection import Seen, ViewName, in_sight, see, see_all, without_covered
from plowwright.papers.views import MM_PER_M, STANDARD_SCALES, View

System = Literal["us", "metric"]
_HEADS: dict[ViewName, str] = {
    "front": "from the front",
    "side": "from the left",
    "back": "from behind",
    "above": "from above, at full angle",
}
_TEXT = 2.8
_ROW = 7.0
"""From one row of dimensions to the next [mm]."""
_GAP, _EDGE, _HEAD = 27.0, 9.0, 9.0
"""Between the columns, at the sheet's edges, and for the words over a view [mm]."""
_BELOW: dict[ViewName, float] = {"front": 2 * _ROW + 3, "side": 3 * _ROW + 3, "back": 15.0, "above": _ROW + 3}
_OVER: dict[ViewName, float] = {"front": 0.0, "side": 0.0, "back": 13.0, "above": 7.0}
_FOOT = 8.0


def draw(page: Picture, seen: Seen, view: View) -> None:
    """Put a view on the page: each part a filled outline in a group of its own, nearer ones over farther ones.

    Args:
        page: The picture.
        seen: The view.
        view: Its place and scale on the page.
    """
    start, step = view.at(0.0, 0.0), view.step()
    for part, shapes in seen.shapes:
        marks = [Outlines(rings=shapes, start=start, step=step, pen=THIN, fill=fill_of(part))]
        if part.id in seen.holes:
            marks.append(Outlines(rings=seen.holes[part.id], start=start, step=step, pen=THIN))
        page.add(Group(name=part.id, part=part.id, title=part.name, marks=tuple(marks)))
    _ground(page, seen, view)


def draw_lines(page: Picture, seen: Seen, view: View) -> None:
    """The same with lines alone, hidden ones left out, for formats that cannot fill an outline.

    Args:
        page: The picture.
        seen: The view.
        view: Its place and scale on the page.
    """
    for part, runs in in_sight(seen):
        with page.group(part.id, part=part.id, title=part.name):
            for run in runs:
                page.polyline(view.points(run), pen=THIN)
    _ground(page, seen, view)


def _ground(page: Picture, seen: Seen, view: View) -> None:
    if seen.upright:
        a, b = view.at(seen.left, 0.0), view.at(seen.right, 0.0)
        page.line((min(a[0], b[0]) - 3, a[1]), (max(a[0], b[0]) + 3, a[1]), pen=GROUND)


def four_views(build: Build, *, width: float, system: System) -> tuple[Picture, float]:
    """Front and side above, back and full angle below, at one standard scale, dimensioned.

    Args:
        build: The blade.
        width: Room across the sheet [mm].
        system: US or metric dimensions.

    Returns:
        The picture and its scale (12 for 1:12).
    """
    front, side, back, above = see_all(build)
    first, second = front.right - front.left, max(side.right - side.left, above.right - above.left)
    room = width - _GAP - 2 * _EDGE
    scale = next((s for s in STANDARD_SCALES if (first + second) * MM_PER_M / s <= room), STANDARD_SCALES[-1])
    page, spots = _laid_out((front, side, back, above), scale=scale, width=width)
    # From the front the skin hides nearly all: left out, not painted over.
    for seen in (without_covered(front), side, back, above):
        draw(page, seen, spots[seen.name])
    _annotate(page, build, (front, side, back, above), spots, system)
    return page, float(scale)


def drawn_in_lines(build: Build, *, system: System) -> tuple[Picture, View]:
    """The four views in lines alone, hidden ones left out, dimensioned: for a drawing at true size.

    Args:
        build: The blade.
        system: US or metric dimensions.

    Returns:
        The picture at 1:10, and the view from the front, whose origin is the middle of the edge's tip.
    """
    front, side, back, above = see_all(build)
    across = front.right - front.left + max(side.right - side.left, above.right - above.left)
    views = (front, side, back, above)
    page, spots = _laid_out(views, scale=10, width=across * MM_PER_M / 10 + _GAP + 2 * _EDGE)
    for seen in views:
        draw_lines(page, seen, spots[seen.name])
    _annotate(page, build, views, spots, system)
    return page, spots["front"]


def _laid_out(
    views: tuple[Seen, Seen, Seen, Seen], *, scale: int, width: float
) -> tuple[Picture, dict[ViewName, View]]:
    """An empty page high enough for the two columns, and where each view stands on it."""
    front, side, back, above = views
    mm = MM_PER_M / scale
    top = max(front.high, side.high) * mm
    left_column = _BELOW["front"] + _HEAD + _OVER["back"] + back.high * mm + _BELOW["back"] + _FOOT
    right_column = _BELOW["side"] + _HEAD + _OVER["above"] + (above.high - above.low) * mm + _BELOW["above"]
    upper = max(left_column, right_column)
    page = Picture(width, upper + top + _HEAD)
    right = _EDGE + (front.right - front.left) * mm + _GAP
    back_y = upper - _BELOW["front"] - _HEAD - _OVER["back"] - back.high * mm
    above_y = upper - _BELOW["side"] - _HEAD - _OVER["above"] - (above.high - above.low) * mm
    return page, {
        "front": View(ratio=scale, x=_EDGE, y=upper, model_x=front.left),
        "side": View(ratio=scale, x=right, y=upper, model_x=side.right, mirrored=True),
        "back": View(ratio=scale, x=_EDGE, y=back_y, model_x=back.right, mirrored=True),
        "above": View(ratio=scale, x=right, y=above_y, model_x=above.right, model_y=above.low, mirrored=True),
    }


def _annotate(
    page: Picture, build: Build, views: tuple[Seen, Seen, Seen, Seen], spots: dict[ViewName, View], system: System
) -> None:
    """Heads, dimensions and scale, all measured from the parts."""
    _, side, back, above = views
    for seen in views:
        view = spots[seen.name]
        over = _OVER[seen.name]
        x = (view.at(seen.left, 0.0)[0] + view.at(seen.right, 0.0)[0]) / 2
        page.text((x, view.at(0.0, seen.high)[1] + over + 4.5), _HEADS[seen.name], size=3.2, anchor="middle")
    _dimension_front(page, build, spots["front"], system)
    _dimension_side(page, build, spots["side"], side, system)
    _dimension_back(page, build, spots["back"], back, system)
    _dimension_above(page, build, spots["above"], above, system)
    _scale_bar(page, spots["front"], system)


def _said(length: float, system: System) -> str:
    return units.say(length, "length", system=system)


def _span(seen: Seen, part: Part) -> tuple[float, float, float, float]:
    """Least and greatest coordinates of a part in a view: left, low, right, high [m]."""
    points = [p for other, shapes in seen.shapes if other is part for shape in shapes for p in shape]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)


def _mount_plate(build: Build) -> Part:
    plates = [p for p in build.parts if p.body == "mount" and p.kind == "plate"]
    return max(plates, key=lambda p: p.width * p.length)


def _dimension_front(page: Picture, build: Build, view: View, system: System) -> None:
    half, facts = build.assembly.width / 2, build.assembly.facts
    page.dimension(
        view.at(-half, 0), view.at(half, 0), text=_said(2 * half, system), offset=-2 * _ROW, along="horizontal",
        size=_TEXT,
    )  # fmt: skip
    body, tall = facts["body height"], facts["edge height"]
    page.dimension(
        view.at(-half, 0), view.at(-half, body), text=_said(body, system), offset=6, along="vertical", size=_TEXT
    )
    page.dimension(
        view.at(half, 0), view.at(half, tall), text=f"{_said(tall, system)} edge", offset=-6, along="vertical",
        size=_TEXT,
    )  # fmt: skip
    edge = build.assembly.part("cutting edge")
    places = sorted(edge.place.point(h.along, h.across, 0.0)[1] for h in edge.holes)
    if not places:
        return
    ends = [(-half, places[0]), (places[-1], half)]
    alike = abs((places[0] + half) - (half - places[-1])) < 1e-6
    for a, b in ends[:1] if alike else ends:
        text = f"{_said(b - a, system)} to the end hole" + (", both ends" if alike else "")
        page.dimension(view.at(a, 0), view.at(b, 0), text=text, offset=-_ROW, along="horizontal", size=_TEXT)


def _dimension_side(page: Picture, build: Build, view: View, side: Seen, system: System) -> None:
    hinge, _, z = build.assembly.pivots.hinge
    pin = build.assembly.pivots.king_pin[0]
    runs = [(pin, hinge, "frame "), (0.0, hinge, ""), (side.left, side.right, "")]
    for row, (a, b, words) in enumerate(runs, 1):
        text = words + _said(b - a, system)
        page.dimension(view.at(a, 0), view.at(b, 0), text=text, offset=-row * _ROW, along="horizontal", size=_TEXT)
    page.dimension(
        view.at(side.right, 0), view.at(side.right, z), text=f"{_said(z, system)} hinge", offset=6, along="vertical",
        size=_TEXT,
    )  # fmt: skip
    left, low, _, high = _span(side, _mount_plate(build))
    page.dimension(
        view.at(min(left, side.left), low), view.at(min(left, side.left), high), text=_said(high - low, system),
        offset=-6, along="vertical", size=_TEXT,
    )  # fmt: skip


def _dimension_back(page: Picture, build: Build, view: View, back: Seen, system: System) -> None:
    """Webs below and hinge pins above, both from the left end of the edge."""
    half, size = build.assembly.width / 2, 2.6

    def said(length: float) -> str:
        return units.tape(length, unit=False) if system == "us" else f"{length * MM_PER_M:.0f}"

    webs = [p.centroid()[1] for p in build.parts if p.mark == "web"]
    hinge = build.assembly.pivots.hinge
    pins = [
        j.position[1]
        for j in build.assembly.joints
        if isinstance(j, Pinned) and abs(j.axis[1]) > 0.5 and abs(j.position[0] - hinge[0]) < 1e-3
    ]
    for what, places, z, away in (("webs", webs, 0.0, -5.0), ("hinge pins", pins, back.high, 5.0)):
        ordered = sorted(places, reverse=True)
        if not ordered:
            continue
        row = view.at(half, z)[1] + away
        texts = [said(half - y) for y in ordered]
        page.running(view.at(half, z), [view.at(y, z) for y in ordered], texts=texts, row=row, size=size)
        last = view.at(ordered[-1], z)[0]
        page.text((last + 1.2 * size, row + (2.0 if away > 0 else -4.0)), what, size=size, pen=DIMENSION)


def _dimension_above(page: Picture, build: Build, view: View, above: Seen, system: System) -> None:
    stop = build.assembly.pivots.angle_stop
    moved = motions(build.assembly.pivots, Pose(angle=stop))["moldboard"]
    half, front = build.assembly.width / 2, build.datum.edge_back + build.assembly.facts["edge thickness"]
    ends = [apply(moved, (front, y, 0.0)) for y in (half, -half)]
    clear = _said(clear_width(build.assembly.width, stop), system)
    right, _, left, _ = _span(above, _mount_plate(build))
    page.dimension(
        view.at(left, above.low), view.at(right, above.low), text=f"mount plate {_said(left - right, system)}",
        offset=-_ROW, along="horizontal", size=_TEXT,
    )  # fmt: skip
    a, b = (view.at(end[1], end[0]) for end in ends)
    page.dimension(
        a, b, text=f"clears {clear} at {units.say(stop, 'angle')}", along="horizontal", size=_TEXT,
        offset=view.at(0.0, above.high)[1] - max(a[1], b[1]) + 3.0,
    )  # fmt: skip


def _scale_bar(page: Picture, view: View, system: System) -> None:
    """A bar that shrinks and grows with the sheet, so that a copy can still be measured."""
    piece, words = (0.3048, "2 ft") if system == "us" else (0.25, "0.5 m")
    long, x, y = view.length(piece), _EDGE, 2.5
    with page.group("scale", title=f"scale {view.title}"):
        page.rectangle(x, y, long, 1.2, pen=THIN, fill="ink")
        page.rectangle(x + long, y, long, 1.2, pen=THIN, fill="paper")
        page.text((x + 2 * long + 2.0, y - 0.4), f"{words}; scale {view.title}", size=_TEXT)


def picture_of(build: Build, name: ViewName, *, width: float, height: float = math.inf) -> Picture:
    """One plain view without dimensions, as a quote shows it.

    Args:
        build: The blade.
        name: From where.
        width: Room across the sheet [mm].
        height: Room up the sheet [mm].
    """
    seen = see(build, name)
    across, up = (seen.right - seen.left) * MM_PER_M, (seen.high - seen.low) * MM_PER_M
    scale = next(
        (s for s in STANDARD_SCALES if across / s + 8 <= width and up / s + 5 <= height), STANDARD_SCALES[-1]
    )
    mirrored = name != "front"
    start = seen.right if mirrored else seen.left
    mm = MM_PER_M / scale
    page = Picture(width, (seen.high - seen.low) * mm + 5)
    left = (width - (seen.right - seen.left) * mm) / 2
    draw(page, seen, View(ratio=scale, x=left, y=2.5, model_x=start, model_y=seen.low, mirrored=mirrored))
    return page


def edge_sheet(build: Build, *, width: float, system: System) -> Picture:
    """The edge from its front with running dimensions from its left end, and the gaps below.

    Args:
        build: The blade.
        width: Room across the sheet [mm].
        system: US or metric dimensions.
    """
    edge = build.assembly.part("cutting edge")
    scale = next((s for s in STANDARD_SCALES if edge.length * MM_PER_M / s + 24 <= width), STANDARD_SCALES[-1])
    mm = MM_PER_M / scale
    page = Picture(width, edge.width * mm + 52)
    view = View(ratio=scale, x=(width - edge.length * mm) / 2, y=24)

    def said(length: float) -> str:
        return units.say(length, "length", system=system, style="tape")

    page.polygon(view.points(edge.solids[0].region.outer), fill="paper")
    for loop in edge.solids[0].region.inner:
        page.polygon(view.points(loop), fill="ink")
    places = [h.along for h in edge.holes]
    line = edge.holes[0].across
    points: Sequence[Point] = [view.at(p, line) for p in places]
    page.running(
        view.at(0, line), [*points, view.at(edge.length, line)], texts=[said(p) for p in [*places, edge.length]],
        row=view.y + edge.width * mm + 5, size=3.0,
    )  # fmt: skip
    ends = [0.0, *places, edge.length]
    for a, b in itertools.pairwise(ends):
        page.text(
            (view.at((a + b) / 2, 0)[0], view.y - 6),
            units.tape(b - a, unit=False) if system == "us" else f"{(b - a) * 1000:.0f}",
            size=2.8,
            anchor="middle",
        )
    page.text((view.x, view.y - 12), f"gaps; scale 1:{scale:g}; left end as you face the front of the edge", size=3.0)
    return page
