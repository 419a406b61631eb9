"""The order in which a blade and its carrier give, drawn on one scale of force."""

from __future__ import annotations

from typing import Final

from plowwright import units
from plowwright.blade.giving import Giving, Sort
from plowwright.blade.giving_inputs import Place
from plowwright.papers import charts
from plowwright.papers.drawing import Picture
from plowwright.units.constants import LBF

_KINDS: Final[dict[Sort, charts.RangeKind]] = {
    "lets go": "caps",
    "breaks": "stands",
    "carrier": "pushes",
}
_SCALES: Final[dict[units.System, tuple[str, float]]] = {"us": ("lb", LBF), "metric": ("kN", 1000.0)}
_PAST: Final = 1.1
"""The scale ends so far past what the carrier brings and the first thing that breaks; the rest reads its number [-]."""
_KEY: Final[dict[charts.RangeKind, str]] = {
    "caps": "lets go as it is meant to",
    "stands": "bends or breaks",
    "pushes": "the carrier's own end",
}


def order_of_giving(
    giving: Giving, place: Place, *, width: float, system: units.System = "us", key: bool = True
) -> Picture | None:
    """Everything that gives at a place of the edge, the first in front; None where nothing is known there.

    Args:
        giving: The order.
        place: corner or centre.
        width: Width of the picture [mm].
        system: Units of the scale.
        key: Whether it is said what the fillings mean.
    """
    rows = giving.order(place)
    unit, size = _SCALES[system]
    listed: list[charts.Range] = []
    for row in rows:
        span = row.at(place)
        if span is not None:
            says = span.said("force") if system == "us" else _metric(span.low, span.high)
            listed.append(
                charts.Range(
                    name=row.name, low=span.low / size, high=span.high / size, says=says, kind=_KINDS[row.sort]
                )
            )
    if not listed:
        return None
    first_break = min((r.high for r in listed if r.kind == "stands"), default=0.0)
    told = [first_break, *(r.high for r in listed if r.kind != "stands")]
    # Nothing the carrier brings lies further out; one scale would press all of that into its first tenth.
    limit = min(max(r.high for r in listed), _PAST * max(told))
    scale = f"force at the {place} of the edge, {unit}"
    return charts.ranges(width=width, scale=scale, rows=listed, most=limit, key=_KEY if key else None)


def _metric(low: float, high: float) -> str:
    one, two = (f"{value / 1000:.3g}" for value in (low, high))
    return f"{one} kN" if one == two else f"{one} to {two} kN"
