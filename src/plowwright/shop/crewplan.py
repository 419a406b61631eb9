"""The crew plan: who does what when, to the promises.

Plans are held against each other first by weighted hours late, then by overtime, then by how early the jobs are done
(what is in hand pays for a sick day), then by how little is moved. What is under way stays as it is. Evenings are
opened only when a promise is late without them. Every plan passes `crew_checker` before it is handed back.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from plowwright.shop import crew_checker
from plowwright.shop.crew_answer import assignments, moved, promises, worked_nights
from plowwright.shop.crew_axis import axis
from plowwright.shop.crew_bound import BOUND_FROM, proved_late
from plowwright.shop.crew_build import Schedule
from plowwright.shop.crew_entry import check_entry, with_room
from plowwright.shop.crew_grid import Grid, Night, build, done_at
from plowwright.shop.crew_limits import Limits
from plowwright.shop.crew_model import (
    After,
    Calendar,
    Crew,
    Hours,
    Job,
    Operation,
    Person,
    Progress,
    Report,
    Started,
    Station,
    Stop,
)
from plowwright.shop.crew_nights import allowed, fewest
from plowwright.shop.crew_plan import CrewPlan, Status
from plowwright.shop.crew_search import Found, find, mend

__all__ = [
    "After", "Calendar", "Crew", "CrewPlan", "Hours", "Job", "Operation", "Person", "Started", "Station", "plan",
]  # fmt: skip


def plan(
    jobs: Sequence[Job],
    crew: Crew,
    calendar: Calendar,
    started: Sequence[Started],
    seconds: float,
    *,
    before: CrewPlan | None = None,
    steps: int | None = None,
    seed: int = 0,
    progress: Report | None = None,
    stop: Stop | None = None,
) -> CrewPlan:
    """Plan all jobs.

    Args:
        jobs: What is to be done; orders on hold and mere quotes are left out by the caller.
        crew: People and stations.
        calendar: The clock: now, days closed, the finest division of time.
        started: What is under way or done; it keeps its person and its times.
        seconds: Time given; what is best by then is handed back [s].
        before: An earlier plan, to say what moved.
        steps: Schedules that may be built instead: the same entry then gives the same plan [-].
        seed: Of the search.
        progress: Called now and then with how far it has come.
        stop: Asked now and then; True ends the search, and the best so far is handed back.

    Returns:
        The plan with objective, bound, lateness, status and seconds.

    Raises:
        PlanInputError: A job, a person or a setting makes no sense.
        NoPlanInTimeError: No whole plan was found.
    """
    check_entry(jobs, crew, calendar, started, seconds)
    task = Order(jobs=tuple(jobs), crew=crew, calendar=calendar, started=tuple(started))
    limits = limits_of(task, seconds, steps=steps, seed=seed, progress=progress, stop=stop)
    grid = task.grid(frozenset())
    found = find(grid, limits.part(1.0 if not task.evenings(grid) else 0.4))
    if not task.evenings(grid) or found.schedule.late <= proved_late(task.widest(grid)) + 1e-6:
        return answer(task, grid, found, found, limits, before=before)
    opened, nights = with_nights(task, grid, found, limits)
    return answer(task, opened, nights, found, limits, before=before)


@dataclass(frozen=True, kw_only=True)
class Order:
    """All that a plan is made from.

    Attributes:
        jobs: What is to be done.
        crew: People and stations.
        calendar: The clock.
        started: What is under way or done.
    """

    jobs: tuple[Job, ...]
    crew: Crew
    calendar: Calendar
    started: tuple[Started, ...]

    def grid(self, nights: frozenset[Night]) -> Grid:
        """The problem in slots.

        Args:
            nights: The evenings that are open.
        """
        jobs = with_room(self.jobs, self.crew, self.calendar, self.started)
        return build(jobs, self.crew, self.calendar, self.started, nights)

    def evenings(self, grid: Grid, kept: frozenset[Night] = frozenset()) -> frozenset[Night]:
        """The evenings that may be worked by each person's number a week.

        Args:
            grid: The problem, for how far it reaches.
            kept: Evenings of an earlier plan, which count first.
        """
        return allowed(self.crew, self.calendar, grid.horizon // grid.per_day, per_week=True, kept=kept)

    def widest(self, grid: Grid) -> Grid:
        """The problem with every evening open, for what is proved.

        Args:
            grid: The problem, for how far it reaches.
        """
        days = grid.horizon // grid.per_day
        return self.grid(allowed(self.crew, self.calendar, days, per_week=False))


def limits_of(
    task: Order,
    seconds: float,
    *,
    steps: int | None = None,
    seed: int = 0,
    progress: Report | None = None,
    stop: Stop | None = None,
) -> Limits:
    """When a search ends.

    Args:
        task: What is planned.
        seconds: Time given [s].
        steps: Schedules that may be built instead [-].
        seed: Of the search.
        progress: Called now and then.
        stop: Asked now and then.
    """
    begin = time.perf_counter()
    slot = task.calendar.slot / 3600.0

    def report(late: float, bound: float, stage: str) -> None:
        if progress is not None:
            progress(Progress(late=late * slot, bound=bound * slot, seconds=time.perf_counter() - begin, stage=stage))

    return Limits(begin=begin, end=begin + seconds, steps=steps, seed=seed,
                  stopped=stop or _never, report=report)  # fmt: skip


def _never() -> bool:
    return False


def with_nights(task: Order, grid: Grid, found: Found, limits: Limits) -> tuple[Grid, Found]:
    """Search again with evenings open, then close those that save nothing.

    Args:
        task: What is planned.
        grid: The problem without evenings.
        found: The best without evenings.
        limits: When to end [-].
    """
    nights = task.evenings(grid)
    wide = task.grid(nights)
    other = find(wide, limits.part(0.5))
    bound = proved_late(task.widest(grid))
    if other.schedule.late >= found.schedule.late - 1e-9:
        return grid, replace(found, bound=min(found.schedule.late, bound), bound_from=BOUND_FROM)
    closed, schedule, _ = fewest(task.grid, nights, other.schedule, limits.part(0.7))
    schedule, _ = mend(axis(closed), schedule, limits.part(1.0), bound=bound)
    bound = min(schedule.late, bound)
    return closed, replace(other, schedule=schedule, bound=bound, bound_from=BOUND_FROM)


def answer(task: Order, grid: Grid, found: Found, plain: Found, limits: Limits, *, before: CrewPlan | None) -> CrewPlan:
    """The plan in moments, checked.

    Args:
        task: What is planned.
        grid: The problem as it was solved.
        found: What was found.
        plain: The best found without evenings.
        limits: Of the search [-].
        before: An earlier plan.
    """
    schedule = found.schedule
    rows = assignments(grid, schedule)
    placed = {(a.job, a.operation): a for a in rows}
    without = {t.number: _moment(grid, plain.schedule, n) for n, t in enumerate(grid.tasks)}
    kept = promises(task.jobs, grid, task.widest(grid), placed, task.calendar, without)
    late = sum(p.weight * p.late for p in kept) / 3600.0
    rounding = sum(j.weight for j in task.jobs if j.due is not None and _off_grid(j.due, task.calendar))
    bound = max(0.0, grid.hours(found.bound - rounding))
    status: Status = "proved best" if late <= bound + 1e-6 else "stopped" if limits.stopped() else "not proved"
    made = CrewPlan(
        assignments=rows,
        promises=kept,
        objective=late,
        bound=min(late, bound),
        bound_from=found.bound_from,
        overtime=grid.hours(schedule.overtime),
        finish=grid.hours(schedule.finish),
        nights=tuple((who, day.date()) for who, day in worked_nights(grid, schedule, task.crew)),
        status=status,
        seconds=time.perf_counter() - limits.begin,
        first_seconds=plain.first_seconds,
        baseline=grid.hours(plain.baseline),
        best_rule=grid.hours(plain.best_rule),
        method=found.method,
        moved=moved(rows, before),
    )
    crew_checker.check(made, task.jobs, task.crew, task.calendar, task.started)
    return made


def _moment(grid: Grid, schedule: Schedule, number: int) -> datetime:
    return grid.when(done_at(grid.tasks[number], schedule.ends))


def _off_grid(moment: datetime, calendar: Calendar) -> bool:
    seconds = moment.hour * 3600 + moment.minute * 60 + moment.second
    return bool(seconds % calendar.slot)
