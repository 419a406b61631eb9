"""Strokes of a foreign drawing joined into outlines with holes; every fault is named with its place.

Strokes are straight or arcs, two points and a bulge (see `physics.regions`). Lengths are metres throughout.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import atan, hypot, pi, tan
from typing import Final, Literal

import shapely

from plowwright.papers.marks import flatten
from plowwright.physics.regions import Loop, Region
from plowwright.units.constants import INCH

Kind = Literal[
    "unit", "open outline", "duplicate", "tiny stroke", "text", "curve", "block", "hidden layer", "not an outline",
    "crossing", "overlap", "off the plane", "file",
]  # fmt: skip
Point = tuple[float, float]

JOIN: Final = 0.02 * INCH
"""Ends nearer than this are taken as one [m]."""
TINY: Final = 0.005 * INCH
"""Strokes shorter than this are no part of any plate [m]."""
SAME: Final = 0.001 * INCH
"""Strokes that lie within this of each other are drawn twice [m]."""
LETTERING: Final = 1.5 * INCH
"""Open strokes no larger than this, several beside each other, are letters drawn as lines [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One fault of a drawing.

    Attributes:
        kind: What sort of fault.
        sentence: What was found, where, in the drawing's own unit.
        fixed: Whether it was mended on the way in.
        place: Where in the drawing [m], None where it is the whole file.
    """

    kind: Kind
    sentence: str
    fixed: bool
    place: Point | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """A straight line or an arc.

    Attributes:
        start: Where it begins [m].
        end: Where it ends [m].
        bulge: tan(sweep / 4), 0 for a straight line [-].
        layer: Layer of the drawing.
    """

    start: Point
    end: Point
    bulge: float
    layer: str

    @property
    def length(self) -> float:
        """Along it [m]."""
        chord = _apart(self.start, self.end)
        if self.bulge == 0.0:
            return chord
        sweep = 4.0 * atan(abs(self.bulge))
        return chord * sweep / (2.0 * abs(2.0 * self.bulge / (1.0 + self.bulge**2)))

    def turned(self) -> Stroke:
        """The same, drawn the other way."""
        return Stroke(start=self.end, end=self.start, bulge=-self.bulge, layer=self.layer)


def _apart(a: Point, b: Point) -> float:
    return hypot(a[0] - b[0], a[1] - b[1])


def _said(point: Point, per_metre: float) -> str:
    return f"{point[0] * per_metre:.3f}, {point[1] * per_metre:.3f}"


def cleaned(strokes: Sequence[Stroke], per_metre: float) -> tuple[list[Stroke], list[Problem]]:
    """The strokes without those drawn twice and those too short to be anything.

    Args:
        strokes: As drawn.
        per_metre: The drawing's units in a metre, for what is said [-].
    """
    kept: list[Stroke] = []
    problems: list[Problem] = []
    seen: dict[tuple[int, int, int, int, int], bool] = {}
    for one in strokes:
        if one.length < TINY and one.start != one.end:
            problems.append(
                Problem(kind="tiny stroke", fixed=True, place=one.start, sentence=(
                    f"a stroke of {one.length * per_metre:.4f} at {_said(one.start, per_metre)} is too short to cut; "
                    "its ends are taken as one"))
            )  # fmt: skip
            continue
        if any(key in seen for key in _keys(one)):
            problems.append(
                Problem(kind="duplicate", fixed=True, place=one.start, sentence=(
                    f"drawn twice from {_said(one.start, per_metre)} to {_said(one.end, per_metre)}; kept once"))
            )  # fmt: skip
            continue
        seen[_key(one)] = True
        kept.append(one)
    return kept, problems


def _key(one: Stroke) -> tuple[int, int, int, int, int]:
    ends = sorted(((one.start, one.bulge), (one.end, -one.bulge)))
    (a, bulge), (b, _) = ends
    return (*(round(v / SAME) for v in (*a, *b)), round(bulge * 1000.0))  # type: ignore[return-value]


def _keys(one: Stroke) -> Iterator[tuple[int, int, int, int, int]]:
    """The key and its neighbours, so that a place just over a rounding edge is still met."""
    key = _key(one)
    yield key
    for at in range(4):
        for step in (-1, 1):
            yield tuple(v + step * (i == at) for i, v in enumerate(key))  # type: ignore[misc]


def joined(strokes: Sequence[Stroke], per_metre: float) -> tuple[list[Loop], list[Problem]]:
    """Closed loops of the strokes; what does not close is a problem.

    Args:
        strokes: Cleaned ones.
        per_metre: The drawing's units in a metre, for what is said [-].
    """
    left = list(strokes)
    loops: list[Loop] = []
    problems: list[Problem] = []
    opens: list[list[Stroke]] = []
    while left:
        chain = [left.pop(0)]
        if _apart(chain[0].start, chain[0].end) <= JOIN and chain[0].length > 4 * JOIN:
            opens.append(chain)  # one stroke whose ends meet is an arc of nearly a full turn
            continue
        _grow(chain, left)
        chain = [s.turned() for s in reversed(chain)]
        _grow(chain, left)
        gap = _apart(chain[-1].end, chain[0].start)
        if gap <= JOIN and len(chain) > 1:
            loops.append(tuple((*s.start, s.bulge) for s in chain))
            problems += _mended(chain, per_metre)
        else:
            opens.append(chain)
    return loops, [*problems, *_open(opens, per_metre)]


def _grow(chain: list[Stroke], left: list[Stroke]) -> None:
    """Adds the nearest stroke that begins or ends where the chain ends, until none is near or it has closed."""
    while left and (len(chain) < 2 or _apart(chain[-1].end, chain[0].start) > SAME):
        end = chain[-1].end
        near = min(range(len(left)), key=lambda i: min(_apart(end, left[i].start), _apart(end, left[i].end)))
        found = left[near]
        ahead, back = _apart(end, found.start), _apart(end, found.end)
        if min(ahead, back) > JOIN or (len(chain) > 1 and _apart(end, chain[0].start) < min(ahead, back)):
            return
        left.pop(near)
        chain.append(found if ahead <= back else found.turned())


def _mended(chain: Sequence[Stroke], per_metre: float) -> Iterator[Problem]:
    for before, after in zip(chain, (*chain[1:], chain[0]), strict=True):
        gap = _apart(before.end, after.start)
        if gap > SAME:
            yield Problem(
                kind="open outline", fixed=True, place=before.end, sentence=(
                    f"a gap of {gap * per_metre:.4f} at {_said(before.end, per_metre)} was closed"),
            )  # fmt: skip


def _open(chains: Sequence[Sequence[Stroke]], per_metre: float) -> Iterator[Problem]:
    small = [c for c in chains if _extent(c) <= LETTERING]
    letters = small if len(small) >= 3 else []
    if letters:
        place = letters[0][0].start
        yield Problem(
            kind="text", fixed=True, place=place, sentence=(
                f"{len(letters)} short open strokes from {_said(place, per_metre)} on look like lettering drawn as "
                "lines; left out, not cut"),
        )  # fmt: skip
    for chain in chains:
        if any(chain is c for c in letters):
            continue
        start, end = chain[0].start, chain[-1].end
        yield Problem(
            kind="open outline", fixed=False, place=end, sentence=(
                f"an outline of {len(chain)} strokes is open by {_apart(start, end) * per_metre:.3f} between "
                f"{_said(end, per_metre)} and {_said(start, per_metre)}; left out"),
        )  # fmt: skip


def _extent(chain: Sequence[Stroke]) -> float:
    xs = [p[0] for s in chain for p in (s.start, s.end)]
    ys = [p[1] for s in chain for p in (s.start, s.end)]
    return max(max(xs) - min(xs), max(ys) - min(ys))


def regions_of(loops: Sequence[Loop], per_metre: float) -> tuple[list[Region], list[Problem]]:
    """Outer loops with the loops inside them as holes; what lies in a hole is a part again.

    Args:
        loops: Closed ones.
        per_metre: The drawing's units in a metre, for what is said [-].
    """
    problems: list[Problem] = []
    sound: list[tuple[Loop, shapely.Polygon]] = []
    for loop in loops:
        shape = shapely.Polygon(flat(loop))
        if not shape.is_valid or shape.area < TINY**2:
            where = loop[0][:2]
            problems.append(
                Problem(kind="crossing", fixed=False, place=where, sentence=(
                    f"the outline that begins at {_said(where, per_metre)} crosses itself; left out"))
            )  # fmt: skip
            continue
        sound.append((loop, shape))
    sound.sort(key=lambda pair: -pair[1].area)
    kept: list[tuple[Loop, shapely.Polygon]] = []
    for loop, shape in sound:
        crossed = next((k for k, other in kept if _crosses(shape, other)), None)
        if crossed is not None:
            where = loop[0][:2]
            problems.append(
                Problem(kind="overlap", fixed=False, place=where, sentence=(
                    f"the outline that begins at {_said(where, per_metre)} overlaps the one at "
                    f"{_said(crossed[0][:2], per_metre)}; left out"))
            )  # fmt: skip
            continue
        kept.append((loop, shape))
    inside = [sum(other.contains(shape) for _, other in kept[:at]) for at, (_, shape) in enumerate(kept)]
    found: list[Region] = []
    for at, (loop, shape) in enumerate(kept):
        if inside[at] % 2:
            continue
        holes = [
            _wound(k, ccw=False)
            for i, (k, other) in enumerate(kept)
            if inside[i] == inside[at] + 1 and shape.contains(other)
        ]
        found.append(Region(outer=_wound(loop, ccw=True), inner=tuple(holes)))
    return found, problems


def _crosses(one: shapely.Polygon, other: shapely.Polygon) -> bool:
    return one.intersects(other) and not other.contains(one) and one.intersection(other).area > TINY**2


def flat(loop: Loop) -> list[Point]:
    """A loop as points, arcs in steps of two degrees.

    Args:
        loop: Vertices with bulges [m].
    """
    return [(p[0], p[1]) for p in flatten(loop, closed=True, step=pi / 90)]


def _wound(loop: Loop, *, ccw: bool) -> Loop:
    points = flat(loop)
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, (*points[1:], points[0]), strict=True))
    if (area > 0.0) == ccw:
        return loop
    turned = loop[::-1]
    return tuple((u, v, -turned[(at + 1) % len(turned)][2]) for at, (u, v, _) in enumerate(turned))


def bulge_of(sweep: float) -> float:
    """Bulge of an arc: tan(sweep / 4) [-].

    Args:
        sweep: Angle it turns through, counter-clockwise above zero [rad].
    """
    return tan(sweep / 4.0)
