"""What was done: the events of the records by day, of one order or one person, and one of them opened."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, Final

from plowwright.desk.acting import said_of
from plowwright.desk.order_file import number_of
from plowwright.store import records as r
from plowwright.store.reading import Reads
from plowwright.units import counted

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

PAGE: Final = 60
"""So many events stand on one page [-]."""
_LOOKED: Final = 1200
"""So many are looked through for one person before the page is turned [-]."""
_LONG: Final = 400
"""A value longer than this is cut on the page; the export has it whole [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One line of the log.

    Attributes:
        number: Of the event.
        at: When.
        who: Who.
        command: What was done.
        said: What was answered.
        order: The order it was about, or "".
    """

    number: int
    at: datetime
    who: str
    command: str
    said: str
    order: str

    def as_dict(self) -> dict[str, Any]:
        """The line for a machine."""
        return {"number": self.number, "at": self.at.isoformat(), "who": self.who, "command": self.command,
                "said": self.said, "order": self.order}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Log:
    """One page of it.

    Attributes:
        entries: The newest first.
        before: Number to ask for older ones with, None where there are none.
    """

    entries: tuple[Entry, ...]
    before: int | None

    @property
    def days(self) -> tuple[tuple[date, tuple[Entry, ...]], ...]:
        """The same by day."""
        found: dict[date, list[Entry]] = {}
        for one in self.entries:
            found.setdefault(one.at.date(), []).append(one)
        return tuple((day, tuple(rows)) for day, rows in found.items())


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed:
    """One field of one row that an event wrote.

    Attributes:
        row: Table and number.
        field: Which field, "" where a whole row was written.
        was: Before, "" where there was nothing.
        now: After.
    """

    row: str
    field: str
    was: str
    now: str

    def as_dict(self) -> dict[str, str]:
        """The field for a machine."""
        return {"row": self.row, "field": self.field, "was": self.was, "now": self.now}


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """One event with all that is kept of it.

    Attributes:
        entry: Its line.
        key: The key it was sent with.
        asked: What was asked, by name.
        changed: What it wrote.
        digest: Made of it and of the one before.
        before: Digest of the one before, "" for the first.
        right: Where it can be put right: address and words.
    """

    entry: Entry
    key: str
    asked: Mapping[str, str]
    changed: tuple[Changed, ...]
    digest: str
    before: str
    right: tuple[str, str] | None

    def as_dict(self) -> dict[str, Any]:
        """The event for a machine."""
        return {**self.entry.as_dict(), "key": self.key, "asked": dict(self.asked), "digest": self.digest,
                "changed": [one.as_dict() for one in self.changed], "digest_before": self.before}  # fmt: skip


def log_of(desk: Desk, *, order: str = "", who: str = "", before: int | None = None, limit: int = PAGE) -> Log:
    """One page of what was done.

    Args:
        desk: The shop.
        order: Of one order only.
        who: By one person only.
        before: Only older events than this number.
        limit: The most that are wanted [-].

    Raises:
        EntryError: No such order; near ones are named.
    """
    with desk.book.reading() as reads:
        number = number_of(reads, order) if order.strip() else ""
        found: list[r.Event] = []
        last: int | None = None
        for event in _newest(reads, number, before):
            if who.strip() and event.who.casefold() != who.strip().casefold():
                continue
            if len(found) == limit:
                last = found[-1].number
                break
            found.append(event)
    return Log(entries=tuple(map(_entry, found)), before=last)


def _newest(reads: Reads, number: str, before: int | None) -> Iterator[r.Event]:
    if number:
        yield from (e for e in reversed(_of_order(reads, number)) if before is None or e.number < before)
        return
    looked = 0
    while looked < _LOOKED:
        rows = reads.events(limit=PAGE + 1, before=before)
        yield from rows
        if len(rows) <= PAGE:
            return
        before, looked = rows[-1].number, looked + len(rows)


def _of_order(reads: Reads, number: str) -> tuple[r.Event, ...]:
    """Every event of an order, those too that only wrote hours, money, notes, changes, tickets or stock lines of it."""
    file = reads.order_file(number)
    rows = (*file.changes, *file.money, *file.lines, *file.hours, *file.tickets, *file.attachments)
    wanted = {row.event for row in rows} | {event.number for event in file.events}
    return reads.find(r.Event, number=sorted(wanted))


def _entry(event: r.Event) -> Entry:
    said = said_of(event.answer) if isinstance(event.answer, dict) else ""
    return Entry(number=event.number, at=event.at, who=event.who, command=event.command, said=said,
                 order=_order(event))  # fmt: skip


def _order(event: r.Event) -> str:
    for told in (event.asked, event.answer):
        if isinstance(told, dict):
            for name in ("order", "number"):
                if isinstance(told.get(name), str):
                    return told[name]
    return ""


def opened(desk: Desk, number: int) -> Opened:
    """One event with all that is kept of it.

    Args:
        desk: The shop.
        number: Of the event.

    Raises:
        NotFoundError: There is none.
    """
    with desk.book.reading() as reads:
        event = reads.get(r.Event, number)
        first = reads.look(r.Event, number - 1)
    asked = event.asked if isinstance(event.asked, dict) else {"": event.asked}
    return Opened(
        entry=_entry(event), key=event.key, asked={name: _value(value) for name, value in asked.items()},
        changed=tuple(one for row in event.changed for one in _fields(row)), digest=event.digest,
        before=first.digest if first else "", right=_right(event),
    )  # fmt: skip


def _fields(row: Mapping[str, Any]) -> Iterator[Changed]:
    name = f"{row.get('table', '')} {row.get('key', '')}".strip()
    if "was" in row:
        for field, now in row["now"].items():
            yield from _inside(name, field, row["was"].get(field), now)
    elif "lines" in row:
        yield Changed(row=name, field="", was="", now=f"{counted(row['lines'], 'line')} written")
    elif "now" in row:
        told = {field: value for field, value in row["now"].items() if value not in (None, "", [], {}, 0)}
        yield Changed(row=name, field="", was="", now=f"written: {_value(told)}")
    else:
        yield Changed(row=name, field="", was="", now="written once, never changed")


def _inside(name: str, field: str, was: Any, now: Any) -> Iterator[Changed]:
    """Of open content only what differs is of interest."""
    if isinstance(was, dict) and isinstance(now, dict):
        for key in dict.fromkeys([*was, *now]):
            if was.get(key) != now.get(key):
                inner = key if field == "more" else f"{field}, {key}"
                yield from _inside(name, inner, was.get(key), now.get(key))
    else:
        yield Changed(row=name, field=field.replace("_", " "), was=_value(was), now=_value(now))


def _value(value: Any) -> str:
    if value is None or value in ("", [], {}):
        return ""
    if isinstance(value, dict):
        text = ", ".join(f"{key}: {_value(inner)}" for key, inner in value.items() if inner not in (None, "", [], {}))
    elif isinstance(value, list):
        text = "; ".join(map(_value, value))
    else:
        text = {True: "yes", False: "no"}[value] if isinstance(value, bool) else str(value)
    return text if len(text) <= _LONG else f"{text[:_LONG]} ... ({len(text)} letters)"


_WAYS: Final[Mapping[str, tuple[str, str]]] = {
    "done": ("/floor/{order}/{operation}#right", "Put it right on the operation's sheet"),
    "lay down": ("/floor/{order}/{operation}#right", "Put the hours right on the operation's sheet"),
    "put hours right": ("/floor/{order}/{operation}#right", "Put the hours right again"),
    "begin": ("/floor/{order}/{operation}", "Lay it down on the operation's sheet"),
    "problem": ("/floor/{order}", "Settle it on the order's floor page"),
}
"""Where what was done is put right, by command; all else of an order on its order page."""


def _right(event: r.Event) -> tuple[str, str] | None:
    order = _order(event)
    if not order:
        return None
    operation = event.answer.get("operation", "") if isinstance(event.answer, dict) else ""
    href, words = _WAYS.get(event.command, ("/order/{order}", "To its order page"))
    return href.format(order=order, operation=operation), words
