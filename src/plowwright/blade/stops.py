"""What ends the blade's swing and roll: angling stops under the cylinder arm, oscillation stops on the mount plate.

Rub pads behind the arm's ends keep the hub square to the mount: an end strike would else bend the oscillation pin.

The stops the moldboard rests on until it trips are the heels of its own ears, see `hinge.py`.
"""

from __future__ import annotations

from math import cos, radians, sin, tan

from plowwright.blade.angling import arm_foot, arm_sizes
from plowwright.blade.datum import Datum
from plowwright.blade.hinge import CLEAR
from plowwright.blade.making import Maker, X, Z, minus
from plowwright.blade.parts import Joint, Part, Stopped, Weld
from plowwright.blade.pushframe import arm_front, legs
from plowwright.blade.swings import STOP_WIDTH, UNDER_ARM, StopFace, pad_top, stop_face
from plowwright.physics.regions import polygon
from plowwright.units.constants import INCH

STOP_PAD = 2.0 * INCH
"""Depth of a stop pad behind the edge [m]."""

OSCILLATION_STOP = radians(6.0)
"""Roll each way at which the cylinder arm comes to bear on the mount's stops [rad] (*assumed*: a few degrees)."""

OSCILLATION_STOP_OUT = 9.5 * INCH
"""Outer face of an oscillation stop off the middle at most [m]: inside the ribs of every mount."""

RUB_PAD_OUT = 12.0 * INCH
"""A rub pad off the middle at most [m]: further out it bends the arm more, and the arm slides further on it."""

OSCILLATION_STOP_DEEP = 4.0 * INCH
"""Height of an oscillation stop on the mount plate [m]."""


def parts(d: Datum, make: Maker, arm_ends: float) -> tuple[list[Part], list[Joint]]:
    """Angling stops, oscillation stops and rub pads with their joints.

    Args:
        d: Sizes of the blade.
        make: Makes parts of the rulebook's stock.
        arm_ends: The cylinder arm's ends off the middle [m].
    """
    pieces, joints = _angling(d, make)
    some, seams = _oscillation(d, make)
    pads, pad_joints = _rub_pads(d, make, arm_ends)
    return [*pieces, *some, *pads], [*joints, *seams, *pad_joints]


def _angling(d: Datum, make: Maker) -> tuple[list[Part], list[Joint]]:
    """Flat plates under the cylinder arm; pads on the upper king-pin plate's edges bear on them at full angle."""
    face, t = stop_face(d, make), make.thickness(d.row.pin_plate)
    (c, sn), (x, y) = face.along, face.place
    front = -arm_front(d, make)
    arm_rear = front - UNDER_ARM * arm_sizes(d, make)[0]
    half, low = STOP_WIDTH / 2, arm_foot(d, make) - t
    # Along the push from the face to well under the arm, on the stop's rear and front side.
    long = {v: (x + v * c - arm_rear) / sn for v in (-half, half)}
    z = (low + pad_top(d, make)) / 2
    # u runs with the push, v forward along the plate's edge; the right stop is the left one turned over.
    outline = polygon(((0.0, -half), (long[-half], -half), (long[half], half), (0.0, half)))
    pieces: list[Part] = []
    joints: list[Joint] = []
    for side, s in (("left", 1.0), ("right", -1.0)):
        part = make.plate(
            f"angling stop {side}",
            "angling stop",
            "angling stop",
            stock=d.row.pin_plate,
            outline=outline,
            origin=(d.king_pin + x, s * y, low + t / 2),
            u=(face.out[0], s * face.out[1], 0.0),
            v=(c, s * sn, 0.0),
            group="cylinder",
            body="hub",
        )
        starts, ends = (
            [part.place.point((x + v * c - at) / sn, v, -s * t / 2) for v in (-half, half)] for at in (front, arm_rear)
        )
        pad, seam = _pad(d, make, face, side, s)
        stop = _at_full_angle(d, face, part.id, pad.id, s, z)
        weld = Weld(
            id=f"{part.id} to arm",
            joins=(part.id, "cylinder arm"),
            leg=d.series.welds.frame,
            start=starts[0],
            end=ends[0],
            sides=2,
            across=minus(starts[1], starts[0]),
            joint="lap",
        )
        pieces += [part, pad]
        joints += [weld, seam, stop]
    return pieces, joints


