"""Shapes for the nester: outlines grown by half the gap, turned, and where one may not lie beside another.

Arcs become polygons that hold the metal inside them. Every shape is grown by half the gap, so two grown shapes that
touch are pieces that keep it; a hair is left off so that what fits exactly still fits.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import acos, atan, atan2, ceil, cos, hypot, pi, sin, tan
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon, affinity

from plowwright.physics.regions import Loop
from plowwright.shop.nesting_model import Outline

HAIR = 4e-6
"""How much less than half the gap a shape is grown by; a torch does not hold it [m]."""
CHORD = 3e-4
"""Greatest distance between an arc and its polygon, which lies on the side without metal [m]."""
HOLLOW = 8e-4
"""The same where the arc is hollow: coarser, for every corner of a hollow costs time [m]."""
COARSE = 3e-4
"""How much more an outline of many sides is grown, to have fewer [m]."""
_MANY = 90
_SPECK = 1e-9
_NARROW = 1e-5
_MITRE = 1.5
"""How far from a corner a grown one may reach, in half gaps; a right corner takes 1.414 [-]."""
Floats = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Posed:
    """A grown shape at one angle, its least x and y at zero.

    Attributes:
        key: Same for the same shape at an angle that looks the same.
        base: Same for all angles of one shape.
        turn: Angle [rad].
        polygon: The grown shape [m].
        length: Extent along x [m].
        width: Extent along y [m].
        origin: Where the outline's own origin lies [m].
        area: Area of the grown shape [m2].
    """

    key: int
    base: int
    turn: float
    polygon: Polygon
    length: float
    width: float
    origin: tuple[float, float]
    area: float


class Shapes:
    """The shapes of one stock and what is known about pairs of them; it learns as it is asked."""

    def __init__(self, *, gap: float) -> None:
        """No shapes yet.

        Args:
            gap: Least distance between two pieces [m].
        """
        self.gap = gap
        self._posed: list[Posed] = []
        self._parts: list[list[Floats]] = []
        self._beside: dict[tuple[int, int, float], Any] = {}
        self._apart: dict[tuple[int, int], Any] = {}
        self._known: dict[object, tuple[Posed, ...]] = {}

    def of(self, outline: Outline, turns: Sequence[float], *, least_hole: float) -> tuple[Posed, ...]:
        """An outline at each of its angles, each look once.

        Args:
            outline: The piece.
            turns: Angles it may lie at [rad].
            least_hole: Openings narrower than this take no piece and count as metal [m].
        """
        known = (outline.outer, outline.inner, tuple(turns), least_hole)
        if known not in self._known:
            self._known[known] = self.poses(self._grown(outline, least_hole), turns)
        return self._known[known]

    def poses(self, shape: Polygon, turns: Iterable[float]) -> tuple[Posed, ...]:
        """A grown shape at each of its angles, each look once.

        Args:
            shape: The shape, grown already [m].
            turns: Angles it may lie at [rad].
        """
        self._parts.append(convex_parts(shape))
        found: dict[int, Posed] = {}
        for turn in turns:
            posed = self._pose(shape, turn)
            found.setdefault(posed.key, posed)
        return tuple(found.values())

    def _grown(self, outline: Outline, least_hole: float) -> Polygon:
        sampled = [metal_inside(loop, opening=True) for loop in outline.inner]
        holes = [points for points in sampled if least_width(points) >= least_hole - _NARROW]
        return grown(Polygon(metal_inside(outline.outer, opening=False), holes), self.gap)

    def _pose(self, shape: Polygon, turn: float) -> Posed:
        turned = affinity.affine_transform(shape, [*_matrix(turn), 0.0, 0.0])
        x, y, far_x, far_y = turned.bounds
        moved = affinity.translate(turned, -x, -y)
        alike = next((p for p in self._posed if _alike(p.polygon, moved)), None)
        posed = Posed(
            key=alike.key if alike else len(self._posed),
            base=len(self._parts) - 1,
            turn=turn,
            polygon=moved,
            length=far_x - x,
            width=far_y - y,
            origin=(-x, -y),
            area=moved.area,
        )
        if alike is None:
            self._posed.append(posed)
        return posed

    def barred(self, fixed: Posed, moving: Posed) -> Any:
        """Where the moving shape's least corner may not lie beside the fixed one's at zero.

        Args:
            fixed: The shape that lies.
            moving: The shape that is to be laid.
        """
        pair = (fixed.key, moving.key)
        if pair not in self._apart:
            a, b = self._posed[fixed.key], self._posed[moving.key]
            shift = a.origin[0] - b.origin[0], a.origin[1] - b.origin[1]
            beside = self._between(a.base, b.base, b.turn - a.turn)
            self._apart[pair] = affinity.affine_transform(beside, [*_matrix(a.turn), *shift])
        return self._apart[pair]

    def _between(self, fixed: int, moving: int, angle: float) -> Any:
        """What one shape bars to another turned against it, origin to origin, in the first one's axes."""
        # Two shapes turned together bar each other the same way: only the angle between them counts.
        known, turned = (fixed, moving, _round(angle)), (moving, fixed, _round(-angle))
        if known not in self._beside:
            if turned in self._beside:
                matrix = _matrix(angle + pi)
                self._beside[known] = affinity.affine_transform(self._beside[turned], [*matrix, 0.0, 0.0])
            else:
                matrix = np.array(_matrix(angle)).reshape(2, 2)
                self._beside[known] = _barred(self._parts[fixed], [part @ matrix.T for part in self._parts[moving]])
        return self._beside[known]


