"""Whether every fillet is large enough for the metal it joins, and small enough for the edge it runs along.

A small fillet on thick metal cools too fast and cracks; one as large as a plate's edge melts the edge away.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from plowwright import units
from plowwright.blade.loads import Blade
from plowwright.blade.parts import Part, Weld
from plowwright.blade.strength.joint_checks import family
from plowwright.blade.strength.seam_groups import thickness
from plowwright.findings import Basis, Finding, against_limit
from plowwright.physics import welds
from plowwright.units.constants import INCH

CLOSE: Final = INCH / 64
"""A leg this much over its greatest is still taken as met [m]."""


def findings(blade: Blade) -> tuple[Finding, ...]:
    """The fillet nearest to its least and to its greatest leg, and every family of seams that breaks one.

    Args:
        blade: The blade.
    """
    parts = {part.id: part for part in blade.assembly.parts}
    seams = [joint for joint in blade.assembly.joints if isinstance(joint, Weld)]
    least = [_least(weld, parts, blade) for weld in seams]
    greatest = [_greatest(weld, parts, blade) for weld in seams if weld.joint == "lap"]
    return (*_told(least), *_told(greatest))


def _told(found: Iterable[tuple[str, Finding]]) -> list[Finding]:
    """One of each family that fails; when none does, the one nearest to failing."""
    rows = list(found)
    failing: dict[str, Finding] = {}
    for of, finding in rows:
        if finding.verdict == "fails":
            failing.setdefault(of, finding)
    if failing or not rows:
        return list(failing.values())
    return [max((finding for _, finding in rows), key=lambda finding: finding.used or 0.0)]


def _least(weld: Weld, parts: dict[str, Part], blade: Blade) -> tuple[str, Finding]:
    thick = [thickness(parts[part], blade) for part in weld.joins]
    finding = against_limit(
        weld.leg,
        welds.least_leg(min(thick)),
        kind="length",
        title="least leg of a fillet",
        place=weld.id,
        least=True,
        # Legs come in sixteenths: one that meets its limit is right, not near it.
        near=1.0,
        basis=Basis(
            kind="standard",
            formula="by the thinner part joined, at most that part",
            inputs={part: units.tape(t) for part, t in zip(weld.joins, thick, strict=True)},
            source="AISC 360-16 table J2.4",
        ),
    )
    return family(*weld.joins), finding


def _greatest(weld: Weld, parts: dict[str, Part], blade: Blade) -> tuple[str, Finding]:
    lapping = thickness(parts[weld.joins[0]], blade)
    limit = welds.greatest_leg(lapping)
    finding = against_limit(
        weld.leg,
        # Nobody welds closer than that: a 1/8 in leg is right along 11 gauge sheet.
        max(limit, weld.leg) if weld.leg - limit <= CLOSE else limit,
        kind="length",
        title="greatest leg of a fillet along an edge",
        place=weld.id,
        near=1.0,
        basis=Basis(
            kind="standard",
            formula="thickness of the edge; from 1/4 in on 1/16 in less",
            inputs={
                weld.joins[0]: units.say(lapping, "length", style="both"),
                "counted as met": f"within {units.tape(CLOSE, denominator=64)}",
            },
            source="AISC 360-16 J2.2b",
        ),
    )
    return family(*weld.joins), finding
