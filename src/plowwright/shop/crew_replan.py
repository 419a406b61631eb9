"""Somebody sick, a part late, a cold shop, a rush: the plan mended, as little moved as can be, and what moved shown."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from plowwright.errors import NoPlanInTimeError
from plowwright.shop.crew_axis import Axis, axis
from plowwright.shop.crew_bound import BOUND_FROM, proved_late
from plowwright.shop.crew_build import Schedule, measured
from plowwright.shop.crew_entry import check_entry
from plowwright.shop.crew_grid import Grid
from plowwright.shop.crew_insert import broken, caps, giving_way, inserted, put_back
from plowwright.shop.crew_limits import Limits
from plowwright.shop.crew_local import order_of, search
from plowwright.shop.crew_model import Calendar, Crew, Job, Report, Started, Stop
from plowwright.shop.crew_nights import fewest
from plowwright.shop.crew_plan import CrewPlan
from plowwright.shop.crew_search import Found, mend, rank
from plowwright.shop.crew_stay import nights_of, places, stay
from plowwright.shop.crew_variables import Keep
from plowwright.shop.crewplan import Order, answer, limits_of

WORTH = 1.01
"""How much later, as a ratio, a mended plan may be that moves less [-]."""
HOURS_MORE = 6.0
"""What it may be later in any case, in weighted hours: of little lateness a ratio leaves nothing [h]."""
NEAR = 14
"""Days ahead in which people have settled on what they do [day]."""
HOUR_EACH = 2.0
"""Weighted hours late that a near operation moved counts at least, once it is known how little late it can be [h]."""
DEAR = 0.35
"""What moving all that is near counts, as a share of the lateness, when it is chosen from where to go on [-]."""
FEW = 0.2
"""The same afterwards [-]."""


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
    stood = nights_of(before, crew, plain)
    evenings = task.evenings(plain, stood)
    nights = evenings & stood
    grid = _frozen(task.grid(nights), before, frozen_until)
    late, found = _kept(grid, before, limits.part(0.6 if evenings != nights else 1.0))
    result, used = grid, found
    floor = proved_late(task.widest(plain))
    if evenings != nights and found.schedule.late > floor + 1e-6:
        wide = _frozen(task.grid(evenings), before, frozen_until)
        _, other = _kept(wide, before, limits.part(0.9))
        if other.schedule.late < found.schedule.late - 1e-9:

            def made(open_now: frozenset[tuple[int, int]]) -> Grid:
                return _frozen(task.grid(open_now), before, frozen_until)

            result, schedule, _ = fewest(made, evenings, other.schedule, limits)
            used = replace(other, schedule=schedule)
    used = replace(used, bound=min(used.schedule.late, floor), bound_from=BOUND_FROM)
    return answer(task, result, used, replace(found, schedule=late), limits, before=before)


def _kept(grid: Grid, before: CrewPlan, limits: Limits) -> tuple[Schedule, Found]:
    """The plan placed again, then mended around what became late."""
    was = places(grid, before)
    soon = grid.now + NEAR * grid.per_day
    keep = Keep(was=was, near=frozenset(at for at, (_, begin) in was.items() if begin < soon))
    new = [n for n, t in enumerate(grid.tasks) if t.ops and all(at not in was for at in t.ops)
           and any(grid.ops[at].fixed is None for at in t.ops)]  # fmt: skip
    ways = [(ahead, gently) for ahead in ([[], new] if new else [[]]) for gently in (True, False)]
    tried = [stay(grid, was, first=ahead, gently=gently) for ahead, gently in ways]
    placed = sorted((s for s in tried if s is not None), key=lambda s: rank(s, keep))
    if not placed:
        raise NoPlanInTimeError("no plan was found", limit="the calendar", way_out="Look at the absences.")
    first, seconds = placed[0], time.perf_counter() - limits.begin
    limits.report(first.late, 0.0, "the plan before, placed again")
    row, bound = axis(grid), proved_late(grid)
    latest = caps(grid, new, before)
    quiet = next((s for s in placed if all(n in new for n in broken(grid, s, latest))), None)
    if new and quiet is not None and broken(grid, quiet, latest):
        let_in = giving_way(grid, quiet, new, latest, limits.part(0.08), was)
        placed += [let_in] if let_in is not None else []
        # Where promises are broken already the exact models below do better with the time.
        if (let_in is None or broken(grid, let_in, latest)) and not any(p.mark == "late" for p in before.promises):
            exact = inserted(row, quiet, new, latest, limits.part(0.1))
            placed += [exact] if exact is not None else []
    begun = min(placed, key=lambda s: rank(s, keep))
    if broken(grid, begun, latest) and begun.late > bound + 1e-6:
        best = _weighed(row, begun, keep, limits.part(0.98), bound)
    else:
        best, _ = mend(row, begun, limits, bound=bound, keep=keep)
    return best, Found(
        schedule=best, bound=0.0, bound_from="", method="the plan before, mended", baseline=first.late,
        best_rule=first.late, first_seconds=seconds,
    )  # fmt: skip


def _weighed(row: Axis, begun: Schedule, keep: Keep, limits: Limits, bound: float) -> Schedule:
    """First how little late it can be at all, then as little moved as so much lateness allows."""
    grid = row.grid
    hour, count = 3600.0 / grid.slot, max(1, len(keep.near))
    # In an overfull week what is far is free to move: that is where the rush is paid for.
    keep = replace(keep, far_worth=0.0)
    first = far_anew(grid, begun, keep, limits.part(0.1))
    quiet, _ = mend(row, min(begun, first, key=lambda s: rank(s, keep)), limits.part(0.45), bound=bound, keep=keep)
    # From a plan in which everything stands elsewhere the way back is long, so it must be worth it.
    dear = replace(keep, near_worth=max(HOUR_EACH * hour, DEAR * quiet.late / count))
    free, _ = mend(row, quiet, limits.part(0.45), bound=bound)
    back = put_back(grid, free, dear, limits.part(0.1))
    least = min(quiet, back, key=lambda s: rank(s, dear))
    most = max(bound, WORTH * least.late, least.late + HOURS_MORE * hour)
    careful = replace(keep, most_late=most, near_worth=max(HOUR_EACH * hour, FEW * least.late / count))
    least = put_back(grid, least, careful, limits.part(0.3))
    best, _ = mend(row, min(begun, least, key=lambda s: rank(s, careful)), limits.part(0.8), bound=bound, keep=careful)
    best = put_back(grid, best, careful, limits.part(0.5))
    # What is far was free to move until now: what need not have moved goes back.
    every = replace(keep, near=frozenset(keep.was), near_worth=HOUR_EACH * hour, most_late=best.late)
    return min(best, put_back(grid, best, every, limits), key=lambda s: rank(s, careful))


def far_anew(grid: Grid, begun: Schedule, keep: Keep, limits: Limits) -> Schedule:
    """What is near stays, all after it is searched anew: there most of the lateness of an overfull week lies.

    Args:
        grid: The problem.
        begun: The schedule to begin from.
        keep: What is near, and where it was.
        limits: When to end [-].
    """
    ops, stands = list(grid.ops), {at for at, op in enumerate(grid.ops) if op.fixed is not None}
    for at in grid.order:
        place = begun.who[at], begun.begins[at]
        if at in keep.near and keep.was[at] == place and all(other in stands for other, _ in ops[at].before):
            ops[at] = replace(ops[at], fixed=(*place, begun.ends[at]))
            stands.add(at)
    far = replace(grid, ops=tuple(ops))
    found, _ = search(far, order_of(far, begun), limits, begun)
    return measured(grid, found.who, found.begins, found.ends)


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
