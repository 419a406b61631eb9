"""Makes parts out of the rulebook's stock: bars between two points, plates, rounds and bought parts.

Everything here works in blade axes at rest. A bar's end is cut by a plane, given by its normal; the mitre, the cut
length over the long points and the shape all follow from that plane, so no piece can have a length that does not fit.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import acos, sqrt
from typing import Literal

from plowwright.blade.parts import Body, EndCut, Finish, Hole, Link, Part
from plowwright.blade.shapes import Place, Solid, Vec
from plowwright.errors import ModelError
from plowwright.physics import sections
from plowwright.physics.regions import Loop, Region, circle, rectangle
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.schema import BoughtPart, Section

X: Vec = (1.0, 0.0, 0.0)
Y: Vec = (0.0, 1.0, 0.0)
Z: Vec = (0.0, 0.0, 1.0)


def minus(a: Vec, b: Vec) -> Vec:
    """Difference a - b."""
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def dot(a: Vec, b: Vec) -> float:
    """Inner product, in the square of what goes in [-] for directions."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vec, b: Vec) -> Vec:
    """Vector product a x b."""
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def unit(a: Vec) -> Vec:
    """Vector of length one in the direction of a."""
    size = sqrt(dot(a, a))
    return (a[0] / size, a[1] / size, a[2] / size)


def distance(a: Vec, b: Vec) -> float:
    """Distance between two points [m]."""
    d = minus(a, b)
    return sqrt(dot(d, d))


def mirrored(a: Vec) -> Vec:
    """The same point or direction on the other side of the blade."""
    return (a[0], -a[1], a[2])


