"""Plumbs a blade: outlets left or right, hoses through all poses, threads, couplers, plugs, and the lever's sense."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Final

from plowwright.blade.build import Build
from plowwright.blade.carriers import Carrier
from plowwright.blade.moving.geometry import LEFT, RIGHT, ways_of
from plowwright.blade.plumbing import coupling, hosing, judging, places
from plowwright.blade.plumbing.hosing import CARRIER_HOSES, CYLINDER_HOSES, Laying
from plowwright.blade.plumbing.places import Spot
from plowwright.blade.plumbing.results import Coupler, Fitting, Hose, Outlet, Plug, Plumbing, Port, Row
from plowwright.blade.plumbing.threads import Thread, thread
from plowwright.findings import Basis, Finding, not_checked
from plowwright.rulebook.plumbing import Plumbing as Rules
from plowwright.units.constants import INCH

PLUG: Final = "plug"
ORDER: Final = (
    "In this order along the oil: cylinder, crossover relief (the valve block), restrictors in the block's two carrier "
    "ports, hoses. A restrictor between cylinder and relief makes the relief useless."
)
_PLAIN_END: Final = 4 * INCH
"""Room for a coupled pair where the couplers are the customer's own [m]."""


def plumb(build: Build, carrier: Carrier | None = None) -> Plumbing | None:
    """The plumbing of a blade on a carrier; None where the rulebook has no plumbing.toml (see `without_settings`).

    Args:
        build: The blade.
        carrier: The machine as far as it is known; without it the usual couplers and places of the spec's kind.

    Raises:
        NotFoundError: plumbing.toml does not know the hose choice, the couplers or the kind of carrier.
        EntryError: It names a thread that does not exist.
        ModelError: The blade has no cylinder or valve block.
    """
    rules = build.rulebook.plumbing
    if rules is None:
        return None
    plan = _planned(build, carrier, rules)
    hoses: tuple[Hose, ...] = ()
    turned: dict[str, str] = {}
    if not plan.bare:
        short, turned = hosing.cylinder_hoses(plan.laying)
        hoses = (*hosing.carrier_hoses(plan.laying), *short)
    ports = _ports(plan, hoses, turned)
    couplers = plan.couplers
    plugs = _plugs(plan, ports)
    ratings = {} if plan.bare else {"hoses": min(h.rated for h in hoses), "fittings": rules.hose.fittings.value}
    if couplers:
        ratings["couplers"] = min(c.rated for c in couplers)
    view = judging.Judged(
        build=build, carrier=carrier, rules=rules, hoses=hoses, couplers=couplers, told=plan.told, bare=plan.bare,
        crossed=plan.laying.crossed, kind=plan.kind, radius=plan.laying.radius,
    )  # fmt: skip
    return Plumbing(
        outlets=build.spec.outlets,
        base_side="left" if plan.base > 0 else "right",
        hoses=hoses,
        ports=ports,
        couplers=couplers,
        fittings=_fittings(plan, ports, hoses),
        plugs=plugs,
        lever_sense=judging.lever_sense(view, ways_of(build)),
        crossed=plan.laying.crossed,
        order=ORDER,
        outlet=_outlet(plan),
        schedule=_schedule(hoses, plugs, couplers),
        ratings=ratings,
        lengths=_lengths(hoses, crossed=plan.laying.crossed),
        send=judging.send(view),
        bare=plan.bare,
        findings=judging.findings(view),
    )


