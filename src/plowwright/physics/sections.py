"""Cross-sections of bars as bought: tubes, angles, flats, rounds, and their outlines.

Outlines lie in the u-v plane. Tubes, flats and rounds are centred on the origin; an angle has its heel (outer corner)
at the origin, one leg along +u, the other along +v. Dimensions are nominal: mass goes by the nominal wall, while the
strength of a cold-formed tube goes by its design wall (see `design_wall`).

A `StrengthSection` is the same bar as a beam sees it: y along the outline's u, z along its v, x towards the reader.
Webs with skin and the bottom angle with its edge are in `built_up.py`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from math import cos, pi, sin, tan

from plowwright.errors import ModelError
from plowwright.physics import torsion as twist
from plowwright.physics.plastic import plastic_modulus
from plowwright.physics.regions import Region, circle, polygon, rectangle, rounded_rectangle

DESIGN_WALL = 0.93
"""Design wall over nominal wall of an ASTM A500 tube [-] (AISC 360 B4.2)."""


def design_wall(wall: float) -> float:
    """Wall that strength may count on in an ASTM A500 tube.

    Args:
        wall: Nominal wall [m].

    Returns:
        Design wall [m].

    Source: AISC 360 B4.2.
    """
    return DESIGN_WALL * wall


@lru_cache(maxsize=500)
def box_tube(width: float, height: float, wall: float) -> Region:
    """Rectangular tube with outside corner radius 2 t and inside radius t.

    Args:
        width: Outside size along u [m].
        height: Outside size along v [m].
        wall: Wall thickness [m].

    Source: corner radius 2 t as the AISC Manual part 1 takes for areas and weights.
    """
    return Region(
        outer=rounded_rectangle(width, height, 2 * wall),
        inner=(rounded_rectangle(width - 2 * wall, height - 2 * wall, wall),),
    )


@lru_cache(maxsize=500)
def round_tube(diameter: float, wall: float) -> Region:
    """Round tube.

    Args:
        diameter: Outside diameter [m].
        wall: Wall thickness [m].
    """
    return Region(outer=circle(0.0, 0.0, diameter / 2), inner=(circle(0.0, 0.0, diameter / 2 - wall),))


@lru_cache(maxsize=500)
def angle(leg_u: float, leg_v: float, thickness: float) -> Region:
    """Rolled angle with sharp corners: root fillet and toe roundings nearly cancel in the area.

    Args:
        leg_u: Length of the leg along +u, from the heel [m].
        leg_v: Length of the leg along +v, from the heel [m].
        thickness: Thickness of both legs [m].
    """
    t = thickness
    return Region(outer=polygon(((0, 0), (leg_u, 0), (leg_u, t), (t, t), (t, leg_v), (0, leg_v))))


@lru_cache(maxsize=500)
def flat(width: float, thickness: float) -> Region:
    """Flat bar.

    Args:
        width: Size along u [m].
        thickness: Size along v [m].
    """
    return Region(outer=rectangle(-width / 2, -thickness / 2, width / 2, thickness / 2))


@lru_cache(maxsize=500)
def round_bar(diameter: float) -> Region:
    """Round bar.

    Args:
        diameter: Diameter [m].
    """
    return Region(outer=circle(0.0, 0.0, diameter / 2))


@lru_cache(maxsize=500)
def filleted_angle(leg_u: float, leg_v: float, thickness: float, root: float, toe: float = 0.0) -> Region:
    """Rolled angle with its root fillet and, where wanted, rounded toes.

    Args:
        leg_u: Length of the leg along +u, from the heel [m].
        leg_v: Length of the leg along +v, from the heel [m].
        thickness: Thickness of both legs [m].
        root: Radius of the fillet in the root; the shapes table's k is thickness and root together [m].
        toe: Radius at the inner corner of each toe, at most the thickness; 0 for square toes [m].
    """
    t, quarter = thickness, tan(pi / 8)
    if toe > t:
        raise ModelError(
            "the toe of an angle is rounded by more than its thickness",
            value=f"{toe:.4g} m",
            limit=f"{t:.4g} m",
        )
    loop: list[tuple[float, float, float]] = [(0.0, 0.0, 0.0), (leg_u, 0.0, 0.0)]
    loop += [(leg_u, t - toe, quarter), (leg_u - toe, t, 0.0)] if toe else [(leg_u, t, 0.0)]
    loop += [(t + root, t, -quarter), (t, t + root, 0.0)]
    loop += [(t, leg_v - toe, quarter), (t - toe, leg_v, 0.0)] if toe else [(t, leg_v, 0.0)]
    return Region(outer=(*loop, (0.0, leg_v, 0.0)))


@dataclass(frozen=True, slots=True, kw_only=True)
class StrengthSection:
    """A cross-section as a beam sees it, about its own centroid.

    Signs: tension is positive; a moment about y is positive when it pulls on the +z side (stress = My z / Iy), one
    about z is positive when it pulls on the -y side (stress = -Mz y / Iz).

    Attributes:
        area: Area [m2].
        inertia_y: Second moment for bending about y, the integral of z^2 [m4].
        inertia_z: Second moment for bending about z, the integral of y^2 [m4].
        torsion: Torsion constant J [m4].
        torsion_modulus: Torque over the greatest shear stress it makes [m3].
        shear_y: Area that carries shear along y [m2].
        shear_z: Area that carries shear along z [m2].
        plastic_y: Plastic modulus for bending about y [m3].
        plastic_z: Plastic modulus for bending about z [m3].
        points: Places (y, z) from the centroid where stress is looked at [m].
        product: Integral of y z [m4]; beams that are held by skin and webs bend as if it were 0.
        centroid: Centroid in the outline's own u and v [m].
    """

    area: float
    inertia_y: float
    inertia_z: float
    torsion: float
    torsion_modulus: float
    shear_y: float
    shear_z: float
    plastic_y: float
    plastic_z: float
    points: tuple[tuple[float, float], ...]
    product: float = 0.0
    centroid: tuple[float, float] = (0.0, 0.0)

    @property
    def elastic_y(self) -> float:
        """Elastic modulus for bending about y, to the farther side [m3]."""
        return self.inertia_y / max(abs(z) for _, z in self.points)

    @property
    def elastic_z(self) -> float:
        """Elastic modulus for bending about z, to the farther side [m3]."""
        return self.inertia_z / max(abs(y) for y, _ in self.points)

    def stresses(
        self, *, axial: float = 0.0, moment_y: float = 0.0, moment_z: float = 0.0, free: bool = False
    ) -> tuple[float, ...]:
        """Normal stress at each of its points, tension positive.

        Args:
            axial: Tension [N].
            moment_y: Moment about y, positive when it pulls on the +z side [N m].
            moment_z: Moment about z, positive when it pulls on the -y side [N m].
            free: Whether an unsymmetric section may bend out of the plane of its load.

        Returns:
            Stresses in the order of the points [Pa].

        Source: elastic bending of an unsymmetric section, closed form.
        """
        cross = self.product if free else 0.0
        apart = self.inertia_y * self.inertia_z - cross * cross
        by_z = (moment_y * self.inertia_z + moment_z * cross) / apart
        by_y = -(moment_z * self.inertia_y + moment_y * cross) / apart
        return tuple(axial / self.area + by_z * z + by_y * y for y, z in self.points)


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One flat, tube or other region in a built-up section.

    Attributes:
        region: Its outline [m].
        u: Shift along u [m].
        v: Shift along v [m].
    """

    region: Region
    u: float = 0.0
    v: float = 0.0


