"""What the trip springs hang on: the lugs on the webs with their welds, and the eyebolts.

Their load is the spring's own at its greatest stretch, whatever strikes the blade.
"""

from __future__ import annotations

from math import dist
from typing import Final

import numpy as np

from plowwright import units
from plowwright.blade.loads import Blade
from plowwright.blade.parts import Part, Sprung, Weld
from plowwright.blade.strength.joint_checks import STANDARD_SAFETY, safety_said, strength_settings
from plowwright.blade.strength.pin_joints import lugs_of
from plowwright.blade.strength.seam_groups import welded
from plowwright.findings import Basis, Finding, against_limit, not_checked
from plowwright.physics import bolts
from plowwright.physics.joints import Floats
from plowwright.rulebook.schema import BoughtPart
from plowwright.units.constants import INCH

EYEBOLT: Final = "A307"
"""Grade the eyebolts are taken at: forged eyebolts of plain carbon steel, assumed."""


def findings(blade: Blade) -> tuple[Finding, ...]:
    """The worst spring's lug, weld and eyebolt.

    Args:
        blade: The blade.

    Raises:
        ModelError: A lug without hole or weld, or a strength that is not known.
    """
    parts = {part.id: part for part in blade.assembly.parts}
    hung = [joint for joint in blade.assembly.joints if isinstance(joint, Sprung)]
    found: list[Finding] = []
    for joint in hung:
        spring = blade.rulebook.bought[parts[joint.spring].stock]
        lug = parts.get(f"spring lug {joint.spring.removeprefix('spring ')}")
        force = _greatest(spring)
        if force is None or lug is None:
            found.append(
                not_checked(
                    title="spring lug",
                    because="the spring's rate or greatest stretch is not known" if lug else "it has no lug",
                    basis=Basis(kind="shop rule", formula="force at the greatest stretch"),
                    place=joint.id,
                )
            )
            continue
        found += [_lug(joint, lug, force, blade), _weld(joint, lug, force, blade), _eyebolt(joint, force, blade)]
    worst: dict[str, Finding] = {}
    for finding in found:
        known = worst.get(finding.title)
        if known is None or (finding.used or 0.0) > (known.used or 0.0) * (1 + 1e-9):
            worst[finding.title] = finding
    return tuple(worst.values())


def _greatest(spring: BoughtPart) -> float | None:
    """Force at the greatest stretch the maker allows [N], None when that is not known."""
    if spring.rate is None or spring.greatest_stretch is None:
        return None
    return (spring.initial_tension or 0.0) + spring.rate * spring.greatest_stretch


def _eased(blade: Blade) -> float:
    return STANDARD_SAFETY / strength_settings(blade).safety.daily.value


def _direction(joint: Sprung) -> Floats:
    run = np.array(joint.end) - np.array(joint.start)
    return run / dist(joint.start, joint.end)


def _lug(joint: Sprung, lug: Part, force: float, blade: Blade) -> Finding:
    along = _direction(joint)
    pull = np.array([[along @ np.array(lug.place.u), along @ np.array(lug.place.v)]])
    wire = blade.rulebook.bought[_stock(joint, blade)].wire or 0.375 * INCH
    allowed, way = lugs_of(lug, blade, pull)[0].allowable(wire)
    return against_limit(
        force,
        allowed * _eased(blade),
        kind="force",
        title="spring lug at its hook",
        place=lug.id,
        basis=Basis(
            kind="standard",
            formula=f"pull of the spring at its greatest stretch against {way} of the lug, the hook as its pin",
            inputs={
                "lug": f"{units.tape(lug.thickness)} {lug.material}",
                "hook": units.tape(wire),
                "safety": safety_said(blade),
            },
            source="AISC 360-16 D5, J7",
        ),
    )


def _weld(joint: Sprung, lug: Part, force: float, blade: Blade) -> Finding:
    rows = [j for j in blade.assembly.joints if isinstance(j, Weld) and lug.id in j.joins]
    electrode = strength_settings(blade).weld.electrode
    group = welded(lug.id, rows, blade, electrode.value)
    found = group.group.leg_stress(force * _direction(joint), (0.0, 0.0, 0.0), joint.start)
    line = np.linalg.norm(found, axis=-1).max(axis=-1) * group.group.legs
    worst = int(np.argmax(line / group.allowed))
    return against_limit(
        float(line[worst]),
        float(group.allowed[worst]) * _eased(blade),
        kind="spring_rate",
        title="weld of a spring lug",
        place=f"{lug.id} to web",
        basis=Basis(
            kind="standard",
            formula="force per length of the seams as lines; allowed 0.60 F_EXX x 0.707 leg / 2.00",
            inputs={
                "spring at its greatest stretch": units.say(force, "force"),
                "seams": units.tape(group.group.length),
                "weld metal": electrode.said("stress"),
                "safety": safety_said(blade),
            },
            source="AISC 360-16 J2.4; AISC Manual part 8, elastic method",
        ),
    )


def _eyebolt(joint: Sprung, force: float, blade: Blade) -> Finding:
    entry = blade.rulebook.bought[blade.datum.series.tower.eyebolt]
    diameter = entry.diameter or 0.625 * INCH
    grade = bolts.grade(EYEBOLT, diameter)
    return against_limit(
        force,
        bolts.allowable_tension(diameter, grade.tensile) * _eased(blade),
        kind="force",
        title="eyebolt of a spring",
        place=joint.id,
        basis=Basis(
            kind="assumed",
            formula="0.75 Fu on the shank / 2.00, straight pull",
            inputs={
                "eyebolt": units.tape(diameter),
                "tensile": f"{units.say(grade.tensile, 'stress')}, as {EYEBOLT} (assumed)",
                "safety": safety_said(blade),
            },
            source="AISC 360-16 J3.6",
        ),
    )


def _stock(joint: Sprung, blade: Blade) -> str:
    return blade.assembly.part(joint.spring).stock
