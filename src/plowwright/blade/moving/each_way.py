"""Each way of the blade: time, speed of its end, energy at the stop, force where something holds it, checks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from plowwright.blade.carrier_facts import Fact
from plowwright.blade.moving import judging
from plowwright.blade.moving.cases import Cases, end_speed, stop_energy
from plowwright.blade.moving.geometry import Turns
from plowwright.blade.moving.results import OneWay
from plowwright.blade.moving.supplies import Supplied
from plowwright.blade.spans import Span
from plowwright.findings import Basis, Finding
from plowwright.physics.circuits import Circuit, Cylinder, Supply, Way
from plowwright.physics.hydraulics import SwingTimes, Travel
from plowwright.physics.swing import Angled, Angling, Linkage, Targets, TimeBand, angle_blade, time_for
from plowwright.rulebook.swing import Swing

PLACE = "angling"

PUSHED_LEAST: Final = 0.7
"""Pushed along, a way may take no less than this share of the free one [-].

Basis: our own choice.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moves:
    """What both ways are worked out from.

    Attributes:
        circuit: Warm and likely.
        cases: The solved cases.
        supply: The carrier's outlets, or None where the circuit stands on the test pack.
        says: Which end goes forward.
        linkage: Where the cylinder is pinned.
        turns: What turns.
        rules: swing.toml.
        target: Least time, of the series [s].
        setting: Of the crossover relief, or None where no rulebook says [Pa].
    """

    circuit: Circuit
    cases: Cases
    supply: Supplied | None
    says: Mapping[Way, str]
    linkage: Linkage
    turns: Turns
    rules: Swing
    target: float
    setting: float | None


def each_way(m: Moves) -> dict[Way, OneWay]:
    """Both ways with their checks.

    Args:
        m: What they are worked out from.

    Raises:
        ModelError: A load drags the blade and nothing holds it.
    """
    held, helped = loaded(m.circuit, m.linkage, m.turns, m.rules)
    return {
        "out": _one_way(m, "out", m.cases.bands[0], held.rod_out, helped.rod_out),
        "in": _one_way(m, "in", m.cases.bands[1], held.rod_in, helped.rod_in),
    }


def _one_way(m: Moves, way: Way, band: TimeBand, held: Angling, helped: Angling) -> OneWay:
    three = [_of(times, way) for times in (m.cases.slowest, m.cases.likely, m.cases.fastest)]
    bare, supply = _of(m.cases.bare, way), m.supply
    time = _span([t.time for t in three])
    speed = _span([end_speed(t, m.linkage, m.turns) for t in three])
    energy = _span([stop_energy(t, m.linkage, m.turns) for t in three])
    supplies = (m.circuit.supply,) * 3 if supply is None else supply.three
    return OneWay(
        way=way,
        says=m.says[way],
        time=time,
        band=band,
        limited_by=three[1].limited_by,
        end_speed=speed,
        energy=energy,
        stall=stall(m.circuit.cylinder, way, supplies, m.linkage, m.turns, m.setting),
        heat=_span([t.heat for t in three]) if supply is not None and supply.flow is not None else None,
        bare_time=bare.time,
        bare_speed=end_speed(bare, m.linkage, m.turns),
        bare_energy=stop_energy(bare, m.linkage, m.turns),
        cavitates=three[1].cavitates,
        runs_away=helped.travel.limited_by == "load",
        helped=helped.time,
        held_back=held.time,
        checks={"time": _time(m, three[1], time)} | _checks(m, m.says[way], speed, energy),
    )


def _checks(m: Moves, says: str, speed: Span, energy: Span) -> dict[str, Finding]:
    facts = leans_on(m.supply, m.cases)
    asked, by = time_for(_targets(m.rules, m.target), m.linkage, m.turns.turning)
    asks = f"{judging.seconds(asked)} stop to stop would keep every target, the {by} asks for most"
    return {
        "end speed": _speed(speed, says, m.rules, facts, m.supply, asks),
        "energy": _energy(energy, says, m.rules, facts, m.supply, m.turns),
    }


def leans_on(supply: Supplied | None, cases: Cases) -> tuple[Fact, ...]:
    """Facts the speed leans on: the relief always, the flow only where the pump sets the pace in some case.

    Args:
        supply: The carrier's outlets.
        cases: The solved cases.
    """
    if supply is None:
        return ()
    travels = [t for found in (cases.fastest, cases.likely, cases.slowest) for t in (found.rod_out, found.rod_in)]
    paced = supply.flow is not None and any(t.limited_by == "pump" for t in travels)
    return supply.facts if paced else (supply.pressure,)


