"""What the scale has taught: a correction from weigh tickets, beside the worked-out mass and never in it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import sqrt
from types import MappingProxyType
from typing import Any, Final

import numpy as np

from plowwright.blade.mass import MassTally
from plowwright.errors import EntryError
from plowwright.findings import Basis
from plowwright.units import pounds, say

Z95: Final = 1.959963984540054
"""Standard deviations either side that hold 95 % of a normal spread [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ticket:
    """One blade on the scale.

    Attributes:
        serial: Serial number, or "".
        group_masses: Mass by part group as worked out for that blade [kg].
        scale_mass: What the scale said [kg].
    """

    serial: str = ""
    group_masses: Mapping[str, float]
    scale_mass: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Ridge:
    """How far the worked-out mass is trusted before anything was weighed; both values are assumed.

    Attributes:
        spread: Standard deviation of the share by which a group is off [-].
        scale_error: Standard deviation of one ticket: scale, strap, snow on the deck, hand-cut lengths [kg].
    """

    spread: float = 0.05
    scale_error: float = 2.0

    @property
    def weight(self) -> float:
        """The ridge term: scale error squared over spread squared [kg2]."""
        return (self.scale_error / self.spread) ** 2


ASSUMED: Final = Ridge()
"""What is taken where the shop says nothing else."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectionLine:
    """The line under the worked-out mass.

    Attributes:
        value: What to add to the worked-out mass [kg]; negative where blades come out lighter.
        low: Low end of the band in which 95 of 100 scale readings less the worked-out mass should lie [kg].
        high: High end of that band [kg].
        tickets_used: How many tickets it rests on [-].
        basis: Formula, inputs and what is assumed.
        sentence: The line in words.
    """

    value: float
    low: float
    high: float
    tickets_used: int
    basis: Basis
    sentence: str

    def as_dict(self) -> dict[str, Any]:
        """The line for a machine, trade units in the names."""
        return {
            "value_lb": round(pounds(self.value), 2),
            "low_lb": round(pounds(self.low), 2),
            "high_lb": round(pounds(self.high), 2),
            "tickets_used": self.tickets_used,
            "sentence": self.sentence,
            "basis": self.basis.as_dict(),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """By what share each part group is off, as the tickets have it.

    Attributes:
        groups: Part groups that were on a scale, in order.
        shares: By how much each is off, as a share of its worked-out mass [-].
        covariance: Covariance of those shares, row by row [-].
        tickets_used: How many tickets it rests on [-].
        ridge: What was assumed.
    """

    groups: tuple[str, ...] = ()
    shares: tuple[float, ...] = ()
    covariance: tuple[tuple[float, ...], ...] = ()
    tickets_used: int = 0
    ridge: Ridge = field(default_factory=Ridge)

    def share_of(self, group: str) -> float:
        """By how much a group is off [-]; 0 for one that was never on a scale.

        Args:
            group: Part group.
        """
        return dict(zip(self.groups, self.shares, strict=True)).get(group, 0.0)

    def apply(self, tally: MassTally) -> CorrectionLine:
        """The correction line of a blade.

        Args:
            tally: Its worked-out mass.
        """
        return self.of_masses(tally.group_masses)

    def of_masses(self, group_masses: Mapping[str, float]) -> CorrectionLine:
        """The correction line for worked-out group masses.

        Args:
            group_masses: Mass by part group [kg].
        """
        known = np.array([group_masses.get(g, 0.0) for g in self.groups])
        value = float(known @ np.array(self.shares)) if self.groups else 0.0
        variance = self.ridge.scale_error**2
        if self.groups:
            variance += float(known @ np.array(self.covariance) @ known)
        # A group that was never on a scale is only as well known as it was assumed to be.
        variance += sum((self.ridge.spread * m) ** 2 for g, m in group_masses.items() if g not in self.groups)
        half = Z95 * sqrt(variance)
        return CorrectionLine(
            value=value,
            low=value - half,
            high=value + half,
            tickets_used=self.tickets_used,
            basis=self._basis(),
            sentence=self._sentence(value, half),
        )

    def _sentence(self, value: float, half: float) -> str:
        low, high = (say(x, "mass") for x in (value - half, value + half))
        band = f"the scale may read {low} to {high} off, 95 times in 100"
        if self.tickets_used == 0:
            return f"no scale tickets yet; {band}, by assumption only"
        count = f"{self.tickets_used} scale ticket{'' if self.tickets_used == 1 else 's'}"
        return f"{count} say {say(value, 'mass')}; {band}"

    def _basis(self) -> Basis:
        return Basis(
            kind="assumed" if self.tickets_used == 0 else "shop rule",
            formula="ridge regression of scale less worked-out mass on group masses; band 1.96 deviations",
            inputs=MappingProxyType(
                {
                    "scale tickets": str(self.tickets_used),
                    "spread of a group's share, assumed": f"{100 * self.ridge.spread:g} %",
                    "error of one ticket, assumed": say(self.ridge.scale_error, "mass"),
                    "errors": "normal and independent, assumed",
                }
            ),
            source="scale tickets of this shop" if self.tickets_used else "",
        )


def learn(tickets: Sequence[Ticket], ridge: Ridge = ASSUMED) -> Correction:
    """Learn by what share each part group is off.

    Each group's share is taken as normal about zero with the assumed spread, and each ticket's error as normal;
    the posterior of the shares is the ridge regression, its covariance gives the band.

    Args:
        tickets: Scale tickets with the worked-out group masses of the blade weighed.
        ridge: What is assumed before weighing.

    Raises:
        EntryError: A ticket without a mass, or an assumption that is not above zero.
    """
    if not (ridge.spread > 0.0 and ridge.scale_error > 0.0):
        raise EntryError(
            "spread and scale_error must be above zero",
            value=f"spread {ridge.spread:g}, scale_error {ridge.scale_error:g} kg",
            limit="above 0",
            way_out="Give the spread as a share, as 0.05, and the error as a mass, as 2 kg.",
        )
    for ticket in tickets:
        if not 0.0 < ticket.scale_mass < 1e5 or not ticket.group_masses:
            raise EntryError(
                "a scale ticket that cannot be used",
                where=f"scale ticket {ticket.serial}".strip(),
                value=f"{say(ticket.scale_mass, 'mass')}, {len(ticket.group_masses)} part groups",
                limit="a mass above 0 and at least one part group",
                way_out="Weigh the blade again, or strike the ticket.",
            )
    if not tickets:
        return Correction(ridge=ridge)
    groups = tuple(dict.fromkeys(g for t in tickets for g in t.group_masses))
    masses = np.array([[t.group_masses.get(g, 0.0) for g in groups] for t in tickets])
    off = np.array([t.scale_mass - sum(t.group_masses.values()) for t in tickets])
    precision = masses.T @ masses / ridge.scale_error**2 + np.eye(len(groups)) / ridge.spread**2
    covariance = np.linalg.inv(precision)
    shares = covariance @ masses.T @ off / ridge.scale_error**2
    return Correction(
        groups=groups,
        shares=tuple(float(x) for x in shares),
        covariance=tuple(tuple(float(x) for x in row) for row in covariance),
        tickets_used=len(tickets),
        ridge=ridge,
    )
