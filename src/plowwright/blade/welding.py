"""In which order a blade is welded so that it stays flat: heavy parts first, middle outwards, sides in turn.

Basis: common practice, no source. A seam shrinks as it cools and pulls its parts after it; the opposite seam next
pulls back before the first has set.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import dist
from typing import Any, Final

from plowwright.blade.build import Build
from plowwright.blade.parts import Part, Weld
from plowwright.blade.shapes import Vec
from plowwright.units import inches

SKELETON: Final = 0.02
"""A part heavier than this share of its body carries the others [-]."""
_MIRROR: Final = 0.004
_MIDDLE: Final = 0.002


@dataclass(frozen=True, slots=True, kw_only=True)
class Seam:
    """All seams between two parts.

    Attributes:
        number: Place in the order of its body, from 1 [-].
        body: What it belongs to: moldboard, frame, hub or mount.
        joins: The two parts, by id.
        marks: Their marks.
        leg: Leg of the fillet [m].
        length: Welded length, all sides [m].
        stitch: Length and pitch of stitches [m], None for whole seams.
        middle: Where it is [m].
    """

    number: int
    body: str
    joins: tuple[str, str]
    marks: tuple[str, str]
    leg: float
    length: float
    stitch: tuple[float, float] | None
    middle: Vec

    @property
    def side(self) -> str:
        """Left, right or the middle, seen from the seat."""
        y = self.middle[1]
        return "middle" if abs(y) < _MIDDLE else "left" if y > 0 else "right"

    def as_dict(self) -> dict[str, Any]:
        """The seam for a machine."""
        return {
            "number": self.number,
            "body": self.body,
            "joins": list(self.joins),
            "leg_in": round(inches(self.leg), 4),
            "length_in": round(inches(self.length), 2),
            "side": self.side,
        }


def order_of(build: Build) -> tuple[Seam, ...]:
    """Every seam of a blade in the order in which it is welded, body by body.

    Args:
        build: The blade.
    """
    parts = {p.id: p for p in build.parts}
    joined: dict[tuple[str, str], list[Weld]] = {}
    for joint in build.assembly.joints:
        if isinstance(joint, Weld):
            joined.setdefault((joint.joins[0], joint.joins[1]), []).append(joint)
    bodies: dict[str, list[Seam]] = {}
    for joins, welds in joined.items():
        seam = _seam(joins, welds, parts)
        bodies.setdefault(seam.body, []).append(seam)
    out: list[Seam] = []
    for body, seams in bodies.items():
        mass = sum(p.mass() for p in build.parts if p.body == body)
        ordered = _ordered(seams, parts, mass)
        out += [_numbered(seam, number) for number, seam in enumerate(ordered, 1)]
    return tuple(out)


def _seam(joins: tuple[str, str], welds: Sequence[Weld], parts: dict[str, Part]) -> Seam:
    one, other = parts[joins[0]], parts[joins[1]]
    lengths = [w.length() for w in welds]
    total = sum(lengths)
    middle = [sum(w.middle()[axis] * run for w, run in zip(welds, lengths, strict=True)) / total for axis in range(3)]
    return Seam(
        number=0,
        body=one.body,
        joins=joins,
        marks=(one.mark, other.mark),
        leg=max(w.leg for w in welds),
        length=total,
        stitch=welds[0].stitch,
        middle=(middle[0], middle[1], middle[2]),
    )


def _ordered(seams: Sequence[Seam], parts: dict[str, Part], mass: float) -> list[Seam]:
    """Stages one after the other; within one the pairs from the middle outwards, and the other side first each time."""
    stages: dict[int, list[Seam]] = {}
    for seam in seams:
        lighter = min(parts[p].mass() for p in seam.joins)
        stage = 2 if seam.stitch else 0 if lighter > SKELETON * mass else 1
        stages.setdefault(stage, []).append(seam)
    out: list[Seam] = []
    left_first = True
    for stage in sorted(stages):
        for pair in _pairs(stages[stage]):
            if len(pair) == 1:
                out += pair
                continue
            left, right = sorted(pair, key=lambda s: -s.middle[1])
            out += [left, right] if left_first else [right, left]
            left_first = not left_first
    return out


def _pairs(seams: Iterable[Seam]) -> list[list[Seam]]:
    """Each seam with the one that mirrors it, the nearest to the middle first."""
    waiting = sorted(seams, key=lambda s: (round(abs(s.middle[1]), 3), s.joins))
    out: list[list[Seam]] = []
    while waiting:
        seam = waiting.pop(0)
        x, y, z = seam.middle
        twin = None
        if abs(y) > _MIDDLE:
            twin = next((s for s in waiting if dist(s.middle, (x, -y, z)) < _MIRROR), None)
        if twin is not None:
            waiting.remove(twin)
        out.append([seam] if twin is None else [seam, twin])
    return out


def _numbered(seam: Seam, number: int) -> Seam:
    return Seam(
        number=number, body=seam.body, joins=seam.joins, marks=seam.marks, leg=seam.leg, length=seam.length,
        stitch=seam.stitch, middle=seam.middle,
    )  # fmt: skip
