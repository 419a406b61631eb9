"""Brings the stiffness of a shell's plates and pieces into the blocks that are factored."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from plowwright.errors import ModelError
from plowwright.physics.shell_blocks import Floats, Ints
from plowwright.physics.shell_mesh import Mesh

Flags = NDArray[np.bool_]


class System:
    """Puts the stiffness of all plates and pieces into blocks, six by six, by pairs of nodes.

    Attributes:
        rows: Row of each freedom in the order of the blocks, -1 for kept nodes, (n, 6) [-].
        starts: First row of each block, and the number of rows at the end [-].
    """

    def __init__(self, mesh: Mesh, kept: Ints) -> None:
        self.mesh = mesh
        self.kept = kept
        blocks = mesh.blocks
        count = len(mesh.parents)
        if bool((np.flatnonzero(blocks < 0) != np.sort(kept)).any()) if len(kept) else bool((blocks < 0).any()):
            raise ModelError("the nodes kept and the nodes without a block are not the same")
        sizes = np.bincount(blocks[blocks >= 0], minlength=count)
        self.sizes = 6 * sizes
        self.starts = np.concatenate(([0], np.cumsum(self.sizes))).astype(np.int64)
        order = np.argsort(blocks, kind="stable")
        inner = order[blocks[order] >= 0]
        place = np.full(len(blocks), -1, dtype=np.int64)
        place[inner] = np.arange(len(inner))
        self.place = np.where(blocks >= 0, 6 * place - self.starts[blocks], -1)
        self.rows = np.where(blocks[:, None] >= 0, 6 * place[:, None] + np.arange(6), -1)
        self.among = np.full(len(blocks), -1, dtype=np.int64)
        self.among[kept] = 6 * np.arange(len(kept))

    def _pairs(self) -> tuple[Ints, Ints, Floats]:
        """All pairs of nodes within plates and pieces with the six by six stiffness between them, less mirrored ones.

        The pairs that lie below the diagonal in the order of the blocks are left out: nobody reads them.
        """
        mesh = self.mesh
        groups = [(mesh.quads, mesh.matrices.stiffness, mesh.first[1])]
        groups += [(g.nodes, g.stiffness, np.arange(len(g.nodes))) for g in mesh.pieces]
        first: list[Ints] = []
        second: list[Ints] = []
        between: list[Floats] = []
        for nodes, stiff, which in groups:
            k = nodes.shape[1]
            a, b = np.repeat(nodes, k, axis=1).ravel(), np.tile(nodes, (1, k)).ravel()
            pairs = stiff.reshape(-1, k, 6, k, 6).transpose(0, 1, 3, 2, 4).reshape(-1, 36)
            block_a, block_b = mesh.blocks[a], mesh.blocks[b]
            above = (block_a < block_b) | ((block_a == block_b) & (self.place[a] <= self.place[b]))
            wanted = np.flatnonzero((block_b < 0) | ((block_a >= 0) & above))
            place = which[wanted // (k * k)] * (k * k) + wanted % (k * k)
            first.append(a[wanted])
            second.append(b[wanted])
            between.append(pairs[place])
        return np.concatenate(first), np.concatenate(second), np.concatenate(between)

    def assembled(self) -> tuple[list[Floats], list[Floats], Floats, Floats]:
        """Upper halves of the diagonal blocks, couplings to the parents and to the kept nodes, and between those."""
        blocks, parents = self.mesh.blocks, self.mesh.parents
        a, b, between = self._pairs()
        block_a, block_b = blocks[a], blocks[b]
        inner = (block_a >= 0) & (block_b >= 0)
        same = inner & (block_a == block_b)
        up = inner & ~same & (parents[block_a] == block_b)
        if bool((inner & ~same & ~up).any()):
            pair = int(np.argmax(inner & ~same & ~up))
            raise ModelError(
                "a plate joins two lines of nodes that are not neighbours",
                where=f"between {self.mesh.label(int(a[pair]))} and {self.mesh.label(int(b[pair]))}",
            )
        own = self._summed(self.sizes, self.sizes, a[same], b[same], block_a[same], between[same])
        tall = self.sizes[parents]
        tall[parents == np.arange(len(parents))] = 0
        # Columns first: the transpose of the piece goes in with rows and columns exchanged.
        turned = between[up].reshape(-1, 6, 6).transpose(0, 2, 1)
        joined = self._summed(tall, self.sizes, b[up], a[up], block_a[up], turned)
        wide = 6 * len(self.kept)
        size, outward = (int(self.starts[-1]), wide), (block_a >= 0) & (block_b < 0)
        to_kept = self._scattered(self.rows, size, a, b, between, outward)
        among_rows = np.where(self.among[:, None] >= 0, self.among[:, None] + np.arange(6), -1)
        among = self._scattered(among_rows, (wide, wide), a, b, between, (block_a < 0) & (block_b < 0))
        return own, [block.T for block in joined], to_kept, among

    def _scattered(
        self, rows: Ints, shape: tuple[int, int], a: Ints, b: Ints, between: Floats, chosen: Flags
    ) -> Floats:
        """What the chosen pairs put between their first node, by `rows`, and their second, a kept one."""
        row = rows[a[chosen]][:, :, None]
        column = (self.among[b[chosen]][:, None] + np.arange(6))[:, None, :]
        flat = np.bincount((row * shape[1] + column).ravel(), between[chosen].ravel(), minlength=shape[0] * shape[1])
        return flat.astype(np.float64).reshape(shape)

    def _summed(
        self, tall: Ints, wide: Ints, row_node: Ints, column_node: Ints, block: Ints, between: Floats
    ) -> list[Floats]:
        """One dense matrix per block, (tall, wide), summed from pairs of nodes."""
        starts = np.concatenate(([0], np.cumsum(tall * wide)))
        across = wide[block]
        corner = starts[block] + self.place[row_node] * across + self.place[column_node]
        inside = np.arange(6)
        at = corner[:, None, None] + inside[:, None] * across[:, None, None] + inside
        total = np.bincount(at.ravel(), between.ravel(), minlength=int(starts[-1]))
        flat = np.asarray(total, dtype=np.float64)
        return [flat[starts[i] : starts[i + 1]].reshape(tall[i], wide[i]) for i in range(len(tall))]
