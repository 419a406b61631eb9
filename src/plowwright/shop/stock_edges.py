"""Edges as stock: which blanks an edge can be cut from, and the needs the wall has of them."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import date, datetime

from plowwright.blade.build import Build
from plowwright.blade.edge_blanks import blank_for
from plowwright.shop.buying import working_days_before
from plowwright.shop.stock_shortages import Want
from plowwright.units import inches, say


def blank_item(bar: str, length: float) -> str:
    """What a drilled blank is called in the ledger.

    Args:
        bar: The flat it is of.
        length: Of the blank [m].
    """
    # A name is the same whatever units are spoken.
    return f"{bar} blank, {say(length, 'length', system='us')}"


def bar_item(bar: str) -> str:
    """What an undrilled bar of edge steel is called in the ledger.

    Args:
        bar: The flat.
    """
    return f"{bar} bar, undrilled"


def edge_want(build: Build, *, order: str, day: date, lengths: Sequence[float] = (), count: int = 1) -> Want:
    """The edges a blade needs, and the blanks they can be cut from, the one with the least waste first.

    A blank serves only where its cut-down edge meets the holes of that blade's bottom angle.

    Args:
        build: The blade.
        order: Who needs them.
        day: By when.
        lengths: Blank lengths there are [m]; left out, the shop's list.
        count: How many edges [-].
    """
    bar = build.datum.edge.edge
    found = blank_for(build.spec.width, list(lengths) or list(build.rulebook.shop.edge_blanks), build.datum.layout.rule)
    return Want(
        order=order,
        what=f"{inches(build.spec.width):g} in edge of {bar}",
        day=day,
        serves=(*(blank_item(bar, one.blank) for one in found.serving), bar_item(bar)),
        count=count,
    )


def needed_by(
    promise: date | datetime, days_before: int, *, today: date, closed: Collection[date] = ()
) -> date:
    """The day a part must lie there for a promise to hold; today where that day has passed.

    Args:
        promise: What the customer was told.
        days_before: Working days between the part and the promise [-].
        today: The day of asking.
        closed: Days the shop is closed.
    """
    day = promise.date() if isinstance(promise, datetime) else promise
    return max(today, working_days_before(day, days_before, closed=closed))
