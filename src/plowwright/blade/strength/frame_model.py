"""The push frame of a blade as beams: hinge beam, ears and pins, legs, cross, king-pin plates, towers and braces.

Read off the parts and joints; it stands still in the model, whatever the blade's angle. What is assumed:

- every bar has one section along its length; mitres, holes and corner gussets are left out (gussets: safe side);
- bars meet at their axes through rigid arms as long as the metal there is;
- a tower's brace is a strip of plate from the middle of its seam on the leg to that on the tower;
- a king-pin plate is two strips across, behind and before its opening, and two along the legs it is welded to;
- hinge pins sit in their ears without play: they bend free in the ears and turn free in the moldboard's ear;
- until it trips, the moldboard is held on each spring's line by a stiff link: it rests on its stop under preload, and
  the force in the link against the preload says when it leaves it.
"""

from __future__ import annotations

from itertools import pairwise
from math import dist
from typing import Final

from plowwright.blade.parts import Pinned, Sprung, Weld
from plowwright.blade.shapes import Vec
from plowwright.blade.strength import members
from plowwright.blade.strength.frame_parts import Finder, minus, plus
from plowwright.errors import ModelError

SNUG: Final = 1e9
"""Stiffness of metal bearing on metal in a pin joint [N/m]; well above any beam here."""
TURN: Final = 1e6
"""Keeps the equations of a frame that turns freely about the king pin in order [N m/rad]."""
LINK: Final = 3e8
"""Stiffness of the link that stands for a moldboard resting on its stop [N/m]; as a 1 in bar a foot long."""
SIDES: Final = ("left", "right")
ENDS: Final = ("rear", "front")
Y: Final[Vec] = (0.0, 1.0, 0.0)
Z: Final[Vec] = (0.0, 0.0, 1.0)


def hang(find: Finder) -> None:
    """Hang the push frame on the king pin: what it puts there comes out as the forces of these ties.

    The last one only keeps it from turning about the pin while equations are solved; the hold's force balances the
    loads, so it carries nothing.

    Args:
        find: Parts and joints of the blade, with the push frame laid.
    """
    find.plan.tie("king pin, upper", "king-pin plate upper", None, (SNUG, SNUG, SNUG, 0.0, 0.0, TURN))
    find.plan.tie("king pin, lower", "king-pin plate lower", None, (SNUG, SNUG, 0.0, 0.0, 0.0, 0.0))


def hinges(find: Finder) -> tuple[Pinned, ...]:
    """The hinges, right to left, each with its pin.

    Args:
        find: Parts and joints of the blade.

    Raises:
        ModelError: An ear of the moldboard without a pin; names the hinge.
    """
    count = sum(1 for part_id in find.parts if part_id.startswith("ear "))
    if not count:
        raise ModelError("the moldboard has no ears to hang on", way_out="Put the ears back among the parts.")
    return tuple(find.pinned(f"hinge {number}") for number in range(1, count + 1))


def hung(find: Finder) -> tuple[Sprung, ...]:
    """The springs' joints, right to left.

    Args:
        find: Parts and joints of the blade.

    Raises:
        ModelError: There are none.
    """
    found = tuple(joint for joint in find.joints.values() if isinstance(joint, Sprung))
    if not found:
        raise ModelError("no spring holds the moldboard up", way_out="Put the springs back among the joints.")
    return found


def push_frame(find: Finder) -> None:
    """Lay the push frame into the plan, with the nodes that the moldboard hangs on.

    Those are `hinge {i} board` at each hinge and `lug {j}` at the moldboard's end of each spring.

    Args:
        find: Parts and joints of the blade.

    Raises:
        ModelError: A part or joint is missing; names it.
    """
    pins = hinges(find)
    _beam(find, pins)
    _ears(find, pins)
    for side in SIDES:
        _leg(find, side)
    _cross(find)
    for where in ("upper", "lower"):
        _king_plate(find, f"king-pin plate {where}")
    _towers(find)


def _beam(find: Finder, pins: tuple[Pinned, ...]) -> None:
    stations: list[tuple[str, Vec]] = []
    for pin in pins:
        for ear in (pin.joins[0], pin.joins[-1]):
            stations.append((f"hinge beam at {ear}", find.seam(ear, "hinge beam").middle()))
    for side in SIDES:
        for other in (f"leg {side}", f"tower {side}"):
            stations.append((f"hinge beam at {other}", members.axis(find.part(other))[_near_beam(other)]))
    find.run(find.part("hinge beam"), stations, role="frame")


