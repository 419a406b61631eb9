"""When the search for a nest ends, and how it says how far it has come."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """How far a nest has come.

    Attributes:
        stock: Stock being nested.
        cost: Best cost of that stock so far [money].
        bound: Its bound [money].
        seconds: Since the start of the whole plan [s].
        stage: What is being tried, in words.
        done: Stocks finished [-].
        total: Stocks in all [-].
    """

    stock: str
    cost: float
    bound: float
    seconds: float
    stage: str
    done: int
    total: int


Report = Callable[[Progress], None]
"""Called now and then with how far it has come."""
Stop = Callable[[], bool]
"""Asked now and then; True ends the search, and the best so far is handed back."""


@dataclass(frozen=True, kw_only=True)
class Limits:
    """When a search ends.

    Attributes:
        end: Reading of the performance clock at which it ends [s].
        stopped: Asked often; True ends it.
        report: Called with the cost [money] and the stage.
    """

    end: float
    stopped: Callable[[], bool]
    report: Callable[[float, str], None]

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
