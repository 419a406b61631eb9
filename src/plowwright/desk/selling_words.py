"""Words that the use cases of orders share: who a quote is for, days as they are said, reasons that say something."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import TYPE_CHECKING, Any, Final

from plowwright.desk.acting import Hand
from plowwright.desk.order_file import number_of
from plowwright.errors import EntryError
from plowwright.store.commands import Command

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

When = date | datetime
"""A promise or a wish: a day, or day and hour."""
_LEAST: Final = 4
"""Fewer letters say nothing [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class For:
    """Who a quote is for, and what else was said with it.

    Attributes:
        name: The customer.
        phone: His number, or "".
        carrier: His machine, as the shop calls it, or "".
        enquiry: The enquiry it answers, or None.
        wished: When he wishes to have it, or None.
        note: What else must be known.
        asks: What is still to be asked before steel is cut.
    """

    name: str
    phone: str = ""
    carrier: str = ""
    enquiry: int | None = None
    wished: When | None = None
    note: str = ""
    asks: tuple[str, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """The same for the record."""
        return {"name": self.name, "phone": self.phone, "carrier": self.carrier, "enquiry": self.enquiry,
                "wished": said_when(self.wished), "note": self.note, "asks": list(self.asks)}  # fmt: skip


def run(
    desk: Desk, name: str, hand: Hand, do: Callable[[Command], dict[str, Any]], asked: Mapping[str, Any]
) -> dict[str, Any]:
    """Do one command over the records.

    Args:
        desk: Whose records.
        name: What is done.
        hand: Who, and by which form.
        do: Reads and writes.
        asked: What was asked.
    """
    return desk.book.run(name, do, who=hand.who, key=hand.key, asked=asked)


def read_number(desk: Desk, said: str) -> str:
    """An order number as typed, held against its letter and what was issued.

    Args:
        desk: Whose records.
        said: The number.

    Raises:
        EntryError: It cannot be; near ones are named.
    """
    with desk.book.reading() as reads:
        return number_of(reads, said)


def said_day(when: When) -> str:
    """A promise in words.

    Args:
        when: Day, or day and hour.
    """
    return f"{when:%a} {when.day} {when:%b, %H:%M}" if isinstance(when, datetime) else plain_day(when)


def said_when(when: When | None) -> str | None:
    """A promise as the records keep what was asked.

    Args:
        when: Day, day and hour, or None.
    """
    return when.isoformat() if when is not None else None


def plain_day(day: date) -> str:
    """A day in words, as Fri 13 Nov.

    Args:
        day: The day.
    """
    return f"{day:%a} {day.day} {day:%b}"


def hold_ahead(promise: When, now: datetime) -> None:
    """See that a promise lies ahead.

    Args:
        promise: Day, or day and hour.
        now: The shop's clock.

    Raises:
        EntryError: It lies behind.
    """
    behind = promise < now if isinstance(promise, datetime) else promise < now.date()
    if behind:
        raise EntryError("a promise lies ahead", value=said_day(promise), limit=f"not before {now:%a %d %b, %H:%M}")


def words(text: str, what: str, *, least: int = _LEAST) -> str:
    """Words that say something, without the full stop.

    Args:
        text: As typed.
        what: What to say where they do not.
        least: The fewest letters that say something [-].

    Raises:
        EntryError: They say nothing.
    """
    found = text.strip().rstrip(".")
    if len(found) < least:
        raise EntryError(what, value=repr(text), way_out="Say it in a few words.")
    return found


def which(ask: str, asks: Sequence[str], number: str) -> str:
    """The open question that is meant.

    Args:
        ask: The question, or its beginning.
        asks: What is open.
        number: Of the order, for the message.

    Raises:
        EntryError: None is called that, or more than one begins so.
    """
    wanted = ask.strip().casefold()
    exact = [one for one in asks if one.casefold() == wanted]
    found = exact or [one for one in asks if wanted and one.casefold().startswith(wanted)]
    if len(found) != 1:
        raise EntryError("more than one question begins so" if found else "no open question is called that",
                         where=number, value=ask, limit="; ".join(asks) or "nothing is open")  # fmt: skip
    return found[0]


def day_of(day: str, hour: str = "", where: str = "") -> When:
    """A promise as it was typed: a day, and an hour where one was given.

    >>> day_of("2026-11-27", "7:00")
    datetime.datetime(2026, 11, 27, 7, 0)

    Args:
        day: As 2026-11-27; "2026-11-27T07:00" will do for both.
        hour: As 7:00 or 07:00, "" for the day alone.
        where: What to call the field in messages.

    Raises:
        EntryError: Not a day, or not an hour.
    """
    if "T" in day and not hour:
        day, hour = day.split("T", maxsplit=1)
    try:
        found = date.fromisoformat(day.strip())
    except ValueError as fault:
        raise EntryError("not a day", value=day or "nothing", where=where, way_out="Write it as 2026-11-27.") from fault
    if not hour.strip():
        return found
    try:
        at = time.fromisoformat(hour.strip().zfill(5))
    except ValueError as fault:
        raise EntryError("not an hour", value=hour, where=where, way_out="Write it as 07:00.") from fault
    return datetime.combine(found, at.replace(second=0, microsecond=0, tzinfo=None))
