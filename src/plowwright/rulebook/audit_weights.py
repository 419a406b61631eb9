"""Audit of masses: parts without one, and lists that disagree with the sizes beside them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from plowwright.findings import Finding, verdict_of
from plowwright.physics import sections as shapes
from plowwright.physics.regions import Region
from plowwright.rulebook.audit_said import fault, percent, rule
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.schema import Section
from plowwright.units import say

ALLOWED: Final = 0.02
"""Share by which a listed mass may differ from sizes times density [-]."""


def missing_mass(rulebook: Rulebook) -> Iterator[Finding]:
    """Bought parts without a mass."""
    for name, part in rulebook.bought.items():
        if part.mass is None:
            yield fault(
                "mass of bought parts",
                f"{name} has no mass, so no blade that carries it can be weighed out.",
                basis=rule("every bought part has a mass"),
                place=rulebook.place("bought", name),
                value="no mass",
                limit="a mass",
            )


def section_region(section: Section) -> Region:
    """Cross-section of a bar by its sizes; reading has made sure that they are there.

    Args:
        section: The entry.
    """
    width, height = section.width or 0.0, section.height or 0.0
    diameter, wall = section.diameter or 0.0, section.wall or 0.0
    if section.kind == "tube":
        return shapes.box_tube(width, height, wall)
    if section.kind == "round tube":
        return shapes.round_tube(diameter, wall)
    if section.kind == "angle":
        return shapes.angle(width, height, wall)
    if section.kind == "flat":
        return shapes.flat(width, wall)
    return shapes.round_bar(diameter)


def section_mass_faults(rulebook: Rulebook) -> Iterator[Finding]:
    """Sections whose listed mass per length is not area times density."""
    for name, section in rulebook.sections.items():
        density = rulebook.materials[section.material].density
        by_size = section_region(section).properties().area * density
        yield from _compared(rulebook, "sections", name, section.mass, by_size, "linear_mass", density)


def plate_mass_faults(rulebook: Rulebook) -> Iterator[Finding]:
    """Plates whose listed mass per area is not thickness times density."""
    for name, plate in rulebook.plates.items():
        density = rulebook.materials[plate.material].density
        yield from _compared(
            rulebook, "plates", name, plate.mass, plate.thickness * density, "areal_mass", density
        )


def _compared(
    rulebook: Rulebook, file: str, name: str, listed: float, by_size: float, kind: str, density: float
) -> Iterator[Finding]:
    off = listed / by_size - 1.0
    verdict = verdict_of(abs(off) / ALLOWED)
    if verdict == "holds":
        return
    away = percent(abs(off))
    if verdict == "fails":
        sentence = (
            f"{name} is listed at {say(listed, kind)}, but its sizes make {say(by_size, kind)}: {away} "
            f"{'heavier' if off > 0 else 'lighter'} than it can be; one of them is wrong."
        )
    else:
        sentence = (
            f"{name} is listed at {say(listed, kind)}, {away} off the {say(by_size, kind)} of its sizes."
        )
    yield fault(
        f"mass of {file}",
        sentence,
        basis=rule("size x density", kind="handbook", source="geometry", density=say(density, "density")),
        place=rulebook.place(file, name, "mass"),
        value=f"{away} off",
        limit=f"at most {percent(ALLOWED, decimals=0)}",
        margin=percent(ALLOWED - abs(off)),
        verdict=verdict,
    )
