"""Hoses and quick couplers: speed of the oil, pressure lost warm and cold, pressure they are rated for."""

from __future__ import annotations

from dataclasses import dataclass
from math import log10, pi
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from plowwright import units
from plowwright.errors import ModelError
from plowwright.units.constants import FOOT, INCH, PSI

Array = NDArray[np.float64]

LAMINAR: Final = 2040.0
"""Reynolds number up to which flow in a hose is taken as laminar; above it the greater, turbulent, loss counts [-]."""

Duty = Literal["suction", "return or low pressure", "pressure", "high pressure"]

SPEEDS: Final[dict[Duty, tuple[float, float]]] = {
    "suction": (2 * FOOT, 4 * FOOT),
    "return or low pressure": (10 * FOOT, 15 * FOOT),
    "pressure": (15 * FOOT, 20 * FOOT),
    "high pressure": (25 * FOOT, 25 * FOOT),
}
"""Usual greatest speed of oil in lines: up to 500 psi, to 3,000 psi and above; a fluid-power handbook rule [m/s]."""

DASH: Final[dict[int, float]] = {4: INCH / 4, 6: 3 * INCH / 8, 8: INCH / 2, 12: 3 * INCH / 4, 16: INCH}
"""Bore by dash size, sixteenths of an inch (SAE J517, from memory) [m]."""

PIPE_THREADS: Final[dict[str, tuple[float, float]]] = {
    "1/8": (0.405 * INCH, 27.0),
    "1/4": (0.540 * INCH, 18.0),
    "3/8": (0.675 * INCH, 18.0),
    "1/2": (0.840 * INCH, 14.0),
    "3/4": (1.050 * INCH, 14.0),
    "1": (1.315 * INCH, 11.5),
}
"""NPT pipe threads, taper 1 in 16: outside diameter [m] and threads to the inch (ASME B1.20.1, from memory)."""

STRAIGHT_THREADS: Final[dict[int, str]] = {
    4: "7/16-20", 6: "9/16-18", 8: "3/4-16", 10: "7/8-14", 12: "1-1/16-12", 16: "1-5/16-12",
}  # fmt: skip
"""Threads of 37 degree flare and O-ring boss ports by dash size (SAE J514 and J1926, from memory)."""

RATED: Final[dict[str, dict[int, float]]] = {
    "100R1": {4: 2750 * PSI, 6: 2250 * PSI, 8: 2000 * PSI, 12: 1250 * PSI, 16: 1000 * PSI},
    "100R2": {4: 5000 * PSI, 6: 4000 * PSI, 8: 3500 * PSI, 12: 2250 * PSI, 16: 2000 * PSI},
    "100R17": {4: 3000 * PSI, 6: 3000 * PSI, 8: 3000 * PSI, 12: 3000 * PSI, 16: 3000 * PSI},
}
"""Working pressure by hose type and dash size (SAE J517, from memory: read the print on the hose) [Pa]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Coupler:
    """A quick coupler, both halves.

    Attributes:
        name: What it is called.
        standard: Standard of its face, such as "ISO 16028" for flat-face or "ISO 7241" for poppet.
        bore: Size of the line it belongs to [m].
        loss: Speed heads lost in it at full turbulence; assumed, a maker's curve goes before it [-].
        cold: Further loss by friction, over the Reynolds number; assumed [-].
        rated: Working pressure [Pa], or None where it is not known.
    """

    name: str
    standard: str
    bore: float
    loss: float = 8.0
    cold: float = 1000.0
    rated: float | None = None

    def drop(self, flow: float, density: float, viscosity: float) -> float:
        """Pressure lost: (K + K1 / Re) rho V^2 / 2.

        Args:
            flow: Through it [m3/s].
            density: Of the oil [kg/m3].
            viscosity: Kinematic viscosity [m2/s].

        Returns:
            Pressure drop [Pa].

        Source: two-K form of Hooper, 1981 (from memory); its figures here are assumed.
        """
        speed = line_speed(flow, self.bore)
        return density / 2.0 * (self.loss * speed * speed + self.cold * speed * viscosity / self.bore)


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line from the carrier's outlet to a cylinder port: hose, couplers and bends.

    Attributes:
        bore: Of the hose [m].
        length: Of the hose [m].
        loss: Speed heads lost in couplers, elbows and ports together [-].
        cold: Their further loss by friction, over the Reynolds number [-].
        rated: Least working pressure of what is in it [Pa], or None where it is not known.

    Raises:
        ModelError: A bore of nothing, or a length below it.
    """

    bore: float = INCH / 2
    length: float = 0.0
    loss: float = 0.0
    cold: float = 0.0
    rated: float | None = None

    def __post_init__(self) -> None:
        if not (self.bore > 0.0 and self.length >= 0.0 and self.loss >= 0.0 and self.cold >= 0.0):
            raise ModelError(
                "this is no hydraulic line",
                value=f"bore {self.bore / INCH:g} in, length {units.say(self.length, 'length')}",
                limit="bore over 0, length and losses 0 or more",
                way_out="Give the hose's inside size: dash 8 is 1/2 in.",
            )

    def drop(self, flow: float, density: float, viscosity: float) -> float:
        """Pressure lost in hose, couplers and bends.

        Args:
            flow: Through it, 0 or more [m3/s].
            density: Of the oil [kg/m3].
            viscosity: Kinematic viscosity [m2/s].

        Returns:
            Pressure drop [Pa].

        Source: as `hose_drop` and `Coupler.drop`.
        """
        speed = line_speed(flow, self.bore)
        fittings = density / 2.0 * (self.loss * speed * speed + self.cold * speed * viscosity / self.bore)
        return hose_drop(flow, self.bore, self.length, density, viscosity) + fittings