def loaded(circuit: Circuit, linkage: Linkage, turns: Turns, rules: Swing) -> tuple[Angled, Angled]:
    """The swing with the end force against the blade, and with it pushing along.

    Args:
        circuit: Warm and likely.
        linkage: Where the cylinder is pinned.
        turns: What turns.
        rules: swing.toml.

    Raises:
        ModelError: A load drags the blade and nothing holds it.
    """
    moment = rules.turning.end_force.value * turns.half_width
    held = angle_blade(circuit, linkage, turns.turning, moment_out=moment, moment_in=moment)
    if circuit.restrictors.cap is None and circuit.restrictors.rod is None:
        # Nothing but the lines would hold a bare blade that is pushed along: its speed means nothing.
        return held, angle_blade(circuit, linkage, turns.turning)
    return held, angle_blade(circuit, linkage, turns.turning, moment_out=-moment, moment_in=-moment)


def stall(
    cylinder: Cylinder,
    way: Way,
    supplies: Sequence[Supply],
    linkage: Linkage,
    turns: Turns,
    setting: float | None,
) -> Span:
    """Force at the blade's end while something holds it: (p A_in - p_return A_out) arm / half width.

    p is the carrier's relief, or the crossover relief where that lifts first; the high end takes no help from it.

    Args:
        cylinder: The cylinder.
        way: Of the rod.
        supplies: Weakest, likely and strongest.
        linkage: Where the cylinder is pinned; the greatest lever counts.
        turns: What turns.
        setting: Of the crossover relief, or None where no rulebook says [Pa].

    Returns:
        Force square to the blade's face [N].

    Source: statics; restrictors do not appear in it.
    """
    area_in, area_out = cylinder.areas(way)

    def at(supply: Supply, lifts: float | None) -> float:
        top = supply.relief if lifts is None else min(supply.relief, lifts + supply.back)
        return (top * area_in - supply.back * area_out) * linkage.greatest_arm / turns.half_width

    return _span([at(supplies[0], setting), at(supplies[1], setting), at(supplies[2], None)])


def _targets(rules: Swing, target: float) -> Targets:
    return Targets(time=target, end_speed=rules.targets.end_speed.value, energy=rules.targets.energy.value)


def _inputs(rules: Swing, supply: Supplied | None) -> dict[str, str]:
    said = "the shop's test pack" if supply is None else "; ".join(f.said() for f in supply.facts)
    return {
        "supply": said,
        "oil": f"VG {rules.oil.grade.value}, index {rules.oil.index.value:g}, {rules.oil.tank.said('temperature')}",
        "hole tolerance": rules.restrictors.tolerance.said("length"),
        "return pressure": rules.carrier.back.said("pressure"),
    }


def _time(m: Moves, travel: Travel, time: Span) -> Finding:
    rules, supply = m.rules, m.supply
    basis = Basis(
        kind="shop rule",
        formula="balance of pressures and forces at steady speed; swing_time of the series less time_off",
        inputs=_inputs(rules, supply) | {"time_off": rules.targets.time_off.said("-")},
        source="law of the holes: Lichtarowicz et al., 1965 (from memory); slow enough is common practice",
    )
    because = f"the series asks for {judging.seconds(m.target)}, less what hole, stopwatch and sums may be off"
    if travel.cavitates:
        because += "; oil bubbles behind a restrictor, so it hisses, and return pressure hardly slows it"
    if supply is not None and supply.flow is None:
        because += "; its flow is not known: no pump swings it faster, a small one slower"
    return judging.judged(
        time, m.target * (1.0 - rules.targets.time_off.value), say=judging.seconds,
        title=f"time, {m.says[travel.way]}", basis=basis, place=PLACE, facts=leans_on(supply, m.cases), least=True,
        near=1.0, because=because,
    )  # fmt: skip


def _speed(speed: Span, says: str, rules: Swing, facts: Sequence[Fact], supply: Supplied | None, asks: str) -> Finding:
    basis = Basis(
        kind=rules.targets.end_speed.rests_on,
        formula="v = rod speed x reach / least lever; the limit is borrowed, no standard sets one for a snow blade",
        inputs=_inputs(rules, supply),
        source=rules.targets.end_speed.note,
    )
    over = speed.likely > rules.targets.end_speed.value
    return judging.judged(
        speed, rules.targets.end_speed.value, say=judging.end_speed, title=f"speed of the blade's end, {says}",
        basis=basis, place=PLACE, facts=facts,
        because="a borrowed target: reduced speed of robots, ISO 10218" + (f"; {asks}" if over else ""),
    )  # fmt: skip


