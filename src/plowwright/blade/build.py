"""Ties the blade together: a spec worked out once against a rulebook, frozen, with everything that follows from it."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal

from plowwright.blade.assemble import assemble
from plowwright.blade.bill import Bill, bill
from plowwright.blade.carriers import Carrier
from plowwright.blade.checks import clear, findings
from plowwright.blade.datum import Datum
from plowwright.blade.datum import work_out as work_out_datum
from plowwright.blade.mass import MassTally, tally
from plowwright.blade.parts import Assembly, Part, Vec
from plowwright.blade.spec import Spec
from plowwright.findings import Finding
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.schema import Series
from plowwright.units import inches, pounds

if TYPE_CHECKING:
    from plowwright.blade.holding import Holding

Level = Literal[0, 1, 2]
"""How deep strength is looked at: 0 not at all, 1 frame with the moldboard as a lattice, 2 as a shell."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Build:
    """One blade, worked out.

    Attributes:
        spec: What was chosen.
        rulebook: The rules it was worked out by.
        datum: The sizes everything hangs on.
        assembly: Parts and joints.
        tally: Mass, centre of gravity and inertia, by group.
        bill: Bill of materials.
        findings: What was checked, with verdicts.
        fingerprint: Short and the same for the same blade by the same rules.
        level: How deep its strength was looked at.
        carrier: The machine it was held against, or None.
        holding: What it stands and what gives first; None at level 0 or without strength settings.
        on_carrier: What its carrier asks for: lift, axles, widths, swing, plumbing; a part of `findings`.
    """

    spec: Spec
    rulebook: Rulebook
    datum: Datum
    assembly: Assembly
    tally: MassTally
    bill: Bill
    findings: tuple[Finding, ...]
    fingerprint: str
    level: Level = 0
    carrier: Carrier | None = None
    holding: Holding | None = None
    on_carrier: tuple[Finding, ...] = ()

    @property
    def series(self) -> Series:
        """The series."""
        return self.datum.series

    @property
    def parts(self) -> tuple[Part, ...]:
        """All parts."""
        return self.assembly.parts

    @property
    def mass(self) -> float:
        """Mass as it stands, weld metal and paint included [kg]."""
        return self.tally.total

    @property
    def centre_of_gravity(self) -> Vec:
        """Centre of gravity in blade axes [m]."""
        return self.tally.centre_of_gravity

    @property
    def name(self) -> str:
        """Series and width, as people say it."""
        return f"{self.series.name} {inches(self.spec.width):g} in"

    def as_dict(self) -> dict[str, Any]:
        """The build for a machine: stable names, trade units in the names."""
        x, y, z = self.centre_of_gravity
        return {
            "name": self.name,
            "fingerprint": self.fingerprint,
            "duty_class": self.series.duty_class,
            "spec": self.spec.as_dict(),
            "rulebook": {
                "date": self.rulebook.version.date.isoformat(),
                "fingerprint": self.rulebook.fingerprint,
            },
            "mass_lb": round(pounds(self.mass), 1),
            "centre_of_gravity_in": [round(inches(c), 2) for c in (x, y, z)],
            "parts": [row.as_dict() for row in self.bill.rows],
            "findings": [finding.as_dict() for finding in self.findings],
        }


def work_out(spec: Spec, rulebook: Rulebook, carrier: Carrier | None = None, *, level: Level = 2) -> Build:
    """Work one blade out.

    Args:
        spec: The chosen options.
        rulebook: The rules in force.
        carrier: The machine that carries it, as far as it is known; its weight decides what strikes bring.
        level: 0: parts, mass and what geometry says, for lists of many; 1: with the strength of frame and joints
            and the clearance of moving parts, for sweeps; 2: with the moldboard as a shell and the forces of its
            welds, for quotes.

    Raises:
        SpecError: The spec is not complete or its choices clash.
        ModelError: The rules do not give a blade that can be built, or a part or joint cannot hold anything.
    """
    assembly = assemble(spec, rulebook)
    d = work_out_datum(spec, rulebook)
    build = Build(
        spec=spec,
        rulebook=rulebook,
        datum=d,
        assembly=assembly,
        tally=tally(assembly),
        bill=bill(assembly),
        findings=findings(d, assembly, rulebook, alone=carrier is None),
        fingerprint=fingerprint(spec, rulebook),
        carrier=carrier,
    )
    return build if level == 0 else held(build, carrier, level=level)


def checked(build: Build) -> tuple[Finding, ...]:
    """What geometry and stock say of a build, said again in the units spoken now (see `units.speaking`).

    Args:
        build: The blade.
    """
    return findings(build.datum, build.assembly, build.rulebook, alone=build.carrier is None)


def held(build: Build, carrier: Carrier | None = None, *, level: Literal[1, 2] = 2) -> Build:
    """A build with its strength looked at.

    Args:
        build: The blade, worked out at any level.
        carrier: The machine that carries it, as far as it is known.
        level: 1: moldboard as a lattice; 2: as a shell.

    Raises:
        ModelError: A part or joint cannot hold anything; it is named.
    """
    # What holds and what the carrier asks for read builds, so they cannot be imported above.
    from plowwright.blade.carried import carried
    from plowwright.blade.holding import hold, without_settings

    found = hold(build, carrier, level=level)
    build = replace(build, level=level, carrier=carrier, holding=found)
    own = (*checked(build), clear(build.assembly))
    on = () if carrier is None else carried(build, carrier)
    more = (without_settings(),) if found is None else found.findings
    return replace(build, findings=(*own, *on, *more), on_carrier=on)


def fingerprint(spec: Spec, rulebook: Rulebook) -> str:
    """Eight hex figures of the choices and the rulebook; the order number and the customer's name are not part of it.

    Args:
        spec: The chosen options.
        rulebook: The rules in force.
    """
    choices = {**spec.as_dict(), "width": round(spec.width, 6), "number": "", "customer": "", "note": ""}
    text = json.dumps([choices, rulebook.fingerprint], sort_keys=True)
    digest = hashlib.sha256(text.encode()).hexdigest()
    return f"{digest[:4]}-{digest[4:8]}"
