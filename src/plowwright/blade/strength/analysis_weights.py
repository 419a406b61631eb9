"""Weight of every part on the nodes of the strength model."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from math import dist
from typing import Final

import numpy as np

from plowwright.blade.parts import Body, Part
from plowwright.blade.shapes import Vec
from plowwright.blade.strength.frame_parts import Finder, across
from plowwright.physics.frame_elements import Floats

STANDS_FOR: Final = {"cutting edge": "bottom angle"}
"""Parts without members of their own, and whose members carry them."""

EVEN: Final = 0.001
"""Distances that differ by less are the same [m]."""


def weights(find: Finder, acceleration: Sequence[float], bodies: Collection[Body]) -> Floats:
    """Force and moment of all parts' mass on the nodes, (n, 6) [N, N m].

    A part's weight goes to the ends of its members by their length, with the moment that brings it to the part's own
    centroid; a part without members hangs on the nearest node of its body. What is carried between bodies hangs on the
    push frame. Weld metal and paint, some two per cent, are left out.

    Args:
        find: Parts and plan.
        acceleration: Acts on all mass [m/s2].
        bodies: Whose parts count.
    """
    plan = find.plan
    nodes = np.array([plan.places[name] for name in plan.labels])
    by_part: dict[str, list[tuple[int, float]]] = {}
    by_role: dict[str, set[int]] = {}
    for beam in plan.beams:
        half = dist(beam.start, beam.end) / 2
        by_part.setdefault(beam.part, []).extend((end, half) for end in beam.ends)
        by_role.setdefault(beam.role, set()).update(beam.ends)
    taken: list[tuple[int, float, Vec]] = []
    loose: dict[str, list[Part]] = {}
    for part in find.parts.values():
        if part.body not in bodies:
            continue
        ends = by_part.get(STANDS_FOR.get(part.id, part.id)) if part.body != "link" else None
        if ends is None:
            loose.setdefault(_role(part), []).append(part)
            continue
        middle, each = part.centroid(), part.mass() / sum(share for _, share in ends)
        taken += [(number, share * each, middle) for number, share in ends]
    for role, parts in loose.items():
        taken += _hung(parts, nodes, sorted(by_role.get(role, ())) or list(range(len(nodes))))
    numbers = [number for number, _, _ in taken]
    force = np.array([mass for _, mass, _ in taken])[:, None] * np.asarray(acceleration, dtype=np.float64)
    out = np.zeros((len(nodes), 6))
    np.add.at(out[:, :3], numbers, force)
    np.add.at(out[:, 3:], numbers, across(np.array([at for _, _, at in taken]) - nodes[numbers], force))
    return out


def _role(part: Part) -> str:
    return {"moldboard": "moldboard", "hub": "hub", "mount": "hub"}.get(part.body, "frame")


def _hung(parts: Sequence[Part], nodes: Floats, among: list[int]) -> list[tuple[int, float, Vec]]:
    """Node, mass and centroid of parts hung on the nearest node, or on those that are equally near.

    A part in the middle is not to lean to one side.
    """
    middles = [part.centroid() for part in parts]
    away = np.linalg.norm(nodes[among] - np.array(middles)[:, None], axis=2)
    near = away < away.min(axis=1, keepdims=True) + EVEN
    out: list[tuple[int, float, Vec]] = []
    for part, middle, row in zip(parts, middles, near, strict=True):
        found = [among[k] for k in np.flatnonzero(row)]
        out += [(number, part.mass() / len(found), middle) for number in found]
    return out