def _near_beam(other: str) -> int:
    """A leg runs to the beam, a tower starts on it."""
    return 1 if other.startswith("leg") else 0


def _ears(find: Finder, pins: tuple[Pinned, ...]) -> None:
    """Beam ears as cantilevers, the pin between them, and the node on it that carries the moldboard's ear."""
    plan, rules = find.plan, find.blade.rulebook
    for number, pin in enumerate(pins, 1):
        for ear_id in (pin.joins[0], pin.joins[-1]):
            ear = find.part(ear_id)
            bounds = ear.solids[0].region.bounds()
            eye, root = members.hole(ear), find.seam(ear_id, "hinge beam").middle()
            plan.node(f"{ear_id} eye", eye)
            plan.beam(
                ear_id,
                f"hinge beam at {ear_id}",
                f"{ear_id} eye",
                members.strip(bounds[3] - bounds[1], ear.thickness),
                members.metal(ear, rules),
                part=ear_id,
                role="frame",
                up=Y,
                start=(root[0], eye[1], eye[2]),
            )
        round_bar = find.part(pin.pin)
        plan.node(f"hinge {number}", pin.position)
        plan.node(f"hinge {number} board", pin.position)
        for ear_id, first in ((pin.joins[0], True), (pin.joins[-1], False)):
            plan.beam(
                f"{pin.pin}, {'right' if first else 'left'} half",
                f"{ear_id} eye" if first else f"hinge {number}",
                f"hinge {number}" if first else f"{ear_id} eye",
                members.bar(round_bar, rules),
                members.metal(round_bar, rules),
                part=pin.pin,
                role="frame",
                up=Z,
                free=("start y", "start z") if first else ("end y", "end z"),
            )
        plan.tie(pin.id, f"hinge {number} board", f"hinge {number}", (SNUG, SNUG, SNUG, 0.0, 0.0, 0.0))


def _leg(find: Finder, side: str) -> None:
    """A leg from the king-pin plates' strips to the hinge beam, with the nodes others are joined at."""
    leg = find.part(f"leg {side}")
    sign = 1.0 if side == "left" else -1.0
    cross = max(members.axis(find.part("cross")), key=lambda at: sign * at[1])
    stations: list[tuple[str, Vec]] = [
        (f"hinge beam at leg {side}", members.axis(leg)[1]),
        (f"leg {side} at cross", cross),
        (f"leg {side} at brace", find.seam(f"brace {side}", f"leg {side}").middle()),
    ]
    if f"cylinder lug {side}" in find.parts:
        stations.append((f"leg {side} at cylinder lug", members.hole(find.part(f"cylinder lug {side}"))))
    first, last = members.axis(leg)
    middles = [(x0 + x1) / 2 for x0, x1 in _strips(find, "king-pin plate upper").values()]
    for name, x in zip(ENDS, middles, strict=True):
        share = (x - first[0]) / (last[0] - first[0])
        stations.append((f"leg {side} at king-pin plates, {name}", plus(first, minus(last, first), share)))
    for stop in find.stops("angle"):
        # The plate's edge over the leg comes to bear on the stop, between its two strips.
        if stop.meets[1] * sign > 0:
            x = min(max(stop.meets[0], middles[0]), middles[1])
            share = (x - first[0]) / (last[0] - first[0])
            stations.append((f"leg {side} at angling stop", plus(first, minus(last, first), share)))
    find.run(leg, stations, role="frame")


def _cross(find: Finder) -> None:
    right, left = sorted(members.axis(find.part("cross")), key=lambda at: at[1])
    find.run(find.part("cross"), [("leg right at cross", right), ("leg left at cross", left)], role="frame")


def _strips(find: Finder, plate_id: str) -> dict[str, tuple[float, float]]:
    """Where a king-pin plate's strips across lie along x: behind and before its opening [m]."""
    plate = find.part(plate_id)
    region, x = plate.solids[0].region, plate.place.origin[0]
    low, _, high, _ = region.bounds()
    openings = list(region.inner[len(plate.holes) :])
    if openings:
        us = [(min(p[0] for p in loop), max(p[0] for p in loop)) for loop in openings]
        rear, front = min(u[0] for u in us), max(u[1] for u in us)
    else:
        rear = front = (low + high) / 2
    return {"rear": (x + low, x + rear), "front": (x + front, x + high)}


