"""Priority rules: orders in which operations are placed, from the plainest (earliest promise first) on."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import inf

from plowwright.shop.crew_build import Schedule, built
from plowwright.shop.crew_grid import Grid, Task

EARLIEST_DUE = "earliest promise first"


def _work(grid: Grid, task: Task) -> int:
    return sum(grid.ops[at].time for at in task.ops if grid.ops[at].people and grid.ops[at].fixed is None)


def _due(grid: Grid, task: Task) -> float:
    return task.due if task.due is not None else inf


def _weighted(grid: Grid, task: Task) -> float:
    return (_due(grid, task) - grid.now) / task.weight if task.due is not None else inf


def _slack(grid: Grid, task: Task) -> float:
    tail = max((grid.tail[at] for at in task.ops if grid.ops[at].fixed is None), default=0)
    return _due(grid, task) - tail


def _least_work(grid: Grid, task: Task) -> float:
    return _work(grid, task) / task.weight


def _urgency(look: float) -> Callable[[Grid, Task], float]:
    """Weight over work, fading with the slack that is left."""

    def key(grid: Grid, task: Task) -> float:
        work = max(1, _work(grid, task))
        mean = look * sum(_work(grid, t) for t in grid.tasks) / max(1, len(grid.tasks)) * max(1, len(grid.tasks)) / 4
        slack = max(0.0, min(_slack(grid, task) - grid.now, 1e7))
        return -task.weight / work * 2.718281828 ** (-slack / max(1.0, mean))

    return key


JOBS: dict[str, Callable[[Grid, Task], float]] = {
    EARLIEST_DUE: _due,
    "least time in hand first": _slack,
    "promise over weight": _weighted,
    "least work for its weight first": _least_work,
    "weight over work, fading with slack, short look": _urgency(0.25),
    "weight over work, fading with slack": _urgency(1.0),
    "weight over work, fading with slack, long look": _urgency(4.0),
}
"""Rules that place one job after the other."""


def _latest_start(grid: Grid, at: int) -> float:
    task = grid.tasks[grid.ops[at].job]
    return _due(grid, task) - grid.tail[at]


def _most_left(grid: Grid, at: int) -> float:
    return -grid.tail[at]


OPERATIONS: dict[str, Callable[[Grid, int], float]] = {
    "latest possible start first": _latest_start,
    "most work left first": _most_left,
}
"""Rules that mix the operations of all jobs."""


def sorted_jobs(grid: Grid, jobs: Sequence[int]) -> list[int]:
    """Operations job by job, each job's own in their order.

    Args:
        grid: The problem.
        jobs: Which job first.
    """
    rank = {job: at for at, job in enumerate(jobs)}
    place = {at: n for n, at in enumerate(grid.order)}
    return sorted(grid.free, key=lambda at: (rank[grid.ops[at].job], place[at]))


def by_jobs(grid: Grid, rule: str) -> list[int]:
    """Operations as a rule for jobs places them.

    Args:
        grid: The problem.
        rule: Its name.
    """
    key = JOBS[rule]
    jobs = sorted(range(len(grid.tasks)), key=lambda n: (key(grid, grid.tasks[n]), n))
    return sorted_jobs(grid, jobs)


def by_operations(grid: Grid, rule: str) -> list[int]:
    """Operations as a rule for operations places them.

    Args:
        grid: The problem.
        rule: Its name.
    """
    key = OPERATIONS[rule]
    place = {at: n for n, at in enumerate(grid.order)}
    return sorted(grid.free, key=lambda at: (key(grid, at), place[at]))


def all_rules(grid: Grid) -> dict[str, Schedule]:
    """What each rule makes of the problem; a rule that runs off the calendar is left out.

    Args:
        grid: The problem.
    """
    out: dict[str, Schedule] = {}
    for rule in JOBS:
        made = built(grid, by_jobs(grid, rule))
        if made is not None:
            out[rule] = made
    for rule in OPERATIONS:
        made = built(grid, by_operations(grid, rule))
        if made is not None:
            out[rule] = made
    return out
