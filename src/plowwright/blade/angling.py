"""What angles the blade: the cylinder with its arm, brackets, lugs and valve block."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, hypot, sin
from typing import Literal

from plowwright.blade.datum import Datum
from plowwright.blade.hinge import CLEAR
from plowwright.blade.making import Maker, X, Y, Z, along, box, minus, unit
from plowwright.blade.mounting import hub_half_width, hub_tail
from plowwright.blade.parts import Hole, Joint, Link, Part, Pinned, Weld
from plowwright.blade.pushframe import hub_eye, king_plate_rear, legs
from plowwright.blade.shapes import Place, Solid, Vec
from plowwright.blade.spec import Side
from plowwright.physics.regions import Loop, Region, circle, rectangle
from plowwright.units.constants import INCH

BASE_AHEAD = 0.8
"""How far ahead of the king pin the cylinder's base sits, over its lever arm [-]: far enough for the rod to pass inside
the other side's bracket."""

BRACKET_HALF = 1.25 * INCH
"""Half the width of a base bracket at the pin [m]."""

BRACKET_ROOT = 2.0 * INCH
"""How much wider a base bracket is at its root, outboard [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Swing:
    """Where the angle cylinder is pinned, blade straight; the base stays with the hub, the rod with the frame.

    Attributes:
        base: Base pin [m].
        rod: Rod pin [m].
        straight: Pin to pin, blade straight [m].
        shortest: Pin to pin at the full angle that draws the rod in [m].
        longest: Pin to pin at the other full angle [m].
        arm: Lever arm about the king pin, blade straight [m].
    """

    base: Vec
    rod: Vec
    straight: float
    shortest: float
    longest: float
    arm: float


def swing(d: Datum, make: Maker, outlets: Side) -> Swing:
    """Place the cylinder so that its stroke is centred on the blade's travel and its arm comes to the rule's.

    The base sits on the side of the carrier's outlets. Two places are free: how far forward the lug sits on the leg,
    and how far out the base bracket sits. The base follows from the mean of both full-angle lengths, the lug from
    the arm.

    Args:
        d: Sizes of the blade.
        make: Looks up stock.
        outlets: The side with the carrier's outlets, where base and valve block go.
    """
    run, cyl = legs(d, make), make.entry(d.cylinder.cylinder)
    middle = (cyl.retracted or 0.0) + (cyl.stroke or 0.0) / 2
    side = 1.0 if outlets == "left" else -1.0
    z = d.frame_z + d.leg_size / 2 + make.thickness(d.row.pin_plate) + (cyl.barrel or 3 * INCH) / 2 + INCH / 4
    base_x = d.king_pin + BASE_AHEAD * d.cylinder.arm
    best: Swing | None = None
    for step in range(17):
        lug_x = d.king_pin + d.cylinder.arm * (0.7 + 0.05 * step)
        if lug_x > d.king_pin + 0.8 * d.row.frame_length:
            break
        tried = _pinned(d, base_x, lug_x, run.y_at(lug_x), middle, side, z)
        if best is None or abs(tried.arm - d.cylinder.arm) < abs(best.arm - d.cylinder.arm):
            best = tried
    assert best is not None
    return best


def _pinned(d: Datum, base_x: float, lug_x: float, lug_y: float, middle: float, side: float, z: float) -> Swing:
    k, stop = d.king_pin, d.series.angle_stop
    lug = (lug_x - k, -lug_y)

    def lengths(base_y: float) -> tuple[float, float]:
        ends: list[float] = []
        for turn in (-stop, stop):
            x, y = lug[0] * cos(turn) - lug[1] * sin(turn), lug[0] * sin(turn) + lug[1] * cos(turn)
            ends.append(hypot(x - (base_x - k), y - base_y))
        return min(ends), max(ends)

    low, high = 0.0, 60 * INCH
    for _ in range(40):
        half = 0.5 * (low + high)
        if sum(lengths(half)) / 2 < middle:
            low = half
        else:
            high = half
    base_y = 0.5 * (low + high)
    shortest, longest = lengths(base_y)
    straight = hypot(lug_x - base_x, lug[1] - base_y)
    bx, by = base_x - k, base_y
    arm = abs(bx * (lug[1] - by) - by * (lug[0] - bx)) / straight
    return Swing(
        base=(base_x, side * base_y, z),
        rod=(lug_x, -side * lug_y, z),
        straight=straight,
        shortest=shortest,
        longest=longest,
        arm=arm,
    )


def parts(d: Datum, make: Maker, outlets: Side) -> tuple[list[Part], list[Joint], Swing]:
    """Arm, brackets, cylinder and valve block with their joints, and where the cylinder is pinned.

    Args:
        d: Sizes of the blade.
        make: Makes parts of the rulebook's stock.
        outlets: The carrier's outlet side.
    """
    place = swing(d, make, outlets)
    arm, arm_joints = _arm(d, make, place)
    cylinder, cylinder_joints = _cylinder(d, make, place, outlets)
    return [*arm, *cylinder], [*arm_joints, *cylinder_joints], place


def _arm(d: Datum, make: Maker, place: Swing) -> tuple[list[Part], list[Joint]]:
    """A cross arm on the hub with a bracket for the cylinder's base on each side, and a lug on each leg."""
    size = make.sizes(d.row.tower)[0]
    x, z = d.king_pin - hub_eye(d, make) - size / 2, arm_foot(d, make) + size / 2
    out = arm_ends(place)
    arm = make.bar(
        "cylinder arm",
        "cylinder arm",
        "cylinder arm",
        stock=d.row.tower,
        start=(x, -out, z),
        end=(x, out, z),
        group="cylinder",
        body="hub",
    )
    pieces = [arm]
    joints: list[Joint] = []
    for side, s in (("left", 1.0), ("right", -1.0)):
        for part, seams in (
            _seat(d, make, side, s),
            _base_bracket(d, make, place, side, s),
            _rod_lug(d, make, place, side, s),
        ):
            pieces.append(part)
            joints.extend(seams)
    return pieces, joints


