"""When the search for a crew plan ends: by the clock, or in a fixed amount of work so that it can be repeated."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace

from plowwright.shop.crew_exact import Effort


@dataclass(frozen=True, kw_only=True)
class Limits:
    """When a search ends.

    Attributes:
        begin: Reading of the performance clock at the start of the plan [s].
        end: Reading at which it ends [s].
        steps: Schedules that may be built instead, None where the clock counts [-].
        seed: Of all that is drawn.
        stopped: Asked often; True ends it.
        report: Called with weighted slots late [-], the bound so far [-] and the stage.
    """

    begin: float
    end: float
    steps: int | None
    seed: int
    stopped: Callable[[], bool]
    report: Callable[[float, float, str], None]

    def left(self) -> float:
        """Time left [s]."""
        return max(0.0, self.end - time.perf_counter())

    def halt(self, done: int = 0) -> bool:
        """Whether it is time to go.

        Args:
            done: Schedules built so far.
        """
        if self.steps is not None:
            return done >= self.steps or self.stopped()
        return time.perf_counter() >= self.end or self.stopped()

    def part(self, share: float) -> Limits:
        """The same with a share of what is left.

        Args:
            share: Of the time, or of the steps [-].
        """
        steps = None if self.steps is None else max(1, round(share * self.steps))
        return replace(self, end=time.perf_counter() + share * self.left(), steps=steps)

    def used(self, since: float, done: int) -> float:
        """Share of it that is used [-].

        Args:
            since: Reading of the clock when this part began [s].
            done: Schedules built so far.
        """
        if self.steps is not None:
            return done / self.steps
        return min(1.0, (time.perf_counter() - since) / max(1e-9, self.end - since))

    def effort(self, seconds: float, seed: int = 0) -> Effort:
        """The same for one exact model.

        Args:
            seconds: At most so long; by fixed work, as many units of the solver's own count [s].
            seed: Added to the seed.
        """
        if self.steps is not None:
            return Effort(seconds=1e6, work=seconds, seed=self.seed + seed, stopped=self.stopped)
        return Effort(seconds=min(seconds, self.left()), work=None, seed=self.seed + seed, stopped=self.stopped)