def _pad(d: Datum, make: Maker, face: StopFace, side: str, s: float) -> tuple[Part, Weld]:
    """A flat plate on the upper king-pin plate, flush with its edge, where the stop meets it: welded all round."""
    t, half, turn = make.thickness(d.series.gusset), STOP_WIDTH / 2, d.series.angle_stop
    c, sn = cos(turn), sin(turn)

    def back(v: tuple[float, float]) -> tuple[float, float]:
        """From full angle to rest."""
        return (v[0] * c + v[1] * sn, v[1] * c - v[0] * sn)

    (x, y), u, v = back(face.place), back(face.along), back(face.out)
    # Cut so that its front lies along the plate's, which is square to the blade.
    z, lean = pad_top(d, make) - t / 2, STOP_PAD * legs(d, make).slope
    part = make.plate(
        f"stop pad {side}",
        "stop pad",
        "pad the angling stop meets",
        stock=d.series.gusset,
        outline=polygon(((-half - lean, -STOP_PAD), (half - lean, -STOP_PAD), (half, 0.0), (-half, 0.0))),
        origin=(d.king_pin + x, s * y, z),
        u=(u[0], s * u[1], 0.0),
        v=(v[0], s * v[1], 0.0),
        group="cylinder",
        body="frame",
    )
    corners = [part.place.point(a, b, -s * t / 2) for a, b in ((-half, 0.0), (half, 0.0), (-half - lean, -STOP_PAD))]
    weld = Weld(
        id=f"{part.id} to king-pin plate",
        joins=(part.id, "king-pin plate upper"),
        leg=d.series.welds.moldboard,
        start=corners[0],
        end=corners[1],
        sides=4,
        across=minus(corners[2], corners[0]),
        joint="lap",
    )
    return part, weld


def _at_full_angle(d: Datum, face: StopFace, stop_id: str, pad_id: str, s: float, z: float) -> Stopped:
    """The left stop is met by the left leg coming back: turned forward again it is where the pad rests."""
    (x, y), turn = face.place, d.series.angle_stop
    return Stopped(
        id=f"{stop_id} at full angle",
        joins=(stop_id, pad_id),
        motion="angle",
        place=(d.king_pin + x, s * y, z),
        meets=(d.king_pin + x * cos(turn) + y * sin(turn), s * (y * cos(turn) - x * sin(turn)), z),
        normal=(face.out[0], s * face.out[1], 0.0),
        at=-s * turn,
        lever=face.lever,
    )


def oscillation_out(d: Datum, make: Maker) -> float:
    """Outer face of an oscillation stop off the middle: inside the angling stops, which hang under the arm too [m].

    Args:
        d: Sizes of the blade.
        make: Looks up stock.
    """
    face, half = stop_face(d, make), STOP_WIDTH / 2
    (c, s), (x, y) = face.along, face.place
    # The angling stop's inner edge where it comes under the arm's front.
    inner = y - half * s + (x - half * c + arm_front(d, make)) / s * c
    return min(OSCILLATION_STOP_OUT, inner - INCH / 2)


