"""When a search for a cut plan ends, and which costs a plan can have at all."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from math import floor, inf

import numpy as np

from plowwright.shop.cutting_grid import Floats, Problem

_CLOSE = 1e-6


@dataclass(frozen=True, kw_only=True)
class Limits:
    """When a search ends.

    Attributes:
        end: Reading of the performance clock at which it ends [s].
        stopped: Asked often; True ends it.
        good_enough: Share above the bound at which it is content [-].
        report: Called with cost and bound [money] and the stage.
    """

    end: float
    stopped: Callable[[], bool]
    good_enough: float
    report: Callable[[float, float, str], None]

    def left(self) -> float:
        """Time left [s]."""
        return max(0.0, self.end - time.perf_counter())

    def halt(self) -> bool:
        """Whether it is time to go."""
        return time.perf_counter() >= self.end or self.stopped()

    def part(self, share: float) -> Limits:
        """The same with a share of the time left.

        Args:
            share: Of what is left [-].
        """
        return replace(self, end=time.perf_counter() + share * self.left())

    def silent(self) -> Limits:
        """The same without a report: for parts of a plan, whose costs are not those of the whole."""
        return replace(self, report=_say_nothing)


def _say_nothing(cost: float, bound: float, stage: str) -> None:
    del cost, bound, stage


class Sums:
    """The costs that plans can have at all, where no drop is worth anything: sums of a few prices."""

    def __init__(self, problem: Problem) -> None:
        """Look at the prices.

        Args:
            problem: The problem.
        """
        prices = sorted({s.stick.price for s in problem.stocks if s.stick.price > 0})
        worthless = all(not s.keeps.any() for s in problem.stocks)
        self.prices = prices if worthless and 0 < len(prices) <= 3 else []

    def _near(self, low: float, high: float) -> Floats:
        """Every sum from low to high."""
        first = self.prices[-1]
        sums: Floats = np.arange(floor(high / first) + 1, dtype=np.float64) * first
        for price in self.prices[:-1]:
            counts: Floats = np.arange(floor(high / price) + 1, dtype=np.float64) * price
            sums = (sums[:, None] + counts[None, :]).ravel()
            sums = sums[sums <= high]
        return sums[sums >= low]

    def up(self, bound: float, best: float) -> float:
        """The least possible cost from a bound on, no more than the best known [money].

        Args:
            bound: Proved bound [money].
            best: Cost of the best plan [money].
        """
        if not self.prices or best == inf or bound >= best:
            return min(bound, best)
        sums = self._near(bound - _CLOSE, best + _CLOSE)
        return min(best, float(sums.min())) if len(sums) else best

    def below(self, best: float, bound: float) -> float:
        """The greatest possible cost below the best known one: a plan must reach this to be better [money].

        Args:
            best: Cost of the best plan [money].
            bound: Proved bound [money].
        """
        if best == inf:
            return inf
        if not self.prices:
            return best - 1e-4 * max(1.0, abs(best)) * 1e-2
        sums = self._near(bound - _CLOSE, best - _CLOSE)
        return float(sums.max()) if len(sums) else bound - 1.0
