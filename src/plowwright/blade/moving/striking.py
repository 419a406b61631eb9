"""A deeper look: what moves in a strike on the blade's end while the relief opens, and the setting that spares most."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import pi
from typing import Any

from plowwright.blade.build import Build
from plowwright.blade.carriers import Carrier
from plowwright.blade.moving import judging, protecting
from plowwright.blade.moving.geometry import cylinder_of, linkage_of, pin_to_pin, turns_of
from plowwright.blade.moving.restrictors import rules_of
from plowwright.blade.tripping import trip_of
from plowwright.findings import Basis, Finding, not_checked
from plowwright.physics.relief import Relief
from plowwright.physics.strike_motion import Outcome, Strike, best_setting, end_and_middle, strike
from plowwright.rulebook.swing import Swing
from plowwright.units.constants import PSI

TRIED = (1000, 1500, 2000, 2500, 3000, 3500)
"""Settings of the relief the deeper look tries [psi]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Struck:
    """A strike on the blade's end, followed through, that draws the rod out.

    Attributes:
        case: What was followed.
        end: At the blade's end, relief as set.
        middle: In the middle of the blade.
        blocked: At the end without any relief.
        settings: Settings tried [Pa].
        tried: What each came to.
        best: The setting with which frame and hub see the least moment [Pa].
        finding: What is said of it.
    """

    case: Strike
    end: Outcome
    middle: Outcome
    blocked: Outcome
    settings: tuple[float, ...]
    tried: tuple[Outcome, ...]
    best: float
    finding: Finding

    def as_dict(self) -> dict[str, Any]:
        """The deeper look for a machine."""
        return {
            "end": _outcome(self.end), "middle": _outcome(self.middle), "blocked": _outcome(self.blocked),
            "settings_psi": [round(p / PSI) for p in self.settings],
            "king_pin_moment_n_m": [round(o.king_pin_moment) for o in self.tried],
            "best_psi": round(self.best / PSI),
            "finding": self.finding.as_dict(),
        }  # fmt: skip


def look(build: Build, carrier: Carrier | None) -> Struck | Finding:
    """Follow a strike on the blade's end; a finding that says why not where it cannot be.

    Args:
        build: The blade.
        carrier: The machine, for its weight.

    Raises:
        NotFoundError: The rulebook has no swing.toml.
        ModelError: Energy does not add up.
    """
    rules, basis = rules_of(build), Basis(kind="assumed", formula="masses, contact, oil and relief followed in time")
    title, place = "strike on the blade's end, followed through", protecting.PLACE
    relief, mass = protecting.relief_of(build, rules), None if carrier is None else carrier.known("mass")
    if relief is None or build.rulebook.strength is None:
        because = "the relief's setting and a strike's speed stand in strength.toml, which this rulebook has not"
        return not_checked(title=title, because=because, basis=basis, place=place)
    if mass is None:
        because = "the carrier's weight is not known"
        return not_checked(title=title, because=because, basis=basis, place=place)
    case = _case(build, rules, relief, mass.likely)
    half = build.spec.width / 2.0
    end, middle = end_and_middle(case, half)
    blocked = strike(replace(case, lever=half, relief=None))
    settings = tuple(p * PSI for p in TRIED)
    best, tried = best_setting(replace(case, lever=half), settings)
    return Struck(
        case=case, end=end, middle=middle, blocked=blocked, settings=settings, tried=tried, best=best,
        finding=_finding(title, end, middle, blocked, relief, best, case),
    )  # fmt: skip


def _case(build: Build, rules: Swing, relief: Relief, mass: float) -> Strike:
    strength = build.rulebook.strength
    assert strength is not None  # `look` has said so
    linkage, turns = linkage_of(build), turns_of(build, rules.turning)
    cylinder = cylinder_of(build)
    straight, lines = pin_to_pin(build, 0.0), rules.lines
    hose = pi / 4.0 * lines.bore.value**2 * lines.length.value
    room = cylinder.rod_area * (linkage.longest - straight)
    hinge = build.assembly.pivots.hinge
    foot = next(share for share in build.tally.bodies if share.name == "moldboard")
    return Strike(
        speed=strength.strike.speed.likely,
        mass=mass + build.mass,
        contact=strength.strike.contact_stiffness.likely,
        inertia=turns.steel,
        area=cylinder.rod_area,
        arm=linkage.arm(straight),
        oil=room + hose + rules.carrier.lines_volume.value / 2.0,
        bulk=rules.oil.bulk.likely,
        relief=relief,
        stop=build.assembly.pivots.angle_stop,
        height=hinge[2],
        trip_inertia=foot.inertia_about(hinge)[1][1],
        trip_moment=trip_of(build).held_moment(0.0),
    )


def _finding(
    title: str, end: Outcome, middle: Outcome, blocked: Outcome, relief: Relief, best: float, case: Strike
) -> Finding:
    pressure = judging.pressure
    text = (
        f"with the relief at {pressure(relief.setting)} the end sees {judging.force(end.peak)}, the cylinder "
        f"{pressure(end.pressure)} and {pressure(blocked.pressure)} with the lines blocked and no relief; the middle "
        f"sees {judging.force(middle.peak)}; of the settings tried {pressure(best)} leaves frame and hub the least. "
        "Not checked because stiffness of contact and stops are assumed: for comparing settings, not for a limit"
    )
    return Finding(
        title=title,
        sentence=f"{title}: {text}",
        value=pressure(end.pressure),
        limit="",
        margin="",
        verdict="not checked",
        basis=Basis(
            kind="assumed",
            formula="M x'' = push - N; I psi'' = N y - p A arm - stop; p' = K / V (A arm psi' - q)",
            inputs={
                "speed": f"{case.speed:.2f} m/s",
                "contact stiffness": f"{case.contact / 1e6:.1f} kN/mm",
                "stiffness of the oil": pressure(case.bulk),
                "lag of the relief": f"{relief.lag * 1000:.0f} ms",
            },
            source="rigid-body mechanics; strength.toml and swing.toml for what is assumed",
        ),
        place=protecting.PLACE,
    )


def _outcome(found: Outcome) -> dict[str, float]:
    return {
        "peak_n": round(found.peak), "king_pin_moment_n_m": round(found.king_pin_moment),
        "pressure_psi": round(found.pressure / PSI), "yaw_rad": round(found.yaw, 4),
    }  # fmt: skip
