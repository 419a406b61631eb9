"""Measured ratios, each against a reference timed in the same run; `make bench` runs them all."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, kw_only=True)
class Row:
    """One measured thing against its limit.

    Attributes:
        name: What was measured, in words.
        value: What came out, in `unit`.
        limit: What it may be, in `unit`.
        unit: "ratio" unless said otherwise.
        bound: Whether the limit is the most or the least that is allowed.
    """

    name: str
    value: float
    limit: float
    unit: str = "ratio"
    bound: Literal["at most", "at least"] = "at most"

    @property
    def verdict(self) -> str:
        """The word for how it stands: "holds" or "fails"."""
        held = self.value <= self.limit if self.bound == "at most" else self.value >= self.limit
        return "holds" if held else "fails"
