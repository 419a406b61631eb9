"""The blade as it angles: speed of its end, energy at the stop, force at its end, pressure and heat, as bands.

The cylinder runs between a base pin that stays with the carrier and a rod pin that turns with the blade about the king
pin. Angles are about the king pin, from the base pin's radius to the rod pin's; they grow as the rod goes out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import acos, sin, sqrt
from typing import Final

import numpy as np

from plowwright import units
from plowwright.errors import ModelError
from plowwright.physics.circuits import Circuit, Cylinder, Restrictors, Supply, Way
from plowwright.physics.drills import TOLERANCE
from plowwright.physics.hydraulics import SwingTimes, Travel, swing_times
from plowwright.physics.oil import Temperatures
from plowwright.physics.orifices import Law, Restrictor

_NODES: Final = 7
"""Places of the stroke at which a load is balanced; Gauss-Legendre."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Linkage:
    """Where the angle cylinder is pinned.

    Attributes:
        base: From king pin to base pin [m].
        lug: From king pin to rod pin [m].
        shortest: Pin to pin at the stop with the rod in [m].
        longest: Pin to pin at the other stop [m].

    Raises:
        ModelError: The pins cannot lie so, or the cylinder comes in line with the king pin and loses its lever.
    """

    base: float
    lug: float
    shortest: float
    longest: float

    def __post_init__(self) -> None:
        least, most = abs(self.base - self.lug), self.base + self.lug
        if not (self.base > 0.0 and self.lug > 0.0 and least < self.shortest < self.longest < most):
            raise ModelError(
                "the angle cylinder has no lever about the king pin at one of its stops",
                value=f"pin to pin {units.tape(self.shortest)} to {units.tape(self.longest)}",
                limit=f"between {units.tape(least)} and {units.tape(most)} with these pins",
                way_out="Move a pin, or end the travel earlier with the stops.",
            )

    @property
    def travel(self) -> float:
        """Of the rod from stop to stop [m]."""
        return self.longest - self.shortest

    def angle(self, length: float) -> float:
        """Angle at the king pin: acos((b^2 + l^2 - L^2) / (2 b l)).

        Args:
            length: Pin to pin [m].

        Returns:
            Angle [rad].

        Source: law of cosines.
        """
        return acos((self.base**2 + self.lug**2 - length**2) / (2.0 * self.base * self.lug))

    def arm(self, length: float) -> float:
        """Lever of the cylinder about the king pin: b l sin(angle) / L.

        Args:
            length: Pin to pin [m].

        Returns:
            Lever, also the rod's speed over the blade's turning speed [m].

        Source: area of the triangle of the three pins.
        """
        return self.base * self.lug * sin(self.angle(length)) / length

    @property
    def sweep(self) -> float:
        """Angle from stop to stop [rad]."""
        return self.angle(self.longest) - self.angle(self.shortest)

    @property
    def least_arm(self) -> float:
        """Least lever on the way, at one of the stops [m]."""
        return min(self.arm(self.shortest), self.arm(self.longest))

    @property
    def greatest_arm(self) -> float:
        """Greatest lever on the way: the shorter radius where cylinder and it stand square, else at a stop [m]."""
        small, large = sorted((self.base, self.lug))
        square = sqrt(max(large**2 - small**2, 0.0))
        if self.shortest <= square <= self.longest:
            return small
        return max(self.arm(self.shortest), self.arm(self.longest))

    def stopped(self, cylinder: Cylinder) -> Cylinder:
        """The cylinder with only the stroke the blade's stops leave it, for `swing_time` and `size_restrictor`.

        Args:
            cylinder: As bought.
        """
        return replace(cylinder, stroke=self.travel)

    def stop(self, way: Way) -> float:
        """Pin to pin where a way ends.

        Args:
            way: Of the rod.

        Returns:
            Length [m].
        """
        return self.longest if way == "out" else self.shortest