def _energy(
    energy: Span, says: str, rules: Swing, facts: Sequence[Fact], supply: Supplied | None, turns: Turns
) -> Finding:
    basis = Basis(
        kind=rules.targets.energy.rests_on,
        formula="E = I w^2 / 2 at the stop; the limit is borrowed, no standard sets one for a snow blade",
        inputs=_inputs(rules, supply)
        | {
            "inertia of the blade": f"{turns.steel:.0f} kg m2",
            "inertia of the snow allowed for": f"{turns.snow:.0f} kg m2 ({rules.turning.snow.rests_on})",
        },
        source=rules.targets.energy.note,
    )
    return judging.judged(
        energy, rules.targets.energy.value, say=judging.joules, title=f"energy at the stop, {says}", basis=basis,
        place=PLACE, facts=facts,
        because="a borrowed target: power-driven guards, EN 953 and ISO 14120; snow on the moldboard is in it",
    )  # fmt: skip


def crush(one: OneWay, rules: Swing, supply: Supplied | None) -> Finding:
    """The force at the blade's end, which no restrictor limits: printed, never passed.

    Args:
        one: The way.
        rules: swing.toml.
        supply: The carrier's outlets.
    """
    said = judging.span_said(one.stall, judging.force)
    basis = Basis(
        kind="handbook",
        formula="(p A_in - p_return A_out) x greatest lever / half the width, p the relief that lifts first",
        inputs=_inputs(rules, supply),
        source="statics; the high end leaves the crossover relief aside",
    )
    title = f"crush force at the blade's end, {one.says}"
    return Finding(
        title=title,
        sentence=(
            f"{title}: {said}; restrictors slow the blade, they do not weaken it: no body part between blade and "
            "frame, carrier or wall. Not checked because no limit makes such a force safe"
        ),
        value=said,
        limit="",
        margin="",
        verdict="not checked",
        basis=basis,
        place=PLACE,
    )


def overrun(ways: Mapping[Way, OneWay], rules: Swing, supply: Supplied | None) -> Finding:
    """Whether a windrow that pushes the blade along makes it run away.

    Args:
        ways: Both ways.
        rules: swing.toml.
        supply: The carrier's outlets.
    """
    runs = [one.says for one in ways.values() if one.runs_away]
    worst = min(ways.values(), key=lambda one: one.helped / one.time.likely)
    stuck = [one.says for one in ways.values() if one.held_back == float("inf")]
    basis = Basis(
        kind="assumed",
        formula="the same balance with a moment of the end force about the king pin, at seven places of the way",
        inputs=_inputs(rules, supply) | {
            "end force": rules.turning.end_force.said("force"),
            "free": judging.seconds(worst.time.likely),
            "least share of it": f"{100 * PUSHED_LEAST:.0f} %, our own choice",
        },
    )
    found = judging.judged(
        Span.sure(worst.helped), PUSHED_LEAST * worst.time.likely, say=judging.seconds, title="load and overrun",
        basis=basis, place=PLACE, facts=() if supply is None else (supply.pressure,), least=True,
        because=f"pushed along {worst.says} by {rules.turning.end_force.said('force')} at its end; against it "
        + ", ".join(f"{judging.seconds(one.held_back)} {one.says}" for one in ways.values()),
    )  # fmt: skip
    end = rules.turning.end_force.said("force")
    bad: list[str] = []
    if stuck:
        bad.append(f"the cylinder does not move the blade {' or '.join(stuck)} against {end} at its end")
    if runs:
        bad.append(
            f"{end} at its end drags the blade faster than oil follows, {' and '.join(runs)}: it jerks when the bubble "
            "closes"
        )
    if not bad:
        return found
    text, reason = f"load and overrun: {'; '.join(bad)}", "" if supply is None else judging.told([supply.pressure])
    if reason:
        return replace(found, verdict="not checked", sentence=f"would fail if {reason}: {text}")
    return replace(found, verdict="fails", sentence=text)


def _of(times: SwingTimes, way: Way) -> Travel:
    return times.rod_out if way == "out" else times.rod_in


def _span(values: Sequence[float]) -> Span:
    low, likely, high = sorted(values)
    return Span(low=low, likely=likely, high=high)
