"""Where the angle cylinder is pinned, clear of what waits on the other sides, and where its swing ends."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from math import atan, cos, hypot, sin, sqrt

from plowwright import units
from plowwright.blade.datum import Datum
from plowwright.blade.making import Maker
from plowwright.blade.pushframe import arm_front, king_plate_front, legs
from plowwright.blade.shapes import Vec
from plowwright.blade.spec import Side
from plowwright.errors import ModelError
from plowwright.rulebook.schema import BoughtPart
from plowwright.units.constants import INCH

BASE_AHEAD = (0.55, 0.5, 0.45, 0.4, 0.35, 0.3)
"""How far ahead of the king pin the cylinder's base may sit, over its lever arm, the best first [-]."""

BRACKET_HALF = 1.25 * INCH
"""Half the width of a base bracket at the pin [m]."""

BRACKET_ROOT = 3.0 * INCH
"""How much wider a base bracket is at its root, outboard [m]."""

BRACKET_INBOARD = 2.5 * INCH
"""The same inboard, where the cylinder passes [m]."""

BARREL_SHORT = 3.0 * INCH
"""How much shorter the barrel is than the cylinder, pin to pin with the rod in [m]."""

APART = INCH / 4
"""Room kept in plan between cylinder, brackets and lugs [m]."""

SPARE = 0.03
"""How far the lever arm may be off the rule's for a lug further forward [-]."""

BRACE_FOOT = 2.0 * INCH
"""Greatest length of a tower brace's foot on the leg [m]: short, because the posts of the lugs stand behind it."""

POST_AHEAD = 0.25 * INCH
"""Room for the cylinder's fork between lug pin's eye and lug post [m]."""

STOP_WIDTH = 2.0 * INCH
"""Width of an angling stop's face [m]."""

UNDER_ARM = 0.7
"""Part of the cylinder arm's depth that an angling stop laps [-]."""


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
    # The barrel passes over the stop pads, which stand on the upper king-pin plate.
    z = pad_top(d, make) + (cyl.barrel or 3 * INCH) / 2 + INCH / 8
    # From the feet of the tower braces back: near the hinge beam the leg is stiffest.
    foremost = run.x1 - BRACE_FOOT - BRACKET_HALF - POST_AHEAD - d.leg_size - INCH / 8
    found: tuple[bool, float, Swing] | None = None
    for ahead, step in product(BASE_AHEAD, range(16)):
        lug_x = foremost - 0.05 * step * d.cylinder.arm
        tried = _pinned(d, d.king_pin + ahead * d.cylinder.arm, lug_x, run.y_at(lug_x), middle, side, z)
        if tried is None:
            continue
        off = max(0.0, abs(tried.arm / d.cylinder.arm - 1.0) - SPARE)
        if found and off >= found[1] and not found[0]:
            continue
        row = (not _passes(d, make, tried, cyl), off, tried)
        if found is None or row[:2] < found[:2]:
            found = row
        if not found[0] and found[1] == 0.0:
            break
    if found is None:
        raise ModelError(
            f"{d.series.name}: no place on the leg lets this cylinder swing the blade both ways",
            value=f"{d.cylinder.cylinder}, arm {units.tape(d.cylinder.arm)}",
            way_out="Choose a longer cylinder or a shorter arm in this row of cylinders in series.toml.",
        )
    return found[2]


def _passes(d: Datum, make: Maker, place: Swing, cylinder: BoughtPart) -> bool:
    """Whether at both full angles the cylinder stays clear of bracket and lug that wait for it on the other sides.

    The lug that waits stays clear of the bracket as well.
    """
    k, stop, half = d.king_pin, d.series.angle_stop, BRACKET_HALF
    base, waiting = (place.base[0] - k, abs(place.base[1])), (place.base[0] - k, -abs(place.base[1]))
    root = (-arm_front(d, make), base[1] + (BRACKET_ROOT - BRACKET_INBOARD) / 2)
    x, y, slope = place.rod[0] - k, abs(place.rod[1]), legs(d, make).slope
    ahead = (half + POST_AHEAD + d.leg_size / 2) / hypot(1.0, slope)
    # Middle and radius of lug and post.
    waits = ((x, y, half), (x + ahead, y + ahead * slope, 0.6 * d.leg_size))
    barrel, rod = (cylinder.barrel or 3 * INCH) / 2, (cylinder.rod or INCH) / 2
    # A short span brings the barrel itself to the bracket over there.
    beside = barrel if 2 * base[1] - half < (cylinder.retracted or 0.0) - BARREL_SHORT else rod
    for turn in (stop, -stop):
        c, s = cos(turn), sin(turn)
        end = (x * c + y * s, x * s - y * c)
        if _off(waiting, base, end) < half + beside + APART:
            return False
        for px, py, r in waits:
            at = (px * c - py * s, px * s + py * c)
            if _off(at, base, end) < r + barrel + APART or _off(at, base, root) < r + half + APART:
                return False
    return True


def _off(point: tuple[float, float], start: tuple[float, float], end: tuple[float, float]) -> float:
    """Distance of a point from a line between two others [m]."""
    x, y, px, py = end[0] - start[0], end[1] - start[1], point[0] - start[0], point[1] - start[1]
    share = min(1.0, max(0.0, (x * px + y * py) / (x * x + y * y)))
    return hypot(px - share * x, py - share * y)


def _pinned(d: Datum, base_x: float, lug_x: float, lug_y: float, middle: float, side: float, z: float) -> Swing | None:
    """Base pin at a distance ahead, its lengths to the lug at both full angles with the mean asked for.

    Both lengths together are constant on an ellipse about the lug's two places; the base lies where its line meets it.
    """
    k, stop = d.king_pin, d.series.angle_stop
    ahead = base_x - k
    (x1, y1), (x2, y2) = (
        ((lug_x - k) * cos(turn) + lug_y * sin(turn), (lug_x - k) * sin(turn) - lug_y * cos(turn))
        for turn in (-stop, stop)
    )
    # First length = p + q y, from the difference of the squares, which is linear in y.
    q = (y2 - y1) / (2 * middle)
    p = middle + ((x1 - ahead) ** 2 + y1**2 - (x2 - ahead) ** 2 - y2**2) / (4 * middle)
    a, b, c = 1 - q * q, -y1 - p * q, (x1 - ahead) ** 2 + y1**2 - p * p
    root = b * b - a * c
    if root < 0.0:
        return None
    base_y = (-b + sqrt(root)) / a
    if base_y <= 0.0:
        return None
    lengths = (hypot(x1 - ahead, y1 - base_y), hypot(x2 - ahead, y2 - base_y))
    straight = hypot(lug_x - base_x, lug_y + base_y)
    arm = abs(ahead * (lug_y + base_y) + base_y * (lug_x - base_x)) / straight
    return Swing(
        base=(base_x, side * base_y, z),
        rod=(lug_x, -side * lug_y, z),
        straight=straight,
        shortest=min(lengths),
        longest=max(lengths),
        arm=arm,
    )


def pad_top(d: Datum, make: Maker) -> float:
    """Upper face of the stop pads on the upper king-pin plate [m].

    Args:
        d: Sizes of the blade.
        make: Looks up stock.
    """
    return d.frame_z + d.leg_size / 2 + make.thickness(d.row.pin_plate) + make.thickness(d.series.gusset)


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
