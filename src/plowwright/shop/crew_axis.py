"""The crew's open time as one row without nights, and what the wall clock does to it as functions for the exact model.

Place 0 is the first slot in which anybody works. A function of a place never falls, so "not before f(x)" splits into
pieces: from some place on at least a value, or between two places at least so much after x.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from plowwright.shop.crew_grid import Grid
from plowwright.shop.crew_waits import needs_nights, without_waits

Places = NDArray[np.int64]


@dataclass(frozen=True, kw_only=True)
class Piece:
    """One piece of "y is at least f(x)".

    Attributes:
        first: From this place of x on.
        last: Up to this one, None where it holds for all later ones.
        value: At least this, or so much more than x.
        follows: Whether the value is added to x.
    """

    first: int
    last: int | None
    value: int
    follows: bool


@dataclass(frozen=True, kw_only=True, eq=False)
class Axis:
    """The row of open slots.

    Attributes:
        grid: The problem.
        open: The slots, in order.
    """

    grid: Grid
    open: list[int]

    @cached_property
    def lean(self) -> Grid:
        """The problem of the exact model, without mere waits."""
        return without_waits(self.grid)

    @cached_property
    def slots(self) -> Places:
        """The open slots as an array."""
        return np.asarray(self.open, dtype=np.int64)

    @property
    def size(self) -> int:
        """How many places there are."""
        return len(self.open)

    def place(self, slot: int) -> int:
        """The first place at or after a slot of the wall clock.

        Args:
            slot: Of the wall clock.
        """
        return bisect_left(self.open, slot)

    def finished(self, person: int, time: int, *, in_one_day: bool) -> Places:
        """Place after the end of work begun at each place; one past the row's end where it does not fit.

        Args:
            person: Who works.
            time: Slots of work.
            in_one_day: Whether it may not run over a night.
        """
        own = np.searchsorted(self.slots, np.asarray(self.grid.slots[person], dtype=np.int64))
        own = own[own < self.size]
        beyond = self.size + 1
        if len(own) < time or time == 0:
            return np.arange(self.size + 1) if time == 0 else np.full(self.size + 1, beyond)
        ends = own[time - 1 :] + 1
        if in_one_day:
            days = self.slots[own] // self.grid.per_day
            ends = np.where(days[: len(ends)] == days[time - 1 :], ends, beyond)
            ends = np.minimum.accumulate(ends[::-1])[::-1]
        ends = np.append(ends, beyond)
        nearest = np.minimum(np.searchsorted(own, np.arange(self.size + 1)), len(ends) - 1)
        return ends[nearest]

    def clock_after(self, wait: int) -> Places:
        """Wall slot at which work that ends before each place is over, and a wait after it.

        Args:
            wait: Slots of wall time.
        """
        ends = np.empty(self.size + 2, dtype=np.int64)
        ends[0] = self.grid.now
        ends[1 : self.size + 1] = self.slots + 1
        ends[-1] = self.grid.horizon + 1
        return ends + wait

    def clock_from(self, wait: int) -> Places:
        """Wall slot at which a wait begun at each place is over.

        Args:
            wait: Slots of wall time.
        """
        return np.append(self.slots, [self.grid.horizon, self.grid.horizon + 1]) + wait

    def places(self, clock: Places) -> Places:
        """First places at or after slots of the wall clock.

        Args:
            clock: Slots.
        """
        return np.asarray(np.searchsorted(self.slots, clock), dtype=np.int64)


def axis(grid: Grid) -> Axis:
    """The row of all slots in which somebody works; of all slots where a station is taken by what nobody stands at.

    Args:
        grid: The problem.
    """
    if needs_nights(grid) or not any(grid.slots):
        return Axis(grid=grid, open=list(range(grid.now, grid.horizon)))
    return Axis(grid=grid, open=sorted({slot for row in grid.slots for slot in row}))


def pieces(values: Places, low: int, high: int) -> list[Piece]:
    """Split "y is at least f(x)" for x from low to high.

    Args:
        values: f by place; it never falls.
        low: Least x.
        high: Greatest x.
    """
    part = values[low : high + 1]
    over = part - np.arange(low, high + 1)
    least = int(over.min())
    later = np.minimum.accumulate(over[::-1])[::-1]
    out = [Piece(first=low, last=None, value=least, follows=True)]
    steps = np.diff(part)
    at, end = 0, len(part) - 1
    while at <= end:
        run = int(steps[at]) if at < end and int(steps[at]) in (0, 1) else None
        stop = at
        while run is not None and stop < end and int(steps[stop]) == run:
            stop += 1
        first, value = at + low, int(part[at])
        if run == 1:
            if int(over[at]) > least:
                last = None if int(later[at]) >= int(over[at]) else stop + low
                out.append(Piece(first=first, last=last, value=int(over[at]), follows=True))
        elif value > first + least:
            out.append(Piece(first=first, last=None, value=value, follows=False))
        at = stop + 1
    return out
