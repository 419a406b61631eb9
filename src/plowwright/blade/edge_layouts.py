"""What a hole layout is: the rule it follows, its places and gaps, and whether the edge may be flipped.

Places are measured in metres from the left end of the edge, seen from the front.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Literal

from plowwright.blade.edge_bars import TOLERANCE, EdgeBar, tape, tape_list
from plowwright.errors import EdgeError
from plowwright.units.constants import INCH

Middle = Literal["hole", "gap", "best"]
Fill = Literal["end gaps", "even"]
Datum = Literal["left", "right"]


@dataclass(frozen=True, kw_only=True)
class HoleRule:
    """The shop's rule for the holes of an edge.

    Attributes:
        end: From each end to its first hole [m].
        pitch: Between holes [m].
        least_end_gap: Least gap between an end hole and the next hole [m]; a hole that would stand nearer
            is left out.
        fill: Where the leftover goes [-]. "end gaps": full pitches from the middle outwards, leftover in
            the two end gaps. "even": all gaps equal, the fewest that do not exceed the pitch.
        middle: What stands on mid-length with "end gaps" [-]: "hole", "gap", or "best", which takes the
            one whose end gaps come closest to the pitch without exceeding it; if both exceed it, the one
            that exceeds it least; if they tie, the one with fewer holes.
        least_to_end: Least distance from a hole that carries a bolt to the end of the bar [m].
        least_between: Least distance between the centres of any two holes, used or not [m]; twice the
            size of the hole is common practice.
        bar: The bar, or None when only places along the length are asked.

    Raises:
        EdgeError: A distance that is not above zero, or rules that contradict each other.
    """

    end: float
    pitch: float
    least_end_gap: float
    fill: Fill = "end gaps"
    middle: Middle = "best"
    least_to_end: float = 1.25 * INCH
    least_between: float = 1.25 * INCH
    bar: EdgeBar | None = None

    def __post_init__(self) -> None:
        for name in ("end", "pitch", "least_end_gap", "least_to_end", "least_between"):
            value: float = getattr(self, name)
            if not (math.isfinite(value) and value > 0):
                raise EdgeError(
                    f"the hole rule's {name} must be above zero",
                    value=tape_or_number(value),
                    limit="above 0 in",
                    way_out='Give a length, for example "3 in".',
                )
        if self.end < self.least_to_end - TOLERANCE:
            raise EdgeError(
                "the hole rule puts its first hole too near the end of the bar",
                value=tape(self.end),
                limit=f"at least {tape(self.least_to_end)}",
                way_out="Move the first hole in, or lower the least distance to the end.",
            )
        if min(self.pitch, self.least_end_gap) < self.least_between - TOLERANCE:
            raise EdgeError(
                "the hole rule puts holes closer together than it allows",
                value=f"pitch {tape(self.pitch)}, least end gap {tape(self.least_end_gap)}",
                limit=f"at least {tape(self.least_between)} between centres",
                way_out="Widen the pitch or the least end gap.",
            )

    @property
    def hole_size(self) -> float:
        """Of the bar's bolt hole, or half the least distance between holes when the bar is not known [m]."""
        return self.bar.hole.size if self.bar else self.least_between / 2

    @classmethod
    def of(cls, *, end: float, pitch: float) -> HoleRule:
        """The plain rule when only these two are known: end gaps down to half a pitch are allowed.

        Args:
            end: From each end to its first hole [m].
            pitch: Between holes [m].
        """
        smallest = min(1.25 * INCH, end, pitch / 2)
        return cls(end=end, pitch=pitch, least_end_gap=pitch / 2, least_to_end=smallest, least_between=smallest)


def tape_or_number(value: float) -> str:
    """A length on the tape, or the number itself when it is no length at all.

    Args:
        value: [m].
    """
    return tape(value) if math.isfinite(value) else str(value)


