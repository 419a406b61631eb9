"""Elevations of a blade drawn from its parts: front, side, back, and from above at full angle, to scale."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.parts import Part
from plowwright.blade.poses import Pose, clear_width, mover
from plowwright.papers.drawing import Picture
from plowwright.papers.marks import GROUND, THIN
from plowwright.papers.outlines import Point, fill_of, outlines
from plowwright.papers.views import MM_PER_M, STANDARD_SCALES, View

System = Literal["us", "metric"]
ViewName = Literal["front", "side", "back", "above"]
# Axis across, axis up, axis looked along and the sense in which nearer parts have the greater coordinate.
_AXES: dict[ViewName, tuple[int, int, int, float]] = {
    "front": (1, 2, 0, 1.0),
    "side": (0, 2, 1, 1.0),
    "back": (1, 2, 0, -1.0),
    "above": (1, 0, 2, 1.0),
}
_HEADS: dict[ViewName, str] = {
    "front": "from the front",
    "side": "from the left",
    "back": "from behind",
    "above": "from above, at full angle",
}
_TEXT = 2.8


@dataclass(frozen=True, kw_only=True)
class Seen:
    """One view: outlines from the farthest part to the nearest, and what they span.

    Attributes:
        name: Which view.
        shapes: Parts with their outlines, farthest first [m].
        left: Least coordinate across [m].
        right: Greatest coordinate across [m].
        low: Least coordinate up [m].
        high: Greatest coordinate up [m].
    """

    name: ViewName
    shapes: tuple[tuple[Part, list[list[Point]]], ...]
    left: float
    right: float
    low: float
    high: float


def see(build: Build, name: ViewName, pose: Pose | None = None) -> Seen:
    """Look at a blade.

    Args:
        build: The blade.
        name: From where.
        pose: How it stands; at rest when left out.
    """
    across, up, along, toward = _AXES[name]
    motion = mover(build.assembly, pose or Pose())
    rows: list[tuple[float, Part, list[list[Point]]]] = []
    for part in build.parts:
        if part.body == "loose":
            continue
        moved = motion(part)
        centre = part.centroid()
        x, y, z, o = moved
        if along == 0 and part.kind == "rolled":
            # The skin rolls forward over the edge, which still lies in front of the skin's foot.
            centre = (build.datum.edge_back - 0.001, centre[1], centre[2])
        depth = x[along] * centre[0] + y[along] * centre[1] + z[along] * centre[2] + o[along]
        rows.append((toward * depth, part, outlines(part, across=across, up=up, motion=moved)))
    rows.sort(key=lambda row: row[0])
    points = [point for _, _, shapes in rows for shape in shapes for point in shape]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    low = 0.0 if up == 2 else min(ys)
    return Seen(name=name, shapes=tuple((p, s) for _, p, s in rows), left=min(xs), right=max(xs), low=low, high=max(ys))


def draw(page: Picture, seen: Seen, view: View) -> None:
    """Put a view on the page: each part a filled outline in a group of its own, nearer ones over farther ones.

    Args:
        page: The picture.
        seen: The view.
        view: Its place and scale on the page.
    """
    for part, shapes in seen.shapes:
        with page.group(part.id, part=part.id, title=part.name):
            for shape in shapes:
                page.polygon(view.points(shape), pen=THIN, fill=fill_of(part))
    if _AXES[seen.name][1] == 2:
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
    front, side, back = (see(build, name) for name in ("front", "side", "back"))
    above = see(build, "above", Pose(angle=build.assembly.pivots.angle_stop))
    gap, edge = 20.0, 9.0
    first = max(front.right - front.left, back.right - back.left)
    second = max(side.right - side.left, above.right - above.left)
    scale = next(
        (s for s in STANDARD_SCALES if (first + second) * MM_PER_M / s + gap + 2 * edge <= width), STANDARD_SCALES[-1]
    )
    mm = MM_PER_M / scale
    lower_high = max(back.high, above.high - above.low) * mm
    lower, upper = 10.0, 10.0 + lower_high + 26.0
    page = Picture(width, upper + max(front.high, side.high) * mm + 9.0)
    right = edge + first * mm + gap
    spots = {
        "front": View(ratio=scale, x=edge, y=upper, model_x=front.right, mirrored=True),
        "side": View(ratio=scale, x=right, y=upper, model_x=side.left),
        "back": View(ratio=scale, x=edge, y=lower, model_x=back.left),
        "above": View(ratio=scale, x=right, y=lower, model_x=above.right, model_y=above.low, mirrored=True),
    }
    for seen in (front, side, back, above):
        view = spots[seen.name]
        draw(page, seen, view)
        head = view.y + (seen.high - seen.low) * mm + 4.5
        page.text((view.x + (seen.right - seen.left) * mm / 2, head), _HEADS[seen.name], size=3.2, anchor="middle")
    _dimension(page, build, spots["front"], spots["side"], side, system)
    _dimension_above(page, build, spots["above"], above, system)
    return page, float(scale)


def _dimension(page: Picture, build: Build, front: View, side: View, deep: Seen, system: System) -> None:
    half, facts = build.assembly.width / 2, build.assembly.facts

    def said(length: float) -> str:
        return units.say(length, "length", system=system)

    page.dimension(
        front.at(half, 0), front.at(-half, 0), text=said(2 * half), offset=-7, along="horizontal", size=_TEXT
    )
    body = facts["body height"]
    page.dimension(front.at(half, 0), front.at(half, body), text=said(body), offset=6, along="vertical", size=_TEXT)
    x, _, z = build.assembly.pivots.hinge
    page.dimension(side.at(0, 0), side.at(x, 0), text=said(x), offset=-7, along="horizontal", size=_TEXT)
    over = deep.right
    page.dimension(
        side.at(deep.left, 0), side.at(over, 0), text=said(over - deep.left), offset=-14, along="horizontal", size=_TEXT
    )
    page.dimension(side.at(over, 0), side.at(over, z), text=f"{said(z)} hinge", offset=-6, along="vertical", size=_TEXT)


def _dimension_above(page: Picture, build: Build, view: View, above: Seen, system: System) -> None:
    stop = build.assembly.pivots.angle_stop
    clear = units.say(clear_width(build.assembly.width, stop), "length", system=system)
    edge = next(shapes for part, shapes in above.shapes if part.id == "cutting edge")
    ys = [p[0] for shape in edge for p in shape]
    left, right = view.at(max(ys), above.low), view.at(min(ys), above.low)
    page.dimension(
        left, right, text=f"clears {clear} at {units.say(stop, 'angle')}", offset=-6, along="horizontal", size=_TEXT
    )


def picture_of(build: Build, name: ViewName, *, width: float) -> Picture:
    """One plain view without dimensions, as a quote shows it.

    Args:
        build: The blade.
        name: From where.
        width: Room across the sheet [mm].
    """
    seen = see(build, name)
    scale = next(
        (s for s in STANDARD_SCALES if (seen.right - seen.left) * MM_PER_M / s + 8 <= width), STANDARD_SCALES[-1]
    )
    mirrored = name == "front"
    start = seen.right if mirrored else seen.left
    mm = MM_PER_M / scale
    page = Picture(width, (seen.high - seen.low) * mm + 5)
    left = (width - (seen.right - seen.left) * mm) / 2
    draw(page, seen, View(ratio=scale, x=left, y=2.5, model_x=start, mirrored=mirrored))
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


def front_alone(build: Build) -> tuple[Picture, View]:
    """The front elevation with its view, for a drawing at true size.

    Args:
        build: The blade.
    """
    seen = see(build, "front")
    mm = MM_PER_M / 10
    page = Picture((seen.right - seen.left) * mm + 20, (seen.high - seen.low) * mm + 20)
    view = View(ratio=10, x=10, y=10, model_x=seen.right, mirrored=True)
    draw(page, seen, view)
    return page, view