def line(
    hose_bore: float,
    length: float,
    couplers: tuple[Coupler, ...] = (),
    *,
    bends: float = 3.0,
    rated: float | None = None,
) -> Line:
    """A line of one hose with couplers and bends, their losses brought to the hose's bore.

    Args:
        hose_bore: Bore of the hose [m].
        length: Of the hose [m].
        couplers: In it.
        bends: Speed heads lost in elbows, adapters and ports; assumed [-].
        rated: Working pressure of the hose, or None where it is not known [Pa].

    Raises:
        ModelError: A bore of nothing, or a length below it.
    """
    pressures = [p for p in (rated, *(c.rated for c in couplers)) if p is not None]
    unknown = rated is None or any(c.rated is None for c in couplers)
    return Line(
        bore=hose_bore,
        length=length,
        loss=bends + sum(c.loss * (hose_bore / c.bore) ** 4 for c in couplers),
        cold=sum(c.cold * (hose_bore / c.bore) ** 3 for c in couplers),
        rated=None if unknown else min(pressures),
    )


def line_speed(flow: float, bore: float) -> float:
    """Speed of the oil: V = Q / A, 0.3208 gpm / in2 in ft/s.

    Args:
        flow: Through the line [m3/s].
        bore: Inside diameter [m].

    Returns:
        Speed [m/s].

    Source: continuity.
    """
    return flow / (pi / 4 * bore * bore)


def reynolds(flow: float, bore: float, viscosity: float) -> float:
    """Reynolds number of a line: V d / nu.

    Args:
        flow: Through the line [m3/s].
        bore: Inside diameter [m].
        viscosity: Kinematic viscosity [m2/s].

    Returns:
        Number; over about 2,000 the flow may turn turbulent [-].
    """
    return line_speed(flow, bore) * bore / viscosity


def blasius(number: float) -> float:
    """Darcy friction factor of a smooth line: 0.3164 / Re^0.25.

    Args:
        number: Reynolds number, about 3,000 to 100,000 [-].

    Returns:
        Friction factor [-].

    Source: Blasius 1913.

    >>> round(blasius(10_000.0), 5)
    0.03164
    """
    return 0.3164 / number**0.25


