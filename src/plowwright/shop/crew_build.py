"""Serial schedule building: operations are placed one by one, each as early as people, stations and waits allow.

A person's day is a row of his own slots, so work that runs over a night is one block on that row. Gaps left earlier are
filled. A job that keeps a stand is placed whole from the operation that takes the stand, because only then is known
until when it is kept.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf

from plowwright.shop.crew_grid import Grid, done_at, in_a_day, lateness

Block = tuple[list[int], list[int]]
"""Begins and ends of what is taken, in order, never overlapping."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """Who does what when, in slots.

    Attributes:
        who: Person at each operation, None for a wait.
        begins: First slot of each.
        ends: Slot after the last of each.
        late: Weighted slots late [-].
        overtime: Slots of overtime worked [-].
        finish: Weighted slots until the jobs are done, a measure of what is in hand [-].
    """

    who: tuple[int | None, ...]
    begins: tuple[int, ...]
    ends: tuple[int, ...]
    late: float
    overtime: int
    finish: float

    @property
    def levels(self) -> tuple[float, float, float]:
        """What plans are held against each other by, the first first [-]."""
        return round(self.late, 6), self.overtime, round(self.finish, 6)


def measured(grid: Grid, who: Sequence[int | None], begins: Sequence[int], ends: Sequence[int]) -> Schedule:
    """A schedule with its levels.

    Args:
        grid: The problem.
        who: Person at each operation.
        begins: First slot of each.
        ends: Slot after the last.
    """
    late = finish = 0.0
    for task in grid.tasks:
        late += task.weight * lateness(grid, task, ends)
        finish += task.weight * max(0, done_at(task, ends) - grid.now)
    overtime = 0
    if any(grid.nights):
        for at in grid.free:
            person = who[at]
            if person is not None and (nights := grid.nights[person]):
                overtime += sum(begins[at] <= slot < ends[at] for slot in nights)
    return Schedule(who=tuple(who), begins=tuple(begins), ends=tuple(ends), late=late, overtime=overtime, finish=finish)


def gap(block: Block, begin: int, length: int) -> int:
    """The first place from `begin` on with so much room.

    Args:
        block: What is taken.
        begin: From where.
        length: How much.
    """
    begins, ends = block
    at = bisect_right(ends, begin)
    while at < len(begins) and begins[at] < begin + length:
        begin = ends[at]
        at += 1
    return begin


def take(block: Block, begin: int, end: int) -> None:
    """Mark as taken what was found free.

    Args:
        block: What is taken.
        begin: From.
        end: To.
    """
    at = bisect_left(block[0], begin)
    block[0].insert(at, begin)
    block[1].insert(at, end)


class Board:
    """A schedule being built."""

    def __init__(self, grid: Grid, who: Mapping[int, int] | None = None) -> None:
        """Start from what is fixed.

        Args:
            grid: The problem.
            who: People already chosen for operations.
        """
        self.grid = grid
        self.chosen = who or {}
        self.busy: list[Block] = [([], []) for _ in grid.people]
        self.taken: list[list[Block]] = [[([], []) for _ in range(count)] for count in grid.counts]
        self.who: list[int | None] = [None] * len(grid.ops)
        self.begins: list[int] = [0] * len(grid.ops)
        self.ends: list[int] = [0] * len(grid.ops)
        self.placed = [False] * len(grid.ops)
        self.kept: dict[int, tuple[int, int]] = {}
        self.log: list[tuple[Block, int]] = []
        for at in sorted(self._settled(), key=lambda at: (self.begins[at], at)):
            self._fixed(at)
        held = [n for n, t in enumerate(grid.tasks) if t.holds_from is not None and self.placed[t.holds_from]]
        for number in sorted(held, key=lambda n: (self.begins[grid.tasks[n].holds_from or 0], n)):
            self._keep_open(number)

    def _settled(self) -> list[int]:
        """Operations that cannot be changed, put where they are."""
        out = [at for at, op in enumerate(self.grid.ops) if op.fixed is not None]
        for at in out:
            fixed = self.grid.ops[at].fixed
            assert fixed is not None
            self.who[at], self.begins[at], self.ends[at] = fixed
            self.placed[at] = True
        return out

    def _fixed(self, at: int) -> None:
        """Take person and stations; of two things under way at once, the second counts from the end of the first."""
        op, person, begin, end = self.grid.ops[at], self.who[at], self.begins[at], self.ends[at]
        if person is not None and end > self.grid.now:
            slots, block = self.grid.slots[person], self.busy[person]
            first, last = bisect_left(slots, begin), bisect_left(slots, end)
            if block[1]:
                first = max(first, block[1][-1])
            if last > first:
                take(block, first, last)
        if end + op.keeps > self.grid.now:
            for kind in op.stations:
                if not self._occupy(kind, begin, end + op.keeps):
                    self._crowd(kind, end + op.keeps)

    def _crowd(self, kind: int, end: int) -> None:
        """More is under way than there is room for: the place that is free first stays taken longer."""
        unit = min(self.taken[kind], key=lambda u: u[1][-1])
        if end > unit[1][-1]:
            take(unit, unit[1][-1], end)

    def _keep_open(self, number: int) -> None:
        """A stand that was taken before now stays taken until its job is placed."""
        task = self.grid.tasks[number]
        assert task.holds is not None and task.holds_from is not None
        begin = self.begins[task.holds_from]
        if all(self.placed[at] for at in task.ops):
            self._occupy(task.holds, begin, done_at(task, self.ends))
            return
        for at, unit in enumerate(self.taken[task.holds]):
            if gap(unit, begin, self.grid.horizon) == begin:
                take(unit, begin, 2 * self.grid.horizon)
                self.kept[number] = task.holds, at
                return

    def _occupy(self, kind: int, begin: int, end: int) -> bool:
        if end <= begin:
            return True
        for unit in self.taken[kind]:
            if gap(unit, begin, end - begin) == begin:
                take(unit, begin, end)
                self.log.append((unit, begin))
                return True
        return False

    def copy(self) -> Board:
        """Another board with the same placed on it."""
        other = object.__new__(Board)
        other.grid, other.chosen = self.grid, self.chosen
        other.busy = [(b[:], e[:]) for b, e in self.busy]
        other.taken = [[(b[:], e[:]) for b, e in units] for units in self.taken]
        other.who, other.begins, other.ends = self.who[:], self.begins[:], self.ends[:]
        other.placed, other.kept, other.log = self.placed[:], dict(self.kept), []
        return other

    def fill(self, order: Sequence[int]) -> Schedule | None:
        """Place all operations; None where the calendar is too short.

        Args:
            order: Which first.
        """
        for at in order:
            if not self.placed[at] and not self.put(at):
                return None
        return measured(self.grid, self.who, self.begins, self.ends)

    def put(self, at: int) -> bool:
        """Place one operation, what it waits for before it.

        Args:
            at: Which.
        """
        for other, _ in self.grid.ops[at].before:
            if not self.placed[other] and not self.put(other):
                return False
        if self.placed[at]:
            return True
        number = self.grid.ops[at].job
        task = self.grid.tasks[number]
        if task.holds_from == at:
            return self._put_and_keep(number)
        if number in self.kept:
            return self._put_kept(number)
        return self.put_one(at, 0)

    def _put_kept(self, number: int) -> bool:
        """Place the rest of a job that has its stand already, and say until when it keeps it."""
        kind, which = self.kept.pop(number)
        unit = self.taken[kind][which]
        task = self.grid.tasks[number]
        for at in self.grid.order:
            if self.grid.ops[at].job == number and not self.placed[at] and not self.put(at):
                return False
        begin = self.begins[task.holds_from] if task.holds_from is not None else 0
        place = unit[0].index(begin)
        unit[1][place] = max(begin + 1, done_at(task, self.ends))
        return True

    def _put_and_keep(self, number: int) -> bool:
        task = self.grid.tasks[number]
        first, kind = task.holds_from, task.holds
        assert first is not None and kind is not None
        rest = [at for at in self.grid.order if self.grid.ops[at].job == number and not self.placed[at] and at != first]
        for at in rest:
            for other, _ in self.grid.ops[at].before:
                if self.grid.ops[other].job != number and not self.placed[other] and not self.put(other):
                    return False
        earliest = 0
        while True:
            self.log = []
            if not self.put_one(first, earliest) or not all(self.put_one(at, 0) for at in rest):
                return False
            begin, length = self.begins[first], done_at(task, self.ends) - self.begins[first]
            soonest = min(gap(unit, begin, length) for unit in self.taken[kind])
            if soonest == begin:
                self._occupy(kind, begin, begin + length)
                return True
            self._undo([first, *rest])
            if soonest >= self.grid.horizon:
                # Every stand waits for a job that is not placed yet: place the first of those.
                if not self.kept or not self._put_kept(min(self.kept)):
                    return False
                soonest = 0
            earliest = soonest

    def _undo(self, ops: Sequence[int]) -> None:
        for block, begin in reversed(self.log):
            at = bisect_left(block[0], begin)
            del block[0][at], block[1][at]
        self.log = []
        for at in ops:
            self.placed[at] = False

    def put_one(self, at: int, earliest: int) -> bool:
        """Place one operation as early as it goes, by whoever is done with it first.

        Args:
            at: Which; all it waits for is placed.
            earliest: Not before this slot.
        """
        op = self.grid.ops[at]
        begin = max(earliest, op.earliest)
        for other, lag in op.before:
            end = self.ends[other] + lag
            begin = max(begin, end)
        best: tuple[int, int, int | None, int] | None = None
        if not op.people:
            begin = self._free_from(op.stations, begin, op.time + op.keeps)
            best = (begin + op.time, begin, None, 0)
        else:
            for person in (self.chosen[at],) if at in self.chosen else op.people:
                found = self._with(person, at, begin)
                if found is not None and (best is None or found[0] < best[0]):
                    best = (found[0], found[1], person, found[2])
        if best is None:
            return False
        end, begin, person, place = best
        if person is not None and op.time:
            take(self.busy[person], place, place + op.time)
            self.log.append((self.busy[person], place))
        for kind in op.stations:
            self._occupy(kind, begin, end + op.keeps)
        self.who[at], self.begins[at], self.ends[at], self.placed[at] = person, begin, end, True
        return True

    def _free_from(self, kinds: Sequence[int], begin: int, length: int) -> int:
        while True:
            latest = begin
            for kind in kinds:
                latest = max(latest, min(gap(unit, begin, length) for unit in self.taken[kind]))
            if latest == begin:
                return begin
            begin = latest

    def _with(self, person: int, at: int, begin: int) -> tuple[int, int, int] | None:
        """End, begin and place on a person's own row."""
        op, slots, block = self.grid.ops[at], self.grid.slots[person], self.busy[person]
        time = op.time
        place = bisect_left(slots, begin)
        if not time:
            return begin, begin, place
        while True:
            place = gap(block, place, time)
            if place + time > len(slots):
                return None
            start, end = slots[place], slots[place + time - 1] + 1
            if op.in_one_day and not in_a_day(self.grid, slots, place, time):
                place += 1
                continue
            if not op.stations:
                return end, start, place
            free = start
            for kind in op.stations:
                soonest = inf
                for unit in self.taken[kind]:
                    soonest = min(soonest, gap(unit, start, end + op.keeps - start))
                free = max(free, int(soonest))
            if free == start:
                return end, start, place
            place = bisect_left(slots, free)


def built(grid: Grid, order: Sequence[int], who: Mapping[int, int] | None = None) -> Schedule | None:
    """The schedule of one order of operations; None where the calendar is too short for it.

    Args:
        grid: The problem.
        order: Which operation is placed first, which next.
        who: People already chosen for operations.
    """
    return Board(grid, who).fill(order)
