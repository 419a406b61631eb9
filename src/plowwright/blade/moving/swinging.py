"""How a blade angles on a carrier: everything put together, with every check."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.carriers import Carrier
from plowwright.blade.moving import each_way, judging, pressures, protecting
from plowwright.blade.moving.cases import Cases, solve
from plowwright.blade.moving.geometry import Turns, cylinder_of, linkage_of, turns_of, ways_of
from plowwright.blade.moving.restrictors import PLACE as PORTS
from plowwright.blade.moving.restrictors import Fitted, fitted
from plowwright.blade.moving.results import Swinging
from plowwright.blade.moving.supplies import Supplied, lines_of, missing, oil_of, pack_of, supplied
from plowwright.blade.spans import Span
from plowwright.findings import Basis, Finding, not_checked
from plowwright.physics.circuits import OPEN_PORTS, Circuit, Cylinder, Restrictors, Way
from plowwright.physics.relief import Order, Protection, Relief, Window
from plowwright.physics.swing import Linkage, angle_blade
from plowwright.rulebook.swing import Swing


@dataclass(frozen=True, kw_only=True, eq=False)
class _Set:
    """All that is known before anything is solved."""

    build: Build
    carrier: Carrier | None
    rules: Swing
    cylinder: Cylinder
    linkage: Linkage
    turns: Turns
    fitted: Fitted
    supply: Supplied | None
    circuit: Circuit
    relief: Relief | None
    order: Order
    rated: dict[str, tuple[float, str]]

    @property
    def least_rated(self) -> float:
        return min(value for value, _ in self.rated.values())


def circuit_of(
    build: Build,
    carrier: Carrier | None,
    *,
    restrictors: Restrictors | None = None,
    temperature: float | None = None,
    lengths: tuple[float, float] | None = None,
) -> Circuit:
    """The blade's circuit at the likely values, on the carrier or, while its relief is unknown, on the test pack.

    Args:
        build: The blade.
        carrier: The machine, as far as it is known.
        restrictors: In its ports, or None for those it leaves the shop with.
        temperature: Of the oil, or None for the warm tank's [degC].
        lengths: Cut lengths of the hoses to the cap side and to the rod side, or None for the setting's [m].

    Raises:
        NotFoundError: The rulebook has no swing.toml.
        ModelError: The blade has no cylinder that swings it.
    """
    own = fitted(build)
    rules = build.rulebook.swing
    assert rules is not None  # `fitted` refuses a rulebook without it
    supply = supplied(carrier, rules)
    return Circuit(
        cylinder=linkage_of(build).stopped(cylinder_of(build)),
        restrictors=own.pair if restrictors is None else restrictors,
        supply=pack_of(rules.pack) if supply is None else supply.likely,
        oil=oil_of(rules.oil),
        temperature=rules.oil.tank.value if temperature is None else temperature,
        lines=lines_of(rules.lines, lengths),
    )


def swinging(
    build: Build,
    carrier: Carrier | None = None,
    *,
    restrictors: Restrictors | None = None,
    order: Order | None = None,
    lengths: tuple[float, float] | None = None,
    rated: dict[str, float] | None = None,
) -> Swinging | None:
    """How a blade moves on a carrier; None where the rulebook has no swing.toml (see `without_settings`).

    Args:
        build: The blade; with its strength looked at, the relief's window knows frame and hub.
        carrier: The machine as far as it is known; without its relief the test pack stands in and says so.
        restrictors: In its ports, or None for those it leaves the shop with.
        order: Where the relief sits, or None for the rulebook's.
        lengths: Cut lengths of the hoses to the cap side and to the rod side, or None for the setting's [m].
        rated: Working pressures plumbing knows, by part (cylinder, valve block, hoses, couplers), or None [Pa].

    Raises:
        ModelError: The cylinder cannot swing the blade, or no drill is small enough.
    """
    rules = build.rulebook.swing
    if rules is None:
        return None
    cylinder, linkage = cylinder_of(build), linkage_of(build)
    s = _Set(
        build=build,
        carrier=carrier,
        rules=rules,
        cylinder=cylinder,
        linkage=linkage,
        turns=turns_of(build, rules.turning),
        fitted=fitted(build),
        supply=supplied(carrier, rules),
        circuit=circuit_of(build, carrier, restrictors=restrictors, lengths=lengths),
        relief=protecting.relief_of(build, rules),
        order=order or rules.relief.order.value,
        rated=pressures.ratings(build, rules, rated),
    )
    return _put_together(s, solve(s.circuit, s.supply, carrier, rules, linkage=linkage, turns=s.turns))


def without_settings() -> Finding:
    """What is said where the rulebook has no swing settings."""
    return not_checked(
        title="angling",
        because="this rulebook has no swing.toml: copy the one of a newer rulebook beside series.toml",
        basis=Basis(kind="assumed", formula="settings of swing.toml"),
        place="blade",
    )


def _put_together(s: _Set, cases: Cases) -> Swinging:
    setting = None if s.relief is None else s.relief.setting
    says = ways_of(s.build)
    ways = each_way.each_way(
        each_way.Moves(
            circuit=s.circuit, cases=cases, supply=s.supply, says=says, linkage=s.linkage, turns=s.turns,
            rules=s.rules, target=s.build.series.swing_time, setting=setting,
        )
    )  # fmt: skip
    supplies = (s.circuit.supply,) * 3 if s.supply is None else s.supply.three
    shield = protecting.protected(s.build, s.cylinder, s.linkage, s.rules, s.relief, s.least_rated)
    window = protecting.window_of(s.build, s.circuit, s.linkage, s.turns, s.rules, s.rated, s.supply)
    heats = [one.heat for one in ways.values() if one.heat is not None]
    heat = max(heats, key=lambda h: h.likely) if heats else None
    found = Swinging(
        carrier=s.carrier,
        linkage=s.linkage,
        turns=s.turns,
        cylinder=s.cylinder,
        circuit=s.circuit,
        fitted=s.fitted,
        relief=s.relief,
        order=s.order,
        supplied=s.supply,
        missing=missing(s.carrier),
        ways=says,
        by_way=ways,
        angled=angle_blade(s.circuit, s.linkage, s.turns.turning),
        bands=cases.bands,
        cold=cases.cold,
        flows=cases.flows,
        on_pack=cases.on_pack,
        on_carrier=None if s.supply is None else cases.warm,
        blocked=pressures.blocked_pressure(s.cylinder, supplies),
        stall={way: one.stall for way, one in ways.items()},
        heat=heat,
        high_flow_heat=_high_flow_heat(cases),
        pressures=pressures.rows(s.cylinder, supplies, s.supply, s.rated),
        protection=shield,
        window=window,
        findings=(),
    )
    return replace(found, findings=tuple(_findings(s, found, shield, window)))


def _high_flow_heat(cases: Cases) -> Span | None:
    if not cases.high_flow:
        return None
    low, likely, high = sorted(max(t.rod_out.heat, t.rod_in.heat) for t in cases.high_flow)
    return Span(low=low, likely=likely, high=high)


def _findings(s: _Set, found: Swinging, shield: Protection, window: Window) -> Iterator[Finding]:
    yield _restrictors(s, found)
    if s.supply is None:
        yield judging.to_ask(
            "swing on the carrier",
            found.missing,
            basis=Basis(kind="assumed", formula="balance of pressures and forces; shown on the shop's test pack"),
            place="carrier",
            carrier="" if s.carrier is None else s.carrier.name,
        )
    for one in found.by_way.values():
        for finding in one.checks.values():
            yield _on_pack_only(finding) if s.supply is None else finding
        yield each_way.crush(one, s.rules, s.supply)
    yield _any(each_way.overrun(found.by_way, s.rules, s.supply), s)
    yield _cold(s, found)
    for row in found.pressures:
        yield _any(row.finding, s)
    yield _heat(s, found)
    yield _pack_against_carrier(s, found)
    yield from protecting.protection_findings(shield, s.rules, found.ways)
    if s.relief is not None:
        made = protecting.strike_on(s.build, s.circuit, s.linkage, s.turns, s.relief, s.order)
        yield protecting.order_finding(made, s.order, s.least_rated, s.rules)
        yield protecting.flow_finding(made, s.relief, s.least_rated, s.rules)
    yield protecting.window_finding(window, s.build, s.relief, s.supply, s.rules)


def _any(finding: Finding, s: _Set) -> Finding:
    return _on_pack_only(finding) if s.supply is None else finding


def _on_pack_only(finding: Finding) -> Finding:
    """A check made with the test pack: it says nothing yet of the carrier."""
    if finding.verdict == "not checked":
        return finding
    word = "would fail" if finding.verdict == "fails" else "would hold"
    return replace(
        finding,
        verdict="not checked",
        sentence=f"{word} on the shop's test pack, not checked for the carrier because its relief is not known: "
        f"{finding.sentence}",
    )


def _restrictors(s: _Set, found: Swinging) -> Finding:
    """The pair it leaves the shop with, or what is in its ports instead."""
    holes = s.circuit.restrictors
    slams = s.rules.slam
    known = (
        f"common practice: with "
        f"{judging.span_said(_ends(slams.least.value, slams.most.value), lambda v: units.say(v, 'flow'))} and no "
        "restrictor a blade slams and can injure"
    )
    fastest = max(found.by_way.values(), key=lambda one: one.bare_speed)
    bare = (
        f"without them {judging.seconds(fastest.bare_time)}, {judging.end_speed(fastest.bare_speed)} at its end and "
        f"{judging.joules(fastest.bare_energy)} at the stop"
    )
    own = s.fitted.finding
    if holes.cap is not None and holes.rod is not None:
        return replace(own, sentence=f"{own.sentence}; {bare}; {known}")
    which = "no restrictors" if holes == OPEN_PORTS else "one restrictor missing"
    return replace(
        own,
        sentence=f"restrictors: {which}, the blade was made for drill {s.fitted.drill.text}: it swings "
        f"{judging.seconds(found.by_way['out'].time.likely)} {found.ways['out']} and "
        f"{judging.seconds(found.by_way['in'].time.likely)} {found.ways['in']}; {known}; fit the pair first",
        value=which,
        verdict="fails",
        used=None,
        place=PORTS,
    )


def _cold(s: _Set, found: Swinging) -> Finding:
    rules = s.rules.oil
    worst = max(found.bands, key=lambda band: band.cold_factor)
    factor = worst.cold_factor
    rows = ", ".join(
        f"{units.say(row.temperature, 'temperature')} {judging.span_said(row.out, judging.seconds)} {found.ways['out']}"
        for row in reversed(found.cold)
    )
    text = (
        f"first swing of the day {factor:.1f} times the warm one with the blade's lines at "
        f"{units.say(rules.lines.likely, 'temperature')}; {rows}: swing it a few times before judging it"
    )
    finding = judging.judged(
        Span.sure(factor), rules.most_cold.value, say=lambda v: f"{v:.1f} times", title="cold oil",
        basis=Basis(
            kind="assumed",
            formula="the same balance with the cold oil's thickness; high end: all of creeping flow's friction",
            inputs={
                "oil": f"VG {rules.grade.value}, index {rules.index.value:g} ({rules.grade.rests_on})",
                "the blade's lines": rules.lines.said("temperature"),
                "tank": rules.tank.said("temperature"),
            },
            source="ISO 3448, ASTM D341 and D2270 for the oil",
        ),
        place="oil", facts=() if s.supply is None else (s.supply.pressure,), because=text,
    )  # fmt: skip
    return _any(finding, s)


def _heat(s: _Set, found: Swinging) -> Finding:
    title, place = "heat while angling", "carrier"
    basis = Basis(
        kind="handbook",
        formula="flow over the carrier's relief x its pressure, mean of the worse way",
        inputs={} if s.supply is None else {"supply": "; ".join(f.said() for f in s.supply.facts)},
        source="fluid-power handbooks",
    )
    if found.heat is None:
        lacks = found.missing or ("flow",)
        name = "" if s.carrier is None else s.carrier.name
        return judging.to_ask(title, lacks, basis=basis, place=place, carrier=name)
    said = judging.span_said(found.heat, judging.kilowatts)
    text = f"{said} go over the carrier's relief as heat while the lever is held"
    verdict = "holds"
    if found.high_flow_heat is not None:
        high = judging.span_said(found.high_flow_heat, judging.kilowatts)
        text += f", {high} on high flow: use standard flow, high flow swings the blade no faster"
        verdict = "near limit"
    else:
        text += "; the blade wants standard flow, more makes heat and no speed"
    lean = [f for f in s.supply.facts if not f.certain] if s.supply is not None else []
    if lean:
        text, verdict = f"would hold if {judging.told(lean)}: {text}", "not checked"
    return Finding(
        title=title,
        sentence=text if lean else f"{title}: {text}",
        value=said,
        limit="standard flow",
        margin="",
        verdict=verdict,
        basis=basis,
        place=place,
    )


def _pack_against_carrier(s: _Set, found: Swinging) -> Finding:
    """The same blade on the test pack and on the customer's machine: proved slow here, fast there?"""
    title, place = "test pack against the carrier", "carrier"
    pack, on = s.rules.pack, found.on_carrier
    basis = Basis(
        kind="handbook",
        formula="the same balance with both supplies; restricted times go with the root of the relief's pressure",
        inputs={
            "pack": f"{pack.flow.said('flow')}, {pack.relief.said('pressure')}, oil {pack.oil.said('temperature')}",
            "carrier": "not known" if s.supply is None else "; ".join(f.said() for f in s.supply.facts),
        },
    )
    ways: tuple[Way, Way] = ("out", "in")
    here = ", ".join(f"{judging.span_said(found.on_pack.of(way), judging.seconds)} {found.ways[way]}" for way in ways)
    text = f"on the test pack {here}"
    weak = [found.ways[way] for way in ways if found.on_pack.by(way) not in ("restrictors", "lines")]
    if on is None:
        because = f"{text}; the carrier's relief is not known, so its times are not"
        return not_checked(title=title, because=because, basis=basis, place=place)
    name = s.carrier.name if s.carrier is not None else "the carrier"
    there = ", ".join(f"{judging.span_said(on.of(way), judging.seconds)} {found.ways[way]}" for way in ways)
    text = f"{text}; on {name} {there}"
    if weak:
        text += f"; the pack itself sets the pace {' and '.join(weak)}: it proves nothing of the restrictors there"
    ratio = min(on.of(way).likely / found.on_pack.of(way).likely for way in ways)
    if ratio < 0.95:
        text += f"; {name} is faster, {ratio * 100:.0f} % of the time on the pack: judge it by its own times"
    lean = () if s.supply is None else tuple(f for f in s.supply.facts if not f.certain)
    verdict = "near limit" if weak else "holds"
    if lean:
        text, verdict = f"would hold if {judging.told(lean)}: {text}", "not checked"
    return Finding(
        title=title,
        sentence=text if lean else f"{title}: {text}",
        value=there,
        limit=here,
        margin=f"{ratio * 100:.0f} % of the pack's time",
        verdict=verdict,
        basis=basis,
        place=place,
    )


def _ends(low: float, high: float) -> Span:
    return Span(low=low, likely=(low + high) / 2.0, high=high)
