"""Variables of the exact model: begin, end and person of each operation freed, and what the wall clock makes of them.

Times are places on the crew's row of open slots, so a full-timer's work has a fixed length there; part-timers' nights,
cure and the promise's clock come in as pieces of functions that never fall.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from math import floor
from typing import Any

from plowwright.shop.crew_axis import Axis, Places, pieces
from plowwright.shop.crew_build import Schedule
from plowwright.shop.crew_grid import Grid, done_at


@dataclass(frozen=True, kw_only=True)
class Keep:
    """What stood before, and what it is worth to leave it.

    Attributes:
        was: Person and begin of operations before.
        near: Those of them whose begin is near.
        near_worth: What leaving one of these is worth, in weighted slots late [-].
        far_worth: The same for all others [-].
        most_late: Weighted slots late that may be reached to move less, None for no such limit [-].
        over: What each slot beyond that counts more [-].
    """

    was: Mapping[int, tuple[int | None, int]]
    near: frozenset[int] = frozenset()
    near_worth: float = 0.1
    far_worth: float = 0.1
    most_late: float | None = None
    over: float = 100.0

    def worth(self, at: int) -> float:
        """What leaving one operation is worth, in weighted slots late [-].

        Args:
            at: Which.
        """
        return self.near_worth if at in self.near else self.far_worth

    def moved(self, schedule: Schedule) -> tuple[int, int]:
        """How many near operations and how many others are not where they were.

        Args:
            schedule: A schedule.
        """
        left = {at for at, place in self.was.items() if (schedule.who[at], schedule.begins[at]) != place}
        near = len(left & self.near)
        return near, len(left) - near

    def cost(self, schedule: Schedule) -> float:
        """Weighted slots late with what is moved counted in [-].

        Args:
            schedule: A schedule.
        """
        near, far = self.moved(schedule)
        over = 0.0 if self.most_late is None else max(0.0, schedule.late - self.most_late)
        return schedule.late + self.near_worth * near + self.far_worth * far + self.over * over


@dataclass(frozen=True, kw_only=True)
class Wish:
    """What a model is asked for.

    Attributes:
        free: Operations that may change.
        least_finish: Whether jobs shall also be done early where it costs no promise.
        latest: Slot by which a job must be done, by job.
        keep: What shall rather stay where it is.
    """

    free: frozenset[int]
    least_finish: bool = True
    latest: Mapping[int, int] | None = None
    keep: Keep | None = None


class Variables:
    """The operations freed, as variables of one model."""

    def __init__(self, cp: Any, axis: Axis, base: Schedule, wish: Wish, *, bounded: bool) -> None:
        """Make them, each with the places it can take.

        Args:
            cp: The solver's module.
            axis: The row of open slots.
            base: Where everything else stays.
            wish: What is asked for.
            bounded: Whether only schedules at least as good as the base are of interest.
        """
        self.axis = axis
        self.grid: Grid = axis.lean
        self.base = base
        self.wish = wish
        self.model = cp.CpModel()
        self.possible = True
        self.start: dict[int, Any] = {}
        self.end: dict[int, Any] = {}
        self.span: dict[int, tuple[int, int]] = {}
        self.end_span: dict[int, tuple[int, int]] = {}
        self.chosen: dict[int, dict[int, Any]] = {}
        self.rows: defaultdict[int, list[Any]] = defaultdict(list)
        self.taken: defaultdict[int, list[tuple[Any, int]]] = defaultdict(list)
        self.from_on: dict[tuple[int, int], Any] = {}
        self.touched = self._touched()
        self.latest = self._latest(bounded=bounded)
        for at in self.grid.order:
            if at in wish.free and self.possible:
                self._operation(at)

    def _touched(self) -> list[int]:
        """Jobs that may be done at another moment than in the base."""
        own = {self.grid.ops[at].job for at in self.wish.free}
        own |= {n for n, t in enumerate(self.grid.tasks) if any(at in self.wish.free for at, _ in t.ready)}
        return sorted(own)

    def _latest(self, *, bounded: bool) -> dict[int, int]:
        """The last slot by which each job touched can be done in a schedule that is of interest."""
        out = dict(self.wish.latest or {})
        if not bounded:
            return out
        late = sum(
            self.grid.tasks[n].weight * max(0, done_at(self.grid.tasks[n], self.base.ends) - due)
            for n in self.touched
            if (due := self.grid.tasks[n].due) is not None
        )
        if self.wish.keep is not None:
            # What is saved in moves, or left below the limit, may be spent on lateness.
            room = 0.0 if self.wish.keep.most_late is None else max(0.0, self.wish.keep.most_late - self.base.late)
            late += max(room, self.wish.keep.cost(self.base) - self.base.late)
        for number in self.touched:
            task = self.grid.tasks[number]
            if task.due is not None and task.weight > 0:
                out[number] = min(out.get(number, self.grid.horizon), task.due + floor(late / task.weight + 1e-9))
        return out

    def _window(self, at: int) -> tuple[int, int]:
        grid, op = self.grid, self.grid.ops[at]
        first = op.earliest
        low = 0
        for other, lag in op.before:
            if other in self.wish.free:
                low = max(low, self.end_span[other][0])
                if lag:
                    first = max(first, int(self.axis.clock_after(lag)[self.end_span[other][0]]))
            else:
                first = max(first, self.base.ends[other] + lag)
        low = max(low, self.axis.place(first))
        last = min(self.latest.get(op.job, grid.horizon) - grid.own_tail[at], grid.horizon)
        for later in grid.followers[at]:
            if later not in self.wish.free:
                wait = max(w for o, w in grid.ops[later].before if o == at)
                last = min(last, self.base.begins[later] - wait - op.time)
        return low, min(self.axis.place(last + 1) - 1, self.axis.size - 1)

    def _operation(self, at: int) -> None:
        op = self.grid.ops[at]
        low, high = self._window(at)
        if high < low:
            self.possible = False
            return
        ends: dict[int, Places] = {}
        if op.people:
            for person in op.people:
                values = self.axis.finished(person, op.time, in_one_day=op.in_one_day)
                if values[low] <= self.axis.size:
                    ends[person] = values
            if not ends:
                self.possible = False
                return
        else:
            ends[-1] = self.axis.places(self.axis.clock_from(op.time))
        self.span[at] = low, high
        self.start[at] = start = self.model.NewIntVar(low, high, "")
        plain = self._plain(ends, low, high)
        if plain is not None:
            self.end[at] = start + plain
            self.end_span[at] = low + plain, high + plain
        else:
            first = min(int(v[low]) for v in ends.values())
            last = max(int(v[high]) for v in ends.values())
            last = max(first, min(last, self.axis.size + (0 if op.people else 1)))
            self.end[at] = self.model.NewIntVar(first, last, "")
            self.end_span[at] = first, last
        self._people(at, ends, plain)

    @staticmethod
    def _plain(ends: Mapping[int, Places], low: int, high: int) -> int | None:
        """The length where it is the same for everybody and everywhere."""
        lengths: set[int] = set()
        for values in ends.values():
            over = values[low : high + 1] - range(low, high + 1)
            lengths |= {int(over.min()), int(over.max())}
            if len(lengths) > 1:
                return None
        return lengths.pop()

    def _people(self, at: int, ends: Mapping[int, Places], plain: int | None) -> None:
        op = self.grid.ops[at]
        low, high = self.span[at]
        start, end = self.start[at], self.end[at]
        alone = len(ends) == 1
        size = plain if plain is not None else self.model.NewIntVar(0, self.end_span[at][1] - low, "")
        if plain is None:
            self.model.Add(start + size == end)
        self.chosen[at] = {}
        for person, values in ends.items():
            there = None if alone else self.model.NewBoolVar("")
            if op.people:
                self.chosen[at][person] = there
            if plain is None:
                self.at_least(end, at, values, low, high, there, on_end=False)
            if not op.people or not op.time:
                continue
            if there is None:
                self.rows[person].append(self.model.NewIntervalVar(start, size, end, ""))
            else:
                self.rows[person].append(self.model.NewOptionalIntervalVar(start, size, end, there, ""))
        if not alone:
            self.model.AddExactlyOne(self.chosen[at].values())
        if op.stations and (op.time or op.keeps):
            self._station(at, size)

    def _station(self, at: int, size: Any) -> None:
        op = self.grid.ops[at]
        if op.keeps:
            low, high = self.end_span[at]
            values = self._after(at, op.keeps)
            top = min(int(values[min(high, len(values) - 1)]), self.axis.size + 1)
            end = self.model.NewIntVar(low, max(low, top), "")
            size = self.model.NewIntVar(0, self.axis.size + 1, "")
            self.model.Add(self.start[at] + size == end)
            self.follow(end, at, op.keeps)
        else:
            end = self.end[at]
        interval = self.model.NewIntervalVar(self.start[at], size, end, "")
        for kind in op.stations:
            self.taken[kind].append((interval, 1))

    def _after(self, at: int, wait: int) -> Places:
        clock = self.axis.clock_after(wait) if self.grid.ops[at].people else self.axis.clock_from(
            self.grid.ops[at].time + wait)  # fmt: skip
        return self.axis.places(clock)

    def follow(self, later: Any, at: int, wait: int) -> None:
        """`later` is a place at or after the end of an operation and a wait.

        Args:
            later: A place.
            at: The operation.
            wait: Slots of wall time.
        """
        if not wait:
            self.model.Add(later >= self.end[at])
            return
        people = bool(self.grid.ops[at].people)
        low, high = self.end_span[at] if people else self.span[at]
        self.at_least(later, at, self._after(at, wait), low, high, None, on_end=people)

    def at_least(self, later: Any, at: int, values: Places, low: int, high: int, if_so: Any, *, on_end: bool) -> None:
        """`later` is at least f of an operation's begin, or of its end.

        Args:
            later: A place or a time.
            at: The operation.
            values: f by place.
            low: Least place.
            high: Greatest place.
            if_so: Only where this holds, None for always.
            on_end: Whether f is of the end.
        """
        x = self.end[at] if on_end else self.start[at]
        given = [] if if_so is None else [if_so]
        for piece in pieces(values, low, high):
            when = list(given)
            if piece.first > low:
                when.append(self._from(at, x, piece.first, on_end=on_end))
            if piece.last is not None and piece.last < high:
                when.append(self._from(at, x, piece.last + 1, on_end=on_end).Not())
            rule = self.model.Add(later >= (x + piece.value if piece.follows else piece.value))
            if when:
                rule.OnlyEnforceIf(when)

    def _from(self, at: int, x: Any, place: int, *, on_end: bool) -> Any:
        """Whether an operation begins (ends) at or after a place."""
        key = (2 * at + on_end, place)
        if key not in self.from_on:
            self.from_on[key] = flag = self.model.NewBoolVar("")
            self.model.Add(x >= place).OnlyEnforceIf(flag)
            self.model.Add(x < place).OnlyEnforceIf(flag.Not())
        return self.from_on[key]

    def by(self, at: int, wait: int, slot: int) -> None:
        """An operation and a wait after it are over by a slot of the wall clock.

        Args:
            at: The operation.
            wait: Slots of wall time.
            slot: Of the wall clock.
        """
        if self.grid.ops[at].people:
            place = self.axis.place(slot - wait)
            # Work may end with the last open slot before that moment.
            self.model.Add(self.end[at] <= place)
        else:
            self.model.Add(self.start[at] <= self.axis.place(slot - wait - self.grid.ops[at].time + 1) - 1)
