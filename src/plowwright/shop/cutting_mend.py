"""A plan mended a few sticks at a time: the worst ones and some others taken apart and planned again by themselves."""

from __future__ import annotations

from dataclasses import replace
from math import inf
from typing import TYPE_CHECKING

import numpy as np

from plowwright.shop.cutting_first import Whole
from plowwright.shop.cutting_grid import Problem

if TYPE_CHECKING:
    from plowwright.shop.cutting_search import Search

MOST_PIECES = 45
"""Pieces that are planned again together [-]."""
SECONDS = 0.6
"""Longest that one mending takes [s]."""


def mend(search: Search, rounds: int) -> None:
    """Take some sticks apart and plan their pieces again; keep what is cheaper.

    Args:
        search: The search; its best plan is mended.
        rounds: How often [-].
    """
    for _ in range(rounds):
        columns = list(search.best.columns)
        if search.over() or len(columns) < 4:
            return
        rate = np.array([c.cost / max(1, c.used) for c in columns])
        order = np.argsort(-rate * (1.0 + 0.15 * search.rng.random(len(rate))))
        chosen: list[int] = []
        pieces = 0
        # Every other one at random: two bad sticks mend each other less well than a bad one and a good one.
        queue = order if search.rng.random() < 0.5 else _mixed(order, search.rng)
        for at in map(int, queue):
            count = sum(n for _, n in columns[at].pattern)
            if pieces + count > MOST_PIECES:
                break
            chosen.append(at)
            pieces += count
        if 2 <= len(chosen) < len(columns):
            _again(search, chosen)


def _mixed(order: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    others = rng.permutation(order)
    mixed = np.empty(2 * len(order), dtype=order.dtype)
    mixed[0::2], mixed[1::2] = order, others
    return mixed[np.sort(np.unique(mixed, return_index=True)[1])]


def _again(search: Search, chosen: list[int]) -> None:
    columns = search.best.columns
    inside = [columns[at] for at in chosen]
    taken = set(chosen)
    outside = [c for at, c in enumerate(columns) if at not in taken]
    left, places = list(search.root.left), search.root.places
    for c in outside:
        left[c.stock] -= 1
        places -= c.kept
    counts: dict[int, int] = {}
    for c in inside:
        for kind, count in c.pattern:
            counts[kind] = counts.get(kind, 0) + count
    kinds = sorted(counts)
    part = part_of(search.problem, counts, left, places)
    limits = search.limits.part(min(1.0, SECONDS / max(1e-6, search.limits.left())))
    found = type(search)(part, limits.silent()).run(deep=False)
    if found.whole.complete and found.whole.cost < sum(c.cost for c in inside) - 1e-9:
        lifted = [replace(c, pattern=tuple((kinds[k], n) for k, n in c.pattern)) for c in found.whole.columns]
        search.take(Whole(columns=(*outside, *lifted), missing=search.best.missing), "mended a few sticks at a time")


def part_of(problem: Problem, counts: dict[int, int], left: list[float], places: float) -> Problem:
    """The problem of some of the pieces; its kinds are those counted, in rising order.

    Args:
        problem: The whole problem.
        counts: How many of which kind [-].
        left: Sticks of each stock [-].
        places: Places in the rack [-].
    """
    stocks = tuple(
        replace(s, limit=None if there == inf else max(0, int(there)))
        for s, there in zip(problem.stocks, left, strict=True)
    )
    kinds = tuple(replace(problem.kinds[k], pieces=problem.kinds[k].pieces[: counts[k]]) for k in sorted(counts))
    return replace(problem, kinds=kinds, stocks=stocks, places=None if places == inf else max(0, int(places)))
