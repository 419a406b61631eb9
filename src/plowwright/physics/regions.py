"""Plane regions bounded by straight lines and arcs, and their area integrals.

A loop is a tuple of vertices (u, v, bulge): two coordinates [m] and the bulge of the side that starts
there, tan(sweep / 4), 0 for a straight side, positive for an arc that turns counter-clockwise. Outer loops run
counter-clockwise; inner loops (holes) may run either way. The loop closes itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import atan, atan2, ceil, cos, hypot, pi, sin, sqrt, tan

Vertex = tuple[float, float, float]
Loop = tuple[Vertex, ...]

# Three-point Gauss-Legendre is exact for the cubic integrands of straight sides; eight points on each quarter turn
# of an arc leave an error near the last figure a float holds.
_QUARTER_TURN = pi / 2
_GAUSS3 = ((-0.7745966692414834, 5 / 9), (0.0, 8 / 9), (0.7745966692414834, 5 / 9))
_GAUSS8 = (
    (-0.9602898564975363, 0.1012285362903763),
    (-0.7966664774136267, 0.2223810344533745),
    (-0.5255324099163290, 0.3137066458778873),
    (-0.1834346424956498, 0.3626837833783620),
    (0.1834346424956498, 0.3626837833783620),
    (0.5255324099163290, 0.3137066458778873),
    (0.7966664774136267, 0.2223810344533745),
    (0.9602898564975363, 0.1012285362903763),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaProperties:
    """Integrals of a region, second moments about its own centroid.

    Attributes:
        area: Area [m2].
        u: Centroid along u [m].
        v: Centroid along v [m].
        uu: Integral of (u - centroid)^2 [m4].
        vv: Integral of (v - centroid)^2 [m4].
        uv: Integral of the product of both distances [m4].
        perimeter: Length of the outer boundary [m].
    """

    area: float
    u: float
    v: float
    uu: float
    vv: float
    uv: float
    perimeter: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Region:
    """An outer loop with holes.

    Attributes:
        outer: Outer boundary, counter-clockwise [m].
        inner: Holes [m].
    """

    outer: Loop
    inner: tuple[Loop, ...] = ()

    def properties(self) -> AreaProperties:
        """Area, centroid and second moments; kept between calls because stock shapes repeat."""
        return _properties(self)

    def bounds(self) -> tuple[float, float, float, float]:
        """Least u, least v, greatest u, greatest v [m], arcs included."""
        return _bounds(self.outer)


def _arc(a: Vertex, b: Vertex) -> tuple[float, float, float, float, float]:
    """Centre, radius, start angle and signed sweep of the arc side a -> b."""
    sweep = 4.0 * atan(a[2])
    du, dv = b[0] - a[0], b[1] - a[1]
    half = 0.5 * hypot(du, dv)
    # Signed distance from chord's middle to the centre, to the left of the chord's direction.
    rise = half / tan(0.5 * sweep)
    mu, mv = 0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])
    cu, cv = mu - dv / (2 * half) * rise, mv + du / (2 * half) * rise
    radius = hypot(a[0] - cu, a[1] - cv)
    return cu, cv, radius, atan2(a[1] - cv, a[0] - cu), sweep


@lru_cache(maxsize=20000)
def _loop_integrals(loop: Loop) -> tuple[float, float, float, float, float, float, float]:
    """Area, Su, Sv, Suu, Suv, Svv by Green's theorem, and the perimeter."""
    area = su = sv = suu = suv = svv = length = 0.0
    for i, a in enumerate(loop):
        b = loop[(i + 1) % len(loop)]
        if a[2] == 0.0:
            du, dv = b[0] - a[0], b[1] - a[1]
            length += hypot(du, dv)
            for t, weight in _GAUSS3:
                s = 0.5 * (1 + t)
                u, v, w = a[0] + s * du, a[1] + s * dv, 0.5 * weight * dv
                area += w * u
                su += w * u * u / 2
                sv += w * u * v
                suu += w * u * u * u / 3
                suv += w * u * u * v / 2
                svv += w * u * v * v
        else:
            cu, cv, radius, start, sweep = _arc(a, b)
            length += radius * abs(sweep)
            pieces = max(1, ceil(abs(sweep) / _QUARTER_TURN - 1e-9))
            part = sweep / pieces
            for piece in range(pieces):
                for t, weight in _GAUSS8:
                    angle = start + (piece + 0.5 * (1 + t)) * part
                    u, v = cu + radius * cos(angle), cv + radius * sin(angle)
                    w = 0.5 * weight * part * radius * cos(angle)
                    area += w * u
                    su += w * u * u / 2
                    sv += w * u * v
                    suu += w * u * u * u / 3
                    suv += w * u * u * v / 2
                    svv += w * u * v * v
    return area, su, sv, suu, suv, svv, length


