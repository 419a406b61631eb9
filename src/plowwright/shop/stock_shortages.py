"""Who goes short, of what and when; and who would, if a spare were sold today.

A need may be met by several items (an 84 in edge is cut from a 90 or a 102 in blank), so who gets what is a matching
of needs to pieces, each with its day. Needs are served in the order of their days, those that reserved theirs first; a
piece given to one is given to another only where the first still gets a piece by its day. That serves as many of the
urgent ones as can be served: sets of needs that can be met together form a matroid, and on a matroid the greedy choice
by rank is the best.
"""

from __future__ import annotations

from bisect import insort
from collections import deque
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from plowwright.errors import EntryError


@dataclass(frozen=True, slots=True, kw_only=True)
class Want:
    """Pieces somebody needs by a day.

    Attributes:
        order: Who.
        what: What it is, in words.
        day: Needed by.
        serves: Items that will do, the best first.
        count: Pieces [-].
        firm: Whether it goes before every other need: it is being sold over the counter now.
        held: Whether the pieces are reserved for it; it then goes before every need that reserved none.
    """

    order: str
    what: str
    day: date
    serves: tuple[str, ...]
    count: int = 1
    firm: bool = False
    held: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """Pieces that are there, or come on a day.

    Attributes:
        item: What.
        count: Pieces [-].
        day: From when; today for what lies there.
    """

    item: str
    count: int
    day: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """One piece, and who gets it.

    Attributes:
        want: The need, of one piece.
        item: What it gets.
        day: From when it is there.
    """

    want: Want
    item: str
    day: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Short:
    """A need that is not met on its day.

    Attributes:
        want: The need; its count is what is missing.
        until: The day it can be met from what is on its way, or None: nothing on its way serves it.
        item: What will meet it then, or "".
    """

    want: Want
    until: date | None
    item: str = ""

    @property
    def text(self) -> str:
        """One sentence for the wall."""
        w = self.want
        what = w.what if w.count == 1 else f"{w.count} x {w.what}"
        end = f"one comes on {self.until:%a %d %b}" if self.until else "none is on its way"
        return f"{w.order} goes short of {what} on {w.day:%a %d %b}: {end}"

    def as_dict(self) -> dict[str, Any]:
        """The shortage for a machine."""
        return {
            "order": self.want.order,
            "what": self.want.what,
            "count": self.want.count,
            "day": self.want.day.isoformat(),
            "until": self.until.isoformat() if self.until else None,
            "text": self.text,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Shared:
    """Who gets what.

    Attributes:
        given: Pieces given in time.
        short: Needs not met on their day, soonest first.
    """

    given: tuple[Given, ...]
    short: tuple[Short, ...]

    def by_day(self) -> dict[date, tuple[Short, ...]]:
        """The shortages of each day."""
        days: dict[date, list[Short]] = {}
        for one in self.short:
            days.setdefault(one.want.day, []).append(one)
        return {day: tuple(found) for day, found in sorted(days.items())}


def share(wants: Iterable[Want], supplies: Iterable[Supply]) -> Shared:
    """Give pieces to needs.

    Args:
        wants: The needs.
        supplies: What is there and what comes.

    Raises:
        EntryError: A count below one.
    """
    units = sorted(
        (replace(w, count=1) for w in wants for _ in range(_whole(w.count, w.what))),
        key=lambda w: (not w.firm, not w.held, w.day, w.order, w.what),
    )
    table = _Table(tuple(s for s in supplies if _whole(s.count, s.item, least=0)), units)
    late = [at for at, want in enumerate(units) if not table.serve(at, by=want.day)]
    # What comes too late for some is given to them next, so that every shortage says how long it lasts; only pieces
    # nobody gets in time are looked at.
    short: list[Short] = []
    for at in late:
        found = table.spare_for(at)
        short.append(Short(want=units[at], until=found.day if found else None, item=found.item if found else ""))
    given = tuple(
        Given(want=units[at], item=table.supplies[s].item, day=table.supplies[s].day)
        for at, s in sorted(table.chosen.items())
        if at not in late
    )
    return Shared(given=given, short=_together(short))


class _Table:
    """Pieces on one side, needs on the other.

    Supplies of an item lie sorted by day, so what a need can take is the front part of each item's row. Of the needs
    that hold pieces of one supply and may be served by the same items, only the latest matters to a search: it reaches
    all that the others reach.
    """

    def __init__(self, supplies: tuple[Supply, ...], wants: Sequence[Want]) -> None:
        self.supplies = supplies
        self.chosen: dict[int, int] = {}
        self._wants = wants
        self._left = [supply.count for supply in supplies]
        self._takers: list[dict[tuple[str, ...], list[tuple[date, int]]]] = [{} for _ in supplies]
        self._rows: dict[str, list[int]] = {}
        for at in sorted(range(len(supplies)), key=lambda at: supplies[at].day):
            self._rows.setdefault(supplies[at].item, []).append(at)
        # From supplies a search ended at without success no later one gets anywhere either: all they lead to is taken,
        # and no later move touches it.
        self._dead: set[int] = set()

    def serve(self, want: int, *, by: date) -> bool:
        """Find a piece for one need, moving others to pieces that serve them as well."""
        came_from: dict[int, int] = {}
        passed: dict[str, int] = {}
        queue: deque[int] = deque()

        def reach(taker: int, day: date) -> None:
            for item in self._wants[taker].serves:
                row, at = self._rows.get(item, []), passed.get(item, 0)
                while at < len(row) and self.supplies[row[at]].day <= day:
                    if row[at] not in self._dead:
                        came_from[row[at]] = taker
                        queue.append(row[at])
                    at += 1
                passed[item] = max(at, passed.get(item, 0))

        # Breadth first, so that few are moved; and by a queue, so that a long chain of moves is no deep recursion.
        reach(want, by)
        while queue:
            at = queue.popleft()
            if self._left[at] > 0:
                self._move(want, at, came_from)
                return True
            for takers in self._takers[at].values():
                day, taker = takers[-1]
                reach(taker, day)
        self._dead |= came_from.keys()
        return False

    def spare_for(self, want: int) -> Supply | None:
        """The earliest later piece that nobody gets, given to this need."""
        spare = [
            at for item in self._wants[want].serves for at in self._rows.get(item, ()) if self._left[at] > 0
        ]  # fmt: skip
        if not spare:
            return None
        at = min(spare, key=lambda one: self.supplies[one].day)
        self._give(want, at)
        return self.supplies[at]

    def _move(self, want: int, at: int, came_from: dict[int, int]) -> None:
        while True:
            taker = came_from[at]
            before = self.chosen.get(taker)
            if before is not None:
                self._take_back(taker, before)
            self._give(taker, at)
            if taker == want or before is None:
                return
            at = before

    def _give(self, want: int, at: int) -> None:
        insort(self._takers[at].setdefault(self._wants[want].serves, []), (self._wants[want].day, want))
        self._left[at] -= 1
        self.chosen[want] = at

    def _take_back(self, want: int, at: int) -> None:
        serves = self._wants[want].serves
        self._takers[at][serves].remove((self._wants[want].day, want))
        if not self._takers[at][serves]:
            del self._takers[at][serves]
        self._left[at] += 1


def _together(short: Sequence[Short]) -> tuple[Short, ...]:
    """Missing pieces of one need and one day in one row."""
    rows: dict[tuple[Want, date | None, str], int] = {}
    for one in short:
        key = (one.want, one.until, one.item)
        rows[key] = rows.get(key, 0) + 1
    found = [Short(want=replace(w, count=n), until=until, item=item) for (w, until, item), n in rows.items()]
    return tuple(sorted(found, key=lambda s: (s.want.day, s.want.order, s.want.what)))


def _whole(count: int, what: str, *, least: int = 1) -> int:
    if count < least:
        raise EntryError("a count of pieces that cannot be", value=str(count), limit=f"{least} or more", where=what)
    return count


@dataclass(frozen=True, slots=True, kw_only=True)
class Sale:
    """What a spare sold today does to the wall.

    Attributes:
        sold: What is sold.
        served: Whether it can be handed over at all.
        newly: Orders that go short by it, or go short for longer, soonest first.
        already: Orders that are short anyway.
        harmless: Most that can be sold with nobody going short [-].
    """

    sold: Want
    served: bool
    newly: tuple[Short, ...]
    already: tuple[Short, ...]
    harmless: int

    @property
    def text(self) -> str:
        """The answer, as it is said on the phone."""
        what = f"{self.sold.count} x {self.sold.what}"
        if not self.served:
            own = f"{what} cannot be handed over on {self.sold.day:%a %d %b}: not as many are there"
            return "; ".join((own, *(one.text for one in self.newly)))
        if not self.newly:
            return f"Selling {what} on {self.sold.day:%a %d %b} leaves nobody short"
        head = f"Selling {what} on {self.sold.day:%a %d %b}: {'; '.join(one.text for one in self.newly)}"
        most = f"{self.harmless} can be sold with nobody going short" if self.harmless else "Not one can be spared"
        return f"{head}. {most}"

    def as_dict(self) -> dict[str, Any]:
        """The answer for a machine."""
        return {
            "sold": self.sold.what,
            "count": self.sold.count,
            "served": self.served,
            "newly_short": [one.as_dict() for one in self.newly],
            "short_anyway": [one.as_dict() for one in self.already],
            "harmless": self.harmless,
            "text": self.text,
        }


def if_sold(sold: Want, wants: Sequence[Want], supplies: Sequence[Supply]) -> Sale:
    """Ask the calendar before a spare is sold.

    Args:
        sold: What somebody wants over the counter.
        wants: The needs on the wall.
        supplies: What is there and what comes.
    """
    firm = replace(sold, firm=True)
    before = share(wants, supplies)
    after = share([firm, *wants], supplies)

    def hurts(count: int) -> bool:
        return share([replace(firm, count=count), *wants], supplies).short != before.short

    harmless = sold.count if after.short == before.short else 0
    while harmless + 1 < sold.count and not hurts(harmless + 1):
        harmless += 1
    newly = tuple(one for one in after.short if one not in before.short and not one.want.firm)
    return Sale(
        sold=sold,
        served=not any(one.want.firm for one in after.short),
        newly=newly,
        already=before.short,
        harmless=harmless,
    )
