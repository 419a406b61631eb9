"""What angles the blade: the cylinder with its arm, brackets, lugs and valve block."""

from __future__ import annotations

from typing import Literal

from plowwright.blade.datum import Datum
from plowwright.blade.hinge import CLEAR
from plowwright.blade.making import Maker, X, Y, Z, along, box, end_seam, unit
from plowwright.blade.mounting import arm_seat, hub_tail
from plowwright.blade.parts import Hole, Joint, Link, Part, Pinned, Weld
from plowwright.blade.pushframe import arm_front, hub_face, legs
from plowwright.blade.shapes import Place, Solid
from plowwright.blade.spec import Side
from plowwright.blade.swings import (
    BARREL_SHORT,
    BRACKET_HALF,
    BRACKET_INBOARD,
    BRACKET_ROOT,
    POST_AHEAD,
    STOP_WIDTH,
    UNDER_ARM,
    Swing,
    stop_face,
)
from plowwright.physics.regions import Loop, Region, circle, rectangle
from plowwright.units.constants import INCH

FORK = 1.75 * INCH
"""From a pin to where barrel and rod begin behind their forks [m]."""

CHEEK = 0.5 * INCH
"""Thickness of a fork's cheek [m]."""


def parts(d: Datum, make: Maker, outlets: Side, place: Swing) -> tuple[list[Part], list[Joint]]:
    """Arm, brackets, cylinder and valve block with their joints.

    Args:
        d: Sizes of the blade.
        make: Makes parts of the rulebook's stock.
        outlets: The carrier's outlet side.
        place: Where the cylinder is pinned.
    """
    arm, arm_joints = _arm(d, make, place)
    cylinder, cylinder_joints = _cylinder(d, make, place, outlets)
    return [*arm, *cylinder], [*arm_joints, *cylinder_joints]


def arm_sizes(d: Datum, make: Maker) -> tuple[float, float]:
    """Size of the cylinder arm along and upright; the larger one lies flat [m].

    Args:
        d: Sizes of the blade.
        make: Looks up stock.
    """
    return make.sizes(arm_stock(d))


def arm_stock(d: Datum) -> str:
    """Tube of the cylinder arm: the row's own, or what the hinge beam is of.

    Args:
        d: Sizes of the blade.
    """
    return d.row.cylinder_arm or d.row.hinge_beam


def _arm(d: Datum, make: Maker, place: Swing) -> tuple[list[Part], list[Joint]]:
    """A cross arm on the hub with a bracket for the cylinder's base on each side, and a lug on each leg."""
    deep, tall = arm_sizes(d, make)
    front = d.king_pin - arm_front(d, make)
    x, foot, out, seat = front - deep / 2, arm_foot(d, make), arm_ends(d, make, place), arm_seat(d, make)
    arm = make.bar(
        "cylinder arm",
        "cylinder arm",
        "cylinder arm",
        stock=arm_stock(d),
        start=(x, -out, foot + tall / 2),
        end=(x, out, foot + tall / 2),
        group="cylinder",
        body="hub",
        upright=False,
    )
    # The plate under it may end before its rear face.
    rear = max(front - deep, d.king_pin - hub_tail(d))
    pieces = [arm]
    joints: list[Joint] = [
        Weld(
            id="cylinder arm to hub",
            joins=("cylinder arm", "hub plate upper"),
            leg=d.series.welds.frame,
            start=(front, -seat, foot),
            end=(front, seat, foot),
            sides=4,
            across=(rear - front, 0.0, 0.0),
        )
    ]
    for side, s in (("left", 1.0), ("right", -1.0)):
        for some, seams in (_base_bracket(d, make, place, side, s), _rod_lug(d, make, place, side, s)):
            pieces.extend(some)
            joints.extend(seams)
    return pieces, joints


def arm_ends(d: Datum, make: Maker, place: Swing) -> float:
    """The cylinder arm's ends off the middle: past base bracket and angling stop [m].

    Args:
        d: Sizes of the blade.
        make: Looks up stock.
        place: Where the cylinder is pinned.
    """
    face = stop_face(d, make)
    (c, s), (x, y), half = face.along, face.place, STOP_WIDTH / 2
    rear = -arm_front(d, make) - UNDER_ARM * arm_sizes(d, make)[0]
    stop = y + half * s + (x + half * c - rear) / s * c
    return max(abs(place.base[1]) + BRACKET_HALF + BRACKET_ROOT, stop) + INCH / 8


def arm_foot(d: Datum, make: Maker) -> float:
    """Underside of the cylinder arm, on the upper hub plate [m].

    Args:
        d: Sizes of the blade.
        make: Looks up stock.
    """
    return d.frame_z + hub_face(d, make) + make.thickness(d.row.pin_plate)


