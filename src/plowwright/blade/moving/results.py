"""What comes out when a blade's swing is worked out: each way, each pump, pressures, and the test pack beside it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf
from typing import Any

from plowwright.blade.carriers import Carrier
from plowwright.blade.moving.geometry import Turns
from plowwright.blade.moving.restrictors import Fitted
from plowwright.blade.moving.supplies import Supplied
from plowwright.blade.spans import Span
from plowwright.findings import Finding
from plowwright.physics.circuits import Circuit, Cylinder, Way
from plowwright.physics.hydraulics import Limit
from plowwright.physics.relief import Order, Protection, Relief, Window
from plowwright.physics.swing import Angled, Linkage, TimeBand
from plowwright.units.constants import GPM, INCH, LBF, PSI

CAUTIONS = (
    "Crush and pinch: nobody within reach of the blade while it angles; restrictors slow it, they do not weaken it.",
    "Oil under pressure goes through skin: never feel for a leak by hand. Oil under the skin is a case for surgery.",
    "Trapped pressure: blade on the ground, engine off, lever worked both ways, before a coupler or hose is opened.",
    "Local rules and the machine maker's limits come first. These are estimates, not the work of a licensed engineer.",
)
"""What stands with every swing; it can be added to, not switched off."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Seconds:
    """Times of both ways with warm oil, bands of hole tolerance and of what is not known of the supply.

    Attributes:
        out: The rod going out [s].
        in_: The rod going in [s].
        out_by: What sets the pace on the way out.
        in_by: What sets it on the way in.
    """

    out: Span
    in_: Span
    out_by: Limit
    in_by: Limit

    def of(self, way: Way) -> Span:
        """Time of a way.

        Args:
            way: Of the rod.
        """
        return self.out if way == "out" else self.in_

    def by(self, way: Way) -> Limit:
        """What sets the pace of a way.

        Args:
            way: Of the rod.
        """
        return self.out_by if way == "out" else self.in_by


@dataclass(frozen=True, slots=True, kw_only=True)
class OneWay:
    """One way of the blade, on the carrier where it is known, else on the test pack.

    Attributes:
        way: Of the rod.
        says: Which end goes forward.
        time: Warm [s].
        band: Warm and cold [s].
        limited_by: What sets the pace.
        end_speed: Of the blade's end [m/s].
        energy: At the stop, snow on the moldboard included [J].
        stall: Force at the blade's end while something holds it [N].
        heat: Over the carrier's relief meanwhile; None while its flow is not known [W].
        bare_time: Without restrictors [s].
        bare_speed: Of the blade's end without restrictors [m/s].
        bare_energy: At the stop without restrictors [J].
        cavitates: Whether oil bubbles behind a restrictor.
        runs_away: Whether the end force of swing.toml drags the rod faster than oil follows.
        helped: Time with that force pushing along [s].
        held_back: Time with the same force against it [s].
        checks: Time, speed and energy against what they should keep to: "time", "end speed", "energy".
    """

    way: Way
    says: str
    time: Span
    band: TimeBand
    limited_by: Limit
    end_speed: Span
    energy: Span
    stall: Span
    heat: Span | None
    bare_time: float
    bare_speed: float
    bare_energy: float
    cavitates: bool
    runs_away: bool
    helped: float
    held_back: float
    checks: Mapping[str, Finding]


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowRow:
    """The swing on one pump, warm, all else likely.

    Attributes:
        name: Which pump.
        flow: Of it [m3/s].
        out: Time with the rod going out [s].
        in_: Time going in [s].
        out_by: What sets the pace on the way out.
        in_by: What sets it on the way in.
        heat: Over the carrier's relief, the worse way [W].
        bare_out: Time out without restrictors [s].
        bare_in: Time in without restrictors [s].
        bare_speed: Of the blade's end without restrictors, the faster way [m/s].
        slams: Whether the trade knows this flow to slam a blade without restrictors.
    """

    name: str
    flow: float
    out: float
    in_: float
    out_by: Limit
    in_by: Limit
    heat: float
    bare_out: float
    bare_in: float
    bare_speed: float
    slams: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ColdRow:
    """The first swing of the day at one temperature of the blade's lines.

    Attributes:
        temperature: Of the oil in them [degC].
        out: Time with the rod going out, likely to slowest [s].
        in_: Time going in, likely to slowest [s].
    """

    temperature: float
    out: Span
    in_: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class PressureRow:
    """Pressures on one part against its rating.

    Attributes:
        part: cylinder, valve block, hoses or couplers.
        rated: Working pressure [Pa].
        from_: Where the rating comes from.
        working: What it sees while angling and at the stops [Pa].
        blocked: What its rod side sees when the return is blocked [Pa].
        finding: What is said of it.
    """

    part: str
    rated: float
    from_: str
    working: Span
    blocked: Span
    finding: Finding