def without_settings() -> Finding:
    """What is said where the rulebook has no plumbing settings."""
    return not_checked(
        title="plumbing",
        because="this rulebook has no plumbing.toml: copy the one of a newer rulebook beside series.toml",
        basis=Basis(kind="assumed", formula="settings of plumbing.toml"),
        place="hoses",
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class _Plan:
    """What is settled before a hose is laid."""

    build: Build
    rules: Rules
    laying: Laying
    kind: str
    base: float
    bare: bool
    told: coupling.Told | None
    couplers: tuple[Coupler, ...]


def _planned(build: Build, carrier: Carrier | None, rules: Rules) -> _Plan:
    ending = rules.ending(build.spec.hoses)
    kind = carrier.kind if carrier and carrier.kind else build.spec.carrier_kind
    known = coupling.told(carrier)
    coupled = ending in ("flat-face", "poppet")
    couplers: tuple[Coupler, ...] = ()
    room = _PLAIN_END
    if ending == "flat-face" or ending == "poppet":  # noqa: PLR1714 - the type checker follows only this
        couplers = coupling.halves(rules, ending, known, CARRIER_HOSES)
        room = rules.family(ending).length.value
    assert bool(couplers) == coupled
    # Snow to the left: the right end comes forward.
    wanted = RIGHT if rules.lever.left_casts.value == "left" else LEFT
    laying = Laying(
        build=build,
        rules=rules,
        outlet=rules.outlets_of(kind),
        outlets=build.spec.outlets,
        crossed=ways_of(build)["out"] != wanted,
        coupled=room,
    )
    return _Plan(
        build=build, rules=rules, laying=laying, kind=kind, base=places.base_side(build), bare=ending == "bare",
        told=known, couplers=couplers,
    )  # fmt: skip


def _ports(plan: _Plan, hoses: tuple[Hose, ...], turned: dict[str, str]) -> tuple[Port, ...]:
    """Every port of cylinder and block with what sits in it."""
    rules, build = plan.rules, plan.build
    used = {end: hose.name for hose in hoses for end in (hose.start, hose.end)}

    def of(part: str, stock: str, usual: str, spots: dict[str, Spot]) -> list[Port]:
        own = build.rulebook.bought[stock].port
        cut = thread(own or usual, where=f"bought.toml, {stock}" if own else "plumbing.toml, ports")
        return [
            Port(
                part=part,
                name=name,
                thread=cut,
                joins=used.get(f"{part}, {name}", PLUG),
                place=spot.at,
                points=spot.points if name not in turned else places.elbows(spot)[turned[name]].points,
                turned=turned.get(name, ""),
            )
            for name, spot in spots.items()
        ]

    cylinder, block = build.datum.cylinder.cylinder, build.series.valve_block
    return (
        *of("cylinder", cylinder, rules.ports.cylinder.value, places.cylinder_ports(build, rules)),
        *of("valve block", block, rules.ports.block.value, places.block_ports(build, rules)),
    )


def _plugs(plan: _Plan, ports: tuple[Port, ...]) -> tuple[Plug, ...]:
    """Plugs for open ports, caps for open ends."""
    found = [Plug(name=f"plug, {p.thread.said}", on=p.title) for p in ports if p.joins == PLUG]
    if plan.bare:
        return tuple(found)
    ours = [c for c in plan.couplers if c.side == "blade"]
    found += [Plug(name=f"dust cap, {c.family} {c.size} {c.sex}", on=f"coupler of {c.on}") for c in ours]
    if not ours:
        end = thread(plan.rules.hose.end.value, where="plumbing.toml, hose.end")
        found += [Plug(name=f"cap for a swivel, {end.said}", on=f"loose end of {tag}") for tag in CARRIER_HOSES]
    return tuple(found)


def _fittings(plan: _Plan, ports: tuple[Port, ...], hoses: tuple[Hose, ...]) -> tuple[Fitting, ...]:
    """Adapters and elbows between ports and hoses, restrictor fittings among them."""
    if not hoses:
        return ()
    end = thread(plan.rules.hose.end.value, where="plumbing.toml, hose.end")
    named: dict[str, list[str]] = {}
    for port in ports:
        if port.joins != PLUG:
            named.setdefault(f"{_sort(port)}, {_pair(port.thread, end)}", []).append(port.title)
    for half in plan.couplers:
        if half.thread is not None:
            named.setdefault(f"straight adapter, {_pair(half.thread, end)}", []).append(f"coupler of {half.on}")
    return tuple(Fitting(name=name, count=len(on), on=tuple(on)) for name, on in named.items())


def _sort(port: Port) -> str:
    if port.part == "cylinder":
        return f"90 degree elbow turned {port.turned}"
    return "restrictor fitting, straight" if port.name.startswith("carrier") else "straight adapter"


def _pair(port: Thread, end: Thread) -> str:
    return f"{port.short} male x {end.short} male"


def _schedule(hoses: tuple[Hose, ...], plugs: tuple[Plug, ...], couplers: tuple[Coupler, ...]) -> tuple[Row, ...]:
    """Lines of the schedule: hoses with their couplers, then plugs of one sort on one line."""
    on = {c.on: c for c in couplers if c.side == "blade"}
    rows = [
        Row(
            tag=hose.name,
            start=hose.start,
            end=hose.end,
            cut_length=hose.cut_length,
            ends=f"{hose.ends[0]}, both ends" + (f"; coupler {on[hose.name].said}" if hose.name in on else ""),
            size=hose.size,
            rated=min(hose.rated, on[hose.name].rated) if hose.name in on else hose.rated,
        )
        for hose in hoses
    ]
    count = Counter(plug.name for plug in plugs)
    for name, number in count.items():
        places_ = ", ".join(plug.on for plug in plugs if plug.name == name)
        rows.append(Row(tag=f"{number} x", start=places_, end="", cut_length=None, ends=name, size="", rated=None))
    return tuple(rows)


def _lengths(hoses: tuple[Hose, ...], *, crossed: bool) -> tuple[float, float] | None:
    """Line from the outlet to the cap port and to the rod port."""
    if not hoses:
        return None
    by_tag = {hose.name: hose.cut_length for hose in hoses}
    to_cap, to_rod = CARRIER_HOSES[::-1] if crossed else CARRIER_HOSES
    return by_tag[to_cap] + by_tag[CYLINDER_HOSES[0]], by_tag[to_rod] + by_tag[CYLINDER_HOSES[1]]


def _outlet(plan: _Plan) -> Outlet:
    rule, side = plan.laying.outlet, 1.0 if plan.laying.outlets == "left" else -1.0
    found, through = places.outlets(rule, side), places.guides(plan.build, plan.rules)
    return Outlet(
        places=(found["A"], found["B"]),
        points=places.AHEAD,
        guides=(through["A"], through["B"]),
        kind=plan.kind,
        rides=rule.on.value,
        assumed=rule.behind.rests_on == "assumed",
    )
