"""What ends the blade's swing and roll: angling stops under the cylinder arm, oscillation stops on the mount plate.

Rub pads behind the arm's ends keep the hub square to the mount: an end strike would else bend the oscillation pin.

The stops the moldboard rests on until it trips are the heels of its own ears, see `hinge.py`.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, cos, radians, sin, tan

from plowwright.blade.angling import arm_foot
from plowwright.blade.datum import Datum
from plowwright.blade.hinge import CLEAR
from plowwright.blade.making import Maker, X, Z, minus
from plowwright.blade.parts import Joint, Part, Stopped, Weld
from plowwright.blade.pushframe import hub_eye, king_plate_front, legs
from plowwright.physics.regions import polygon
from plowwright.units.constants import INCH

STOP_WIDTH = 2.0 * INCH
"""Width of an angling stop's face [m]."""

OSCILLATION_STOP = radians(6.0)
"""Roll each way at which the cylinder arm comes to bear on the mount's stops [rad] (*assumed*: a few degrees)."""

OSCILLATION_STOP_OUT = 9.5 * INCH
"""Outer face of an oscillation stop off the middle at most [m]: inside the ribs of every mount."""

RUB_PAD_OUT = 16.0 * INCH
"""A rub pad off the middle at most [m]: further out the arm slides further up and down on it."""

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


@dataclass(frozen=True, slots=True, kw_only=True)
class StopFace:
    """Where an angling stop bears, in plan, seen from the king pin with the blade at its full angle; left side.

    Attributes:
        along: Direction of the king-pin plate's edge, forward [-].
        out: Direction in which the edge pushes the stop, square to it [-].
        place: Middle of the face [m].
        lever: Lever of the push about the king pin [m].
    """

    along: tuple[float, float]
    out: tuple[float, float]
    place: tuple[float, float]
    lever: float


def stop_face(d: Datum, make: Maker) -> StopFace:
    """As far out on the edge of the upper king-pin plate as it reaches: the longer the lever, the less the force.

    The plate's edge is flush with the leg's outer face, which lies at the leg's spread plus the full angle.

    Args:
        d: Sizes of the blade.
        make: Looks up stock.
    """
    run, front = legs(d, make), king_plate_front(d)
    spread = atan(run.slope)
    aside = (run.y_at(d.king_pin) + run.half_width(d)) * cos(spread)
    # The plate's front corner, measured along its edge.
    reach = front * cos(spread) + (run.y_at(d.king_pin + front) + run.half_width(d)) * sin(spread)
    lever = reach - STOP_WIDTH / 2 - INCH / 4
    c, s = cos(spread + d.series.angle_stop), sin(spread + d.series.angle_stop)
    return StopFace(along=(c, s), out=(-s, c), place=(lever * c - aside * s, lever * s + aside * c), lever=lever)


def _angling(d: Datum, make: Maker) -> tuple[list[Part], list[Joint]]:
    """Flat plates under the cylinder arm; the edge of the upper king-pin plate comes to bear on them at full angle."""
    face, t = stop_face(d, make), make.thickness(d.row.pin_plate)
    (c, sn), (x, y) = face.along, face.place
    arm_front = -hub_eye(d, make)
    arm_rear = arm_front - make.sizes(d.row.tower)[0]
    half, low = STOP_WIDTH / 2, arm_foot(d, make) - t
    # Along the push from the face to the arm's rear edge, on the stop's rear and front side.
    long = {v: (x + v * c - arm_rear) / sn for v in (-half, half)}
    z = d.frame_z + (d.leg_size + t + CLEAR) / 2
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
        pieces.append(part)
        starts, ends = (
            [part.place.point((x + v * c - at) / sn, v, -s * t / 2) for v in (-half, half)]
            for at in (arm_front, arm_rear)
        )
        joints.append(
            Weld(
                id=f"{part.id} to arm",
                joins=(part.id, "cylinder arm"),
                leg=d.series.welds.frame,
                start=starts[0],
                end=ends[0],
                sides=2,
                across=minus(starts[1], starts[0]),
                joint="lap",
            )
        )
        joints.append(_at_full_angle(d, face, part.id, s, z))
    return pieces, joints


def _at_full_angle(d: Datum, face: StopFace, stop_id: str, s: float, z: float) -> Stopped:
    """The left stop is met by the left leg coming back: turned forward again it is where the plate rests."""
    (x, y), turn = face.place, d.series.angle_stop
    return Stopped(
        id=f"{stop_id} at full angle",
        joins=(stop_id, "king-pin plate upper"),
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
    inner = y - half * s + (x - half * c + hub_eye(d, make)) / s * c
    return min(OSCILLATION_STOP_OUT, inner - INCH / 2)


def _oscillation(d: Datum, make: Maker) -> tuple[list[Part], list[Joint]]:
    """Upright plates on the mount plate under the cylinder arm, which comes down on one of them as the blade rolls."""
    t, roll = make.thickness(d.row.mount_plate), OSCILLATION_STOP
    arm = make.sizes(d.row.tower)[0]
    reach = d.king_pin - hub_eye(d, make) - arm / 4 - d.plate_front
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
    t, size = make.thickness(d.row.mount_plate), make.sizes(d.row.tower)[0]
    reach = d.king_pin - hub_eye(d, make) - size - CLEAR - d.plate_front
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
