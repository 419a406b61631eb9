"""What is said about the shop beside its orders: who is away, parts that come later, how cold it is, what is a rush.

It is kept with each crew plan and goes into the next one, so that a man who is sick until Friday is not planned in on
Thursday by the next click.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any

from plowwright import units
from plowwright.errors import EntryError
from plowwright.shop.crew_answer import said
from plowwright.shop.crew_model import Away


@dataclass(frozen=True, slots=True, kw_only=True)
class Later:
    """A part that comes on another day than was thought.

    Attributes:
        order: Number of the order that waits.
        what: What it is, in words; "" for whatever the order waits for.
        on: When it comes now.
    """

    order: str
    what: str
    on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """What stands beside the orders.

    Attributes:
        away: Who is not there, from when to when.
        later: Parts that come later.
        temperature: Of the shop, None for the one in crew.toml [degC].
        rush: Numbers of orders that go before others, beside those ordered so.
        learned: Whether plans take the hours learned from what was worked.
    """

    away: tuple[tuple[str, Away], ...] = ()
    later: tuple[Later, ...] = ()
    temperature: float | None = None
    rush: tuple[str, ...] = ()
    learned: bool = False

    def sick(self, who: str, begin: datetime, end: datetime, why: str = "sick") -> Standing:
        """The same with somebody not there.

        Args:
            who: As the rulebook names him.
            begin: From when.
            end: Until when.
            why: Sick, holiday, on the road.

        Raises:
            EntryError: It ends before it begins.
        """
        if not begin < end:
            raise EntryError("an absence ends after it begins", where=who, value=f"{said(begin)} to {said(end)}",
                             way_out="Give the day he is back.")  # fmt: skip
        return replace(self, away=(*self.away, (who, Away(begin=begin, end=end, why=why))))

    def back(self, who: str) -> Standing:
        """The same with somebody there again.

        Args:
            who: As the rulebook names him.
        """
        return replace(self, away=tuple(one for one in self.away if one[0] != who))

    def late(self, order: str, what: str, on: date) -> Standing:
        """The same with a part that comes later.

        Args:
            order: Number of the order that waits.
            what: What it is, "" for whatever it waits for.
            on: When it comes now.
        """
        others = tuple(one for one in self.later if (one.order, one.what) != (order, what))
        return replace(self, later=(*others, Later(order=order, what=what, on=on)))

    def at(self, now: datetime) -> Standing:
        """The same without absences that are over.

        Args:
            now: The moment.
        """
        return replace(self, away=tuple(one for one in self.away if one[1].end > now))

    def absences(self) -> dict[str, tuple[Away, ...]]:
        """Absences by name."""
        found: dict[str, tuple[Away, ...]] = {}
        for who, one in self.away:
            found[who] = (*found.get(who, ()), one)
        return found

    def sentences(self) -> list[str]:
        """The same in words, one sentence each."""
        out = [f"{who} is away ({one.why or 'not there'}) from {said(one.begin)} to {_until(one.end)}."
               for who, one in self.away]  # fmt: skip
        out += [f"{one.order}: {one.what or 'what it waits for'} comes {said_day(one.on)}." for one in self.later]
        if self.temperature is not None:
            out.append(f"The shop is at {units.say(self.temperature, 'temperature')}.")
        if self.rush:
            out.append(f"Rush: {', '.join(self.rush)}.")
        if self.learned:
            out.append("Hours are those learned from what was worked.")
        return out

    def as_dict(self) -> dict[str, Any]:
        """As the records keep it."""
        return {
            "away": [{"who": who, "from": one.begin.isoformat(), "to": one.end.isoformat(), "why": one.why}
                     for who, one in self.away],
            "later": [{"order": one.order, "what": one.what, "on": one.on.isoformat()} for one in self.later],
            "temperature_c": self.temperature,
            "rush": list(self.rush),
            "learned": self.learned,
        }  # fmt: skip


def standing_of(entry: Mapping[str, Any]) -> Standing:
    """What stands, from how the records keep it.

    Args:
        entry: As `Standing.as_dict` gives it.
    """
    return Standing(
        away=tuple(
            (one["who"], Away(begin=datetime.fromisoformat(one["from"]), end=datetime.fromisoformat(one["to"]),
                              why=one.get("why", "")))
            for one in entry.get("away", ())
        ),
        later=tuple(
            Later(order=one["order"], what=one["what"], on=_day(one["on"])) for one in entry.get("later", ())
        ),
        temperature=entry.get("temperature_c"),
        rush=tuple(entry.get("rush", ())),
        learned=bool(entry.get("learned", False)),
    )  # fmt: skip


def _until(moment: datetime) -> str:
    last = (moment.hour, moment.minute) == (23, 59)
    return f"the evening of {said_day(moment.date())}" if last else said(moment)


def said_day(day: date) -> str:
    """A day, with its hour where it has one, as the shop says it.

    Args:
        day: Day, or day and hour.
    """
    return said(day) if isinstance(day, datetime) else f"{day:%a} {day.day} {day:%b}"


def _day(text: str) -> date:
    return datetime.fromisoformat(text) if "T" in text else date.fromisoformat(text)


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """An order that is not planned, and why.

    Attributes:
        number: Order number.
        why: In words.
    """

    number: str
    why: str


@dataclass(frozen=True, kw_only=True)
class Doubts:
    """What a plan does not know.

    Attributes:
        parts: By order, parts of which nobody knows when they come.
        said: Whatever else, in sentences.
    """

    parts: Mapping[str, tuple[str, ...]] = field(default_factory=dict[str, tuple[str, ...]])
    said: tuple[str, ...] = ()

    def sentences(self) -> list[str]:
        """All of it, one sentence each."""
        out = [f"{number}: nobody knows when these come: {', '.join(parts)}." for number, parts in self.parts.items()]
        return [*out, *self.said]
