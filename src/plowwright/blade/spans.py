"""A value nobody knows to a figure: low, likely and high, carried through the sums that lean on it."""

from __future__ import annotations

from dataclasses import dataclass

from plowwright import units
from plowwright.errors import EntryError
from plowwright.findings import Basis, Finding, verdict_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """Low, likely and high of one quantity.

    Attributes:
        low: Lowest it may be [SI of its kind].
        likely: What it most likely is [SI of its kind].
        high: Highest it may be [SI of its kind].
    """

    low: float
    likely: float
    high: float

    def __post_init__(self) -> None:
        """Refuse three values that are not in order."""
        if not self.low <= self.likely <= self.high:
            raise EntryError(
                "low, likely and high are not in that order",
                value=f"{self.low:g}, {self.likely:g}, {self.high:g}",
                way_out="Give them from the lowest to the highest.",
            )

    @classmethod
    def sure(cls, value: float) -> Span:
        """A value taken as known.

        Args:
            value: The value [SI of its kind].
        """
        return cls(low=value, likely=value, high=value)

    @property
    def known(self) -> bool:
        """Whether there is no spread."""
        return self.high - self.low <= 1e-9 * max(abs(self.low), abs(self.high))

    def times(self, other: Span | float) -> Span:
        """The product with a value above zero, or with another span of values above zero.

        Args:
            other: Factor [SI of its kind].
        """
        o = other if isinstance(other, Span) else Span.sure(other)
        return Span(low=self.low * o.low, likely=self.likely * o.likely, high=self.high * o.high)

    def over(self, other: Span | float) -> Span:
        """The quotient by a value above zero, or by a span of values above zero.

        Args:
            other: Divisor [SI of its kind].
        """
        o = other if isinstance(other, Span) else Span.sure(other)
        return Span(low=self.low / o.high, likely=self.likely / o.likely, high=self.high / o.low)

    def said(self, kind: str) -> str:
        """The span in the trade's words: one value where there is no spread, else low to high.

        Args:
            kind: Kind of quantity, or "-" for a plain number.
        """
        one, two = (f"{v:.3g}" if kind == "-" else units.say(v, kind) for v in (self.low, self.high))
        if one == two:
            return one
        # The unit is said once where both ends have the same.
        number, _, unit = one.partition(" ")
        return f"{number} to {two}" if unit and two.endswith(f" {unit}") else f"{one} to {two}"


def against(
    value: Span,
    limit: Span,
    *,
    kind: str,
    title: str,
    basis: Basis,
    place: str = "",
    least: bool = False,
    because: str = "",
) -> Finding:
    """Hold a span against a span: fails where the likely value does, near limit where the far ends of both would.

    Args:
        value: The value [SI of its kind].
        limit: The limit [SI of its kind].
        kind: Kind of quantity of both, or "-" for a plain number.
        title: What was checked.
        basis: What it rests on.
        place: What it concerns.
        least: Whether the limit is the least allowed instead of the greatest.
        because: What it means, one more sentence.
    """
    over, under = (limit, value) if least else (value, limit)
    used = over.likely / under.likely if under.likely > 0.0 else (0.0 if over.likely <= 0.0 else float("inf"))
    worst = over.high / under.low if under.low > 0.0 else float("inf")
    verdict = verdict_of(used)
    if verdict == "holds" and verdict_of(worst) != "holds":
        verdict = "near limit"
    said, bound = value.said(kind), f"{'at least' if least else 'at most'} {limit.said(kind)}"
    word = {"holds": "it holds", "near limit": "it holds at the likely values only just", "fails": "it fails"}[verdict]
    if verdict == "near limit" and verdict_of(used) == "holds":
        word = "it holds at the likely values, not at the far ends"
    shown = f"{used * 100:.0f} %" if used < 100 else "many times"
    sentence = f"{title}: {said}, wanted {bound}; {word}"
    return Finding(
        title=title,
        sentence=f"{sentence}. {because}".strip() if because else sentence,
        value=said,
        limit=bound,
        margin=f"{shown} used at the likely values",
        verdict=verdict,
        basis=basis,
        place=place,
        used=used,
    )
