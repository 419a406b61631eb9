"""What couples the blade to the carrier: mount plate, lugs or hooks, oscillation sleeve and pin, hub plates."""

from __future__ import annotations

from math import cos, pi, sin, sqrt

from plowwright.blade.datum import Datum
from plowwright.blade.hinge import CLEAR
from plowwright.blade.making import Maker, X, Y, Z
from plowwright.blade.parts import Hole, Joint, Part, Pinned, Weld
from plowwright.blade.pushframe import arm_front, hub_eye, hub_face, king_plate_rear
from plowwright.blade.shapes import Place, Solid
from plowwright.physics import sections
from plowwright.physics.regions import Loop, Region, circle, polygon, rectangle
from plowwright.units.constants import INCH

_ROUND = tuple(2 * pi * i / 24 for i in range(24))
"""A round seam is drawn as 24 straight pieces: 0.3 % short of the circle's length, 0.9 % of its inertia as a line."""

SLEEVE = 4.0 * INCH
"""Length of the oscillation sleeve in front of the mount plate [m]."""

SHOULDER = 3.0 * INCH
"""How much wider on each side the upper hub plate is under the cylinder arm [m]."""


def parts(d: Datum, make: Maker) -> tuple[list[Part], list[Joint]]:
    """Mount, oscillation and hub with their joints.

    Args:
        d: Sizes of the blade.
        make: Makes parts of the rulebook's stock.
    """
    pieces: list[Part] = []
    joints: list[Joint] = []
    for some, seams in (_mount(d, make), _lugs(d, make), _hub(d, make)):
        pieces.extend(some)
        joints.extend(seams)
    return pieces, joints


def _mount(d: Datum, make: Maker) -> tuple[list[Part], list[Joint]]:
    mount, t = d.mount, d.plate_front
    half, low = mount.width / 2, mount.above_ground
    bevel = min(3 * INCH, mount.height / 4)
    # Own axes: u to the left, v up; u x v points forward.
    shape = polygon(
        (
            (-half + bevel, 0),
            (half - bevel, 0),
            (half, bevel),
            (half, mount.height),
            (-half, mount.height),
            (-half, bevel),
        )
    )
    sleeve_r = make.sizes(d.series.oscillation_sleeve)[0] / 2
    holes: list[Hole] = []
    if mount.kind == "plate":
        holes = [
            Hole(
                along=s * 0.36 * mount.width,
                across=1.75 * INCH,
                diameter=1.5 * INCH,
                kind="slot",
                slot_length=4 * INCH,
                depth=t,
            )
            for s in (-1.0, 1.0)
        ]
    notches = _notches(d.series.notches, mount.height)
    opening = circle(0.0, d.frame_z - low, sleeve_r)
    plate = make.plate(
        "mount plate",
        "mount plate",
        mount.name,
        stock=d.row.mount_plate,
        outline=_notched(shape, notches),
        origin=(0.0, 0.0, low),
        u=Y,
        v=Z,
        group="mount",
        body="mount",
        holes=tuple(holes),
        openings=(opening,),
        middle=False,
    )
    pieces: list[Part] = [plate]
    joints: list[Joint] = []
    leg = d.series.welds.frame
    if mount.lip:
        section = make.section(mount.lip)
        a, b, w = section.width or 0.0, section.height or section.wall or 0.0, section.wall or 0.0
        region = sections.angle(a, b, w) if section.kind == "angle" else Region(outer=rectangle(0, 0, w, a))
        top = low + mount.height
        pieces.append(
            Part(
                id="top lip",
                mark="top lip",
                name="top lip of the mount plate",
                group="mount",
                body="mount",
                kind="bar",
                stock=mount.lip,
                material=section.material,
                density=make.density(section.material),
                solids=(Solid(region=region, start=-half, end=half),),
                # u forward from the plate, v down from its top edge: u x v = y.
                place=Place(origin=(t, 0.0, top - INCH), u=X, v=(0.0, 0.0, -1.0)),
                length=mount.width,
                operations=("saw",),
            )
        )
        joints.append(
            Weld(
                id="top lip to mount plate",
                joins=("top lip", "mount plate"),
                leg=leg,
                start=(t, -half, top - INCH),
                end=(t, half, top - INCH),
                stitch=(3 * INCH, 6 * INCH),
            )
        )
    for number in range(mount.ribs):
        y = (
            (0.30 if number % 2 else -0.30) * mount.width
            if mount.ribs <= 2
            else (number / (mount.ribs - 1) - 0.5) * mount.width * 0.7
        )
        depth, high = 3 * INCH, mount.height - 4.5 * INCH
        rib = f"rib {number + 1}"
        outline = polygon(
            ((0, 0), (depth * 0.5, 0), (depth, depth), (depth, high - depth), (depth * 0.5, high), (0, high))
        )
        pieces.append(
            make.plate(
                rib,
                "rib",
                "mount rib",
                stock=d.row.mount_plate,
                outline=outline,
                origin=(t, y, low + 1.25 * INCH),
                u=X,
                v=Z,
                group="mount",
                body="mount",
            )
        )
        joints.append(
            Weld(
                id=f"{rib} to mount plate",
                joins=(rib, "mount plate"),
                leg=leg,
                start=(t, y - t / 2, low + 1.25 * INCH),
                end=(t, y - t / 2, low + 1.25 * INCH + high),
                sides=2,
                across=(0.0, t, 0.0),
            )
        )
    return pieces, joints


