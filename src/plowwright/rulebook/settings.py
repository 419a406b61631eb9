"""A setting with the ground it stands on: one value, or a spread of three where nobody knows it to a figure."""

from __future__ import annotations

from typing import Generic, TypeVar

from pydantic import Field, model_validator

from plowwright import units
from plowwright.findings import BasisKind
from plowwright.rulebook.quantities import Record

Q = TypeVar("Q")
N = TypeVar("N", bound=float)


class Setting(Record, Generic[Q]):
    """One value with its ground."""

    value: Q
    rests_on: BasisKind
    note: str = Field(min_length=8)  # what it is, and where it comes from

    def said(self, kind: str) -> str:
        """Value and ground in words.

        Args:
            kind: Kind of quantity, or "-" for a plain number.
        """
        return f"{_said(self.value, kind)} ({self.rests_on})"


class Spread(Record, Generic[N]):
    """A value nobody knows to a figure: low, likely and high, with their ground."""

    low: N
    likely: N
    high: N
    rests_on: BasisKind
    note: str = Field(min_length=8)

    @model_validator(mode="after")
    def _in_order(self) -> Spread[N]:
        if not self.low <= self.likely <= self.high:
            raise ValueError("a spread runs from low over likely to high; these are not in that order")
        return self

    @property
    def three(self) -> tuple[N, N, N]:
        """Low, likely, high."""
        return self.low, self.likely, self.high

    def said(self, kind: str) -> str:
        """Low to high and ground in words.

        Args:
            kind: Kind of quantity, or "-" for a plain number.
        """
        return f"{_said(self.low, kind)} to {_said(self.high, kind)} ({self.rests_on})"


def _said(value: object, kind: str) -> str:
    if isinstance(value, float | int) and not isinstance(value, bool):
        return f"{value:.3g}" if kind == "-" else units.say(float(value), kind)
    return str(value)