def metal_inside(loop: Loop, *, opening: bool) -> list[tuple[float, float]]:
    """A polygon no metal lies outside of, at most `CHORD` from the loop, `HOLLOW` in a hollow.

    Args:
        loop: Outer boundary or opening with arcs [m].
        opening: Whether the metal lies around it.
    """
    run = loop if (_signed_area(loop) > 0) != opening else _reversed(loop)
    points: list[tuple[float, float]] = []
    for at, a in enumerate(run):
        b = run[(at + 1) % len(run)]
        points.append((a[0], a[1]))
        if abs(a[2]) > 1e-12:
            points.extend(_along(a, b))
    return points


def _along(a: tuple[float, float, float], b: tuple[float, float, float]) -> list[tuple[float, float]]:
    """Points between the ends of an arc; outside it where it turns left, for there the metal fills it."""
    sweep = 4 * atan(a[2])
    half = hypot(b[0] - a[0], b[1] - a[1]) / 2
    radius = half / sin(abs(sweep) / 2)
    rise = half / tan(sweep / 2)
    x = (a[0] + b[0]) / 2 - (b[1] - a[1]) / (2 * half) * rise
    y = (a[1] + b[1]) / 2 + (b[0] - a[0]) / (2 * half) * rise
    start = atan2(a[1] - y, a[0] - x)
    step = 2 * acos(max(0.5, 1 - (CHORD if sweep > 0 else HOLLOW) / radius))
    count = max(2, ceil(abs(sweep) / step))
    if sweep > 0:
        far = radius / cos(sweep / count / 2)
        return [
            (x + far * cos(start + sweep * (k + 0.5) / count), y + far * sin(start + sweep * (k + 0.5) / count))
            for k in range(count)
        ]
    return [
        (x + radius * cos(start + sweep * k / count), y + radius * sin(start + sweep * k / count))
        for k in range(1, count)
    ]


def grown(shape: Polygon, gap: float) -> Polygon:
    """A shape grown by half a gap, less a hair; straight sides stay straight.

    Args:
        shape: Polygon with openings [m].
        gap: Distance that two grown shapes keep [m].
    """
    by = gap / 2 - HAIR
    # Right corners stay sharp and sharper ones are cut off outside their round: few corners, and always room enough.
    whole: Any = shape.buffer(by, join_style="mitre", mitre_limit=_MITRE)
    if len(shapely.get_coordinates(whole)) > _MANY:
        # An outline of many short sides, as from a drawing with curves: fewer of them, none further in than it was.
        whole = shape.buffer(by + COARSE, join_style="mitre", mitre_limit=_MITRE).simplify(COARSE)
    return max(_polygons(whole), key=lambda p: p.area)


def _polygons(shape: Any) -> list[Polygon]:
    if isinstance(shape, Polygon):
        return [shape]
    return [p for p in getattr(shape, "geoms", ()) if isinstance(p, Polygon)]


