"""The test card for the bench: seconds to be seen each way, boxes to write them in, what else is proved, cautions."""

from __future__ import annotations

from itertools import groupby
from typing import Any, Final

from plowwright import units
from plowwright.blade.carried import moved
from plowwright.blade.carrier_facts import NAMES
from plowwright.blade.carriers import Carrier
from plowwright.blade.moving.card import CardRow, TestCard, card_of
from plowwright.blade.moving.judging import pressure, seconds, span_said
from plowwright.blade.spans import Span
from plowwright.errors import NotFoundError
from plowwright.papers.content import Paper, Sheet

_BLANKS: Final = ("Serial", "Day", "By")
_MEASURED: Final = ("Oil, pack", "Oil, carrier", "Air", "Relief set to", "Restrictor stamp", "Trip lets go at")
"""What is written down besides the times; the stamp is read off the restrictor, not off this card."""


def card_sheet(sheet: Sheet, carrier: Carrier | None = None) -> Paper:
    """The card of one blade, for the shop's bench and for the customer's first hour.

    Args:
        sheet: What all papers of the blade share.
        carrier: The machine it goes on, as far as it is known.

    Raises:
        NotFoundError: The rulebook has no swing.toml.
        ModelError: The cylinder cannot swing the blade.
    """
    with units.speaking(sheet.system):
        swing = moved(sheet.build, carrier).swinging
        if swing is None:
            raise NotFoundError("this rulebook has no swing.toml", way_out="Copy the one of a newer rulebook.")
        card = card_of(sheet.build, swing)
        data = {
            "head": sheet.head("Test card", _about(sheet, carrier)),
            "blanks": list(_BLANKS),
            "what": _what(sheet, card, carrier),
            "groups": [_group(on, list(rows)) for on, rows in groupby(card.rows, key=lambda r: r.on)],
            "cold": _cold(card),
            "measured": list(_MEASURED),
            "checks": list(card.checks),
            "cautions": list(card.cautions),
            "open": _open(card, carrier),
        }
    return Paper(template="test-card.typ", data=data)


def _about(sheet: Sheet, carrier: Carrier | None) -> str:
    name = f"{sheet.build.name}, {sheet.build.series.duty_class}"
    return f"{name}, for {carrier.name}, {carrier.kind}" if carrier else f"{name}, carrier not known"


def _what(sheet: Sheet, card: TestCard, carrier: Carrier | None) -> list[list[str]]:
    relief = "not given" if card.relief is None else pressure(card.relief)
    customer = sheet.build.spec.customer or "not said"
    return [
        ["Restrictors, stamped", f"drill {card.drill}, both ports"],
        ["Crossover relief", relief],
        ["Test pack", card.pack],
        ["Customer", customer + (f", {carrier.name}" if carrier else "")],
    ]


def _group(on: str, rows: list[CardRow]) -> dict[str, Any]:
    """The rows of one pump; what they all share is said once."""
    notes = list(dict.fromkeys(f"{r.note[:1].upper()}{r.note[1:]}." for r in rows if r.note))
    return {
        "on": f"On the {on}" if on == "test pack" else f"On {on}, by the customer in the first hour",
        "oil": f"oil at {units.say(rows[0].oil, 'temperature')}; the middle of three counts",
        "rows": [
            [r.says, f"rod {r.way}", seconds(r.expected), f"{r.low:.1f} to {seconds(r.high)}"] for r in rows
        ],
        "notes": notes,
    }  # fmt: skip


def _cold(card: TestCard) -> str:
    left, right = (span_said(Span(low=s.likely, likely=s.likely, high=s.high), seconds) for s in card.first_swing)
    return (
        f"First swing of a day at {units.say(card.cold, 'temperature')}: {left} with the left end forward, {right} with"
        " the right. That is cold oil, not a fault. Left and right as seen from the seat."
    )


def _open(card: TestCard, carrier: Carrier | None) -> list[str]:
    """What must be asked before the carrier's times can stand."""
    if not card.missing:
        return []
    whose = carrier.name if carrier else "the carrier"
    asked = ", ".join(NAMES[name].noun for name in card.missing)
    return [f"Not known of {whose}, ask before its times are trusted: {asked}."]
