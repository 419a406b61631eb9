"""Thin shells of flat plates: all load cases in one factorisation, condensed to the nodes they are joined at.

For axes and freedoms see `shell_mesh`. Small displacements, linear. The answer is put back into the balance of every
node before it is handed out, and a loose part is refused by name.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.sparse import csr_array

from plowwright.errors import MechanismError, ModelError
from plowwright.physics import shell_blocks
from plowwright.physics.frame_elements import FREEDOMS
from plowwright.physics.shell_assembly import Flags, System
from plowwright.physics.shell_blocks import BlockFactor, Floats, Ints, LooseFreedomError
from plowwright.physics.shell_mesh import Mesh
from plowwright.physics.threads import one_thread

RESIDUAL_LIMIT: Final = 1e-6
"""The most that the balance of forces may miss, as a share of the largest force of the case [-]."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Condensed:
    """A shell seen from the nodes that were kept.

    Attributes:
        stiffness: Between all freedoms of the kept nodes, (6 k, 6 k) [N/m, N, N m].
        loads: What the loads on the shell put on the kept nodes, (c, 6 k) [N, N m].
        half: Half-solved loads, for `Factored.expand` [J^1/2].
    """

    stiffness: Floats
    loads: Floats
    half: Floats


@dataclass(frozen=True, kw_only=True, eq=False)
class Factored:
    """A shell factored once, ready for any loads.

    Attributes:
        mesh: The shell.
        held: Freedoms held still, (n, 6) [-].
        kept: Nodes that are kept, whose motion comes from outside, (k,) [-].
        rows: Row of each freedom in the order of the blocks, -1 where it has none, (n, 6) [-].
        blocks: The factors [(N/m)^1/2].
        to_kept: Half-solved coupling to the kept nodes, (rows, 6 k) [(N/m)^1/2].
        between_kept: Stiffness between the kept nodes, (6 k, 6 k) [N/m, N, N m].
    """

    mesh: Mesh
    held: Flags
    kept: Ints
    rows: Ints
    blocks: BlockFactor
    to_kept: Floats
    between_kept: Floats

    def condense(self, loads: Floats) -> Condensed:
        """The shell as a stiffness and loads on its kept nodes.

        Args:
            loads: On all nodes, (c, n, 6) [N, N m].
        """
        with one_thread():
            half = self.blocks.forward(self._right(loads))
            kept = loads[:, self.kept].reshape(len(loads), 6 * len(self.kept))
            stiff = self.between_kept - self.to_kept.T @ self.to_kept
            return Condensed(stiffness=stiff, loads=kept - (self.to_kept.T @ half).T, half=half)

    def expand(self, condensed: Condensed, motion: Floats, loads: Floats) -> Floats:
        """Displacements of all nodes, (c, n, 6), from the motion of the kept ones.

        Args:
            condensed: What `condense` gave for the same loads [N/m, N, N m].
            motion: Of the kept nodes, (c, 6 k) [m, rad].
            loads: On all nodes, (c, n, 6) [N, N m].

        Raises:
            ModelError: An answer that does not balance.
        """
        with one_thread():
            found = self.blocks.backward(condensed.half - self.to_kept @ motion.T)
            displacements = np.zeros((len(motion), len(self.rows), 6))
            inner = self.rows >= 0
            displacements[:, inner] = found[self.rows[inner]].T
            displacements[:, self.kept] = motion.reshape(len(motion), -1, 6)
            displacements[:, self.held] = 0.0
            self._check(displacements, loads)
        return displacements

    def solve(self, loads: Floats) -> Floats:
        """Displacements of all nodes with the kept ones held still, (c, n, 6).

        Args:
            loads: On all nodes, (c, n, 6) [N, N m].
        """
        return self.expand(self.condense(loads), np.zeros((len(loads), 6 * len(self.kept))), loads)

    def answer(self, displacements: Floats) -> Floats:
        """Forces that the shell needs at every node to stay displaced so, (c, n, 6).

        Args:
            displacements: Of all nodes, (c, n, 6) [m, rad].
        """
        mesh, cases = self.mesh, len(displacements)
        moved = np.ascontiguousarray(displacements.transpose(1, 2, 0))
        # One row per node of a plate or piece; a sparse sum brings them to their nodes.
        put = [mesh.nodal(moved, np.arange(len(mesh.quads))).reshape(-1, 6 * cases)]
        nodes = [mesh.quads.ravel()]
        for group in mesh.pieces:
            own = moved[group.nodes].reshape(len(group.nodes), -1, cases)
            put.append((group.stiffness @ own).reshape(-1, 6 * cases))
            nodes.append(group.nodes.ravel())
        at = np.concatenate(nodes)
        gather = csr_array((np.ones(len(at)), (at, np.arange(len(at)))), shape=(len(mesh.nodes), len(at)))
        total = np.asarray(gather @ np.concatenate(put), dtype=np.float64)
        return total.reshape(-1, 6, cases).transpose(2, 0, 1)

    def _right(self, loads: Floats) -> Floats:
        inner = (self.rows >= 0) & ~self.held
        right = np.zeros((int(self.blocks.starts[-1]), len(loads)))
        right[self.rows[inner]] = loads[:, inner].T
        return right

    def _check(self, displacements: Floats, loads: Floats) -> None:
        inner = (self.rows >= 0) & ~self.held
        found = self.answer(displacements)
        missing = np.where(inner, found - loads, 0.0)
        for kind, first in (("force", 0), ("moment", 3)):
            off = np.abs(missing[..., first : first + 3]).max(axis=(1, 2), initial=0.0)
            size = np.maximum(np.abs(found[..., :3]), np.abs(loads[..., :3])).max(axis=(1, 2), initial=0.0)
            share = off / np.where(size > 0, size, 1.0)
            worst = int(np.argmax(share)) if len(share) else 0
            if len(share) and not share[worst] <= RESIDUAL_LIMIT:
                raise ModelError(
                    f"the shell's answer for load case {worst + 1} does not balance",
                    value=f"a {kind} of {share[worst]:.3g} of the case's largest is missing",
                    limit=f"{RESIDUAL_LIMIT:g}",
                    way_out="Stiffnesses too far apart are the usual cause: look for a sliver in the mesh.",
                )


