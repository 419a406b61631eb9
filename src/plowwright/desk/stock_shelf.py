"""What stands on the shelf at one moment, what is on its way, and who took or reserved what: from records or files."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Final

from plowwright.desk.order_more import more_of
from plowwright.desk.orders import Order
from plowwright.desk.rack import Lying, Rack
from plowwright.shop.stock_book import Arriving, Balance, Held, standing
from plowwright.shop.stock_edges import blank_item
from plowwright.shop.stock_items import item_of, remnant_item, sheet_item, sheet_remnant_item, stick_item
from plowwright.shop.stock_shortages import Supply
from plowwright.store import records as r
from plowwright.store.reading import Reads

TAKEN_BY_STATE: Final = ("painted",)
"""States in which a plain file says that an order has taken what it needs."""
_MOST: Final = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """The shelf at one moment.

    Attributes:
        today: The shop's day.
        on_hand: Pieces there, by item [-].
        coming: What is on its way.
        held: What is reserved.
        taken: Pieces each order has taken and not given back, by order and item [-].
        before: Orders that took what they need before anybody kept a ledger.
        closed: Days the shop is closed.
    """

    today: date
    on_hand: Mapping[str, int]
    coming: tuple[Arriving, ...] = ()
    held: tuple[Held, ...] = ()
    taken: Mapping[str, Mapping[str, int]] = field(default_factory=dict[str, Mapping[str, int]])
    before: frozenset[str] = frozenset()
    closed: frozenset[date] = frozenset()

    def supplies(self) -> tuple[Supply, ...]:
        """What lies there, and what is on its way; what should have come is counted as coming today."""
        there = [Supply(item=item, count=count, day=self.today) for item, count in self.on_hand.items() if count > 0]
        coming = [Supply(item=c.item, count=c.count, day=max(c.due, self.today)) for c in self.coming]
        return (*there, *coming)

    def blank_lengths(self) -> set[float]:
        """Lengths of the drilled blanks that are known [m]."""
        named = {*self.on_hand, *(c.item for c in self.coming)}
        return {item.length for item in map(item_of, named) if item.sort == "blank"}


def shelf_of_rack(rack: Rack, orders: Iterable[Order], *, today: date, closed: Collection[date] = ()) -> Shelf:
    """The shelf where plain files are kept.

    Args:
        rack: What lies there.
        orders: The open orders.
        today: The shop's day.
        closed: Days the shop is closed.
    """
    on_hand: dict[str, int] = {}
    coming: list[Arriving] = []
    for item, one in _named(rack):
        on_hand[item] = on_hand.get(item, 0) + one.count
        coming += [Arriving(item=item, count=count, due=day) for day, count in one.arriving.items()]
    before = frozenset(o.number for o in orders if o.state in TAKEN_BY_STATE)
    return Shelf(today=today, on_hand=on_hand, coming=tuple(coming), before=before, closed=frozenset(closed))


def _named(rack: Rack) -> list[tuple[str, Lying]]:
    return [
        *((stick_item(s.stock, s.length), s) for s in rack.sticks),
        *((remnant_item(s.stock, s.length), s) for s in rack.remnants),
        *((sheet_item(s.stock, s.length, s.width), s) for s in rack.sheets),
        *((sheet_remnant_item(s.stock, s.length, s.width), s) for s in rack.sheet_remnants),
        *((blank_item(s.stock, s.length), s) for s in rack.blanks),
        *((s.stock, s) for s in rack.bought),
    ]


def shelf_of_records(reads: Reads, orders: Iterable[Order], *, today: date, closed: Collection[date] = ()) -> Shelf:
    """The shelf by the ledger.

    Args:
        reads: A steady view, or a command.
        orders: The open orders.
        today: The shop's day.
        closed: Days the shop is closed.
    """
    numbers = [o.number for o in orders]
    taken: dict[str, dict[str, int]] = {}
    for line in reads.find(r.Line, order=numbers, kind=["issue", "return"]) if numbers else ():
        mine = taken.setdefault(line.order or "", {})
        mine[line.item] = mine.get(line.item, 0) + (line.count if line.kind == "issue" else -line.count)
    rows = reads.find(r.Order, number=numbers) if numbers else ()
    return Shelf(
        today=today,
        on_hand={one.item: one.on_hand for one in reads.balances()},
        coming=coming_of(reads),
        held=tuple(
            Held(item=one.item, order=one.order, needed=one.needed, count=one.count) for one in reads.reserved()
        ),
        taken=taken,
        before=frozenset(row.number for row in rows if more_of(row.more).taken),
        closed=frozenset(closed),
    )  # fmt: skip


def coming_of(reads: Reads, item: str | None = None) -> tuple[Arriving, ...]:
    """What is on its way.

    Args:
        reads: A steady view, or a command.
        item: Of one item only.
    """
    return tuple(Arriving(item=one.item, count=one.count, due=one.due) for one in reads.arriving(item))


def stands(reads: Reads, item: str) -> Balance:
    """How one item stands, by lot and reservation.

    Args:
        reads: A steady view, or a command.
        item: As the ledger calls it.
    """
    lots = {one.lot: one.on_hand for one in reads.find(r.OnHand, item=item)}
    held = ((one.order, one.needed, one.count) for one in reads.reserved(item))
    return standing(item, lots, held)
