"""The crossover relief on this blade: where it sits, which way it protects, what to set it to, whether it is enough."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import pi

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.moving import judging
from plowwright.blade.moving.geometry import LEFT, Turns, pin_to_pin
from plowwright.blade.moving.supplies import Supplied
from plowwright.blade.spans import Span
from plowwright.findings import Basis, Finding, Verdict, not_checked
from plowwright.physics import relief as reliefs
from plowwright.physics.circuits import Circuit, Cylinder, Way
from plowwright.physics.relief import Order, Protection, Relief, Struck, Ways, Window
from plowwright.physics.swing import Linkage
from plowwright.rulebook.swing import Swing

PLACE = "crossover relief"
OWN_RELIEF = "the carrier's own relief"
"""How the window names the carrier's relief."""
_NO_SETTING = "this rulebook has no strength.toml, where its setting stands: copy the one of a newer rulebook"


def relief_of(build: Build, rules: Swing) -> Relief | None:
    """The crossover relief as the shop sets it; None where no rulebook says to what.

    Args:
        build: The blade.
        rules: swing.toml.
    """
    strength = build.rulebook.strength
    if strength is None:
        return None
    return Relief(
        setting=strength.relief.of(build.spec.series).value,
        rated=rules.relief.flow.value,
        override=rules.relief.override.value,
        lag=rules.relief.lag.value,
    )


def protected(
    build: Build, cylinder: Cylinder, linkage: Linkage, rules: Swing, relief: Relief | None, limit: float
) -> Protection:
    """Which way the relief protects while the carrier's valve is shut, from straight to the stop.

    Args:
        build: The blade.
        cylinder: As bought.
        linkage: Where the cylinder is pinned.
        rules: swing.toml.
        relief: The relief, or None.
        limit: Pressure nothing may see: the least rating [Pa].
    """
    straight = pin_to_pin(build, 0.0)
    bore, length = rules.lines.bore.value, rules.lines.length.value
    stroke = cylinder.cap_area * (straight - linkage.shortest) + cylinder.rod_area * (linkage.longest - straight)
    trapped = stroke + 2.0 * pi / 4.0 * bore**2 * length + rules.carrier.lines_volume.value
    rule = rules.relief
    ways = Ways(to_tank=rule.to_tank.value, accumulator=rule.accumulator.value, equal_areas=rule.equal_areas.value)
    return reliefs.protection(
        cylinder,
        ways,
        travel=straight - linkage.shortest,
        trapped=trapped,
        # Stiff oil gives least: the safe end.
        bulk=rules.oil.bulk.high,
        start=relief.setting if relief is not None else 0.0,
        limit=limit,
    )


def struck_end(ways: Mapping[Way, str], way: Way) -> str:
    """Which end of the blade a strike meets when it drives the rod a way: the end that goes back.

    Args:
        ways: Which end goes forward as the rod goes out and in.
        way: The strike drives the rod.
    """
    return "the right end" if ways[way] == LEFT else "the left end"


def protection_findings(found: Protection, rules: Swing, ways: Mapping[Way, str]) -> tuple[Finding, Finding]:
    """Both directions in honest words; rod in fails while the displaced oil has nowhere to go.

    Args:
        found: Which way it protects.
        rules: swing.toml.
        ways: Which end goes forward as the rod goes out and in.
    """
    basis = Basis(
        kind="handbook",
        formula="rod out: the cap side takes more than the rod side gives; rod in: the rod's own volume is left over",
        inputs={
            "way to tank": rules.relief.to_tank.said("-"),
            "accumulator": rules.relief.accumulator.said("volume"),
            "stiffness of the oil": rules.oil.bulk.said("pressure"),
            "left over, rod in": units.say(found.homeless, "volume"),
        },
        source="continuity; a crossover relief on one single-rod cylinder is never full protection",
    )
    verdicts: dict[str, Verdict] = {"protected": "holds", "protected in part": "near limit", "not protected": "fails"}
    made: list[Finding] = []
    rows: tuple[tuple[Way, str, str], ...] = (
        ("out", found.rod_out, found.sentences[0]),
        ("in", found.rod_in, found.sentences[-1]),
    )
    for way, shield, text in rows:
        title = f"strike on {struck_end(ways, way)}, rod {way}"
        made.append(
            Finding(
                title=title,
                sentence=f"{title}: {text}",
                value=shield,
                limit="protected both ways",
                margin="",
                verdict=verdicts[shield],
                basis=basis,
                place=PLACE,
            )
        )
    return made[0], made[1]


def strike_on(build: Build, circuit: Circuit, linkage: Linkage, turns: Turns, relief: Relief, order: Order) -> Struck:
    """What a strike at the blade's end, at the carrier's usual speed, makes of relief and restrictor: rod drawn out.

    The blade's end stops, so the blade turns at speed / half width; the rod moves by the lever.

    Args:
        build: The blade.
        circuit: Warm and likely.
        linkage: Where the cylinder is pinned.
        turns: What turns.
        relief: The relief.
        order: Where it sits.
    """
    strength = build.rulebook.strength
    carrier_speed = 0.0 if strength is None else strength.strike.speed.likely
    speed = carrier_speed / turns.half_width * linkage.greatest_arm
    oil, at = circuit.oil, circuit.temperature
    return reliefs.struck(
        circuit.cylinder, "out", speed, relief, order=order, restrictor=circuit.restrictors.rod,
        density=oil.density_at(at), viscosity=oil.viscosity(at),
    )  # fmt: skip


