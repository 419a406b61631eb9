"""Poses of the one model: angled, tripped, rolled. Parts do not change; their bodies move.

Signs: angle + turns the left end forward; trip + swings the foot back and the top forward; oscillation + lifts the
left end.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import cos, sin, sqrt

from plowwright.blade.making import cross, distance, dot, minus, unit
from plowwright.blade.parts import Assembly, Body, Link, Part, Pivots, Vec

Matrix = tuple[Vec, Vec, Vec, Vec]
"""Images of the x, y and z directions, and of the origin: column by column."""

REST: Matrix = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (0.0, 0.0, 0.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Pose:
    """How the blade stands.

    Attributes:
        angle: About the king pin, + left end forward [rad].
        trip: About the hinge line, + foot back [rad].
        oscillation: About the oscillation pin, + left end up [rad].
    """

    angle: float = 0.0
    trip: float = 0.0
    oscillation: float = 0.0


def apply(matrix: Matrix, at: Vec) -> Vec:
    """A point moved.

    Args:
        matrix: The motion.
        at: The point [m].
    """
    x, y, z, o = matrix
    return (
        x[0] * at[0] + y[0] * at[1] + z[0] * at[2] + o[0],
        x[1] * at[0] + y[1] * at[1] + z[1] * at[2] + o[1],
        x[2] * at[0] + y[2] * at[1] + z[2] * at[2] + o[2],
    )


def turn(matrix: Matrix, direction: Vec) -> Vec:
    """A direction turned.

    Args:
        matrix: The motion.
        direction: The direction [-].
    """
    return minus(apply(matrix, direction), matrix[3])


def after(second: Matrix, first: Matrix) -> Matrix:
    """The motion that does first, then second."""
    return (turn(second, first[0]), turn(second, first[1]), turn(second, first[2]), apply(second, first[3]))


def _about(point: Vec, columns: tuple[Vec, Vec, Vec]) -> Matrix:
    x, y, z = columns
    moved = apply((x, y, z, (0.0, 0.0, 0.0)), point)
    return (x, y, z, minus(point, moved))


def motions(pivots: Pivots, pose: Pose) -> dict[Body, Matrix]:
    """How each body moves from rest.

    Args:
        pivots: What moves about what.
        pose: How the blade stands.
    """
    a, t, o = pose.angle, pose.trip, pose.oscillation
    roll = _about(pivots.oscillation, ((1.0, 0.0, 0.0), (0.0, cos(o), sin(o)), (0.0, -sin(o), cos(o))))
    yaw = _about(pivots.king_pin, ((cos(a), -sin(a), 0.0), (sin(a), cos(a), 0.0), (0.0, 0.0, 1.0)))
    trip = _about(pivots.hinge, ((cos(t), 0.0, -sin(t)), (0.0, 1.0, 0.0), (sin(t), 0.0, cos(t))))
    frame = after(roll, yaw)
    return {"mount": REST, "loose": REST, "hub": roll, "frame": frame, "moldboard": after(frame, trip), "link": REST}


def link_motion(link: Link, moved: dict[Body, Matrix]) -> Matrix:
    """How a part between two bodies moves: it stays pinned at the end it follows and points at the other.

    A spring ("both") stays at its start; its stretch is the change of distance between its two ends.

    Args:
        link: Its two ends.
        moved: How the bodies move.
    """
    if moved[link.start_body] == moved[link.end_body]:
        return moved[link.start_body]
    start, end = apply(moved[link.start_body], link.start), apply(moved[link.end_body], link.end)
    before, now = unit(minus(link.end, link.start)), unit(minus(end, start))
    pivot, home = (end, link.end) if link.follows == "end" else (start, link.start)
    x, y, z = _rotation(before, now)
    shifted = apply((x, y, z, (0.0, 0.0, 0.0)), home)
    return (x, y, z, minus(pivot, shifted))


def _rotation(a: Vec, b: Vec) -> tuple[Vec, Vec, Vec]:
    """Columns of the shortest rotation that turns unit vector a into b."""
    axis, c = cross(a, b), dot(a, b)
    s = sqrt(dot(axis, axis))
    if s < 1e-12:
        return REST[0], REST[1], REST[2]
    k = (axis[0] / s, axis[1] / s, axis[2] / s)

    def turned(v: Vec) -> Vec:
        kv, kd = cross(k, v), dot(k, v)
        return (
            v[0] * c + kv[0] * s + k[0] * kd * (1 - c),
            v[1] * c + kv[1] * s + k[1] * kd * (1 - c),
            v[2] * c + kv[2] * s + k[2] * kd * (1 - c),
        )

    return turned((1.0, 0.0, 0.0)), turned((0.0, 1.0, 0.0)), turned((0.0, 0.0, 1.0))


def mover(assembly: Assembly, pose: Pose) -> Callable[[Part], Matrix]:
    """A function that gives each part's motion in a pose.

    Args:
        assembly: The blade.
        pose: How it stands.
    """
    moved = motions(assembly.pivots, pose)
    return lambda part: link_motion(part.link, moved) if part.link else moved[part.body]


def drawn_out(assembly: Assembly, pose: Pose) -> Callable[[Part], Matrix]:
    """Like `mover`, with springs drawn out along their own line, so that they reach both of their ends.

    Args:
        assembly: The blade.
        pose: How it stands.
    """
    moved = motions(assembly.pivots, pose)

    def motion(part: Part) -> Matrix:
        if part.link is None:
            return moved[part.body]
        rigid = link_motion(part.link, moved)
        return after(rigid, _drawn(part.link, moved)) if part.link.follows == "both" else rigid

    return motion


def _drawn(link: Link, moved: dict[Body, Matrix]) -> Matrix:
    """A spring at rest drawn out from its start by as much as its ends have moved apart."""
    now = distance(apply(moved[link.start_body], link.start), apply(moved[link.end_body], link.end))
    more = now / distance(link.start, link.end) - 1.0
    x, y, z = unit(minus(link.end, link.start))
    columns = (
        (1.0 + more * x * x, more * x * y, more * x * z),
        (more * x * y, 1.0 + more * y * y, more * y * z),
        (more * x * z, more * y * z, 1.0 + more * z * z),
    )
    return _about(link.start, columns)


def stretch(link: Link, assembly: Assembly, pose: Pose) -> float:
    """Distance between a link's two ends in a pose [m].

    Args:
        link: Its two ends.
        assembly: The blade.
        pose: How it stands.
    """
    moved = motions(assembly.pivots, pose)
    return distance(apply(moved[link.start_body], link.start), apply(moved[link.end_body], link.end))


def clear_width(width: float, angle: float) -> float:
    """Width cleared at an angle: W cos(angle).

    Args:
        width: Width of the cutting edge [m].
        angle: Angle of the blade [rad].

    >>> from math import radians
    >>> round(clear_width(84.0, radians(30)), 1)
    72.7
    """
    return width * cos(angle)
