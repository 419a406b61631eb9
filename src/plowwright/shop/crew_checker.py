"""The checker of crew plans: walks a plan with calendar and clock and believes nothing it says.

It shares no code with the planner: it works on moments, not on slots.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from itertools import pairwise

from plowwright.errors import PlanFaultError
from plowwright.shop.crew_model import DAYS, Calendar, Crew, Job, Operation, Person, Started
from plowwright.shop.crew_plan import Assignment, CrewPlan

Span = tuple[datetime, datetime]
Placed = dict[tuple[str, str], Assignment]
_HAIR = timedelta(seconds=1)


def check(plan: CrewPlan, jobs: Sequence[Job], crew: Crew, calendar: Calendar, started: Sequence[Started]) -> None:
    """Refuse a plan that loses work, puts somebody in two places, or says what is not so.

    Args:
        plan: The plan.
        jobs: What was to be done.
        crew: Who and what is there.
        calendar: The clock.
        started: What was under way or done.

    Raises:
        PlanFaultError: It breaks one of its rules; names job, operation, value and limit.
    """
    placed = _every_operation_once(plan, jobs)
    begun = {(s.job, s.operation): s for s in started}
    for job in jobs:
        for op in job.operations:
            one = placed[job.number, op.name]
            state = begun.get((job.number, op.name))
            if state is None or (state.hand_over and state.ended is None):
                _in_time(one, op, job, placed, calendar)
                _done_by_one_who_may(one, op, crew)
                _long_enough(one, op, state.left if state else op.time, crew, calendar, plan)
            else:
                _unmoved(one, state, op, crew, calendar, plan)
    _nobody_twice(plan)
    _stations(plan, jobs, crew, calendar, placed)
    _nights(plan, crew)
    _promises(plan, jobs, placed)


def _name(one: Assignment) -> str:
    return f"{one.job}, {one.operation}"


def _at(moment: datetime) -> str:
    return f"{moment:%a} {moment.day} {moment:%b %H:%M}"


def _every_operation_once(plan: CrewPlan, jobs: Sequence[Job]) -> Placed:
    wanted = {(job.number, op.name) for job in jobs for op in job.operations}
    seen = Counter((a.job, a.operation) for a in plan.assignments)
    _refuse("an operation is not in the plan", wanted - set(seen))
    _refuse("an operation nobody asked for is in the plan", set(seen) - wanted)
    _refuse("an operation is in the plan more than once", {key for key, count in seen.items() if count > 1})
    return {(a.job, a.operation): a for a in plan.assignments}


def _refuse(what: str, keys: Iterable[tuple[str, str]]) -> None:
    named = sorted(keys)
    if named:
        raise PlanFaultError(what, value="; ".join(", ".join(key) for key in named[:5]))


def _in_time(one: Assignment, op: Operation, job: Job, placed: Placed, calendar: Calendar) -> None:
    if one.begin < calendar.now - _HAIR:
        raise PlanFaultError("work begins in the past", where=_name(one), value=_at(one.begin), limit=_at(calendar.now))
    if op.not_before and one.begin < op.not_before - _HAIR:
        raise PlanFaultError(
            "an operation begins before what it waits for is here", where=_name(one), value=_at(one.begin),
            limit=f"{op.waits_for or 'arrival'}, {_at(op.not_before)}",
        )  # fmt: skip
    for wait in op.after:
        first = placed[wait.job or job.number, wait.operation]
        ready = first.end + timedelta(seconds=wait.lag)
        if one.begin < ready - _HAIR:
            raise PlanFaultError(
                "an operation begins before another is finished and its wait over", where=_name(one),
                value=_at(one.begin), limit=f"{_name(first)}, over {_at(ready)}",
            )  # fmt: skip
    if op.in_one_day and one.begin.date() != (one.end - _HAIR).date():
        raise PlanFaultError(
            "an operation runs over a night that may not", where=_name(one), value=f"{_at(one.begin)} to {_at(one.end)}"
        )


def _done_by_one_who_may(one: Assignment, op: Operation, crew: Crew) -> None:
    if not op.work:
        if one.person:
            raise PlanFaultError("somebody stands at a wait", where=_name(one), value=one.person)
        return
    able = [p.name for p in crew.people if op.work in p.skills]
    if one.person not in able:
        raise PlanFaultError(
            "somebody does what he may not", where=_name(one), value=one.person or "nobody", limit=", ".join(able)
        )


def _hours_of(person: Person, first: datetime, last: datetime, calendar: Calendar, plan: CrewPlan) -> list[Span]:
    """When a person is at work between two moments."""
    nights = {day for who, day in plan.nights if who == person.name}
    spans: list[Span] = []
    day = first.date()
    while day <= last.date():
        if day not in calendar.closed:
            own = [h for h in person.hours if h.day == DAYS[day.weekday()]]
            spans += [(datetime.combine(day, h.begin), datetime.combine(day, h.end)) for h in own]
            if own and day in nights:
                late = max(datetime.combine(day, h.end) for h in own)
                spans.append((late, late + timedelta(seconds=person.night)))
        day += timedelta(days=1)
    for away in person.away:
        spans = [part for span in spans for part in _without(span, (away.begin, away.end))]
    return [(max(a, first), min(b, last)) for a, b in spans if a < last and b > first]


def _without(span: Span, hole: Span) -> list[Span]:
    parts = [(span[0], min(span[1], hole[0])), (max(span[0], hole[1]), span[1])]
    return [(a, b) for a, b in parts if a < b]


def _worked(spans: Iterable[Span]) -> float:
    return sum((b - a).total_seconds() for a, b in spans)


def _long_enough(one: Assignment, op: Operation, time: float, crew: Crew, calendar: Calendar, plan: CrewPlan) -> None:
    if not op.work:
        given = (one.end - one.begin).total_seconds()
    else:
        person = next(p for p in crew.people if p.name == one.person)
        spans = _hours_of(person, one.begin, one.end, calendar, plan)
        given = _worked(spans)
        if time and (not spans or spans[0][0] > one.begin + _HAIR or spans[-1][1] < one.end - _HAIR):
            raise PlanFaultError(
                "an operation begins or ends while its person is not there", where=_name(one),
                value=f"{one.person}, {_at(one.begin)} to {_at(one.end)}",
            )  # fmt: skip
    if given < time - 1.0:
        raise PlanFaultError(
            "an operation has less time than it takes", where=_name(one), value=f"{given / 3600:.2f} h",
            limit=f"{time / 3600:.2f} h",
        )  # fmt: skip


def _unmoved(one: Assignment, state: Started, op: Operation, crew: Crew, calendar: Calendar, plan: CrewPlan) -> None:
    slot = timedelta(seconds=calendar.slot)
    if abs(one.begin - state.begun) > slot or one.person != state.person:
        raise PlanFaultError(
            "an operation that was begun is moved", where=_name(one), value=f"{one.person}, {_at(one.begin)}",
            limit=f"{state.person}, {_at(state.begun)}",
        )  # fmt: skip
    if state.ended is not None:
        if abs(one.end - state.ended) > slot:
            raise PlanFaultError(
                "an operation that is done has another end", where=_name(one), value=_at(one.end),
                limit=_at(state.ended),
            )  # fmt: skip
        return
    person = next((p for p in crew.people if p.name == state.person), None)
    given = (one.end - calendar.now).total_seconds()
    if op.work and person is not None:
        given = _worked(_hours_of(person, calendar.now, one.end, calendar, plan)) if one.end > calendar.now else 0.0
    if given < state.left - 1.0:
        raise PlanFaultError(
            "an operation under way has less time than is left", where=_name(one), value=f"{given / 3600:.2f} h",
            limit=f"{state.left / 3600:.2f} h",
        )  # fmt: skip


def _nobody_twice(plan: CrewPlan) -> None:
    rows: defaultdict[str, list[Assignment]] = defaultdict(list)
    for one in plan.assignments:
        if one.person and one.end > one.begin:
            rows[one.person].append(one)
    for person, row in rows.items():
        row.sort(key=lambda a: (a.begin, a.end))
        for first, second in pairwise(row):
            if second.begin < first.end - _HAIR and not (first.settled and second.settled):
                raise PlanFaultError(
                    "somebody is in two places", where=person, value=f"{_name(second)}, {_at(second.begin)}",
                    limit=f"{_name(first)} until {_at(first.end)}",
                )  # fmt: skip


def _stations(plan: CrewPlan, jobs: Sequence[Job], crew: Crew, calendar: Calendar, placed: Placed) -> None:
    use: defaultdict[str, list[tuple[datetime, int, str, bool]]] = defaultdict(list)

    def taken(kind: str, span: Span, name: str, *, settled: bool) -> None:
        if span[1] > span[0] and span[1] > calendar.now:
            use[kind] += [(span[0], 1, name, settled), (span[1], -1, name, settled)]

    for job in jobs:
        for op in job.operations:
            one = placed[job.number, op.name]
            for kind in op.stations:
                until = one.end + timedelta(seconds=op.keeps)
                taken(kind, (one.begin, until), _name(one), settled=one.settled)
        if job.holds:
            first = placed[job.number, job.holds_from]
            taken(job.holds, (first.begin, _done(job, placed)), job.number, settled=first.settled)
    for station in crew.stations:
        events = sorted(use[station.name], key=lambda e: (e[0], e[1]))
        inside: list[tuple[str, bool]] = []
        for when, sign, name, settled in events:
            if sign < 0:
                inside.remove((name, settled))
                continue
            inside.append((name, settled))
            # What was begun before the plan cannot be undone by it, however crowded it stands.
            if len(inside) > station.count and not all(s for _, s in inside):
                raise PlanFaultError(
                    "a station is taken by more than there is room for", where=f"{station.name}, {_at(when)}",
                    value=", ".join(n for n, _ in inside), limit=f"{station.count} places",
                )  # fmt: skip


def _nights(plan: CrewPlan, crew: Crew) -> None:
    weeks = Counter((who, day.isocalendar()[:2]) for who, day in plan.nights)
    allowed = {p.name: p.nights for p in crew.people}
    for (who, _), count in weeks.items():
        if count > allowed.get(who, 0):
            raise PlanFaultError(
                "more evenings in a week than somebody works", where=who, value=str(count),
                limit=str(allowed.get(who, 0)),
            )  # fmt: skip


def _done(job: Job, placed: Placed) -> datetime:
    ends = [placed[job.number, op.name].end for op in job.operations]
    waits = [placed[w.job or job.number, w.operation].end + timedelta(seconds=w.lag) for w in job.ready]
    return max([*ends, *waits])


def _promises(plan: CrewPlan, jobs: Sequence[Job], placed: Placed) -> None:
    total = 0.0
    said = {p.job: p for p in plan.promises}
    for job in jobs:
        done = _done(job, placed)
        if job.number not in said or abs(said[job.number].done - done) > _HAIR:
            raise PlanFaultError("a job is not done when the plan says", where=job.number, value=_at(done))
        if job.due is not None:
            late = max(0.0, (done - job.due).total_seconds())
            total += job.weight * late / 3600
            if (said[job.number].mark == "late") != (late > 0):
                raise PlanFaultError(
                    "a promise is not as it is marked", where=job.number, value=said[job.number].mark,
                    limit=f"done {_at(done)}, promised {_at(job.due)}",
                )  # fmt: skip
    if abs(total - plan.objective) > 1e-3 * max(1.0, total) + 1e-3:
        raise PlanFaultError("the lateness does not add up", value=f"{plan.objective:.4f}", limit=f"{total:.4f}")
    if plan.bound > plan.objective + 1e-6 * max(1.0, total):
        raise PlanFaultError("a plan is less late than its bound", value=f"{plan.objective:.4f}",
                             limit=f"{plan.bound:.4f}")  # fmt: skip
