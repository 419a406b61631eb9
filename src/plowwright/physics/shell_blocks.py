"""Cholesky factors of a stiffness whose blocks form a tree, as the lines of nodes along a blade do.

Block i may be joined to itself, to its parent and to nothing that comes later. A plain chain gives a block
tridiagonal matrix; a web hung on one line of nodes is a leaf of that line. All work is done by dense products on
blocks of a hundred or two freedoms, which is where one thread is fastest.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import blas, lapack

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LOOSE = 1e-11
"""A pivot below this share of its own stiffness means that nothing holds the freedom [-]."""


class LooseFreedomError(ArithmeticError):
    """A pivot that is nothing; the caller says where it is.

    Attributes:
        row: Row of the freedom, in the order of the blocks.
    """

    def __init__(self, row: int) -> None:
        self.row = row
        super().__init__(f"row {row} is held by nothing")


@dataclass(frozen=True, kw_only=True, eq=False)
class BlockFactor:
    """Factors of one stiffness.

    Attributes:
        starts: First row of each block, and the number of rows at the end, (b + 1,) [-].
        parents: Block that each block is joined to, its own number for a root, (b,) [-].
        lower: Lower factor L of each block, after its children were taken out [(N/m)^1/2].
        joined: L^-1 times each block's coupling to its parent [(N/m)^1/2].
    """

    starts: Ints
    parents: Ints
    lower: tuple[Floats, ...]
    joined: tuple[Floats, ...]

    def forward(self, right: Floats) -> Floats:
        """Solve L y = b.

        Args:
            right: Right-hand sides as columns, (rows, c), in the order of the blocks [N, N m].
        """
        work = np.array(right, dtype=np.float64, order="C")
        for i, factor in enumerate(self.lower):
            own = self._rows(work, i)
            own[:] = _solved(factor, own, transposed=False)
            parent = int(self.parents[i])
            if parent != i:
                self._rows(work, parent)[:] -= self.joined[i].T @ own
        return work

    def backward(self, half: Floats) -> Floats:
        """Solve L^T x = y.

        Args:
            half: What `forward` gave, (rows, c) [J^1/2].
        """
        work = np.array(half, dtype=np.float64, order="C")
        for i in range(len(self.lower) - 1, -1, -1):
            own = self._rows(work, i)
            parent = int(self.parents[i])
            if parent != i:
                own -= self.joined[i] @ self._rows(work, parent)
            own[:] = _solved(self.lower[i], own, transposed=True)
        return work

    def _rows(self, work: Floats, block: int) -> Floats:
        return work[self.starts[block] : self.starts[block + 1]]


def factor(diagonal: list[Floats], coupling: list[Floats], parents: Ints) -> BlockFactor:
    """Factor a stiffness given by blocks.

    Args:
        diagonal: Each block's own stiffness, of which the upper half is read; overwritten [N/m, N, N m].
        coupling: Each block's coupling to its parent, columns first in memory; overwritten [N/m, N, N m].
        parents: Parent of each block, later than the block itself; its own number for a root [-].

    Raises:
        LooseFreedomError: A freedom that nothing holds.
    """
    starts = np.concatenate(([0], np.cumsum([len(block) for block in diagonal]))).astype(np.int64)
    lower: list[Floats] = []
    joined: list[Floats] = []
    straight = np.concatenate([block.diagonal() for block in diagonal])
    for i, own in enumerate(diagonal):
        first = int(starts[i])
        # LAPACK wants columns first: the upper half by rows is the lower half by columns.
        half, info = lapack.dpotrf(own.T, lower=1, overwrite_a=1, clean=1)
        if info > 0:
            raise LooseFreedomError(first + int(info) - 1)
        weak = half.diagonal() ** 2 < LOOSE * straight[first : first + len(half)]
        if bool(weak.any()):
            raise LooseFreedomError(first + int(np.argmax(weak)))
        lower.append(half)
        parent = int(parents[i])
        if parent == i:
            joined.append(np.zeros((len(half), 0)))
            continue
        side = blas.dtrsm(1.0, half, coupling[i], side=0, lower=1, overwrite_b=1)
        joined.append(side)
        diagonal[parent] -= side.T @ side
    return BlockFactor(starts=starts, parents=parents, lower=tuple(lower), joined=tuple(joined))


def _solved(half: Floats, right: Floats, *, transposed: bool) -> Floats:
    """L^-1 right, or L^-T right; worked on the transpose so that rows need no copying."""
    return blas.dtrsm(1.0, half, right.T, side=1, lower=1, trans_a=0 if transposed else 1).T