def built_up(
    pieces: Iterable[Piece],
    *,
    torsion: float,
    torsion_modulus: float,
    shear_y: float,
    shear_z: float,
    points: Iterable[tuple[float, float]] | None = None,
) -> StrengthSection:
    """A section of pieces that stay plane together; what an outline cannot tell is given.

    Args:
        pieces: The pieces; they must not lap.
        torsion: Torsion constant of the whole [m4].
        torsion_modulus: Torsion modulus of the whole [m3].
        shear_y: Area that carries shear along y [m2].
        shear_z: Area that carries shear along z [m2].
        points: Places (u, v) where stress is looked at; None for every corner of the pieces [m].

    Source: parallel-axis theorem.
    """
    placed = tuple(pieces)
    found = [(p, p.region.properties()) for p in placed]
    area = sum(a.area for _, a in found)
    u = sum(a.area * (p.u + a.u) for p, a in found) / area
    v = sum(a.area * (p.v + a.v) for p, a in found) / area
    key = tuple((p.region, p.u, p.v) for p in placed)
    corners = points or [(p.u + c[0], p.v + c[1]) for p in placed for c in p.region.outer]
    return StrengthSection(
        area=area,
        inertia_y=sum(a.vv + a.area * (p.v + a.v - v) ** 2 for p, a in found),
        inertia_z=sum(a.uu + a.area * (p.u + a.u - u) ** 2 for p, a in found),
        product=sum(a.uv + a.area * (p.u + a.u - u) * (p.v + a.v - v) for p, a in found),
        torsion=torsion,
        torsion_modulus=torsion_modulus,
        shear_y=shear_y,
        shear_z=shear_z,
        plastic_y=plastic_modulus(key, across=1),
        plastic_z=plastic_modulus(key, across=0),
        points=tuple((at_u - u, at_v - v) for at_u, at_v in corners),
        centroid=(u, v),
    )


