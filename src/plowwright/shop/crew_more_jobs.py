"""Jobs of a crew plan beside new blades: a refit, spares to pack; and what the records say is done or under way."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from typing import Final

from plowwright.errors import PlanInputError
from plowwright.rulebook.crew import Crew as Rules
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.refit import Job as RefitWork
from plowwright.shop.crew_jobs import CHAIN, Arrival, cure, in_words, moment, operation, rules_of
from plowwright.shop.crew_model import DAYS, After, Calendar, Crew, Job, Operation, Person, Started

TAKE_IN: Final = "take_in"
"""What is done to an old blade first: washed and looked over by the check list."""
PACK: Final = "pack"
_REFIT: Final = (
    (TAKE_IN, "assemble", ()),
    ("saw", "saw", ()),
    ("plate_and_drill", "plate_and_drill", ()),
    ("fit_and_weld", "fit_and_weld", (TAKE_IN, "saw", "plate_and_drill")),
    ("clean", "clean", ("fit_and_weld",)),
    ("paint", "paint", ("clean",)),
    ("assemble", "assemble", ("paint",)),
    ("test_and_weigh", "test_and_weigh", ("assemble",)),
)
"""Operations of a refit: name, skill, what comes before."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AtIt:
    """An operation somebody is at.

    Attributes:
        operation: As hours.toml names it.
        person: Who.
        begun: Since when.
        left: Working time left as somebody said, None where nobody did [s].
    """

    operation: str
    person: str
    begun: datetime
    left: float | None = None


def due_soon(arrival: Arrival, today: date) -> Arrival:
    """Something that should have come by now is looked for tomorrow, and its cause says since when it is late.

    Args:
        arrival: What is waited for.
        today: The day of the plan.
    """
    day = arrival.on.date() if isinstance(arrival.on, datetime) else arrival.on
    if day >= today:
        return arrival
    what = f"{arrival.what} (should have come {day:%a} {day.day} {day:%b})"
    return replace(arrival, what=what, on=today + timedelta(days=1))


def refit_job(
    rulebook: Rulebook,
    number: str,
    works: Sequence[RefitWork],
    due: date | None,
    *,
    blade_comes: Arrival | None = None,
    arrivals: Sequence[Arrival] = (),
    rush: bool = False,
    temperature: float | None = None,
) -> Job:
    """The job of a refit: taken in when the blade is here, then what changes of it, by the hours of refit.toml.

    What is made new may be sawn and plated before the blade comes; nothing is fitted before it was looked over.

    Args:
        rulebook: The rulebook.
        number: Order number.
        works: What is to be done, as `refit_price.jobs_of` lists it.
        due: The promise, None for none.
        blade_comes: When the blade is here; None where it stands in the yard.
        arrivals: What is waited for from outside besides, by the operation as hours.toml names it.
        rush: Whether it is paid as a rush.
        temperature: Of the shop, None for the one in crew.toml [degC].

    Raises:
        PlanInputError: There is nothing to do, or something arrives for an operation the refit has not.
    """
    rules = rules_of(rulebook)
    hours = _refit_hours(works)
    if not hours:
        raise PlanInputError("a refit with nothing to do", where=number, way_out="Leave it out, or look at refit.toml.")
    waits = [*arrivals, *((replace(blade_comes, operation=TAKE_IN),) if blade_comes else ())]
    for arrival in waits:
        if arrival.operation not in hours:
            raise PlanInputError(
                "something arrives for an operation this refit has not", where=number, value=arrival.operation,
                limit=", ".join(hours), way_out="Name one of these.",
            )  # fmt: skip
    handle, strap = cure(rulebook, temperature)
    ops: list[Operation] = []
    for name, work, _ in _REFIT:
        if name not in hours:
            continue
        made = operation(rules, work, hours[name], _after(name, hours, handle))
        ops.append(arriving(replace(made, name=in_words(name)), [a for a in waits if a.operation == name]))
    painted = "paint" in hours
    return Job(
        number=number,
        operations=tuple(ops),
        due=None if due is None else moment(rulebook, due),
        weight=rules.planning.rush.value if rush else 1.0,
        ready=(After(operation="paint", lag=strap),) if painted else (),
        holds=rules.stand if painted else "",
        holds_from="paint" if painted else "",
    )


def _refit_hours(works: Sequence[RefitWork]) -> dict[str, float]:
    """Working time by operation; what every refit begins with stands first, whatever skill it takes."""
    hours: dict[str, float] = {}
    for one in works:
        name = TAKE_IN if one.when == "always" and one.work == "assemble" else one.work
        hours[name] = hours.get(name, 0.0) + one.time
    return {name: hours[name] for name, _, _ in _REFIT if hours.get(name, 0.0) > 0.0}