def factor(mesh: Mesh, *, held: Flags | None = None, kept: Ints | None = None) -> Factored:
    """Factor a shell.

    Args:
        mesh: The shell.
        held: Freedoms held still, (n, 6), or None for none [-].
        kept: Nodes whose motion will come from outside; their block is -1 [-].

    Raises:
        MechanismError: Something can move freely; names the node and the freedom.
        ModelError: A plate that cannot be, or blocks that do not fit the mesh.
    """
    still = np.zeros((len(mesh.nodes), 6), dtype=bool) if held is None else held
    keep = np.zeros(0, dtype=np.int64) if kept is None else kept
    with one_thread():
        return _factor(mesh, still, keep)


def _factor(mesh: Mesh, held: Flags, kept: Ints) -> Factored:
    system = System(mesh, kept)
    diagonal, coupling, to_kept, between = system.assembled()
    rows = system.rows
    inner = rows[held & (rows >= 0)]
    for row in inner:
        _hold(int(row), system.starts, mesh.parents, diagonal, coupling)
    to_kept[inner] = 0.0
    try:
        blocks = shell_blocks.factor(diagonal, coupling, mesh.parents)
    except LooseFreedomError as loose:
        node, freedom = (int(k[0]) for k in np.nonzero(rows == loose.row))
        raise MechanismError(
            f"{mesh.label(node)} can {FREEDOMS[freedom]}",
            value="nothing holds it",
            way_out="Look for a part that is not joined, a missing support, or a weld of no length.",
        ) from None
    return Factored(
        mesh=mesh,
        held=held,
        kept=kept,
        rows=rows,
        blocks=blocks,
        to_kept=blocks.forward(to_kept),
        between_kept=between,
    )


def _hold(row: int, starts: Ints, parents: Ints, diagonal: list[Floats], coupling: list[Floats]) -> None:
    """Take one freedom out of the equations: its row and column become those of the unit matrix."""
    block = int(np.searchsorted(starts, row, side="right")) - 1
    at = row - int(starts[block])
    diagonal[block][at, :] = 0.0
    diagonal[block][:, at] = 0.0
    diagonal[block][at, at] = 1.0
    coupling[block][at, :] = 0.0
    for child in np.flatnonzero(parents == block):
        if child != block:
            coupling[child][:, at] = 0.0
