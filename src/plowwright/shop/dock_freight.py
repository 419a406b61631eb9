"""Packed size and mass, freight density and class, travel width, and where a blade is lifted."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf, radians, sin
from typing import Any

import numpy as np

from plowwright.blade.build import Build
from plowwright.blade.poses import Pose, motions
from plowwright.blade.prisms import prisms, spread
from plowwright.errors import EntryError
from plowwright.findings import Basis, Finding, against_limit
from plowwright.rulebook.dock import Dock, Freight
from plowwright.units import FOOT, GRAVITY, LB, inches, pounds, say

_CRATE = "freight crate"


@dataclass(frozen=True, slots=True, kw_only=True)
class Packed:
    """A blade made ready to go.

    Attributes:
        length: Crosswise over the blade [m].
        depth: Fore and aft [m].
        height: From the floor [m].
        mass: With all its packing [kg].
        crated: Whether it stands in a crate; else on a skid.
        stated: Whether sizes and mass were taken on the packed piece, not worked out.
    """

    length: float
    depth: float
    height: float
    mass: float
    crated: bool
    stated: bool = False

    @property
    def volume(self) -> float:
        """Of the box around it [m3]."""
        return self.length * self.depth * self.height

    @property
    def density(self) -> float:
        """Mass over the volume of the box around it [kg/m3]."""
        return self.mass / self.volume

    @property
    def text(self) -> str:
        """Size and mass in one line."""
        size = " x ".join(say(s, "length") for s in (self.length, self.depth, self.height))
        return f"{size}, {say(self.mass, 'mass')}, {'crated' if self.crated else 'on a skid'}"

    def as_dict(self) -> dict[str, Any]:
        """The piece for a machine, trade units in the names."""
        return {
            "length_in": round(inches(self.length), 1),
            "depth_in": round(inches(self.depth), 1),
            "height_in": round(inches(self.height), 1),
            "mass_lb": round(pounds(self.mass), 1),
            "density_lb_ft3": round(self.density / (LB / FOOT**3), 2),
            "crated": self.crated,
            "stated": self.stated,
        }


def extents(build: Build, *, angle: float = 0.0) -> tuple[float, float, float]:
    """Size of a blade over everything that is bolted to it: crosswise, fore and aft, height [m].

    Args:
        build: The blade.
        angle: Of the blade, + left end forward [rad].
    """
    turns = {body: spread(matrix) for body, matrix in motions(build.assembly.pivots, Pose(angle=angle)).items()}
    low, high = np.full(3, inf), np.full(3, -inf)
    for part in build.parts:
        if part.link is not None or part.body == "loose":
            continue
        turn, shift = turns[part.body]
        for solid in part.solids:
            for piece in prisms(solid, solid.place or part.place):
                at = piece.corners @ turn + shift
                low, high = np.minimum(low, at.min(axis=0)), np.maximum(high, at.max(axis=0))
    size = high - low
    return float(size[1]), float(size[0]), float(size[2])


def packed(build: Build, dock: Dock, *, mass: float | None = None) -> Packed:
    """A blade packed: its box, and its mass with crate or skid.

    Args:
        build: The blade.
        dock: The dock's settings.
        mass: What the scale said of the bare blade, None to take the build's [kg].
    """
    # A crate's mass is in the build where it was ordered, and not in what the scale said.
    crosswise, depth, height = extents(build)
    crate = sum(row.mass_total for row in build.bill.rows if row.stock == _CRATE)
    around, under = dock.packing.around.value, dock.packing.under.value
    bare = mass if mass is not None else build.mass - crate
    whole = bare + (crate or dock.packing.pallet.value)
    return Packed(length=crosswise + 2 * around, depth=depth + 2 * around, height=height + under, mass=whole,
                  crated=crate > 0)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class FreightClass:
    """The class a piece goes by.

    Attributes:
        freight_class: The class [-].
        density: Of the packed piece [kg/m3].
        least: Density from which this class counts [kg/m3].
        greatest: Density from which the next one does, None in the last band [kg/m3].
        finding: How near the edge of the band it is.
    """

    freight_class: float
    density: float
    least: float
    greatest: float | None
    finding: Finding


def freight_class(piece: Packed, freight: Freight) -> FreightClass:
    """Class by density; near the edge of a band, where a reweigh could move it, says so.

    Args:
        piece: The packed piece.
        freight: Bands of the rulebook.

    Raises:
        EntryError: A piece without size or mass.
    """
    if not (piece.volume > 0 and piece.mass > 0):
        raise EntryError("a piece has a size and a mass", value=piece.text, limit="above 0",
                         way_out="Measure it over the widest places, packing and all.")  # fmt: skip
    at = max(i for i, band in enumerate(freight.bands) if piece.density >= band.from_ - 1e-9)
    band = freight.bands[at]
    greatest = freight.bands[at + 1].from_ if at + 1 < len(freight.bands) else None
    # Towards the dearer class only: weighing less, or measuring larger, than the bill says.
    room = inf if band.from_ <= 0 else (piece.density - band.from_) / band.from_
    used = 1.0 - min(1.0, room)
    near = room < freight.near.value
    sentence = f"{_pcf(piece.density)}: class {band.freight_class:g}, from {_pcf(band.from_)}"
    if greatest is not None:
        sentence += f" to {_pcf(greatest)}"
    if near:
        dearer = freight.bands[at - 1].freight_class
        sentence += (
            f"; only {100 * room:.0f} % over the dearer class {dearer:g}: measure and weigh it packed before the "
        )
        sentence += "bill is written"
    return FreightClass(
        freight_class=band.freight_class, density=piece.density, least=band.from_, greatest=greatest,
        finding=Finding(
            title="freight class", sentence=sentence, value=_pcf(piece.density), limit=f"at least {_pcf(band.from_)}",
            margin="" if room == inf else f"{100 * room:.0f} %", verdict="near limit" if near else "holds",
            used=used if room < inf else None,
            basis=Basis(kind=freight.rests_on, formula="mass / (length x depth x height)",
                        inputs={"packed": piece.text, "sizes": "measured" if piece.stated else "worked out"},
                        source=freight.note),
        ),
    )  # fmt: skip


def _pcf(density: float) -> str:
    return f"{density / (LB / FOOT**3):.1f} lb/ft3"


@dataclass(frozen=True, slots=True, kw_only=True)
class Travel:
    """How wide a blade is on the road.

    Attributes:
        crosswise: Over everything, straight across the carrier or trailer [m].
        angled: Over everything at full angle [m].
        lengthwise: Laid along a trailer, its width across the bed [m].
        finding: The crosswise width against what a road allows.
    """

    crosswise: float
    angled: float
    lengthwise: float
    finding: Finding


def travel(build: Build, dock: Dock) -> Travel:
    """Travel width of a blade, for the load slip.

    Args:
        build: The blade.
        dock: The dock's settings.
    """
    straight = extents(build)
    angled = extents(build, angle=build.series.angle_stop)
    finding = against_limit(
        straight[0], dock.lifting.road.value, kind="length", title="travel width",
        basis=Basis(kind=dock.lifting.road.rests_on, formula="width over everything, markers and shoes with it",
                    source=dock.lifting.road.note),
    )  # fmt: skip
    return Travel(crosswise=straight[0], angled=angled[0], lengthwise=straight[1], finding=finding)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lifting:
    """Where slings go, and what they carry.

    Attributes:
        ahead: Centre of gravity ahead of the mount plate's face [m].
        aside: To the left of the middle, seen from the seat [m].
        above: Above the edge's tip [m].
        apart: Between the two sling points along the blade [m].
        mass: What hangs on the hook [kg].
        leg: Pull in each sling leg at the flattest angle allowed [N].
        angle: That angle, from the horizontal [rad].
        sentence: All of it in words, with what to keep away from.
    """

    ahead: float
    aside: float
    above: float
    apart: float
    mass: float
    leg: float
    angle: float
    sentence: str


def lifting(build: Build, dock: Dock, *, mass: float | None = None) -> Lifting:
    """Lifting points of a blade: two slings, the hook over the centre of gravity.

    Each of two legs carries the weight over twice the sine of its angle from the horizontal (statics).

    Args:
        build: The blade.
        dock: The dock's settings.
        mass: What the scale said of the blade without crate, None to take the build's [kg].

    Raises:
        EntryError: The sling angle of the settings is no angle a sling can hang at.
    """
    # Crate and what lies loose are not on the hook.
    hung = [share for share in build.tally.bodies if share.name != "loose"]
    bare = sum(share.mass for share in hung)
    x, y, z = (sum(share.mass * share.centre_of_gravity[i] for share in hung) / bare for i in range(3))
    angle, whole = dock.lifting.sling.value, mass if mass is not None else bare
    if not radians(30) <= angle <= radians(90):
        raise EntryError("a sling leg hangs between 30 and 90 deg", where="dock.toml, lifting.sling",
                         value=say(angle, "angle"), limit="30 to 90 deg", way_out="Write 60 deg.")  # fmt: skip
    leg = whole * GRAVITY / (2 * sin(angle))
    apart = dock.lifting.spread.value * build.spec.width
    side = "" if abs(y) < 0.005 else f", {say(abs(y), 'length')} to the {'left' if y > 0 else 'right'} of the middle"
    sentence = (
        f"{say(whole, 'mass')} hang with the hook {say(x, 'length')} ahead of the mount plate's face{side}; two slings "
        f"round the hinge beam and the foot, {say(apart, 'length')} apart, no leg flatter than {say(angle, 'angle')}: "
        f"{say(leg, 'force')} in each. Lift an inch and see that it hangs level; nobody under it or beside it, springs "
        "and hoses are no handles. Slings and hook are rated for it or it stays where it is"
    )
    return Lifting(ahead=x, aside=y, above=z, apart=apart, mass=whole, leg=leg, angle=angle, sentence=sentence)


def reweighed(piece: Packed, mass: float, freight: Freight) -> Finding:
    """The freight carrier's reweigh against our bill: whether the class still stands.

    Args:
        piece: As billed.
        mass: As the carrier weighed it [kg].
        freight: Bands of the rulebook.
    """
    again = replace(piece, mass=mass, stated=True)
    billed, now = freight_class(piece, freight), freight_class(again, freight)
    off = (mass - piece.mass) / piece.mass
    dearer = now.freight_class > billed.freight_class or off > freight.near.value
    return Finding(
        title="reweigh",
        sentence=f"billed {say(piece.mass, 'mass')} in class {billed.freight_class:g}, reweighed {say(mass, 'mass')} "
        f"in class {now.freight_class:g}" + (": hold ticket and photos against it" if dearer else ""),
        value=say(mass, "mass"), limit=say(piece.mass, "mass"), margin=f"{100 * off:+.1f} %",
        verdict="fails" if dearer else "holds",
        basis=Basis(kind=freight.rests_on, formula="class and mass as billed and as reweighed", source=freight.note),
    )  # fmt: skip
