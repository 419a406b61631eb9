"""Today's and the next day's hours of everybody, and the work that lies in them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING, Final

from plowwright.desk.floor_chain import in_words
from plowwright.desk.floor_people import PersonsWork, Planned, Slip, Work
from plowwright.desk.order_more import More
from plowwright.shop import crew_jobs, crew_more_jobs

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

Span = tuple[datetime, datetime]
_LOOKED: Final = 14
"""Within so many days somebody works again [d]."""
_LEAST: Final = 900.0
"""Of what is under way longer than its hours say, a quarter of an hour is shown [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours:
    """When somebody is here on one day.

    Attributes:
        name: Who.
        day: The day.
        spans: From when to when, in their order.
    """

    name: str
    day: date
    spans: tuple[tuple[datetime, datetime], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One piece of work in somebody's hours.

    Attributes:
        name: Who.
        order: Number.
        operation: In words.
        begin: From when.
        end: Until when.
        planned: Whether a kept crew plan has it so; else it only lies there by the rulebook's hours.
        released: Whether its order is released to the floor.
    """

    name: str
    order: str
    operation: str
    begin: datetime
    end: datetime
    planned: bool
    released: bool = True


def next_day(desk: Desk, after: date | None = None) -> date:
    """The next day on which somebody works.

    Args:
        desk: The shop.
        after: After which day; today when left out.
    """
    rules = crew_jobs.rules_of(desk.rulebook)
    working = {day for one in rules.people for span in one.hours for day in span.days}
    first = (after or desk.now.date()) + timedelta(days=1)
    days = (first + timedelta(days=n) for n in range(_LOOKED))
    return next((day for day in days if f"{day:%a}" in working and day not in rules.closed), first)


def first_hour(desk: Desk, day: date) -> datetime:
    """When the first of the crew is here on a day.

    Args:
        desk: The shop.
        day: The day.
    """
    begins = [span[0] for one in hours_of(desk, (day,)) for span in one.spans]
    return min(begins, default=datetime.combine(day, time()))


def hours_of(desk: Desk, days: Sequence[date]) -> tuple[Hours, ...]:
    """Who is here when.

    Args:
        desk: The shop.
        days: On which days.
    """
    rules = crew_jobs.rules_of(desk.rulebook)
    return tuple(
        Hours(name=one.name, day=day, spans=tuple(
            (datetime.combine(day, span.begin), datetime.combine(day, span.end))
            for span in one.hours if f"{day:%a}" in span.days and day not in rules.closed
        ))
        for one in rules.people for day in days
    )  # fmt: skip


def blocks_of(
    desk: Desk, work: Work, planned: Planned, open_orders: Mapping[str, tuple[str, More]]
) -> tuple[Block, ...]:
    """The work in everybody's hours: by the kept crew plan, else end to end by the rulebook's hours.

    Args:
        desk: The shop.
        work: What everybody is at and what comes next.
        planned: What the crew plan has, by order and operation in words.
        open_orders: State of each open order, and what is kept of it.
    """
    hours = hours_of(desk, (desk.now.date(), next_day(desk)))
    spans = {p.name: [span for one in hours if one.name == p.name for span in one.spans] for p in work.people}
    found = list(_planned(planned, spans, open_orders))
    skills = {one.name: len(one.does) for one in crew_jobs.rules_of(desk.rulebook).people}
    taken: set[tuple[str, str]] = set()
    # Whoever can do least takes first what he can; the others have more to choose from.
    for person in sorted(work.people, key=lambda one: skills[one.name]):
        free = max((b.end for b in found if b.name == person.name), default=desk.now)
        for slip in (*person.now, *person.next):
            key = (slip.order.number, slip.words)
            if key not in planned and key not in taken and (slip.shut is None or slip.by):
                taken.add(key)
                laid = list(_laid(desk, person, slip, spans[person.name], free))
                found += laid
                free = laid[-1].end if laid else free
    return tuple(found)


def _planned(
    planned: Planned, spans: Mapping[str, Sequence[Span]], open_orders: Mapping[str, tuple[str, More]]
) -> Iterator[Block]:
    for (number, operation), (name, begin, end) in planned.items():
        state, more = open_orders.get(number, ("", More()))
        if not state or operation in map(in_words, more.work):
            continue
        for first, last in spans.get(name, ()):
            a, b = max(first, begin), min(last, end)
            if a < b:
                yield Block(name=name, order=number, operation=operation, begin=a, end=b, planned=True,
                            released=state == "released")  # fmt: skip


def _laid(
    desk: Desk, person: PersonsWork, slip: Slip, spans: Sequence[Span], free: datetime
) -> Iterator[Block]:
    rest = timedelta(seconds=_still(desk, slip))
    for first, last in spans:
        begin = max(first, free)
        end = min(last, begin + rest)
        if begin < end:
            yield Block(name=person.name, order=slip.order.number, operation=slip.words, begin=begin, end=end,
                        planned=False)  # fmt: skip
            rest -= end - begin
        if rest <= timedelta():
            return


def _still(desk: Desk, slip: Slip) -> float:
    """Working time an operation still takes by the rulebook [s]."""
    about = slip.about or 0.0
    if slip.begun is None:
        return about
    if slip.still is not None:
        return slip.still
    people = {p.name: p for p in crew_jobs.crew_of(desk.rulebook).people}
    calendar = crew_jobs.calendar_of(desk.rulebook, desk.now)
    spent = crew_more_jobs.worked(people[slip.by], slip.begun, desk.now, calendar) if slip.by in people else 0.0
    return max(_LEAST, about - spent)

