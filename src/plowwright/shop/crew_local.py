"""Local search over the order in which jobs are placed and over who does what: keep what is better or hardly worse.

One job is moved, two are swapped, or one operation is given to somebody, or to whoever is done with it first.

Boards are kept along the present order, so a change costs only what comes after it, and a trial ends as soon as the
jobs placed are later together than it may become.
"""

from __future__ import annotations

import random
import time
from collections.abc import Mapping, Sequence
from math import inf, log

from plowwright.shop.crew_build import Board, Schedule, measured
from plowwright.shop.crew_grid import Grid, done_at
from plowwright.shop.crew_limits import Limits

_FINISH = 1e-4
"""What an hour sooner is worth against an hour late while searching [-]."""
_WARM = 0.003
"""Share of the lateness by which a step may at first be worse [-]."""
_HANDS = 0.3
"""Share of the steps that change who does an operation, and not the order of jobs [-]."""
_A_STEP = 5
"""Orders tried that count as one step where steps are counted: most end early, and none is an exact model [-]."""

Who = Mapping[int, int]
"""Person chosen for an operation; whoever is done with it first where it is left out."""


class Walk:
    """An order of jobs with the boards before each of them."""

    def __init__(self, grid: Grid, jobs: Sequence[int]) -> None:
        """Place the jobs in an order.

        Args:
            grid: The problem.
            jobs: Which first.
        """
        self.grid = grid
        rank = {at: n for n, at in enumerate(grid.order)}
        self.ops = [sorted((at for at in t.ops if grid.ops[at].fixed is None), key=lambda at: rank[at])
                    for t in grid.tasks]  # fmt: skip
        self.jobs = [n for n in jobs if self.ops[n]]
        settled = [n for n in range(len(grid.tasks)) if not self.ops[n]]
        first = Board(grid)
        base = sum(self._value(n, first.ends) for n in settled)
        self.boards: list[Board] = [first]
        self.sums: list[float] = [base]
        self.value = inf
        self.who: Who = {}
        found = self.attempt(self.jobs, 0, inf, {})
        if found is not None:
            self.accept(self.jobs, 0, found, {})

    def _value(self, job: int, ends: Sequence[int]) -> float:
        task = self.grid.tasks[job]
        done = done_at(task, ends)
        late = max(0, done - task.due) if task.due is not None else 0
        return task.weight * (late + _FINISH * max(0, done - self.grid.now))

    def attempt(
        self, jobs: Sequence[int], first: int, limit: float, who: Who
    ) -> tuple[list[Board], list[float]] | None:
        """Boards and sums from a changed place on; None where it becomes worse than the limit or does not fit.

        Args:
            jobs: The new order.
            first: The first place that differs.
            limit: Value it may reach [-].
            who: Who does what.
        """
        board, total = self.boards[first], self.sums[first]
        boards: list[Board] = []
        sums: list[float] = []
        for job in jobs[first:]:
            board = board.copy()
            board.chosen = who
            for at in self.ops[job]:
                if not board.placed[at] and not board.put(at):
                    return None
            total += self._value(job, board.ends)
            if total > limit:
                return None
            boards.append(board)
            sums.append(total)
        return boards, sums

    def accept(self, jobs: Sequence[int], first: int, found: tuple[list[Board], list[float]], who: Who) -> None:
        """Go on from a new order, or from other people.

        Args:
            jobs: The order.
            first: The first place that differs.
            found: What `attempt` gave: boards, and sums of weighted slots [-].
            who: Who does what.
        """
        self.jobs, self.who = list(jobs), who
        self.boards[first + 1 :] = found[0]
        self.sums[first + 1 :] = found[1]
        self.value = self.sums[-1]

    def schedule(self) -> Schedule:
        """The present schedule."""
        last = self.boards[-1]
        return measured(self.grid, last.who, last.begins, last.ends)


def changed(jobs: Sequence[int], draw: random.Random) -> tuple[list[int], int]:
    """A neighbouring order and the first place that differs.

    Args:
        jobs: The present order.
        draw: Random numbers.
    """
    out = list(jobs)
    count = len(out)
    here = draw.randrange(count)
    far = max(1, count // 4) if draw.random() < 0.5 else max(1, min(6, count - 1))
    there = min(max(0, here + draw.choice((-1, 1)) * draw.randint(1, far)), count - 1)
    if there == here:
        there = here - 1 if here else 1
    if draw.random() < 0.6:
        out.insert(there, out.pop(here))
    else:
        out[here], out[there] = out[there], out[here]
    return out, min(here, there)


def handed(walk: Walk, shared: Sequence[int], draw: random.Random) -> tuple[Who, int]:
    """Other people for the same order, and the first place that differs.

    Args:
        walk: Where the search is.
        shared: Operations that more than one person can do.
        draw: Random numbers.
    """
    at = draw.choice(shared)
    who = {other: person for other, person in walk.who.items() if other != at}
    person = draw.choice((None, *walk.grid.ops[at].people))
    if person is not None:
        who[at] = person
    return who, walk.jobs.index(walk.grid.ops[at].job)


def search(grid: Grid, start: Sequence[int], limits: Limits, best: Schedule) -> tuple[Schedule, int]:
    """The best schedule found from one order of jobs, and how many were built.

    Args:
        grid: The problem.
        start: The order to begin from.
        limits: When to end [-].
        best: The best schedule so far.
    """
    walk = Walk(grid, start)
    draw = random.Random(limits.seed)
    shared = [at for ops in walk.ops for at in ops if len(grid.ops[at].people) > 1]
    alone = len(walk.jobs) < 2
    if walk.value == inf or (alone and not shared):
        return best, 1
    begin, built = time.perf_counter(), 0
    top = walk.value
    if (first := walk.schedule()).levels < best.levels:
        best = first
    while not limits.halt(built // _A_STEP):
        built += 1
        warm = _WARM * top * (1.0 - limits.used(begin, built // _A_STEP)) + 1e-9
        limit = walk.value - warm * log(max(1e-12, draw.random()))
        jobs, who = walk.jobs, walk.who
        if alone or (shared and draw.random() < _HANDS):
            who, place = handed(walk, shared, draw)
        else:
            jobs, place = changed(jobs, draw)
        found = walk.attempt(jobs, place, limit, who)
        if found is None:
            continue
        walk.accept(jobs, place, found, who)
        if walk.value < top - 1e-9:
            top = walk.value
            new = walk.schedule()
            if new.levels < best.levels:
                best = new
                limits.report(best.late, 0.0, "changing the order of jobs and who does what")
    return best, built


def order_of(grid: Grid, schedule: Schedule) -> list[int]:
    """The jobs in the order in which a schedule has them in the middle of their work.

    Args:
        grid: The problem.
        schedule: The schedule.
    """
    middle: dict[int, float] = {}
    for number, task in enumerate(grid.tasks):
        free = [at for at in task.ops if grid.ops[at].fixed is None]
        if free:
            work = sum(grid.ops[at].time for at in free) or 1
            middle[number] = sum(schedule.begins[at] * grid.ops[at].time for at in free) / work
    return sorted(middle, key=lambda n: (middle[n], n))
