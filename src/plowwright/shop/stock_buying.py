"""What to buy by when: from dated needs and lead times as they really were."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil
from typing import Any

from plowwright.errors import PlanInputError
from plowwright.shop.buying import working_days_before
from plowwright.shop.stock_shortages import Short
from plowwright.units import counted


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
        until: The day pieces that are on their way meet it, later than one ordered today; None where none are.
    """

    item: str
    count: int
    needed: date
    order_by: date
    comes: date
    orders: tuple[str, ...]
    lead_days: int
    until: date | None = None

    @property
    def late(self) -> bool:
        """Whether even an order placed today comes too late."""
        return self.comes > self.needed

    @property
    def text(self) -> str:
        """One sentence for the buyer."""
        text = f"{self.count} x {self.item} for {', '.join(self.orders)}: order by {self.order_by:%a %d %b}"
        late = f"; too late for {self.needed:%d %b}, comes {self.comes:%d %b} if ordered today"
        later = f"; what is on its way comes only {self.until:%d %b}" if self.until else ""
        return text + (late if self.late else "") + later

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
            "until": self.until.isoformat() if self.until else None,
            "text": self.text,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Awaited:
    """Pieces that are on their way and come too late for somebody, though no new one would come sooner.

    Attributes:
        item: What.
        count: Pieces [-].
        needed: The first day they are missed.
        due: The day they come.
        comes: The day one comes if ordered today.
        orders: Who waits for them.
    """

    item: str
    count: int
    needed: date
    due: date
    comes: date
    orders: tuple[str, ...]

    @property
    def text(self) -> str:
        """One sentence for the buyer."""
        come = "one comes" if self.count == 1 else "they come"
        return (
            f"{self.count} x {self.item} for {', '.join(self.orders)}: on the way, {come} {self.due:%a %d %b}, "
            f"too late for {self.needed:%d %b}; ordered today none comes before {self.comes:%d %b}"
        )

    def as_dict(self) -> dict[str, Any]:
        """The row for a machine."""
        return {
            "item": self.item,
            "count": self.count,
            "needed": self.needed.isoformat(),
            "due": self.due.isoformat(),
            "comes": self.comes.isoformat(),
            "orders": list(self.orders),
            "text": self.text,
        }


def awaited(
    short: Sequence[Short], lead_days: Mapping[str, int], *, today: date, closed: Collection[date] = ()
) -> tuple[Awaited, ...]:
    """Shortages that what is on its way meets before anything ordered today could, soonest missed first.

    Args:
        short: Shortages.
        lead_days: Working days to get each item [-].
        today: The day of asking.
        closed: Days the shop is closed.

    Raises:
        PlanInputError: No lead time is known for an item.
    """
    found: list[Awaited] = []
    rows: dict[tuple[str, date], list[Short]] = {}
    for one in short:
        if one.until is not None and not _sooner(one, _suits(one, lead_days), lead_days, today, closed):
            rows.setdefault((one.item, one.until), []).append(one)
    for (item, due), mine in rows.items():
        days = lead_days[_suits(mine[0], lead_days)]
        found.append(Awaited(
            item=item, count=sum(one.want.count for one in mine), needed=min(one.want.day for one in mine), due=due,
            comes=working_days_after(today, days, closed=closed),
            orders=tuple(dict.fromkeys(one.want.order for one in mine)),
        ))  # fmt: skip
    return tuple(sorted(found, key=lambda row: (row.needed, row.item, row.due)))


