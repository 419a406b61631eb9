"""Mass, centre of gravity and inertia of a blade, worked out from its parts.

Weld metal and paint are lines of their own, and so is what the scale has taught (`correction.py`): nothing is
hidden in a density. Where a number comes out wrong, the part that made it can be found.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, Final

from plowwright.blade.parts import Assembly, Part, Place, Solid, Vec, Weld
from plowwright.blade.poses import Matrix, apply, turn
from plowwright.errors import EntryError
from plowwright.physics.materials import STEEL_DENSITY, fillet_volume
from plowwright.units import INCH, inches, pounds

Tensor = tuple[Vec, Vec, Vec]
"""A symmetric tensor, row by row."""

Mover = Callable[[Part], Matrix]
"""Each part's motion from rest, as `poses.mover` gives it for a pose."""

WELD_METAL: Final = "weld metal"
PAINT: Final = "paint"


@dataclass(frozen=True, slots=True, kw_only=True)
class MassSettings:
    """Values taken on trust, each with its name.

    Attributes:
        paint_film: Dry film of the paint [m]; assumed.
        paint_density: Mass of dry paint per volume [kg/m3]; assumed.
        weld_density: Mass of weld metal per volume [kg/m3]; as carbon steel.
    """

    paint_film: float = 60e-6
    paint_density: float = 1400.0
    weld_density: float = STEEL_DENSITY


