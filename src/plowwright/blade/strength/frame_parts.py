"""Finds parts and joints of a blade for its strength model, and lays bars and strips into the plan.

Places are read off the parts and joints; nothing here knows how the blade was laid out. Hub and mount are turned
about the king pin against the blade's angle.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import cos, sin
from typing import Final, Literal, TypeVar

import numpy as np

from plowwright.blade.loads import Blade
from plowwright.blade.making import dot, minus
from plowwright.blade.parts import Joint, Part, Pinned, Stopped, Weld
from plowwright.blade.shapes import Vec
from plowwright.blade.strength import members
from plowwright.blade.strength.plan import Plan, Role
from plowwright.errors import ModelError
from plowwright.physics.frame_elements import Floats

J = TypeVar("J", bound=Joint)
SAME: Final = 1e-4
"""Stations on a bar nearer than this are one node [m]."""


def plus(a: Vec, b: Vec, factor: float = 1.0) -> Vec:
    """a + factor b.

    Args:
        a: A point or direction [m].
        b: The other [m].
        factor: How much of b [-].
    """
    return (a[0] + factor * b[0], a[1] + factor * b[1], a[2] + factor * b[2])


def between(a: Vec, b: Vec) -> Vec:
    """The point half-way [m]."""
    return ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2, (a[2] + b[2]) / 2)


def across(a: Floats, b: Floats) -> Floats:
    """Vector products along the last axis; numpy's own spends its time on checks.

    Args:
        a: First factors, (..., 3) [m, N].
        b: Second factors, (..., 3) [m, N].
    """
    ax, ay, az = a[..., 0], a[..., 1], a[..., 2]
    bx, by, bz = b[..., 0], b[..., 1], b[..., 2]
    return np.stack((ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx), axis=-1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """How hub and mount stand to the push frame: turned about the king pin, against the blade's angle.

    Attributes:
        angle: Angle of the blade, + left end forward [rad].
        pivot: A point on the king pin's axis [m].
    """

    angle: float
    pivot: Vec

    def direction(self, v: Vec) -> Vec:
        """A direction turned.

        Args:
            v: The direction [-].
        """
        c, s = cos(self.angle), sin(self.angle)
        return (c * v[0] - s * v[1], s * v[0] + c * v[1], v[2])

    def point(self, v: Vec) -> Vec:
        """A point turned.

        Args:
            v: The point [m].
        """
        return plus(self.pivot, self.direction(minus(v, self.pivot)))

    def back(self, v: Vec) -> Vec:
        """Where a turned point is in the straight blade.

        Args:
            v: The point [m].
        """
        return Turn(angle=-self.angle, pivot=self.pivot).point(v)


@dataclass(frozen=True, kw_only=True)
class Finder:
    """Parts and joints by id, and a plan to lay them into.

    Attributes:
        blade: The blade.
        plan: The plan.
        parts: Parts by id.
        joints: Joints by id.
        welds: The first weld between each two parts.
    """

    blade: Blade
    plan: Plan
    parts: Mapping[str, Part]
    joints: Mapping[str, Joint]
    welds: Mapping[frozenset[str], Weld]

    def part(self, part_id: str) -> Part:
        """A part by id.

        Args:
            part_id: Its id.

        Raises:
            ModelError: There is none.
        """
        found = self.parts.get(part_id)
        if found is None:
            raise ModelError(
                f"there is no {part_id} among the parts of this blade, and its strength rests on one",
                way_out="Look at what builds the parts; a blade without it cannot be worked out.",
            )
        return found

    def pinned(self, joint_id: str) -> Pinned:
        """A pinned joint by id.

        Args:
            joint_id: Its id.

        Raises:
            ModelError: There is none, or its pin is not among the parts.
        """
        found = self.joints.get(joint_id)
        if not isinstance(found, Pinned) or found.pin not in self.parts:
            raise ModelError(
                f"{joint_id} has no pin: nothing joins what turns on it",
                way_out="Put the pin back among the parts and joints of this blade.",
            )
        return found

    def seam(self, *joins: str) -> Weld:
        """The first weld that joins two parts.

        Args:
            joins: The two parts, in any order.

        Raises:
            ModelError: There is none.
        """
        found = self.welds.get(frozenset(joins))
        if found is None:
            raise ModelError(
                f"no weld joins {' and '.join(joins)}", way_out="Put the weld back among the joints of this blade."
            )
        return found

    def stops(self, motion: Literal["angle", "trip", "oscillation", "yaw"]) -> list[Stopped]:
        """What ends a motion, left and right.

        Args:
            motion: Which motion.
        """
        return [joint for joint in self.joints.values() if isinstance(joint, Stopped) and joint.motion == motion]

    def seams(self, part_id: str) -> list[Weld]:
        """All welds of a part, at least one.

        Args:
            part_id: Its id.

        Raises:
            ModelError: It has none.
        """
        found = [joint for joint in self.joints.values() if isinstance(joint, Weld) and part_id in joint.joins]
        if not found:
            raise ModelError(f"nothing holds {part_id}: it has no weld", way_out="Give it a seam.")
        return found

    def run(self, part: Part, stations: Sequence[tuple[str, Vec]], *, role: Role) -> None:
        """A bar as members between stations along it: nodes on its axis, or nodes that are there already.

        Args:
            part: The bar.
            stations: Name of the node and the place on or beside the bar [m]; a known node is joined by a rigid arm.
            role: What it belongs to.
        """
        first, last = members.axis(part)
        up = (part.solids[0].place or part.place).v
        section, steel = members.bar(part, self.blade.rulebook), members.metal(part, self.blade.rulebook)
        along = minus(last, first)
        square = dot(along, along)
        # Where a new name and a node that is there share a place, the node comes first and takes the name.
        known = self.plan.numbers
        shares = {name: min(1.0, max(0.0, dot(minus(at, first), along) / square)) for name, at in stations}
        grain = SAME / square**0.5
        placed = _clustered(shares, known, grain)
        before: tuple[int, str] | None = None
        number = 0
        for mark, name in placed:
            new = name not in known
            on_axis = plus(first, along, shares[name])
            if before and mark == before[0]:
                if not new:
                    raise ModelError("two joints of one bar fall on one place", where=f"{name} and {before[1]}")
                self.plan.also(name, before[1])
                continue
            if new:
                self.plan.node(name, on_axis)
            if before:
                number += 1
                self.plan.beam(
                    f"{part.id} {number}",
                    before[1],
                    name,
                    section,
                    steel,
                    part=part.id,
                    role=role,
                    up=up,
                    start=plus(first, along, shares[before[1]]),
                    end=on_axis,
                )
            before = (mark, name)

    def link(self, name: str, first: str, last: str, *, part: str, start: Vec, end: Vec, stiffness: float) -> None:
        """A member that only pushes and pulls between two points held rigidly by two nodes.

        Args:
            name: Name of the member.
            first: Node that holds its start.
            last: Node that holds its end.
            part: Id of the part it stands for.
            start: Its start [m].
            end: Its end [m].
            stiffness: Force over change of length [N/m].
        """
        d = minus(end, start)
        up = (0.0, 0.0, 1.0) if abs(d[2]) < 0.9 * dot(d, d) ** 0.5 else (1.0, 0.0, 0.0)
        self.plan.beam(
            name,
            first,
            last,
            members.axial(stiffness, dot(d, d) ** 0.5),
            members.STIFF,
            part=part,
            role="link",
            up=up,
            start=start,
            end=end,
            free=("start y", "start z", "end x", "end y", "end z"),
            checked=False,
        )


def _clustered(shares: Mapping[str, float], known: Mapping[str, int], grain: float) -> list[tuple[int, str]]:
    """Stations in order, those within a grain under one mark, nodes that are there before new names."""
    marks: list[tuple[int, bool, str]] = []
    mark, last = -1, -1.0
    for share, name in sorted((share, name) for name, share in shares.items()):
        if mark < 0 or share - last > grain:
            mark, last = mark + 1, share
        marks.append((mark, name not in known, name))
    return [(mark, name) for mark, _, name in sorted(marks)]


def finder(blade: Blade, plan: Plan) -> Finder:
    """Parts and joints of a blade at hand.

    Args:
        blade: The blade.
        plan: Where they are laid into.
    """
    assembly = blade.assembly
    return Finder(
        blade=blade,
        plan=plan,
        parts={part.id: part for part in assembly.parts},
        joints={joint.id: joint for joint in assembly.joints},
        welds={frozenset(joint.joins): joint for joint in reversed(assembly.joints) if isinstance(joint, Weld)},
    )
