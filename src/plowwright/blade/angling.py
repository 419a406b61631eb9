"""What angles the blade: the cylinder with its arm, brackets, lugs and valve block."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, hypot, sin
from typing import Literal

from plowwright.blade.datum import Datum
from plowwright.blade.making import Maker, X, Y, Z, along, box
from plowwright.blade.parts import Hole, Joint, Link, Part, Pinned, Place, Solid, Vec, Weld
from plowwright.blade.pushframe import hub_eye, legs
from plowwright.blade.spec import Side
from plowwright.physics.regions import Loop, Region, circle, rectangle
from plowwright.units.constants import INCH


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
    base_x = d.king_pin + 0.65 * d.cylinder.arm
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


def _pinned(
    d: Datum, base_x: float, lug_x: float, lug_y: float, middle: float, side: float, z: float
) -> Swing:
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
    x = d.king_pin - hub_eye(d, make) - size / 2
    out = abs(place.base[1]) + 1.5 * INCH
    z = d.frame_z + d.leg_size / 2 + make.thickness(d.row.pin_plate) + size / 2
    pieces = [
        make.bar(
            "cylinder arm",
            "cylinder arm",
            "cylinder arm",
            stock=d.row.tower,
            start=(x, -out, z),
            end=(x, out, z),
            group="cylinder",
            body="hub",
        )
    ]
    joints: list[Joint] = [
        Weld(
            id="cylinder arm to hub",
            joins=("cylinder arm", "hub plate upper"),
            leg=d.series.welds.frame,
            start=(x, -2 * INCH, z - size / 2),
            end=(x, 2 * INCH, z - size / 2),
            sides=2,
        )
    ]
    t = make.thickness(d.row.pin_plate)
    pin = 1.0 * INCH
    reach = place.base[0] - x + 1.25 * INCH
    deep = 1.25 * INCH
    bracket: Loop = (
        (-size / 2, -deep, 0.0),
        (reach - deep, -deep, 1.0),
        (reach - deep, deep, 0.0),
        (-size / 2, deep, 0.0),
    )
    lug: Loop = ((-deep, -deep, 0.0), (deep, -deep, 1.0), (deep, deep, 0.0), (-deep, deep, 0.0))
    for side, s in (("left", 1.0), ("right", -1.0)):
        base_id, lug_id = f"base bracket {side}", f"cylinder lug {side}"
        pieces.append(
            make.plate(
                base_id,
                "base bracket",
                "cylinder base bracket",
                stock=d.row.pin_plate,
                outline=bracket,
                origin=(x, s * abs(place.base[1]), z + size / 2 + t / 2),
                u=X,
                v=Y,
                group="cylinder",
                body="hub",
                holes=(Hole(along=reach - deep, across=0.0, diameter=pin + INCH / 32, depth=t),),
            )
        )
        rod_y = s * abs(place.rod[1])
        pieces.append(
            make.plate(
                lug_id,
                "cylinder lug",
                "cylinder lug on the leg",
                stock=d.row.pin_plate,
                outline=lug,
                origin=(place.rod[0], rod_y, d.frame_z + d.leg_size / 2 + t / 2),
                u=X,
                v=Y,
                group="cylinder",
                body="frame",
                holes=(Hole(along=0.0, across=0.0, diameter=pin + INCH / 32, depth=t),),
            )
        )
        joints += [
            Weld(
                id=f"{base_id} to arm",
                joins=(base_id, "cylinder arm"),
                leg=d.series.welds.frame,
                start=(x - size / 2, s * abs(place.base[1]), z + size / 2),
                end=(x + size / 2, s * abs(place.base[1]), z + size / 2),
                sides=2,
                joint="lap",
            ),
            Weld(
                id=f"{lug_id} to leg",
                joins=(lug_id, f"leg {side}"),
                leg=d.series.welds.frame,
                start=(place.rod[0] - deep, rod_y, d.frame_z + d.leg_size / 2),
                end=(place.rod[0] + deep, rod_y, d.frame_z + d.leg_size / 2),
                sides=2,
                joint="lap",
            ),
        ]
    some, seams = _stops(d, make)
    return [*pieces, *some], [*joints, *seams]


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
    arm_x = d.king_pin - hub_eye(d, make)
    s = 1.0 if outlets == "left" else -1.0
    parts_.append(
        make.bought(
            "valve block",
            "valve block",
            "crossover relief valve",
            stock=d.series.valve_block,
            solids=(box(size),),
            place=Place(
                origin=(arm_x - size[0] / 2, s * 0.5 * abs(place.base[1]), place.base[2] + size[2]), u=X, v=Y
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


def _stops(d: Datum, make: Maker) -> tuple[list[Part], list[Joint]]:
    """Two blocks on the upper king-pin plate whose faces meet the cylinder arm at full angle."""
    t = make.thickness(d.row.pin_plate)
    pieces: list[Part] = []
    joints: list[Joint] = []
    z = d.frame_z + d.leg_size / 2 + t
    for side, s in (("left", 1.0), ("right", -1.0)):
        stop_id, y = f"angling stop {side}", s * (hub_eye(d, make) + INCH / 2)
        long, high = 3 * INCH, 1.5 * INCH
        pieces.append(
            make.plate(
                stop_id,
                "angling stop",
                "angling stop",
                stock=d.row.pin_plate,
                outline=rectangle(0.0, 0.0, long, high),
                origin=(d.king_pin + INCH, y, z),
                u=X,
                v=Z,
                group="king pin",
                body="frame",
            )
        )
        joints.append(
            Weld(
                id=f"{stop_id} to king-pin plate",
                joins=(stop_id, "king-pin plate upper"),
                leg=d.series.welds.frame,
                start=(d.king_pin + INCH, y, z),
                end=(d.king_pin + INCH + long, y, z),
                sides=2,
            )
        )
    return pieces, joints
