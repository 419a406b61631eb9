"""The equations of a frame: put together as a narrow band, factored once, solved for all load cases.

The nodes are renumbered (reverse Cuthill-McKee) so that the matrix is a band, its rows are scaled to a unit diagonal,
and the band is factored by Cholesky. A frame that something can move in without resistance is refused by name.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.linalg import LinAlgError, cho_solve_banded, cholesky_banded
from scipy.sparse import csr_array
from scipy.sparse.csgraph import reverse_cuthill_mckee

from plowwright.errors import MechanismError, ModelError
from plowwright.physics.frame_elements import FREEDOMS, Flags, Floats, Whole

LOOSE = 1e-12
"""A motion whose stiffness is below this share of what its own freedoms have is no longer held [-]."""
_SHIFTS = (1e-14, 1e-13, 1e-12, 1e-11, 1e-10)


@dataclass(frozen=True, kw_only=True, eq=False)
class Part:
    """Square pieces of the stiffness matrix that are all of one size.

    Attributes:
        freedoms: Numbers of the freedoms each piece couples, node x 6 + freedom, (k, w) [-].
        stiffness: The pieces, (k, w, w) [N/m, N, N m].
    """

    freedoms: Whole
    stiffness: Floats


@dataclass(frozen=True, kw_only=True, eq=False)
class Factored:
    """A factored frame.

    Attributes:
        free: Numbers of the freedoms that are not supported, in the order of the equations [-].
        scale: One over the root of each diagonal term [(m/N)^0.5].
        band: Cholesky factor of the scaled band, lower form [-].
    """

    free: Whole
    scale: Floats
    band: Floats

    def solve(self, forces: Floats) -> Floats:
        """Displacements under forces; supported freedoms get zero.

        Args:
            forces: On every freedom, (6 n, c) [N, N m].

        Returns:
            (6 n, c) [m, rad].
        """
        out = np.zeros_like(forces)
        if self.free.size:
            right = forces[self.free] * self.scale[:, None]
            answer = cho_solve_banded((self.band, True), right, overwrite_b=True, check_finite=False)
            out[self.free] = answer * self.scale[:, None]
        return out


def factor(
    parts: Sequence[Part], supports: Flags, *, labels: tuple[str, ...], unreleased: Floats, size: float
) -> Factored:
    """Put the pieces together and factor them.

    Args:
        parts: Members, springs and blocks [N/m, N, N m].
        supports: Which freedoms are held, (n, 6) [-].
        labels: Names of the nodes [-].
        unreleased: Diagonal of the stiffness before any end is released, (6 n,) [N/m, N m].
        size: A length of the frame's order, to weigh rotations against displacements [m].

    Raises:
        MechanismError: A part of the frame can move freely; names the node and the freedom.
    """
    order = _order(parts, len(supports))
    free = (order[:, None] * 6 + np.arange(6)).ravel()
    free = free[~supports.ravel()[free]]
    if not free.size:
        return Factored(free=free, scale=np.zeros(0), band=np.zeros((1, 0)))
    number = np.full(supports.size, -1)
    number[free] = np.arange(free.size)
    band = _band(parts, number, free.size)
    if bool((band[0] < -LOOSE * np.maximum(unreleased[free], np.abs(band[0]).max())).any()):
        raise _wrong_way()
    bare = band[0] <= LOOSE * unreleased[free]
    if bool(bare.any()):
        raise _mechanism(free, bare.astype(np.float64), labels)
    scale = 1 / np.sqrt(band[0])
    for below in range(len(band)):
        band[below, : free.size - below] *= scale[below:] * scale[: free.size - below]
    weight = np.where(free % 6 < 3, 1.0, size) * scale
    try:
        lower = cholesky_banded(band, lower=True, check_finite=False)
    except LinAlgError:
        raise _mechanism(free, np.abs(_softest(_shifted(band))[1]) * weight, labels) from None
    # Rounding may leave a loose motion a little stiffness, so that the factoring goes through.
    stiffness, shape = _softest(lower)
    if stiffness < LOOSE:
        raise _mechanism(free, np.abs(shape) * weight, labels)
    return Factored(free=free, scale=scale, band=lower)


def _order(parts: Sequence[Part], nodes: int) -> Whole:
    """Nodes in an order that keeps coupled ones close."""
    rows: list[Whole] = []
    columns: list[Whole] = []
    for part in parts:
        at = part.freedoms[:, ::6] // 6
        shape = (len(at), at.shape[1], at.shape[1])
        rows.append(np.broadcast_to(at[:, :, None], shape).ravel())
        columns.append(np.broadcast_to(at[:, None, :], shape).ravel())
    where = (np.concatenate(rows), np.concatenate(columns)) if rows else (np.zeros(0, int), np.zeros(0, int))
    graph = csr_array((np.ones(len(where[0])), where), shape=(nodes, nodes))
    return np.asarray(reverse_cuthill_mckee(graph, symmetric_mode=True), dtype=np.int64)


def _band(parts: Sequence[Part], number: Whole, count: int) -> Floats:
    """Lower band of the stiffness matrix: the entry at [i - j, j]."""
    below: list[Whole] = []
    places: list[Whole] = []
    values: list[Floats] = []
    for part in parts:
        at = number[part.freedoms]
        distance = at[:, :, None] - at[:, None, :]
        kept = (distance >= 0) & (at[:, :, None] >= 0) & (at[:, None, :] >= 0)
        below.append(distance[kept])
        places.append(np.broadcast_to(at[:, None, :], distance.shape)[kept])
        values.append(part.stiffness[kept])
    rows = np.concatenate(below)
    wide = int(rows.max(initial=0)) + 1
    flat = np.bincount(rows * count + np.concatenate(places), np.concatenate(values), minlength=wide * count)
    return np.asarray(flat, dtype=np.float64).reshape(wide, count)


def _shifted(band: Floats) -> Floats:
    """Factor of a scaled band that is only just not positive, lifted off zero."""
    for shift in _SHIFTS:
        lifted = band.copy()
        lifted[0] += shift
        try:
            return cholesky_banded(lifted, lower=True, check_finite=False)
        except LinAlgError:
            continue
    raise _wrong_way()


def _wrong_way() -> ModelError:
    return ModelError(
        "the stiffness of the frame is not positive",
        way_out="A spring or a condensed part pushes the wrong way: look for a rate below zero.",
    )


def _softest(lower: Floats) -> tuple[float, Floats]:
    """Least stiffness of the scaled equations and the motion it belongs to, by inverse iteration."""
    shape = np.cos(np.arange(lower.shape[1], dtype=np.float64))
    stiffness = 1.0
    for _ in range(3):
        shape /= np.linalg.norm(shape)
        shape = cho_solve_banded((lower, True), shape, check_finite=False)
        stiffness = 1 / float(np.linalg.norm(shape))
    return stiffness, shape


def _mechanism(free: Whole, motion: Floats, labels: tuple[str, ...]) -> MechanismError:
    """The error that names the freedom that moves most."""
    first = int(np.argmax(motion))
    at = int(free[first])
    node, freedom = labels[at // 6], FREEDOMS[at % 6]
    others = len(np.unique(free[motion > 0.1 * motion[first]] // 6)) - 1
    also = f", and {others} other node{'s' * (others > 1)} with it" if others else ""
    return MechanismError(
        f"the frame is a mechanism: node {node!r} can {freedom} with nothing to hold it{also}",
        where=f"node {node!r}",
        way_out="Support that freedom, join the node to a member or spring that holds it, or release fewer ends.",
    )