def arm_ends(place: Swing) -> float:
    """The cylinder arm's ends off the middle: past the bracket for the cylinder's base [m].

    Args:
        place: Where the cylinder is pinned.
    """
    return abs(place.base[1]) + BRACKET_HALF + BRACKET_ROOT + INCH / 4


def arm_foot(d: Datum, make: Maker) -> float:
    """Underside of the cylinder arm: clear of the upper king-pin plate, which turns below it [m].

    Args:
        d: Sizes of the blade.
        make: Looks up stock.
    """
    return d.frame_z + d.leg_size / 2 + make.thickness(d.row.pin_plate) + CLEAR


def _seat(d: Datum, make: Maker, side: str, s: float) -> tuple[Part, list[Joint]]:
    """An upright plate that carries the arm on the upper hub plate, behind the swing of the king-pin plates."""
    t, seat_id = make.thickness(d.row.pin_plate), f"arm seat {side}"
    wide, stop = hub_half_width(d, make), d.series.angle_stop
    low, high = d.frame_z + d.leg_size / 2 - CLEAR, arm_foot(d, make)
    # The king-pin plate's rear edge, turned to the stop, comes nearest to the seat's outer face.
    front = d.king_pin - (king_plate_rear(d, make) + wide * sin(stop) + CLEAR) / cos(stop)
    arm_rear = hub_eye(d, make) + make.sizes(d.row.tower)[0]
    rear, y = d.king_pin - min(hub_tail(d), arm_rear), s * (wide - t / 2)
    part = make.plate(
        seat_id,
        "arm seat",
        "seat of the cylinder arm",
        stock=d.row.pin_plate,
        outline=rectangle(0.0, 0.0, front - rear, high - low),
        origin=(rear, y, low),
        u=X,
        v=Z,
        group="cylinder",
        body="hub",
    )
    seams: list[Joint] = [
        Weld(
            id=f"{name} {side}",
            joins=(seat_id, to),
            leg=d.series.welds.frame,
            start=(rear, y - s * t / 2, at),
            end=(front, y - s * t / 2, at),
            sides=2,
            across=(0.0, s * t, 0.0),
        )
        for name, to, at in (
            ("arm seat to hub,", "hub plate upper", low),
            ("cylinder arm to arm seat,", "cylinder arm", high),
        )
    ]
    return part, seams


def _base_bracket(d: Datum, make: Maker, place: Swing, side: str, s: float) -> tuple[Part, list[Joint]]:
    """A plate on the arm that reaches forward to the cylinder's base pin, with a wide root outboard of the cylinder.

    The cylinder pushes across it; the root takes what the reach makes of that.
    """
    size, t, pin = make.sizes(d.row.tower)[0], make.thickness(d.row.pin_plate), 1.0 * INCH
    x, top = d.king_pin - hub_eye(d, make) - size / 2, arm_foot(d, make) + size
    eye, base_id = place.base[0] - x, f"base bracket {side}"
    y, root = s * abs(place.base[1]), BRACKET_HALF + BRACKET_ROOT
    outline: Loop = (
        (-size / 2, -BRACKET_HALF, 0.0),
        (eye, -BRACKET_HALF, 1.0),
        (eye, BRACKET_HALF, 0.0),
        (size / 2, root, 0.0),
        (-size / 2, root, 0.0),
    )
    part = make.plate(
        base_id,
        "base bracket",
        "cylinder base bracket",
        stock=d.row.pin_plate,
        outline=outline,
        origin=(x, y, top + t / 2),
        u=X,
        # The right one is the left one turned over.
        v=(0.0, s, 0.0),
        group="cylinder",
        body="hub",
        holes=(Hole(along=eye, across=0.0, diameter=pin + INCH / 32, depth=t),),
    )
    seam = Weld(
        id=f"{base_id} to arm",
        joins=(base_id, "cylinder arm"),
        leg=d.series.welds.frame,
        start=(x - size / 2, y - s * BRACKET_HALF, top),
        end=(x + size / 2, y - s * BRACKET_HALF, top),
        sides=2,
        across=(0.0, s * (BRACKET_HALF + root), 0.0),
        joint="lap",
    )
    return part, [seam]


