"""Loads on the nodes of a shell moldboard: patches on the edge's front or the skin, and its own weight."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from plowwright import units
from plowwright.blade.loads import BoardLoad
from plowwright.blade.strength.mesh import BoardMesh
from plowwright.errors import ModelError
from plowwright.physics.materials import STEEL_DENSITY
from plowwright.physics.shell_blocks import Floats
from plowwright.physics.shell_mesh import Mesh

_SLIVER = 1e-9


def pushed(board: BoardMesh, count: int, cases: Sequence[Sequence[BoardLoad]]) -> Floats:
    """Forces and moments on all nodes, (c, n, 6) [N, N m].

    A load is spread evenly over its patch, by y and by height; the plates carry it to their corners as they would
    carry the pressure. The part of a force that passes beside a node comes with its moment.

    Args:
        board: Nodes and plates.
        count: Number of nodes with those of ears and lugs [-].
        cases: The loads of each case.

    Raises:
        ModelError: A patch beside the board.
    """
    out = np.zeros((len(cases), count, 6))
    spots: dict[tuple[float, ...], tuple[Floats, Floats]] = {}
    for c, loads in enumerate(cases):
        for load in loads:
            p = load.place
            key = (p.y0, p.y1, p.z0, p.z1, float(p.on == "edge"))
            if key not in spots:
                spots[key] = _spread(board, load)
            shares, arms = spots[key]
            force = np.array(load.force)
            flat = out[c, : len(board.lines) * board.rows].reshape(len(board.lines), board.rows, 6)
            flat[..., :3] += shares[..., None] * force
            flat[..., 3:] += shares[..., None] * np.cross(arms, force)
    return out


def _spread(board: BoardMesh, load: BoardLoad) -> tuple[Floats, Floats]:
    """Share of the force on each node, (lines, rows), and the arms from the rows' nodes to the face (rows, 3)."""
    section, place = board.profile, load.place
    along = _hats(board.lines, place.y0, place.y1)
    heights = np.array([z for _, z in section.places])
    up = np.zeros(board.rows)
    arms = np.zeros((board.rows, 3))
    if place.on == "edge":
        upright = {r for s in section.strips if s.part in ("edge", "leg") for r in s.rows}
        rows = sorted(upright, key=lambda row: section.places[row][1])
        arms[rows, 0] = section.face - np.array([section.places[r][0] for r in rows])
    else:
        rows = [section.corner, *section.skin]
    found = _hats(heights[rows], place.z0, place.z1)
    up[rows] = found
    for name, sum_of, low, high, ends in (
        ("along the blade", along.sum(), place.y0, place.y1, board.lines),
        (f"up the {place.on}", found.sum(), place.z0, place.z1, heights[rows]),
    ):
        if not sum_of > _SLIVER:
            raise ModelError(
                f"a load lies beside the moldboard, {name}",
                value=f"{units.tape(low)} to {units.tape(high)}",
                limit=f"{units.tape(float(ends[0]))} to {units.tape(float(ends[-1]))}",
                way_out="Move the patch onto the blade.",
            )
    shares = (along / along.sum())[:, None] * (up / up.sum())
    return shares, arms


def _hats(at: Floats, low: float, high: float) -> Floats:
    """Mean of every node's shape function over a stretch; what hangs over an end is left out.

    A stretch without length is a point.
    """
    first, last = max(low, float(at[0])), min(high, float(at[-1]))
    if last < first - _SLIVER:
        return np.zeros(len(at))
    if last - first < _SLIVER:
        middles, runs = np.array([first]), np.ones(1)
    else:
        cuts = np.unique(np.concatenate(([first, last], at[(at > first) & (at < last)])))
        # Shape functions are straight between nodes, so the middle of each piece gives its mean.
        middles, runs = 0.5 * (cuts[1:] + cuts[:-1]), np.diff(cuts) / (last - first)
    below = np.clip(np.searchsorted(at, middles, side="right") - 1, 0, len(at) - 2)
    share = (middles - at[below]) / (at[below + 1] - at[below])
    means = np.zeros(len(at))
    np.add.at(means, below, runs * (1 - share))
    np.add.at(means, below + 1, runs * share)
    return means


def weighed(mesh: Mesh, whole: float, accelerations: Floats) -> Floats:
    """The board's own weight on all nodes, (c, n, 6) [N, N m].

    Args:
        mesh: The shell.
        whole: Mass of all that hangs on the moldboard; plates are scaled to it [kg].
        accelerations: For each case, (c, 3) [m/s2].
    """
    plates = np.arange(len(mesh.quads))
    masses = STEEL_DENSITY * mesh.thickness * mesh.areas(plates)
    masses *= whole / masses.sum()
    nodal = np.bincount(mesh.quads.ravel(), np.repeat(masses / 4, 4), minlength=len(mesh.nodes))
    lever = np.zeros((len(mesh.nodes), 3))
    np.add.at(lever, mesh.quads, (masses / 4)[:, None, None] * mesh.offsets)
    out = np.zeros((len(accelerations), len(mesh.nodes), 6))
    out[..., :3] = nodal[:, None] * accelerations[:, None]
    out[..., 3:] = np.cross(lever[None], accelerations[:, None])
    return out
