"""A cylinder, the restrictors in its ports, its lines and the carrier that feeds it.

"Out" drives the rod out: oil enters the cap side. "In" draws it in: oil enters the rod side. Pressures are above the
air's.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, pi, sqrt
from typing import Final, Literal

from plowwright import units
from plowwright.errors import ModelError
from plowwright.physics import steady
from plowwright.physics.hoses import Line
from plowwright.physics.oil import Oil
from plowwright.physics.orifices import Law, Restrictor

Way = Literal["out", "in"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cylinder:
    """A double-acting cylinder with one rod.

    Attributes:
        bore: Inside diameter [m].
        rod: Diameter of the rod [m].
        stroke: Travel from stop to stop [m].
        name: What it is called in messages.

    Raises:
        ModelError: The rod is no thinner than the bore, or there is no stroke.
    """

    bore: float
    rod: float
    stroke: float
    name: str = "angle cylinder"

    def __post_init__(self) -> None:
        if not (self.bore > self.rod > 0.0 and self.stroke > 0.0):
            raise ModelError(
                f"{self.name}: these sizes make no cylinder",
                value=f"bore {units.tape(self.bore)}, rod {units.tape(self.rod)}, stroke {units.tape(self.stroke)}",
                limit="rod over 0 and under the bore, stroke over 0",
            )

    @property
    def cap_area(self) -> float:
        """Piston area on the cap side [m2]."""
        return pi / 4 * self.bore**2

    @property
    def rod_area(self) -> float:
        """Piston area on the rod side, the ring about the rod [m2]."""
        return pi / 4 * (self.bore**2 - self.rod**2)

    @property
    def rod_section(self) -> float:
        """Area of the rod itself: what it displaces as it goes in [m2]."""
        return pi / 4 * self.rod**2

    @property
    def ratio(self) -> float:
        """Cap area over rod-side area: how much it raises the pressure on a blocked rod side [-]."""
        return self.cap_area / self.rod_area

    def push(self, pressure: float) -> float:
        """Force of the rod going out: p A_cap.

        Args:
            pressure: On the cap side, none on the other [Pa].

        Returns:
            Force [N].
        """
        return pressure * self.cap_area

    def pull(self, pressure: float) -> float:
        """Force of the rod going in: p A_rod.

        Args:
            pressure: On the rod side, none on the other [Pa].

        Returns:
            Force [N].
        """
        return pressure * self.rod_area

    def areas(self, way: Way) -> tuple[float, float]:
        """Area the oil pushes on, and area that pushes oil out.

        Args:
            way: Of the rod.

        Returns:
            Both areas [m2].
        """
        return (self.cap_area, self.rod_area) if way == "out" else (self.rod_area, self.cap_area)


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """What the carrier's auxiliary outlets give.

    Attributes:
        flow: Of the pump at that engine speed [m3/s].
        relief: Setting of the carrier's relief [Pa].
        back: Pressure in the return [Pa].
        droop: Share of its flow the pump loses at the relief's pressure, straight line from none [-].
        name: What it is called in messages.

    Raises:
        ModelError: No flow, no pressure, or a return pressure over the relief.
    """

    flow: float
    relief: float
    back: float = 0.0
    droop: float = 0.0
    name: str = "carrier"

    def __post_init__(self) -> None:
        if not (0.0 < self.flow < inf and 0.0 <= self.back < self.relief < inf and 0.0 <= self.droop < 1.0):
            raise ModelError(
                f"{self.name}: this supply moves nothing",
                value=f"{units.say(self.flow, 'flow')}, relief {units.say(self.relief, 'pressure')}, "
                f"return {units.say(self.back, 'pressure')}, droop {self.droop:g}",
                limit="flow over 0, relief over the return's pressure, droop under 1",
                way_out="Read flow and relief off the carrier's plate or book, for example 20 gpm and 3,000 psi.",
            )

    @property
    def power(self) -> float:
        """Hydraulic power at the relief: p Q, gpm psi / 1714 in horsepower [W]."""
        return self.relief * self.flow * (1.0 - self.droop)


@dataclass(frozen=True, slots=True, kw_only=True)
class Restrictors:
    """The restrictors in both ports.

    Attributes:
        cap: In the cap-side port, or None.
        rod: In the rod-side port, or None.
    """

    cap: Restrictor | None
    rod: Restrictor | None


OPEN_PORTS: Final = Restrictors(cap=None, rod=None)


NO_LOSS: Final = Line()
"""A line that loses nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lines:
    """The lines to both ports.

    Attributes:
        cap: To the cap-side port.
        rod: To the rod-side port.
    """

    cap: Line = NO_LOSS
    rod: Line = NO_LOSS