def _notches(count: int, top: float) -> list[tuple[float, float]]:
    """Middle and top of each class notch in the plate's upper edge: they tell the class by touch, paint or no paint."""
    return [((i - (count - 1) / 2) * INCH, top) for i in range(count)]


def _notched(shape: Loop, notches: list[tuple[float, float]]) -> Loop:
    half, deep = INCH / 4, INCH / 4
    upper_left = next(
        i for i, p in enumerate(shape) if i and shape[i - 1][1] == p[1] and p[1] > 0 and p[0] < shape[i - 1][0]
    )
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
                lug,
                "lug",
                "mount lug" if mount.kind == "pins" else "mount hook",
                stock=mount.lug_plate,
                outline=outline,
                origin=(0.0, y, z),
                u=(-1.0, 0.0, 0.0),
                v=Z,
                group="mount",
                body="mount",
                holes=(hole,),
            )
        )
        joints.append(
            Weld(
                id=f"{lug} to mount plate",
                joins=(lug, "mount plate"),
                leg=d.series.welds.frame,
                start=(0.0, y - t / 2, z - r - INCH),
                end=(0.0, y - t / 2, z + r + INCH),
                sides=2,
                across=(0.0, t, 0.0),
            )
        )
    return pieces, joints


def hub_tail(d: Datum) -> float:
    """How far the hub plates reach behind the king pin: to the sleeve, with play [m].

    Args:
        d: Sizes of the blade.
    """
    return d.king_pin - d.plate_front - SLEEVE - INCH / 8


def hub_half_width(d: Datum, make: Maker) -> float:
    """Half the width of the hub plates around tube and king pin [m].

    Args:
        d: Sizes of the blade.
        make: Looks up stock.
    """
    return max(hub_eye(d, make), make.sizes(d.series.oscillation_pin)[0] / 2) + INCH / 4


def arm_seat(d: Datum, make: Maker) -> float:
    """Half the width of the upper hub plate under the cylinder arm: room for long seams [m].

    Args:
        d: Sizes of the blade.
        make: Looks up stock.
    """
    return hub_half_width(d, make) + SHOULDER