@lru_cache(maxsize=20000)
def _properties(region: Region) -> AreaProperties:
    total = list(_loop_integrals(region.outer))
    if total[0] < 0:
        total[:6] = [-x for x in total[:6]]
    for loop in region.inner:
        part = _loop_integrals(loop)
        sign = 1.0 if part[0] >= 0 else -1.0
        for i in range(6):
            total[i] -= sign * part[i]
    area, su, sv, suu, suv, svv, length = total
    u, v = su / area, sv / area
    return AreaProperties(
        area=area,
        u=u,
        v=v,
        uu=suu - area * u * u,
        vv=svv - area * v * v,
        uv=suv - area * u * v,
        perimeter=length,
    )


@lru_cache(maxsize=20000)
def _bounds(loop: Loop) -> tuple[float, float, float, float]:
    points = flatten(loop, 1e-4)
    us, vs = [p[0] for p in points], [p[1] for p in points]
    return min(us), min(vs), max(us), max(vs)


@lru_cache(maxsize=20000)
def flatten(loop: Loop, chord_error: float = 2e-4) -> tuple[tuple[float, float], ...]:
    """Vertices of a polygon within a given distance of the loop.

    Args:
        loop: Loop with arcs [m].
        chord_error: Greatest distance between arc and chord [m].

    Returns:
        Points (u, v) in the loop's order, not closed [m].
    """
    points: list[tuple[float, float]] = []
    for i, a in enumerate(loop):
        points.append((a[0], a[1]))
        if a[2] == 0.0:
            continue
        cu, cv, radius, start, sweep = _arc(a, loop[(i + 1) % len(loop)])
        step = 2 * sqrt(2 * min(chord_error / radius, 0.5))
        count = max(2, ceil(abs(sweep) / step))
        points.extend(
            (cu + radius * cos(start + sweep * k / count), cv + radius * sin(start + sweep * k / count))
            for k in range(1, count)
        )
    return tuple(points)


def polygon(points: Iterable[Sequence[float]]) -> Loop:
    """A loop of straight sides.

    Args:
        points: Corners (u, v) in order [m].
    """
    return tuple((float(p[0]), float(p[1]), 0.0) for p in points)


def rectangle(u0: float, v0: float, u1: float, v1: float) -> Loop:
    """A rectangle between two corners.

    Args:
        u0: Least u [m].
        v0: Least v [m].
        u1: Greatest u [m].
        v1: Greatest v [m].
    """
    return ((u0, v0, 0.0), (u1, v0, 0.0), (u1, v1, 0.0), (u0, v1, 0.0))


_QUARTER = tan(pi / 8)


def rounded_rectangle(width: float, height: float, radius: float) -> Loop:
    """A rectangle about the origin with rounded corners.

    Args:
        width: Size along u [m].
        height: Size along v [m].
        radius: Corner radius [m].
    """
    a, b, r = width / 2, height / 2, radius
    if r <= 0:
        return rectangle(-a, -b, a, b)
    q = _QUARTER
    return (
        (a, -b + r, 0.0), (a, b - r, q),
        (a - r, b, 0.0), (-a + r, b, q),
        (-a, b - r, 0.0), (-a, -b + r, q),
        (-a + r, -b, 0.0), (a - r, -b, q),
    )  # fmt: skip


def circle(u: float, v: float, radius: float) -> Loop:
    """A full circle as two half-circle sides.

    Args:
        u: Centre along u [m].
        v: Centre along v [m].
        radius: Radius [m].
    """
    return ((u + radius, v, 1.0), (u - radius, v, 1.0))
