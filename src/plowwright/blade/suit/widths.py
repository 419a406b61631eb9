"""What a blade clears and what room it takes: against the machine's own width, a gate and the road."""

from __future__ import annotations

from dataclasses import replace
from math import cos, sin
from typing import Final

import numpy as np

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.carrier_facts import Fact
from plowwright.blade.carriers import Carrier
from plowwright.blade.clearances import LOOSE_GROUPS
from plowwright.blade.poses import Pose, clear_width, motions
from plowwright.blade.prisms import prisms, spread
from plowwright.blade.spans import Span
from plowwright.blade.suit.judging import judged, span_of, unknown
from plowwright.blade.suit.results import Check, Widths
from plowwright.blade.work import Work
from plowwright.findings import Basis
from plowwright.rulebook.suit import Suit

STRAIGHT: Final = "machine's width against the path cleared straight"
ANGLED: Final = "machine's width against the path cleared at full angle"
OVERLAP: Final = "overlap of passes at full angle, so that both wheels run on cleared ground"
WIDER: Final = "Its wheels run over snow that it leaves."
_BARE: Final = LOOSE_GROUPS - {"extras"}
"""Groups that take no room of their own: hoses bend, packing comes off."""


def widths_of(build: Build, carrier: Carrier, work: Work, settings: Suit) -> tuple[Widths, tuple[Check, ...]]:
    """Widths of a blade on this machine, and what is said of them.

    Args:
        build: The blade.
        carrier: The machine.
        work: Gate and road, as far as they were told.
        settings: suit.toml.
    """
    stop, width = build.assembly.pivots.angle_stop, build.assembly.width
    forward, back = _ends(build, stop)
    angled = max(room(build, stop), room(build, -stop))
    fact = carrier.known("width")
    plain = Widths(
        straight=width,
        full_angle=clear_width(width, stop),
        angle=stop,
        left=back,
        right=forward,
        machine=None if fact is None else span_of(fact),
        gate=work.gate,
        travel=angled,
        whole=room(build, 0.0),
        findings=(),
    )
    checks = (*_against_machine(plain, carrier, settings), *_gate(plain, settings), *_road(plain, work, settings))
    return replace(plain, findings=tuple(check.finding for check in checks)), checks


def room(build: Build, angle: float) -> float:
    """Width of everything that is bolted to the blade, markers and shoes with it [m].

    Args:
        build: The blade.
        angle: Of the blade, + left end forward [rad].
    """
    moved = motions(build.assembly.pivots, Pose(angle=angle))
    turns = {body: spread(matrix) for body, matrix in moved.items()}
    low, high = np.inf, -np.inf
    for part in build.parts:
        # Cylinder and springs lie between what they join.
        if part.link is not None or part.body == "loose" or part.group in _BARE:
            continue
        turn, shift = turns[part.body]
        for solid in part.solids:
            for piece in prisms(solid, solid.place or part.place):
                across = piece.corners @ turn[:, 1] + shift[1]
                low, high = min(low, float(across.min())), max(high, float(across.max()))
    return high - low


def _ends(build: Build, angle: float) -> tuple[float, float]:
    """How far the forward and the trailing end of the edge stand from the machine's middle at an angle [m].

    The edge turns about the king pin behind it, so its path also shifts sideways, towards the trailing end.
    """
    ahead = build.datum.edge_back + build.datum.edge_wall - build.assembly.pivots.king_pin[0]
    half, aside = 0.5 * build.assembly.width * cos(angle), ahead * sin(angle)
    return half - aside, half + aside