@dataclass(frozen=True, slots=True, kw_only=True)
class Maker:
    """Makes parts against one rulebook.

    Attributes:
        rulebook: Where stock, materials and bought parts are looked up.
    """

    rulebook: Rulebook

    def section(self, name: str) -> Section:
        """A section of the rulebook by name."""
        return self.rulebook.sections[name]

    def thickness(self, plate: str) -> float:
        """Thickness of a plate or sheet by name [m]."""
        return self.rulebook.plates[plate].thickness

    def wall(self, name: str) -> float:
        """Wall of a section by name [m]."""
        wall = self.section(name).wall
        return wall if wall is not None else 0.0

    def sizes(self, name: str) -> tuple[float, float]:
        """Larger and smaller outside size of a tube, flat or round [m]."""
        s = self.section(name)
        if s.diameter is not None:
            return s.diameter, s.diameter
        first, second = s.width or 0.0, (s.height if s.height is not None else s.wall) or 0.0
        return max(first, second), min(first, second)

    def density(self, material: str) -> float:
        """Mass per volume of a material by name [kg/m3]."""
        return self.rulebook.materials[material].density

    def region(self, name: str, *, upright: bool) -> Region:
        """Cross-section of a tube, flat or round with its larger side along v when upright, else along u."""
        s = self.section(name)
        if s.kind == "round":
            return sections.round_bar(s.diameter or 0.0)
        if s.kind == "round tube":
            return sections.round_tube(s.diameter or 0.0, s.wall or 0.0)
        large, small = self.sizes(name)
        u, v = (small, large) if upright else (large, small)
        return sections.box_tube(u, v, s.wall or 0.0) if s.kind == "tube" else sections.flat(u, v)

    def bar(
        self,
        part_id: str,
        mark: str,
        name: str,
        *,
        stock: str,
        start: Vec,
        end: Vec,
        up: Vec = Z,
        group: str,
        body: Body,
        start_normal: Vec | None = None,
        end_normal: Vec | None = None,
        upright: bool = True,
        region: Region | None = None,
        finish: Finish = "frame colour",
        operations: tuple[str, ...] = ("saw",),
        holes: tuple[Hole, ...] = (),
        removed: float = 0.0,
    ) -> Part:
        """A bar whose axis runs from start to end, cut at each by a plane through that point.

        Args:
            part_id: Unique id.
            mark: Shop mark.
            name: What it is.
            stock: Section name.
            start: Axis point at the first end [m].
            end: Axis point at the second end [m].
            up: Direction near which the section's v axis lies [-].
            group: Part group.
            body: Body that moves it.
            start_normal: Normal of the cutting plane at the start [-]; None for a square cut.
            end_normal: Normal of the cutting plane at the end [-]; None for a square cut.
            upright: Whether the larger side stands along v.
            region: Cross-section when it is not the plain one.
            finish: Paint.
            operations: What is done to it.
            holes: Holes in it.
            removed: Volume the holes take out [m3].
        """
        w = unit(minus(end, start))
        u = unit(cross(up, w)) if abs(dot(up, w)) < 0.999 else unit(cross(X, w))
        v = cross(w, u)
        shape = region or self.region(stock, upright=upright)
        slope0, cut0 = self._slope(start_normal, u, v, w, stock)
        slope1, cut1 = self._slope(end_normal, u, v, w, stock)
        long = distance(start, end)
        solid = Solid(region=shape, start=0.0, end=long, start_slope=slope0, end_slope=slope1)
        b = shape.bounds()
        corners = [(b[i], b[j]) for i in (0, 2) for j in (1, 3)]
        over_long = max(long + slope1[0] * p + slope1[1] * q for p, q in corners) - min(
            slope0[0] * p + slope0[1] * q for p, q in corners
        )
        section = self.section(stock)
        return Part(
            id=part_id,
            mark=mark,
            name=name,
            group=group,
            body=body,
            kind="bar",
            stock=stock,
            material=section.material,
            density=self.density(section.material),
            solids=(solid,),
            place=Place(origin=start, u=u, v=v),
            length=over_long,
            cuts=(cut0, cut1),
            finish=finish,
            operations=operations,
            holes=holes,
            removed=removed,
        )

    def _slope(self, normal: Vec | None, u: Vec, v: Vec, w: Vec, stock: str) -> tuple[tuple[float, float], EndCut]:
        if normal is None:
            return (0.0, 0.0), EndCut()
        along = dot(normal, w)
        if abs(along) < 0.2:
            raise ModelError(
                "a bar meets its neighbour almost side on; the saw cannot cut that",
                value=stock,
                limit="78 degrees away from a square cut",
                way_out="Widen the frame or shorten it.",
            )
        nu, nv = dot(normal, u), dot(normal, v)
        angle = acos(min(1.0, abs(along) / sqrt(dot(normal, normal))))
        large, small = self.sizes(stock)
        turned = abs(nu) >= abs(nv)
        side = "either side" if large == small else ("the narrow side" if turned else "the wide side")
        if angle < 1e-9:
            return (0.0, 0.0), EndCut()
        return (-nu / along, -nv / along), EndCut(angle=angle, across=side)

    def plate(
        self,
        part_id: str,
        mark: str,
        name: str,
        *,
        stock: str,
        outline: Loop,
        origin: Vec,
        u: Vec,
        v: Vec,
        group: str,
        body: Body,
        holes: tuple[Hole, ...] = (),
        openings: tuple[Loop, ...] = (),
        finish: Finish = "frame colour",
        operations: tuple[str, ...] = ("cut plate",),
        middle: bool = True,
    ) -> Part:
        """A flat plate part; its outline lies in its own u-v plane, its thickness along u x v.

        Args:
            part_id: Unique id.
            mark: Shop mark.
            name: What it is.
            stock: Plate name.
            outline: Outer loop [m].
            origin: Place of the outline's origin [m].
            u: Direction of u [-].
            v: Direction of v [-].
            group: Part group.
            body: Body that moves it.
            holes: Holes; round and square ones are cut out of the outline.
            openings: Further openings [m].
            finish: Paint.
            operations: What is done to it.
            middle: Whether the origin lies in mid-thickness, else on the face away from u x v.
        """
        entry = self.rulebook.plates[stock]
        t = entry.thickness
        start = -t / 2 if middle else 0.0
        inner = tuple(hole_loop(h) for h in holes) + openings
        region = Region(outer=outline, inner=inner)
        b = region.bounds()
        return Part(
            id=part_id,
            mark=mark,
            name=name,
            group=group,
            body=body,
            kind="plate",
            stock=stock,
            material=entry.material,
            density=self.density(entry.material),
            solids=(Solid(region=region, start=start, end=start + t),),
            place=Place(origin=origin, u=u, v=v),
            length=max(b[2] - b[0], b[3] - b[1]),
            width=min(b[2] - b[0], b[3] - b[1]),
            thickness=t,
            holes=holes,
            finish=finish,
            operations=operations + (("drill",) if holes else ()),
        )

    def entry(self, name: str) -> BoughtPart:
        """A bought part by name."""
        return self.rulebook.bought[name]

    def given_mass(self, name: str) -> float:
        """Mass of a bought part [kg]; one without mass cannot be built in.

        Raises:
            ModelError: The rulebook gives no mass for it.
        """
        mass = self.entry(name).mass
        if mass is None:
            raise ModelError(
                "a bought part without mass",
                where=f"bought.toml, {name}",
                way_out='Weigh one and write mass = "12.5 lb" into its entry.',
            )
        return mass

    def bought(
        self,
        part_id: str,
        mark: str,
        name: str,
        *,
        stock: str,
        solids: tuple[Solid, ...],
        place: Place,
        group: str,
        body: Body,
        finish: Finish = "none",
        share: float = 1.0,
        link: Link | None = None,
        length: float = 0.0,
    ) -> Part:
        """A bought part with the outside shape it is drawn with.

        Args:
            part_id: Unique id.
            mark: Shop mark.
            name: What it is.
            stock: Name in bought.toml.
            solids: Outside shape.
            place: Place at rest.
            group: Part group.
            body: Body that moves it.
            finish: Paint.
            share: Share of the bought part's mass this piece carries [-].
            link: How it follows two bodies.
            length: Overall length [m].
        """
        return Part(
            id=part_id,
            mark=mark,
            name=name,
            group=group,
            body=body,
            kind="bought",
            stock=stock,
            material="as bought",
            density=0.0,
            solids=solids,
            place=place,
            finish=finish,
            given_mass=self.given_mass(stock) * share,
            link=link,
            length=length,
            operations=("assemble",),
        )


