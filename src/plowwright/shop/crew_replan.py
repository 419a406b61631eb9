"""Somebody sick, a part late, a cold shop, a rush: the plan mended, as little moved as can be, and what moved shown."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from plowwright.errors import NoPlanInTimeError
from plowwright.shop.crew_axis import axis
from plowwright.shop.crew_bound import proved_late
from plowwright.shop.crew_build import Schedule
from plowwright.shop.crew_entry import check_entry
from plowwright.shop.crew_grid import Grid
from plowwright.shop.crew_insert import broken, caps, giving_way, inserted
from plowwright.shop.crew_limits import Limits
from plowwright.shop.crew_model import Calendar, Crew, Job, Report, Started, Stop
from plowwright.shop.crew_nights import fewest
from plowwright.shop.crew_plan import CrewPlan
from plowwright.shop.crew_search import Found, find, mend, rank
from plowwright.shop.crew_stay import nights_of, places, stay
from plowwright.shop.crewplan import Order, answer, limits_of

WORTH = 1.01
"""How much later, as a ratio, a mended plan may be that moves less [-]."""


def replan(
    jobs: Sequence[Job],
    crew: Crew,
    calendar: Calendar,
    started: Sequence[Started],
    before: CrewPlan,
    seconds: float,
    *,
    frozen_until: datetime | None = None,
    steps: int | None = None,
    seed: int = 0,
    progress: Report | None = None,
    stop: Stop | None = None,
) -> CrewPlan:
    """Mend a plan after something changed.

    Args:
        jobs: All jobs as they are now, a rush among them.
        crew: People with their absences, stations.
        calendar: The clock as it is now.
        started: What is under way or done.
        before: The plan that is mended.
        seconds: Time given [s].
        frozen_until: Work that was to begin before this moment stays, where it still can.
        steps: Schedules that may be built instead, to be repeatable [-].
        seed: Of the search.
        progress: Called now and then.
        stop: Asked now and then.

    Raises:
        PlanInputError: A job, a person or a setting makes no sense.
        NoPlanInTimeError: No whole plan was found.
    """
    check_entry(jobs, crew, calendar, started, seconds)
    task = Order(jobs=tuple(jobs), crew=crew, calendar=calendar, started=handed_over(started, crew, calendar))
    limits = limits_of(task, seconds, steps=steps, seed=seed, progress=progress, stop=stop)
    plain = task.grid(frozenset())
    nights = nights_of(before, crew, plain)
    grid = _frozen(task.grid(nights), before, frozen_until)
    late, found = _kept(grid, before, limits.part(0.6 if task.evenings(plain) else 1.0))
    result, used = grid, found
    floor = proved_late(task.widest(plain))
    if task.evenings(plain) and found.schedule.late > floor + 1e-6:
        wide = _frozen(task.grid(nights | task.evenings(plain)), before, frozen_until)
        _, other = _kept(wide, before, limits.part(0.9))
        if other.schedule.late < found.schedule.late - 1e-9:

            def made(open_now: frozenset[tuple[int, int]]) -> Grid:
                return _frozen(task.grid(open_now), before, frozen_until)

            result, schedule, _ = fewest(made, nights | task.evenings(plain), other.schedule, limits)
            used = replace(other, schedule=schedule)
    used = replace(used, bound=min(used.schedule.late, floor), bound_from="each order by itself")
    return answer(task, result, used, replace(found, schedule=late), limits, before=before)


def _kept(grid: Grid, before: CrewPlan, limits: Limits) -> tuple[Schedule, Found]:
    """The plan placed again, then mended around what became late."""
    was = places(grid, before)
    new = [n for n, t in enumerate(grid.tasks) if t.ops and all(at not in was for at in t.ops)
           and any(grid.ops[at].fixed is None for at in t.ops)]  # fmt: skip
    ways = [(ahead, gently) for ahead in ([[], new] if new else [[]]) for gently in (True, False)]
    tried = [stay(grid, was, first=ahead, gently=gently) for ahead, gently in ways]
    placed = sorted((s for s in tried if s is not None), key=lambda s: rank(s, was))
    made = placed[:2]
    if not made:
        raise NoPlanInTimeError("no plan was found", limit="the calendar", way_out="Look at the absences.")
    first = made[0]
    seconds = time.perf_counter() - limits.begin
    limits.report(first.late, 0.0, "the plan before, placed again")
    row, bound = axis(grid), proved_late(grid)
    latest = caps(grid, new, before)
    quiet = next((s for s in placed if all(n in new for n in broken(grid, s, latest))), None)
    if new and quiet is not None and broken(grid, quiet, latest):
        let_in = giving_way(grid, quiet, new, latest, limits.part(0.15), was)
        if let_in is not None:
            made, first = [let_in], min(let_in, first, key=lambda s: s.levels)
        if let_in is None or broken(grid, let_in, latest):
            exact = inserted(row, quiet, new, latest, limits.part(0.25))
            made = [exact] if exact is not None else made
    if made[0].late > bound + 1e-6 and broken(grid, made[0], latest):
        # Nothing went in quietly: what can be had when everything may move, and then as much of it put back.
        made = [made[0], find(grid, limits.part(0.5), start=first).schedule]
    mended = [mend(row, s, limits.part(1.0 / (len(made) - n)), bound=bound, keep=was)[0] for n, s in enumerate(made)]
    enough = WORTH * min(s.late for s in mended) + 1e-6
    best = min((s for s in mended if s.late <= enough), key=lambda s: (rank(s, was)[2], s.levels))
    return best, Found(
        schedule=best, bound=0.0, bound_from="", method="the plan before, mended", baseline=first.late,
        best_rule=first.late, first_seconds=seconds,
    )  # fmt: skip


def _frozen(grid: Grid, before: CrewPlan, until: datetime | None) -> Grid:
    """Operations that were to begin before a moment, fixed where they were if that still goes."""
    if until is None:
        return grid
    was = places(grid, before)
    kept = stay(grid, was)
    if kept is None:
        return grid
    limit = grid.slot_of(until)
    ops = list(grid.ops)
    for at, (who, begin) in was.items():
        if begin < limit and (kept.who[at], kept.begins[at]) == (who, begin):
            ops[at] = replace(ops[at], fixed=(who, begin, kept.ends[at]))
    return replace(grid, ops=tuple(ops))


def handed_over(started: Sequence[Started], crew: Crew, calendar: Calendar) -> tuple[Started, ...]:
    """What is under way, given to others where its person is away now.

    Args:
        started: What is under way or done.
        crew: People with their absences.
        calendar: The clock.
    """
    away = {p.name for p in crew.people if any(a.begin <= calendar.now < a.end for a in p.away)}
    return tuple(replace(s, hand_over=True) if s.person in away and s.ended is None else s for s in started)
