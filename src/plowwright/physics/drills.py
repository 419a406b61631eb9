"""Number and fraction drills, as a shop has them in the drawer for restrictors."""

from __future__ import annotations

import csv
from bisect import bisect_right
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from math import inf
from typing import Final

from plowwright import units
from plowwright.errors import ModelError, NotFoundError
from plowwright.units.constants import INCH

TOLERANCE: Final = 0.002 * INCH
"""How far a drilled hole may be off its drill either way; assumed, measure with pins [m]."""
SOURCE: Final = "ASME B94.11M, from memory"


@dataclass(frozen=True, slots=True, kw_only=True)
class Drill:
    """A drill.

    Attributes:
        name: As the trade writes it: #52 or 1/16.
        diameter: Of the drill [m].
    """

    name: str
    diameter: float

    @property
    def text(self) -> str:
        """Name and size, as on a test card: `#52 (0.0635 in)`."""
        unit = "" if self.name.startswith("#") else " in"
        return f"{self.name}{unit} ({self.diameter / INCH:.4f} in)"

    def holes(self, tolerance: float = TOLERANCE) -> tuple[float, float]:
        """Least and greatest hole it may leave.

        Args:
            tolerance: Either way [m].

        Returns:
            Both diameters [m].
        """
        return self.diameter - tolerance, self.diameter + tolerance

    def time_spread(self, tolerance: float = TOLERANCE) -> float:
        """Share of the time of a restricted swing its tolerance is worth: 2 dd / d, as time goes with d^-2.

        Args:
            tolerance: Either way [m].

        Returns:
            Share either way [-].

        Source: first order of T ~ d^-2.

        >>> round(named("1/16").time_spread(), 3)
        0.064
        """
        return 2.0 * tolerance / self.diameter


@cache
def table() -> tuple[Drill, ...]:
    """All drills, smallest first.

    Source: ASME B94.11M (from memory); number drills 80 to 1 and fractions by 64ths to 1/4 in.
    """
    text = files("plowwright.physics").joinpath("drills.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    return tuple(Drill(name=_as_written(row["name"]), diameter=float(row["inches"]) * INCH) for row in rows)


def named(name: str) -> Drill:
    """A drill by its name.

    Args:
        name: Such as #52, 52 or 1/16.

    Raises:
        NotFoundError: The table has no such drill.
    """
    wanted = _as_written(name.strip().removesuffix("in").strip())
    for drill in table():
        if drill.name == wanted:
            return drill
    raise NotFoundError(
        "no such drill in the table",
        value=name,
        limit="#80 to #1 and 1/64 to 1/4 in",
        way_out="Write it as #52 or 1/16.",
    )


def not_over(diameter: float, drills: tuple[Drill, ...] | None = None) -> Drill:
    """The largest drill that is not over a diameter: a restrictor is never rounded up unasked.

    Args:
        diameter: Greatest hole wanted [m].
        drills: To choose from, smallest first; None for the whole table.

    Raises:
        ModelError: Every drill is larger.
    """
    choice = table() if drills is None else drills
    at = bisect_right([drill.diameter for drill in choice], diameter * (1.0 + 1e-9))
    if at == 0:
        raise ModelError(
            "every drill is larger than this restrictor may be",
            value=units.say(diameter, "length", style="decimal"),
            limit=f"smallest drill {choice[0].text}" if choice else "no drills to choose from",
            way_out="Accept a slower swing with two restrictors in a row, or a smaller cylinder flow.",
        )
    return choice[at - 1]


def nearest(diameter: float, drills: tuple[Drill, ...] | None = None) -> Drill:
    """The drill nearest to a hole that was measured or worked out from a stopwatch.

    Args:
        diameter: Of the hole [m].
        drills: To choose from; None for the whole table.
    """
    return min(table() if drills is None else drills, key=lambda drill: abs(drill.diameter - diameter))


def within(low: float = 0.0, high: float = inf) -> tuple[Drill, ...]:
    """Drills of the table between two sizes, both included, smallest first.

    Args:
        low: Least diameter [m].
        high: Greatest diameter [m].
    """
    return tuple(drill for drill in table() if low <= drill.diameter <= high)


def _as_written(name: str) -> str:
    return f"#{name}" if name.isdigit() else name
