"""Strokes of a foreign drawing joined into outlines with holes; every fault is named with its place.

Strokes are straight or arcs, two points and a bulge (see `physics.regions`). Lengths are metres throughout.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import atan, atan2, hypot, pi, tan
from typing import Final, Literal

import shapely

from plowwright.papers.marks import flatten
from plowwright.physics.regions import Loop
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


def spot_said(point: Point, per_metre: float) -> str:
    """A place as the drawing's own numbers have it.

    Args:
        point: Where [m].
        per_metre: The drawing's units in a metre [-].
    """
    return f"{point[0] * per_metre:.3f}, {point[1] * per_metre:.3f}"


def cleaned(strokes: Sequence[Stroke], per_metre: float) -> tuple[list[Stroke], list[Problem]]:
    """The strokes without those drawn twice and those too short to be anything.

    Args:
        strokes: As drawn.
        per_metre: The drawing's units in a metre, for what is said [-].
    """
    long, problems = _without_tiny(strokes, per_metre)
    kept: list[Stroke] = []
    seen: dict[tuple[int, int, int, int, int], bool] = {}
    for one in long:
        if any(key in seen for key in _keys(one)):
            problems.append(
                Problem(kind="duplicate", fixed=True, place=one.start, sentence=(
                    f"drawn twice from {spot_said(one.start, per_metre)} to {spot_said(one.end, per_metre)}; "
                    "kept once"))
            )  # fmt: skip
            continue
        seen[_key(one)] = True
        kept.append(one)
    return kept, problems


def _without_tiny(strokes: Sequence[Stroke], per_metre: float) -> tuple[list[Stroke], list[Problem]]:
    """Tiny strokes left out; a run of them that leads somewhere becomes strokes long enough to cut."""
    kept: list[Stroke] = []
    tiny: list[Stroke] = []
    begun: Point | None = None
    last: Point = (0.0, 0.0)
    leads = False
    for one in strokes:
        if one.length >= TINY or one.start == one.end:
            begun = None
            kept.append(one)
            continue
        follows = begun is not None and _apart(last, one.start) <= 1e-9
        if begun is None or not follows:
            begun, leads = one.start, False
        last = one.end
        tiny.append(one)
        if leads and _apart(begun, last) < TINY:
            kept[-1] = replace(kept[-1], end=last)  # the short end of a run, should no more follow
        elif _apart(begun, last) >= TINY:
            if leads:
                kept[-1] = replace(kept[-1], end=begun)
            kept.append(Stroke(start=begun, end=last, bulge=0.0, layer=one.layer))
            begun, leads = last, True
    if not tiny:
        return kept, []
    where = spot_said(tiny[0].start, per_metre)
    said = (
        f"a stroke of {tiny[0].length * per_metre:.4f} at {where} is too short to cut; its ends are taken as one"
        if len(tiny) == 1
        else f"{len(tiny)} strokes, the first at {where}, are too short to cut; their ends are taken as one"
    )
    return kept, [Problem(kind="tiny stroke", fixed=True, place=tiny[0].start, sentence=said)]


def _merged(strokes: Sequence[Stroke], per_metre: float) -> tuple[list[Stroke], list[Problem]]:
    """Straight strokes of one line that lie on each other for a way, each run of them as one stroke."""
    lines: dict[tuple[int, int], list[int]] = {}
    for at, one in enumerate(strokes):
        if one.bulge == 0.0 and one.length > 4 * SAME:
            lines.setdefault(_line(one), []).append(at)
    out: dict[int, Stroke | None] = {}
    problems: list[Problem] = []
    for members in lines.values():
        if len(members) < 2:
            continue
        first = strokes[members[0]]
        along = ((first.end[0] - first.start[0]) / first.length, (first.end[1] - first.start[1]) / first.length)
        spans = sorted((*sorted(_along(p, first.start, along) for p in (strokes[i].start, strokes[i].end)), i)
                       for i in members)  # fmt: skip
        run: list[int] = []
        low, high = 0.0, float("-inf")
        for begin, finish, at in [*spans, (float("inf"), float("inf"), -1)]:
            if run and begin < high - JOIN and abs(_off(strokes[at], first.start, along)) <= SAME:
                run, high = [*run, at], max(high, finish)
                continue
            if len(run) > 1:
                ends = tuple((first.start[0] + d * along[0], first.start[1] + d * along[1]) for d in (low, high))
                out |= {**dict.fromkeys(run), min(run): replace(strokes[run[0]], start=ends[0], end=ends[1])}
                problems.append(Problem(kind="duplicate", fixed=True, place=ends[0], sentence=(
                    f"{len(run)} lines lie on each other from {spot_said(min(ends), per_metre)} to "
                    f"{spot_said(max(ends), per_metre)}; made one")))  # fmt: skip
            run, low, high = [at], begin, finish
    kept = [out.get(at, one) for at, one in enumerate(strokes)]
    return [one for one in kept if one is not None], problems


def _line(one: Stroke) -> tuple[int, int]:
    """Direction and distance from the origin of a straight stroke, coarse: what can lie on it shares them."""
    dx, dy = one.end[0] - one.start[0], one.end[1] - one.start[1]
    if (dx, dy) < (0.0, 0.0):
        dx, dy = -dx, -dy
    span = hypot(dx, dy)
    return round(atan2(dy, dx) * 2000.0), round((one.start[0] * dy - one.start[1] * dx) / span / (2 * SAME))


def _along(point: Point, origin: Point, along: Point) -> float:
    return (point[0] - origin[0]) * along[0] + (point[1] - origin[1]) * along[1]


def _off(one: Stroke, origin: Point, along: Point) -> float:
    return max(((p[0] - origin[0]) * along[1] - (p[1] - origin[1]) * along[0] for p in (one.start, one.end)), key=abs)


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
    loops, opens = _chains(strokes)
    # Only what does not close by itself is looked at again: two parts may well lie along one line.
    merged, problems = _merged([s for chain in opens for s in chain], per_metre)
    if problems:
        more, opens = _chains(merged)
        loops += more
    for chain in loops:
        problems += _mended(chain, per_metre)
    said = _open(opens, loops, per_metre) if opens else ()
    return [tuple((*s.start, s.bulge) for s in chain) for chain in loops], [*problems, *said]


def _chains(strokes: Sequence[Stroke]) -> tuple[list[list[Stroke]], list[list[Stroke]]]:
    """Strokes one after the other: what closes, and what stays open."""
    left = list(strokes)
    loops: list[list[Stroke]] = []
    opens: list[list[Stroke]] = []
    while left:
        chain = [left.pop(0)]
        if _apart(chain[0].start, chain[0].end) <= JOIN and chain[0].length > 4 * JOIN:
            opens.append(chain)  # one stroke whose ends meet is an arc of nearly a full turn
            continue
        _grow(chain, left)
        chain = [s.turned() for s in reversed(chain)]
        _grow(chain, left)
        closes = _apart(chain[-1].end, chain[0].start) <= JOIN and len(chain) > 1
        (loops if closes else opens).append(chain)
    return loops, opens


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
                    f"a gap of {gap * per_metre:.4f} at {spot_said(before.end, per_metre)} was closed"),
            )  # fmt: skip


def _open(chains: Sequence[Sequence[Stroke]], loops: Sequence[Sequence[Stroke]], per_metre: float) -> Iterator[Problem]:
    # A chain that lies on an outline all along is that outline drawn again in part.
    rings = shapely.union_all([shapely.LinearRing(flat([(*s.start, s.bulge) for s in loop])) for loop in loops])
    near = shapely.buffer(rings, 2 * SAME)
    again = [c for c in chains if near.contains(shapely.LineString([c[0].start, *(s.end for s in c)]))]
    for chain in again:
        yield Problem(kind="duplicate", fixed=True, place=chain[0].start, sentence=(
            f"drawn twice from {spot_said(chain[0].start, per_metre)} to {spot_said(chain[-1].end, per_metre)}; "
            "kept once"))  # fmt: skip
    rest = [c for c in chains if not any(c is a for a in again)]
    small = [c for c in rest if _extent(c) <= LETTERING]
    letters = small if len(small) >= 3 else []
    if letters:
        place = letters[0][0].start
        yield Problem(
            kind="text", fixed=True, place=place, sentence=(
                f"{len(letters)} short open strokes from {spot_said(place, per_metre)} on look like lettering drawn "
                "as lines; left out, not cut"),
        )  # fmt: skip
    touch = shapely.buffer(rings, JOIN)
    for chain in rest:
        if any(chain is c for c in letters):
            continue
        start, end = chain[0].start, chain[-1].end
        said = (
            f"an outline of {len(chain)} stroke{'s' if len(chain) > 1 else ''} is open by "
            f"{_apart(start, end) * per_metre:.3f} between {spot_said(end, per_metre)} and "
            f"{spot_said(start, per_metre)}"
        )
        if touch.contains(shapely.MultiPoint([start, end])):
            said += "; it ends on an outline at both ends: if these are two parts, draw each closed by itself"
        yield Problem(kind="open outline", fixed=False, place=end, sentence=f"{said}; left out")


def _extent(chain: Sequence[Stroke]) -> float:
    xs = [p[0] for s in chain for p in (s.start, s.end)]
    ys = [p[1] for s in chain for p in (s.start, s.end)]
    return max(max(xs) - min(xs), max(ys) - min(ys))


def flat(loop: Sequence[tuple[float, float, float]]) -> list[Point]:
    """A loop as points, arcs in steps of two degrees.

    Args:
        loop: Vertices with bulges [m].
    """
    return [(p[0], p[1]) for p in flatten(loop, closed=True, step=pi / 90)]


def bulge_of(sweep: float) -> float:
    """Bulge of an arc: tan(sweep / 4) [-].

    Args:
        sweep: Angle it turns through, counter-clockwise above zero [rad].
    """
    return tan(sweep / 4.0)
