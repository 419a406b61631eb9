"""The owner's morning on one page: what leaves, what is late, who does what, what comes, what waits for a word."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING, Any, Final

from plowwright.desk.books import promise_of
from plowwright.desk.floor_chain import clock, in_words, left
from plowwright.desk.floor_people import Work, late, planned_of, work_of
from plowwright.desk.order_file import notes_of, standing_of
from plowwright.desk.order_more import More, more_of
from plowwright.desk.orders import Order
from plowwright.desk.stock_answers import Answers
from plowwright.desk.today_hours import Block, Hours, blocks_of, first_hour, hours_of, next_day
from plowwright.errors import PlowwrightError
from plowwright.shop.crew_plan import CrewPlan
from plowwright.shop.orders import money, next_step
from plowwright.store import records as r
from plowwright.store.reading import Reads

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

OPEN: Final = ("order", "released", "done", "weighed")
_MOST: Final = 200
"""So many orders with the next promises are looked at; further ones are nobody's morning [-]."""
_QUOTE_DAYS: Final = 7
"""A quote is called back on this long before it runs out [d]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One thing to know.

    Attributes:
        text: What it is.
        order: Whose, or "".
        href: The page where something is done about it.
        grave: Whether it is late or stopped.
        day: The day it falls on, None where it falls on none.
    """

    text: str
    order: str = ""
    href: str = ""
    grave: bool = False
    day: date | None = None

    def as_dict(self) -> dict[str, Any]:
        """The line for a machine."""
        return {"order": self.order, "text": self.text, "page": self.href, "grave": self.grave}


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaves:
    """An order that leaves today or tomorrow.

    Attributes:
        order: Which.
        when: As promised, in words.
        at: The moment, for the drawing.
        needs: What it still needs.
    """

    order: Order
    when: str
    at: datetime
    needs: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """The same for a machine."""
        return {"order": self.order.number, "at": self.at.isoformat(timespec="minutes"), "needs": list(self.needs)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Today:
    """The whole page.

    Attributes:
        now: The moment.
        next: The next day somebody works.
        leaving: What leaves until the end of that day, or before anybody works on the one after.
        parts: Everything else, by heading.
        work: Who does what.
        blocks: The same as blocks of time, for the drawing.
        hours: Who is here when, on both days.
    """

    now: datetime
    next: date
    leaving: tuple[Leaves, ...]
    parts: Mapping[str, tuple[Line, ...]]
    work: Work
    blocks: tuple[Block, ...]
    hours: tuple[Hours, ...]

    def as_dict(self) -> dict[str, Any]:
        """The page for a machine."""
        return {
            "now": self.now.isoformat(timespec="minutes"),
            "leaving": [one.as_dict() for one in self.leaving],
            **{name: [line.as_dict() for line in lines] for name, lines in self.parts.items()},
            "people": [one.as_dict() for one in self.work.people],
            "by": self.work.by,
        }


def today_of(desk: Desk) -> Today:
    """Everything of one morning, read from the records; nothing is planned for it.

    Args:
        desk: The shop.
    """
    now, after = desk.now, next_day(desk)
    with desk.book.reading() as reads:
        seen = _Seen(desk, reads)
        work = work_of(desk, reads)
        states = {row.number: (row.state, more) for row, _, more in seen.rows}
        blocks = blocks_of(desk, work, planned_of(work.plan), states)
        leaving = tuple(seen.leaving(until=first_hour(desk, next_day(desk, after))))
        parts = {
            "late": tuple(seen.late(_causes(work.plan))),
            "problems": tuple(seen.each(_problems)),
            "stopped": tuple(seen.each(_stopped)),
            "arrivals": tuple(seen.arrivals(until=after)),
            "to_order": tuple(_to_order(desk, now.date())),
            "asks": (*seen.each(_asks), *seen.unsettled()),
            "quotes": tuple(seen.quotes()),
            "deposits": tuple(seen.deposits()),
        }
    return Today(now=now, next=after, leaving=leaving, parts=parts, work=work, blocks=blocks,
                 hours=hours_of(desk, (now.date(), after)))  # fmt: skip


def _causes(plan: CrewPlan | None) -> Mapping[str, str]:
    """Why each order is late, as the last kept crew plan has it."""
    return {one.job: one.cause for one in plan.promises if one.mark == "late"} if plan else {}


def _order_page(number: str) -> str:
    return f"/order/{number}"


Row = tuple[r.Order, Order, More]


def _problems(row: Row) -> Iterator[Line]:
    for problem in row[2].problems:
        yield Line(order=row[0].number, text=problem, href=f"/floor/{row[0].number}", grave=True)


def _stopped(row: Row) -> Iterator[Line]:
    if row[2].scale == "stopped":
        yield Line(order=row[0].number, text="stopped at the scale: measure, or explain the difference", grave=True,
                   href=f"/scale?order={row[0].number}")  # fmt: skip


def _asks(row: Row) -> Iterator[Line]:
    for ask in row[2].asks:
        yield Line(order=row[0].number, text=ask, href=_order_page(row[0].number))


class _Seen:
    """The open orders in one steady view."""

    def __init__(self, desk: Desk, reads: Reads) -> None:
        self.desk, self.reads, self.now = desk, reads, desk.now
        orders = {one.number: one for one in desk.orders()}
        found = [row for row in reads.wall(OPEN, limit=_MOST) if row.number in orders]
        self.rows: list[Row] = [(row, orders[row.number], more_of(row.more)) for row in found]

    def each(self, lines: Callable[[Row], Iterator[Line]]) -> Iterator[Line]:
        for row in self.rows:
            yield from lines(row)

    def leaving(self, *, until: datetime) -> Iterator[Leaves]:
        # What goes before anybody is at work must stand ready the evening before.
        for row, order, more in self.rows:
            if row.promise is None or row.promise < datetime.combine(self.now.date(), time()):
                continue
            due = promise_of(row.promise)
            rules = self.desk.rulebook.crew
            at = due if isinstance(due, datetime) else datetime.combine(
                due, rules.planning.hand_over.value if rules else time(16, 30)
            )  # fmt: skip
            if at > until:
                continue
            yield Leaves(order=order, when=clock(due), at=at, needs=tuple(self._needs(row, more)))

    def _needs(self, row: r.Order, more: More) -> Iterator[str]:
        work = left(row.kind, more)
        standing = standing_of(self.reads, row.number, rulebook=self.desk.rulebook, now=self.now)
        step = next_step(standing, self.now.date())
        yield from (gate.sentence for gate in step.missing if gate.title != "work") if step else ()
        if work:
            yield ", ".join(map(in_words, work))
        if row.state in ("order", "released", "done") and row.kind != "spares":
            yield "the scale"
        balance = standing.balance_cents
        if balance > 0 and not standing.terms and step is not None and step.to != "loaded":
            yield f"{money(balance)} of balance"

    def late(self, causes: Mapping[str, str]) -> Iterator[Line]:
        for row, order, more in self.rows:
            if row.promise is None or not late(order, self.now):
                continue
            waits = "; ".join(f"waits for {w.what}, due {clock(w.on)}" for w in more.waits)
            work = ", ".join(map(in_words, left(row.kind, more)))
            why = row.hold or waits or causes.get(row.number, "") or (f"still to do: {work}" if work else order.state)
            days = (self.now.date() - row.promise.date()).days
            since = f"{days} day{'s' if days != 1 else ''} late" if days else "late today"
            yield Line(order=row.number, text=f"{since}, promised {clock(order.due)}: {why}", grave=True,
                       href=_order_page(row.number))  # fmt: skip

    def arrivals(self, *, until: date) -> Iterator[Line]:
        for one in self.reads.arriving():
            if one.due > until:
                return
            overdue = one.due < self.now.date()
            when = f"should have come {clock(one.due)}" if overdue else clock(one.due)
            whose = f" from {one.supplier}" if one.supplier else ""
            yield Line(text=f"{one.count} x {one.item}{whose}, {when}", href="/receiving", grave=overdue,
                       day=max(one.due, self.now.date()))  # fmt: skip

    def unsettled(self) -> Iterator[Line]:
        changed = {c.order for c in self.reads.find(r.Change, order=[row.number for row, _, _ in self.rows])}
        for row, _, _ in self.rows:
            for _, note in notes_of(self.reads, row.number) if row.number in changed else ():
                if not note.settled:
                    yield Line(order=row.number, text=f"{note.text}", href=_order_page(row.number))

    def quotes(self) -> Iterator[Line]:
        rows = self.reads.wall(("quote",), limit=_MOST)
        kept = {q.id: q for q in self.reads.find(r.Quote, id=[row.quote for row in rows if row.quote is not None])}
        names = {c.id: c.name for c in self.reads.find(r.Customer, id=[row.customer for row in rows if row.customer])}
        today = self.now.date()
        for row in rows:
            quote = kept.get(row.quote or 0)
            if quote is None or not today - timedelta(days=_QUOTE_DAYS) <= quote.valid_until <= today + timedelta(
                days=_QUOTE_DAYS
            ):
                continue
            ran = quote.valid_until < today
            word = "ran out" if ran else "runs out"
            whose = f" of {names[row.customer]}" if row.customer else ""
            yield Line(order=row.number, text=f"the quote{whose} over {money(quote.cents)} {word} "
                       f"{clock(quote.valid_until)}", href=_order_page(row.number), grave=ran)  # fmt: skip

    def deposits(self) -> Iterator[Line]:
        waiting = [(row, order) for row, order, _ in self.rows if row.state == "order" and row.deposit_cents]
        paid: dict[str, int] = {}
        for line in self.reads.find(r.Money, order=[row.number for row, _ in waiting]) if waiting else ():
            paid[line.order] = paid.get(line.order, 0) + line.cents
        for row, order in waiting:
            short = row.deposit_cents - paid.get(row.number, 0)
            if short > 0:
                text = f"{money(short)} of deposit from {order.customer}, promised {clock(order.due)}"
                yield Line(order=row.number, href=_order_page(row.number), text=text)


def _to_order(desk: Desk, today: date) -> Sequence[Line]:
    """What is ordered today or comes too late; not what is on its way and here no later."""
    try:
        found = Answers(desk).to_buy()
    except PlowwrightError as fault:
        return (Line(text=fault.sentence(), href="/parts", grave=True),)
    return [Line(text=one.text, href="/parts", grave=one.late) for one in found if one.order_by <= today]