def purchases(
    short: Sequence[Short], lead_days: Mapping[str, int], *, today: date, lots: Mapping[str, int] | None = None,
    closed: Collection[date] = (),
) -> tuple[ToBuy, ...]:
    """What the shortages ask to be bought, the most urgent first; for each need the item that suits it best.

    A need that something on its way meets later is on the list only where one ordered today comes sooner.

    Args:
        short: Shortages.
        lead_days: Working days to get each item [-].
        today: The day of asking.
        lots: Least lot the seller takes, by item; 1 where it is left out [-].
        closed: Days the shop is closed.

    Raises:
        PlanInputError: No lead time is known for an item, or a need names no item.
    """
    rows: dict[str, list[Short]] = {}
    for one in short:
        item = _suits(one, lead_days)
        if one.until is None or _sooner(one, item, lead_days, today, closed):
            rows.setdefault(item, []).append(one)
    out: list[ToBuy] = []
    for item, found in rows.items():
        lot = (lots or {}).get(item, 1)
        first = min(one.want.day for one in found)
        out.append(ToBuy(
            item=item, count=lot * ceil(sum(one.want.count for one in found) / lot), needed=first,
            order_by=working_days_before(first, lead_days[item], closed=closed),
            comes=working_days_after(today, lead_days[item], closed=closed),
            orders=tuple(dict.fromkeys(one.want.order for one in found)), lead_days=lead_days[item],
            until=max((one.until for one in found if one.until), default=None),
        ))  # fmt: skip
    return tuple(sorted(out, key=lambda row: (row.order_by, row.item)))


def _suits(one: Short, lead_days: Mapping[str, int]) -> str:
    """The item that suits a need best among those that can be bought."""
    known = [item for item in one.want.serves if item in lead_days]
    if not known:
        raise PlanInputError(
            "no lead time is known for what must be bought", where=one.want.order, value=one.want.what,
            limit=f"known: {', '.join(sorted(lead_days)) or 'none'}", way_out="Give its working days.",
        )  # fmt: skip
    return known[0]


def _sooner(one: Short, item: str, lead_days: Mapping[str, int], today: date, closed: Collection[date]) -> bool:
    """Whether a piece ordered today comes before the one that is on its way."""
    return one.until is not None and working_days_after(today, lead_days[item], closed=closed) < one.until


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """How fast an item goes, from what was really issued.

    Attributes:
        item: What.
        weeks: Weeks looked at [-].
        per_week: Pieces in a usual week [-].
        most: Most in one week [-].
        left: Pieces on hand and on the way [-].
        point: At how many left one more lot is ordered [-].
    """

    item: str
    weeks: int
    per_week: float
    most: int
    left: int
    point: int

    @property
    def due(self) -> bool:
        """Whether one more lot is to be ordered now."""
        return self.left <= self.point

    @property
    def text(self) -> str:
        """One sentence for the buyer."""
        used = f"{self.per_week:.1f} a week over {counted(self.weeks, 'week')}, {self.most} in the busiest"
        return f"{self.item}: order more at {self.point} left; {self.left} there or on the way; used {used}"

    def as_dict(self) -> dict[str, Any]:
        """The row for a machine."""
        return {
            "item": self.item,
            "weeks": self.weeks,
            "per_week": round(self.per_week, 2),
            "most": self.most,
            "left": self.left,
            "point": self.point,
            "due": self.due,
            "text": self.text,
        }


def use_of(
    item: str, issued: Iterable[tuple[date, int]], *, today: date, weeks: int, lead_days: int, left: int
) -> Use | None:
    """How fast an item went, week by week back from today; None where nothing of it was issued.

    Args:
        item: What.
        issued: Day and pieces of each issue; pieces given back are negative [-].
        today: The day of asking.
        weeks: How many weeks to look back [-].
        lead_days: Working days to get it [-].
        left: Pieces on hand and on the way [-].
    """
    by_week = [0] * weeks
    for day, count in issued:
        at = (today - day).days // 7
        if 0 <= at < weeks:
            by_week[at] += count
    most = max(by_week, default=0)
    if most <= 0:
        return None
    usual = max(0.0, sum(by_week) / weeks)
    point = reorder_point(used_per_week=usual, lead_days=lead_days, most_in_a_week=float(most))
    return Use(item=item, weeks=weeks, per_week=usual, most=most, left=left, point=point)


def working_days_after(day: date, count: int, *, closed: Collection[date] = ()) -> date:
    """The day so many working days later; Saturdays, Sundays and days the shop is closed are not counted.

    Args:
        day: The day.
        count: Working days [-].
        closed: Days the shop is closed.
    """
    while count > 0:
        day += timedelta(days=1)
        if day.weekday() < 5 and day not in closed:
            count -= 1
    return day
