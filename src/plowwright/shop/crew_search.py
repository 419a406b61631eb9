"""The search of one calendar: priority rules, changing the order of jobs, then exact models of a few jobs at a time.

Small problems are also given to one exact model as a whole, which may prove that nothing is better.
"""

from __future__ import annotations

import random
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace

from plowwright.errors import NoPlanInTimeError
from plowwright.shop.crew_axis import Axis, axis
from plowwright.shop.crew_bound import BOUND_FROM, proved_late
from plowwright.shop.crew_build import Schedule
from plowwright.shop.crew_exact import solve
from plowwright.shop.crew_grid import Grid, Task, done_at
from plowwright.shop.crew_limits import Limits
from plowwright.shop.crew_local import order_of, search
from plowwright.shop.crew_rules import EARLIEST_DUE, all_rules
from plowwright.shop.crew_variables import Keep, Wish

WHOLE_JOBS = 40
"""Most jobs that are given to one exact model [-]."""
_QUIET = 8
"""Rounds without anything better after which a plan that is proved is left alone [-]."""
_STEPS_A_ROUND = 150
"""What one exact model counts where steps are counted [-]."""
_A_MODEL = 0.4
"""Most that one exact model of some jobs is given [s]: what it has not found by then other jobs find sooner."""
_AS_LATE = 20
"""Slots late that an operation moved counts as when jobs are picked to be planned together [-]."""
_BY_DAYS = 0.7
"""Share of the exact models that free the operations of some days and not a few jobs [-]."""
_PROVED_OFTEN = 14
"""Most jobs of which one exact model of everything is often solved to the end [-]."""
_CLOSE = 1e-6


@dataclass(frozen=True, kw_only=True)
class Found:
    """What the search gave.

    Attributes:
        schedule: The best one.
        bound: Weighted slots late that no schedule of this calendar can avoid [-].
        bound_from: Where the bound comes from.
        method: What found the schedule.
        baseline: Weighted slots late of earliest promise first [-].
        best_rule: Of the best rule [-].
        first_seconds: Time to the first whole schedule [s].
    """

    schedule: Schedule
    bound: float
    bound_from: str
    method: str
    baseline: float
    best_rule: float
    first_seconds: float

    @property
    def proved(self) -> bool:
        """Whether nothing can be less late."""
        return self.schedule.late <= self.bound + _CLOSE


def find(grid: Grid, limits: Limits, *, start: Schedule | None = None) -> Found:
    """Search one calendar.

    Args:
        grid: The problem.
        limits: When to end [-].
        start: A schedule known before, None for none.

    Raises:
        NoPlanInTimeError: No rule gave a whole schedule.
    """
    rules = all_rules(grid)
    if not rules and start is None:
        raise NoPlanInTimeError(
            "no plan was found", limit="the calendar", way_out="Look at who may do what and at long absences."
        )
    name, best = min(rules.items(), key=lambda r: r[1].levels) if rules else ("the plan before", start)
    assert best is not None
    if start is not None and start.levels < best.levels:
        name, best = "the plan before", start
    found = Found(
        schedule=best,
        bound=min(best.late, proved_late(grid)),
        bound_from=BOUND_FROM,
        method=name,
        baseline=rules[EARLIEST_DUE].late if EARLIEST_DUE in rules else best.late,
        best_rule=min((s.late for s in rules.values()), default=best.late),
        first_seconds=time.perf_counter() - limits.begin,
    )
    limits.report(best.late, found.bound, name)
    row = axis(grid)
    jobs = sum(any(grid.ops[at].fixed is None for at in t.ops) for t in grid.tasks)
    if not jobs:
        return found
    if not any(op.people for op in grid.ops):
        return _whole(row, _ordered(grid, found, limits.part(0.02)), limits)
    # Among many jobs the order matters most, and it is cheap to change.
    found = _ordered(grid, found, limits.part(0.25 if jobs <= WHOLE_JOBS else 0.4))
    # What is known to be possible narrows the one exact model, so it comes last.
    proving = jobs <= WHOLE_JOBS
    share = 1.0 if not proving else 0.6 if jobs <= _PROVED_OFTEN else 0.9
    found = _mended(row, found, limits.part(share))
    if proving and not found.proved:
        found = _whole(row, found, limits.part(1.0))
    return found


