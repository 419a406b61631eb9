"""The change note: what changes, price and day before and after, and a line for the customer's yes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from plowwright.papers.content import DISCLAIMER, Paper
from plowwright.papers.order_confirmation import Ordered, PaperName
from plowwright.shop.orders import money
from plowwright.shop.orders_changes import ChangeNote
from plowwright.units import counted

WAITS: Final = "Nothing of it is done before you have said yes; until then the order stays as it was."


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed:
    """A change note with what it is held against.

    Attributes:
        note: The note.
        id: Its number.
        cents_before: Price of the order before it [cents].
        day_before: Promise before it, in words.
        day_after: Promise after it, in words.
        differs: Where the blade changes: what, before, after.
    """

    note: ChangeNote
    id: int
    cents_before: int
    day_before: str
    day_after: str
    differs: Sequence[tuple[str, str, str]] = ()


def change_sheet(order: Ordered, changed: Changed, paper: PaperName = "letter") -> Paper:
    """The sheet, ready to be set.

    Args:
        order: The order it belongs to.
        changed: The change.
        paper: Sheet size.
    """
    note = changed.note
    after = changed.cents_before + note.cents
    more = "the same" if not note.cents else f"{money(abs(note.cents))} {'more' if note.cents > 0 else 'less'}"
    days = note.days_later
    way = "later" if days > 0 else "earlier"
    moved = f"{counted(abs(days), 'day')} {way}" if days else "the same"
    data = {
        "head": {**order.head(f"Change note {changed.id}", paper), "fingerprint": note.build or order.fingerprint},
        "said": note.said,
        "what": [["For", order.customer], ["Asked for on", f"{note.on:%d %B %Y}"]],
        "effect": [
            ["Price", money(changed.cents_before), money(after), more],
            ["Promise", changed.day_before or "none yet", changed.day_after or "none yet", moved],
        ],
        "differs": [list(row) for row in changed.differs],
        "state": "You have said yes to this." if note.settled else WAITS,
        "settled": note.settled,
        "disclaimer": DISCLAIMER,
    }
    return Paper(template="change.typ", data=data)
