"""The exact model: all or some operations freed, the rest where they are, solved by constraint programming (CP-SAT).

Times are places on the crew's row of open slots, so a full-timer's work has a fixed length there; part-timers' nights,
cure and the promise's clock come in as pieces of functions that never fall.
"""

from __future__ import annotations

import threading
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from importlib import import_module
from itertools import pairwise
from math import ceil, floor, inf
from typing import Any

from plowwright.errors import MissingToolError
from plowwright.shop.crew_axis import Axis
from plowwright.shop.crew_build import Schedule, built, measured
from plowwright.shop.crew_grid import done_at
from plowwright.shop.crew_stay import drawn_in
from plowwright.shop.crew_variables import Keep, Variables, Wish
from plowwright.shop.crew_waits import mere_waits


@dataclass(frozen=True, kw_only=True)
class Effort:
    """How long one model is worked at.

    Attributes:
        seconds: Wall time [s].
        work: Deterministic work, None for no limit [-].
        seed: Of the search.
        stopped: Asked now and then.
        from_below: Whether it shall first of all prove how little can be had.
    """

    seconds: float
    work: float | None
    seed: int
    stopped: Callable[[], bool]
    from_below: bool = False


@dataclass(frozen=True, kw_only=True)
class Solved:
    """What came out.

    Attributes:
        schedule: The schedule found, None where there is none.
        bound: Weighted slots late that are proved for the freed part and the rest as it is [-].
        closed: Whether the model was solved to the end.
        impossible: Whether it is proved that there is no schedule of this kind.
    """

    schedule: Schedule | None
    bound: float
    closed: bool
    impossible: bool


def solve(axis: Axis, base: Schedule, wish: Wish, effort: Effort, *, bounded: bool = True) -> Solved:
    """Solve one model.

    Args:
        axis: The row of open slots.
        base: A schedule to begin from; what is not freed stays as it is there.
        wish: What is asked for.
        effort: How long [-].
        bounded: Whether only schedules at least as good as the base are of interest.

    Raises:
        MissingToolError: The solver is not installed.
    """
    try:
        cp_model = import_module("ortools.sat.python.cp_model")
    except ImportError as fault:
        raise MissingToolError(
            "the solver of the crew plan is not installed", way_out="Install the package ortools."
        ) from fault
    model = _Model(cp_model, axis, base, wish, bounded=bounded)
    if not model.possible:
        return Solved(schedule=None, bound=inf, closed=True, impossible=True)
    return model.run(effort)


def scaled(weights: Sequence[float]) -> tuple[list[int], int]:
    """Weights as whole numbers and by what they were multiplied; rounded down, so that a bound stays one [-].

    Args:
        weights: Of the jobs [-].
    """
    for by in (1, 2, 4, 5, 10, 100):
        if all(abs(w * by - round(w * by)) < 1e-9 for w in weights):
            return [round(w * by) for w in weights], by
    return [floor(w * 1000) for w in weights], 1000