@dataclass(frozen=True, slots=True, kw_only=True)
class Turning:
    """What turns about the king pin.

    Attributes:
        inertia: About the king pin, snow that goes with it included [kg m2].
        reach: From king pin to the end of the blade [m].
    """

    inertia: float
    reach: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Targets:
    """What a swing should keep to; settings of the shop, borrowed from other machines and labelled so.

    Attributes:
        time: Least time from stop to stop; common practice, no source [s].
        end_speed: Greatest speed of the blade's end: reduced speed of robots, ISO 10218, borrowed [m/s].
        energy: Greatest energy at the stop: power-driven guards, EN 953 and ISO 14120, borrowed [J].
    """

    time: float = 4.0
    end_speed: float = 0.25
    energy: float = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Angling:
    """One way of the blade.

    Attributes:
        travel: Of the cylinder; speed and pressures are those at the stop, the time is the whole way's.
        time: From stop to stop [s].
        end_speed: Greatest speed of the blade's end on the way [m/s].
        energy: Of the blade as it meets the stop [J].
        crush: Force at the blade's end when something holds it, at the best lever; restrictors do not limit it [N].
        heat: Mean power over the carrier's relief while it angles [W].
    """

    travel: Travel
    time: float
    end_speed: float
    energy: float
    crush: float
    heat: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Angled:
    """Both ways of the blade.

    Attributes:
        rod_out: The rod going out.
        rod_in: The rod going in.
        blocked: Pressure on the rod side when the rod is driven out against a blocked rod side [Pa].
    """

    rod_out: Angling
    rod_in: Angling
    blocked: float

    @property
    def ways(self) -> tuple[Angling, Angling]:
        """Both, the rod going out first."""
        return self.rod_out, self.rod_in

    @property
    def shortest(self) -> float:
        """Time of the faster way [s]."""
        return min(self.rod_out.time, self.rod_in.time)


def angle_blade(
    circuit: Circuit, linkage: Linkage, blade: Turning, *, moment_out: float = 0.0, moment_in: float = 0.0
) -> Angled:
    """Steady angling of a blade, both ways, with a moment about the king pin.

    T = integral of dx / v(x) over the rod's travel, v balanced at Gauss points; E = I w^2 / 2 with w = v / arm at the
    stop; crush = (p_relief A_in - p_return A_out) arm / reach.

    Args:
        circuit: Cylinder, ports, lines, carrier and oil; its own loads are added to the moment's.
        linkage: Where the cylinder is pinned.
        blade: What turns.
        moment_out: Resists the blade while the rod goes out, negative where it helps [N m].
        moment_in: The same while the rod goes in [N m].

    Raises:
        ModelError: The travel is longer than the cylinder's stroke, or a load drags the blade and nothing holds it.

    Source: `swing_time`; energy and time agree with a simulation of masses and oil within a few per cent (tests).
    """
    cylinder = circuit.cylinder
    if linkage.travel > cylinder.stroke * (1.0 + 1e-9):
        raise ModelError(
            "the blade's stops lie further apart than the cylinder's stroke",
            value=units.tape(linkage.travel),
            limit=units.tape(cylinder.stroke),
            way_out="Set the stops closer, or take a longer cylinder.",
        )
    lengths, weights = _places(linkage, loaded=moment_out != 0.0 or moment_in != 0.0)
    cases = [
        replace(
            circuit,
            load_out=circuit.load_out + moment_out / linkage.arm(length),
            load_in=circuit.load_in + moment_in / linkage.arm(length),
        )
        for length in (*lengths, linkage.longest, linkage.shortest)
    ]
    found = swing_times(cases)
    on_way, out_end, in_end = found[:-2], found[-2].rod_out, found[-1].rod_in
    supply = circuit.supply
    return Angled(
        rod_out=_one_way([t.rod_out for t in on_way], out_end, lengths, weights, linkage, blade, circuit),
        rod_in=_one_way([t.rod_in for t in on_way], in_end, lengths, weights, linkage, blade, circuit),
        blocked=supply.relief * cylinder.ratio + max(-moment_out / linkage.least_arm, 0.0) / cylinder.rod_area,
    )


def _places(linkage: Linkage, *, loaded: bool) -> tuple[list[float], list[float]]:
    """Lengths at which to balance, and the share of the travel each stands for."""
    nodes, weights = np.polynomial.legendre.leggauss(_NODES if loaded else 1)
    lengths = linkage.shortest + linkage.travel * (nodes + 1.0) / 2.0
    return [float(x) for x in lengths], [float(w) / 2.0 for w in weights]


