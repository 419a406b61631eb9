"""The balance of a cylinder that moves at constant speed, for many circuits at once.

One row is one way of one circuit. "In" is the side the oil enters, "out" the side it leaves. The speed v is the zero of
p_in(v) A_in - p_out(v) A_out - load, which only falls with v, so it is found by halving. Pressures are above the air's.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import nan
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from plowwright.errors import ModelError
from plowwright.physics.hoses import Line, line_drops
from plowwright.physics.orifices import VAPOUR, Restrictor, ideal_speed

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

_HALVINGS: Final = 56
_RUNAWAY: Final = 50.0
"""Speed of a rod over which nothing holds it [m/s]."""
_STIFF: Final = 1e-12
"""Droop of a pump that gives its full flow up to the relief; only keeps the division going [-]."""
_OPEN: Final = (1.0, 0.0, 1.0, 0.0)
"""A port without restrictor: a hole of 1 m, which costs nothing."""


class Row(NamedTuple):
    """One way of one circuit, ready to be stacked.

    Attributes:
        area_in: Piston area the oil pushes on [m2].
        area_out: Piston area that pushes oil out [m2].
        flow: Of the pump without pressure [m3/s].
        relief: Setting of the carrier's relief [Pa].
        droop: Share of the flow the pump loses at the relief's pressure [-].
        back: Pressure in the carrier's return [Pa].
        load: What resists the rod; negative where it helps [N].
        density: Of the oil [kg/m3].
        viscosity: Kinematic [m2/s].
        hole_in: Diameter, length, discharge coefficient or nan, one over contraction or 0 [m, m, -, -].
        hole_out: The same on the way out [m, m, -, -].
        line_in: Bore, length, loss, cold loss [m, m, -, -].
        line_out: The same on the way out [m, m, -, -].
        slow: 1 for the slow law of the holes, else 0 [-].
    """

    area_in: float
    area_out: float
    flow: float
    relief: float
    droop: float
    back: float
    load: float
    density: float
    viscosity: float
    hole_in: tuple[float, float, float, float]
    hole_out: tuple[float, float, float, float]
    line_in: tuple[float, float, float, float]
    line_out: tuple[float, float, float, float]
    slow: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """What came out, one entry for each row.

    Attributes:
        speed: Of the rod, 0 where it stalls [m/s].
        pressure_in: On the side the oil enters [Pa].
        pressure_out: On the side it leaves [Pa].
        supply: At the carrier's outlet [Pa].
        excess: Flow that goes over the carrier's relief [m3/s].
        hole_loss: Lost in both restrictors [Pa].
        line_loss: Lost in both lines [Pa].
        pump_limited: Whether the pump's whole flow goes into the cylinder.
        void: Whether the load drags the rod faster than oil follows.
        cavitates: Whether a restrictor chokes.
    """

    speed: Array
    pressure_in: Array
    pressure_out: Array
    supply: Array
    excess: Array
    hole_loss: Array
    line_loss: Array
    pump_limited: Flags
    void: Flags
    cavitates: Flags


class _Holes:
    """Restrictors of one side."""

    def __init__(self, table: Array, density: Array, viscosity: Array, slow: Array) -> None:
        rows: list[Array] = list(table)
        diameter, length, discharge, self.tight = rows
        self.area: Array = np.pi / 4 * diameter**2
        self.half_density: Array = density / 2.0
        slender = length / diameter
        fixed = ~np.isnan(discharge)
        friction: Array = np.where(fixed, 0.0, viscosity)
        resistance = 128.0 * length / (np.pi * diameter**4) + 24.0 / diameter**3
        self.creeping: Array = 2.0 * self.area * friction * resistance
        measured = 20.0 * (1.0 + 2.25 * slender) * friction / diameter
        self.b: Array = np.where(slow > 0.5, self.creeping, measured)
        law: Array = 0.827 - 0.0085 * np.minimum(slender, 20.0)
        self.a: Array = 1.0 / np.where(fixed, discharge, law)

    def drop(self, flow: Array) -> Array:
        return self.half_density * ideal_speed(flow, self.area, self.a, self.b, self.creeping) ** 2

    def choke(self, flow: Array) -> Array:
        """Pressure above vapour that the flow needs before the hole so as not to choke."""
        return self.half_density * (flow * self.tight / self.area) ** 2


class _Circuits:
    """All rows side by side."""

    def __init__(self, rows: Sequence[Row]) -> None:
        plain: Array = np.array([(*row[:9], row.slow) for row in rows], dtype=np.float64).T
        column: list[Array] = list(plain)
        self.area_in, self.area_out, self.flow, self.relief, droop, self.back, self.load = column[:7]
        self.density, self.viscosity, slow = column[7:]
        self.droop: Array = np.maximum(droop, _STIFF)
        tables: Array = np.array([row[9:13] for row in rows], dtype=np.float64).transpose(1, 2, 0)
        self.hole_in = _Holes(tables[0], self.density, self.viscosity, slow)
        self.hole_out = _Holes(tables[1], self.density, self.viscosity, slow)
        self.line_in: Array = tables[2]
        self.line_out: Array = tables[3]

    def lines(self, table: Array, flow: Array) -> Array:
        return line_drops(flow, table[0], table[1], table[2], table[3], self.density, self.viscosity)

    def out_pressure(self, speed: Array) -> Array:
        flow = self.area_out * speed
        plain = self.back + self.lines(self.line_out, flow) + self.hole_out.drop(flow)
        return np.maximum(plain, VAPOUR + self.hole_out.choke(flow))

    def in_pressure(self, speed: Array) -> Array:
        """Greatest pressure the supply can put on the piston at that speed."""
        flow = self.area_in * speed
        share = np.clip((1.0 - flow / self.flow) / self.droop, 0.0, 1.0)
        before = self.relief * share - self.lines(self.line_in, flow)
        starved = (flow >= self.flow) | (self.hole_in.choke(flow) > before - VAPOUR)
        return np.where(starved, VAPOUR, np.maximum(before - self.hole_in.drop(flow), VAPOUR))

    def surplus(self, speed: Array) -> Array:
        return self.area_in * self.in_pressure(speed) - self.area_out * self.out_pressure(speed) - self.load


def solve(rows: Sequence[Row]) -> Balance:
    """Speed and pressures of every row.

    Args:
        rows: The circuits.

    Raises:
        ModelError: A load drags the rod and nothing on the way out holds it.

    Source: balance of forces and flows; the holes by `Restrictor`, the lines by `Line`.
    """
    c = _Circuits(rows)
    stalled = c.relief * c.area_in - c.back * c.area_out <= c.load
    high = 2.0 * c.flow / c.area_in
    while (running := c.surplus(high) > 0.0).any():
        if (high[running] > _RUNAWAY).any():
            raise ModelError(
                "nothing on the way out holds this load back",
                value=f"{float(-c.load.min()):.0f} N along the rod",
                limit="a restrictor, or a line with some loss, on the side the oil leaves",
                way_out="Put a restrictor in that port.",
            )
        high = np.where(running, 4.0 * high, high)
    low = np.zeros_like(high)
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        moving = c.surplus(middle) > 0.0
        low, high = np.where(moving, middle, low), np.where(moving, high, middle)
    return _read(c, np.where(stalled, 0.0, 0.5 * (low + high)), stalled)


def _read(c: _Circuits, speed: Array, stalled: Flags) -> Balance:
    """Pressures put back from the speed found; the way out and the load fix what stands on the way in."""
    flow_in, flow_out = c.area_in * speed, c.area_out * speed
    # The lines divide by the flow's Reynolds number: a rod that stands is given a trickle there.
    trickle_in, trickle_out = np.maximum(flow_in, 1e-15), np.maximum(flow_out, 1e-15)
    lost_in = c.lines(c.line_in, trickle_in)
    hole_in = c.hole_in.drop(flow_in)
    pressure_out = np.where(stalled, c.back, c.out_pressure(np.maximum(speed, 1e-15)))
    pressure_in = np.where(stalled, c.relief, (c.load + pressure_out * c.area_out) / c.area_in)
    void = (pressure_in <= VAPOUR + 1.0) & ~stalled
    pump = (flow_in >= c.flow * (1.0 - c.droop) * (1.0 - 1e-9)) & ~stalled
    needed = pressure_in + lost_in + hole_in
    supply = np.where(pump, np.clip(needed, 0.0, c.relief), c.relief)
    left = c.flow * (1.0 - np.minimum(c.droop, 1.0) * supply / c.relief) - flow_in
    lost_out = c.lines(c.line_out, trickle_out)
    choked_out = VAPOUR + c.hole_out.choke(flow_out) > c.back + lost_out + c.hole_out.drop(flow_out)
    choked_in = ~pump & ~stalled & (needed < c.relief * (1.0 - 1e-6))
    return Balance(
        speed=speed,
        pressure_in=pressure_in,
        pressure_out=pressure_out,
        supply=supply,
        excess=np.where(pump & (supply < c.relief), 0.0, np.maximum(left, 0.0)),
        hole_loss=supply - lost_in - pressure_in + pressure_out - lost_out - c.back,
        line_loss=lost_in + lost_out,
        pump_limited=pump,
        void=void,
        cavitates=(choked_out & ~stalled) | choked_in,
    )


def hole(restrictor: Restrictor | None) -> tuple[float, float, float, float]:
    """A restrictor, or an open port, as `Row` wants it.

    Args:
        restrictor: In the port, or None.
    """
    if restrictor is None:
        return _OPEN
    return (
        restrictor.diameter,
        restrictor.length,
        nan if restrictor.discharge is None else restrictor.discharge,
        0.0 if restrictor.contraction is None else 1.0 / restrictor.contraction,
    )


def hose(line: Line) -> tuple[float, float, float, float]:
    """A line as `Row` wants it.

    Args:
        line: From the outlet to the port.
    """
    return line.bore, line.length, line.loss, line.cold
