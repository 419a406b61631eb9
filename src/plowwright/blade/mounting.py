"""What couples the blade to the carrier and angles it: mount plate, oscillation, hub, angle cylinder, valve block."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, cos, hypot, pi, sin, sqrt, tan

from plowwright.blade.datum import Datum
from plowwright.blade.making import X, Y, Z, Maker, along, box
from plowwright.blade.parts import Hole, Joint, Link, Part, Pinned, Place, Solid, Vec, Weld
from plowwright.blade.pushframe import CLEAR, hub_eye, legs
from plowwright.blade.spec import Side
from plowwright.physics import sections
from plowwright.physics.regions import Loop, Region, circle, polygon, rectangle
from plowwright.units.constants import INCH

SLEEVE = 5.0 * INCH
"""Length of the oscillation sleeve [m]."""


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
    and how far out the base bracket sits. The base is found from the mean of both full-angle lengths, the lug from the arm.

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


def _pinned(d: Datum, base_x: float, lug_x: float, lug_y: float, middle: float, side: float, z: float) -> Swing:
    k, stop = d.king_pin, d.series.angle_stop
    lug = (lug_x - k, -lug_y)

    def lengths(base_y: float) -> tuple[float, float]:
        ends = []
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
        base=(base_x, side * base_y, z), rod=(lug_x, -side * lug_y, z), straight=straight, shortest=shortest,
        longest=longest, arm=arm,
    )  # fmt: skip


def parts(d: Datum, make: Maker, outlets: Side) -> tuple[list[Part], list[Joint], Swing]:
    """Mount, hub, cylinder and valve block with their joints, and where the cylinder is pinned.

    Args:
        d: Sizes of the blade.
        make: Makes parts of the rulebook's stock.
        outlets: The carrier's outlet side.
    """
    place = swing(d, make, outlets)
    pieces: list[Part] = []
    joints: list[Joint] = []
    for some, seams in (_mount(d, make), _lugs(d, make), _hub(d, make), _arm(d, make, place), _cylinder(d, make, place, outlets)):
        pieces.extend(some)
        joints.extend(seams)
    return pieces, joints, place


def _mount(d: Datum, make: Maker) -> tuple[list[Part], list[Joint]]:
    mount, t = d.mount, d.plate_front
    half, low = mount.width / 2, mount.above_ground
    bevel = min(3 * INCH, mount.height / 4)
    # Own axes: u to the left, v up; u x v points forward.
    shape = polygon(
        (
            (-half + bevel, 0), (half - bevel, 0), (half, bevel), (half, mount.height), (-half, mount.height), (-half, bevel),
        )
    )  # fmt: skip
    sleeve_r = make.sizes(d.series.oscillation_sleeve)[0] / 2
    holes: list[Hole] = []
    if mount.kind == "plate":
        holes = [
            Hole(along=s * 0.36 * mount.width, across=1.75 * INCH, diameter=1.5 * INCH, kind="slot", slot_length=4 * INCH, depth=t)
            for s in (-1.0, 1.0)
        ]
    notches = _notches(d.series.notches, mount.height)
    opening = circle(0.0, d.frame_z - low, sleeve_r)
    plate = make.plate(
        "mount plate", "mount plate", mount.name, stock=d.row.mount_plate, outline=_notched(shape, notches), origin=(0.0, 0.0, low),
        u=Y, v=Z, group="mount", body="mount", holes=tuple(holes), openings=(opening,), middle=False,
    )  # fmt: skip
    pieces, joints = [plate], []
    leg = d.series.welds.frame
    if mount.lip:
        section = make.section(mount.lip)
        a, b, w = section.width or 0.0, section.height or section.wall or 0.0, section.wall or 0.0
        region = sections.angle(a, b, w) if section.kind == "angle" else Region(rectangle(0, 0, w, a))
        top = low + mount.height
        pieces.append(
            Part(
                id="top lip", mark="top lip", name="top lip of the mount plate", group="mount", body="mount", kind="bar",
                stock=mount.lip, material=section.material, density=make.density(section.material),
                solids=(Solid(region=region, start=-half, end=half),),
                # u forward from the plate, v down from its top edge: u x v = y.
                place=Place(origin=(t, 0.0, top - INCH), u=X, v=(0.0, 0.0, -1.0)), length=mount.width, operations=("saw",),
            )  # fmt: skip
        )
        joints.append(
            Weld(
                id="top lip to mount plate", joins=("top lip", "mount plate"), leg=leg, start=(t, -half, top - INCH),
                end=(t, half, top - INCH), stitch=(3 * INCH, 6 * INCH),
            )  # fmt: skip
        )
    for number in range(mount.ribs):
        y = (0.30 if number % 2 else -0.30) * mount.width if mount.ribs <= 2 else (number / (mount.ribs - 1) - 0.5) * mount.width * 0.7
        depth, high = 3 * INCH, mount.height - 4.5 * INCH
        rib = f"rib {number + 1}"
        outline = polygon(((0, 0), (depth * 0.5, 0), (depth, depth), (depth, high - depth), (depth * 0.5, high), (0, high)))
        pieces.append(
            make.plate(
                rib, "rib", "mount rib", stock=d.row.mount_plate, outline=outline, origin=(t, y, low + 1.25 * INCH), u=X, v=Z,
                group="mount", body="mount",
            )  # fmt: skip
        )
        joints.append(
            Weld(
                id=f"{rib} to mount plate", joins=(rib, "mount plate"), leg=leg, start=(t, y, low + 1.25 * INCH),
                end=(t, y, low + 1.25 * INCH + high), sides=2,
            )  # fmt: skip
        )
    return pieces, joints


def _notches(count: int, top: float) -> list[tuple[float, float]]:
    """Middle and top of each class notch, filed into the plate's upper edge before paint: they tell the class by touch."""
    return [((i - (count - 1) / 2) * INCH, top) for i in range(count)]