def _hub(d: Datum, make: Maker) -> tuple[list[Part], list[Joint]]:
    s, z, k = d.series, d.frame_z, d.king_pin
    pin_r, sleeve_r = make.sizes(s.oscillation_pin)[0] / 2, make.sizes(s.oscillation_sleeve)[0] / 2
    front = d.plate_front + SLEEVE
    sleeve = make.bar(
        "oscillation sleeve",
        "oscillation sleeve",
        "oscillation sleeve",
        stock=s.oscillation_sleeve,
        start=(0.0, 0.0, z),
        end=(front, 0.0, z),
        group="mount",
        body="mount",
    )
    # It ends behind what the king-pin plates sweep.
    pin = make.bar(
        "oscillation pin",
        "oscillation pin",
        "oscillation tube, turns in the sleeve",
        stock=s.oscillation_pin,
        start=(-0.5 * INCH, 0.0, z),
        end=(k - king_plate_rear(d, make) - 2 * CLEAR, 0.0, z),
        group="mount",
        body="hub",
        operations=("saw", "drill"),
        finish="none",
    )
    ring = tuple((d.plate_front, sleeve_r * sin(a), z + sleeve_r * cos(a)) for a in _ROUND)
    joints: list[Joint] = [
        Weld(
            id="oscillation sleeve to mount plate",
            joins=("oscillation sleeve", "mount plate"),
            leg=s.welds.frame,
            start=ring[0],
            via=ring[1:],
            end=ring[0],
            sides=2,
            across=(-d.plate_front, 0.0, 0.0),
        ),
        Pinned(
            id="oscillation",
            joins=("oscillation sleeve",),
            pin="oscillation pin",
            position=(front / 2, 0.0, z),
            axis=X,
            diameter=2 * pin_r,
        ),
    ]
    plates, seams = _hub_plates(d, make, pin_r)
    return [sleeve, pin, *plates], [*joints, *seams]


def _hub_plates(d: Datum, make: Maker, pin_r: float) -> tuple[list[Part], list[Joint]]:
    """Plates over and under king-pin plates and oscillation tube; on the shoulders of the upper one lies the arm."""
    z, k, t, leg = d.frame_z, d.king_pin, make.thickness(d.row.pin_plate), d.series.welds.frame
    tail, wide, seat = hub_tail(d), hub_half_width(d, make), arm_seat(d, make)
    face, end = hub_face(d, make), k - king_plate_rear(d, make) - 2 * CLEAR
    # Own axes: u forward, v to the left, origin on the king pin; round in front.
    shoulder = arm_front(d, make)
    outlines: dict[str, Loop] = {
        "upper": (
            (-tail, -seat, 0.0),
            (-shoulder, -seat, 0.0),
            (0.0, -wide, 1.0),
            (0.0, wide, 0.0),
            (-shoulder, seat, 0.0),
            (-tail, seat, 0.0),
        ),
        "lower": ((-tail, -wide, 0.0), (0.0, -wide, 1.0), (0.0, wide, 0.0), (-tail, wide, 0.0)),
    }
    hole = Hole(along=0.0, across=0.0, diameter=make.sizes(d.series.king_pin)[0] + INCH / 32, depth=t)
    # The round tube lies along the flat plates: the seam is where the gap beside it is as deep as the leg.
    near = max(0.0, face - leg)
    beside = max(sqrt(max(0.0, pin_r**2 - near**2)), 0.35 * pin_r)
    pieces: list[Part] = []
    joints: list[Joint] = []
    for where, side in (("upper", 1.0), ("lower", -1.0)):
        part_id = f"hub plate {where}"
        pieces.append(
            make.plate(
                part_id,
                f"{where} hub plate",
                f"{where} hub plate",
                stock=d.row.pin_plate,
                outline=outlines[where],
                origin=(k, 0.0, z + side * (face + t / 2)),
                u=X,
                v=Y,
                group="king pin",
                body="hub",
                holes=(hole,),
            )
        )
        joints.append(
            Weld(
                id=f"{part_id} to oscillation pin",
                joins=(part_id, "oscillation pin"),
                leg=leg,
                start=(k - tail, -beside, z + side * face),
                end=(end, -beside, z + side * face),
                sides=4,
                across=(0.0, 2 * beside, 0.0),
            )
        )
    return pieces, joints