class _Model:
    def __init__(self, cp: Any, axis: Axis, base: Schedule, wish: Wish, *, bounded: bool) -> None:
        self.cp = cp
        waits = set(mere_waits(axis.grid))
        wish = replace(wish, free=wish.free - waits)
        self.axis, self.grid, self.base, self.wish = axis, axis.lean, base, wish
        self.waits = waits
        self.made = Variables(cp, axis, base, wish, bounded=bounded)
        self.model, self.start, self.chosen = self.made.model, self.made.start, self.made.chosen
        self.weights, self.by = scaled([t.weight for t in self.grid.tasks])
        self.rooms: defaultdict[int, list[tuple[int, int]]] = defaultdict(list)
        self.possible = self.made.possible
        if self.possible:
            self._fixed()
            self._links()
            self._rooms()
            self._aim()

    def _fixed(self) -> None:
        """What stays where it is takes people and stations."""
        grid, base = self.grid, self.base
        rows: defaultdict[int, list[tuple[int, int]]] = defaultdict(list)
        for at, op in enumerate(grid.ops):
            if at in self.wish.free or base.ends[at] + op.keeps <= grid.now:
                continue
            person = base.who[at]
            if person is not None and op.time:
                rows[person].append((base.begins[at], base.ends[at]))
            for kind in op.stations:
                self._room(kind, base.begins[at], base.ends[at] + op.keeps)
        for person, spans in rows.items():
            for first, last, _ in crowded(self._places(spans), 1):
                self.made.rows[person].append(self.model.NewFixedSizeIntervalVar(first, last - first, ""))

    def _places(self, spans: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
        return [(self.axis.place(begin), self.axis.place(end)) for begin, end in spans]

    def _room(self, kind: int, begin: int, end: int) -> None:
        self.rooms[kind].append((begin, end))

    def _links(self) -> None:
        for at in self.start:
            for other, lag in self.grid.ops[at].before:
                if other in self.start:
                    self.made.follow(self.start[at], other, lag)
            for later in self.grid.followers[at]:
                if later not in self.start:
                    wait = max(w for o, w in self.grid.ops[later].before if o == at)
                    self.made.by(at, wait, self.base.begins[later])

    def _rooms(self) -> None:
        self._holds()
        for kind, spans in self.rooms.items():
            for first, last, demand in crowded(self._places(spans), self.grid.counts[kind]):
                self.made.taken[kind].append((self.model.NewFixedSizeIntervalVar(first, last - first, ""), demand))
        for row in self.made.rows.values():
            if len(row) > 1:
                self.model.AddNoOverlap(row)
        for kind, taken in self.made.taken.items():
            count = self.grid.counts[kind]
            if count == 1:
                self.model.AddNoOverlap([interval for interval, _ in taken])
            elif sum(demand for _, demand in taken) > count:
                self.model.AddCumulative([i for i, _ in taken], [d for _, d in taken], count)

    def _holds(self) -> None:
        for number, task in enumerate(self.grid.tasks):
            if task.holds is None or task.holds_from is None:
                continue
            first = task.holds_from
            done = done_at(task, self.base.ends)
            if not any(at in self.start for at in task.ops):
                if done > self.grid.now:
                    self._room(task.holds, self.base.begins[first], done)
                continue
            top = self.axis.place(self.made.latest.get(number, self.grid.horizon)) + 1
            begin = self.start[first] if first in self.start else self.axis.place(self.base.begins[first])
            end = self.model.NewIntVar(0, min(top, self.axis.size + 1), "")
            size = self.model.NewIntVar(0, self.axis.size + 1, "")
            self.model.Add(begin + size == end)
            self.model.Add(end >= self.axis.place(task.soonest))
            for at, wait in task.ready:
                if at in self.start:
                    self.made.follow(end, at, wait)
                else:
                    self.model.Add(end >= self.axis.place(self.base.ends[at] + wait))
            self.made.taken[task.holds].append((self.model.NewIntervalVar(begin, size, end, ""), 1))

    def _aim(self) -> None:
        terms: list[Any] = []
        self.constant = 0
        for number, task in enumerate(self.grid.tasks):
            if number not in self.made.touched:
                if task.due is not None:
                    self.constant += self.weights[number] * max(0, done_at(task, self.base.ends) - task.due)
                continue
            if self.wish.latest and number in self.wish.latest:
                for at, wait in task.ready:
                    if at in self.start:
                        self.made.by(at, wait, self.wish.latest[number])
            if task.due is not None and self.weights[number]:
                terms.append(self.weights[number] * self._lateness(number, task.due))
        self.late = self.model.NewIntVar(0, 1 << 50, "")
        self.model.Add(self.late == (sum(terms) if terms else 0))
        worth = 1000 if self.wish.least_finish else 10 if self.wish.keep else 1
        aim = worth * self.late
        if self.wish.least_finish:
            for number in self.made.touched:
                last = [at for at in self.grid.tasks[number].ops if at in self.start and not any(
                    f in self.grid.tasks[number].ops for f in self.grid.followers[at])]  # fmt: skip
                aim += sum(max(1, self.weights[number]) * self.made.end[at] for at in last)
        if self.wish.keep is not None:
            aim += self._kept(self.wish.keep, worth)
        self.worth = worth
        self.model.Minimize(aim)

    def _kept(self, keep: Keep, worth: int) -> Any:
        """What it costs to move what shall stay, and to be later altogether than may be."""
        out: Any = 0
        for at, (who, begin) in keep.was.items():
            if at in self.start and keep.worth(at) > 0.0:
                out += round(worth * self.by * keep.worth(at)) * self._moved(at, who, begin)
        if keep.most_late is not None:
            over = self.model.NewIntVar(0, 1 << 50, "")
            self.model.Add(over >= self.late + floor(self.constant) - ceil(keep.most_late * self.by))
            out += round(worth * keep.over) * over
        return out

    def _lateness(self, number: int, due: int) -> Any:
        task = self.grid.tasks[number]
        top = max(0, self.made.latest.get(number, self.grid.horizon * 2) - due)
        late = self.model.NewIntVar(0, top, "")
        if task.soonest > due:
            self.model.Add(late >= task.soonest - due)
        for at, wait in task.ready:
            if at not in self.start:
                over = self.base.ends[at] + wait - due
                if over > 0:
                    self.model.Add(late >= over)
                continue
            people = bool(self.grid.ops[at].people)
            clock = self.axis.clock_after(wait) if people else self.axis.clock_from(self.grid.ops[at].time + wait)
            low, high = self.made.end_span[at] if people else self.made.span[at]
            self.made.at_least(late, at, (clock - due).clip(0), low, high, None, on_end=people)
        return late

    def _moved(self, at: int, who: int | None, begin: int) -> Any:
        flag = self.model.NewBoolVar("")
        low, high = self.made.span[at]
        place = self.axis.place(begin)
        if not low <= place <= high:
            self.model.Add(flag == 1)
            return flag
        self.model.Add(self.start[at] == place).OnlyEnforceIf(flag.Not())
        if who is not None and who not in self.chosen[at]:
            self.model.Add(flag == 1)
            return flag
        there = self.chosen[at].get(who) if who is not None else None
        if there is not None:
            self.model.AddImplication(flag.Not(), there)
        return flag

    def run(self, effort: Effort) -> Solved:
        for at, start in self.start.items():
            low, high = self.made.span[at]
            self.model.AddHint(start, min(max(self.axis.place(self.base.begins[at]), low), high))
            for person, there in self.chosen[at].items():
                if there is not None:
                    self.model.AddHint(there, person == self.base.who[at])
        solver = self.cp.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = effort.seed
        # Measured on shop mixes: without the linear relaxation and with a short presolve it closes many times sooner.
        solver.parameters.linearization_level = 0
        solver.parameters.cp_model_probing_level = 0
        solver.parameters.symmetry_level = 0
        solver.parameters.max_time_in_seconds = max(0.01, min(effort.seconds, 1e6))
        solver.parameters.use_objective_lb_search = effort.from_below
        if effort.work is not None:
            solver.parameters.max_deterministic_time = effort.work
        status = _watched(solver, self.model, effort.stopped)
        found = status in (self.cp.OPTIMAL, self.cp.FEASIBLE)
        bound = max(0.0, ceil((solver.BestObjectiveBound() / self.worth) - 1e-6)) if self.worth == 1 else 0.0
        return Solved(
            schedule=self._read(solver) if found else None,
            bound=(bound + self.constant) / self.by,
            closed=status in (self.cp.OPTIMAL, self.cp.INFEASIBLE),
            impossible=status == self.cp.INFEASIBLE,
        )

    def _read(self, solver: Any) -> Schedule:
        grid = self.grid
        who, begins, ends = list(self.base.who), list(self.base.begins), list(self.base.ends)
        for at, start in self.start.items():
            place, op = solver.Value(start), grid.ops[at]
            if not op.people:
                who[at], begins[at] = None, self.axis.open[place]
                ends[at] = begins[at] + op.time
                continue
            person = next(p for p, there in self.chosen[at].items() if there is None or solver.Value(there))
            who[at] = person
            begins[at], ends[at] = _begun(self.axis, person, op.time, place, in_one_day=op.in_one_day)
        grid = self.axis.grid
        for at in (w for w in grid.order if w in self.waits):
            op = grid.ops[at]
            begins[at] = max([op.earliest, *(ends[other] + lag for other, lag in op.before)])
            ends[at] = begins[at] + op.time
        raw = measured(grid, who, begins, ends)
        keep = self.wish.keep
        if keep is not None:
            near = drawn_in(grid, raw, keep.was)
            return near if near is not None and _cost(near, keep) < _cost(raw, keep) else raw
        order = sorted(grid.free, key=lambda at: (begins[at], ends[at]))
        tight = built(grid, order, {at: p for at in grid.free if (p := who[at]) is not None})
        return tight if tight is not None and tight.levels <= raw.levels else raw


def _cost(schedule: Schedule, keep: Keep) -> tuple[float, float]:
    """Lateness with what is moved counted in, then what is in hand [-]."""
    return round(keep.cost(schedule), 6), round(schedule.finish, 6)


def crowded(spans: Sequence[tuple[int, int]], count: int) -> list[tuple[int, int, int]]:
    """Spans and how many places each takes; where more are taken than there are, all that there are.

    Args:
        spans: From and to, in places.
        count: How many there are [-].
    """
    real = sorted((a, b) for a, b in spans if b > a)
    cuts = sorted({at for span in real for at in span})
    pieces = [(a, b, sum(first <= a and b <= last for first, last in real)) for a, b in pairwise(cuts)]
    if all(taken <= count for _, _, taken in pieces):
        return [(a, b, 1) for a, b in real]
    return [(a, b, min(count, taken)) for a, b, taken in pieces if taken]


def _begun(axis: Axis, person: int, time: int, place: int, *, in_one_day: bool) -> tuple[int, int]:
    """First slot and slot after the last of work begun at or after a place."""
    slots = axis.grid.slots[person]
    at = bisect_left(slots, axis.open[place])
    if not time:
        return axis.open[place], axis.open[place]
    while in_one_day and slots[at] // axis.grid.per_day != slots[at + time - 1] // axis.grid.per_day:
        at += 1
    return slots[at], slots[at + time - 1] + 1


def _watched(solver: Any, model: Any, stopped: Callable[[], bool]) -> Any:
    """Solve, and end it when asked to."""
    over = threading.Event()

    def watch() -> None:
        while not over.wait(0.1):
            if stopped():
                solver.StopSearch()
                return

    watcher = threading.Thread(target=watch, daemon=True)
    watcher.start()
    try:
        return solver.Solve(model)
    finally:
        over.set()
        watcher.join()
