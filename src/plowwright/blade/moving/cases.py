"""Every case of one blade's swing, solved together: warm and cold, weak and strong, pack, other pumps, bare."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf

from plowwright import units
from plowwright.blade.carriers import Carrier
from plowwright.blade.moving.geometry import Turns
from plowwright.blade.moving.results import ColdRow, FlowRow, Seconds
from plowwright.blade.moving.supplies import HIGH_FLOW, Supplied, pack_of
from plowwright.blade.spans import Span
from plowwright.physics.circuits import OPEN_PORTS, Circuit, Restrictors, Supply
from plowwright.physics.hydraulics import SwingTimes, Travel, swing_times
from plowwright.physics.orifices import Law, Restrictor
from plowwright.physics.swing import Linkage, TimeBand
from plowwright.rulebook.swing import Swing


@dataclass(frozen=True, slots=True, kw_only=True)
class Cases:
    """The solved cases.

    Attributes:
        fastest: Warm, wide holes, strongest supply.
        likely: Warm, holes as drilled, likely supply.
        slowest: Warm, narrow holes, weakest supply.
        bare: Without restrictors, likely supply.
        bands: Times out and in, warm and cold.
        cold: First swings of the day.
        flows: On several pumps.
        on_pack: On the test pack.
        high_flow: On the carrier's high flow, weakest to strongest; empty where there is none.
    """

    fastest: SwingTimes
    likely: SwingTimes
    slowest: SwingTimes
    bare: SwingTimes
    bands: tuple[TimeBand, TimeBand]
    cold: tuple[ColdRow, ...]
    flows: tuple[FlowRow, ...]
    on_pack: Seconds
    high_flow: tuple[SwingTimes, ...]

    @property
    def warm(self) -> Seconds:
        """Warm times on the supply the cases were made with."""
        return _seconds(self.fastest, self.likely, self.slowest)


def solve(
    circuit: Circuit,
    supply: Supplied | None,
    carrier: Carrier | None,
    rules: Swing,
    *,
    linkage: Linkage,
    turns: Turns,
) -> Cases:
    """All cases of one blade in one go.

    Args:
        circuit: Warm and likely, the stroke that of the blade's stops.
        supply: The carrier's outlets, or None where the circuit stands on the test pack.
        carrier: The machine, for its high flow.
        rules: swing.toml.
        linkage: Where the cylinder is pinned.
        turns: What turns.

    Raises:
        ModelError: The oil is too cold to know.
    """
    weakest, _, strongest = (circuit.supply,) * 3 if supply is None else supply.three
    off = rules.restrictors.tolerance.value
    pack = replace(circuit, supply=pack_of(rules.pack), temperature=rules.pack.oil.value)
    colds = rules.oil.lines.three
    pumps = _pumps(circuit, supply, carrier, rules)
    high = [] if supply is None else _high(supply, carrier)
    cases = [
        *_three(circuit, off, weakest, strongest),
        replace(circuit, restrictors=OPEN_PORTS),
        *_three(pack, off, pack.supply, pack.supply),
        *(varied(circuit, temperature=t) for t in colds),
        *(varied(circuit, temperature=t, off=-off, supply=weakest, law="slow") for t in colds),
        *(replace(circuit, supply=s) for _, s in pumps),
        *(replace(circuit, supply=s, restrictors=OPEN_PORTS) for _, s in pumps),
        *(replace(circuit, supply=s) for s in high),
    ]
    found = iter(swing_times(cases))
    fastest, likely, slowest, bare, *on_pack = (next(found) for _ in range(7))
    cold, cold_slow = ([next(found) for _ in colds] for _ in range(2))
    fitted, open_ = ([next(found) for _ in pumps] for _ in range(2))
    first, coldest = cold[1], cold_slow[0]
    return Cases(
        fastest=fastest,
        likely=likely,
        slowest=slowest,
        bare=bare,
        bands=(
            _band(fastest.rod_out, likely.rod_out, first.rod_out, coldest.rod_out),
            _band(fastest.rod_in, likely.rod_in, first.rod_in, coldest.rod_in),
        ),
        cold=tuple(_cold_row(*row) for row in zip(colds, cold, cold_slow, strict=True)),
        flows=tuple(
            _flow_row(pump, a, b, rules, linkage, turns) for pump, a, b in zip(pumps, fitted, open_, strict=True)
        ),
        on_pack=_seconds(*on_pack),
        high_flow=tuple(found),
    )


def _three(circuit: Circuit, off: float, weakest: Supply, strongest: Supply) -> list[Circuit]:
    """Wide holes on the strongest supply, holes as drilled, narrow holes on the weakest."""
    return [varied(circuit, off=off, supply=strongest), circuit, varied(circuit, off=-off, supply=weakest)]


def varied(
    circuit: Circuit,
    *,
    off: float = 0.0,
    supply: Supply | None = None,
    temperature: float | None = None,
    law: Law | None = None,
) -> Circuit:
    """The circuit with its holes off, another supply, another temperature or law.

    Args:
        circuit: The circuit.
        off: Added to both holes' diameters [m].
        supply: Another supply, or None.
        temperature: Another temperature of the oil, or None [degC].
        law: Another law of the holes, or None.
    """
    holes = circuit.restrictors
    return replace(
        circuit,
        restrictors=Restrictors(cap=_off(holes.cap, off), rod=_off(holes.rod, off)),
        supply=supply or circuit.supply,
        temperature=circuit.temperature if temperature is None else temperature,
        law=law or circuit.law,
    )


def _off(hole: Restrictor | None, off: float) -> Restrictor | None:
    return None if hole is None else replace(hole, diameter=max(hole.diameter + off, 0.2 * hole.diameter))


def _span(*times: float) -> Span:
    """Three times put in order: a weak supply may be the faster one where droop and return outweigh each other."""
    low, likely, high = sorted(times)
    return Span(low=low, likely=likely, high=high)


def _cold_row(temperature: float, likely: SwingTimes, slow: SwingTimes) -> ColdRow:
    return ColdRow(
        temperature=temperature,
        out=_span(likely.rod_out.time, likely.rod_out.time, slow.rod_out.time),
        in_=_span(likely.rod_in.time, likely.rod_in.time, slow.rod_in.time),
    )


def _seconds(fast: SwingTimes, likely: SwingTimes, slow: SwingTimes) -> Seconds:
    return Seconds(
        out=_span(fast.rod_out.time, likely.rod_out.time, slow.rod_out.time),
        in_=_span(fast.rod_in.time, likely.rod_in.time, slow.rod_in.time),
        out_by=likely.rod_out.limited_by,
        in_by=likely.rod_in.limited_by,
    )


def _band(fast: Travel, likely: Travel, first: Travel, slow: Travel) -> TimeBand:
    return TimeBand(
        low=min(fast.time, likely.time), likely=likely.time, first=first.time, high=max(first.time, slow.time)
    )


def _pumps(
    circuit: Circuit, supply: Supplied | None, carrier: Carrier | None, rules: Swing
) -> list[tuple[str, Supply]]:
    """The pumps to show, each at the relief of the circuit: the carrier's own first."""
    rows: list[tuple[str, Supply]] = []
    if supply is not None and supply.flow is not None:
        rows.append(("standard flow", supply.likely))
    high = carrier.known("flow", HIGH_FLOW) if carrier is not None and supply is not None else None
    if high is not None:
        rows.append(("high flow", replace(circuit.supply, flow=high.likely)))
    return rows + [
        (f"a pump of {units.say(flow, 'flow')}", replace(circuit.supply, flow=flow)) for flow in rules.slam.shown.value
    ]


