"""Drilled restrictors: pressure to flow and back in closed form, cavitation, and the slow limit of cold oil.

U is the ideal speed sqrt(2 dp / rho). A drilled hole passes Q = A U / (a + b / U), so that A U^2 - a Q U - b Q = 0
gives U, and dp = rho U^2 / 2, for any flow. Pressures are above the air's unless said otherwise.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, pi, sqrt
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from plowwright import units
from plowwright.errors import ModelError
from plowwright.units.constants import INCH

Array = NDArray[np.float64]
Law = Literal["likely", "slow"]
"""likely: the measured law, never easier than creeping flow. slow: its inertia with all of creeping flow's friction."""

AIR: Final = 101_325.0
"""Pressure of the air [Pa]."""
VAPOUR: Final = 1_000.0 - AIR
"""Where oil boils off its air, taken as 1 kPa absolute; assumed [Pa above the air's]."""
CONTRACTION: Final = 0.62
"""Area of the jet over area of a sharp-edged hole: pi / (pi + 2) = 0.611 in theory, 0.62 measured (handbook) [-]."""
PLUGS: Final = 1.0e-3
"""Holes under this size plug with dirt; common practice, no source [m]."""
RANGE: Final = (2.0, 10.0)
"""Length over diameter the measured law stands for [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Restrictor:
    """An orifice in a port fitting between the crossover relief and a hose.

    Attributes:
        diameter: Of the hole [m].
        length: Of the hole, its thickness of metal [m].
        discharge: A fixed coefficient instead of the measured law, as handbook rules have it; None for the law [-].
        contraction: Jet over hole, for the cavitation cap; None for no cap [-].
        name: What it is called in messages.

    Raises:
        ModelError: No hole, or a coefficient outside 0 to 1.
    """

    diameter: float
    length: float = 0.25 * INCH
    discharge: float | None = None
    contraction: float | None = CONTRACTION
    name: str = "restrictor"

    def __post_init__(self) -> None:
        if not 0.0 < self.diameter < inf or not 0.0 <= self.length < inf:
            raise ModelError(
                f"{self.name}: this is no hole",
                value=f"{self.diameter / INCH:g} in wide, {self.length / INCH:g} in long",
                limit="wider than 0, length 0 or more",
                way_out="Give the drill's size; leave the restrictor out altogether if there is none.",
            )
        for what, share in (("discharge coefficient", self.discharge), ("contraction", self.contraction)):
            if share is not None and not 0.0 < share <= 1.0:
                raise ModelError(f"{self.name}: {what} out of range", value=f"{share:g}", limit="over 0, at most 1")

    @property
    def area(self) -> float:
        """Of the hole [m2]."""
        return pi / 4 * self.diameter**2

    @property
    def cautions(self) -> tuple[str, ...]:
        """What to know about this hole before trusting a figure: too short or long for the law, or apt to plug."""
        found: list[str] = []
        if self.diameter < PLUGS:
            size = units.say(self.diameter, "length", style="decimal")
            found.append(f"{self.name}: a hole of {size} plugs easily; under 1.0 mm fit a screen")
        slender = self.length / self.diameter
        if self.discharge is None and not RANGE[0] <= slender <= RANGE[1]:
            found.append(
                f"{self.name}: length over diameter {slender:.2g} is outside {RANGE[0]:g} to {RANGE[1]:g}, "
                "where the law was measured"
            )
        return tuple(found)

    def coefficients(self, viscosity: float, *, law: Law = "likely") -> tuple[float, float, float]:
        """a, b and the creeping b of Q = A U / (a + b / U).

        a = 1 / (0.827 - 0.0085 L/d), b = 20 (1 + 2.25 L/d) nu / d; creeping b = 2 A nu (128 L / (pi d^4) + 24 / d^3).

        Args:
            viscosity: Kinematic viscosity of the oil in the hole [m2/s].
            law: Which law.

        Returns:
            a [-], b and creeping b [m/s].

        Source: Lichtarowicz, Duggins and Markland, J. Mech. Eng. Sci. 7(2), 1965 (from memory): L/d 2 to 10, Re 10 to
        20,000; Poiseuille with Sampson's end correction for creeping flow.
        """
        if self.discharge is not None:
            return 1.0 / self.discharge, 0.0, 0.0
        slender = self.length / self.diameter
        a = 1.0 / (0.827 - 0.0085 * min(slender, 2 * RANGE[1]))
        creeping = 2.0 * self.area * viscosity * creeping_resistance(self.diameter, self.length)
        if law == "slow":
            return a, creeping, creeping
        return a, 20.0 * (1.0 + 2.25 * slender) * viscosity / self.diameter, creeping

    def flow(self, drop: float, density: float, viscosity: float, *, law: Law = "likely") -> float:
        """Flow for a pressure drop: A U / (a + b / U), at most that of creeping flow; no cavitation.

        Args:
            drop: Pressure before less pressure after, 0 or more [Pa].
            density: Of the oil [kg/m3].
            viscosity: Kinematic viscosity [m2/s].
            law: Which law.

        Returns:
            Flow [m3/s].

        Source: as `coefficients`.

        >>> hole = Restrictor(diameter=0.0015875, discharge=0.63)
        >>> round(hole.flow(2000 * 6894.757, 1000.0, 1e-6) / 6.30902e-5, 2)
        3.28
        """
        if drop <= 0.0:
            return 0.0
        a, b, creeping = self.coefficients(viscosity, law=law)
        ideal = sqrt(2.0 * drop / density)
        found = self.area * ideal / (a + b / ideal)
        return min(found, self.area * ideal**2 / creeping) if creeping > 0.0 else found

    def drop(self, flow: float, density: float, viscosity: float, *, law: Law = "likely") -> float:
        """Pressure drop for a flow, the inverse of `flow`: rho U^2 / 2 with A U^2 - a Q U - b Q = 0.

        Args:
            flow: Through the hole, 0 or more [m3/s].
            density: Of the oil [kg/m3].
            viscosity: Kinematic viscosity [m2/s].
            law: Which law.

        Returns:
            Pressure drop [Pa].

        Source: as `coefficients`, solved for U.
        """
        a, b, creeping = self.coefficients(viscosity, law=law)
        u = (a * flow + sqrt((a * flow) ** 2 + 4.0 * self.area * b * flow)) / (2.0 * self.area)
        return density / 2.0 * max(u * u, creeping * flow / self.area)

    def choked(self, before: float, density: float) -> float:
        """Greatest flow, cavitating, that a pressure before the hole can drive: Cc A sqrt(2 (p - p_v) / rho).

        It is Cd = Cc sqrt(K), K = (p_before - p_v) / (p_before - p_after): what stands after the hole no longer counts.

        Args:
            before: Pressure before the hole [Pa].
            density: Of the oil [kg/m3].

        Returns:
            Flow [m3/s]; infinite without a cap.

        Source: Nurick, J. Fluids Eng. 98(4), 1976 (from memory).
        """
        if self.contraction is None:
            return inf
        return self.contraction * self.area * sqrt(2.0 * max(before - VAPOUR, 0.0) / density)

    def flow_between(
        self, before: float, after: float, density: float, viscosity: float, *, law: Law = "likely"
    ) -> float:
        """Flow from one pressure to another, cavitation included: the lesser of `flow` and `choked`.

        Args:
            before: Pressure before the hole [Pa].
            after: Pressure after it [Pa].
            density: Of the oil [kg/m3].
            viscosity: Kinematic viscosity [m2/s].
            law: Which law.

        Returns:
            Flow [m3/s].

        Source: as `flow` and `choked`.
        """
        return min(self.flow(before - after, density, viscosity, law=law), self.choked(before, density))

    def before(self, flow: float, after: float, density: float, viscosity: float, *, law: Law = "likely") -> float:
        """Pressure before the hole that drives a flow against a pressure after it, cavitation included.

        Args:
            flow: Through the hole [m3/s].
            after: Pressure after it [Pa].
            density: Of the oil [kg/m3].
            viscosity: Kinematic viscosity [m2/s].
            law: Which law.

        Returns:
            Pressure [Pa].

        Source: `flow_between` solved for the pressure before.
        """
        plain = after + self.drop(flow, density, viscosity, law=law)
        if self.contraction is None:
            return plain
        return max(plain, VAPOUR + density / 2.0 * (flow / (self.contraction * self.area)) ** 2)


def diameter_for(
    flow: float,
    drop: float,
    density: float,
    viscosity: float,
    *,
    length: float = 0.25 * INCH,
    discharge: float | None = None,
    law: Law = "likely",
) -> float:
    """Hole that passes a flow at a pressure drop: `Restrictor.flow` solved for the diameter by halving.

    Args:
        flow: Wanted, over 0 [m3/s].
        drop: Pressure drop, over 0 [Pa].
        density: Of the oil [kg/m3].
        viscosity: Kinematic viscosity [m2/s].
        length: Of the hole [m].
        discharge: A fixed coefficient, or None for the measured law [-].
        law: Which law.

    Returns:
        Diameter [m].

    Raises:
        ModelError: No flow or no pressure to size by.

    Source: as `Restrictor.flow`.
    """
    if not (flow > 0.0 and drop > 0.0):
        raise ModelError(
            "a hole cannot be sized without flow and pressure",
            value=f"{units.say(flow, 'flow')} at {units.say(drop, 'pressure')}",
            limit="both over 0",
        )
    low, high = 1e-6, 0.1
    for _ in range(80):
        middle = sqrt(low * high)
        hole = Restrictor(diameter=middle, length=length, discharge=discharge, contraction=None)
        low, high = (middle, high) if hole.flow(drop, density, viscosity, law=law) < flow else (low, middle)
    return sqrt(low * high)


def creeping_resistance(diameter: float, length: float) -> float:
    """Pressure drop over viscosity times flow of a hole when inertia is nothing: 128 L / (pi d^4) + 24 / d^3.

    Args:
        diameter: Of the hole [m].
        length: Of the hole [m].

    Returns:
        Resistance dp / (mu Q) [1/m3].

    Source: Hagen-Poiseuille; Sampson 1891 for a hole in a thin wall; their sum is within 1 % (Dagan et al., 1982), from
    memory.
    """
    return 128.0 * length / (pi * diameter**4) + 24.0 / diameter**3


def ideal_speed(flow: Array, area: Array, a: Array, b: Array, creeping: Array) -> Array:
    """U for many holes at once, the same closed form as `Restrictor.drop`.

    Args:
        flow: Through each hole [m3/s].
        area: Of each hole [m2].
        a: Inertia coefficient [-].
        b: Friction coefficient [m/s].
        creeping: Friction coefficient of creeping flow [m/s].

    Returns:
        Ideal speeds; the drop is rho U^2 / 2 [m/s].

    Source: as `Restrictor.coefficients`.
    """
    inertia = a * flow
    u = (inertia + np.sqrt(inertia * inertia + 4.0 * area * b * flow)) / (2.0 * area)
    return np.maximum(u, np.sqrt(creeping * flow / area))
