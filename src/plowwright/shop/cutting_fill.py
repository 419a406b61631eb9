"""Sticks filled one after the other by the knapsack, at prices shaken a little each time: many short tries.

Where a stick holds many pieces there are thousands of good patterns for it, and the linear programme prefers none of
them. What decides is the last stick; so pieces that are hard to place are made worth more, and a try is given up as
soon as what is left cannot be served below the best cost known.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

import numpy as np

from plowwright.shop.cutting_grid import Column, Floats, Problem, column
from plowwright.shop.cutting_pricing import fill


def fill_once(
    problem: Problem,
    prices: Floats,
    left: Sequence[float],
    *,
    ceiling: float,
    shake: float,
    rng: np.random.Generator,
) -> tuple[Column, ...]:
    """One try: sticks that hold every piece for no more than the ceiling; empty where it fails.

    Args:
        problem: The problem.
        prices: Dual price of each kind [money].
        left: Sticks of each stock [-].
        ceiling: Most it may cost [money].
        shake: How far prices are shaken, as a share [-].
        rng: Source of chance.
    """
    demand, free, cost = problem.demand.copy(), list(left), 0.0
    sizes = problem.sizes
    # A long piece is worth a little more than its share: what is left for the last stick should be short ones.
    bend = 1.0 + shake * (sizes / problem.longest) + shake * rng.random(len(sizes))
    values = np.where(prices > 0, prices, 1e-6 * sizes) * bend
    chosen: list[Column] = []
    while demand.any():
        if cost + float(prices @ demand) > ceiling + 1e-6:
            return ()
        rest = tuple((int(k), int(demand[k])) for k in np.nonzero(demand)[0])
        last = problem.cheapest(problem.used(rest), free) if problem.used(rest) <= problem.longest else None
        if last is not None and (cost + column(problem, rest, last).cost <= ceiling + 1e-6):
            return (*chosen, column(problem, rest, last))
        made = _best_stick(problem, values, demand, free, rng, shake)
        if made is None:
            return ()
        for kind, count in made.pattern:
            demand[kind] -= count
        free[made.stock] -= 1
        cost += made.cost
        chosen.append(made)
    return tuple(chosen) if cost <= ceiling + 1e-6 else ()


def _best_stick(
    problem: Problem, values: Floats, demand: np.ndarray, free: Sequence[float], rng: np.random.Generator, shake: float
) -> Column | None:
    table = fill(problem, values, demand, problem.longest)
    best, chosen = -inf, None
    for at, stock in enumerate(problem.stocks):
        if free[at] < 1:
            continue
        gain = table.best[: stock.capacity + 1] / np.maximum(stock.costs, 1e-6)
        used = int(np.argmax(gain))
        score = float(gain[used]) * (1.0 + 0.2 * shake * rng.random())
        if used > 0 and score > best:
            best, chosen = score, (at, used)
    if chosen is None:
        return None
    return column(problem, table.pattern(chosen[1]), chosen[0])
