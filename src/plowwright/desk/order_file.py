"""The file of one order: what is known of it, what its next step asks for, its changes, its history."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, Final, cast

from plowwright.desk import floor_chain
from plowwright.desk.acting import said_of
from plowwright.desk.books import OPEN, order_of, promise_of
from plowwright.desk.order_more import More, more_of
from plowwright.desk.orders import Order
from plowwright.desk.shop_air import cure_now
from plowwright.errors import PlowwrightError, RefusedError
from plowwright.findings import Finding
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.dock_cure import strapping
from plowwright.shop.orders import CANCELLED, Kind, Standing, State, Step, next_step
from plowwright.shop.orders_changes import ChangeNote
from plowwright.shop.orders_numbers import read_number
from plowwright.store import records as r
from plowwright.store.reading import OrderFile, Reads

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

ABOUT: Final = "orders"
"""Table the notes and photos of an order are about."""
YES: Final = "yes"
"""What the row that settles a change note says when the customer took it."""
DROPPED: Final = "dropped"
"""How the row begins that settles a change note the customer did not want."""


def number_of(reads: Reads, said: str) -> str:
    """An order number as it was typed, heard or read off a stamp, held against its letter and what was issued.

    Args:
        reads: A steady view.
        said: The number; small letters and a space before the letter will do.

    Raises:
        EntryError: Figures and letter do not belong together, or no such number was issued; near ones are named.
    """
    plain = said.strip().upper()
    if plain and reads.look(r.Order, plain) is not None:
        return plain
    return read_number(said, reads.numbers())


def standing_of(
    reads: Reads, number: str, *, rulebook: Rulebook | None = None, now: datetime | None = None
) -> Standing:
    """What the gates ask of an order, put together from the records.

    Args:
        reads: A steady view, or a command.
        number: With its check letter.
        rulebook: Rules of cure, for whether the paint may be strapped.
        now: The shop's clock, for the same.

    Raises:
        NotFoundError: There is no such order.
        RefusedError: It was called off.
    """
    row = reads.get(r.Order, number)
    if row.state == CANCELLED:
        why = more_of(row.more).rest.get("cancelled", {}).get("why", "")
        raise RefusedError(f"{number} was called off", value=why, limit="a number is never given again",
                           way_out="Quote it anew, as a copy of this one; it gets a number of its own.")  # fmt: skip
    more = more_of(row.more)
    quote = reads.look(r.Quote, row.quote)
    build = reads.look(r.KeptBuild, row.build)
    return Standing(
        number=number,
        state=cast("State", row.state),
        kind=cast("Kind", row.kind),
        cents=row.cents,
        deposit_cents=row.deposit_cents,
        paid_cents=sum(line.cents for line in reads.find(r.Money, order=number)),
        build=build.fingerprint if build else "",
        valid_until=quote.valid_until if quote else None,
        promised=row.promise is not None,
        hold=row.hold,
        asks=more.asks,
        unsettled=tuple(note.said for _, note in notes_of(reads, number) if not note.settled),
        work_left=tuple(map(floor_chain.in_words, floor_chain.left(row.kind, more))),
        scale=more.scale,
        matched=more.matched,
        cured=cured(reads, more, rulebook, now) if row.kind == "blade" else True,
        terms=more.terms,
    )


def cured(reads: Reads, more: More, rulebook: Rulebook | None, now: datetime | None) -> bool | None:
    """Whether the paint may be strapped; None where nobody knows.

    Args:
        reads: A steady view, or a command.
        more: What is kept of the order.
        rulebook: Rules of cure.
        now: The shop's clock.
    """
    found = cure_of(reads, more, rulebook, now)
    return None if found is None else found.verdict in ("holds", "near limit")


def cure_of(reads: Reads, more: More, rulebook: Rulebook | None, now: datetime | None) -> Finding | None:
    """The paint held against its cure; None where nobody painted it or the rulebook says nothing of cure.

    Args:
        reads: A steady view, or a command.
        more: What is kept of the order.
        rulebook: Rules of cure.
        now: The shop's clock.
    """
    if more.painted is None or rulebook is None or rulebook.crew is None or now is None:
        return None
    try:
        cure = cure_now(reads, rulebook)
    except PlowwrightError:
        return None
    return strapping(more.painted, cure.strap, now, temperature=cure.temperature, source=cure.source)


def notes_of(reads: Reads, number: str) -> tuple[tuple[r.Change, ChangeNote], ...]:
    """The change notes of an order that were not dropped, each with whether the customer has said yes.

    Args:
        reads: A steady view.
        number: Of the order.
    """
    rows = reads.find(r.Change, order=number)
    answers = {row.settles: row for row in rows if row.settles is not None}
    builds = {b.id: b.fingerprint for b in reads.find(r.KeptBuild, id=[c.build for c in rows if c.build is not None])}
    return tuple(
        (row, note_of(row, builds.get(row.build or 0, ""), settled=row.id in answers))
        for row in rows
        if row.settles is None and not (row.id in answers and answers[row.id].note.startswith(DROPPED))
    )


def note_of(row: r.Change, build: str, *, settled: bool) -> ChangeNote:
    """A change note as the rules of orders read it.

    Args:
        row: As the records have it.
        build: Fingerprint of the build after it, or "".
        settled: Whether the customer has said yes.
    """
    return ChangeNote(
        number=row.order, on=row.day, said=row.note, cents=row.cents,
        promise_was=promise_of(row.promise_was) if row.promise_was else None,
        promise=promise_of(row.promise) if row.promise else None, settled=settled, build=build,
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Happened:
    """One line of an order's history.

    Attributes:
        number: Of the event.
        at: When.
        who: Who.
        what: What was done, in the shop's words.
        said: What it answered.
    """

    number: int
    at: datetime
    who: str
    what: str
    said: str

    def as_dict(self) -> dict[str, Any]:
        """The line for a machine."""
        return {"number": self.number, "at": self.at.isoformat(), "who": self.who, "what": self.what,
                "said": self.said}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderPage:
    """Everything a page, a paper or a command says of one order.

    Attributes:
        file: As the records have it.
        order: As planners read it.
        more: What is kept of it beside its columns.
        standing: What its gates ask, or None once it was called off.
        step: Its next step, or None where there is none.
        notes: Change notes, each with its row.
        dropped: Change notes the customer did not want.
        history: Who did what, oldest first.
    """

    file: OrderFile
    order: Order
    more: More
    standing: Standing | None
    step: Step | None
    notes: tuple[tuple[r.Change, ChangeNote], ...]
    dropped: tuple[r.Change, ...]
    history: tuple[Happened, ...]

    @property
    def number(self) -> str:
        """Number with its check letter."""
        return self.order.number

    @property
    def cancelled(self) -> str:
        """Why it was called off, or ""."""
        return str(self.more.rest.get("cancelled", {}).get("why", "")) if self.standing is None else ""

    @property
    def promise(self) -> date | datetime | None:
        """The promise: a day, or day and hour; None where there is none."""
        moment = self.file.order.promise
        return promise_of(moment) if moment else None

    @property
    def wished(self) -> date | datetime | None:
        """What the customer wished for, before a promise."""
        moment = self.file.order.wished
        return promise_of(moment) if moment else None

    @property
    def answers(self) -> tuple[dict[str, str], ...]:
        """Questions that were answered: ask, said, by, on."""
        return tuple(self.more.rest.get("answers", ()))

    def as_dict(self) -> dict[str, Any]:
        """The file for a machine."""
        row, standing = self.file.order, self.standing
        return {
            "number": row.number,
            "kind": row.kind,
            "state": row.state,
            "customer": self.order.customer,
            "carrier": self.order.carrier or None,
            "build": self.file.build.fingerprint if self.file.build else None,
            "spec": self.order.spec.as_dict() if self.order.spec else None,
            "serial": self.more.serial or None,
            "spares": list(self.more.spares),
            "cents": row.cents,
            "deposit_cents": row.deposit_cents,
            "paid_cents": self.file.paid_cents,
            "promise": _iso(self.promise),
            "wished": _iso(self.wished),
            "valid_until": standing.valid_until.isoformat() if standing and standing.valid_until else None,
            "hold": row.hold or None,
            "asks": list(self.more.asks),
            "changes": [{"id": change.id, **note.as_dict()} for change, note in self.notes],
            "money": [{"id": m.id, "kind": m.kind, "cents": m.cents, "day": m.day.isoformat(), "note": m.note,
                       "reverses": m.reverses} for m in self.file.money],
            "next": self.step.as_dict() if self.step else None,
            "cancelled": self.cancelled or None,
            "history": [one.as_dict() for one in self.history],
        }  # fmt: skip


def order_page(desk: Desk, said: str) -> OrderPage:
    """The file of an order, from one steady view.

    Args:
        desk: Whose records.
        said: Its number as typed.

    Raises:
        EntryError: The number cannot be; near ones are named.
        NotFoundError: No records are open here.
    """
    now = desk.now
    with desk.book.reading() as reads:
        return page_of(reads, number_of(reads, said), rulebook=desk.rulebook, now=now)


def page_of(reads: Reads, number: str, *, rulebook: Rulebook, now: datetime) -> OrderPage:
    """The file of an order.

    Args:
        reads: A steady view.
        number: With its check letter.
        rulebook: The rules in force.
        now: The shop's clock.

    Raises:
        NotFoundError: There is no such order.
    """
    file = reads.order_file(number)
    more = more_of(file.order.more)
    gone = file.order.state == CANCELLED
    standing = None if gone else standing_of(reads, number, rulebook=rulebook, now=now)
    notes = notes_of(reads, number)
    shown = {row.id for row, _ in notes}
    return OrderPage(
        file=file,
        order=order_of(
            file.order,
            {file.customer.id: file.customer} if file.customer else {},
            {file.carrier.id: file.carrier} if file.carrier else {},
            {file.build.id: file.build} if file.build else {},
        ),
        more=more,
        standing=standing,
        step=next_step(standing, now.date()) if standing else None,
        notes=notes,
        dropped=tuple(row for row in file.changes if row.settles is None and row.id not in shown),
        history=history_of(reads, file),
    )


def history_of(reads: Reads, file: OrderFile) -> tuple[Happened, ...]:
    """Who did what to an order and when: changes of its row, and rows written once, as money and notes.

    Args:
        reads: A steady view.
        file: All that is on file of it.
    """
    rows: Sequence[Any] = (
        *file.changes, *file.money, *file.lines, *file.hours, *file.tickets, *file.attachments
    )  # fmt: skip
    events = {event.number: event for event in file.events}
    others = sorted({row.event for row in rows} - set(events))
    if others:
        events |= {event.number: event for event in reads.find(r.Event, number=others)}
    return tuple(
        Happened(number=e.number, at=e.at, who=e.who, what=e.command,
                 said=said_of(e.answer if isinstance(e.answer, dict) else None))
        for e in sorted(events.values(), key=lambda e: e.number)
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """A quote that waits for its yes.

    Attributes:
        number: With its check letter.
        customer: Who asked.
        what: What was offered.
        cents: For how much [cents].
        until: Last day it stands, or None.
        wished: What the customer wished for, or None.
        stands: Whether it still stands.
    """

    number: str
    customer: str
    what: str
    cents: int
    until: date | None
    wished: date | datetime | None
    stands: bool


def open_quotes(desk: Desk) -> tuple[Waiting, ...]:
    """Quotes nobody has said yes to, the first to run out first.

    Args:
        desk: Whose records.
    """
    today = desk.now.date()
    with desk.book.reading() as reads:
        rows = reads.wall(OPEN[:2], limit=1000)
        quotes = {q.id: q for q in reads.find(r.Quote, id=[o.quote for o in rows if o.quote is not None])}
        people = {c.id: c.name for c in reads.find(r.Customer, id=[o.customer for o in rows if o.customer is not None])}
        builds = {b.id: b for b in reads.find(r.KeptBuild, id=[o.build for o in rows if o.build is not None])}
    found: list[Waiting] = []
    for row in rows:
        quote = quotes.get(row.quote or 0)
        more = more_of(row.more)
        build = builds.get(row.build or 0)
        what = str(build.facts.get("name", "")) if build else ", ".join(more.spares) or f"refit of {more.serial}"
        found.append(Waiting(
            number=row.number, customer=people.get(row.customer or 0, ""), what=what, cents=row.cents,
            until=quote.valid_until if quote else None, wished=promise_of(row.wished) if row.wished else None,
            stands=quote is not None and today <= quote.valid_until,
        ))  # fmt: skip
    return tuple(sorted(found, key=lambda one: (one.until or date.max, one.number)))


def _iso(when: date | datetime | None) -> str | None:
    return when.isoformat() if when is not None else None