def _oscillation(d: Datum, make: Maker) -> tuple[list[Part], list[Joint]]:
    """Upright plates on the mount plate under the cylinder arm, which comes down on one of them as the blade rolls."""
    t, roll = make.thickness(d.row.mount_plate), OSCILLATION_STOP
    arm = arm_sizes(d, make)[0]
    reach = d.king_pin - arm_front(d, make) - arm / 4 - d.plate_front
    out = oscillation_out(d, make)
    rise = arm_foot(d, make) - d.frame_z
    # The arm's underside, rolled, meets the outer corner of the plate's upper edge first.
    top = d.frame_z + (rise - out * sin(roll)) / cos(roll)
    foot = max(d.mount.above_ground + INCH, top - OSCILLATION_STOP_DEEP)
    high = top - foot
    pieces: list[Part] = []
    joints: list[Joint] = []
    for side, s in (("left", 1.0), ("right", -1.0)):
        y = s * (out - t / 2)
        part = make.plate(
            f"oscillation stop {side}",
            "oscillation stop",
            "oscillation stop",
            stock=d.row.mount_plate,
            outline=polygon(((0.0, 0.0), (INCH, 0.0), (reach, high - INCH), (reach, high), (0.0, high))),
            origin=(d.plate_front, y, foot),
            u=X,
            v=Z,
            group="mount",
            body="mount",
        )
        pieces.append(part)
        joints.append(
            Weld(
                id=f"{part.id} to mount plate",
                joins=(part.id, "mount plate"),
                leg=d.series.welds.frame,
                start=(d.plate_front, y - s * t / 2, foot),
                end=(d.plate_front, y - s * t / 2, top),
                sides=2,
                across=(0.0, s * t, 0.0),
            )
        )
        # The arm rests on the plate between its own rear edge and the plate's front end.
        middle = d.plate_front + reach - 3 * arm / 8
        at = s * out
        joints.append(
            Stopped(
                id=f"{part.id} at full roll",
                joins=(part.id, "cylinder arm"),
                motion="oscillation",
                place=(middle, at, top),
                meets=(
                    middle,
                    at * cos(roll) - s * (top - d.frame_z) * sin(roll),
                    d.frame_z + (top - d.frame_z) * cos(roll) + s * at * sin(roll),
                ),
                normal=(0.0, -s * sin(roll), -cos(roll)),
                # The left stop is met when the left end goes down.
                at=-s * roll,
                lever=out * cos(roll) - (top - d.frame_z) * sin(roll),
            )
        )
    return pieces, joints


def _rub_pads(d: Datum, make: Maker, arm_ends: float) -> tuple[list[Part], list[Joint]]:
    """Upright plates on the mount plate that reach to the arm's rear face, with play, as far out as both go.

    The arm slides up and down on them as the blade rolls; at the stops an inch of it still bears.
    """
    t, (deep, size) = make.thickness(d.row.mount_plate), arm_sizes(d, make)
    reach = d.king_pin - arm_front(d, make) - deep - CLEAR - d.plate_front
    out = min(d.mount.width / 2 - 1.5 * INCH, arm_ends - INCH, RUB_PAD_OUT)
    middle = arm_foot(d, make) + size / 2
    half = out * tan(OSCILLATION_STOP) + INCH - size / 2
    root = half + 0.75 * INCH
    pieces: list[Part] = []
    joints: list[Joint] = []
    for side, s in (("left", 1.0), ("right", -1.0)):
        part = make.plate(
            f"rub pad {side}",
            "rub pad",
            "rub pad",
            stock=d.row.mount_plate,
            outline=polygon(((0.0, -root), (reach, -half), (reach, half), (0.0, root))),
            origin=(d.plate_front, s * out, middle),
            u=X,
            v=Z,
            group="mount",
            body="mount",
        )
        pieces.append(part)
        joints += [
            Weld(
                id=f"{part.id} to mount plate",
                joins=(part.id, "mount plate"),
                leg=d.series.welds.frame,
                start=(d.plate_front, s * (out - t / 2), middle - root),
                end=(d.plate_front, s * (out - t / 2), middle + root),
                sides=2,
                across=(0.0, s * t, 0.0),
            ),
            Stopped(
                id=f"{part.id} at the arm",
                joins=(part.id, "cylinder arm"),
                motion="yaw",
                place=(d.plate_front + reach, s * out, middle),
                meets=(d.plate_front + reach + CLEAR, s * out, middle),
                normal=(-1.0, 0.0, 0.0),
                at=-s * CLEAR / out,
                lever=out,
            ),
        ]
    return pieces, joints
