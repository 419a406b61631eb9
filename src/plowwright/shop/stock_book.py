"""The stock ledger: its lines, and the balance that is their sum."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Final, Literal, Protocol, get_args

LineKind = Literal["receive", "reserve", "release", "issue", "return", "scrap", "count"]
KINDS: Final[tuple[LineKind, ...]] = get_args(LineKind)
HAND: Final[Mapping[str, int]] = {"receive": 1, "return": 1, "issue": -1, "scrap": -1, "count": 1}
"""What a piece in a line of each kind does to the pieces on hand [-]."""
HELD: Final[Mapping[str, int]] = {"reserve": 1, "release": -1}
"""What it does to the pieces reserved [-]."""


class LedgerLine(Protocol):
    """A line of the ledger, as far as these rules look at it."""

    @property
    def id(self) -> int:
        """Number of the line [-]."""
        ...

    @property
    def kind(self) -> str:
        """One of `KINDS`."""
        ...

    @property
    def item(self) -> str:
        """What it is, as the rulebook calls it."""
        ...

    @property
    def lot(self) -> str:
        """Lot, heat or tag, or ""."""
        ...

    @property
    def count(self) -> int:
        """Pieces [-]; of a count line the difference found."""
        ...

    @property
    def needed(self) -> date | None:
        """Of reserve and release: the day the pieces are needed."""
        ...

    @property
    def order(self) -> str | None:
        """For which order."""
        ...

    @property
    def reverses(self) -> int | None:
        """The line it undoes."""
        ...


class Coming(Protocol):
    """Pieces on their way."""

    @property
    def item(self) -> str:
        """What comes."""
        ...

    @property
    def count(self) -> int:
        """Pieces [-]."""
        ...

    @property
    def due(self) -> date:
        """The day they come."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A line, written or about to be.

    Attributes:
        kind: Receive, reserve, release, issue, return, scrap or count.
        item: What, as the rulebook calls it.
        count: Pieces [-]; of a count line the difference found, of a reversal the opposite of the line reversed.
        day: When.
        id: Number of the line, 0 while it is not written [-].
        lot: Lot, heat or tag.
        order: For which order, or None.
        needed: Of reserve and release: the day the pieces are needed.
        reason: Why.
        reverses: The line it undoes.
    """

    kind: LineKind
    item: str
    count: int
    day: date
    id: int = 0
    lot: str = ""
    order: str | None = None
    needed: date | None = None
    reason: str = ""
    reverses: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Arriving:
    """Pieces on their way.

    Attributes:
        item: What comes.
        count: Pieces [-].
        due: The day they come.
    """

    item: str
    count: int
    due: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """Pieces reserved.

    Attributes:
        item: What.
        order: For whom, "" for nobody yet.
        needed: The day.
        count: Pieces [-].
    """

    item: str
    order: str
    needed: date
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """How one item stands: all of it sums of the ledger.

    Attributes:
        item: What.
        on_hand: Pieces there [-].
        lots: Pieces there by lot [-].
        held: What is reserved, soonest first.
    """

    item: str
    on_hand: int
    lots: Mapping[str, int]
    held: tuple[Held, ...]

    @property
    def reserved(self) -> int:
        """Pieces reserved in all [-]."""
        return sum(one.count for one in self.held)

    def as_dict(self) -> dict[str, Any]:
        """The balance for a machine."""
        return {
            "item": self.item,
            "on_hand": self.on_hand,
            "reserved": self.reserved,
            "lots": dict(self.lots),
            "held": [{"order": h.order, "needed": h.needed.isoformat(), "count": h.count} for h in self.held],
        }


def balance(lines: Iterable[LedgerLine], item: str) -> Balance:
    """Add up one item.

    Args:
        lines: The ledger.
        item: Which.
    """
    lots: dict[str, int] = {}
    held: dict[tuple[str, date], int] = {}
    for line in lines:
        if line.item != item:
            continue
        if line.kind in HAND:
            lots[line.lot] = lots.get(line.lot, 0) + HAND[line.kind] * line.count
        elif line.needed is not None:
            key = (line.order or "", line.needed)
            held[key] = held.get(key, 0) + HELD[line.kind] * line.count
    return standing(item, lots, ((order, needed, count) for (order, needed), count in held.items()))


def applied(now: Balance, line: LedgerLine) -> Balance:
    """How an item stands after one line more; the same as adding up the ledger with it.

    Args:
        now: How it stands.
        line: The line, of the same item.
    """
    lots, held = dict(now.lots), {(one.order, one.needed): one.count for one in now.held}
    if line.kind in HAND:
        lots[line.lot] = lots.get(line.lot, 0) + HAND[line.kind] * line.count
    elif line.needed is not None:
        key = (line.order or "", line.needed)
        held[key] = held.get(key, 0) + HELD[line.kind] * line.count
    rows = ((order, needed, count) for (order, needed), count in held.items())
    return standing(now.item, lots, rows)


def standing(item: str, lots: Mapping[str, int], held: Iterable[tuple[str, date, int]]) -> Balance:
    """How an item stands, from sums that are kept beside the ledger.

    Args:
        item: What.
        lots: Pieces there by lot [-].
        held: What is reserved: order ("" for nobody yet), day, pieces [-].
    """
    rows = [Held(item=item, order=order, needed=needed, count=count) for order, needed, count in held if count]
    return Balance(
        item=item,
        on_hand=sum(lots.values()),
        lots={lot: count for lot, count in sorted(lots.items()) if count},
        held=tuple(sorted(rows, key=lambda one: (one.needed, one.order))),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Overdrawn:
    """A day on which more is reserved than will be there.

    Attributes:
        item: What.
        day: The first such day.
        held: Reserved up to that day [-].
        there: On hand and arriving by that day [-].
        orders: Whose reservations reach up to it.
    """

    item: str
    day: date
    held: int
    there: int
    orders: tuple[str, ...]


def overdrawn(now: Balance, coming: Iterable[Coming]) -> Overdrawn | None:
    """The first day on which more of an item is reserved than will be there, or None.

    Args:
        now: How it stands.
        coming: What is on its way; a part that slipped shows here.
    """
    on_way = [one for one in coming if one.item == now.item]
    for at, one in enumerate(now.held):
        if at + 1 < len(now.held) and now.held[at + 1].needed == one.needed:
            continue
        held = sum(h.count for h in now.held[: at + 1])
        there = now.on_hand + sum(c.count for c in on_way if c.due <= one.needed)
        if held > there:
            orders = dict.fromkeys(h.order or "nobody" for h in now.held[: at + 1])
            return Overdrawn(item=now.item, day=one.needed, held=held, there=there, orders=tuple(orders))
    return None
