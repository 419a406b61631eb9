"""Axle loads below a carrier drawn from its side: bare, carried low, lifted, with ballast, and the verdict."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from plowwright.blade.spans import Span
from plowwright.blade.suit.results import Suit
from plowwright.papers import fonts
from plowwright.papers.drawing import Picture
from plowwright.papers.marks import DIMENSION, Colour
from plowwright.papers.views import View

COLOURS: Final[dict[str, Colour]] = {"near limit": "near", "fails": "fails"}
"""Colour of a verdict beside its word; the others are in ink."""
_SIZE: Final = 2.8
_LINE: Final = 4.6
"""From one row of the table to the next [mm]."""


def room(rows: Sequence[Row]) -> float:
    """Height the table takes [mm].

    Args:
        rows: What stands in it.
    """
    return _LINE * len(rows) + 6.0 if rows else 0.0


@dataclass(frozen=True, kw_only=True)
class Row:
    """One row of the table of axle loads.

    Attributes:
        name: What it is.
        front: Words under the front axle.
        rear: Words under the rear axle.
        bold: Whether it is a verdict.
    """

    name: str
    front: str
    rear: str
    bold: bool = False


def rows_of(suit: Suit) -> list[Row]:
    """Loads, limits and verdicts, front and rear; nothing where the carrier has no axles to weigh.

    Args:
        suit: How a blade suits the carrier.
    """
    axles = suit.axles
    if axles is None:
        return []
    found = [Row(name="", front="front axle", rear="rear axle")]
    found += [Row(name=r.title, front=_weight(r.front), rear=_weight(r.rear)) for r in axles.rows]
    front, rear = axles.front_finding, axles.rear_finding
    share = next((" of the whole" for c in suit.checks if c.finding is rear and c.kind == "-"), "")
    least = f"{rear.limit}{share}" if rear.limit else "not known"
    found.append(Row(name="allowed", front=front.limit or "not known", rear=least))
    found.append(Row(name="", front=front.verdict, rear=rear.verdict, bold=True))
    return found


def _weight(span: Span) -> str:
    """What stands on an axle; nothing does where it would have to be pulled down."""
    if span.high <= 0.0:
        return "off the ground"
    return Span(low=max(span.low, 0.0), likely=max(span.likely, 0.0), high=span.high).said("mass")


def table(page: Picture, view: View, rows: Sequence[Row], *, wheelbase: float, top: float) -> None:
    """Axle loads under their wheels, set apart where the wheelbase is short on the page.

    Args:
        page: Where to draw it.
        view: Scale and place of the carrier, front axle at 0.
        rows: What stands in it.
        wheelbase: Of the carrier [m].
        top: Upper edge [mm].
    """
    fronts, rears = (view.at(x, 0.0)[0] for x in (0.0, -wheelbase))
    wide = max(fonts.text_width(t, size=_SIZE) for r in rows for t in (r.front, r.rear)) + 4.0
    names = max(fonts.text_width(r.name, size=_SIZE) for r in rows) + 3.0
    apart = max(rears - fronts, wide)
    first = max((fronts + rears - apart) / 2, names + wide / 2)
    second = min(first + apart, page.width - wide / 2)
    for at, (x, axle) in enumerate(((first, fronts), (second, rears))):
        page.polyline([(axle, top + 1.0), (axle, top - 0.5), (x, top - 3.2)], pen=DIMENSION)
        for number, row in enumerate(rows):
            words = (row.front, row.rear)[at]
            colour = COLOURS.get(words, "ink")
            y = top - 6.0 - number * _LINE
            weight = "bold" if row.bold or not number else "regular"
            page.text((x, y), words, size=_SIZE, anchor="middle", weight=weight, colour=colour, halo=True)
    for number, row in enumerate(rows):
        page.text((0.0, top - 6.0 - number * _LINE), row.name, size=_SIZE)
