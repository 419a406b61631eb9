"""Quantities at the edge: what people type is read into SI, and SI is read back in the trade's words.

Inside the program every value is SI. A number without a unit is refused with an example, a spelling with two
meanings is refused or carries a doubt, and lengths print as a tape reads.
"""

from __future__ import annotations

from plowwright.units.constants import (
    BAR,
    DEGREE,
    FOOT,
    GPM,
    GRAVITY,
    HP,
    INCH,
    LB,
    LBF,
    LITRE_PER_MINUTE,
    MPH,
    PSI,
    inches,
    pounds,
    sheet_gauge,
)
from plowwright.units.kinds import KINDS, Kind
from plowwright.units.printing import Style, System, counted, say, speaking, tape
from plowwright.units.reading import Reading, doubt_outside, read, si

__all__ = [
    "BAR",
    "DEGREE",
    "FOOT",
    "GPM",
    "GRAVITY",
    "HP",
    "INCH",
    "KINDS",
    "LB",
    "LBF",
    "LITRE_PER_MINUTE",
    "MPH",
    "PSI",
    "Kind",
    "Reading",
    "Style",
    "System",
    "counted",
    "doubt_outside",
    "inches",
    "pounds",
    "read",
    "say",
    "sheet_gauge",
    "si",
    "speaking",
    "tape",
]
