"""What a crew plan is given, checked before anything is planned; a fault names job, operation, value and way out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import timedelta
from math import isfinite

from plowwright.errors import PlanInputError
from plowwright.shop.crew_model import DAYS, After, Calendar, Crew, Hours, Job, Operation, Started


def check_entry(
    jobs: Sequence[Job], crew: Crew, calendar: Calendar, started: Sequence[Started], seconds: float
) -> None:
    """Refuse what makes no sense.

    Args:
        jobs: What is to be done.
        crew: Who and what is there.
        calendar: The clock.
        started: What is under way or done.
        seconds: Time given [s].

    Raises:
        PlanInputError: Names what is wrong.
    """
    if not seconds > 0.0:
        raise PlanInputError("no time is given", value=f"{seconds} s", way_out="Give 10 s; more for many orders.")
    _calendar(calendar)
    _crew(crew)
    _twice([j.number for j in jobs], "two jobs have one number")
    known = {(j.number, op.name) for j in jobs for op in j.operations}
    for job in jobs:
        _job(job, crew, known)
    _order(jobs)
    _started(started, jobs, crew, calendar)


def _twice(names: Sequence[str], what: str, where: str = "") -> None:
    seen: set[str] = set()
    for name in names:
        if name in seen:
            raise PlanInputError(what, where=where, value=name, way_out="Give each a name of its own.")
        seen.add(name)


def _calendar(calendar: Calendar) -> None:
    if not 1.0 <= calendar.slot <= 86400.0 or 86400.0 % calendar.slot:
        raise PlanInputError(
            "a day is no whole number of slots", where="calendar, slot", value=f"{calendar.slot:g} s",
            limit="from 1 s to 24 h, a part of a day", way_out="Use 15 min or 30 min.",
        )  # fmt: skip


def _crew(crew: Crew) -> None:
    _twice([p.name for p in crew.people], "two people have one name")
    _twice([s.name for s in crew.stations], "two stations have one name")
    for station in crew.stations:
        if station.count < 1:
            raise PlanInputError("a station with no place", where=station.name, value=str(station.count),
                                 limit="at least 1", way_out="Leave it out, or count its places.")  # fmt: skip
    for person in crew.people:
        for row in person.hours:
            if row.day not in DAYS or row.begin >= row.end:
                raise PlanInputError(
                    "hours that cannot be", where=person.name, value=f"{row.day} {row.begin:%H:%M}-{row.end:%H:%M}",
                    limit="a day from Mon to Sun, the begin before the end", way_out="Write Mon 07:30-16:30.",
                )  # fmt: skip
        if person.nights and not 0.0 < person.night <= 6 * 3600.0:
            raise PlanInputError("an evening that cannot be worked", where=person.name,
                                 value=f"{person.night / 3600:g} h", limit="up to 6 h",
                                 way_out="Say how long he stays, as 2 h, or allow no evenings.")  # fmt: skip


def _job(job: Job, crew: Crew, known: set[tuple[str, str]]) -> None:
    if not job.operations:
        raise PlanInputError("a job with nothing to do", where=job.number, way_out="Leave it out.")
    if not (isfinite(job.weight) and job.weight >= 0.0):
        raise PlanInputError("a weight that is none", where=job.number, value=str(job.weight), limit="0 or more",
                             way_out="Write 1 for a usual order, 3 for a rush.")  # fmt: skip
    names = [op.name for op in job.operations]
    _twice(names, "two operations of one job have one name", job.number)
    stations = {s.name for s in crew.stations}
    for op in job.operations:
        _operation(job, op, crew, known, stations)
    for wait in job.ready:
        _link(job, wait.operation, wait.job, known, wait.lag)
    if job.holds and (job.holds not in stations or job.holds_from not in names):
        raise PlanInputError(
            "a job keeps a station that is not there, or from an operation it has not", where=job.number,
            value=f"{job.holds} from {job.holds_from or 'nowhere'}",
            limit=f"{', '.join(sorted(stations)) or 'no stations'}; {', '.join(names)}",
            way_out="Name a station of the crew and an operation of the job.",
        )  # fmt: skip


def _operation(job: Job, op: Operation, crew: Crew, known: set[tuple[str, str]], stations: set[str]) -> None:
    where = f"{job.number}, {op.name}"
    if not (isfinite(op.time) and op.time >= 0.0) or op.keeps < 0.0:
        raise PlanInputError("a time that is none", where=where, value=f"{op.time} s", limit="0 or more",
                             way_out="Write it with its unit, as 2 h.")  # fmt: skip
    for name in op.stations:
        if name not in stations:
            raise PlanInputError(
                "a station that is not there", where=where, value=name, limit=", ".join(sorted(stations)) or "none",
                way_out="Add it to the crew.",
            )  # fmt: skip
    for wait in op.after:
        _link(job, wait.operation, wait.job, known, wait.lag)
    if not op.work:
        return
    able = [p for p in crew.people if op.work in p.skills and p.hours]
    if not able:
        skills = sorted({s for p in crew.people for s in p.skills})
        raise PlanInputError(
            "nobody may do this", where=where, value=op.work, limit=", ".join(skills) or "no skills at all",
            way_out="Give somebody that skill, or send it out as a wait.",
        )  # fmt: skip
    if op.in_one_day:
        longest = max(_longest_day(p.hours) for p in able)
        if op.time > longest:
            raise PlanInputError(
                "an operation that may not run over a night is longer than anybody's day", where=where,
                value=f"{op.time / 3600:g} h", limit=f"{longest / 3600:g} h",
                way_out="Split it, or let it run over a night.",
            )  # fmt: skip


def _longest_day(hours: Sequence[Hours]) -> float:
    days: dict[str, float] = {}
    for row in hours:
        length = (row.end.hour - row.begin.hour) * 3600.0 + (row.end.minute - row.begin.minute) * 60.0
        days[row.day] = days.get(row.day, 0.0) + length
    return max(days.values(), default=0.0)


def _link(job: Job, operation: str, other: str, known: set[tuple[str, str]], lag: float) -> None:
    if (other or job.number, operation) not in known:
        raise PlanInputError(
            "a job waits for an operation that is not there", where=job.number,
            value=f"{other or job.number}, {operation}", way_out="Name an operation of an open job.",
        )  # fmt: skip
    if not (isfinite(lag) and lag >= 0.0):
        raise PlanInputError("a wait that is none", where=f"{job.number}, {operation}", value=f"{lag} s",
                             limit="0 or more", way_out="Write it with its unit, as 16 h.")  # fmt: skip


def _order(jobs: Sequence[Job]) -> None:
    """Nothing waits for itself."""
    before = {(j.number, op.name): [(a.job or j.number, a.operation) for a in op.after]
              for j in jobs for op in j.operations}  # fmt: skip
    left = {key: set(rows) for key, rows in before.items()}
    while left:
        free = [key for key, rows in left.items() if not rows & left.keys()]
        if not free:
            ring = sorted(left)[:4]
            raise PlanInputError(
                "operations wait for each other in a ring", value="; ".join(", ".join(k) for k in ring),
                way_out="Take one of their waits out.",
            )  # fmt: skip
        for key in free:
            del left[key]


def _started(started: Sequence[Started], jobs: Sequence[Job], crew: Crew, calendar: Calendar) -> None:
    ops = {(j.number, op.name): op for j in jobs for op in j.operations}
    people = {p.name: p for p in crew.people}
    for one in started:
        where = f"{one.job}, {one.operation}"
        op = ops.get((one.job, one.operation))
        if op is None:
            raise PlanInputError("something was begun that is no part of the plan", where=where,
                                 way_out="Add its job, or leave it out.")  # fmt: skip
        if one.begun > calendar.now or (one.ended is not None and not one.begun <= one.ended <= calendar.now):
            raise PlanInputError(
                "begun or done in the future", where=where, value=f"{one.ended or one.begun:%a %d %b %H:%M}",
                limit=f"now, {calendar.now:%a %d %b %H:%M}", way_out="Correct the time, or take the mark off.",
            )  # fmt: skip
        if one.ended is None and op.work and not one.hand_over and one.person not in people:
            raise PlanInputError("nobody is at work that is under way", where=where, value=one.person or "nobody",
                                 limit=", ".join(people), way_out="Name who is at it.")  # fmt: skip
        if not (isfinite(one.left) and one.left >= 0.0):
            raise PlanInputError("a time that is none", where=where, value=f"{one.left} s", limit="0 or more",
                                 way_out="Say what is left, as 3 h.")  # fmt: skip
    _twice([f"{s.job}, {s.operation}" for s in started], "an operation is begun twice")


def with_room(
    jobs: Sequence[Job], crew: Crew, calendar: Calendar, started: Sequence[Started]
) -> Sequence[Job]:
    """The jobs, so that a station that is crowded when the plan begins is not entered before it has room again.

    What was begun may be crowded: five painted blades on four stands. Those beyond the station's places, the nearest
    to being done first, count as standing aside; who comes next comes after they are gone.

    Args:
        jobs: What is to be done.
        crew: Who and what is there.
        calendar: The clock.
        started: What is under way or done.
    """
    state = {(one.job, one.operation): one for one in started}
    out = list(jobs)
    for station in crew.stations:
        held = [job for job in jobs if job.holds == station.name and _stands(job, state, calendar)]
        if len(held) <= station.count:
            continue
        coming = [j for j in jobs if j.holds == station.name and not _begun(state.get((j.number, j.holds_from)))]
        hang_on = _waiting_for(jobs, {job.number for job in coming})
        free = sorted((job for job in held if job.number not in hang_on), key=lambda job: _left(job, state))
        aside = free[: len(held) - station.count]
        gone = [
            After(operation=name, job=job.number, lag=lag) for job in aside for name, lag in _ends(job)
        ]  # fmt: skip
        for at, job in enumerate(out):
            if job in aside:
                out[at] = replace(job, holds="", holds_from="")
            elif job in coming:
                out[at] = replace(job, operations=tuple(
                    replace(op, after=(*op.after, *gone)) if op.name == job.holds_from else op for op in job.operations
                ))  # fmt: skip
    return out


def _begun(one: Started | None) -> bool:
    """Whether an operation is under way or done, and stays with whoever is at it."""
    return one is not None and not (one.hand_over and one.ended is None)


def _stands(job: Job, state: Mapping[tuple[str, str], Started], calendar: Calendar) -> bool:
    """Whether a job keeps its station when the plan begins."""
    if not _begun(state.get((job.number, job.holds_from))):
        return False
    for name, lag in _ends(job):
        one = state.get((job.number, name))
        if one is None or one.ended is None or one.ended + timedelta(seconds=lag) > calendar.now:
            return True
    return any(wait.job and wait.job != job.number for wait in job.ready)


def _ends(job: Job) -> list[tuple[str, float]]:
    """What must be over before a job can go, each with the wait after it [s]."""
    lags = {op.name: 0.0 for op in job.operations}
    for wait in job.ready:
        if wait.job in ("", job.number):
            lags[wait.operation] = max(lags[wait.operation], wait.lag)
    return list(lags.items())


def _left(job: Job, state: Mapping[tuple[str, str], Started]) -> float:
    """Work and outside waits left of a job [s]."""
    return sum(op.time for op in job.operations if not _begun(state.get((job.number, op.name))))


def _waiting_for(jobs: Sequence[Job], numbers: set[str]) -> set[str]:
    """Jobs that can only be done after some of these, or after others that can."""
    found, more = set(numbers), True
    while more:
        fresh = {
            job.number for job in jobs
            if job.number not in found
            and any(w.job in found for w in (*job.ready, *(a for op in job.operations for a in op.after)))
        }  # fmt: skip
        found |= fresh
        more = bool(fresh)
    return found