def _king_plate(find: Finder, plate_id: str) -> None:
    """A king-pin plate: strips across between the legs' inner faces, strips along over the legs."""
    plan, plate = find.plan, find.part(plate_id)
    steel = members.metal(plate, find.blade.rulebook)
    z, k = plate.place.origin[2], plate.place.origin
    plan.node(plate_id, k)
    seams = {side: find.seam(plate_id, f"leg {side}") for side in SIDES}
    for name, (x0, x1) in _strips(find, plate_id).items():
        x, wide = (x0 + x1) / 2, x1 - x0
        marks: list[tuple[str, Vec]] = []
        for side in SIDES:
            marks.append((f"leg {side} at king-pin plates, {name}", (x, _inner_edge(seams[side], x), z)))
        if name == "rear":
            marks.append((plate_id, (x, 0.0, z)))
        marks.sort(key=lambda mark: mark[1][1])
        for number, ((first, start), (last, end)) in enumerate(pairwise(marks), 1):
            plan.beam(
                f"{plate_id}, {name} strip {number}",
                first,
                last,
                members.strip(wide, plate.thickness),
                steel,
                part=plate_id,
                role="frame",
                up=Z,
                start=start,
                end=end,
            )
    for side in SIDES:
        marks = [(name, plan.places[name]) for name in (f"leg {side} at king-pin plates, {end}" for end in ENDS)]
        if f"leg {side} at angling stop" in plan.numbers:
            marks.append((f"leg {side} at angling stop", plan.places[f"leg {side} at angling stop"]))
        marks.sort(key=lambda mark: mark[1][0])
        for number, ((first, start), (last, end)) in enumerate(pairwise(marks), 1):
            plan.beam(
                f"{plate_id}, along leg {side} {number}",
                first,
                last,
                members.strip(abs(seams[side].across[1]) or plate.thickness, plate.thickness),
                steel,
                part=plate_id,
                role="frame",
                up=Z,
                start=(start[0], start[1], z),
                end=(end[0], end[1], z),
            )


def _inner_edge(seam: Weld, x: float) -> float:
    """Where the inner one of the two seams along a leg lies at x [m]."""
    a, b = seam.start, seam.end
    share = (x - a[0]) / (b[0] - a[0])
    y = a[1] + share * (b[1] - a[1])
    return min((y, y + seam.across[1]), key=abs)


def _brace(find: Finder, side: str) -> None:
    """The upright plate behind a tower: a strip from the middle of its seam on the leg to that on the tower."""
    brace = find.part(f"brace {side}")
    low, high = (find.seam(brace.id, other).middle() for other in (f"leg {side}", f"tower {side}"))
    y = (low[1] + high[1]) / 2
    start, end = (low[0], y, low[2]), (high[0], y, high[2])
    long = dist(start, end)
    wide = min(brace.solids[0].region.properties().area / long, long / 2)
    find.plan.beam(
        brace.id,
        f"leg {side} at brace",
        f"tower {side} at brace",
        members.strip(wide, brace.thickness),
        members.metal(brace, find.blade.rulebook),
        part=brace.id,
        role="frame",
        up=Y,
        start=start,
        end=end,
    )


def _towers(find: Finder) -> None:
    """Towers, braces, the bar behind the towers and the links along the springs."""
    plan = find.plan
    bar = find.part("tower bar")
    met = {side: find.seam(bar.id, f"tower {side}").middle() for side in SIDES}
    for side, end in met.items():
        tower, foot = find.part(f"tower {side}"), find.seam(f"brace {side}", f"tower {side}").middle()
        stations = [
            (f"hinge beam at tower {side}", members.axis(tower)[0]),
            (f"tower {side} at bar", end),
            (f"tower {side} at brace", foot),
        ]
        find.run(tower, stations, role="frame")
        _brace(find, side)
    springs = hung(find)
    stations = [(f"tower {side} at bar", end) for side, end in met.items()]
    stations += [(f"tower bar at spring {number}", joint.end) for number, joint in enumerate(springs, 1)]
    find.run(bar, stations, role="frame")
    for number, joint in enumerate(springs, 1):
        plan.node(f"lug {number}", joint.start)
        find.link(
            f"trip link {number}",
            f"lug {number}",
            f"tower bar at spring {number}",
            part=joint.spring,
            start=joint.start,
            end=joint.end,
            stiffness=LINK,
        )