def _base_bracket(d: Datum, make: Maker, place: Swing, side: str, s: float) -> tuple[list[Part], list[Joint]]:
    """A plate on the arm's front face at the cylinder's height, with a wide root, for the fork of the cylinder's base.

    The cylinder pushes across it; the root takes what the reach makes of that.
    """
    t, pin, base_id = make.thickness(d.row.pin_plate), 1.0 * INCH, f"base bracket {side}"
    x, z = d.king_pin - arm_front(d, make), place.base[2]
    eye, y = place.base[0] - x, s * abs(place.base[1])
    inner, outer = BRACKET_HALF + BRACKET_INBOARD, BRACKET_HALF + BRACKET_ROOT
    outline: Loop = (
        (0.0, -inner, 0.0),
        (eye, -BRACKET_HALF, 1.0),
        (eye, BRACKET_HALF, 0.0),
        (0.0, outer, 0.0),
    )
    part = make.plate(
        base_id,
        "base bracket",
        "cylinder base bracket",
        stock=d.row.pin_plate,
        outline=outline,
        origin=(x, y, z),
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
        start=(x, y - s * inner, z - t / 2),
        end=(x, y + s * outer, z - t / 2),
        sides=2,
        across=(0.0, 0.0, t),
    )
    return [part], [seam]


def _rod_lug(d: Datum, make: Maker, place: Swing, side: str, s: float) -> tuple[list[Part], list[Joint]]:
    """A plate for the fork of the cylinder's rod, at the cylinder's height on a post on the leg, turned with it."""
    t, pin, half = make.thickness(d.row.pin_plate), 1.0 * INCH, BRACKET_HALF
    size, leg = d.leg_size, d.series.welds.frame
    u = unit((1.0, s * legs(d, make).slope, 0.0))
    v, leg_top = (-u[1], u[0], 0.0), d.frame_z + d.leg_size / 2
    near = half + POST_AHEAD
    at = (place.rod[0], s * abs(place.rod[1]), place.rod[2])
    # The round end points down the leg, to where the rod comes from.
    outline: Loop = ((0.0, half, 1.0), (0.0, -half, 0.0), (near + size, -half, 0.0), (near + size, half, 0.0))
    lug = make.plate(
        f"cylinder lug {side}",
        "cylinder lug",
        "cylinder lug on the leg",
        stock=d.row.pin_plate,
        outline=outline,
        origin=at,
        u=u,
        v=v,
        group="cylinder",
        body="frame",
        holes=(Hole(along=0.0, across=0.0, diameter=pin + INCH / 32, depth=t),),
    )
    foot = tuple(a + (near + size / 2) * b for a, b in zip(at, u, strict=True))
    post = make.bar(
        f"lug post {side}",
        "lug post",
        "post of the cylinder lug",
        stock=d.row.leg,
        start=(foot[0], foot[1], leg_top),
        end=(foot[0], foot[1], at[2] - t / 2),
        up=u,
        group="cylinder",
        body="frame",
    )
    seams: list[Joint] = []
    ends: tuple[tuple[tuple[str, str], Literal["start", "end"]], ...] = (
        ((lug.id, post.id), "end"),
        ((post.id, f"leg {side}"), "start"),
    )
    for joins, end in ends:
        first, last, across = end_seam(post, end)
        seams.append(
            Weld(id=f"{joins[0]} to {joins[1]}", joins=joins, leg=leg, start=first, end=last, sides=4, across=across)
        )
    return [lug, post], seams


def _fork(plate: float) -> tuple[Solid, Solid]:
    """Cheeks over and under the plate a pin goes through, along the cylinder from the pin."""
    near, far, half = plate / 2 + CLEAR, plate / 2 + CLEAR + CHEEK, 0.8 * INCH

    def cheek(low: float, high: float) -> Solid:
        return Solid(region=Region(outer=rectangle(-half, low, half, high)), start=-half, end=FORK)

    return cheek(near, far), cheek(-far, -near)


def _cylinder(d: Datum, make: Maker, place: Swing, outlets: Side) -> tuple[list[Part], list[Joint]]:
    name = d.cylinder.cylinder
    entry = make.entry(name)
    barrel, rod = (entry.barrel or 3 * INCH) / 2, (entry.rod or 1.25 * INCH) / 2
    closed = entry.retracted or place.shortest
    body_end = closed - BARREL_SHORT

    def link(follows: Literal["start", "end"]) -> Link:
        return Link(start=place.base, start_body="hub", end=place.rod, end_body="frame", follows=follows)

    fork = _fork(make.thickness(d.row.pin_plate))
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
            solids=(Solid(region=Region(outer=circle(0.0, 0.0, barrel)), start=FORK, end=body_end), *fork),
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
            solids=(Solid(region=Region(outer=circle(0.0, 0.0, rod)), start=FORK, end=closed - 2 * INCH), *fork),
            share=0.3,
            finish="none",
            link=link("end"),
            length=closed,
        ),
    ]
    block = make.entry(d.series.valve_block)
    size = (block.length or 5 * INCH, block.width or 3 * INCH, block.height or 2.5 * INCH)
    deep, tall = arm_sizes(d, make)
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
                    d.king_pin - arm_front(d, make) - deep / 2,
                    s * 0.5 * abs(place.base[1]),
                    arm_foot(d, make) + tall + size[2] / 2,
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
