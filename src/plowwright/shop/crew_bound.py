"""What is proved without any search: how soon each job can be done with the whole shop to itself."""

from __future__ import annotations

from bisect import bisect_left
from math import inf

from plowwright.shop.crew_grid import Grid, Op, done_at, in_a_day


def alone(grid: Grid) -> tuple[float, ...]:
    """The soonest each job can be done with the whole shop to itself [slots]: what is proved without any search.

    Args:
        grid: The problem, with every night open that may be worked.
    """
    ends = [0] * len(grid.ops)
    for at in grid.order:
        op = grid.ops[at]
        if op.fixed is not None:
            ends[at] = op.fixed[2]
            continue
        begin = max([op.earliest, *(ends[o] + wait for o, wait in op.before)])
        ends[at] = begin + op.time if not op.people else min(_end(grid, op, p, begin) for p in op.people)
    return tuple(float(done_at(task, ends)) for task in grid.tasks)


def _end(grid: Grid, op: Op, person: int, begin: int) -> int:
    slots = grid.slots[person]
    at = bisect_left(slots, begin)
    while op.in_one_day and at + op.time <= len(slots) and not in_a_day(grid, slots, at, op.time):
        at += 1
    return slots[at + op.time - 1] + 1 if 0 < op.time <= len(slots) - at else begin if not op.time else int(1e9)


def proved_late(grid: Grid) -> float:
    """Weighted slots late that no plan can avoid, each job taken by itself [-].

    Args:
        grid: The problem, with every night open that may be worked.
    """
    total = 0.0
    for task, soonest in zip(grid.tasks, alone(grid), strict=True):
        if task.due is not None and soonest < inf:
            total += task.weight * max(0.0, soonest - task.due)
    return total