def _high(supply: Supplied, carrier: Carrier | None) -> list[Supply]:
    fact = None if carrier is None else carrier.known("flow", HIGH_FLOW)
    if fact is None:
        return []
    ends = zip(supply.three, (fact.low, fact.likely, fact.high), strict=True)
    return [replace(one, flow=flow) for one, flow in ends]


def _flow_row(
    pump: tuple[str, Supply], fitted: SwingTimes, bare: SwingTimes, rules: Swing, linkage: Linkage, turns: Turns
) -> FlowRow:
    (name, supply), fastest = pump, max(bare.rod_out.speed, bare.rod_in.speed)
    return FlowRow(
        name=name,
        flow=supply.flow,
        out=fitted.rod_out.time,
        in_=fitted.rod_in.time,
        out_by=fitted.rod_out.limited_by,
        in_by=fitted.rod_in.limited_by,
        heat=max(fitted.rod_out.heat, fitted.rod_in.heat),
        bare_out=bare.rod_out.time,
        bare_in=bare.rod_in.time,
        bare_speed=fastest / linkage.least_arm * turns.reach,
        slams=supply.flow >= rules.slam.least.value * (1.0 - 1e-9),
    )


def end_speed(travel: Travel, linkage: Linkage, turns: Turns) -> float:
    """Greatest speed of the blade's end on an unloaded way: v reach / least arm.

    Args:
        travel: The way.
        linkage: Where the cylinder is pinned.
        turns: What turns.

    Returns:
        Speed [m/s].

    Source: as `angle_blade`, whose speed without a load is the same all the way.
    """
    return travel.speed / linkage.least_arm * turns.reach


def stop_energy(travel: Travel, linkage: Linkage, turns: Turns) -> float:
    """Energy at the stop: I (v / arm)^2 / 2.

    Args:
        travel: The way.
        linkage: Where the cylinder is pinned.
        turns: What turns, snow included.

    Returns:
        Energy [J]; 0 where it does not move.

    Source: as `angle_blade`.
    """
    turning = 0.0 if travel.time == inf else travel.speed / linkage.arm(linkage.stop(travel.way))
    return 0.5 * turns.turning.inertia * turning**2
