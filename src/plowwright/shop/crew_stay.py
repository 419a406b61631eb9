"""An earlier plan placed again on a changed shop: what still goes stays where it was, the rest goes as soon as it can.

Operations are taken in the order of the earlier plan; one whose person is away, whose part is late or whose paint still
cures is placed anew, and what it runs into moves on. New jobs come last, into the gaps, or first.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Collection, Mapping, Sequence
from datetime import timedelta

from plowwright.shop.crew_build import Board, Schedule, gap, measured, take
from plowwright.shop.crew_grid import Grid, Night, done_at, in_a_day
from plowwright.shop.crew_model import Crew
from plowwright.shop.crew_plan import CrewPlan

Places = Mapping[int, tuple[int | None, int]]


def places(grid: Grid, before: CrewPlan) -> dict[int, tuple[int | None, int]]:
    """Person and begin of each operation of this problem in an earlier plan.

    Args:
        grid: The problem.
        before: The earlier plan.
    """
    people = {name: at for at, name in enumerate(grid.people)}
    was = {(a.job, a.operation): a for a in before.assignments}
    out: dict[int, tuple[int | None, int]] = {}
    for at in grid.free:
        one = was.get(grid.names[at])
        if one is not None and (not one.person or one.person in people):
            out[at] = people[one.person] if one.person else None, grid.slot_of(one.begin)
    return out


def nights_of(before: CrewPlan, crew: Crew, grid: Grid) -> frozenset[Night]:
    """The evenings of an earlier plan; a day below 0 is over.

    Args:
        before: The earlier plan.
        crew: The people.
        grid: The problem, for its first day.
    """
    people = {p.name: at for at, p in enumerate(crew.people)}
    first = grid.midnight.date()
    return frozenset((people[who], (day - first) // timedelta(days=1)) for who, day in before.nights if who in people)


class _Sticky(Board):
    def __init__(self, grid: Grid, was: Places) -> None:
        super().__init__(grid)
        self.was = was

    def put(self, at: int) -> bool:
        """Where it was if that still goes, otherwise as soon as it can."""
        for other, _ in self.grid.ops[at].before:
            if not self.placed[other] and not self.put(other):
                return False
        if self.placed[at]:
            return True
        number = self.grid.ops[at].job
        task = self.grid.tasks[number]
        if task.holds_from == at or number in self.kept:
            return self._whole_job(number) or super().put(at)
        return self._stays(at) or super().put(at)

    def give_up(self, jobs: Collection[int]) -> None:
        """These jobs have no claim on where they were.

        Args:
            jobs: Which.
        """
        self.was = {at: place for at, place in self.was.items() if self.grid.ops[at].job not in jobs}

    def keep(self, at: int) -> bool:
        """Where it was if that still goes; otherwise it is left for later."""
        if self.placed[at]:
            return True
        if not all(self.placed[other] for other, _ in self.grid.ops[at].before):
            return False
        number = self.grid.ops[at].job
        if self.grid.tasks[number].holds_from == at or number in self.kept:
            return self._whole_job(number)
        return self._stays(at)

    def put_one(self, at: int, earliest: int) -> bool:
        """Where it was if that still goes, though the rest of its job has moved; otherwise as soon as it can.

        Args:
            at: Which; all it waits for is placed.
            earliest: Not before this slot.
        """
        if at in self.was and self.was[at][1] >= earliest and self._stays(at):
            return True
        return super().put_one(at, earliest)

    def _whole_job(self, number: int) -> bool:
        """Keep a job and its stand where they were, all or nothing."""
        task = self.grid.tasks[number]
        assert task.holds is not None and task.holds_from is not None
        rest = [at for at in self.grid.order if self.grid.ops[at].job == number and not self.placed[at]]
        self.log = []
        put: list[int] = []
        for at in rest:
            ready = all(self.placed[other] for other, _ in self.grid.ops[at].before)
            if not ready or not self._stays(at):
                self._undo(put)
                return False
            put.append(at)
        begin = self.begins[task.holds_from]
        end = done_at(task, self.ends)
        if number in self.kept:
            kind, which = self.kept.pop(number)
            unit = self.taken[kind][which]
            unit[1][unit[0].index(begin)] = max(begin + 1, end)
            return True
        for unit in self.taken[task.holds]:
            if gap(unit, begin, end - begin) == begin:
                take(unit, begin, end)
                self.log = []
                return True
        self._undo(put)
        return False

    def _stays(self, at: int) -> bool:
        if at not in self.was:
            return False
        op, (person, begin) = self.grid.ops[at], self.was[at]
        ready = max([op.earliest, *(self.ends[other] + lag for other, lag in op.before)])
        if begin < ready or (person is None) != (not op.people) or (person is not None and person not in op.people):
            return False
        end, place = begin + op.time, 0
        if person is not None and op.time:
            slots, block = self.grid.slots[person], self.busy[person]
            place = bisect_left(slots, begin)
            if place + op.time > len(slots) or slots[place] != begin or gap(block, place, op.time) != place:
                return False
            if op.in_one_day and not in_a_day(self.grid, slots, place, op.time):
                return False
            end = slots[place + op.time - 1] + 1
        length = end + op.keeps - begin
        if any(min(gap(u, begin, length) for u in self.taken[kind]) != begin for kind in op.stations):
            return False
        if person is not None and op.time:
            take(self.busy[person], place, place + op.time)
            self.log.append((self.busy[person], place))
        for kind in op.stations:
            self._occupy(kind, begin, begin + length)
        self.who[at], self.begins[at], self.ends[at], self.placed[at] = person, begin, end, True
        return True


def stay(
    grid: Grid,
    was: Places,
    *,
    first: Sequence[int] = (),
    gently: bool = False,
    giving_way: Sequence[int] = (),
) -> Schedule | None:
    """The earlier plan on this problem, as little changed as can be in one go.

    Gently, all that still goes is kept before anything else is placed, so what does not go falls into the gaps.
    Otherwise it is placed in its turn and pushes what comes after it.

    Args:
        grid: The problem.
        was: Person and begin of operations in the earlier plan.
        first: Jobs that are placed before all others.
        gently: Whether what does not go waits until all that goes is placed.
        giving_way: Jobs that leave their places and are placed last; the new ones then come before them.
    """
    board = _Sticky(grid, was)
    free = set(grid.free)
    way = set(giving_way)
    rank = {at: n for n, at in enumerate(grid.order)}
    own = {job: [at for at in grid.order if at in free and grid.ops[at].job == job] for job in {*first, *way}}
    ahead = [at for number in first for at in own[number]]
    known = sorted((at for at in free if at in was and grid.ops[at].job not in way), key=lambda a: (was[a][1], rank[a]))
    new = [at for at in grid.order if at in free and at not in was]
    if gently:
        if not all(board.placed[at] or board.put(at) for at in ahead):
            return None
        for at in known:
            board.keep(at)
    board.give_up(way)
    last = [at for number in giving_way for at in own[number]]
    for at in [*ahead, *(new if way else ()), *known, *new, *last]:
        if not board.placed[at] and not board.put(at):
            return None
    return measured(grid, board.who, board.begins, board.ends)


def drawn_in(grid: Grid, schedule: Schedule, was: Places) -> Schedule | None:
    """The same order and the same people, everything as soon as it can; but what is where it was stays there.

    Args:
        grid: The problem.
        schedule: The schedule.
        was: Person and begin of operations in the earlier plan.
    """
    board = _Sticky(grid, {at: place for at, place in was.items()
                           if (schedule.who[at], schedule.begins[at]) == place})  # fmt: skip
    board.chosen = {at: person for at in grid.free if (person := schedule.who[at]) is not None}
    order = sorted(grid.free, key=lambda at: (schedule.begins[at], schedule.ends[at]))
    for at in order:
        if at in board.was:
            board.keep(at)
    if not all(board.placed[at] or board.put(at) for at in order):
        return None
    return measured(grid, board.who, board.begins, board.ends)