@lru_cache(maxsize=500)
def tube_strength(width: float, height: float, wall: float) -> StrengthSection:
    """A rectangular tube as a beam; give the design wall for strength (`design_wall`).

    Shear is carried by the two walls along it, 2 (H - t) t.

    Args:
        width: Outside size along y [m].
        height: Outside size along z [m].
        wall: Wall that counts [m].

    Source: AISC Manual part 1 for the outline; Bredt for torsion.
    """
    b, h, r = width / 2, height / 2, 2 * wall
    corner = [(b, h - r), (b - r * (1 - cos(pi / 4)), h - r * (1 - sin(pi / 4))), (b - r, h)]
    return built_up(
        (Piece(region=box_tube(width, height, wall)),),
        torsion=twist.box_tube_constant(width, height, wall),
        torsion_modulus=twist.box_tube_modulus(width, height, wall),
        shear_y=2 * (width - wall) * wall,
        shear_z=2 * (height - wall) * wall,
        points=tuple((i * u, k * v) for u, v in corner for i in (-1, 1) for k in (-1, 1)),
    )


@lru_cache(maxsize=500)
def round_strength(diameter: float, wall: float | None = None) -> StrengthSection:
    """A round bar, or a round tube when a wall is given, as a beam.

    Stress is looked at on a 24-cornered line around the bar: at most 0.9 % high, never low.

    Args:
        diameter: Outside diameter [m].
        wall: Wall of a tube [m]; None for a solid bar.

    Source: closed form; shear area 0.9 A for a bar, A / 2 for a thin tube.
    """
    r = diameter / 2
    j = twist.round_tube_constant(diameter, r if wall is None else wall)
    region = round_bar(diameter) if wall is None else round_tube(diameter, wall)
    shear = (0.9 if wall is None else 0.5) * region.properties().area
    out = r / cos(pi / 24)
    return built_up(
        (Piece(region=region),),
        torsion=j,
        torsion_modulus=j / r,
        shear_y=shear,
        shear_z=shear,
        points=tuple((out * cos((k + 0.5) * pi / 12), out * sin((k + 0.5) * pi / 12)) for k in range(24)),
    )


@lru_cache(maxsize=500)
def flat_strength(width: float, thickness: float) -> StrengthSection:
    """A flat bar as a beam.

    Args:
        width: Size along y [m].
        thickness: Size along z [m].

    Source: closed form; shear area 5/6 of the area.
    """
    shear = 5 / 6 * width * thickness
    return built_up(
        (Piece(region=flat(width, thickness)),),
        torsion=twist.flat_constant(width, thickness),
        torsion_modulus=twist.flat_modulus(width, thickness),
        shear_y=shear,
        shear_z=shear,
    )


@lru_cache(maxsize=500)
def angle_strength(leg_u: float, leg_v: float, thickness: float, root: float = 0.0) -> StrengthSection:
    """An angle as a beam, heel at the outline's origin, legs along +y and +z.

    Args:
        leg_u: Length of the leg along +y [m].
        leg_v: Length of the leg along +z [m].
        thickness: Thickness of both legs [m].
        root: Radius of the root fillet, 0 for a sharp root [m].

    Source: geometry; torsion by `physics.torsion.angle_constant`. Shear area 5/6 of the leg along it.
    """
    t = thickness
    region = filleted_angle(leg_u, leg_v, t, root) if root else angle(leg_u, leg_v, t)
    j = twist.angle_constant(leg_u, leg_v, t, root)
    corners = ((0.0, 0.0), (leg_u, 0.0), (leg_u, t), (t, leg_v), (0.0, leg_v))
    return built_up(
        (Piece(region=region),),
        torsion=j,
        torsion_modulus=j / t,
        shear_y=5 / 6 * leg_u * t,
        shear_z=5 / 6 * leg_v * t,
        points=corners,
    )
