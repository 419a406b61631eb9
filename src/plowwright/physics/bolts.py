"""Bolts: thread areas, grades, tension, shear, bearing, tear-out, and the lever of a plate that pries on them."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from plowwright import units
from plowwright.errors import ModelError
from plowwright.physics.welds import SAFETY
from plowwright.units.constants import INCH, PSI

_KSI = 1000.0 * PSI

COARSE_THREADS = {
    0.25: 20, 0.3125: 18, 0.375: 16, 0.4375: 14, 0.5: 13, 0.5625: 12, 0.625: 11, 0.75: 10, 0.875: 9, 1.0: 8,
    1.125: 7, 1.25: 7, 1.5: 6,
}  # fmt: skip
"""Threads per inch of the coarse series by diameter in inches [1/in]; ASME B1.1 (UNC)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoltGrade:
    """Strengths of a grade over a range of sizes.

    Attributes:
        name: Grade as it is ordered [-].
        least: Least diameter it is for [m].
        most: Greatest diameter it is for [m].
        proof: Stress it must bear without set [Pa].
        yield_strength: Stress at yield [Pa].
        tensile: Ultimate stress [Pa].
        source: Standard [-].
    """

    name: str
    least: float
    most: float
    proof: float
    yield_strength: float
    tensile: float
    source: str


def _grade(name: str, sizes: tuple[float, float], ksi: tuple[float, float, float], source: str) -> BoltGrade:
    return BoltGrade(
        name=name,
        least=sizes[0] * INCH,
        most=sizes[1] * INCH,
        proof=ksi[0] * _KSI,
        yield_strength=ksi[1] * _KSI,
        tensile=ksi[2] * _KSI,
        source=source,
    )


GRADES = (
    _grade("grade 2", (0.25, 0.75), (55, 57, 74), "SAE J429"),
    _grade("grade 5", (0.25, 1.0), (85, 92, 120), "SAE J429"),
    _grade("grade 5", (1.0, 1.5), (74, 81, 105), "SAE J429"),
    _grade("grade 8", (0.25, 1.5), (120, 130, 150), "SAE J429"),
    _grade("A307", (0.25, 1.5), (33, 36, 60), "ASTM A307; yield not specified, taken at 36 ksi"),
    _grade("A325", (0.5, 1.0), (85, 92, 120), "ASTM A325"),
    _grade("A325", (1.0, 1.5), (74, 81, 105), "ASTM A325; F3125 drops this step"),
    _grade("A449", (0.25, 1.0), (85, 92, 120), "ASTM A449"),
    _grade("A490", (0.5, 1.5), (120, 130, 150), "ASTM A490"),
)
"""Strengths by grade and size; where two rows meet, the first counts."""


def grade(name: str, diameter: float) -> BoltGrade:
    """The strengths of a grade at a size.

    Args:
        name: Grade, as `grade 5` [-].
        diameter: Nominal diameter [m].

    Raises:
        ModelError: No such grade, or none of that size; the grades and sizes there are, are named.
    """
    of_name = [g for g in GRADES if g.name.lower() == name.strip().lower()]
    if not of_name:
        raise ModelError(
            "no such bolt grade",
            value=name,
            way_out=f"There are: {', '.join(dict.fromkeys(g.name for g in GRADES))}.",
        )
    for row in of_name:
        if row.least * (1 - 1e-6) <= diameter <= row.most * (1 + 1e-6):
            return row
    raise ModelError(
        f"{of_name[0].name} bolts are not made in this size",
        value=units.tape(diameter),
        limit=f"{units.tape(of_name[0].least)} to {units.tape(of_name[-1].most)}",
    )


def coarse_pitch(diameter: float) -> float:
    """Pitch of the coarse thread of an inch bolt.

    Args:
        diameter: Nominal diameter [m].

    Returns:
        Pitch [m].

    Raises:
        ModelError: The series has no such size.

    Source: ASME B1.1, UNC.
    """
    for inch, threads in COARSE_THREADS.items():
        if abs(diameter - inch * INCH) < 1e-5:
            return INCH / threads
    raise ModelError(
        "the coarse thread series has no such bolt",
        value=units.say(diameter, "length", style="decimal"),
        limit=", ".join(units.tape(inch * INCH) for inch in COARSE_THREADS),
        way_out="Give the pitch of its thread.",
    )


def tensile_area(diameter: float, pitch: float) -> float:
    """Area of a thread that counts in tension: pi/4 (d - 0.9743 p)^2.

    Args:
        diameter: Nominal diameter [m].
        pitch: Pitch of the thread [m].

    Returns:
        Tensile stress area [m2].

    Source: ASME B1.1, for bolts up to 100 ksi tensile and used for all.

    >>> round(tensile_area(0.5 * INCH, INCH / 13) / INCH**2, 4)
    0.1419
    """
    return pi / 4 * (diameter - 0.9743 * pitch) ** 2