def friction_factor(number: float, rough: float = 0.0) -> float:
    """Darcy friction factor: 64 / Re when laminar, Colebrook's above Re 2040.

    Colebrook: 1 / sqrt(f) = -2 log10(e / (3.7 D) + 2.51 / (Re sqrt f)), by Serghides' explicit form (within 0.003 %).

    Args:
        number: Reynolds number, over 0 [-].
        rough: Roughness over diameter, e / D; 0 for hose [-].

    Returns:
        Friction factor [-].

    Source: Hagen-Poiseuille; Colebrook 1939; Serghides 1984 (from memory, tested against an independent library).

    >>> friction_factor(1000.0)
    0.064
    """
    if number <= LAMINAR:
        return 64.0 / number
    wall = rough / 3.7
    a = -2.0 * log10(wall + 12.0 / number)
    b = -2.0 * log10(wall + 2.51 * a / number)
    c = -2.0 * log10(wall + 2.51 * b / number)
    return (a - (b - a) ** 2 / (c - 2.0 * b + a)) ** -2


def friction_factors(numbers: Array, rough: float = 0.0) -> Array:
    """`friction_factor` for many at once.

    Args:
        numbers: Reynolds numbers, over 0 [-].
        rough: Roughness over diameter [-].

    Returns:
        Friction factors [-].

    Source: as `friction_factor`.
    """
    fast = np.maximum(numbers, LAMINAR)
    wall = rough / 3.7
    a = -2.0 * np.log10(wall + 12.0 / fast)
    b = -2.0 * np.log10(wall + 2.51 * a / fast)
    c = -2.0 * np.log10(wall + 2.51 * b / fast)
    step = c - 2.0 * b + a
    turbulent = (a - (b - a) ** 2 / step) ** -2
    return np.where(numbers <= LAMINAR, 64.0 / numbers, turbulent)


def hose_drop(
    flow: float, bore: float, length: float, density: float, viscosity: float, *, rough: float = 0.0
) -> float:
    """Pressure lost in a hose: f (L / D) rho V^2 / 2.

    Args:
        flow: Through it, 0 or more [m3/s].
        bore: Inside diameter [m].
        length: Of the hose [m].
        density: Of the oil [kg/m3].
        viscosity: Kinematic viscosity [m2/s].
        rough: Roughness over diameter [-].

    Returns:
        Pressure drop [Pa].

    Source: Darcy-Weisbach. Turbulent formulas on cold oil are ten times too low, hence the laminar one below Re 2040.

    >>> round(hose_drop(10 * 6.30902e-5, 0.0127, 3.048, 870.0, 46e-6) / 6894.757, 1)
    17.5
    """
    if flow <= 0.0 or length <= 0.0:
        return 0.0
    speed = line_speed(flow, bore)
    return friction_factor(reynolds(flow, bore, viscosity), rough) * length / bore * density * speed * speed / 2.0


def bore_for_speed(flow: float, speed: float) -> float:
    """Bore that keeps the oil at a speed: sqrt(4 Q / (pi V)).

    Args:
        flow: Through the line [m3/s].
        speed: Greatest speed wanted [m/s].

    Returns:
        Inside diameter [m].

    Source: continuity.
    """
    return float((4.0 * flow / (pi * speed)) ** 0.5)


def line_drops(
    flow: Array, bore: Array, length: Array, loss: Array, cold: Array, density: Array, viscosity: Array
) -> Array:
    """`Line.drop` for many at once.

    Args:
        flow: Through each, over 0 [m3/s].
        bore: Inside diameters [m].
        length: Of each hose [m].
        loss: Speed heads lost in fittings [-].
        cold: Their further loss over the Reynolds number [-].
        density: Of the oil [kg/m3].
        viscosity: Kinematic viscosities [m2/s].

    Returns:
        Pressure drops [Pa].

    Source: as `Line.drop`.
    """
    speed = flow / (pi / 4 * bore * bore)
    number = speed * bore / viscosity
    heads = friction_factors(number) * length / bore + loss + cold / number
    return heads * density * speed * speed / 2.0