def _one_way(
    on_way: Sequence[Travel],
    at_stop: Travel,
    lengths: Sequence[float],
    weights: Sequence[float],
    linkage: Linkage,
    blade: Turning,
    circuit: Circuit,
) -> Angling:
    speeds = [t.speed for t in on_way]
    moving = min(*speeds, at_stop.speed) > 0.0
    time = linkage.travel * sum(w / v for w, v in zip(weights, speeds, strict=True)) if moving else float("inf")
    turning = at_stop.speed / linkage.arm(linkage.stop(at_stop.way))
    least = linkage.least_arm
    fastest = max(turning, *(v / linkage.arm(x) for v, x in zip(speeds, lengths, strict=True)))
    # Without a load the speed is the same all the way, and the end is quickest where the lever is least.
    fastest = max(fastest, speeds[0] / least) if len(speeds) == 1 else fastest
    area_in, area_out = circuit.cylinder.areas(at_stop.way)
    push = circuit.supply.relief * area_in - circuit.supply.back * area_out
    spent = sum(w * t.heat / t.speed for w, t in zip(weights, on_way, strict=True)) if moving else 0.0
    return Angling(
        travel=at_stop,
        time=time,
        end_speed=fastest * blade.reach,
        energy=0.5 * blade.inertia * turning**2,
        crush=push * linkage.greatest_arm / blade.reach,
        heat=spent * linkage.travel / time if moving else circuit.supply.power,
    )


def time_for(targets: Targets, linkage: Linkage, blade: Turning) -> tuple[float, str]:
    """Least time of the faster way that keeps all targets, and which of them asks for it.

    v <= arm x end speed / reach and v <= arm sqrt(2 E / I), both at the least lever; T = travel / v.

    Args:
        targets: Settings of the shop.
        linkage: Where the cylinder is pinned.
        blade: What turns.

    Returns:
        Time [s] and the name of the target: time, end speed or energy.

    Source: kinematics; what is left open is whether borrowed targets suit a snow blade.
    """
    least = linkage.least_arm
    asked = {
        "time": targets.time,
        "end speed": linkage.travel * blade.reach / (least * targets.end_speed),
        "energy": linkage.travel / (least * sqrt(2.0 * targets.energy / blade.inertia)),
    }
    name = max(asked, key=lambda key: asked[key])
    return asked[name], name


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeBand:
    """Time of one way as a band.

    Attributes:
        low: Warm oil, holes as wide as their tolerance allows [s].
        likely: Warm oil, holes as drilled [s].
        first: First swing of the day: cold oil in the blade's lines, holes as drilled [s].
        high: The same with narrow holes and all of creeping flow's friction [s].
    """

    low: float
    likely: float
    first: float
    high: float

    @property
    def cold_factor(self) -> float:
        """First swing over warm swing [-]."""
        return self.first / self.likely


def time_bands(
    circuit: Circuit, temperatures: Temperatures, *, tolerance: float = TOLERANCE
) -> tuple[TimeBand, TimeBand]:
    """Times of both ways as bands, the rod going out first: two temperatures, hole tolerance and law of the holes.

    Args:
        circuit: The circuit; its own temperature is not used.
        temperatures: Of the tank and of the blade's lines.
        tolerance: Of the drilled holes either way [m].

    Raises:
        ModelError: As `swing_time`.

    Source: `swing_time` at the corners.
    """

    def case(temperature: float, off: float, law: Law) -> Circuit:
        holes = circuit.restrictors
        changed = Restrictors(cap=_off(holes.cap, off), rod=_off(holes.rod, off))
        return replace(circuit, restrictors=changed, temperature=temperature, law=law)

    low, likely, first, high = swing_times(
        [
            case(temperatures.tank, tolerance, "likely"),
            case(temperatures.tank, 0.0, "likely"),
            case(temperatures.lines, 0.0, "likely"),
            case(temperatures.lines, -tolerance, "slow"),
        ]
    )
    out, inward = (
        TimeBand(low=min(a, b), likely=b, first=c, high=max(c, d))
        for a, b, c, d in (
            tuple(t.rod_out.time for t in (low, likely, first, high)),
            tuple(t.rod_in.time for t in (low, likely, first, high)),
        )
    )
    return out, inward


def _off(hole: Restrictor | None, off: float) -> Restrictor | None:
    return None if hole is None else replace(hole, diameter=max(hole.diameter + off, 0.2 * hole.diameter))


def on_pack_and_carrier(circuit: Circuit, pack: Supply) -> tuple[SwingTimes, SwingTimes]:
    """The same blade on the shop's test pack and on the customer's carrier.

    Args:
        circuit: The blade on the carrier.
        pack: The shop's test pack.

    Returns:
        Times on the pack, and times on the carrier.

    Source: `swing_time`; a small pack is slower only where its flow or its relief sets the pace.
    """
    on_pack, on_carrier = swing_times([replace(circuit, supply=pack), circuit])
    return on_pack, on_carrier