def _notched(shape: Loop, notches: list[tuple[float, float]]) -> Loop:
    half, deep = INCH / 4, INCH / 4
    upper_left = next(i for i, p in enumerate(shape) if i and shape[i - 1][1] == p[1] and p[1] > 0 and p[0] < shape[i - 1][0])
    cuts: list[tuple[float, float, float]] = []
    for middle, top in sorted(notches, reverse=True):
        cuts += [(middle + half, top, 0.0), (middle, top - deep, 0.0), (middle - half, top, 0.0)]
    return shape[:upper_left] + tuple(cuts) + shape[upper_left:]


def _lugs(d: Datum, make: Maker) -> tuple[list[Part], list[Joint]]:
    mount = d.mount
    if not mount.lugs or not mount.lug_plate:
        return [], []
    t, long = make.thickness(mount.lug_plate), mount.lug_length or 6 * INCH
    pin, spread = mount.pin_diameter or INCH, mount.lug_spread or 0.7 * mount.width
    r = max(1.25 * pin, 1.25 * INCH)
    pieces: list[Part] = []
    joints: list[Joint] = []
    for number in range(mount.lugs):
        # Lugs come in pairs, 3 in apart, one pair on each side; a hook mount has one hook on each side.
        pair = mount.lugs > 2
        s = -1.0 if number < mount.lugs / 2 else 1.0
        inner = (number % 2) if pair else 0
        y = s * (spread / 2 - inner * 3 * INCH)
        z = mount.above_ground + 0.45 * mount.height
        lug = f"lug {number + 1}"
        # The lug reaches back from the plate's rear face: u back (-x), v up, so u x v = y.
        outline: Loop = ((0, -r - INCH, 0.0), (long - r, -r, 1.0), (long - r, r, 0.0), (0, r + INCH, 0.0))
        hole = Hole(along=long - r, across=0.0, diameter=pin + INCH / 32, depth=t)
        pieces.append(
            make.plate(
                lug, "lug", "mount lug" if mount.kind == "pins" else "mount hook", stock=mount.lug_plate, outline=outline,
                origin=(0.0, y, z), u=(-1.0, 0.0, 0.0), v=Z, group="mount", body="mount", holes=(hole,),
            )  # fmt: skip
        )
        joints.append(
            Weld(
                id=f"{lug} to mount plate", joins=(lug, "mount plate"), leg=d.series.welds.frame, start=(0.0, y, z - r - INCH),
                end=(0.0, y, z + r + INCH), sides=2,
            )  # fmt: skip
        )
    return pieces, joints


