"""A blade looked at along one of its axes: what each part covers, in which order, and which lines stay in sight."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, Literal

import shapely

from plowwright.blade.build import Build
from plowwright.blade.parts import Part
from plowwright.blade.poses import REST, Matrix, Pose, apply, drawn_out, turn
from plowwright.blade.shapes import Vec
from plowwright.papers.outlines import Point, outlines
from plowwright.physics.regions import flatten

ViewName = Literal["front", "side", "back", "above"]
# Axis across, axis up, axis looked along and the sense in which nearer parts have the greater coordinate.
AXES: dict[ViewName, tuple[int, int, int, float]] = {
    "front": (1, 2, 0, 1.0),
    "side": (0, 2, 1, 1.0),
    "back": (1, 2, 0, -1.0),
    "above": (1, 0, 2, 1.0),
}
_END_ON = 0.9999
_HOLE_CHORD = 5e-4
_SPECK = 5e-4
"""Lines and gaps shorter than this are rounding, not metal [m]."""
_GRAIN = 1e-5
_LARGE = 0.2
"""Rectangles smaller than this hide too little to be looked at [m2]."""


@dataclass(frozen=True, kw_only=True)
class Seen:
    """One view: outlines from the farthest part to the nearest, and what they span.

    Attributes:
        name: Which view.
        shapes: Parts with their outlines, farthest first [m].
        holes: Holes that are looked through, by part id [m].
        left: Least coordinate across [m].
        right: Greatest coordinate across [m].
        low: Least coordinate up [m].
        high: Greatest coordinate up [m].
    """

    name: ViewName
    shapes: tuple[tuple[Part, list[list[Point]]], ...]
    holes: dict[str, list[list[Point]]]
    left: float
    right: float
    low: float
    high: float

    @property
    def upright(self) -> bool:
        """Whether the picture's height is the blade's, so that it stands on the ground."""
        return AXES[self.name][1] == 2


def see(build: Build, name: ViewName, pose: Pose | None = None) -> Seen:
    """Look at a blade.

    From the front the reader faces the blade and its left end is at his right; from behind and from above its left end
    is at his left; the side view is its left side, with the front at the reader's right.

    Args:
        build: The blade.
        name: From where.
        pose: How it stands; at rest when left out.
    """
    return _seen(build, name, pose, _centres(build))


def see_all(build: Build) -> tuple[Seen, Seen, Seen, Seen]:
    """The blade from the front, from its left side and from behind, and from above at full angle.

    Args:
        build: The blade.
    """
    centres = _centres(build)
    front = _seen(build, "front", None, centres)
    # Whoever stands behind sees the same outlines, the farthest of the front nearest.
    back = replace(front, name="back", shapes=front.shapes[::-1])
    full = Pose(angle=build.assembly.pivots.angle_stop)
    return front, _seen(build, "side", None, centres), back, _seen(build, "above", full, centres)


def _centres(build: Build) -> list[tuple[Part, Vec]]:
    """Every part that stays on the blade, with its centre of gravity at rest."""
    return [(part, part.centroid()) for part in build.parts if part.body != "loose"]


def _seen(build: Build, name: ViewName, pose: Pose | None, centres: list[tuple[Part, Vec]]) -> Seen:
    across, up, along, toward = AXES[name]
    motion = drawn_out(build.assembly, pose) if pose else lambda _: REST
    rows: list[tuple[float, Part, list[list[Point]]]] = []
    holes: dict[str, list[list[Point]]] = {}
    for part, centre in centres:
        moved = motion(part)
        if along == 0 and part.kind == "rolled":
            # The skin rolls forward over the edge, which still lies in front of the skin's foot.
            centre = (build.datum.edge_back - 0.001, centre[1], centre[2])  # noqa: PLW2901
        rows.append((toward * apply(moved, centre)[along], part, outlines(part, across=across, up=up, motion=moved)))
        if through := _through(part, across, up, moved):
            holes[part.id] = through
    rows.sort(key=lambda row: row[0])
    points = [point for _, _, shapes in rows for shape in shapes for point in shape]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    low = 0.0 if up == 2 else min(ys)
    shapes = tuple((p, s) for _, p, s in rows)
    return Seen(name=name, shapes=shapes, holes=holes, left=min(xs), right=max(xs), low=low, high=max(ys))


def _through(part: Part, across: int, up: int, motion: Matrix) -> list[list[Point]]:
    """Holes of the solids that are seen end-on."""
    found: list[list[Point]] = []
    for solid in part.solids:
        if not solid.region.inner:
            continue
        place = solid.place or part.place
        if abs(turn(motion, place.w)[3 - across - up]) <= _END_ON:
            continue
        a, b = turn(motion, place.u), turn(motion, place.v)
        o = apply(motion, place.point(0.0, 0.0, solid.start))
        for loop in solid.region.inner:
            ring = flatten(loop, _HOLE_CHORD)
            found.append([(o[across] + u * a[across] + v * b[across], o[up] + u * a[up] + v * b[up]) for u, v in ring])
    return found


def without_covered(seen: Seen) -> Seen:
    """The view without the parts that lie wholly behind one nearer upright rectangle, as the skin is from the front.

    Args:
        seen: The view.
    """
    sheets: list[tuple[float, float, float, float]] = []
    kept: list[tuple[Part, list[list[Point]]]] = []
    for part, shapes in reversed(seen.shapes):
        xs = [p[0] for shape in shapes for p in shape]
        ys = [p[1] for shape in shapes for p in shape]
        left, right, low, high = min(xs), max(xs), min(ys), max(ys)
        if any(a <= left and right <= b and c <= low and high <= d for a, b, c, d in sheets):
            continue
        kept.append((part, shapes))
        area = (right - left) * (high - low)
        if area > _LARGE and len(shapes) == 1 and len(xs) == 4 and abs(_area(shapes[0])) > 0.9999 * area:
            sheets.append((left, right, low, high))
    return replace(seen, shapes=tuple(kept[::-1]))


def _area(ring: list[Point]) -> float:
    return 0.5 * sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, [*ring[1:], ring[0]], strict=True))


def in_sight(seen: Seen) -> list[tuple[Part, list[list[Point]]]]:
    """The lines of each part that no nearer part covers, for formats that cannot fill an outline.

    Args:
        seen: The view.

    Returns:
        Parts with their lines, nearest first; a part that is wholly covered is left out [m].
    """
    covered: Any = shapely.Polygon()
    found: list[tuple[Part, list[list[Point]]]] = []
    for part, shapes in reversed(seen.shapes):
        lines: list[list[Point]] = []
        holes = seen.holes.get(part.id, [])
        for shape in reversed(shapes):
            sheet = _areas(shapely.make_valid(shapely.Polygon(shape)))
            if holes:
                sheet = sheet.difference(shapely.union_all([shapely.Polygon(h) for h in holes]))
            # Whole grains of a hundredth of a millimetre: edges that lie on each other cover each other.
            sheet = _areas(shapely.set_precision(sheet, _GRAIN))
            if sheet.is_empty or sheet.area <= 0.0:
                continue
            seen_lines = sheet.boundary.difference(covered)
            lines += [run for run in _runs(seen_lines) if shapely.LineString(run).length > _SPECK]
            covered = _areas(shapely.union(covered, sheet, grid_size=_GRAIN))
        if lines:
            found.append((part, lines))
    return found


def _areas(shape: Any) -> Any:
    """A shape without the stray lines and points that mending and rounding may leave beside its areas."""
    if shape.geom_type in ("Polygon", "MultiPolygon"):
        return shape
    return shapely.union_all([piece for piece in shapely.get_parts(shape) if piece.geom_type.endswith("Polygon")])


def _runs(lines: Any) -> list[list[Point]]:
    """Runs of points of whatever lines a difference left."""
    if lines.is_empty:
        return []
    merged = shapely.line_merge(lines) if lines.geom_type != "LineString" else lines
    pieces = shapely.get_parts(merged)
    return [
        [(float(x), float(y)) for x, y in piece.coords]
        for piece in pieces
        if piece.geom_type in ("LineString", "LinearRing")
    ]
