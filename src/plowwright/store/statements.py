"""Statements that every command uses, made once: making them anew takes longer than running them."""

from __future__ import annotations

from functools import cache
from typing import Any, Final

from sqlalchemy import Insert, Select, Table, Update, bindparam, delete, func, insert, or_, select, update

from plowwright.store.tables import arrivals, events, metadata, reservations, stock

KEY: Final = "the_key"
"""Parameter of a row's own number."""
STEP: Final = "the_step"
"""Parameter of what a sum changes by."""

_item: Final = bindparam("the_item")

LAST_AND_FIRST: Final = select(events.c.number, events.c.key, events.c.digest).where(
    or_(events.c.key == bindparam(KEY), events.c.number == select(func.max(events.c.number)).scalar_subquery())
)
"""The last event, and the one that has this idempotency key."""
SUMS: Final = select(
    select(func.coalesce(func.sum(stock.c.on_hand), 0)).where(stock.c.item == _item).scalar_subquery(),
    select(func.coalesce(func.sum(reservations.c.count), 0)).where(reservations.c.item == _item).scalar_subquery(),
    select(func.coalesce(func.sum(arrivals.c.count), 0))
    .where(arrivals.c.item == _item, arrivals.c.state == "expected")
    .scalar_subquery(),
)
"""Pieces of an item on hand, reserved and on the way."""


@cache
def added(table: str) -> Insert:
    """Write a row.

    Args:
        table: Its table's name.
    """
    return insert(metadata.tables[table])


@cache
def one(table: str) -> Select[Any]:
    """The row with this number (parameter `KEY`).

    Args:
        table: Its table's name.
    """
    found = metadata.tables[table]
    return select(found).where(next(iter(found.primary_key.columns)) == bindparam(KEY))


@cache
def changed(table: str, fields: tuple[str, ...]) -> Update:
    """Change fields of the row with this number.

    Args:
        table: Its table's name.
        fields: Which; each is a parameter.
    """
    found = metadata.tables[table]
    key = next(iter(found.primary_key.columns))
    return update(found).where(key == bindparam(KEY)).values({name: bindparam(name) for name in fields})


def _same(table: Table) -> Any:
    first, *rest = (column == bindparam(f"is_{column.name}") for column in table.primary_key.columns)
    for more in rest:
        first &= more
    return first


_hand: Final = stock.c.on_hand
_held: Final = reservations.c["count"]
HAND_MOVED: Final = (
    update(stock).where(_same(stock), _hand + bindparam(STEP) >= 0).values(on_hand=_hand + bindparam(STEP))
)
"""Move the pieces on hand by a step, unless they would fall below zero."""
HELD_MOVED: Final = (
    update(reservations)
    .where(_same(reservations), _held + bindparam(STEP) >= 0)
    .values({"count": _held + bindparam(STEP)})
)
"""The same for pieces reserved."""
HAND_NOW: Final = select(_hand).where(_same(stock))
"""Pieces on hand."""
HELD_NOW: Final = select(_held).where(_same(reservations))
"""Pieces reserved."""
HELD_GONE: Final = delete(reservations).where(_same(reservations), _held == 0)
"""Forget a reservation of nothing."""