ASSUMED: Final = MassSettings()
"""What is taken where the shop says nothing else."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """Mass, place and inertia of some of the blade's parts.

    Attributes:
        name: Group or body.
        mass: Mass [kg].
        centre_of_gravity: Centre of gravity in blade axes [m].
        inertia: Inertia tensor about that centre, in blade axes [kg m2].
    """

    name: str
    mass: float
    centre_of_gravity: Vec
    inertia: Tensor

    def inertia_about(self, point: Vec) -> Tensor:
        """Inertia tensor about another point, by the parallel axis theorem [kg m2].

        Args:
            point: Where, in blade axes [m].
        """
        d = [a - b for a, b in zip(self.centre_of_gravity, point, strict=True)]
        square = sum(x * x for x in d)
        return _tensor(lambda i, j: self.inertia[i][j] + self.mass * ((square if i == j else 0.0) - d[i] * d[j]))

    def as_dict(self) -> dict[str, Any]:
        """The share for a machine, trade units in the names."""
        return {
            "name": self.name,
            "mass_lb": round(pounds(self.mass), 2),
            "centre_of_gravity_in": [round(inches(x), 2) for x in self.centre_of_gravity],
            "inertia_lb_in2": [[round(pounds(x) / INCH**2, 1) for x in row] for row in self.inertia],
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class MassTally:
    """What a blade weighs and where.

    Attributes:
        whole: The blade as it stands, weld metal and paint included.
        groups: The same by part group, weld metal and paint last.
        bodies: The same by what moves together (a weld counts with the first part it joins).
        weld_volume: Volume of all fillets [m3].
        paint_area: Surface that gets paint [m2].
        settings: What was taken on trust.
    """

    whole: Share
    groups: tuple[Share, ...]
    bodies: tuple[Share, ...]
    weld_volume: float
    paint_area: float
    settings: MassSettings

    @property
    def total(self) -> float:
        """Mass of the blade as it stands [kg]."""
        return self.whole.mass

    @property
    def centre_of_gravity(self) -> Vec:
        """Centre of gravity in blade axes [m]."""
        return self.whole.centre_of_gravity

    @property
    def inertia(self) -> Tensor:
        """Inertia tensor about the centre of gravity [kg m2]."""
        return self.whole.inertia

    @property
    def group_masses(self) -> Mapping[str, float]:
        """Mass by part group [kg]."""
        return MappingProxyType({share.name: share.mass for share in self.groups})

    def as_dict(self) -> dict[str, Any]:
        """The tally for a machine, trade units in the names."""
        return {
            **{k: v for k, v in self.whole.as_dict().items() if k != "name"},
            "groups": [share.as_dict() for share in self.groups],
            "bodies": [share.as_dict() for share in self.bodies],
            "paint_film_assumed_um": round(self.settings.paint_film * 1e6, 1),
            "paint_density_assumed_kg_m3": self.settings.paint_density,
        }


def tally(assembly: Assembly, *, settings: MassSettings = ASSUMED, moved: Mover | None = None) -> MassTally:
    """Mass, centre of gravity and inertia of a blade and of its groups and bodies.

    A square-cut prism is exact. A mitred bar has its exact mass and centroid, and the inertia of a square-cut bar
    of its mean length about that centroid. A bought part is its drawn solids scaled to the mass it is given.
    Volume drilled away that the solids do not show is taken off evenly over the part. A weld is a thin rod along
    its seam; paint lies where its part is, spread as the part's mass is.

    Args:
        assembly: Parts and joints.
        settings: Values taken on trust.
        moved: How parts are moved from rest, or None for the blade at rest.

    Raises:
        EntryError: A setting is below zero.
    """
    _check(settings)
    sums = _Sums()
    motions = {part.id: moved(part) for part in assembly.parts} if moved else {}
    paint, painted = _Sum(), 0.0
    for part in assembly.parts:
        one = _of_part(part, motions.get(part.id))
        sums.add(one, part.group, part.body)
        area = part.paint_area()
        if area > 0.0 and one.mass > 0.0:
            coat = one.scaled(area * settings.paint_film * settings.paint_density / one.mass)
            painted += area
            paint.add(coat)
            sums.whole.add(coat)
            sums.bodies[part.body].add(coat)
    bodies = {part.id: part.body for part in assembly.parts}
    volume = 0.0
    for joint in assembly.joints:
        if isinstance(joint, Weld):
            seam = fillet_volume(joint.leg, joint.length())
            volume += seam
            first = joint.joins[0]
            rod = _of_rod(joint, seam * settings.weld_density, motions.get(first))
            sums.add(rod, WELD_METAL, bodies.get(first, "frame"))
    sums.groups[PAINT] = paint
    return MassTally(
        whole=sums.whole.share("blade"),
        groups=_shares(sums.groups),
        bodies=_shares(sums.bodies),
        weld_volume=volume,
        paint_area=painted,
        settings=settings,
    )


def _check(settings: MassSettings) -> None:
    for name in ("paint_film", "paint_density", "weld_density"):
        value = getattr(settings, name)
        if not value >= 0.0:
            raise EntryError(
                f"{name} cannot be below zero", value=f"{value:g}", limit="0", way_out="Give 0 to leave it out."
            )


def of_part(part: Part) -> Share:
    """Mass, centre of gravity and inertia of one part at rest.

    Args:
        part: The part.
    """
    return _of_part(part, None).share(part.id)


@dataclass(slots=True)
class _Sum:
    """Running sums: mass, first moments, and second moments xx yy zz xy yz zx about the origin."""

    mass: float = 0.0
    x: float = 0.0
    y: float = 0.0
    z: float = 0.0
    xx: float = 0.0
    yy: float = 0.0
    zz: float = 0.0
    xy: float = 0.0
    yz: float = 0.0
    zx: float = 0.0

    def add(self, other: _Sum) -> None:
        self.mass += other.mass
        self.x += other.x
        self.y += other.y
        self.z += other.z
        self.xx += other.xx
        self.yy += other.yy
        self.zz += other.zz
        self.xy += other.xy
        self.yz += other.yz
        self.zx += other.zx

    def add_spread(self, weight: float, axis: Vec) -> None:
        """Add weight times axis by axis to the second moments."""
        a, b, c = axis
        self.xx += weight * a * a
        self.yy += weight * b * b
        self.zz += weight * c * c
        self.xy += weight * a * b
        self.yz += weight * b * c
        self.zx += weight * c * a

    def scaled(self, k: float) -> _Sum:
        return _Sum(
            self.mass * k,
            self.x * k,
            self.y * k,
            self.z * k,
            self.xx * k,
            self.yy * k,
            self.zz * k,
            self.xy * k,
            self.yz * k,
            self.zx * k,
        )

    def share(self, name: str) -> Share:
        m = self.mass
        if m <= 0.0:
            zero = (0.0, 0.0, 0.0)
            return Share(name=name, mass=0.0, centre_of_gravity=zero, inertia=(zero, zero, zero))
        x, y, z = self.x / m, self.y / m, self.z / m
        xx, yy, zz = self.xx - m * x * x, self.yy - m * y * y, self.zz - m * z * z
        xy, yz, zx = self.xy - m * x * y, self.yz - m * y * z, self.zx - m * z * x
        return Share(
            name=name,
            mass=m,
            centre_of_gravity=(x, y, z),
            inertia=((yy + zz, -xy, -zx), (-xy, zz + xx, -yz), (-zx, -yz, xx + yy)),
        )


@dataclass(slots=True)
class _Sums:
    """Running sums of the whole blade, by group and by body."""

    whole: _Sum = field(default_factory=_Sum)
    groups: dict[str, _Sum] = field(default_factory=dict[str, _Sum])
    bodies: dict[str, _Sum] = field(default_factory=dict[str, _Sum])

    def add(self, one: _Sum, group: str, body: str) -> None:
        self.whole.add(one)
        self.groups.setdefault(group, _Sum()).add(one)
        self.bodies.setdefault(body, _Sum()).add(one)


def _shares(sums: Mapping[str, _Sum]) -> tuple[Share, ...]:
    return tuple(total.share(name) for name, total in sums.items() if total.mass > 0.0)


def _tensor(entry: Callable[[int, int], float]) -> Tensor:
    rows = [(entry(i, 0), entry(i, 1), entry(i, 2)) for i in range(3)]
    return (rows[0], rows[1], rows[2])


def _point(mass: float, at: Vec) -> _Sum:
    one = _Sum(mass, mass * at[0], mass * at[1], mass * at[2])
    one.add_spread(mass, at)
    return one


def _of_part(part: Part, motion: Matrix | None) -> _Sum:
    shape = _Sum()
    for solid in part.solids:
        shape.add(_of_solid(solid, solid.place or part.place, motion))
    mass = part.mass()
    if shape.mass <= 0.0:
        at = part.place.origin
        return _point(mass, apply(motion, at) if motion else at)
    return shape.scaled(mass / shape.mass)


def _of_solid(solid: Solid, place: Place, motion: Matrix | None) -> _Sum:
    """Sums of a solid of density one."""
    p = solid.region.properties()
    volume = solid.volume()
    length = volume / p.area
    at = place.point(*solid.centroid())
    u, v, w = place.u, place.v, place.w
    if motion:
        at = apply(motion, at)
        u, v, w = turn(motion, u), turn(motion, v), turn(motion, w)
    one = _point(volume, at)
    one.add_spread(volume * length * length / 12.0, w)
    # The product term by way of u + v: (u+v)(u+v) = uu + vv + (uv + vu).
    both = (u[0] + v[0], u[1] + v[1], u[2] + v[2])
    one.add_spread((p.uu - p.uv) * length, u)
    one.add_spread((p.vv - p.uv) * length, v)
    one.add_spread(p.uv * length, both)
    return one


def _of_rod(weld: Weld, mass: float, motion: Matrix | None) -> _Sum:
    start, end = (apply(motion, weld.start), apply(motion, weld.end)) if motion else (weld.start, weld.end)
    (a, b, c), (d, e, f) = start, end
    middle = weld.middle()
    one = _point(mass, apply(motion, middle) if motion else middle)
    one.add_spread(mass / 12.0, (d - a, e - b, f - c))
    return one