def _against_machine(widths: Widths, carrier: Carrier, settings: Suit) -> tuple[Check, ...]:
    fact = carrier.known("width")
    rows = (
        ("clear_straight", STRAIGHT, widths.straight, Basis(kind="common practice", formula="over tyres or tracks <= W",
         inputs={"W, edge": units.say(widths.straight, "length")})),
        ("clear_angled", ANGLED, widths.full_angle, Basis(kind="common practice", formula="over tyres or tracks <= "
         "W cos(angle)", inputs={"W, edge": units.say(widths.straight, "length"),
                                 "angle": units.say(widths.angle, "angle")})),
    )  # fmt: skip
    if fact is None or widths.machine is None:
        return tuple(
            unknown(key, title, ("width",), kind="length", basis=basis, binds=False) for key, title, _, basis in rows
        )
    found = [
        judged(
            key, title, widths.machine, Span.sure(cleared), kind="length", facts=(fact,), basis=basis,
            binds=key == "clear_angled", because=WIDER if fact.likely > cleared else "",
        )
        for key, title, cleared, basis in rows
    ]  # fmt: skip
    return (*found, _overlap(widths, fact, settings))


def _overlap(widths: Widths, fact: Fact, settings: Suit) -> Check:
    """The edge turns about the king pin behind it: its path shifts towards the trailing end, away from one wheel."""
    over = [max(0.5 * end - widths.right, 0.0) for end in (fact.low, fact.likely, fact.high)]
    value = Span(low=over[0], likely=over[1], high=over[2])
    basis = Basis(
        kind=settings.most_overlap.rests_on,
        formula="width / 2 - (W / 2 cos(angle) - edge ahead of the king pin x sin(angle)) <= share of the path",
        inputs={
            "forward end from the middle": units.say(widths.right, "length"),
            "trailing end from the middle": units.say(widths.left, "length"),
            "path": units.say(widths.full_angle, "length"),
            "share that may overlap": settings.most_overlap.said("-"),
        },
        source="plan geometry of this blade; suit.toml, most_overlap",
    )
    because = (
        "The path shifts towards the trailing end; without overlap the wheel at the forward end runs on snow."
        if value.likely > 0.0
        else "Both wheels run on cleared ground without any."
    )
    most = Span.sure(settings.most_overlap.value * widths.full_angle)
    return judged("clear_side", OVERLAP, value, most, kind="length",
                  facts=(fact,), basis=basis, binds=False, because=because)  # fmt: skip


def _gate(widths: Widths, settings: Suit) -> tuple[Check, ...]:
    if widths.gate is None:
        return ()
    spare = settings.gate_room
    narrowest, how = min((widths.whole, "straight"), (widths.travel, "at full angle"))
    through = widths.gate - spare.value
    basis = Basis(
        kind=spare.rests_on,
        formula="blade, as narrow as it goes <= gate less room",
        inputs={
            "gate": units.say(widths.gate, "length"),
            "room, both sides": spare.said("length"),
            "straight": units.say(widths.whole, "length"),
            "at full angle": units.say(widths.travel, "length"),
        },
        source="suit.toml, gate_room",
    )
    because = f"Narrowest {how}"
    if widths.machine is not None and widths.machine.likely > narrowest:
        because += f"; the machine itself is {widths.machine.said('length')} wide"
    check = judged(
        "gate", f"blade through a gate of {units.say(widths.gate, 'length')}", Span.sure(narrowest),
        Span.sure(max(through, 0.0)), kind="length", facts=(), basis=basis, because=f"{because}.",
    )  # fmt: skip
    return (check,)


def _road(widths: Widths, work: Work, settings: Suit) -> tuple[Check, ...]:
    if work.road is False:
        return ()
    limit = settings.road_width
    narrowest, how = min((widths.whole, "straight"), (widths.travel, "at full angle"))
    basis = Basis(
        kind=limit.rests_on,
        formula="blade, as narrow as it goes <= road width",
        inputs={
            "road width": limit.said("length"),
            "straight": units.say(widths.whole, "length"),
            "at full angle": units.say(widths.travel, "length"),
        },
        source="suit.toml, road_width",
    )
    check = judged(
        "travel", "width on the road", Span.sure(narrowest), Span.sure(limit.value), kind="length", facts=(),
        basis=basis, binds=work.road is True,
        because=f"Narrowest {how}; local rules come first, for width, lamps and markers.",
    )  # fmt: skip
    return (check,)