def _rod_lug(d: Datum, make: Maker, place: Swing, side: str, s: float) -> tuple[Part, list[Joint]]:
    """A plate on a leg, turned with it, for the cylinder's rod pin."""
    t, pin, long = make.thickness(d.row.pin_plate), 1.0 * INCH, 1.25 * INCH
    half, slope, lug_id = min(long, d.leg_size / 2) - INCH / 8, legs(d, make).slope, f"cylinder lug {side}"
    u = unit((1.0, s * slope, 0.0))
    # The round end points up the leg.
    outline: Loop = ((-long, -half, 0.0), (long, -half, 1.0), (long, half, 0.0), (-long, half, 0.0))
    part = make.plate(
        lug_id,
        "cylinder lug",
        "cylinder lug on the leg",
        stock=d.row.pin_plate,
        outline=outline,
        origin=(place.rod[0], s * abs(place.rod[1]), d.frame_z + d.leg_size / 2 + t / 2),
        u=u,
        v=(-u[1], u[0], 0.0),
        group="cylinder",
        body="frame",
        holes=(Hole(along=0.0, across=0.0, diameter=pin + INCH / 32, depth=t),),
    )
    seam = Weld(
        id=f"{lug_id} to leg",
        joins=(lug_id, f"leg {side}"),
        leg=d.series.welds.frame,
        start=part.place.point(-long, -half, -t / 2),
        end=part.place.point(long, -half, -t / 2),
        sides=2,
        across=minus(part.place.point(0.0, half, 0.0), part.place.point(0.0, -half, 0.0)),
        joint="lap",
    )
    return part, [seam]


def _cylinder(d: Datum, make: Maker, place: Swing, outlets: Side) -> tuple[list[Part], list[Joint]]:
    name = d.cylinder.cylinder
    entry = make.entry(name)
    barrel, rod = (entry.barrel or 3 * INCH) / 2, (entry.rod or 1.25 * INCH) / 2
    closed = entry.retracted or place.shortest
    body_end = closed - 3 * INCH

    def link(follows: Literal["start", "end"]) -> Link:
        return Link(start=place.base, start_body="hub", end=place.rod, end_body="frame", follows=follows)

    line = along(place.base, place.rod)
    back = Place(origin=place.rod, u=line.u, v=(-line.v[0], -line.v[1], -line.v[2]))
    parts_: list[Part] = [
        make.bought(
            "cylinder barrel",
            "angle cylinder",
            "angle cylinder, barrel",
            stock=name,
            place=line,
            group="cylinder",
            body="link",
            solids=(Solid(region=Region(outer=circle(0.0, 0.0, barrel)), start=0.0, end=body_end),),
            share=0.7,
            finish="none",
            link=link("start"),
            length=closed,
        ),
        make.bought(
            "cylinder rod",
            "angle cylinder",
            "angle cylinder, rod",
            stock=name,
            place=back,
            group="cylinder",
            body="link",
            solids=(Solid(region=Region(outer=circle(0.0, 0.0, rod)), start=0.0, end=closed - 2 * INCH),),
            share=0.3,
            finish="none",
            link=link("end"),
            length=closed,
        ),
    ]
    block = make.entry(d.series.valve_block)
    size = (block.length or 5 * INCH, block.width or 3 * INCH, block.height or 2.5 * INCH)
    arm = make.sizes(d.row.tower)[0]
    s = 1.0 if outlets == "left" else -1.0
    parts_.append(
        make.bought(
            "valve block",
            "valve block",
            "crossover relief valve",
            stock=d.series.valve_block,
            solids=(box(size),),
            # It lies along the arm, on top of it.
            place=Place(
                origin=(
                    d.king_pin - hub_eye(d, make) - arm / 2,
                    s * 0.5 * abs(place.base[1]),
                    arm_foot(d, make) + arm + size[2] / 2,
                ),
                u=Y,
                v=(-1.0, 0.0, 0.0),
            ),
            group="cylinder",
            body="hub",
            length=size[0],
        )
    )
    joints: list[Joint] = [
        Pinned(
            id="cylinder base",
            joins=(f"base bracket {outlets}", "cylinder barrel"),
            pin="cylinder barrel",
            position=place.base,
            axis=Z,
            diameter=INCH,
        ),
        Pinned(
            id="cylinder rod end",
            joins=("cylinder rod", f"cylinder lug {'right' if outlets == 'left' else 'left'}"),
            pin="cylinder rod",
            position=place.rod,
            axis=Z,
            diameter=INCH,
        ),
    ]
    return parts_, joints
