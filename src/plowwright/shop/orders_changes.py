"""Changes to an order as visible notes, and "the same as last time" looked at closely."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from plowwright.blade.build import Build
from plowwright.blade.differ import Row, differ
from plowwright.errors import EntryError, RefusedError
from plowwright.shop.orders import State, money

_LATE: tuple[State, ...] = ("released", "done", "weighed")


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeNote:
    """One change: what, for how much more or less, and what it does to the day.

    Attributes:
        number: Order it belongs to.
        on: Day it was asked for.
        said: What changes, in words.
        cents: Added to the price, negative for less [cents].
        promise_was: Promise before, or None where there was none.
        promise: Promise after.
        settled: Whether the customer has taken price and day.
        build: Fingerprint of the build after it, or "" where the build stays.
        after_release: Whether steel may have been cut already: what is cut by then is the shop's to know.
    """

    number: str
    on: date
    said: str
    cents: int = 0
    promise_was: date | datetime | None = None
    promise: date | datetime | None = None
    settled: bool = False
    build: str = ""
    after_release: bool = False

    @property
    def days_later(self) -> int:
        """By how many days the promise moves back, negative for earlier [d]."""
        if self.promise is None or self.promise_was is None:
            return 0
        return (_day(self.promise) - _day(self.promise_was)).days

    @property
    def text(self) -> str:
        """The note as the customer reads it."""
        price = "same price" if not self.cents else f"{money(abs(self.cents))} {'more' if self.cents > 0 else 'less'}"
        days = self.days_later
        moved = f"{abs(days)} day{'s' if abs(days) != 1 else ''} {'later' if days > 0 else 'earlier'}"
        when = moved if days else "same day"
        if self.promise is not None:
            when += f", {_said(self.promise)}"
        waits = "" if self.settled else "; waits for a yes"
        return f"{self.on:%d %b %Y}: {self.said}. {price[0].upper()}{price[1:]}; {when}{waits}"

    def as_dict(self) -> dict[str, Any]:
        """The note for a machine."""
        return {
            "number": self.number,
            "on": self.on.isoformat(),
            "said": self.said,
            "cents": self.cents,
            "days_later": self.days_later,
            "promise": self.promise.isoformat() if self.promise else None,
            "settled": self.settled,
            "text": self.text,
        }


def change(
    number: str, state: State, said: str, *, on: date, cents: int = 0, promise_was: date | datetime | None = None,
    promise: date | datetime | None = None, build: str = "",
) -> ChangeNote:  # fmt: skip
    """Write a change note.

    Args:
        number: The order.
        state: How far it is.
        said: What changes.
        on: The day.
        cents: Added to the price [cents].
        promise_was: Promise before.
        promise: Promise after, left out where it stays.
        build: Fingerprint of the build after the change, "" where it stays.

    Raises:
        EntryError: Nothing said.
        RefusedError: A quote (make a new one), or a blade that has left the yard.
    """
    if len(said.strip()) < 4:
        raise EntryError("a change note says what changes", where=number, value=repr(said),
                         way_out='Write it as "markers added".')  # fmt: skip
    if state in ("enquiry", "quote"):
        raise RefusedError("nothing is ordered yet, so nothing is changed", where=number, value=state,
                           way_out="Make a new quote; the old one stays as it was.")  # fmt: skip
    if state == "loaded":
        raise RefusedError("it has left the yard", where=number, value=state, way_out="A change now is a refit.")
    return ChangeNote(
        number=number, on=on, said=said.strip().rstrip("."), cents=cents, promise_was=promise_was,
        promise=promise if promise is not None else promise_was, build=build, after_release=state in _LATE,
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class AfterChanges:
    """Where an order stands after its change notes.

    Attributes:
        cents: Price now, settled notes counted [cents].
        if_all: Price if the customer says yes to the rest too [cents].
        promise: Promise now.
        unsettled: What waits for a yes.
    """

    cents: int
    if_all: int
    promise: date | datetime | None
    unsettled: tuple[str, ...]


def after_changes(cents: int, promise: date | datetime | None, notes: Sequence[ChangeNote]) -> AfterChanges:
    """Price and promise of an order with its change notes; a note counts once it is settled.

    Args:
        cents: Price as ordered [cents].
        promise: Promise as ordered.
        notes: Its change notes, in the order they were written.
    """
    settled = [note for note in notes if note.settled]
    now = promise
    for note in settled:
        now = note.promise if note.promise is not None else now
    return AfterChanges(
        cents=cents + sum(note.cents for note in settled),
        if_all=cents + sum(note.cents for note in notes),
        promise=now,
        unsettled=tuple(note.said for note in notes if not note.settled),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """A question a copy raises; the copy cannot be frozen before it is answered.

    Attributes:
        key: Stays the same from day to day, so that an answer can be kept.
        ask: The question.
        why: What made it come up.
    """

    key: str
    ask: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Copied:
    """A copy of an earlier blade, looked at: what is not the same, and what has to be asked.

    Attributes:
        serial: The blade it is copied from.
        rows: What differs between that blade as built and the same spec by today's rules.
        asks: What has to be answered.
        mass_apart: Today's less the old one's, as an amount [kg].
    """

    serial: str
    rows: tuple[Row, ...]
    asks: tuple[Ask, ...]
    mass_apart: float

    def unanswered(self, answers: Sequence[str]) -> tuple[Ask, ...]:
        """What is still to be asked.

        Args:
            answers: Keys of the questions that were answered.
        """
        return tuple(ask for ask in self.asks if ask.key not in answers)


def copied(
    serial: str, then: Build, now: Build, *, custom: Sequence[str] = (), machine_then: str = "", machine_now: str = "",
) -> Copied:  # fmt: skip
    """Copy an order from an earlier serial: never silently.

    Args:
        serial: The earlier blade.
        then: That blade, worked out by its own rules.
        now: What is ordered, worked out by today's.
        custom: What was done to that blade that no spec says: a custom plate, an owner's own hole, a refit.
        machine_then: The machine it was on, "" where nobody knows.
        machine_now: The machine the new one is for, "" where nobody said.
    """
    found = differ([then, now])
    asks = [
        Ask(key=f"custom {at}", ask=f"Is this wanted again: {said.rstrip('.')}?", why=f"{serial} was not only its spec")
        for at, said in enumerate(custom, 1)
    ]
    if not machine_now or machine_now != machine_then:
        asks.append(Ask(
            key="machine", ask=f"Is it for the same machine{f', {machine_then}' if machine_then else ''}?",
            why=f"{serial} was on {machine_then or 'a machine nobody noted'}; the new one is for "
            f"{machine_now or 'a machine nobody named'}",
        ))  # fmt: skip
    if now.rulebook.mounts[now.spec.mount].by_drawing:
        asks.append(Ask(key="mount sizes", ask="Were the mount's sizes measured on the machine?",
                        why="this mount is made to the customer's machine"))  # fmt: skip
    if then.rulebook.fingerprint != now.rulebook.fingerprint:
        changed = [row.what for row in found.rows if row.chapter != "class"]
        said = f": {'; '.join(changed[:6])}{' and more' if len(changed) > 6 else ''}" if changed else ""
        asks.append(Ask(
            key="rules",
            ask=f"The rules have changed since {then.rulebook.version.date:%d %b %Y}{said}. Built by today's?",
            why="an old spare may not fit the new blade",
        ))  # fmt: skip
    return Copied(serial=serial, rows=found.rows, asks=tuple(asks), mass_apart=found.mass_apart)


def _day(when: date | datetime) -> date:
    return when.date() if isinstance(when, datetime) else when


def _said(when: date | datetime) -> str:
    return f"{when:%a %d %b, %H:%M}" if isinstance(when, datetime) else f"{when:%a %d %b}"
