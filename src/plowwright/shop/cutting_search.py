"""From shares of patterns to whole sticks: diving with new patterns on the way, then proof, then wider dives."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import floor, inf

import numpy as np
from numpy.typing import NDArray

from plowwright.shop.cutting_fill import fill_once
from plowwright.shop.cutting_first import Whole, first_fit, tidied, trimmed_to
from plowwright.shop.cutting_grid import Column, Floats, Problem, column
from plowwright.shop.cutting_limits import Limits, Sums
from plowwright.shop.cutting_master import Duals, Master, Relaxed, farley
from plowwright.shop.cutting_mend import mend
from plowwright.shop.cutting_pricing import fill
from plowwright.shop.cutting_proof import prove_by_counts, prove_by_listing
from plowwright.shop.cutting_whole import choose

_CLOSE = 1e-6
DIRECT = 160
"""Different lengths up to which the linear programme over patterns pays; beyond it prices go by length alone [-]."""


@dataclass(frozen=True, kw_only=True)
class Found:
    """What a search gives back.

    Attributes:
        whole: The best plan.
        bound: No plan costs less [money].
        linear_bound: What the linear relaxation alone proves [money].
        method: How the plan and its proof were found, in words.
        proved: Whether the plan is the best there is.
        missing: Pieces that no plan can serve from what is on hand, by the linear relaxation [-].
    """

    whole: Whole
    bound: float
    linear_bound: float
    method: str
    proved: bool
    missing: float


@dataclass(frozen=True, kw_only=True)
class Node:
    """What is left to plan at a point of a search.

    Attributes:
        demand: Pieces of each kind [-].
        left: Sticks of each stock [-].
        places: Places in the rack [-].
        fixed: Sticks chosen so far.
        cost: Their cost [money].
    """

    demand: NDArray[np.int64]
    left: tuple[float, ...]
    places: float
    fixed: tuple[Column, ...]
    cost: float


class Search:
    """The search for one section; holds the best plan so far."""

    def __init__(self, problem: Problem, limits: Limits) -> None:
        """Start with first-fit decreasing.

        Args:
            problem: The problem.
            limits: When to stop.
        """
        self.problem, self.limits = problem, limits
        self.sums = Sums(problem)
        left = tuple(inf if s.limit is None else float(s.limit) for s in problem.stocks)
        places = inf if problem.places is None else float(problem.places)
        self.root = Node(demand=problem.demand, left=left, places=places, fixed=(), cost=0.0)
        self.best = first_fit(problem, problem.demand, left, places)
        self.method = "first fit, downsized"
        self.bound = self.linear = 0.0
        self.prices = np.zeros(len(problem.kinds))
        self.rng = np.random.default_rng(1)
        self.master = Master(problem, self._first_columns())

    def _first_columns(self) -> list[Column]:
        columns = list(self.best.columns)
        for kind, demand in enumerate(self.problem.demand):
            for at, stock in enumerate(self.problem.stocks):
                most = min(int(demand), max(1, stock.capacity // int(self.problem.sizes[kind])))
                while most and self.problem.used(((kind, most),)) > stock.capacity:
                    most -= 1
                if most:
                    columns.append(column(self.problem, ((kind, most),), at))
        return columns

    @property
    def target(self) -> float:
        """A plan must cost no more than this to be better than the best so far [money]."""
        return self.sums.below(self.best.cost, self.bound)

    def settled(self) -> bool:
        """Whether the best plan is proved, or close enough to the bound for what was asked."""
        if not self.best.complete:
            return False
        over = self.best.cost - self.bound
        return over <= max(_CLOSE * max(1.0, abs(self.best.cost)), self.limits.good_enough * abs(self.bound))

    def over(self) -> bool:
        """Whether it is time to go."""
        return self.settled() or self.limits.halt()

    def take(self, whole: Whole, method: str) -> bool:
        """Keep a plan if it is better than the best so far; says whether it was.

        Args:
            whole: The plan.
            method: How it was found.
        """
        neat = tidied(self.problem, whole, self.root.left, self.root.places)
        if not neat.complete or neat.cost >= self.best.cost - 1e-9:
            return False
        self.best, self.method = neat, method
        self.limits.report(self.best.cost, self.bound, method)
        return True

    def counted(self, counts: Sequence[float]) -> Node:
        """The root with no more sticks than these.

        Args:
            counts: Of each stock, infinite for no other limit than its own [-].
        """
        left = tuple(min(a, b) for a, b in zip(self.root.left, counts, strict=True))
        return replace(self.root, left=left)

    def prove(self, bound: float) -> None:
        """Keep a bound if it is better.

        Args:
            bound: Proved [money].
        """
        self.bound = max(self.bound, self.sums.up(bound, self.best.cost))

    def run(self, *, deep: bool = True) -> Found:
        """Search until proved, content or out of time.

        Args:
            deep: Whether to go on when the first round of everything is done.
        """
        self._by_length()
        if self.over() or len(self.problem.kinds) > DIRECT:
            while deep and not self.over() and self.best.complete and len(self.best.columns) > 3:
                mend(self, 5)
            return self._found(0.0)
        relaxed = self.master.relax(self.limits.halt)
        self.linear, self.prices = max(self.linear, relaxed.bound), relaxed.duals.pieces
        self.prove(relaxed.bound)
        self.limits.report(self.best.cost, self.bound, "patterns")
        if relaxed.missing < _CLOSE and not self.over():
            self._round(relaxed)
            self.descend(self.root, relaxed, 0)
            self.fill_up(relaxed.duals.pieces, self.root.left, 40, ceiling=self.target)
            prove_by_counts(self)
            if not self.over():
                prove_by_listing(self, relaxed, self.limits.part(0.4).left())
            if deep:
                self._restricted(0.1)
                self._wider(relaxed)
        return self._found(relaxed.missing)

    def _found(self, missing: float) -> Found:
        return Found(
            whole=self.best,
            bound=min(self.bound, self.best.cost),
            linear_bound=min(self.linear, self.best.cost),
            method=self.method,
            proved=self.best.cost - self.bound <= _CLOSE * max(1.0, abs(self.best.cost)),
            missing=missing,
        )

    def _by_length(self) -> None:
        """Prices by length alone: a bound and a good plan at once, without a linear programme."""
        problem, root = self.problem, self.root
        rate = max(s.stick.price for s in problem.stocks) / problem.longest
        flat = Duals(pieces=problem.sizes.astype(np.float64) * rate, sticks=np.zeros(len(root.left)), place=0.0)
        table = fill(problem, flat.pieces, problem.demand, problem.longest)
        value, duals = farley(problem, table, flat, demand=problem.demand.astype(float), left=root.left,
                              least=[0.0] * len(root.left), places=root.places)  # fmt: skip
        self.linear, self.prices = value, duals.pieces
        self.prove(value)
        for shake in (0.02, 0.05, 0.1, 0.2):
            if self.over():
                return
            columns = fill_once(problem, duals.pieces, root.left, ceiling=self.target, shake=shake, rng=self.rng)
            self.take_columns(columns, "sticks filled one by one")

    def fill_up(self, prices: Floats, left: Sequence[float], tries: int, *, ceiling: float) -> None:
        """Fill sticks one after the other at shaken prices, several times.

        Args:
            prices: Dual price of each kind [money].
            left: Sticks of each stock [-].
            tries: How often [-].
            ceiling: Most a plan may cost [money].
        """
        for _ in range(tries):
            if self.over():
                return
            shake = 0.05 + 0.4 * float(self.rng.random())
            most = min(ceiling, self.target)
            columns = fill_once(self.problem, prices, left, ceiling=most, shake=shake, rng=self.rng)
            self.take_columns(columns, "sticks filled one by one")

    def _wider(self, relaxed: Relaxed) -> None:
        """Dives that leave the first choice more and more often."""
        budget = 1
        mend(self, 12)
        while not self.over():
            for _ in range(3):
                if not self.over():
                    self.descend(self.root, relaxed, budget, shake=0.15 * budget)
            self.fill_up(relaxed.duals.pieces, self.root.left, 60, ceiling=self.target)
            budget = min(budget + 1, 6)
            mend(self, 6)

    def _round(self, relaxed: Relaxed) -> None:
        """Whole shares kept, the rest by first fit."""
        node = self._fixed(self.root, [(c, floor(s + _CLOSE)) for c, s in zip(relaxed.columns, relaxed.shares,
                                                                             strict=True)])  # fmt: skip
        self._finish(node, "rounding")

    def _finish(self, node: Node, method: str) -> None:
        """What is still open at a node by first fit."""
        rest = first_fit(self.problem, node.demand, node.left, node.places)
        self.take(Whole(columns=(*node.fixed, *rest.columns), missing=rest.missing), method)

    def _fixed(self, node: Node, chosen: list[tuple[Column, int]]) -> Node:
        demand, left, places = node.demand.copy(), list(node.left), node.places
        fixed, cost = list(node.fixed), node.cost
        for c, wanted in chosen:
            served = min((int(demand[kind]) // count for kind, count in c.pattern), default=0)
            times = int(min(wanted, served, left[c.stock], places if c.kept else inf))
            if times <= 0:
                continue
            for kind, count in c.pattern:
                demand[kind] -= count * times
            left[c.stock] -= times
            places -= times if c.kept else 0
            fixed += [c] * times
            cost += c.cost * times
        return Node(demand=demand, left=tuple(left), places=places, fixed=tuple(fixed), cost=cost)

    def descend(self, node: Node, relaxed: Relaxed, budget: int, shake: float = 0.0) -> None:
        """Fix one choice after the other; with a budget, come back and try the next best ones.

        Args:
            node: Where to begin.
            relaxed: Its linear programme.
            budget: How often the first choice may be left [-].
            shake: How far the shares of patterns are shaken before choosing [-].
        """
        while not self.over():
            if node.cost + relaxed.bound > self.target + _CLOSE or relaxed.missing > _CLOSE:
                return
            shares = relaxed.shares
            whole = [(c, floor(s + 1e-6)) for c, s in zip(relaxed.columns, shares, strict=True) if s >= 1 - 1e-6]
            if all(abs(s - round(s)) < 1e-6 for s in shares):
                self._complete(node, [(c, round(s)) for c, s in zip(relaxed.columns, shares, strict=True)])
                return
            order: list[int] = []
            if not whole:
                noise = self.rng.random(len(shares)) * shake
                order = [int(i) for i in np.argsort(-(shares + noise))]
                for other in order[1 : 1 + min(budget, 3)]:
                    budget -= 1
                    child = self._fixed(node, [(relaxed.columns[other], 1)])
                    self._enter(child, budget)
                    if self.over():
                        return
                whole = [(relaxed.columns[order[0]], 1)]
            node = self._fixed(node, whole)
            if not node.demand.any():
                self._complete(node, [])
                return
            relaxed = self._relax(node)

    def _enter(self, node: Node, budget: int) -> None:
        if node.demand.any():
            self.descend(node, self._relax(node), budget)
        else:
            self._complete(node, [])

    def _relax(self, node: Node) -> Relaxed:
        self.master.restrict(node.demand, node.left, node.places)
        return self.master.relax(self.limits.halt, give_up_at=self.target + 2 * _CLOSE - node.cost)

    def _complete(self, node: Node, rest: list[tuple[Column, int]]) -> None:
        columns = [*node.fixed, *(c for c, times in rest for _ in range(times))]
        self.take_columns(columns, "diving over patterns")

    def _restricted(self, share: float) -> None:
        """The best whole plan from the patterns at hand."""
        if not self.over() and len(self.master.columns) < 20_000:
            chosen = choose(self.problem, self.master.columns, self.limits.part(share).left())
            self.take_columns(chosen.columns, "the best of all patterns tried")

    def take_columns(self, columns: Sequence[Column], method: str) -> None:
        """Keep whole sticks if they serve every piece and are better than the best so far.

        Args:
            columns: One for each stick; empty for none.
            method: How they were found.
        """
        if columns:
            self.take(trimmed_to(self.problem, columns, self.problem.demand), method)
