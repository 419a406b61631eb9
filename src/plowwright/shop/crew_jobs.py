"""From the rulebook to a crew plan's people and calendar, and from an order to its job."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Final, cast

from plowwright.errors import NotFoundError, PlanInputError
from plowwright.rulebook.crew import Crew as Rules
from plowwright.rulebook.crew import Task
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.crew_model import (
    After,
    Away,
    Calendar,
    Crew,
    Hours,
    Job,
    Operation,
    Person,
    Started,
    Station,
)
from plowwright.units import say

CHAIN: Final[tuple[tuple[str, tuple[str, ...]], ...]] = (
    ("saw", ()),
    ("plate_and_drill", ()),
    ("fit_and_weld", ("saw", "plate_and_drill")),
    ("clean", ("fit_and_weld",)),
    ("paint", ("clean",)),
    ("assemble", ("paint",)),
    ("test_and_weigh", ("assemble",)),
)
"""The operations of a blade, and what comes before each."""
STATES: Final[Mapping[str, int]] = {"not started": 0, "cut": 2, "welded": 3, "cleaned": 4, "painted": 5, "assembled": 6}
"""How many operations of the chain are done in each state of an order."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrival:
    """Something an operation waits for from outside.

    Attributes:
        operation: Which operation, as hours.toml names it.
        what: What it is, in words.
        on: When it is here; a day counts from the morning.
    """

    operation: str
    what: str
    on: date


def in_words(operation: str) -> str:
    """An operation as it is written on the wall: fit and weld.

    Args:
        operation: As hours.toml names it.
    """
    return operation.replace("_", " ")


def rules_of(rulebook: Rulebook) -> Rules:
    """The settings of crew.toml.

    Args:
        rulebook: The rulebook.

    Raises:
        NotFoundError: It has none.
    """
    if rulebook.crew is None:
        raise NotFoundError("the rulebook says nothing about the crew", limit="crew.toml",
                            way_out="Copy the demo's crew.toml and put your people in.")  # fmt: skip
    return rulebook.crew


def crew_of(rulebook: Rulebook, away: Mapping[str, Sequence[Away]] | None = None) -> Crew:
    """People and stations of the rulebook.

    Args:
        rulebook: The rulebook.
        away: When somebody is not there, by name.

    Raises:
        NotFoundError: It has no crew.toml, or somebody away is none of the crew.
    """
    rules = rules_of(rulebook)
    names = [p.name for p in rules.people]
    for name in away or {}:
        if name not in names:
            raise NotFoundError("nobody of the crew has this name", value=name, limit=", ".join(names))
    people = tuple(
        Person(
            name=one.name,
            skills=frozenset(one.does),
            hours=tuple(Hours(day=day, begin=span.begin, end=span.end) for span in one.hours for day in span.days),
            away=tuple((away or {}).get(one.name, ())),
            nights=one.nights.value,
            night=one.night.value,
        )
        for one in rules.people
    )
    return Crew(people=people, stations=tuple(Station(name=p.name, count=p.count.value) for p in rules.places))


def calendar_of(rulebook: Rulebook, now: datetime) -> Calendar:
    """The clock of a plan by the rulebook.

    Args:
        rulebook: The rulebook.
        now: The moment of the plan.
    """
    rules = rules_of(rulebook)
    return Calendar(now=now, closed=frozenset(rules.closed), slot=rules.planning.slot.value,
                    tight=rules.planning.tight.value)  # fmt: skip


def moment(rulebook: Rulebook, due: date) -> datetime:
    """The hour of a promise: the one given, or the shop's hand-over hour of that day.

    Args:
        rulebook: The rulebook.
        due: Day, or day and hour.
    """
    if isinstance(due, datetime):
        return due
    return datetime.combine(due, rules_of(rulebook).planning.hand_over.value)


def cure(rulebook: Rulebook, temperature: float | None = None) -> tuple[float, float]:
    """Wait to handle and wait to strap [s].

    Args:
        rulebook: The rulebook.
        temperature: Of the shop, None for the one in crew.toml [degC].

    Raises:
        PlanInputError: Colder than any row says.
    """
    rules = rules_of(rulebook)
    at = rules.cure.shop.value if temperature is None else temperature
    try:
        return rules.cure.times(at)
    except ValueError as fault:
        raise PlanInputError(
            "paint does not cure by any row of crew.toml", where="cure", value=say(at, "temperature"),
            limit=f"from {say(rules.cure.rows[0].at, 'temperature')} on", way_out="Heat the shop, or add a row.",
        ) from fault  # fmt: skip


