"""Solids as convex prisms, and the gap between two of them by separating planes.

Outlines are cut at their inner corners; an outline with an arc that curves inwards counts as its hull, so that a rolled
skin or a web is taken with the room in front of it, where no other body ever comes. Tubes count as solid.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from plowwright.blade.poses import Matrix
from plowwright.blade.shapes import Place, Solid
from plowwright.physics.regions import Region, flatten

Array = NDArray[np.float64]
Point = tuple[float, float]

CHORD_ERROR = 3e-4
"""How far a round may stand out of the straight sides it is taken for [m]."""

MOST_EDGES = 8
"""Pieces with more sides than this are rounds: their sides are not tried against other edges [-]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Prism:
    """A convex prism at rest, in blade axes.

    Attributes:
        corners: Its corners, (n, 3) [m].
        normals: Normals of its faces, (k, 3) [-].
        edges: Directions of its edges, (m, 3) [-].
    """

    corners: Array
    normals: Array
    edges: Array


@lru_cache(maxsize=4000)
def prisms(solid: Solid, place: Place) -> tuple[Prism, ...]:
    """The convex prisms a solid is made of; kept between calls because stock and places repeat.

    Args:
        solid: The solid.
        place: Where its axes lie.
    """
    axes = np.array((place.u, place.v, place.w))
    return tuple(_prism(solid, outline, axes, np.array(place.origin)) for outline in _convex(solid.region))


def _prism(solid: Solid, outline: Sequence[Point], axes: Array, origin: Array) -> Prism:
    uv = np.array(outline)
    low = solid.start + uv @ np.array(solid.start_slope)
    high = solid.end + uv @ np.array(solid.end_slope)
    corners = np.vstack((np.column_stack((uv, low)), np.column_stack((uv, high))))
    sides = np.roll(uv, -1, axis=0) - uv
    square = np.column_stack((sides[:, 1], -sides[:, 0], np.zeros(len(uv))))
    ends = np.array([(-a, -b, 1.0) for a, b in {solid.start_slope, solid.end_slope}])
    edges = np.array([(0.0, 0.0, 1.0)])
    if len(uv) <= MOST_EDGES:
        along = [np.column_stack((sides, sides @ np.array(s))) for s in {solid.start_slope, solid.end_slope}]
        edges = np.vstack((edges, *along))
    return Prism(
        corners=corners @ axes + origin,
        normals=_distinct(np.vstack((square, ends)) @ axes),
        edges=_distinct(edges @ axes),
    )


def _distinct(directions: Array) -> Array:
    """Unit vectors of directions, opposite and repeated ones once."""
    kept: dict[tuple[int, int, int], tuple[float, float, float]] = {}
    for x, y, z in directions.tolist():
        size = sqrt(x * x + y * y + z * z)
        a, b, c = round(x / size * 1e7), round(y / size * 1e7), round(z / size * 1e7)
        kept.setdefault((-a, -b, -c) if (a, b, c) < (0, 0, 0) else (a, b, c), (x / size, y / size, z / size))
    return np.array(list(kept.values()))


@lru_cache(maxsize=2000)
def _convex(region: Region) -> tuple[tuple[Point, ...], ...]:
    points = [(float(u), float(v)) for u, v in flatten(region.outer, CHORD_ERROR)]
    if any(vertex[2] < 0 for vertex in region.outer):
        return (_hull(points),)
    return tuple(_cut(_anticlockwise(points)))


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _anticlockwise(points: list[Point]) -> list[Point]:
    area = sum(a[0] * b[1] - a[1] * b[0] for a, b in zip(points, points[1:] + points[:1], strict=True))
    return points if area > 0 else points[::-1]


def _hull(points: Sequence[Point]) -> tuple[Point, ...]:
    """Convex hull, anticlockwise (monotone chain)."""

    def half(ordered: Sequence[Point]) -> list[Point]:
        chain: list[Point] = []
        for p in ordered:
            while len(chain) > 1 and _turn(chain[-2], chain[-1], p) <= 1e-12:
                chain.pop()
            chain.append(p)
        return chain[:-1]

    ordered = sorted(set(points))
    return (*half(ordered), *half(ordered[::-1]))