def _hub(d: Datum, make: Maker) -> tuple[list[Part], list[Joint]]:
    s, z, k = d.series, d.frame_z, d.king_pin
    pin_r, sleeve_r = make.sizes(s.oscillation_pin)[0] / 2, make.sizes(s.oscillation_sleeve)[0] / 2
    t = make.thickness(d.row.pin_plate)
    front = d.plate_front + SLEEVE
    sleeve = make.bar(
        "oscillation sleeve", "oscillation sleeve", "oscillation sleeve", stock=s.oscillation_sleeve, start=(0.0, 0.0, z),
        end=(front, 0.0, z), group="mount", body="mount",
    )  # fmt: skip
    eye = hub_eye(d, make)
    tail = k - front - INCH / 8
    pin = make.bar(
        "oscillation pin", "oscillation pin", "oscillation pin", stock=s.oscillation_pin, start=(-0.5 * INCH, 0.0, z),
        end=(k - eye, 0.0, z), group="mount", body="hub", operations=("saw", "drill"), finish="none",
    )  # fmt: skip
    king = make.sizes(s.king_pin)[0]
    wide = min(1.6 * sleeve_r, eye * 0.98)
    # Own axes: u forward, v to the left, origin on the king pin; the eye is round in front.
    rise = sqrt(eye * eye - wide * wide)
    bulge = _bulge(wide, -rise)
    outline: Loop = ((-tail, -wide, 0.0), (-rise, -wide, bulge), (-rise, wide, 0.0), (-tail, wide, 0.0))
    hole = Hole(along=0.0, across=0.0, diameter=king + INCH / 32, depth=t)
    gap = d.leg_size / 2 - CLEAR - t / 2
    pieces = [sleeve, pin]
    joints: list[Joint] = [
        Weld(
            id="oscillation sleeve to mount plate", joins=("oscillation sleeve", "mount plate"), leg=s.welds.frame,
            start=(d.plate_front, -sleeve_r * pi, z), end=(d.plate_front, sleeve_r * pi, z), sides=2,
        ),
        Pinned(
            id="oscillation", joins=("oscillation sleeve",), pin="oscillation pin", position=(front / 2, 0.0, z), axis=X,
            diameter=2 * pin_r,
        ),
    ]  # fmt: skip
    for where, at in (("upper", z + gap), ("lower", z - gap)):
        part_id = f"hub plate {where}"
        pieces.append(
            make.plate(
                part_id, "hub plate", "hub plate", stock=d.row.pin_plate, outline=outline, origin=(k, 0.0, at), u=X, v=Y,
                group="king pin", body="hub", holes=(hole,),
            )  # fmt: skip
        )
        joints.append(
            Weld(
                id=f"{part_id} to oscillation pin", joins=(part_id, "oscillation pin"), leg=s.welds.frame,
                start=(k - tail, 0.0, at), end=(k - eye, 0.0, at), sides=2, joint="lap",
            )  # fmt: skip
        )
    return pieces, joints


def _bulge(half: float, u: float) -> float:
    """Bulge of the big arc about the origin from (u, -half) counter-clockwise to (u, half)."""
    start, end = atan2(-half, u), atan2(half, u)
    sweep = end - start
    while sweep <= 0:
        sweep += 2 * pi
    return tan(sweep / 4)