def convex_parts(shape: Polygon) -> list[Floats]:
    """Corners of convex pieces that make a shape up.

    Args:
        shape: Polygon with openings [m].
    """
    hull = shape.convex_hull
    if hull.area - shape.area < _SPECK:
        return [shapely.get_coordinates(hull)[:-1]]
    parts: Any = [t for t in shapely.constrained_delaunay_triangles(shape).geoms if t.area > 1e-12]
    at = 0
    while at < len(parts):
        merged = False
        for other in range(len(parts) - 1, at, -1):
            if parts[at].intersects(parts[other]):
                both = shapely.MultiPolygon([parts[at], parts[other]]).convex_hull
                if both.area <= (parts[at].area + parts[other].area) * (1 + 1e-9) + 1e-13:
                    parts[at] = both
                    del parts[other]
                    merged = True
        at += 0 if merged else 1
    return [shapely.get_coordinates(p)[:-1] for p in parts]


def _barred(fixed: Iterable[Floats], moving: Iterable[Floats]) -> Any:
    """Minkowski sum of the fixed shape and the moving one reflected, from sums of their convex parts."""
    sums: list[Floats] = []
    index: list[NDArray[np.int64]] = []
    for a in fixed:
        for b in moving:
            points = (a[:, None, :] - b[None, :, :]).reshape(-1, 2)
            index.append(np.full(len(points), len(sums)))
            sums.append(points)
    clouds = shapely.multipoints(np.concatenate(sums), indices=np.concatenate(index))
    whole = shapely.union_all(shapely.convex_hull(clouds))
    kept = [Polygon(p.exterior, [r for r in p.interiors if Polygon(r).area > _SPECK]) for p in _polygons(whole)]
    return kept[0] if len(kept) == 1 else MultiPolygon(kept)


def _matrix(turn: float) -> tuple[float, float, float, float]:
    """Rotation by rows; quarter turns exact."""
    quarter = turn / (pi / 2)
    if abs(quarter - round(quarter)) < 1e-9:
        c, s = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[round(quarter) % 4]
    else:
        c, s = cos(turn), sin(turn)
    return c, -s, s, c


def _round(angle: float) -> float:
    """The angle within a turn, equal for equal angles."""
    return round(angle % (2 * pi), 9) % round(2 * pi, 9)


def _alike(a: Polygon, b: Polygon) -> bool:
    if abs(a.area - b.area) > 1e-9 or any(abs(x - y) > 1e-7 for x, y in zip(a.bounds, b.bounds, strict=True)):
        return False
    return a.symmetric_difference(b).area < 1e-9


def _signed_area(loop: Loop) -> float:
    total = 0.0
    for at, a in enumerate(loop):
        b = loop[(at + 1) % len(loop)]
        total += (a[0] * b[1] - b[0] * a[1]) / 2
        if a[2]:
            sweep = 4 * atan(a[2])
            half = hypot(b[0] - a[0], b[1] - a[1]) / 2
            radius = half / sin(abs(sweep) / 2)
            total += radius * radius / 2 * (sweep - sin(sweep))
    return total


def _reversed(loop: Loop) -> Loop:
    """The loop run the other way; a side's bulge then belongs to its other end."""
    return tuple((v[0], v[1], -loop[at - 1][2]) for at, v in reversed(list(enumerate(loop))))


def least_width(points: Sequence[Sequence[float]]) -> float:
    """Least distance between two parallel lines that hold all points between them [m].

    Args:
        points: Corners; more numbers than two are passed over [m].
    """
    hull = shapely.get_coordinates(shapely.MultiPoint([p[:2] for p in points]).convex_hull)
    sides = np.diff(hull, axis=0)
    lengths = np.hypot(sides[:, 0], sides[:, 1])
    if len(hull) < 4 or lengths.min() <= 0:
        return 0.0
    # Over one side of the hull lies the narrowest place.
    away = (sides[:, None, 0] * (hull[None, :, 1] - hull[:-1, None, 1])) - (
        sides[:, None, 1] * (hull[None, :, 0] - hull[:-1, None, 0])
    )
    return float((np.abs(away).max(axis=1) / lengths).min())
