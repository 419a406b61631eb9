"""Shapes in space: where a part's own axes lie, and plane regions pushed along the third of them."""

from __future__ import annotations

from dataclasses import dataclass

from plowwright.physics.regions import Region

Vec = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a part's own axes u, v, w lie in the blade.

    Attributes:
        origin: Position of the part's origin [m].
        u: Direction of the part's u axis, unit vector [-].
        v: Direction of the part's v axis, unit vector [-].
    """

    origin: Vec
    u: Vec
    v: Vec

    @property
    def w(self) -> Vec:
        """Direction of extrusion, u x v [-]."""
        (a, b, c), (d, e, f) = self.u, self.v
        return (b * f - c * e, c * d - a * f, a * e - b * d)

    def point(self, u: float, v: float, w: float) -> Vec:
        """A point given in the part's own axes, in blade axes.

        Args:
            u: Along the u axis [m].
            v: Along the v axis [m].
            w: Along the direction of extrusion [m].
        """
        o, a, b, c = self.origin, self.u, self.v, self.w
        return (
            o[0] + u * a[0] + v * b[0] + w * c[0],
            o[1] + u * a[1] + v * b[1] + w * c[1],
            o[2] + u * a[2] + v * b[2] + w * c[2],
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Solid:
    """A plane region pushed along w between two planes, which may be mitred.

    Attributes:
        region: Cross-section or outline in the u-v plane [m].
        start: Where it starts on the w axis [m].
        end: Where it ends on the w axis [m].
        start_slope: Change of the start plane per u and per v [-]; (0, 0) is a square cut.
        end_slope: The same for the end plane [-].
        place: Own place when it differs from the part's, else None.
    """

    region: Region
    start: float
    end: float
    start_slope: tuple[float, float] = (0.0, 0.0)
    end_slope: tuple[float, float] = (0.0, 0.0)
    place: Place | None = None

    def volume(self) -> float:
        """Volume, exact for mitred ends: area times length along the line of centroids [m3]."""
        p = self.region.properties()
        return p.area * self._mean_length(p.u, p.v)

    def _mean_length(self, u: float, v: float) -> float:
        start = self.start + self.start_slope[0] * u + self.start_slope[1] * v
        return self.end + self.end_slope[0] * u + self.end_slope[1] * v - start

    def centroid(self) -> Vec:
        """Centroid in the part's own axes, exact for mitred ends [m]."""
        p = self.region.properties()
        length = self._mean_length(p.u, p.v)
        a0, b0 = self.start_slope
        a1, b1 = self.end_slope
        c0 = self.start + a0 * p.u + b0 * p.v
        c1 = self.end + a1 * p.u + b1 * p.v
        share = p.area * length
        du = ((a1 - a0) * p.uu + (b1 - b0) * p.uv) / share
        dv = ((a1 - a0) * p.uv + (b1 - b0) * p.vv) / share
        moment = p.area * (c1 * c1 - c0 * c0)
        moment += (a1 * a1 - a0 * a0) * p.uu + 2 * (a1 * b1 - a0 * b0) * p.uv + (b1 * b1 - b0 * b0) * p.vv
        return (p.u + du, p.v + dv, 0.5 * moment / share)

    def surface(self) -> float:
        """Outer surface: outer boundary times mean length, and both end faces [m2]."""
        p = self.region.properties()
        return p.perimeter * self._mean_length(p.u, p.v) + 2 * p.area
