"""A plan at once: first-fit decreasing on each stick length, then each stick downsized to the cheapest that serves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

from plowwright.shop.cutting_grid import Column, Pattern, Problem, column


@dataclass(frozen=True, kw_only=True)
class Whole:
    """A plan in whole sticks, perhaps with pieces left over for which nothing is on hand.

    Attributes:
        columns: One for each stick.
        missing: Pieces of each kind that found no place [-].
    """

    columns: tuple[Column, ...]
    missing: NDArray[np.int64]

    @property
    def complete(self) -> bool:
        """Whether every piece has its place."""
        return not self.missing.any()

    @property
    def cost(self) -> float:
        """Cost of the sticks, no limit where a piece is missing [money]."""
        return sum(c.cost for c in self.columns) if self.complete else inf


def first_fit(problem: Problem, demand: NDArray[np.int64], left: Sequence[float], places: float) -> Whole:
    """The best of first-fit decreasing on each stick length, remnants tried first and last, each stick downsized.

    Args:
        problem: The problem.
        demand: Pieces of each kind [-].
        left: Sticks of each stock [-].
        places: Places in the rack [-].
    """
    stocks = range(len(problem.stocks))
    limited = [at for at in stocks if left[at] < inf]
    open_ended = [at for at in stocks if left[at] == inf]
    limited.sort(key=lambda at: problem.stocks[at].capacity)
    by_length = sorted(open_ended, key=lambda at: -problem.stocks[at].capacity)
    orders: list[list[int]] = []
    for main in open_ended or [-1]:
        rest = [main] if main >= 0 else []
        # The longest stick comes last of all, for what the main one cannot hold.
        orders.append([*limited, *rest, *by_length])
        if open_ended:
            orders.append([*rest, *by_length])
    tried = [tidied(problem, _packed(problem, demand, left, order), left, places) for order in orders]
    return min(tried, key=lambda w: (int(w.missing.sum()), w.cost))


def _packed(problem: Problem, demand: NDArray[np.int64], left: Sequence[float], order: Sequence[int]) -> Whole:
    """First fit, longest piece first; a new stick is the first of the order that is left and holds the piece."""
    free = list(left)
    room = np.zeros(0, dtype=np.int64)
    opened: list[int] = []
    filled: list[dict[int, int]] = []
    missing = np.zeros_like(demand)
    for kind in range(len(problem.kinds)):
        one = problem.kinds[kind]
        size = one.size + (0 if one.mitre < 0 else (1 if one.singles else 2) * problem.overhangs[one.mitre])
        for _ in range(int(demand[kind])):
            fits = np.nonzero(room >= size)[0]
            if len(fits):
                at = int(fits[0])
            else:
                stock = next((s for s in order if free[s] >= 1 and problem.stocks[s].capacity >= size), None)
                if stock is None:
                    missing[kind] += 1
                    continue
                free[stock] -= 1
                at = len(opened)
                opened.append(stock)
                filled.append({})
                room = np.append(room, problem.stocks[stock].capacity)
            room[at] -= size
            filled[at][kind] = filled[at].get(kind, 0) + 1
    columns = tuple(column(problem, tuple(sorted(f.items())), s) for s, f in zip(opened, filled, strict=True))
    return Whole(columns=columns, missing=missing)


def tidied(problem: Problem, whole: Whole, left: Sequence[float], places: float) -> Whole:
    """Surplus taken off, every stick exchanged for the cheapest one left that holds it, the rack's places kept.

    Args:
        problem: The problem.
        whole: A plan.
        left: Sticks of each stock that it may use [-].
        places: Places in the rack [-].
    """
    free = list(left)
    for c in whole.columns:
        free[c.stock] -= 1
    out: list[Column] = []
    for c in sorted(whole.columns, key=lambda c: -c.cost):
        free[c.stock] += 1
        at = problem.cheapest(c.used, free)
        at = c.stock if at is None else at
        free[at] -= 1
        out.append(column(problem, c.pattern, at))
    kept = sorted((c for c in out if c.kept), key=lambda c: c.cost - problem.stocks[c.stock].stick.price)
    if len(kept) > places:
        dropped = {id(c) for c in kept[int(places) :]}
        out = [column(problem, c.pattern, c.stock, keep=False) if id(c) in dropped else c for c in out]
    return Whole(columns=tuple(out), missing=whole.missing)


def trimmed_to(problem: Problem, columns: Sequence[Column], demand: NDArray[np.int64]) -> Whole:
    """Columns with what they hold beyond the demand taken off, dearest first; what is short is counted as missing.

    Args:
        problem: The problem.
        columns: One for each stick.
        demand: Pieces of each kind [-].
    """
    wanted = demand.copy()
    out: list[Column] = []
    for c in columns:
        pattern: list[tuple[int, int]] = []
        for kind, count in c.pattern:
            take = min(count, int(wanted[kind]))
            wanted[kind] -= take
            if take:
                pattern.append((kind, take))
        if pattern:
            # Fewer pieces never take more of a stick, but for a chain of mitres that loses a partner.
            taken: Pattern = tuple(pattern)
            fits = problem.used(taken) <= problem.stocks[c.stock].capacity
            out.append(column(problem, taken, c.stock, keep=c.kept) if fits else c)
    return Whole(columns=tuple(out), missing=wanted)