def order_finding(made: Struck, order: Order, limit: float, rules: Swing) -> Finding:
    """Where the relief sits, with the figure a restrictor in its way makes.

    Args:
        made: What a strike makes of it.
        order: Where it sits.
        limit: Least rating [Pa].
        rules: swing.toml.
    """
    text = reliefs.order_warning(order, made) or (
        "cylinder, relief, restrictors, hoses: nothing stands between cylinder and relief; a strike of "
        f"{units.say(made.flow, 'flow')} leaves {judging.pressure(made.pressure)} in the cylinder"
    )
    return Finding(
        title="order on the cylinder",
        sentence=f"order on the cylinder: {text}",
        value=judging.pressure(made.pressure),
        limit=f"at most {judging.pressure(limit)}",
        margin=f"{made.pressure / limit * 100:.0f} % used",
        verdict="holds" if order == "relief at the cylinder" else "fails",
        basis=Basis(
            kind="common practice",
            formula="p = p_relief(Q) + drop of the restrictor, Q = rod-side area x rod speed in a strike",
            inputs={"flow in a strike": units.say(made.flow, "flow"), "order": rules.relief.order.said("-")},
        ),
        place=PLACE,
        used=made.pressure / limit,
    )


def flow_finding(made: Struck, relief: Relief, limit: float, rules: Swing) -> Finding:
    """Whether the relief passes what a strike squeezes out, and to what pressure it rises meanwhile.

    Args:
        made: What a strike makes of it.
        relief: The relief.
        limit: Least rating [Pa].
        rules: swing.toml.
    """
    text = (
        f"{units.say(made.flow, 'flow')} in a strike through a valve made for {units.say(relief.rated, 'flow')}: it "
        f"rises from {judging.pressure(relief.setting)} to {judging.pressure(made.at_relief)}"
    )
    found = judging.judged(
        Span.sure(made.at_relief), limit, say=judging.pressure, title="flow through the relief",
        basis=Basis(
            kind="assumed",
            formula="p_set (1 + override Q / Q_rated), wide open above it with Q^2",
            inputs={"made for": rules.relief.flow.said("flow"), "override": rules.relief.override.said("-")},
            source="usual shape of a direct-acting valve's curve; the maker's goes before it",
        ),
        place=PLACE, because=text,
    )  # fmt: skip
    if found.verdict == "holds" and made.over_rated > 1.0:
        return replace(found, verdict="near limit")
    return found


def window_of(
    build: Build,
    circuit: Circuit,
    linkage: Linkage,
    turns: Turns,
    rules: Swing,
    rated: Mapping[str, tuple[float, str]],
    supply: Supplied | None,
) -> Window:
    """What the relief may be set to: over the pressure at work, under everything it has to come before.

    Args:
        build: The blade; with its strength looked at, what frame and hub stand counts.
        circuit: Warm and likely.
        linkage: Where the cylinder is pinned.
        turns: What turns.
        rules: swing.toml.
        rated: Working pressures [Pa].
        supply: The carrier's outlets, or None where the circuit stands on the test pack.
    """
    held = {} if build.holding is None else build.holding.capacities.protected()
    strength = build.rulebook.strength
    energy = 0.0
    if strength is not None:
        energy = 0.5 * turns.turning.inertia * (strength.strike.speed.likely / turns.half_width) ** 2
    found = reliefs.setting_window(
        circuit,
        arm=linkage.greatest_arm,
        reach=turns.half_width,
        capacities={name: span.low for name, span in held.items() if name not in ("relief", "edge bolts")},
        ratings={name: rated[name][0] for name in ("cylinder", "valve block")},
        energy=energy,
        travel=linkage.longest - pin_to_pin(build, 0.0),
        clear=rules.relief.clear.value,
    )
    if supply is None and found.low_by == OWN_RELIEF:
        return replace(found, low_by="the test pack's relief")
    return found


def window_finding(
    window: Window, build: Build, relief: Relief | None, supply: Supplied | None, rules: Swing
) -> Finding:
    """The setting against its window: too high fails, under the carrier's relief it lifts at the stops.

    Args:
        window: What it may be set to.
        build: The blade.
        relief: The relief, or None where no rulebook says its setting.
        supply: The carrier's outlets.
        rules: swing.toml.
    """
    title = "relief setting"
    basis = Basis(
        kind="handbook",
        formula="low: carrier's relief, pressure while angling, energy / (A_rod x); high: F half width / (arm A_cap)",
        inputs={"clear of the pressure at work": rules.relief.clear.said("-"), "window": window.sentence},
        source="statics and energy",
    )
    if relief is None:
        return not_checked(title=title, because=_NO_SETTING, basis=basis, place=PLACE)
    said, verdict = judging.pressure(relief.setting), "holds"
    text = f"{said}; {window.sentence}"
    if relief.setting > window.high * (1.0 + 1e-9):
        verdict, text = "fails", f"{text}: at {said} {window.high_by} gives before the relief lifts"
    elif relief.setting < window.low * (1.0 - 1e-9):
        verdict = "near limit"
        if window.low_by == OWN_RELIEF:
            text += ": it lifts whenever the lever is held at a stop, so let go of the lever there; all of it is heat"
    if verdict != "fails" and build.holding is None:
        text += "; not checked because the frame has not been looked at: work the blade out at level 1 or 2"
        verdict = "not checked"
    elif verdict != "fails" and supply is None:
        text += "; not checked because the carrier's relief is not known"
        verdict = "not checked"
    elif verdict == "holds" and supply is not None and not supply.pressure.certain:
        text = f"would hold if {judging.told([supply.pressure])}: {text}"
        verdict = "not checked"
    return Finding(
        title=title,
        sentence=text if text.startswith("would") else f"{title}: {text}",
        value=said,
        limit=f"{judging.pressure(window.low)} to {judging.pressure(window.high)}",
        margin="",
        verdict=verdict,
        basis=basis,
        place=PLACE,
        used=relief.setting / window.high,
    )