@dataclass(frozen=True, kw_only=True)
class HoleLayout:
    """The holes of one edge.

    Attributes:
        length: Of the edge [m].
        positions: Holes that carry a bolt, from the left end [m].
        rule: The rule they were laid out by.
        idle: Old holes still in the bar that carry no bolt, from the left end [m].

    Raises:
        EdgeError: Positions not increasing, or outside the bar.
    """

    length: float
    positions: tuple[float, ...]
    rule: HoleRule
    idle: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        if not self.positions:
            raise EdgeError("an edge without holes cannot be bolted on", way_out="Give at least two positions.")
        rising = all(a < b for a, b in zip(self.positions, self.positions[1:], strict=False))
        if not rising or self.positions[0] <= 0 or self.positions[-1] >= self.length:
            raise EdgeError(
                "the holes of an edge must run from left to right inside the bar",
                value=tape_list(self.positions),
                limit=f"above 0 in and below {tape(self.length)}, each further than the one before",
            )

    @property
    def gaps(self) -> tuple[float, ...]:
        """Between neighbouring bolt holes, left to right [m]."""
        return tuple(b - a for a, b in zip(self.positions, self.positions[1:], strict=False))

    @property
    def end_gap(self) -> float:
        """Between the left end hole and the next [m]; a layout of one hole has none and gives 0."""
        return self.gaps[0] if self.gaps else 0.0

    def running(self, datum: Datum = "left") -> tuple[float, ...]:
        """Running dimensions of the bolt holes from one end [m].

        Args:
            datum: The end they are measured from [-].
        """
        return self.positions if datum == "left" else self.turned().positions

    def turned(self) -> HoleLayout:
        """The layout after the edge is turned end for end in its own plane."""
        return HoleLayout(
            length=self.length,
            positions=tuple(self.length - p for p in reversed(self.positions)),
            rule=self.rule,
            idle=tuple(self.length - p for p in reversed(self.idle)),
        )

    def is_symmetric(self) -> bool:
        """Whether the bolt holes read the same from both ends, within 1/32 in."""
        return same_places(self.positions, self.turned().positions)

    def is_flippable(self) -> bool:
        """Whether the edge may be turned end for end in its own plane when its foot is worn.

        Turned so, the old top becomes the foot and the countersinks stay in front. That needs holes that
        read the same from both ends and a hole line on the mid-line of the height. An edge is never
        turned face for face: the countersinks would be at the back. With no bar in the rule only the
        places along the length are judged; `flip_reason` says so.
        """
        bar = self.rule.bar
        return self.is_symmetric() and (bar is None or bar.punching == "centre-punched")

    def flip_reason(self) -> str:
        """Why the edge may or may not be flipped, in words with the values."""
        if not self.is_symmetric():
            worst = max((abs(a - b), a, b) for a, b in zip(self.positions, self.turned().positions, strict=True))
            return (
                f"not flippable: turned end for end, a hole at {tape(worst[1])} would stand at "
                f"{tape(worst[2])}, {tape(worst[0])} out; limit {tape(TOLERANCE)}"
            )
        bar = self.rule.bar
        if bar is None:
            return (
                "flippable on condition that it is centre-punched: the holes read the same from both ends; "
                "the hole line is not known. Turn it end for end, never face for face"
            )
        if bar.punching == "edge-punched":
            return (
                f"not flippable: edge-punched. The holes read the same from both ends, but they stand "
                f"{tape(bar.hole_line)} from the top of a {tape(bar.height)} bar; turned, they would be "
                f"{tape(bar.height - bar.hole_line)} from the top. Its mid-line is {tape(bar.height / 2)}"
            )
        return (
            f"flippable: centre-punched, {tape(bar.hole_line)} from the top of a {tape(bar.height)} bar, and "
            "the holes read the same from both ends. Turn it end for end, never face for face: the "
            "countersinks stay in front"
        )

    def as_dict(self) -> dict[str, Any]:
        """The layout for a machine; lengths in inches, rounded to 0.0001."""
        return {
            "length_in": in_inches(self.length),
            "end_in": in_inches(self.rule.end),
            "pitch_in": in_inches(self.rule.pitch),
            "holes": len(self.positions),
            "positions_in": [in_inches(p) for p in self.positions],
            "gaps_in": [in_inches(g) for g in self.gaps],
            "idle_in": [in_inches(p) for p in self.idle],
            "flippable": self.is_flippable(),
            "reason": self.flip_reason(),
        }


def in_inches(length: float) -> float:
    """A length as a number of inches for a machine [in].

    Args:
        length: [m].
    """
    return round(length / INCH, 4) + 0.0


def same_places(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    """Whether two rows of places agree one by one within 1/32 in.

    Args:
        one: [m].
        other: [m].
    """
    return len(one) == len(other) and all(abs(a - b) <= TOLERANCE for a, b in zip(one, other, strict=True))
