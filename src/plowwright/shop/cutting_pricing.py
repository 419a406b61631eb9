"""The knapsack behind the patterns: the most that can be had for every exact used length, in one table for all sticks.

Counts are split into powers of two, so each step is one shifted comparison over the whole table. Like mitres run
through three tables at once: no piece mitred at one end so far, an odd number, or an even number above zero.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plowwright.shop.cutting_grid import Floats, Pattern, Problem

_EPS = 1e-9
_CODES = NDArray[np.int8]


@dataclass(frozen=True, kw_only=True)
class _Step:
    # One batch of alike pieces: kind, how many, and for each used length whether (and from which table) it was taken.
    kind: int
    count: int
    taken: list[_CODES]


@dataclass(frozen=True, kw_only=True)
class _Merge:
    # End of a chain of like mitres: for each used length which table it came from (-1: the chain is not on the stick).
    chosen: _CODES
    overhang: int
    steps: list[_Step]


@dataclass(frozen=True, kw_only=True)
class Table:
    """Most value for every exact used length.

    Attributes:
        best: Value by used length, minus infinity where no pattern has it [money].
        problem: The problem.
        plain: Steps of the pieces that share no cut.
        merges: Steps of each chain of like mitres.
        sizes: Lengths with kerf [grid].
    """

    best: Floats
    problem: Problem
    plain: list[_Step]
    merges: list[_Merge]
    sizes: NDArray[np.int64]

    def pattern(self, used: int) -> Pattern:
        """The pattern behind a used length.

        Args:
            used: Used length [grid].
        """
        counts: dict[int, int] = {}
        at = used
        for merge in reversed(self.merges):
            state = int(merge.chosen[at])
            if state < 0:
                continue
            at -= (2, 1, 0)[state] * merge.overhang
            for step in reversed(merge.steps):
                before = int(step.taken[state][at])
                if before >= 0:
                    counts[step.kind] = counts.get(step.kind, 0) + step.count
                    at -= step.count * int(self.sizes[step.kind])
                    state = before
        for step in reversed(self.plain):
            if step.taken[0][at]:
                counts[step.kind] = counts.get(step.kind, 0) + step.count
                at -= step.count * int(self.sizes[step.kind])
        return tuple(sorted(counts.items()))


def batches(most: int) -> tuple[int, ...]:
    """Counts that add up to any number from 0 to the most, as few as can be.

    Args:
        most: Greatest number [-].

    >>> batches(6)
    (1, 2, 3)
    """
    out: list[int] = []
    size = 1
    while most > 0:
        take = min(size, most)
        out.append(take)
        most -= take
        size *= 2
    return tuple(out)


def fill(problem: Problem, values: Floats, demand: NDArray[np.int64], capacity: int) -> Table:
    """Work the table out.

    Args:
        problem: The problem.
        values: Worth of one piece of each kind [money].
        demand: How many of each kind are still wanted [-].
        capacity: Longest used length of interest [grid].
    """
    sizes = problem.sizes
    best = np.full(capacity + 1, -np.inf)
    best[0] = 0.0
    plain: list[_Step] = []
    chains: list[list[int]] = [[] for _ in problem.overhangs]
    worth = values > _EPS
    reach = 0
    for kind in np.nonzero(worth & (demand > 0) & (sizes <= capacity))[0]:
        k = int(kind)
        if problem.kinds[k].mitre >= 0:
            chains[problem.kinds[k].mitre].append(k)
            continue
        size, value = int(sizes[k]), float(values[k])
        for count in batches(min(int(demand[k]), capacity // size)):
            shift = size * count
            if shift > capacity:
                break
            # Beyond the sum of all pieces so far nothing can be reached.
            reach = min(capacity, reach + shift)
            trial = best[: reach + 1 - shift] + value * count
            target = best[shift : reach + 1]
            taken = np.zeros(capacity + 1, dtype=np.int8)
            better = np.greater(trial, target, out=taken[shift : reach + 1].view(np.bool_))
            np.copyto(target, trial, where=better)
            plain.append(_Step(kind=k, count=count, taken=[taken]))
    merges: list[_Merge] = []
    for chain, kinds in enumerate(chains):
        if kinds:
            best, merge = _chain(problem, values, demand, best, kinds, problem.overhangs[chain])
            merges.append(merge)
    return Table(best=best, problem=problem, plain=plain, merges=merges, sizes=sizes)


def _chain(
    problem: Problem, values: Floats, demand: NDArray[np.int64], base: Floats, kinds: Sequence[int], overhang: int
) -> tuple[Floats, _Merge]:
    capacity = len(base) - 1
    none = np.full_like(base, -np.inf)
    tables = [base.copy(), none.copy(), none.copy()]
    steps: list[_Step] = []
    for kind in kinds:
        size, value = int(problem.sizes[kind]), float(values[kind])
        for count in batches(min(int(demand[kind]), capacity // size)):
            shift = size * count
            if shift > capacity:
                break
            sources = _sources(count, singles=problem.kinds[kind].singles)
            old = [t.copy() for t in tables]
            taken = [np.full(capacity + 1, -1, dtype=np.int8) for _ in tables]
            for to, source in sources:
                trial = old[source][:-shift] + value * count
                better = trial > tables[to][shift:] + _EPS
                tables[to][shift:][better] = trial[better]
                taken[to][shift:][better] = source
            steps.append(_Step(kind=kind, count=count, taken=taken))
    out = base.copy()
    chosen = np.full(capacity + 1, -1, dtype=np.int8)
    for state, free in enumerate((2, 1, 0)):
        out_by = free * overhang
        trial = tables[state][: capacity + 1 - out_by]
        better = trial > out[out_by:] + _EPS
        out[out_by:][better] = trial[better]
        chosen[out_by:][better] = state
    return out, _Merge(chosen=chosen, overhang=overhang, steps=steps)


def _sources(count: int, *, singles: bool) -> tuple[tuple[int, int], ...]:
    """Which table feeds which when so many pieces are added: none, odd, even above zero."""
    if not singles:
        return ((0, 0), (1, 1), (2, 2))
    if count % 2:
        return ((1, 0), (1, 2), (2, 1))
    return ((1, 1), (2, 2), (2, 0))


@dataclass(frozen=True, kw_only=True)
class Listing:
    """Every pattern whose reduced cost stays below a limit.

    Attributes:
        patterns: The patterns.
        complete: False when there were more than asked for, and the list is of no use as a proof.
    """

    patterns: tuple[Pattern, ...]
    complete: bool


def listing(problem: Problem, values: Floats, floor: Floats, limit: float, *, most: int) -> Listing:
    """List every pattern that is worth at least its cheapest stick less a limit.

    Basis: a plan cheaper than the best known one holds no pattern whose reduced cost exceeds the difference to the
    bound. Works backwards over the kinds for what can still be reached, then forwards over all prefixes at once.

    Args:
        problem: The problem.
        values: Dual price of each kind [money].
        floor: By used length, the least that a stick costs that holds it [money].
        limit: Greatest reduced cost [money].
        most: Give up beyond so many prefixes [-].
    """
    capacity, kinds = problem.longest, len(problem.kinds)
    sizes, demand = problem.sizes, problem.demand
    reach: list[Floats] = [-floor]
    for kind in reversed(range(kinds)):
        after = reach[-1].copy()
        size = int(sizes[kind])
        for count in batches(min(int(demand[kind]), capacity // size)):
            shift = size * count
            if shift > capacity:
                break
            np.maximum(after[:-shift], after[shift:] + count * values[kind], out=after[:-shift])
        reach.append(after)
    reach.reverse()
    used = np.zeros(1, dtype=np.int64)
    value = np.zeros(1)
    counts = np.zeros((1, kinds), dtype=np.int16)
    for kind in range(kinds):
        size = int(sizes[kind])
        parts: list[tuple[NDArray[np.int64], Floats, NDArray[np.int16]]] = []
        for count in range(min(int(demand[kind]), capacity // size) + 1):
            longer = used + count * size
            fits = longer <= capacity
            worth = value + count * values[kind]
            fits[fits] = worth[fits] + reach[kind + 1][longer[fits]] >= -limit - 1e-7
            if not fits.any():
                continue
            more = counts[fits].copy()
            more[:, kind] = count
            parts.append((longer[fits], worth[fits], more))
        if not parts:
            return Listing(patterns=(), complete=True)
        used, value = np.concatenate([p[0] for p in parts]), np.concatenate([p[1] for p in parts])
        counts = np.concatenate([p[2] for p in parts])
        if len(used) > most:
            return Listing(patterns=(), complete=False)
    rows = [tuple((int(k), int(row[k])) for k in np.nonzero(row)[0]) for row in counts]
    return Listing(patterns=tuple(r for r in rows if r), complete=True)