def _arm(d: Datum, make: Maker, place: Swing) -> tuple[list[Part], list[Joint]]:
    """A cross arm on the hub with a bracket for the cylinder's base on each side, and a lug on each leg."""
    size = make.sizes(d.row.tower)[0]
    x = d.king_pin - hub_eye(d, make) - size / 2
    out = abs(place.base[1]) + 1.5 * INCH
    z = d.frame_z + d.leg_size / 2 + make.thickness(d.row.pin_plate) + size / 2
    pieces = [
        make.bar(
            "cylinder arm", "cylinder arm", "cylinder arm", stock=d.row.tower, start=(x, -out, z), end=(x, out, z), group="cylinder",
            body="hub",
        )  # fmt: skip
    ]
    joints: list[Joint] = [
        Weld(
            id="cylinder arm to hub", joins=("cylinder arm", "hub plate upper"), leg=d.series.welds.frame,
            start=(x, -2 * INCH, z - size / 2), end=(x, 2 * INCH, z - size / 2), sides=2,
        )  # fmt: skip
    ]
    t = make.thickness(d.row.pin_plate)
    pin = 1.0 * INCH
    reach = place.base[0] - x + 1.25 * INCH
    deep = 1.25 * INCH
    bracket: Loop = ((-size / 2, -deep, 0.0), (reach - deep, -deep, 1.0), (reach - deep, deep, 0.0), (-size / 2, deep, 0.0))
    lug: Loop = ((-deep, -deep, 0.0), (deep, -deep, 1.0), (deep, deep, 0.0), (-deep, deep, 0.0))
    for side, s in (("left", 1.0), ("right", -1.0)):
        base_id, lug_id = f"base bracket {side}", f"cylinder lug {side}"
        pieces.append(
            make.plate(
                base_id, "base bracket", "cylinder base bracket", stock=d.row.pin_plate, outline=bracket,
                origin=(x, s * abs(place.base[1]), z + size / 2 + t / 2), u=X, v=Y, group="cylinder", body="hub",
                holes=(Hole(along=reach - deep, across=0.0, diameter=pin + INCH / 32, depth=t),),
            )  # fmt: skip
        )
        rod_y = s * abs(place.rod[1])
        pieces.append(
            make.plate(
                lug_id, "cylinder lug", "cylinder lug on the leg", stock=d.row.pin_plate, outline=lug,
                origin=(place.rod[0], rod_y, d.frame_z + d.leg_size / 2 + t / 2), u=X, v=Y, group="cylinder", body="frame",
                holes=(Hole(along=0.0, across=0.0, diameter=pin + INCH / 32, depth=t),),
            )  # fmt: skip
        )
        joints += [
            Weld(
                id=f"{base_id} to arm", joins=(base_id, "cylinder arm"), leg=d.series.welds.frame,
                start=(x - size / 2, s * abs(place.base[1]), z + size / 2), end=(x + size / 2, s * abs(place.base[1]), z + size / 2),
                sides=2, joint="lap",
            ),
            Weld(
                id=f"{lug_id} to leg", joins=(lug_id, f"leg {side}"), leg=d.series.welds.frame,
                start=(place.rod[0] - deep, rod_y, d.frame_z + d.leg_size / 2),
                end=(place.rod[0] + deep, rod_y, d.frame_z + d.leg_size / 2), sides=2, joint="lap",
            ),
        ]  # fmt: skip
    return pieces, joints


def _cylinder(d: Datum, make: Maker, place: Swing, outlets: Side) -> tuple[list[Part], list[Joint]]:
    name = d.cylinder.cylinder
    entry = make.entry(name)
    barrel, rod = (entry.barrel or 3 * INCH) / 2, (entry.rod or 1.25 * INCH) / 2
    closed = entry.retracted or place.shortest
    body_end = closed - 3 * INCH
    ends = {"start": place.base, "start_body": "hub", "end": place.rod, "end_body": "frame"}
    line = along(place.base, place.rod)
    back = Place(origin=place.rod, u=line.u, v=tuple(-c for c in line.v))  # type: ignore[arg-type]
    parts_: list[Part] = [
        make.bought(
            "cylinder barrel", "angle cylinder", "angle cylinder, barrel", stock=name, place=line, group="cylinder", body="link",
            solids=(Solid(region=Region(circle(0.0, 0.0, barrel)), start=0.0, end=body_end),), share=0.7, finish="none",
            link=Link(**ends, follows="start"), length=closed,  # type: ignore[arg-type]
        ),
        make.bought(
            "cylinder rod", "angle cylinder", "angle cylinder, rod", stock=name, place=back, group="cylinder", body="link",
            solids=(Solid(region=Region(circle(0.0, 0.0, rod)), start=0.0, end=closed - 2 * INCH),), share=0.3, finish="none",
            link=Link(**ends, follows="end"), length=closed,  # type: ignore[arg-type]
        ),
    ]  # fmt: skip
    block = make.entry(d.series.valve_block)
    size = (block.length or 5 * INCH, block.width or 3 * INCH, block.height or 2.5 * INCH)
    arm_x = d.king_pin - hub_eye(d, make)
    s = 1.0 if outlets == "left" else -1.0
    parts_.append(
        make.bought(
            "valve block", "valve block", "crossover relief valve", stock=d.series.valve_block, solids=(box(size),),
            place=Place(
                origin=(arm_x - size[0] / 2, s * 0.5 * abs(place.base[1]), place.base[2] + size[2]), u=X, v=Y
            ), group="cylinder", body="hub", length=size[0],
        )  # fmt: skip
    )
    joints: list[Joint] = [
        Pinned(id="cylinder base", joins=(f"base bracket {outlets}", "cylinder barrel"), pin="cylinder barrel", position=place.base, axis=Z, diameter=INCH),
        Pinned(
            id="cylinder rod end", joins=("cylinder rod", f"cylinder lug {'right' if outlets == 'left' else 'left'}"),
            pin="cylinder rod", position=place.rod, axis=Z, diameter=INCH,
        ),
    ]  # fmt: skip
    return parts_, joints