def hole_loop(hole: Hole) -> Loop:
    """Outline of a hole in the plate's u-v plane."""
    r = hole.diameter / 2
    if hole.kind == "plow bolt":
        return rectangle(hole.along - r, hole.across - r, hole.along + r, hole.across + r)
    if hole.kind == "slot":
        reach = hole.slot_length / 2 - r
        a, b, c = hole.along, hole.across, 1.0
        return (
            (a - reach, b - r, 0.0),
            (a + reach, b - r, c),
            (a + reach, b + r, 0.0),
            (a - reach, b + r, c),
        )
    return circle(hole.along, hole.across, r)


def end_seam(bar: Part, end: Literal["start", "end"]) -> tuple[Vec, Vec, Vec]:
    """Where a bar's cut end lies on the face it is welded to: first seam's start and end, and across to the opposite.

    A tube's rounded corners count as square.

    Args:
        bar: The bar.
        end: Which end.
    """
    solid = bar.solids[0]
    at, (su, sv) = (solid.start, solid.start_slope) if end == "start" else (solid.end, solid.end_slope)
    u0, v0, u1, v1 = solid.region.bounds()
    first, second, opposite = (bar.place.point(u, v, at + su * u + sv * v) for u, v in ((u0, v0), (u1, v0), (u0, v1)))
    return first, second, minus(opposite, first)


def box(size: Vec, centre: Vec = (0.0, 0.0, 0.0)) -> Solid:
    """A block with sides along u, v, w.

    Args:
        size: Sizes along u, v and w [m].
        centre: Middle [m].
    """
    a, b, c = size[0] / 2, size[1] / 2, size[2] / 2
    region = Region(outer=rectangle(centre[0] - a, centre[1] - b, centre[0] + a, centre[1] + b))
    return Solid(region=region, start=centre[2] - c, end=centre[2] + c)


def along(start: Vec, end: Vec) -> Place:
    """A place at start whose w axis points to end."""
    w = unit(minus(end, start))
    u = unit(cross(Z, w)) if abs(w[2]) < 0.999 else X
    return Place(origin=start, u=u, v=cross(w, u))