def _after(name: str, there: Mapping[str, float], handle: float) -> tuple[After, ...]:
    """What comes before an operation; through one the refit has not, to what came before that."""
    rows = {op: before for op, _, before in _REFIT}
    found: dict[str, float] = {}
    todo = list(rows[name])
    while todo:
        one = todo.pop(0)
        if one in there:
            found[one] = handle if one == "paint" else 0.0
        else:
            todo += rows[one]
    return tuple(After(operation=in_words(one), lag=lag) for one, lag in found.items())


def spares_job(
    rulebook: Rulebook, number: str, due: date | None, *, arrivals: Sequence[Arrival] = (), rush: bool = False
) -> Job:
    """The job of an order of spares: packed once the last part is here.

    Args:
        rulebook: The rulebook.
        number: Order number.
        due: The promise, None for none.
        arrivals: Parts that are not here yet.
        rush: Whether it is paid as a rush.
    """
    rules: Rules = rules_of(rulebook)
    made = operation(rules, PACK, rules.planning.pack.value)
    return Job(
        number=number,
        operations=(arriving(made, arrivals),),
        due=None if due is None else moment(rulebook, due),
        weight=rules.planning.rush.value if rush else 1.0,
    )


def arriving(op: Operation, arrivals: Sequence[Arrival]) -> Operation:
    """An operation that begins no sooner than the last of what it waits for.

    Args:
        op: The operation.
        arrivals: What it waits for.
    """
    if not arrivals:
        return op
    last = max(arrivals, key=lambda a: _morning(a.on))
    return replace(op, not_before=_morning(last.on), waits_for=last.what)


def _morning(day: date) -> datetime:
    return day if isinstance(day, datetime) else datetime.combine(day, time.min)


def recorded(
    job: Job, done: Mapping[str, datetime], at_it: Sequence[AtIt], crew: Crew, calendar: Calendar
) -> tuple[Started, ...]:
    """What is done of a job by the records, and what is under way.

    What must come before something that is done is done as well, whether anybody noted it or not: it ended no later.
    Where nobody said what is left of an operation, the hours of whoever is at it since he began are taken off; one
    slot is always left. What somebody began who is none of the crew may be finished by whoever can.

    Args:
        job: The job.
        done: When each operation was done, as hours.toml names them.
        at_it: Operations somebody is at.
        crew: The people.
        calendar: The clock.

    Raises:
        PlanInputError: Something is done or begun that the job has not.
    """
    now = calendar.now
    ops = {op.name: op for op in job.operations}
    people = {p.name: p for p in crew.people}
    ends = {in_words(name): min(when, now) for name, when in done.items()}
    begun = {in_words(one.operation): one for one in at_it if in_words(one.operation) not in ends}
    for name in (*ends, *begun):
        if name not in ops:
            raise PlanInputError("something is done or begun that is no part of the job", where=job.number, value=name,
                                 limit=", ".join(ops), way_out="Name one of these.")  # fmt: skip
    for op in reversed(job.operations):
        if op.name in ends or op.name in begun:
            limit = ends[op.name] if op.name in ends else min(begun[op.name].begun, now)
            for before in op.after:
                if not before.job and before.operation not in ends:
                    ends[before.operation] = limit
                    begun.pop(before.operation, None)
    out = [
        Started(job=job.number, operation=name, begun=ends[name] - timedelta(seconds=ops[name].time), ended=ends[name])
        for name in ops
        if name in ends
    ]
    for name, one in begun.items():
        who, left = people.get(one.person), one.left
        if left is None:
            done_of_it = worked(who, one.begun, now, calendar) if who else 0.0
            left = max(calendar.slot, ops[name].time - done_of_it)
        out.append(
            Started(job=job.number, operation=name, begun=min(one.begun, now), person=one.person, left=left,
                    hand_over=who is None)
        )  # fmt: skip
    return tuple(out)


def worked(person: Person, begin: datetime, end: datetime, calendar: Calendar) -> float:
    """Somebody's own hours between two moments, evenings left out [s].

    Args:
        person: Whose.
        begin: From when.
        end: Until when.
        calendar: For the days nobody works.
    """
    total = 0.0
    for number in range((end.date() - begin.date()).days + 1 if end > begin else 0):
        day = begin.date() + timedelta(days=number)
        if day in calendar.closed:
            continue
        for row in person.hours:
            if row.day == DAYS[day.weekday()]:
                first = max(begin, datetime.combine(day, row.begin))
                last = min(end, datetime.combine(day, row.end))
                total += max(0.0, (last - first).total_seconds())
    return total


def known_operation(name: str) -> str:
    """An operation of a blade as hours.toml names it, from how anybody writes it.

    Args:
        name: As "fit and weld" or "fit_and_weld".

    Raises:
        PlanInputError: A blade has no such operation.
    """
    wanted = name.strip().casefold().replace(" ", "_")
    names = [one for one, _ in CHAIN]
    if wanted not in names:
        raise PlanInputError("no operation of a blade", value=name, limit=", ".join(map(in_words, names)),
                             way_out="Name one of these.")  # fmt: skip
    return wanted
