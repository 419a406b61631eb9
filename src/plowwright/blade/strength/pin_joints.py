"""Hinge pins, king pin, cylinder brackets and mount lugs: pins in shear and bending, the plates around them.

A pin between two outer plates and an inner one is taken as a beam loaded evenly by each plate. The king pin's own
bending is among the members of the frame; here are its shear and the plates it bears on.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from math import cos, inf, pi, radians, sin
from typing import Final, Protocol

import numpy as np

from plowwright import units
from plowwright.blade.loads import Blade
from plowwright.blade.parts import Part, Pinned
from plowwright.blade.strength.analysis_results import Analysis
from plowwright.blade.strength.joint_checks import JointCheck, Kind, Unchecked, easing, family, safety_said
from plowwright.blade.strength.members import strength_of
from plowwright.blade.strength.mount_seams import lug_loads
from plowwright.errors import ModelError
from plowwright.findings import Basis
from plowwright.physics.joints import Floats
from plowwright.physics.pins import Lug, Pin
from plowwright.physics.regions import Region, flatten
from plowwright.physics.welds import SAFETY

ROUND_OFF: Final = 1e-9
"""Share of a side by which a ray may miss its end and still meet it [-]."""
AHEAD: Final = (-40.0, -20.0, 0.0, 20.0, 40.0)
"""Rays on which the least metal before a pin is looked for, off the direction of its pull [deg]."""
BESIDE: Final = (70.0, 90.0, 110.0, -70.0, -90.0, -110.0)
"""The same for the metal on either side, first half and second half [deg]."""
_TURNS: Final = np.arange(16) * pi / 8
_ROUND_ABOUT: Final = np.stack([np.cos(_TURNS), np.sin(_TURNS)], axis=1)


class Row(Protocol):
    """Makes a check of this blade's from what differs between its pins and plates."""

    def __call__(
        self, place: str, kind: Kind, way: str, force: Floats, allowed: float | Floats, inputs: Mapping[str, str]
    ) -> JointCheck: ...


def check(blade: Blade, analysis: Analysis) -> tuple[tuple[JointCheck, ...], tuple[Unchecked, ...]]:
    """Every pin of a blade and the plates around it, and what cannot be said.

    Args:
        blade: The blade.
        analysis: What goes through its joints.

    Raises:
        ModelError: A pin's part is missing, a hole breaks out of its plate, or a strength is not known.
    """
    row = _rows(blade, analysis)
    rows = [
        *_hinges(blade, analysis, row),
        *_king_pin(blade, analysis, row),
        *_cylinder(blade, analysis, row),
        *_mount(blade, analysis, row),
    ]
    pins = Unchecked(
        place="pins of the angle cylinder",
        because="they come with the cylinder and its maker does not say what they are made of",
    )
    return tuple(rows), (pins,)


def lugs_of(part: Part, blade: Blade, pulls: Floats) -> tuple[Lug, ...]:
    """A plate with its pin's hole as a lug, once for each direction of the pull in its own plane.

    Args:
        part: The plate, its pin's hole the first.
        blade: The blade.
        pulls: Directions of the pin's push on the plate, in the plate's own u and v, (k, 2) [-].

    Raises:
        ModelError: It has no hole, the hole breaks out, or its strength is not known.
    """
    if not part.holes:
        raise ModelError(f"{part.id} has no hole for its pin", way_out="Give the plate its hole back.")
    rays = np.concatenate([_turned(pulls, off) for off in (*AHEAD, *BESIDE)])
    reach = _metal(part, rays).reshape(-1, len(pulls))
    ahead, one, other_one = len(AHEAD), len(AHEAD) + len(BESIDE) // 2, len(AHEAD) + len(BESIDE)
    sides = (reach[:ahead], reach[ahead:one], reach[one:other_one])
    metal = np.stack([side.min(axis=0) for side in sides], axis=1)
    first, last = (strength_of(part, blade.rulebook, kind) for kind in ("yield", "tensile"))
    return tuple(
        Lug(
            name=part.id,
            thickness=part.thickness,
            hole=part.holes[0].diameter,
            beyond=beyond,
            beside=beside,
            other_side=other,
            yield_strength=first,
            tensile=last,
        )
        for beyond, beside, other in metal.tolist()
    )


def _turned(ways: Floats, angle: float) -> Floats:
    c, s = cos(radians(angle)), sin(radians(angle))
    return np.stack([c * ways[:, 0] - s * ways[:, 1], s * ways[:, 0] + c * ways[:, 1]], axis=1)