def _better(found: Found, schedule: Schedule | None, method: str) -> Found:
    if schedule is None or schedule.levels >= found.schedule.levels:
        return found
    return replace(found, schedule=schedule, method=method, bound=min(found.bound, schedule.late))


def _ordered(grid: Grid, found: Found, limits: Limits) -> Found:
    best, _ = search(grid, order_of(grid, found.schedule), limits, found.schedule)
    return _better(found, best, "changing the order of jobs and who does what")


def _whole(row: Axis, found: Found, limits: Limits) -> Found:
    """One exact model of everything: it may find a better schedule, and it always proves something."""
    if found.proved:
        return found
    limits.report(found.schedule.late, found.bound, "one exact model of everything")
    wish = Wish(free=frozenset(row.grid.free), least_finish=False)
    work = limits.left() if limits.steps is None else limits.steps / 200
    solved = solve(row, found.schedule, wish, replace(limits.effort(work), from_below=True))
    out = _better(found, solved.schedule, "one exact model of everything")
    bound = out.schedule.late if solved.closed else min(out.schedule.late, solved.bound)
    if bound > out.bound + _CLOSE or solved.closed:
        out = replace(out, bound=bound, bound_from="one exact model of everything")
    return out


def _mended(row: Axis, found: Found, limits: Limits) -> Found:
    schedule, _ = mend(row, found.schedule, limits, bound=found.bound)
    return _better(found, schedule, "exact models of a few jobs at a time")


def mend(
    row: Axis, schedule: Schedule, limits: Limits, *, bound: float = 0.0, keep: Keep | None = None
) -> tuple[Schedule, int]:
    """Exact models of a few jobs, or of some days, at a time, the rest as it is: the best schedule, how many models.

    Args:
        row: The row of open slots.
        schedule: The one to begin from.
        limits: When to end [-].
        bound: Weighted slots late that cannot be avoided [-].
        keep: What shall rather stay where it was, None for nothing.
    """
    grid, draw = row.grid, random.Random(limits.seed)
    begin, rounds, done, quiet, size, best = time.perf_counter(), 0, 0, 0, 5, schedule
    while not limits.halt(done) and limits.used(begin, done) < 1.0:
        rounds += 1
        proved = schedule.late <= bound + _CLOSE
        free = freed(grid, schedule, size, draw, keep)
        wish = Wish(free=free, least_finish=proved and keep is None, keep=keep,
                    latest=_narrow(grid, schedule, sorted({grid.ops[at].job for at in free}), draw))  # fmt: skip
        solved = solve(row, schedule, wish, limits.effort(_A_MODEL if limits.steps is None else 0.3, rounds))
        done += _STEPS_A_ROUND
        new, better = solved.schedule, False
        # One that is as good leads elsewhere.
        if new is not None and rank(new, keep)[:2] <= rank(schedule, keep)[:2]:
            schedule, better = new, rank(new, keep) < rank(best, keep)
        if better:
            best, quiet = schedule, 0
            limits.report(best.late, bound, "exact models of a few jobs at a time")
        else:
            quiet += 1
        if solved.closed and quiet:
            size = min(size + 1, 12)
        elif not solved.closed:
            size = max(2, size - 1)
        settled = proved and (keep is None or not keep.moved(best)[0])
        if quiet >= _QUIET and (settled or (solved.closed and len(free) == len(grid.free))):
            break
        if keep is not None and proved and keep.moved(best) == (0, 0):
            break
    return best, rounds


