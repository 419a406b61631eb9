"""Exact conversion constants and the sheet gauge table, for code that must not wait for a unit library.

The inch and the pound are exact by the international yard and pound agreement of 1959; the rest follow from
them and from standard gravity, 9.80665 m/s2.
"""

from __future__ import annotations

import math
from typing import Final

from plowwright.errors import UnitError

INCH: Final = 0.0254
FOOT: Final = 0.3048
LB: Final = 0.45359237
GRAVITY: Final = 9.80665
LBF: Final = 4.4482216152605
PSI: Final = LBF / (INCH * INCH)
GPM: Final = 0.003785411784 / 60.0
LITRE_PER_MINUTE: Final = 0.001 / 60.0
BAR: Final = 100_000.0
HP: Final = 550.0 * FOOT * LBF
MPH: Final = 0.44704
DEGREE: Final = math.pi / 180.0

# US Manufacturers' Standard Gauge for uncoated steel sheet, thickness in inches. The standard is a weight per
# square foot turned into a thickness at 41.82 lb/ft2 per inch; the tests work every row out again from that.
_SHEET_GAUGE_INCHES: Final[dict[int, float]] = {
    3: 0.2391, 4: 0.2242, 5: 0.2092, 6: 0.1943, 7: 0.1793, 8: 0.1644, 9: 0.1495, 10: 0.1345, 11: 0.1196,
    12: 0.1046, 13: 0.0897, 14: 0.0747, 15: 0.0673, 16: 0.0598, 17: 0.0538, 18: 0.0478, 19: 0.0418,
    20: 0.0359, 21: 0.0329, 22: 0.0299, 23: 0.0269, 24: 0.0239, 25: 0.0209, 26: 0.0179, 27: 0.0164,
    28: 0.0149,
}  # fmt: skip


def inches(length: float) -> float:
    """A length [m] in inches [in]."""
    return length / INCH


def pounds(mass: float) -> float:
    """A mass [kg] in pounds [lb]."""
    return mass / LB


def sheet_gauge(number: int, *, where: str = "") -> float:
    """Thickness of uncoated steel sheet [m] by its US Manufacturers' Standard Gauge number, 3 to 28 [-].

    Raises:
        UnitError: the table has no such gauge.
    """
    thickness = _SHEET_GAUGE_INCHES.get(number)
    if thickness is None:
        raise UnitError(
            "no such steel sheet gauge",
            value=f"{number} ga",
            limit="3 ga (0.2391 in) to 28 ga (0.0149 in)",
            way_out="Write the thickness itself, for example 1/4 in or 6 mm.",
            where=where,
        )
    # Ten-thousandths of an inch are whole numbers of 2.54 micrometres: rounded once, 11 ga is 0.1196 in.
    return round(thickness * 10_000) * 254 / 100_000_000