def _cut(points: list[Point]) -> list[tuple[Point, ...]]:
    """Convex pieces of a simple anticlockwise polygon: cut on from the first inner corner along its incoming side."""
    count = len(points)
    for i in range(count):
        a, b = points[i - 1], points[i]
        if _turn(a, b, points[(i + 1) % count]) >= -1e-12:
            continue
        share, side, at = _first_hit(points, i, (b[0] - a[0], b[1] - a[1]))
        if share <= 0:
            continue
        # Walk from the corner to where the cut meets the outline, and back; both loops share the cut.
        around = [points[(i + 1 + k) % count] for k in range(count)]
        ahead = (side - i) % count
        first = [b, *around[:ahead], at]
        second = [at, *around[ahead:-1], b]
        return [*_cut(_without_doubles(first)), *_cut(_without_doubles(second))]
    return [tuple(points)]


def _first_hit(points: list[Point], corner: int, along: Point) -> tuple[float, int, Point]:
    """Nearest side met by a ray from a corner: distance in lengths of `along`, side by its first corner, and place."""
    o, count = points[corner], len(points)
    best: tuple[float, int, Point] = (0.0, corner, o)
    for k in range(count):
        if k in (corner, (corner - 1) % count):
            continue
        p, q = points[k], points[(k + 1) % count]
        d = (q[0] - p[0], q[1] - p[1])
        den = along[0] * d[1] - along[1] * d[0]
        if abs(den) < 1e-15:
            continue
        r = (p[0] - o[0], p[1] - o[1])
        t, s = (r[0] * d[1] - r[1] * d[0]) / den, (r[0] * along[1] - r[1] * along[0]) / den
        if t > 1e-9 and -1e-9 <= s <= 1 + 1e-9 and (best[0] <= 0 or t < best[0]):
            best = (t, k, (o[0] + t * along[0], o[1] + t * along[1]))
    return best


def _without_doubles(points: list[Point]) -> list[Point]:
    kept: list[Point] = []
    for p in points:
        if not kept or abs(p[0] - kept[-1][0]) + abs(p[1] - kept[-1][1]) > 1e-9:
            kept.append(p)
    if abs(kept[0][0] - kept[-1][0]) + abs(kept[0][1] - kept[-1][1]) <= 1e-9:
        kept.pop()
    return kept


def spread(matrix: Matrix) -> tuple[Array, Array]:
    """A motion as a matrix that turns rows, and its shift.

    Args:
        matrix: Images of the three directions [-] and of the origin [m].
    """
    return np.array(matrix[:3]), np.array(matrix[3])


def gap(one: Prism, other: Prism, motions: tuple[Matrix, Matrix], enough: float) -> float:
    """Least distance between two prisms, a lower bound by separating planes; below zero how deep they cut [m].

    Args:
        one: First prism.
        other: Second prism.
        motions: How each has moved from rest.
        enough: Distance from which it does not matter how far they are apart [m].
    """
    (turn1, shift1), (turn2, shift2) = spread(motions[0]), spread(motions[1])
    first, second = one.corners @ turn1 + shift1, other.corners @ turn2 + shift2
    found = _widest(np.vstack((one.normals @ turn1, other.normals @ turn2)), first, second)
    if found >= enough:
        return found
    a, b = one.edges @ turn1, other.edges @ turn2
    crossed = (a[:, None, [1, 2, 0]] * b[None, :, [2, 0, 1]] - a[:, None, [2, 0, 1]] * b[None, :, [1, 2, 0]]).reshape(
        -1, 3
    )
    sizes = np.sqrt((crossed**2).sum(axis=1))
    crossed = crossed[sizes > 1e-6] / sizes[sizes > 1e-6, None]
    return max(found, _widest(crossed, first, second)) if len(crossed) else found


def _widest(axes: Array, first: Array, second: Array) -> float:
    p, q = first @ axes.T, second @ axes.T
    gaps = np.maximum(q.min(axis=0) - p.max(axis=0), p.min(axis=0) - q.max(axis=0))
    return float(gaps.max())
