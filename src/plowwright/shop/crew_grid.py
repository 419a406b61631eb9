"""The crew's work as whole numbers: slots of the wall clock, counted from midnight before the plan begins."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta
from functools import cached_property
from math import ceil, floor

from plowwright.shop.crew_model import DAYS, Calendar, Crew, Job, Operation, Person, Started

Link = tuple[int, int]
"""An operation and the slots of wall time after its end."""
Night = tuple[int, int]
"""A person and a day, both counted from 0."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Op:
    """One operation.

    Attributes:
        job: Which job.
        time: Working or wall time, in slots.
        people: Who may do it; empty for a wait.
        earliest: Slot before which it cannot begin.
        before: What must be finished, each with its lag.
        stations: Kinds of station it takes.
        keeps: Slots the stations stay taken after its end.
        in_one_day: Whether it may not run over a night.
        fixed: Person (-) , start and end where it cannot be changed.
        settled: Whether it is under way or done.
    """

    job: int
    time: int
    people: tuple[int, ...]
    earliest: int
    before: tuple[Link, ...]
    stations: tuple[int, ...]
    keeps: int
    in_one_day: bool
    fixed: tuple[int | None, int, int] | None = None
    settled: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One job.

    Attributes:
        number: Order number.
        ops: Its operations, each after those it waits for.
        due: Slot of the promise.
        weight: What a slot late counts [-].
        ready: Ends (and waits after them) that must be over.
        holds: Kind of station kept, or None.
        holds_from: Operation from whose start it is kept.
        soonest: Slot before which it cannot go.
    """

    number: str
    ops: tuple[int, ...]
    due: int | None
    weight: float
    ready: tuple[Link, ...]
    holds: int | None
    holds_from: int | None
    soonest: int = 0


@dataclass(frozen=True, kw_only=True, eq=False)
class Grid:
    """A frozen problem.

    Attributes:
        slot: Length of a slot [s].
        midnight: Slot 0.
        now: First slot in which something can begin.
        ops: All operations.
        names: Job and operation of each.
        tasks: All jobs.
        people: Names of the crew.
        slots: The slots each person works, in order.
        nights: Which of them are overtime, for each person.
        counts: How many stations of each kind.
        stations: Their names.
        horizon: Slot at which the calendar ends.
        per_day: Slots of a day.
    """

    slot: float
    midnight: datetime
    now: int
    ops: tuple[Op, ...]
    names: tuple[tuple[str, str], ...]
    tasks: tuple[Task, ...]
    people: tuple[str, ...]
    slots: tuple[list[int], ...]
    nights: tuple[frozenset[int], ...]
    counts: tuple[int, ...]
    stations: tuple[str, ...]
    horizon: int
    per_day: int

    @cached_property
    def followers(self) -> tuple[tuple[int, ...], ...]:
        """What waits for each operation."""
        found: list[list[int]] = [[] for _ in self.ops]
        for at, op in enumerate(self.ops):
            for other, _ in op.before:
                found[other].append(at)
        return tuple(tuple(row) for row in found)

    @cached_property
    def order(self) -> tuple[int, ...]:
        """All operations, each after those it waits for."""
        left = [len(op.before) for op in self.ops]
        free = [at for at, count in enumerate(left) if not count]
        out: list[int] = []
        while free:
            at = free.pop(0)
            out.append(at)
            for later in self.followers[at]:
                left[later] -= 1
                if not left[later]:
                    free.append(later)
        return tuple(out)

    @cached_property
    def tail(self) -> tuple[int, ...]:
        """Least slots of work and waiting from the start of each operation to the end of the last that needs it."""
        out = [0] * len(self.ops)
        lag = dict.fromkeys(range(len(self.ops)), 0)
        for task in self.tasks:
            for at, wait in task.ready:
                lag[at] = max(lag[at], wait)
        for at in reversed(self.order):
            after = lag[at]
            for later in self.followers[at]:
                wait = max(w for o, w in self.ops[later].before if o == at)
                after = max(after, wait + out[later])
            out[at] = after + self.ops[at].time
        return tuple(out)

    @cached_property
    def own_tail(self) -> tuple[int, ...]:
        """The same to the moment its own job can go, whatever other jobs wait for it."""
        out = [0] * len(self.ops)
        for task in self.tasks:
            own = set(task.ops)
            lag = {at: wait for at, wait in task.ready if at in own}
            for at in sorted(own, key=lambda at: -self.place[at]):
                after = lag.get(at, 0)
                for later in self.followers[at]:
                    if later in own:
                        wait = max(w for o, w in self.ops[later].before if o == at)
                        after = max(after, wait + out[later])
                out[at] = after + self.ops[at].time
        return tuple(out)

    @cached_property
    def place(self) -> tuple[int, ...]:
        """Where each operation is in that order."""
        at_place = {at: place for place, at in enumerate(self.order)}
        return tuple(at_place[at] for at in range(len(self.ops)))

    @cached_property
    def free(self) -> tuple[int, ...]:
        """Operations that are to be planned."""
        return tuple(at for at, op in enumerate(self.ops) if op.fixed is None)

    def when(self, at: int) -> datetime:
        """The moment a slot begins.

        Args:
            at: The slot.
        """
        return self.midnight + timedelta(seconds=at * self.slot)

    def hours(self, slots: float) -> float:
        """Slots in hours [h].

        Args:
            slots: So many [-].
        """
        return slots * self.slot / 3600.0

    def slot_of(self, moment: datetime) -> int:
        """The slot that begins at or after a moment.

        Args:
            moment: Wall clock.
        """
        return ceil((moment - self.midnight).total_seconds() / self.slot - 1e-9)


def build(
    jobs: Sequence[Job],
    crew: Crew,
    calendar: Calendar,
    started: Sequence[Started],
    nights: frozenset[Night] = frozenset(),
) -> Grid:
    """Turn a checked entry into whole numbers.

    Args:
        jobs: What is to be done.
        crew: Who and what is there.
        calendar: The clock.
        started: What is under way or done.
        nights: Overtime evenings that are worked.
    """
    midnight = datetime.combine(calendar.now.date(), datetime.min.time())
    days = _days(jobs, crew, calendar)
    per_day = round(86400 / calendar.slot)
    hours = [_hours(p, n, nights, midnight, days, calendar) for n, p in enumerate(crew.people)]
    index = {(job.number, op.name): at for at, (job, op) in enumerate((j, o) for j in jobs for o in j.operations)}
    kinds = {station.name: at for at, station in enumerate(crew.stations)}
    maker = _Maker(crew=crew, calendar=calendar, midnight=midnight, index=index, kinds=kinds,
                   slots=tuple(h[0] for h in hours), started={(s.job, s.operation): s for s in started})  # fmt: skip
    ops = [maker.op(job, op, number) for number, job in enumerate(jobs) for op in job.operations]
    ops = maker.under_way(ops, started)
    return Grid(
        slot=calendar.slot,
        midnight=midnight,
        now=ceil((calendar.now - midnight).total_seconds() / calendar.slot - 1e-9),
        ops=tuple(ops),
        names=tuple(index),
        tasks=tuple(maker.task(job) for job in jobs),
        people=tuple(p.name for p in crew.people),
        slots=tuple(h[0] for h in hours),
        nights=tuple(h[1] for h in hours),
        counts=tuple(s.count for s in crew.stations),
        stations=tuple(s.name for s in crew.stations),
        horizon=days * per_day,
        per_day=per_day,
    )


def _days(jobs: Sequence[Job], crew: Crew, calendar: Calendar) -> int:
    """How many days the calendar must reach: all work in a row by the one with the fewest hours, and all waits."""
    week = [
        sum((_minutes(h.end) - _minutes(h.begin)) * 60 for h in p.hours) for p in crew.people if p.hours and p.skills
    ]
    least = min(week, default=7 * 86400.0)
    work = sum(op.time for job in jobs for op in job.operations if op.work)
    waits = sum(
        op.time + max((a.lag for a in op.after), default=0.0) for job in jobs for op in job.operations if not op.work
    )
    waits += max((a.lag for job in jobs for op in job.operations for a in op.after), default=0.0)
    moments = [op.not_before for job in jobs for op in job.operations if op.not_before]
    moments += [job.due for job in jobs if job.due] + [a.end for p in crew.people for a in p.away]
    last = max([*moments, calendar.now])
    ahead = (last - calendar.now).total_seconds() / 86400
    return ceil(ahead + work / least * 7 + waits / 86400) + len(calendar.closed) + 21


def _minutes(clock: time) -> int:
    return clock.hour * 60 + clock.minute


def _hours(
    person: Person, number: int, nights: frozenset[Night], midnight: datetime, days: int, calendar: Calendar
) -> tuple[list[int], frozenset[int]]:
    """The slots one person works and those of them that are overtime; a slot counts only if all of it is his."""
    slots: list[int] = []
    late: list[int] = []
    slot = calendar.slot
    for day in range(days):
        morning = midnight + timedelta(days=day)
        if morning.date() in calendar.closed:
            continue
        own = [h for h in person.hours if h.day == DAYS[morning.weekday()]]
        base = day * 86400
        spans = [(base + _minutes(h.begin) * 60.0, base + _minutes(h.end) * 60.0) for h in own]
        for begin, end in sorted(spans):
            slots += range(ceil(begin / slot - 1e-9), floor(end / slot + 1e-9))
        if spans and (number, day) in nights:
            end = max(s[1] for s in spans)
            extra = range(ceil(end / slot - 1e-9), floor((end + person.night) / slot + 1e-9))
            slots += extra
            late += extra
    begin = (calendar.now - midnight).total_seconds()
    away = [((a.begin - midnight).total_seconds(), (a.end - midnight).total_seconds()) for a in person.away]
    there = [
        at for at in slots
        if at * slot >= begin - 1e-6 and not any(a < (at + 1) * slot and b > at * slot for a, b in away)
    ]  # fmt: skip
    return there, frozenset(late) & frozenset(there)


@dataclass(frozen=True, kw_only=True)
class _Maker:
    crew: Crew
    calendar: Calendar
    midnight: datetime
    index: Mapping[tuple[str, str], int]
    kinds: Mapping[str, int]
    slots: tuple[list[int], ...]
    started: Mapping[tuple[str, str], Started]

    def up(self, seconds: float) -> int:
        return ceil(seconds / self.calendar.slot - 1e-9)

    def at(self, moment: datetime) -> int:
        return self.up((moment - self.midnight).total_seconds())

    def op(self, job: Job, op: Operation, number: int) -> Op:
        people = tuple(n for n, p in enumerate(self.crew.people) if op.work and op.work in p.skills)
        now = self.at(self.calendar.now)
        begun = self.started.get((job.number, op.name))
        open_again = begun is not None and begun.hand_over and begun.ended is None
        return Op(
            job=number,
            time=self.up(begun.left if begun is not None and open_again else op.time),
            people=people,
            earliest=max(now, self.at(op.not_before)) if op.not_before else now,
            before=tuple((self.index[a.job or job.number, a.operation], self.up(a.lag)) for a in op.after),
            stations=tuple(self.kinds[s] for s in op.stations),
            keeps=self.up(op.keeps),
            in_one_day=op.in_one_day,
        )

    def task(self, job: Job) -> Task:
        ready = {self.index[job.number, op.name]: 0 for op in job.operations}
        for wait in job.ready:
            at = self.index[wait.job or job.number, wait.operation]
            ready[at] = max(ready.get(at, 0), self.up(wait.lag))
        due = None
        if job.due is not None:
            due = floor((job.due - self.midnight).total_seconds() / self.calendar.slot + 1e-9)
        return Task(
            number=job.number,
            ops=tuple(self.index[job.number, op.name] for op in job.operations),
            due=due,
            weight=job.weight,
            ready=tuple(ready.items()),
            holds=self.kinds[job.holds] if job.holds else None,
            holds_from=self.index[job.number, job.holds_from] if job.holds else None,
        )

    def under_way(self, ops: list[Op], started: Sequence[Started]) -> list[Op]:
        """What is done keeps its times; what is under way goes on first thing, one after the other."""
        out = list(ops)
        used = [0] * len(self.slots)
        now = self.at(self.calendar.now)
        for one in started:
            at = self.index[one.job, one.operation]
            begun = floor((one.begun - self.midnight).total_seconds() / self.calendar.slot + 1e-9)
            person = next((n for n, p in enumerate(self.crew.people) if p.name == one.person), None)
            if one.ended is not None:
                fixed = (person, begun, self.at(one.ended))
            elif one.hand_over:
                continue
            elif person is None:
                fixed = (None, begun, max(now, begun) + self.up(one.left))
            else:
                left = self.up(one.left)
                own = self.slots[person][used[person] :][:left]
                used[person] += left
                fixed = (person, begun, own[-1] + 1 if own else now)
            out[at] = replace(out[at], fixed=fixed, settled=True)
        return out


def lateness(grid: Grid, task: Task, ends: Sequence[int]) -> int:
    """How many slots a job is late [-].

    Args:
        grid: The problem.
        task: The job.
        ends: End of every operation, in slots [-].
    """
    del grid
    return 0 if task.due is None else max(0, done_at(task, ends) - task.due)


def done_at(task: Task, ends: Sequence[int]) -> int:
    """The slot at which a job can go [-].

    Args:
        task: The job.
        ends: End of every operation, in slots [-].
    """
    return max([task.soonest, *(ends[at] + wait for at, wait in task.ready)])


def in_a_day(grid: Grid, slots: Sequence[int], at: int, count: int) -> bool:
    """Whether so many slots in a row fall on one day.

    Args:
        grid: The problem.
        slots: Someone's slots.
        at: Index of the first.
        count: How many.
    """
    return count == 0 or slots[at] // grid.per_day == slots[at + count - 1] // grid.per_day