BARE_LINES: Final = Lines()


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    """A cylinder on a carrier at one temperature.

    Attributes:
        cylinder: The cylinder.
        restrictors: In its ports.
        supply: The carrier.
        oil: In it.
        temperature: Of the oil in the blade's lines and restrictors [degC].
        lines: To the ports; none lose anything unless given.
        load_out: What resists the rod on its way out, negative where it helps [N].
        load_in: The same on its way in [N].
        law: Law of the holes: likely, or the slow bound for cold oil.
    """

    cylinder: Cylinder
    restrictors: Restrictors
    supply: Supply
    oil: Oil
    temperature: float
    lines: Lines = BARE_LINES
    load_out: float = 0.0
    load_in: float = 0.0
    law: Law = "likely"

    def row(self, way: Way, density: float, viscosity: float) -> steady.Row:
        """One way of it for the balance.

        Args:
            way: Of the rod.
            density: Of its oil [kg/m3].
            viscosity: Of its oil [m2/s].
        """
        supply, ports, lines, outward = self.supply, self.restrictors, self.lines, way == "out"
        cap, rod = steady.hole(ports.cap), steady.hole(ports.rod)
        to_cap, to_rod = steady.hose(lines.cap), steady.hose(lines.rod)
        area_in, area_out = self.cylinder.areas(way)
        return steady.Row(
            area_in=area_in,
            area_out=area_out,
            flow=supply.flow,
            relief=supply.relief,
            droop=supply.droop,
            back=supply.back,
            load=self.load_out if outward else self.load_in,
            density=density,
            viscosity=viscosity,
            hole_in=cap if outward else rod,
            hole_out=rod if outward else cap,
            line_in=to_cap if outward else to_rod,
            line_out=to_rod if outward else to_cap,
            slow=1.0 if self.law == "slow" else 0.0,
        )


def plain_speed(
    cylinder: Cylinder, way: Way, pressure: float, cap: float, rod: float, discharge: float, density: float
) -> float:
    """Ideal swing, closed form: v^2 = p A_in / (k_cap A_cap^3 + k_rod A_rod^3), k = rho / (2 Cd^2 A_o^2).

    Only the restrictors lose pressure, with one fixed coefficient, no load and no cavitation.

    Args:
        cylinder: The cylinder.
        way: Of the rod.
        pressure: Of the supply [Pa].
        cap: Hole in the cap-side port [m].
        rod: Hole in the rod-side port [m].
        discharge: Coefficient of both [-].
        density: Of the oil [kg/m3].

    Returns:
        Speed of the rod [m/s].

    Source: balance of forces with Q = Cd A sqrt(2 dp / rho). It follows that T_out / T_in = sqrt(A_rod / A_cap) for any
    pair of holes, that T ~ d^-2 and that the pump's flow does not appear.
    """
    k_cap, k_rod = (density / (2.0 * (discharge * pi / 4 * d * d) ** 2) for d in (cap, rod))
    drag = k_cap * cylinder.cap_area**3 + k_rod * cylinder.rod_area**3
    return sqrt(pressure * cylinder.areas(way)[0] / drag)


def plain_diameter(
    cylinder: Cylinder, way: Way, pressure: float, time: float, discharge: float, density: float
) -> float:
    """Hole, the same in both ports, for a time of the ideal swing: `plain_speed` solved for it.

    Args:
        cylinder: The cylinder.
        way: Of the rod.
        pressure: Of the supply [Pa].
        time: From stop to stop [s].
        discharge: Coefficient of both [-].
        density: Of the oil [kg/m3].

    Returns:
        Diameter [m].

    Source: as `plain_speed`; T ~ d^-2.
    """
    unit = cylinder.stroke / plain_speed(cylinder, way, pressure, 1.0, 1.0, discharge, density)
    return sqrt(unit / time)


def pump_time(cylinder: Cylinder, way: Way, flow: float) -> float:
    """Floor of the time, set by the pump: stroke A_in / Q; 231 gpm / (60 A) in/s.

    Args:
        cylinder: The cylinder.
        way: Of the rod.
        flow: Of the pump [m3/s].

    Returns:
        Time [s].

    Source: continuity.
    """
    return cylinder.stroke * cylinder.areas(way)[0] / flow