def blade_job(
    rulebook: Rulebook,
    number: str,
    series: str,
    due: date | None,
    *,
    rush: bool = False,
    weight: float = 1.0,
    arrivals: Sequence[Arrival] = (),
    temperature: float | None = None,
    more_hours: Mapping[str, float] | None = None,
) -> Job:
    """The job of a new blade: saw to scale, with cure by the shop's temperature.

    Args:
        rulebook: The rulebook.
        number: Order number.
        series: Its series in hours.toml.
        due: The promise, None for none.
        rush: Whether it is paid as a rush.
        weight: What an hour late counts besides [-].
        arrivals: What is waited for from outside.
        temperature: Of the shop, None for the one in crew.toml [degC].
        more_hours: Working time learned from this shop instead of the rulebook's, by operation [s].

    Raises:
        NotFoundError: The series has no hours.
        PlanInputError: An arrival names no operation, or the shop is too cold.
    """
    rules = rules_of(rulebook)
    hours = rulebook.data.hours.get(series)
    if hours is None:
        raise NotFoundError("no hours for this series", value=series, limit=", ".join(rulebook.data.hours))
    handle, strap = cure(rulebook, temperature)
    known = [name for name, _ in CHAIN]
    for arrival in arrivals:
        if arrival.operation not in known:
            raise PlanInputError("something arrives for an operation a blade has not", where=number,
                                 value=arrival.operation, limit=", ".join(known),
                                 way_out="Name one of these.")  # fmt: skip
    ops: list[Operation] = []
    for name, before in CHAIN:
        time = (more_hours or {}).get(name, cast("float", getattr(hours, name)))
        made = operation(rules, name, time, tuple(After(operation=in_words(b)) for b in before))
        if name == "assemble":
            made = replace(made, after=(After(operation="paint", lag=handle),))
        ops.append(_waiting(made, [a for a in arrivals if a.operation == name]))
    return Job(
        number=number,
        operations=tuple(ops),
        due=None if due is None else moment(rulebook, due),
        weight=weight * (rules.planning.rush.value if rush else 1.0),
        ready=(After(operation="paint", lag=strap),),
        holds=rules.stand,
        holds_from="paint",
    )


def operation(rules: Rules, work: str, time: float, after: tuple[After, ...] = ()) -> Operation:
    """One operation with its station by crew.toml.

    Args:
        rules: Settings of crew.toml.
        work: As crew.toml names it.
        time: Working time [s].
        after: What comes before.
    """
    task = cast("Mapping[str, Task]", rules.tasks).get(work, Task())
    return Operation(name=in_words(work), time=time, work=work, after=after, keeps=task.keeps,
                     stations=(task.station,) if task.station else (), in_one_day=task.in_one_day)  # fmt: skip


def _waiting(op: Operation, arrivals: Sequence[Arrival]) -> Operation:
    if not arrivals:
        return op
    last = max(arrivals, key=lambda a: a.on.timetuple())
    begin = last.on if isinstance(last.on, datetime) else datetime.combine(last.on, datetime.min.time())
    return replace(op, not_before=begin, waits_for=last.what)


def so_far(
    job: Job, state: str, now: datetime, *, ended: datetime | None = None, person: str = "", left: float | None = None
) -> tuple[Started, ...]:
    """What is done of a blade's job in a state of its order, and what is under way.

    Args:
        job: The job, as `blade_job` made it.
        state: Not started, cut, welded, cleaned, painted, assembled.
        now: The moment of the plan.
        ended: When the last of it was done; the moment of the plan where nobody wrote it down.
        person: Who is at the next operation, "" where nobody is.
        left: Working time left of that operation [s].

    Raises:
        PlanInputError: No such state.
    """
    if state not in STATES:
        raise PlanInputError("a state no blade is in", where=job.number, value=state, limit=", ".join(STATES),
                             way_out="Use one of these.")  # fmt: skip
    end = ended or now
    count = STATES[state]
    out = [
        Started(job=job.number, operation=op.name, begun=min(end, now) - timedelta(seconds=op.time), ended=end)
        for op in job.operations[:count]
    ]
    if person:
        op = job.operations[count]
        out.append(Started(job=job.number, operation=op.name, begun=now, person=person,
                           left=op.time if left is None else left))  # fmt: skip
    return tuple(out)
