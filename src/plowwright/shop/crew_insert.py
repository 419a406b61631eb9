"""A new job let into a plan that stands: those that have most in hand make room, and nobody goes beyond his cap."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from itertools import combinations

from plowwright.shop.crew_axis import Axis
from plowwright.shop.crew_build import Schedule
from plowwright.shop.crew_exact import solve
from plowwright.shop.crew_grid import Grid, done_at
from plowwright.shop.crew_limits import Limits
from plowwright.shop.crew_plan import CrewPlan
from plowwright.shop.crew_stay import Places, stay
from plowwright.shop.crew_variables import Keep, Wish

_GIVING_WAY = 12
"""Jobs among which those that give way are looked for [-]."""
_FREED = ((0.3, 4, 60), (0.4, 8, 30), (0.6, 12, 6), (1.0, 18, 10))
"""Share of the time left, how many jobs are freed, and how many days later each of them may be done than it stands."""


def caps(grid: Grid, new: Collection[int], before: CrewPlan) -> dict[int, int]:
    """The last slot by which each job must be done: its promise, or where it stands if that is later.

    Args:
        grid: The problem.
        new: Jobs that do not stand yet.
        before: The plan that stands.
    """
    stands = {p.job: grid.slot_of(p.done) for p in before.promises}
    out: dict[int, int] = {}
    for number, task in enumerate(grid.tasks):
        if task.due is not None:
            out[number] = task.due if number in new else max(task.due, stands.get(task.number, task.due))
    return out


def broken(grid: Grid, schedule: Schedule, latest: Mapping[int, int]) -> list[int]:
    """Jobs that are done after their cap.

    Args:
        grid: The problem.
        schedule: A schedule.
        latest: The caps.
    """
    return [n for n, cap in latest.items() if done_at(grid.tasks[n], schedule.ends) > cap]


def inserted(
    row: Axis, base: Schedule, new: Collection[int], latest: Mapping[int, int], limits: Limits
) -> Schedule | None:
    """A schedule that keeps all caps, a few jobs freed and planned exactly; None where none was found.

    Args:
        row: The row of open slots.
        base: A schedule in which nobody but the new jobs is beyond his cap.
        new: The new jobs.
        latest: The caps.
        limits: When to end [-].
    """
    grid = row.grid
    for share, count, days in _FREED:
        jobs = [*new, *_rich(grid, base, new, latest, count)]
        free = frozenset(at for n in jobs for at in grid.tasks[n].ops if grid.ops[at].fixed is None)
        wish = Wish(free=free, least_finish=False, latest=_narrowed(grid, base, new, latest, days))
        part = limits.part(share)
        seconds = part.left() if part.steps is None else part.steps / 200
        found = solve(row, base, wish, part.effort(seconds), bounded=False).schedule
        if found is not None and not broken(grid, found, latest):
            return found
        if limits.halt():
            break
    return None


def giving_way(
    grid: Grid, base: Schedule, new: Collection[int], latest: Mapping[int, int], limits: Limits, was: Places
) -> Schedule | None:
    """One, two or three jobs leave their places to the new ones and are placed again in what gaps there are.

    The first schedule that keeps all caps, those tried first that have most in hand; otherwise the least late.

    Args:
        grid: The problem.
        base: A schedule in which nobody but the new jobs is beyond his cap.
        new: The new jobs.
        latest: The caps.
        limits: When to end [-].
        was: Where operations are in the plan that stands.
    """
    rich = _rich(grid, base, new, latest, _GIVING_WAY)
    tried = 0
    best: Schedule | None = None
    for count in (1, 2, 3):
        for jobs in combinations(rich, count):
            if limits.halt(tried):
                return best
            tried += 1
            # Who must be done first is placed first.
            turn = sorted(jobs, key=lambda n: latest.get(n, grid.horizon))
            trial = stay(grid, was, gently=True, giving_way=turn)
            if trial is not None and not broken(grid, trial, latest):
                return trial
            if trial is not None and (best is None or trial.late < best.late):
                best = trial
    return best


def put_back(grid: Grid, schedule: Schedule, keep: Keep, limits: Limits) -> Schedule:
    """One moved job after the other put back where it was, what stands there now placed again, while that is better.

    Args:
        grid: The problem.
        schedule: The one to begin from.
        keep: What shall rather stay where it was.
        limits: When to end [-].
    """
    tried, again = 0, True
    while again:
        again = False
        moved = {at for at, place in keep.was.items() if (schedule.who[at], schedule.begins[at]) != place}
        for job in sorted({grid.ops[at].job for at in moved & keep.near}):
            for back in ({at for at in moved if grid.ops[at].job == job}, moved & keep.near & set(grid.tasks[job].ops)):
                if limits.halt(tried):
                    return schedule
                tried += 1
                now = {at: (schedule.who[at], schedule.begins[at]) for at in grid.free}
                trial = stay(grid, now | {at: keep.was[at] for at in back}, first=[job], gently=True)
                if trial is not None and keep.cost(trial) < keep.cost(schedule) - 1e-6:
                    schedule, again = trial, True
    return schedule


def _narrowed(grid: Grid, base: Schedule, new: Collection[int], latest: Mapping[int, int], days: int) -> dict[int, int]:
    """Caps that let nobody slip far: a narrow model is solved many times sooner."""
    far = {n: done_at(t, base.ends) + days * grid.per_day for n, t in enumerate(grid.tasks) if n not in new}
    return {n: min(latest.get(n, grid.horizon), far.get(n, grid.horizon)) for n in range(len(grid.tasks))}


def _rich(grid: Grid, base: Schedule, new: Collection[int], latest: Mapping[int, int], count: int) -> list[int]:
    """Jobs with most in hand among those worked on before the new ones are wanted."""
    wanted = max((latest.get(n, grid.horizon) for n in new), default=grid.horizon)
    near = [
        n for n, t in enumerate(grid.tasks)
        if n not in new and any(grid.ops[at].fixed is None and base.begins[at] < wanted for at in t.ops)
    ]  # fmt: skip

    def in_hand(n: int) -> int:
        return latest.get(n, grid.horizon) - done_at(grid.tasks[n], base.ends)

    return sorted(near, key=lambda n: (-in_hand(n), n))[:count]
