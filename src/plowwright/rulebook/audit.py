"""Whether a rulebook makes sense over all its widths and series, answered in sentences.

Each check gives one finding for every fault it finds, or one that says it holds. Faults that stop a blade
from being built or sold rightly *fail*; what is only suspicious is *near limit*; what is only worth knowing
*holds*.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from plowwright.findings import Finding
from plowwright.rulebook.audit_bands import band_faults, edge_stock_faults, hole_faults, skin_faults
from plowwright.rulebook.audit_names import seal_faults, superseded_faults, unused_stock
from plowwright.rulebook.audit_options import option_faults
from plowwright.rulebook.audit_prices import hour_faults, option_price_faults, price_faults, spare_faults
from plowwright.rulebook.audit_said import holds
from plowwright.rulebook.audit_weights import missing_mass, plate_mass_faults, section_mass_faults
from plowwright.rulebook.reading import Rulebook

Check = Callable[[Rulebook], Iterator[Finding]]

_CHECKS: Final[tuple[tuple[str, str, Check], ...]] = (
    ("bands by width", "every width offered is in exactly one row of each table", band_faults),
    ("edge blanks", "every width has an edge blank that is long enough", edge_stock_faults),
    ("skins", "every skin can be rolled from the sheet it is listed with", skin_faults),
    (
        "edge holes",
        "every edge hole keeps its distance from ends, tips and the foot of the angle",
        hole_faults,
    ),
    ("mass of bought parts", "every bought part has a mass", missing_mass),
    ("mass of sections", "every section weighs what its sizes say, within 2 %", section_mass_faults),
    ("mass of plates", "every plate weighs what its thickness says, within 2 %", plate_mass_faults),
    ("price list", "every series has a price, and prices rise with width and with class", price_faults),
    (
        "prices of options",
        "every option that brings parts is charged at more than they cost",
        option_price_faults,
    ),
    ("spares", "every spare sells between once and four times what its part costs", spare_faults),
    ("hours", "every series has hours and every kind of work has a rate", hour_faults),
    ("options", "everything offered can be chosen, and what excludes each other says so", option_faults),
    ("superseded entries", "no series, mount or option uses a superseded entry", superseded_faults),
    ("stock in use", "every section and plate is used by something", unused_stock),
    ("seals", "no closed rulebook has been changed", seal_faults),
)


def audit(rulebook: Rulebook) -> list[Finding]:
    """All findings, faults first within their check.

    Args:
        rulebook: The rules to look at; older ones are looked at through their seals only.
    """
    found: list[Finding] = []
    for title, promise, check in _CHECKS:
        faults = list(check(rulebook))
        if not faults:
            found.append(holds(title, promise))
        found += faults
    return found
