"""The plow bolts of the cutting edge: a strike below them pries them, an upward or sideways one shears them.

The edge lies before the bottom angle. Pushed back at its tip it turns on the angle's foot and pulls its bolts by
T = F (L - e) / e; pulled forward, as in back-drag, it turns on its own upper rim.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from plowwright import units
from plowwright.blade.loads import Blade, LoadCase
from plowwright.blade.parts import Bolted
from plowwright.blade.strength.joint_checks import JointCheck, easing, safety_said, strength_settings
from plowwright.blade.strength.members import strength_of
from plowwright.blade.strength.seam_groups import thickness
from plowwright.errors import ModelError
from plowwright.findings import Basis
from plowwright.physics import bolts
from plowwright.physics.joints import Floats

_END: Final = 0.9
"""Share of the way to the corner from which a strike is one at the end of the edge [-]."""


def check(blade: Blade, cases: tuple[LoadCase, ...]) -> tuple[JointCheck, ...]:
    """The edge bolts under every case that pushes on the edge; a band, for how many share a strike is assumed.

    Args:
        blade: The blade.
        cases: The load cases.

    Raises:
        ModelError: The bolts hold nothing, or the rulebook's grade is not known; says which.
    """
    held, diameter = _held(blade)
    grade = bolts.grade(strength_settings(blade).edge_bolts.grade.value, diameter)
    pull = bolts.allowable_tension(diameter, grade.tensile)
    shear = min(bolts.allowable_shear(diameter, grade.tensile), *_bearing(blade, diameter))
    tension, across, band = _demands(blade, cases, len(held.positions))
    eased = easing(blade, cases)
    return (
        JointCheck(
            place="cutting edge to bottom angle",
            family="cutting edge to bottom angle",
            kind="bolt",
            way="pull in an edge bolt, with its shear",
            cases=cases,
            demand=np.maximum(tension, across),
            allowed=pull * eased,
            use=np.hypot(tension / pull, across / shear) / eased,
            quantity="force",
            band=band,
            basis=_basis(blade, diameter, grade, shear),
        ),
    )


def _held(blade: Blade) -> tuple[Bolted, float]:
    """The bolts of the edge and their diameter [m]."""
    held = next((j for j in blade.assembly.joints if isinstance(j, Bolted) and "cutting edge" in j.joins), None)
    if held is None or not held.positions:
        raise ModelError(
            "no bolt holds the cutting edge",
            value="0 bolts",
            limit="at least one",
            way_out="Put the edge bolts back among the joints of this blade.",
        )
    diameter = blade.rulebook.bought[held.bolt].diameter
    if diameter is None:
        raise ModelError(
            "the edge bolt has no diameter", where=f"bought.toml, {held.bolt}", way_out="Give it a diameter."
        )
    return held, diameter


def _bearing(blade: Blade, diameter: float) -> list[float]:
    """What one bolt may bear on the edge and on the upright leg of the bottom angle [N]."""
    parts = [blade.assembly.part(name) for name in ("cutting edge", "bottom angle")]
    return [
        bolts.allowable_bearing(diameter, thickness(part, blade), strength_of(part, blade.rulebook, "tensile"))
        for part in parts
    ]


def _basis(blade: Blade, diameter: float, grade: bolts.BoltGrade, shear: float) -> Basis:
    settings, d = strength_settings(blade).edge_bolts, blade.datum
    return Basis(
        kind="standard",
        formula="T = F (L - e) / e over the bolts that share it; (T / Ta)^2 + (V / Va)^2 <= 1",
        inputs={
            "bolt": f"{units.tape(diameter)}, {grade.name}, tensile {units.say(grade.tensile, 'stress')}",
            "L, bolt line to tip": units.tape(d.bolt_line),
            "e, bolt line to foot of the angle": units.tape(d.bolt_line - d.foot),
            "bolts sharing a strike at a corner": settings.sharing_corner.said("-"),
            "bolts sharing a strike elsewhere": settings.sharing_centre.said("-"),
            "allowed across, shear or bearing": units.say(shear, "force"),
            "safety": safety_said(blade),
        },
        source="statics; AISC 360-16 J3.6, J3.10; " + grade.source,
    )


def _demands(blade: Blade, cases: tuple[LoadCase, ...], count: int) -> tuple[Floats, Floats, Floats]:
    """Pull and shear of the worst bolt by case with the likely sharing [N], and the band of that, (c, 2) [-]."""
    tension, across, band = np.zeros(len(cases)), np.zeros(len(cases)), np.ones((len(cases), 2))
    for row, case in enumerate(cases):
        sharing, band[row] = _sharing(blade, case, count)
        for load in case.board:
            if load.place.on != "edge":
                continue
            push, side, up = load.force
            height = (load.place.z0 + load.place.z1) / 2
            tension[row] += _pull(blade, push, height) / sharing
            across[row] += float(np.hypot(side, up)) / sharing
    return tension, across, band


def _pull(blade: Blade, push: float, height: float) -> float:
    """Pull in the bolts from a force along x on the edge at a height, 0 where the angle behind takes it all [N]."""
    d = blade.datum
    if push <= 0.0:
        return bolts.pried_tension(-push, d.bolt_line - height, d.bolt_line - d.foot)
    rim = min(d.edge_height, d.shelf) - d.bolt_line
    return push * (d.bolt_line - height + rim) / rim


def _sharing(blade: Blade, case: LoadCase, count: int) -> tuple[float, tuple[float, float]]:
    """How many bolts share the load, and the band of that as factors on the use."""
    if case.at is None:
        return float(count), (1.0, 1.0)
    settings = strength_settings(blade).edge_bolts
    end = abs(case.at) > _END * blade.datum.width / 2
    low, likely, high = (settings.sharing_corner if end else settings.sharing_centre).three
    return likely, (likely / high, likely / low)
