"""What will be there on a day: on hand, plus what arrives by then, less what is needed by then."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from plowwright.shop.stock_book import Balance, Coming, Held


@dataclass(frozen=True, slots=True, kw_only=True)
class DayLine:
    """One day on which something of an item comes or goes.

    Attributes:
        day: The day.
        comes: Pieces arriving [-].
        goes: Pieces needed [-].
        left: What is left that evening [-]; below zero is what is missing.
        orders: Who needs them.
    """

    day: date
    comes: int
    goes: int
    left: int
    orders: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Dated:
    """How much of one item there will be, day by day.

    Attributes:
        item: What.
        today: The day of asking.
        on_hand: Pieces there now [-].
        days: Every day something comes or goes, soonest first.
    """

    item: str
    today: date
    on_hand: int
    days: tuple[DayLine, ...]

    def available(self, day: date) -> int:
        """On hand, plus arriving, less needed by a day [-]; below zero where it does not reach.

        Args:
            day: The day.
        """
        return next((line.left for line in reversed(self.days) if line.day <= day), self.on_hand)

    def free(self, day: date) -> int:
        """How many can be taken on a day without anybody going short later [-]; never below zero.

        Args:
            day: The day.
        """
        later = [line.left for line in self.days if line.day > day]
        return max(0, min([self.available(day), *later]))

    def first_free(self, count: int) -> date | None:
        """The first day so many can be taken and nobody goes short, or None while nothing more is on its way.

        Args:
            count: Pieces [-].
        """
        return next((d for d in (self.today, *(line.day for line in self.days)) if self.free(d) >= count), None)

    def as_dict(self) -> dict[str, Any]:
        """Day by day, for a machine."""
        return {
            "item": self.item,
            "today": self.today.isoformat(),
            "on_hand": self.on_hand,
            "free_today": self.free(self.today),
            "days": [
                {"day": d.day.isoformat(), "comes": d.comes, "goes": d.goes, "left": d.left, "orders": list(d.orders)}
                for d in self.days
            ],
        }


def dated(now: Balance, coming: Iterable[Coming], needs: Iterable[Held] = (), *, today: date) -> Dated:
    """How much of one item there will be.

    What was needed before today and is still not taken counts today; what should have come before today counts today
    too, so tell the calendar when a part slips.

    Args:
        now: How it stands; its reservations are needs.
        coming: What is on its way.
        needs: Needs that nobody reserved yet.
        today: The day of asking.
    """
    comes: dict[date, int] = {}
    for one in coming:
        if one.item == now.item:
            comes[max(one.due, today)] = comes.get(max(one.due, today), 0) + one.count
    goes: dict[date, list[Held]] = {}
    for need in (*now.held, *(n for n in needs if n.item == now.item)):
        goes.setdefault(max(need.needed, today), []).append(need)
    left, days = now.on_hand, list[DayLine]()
    for day in sorted({*comes, *goes}):
        taken = sum(need.count for need in goes.get(day, ()))
        left += comes.get(day, 0) - taken
        orders = tuple(dict.fromkeys(need.order for need in goes.get(day, ()) if need.order))
        days.append(DayLine(day=day, comes=comes.get(day, 0), goes=taken, left=left, orders=orders))
    return Dated(item=now.item, today=today, on_hand=now.on_hand, days=tuple(days))
