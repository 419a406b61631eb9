"""From slots back to moments: the plan with its promises, their marks and causes, and what moved."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from plowwright.shop.crew_bound import alone
from plowwright.shop.crew_build import Schedule
from plowwright.shop.crew_grid import Grid
from plowwright.shop.crew_model import Calendar, Crew, Job
from plowwright.shop.crew_plan import Assignment, CrewPlan, Mark, Move, Promise

Placed = Mapping[tuple[str, str], Assignment]


def said(moment: datetime) -> str:
    """A moment as it is said in the shop: Tue 17 Nov 07:30; midnight stands for the whole day.

    Args:
        moment: Which.
    """
    day = f"{moment:%a} {moment.day} {moment:%b}"
    return day if moment.time() == moment.min.time() else f"{day} {moment:%H:%M}"


def assignments(grid: Grid, schedule: Schedule) -> tuple[Assignment, ...]:
    """All operations with people and moments, by begin.

    Args:
        grid: The problem.
        schedule: The schedule.
    """
    out: list[Assignment] = []
    for at, (job, name) in enumerate(grid.names):
        who, begin, end = schedule.who[at], schedule.begins[at], schedule.ends[at]
        nights = grid.nights[who] if who is not None and not grid.ops[at].settled else frozenset[int]()
        out.append(
            Assignment(
                job=job, operation=name, person="" if who is None else grid.people[who],
                begin=grid.when(begin), end=grid.when(end),
                overtime=grid.slot * sum(begin <= slot < end for slot in nights), settled=grid.ops[at].settled,
            )
        )  # fmt: skip
    return tuple(sorted(out, key=lambda a: (a.begin, a.end, a.job)))


def done(job: Job, placed: Placed) -> datetime:
    """When a job can go.

    Args:
        job: The job.
        placed: All operations by job and name.
    """
    ends = [placed[job.number, op.name].end for op in job.operations]
    waits = [placed[w.job or job.number, w.operation].end + timedelta(seconds=w.lag) for w in job.ready]
    return max([*ends, *waits])


def promises(
    jobs: Sequence[Job],
    grid: Grid,
    widest: Grid,
    placed: Placed,
    calendar: Calendar,
    without_nights: Mapping[str, datetime],
) -> tuple[Promise, ...]:
    """How each job stands.

    Args:
        jobs: The jobs.
        grid: The problem as planned.
        widest: The same with every night open that may be worked.
        placed: All operations by job and name.
        calendar: The clock.
        without_nights: When each job would be done if nobody worked an evening.
    """
    soonest = dict(zip((t.number for t in grid.tasks), alone(widest), strict=True))
    people = _by_person(placed)
    out: list[Promise] = []
    for job in jobs:
        ready = done(job, placed)
        mark: Mark = "no promise"
        if job.due is not None:
            needs = without_nights.get(job.number, ready) > job.due
            spare = job.due - ready
            mark = (
                "late" if spare < timedelta(0) else "needs a night" if needs
                else "tight" if spare < timedelta(seconds=calendar.tight) else "safe"
            )  # fmt: skip
        out.append(
            Promise(
                job=job.number, due=job.due, done=ready, weight=job.weight, mark=mark,
                cause=_cause(job, {j.number: j for j in jobs}, placed, people, calendar),
                soonest=min(ready, grid.when(int(soonest[job.number]))),
            )
        )  # fmt: skip
    return tuple(out)


def _by_person(placed: Placed) -> dict[str, list[Assignment]]:
    out: dict[str, list[Assignment]] = {}
    for one in sorted(placed.values(), key=lambda a: a.begin):
        if one.person:
            out.setdefault(one.person, []).append(one)
    return out


def _cause(
    job: Job,
    jobs: Mapping[str, Job],
    placed: Placed,
    people: Mapping[str, list[Assignment]],
    calendar: Calendar,
) -> str:
    """What a job waits for: back from its end, step by step, to the first thing that is not its own work."""
    last = max((placed[job.number, op.name] for op in job.operations), key=lambda a: a.end)
    waits = [(placed[w.job or job.number, w.operation], w.lag) for w in job.ready]
    for first, lag in waits:
        if lag and first.end + timedelta(seconds=lag) > last.end:
            last = first
    note = ""
    for _ in range(len(job.operations) + 1):
        op = next(o for o in jobs[last.job].operations if o.name == last.operation)
        if last.settled:
            return f"{last.operation} is under way until {said(last.end)}" if last.end > calendar.now else note or (
                f"{last.operation} was finished {said(last.end)}")  # fmt: skip
        before = [(placed[a.job or last.job, a.operation], a.lag) for a in op.after]
        ready = max([calendar.now, *(a.end + timedelta(seconds=lag) for a, lag in before)])
        if op.not_before is not None and op.not_before >= ready and op.not_before > calendar.now:
            wait = op.waits_for or "what it needs"
            return f"{last.operation} waits for {wait}, due {said(op.not_before)}"
        busy = [a for a in people.get(last.person, []) if ready < a.end <= last.begin and a.end > a.begin]
        if busy and (a := max(busy, key=lambda a: a.end)).job != last.job:
            return f"{last.operation} waits for {last.person}, at {a.job} ({a.operation}) until {said(a.end)}"
        if not before:
            return note or f"its own work, from {said(last.begin)}"
        first, lag = max(before, key=lambda b: b[0].end + timedelta(seconds=b[1]))
        if lag:
            note = note or f"{first.operation} must cure until {said(first.end + timedelta(seconds=lag))}"
        last = first
    return note or "its own work"


def moved(now: Sequence[Assignment], before: CrewPlan | None) -> tuple[Move, ...]:
    """What is not where it was in an earlier plan, nearest first.

    Args:
        now: This plan's operations.
        before: The earlier plan.
    """
    if before is None:
        return ()
    was = {(a.job, a.operation): a for a in before.assignments}
    out: list[Move] = []
    for one in now:
        old = was.get((one.job, one.operation))
        if old is not None and not one.settled and (old.begin, old.person) != (one.begin, one.person):
            out.append(Move(job=one.job, operation=one.operation, was=(old.person, old.begin),
                            now=(one.person, one.begin)))  # fmt: skip
    return tuple(sorted(out, key=lambda m: (m.near, m.job)))


def worked_nights(grid: Grid, schedule: Schedule, crew: Crew) -> tuple[tuple[str, datetime], ...]:
    """The evenings on which somebody works, as person and midnight before.

    Args:
        grid: The problem.
        schedule: The schedule.
        crew: The people.
    """
    out: set[tuple[str, datetime]] = set()
    for at in grid.free:
        who = schedule.who[at]
        if who is None or not grid.nights[who]:
            continue
        for slot in grid.nights[who]:
            if schedule.begins[at] <= slot < schedule.ends[at]:
                # An evening that runs past midnight belongs to the day it began on.
                end = max(h.end.hour * 60 + h.end.minute for h in crew.people[who].hours)
                day = (slot * grid.slot - end * 60) // 86400
                out.add((grid.people[who], grid.midnight + timedelta(days=day)))
    return tuple(sorted(out))