def _metal(part: Part, ways: Floats) -> Floats:
    """Metal from the rim of a plate's first hole to its outline or next opening, by direction (k, 2), (k,) [m]."""
    hole, region = part.holes[0], part.solids[0].region
    found = _sides(region) - np.array([hole.along, hole.across])
    a, run = found[:, 0], found[:, 1] - found[:, 0]
    # From the hole's middle along each direction to each side: far along it, at a share of the side.
    turned = ways[:, :1] * run[:, 1] - ways[:, 1:] * run[:, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (a[:, 0] * ways[:, 1:] - a[:, 1] * ways[:, :1]) / turned
        far = (a[:, 0] * run[:, 1] - a[:, 1] * run[:, 0]) / turned
    hit = (turned != 0.0) & (share >= -ROUND_OFF) & (share <= 1.0 + ROUND_OFF) & (far > 0.0)
    reach: Floats = np.where(hit, far, inf).min(axis=1)
    return reach - hole.diameter / 2


@lru_cache(maxsize=500)
def _sides(region: Region) -> Floats:
    """Sides of a plate's outline and of its openings but for the first hole, from point to point, (s, 2, 2) [m]."""
    rows: list[Floats] = []
    for loop in (region.outer, *region.inner[1:]):
        points = np.array(flatten(loop))
        rows.append(np.stack([points, np.roll(points, -1, axis=0)], axis=1))
    return np.concatenate(rows)


def _hinges(blade: Blade, analysis: Analysis, row: Row) -> Iterator[JointCheck]:
    parts = {part.id: part for part in blade.assembly.parts}
    joints = {joint.id: joint for joint in blade.assembly.joints}
    for number, name in enumerate(analysis.hinges):
        joint = joints.get(name)
        if not isinstance(joint, Pinned) or joint.pin not in parts:
            raise ModelError(
                f"{name} has no pin: nothing joins what turns on it",
                way_out="Put the pin back among the parts and joints of this blade.",
            )
        first, inner, last = (parts[part] for part in joint.joins)
        force = analysis.hinge_forces[:, number, :3]
        bar = parts[joint.pin]
        pin = Pin(
            diameter=joint.diameter,
            yield_strength=strength_of(bar, blade.rulebook, "yield"),
            tensile=strength_of(bar, blade.rulebook, "tensile"),
            inner=inner.thickness,
            outer=min(first.thickness, last.thickness),
            gap=_gap(joint, inner, (first, last)),
        )
        inputs = {
            "pin": f"{units.tape(pin.diameter)} {bar.material}",
            "plates": f"{units.tape(pin.inner)} between two of {units.tape(pin.outer)}, "
            f"{units.say(pin.gap, 'length', style='decimal')} of play each side",
        }
        across = _across(force, joint.axis)
        yield row(joint.pin, "pin", "shear and bending of the pin", across, pin.allowable_together(), inputs)
        yield _plate(row, inner, blade, joint.diameter, -force)
        for ear in (first, last):
            yield _plate(row, ear, blade, joint.diameter, force / 2)


def _king_pin(blade: Blade, analysis: Analysis, row: Row) -> Iterator[JointCheck]:
    parts = {part.id: part for part in blade.assembly.parts}
    joint = next((j for j in blade.assembly.joints if isinstance(j, Pinned) and j.id == "king pin joint"), None)
    if joint is None or joint.pin not in parts:
        raise ModelError(
            "there is no king pin: nothing joins push frame and hub",
            way_out="Put the king pin back among the parts and joints of this blade.",
        )
    bar = parts[joint.pin]
    one_plane = 0.6 * strength_of(bar, blade.rulebook, "tensile") * pi / 4 * joint.diameter**2 / SAFETY
    inputs = {"pin": f"{units.tape(joint.diameter)} {bar.material}", "shear planes": "one at each plate"}
    for number, where in enumerate(("upper", "lower")):
        force = analysis.king_pin_forces[:, number]
        place = f"king pin {where}"
        yield row(place, "pin", "shear of the pin", _across(force, joint.axis), one_plane, inputs)
        yield _plate(row, parts[f"king-pin plate {where}"], blade, joint.diameter, -force)
        yield _plate(row, parts[f"hub plate {where}"], blade, joint.diameter, _for_hub(force, analysis))


def _for_hub(forces: Floats, analysis: Analysis) -> Floats:
    """Forces in the axes of the hub, which stands turned about the upright against the blade's angle, (c, 3) [N]."""
    angle = np.array([case.angle for case in analysis.cases])
    c, s = np.cos(angle), np.sin(angle)
    x, y, z = forces.T
    return np.stack([c * x + s * y, c * y - s * x, z], axis=1)


def _cylinder(blade: Blade, analysis: Analysis, row: Row) -> Iterator[JointCheck]:
    parts = {part.id: part for part in blade.assembly.parts}
    for joint in blade.assembly.joints:
        if not isinstance(joint, Pinned) or joint.id not in ("cylinder base", "cylinder rod end"):
            continue
        plate = next(parts[part] for part in joint.joins if parts[part].kind == "plate")
        held = analysis.holds.get(("hold", plate.id))
        if held is not None:
            yield _plate(row, plate, blade, joint.diameter, held.forces[:, :3])


def _mount(blade: Blade, analysis: Analysis, row: Row) -> Iterator[JointCheck]:
    """The lugs of a mount that is pinned to the carrier; hooks sit in its coupler in a way its maker knows."""
    mount = blade.datum.mount
    if mount.kind != "pins" or not mount.pin_diameter:
        return
    for lug, (_, forces) in lug_loads(blade, analysis).items():
        yield _plate(row, blade.assembly.part(lug), blade, mount.pin_diameter, -forces[:, :3])


def _plate(row: Row, part: Part, blade: Blade, pin: float, forces: Floats) -> JointCheck:
    """A plate around its pin; forces of the pin on the plate, by case, (c, 3) [N]."""
    place = part.place
    own = np.stack([forces @ np.array(place.u), forces @ np.array(place.v)], axis=1)
    size = np.linalg.norm(own, axis=1)
    allowed, ways = np.full(len(size), inf), ["bearing"] * len(size)
    pushed = np.flatnonzero(size > 0.0)
    # Directions that differ by less than half a degree count as one.
    turned: Floats = own[pushed] / size[pushed, None]
    towards = [(round(float(u), 2), round(float(v), 2)) for u, v in turned]
    pulls = list(dict.fromkeys(towards))
    lugs = lugs_of(part, blade, np.array(pulls).reshape(-1, 2))
    found = {pull: lug.allowable(pin) for pull, lug in zip(pulls, lugs, strict=True)}
    for case, pull in zip(pushed.tolist(), towards, strict=True):
        allowed[case], ways[case] = found[pull]
    worst = int(np.argmax(size / allowed))
    least = float(_metal(part, _ROUND_ABOUT).min())
    inputs = {
        "plate": f"{units.tape(part.thickness)} {part.material}",
        "pin": units.tape(pin),
        "least metal around the hole": units.say(least, "length", style="decimal"),
    }
    return row(part.id, "lug", f"{ways[worst]} of the plate at its pin", size, allowed, inputs)


def _rows(blade: Blade, analysis: Analysis) -> Row:
    eased, level, safety = easing(blade, analysis.cases), f"level {analysis.level}", safety_said(blade)

    def row(
        place: str, kind: Kind, way: str, force: Floats, allowed: float | Floats, inputs: Mapping[str, str]
    ) -> JointCheck:
        return JointCheck(
            place=place,
            family=family(place),
            kind=kind,
            way=way,
            cases=analysis.cases,
            demand=force,
            allowed=allowed * eased,
            use=force / (allowed * eased),
            quantity="force",
            basis=Basis(
                kind="standard",
                formula="shear 0.6 Fu A / 2.00 and bending F/8 (b + 4 c + 2 a) against Fy Z / 1.67, squares added"
                if kind == "pin"
                else "least of Fu t be on both sides, 0.6 Fu 2 t (a + d / 2) and 1.8 Fy d t, over 2.00",
                inputs={**inputs, "safety": safety, "model": level},
                source="AISC 360-16 D5, J7" + ("; EN 1993-1-8 3.13 (from memory)" if kind == "pin" else ""),
            ),
        )

    return row


def _across(forces: Floats, axis: tuple[float, float, float]) -> Floats:
    """Size of the part of the forces square to an axis, (c,) [N]."""
    along = np.array(axis)
    found: Floats = np.linalg.norm(forces - np.outer(forces @ along, along), axis=1)
    return found


def _gap(joint: Pinned, inner: Part, outer: tuple[Part, ...]) -> float:
    """Play between the inner plate and each outer one, the mean of both sides [m]."""

    def middle(part: Part) -> float:
        solid = part.solids[0]
        place = part.place.point(0.0, 0.0, (solid.start + solid.end) / 2)
        return sum(a * b for a, b in zip(place, joint.axis, strict=True))

    apart = [abs(middle(part) - middle(inner)) - (part.thickness + inner.thickness) / 2 for part in outer]
    return max(0.0, sum(apart) / len(apart))
