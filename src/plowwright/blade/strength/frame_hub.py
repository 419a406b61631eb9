"""King pin, hub, oscillation and cylinder arm as beams, and what keeps the blade at its angle.

The push frame hangs on the hub by five forces at the king pin (three at the upper king-pin plate, two at the lower) and
one that keeps the angle, along the cylinder or against a stop. Six forces follow from balance alone, so push frame and
hub are two frames, each factored once for all poses, and how stiff the hub is changes no force. What is assumed:

- the carrier holds the mount plate still; the oscillation is locked on its stop: a couple between arm and mount plate;
- rub pads only push, and bear without play; the play they have is taken up by bending of the oscillation pin;
- the king pin turns freely in the king-pin plates, without play; the upper plate takes what is upright;
- hub plates hold the pin and do not bend it; along their weld they and the oscillation pin bend as one;
- the cylinder is locked: a column of oil at half stroke, pinned at both ends, that pushes or pulls along its line;
- at full angle, against a stop, the oil takes nothing: the king-pin plate's edge bears square on the stop's face.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import pi
from typing import Final

from plowwright.blade.loads import HeldBy
from plowwright.blade.making import dot, minus, unit
from plowwright.blade.parts import Part, Stopped, Weld
from plowwright.blade.shapes import Vec
from plowwright.blade.strength import members
from plowwright.blade.strength.frame_model import SNUG, Y, Z
from plowwright.blade.strength.frame_parts import Finder, Turn, between, plus
from plowwright.errors import ModelError

OIL: Final = 1.4e9
"""Bulk modulus of the oil in cylinder and hoses, assumed [Pa]."""
ROLL: Final = 1e7
"""Stiffness of the oscillation on its stop about the pin, as good as locked [N m/rad]."""
CONTACT: Final = 1e9
"""Stiffness of the arm bearing on an angling stop [N/m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """What keeps the blade at its angle: a force between push frame and hub along one line.

    Attributes:
        frame_part: Part of the push frame it acts on.
        frame_node: Node that takes it there.
        frame_at: Where, analysis axes [m].
        hub_part: Part of the hub it acts on.
        hub_node: Node that takes it there.
        hub_at: Where, blade straight [m].
        direction: Of the force on the push frame when it pushes, analysis axes [-].
        stiffness: Push over shortening [N/m].
    """

    frame_part: str
    frame_node: str
    frame_at: Vec
    hub_part: str
    hub_node: str
    hub_at: Vec
    direction: Vec
    stiffness: float


def hub(find: Finder) -> None:
    """Lay hub and mount into a plan of their own, blade straight.

    Args:
        find: Parts and joints of the blade.

    Raises:
        ModelError: A part or joint is missing; names it.
    """
    _king_pin(find)
    _oscillation(find)
    _hub_plates(find)
    _arm(find)
    _bracket(find)


def hold(find: Finder, turn: Turn, held_by: HeldBy) -> Hold:
    """What keeps the blade at an angle.

    Args:
        find: Parts and joints of the blade.
        turn: How hub and mount stand to the push frame at this angle.
        held_by: The cylinder or a stop.

    Raises:
        ModelError: A part or joint is missing; names it.
    """
    if held_by == "stop":
        stop = _angling_stop(find, turn.angle)
        pushed = turn.direction(stop.normal)
        return Hold(
            # The pad it bears on is welded to that plate, and stands for nothing more than a place.
            frame_part="king-pin plate upper",
            frame_node=f"leg {'left' if stop.meets[1] > 0 else 'right'} at angling stop",
            frame_at=stop.meets,
            hub_part=stop.joins[0],
            hub_node=f"cylinder arm at {stop.joins[0]}",
            hub_at=turn.back(stop.meets),
            direction=(-pushed[0], -pushed[1], -pushed[2]),
            stiffness=CONTACT,
        )
    base_side, rod_side = _sides(find)
    base, rod = find.pinned("cylinder base"), find.pinned("cylinder rod end")
    return Hold(
        frame_part=f"cylinder lug {rod_side}",
        frame_node=f"leg {rod_side} at cylinder lug",
        frame_at=rod.position,
        hub_part=f"base bracket {base_side}",
        hub_node=f"base bracket {base_side} eye",
        hub_at=base.position,
        direction=unit(minus(rod.position, turn.point(base.position))),
        stiffness=_oil_column(find),
    )


def _king_pin(find: Finder) -> None:
    pin = find.part(find.pinned("king pin joint").pin)
    stations: list[tuple[str, Vec]] = []
    for where in ("upper", "lower"):
        plate, own = find.part(f"king-pin plate {where}"), find.part(f"hub plate {where}")
        stations += [(f"king pin at {plate.id}", plate.place.origin), (f"king pin at {own.id}", own.place.origin)]
    find.run(pin, stations, role="hub")


def _lap(find: Finder) -> tuple[float, float]:
    """Where the hub plates are welded to the oscillation pin, along x [m]."""
    seam = find.seam("hub plate upper", "oscillation pin")
    low, high = sorted((seam.start[0], seam.end[0]))
    return low, high


def _lap_nodes(find: Finder) -> list[tuple[str, Vec]]:
    """Stations over that weld; the cylinder arm stands on the one between when it stands over it."""
    low, high = _lap(find)
    pin, arm = members.axis(find.part("oscillation pin")), members.axis(find.part("cylinder arm"))
    at = min(high, max(low, arm[0][0]))
    y, z = pin[0][1:]
    return [(name, (x, y, z)) for name, x in (("hub, rear", low), ("hub at arm", at), ("hub, front", high))]


def _oscillation(find: Finder) -> None:
    """Pin and sleeve: the pin bears in both ends of the sleeve, the sleeve is held by the mount plate."""
    plan = find.plan
    sleeve, pin = find.part("oscillation sleeve"), find.part("oscillation pin")
    rear, front = members.axis(sleeve)
    root = mount_root(find)
    plan.node("mount plate", root, still=True)
    find.run(sleeve, [("mount plate", root), ("oscillation sleeve, front", front)], role="hub")
    stations: list[tuple[str, Vec]] = [("oscillation pin, rear", rear), ("oscillation pin, front of sleeve", front)]
    find.run(pin, [*stations, *_lap_nodes(find)], role="hub")
    plan.tie("oscillation, rear", "oscillation pin, rear", None, (0.0, SNUG, SNUG, 0.0, 0.0, 0.0))
    plan.tie(
        "oscillation, front",
        "oscillation pin, front of sleeve",
        "oscillation sleeve, front",
        (SNUG, SNUG, SNUG, 0.0, 0.0, 0.0),
    )
    plan.tie("oscillation, stop", "hub at arm", None, (0.0, 0.0, 0.0, ROLL, 0.0, 0.0))


def mount_root(find: Finder) -> Vec:
    """Where the sleeve leaves the mount plate, blade straight [m].

    Args:
        find: Parts and joints of the blade.
    """
    sleeve, plate = find.part("oscillation sleeve"), find.part("mount plate")
    first = members.axis(sleeve)[0]
    return (plate.place.origin[0] + plate.solids[0].end, first[1], first[2])


def _hub_plates(find: Finder) -> None:
    plan = find.plan
    for where in ("upper", "lower"):
        plate = find.part(f"hub plate {where}")
        steel = members.metal(plate, find.blade.rulebook)
        corners = [vertex[1] for vertex in plate.solids[0].region.outer]
        section = members.strip(plate.thickness, max(corners) - min(corners))
        z = plate.place.origin[2]
        marks = [(name, (at[0], at[1], z)) for name, at in _lap_nodes(find)]
        kept = [marks[0], *(b for a, b in pairwise(marks) if b[1][0] - a[1][0] > 1e-4)]
        kept.append((f"king pin at {plate.id}", plate.place.origin))
        for number, ((first, start), (last, end)) in enumerate(pairwise(kept), 1):
            plan.beam(
                f"{plate.id} {number}",
                first,
                last,
                section,
                steel,
                part=plate.id,
                role="hub",
                up=Y,
                start=start,
                end=end,
                # The plate holds the pin's place and its turn about its own axis, nothing else.
                free=("end x", "end z") if number == len(kept) - 1 else (),
            )


def _sides(find: Finder) -> tuple[str, str]:
    """The sides of the cylinder's base and of its rod."""
    base, rod = find.pinned("cylinder base"), find.pinned("cylinder rod end")
    bracket = next(part for part in base.joins if part.startswith("base bracket"))
    lug = next(part for part in rod.joins if part.startswith("cylinder lug"))
    return bracket.removeprefix("base bracket "), lug.removeprefix("cylinder lug ")


def _arm(find: Finder) -> None:
    """The cylinder arm from bracket to bracket, with the places where it bears on the angling stops.

    It lies welded on the hub plate: over the plate's width the two are as one block.
    """
    arm = find.part("cylinder arm")
    first, last = members.axis(arm)
    x, _, z = between(first, last)
    half = max(abs(at[1]) for line in find.seam(arm.id, "hub plate upper").lines() for at in line)
    stations: list[tuple[str, Vec]] = []
    for side, s in (("left", 1.0), ("right", -1.0)):
        y = find.part(f"base bracket {side}").place.origin[1]
        stations += [(f"cylinder arm at hub, {side}", (x, s * half, z)), (f"cylinder arm at {side} bracket", (x, y, z))]
    for stop in find.stops("angle"):
        stations.append((f"cylinder arm at {stop.joins[0]}", find.seam(stop.joins[0], arm.id).middle()))
    stations += [(pad_node(pad), pad.meets) for pad in find.stops("yaw") if pad.joins[1] == arm.id]
    find.run(arm, stations, role="hub")
    u0, v0, u1, v1 = arm.solids[0].region.bounds()
    for side, s in (("left", 1.0), ("right", -1.0)):
        find.plan.beam(
            f"hub plate upper, {side} of the arm",
            "hub at arm",
            f"cylinder arm at hub, {side}",
            members.strip(u1 - u0, v1 - v0),
            members.metal(find.part("hub plate upper"), find.blade.rulebook),
            part="hub plate upper",
            role="hub",
            up=Z,
            start=(x, 0.0, z),
            end=(x, s * half, z),
            checked=False,
        )


def pad_node(pad: Stopped) -> str:
    """The node that takes a rub pad's push: of the arm where it bears on the arm, else of the hub.

    Args:
        pad: The pad's contact.
    """
    return f"cylinder arm at {pad.joins[0]}" if pad.joins[1] == "cylinder arm" else "hub, rear"


def _bracket(find: Finder) -> None:
    """The bracket that holds the cylinder's base; the one on the other side carries nothing."""
    base_side, _ = _sides(find)
    bracket = find.part(f"base bracket {base_side}")
    eye, bounds = members.hole(bracket), bracket.solids[0].region.bounds()
    find.plan.node(f"{bracket.id} eye", eye)
    find.plan.beam(
        bracket.id,
        f"cylinder arm at {base_side} bracket",
        f"{bracket.id} eye",
        members.strip(bounds[3] - bounds[1], bracket.thickness),
        members.metal(bracket, find.blade.rulebook),
        part=bracket.id,
        role="hub",
        up=Z,
        start=_leaves(bracket, find.seam(bracket.id, "cylinder arm")),
    )


def _leaves(bracket: Part, seam: Weld) -> Vec:
    """Where the bracket leaves the arm it lies on [m]."""
    place, solid = bracket.place, bracket.solids[0]
    ends = [plus(at, seam.across, share) for at in (seam.start, seam.end) for share in (0.0, 1.0)]
    reach = max(dot(minus(at, place.origin), place.u) for at in ends)
    along = bracket.holes[0].along
    return place.point(min(reach, 0.9 * along), bracket.holes[0].across, (solid.start + solid.end) / 2)


def _oil_column(find: Finder) -> float:
    """Stiffness of the oil on both sides of the piston at half stroke [N/m]."""
    entry = find.blade.rulebook.bought[find.blade.datum.cylinder.cylinder]
    if not entry.bore or not entry.rod or not entry.stroke:
        raise ModelError(
            "the angle cylinder needs bore, rod and stroke",
            where=f"bought.toml, {find.blade.datum.cylinder.cylinder}",
        )
    cap = pi / 4 * entry.bore**2
    ring = cap - pi / 4 * entry.rod**2
    return OIL * (cap + ring) / (entry.stroke / 2)


def _angling_stop(find: Finder, angle: float) -> Stopped:
    """The stop that ends the swing at an angle of this sign."""
    found = next((stop for stop in find.stops("angle") if stop.at * angle > 0), None)
    if found is None:
        raise ModelError(
            f"nothing stops the blade with its {'left' if angle > 0 else 'right'} end forward",
            way_out="Put the angling stops back among the parts and joints.",
        )
    return found