def freed(grid: Grid, schedule: Schedule, size: int, draw: random.Random, keep: Keep | None) -> frozenset[int]:
    """The operations that one exact model may move: those of a few jobs, or those of some days.

    Args:
        grid: The problem.
        schedule: The present one.
        size: How many jobs, or their number of operations [-].
        draw: Random numbers.
        keep: What shall rather stay where it was.
    """
    if draw.random() < _BY_DAYS:
        middle = _middle(grid, schedule, neighbours(grid, schedule, 1, draw, keep)[0])
        near = sorted(grid.free, key=lambda at: (abs(schedule.begins[at] + schedule.ends[at] - 2 * middle), at))
        count = round(size * len(grid.free) / max(1, len(grid.tasks)))
        return frozenset(near[: max(8, count)])
    jobs = neighbours(grid, schedule, size, draw, keep)
    return frozenset(at for n in jobs for at in grid.tasks[n].ops if grid.ops[at].fixed is None)


def _narrow(grid: Grid, schedule: Schedule, jobs: Sequence[int], draw: random.Random) -> dict[int, int]:
    """Let no job slip far: a narrow model is solved many times sooner."""
    room = draw.choice((1, 3, 6)) * grid.per_day
    out: dict[int, int] = {}
    for number in jobs:
        task = grid.tasks[number]
        done = done_at(task, schedule.ends)
        out[number] = room + (done if task.due is None else max(done, task.due) if done <= task.due + room else done)
    return out


def rank(schedule: Schedule, keep: Keep | None) -> tuple[float, ...]:
    """What schedules are held against each other by when some should stay where they were [-].

    Args:
        schedule: One of them.
        keep: What shall rather stay where it was, None where it does not matter.
    """
    if keep is None:
        return schedule.levels
    # What is far may cost nothing to move; to be done sooner is still no reason to.
    return round(keep.cost(schedule), 6), schedule.overtime, sum(keep.moved(schedule)), round(schedule.finish, 6)


def neighbours(
    grid: Grid, schedule: Schedule, size: int, draw: random.Random, keep: Keep | None = None
) -> Sequence[int]:
    """A few jobs worth planning together: one that is late or moved, and those that are worked on near it.

    Args:
        grid: The problem.
        schedule: The present one.
        size: How many jobs [-].
        draw: Random numbers.
        keep: What shall rather stay where it was.
    """
    open_jobs = [n for n, t in enumerate(grid.tasks) if any(grid.ops[at].fixed is None for at in t.ops)]
    weights = [
        1e-3
        + t.weight * (max(0, done_at(t, schedule.ends) - t.due) if t.due is not None else 0)
        + _moved(grid, schedule, keep, t)
        for t in (grid.tasks[n] for n in open_jobs)
    ]
    first = draw.choices(open_jobs, weights)[0]
    others = [n for n in open_jobs if n != first]
    middle = {n: _middle(grid, schedule, n) for n in open_jobs}
    due = grid.tasks[first].due
    easy = [n for n in others if _in_hand(grid, schedule, n) > grid.per_day]
    if due is not None and easy and draw.random() < 0.6:
        # Where it should be worked on, those make room that have most in hand.
        wanted = min(middle[first], due - 0.5 * max(grid.tail[at] for at in grid.tasks[first].ops))
        ahead = [n for n in easy if middle[n] < wanted + 4 * grid.per_day] or easy
        near = sorted(ahead, key=lambda n: -_in_hand(grid, schedule, n) * draw.uniform(0.3, 1.7))
    else:
        near = sorted(others, key=lambda n: abs(middle[n] - middle[first]) * draw.uniform(0.3, 1.7))
    return [first, *near[: size - 1]]


def _moved(grid: Grid, schedule: Schedule, keep: Keep | None, task: Task) -> float:
    """What the moved operations of a job weigh when jobs are picked [-]."""
    if keep is None:
        return 0.0
    return sum(
        _AS_LATE * max(1.0, keep.worth(at)) for at in task.ops
        if at in keep.was and (schedule.who[at], schedule.begins[at]) != keep.was[at]
    )  # fmt: skip


def _in_hand(grid: Grid, schedule: Schedule, number: int) -> float:
    task = grid.tasks[number]
    return max(1.0, (grid.horizon if task.due is None else task.due) - done_at(task, schedule.ends))


def _middle(grid: Grid, schedule: Schedule, number: int) -> float:
    free = [at for at in grid.tasks[number].ops if grid.ops[at].fixed is None]
    return sum(schedule.begins[at] + schedule.ends[at] for at in free) / (2 * len(free))
