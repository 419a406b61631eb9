"""What is proved without any search: each job by itself, and all jobs against the hours of those who can do them.

All work of one group of people is taken as one row that they share without any loss. Whichever job is done as the k-th
there, is not done before the group has worked as long as the k shortest take; which job is which is chosen as kindly as
can be (an assignment problem). No real plan can be less late.
"""

from __future__ import annotations

from bisect import bisect_left
from math import inf
from typing import Final

import numpy as np
from scipy.optimize import linear_sum_assignment

from plowwright.shop.crew_grid import Grid, Op, done_at, in_a_day

BOUND_FROM: Final = "each order by itself, and the crew's hours"
"""Where that bound comes from, in words."""


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
    """Weighted slots late that no plan can avoid [-].

    Args:
        grid: The problem, with every night open that may be worked.
    """
    soonest = alone(grid)
    single = sum(t.weight * max(0.0, done - t.due) for t, done in zip(grid.tasks, soonest, strict=True)
                 if t.due is not None and done < inf)  # fmt: skip
    groups = {frozenset(op.people) for op in grid.ops if op.fixed is None and op.people}
    groups |= {a | b for a in groups for b in groups}
    return max([single, *(_shared(grid, group, soonest) for group in groups)])


def _shared(grid: Grid, group: frozenset[int], soonest: tuple[float, ...]) -> float:
    """Weighted slots late that the hours of one group of people make unavoidable [-]."""
    own = [[at for at in t.ops if (op := grid.ops[at]).fixed is None and op.time and op.people
            and group.issuperset(op.people)] for t in grid.tasks]  # fmt: skip
    work = np.asarray([sum(grid.ops[at].time for at in ops) for ops in own])
    after = np.asarray([min((grid.own_tail[at] - grid.ops[at].time for at in ops), default=0) for ops in own])
    slots = np.sort(np.concatenate([np.asarray(grid.slots[person], dtype=np.int64) for person in group]))
    needed = np.cumsum(np.sort(work))
    if needed[-1] == 0 or needed[-1] > len(slots):
        return 0.0
    # The k-th to be done is not done before the k shortest could be.
    over = np.where(needed > 0, slots[np.maximum(needed, 1) - 1] + 1, grid.now)
    due = np.asarray([np.inf if t.due is None else t.due for t in grid.tasks])
    weight = np.asarray([t.weight for t in grid.tasks])
    done = np.maximum(np.asarray(soonest)[:, None], over[None, :] + after[:, None])
    cost = weight[:, None] * np.maximum(0.0, done - due[:, None])
    rows, columns = linear_sum_assignment(cost)
    return float(cost[rows, columns].sum())
