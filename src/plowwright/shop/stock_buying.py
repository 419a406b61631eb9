"""What to buy by when: from dated needs and lead times as they really were."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil
from typing import Any

from plowwright.errors import PlanInputError
from plowwright.shop.buying import working_days_before
from plowwright.shop.stock_shortages import Short


@dataclass(frozen=True, slots=True, kw_only=True)
class ToBuy:
    """One thing to buy.

    Attributes:
        item: What.
        count: Pieces, rounded up to the seller's lot [-].
        needed: The first day it is missed.
        order_by: Last day to order it for that day.
        comes: The day it comes if ordered today.
        orders: Who waits for it.
        lead_days: Working days from order to yard [-].
    """

    item: str
    count: int
    needed: date
    order_by: date
    comes: date
    orders: tuple[str, ...]
    lead_days: int

    @property
    def late(self) -> bool:
        """Whether even an order placed today comes too late."""
        return self.comes > self.needed

    @property
    def text(self) -> str:
        """One sentence for the buyer."""
        text = f"{self.count} x {self.item} for {', '.join(self.orders)}: order by {self.order_by:%a %d %b}"
        late = f"; too late for {self.needed:%d %b}, comes {self.comes:%d %b} if ordered today"
        return text + (late if self.late else "")

    def as_dict(self) -> dict[str, Any]:
        """The row for a machine."""
        return {
            "item": self.item,
            "count": self.count,
            "needed": self.needed.isoformat(),
            "order_by": self.order_by.isoformat(),
            "comes": self.comes.isoformat(),
            "orders": list(self.orders),
            "lead_days": self.lead_days,
            "late": self.late,
            "text": self.text,
        }


def purchases(
    short: Sequence[Short], lead_days: Mapping[str, int], *, today: date, lots: Mapping[str, int] | None = None
) -> tuple[ToBuy, ...]:
    """What the shortages ask to be bought, the most urgent first; for each need the item that suits it best.

    A need that something on its way meets later is on the list too: buying may be faster.

    Args:
        short: Shortages.
        lead_days: Working days to get each item [-].
        today: The day of asking.
        lots: Least lot the seller takes, by item; 1 where it is left out [-].

    Raises:
        PlanInputError: No lead time is known for an item, or a need names no item.
    """
    rows: dict[str, list[Short]] = {}
    for one in short:
        known = [item for item in one.want.serves if item in lead_days]
        if not known:
            raise PlanInputError(
                "no lead time is known for what must be bought", where=one.want.order, value=one.want.what,
                limit=f"known: {', '.join(sorted(lead_days)) or 'none'}", way_out="Give its working days.",
            )  # fmt: skip
        rows.setdefault(known[0], []).append(one)
    out: list[ToBuy] = []
    for item, found in rows.items():
        lot = (lots or {}).get(item, 1)
        first = min(one.want.day for one in found)
        out.append(ToBuy(
            item=item, count=lot * ceil(sum(one.want.count for one in found) / lot), needed=first,
            order_by=working_days_before(first, lead_days[item]), comes=working_days_after(today, lead_days[item]),
            orders=tuple(dict.fromkeys(one.want.order for one in found)), lead_days=lead_days[item],
        ))  # fmt: skip
    return tuple(sorted(out, key=lambda row: (row.order_by, row.item)))


def reorder_point(*, used_per_week: float, lead_days: int, most_in_a_week: float) -> int:
    """At how many left one more lot is ordered: the usual use over the lead time, and one busy week beside it.

    *Common practice*; use is taken as even.

    >>> reorder_point(used_per_week=2.0, lead_days=10, most_in_a_week=4.0)
    6

    Args:
        used_per_week: Pieces used in a usual week [-].
        lead_days: Working days from order to yard [-].
        most_in_a_week: Most ever used in one week [-].

    Raises:
        PlanInputError: A value below zero, or a busy week below the usual one.
    """
    if min(used_per_week, lead_days) < 0 or most_in_a_week < used_per_week:
        raise PlanInputError(
            "a re-order point needs use and lead time not below zero, and a busy week above the usual one",
            value=f"{used_per_week:g} and {most_in_a_week:g} a week, {lead_days} days", limit="0 or more",
            way_out="Count last season's issues by week.",
        )  # fmt: skip
    return ceil(used_per_week * lead_days / 5 + (most_in_a_week - used_per_week))


def working_days_after(day: date, count: int) -> date:
    """The day so many working days later, Saturdays and Sundays not counted.

    Args:
        day: The day.
        count: Working days [-].
    """
    while count > 0:
        day += timedelta(days=1)
        if day.weekday() < 5:
            count -= 1
    return day
