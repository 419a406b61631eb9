"""Ties the blade together: a spec worked out once against a rulebook, frozen, with everything that follows from it."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from typing import Any

from plowwright.blade.assemble import assemble
from plowwright.blade.bill import Bill, bill
from plowwright.blade.checks import findings
from plowwright.blade.datum import Datum
from plowwright.blade.datum import work_out as work_out_datum
from plowwright.blade.mass import MassTally, tally
from plowwright.blade.parts import Assembly, Part, Vec
from plowwright.blade.spec import Spec
from plowwright.findings import Finding
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.schema import Series
from plowwright.units import inches, pounds


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
    """

    spec: Spec
    rulebook: Rulebook
    datum: Datum
    assembly: Assembly
    tally: MassTally
    bill: Bill
    findings: tuple[Finding, ...]
    fingerprint: str

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


def work_out(spec: Spec, rulebook: Rulebook) -> Build:
    """Work one blade out.

    Args:
        spec: The chosen options.
        rulebook: The rules in force.

    Raises:
        SpecError: The spec is not complete or its choices clash.
        ModelError: The rules do not give a blade that can be built.
    """
    assembly = assemble(spec, rulebook)
    d = work_out_datum(spec, rulebook)
    return Build(
        spec=spec,
        rulebook=rulebook,
        datum=d,
        assembly=assembly,
        tally=tally(assembly),
        bill=bill(assembly),
        findings=findings(d, assembly, rulebook),
        fingerprint=fingerprint(spec, rulebook),
    )


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
