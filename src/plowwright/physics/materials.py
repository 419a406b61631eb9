"""Materials as frozen records; the shop's own grades come from its rulebook."""

from __future__ import annotations

from dataclasses import dataclass

STEEL_DENSITY = 7850.0
"""Mass of carbon steel per volume [kg/m3]; 0.2836 lb/in3, the 490 lb/ft3 of the AISC Manual part 1."""

STEEL_YOUNG = 199.948e9
"""Modulus of elasticity of steel [Pa]; 29,000 ksi (AISC 360 preface of symbols)."""

STEEL_SHEAR = 77.221e9
"""Shear modulus of steel [Pa]; 11,200 ksi (AISC 360)."""

STEEL_POISSON = 0.3
"""Poisson's ratio of steel [-]; with 29,000 ksi it makes 11,150 ksi of shear modulus, which AISC rounds up."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """One material.

    Attributes:
        name: Name as the shop says it [-].
        density: Mass per volume [kg/m3].
        yield_strength: Stress at yield [Pa], or None where nothing rests on it.
        tensile_strength: Ultimate stress [Pa], or None.
        source: Where the strengths come from [-].
    """

    name: str
    density: float
    yield_strength: float | None = None
    tensile_strength: float | None = None
    source: str = ""


def fillet_volume(leg: float, length: float) -> float:
    """Volume of an equal-leg, flat-faced fillet weld: leg^2 / 2 x length.

    Args:
        leg: Leg of the fillet [m].
        length: Length of the seam [m].

    Returns:
        Volume of weld metal [m3].

    Source: geometry; checked against the weld-metal weight table in tests/sources.

    >>> round(fillet_volume(0.00635, 0.3048) * STEEL_DENSITY / 0.45359237, 3)
    0.106
    """
    return 0.5 * leg * leg * length
