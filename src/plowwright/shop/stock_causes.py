"""Why somebody goes short: what there is of it, who gets that, and what is on its way when."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from plowwright.shop.stock_shortages import Shared, Short, Supply


def cause(short: Short, shared: Shared, supplies: Sequence[Supply], *, today: date) -> str:
    """The reason in words, of the items that would serve.

    Args:
        short: Who goes short of what.
        shared: Who gets what.
        supplies: What is there and what comes.
        today: The day of asking.
    """
    said = [_of(item, short, shared, supplies, today) for item in short.want.serves]
    known = [one for one in said if one]
    return "; ".join(known) if known else "none on hand and none on its way"


def _of(item: str, short: Short, shared: Shared, supplies: Sequence[Supply], today: date) -> str:
    mine = sorted((s for s in supplies if s.item == item and s.count), key=lambda s: s.day)
    if not mine:
        return ""
    there = sum(s.count for s in mine if s.day <= today)
    takers: dict[str, tuple[date, int]] = {}
    for one in shared.given:
        if one.item == item and one.day <= today:
            day, count = takers.get(one.want.order, (one.want.day, 0))
            takers[one.want.order] = (min(day, one.want.day), count + 1)
    words = f"{there} on hand" if there else "none on hand"
    if there and takers:
        words += " for " + _together(takers)
    coming = [f"{s.count} {'comes' if s.count == 1 else 'come'} on {s.day:%a %d %b}" for s in mine if s.day > today]
    name = "" if item == short.want.what else f"{item}: "
    return name + ", ".join([words, *coming])


def _together(takers: dict[str, tuple[date, int]]) -> str:
    rows = sorted(takers.items(), key=lambda row: (row[1][0], row[0]))
    named = [f"{order} ({count}, {day:%d %b})" if count > 1 else f"{order} ({day:%d %b})"
             for order, (day, count) in rows[:4]]  # fmt: skip
    more = [f"{len(rows) - 4} more"] if len(rows) > 4 else []
    return ", ".join([*named, *more])