def shank_area(diameter: float) -> float:
    """Area of the shank [m2].

    Args:
        diameter: Nominal diameter [m].
    """
    return pi / 4 * diameter * diameter


def allowable_shear(
    diameter: float, tensile: float, *, threads_in_plane: bool = True, planes: int = 1, safety: float = SAFETY
) -> float:
    """Allowable shear of one bolt: Fnv A / safety, Fnv = 0.450 Fu with threads in the plane, 0.563 Fu without.

    Args:
        diameter: Nominal diameter [m].
        tensile: Tensile strength of the grade [Pa].
        threads_in_plane: Whether a shear plane goes through the thread.
        planes: Shear planes [-].
        safety: Safety factor [-].

    Returns:
        Force [N].

    Source: AISC 360-16 J3.6 and table J3.2 (3/4 in A325-N: 11.9 kip).

    >>> round(allowable_shear(0.75 * INCH, 120 * 6.894757e6) / 4448.2216, 1)
    11.9
    """
    return (0.450 if threads_in_plane else 0.563) * tensile * shank_area(diameter) * planes / safety


def allowable_tension(diameter: float, tensile: float, *, shear_stress: float = 0.0, safety: float = SAFETY) -> float:
    """Allowable tension of one bolt with what shear leaves of it: F'nt A / safety.

    Fnt = 0.75 Fu on the shank area; with shear F'nt = 1.3 Fnt - safety Fnt / Fnv frv, at most Fnt, threads in the
    plane.

    Args:
        diameter: Nominal diameter [m].
        tensile: Tensile strength of the grade [Pa].
        shear_stress: Shear on the shank area under the allowable load [Pa].
        safety: Safety factor [-].

    Returns:
        Force, 0 when shear alone takes all of it [N].

    Source: AISC 360-16 J3.6 and J3.7.
    """
    straight, across = 0.75 * tensile, 0.450 * tensile
    left = min(straight, 1.3 * straight - safety * straight / across * shear_stress)
    return max(0.0, left) * shank_area(diameter) / safety


def allowable_bearing(diameter: float, thickness: float, tensile: float, *, safety: float = SAFETY) -> float:
    """Allowable bearing of one bolt on a plate: 2.4 d t Fu / safety, holes kept from growing.

    Args:
        diameter: Nominal diameter [m].
        thickness: Thickness of the plate [m].
        tensile: Tensile strength of the plate [Pa].
        safety: Safety factor [-].

    Returns:
        Force [N].

    Source: AISC 360-16 J3.10(a).
    """
    return 2.4 * diameter * thickness * tensile / safety


def allowable_tear_out(clear: float, thickness: float, tensile: float, *, safety: float = SAFETY) -> float:
    """Allowable force of one bolt against tearing out: 1.2 lc t Fu / safety.

    Args:
        clear: From the hole's rim to the edge or to the next hole, along the force [m].
        thickness: Thickness of the plate [m].
        tensile: Tensile strength of the plate [Pa].
        safety: Safety factor [-].

    Returns:
        Force [N].

    Source: AISC 360-16 J3.10(a).
    """
    return 1.2 * clear * thickness * tensile / safety


def pried_tension(force: float, below_bolts: float, to_toe: float) -> float:
    """Tension that a push at a plate's tip puts into its bolts when it turns on the toe behind it: F (L - e) / e.

    Args:
        force: Push at the tip, square to the plate [N].
        below_bolts: From the bolt line down to the tip, L [m].
        to_toe: From the bolt line down to the toe it turns on, e [m].

    Returns:
        Tension in all bolts that share it; 0 where the toe is at or below the tip [N].

    Raises:
        ModelError: The bolts sit at or below the toe, so that nothing holds the plate.

    Source: statics, moments about the toe.

    >>> pried_tension(1000.0, 0.125, 0.0625)
    1000.0
    """
    if to_toe <= 0.0:
        raise ModelError(
            "the bolts sit at or below the toe the plate turns on",
            value=units.say(to_toe, "length", style="decimal"),
            limit="more than 0 above the toe",
            way_out="Raise the bolt line or let the angle reach lower.",
        )
    return max(0.0, force * (below_bolts - to_toe) / to_toe)


def proof_load(diameter: float, pitch: float, proof: float) -> float:
    """Load a bolt must bear without set: proof stress times tensile stress area.

    Args:
        diameter: Nominal diameter [m].
        pitch: Pitch [m].
        proof: Proof stress [Pa].

    Returns:
        Force [N].

    Source: SAE J429.
    """
    return proof * tensile_area(diameter, pitch)
