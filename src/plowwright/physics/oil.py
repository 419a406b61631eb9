"""Hydraulic oil: grade and viscosity index to viscosity and density at any temperature.

Temperatures are in degrees Celsius. Two of them matter on a carrier: the tank is warm, the blade's own lines are as
cold as the morning.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import isfinite, log10
from typing import Final

from plowwright import units
from plowwright.errors import ModelError

CENTISTOKE: Final = 1e-6
"""One centistoke, mm2/s [m2/s]."""

GRADES: Final = (2, 3, 5, 7, 10, 15, 22, 32, 46, 68, 100, 150, 220, 320, 460, 680, 1000, 1500, 2200, 3200)
"""ISO viscosity grades: mid-point at 40 C in mm2/s, each within 10 % either way (ISO 3448:1992, table 1)."""

KELVIN: Final = 273.15
"""Zero Celsius on the absolute scale [K]."""

# ASTM D2270: L = a Y^2 + b Y + c and H = d Y^2 + e Y + f by ranges of Y, the viscosity at 100 C in mm2/s. From memory;
# tests hold them to the standard's own table as an independent library carries it.
_D2270: Final = (
    (3.8, 1.14673, 1.7576, -0.109, 0.84155, 1.5521, -0.077),
    (4.4, 3.38095, -15.4952, 33.196, 0.78571, 1.7929, -0.183),
    (5.0, 2.5, -7.2143, 13.812, 0.82143, 1.5679, 0.119),
    (6.4, 0.10100, 16.6350, -45.469, 0.04985, 9.1613, -18.557),
    (7.0, 3.35714, -23.5643, 78.466, 0.22619, 7.7369, -16.656),
    (7.7, 0.01191, 21.4750, -72.870, 0.79762, -0.7321, 14.610),
    (9.0, 0.41858, 16.1558, -56.040, 0.05794, 10.5156, -28.240),
    (12.0, 0.88779, 7.5527, -16.600, 0.26665, 6.7015, -10.810),
    (15.0, 0.76720, 10.7972, -38.180, 0.20073, 8.4658, -22.490),
    (18.0, 0.97305, 5.3135, -2.200, 0.28889, 5.9741, -4.930),
    (22.0, 0.97256, 5.2500, -0.980, 0.24504, 7.4160, -16.730),
    (28.0, 0.91413, 7.4759, -21.820, 0.20323, 9.1267, -34.230),
    (40.0, 0.87031, 9.7157, -50.770, 0.18411, 10.1015, -46.750),
    (55.0, 0.84703, 12.6752, -133.310, 0.17029, 11.4866, -80.620),
    (70.0, 0.85921, 11.1009, -83.190, 0.17130, 11.3680, -76.940),
    (float("inf"), 0.83531, 14.6731, -216.246, 0.16841, 11.8493, -96.947),
)  # fmt: skip
_LEAST_D2270: Final = 2.0


def grade_limits(grade: int) -> tuple[float, float]:
    """Least and greatest viscosity at 40 C of an ISO grade: 10 % either side of its mid-point.

    Args:
        grade: The number after VG.

    Returns:
        Both limits [m2/s].

    Raises:
        ModelError: There is no such grade.

    Source: ISO 3448:1992, table 1.
    """
    if grade not in GRADES:
        raise ModelError(
            "no such oil grade",
            value=f"VG {grade}",
            limit=f"ISO 3448: {', '.join(map(str, GRADES))}",
            way_out="Read it off the drum: VG 32 and VG 46 are usual in winter.",
        )
    return 0.9 * grade * CENTISTOKE, 1.1 * grade * CENTISTOKE


def viscosity_index(at_40: float, at_100: float) -> float:
    """Viscosity index: 100 (L - U) / (L - H) up to 100, above it 100 + (10^N - 1) / 0.00715.

    N = log(H / U) / log(Y); U and Y are the viscosities at 40 and 100 C in mm2/s, L and H those at 40 C of oils of
    index 0 and 100 with the same Y.

    Args:
        at_40: Viscosity at 40 C [m2/s].
        at_100: Viscosity at 100 C, 2 mm2/s or more [m2/s].

    Returns:
        Index [-].

    Raises:
        ModelError: Thinner at 100 C than the standard goes.

    Source: ASTM D2270 procedures A and B (coefficients from memory, tested against its table).
    """
    y, u = at_100 / CENTISTOKE, at_40 / CENTISTOKE
    if not y >= _LEAST_D2270:
        raise ModelError(
            "too thin at 100 C for a viscosity index", value=f"{y:g} mm2/s", limit=f"{_LEAST_D2270:g} mm2/s or more"
        )
    a, b, c, d, e, f = next(row[1:] for row in _D2270 if y <= row[0])
    low, high = a * y * y + b * y + c, d * y * y + e * y + f
    if u >= high:
        return 100.0 * (low - u) / (low - high)
    return 100.0 + (10.0 ** (log10(high / u) / log10(y)) - 1.0) / 0.00715


def viscosity_at_100(at_40: float, index: float) -> float:
    """Viscosity at 100 C that gives an oil its index: `viscosity_index` solved by halving.

    Args:
        at_40: Viscosity at 40 C [m2/s].
        index: Viscosity index [-].

    Returns:
        Viscosity [m2/s].

    Raises:
        ModelError: No viscosity at 100 C gives that index.

    Source: ASTM D2270, solved backwards.

    >>> round(viscosity_at_100(46e-6, 100.0) * 1e6, 2)
    6.76
    """
    low, high = _LEAST_D2270 * CENTISTOKE, at_40
    if not (high > low and viscosity_index(at_40, low) <= index <= viscosity_index(at_40, 0.999 * high)):
        raise ModelError(
            "no oil of this grade has such a viscosity index",
            value=f"index {index:g} at {at_40 / CENTISTOKE:g} mm2/s",
            limit="about 90 to 110 for plain hydraulic oil, 140 to 200 for multigrade",
        )
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if viscosity_index(at_40, middle) < index else (low, middle)
    return 0.5 * (low + high)


def walther(first: tuple[float, float], second: tuple[float, float], *, kelvin: float = KELVIN) -> tuple[float, float]:
    """A and B of log log (v + 0.7) = A - B log T through two points, v in mm2/s, T in kelvin.

    Args:
        first: Temperature and viscosity of one point [degC, m2/s].
        second: The same of the other [degC, m2/s].
        kelvin: Zero Celsius in kelvin; some worksheets round it to 273 [K].

    Returns:
        A and B [-].

    Raises:
        ModelError: Both points at one temperature, or one thinner than 2 mm2/s, below which the short form errs.

    Source: ASTM D341, short form; straight from 2 mm2/s up, above the temperature at which wax shows.
    """
    if not (min(first[1], second[1]) >= 2.0 * CENTISTOKE and first[0] != second[0]):
        raise ModelError(
            "two points do not make a viscosity line",
            value=f"{first[1] / CENTISTOKE:g} mm2/s at {first[0]:g} C, {second[1] / CENTISTOKE:g} at {second[0]:g} C",
            limit="2 mm2/s or more, at two temperatures",
        )
    (x1, y1), (x2, y2) = (
        (log10(t + kelvin), log10(log10(v / CENTISTOKE + 0.7))) for t, v in (first, second)
    )
    b = (y1 - y2) / (x2 - x1)
    return y1 + b * x1, b


@dataclass(frozen=True, kw_only=True)
class Oil:
    """A hydraulic oil.

    Attributes:
        name: What it is called.
        at_40: Kinematic viscosity at 40 C [m2/s].
        at_100: Kinematic viscosity at 100 C [m2/s].
        density: At 15 C [kg/m3].
        expansion: Share of density lost per degree [per K].
        pour: Temperature below which it no longer flows and no answer is given [degC].
        bulk: Bulk modulus with the air and hose it works with [Pa].
        kelvin: Zero Celsius in kelvin for the viscosity line [K].
        source: Where the figures come from.
    """

    name: str
    at_40: float
    at_100: float
    density: float = 870.0
    expansion: float = 0.0007
    pour: float = -36.0
    bulk: float = 1.2e9
    kelvin: float = KELVIN
    source: str = "assumed: density, expansion, pour point and bulk modulus of an ordinary mineral oil, from memory"

    @cached_property
    def line(self) -> tuple[float, float]:
        """A and B of its viscosity line [-]."""
        return walther((40.0, self.at_40), (100.0, self.at_100), kelvin=self.kelvin)

    def viscosity(self, temperature: float) -> float:
        """Kinematic viscosity: 10^10^(A - B log T) - 0.7 mm2/s.

        Args:
            temperature: Of the oil [degC].

        Returns:
            Viscosity [m2/s]; cold oils are often thicker than this line once wax shows.

        Raises:
            ModelError: Below the pour point, or hotter than any hydraulic oil is run.

        Source: ASTM D341, short form.

        >>> oil = Oil(name="VG 46", at_40=46e-6, at_100=6.8e-6)
        >>> round(oil.viscosity(0.0) * 1e6)
        577
        """
        if not (isfinite(temperature) and self.pour <= temperature <= 120.0):
            raise ModelError(
                f"{self.name}: no viscosity is known there",
                value=units.say(temperature, "temperature"),
                limit=f"{units.say(self.pour, 'temperature')} (pour point) to {units.say(120.0, 'temperature')}",
                way_out="Warm the carrier up first, or take a thinner grade with a lower pour point.",
            )
        a, b = self.line
        return float(10.0 ** 10.0 ** (a - b * log10(temperature + self.kelvin)) - 0.7) * CENTISTOKE

    def density_at(self, temperature: float) -> float:
        """Density: rho15 (1 - alpha (T - 15)).

        Args:
            temperature: Of the oil [degC].

        Returns:
            Density [kg/m3].

        Source: handbook, from memory.
        """
        return self.density * (1.0 - self.expansion * (temperature - 15.0))


def oil_of_grade(grade: int, index: float = 100.0, *, density: float = 870.0, pour: float = -36.0) -> Oil:
    """An oil by its ISO grade and viscosity index.

    Args:
        grade: ISO 3448 grade, the number after VG.
        index: Viscosity index, about 100 for plain hydraulic oil and 150 for multigrade (from memory) [-].
        density: At 15 C [kg/m3].
        pour: Pour point [degC].

    Raises:
        ModelError: No such grade, or no such index.

    Source: ISO 3448, ASTM D2270, ASTM D341.
    """
    grade_limits(grade)
    at_40 = grade * CENTISTOKE
    return Oil(
        name=f"VG {grade}, index {index:g}",
        at_40=at_40,
        at_100=viscosity_at_100(at_40, index),
        density=density,
        pour=pour,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Temperatures:
    """The two temperatures of a carrier's oil in winter.

    Attributes:
        tank: In the carrier's tank, once it has run a while [degC].
        lines: In the blade's own hoses and cylinder, at the first swing of the day [degC].

    Raises:
        ModelError: The lines are warmer than the tank.
    """

    tank: float
    lines: float

    def __post_init__(self) -> None:
        if not self.lines <= self.tank:
            raise ModelError(
                "the blade's lines are not warmer than the carrier's tank",
                value=f"lines {units.say(self.lines, 'temperature')}, tank {units.say(self.tank, 'temperature')}",
                way_out="Give the warm one as tank and the cold one as lines.",
            )
