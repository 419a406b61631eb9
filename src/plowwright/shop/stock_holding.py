"""What an order reserves when it is released: all it can get by its day, and in words what it cannot."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from plowwright.shop.stock_book import Balance, Coming, Entry, applied, standing
from plowwright.shop.stock_dates import dated
from plowwright.shop.stock_shortages import Want


@dataclass(frozen=True, slots=True, kw_only=True)
class Lacking:
    """What could not be reserved.

    Attributes:
        want: The need; its count is what is missing.
        first: The day on which as many are free, or None: nothing on its way reaches.
    """

    want: Want
    first: date | None

    @property
    def text(self) -> str:
        """One sentence for whoever releases the order."""
        w = self.want
        what = w.what if w.count == 1 else f"{w.count} x {w.what}"
        when = f"free on {self.first:%a %d %b}" if self.first else "none is on its way"
        return f"{what} by {w.day:%a %d %b}: {when}"

    def as_dict(self) -> dict[str, Any]:
        """The same for a machine."""
        w = self.want
        first = self.first.isoformat() if self.first else None
        return {"what": w.what, "count": w.count, "day": w.day.isoformat(), "first": first, "text": self.text}


@dataclass(frozen=True, slots=True, kw_only=True)
class Holding:
    """What is reserved for an order.

    Attributes:
        lines: The lines to write.
        lacking: What goes short.
    """

    lines: tuple[Entry, ...]
    lacking: tuple[Lacking, ...]

    @property
    def pieces(self) -> int:
        """Pieces reserved by these lines [-]."""
        return sum(line.count for line in self.lines)


def hold(
    wants: Sequence[Want], balances: Mapping[str, Balance], coming: Iterable[Coming], *, today: date
) -> Holding:
    """Reserve for an order what can be had by its day, of the item that suits best first.

    What it has reserved before counts; asked again, nothing is reserved twice.

    Args:
        wants: Its needs.
        balances: How the items stand that may serve them.
        coming: What is on its way.
        today: The day of asking.
    """
    on_way, now = tuple(coming), dict(balances)
    lines: list[Entry] = []
    lacking: list[Lacking] = []
    kept = {
        (item, one.order): sum(h.count for h in stands.held if h.order == one.order)
        for item, stands in now.items() for one in stands.held
    }  # fmt: skip
    for want in wants:
        left, day = want.count, max(want.day, today)
        for item in want.serves:
            part = min(left, kept.get((item, want.order), 0))
            if part:
                kept[item, want.order] -= part
                left -= part
        for item in want.serves:
            stands = now.get(item) or standing(item, {}, ())
            part = min(left, dated(stands, on_way, today=today).free(day))
            if part:
                line = Entry(kind="reserve", item=item, count=part, day=today, order=want.order, needed=day)
                lines.append(line)
                now[item] = applied(stands, line)
                left -= part
        if left:
            short = Want(order=want.order, what=want.what, day=day, serves=want.serves, count=left)
            lacking.append(Lacking(want=short, first=_first(short, now, on_way, today)))
    return Holding(lines=tuple(lines), lacking=tuple(lacking))


def _first(want: Want, now: Mapping[str, Balance], coming: Sequence[Coming], today: date) -> date | None:
    days = [
        dated(now.get(item) or standing(item, {}, ()), coming, today=today).first_free(want.count)
        for item in want.serves
    ]
    return min((day for day in days if day), default=None)


def let_go(balances: Iterable[Balance], order: str, *, today: date, reason: str) -> tuple[Entry, ...]:
    """The lines that give back all an order has reserved.

    Args:
        balances: How the items stand.
        order: Whose reservations.
        today: The day.
        reason: Why.
    """
    return tuple(
        Entry(kind="release", item=stands.item, count=one.count, day=today, order=order, needed=one.needed,
              reason=reason)
        for stands in balances for one in stands.held if one.order == order
    )  # fmt: skip
