"""Whether parts that move past each other stay clear at every end of the blade's travel."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from math import degrees, inf, radians
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from plowwright.blade.parts import Assembly, Link, Pinned, Pivots, Sprung, Weld
from plowwright.blade.poses import Matrix, Pose, link_motion, motions
from plowwright.blade.prisms import Array, Prism, gap, prisms, spread

FULL_TRIP = radians(25.0)
"""Trip up to which clearances are looked at [rad] (*assumed*: by then the foot has passed over what it struck)."""

NEARBY = 0.05
"""Parts further apart than this are only looked at when nothing is nearer [m]."""

LOOSE_GROUPS = frozenset(("extras", "hoses", "packing"))
"""Groups that are drawn as plain blocks, or bend out of the way."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """The least distance between two parts in a pose.

    Attributes:
        first: One part, by id.
        second: The other, by id.
        pose: How the blade stands.
        gap: Distance between them, below zero where they would cut into each other [m].
    """

    first: str
    second: str
    pose: Pose
    gap: float


def nearest(assembly: Assembly, poses: Iterable[Pose] | None = None) -> Gap:
    """The two parts of different bodies that come nearest to each other without being joined.

    Args:
        assembly: The blade.
        poses: How it may stand; None for every end of its travel.
    """
    stand = tuple(poses) if poses else None
    return (_gaps(assembly, stand, NEARBY, "nearest") or _gaps(assembly, stand, inf, "nearest"))[0]


def meeting(assembly: Assembly, poses: Iterable[Pose] | None = None, *, within: float = 0.0) -> tuple[Gap, ...]:
    """Every two parts of different bodies that come nearer to each other than they may, nearest first.

    Args:
        assembly: The blade.
        poses: How it may stand; None for every end of its travel.
        within: Least distance they may have [m].
    """
    return _gaps(assembly, poses, within, "all")


def ends_of_travel(pivots: Pivots) -> tuple[Pose, ...]:
    """Straight and at both full angles, level and rolled both ways to the stops; and tripped.

    Args:
        pivots: What moves about what, and how far.
    """
    stop, roll = pivots.angle_stop, pivots.oscillation_stop
    rolls = (0.0, -roll, roll) if roll < inf else (0.0,)
    poses = [Pose(angle=a, oscillation=o) for a in (0.0, stop, -stop) for o in rolls]
    return (*poses, Pose(trip=min(FULL_TRIP, pivots.trip_stop)))


def in_words(pose: Pose) -> str:
    """A pose as people say it: "turned 30 deg, left end forward".

    Args:
        pose: How the blade stands.
    """
    said = [f"turned {abs(degrees(pose.angle)):.0f} deg, {_end(pose.angle)} forward"] if pose.angle else []
    if pose.oscillation:
        said.append(f"rolled {abs(degrees(pose.oscillation)):.0f} deg, {_end(pose.oscillation)} up")
    if pose.trip:
        said.append(f"tripped {degrees(pose.trip):.0f} deg")
    return ", ".join(said) or "at rest"


def _end(turn: float) -> str:
    return "left end" if turn > 0 else "right end"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Stack:
    """The prisms of one blade, corners end to end.

    Attributes:
        names: Part each prism belongs to.
        pieces: The prisms.
        corners: All corners at rest, (n, 3) [m].
        firsts: Where each prism's corners begin.
        kinds: What moves each prism: its place in `_SPANS`.
        movers: What moves each prism: a body, or the part itself when it stretches between two.
        apart: Which pairs of prisms are to be kept apart, each pair once, (p, p).
    """

    names: tuple[str, ...]
    pieces: tuple[Prism, ...]
    corners: Array
    firsts: NDArray[np.intp]
    kinds: NDArray[np.intp]
    movers: tuple[str, ...]
    apart: NDArray[np.bool_]


_Which = Literal["nearest", "all"]


def _gaps(assembly: Assembly, poses: Iterable[Pose] | None, within: float, which: _Which) -> tuple[Gap, ...]:
    links = tuple((part.id, part.link) for part in assembly.parts if part.link)
    pivots = assembly.pivots
    stand = tuple(poses) if poses else ends_of_travel(pivots)
    return _search(_stack(assembly), links, pivots, stand, within, which)


@lru_cache(maxsize=300)
def _search(
    stack: _Stack,
    links: tuple[tuple[str, Link], ...],
    pivots: Pivots,
    poses: tuple[Pose, ...],
    within: float,
    which: _Which,
) -> tuple[Gap, ...]:
    """Nearest first; kept between calls because options and prices change more often than the steelwork."""
    worst: dict[tuple[str, str], Gap] = {}
    best = within
    seen: set[tuple[int, int, tuple[float, ...]]] = set()
    for pose in poses:
        moved = motions(pivots, pose)
        at: dict[str, Matrix] = dict(moved.items())
        at.update((name, link_motion(link, moved)) for name, link in links)
        look = _unseen(pose, seen)[stack.kinds[:, None], stack.kinds[None]] & stack.apart
        low, high = _boxes(stack, at)
        apart = np.where(look, _box_gaps(low, high), inf)
        rows, columns = np.nonzero(apart < best)
        for a, b in sorted(zip(rows.tolist(), columns.tolist(), strict=True), key=lambda pair: float(apart[pair])):
            if apart[a, b] >= best:
                break
            motion = (at[stack.movers[a]], at[stack.movers[b]])
            names = (stack.names[a], stack.names[b])
            left = gap(stack.pieces[a], stack.pieces[b], motion, best)
            if left < best and (names not in worst or left < worst[names].gap):
                worst[names] = Gap(first=names[0], second=names[1], pose=pose, gap=left)
                best = left if which == "nearest" else within
    return tuple(sorted(worst.values(), key=lambda g: g.gap))


# Where each kind lies on the chain mount 0, oscillation pin, hub 1, king pin, frame 2, hinge, moldboard 3.
_SPANS = {"mount": (0, 0), "hub": (1, 1), "cylinder": (1, 2), "frame": (2, 2), "springs": (2, 3), "moldboard": (3, 3)}


def _unseen(pose: Pose, seen: set[tuple[int, int, tuple[float, ...]]]) -> NDArray[np.bool_]:
    """Which kinds stand to each other in this pose as in no pose before; what turns together keeps its distance."""
    spans, turns = list(_SPANS.values()), (pose.oscillation, pose.angle, pose.trip)
    found = np.zeros((len(spans), len(spans)), dtype=bool)
    for (i, one), (j, other) in combinations(enumerate(spans), 2):
        key = (i, j, turns[min(one + other) : max(one + other)])
        if key not in seen:
            seen.add(key)
            found[i, j] = found[j, i] = True
    return found


def _boxes(stack: _Stack, at: Mapping[str, Matrix]) -> tuple[Array, Array]:
    turns = {name: spread(at[name]) for name in dict.fromkeys(stack.movers)}
    ends = (*stack.firsts[1:].tolist(), len(stack.corners))
    corners = np.empty_like(stack.corners)
    begin = 0
    for i, (name, end) in enumerate(zip(stack.movers, ends, strict=True)):
        # Prisms with one mover lie together: a run is moved at once.
        if i + 1 == len(ends) or stack.movers[i + 1] != name:
            turn, shift = turns[name]
            corners[begin:end] = stack.corners[begin:end] @ turn + shift
            begin = end
    return np.minimum.reduceat(corners, stack.firsts), np.maximum.reduceat(corners, stack.firsts)


def _box_gaps(low: Array, high: Array) -> Array:
    """Greatest distance along x, y or z between boxes, a lower bound of the distance of what is in them."""
    found = np.full((len(low), len(low)), -inf)
    for axis in range(3):
        over = low[None, :, axis] - high[:, None, axis]
        np.maximum(found, np.maximum(over, over.T), out=found)
    return found


def _stack(assembly: Assembly) -> _Stack:
    rows: list[tuple[str, str, int, tuple[Prism, ...]]] = []
    kinds = {name: i for i, name in enumerate(_SPANS)}
    for part in assembly.parts:
        if part.body == "loose" or part.group in LOOSE_GROUPS or part.mark == "edge bolt":
            continue
        kind = part.body if part.link is None else ("cylinder" if part.link.start_body == "hub" else "springs")
        pieces = tuple(piece for solid in part.solids for piece in prisms(solid, solid.place or part.place))
        rows.append((part.id, part.id if part.link else part.body, kinds[kind], pieces))
    rows.sort(key=lambda row: (row[2], row[1]))
    return _stacked(
        tuple(row[0] for row in rows for _ in row[3]),
        tuple(row[1] for row in rows for _ in row[3]),
        tuple(row[2] for row in rows for _ in row[3]),
        tuple(piece for row in rows for piece in row[3]),
        _joined(assembly),
    )


@lru_cache(maxsize=150)
def _stacked(
    names: tuple[str, ...],
    movers: tuple[str, ...],
    kinds: tuple[int, ...],
    pieces: tuple[Prism, ...],
    joined: frozenset[tuple[str, str]],
) -> _Stack:
    counts = np.array([len(piece.corners) for piece in pieces])
    kind = np.array(kinds)
    apart = kind[:, None] < kind[None]
    places: dict[str, list[int]] = {}
    for i, name in enumerate(names):
        places.setdefault(name, []).append(i)
    for one, other in joined:
        if one in places and other in places:
            for i in places[one]:
                for j in places[other]:
                    apart[i, j] = apart[j, i] = False
    return _Stack(
        names=names,
        pieces=pieces,
        corners=np.vstack([piece.corners for piece in pieces]),
        firsts=np.concatenate(([0], np.cumsum(counts)[:-1])),
        kinds=kind,
        movers=movers,
        apart=apart,
    )


def _joined(assembly: Assembly) -> frozenset[tuple[str, str]]:
    """Pairs of different bodies that touch because they are meant to: on one pin, on one spring, on one stop."""
    halves: dict[object, set[str]] = {}
    for part in assembly.parts:
        if part.link:
            halves.setdefault((part.link.start, part.link.end), set()).add(part.id)
    # The oscillation pin goes through the mount plate inside its sleeve.
    groups: list[set[str]] = [{"oscillation pin", "mount plate"}]
    hung = {part.id for part in assembly.parts if part.mark in ("spring lug", "tower", "tower bar")}
    for joint in assembly.joints:
        if isinstance(joint, Weld):
            continue
        group = set(joint.joins)
        if isinstance(joint, Pinned):
            group.add(joint.pin)
        elif isinstance(joint, Sprung):
            group |= {joint.spring, *hung}
        # The halves of a cylinder slide in each other, a spring hooks into its eyebolt: what holds one meets both.
        groups.append(group.union(*(names for names in halves.values() if names & group)))
    return frozenset(pair for group in groups for pair in combinations(sorted(group), 2))
