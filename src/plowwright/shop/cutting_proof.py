"""Proofs: how many sticks of each length a better plan could have, and which patterns it could hold.

A linear bound is loose where a plan has only a few sticks. Two things close it: the number of bought sticks of each
length is a whole number, so each choice of numbers is looked at by itself; and a plan that is better than the best one
known holds no pattern whose reduced cost exceeds the difference to the bound, so all the others can be listed.
"""

from __future__ import annotations

from math import floor, inf
from typing import TYPE_CHECKING

import numpy as np

from plowwright.shop.cutting_grid import Column, Pattern, column
from plowwright.shop.cutting_master import Duals, Relaxed, costs_with
from plowwright.shop.cutting_pricing import listing
from plowwright.shop.cutting_whole import choose

if TYPE_CHECKING:
    from plowwright.shop.cutting_search import Search

_CLOSE = 1e-6
MOST_LISTED = 40_000
"""Patterns that are still listed for a proof [-]."""
LISTED_PER_SECOND = 8_000
"""Patterns listed for each second that the choice from them may take [1/s]."""
MOST_COUNTS = 150
"""Choices of numbers of sticks that are still looked at one by one [-]."""

Counts = tuple[float, ...]
"""Sticks of each stock, infinite where the number is left open."""


def prove_by_listing(search: Search, relaxed: Relaxed, seconds: float) -> None:
    """List every pattern a better plan could hold, and choose from those: a proof if it finishes.

    Args:
        search: The search; takes what is found.
        relaxed: Its linear programme.
        seconds: Time given [s].
    """
    bound = _listed(search, relaxed, None, seconds)
    search.prove(min(bound, search.best.cost))


def prove_by_counts(search: Search) -> None:
    """Look at each number of bought sticks by itself, the cheapest first; the bound is the least of theirs.

    Args:
        search: The search; takes what is found, and the bound.
    """
    choices = _choices(search)
    if choices is None or search.over():
        return
    bounds: list[float] = []
    open_ones: list[tuple[float, Counts, Relaxed]] = []
    for quick, counts in choices:
        if search.limits.halt():
            return
        relaxed = _relaxed(search, counts)
        if max(quick, relaxed.bound) > search.target + _CLOSE:
            continue
        if relaxed.missing < _CLOSE:
            node = search.counted(counts)
            search.descend(node, relaxed, 0)
            search.fill_up(search.prices, node.left, 60, ceiling=search.target)
        open_ones.append((max(quick, relaxed.bound), counts, relaxed))
    open_ones.sort(key=lambda o: o[0])
    for number, (bound, counts, relaxed) in enumerate(open_ones):
        if bound > search.target + _CLOSE:
            continue
        seconds = search.limits.part(0.6 / (len(open_ones) - number)).left()
        bounds.append(max(bound, _listed(search, relaxed, counts, seconds)))
        search.bound = max(search.bound, min([*bounds, *(o[0] for o in open_ones[number + 1 :]), search.best.cost]))
        if search.over():
            return
    search.bound = max(search.bound, min([*bounds, search.best.cost]))


def _choices(search: Search) -> list[tuple[float, Counts]] | None:
    """Numbers of bought sticks that could make a better plan, with the least each could cost; None for too many."""
    problem = search.problem
    bought = [at for at, s in enumerate(problem.stocks) if s.limit is None]
    if not 0 < len(bought) <= 3:
        return None
    limited = [s for s in problem.stocks if s.limit is not None]
    need = int(problem.sizes @ problem.demand) - sum(s.capacity * (s.limit or 0) for s in limited)
    target = search.target
    # A stick all but unused still costs what a whole drop of it is not worth.
    least = [float(problem.stocks[at].costs.min()) for at in bought]
    most = [floor(target / cost + _CLOSE) for cost in least]
    if np.prod([m + 1 for m in most]) > 2e5:
        return None
    grids = np.meshgrid(*[np.arange(m + 1) for m in most], indexing="ij")
    numbers = np.stack([g.ravel() for g in grids], axis=1)
    holds = numbers @ np.array([problem.stocks[at].capacity for at in bought])
    price = numbers @ np.array([problem.stocks[at].stick.price for at in bought])
    rate = max(float(s.stick.price - s.costs.min()) / s.start for s in problem.stocks)
    spare = numbers @ np.array([problem.stocks[at].start for at in bought]) - need
    spare = spare + sum((s.start - s.capacity) * (s.limit or 0) for s in limited)
    cheap = price - rate * np.maximum(spare, 0) - sum(float(s.stick.price - s.costs.min()) for s in limited)
    good = (holds >= need) & (cheap <= target + _CLOSE)
    if int(good.sum()) > MOST_COUNTS:
        return None
    out: list[tuple[float, Counts]] = []
    for quick, row in zip(cheap[good], numbers[good], strict=True):
        counts = [inf] * len(problem.stocks)
        for at, number in zip(bought, row, strict=True):
            counts[at] = float(number)
        out.append((float(quick), tuple(counts)))
    return sorted(out)


def _relaxed(search: Search, counts: Counts) -> Relaxed:
    node = search.counted(counts)
    least = [0.0 if c == inf else c for c in counts]
    search.master.restrict(node.demand, node.left, node.places, least)
    return search.master.relax(search.limits.halt, give_up_at=search.target + 2 * _CLOSE)


def _listed(search: Search, relaxed: Relaxed, counts: Counts | None, seconds: float) -> float:
    """The least that a plan with these numbers of sticks costs, as far as it could be proved [money]."""
    problem, duals = search.problem, relaxed.duals
    floor_cost = np.full(problem.longest + 1, inf)
    for at, stock in enumerate(problem.stocks):
        if counts is None or counts[at] > 0:
            reach = stock.capacity + 1
            floor_cost[:reach] = np.minimum(floor_cost[:reach], costs_with(stock, duals.place) + duals.sticks[at])
    slack = search.target - relaxed.bound + _CLOSE
    # The solver reads its time limit only now and then, so a short time gets a short list.
    most = min(MOST_LISTED, 500 + int(LISTED_PER_SECOND * seconds))
    listed = listing(problem, duals.pieces, floor_cost, slack, most=most)
    if not listed.complete or search.over():
        return relaxed.bound
    columns = [c for pattern in listed.patterns for c in _on_sticks(search, pattern, counts, duals, slack)]
    chosen = choose(problem, columns, seconds, counts=counts, ceiling=search.target + _CLOSE)
    search.take_columns(chosen.columns, "listing every pattern that could help")
    return max(relaxed.bound, chosen.bound)


def _on_sticks(search: Search, pattern: Pattern, counts: Counts | None, duals: Duals, slack: float) -> list[Column]:
    """A pattern on every stick that holds it without costing more than a better plan allows."""
    problem = search.problem
    used = problem.used(pattern)
    worth = sum(count * float(duals.pieces[kind]) for kind, count in pattern)
    out: list[Column] = []
    for at, stock in enumerate(problem.stocks):
        if stock.capacity < used or (counts is not None and counts[at] == 0):
            continue
        ways = (True, False) if stock.keeps[used] and problem.places is not None else (True,)
        for made in (column(problem, pattern, at, keep=keep) for keep in ways):
            charge = float(duals.sticks[at]) + (duals.place if made.kept else 0.0)
            if made.cost + charge - worth <= slack + 1e-7:
                out.append(made)
    return out