@dataclass(frozen=True, kw_only=True, eq=False)
class Swinging:
    """How a blade moves.

    Attributes:
        carrier: The machine, or None.
        linkage: Where the cylinder is pinned.
        turns: What turns about the king pin, steel and snow apart.
        cylinder: As bought.
        circuit: Warm and likely, on the carrier or, while it is not known, on the test pack.
        fitted: The restrictors the blade leaves the shop with.
        relief: The crossover relief.
        order: Where it sits.
        supplied: The carrier's outlets, or None while their relief is unknown.
        missing: Facts to ask, most important first.
        ways: Which end goes forward as the rod goes out and in.
        by_way: All about each way.
        angled: Steady swing at the likely values, for arc, heat and pressures; its crush leaves the relief aside.
        bands: Times out and in, warm and cold.
        cold: First swings of the day.
        flows: The swing on several pumps.
        on_pack: Warm times on the shop's test pack.
        on_carrier: Warm times on the carrier, or None while its relief is unknown.
        blocked: Rod-side pressure with the return blocked [Pa].
        stall: Force at the blade's end by way [N].
        heat: Over the carrier's relief on standard flow, the worse way; None while its flow is not known [W].
        high_flow_heat: The same on high flow, or None where there is none or it is not known [W].
        pressures: Each part against its rating.
        protection: Which way the crossover relief protects.
        window: What the relief may be set to, or None where nothing says.
        findings: Every check.
        cautions: What goes with it.
    """

    carrier: Carrier | None
    linkage: Linkage
    turns: Turns
    cylinder: Cylinder
    circuit: Circuit
    fitted: Fitted
    relief: Relief | None
    order: Order
    supplied: Supplied | None
    missing: tuple[str, ...]
    ways: Mapping[Way, str]
    by_way: Mapping[Way, OneWay]
    angled: Angled
    bands: tuple[TimeBand, TimeBand]
    cold: tuple[ColdRow, ...]
    flows: tuple[FlowRow, ...]
    on_pack: Seconds
    on_carrier: Seconds | None
    blocked: Span
    stall: Mapping[Way, Span]
    heat: Span | None
    high_flow_heat: Span | None
    pressures: tuple[PressureRow, ...]
    protection: Protection
    window: Window | None
    findings: tuple[Finding, ...]
    cautions: tuple[str, ...] = CAUTIONS

    def as_dict(self) -> dict[str, Any]:
        """The swing for a machine, units in the names."""
        return {
            "carrier": None if self.carrier is None else self.carrier.name,
            "missing": list(self.missing),
            "ways": dict(self.ways),
            "drill": self.fitted.drill.name,
            "hole_in": round(self.fitted.drill.diameter / INCH, 4),
            "inertia_kg_m2": {"steel": round(self.turns.steel, 2), "snow": round(self.turns.snow, 2)},
            "on_pack_s": _seconds(self.on_pack),
            "on_carrier_s": None if self.on_carrier is None else _seconds(self.on_carrier),
            "each_way": {way: _one_way(one) for way, one in self.by_way.items()},
            "flows": [
                {
                    "name": row.name, "flow_gpm": round(row.flow / GPM, 2), "out_s": _number(row.out, 2),
                    "in_s": _number(row.in_, 2), "heat_kw": round(row.heat / 1000.0, 2),
                    "bare_out_s": round(row.bare_out, 2), "bare_in_s": round(row.bare_in, 2), "slams": row.slams,
                }
                for row in self.flows
            ],
            "blocked_psi": _three(self.blocked, PSI, 0),
            "pressures": [
                {
                    "part": row.part, "rated_psi": round(row.rated / PSI), "working_psi": _three(row.working, PSI, 0),
                    "blocked_psi": _three(row.blocked, PSI, 0),
                }
                for row in self.pressures
            ],
            "protection": {
                "rod_out": self.protection.rod_out,
                "rod_in": self.protection.rod_in,
                "full": self.protection.full,
                "sentences": list(self.protection.sentences),
            },
            "window_psi": None
            if self.window is None
            else {
                "low": round(self.window.low / PSI), "low_by": self.window.low_by,
                "high": round(self.window.high / PSI), "high_by": self.window.high_by,
            },
            "findings": [finding.as_dict() for finding in self.findings],
            "cautions": list(self.cautions),
        }  # fmt: skip


def _three(span: Span, size: float, digits: int) -> list[float | None]:
    """Low, likely, high; nothing where it never comes to an end, for a machine has no word for that."""
    return [_number(value / size, digits) for value in (span.low, span.likely, span.high)]


def _number(value: float, digits: int) -> float | None:
    return None if value == inf else round(value, digits)


def _seconds(found: Seconds) -> dict[str, Any]:
    return {
        "out": _three(found.out, 1.0, 2), "in": _three(found.in_, 1.0, 2),
        "out_limited_by": found.out_by, "in_limited_by": found.in_by,
    }  # fmt: skip


def _one_way(one: OneWay) -> dict[str, Any]:
    return {
        "says": one.says,
        "warm_s": _three(one.time, 1.0, 2),
        "first_swing_s": [_number(one.band.first, 2), _number(one.band.high, 2)],
        "limited_by": one.limited_by,
        "cavitates": one.cavitates,
        "runs_away": one.runs_away,
        "end_speed_m_s": _three(one.end_speed, 1.0, 3),
        "stop_energy_j": _three(one.energy, 1.0, 2),
        "stall_force_lbf": _three(one.stall, LBF, 0),
        "heat_kw": None if one.heat is None else _three(one.heat, 1000.0, 2),
        "without_restrictors": {
            "s": round(one.bare_time, 2), "end_speed_m_s": round(one.bare_speed, 3),
            "stop_energy_j": round(one.bare_energy, 1),
        },
    }  # fmt: skip
