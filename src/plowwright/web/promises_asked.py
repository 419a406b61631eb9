"""What the page of promises is asked: a change to look at before it is kept, or whether something can be promised."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, time
from typing import Any, Final
from urllib.parse import urlencode

from plowwright import units
from plowwright.desk.crew_days import day_said
from plowwright.desk.crew_standing import Standing
from plowwright.desk.promising import Question
from plowwright.errors import EntryError

WHAT: Final = ("plan", "anew", "sick", "back", "late", "cold", "rush", "learned")
"""What may be tried: plan again, let everything move, somebody sick, back, a part late, the shop's temperature, a rush,
learned hours."""
_FIELDS: Final = ("person", "begin", "end", "order", "part", "day", "temperature", "hours")
BLADE: Final = ("series", "width", "mount", "carrier", "hoses")


@dataclass(frozen=True, kw_only=True)
class Trial:
    """A change that is looked at.

    Attributes:
        what: Which, of `WHAT`.
        fields: Names and values of its form.
        stamp: Number of the last event it knows of [-].
    """

    what: str
    fields: tuple[tuple[str, str], ...]
    stamp: int

    @property
    def query(self) -> str:
        """The part of an address that asks for it."""
        return urlencode([("what", self.what), *self.fields])

    def get(self, name: str) -> str:
        """One field, "" where it was left empty.

        Args:
            name: Of the field.
        """
        return dict(self.fields).get(name, "")


def trial_of(query: Mapping[str, Any], stamp: int) -> Trial:
    """What an address or a form asks to try.

    Args:
        query: Its names and values.
        stamp: Number of the last event [-].

    Raises:
        EntryError: Nothing of the kind can be tried.
    """
    what = str(query.get("what", "plan")) or "plan"
    if what not in WHAT:
        raise EntryError("nothing of the kind can be tried", value=what, limit=", ".join(WHAT))
    fields = tuple((name, str(query.get(name, "")).strip()) for name in _FIELDS if str(query.get(name, "")).strip())
    return Trial(what=what, fields=fields, stamp=stamp)


def typed_of(query: Mapping[str, Any]) -> dict[str, dict[str, str]]:
    """What was typed, by the form it was typed into, so that each form comes back filled in and no other.

    Args:
        query: Names and values as they came; without `what` they are those of *Can I promise*.
    """
    what = str(query.get("what", "")) or "can"
    return {what: {name: str(query.get(name, "")).strip() for name in (*_FIELDS, *BLADE, "on", "rush")}}


def standing_after(trial: Trial, standing: Standing, now: datetime) -> Standing:
    """What would stand beside the orders.

    Args:
        trial: The change.
        standing: What stands now.
        now: The shop's clock.

    Raises:
        EntryError: A field is missing or cannot be read.
    """
    match trial.what:
        case "sick":
            begin = _moment(trial.get("begin") or "today", now, "from", morning=True)
            end = _moment(_needed(trial, "end", "until when, as Fri 13 Nov"), now, "until", morning=False)
            return standing.sick(_needed(trial, "person", "who"), begin, end)
        case "back":
            return standing.back(_needed(trial, "person", "who"))
        case "late":
            day = day_said(_needed(trial, "day", "when it comes"), now.date(), where="comes on")
            return standing.late(_needed(trial, "order", "which order").upper(), trial.get("part"), day)
        case "cold":
            given = trial.get("temperature")
            value = units.si(given, "temperature", "temperature") if given else None
            return Standing(away=standing.away, later=standing.later, temperature=value, rush=standing.rush,
                            learned=standing.learned)  # fmt: skip
        case "rush":
            number = _needed(trial, "order", "which order").upper()
            rush = tuple(dict.fromkeys((*standing.rush, number)))
            return Standing(away=standing.away, later=standing.later, temperature=standing.temperature, rush=rush,
                            learned=standing.learned)  # fmt: skip
        case "learned":
            return Standing(away=standing.away, later=standing.later, temperature=standing.temperature,
                            rush=standing.rush, learned=trial.get("hours") == "learned")  # fmt: skip
        case _:
            return standing


def _needed(trial: Trial, name: str, what: str) -> str:
    value = trial.get(name)
    if not value:
        raise EntryError(f"say {what}", where=trial.what, way_out="Fill the field in.")
    return value


def _moment(text: str, now: datetime, where: str, *, morning: bool) -> datetime:
    """A day counts from its first minute, or to its last where an absence ends with it."""
    found = day_said(text, now.date(), where=where)
    if isinstance(found, datetime):
        return found
    if morning:
        return max(datetime.combine(found, time()), now) if found == now.date() else datetime.combine(found, time())
    return datetime.combine(found, time(23, 59))


def question_of(query: Mapping[str, Any], now: datetime) -> Question:
    """What is asked to be promised.

    Args:
        query: `order`, or `series`, `width` and further choices of a blade; `on`; `rush`.
        now: The shop's clock.

    Raises:
        EntryError: It says no day, or neither order nor blade.
    """
    on = day_said(str(query.get("on", "")), now.date(), where="day and hour")
    order = str(query.get("order", "")).strip().upper()
    blade = tuple((name, str(query.get(name, "")).strip()) for name in BLADE if str(query.get(name, "")).strip())
    if not order and "width" not in dict(blade):
        raise EntryError("nothing is asked for", where="order or width",
                         way_out="Give an order's number, or series and width of a blade.")  # fmt: skip
    return Question(on=on, order=order, blade=() if order else blade, rush=str(query.get("rush", "")) in ("yes", "on"))
