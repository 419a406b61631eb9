"""Nodes and plates of a shell, and what the plates answer to the displacements of their nodes.

Freedoms of a node stand in the order displacement along x, y, z [m], rotation about x, y, z [rad]; forces [N] and
moments [N m] likewise, in the axes the nodes are given in.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import dijkstra

from plowwright.errors import ModelError
from plowwright.physics import shell_elements
from plowwright.physics.shell_blocks import Floats, Ints
from plowwright.physics.shell_elements import PlateMatrices, Plates


@dataclass(frozen=True, kw_only=True, eq=False)
class Pieces:
    """Stiffnesses between whole nodes that are not plates: beams, stiff springs of welds.

    Attributes:
        nodes: Nodes of each piece, (p, k) [-].
        stiffness: Stiffness between all their freedoms, (p, 6 k, 6 k) [N/m, N, N m].
    """

    nodes: Ints
    stiffness: Floats


@dataclass(frozen=True, kw_only=True, eq=False)
class Mesh:
    """A shell cut into flat plates of four corners.

    Attributes:
        nodes: Places of the nodes, (n, 3) [m].
        quads: Nodes of each plate, in order round it, (m, 4) [-].
        offsets: From each node to the plate's corner that it carries, (m, 4, 3) [m].
        thickness: Thickness of each plate, (m,) [m].
        young: Young's modulus [Pa].
        poisson: Poisson's ratio [-].
        alike: For each plate the number of the first plate of the same shape, thickness and direction, (m,) [-].
        pieces: Stiffnesses that are not plates.
        blocks: Block of each node for the solver, -1 where it is only kept, (n,) [-]; see `layers`.
        parents: Parent of each block, later than the block; its own number for a root, (b,) [-].
        labels: Names of nodes that have one, by number [-].
    """

    nodes: Floats
    quads: Ints
    offsets: Floats
    thickness: Floats
    young: float
    poisson: float
    alike: Ints
    pieces: tuple[Pieces, ...] = ()
    blocks: Ints
    parents: Ints
    labels: dict[int, str] = field(default_factory=dict[int, str])

    @cached_property
    def first(self) -> tuple[Ints, Ints]:
        """The plates that stand for all alike, and for each plate its number among them [-]."""
        chosen, inverse = np.unique(self.alike, return_inverse=True)
        return chosen.astype(np.int64), inverse.astype(np.int64)

    @cached_property
    def matrices(self) -> PlateMatrices:
        """Matrices of the plates that stand for all alike [N/m, N, N m]."""
        chosen, _ = self.first
        at = self.nodes[self.quads[chosen]]
        corners = at + self.offsets[chosen]
        count = len(chosen)
        spread = np.cross(corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1])
        flat = 0.5 * np.linalg.norm(spread, axis=1)
        bad = ~(flat > 1e-12) | ~(self.thickness[chosen] > 0)
        if bool(bad.any()):
            plate = int(chosen[int(np.argmax(bad))])
            raise ModelError(
                "a plate of the mesh has no area or no thickness",
                where=f"plate between {', '.join(self.label(int(k)) for k in self.quads[plate])}",
                value=f"{flat[int(np.argmax(bad))]:.3g} m2, {self.thickness[plate]:.3g} m thick",
                limit="more than 0",
                way_out="Two lines of the mesh have fallen together: look at the outline of the part.",
            )
        return shell_elements.matrices(
            Plates(
                corners=corners,
                carriers=at,
                thickness=self.thickness[chosen],
                young=np.full(count, self.young),
                poisson=np.full(count, self.poisson),
            )
        )

    def label(self, node: int) -> str:
        """A node as a person would point to it."""
        x, y, z = self.nodes[node]
        return self.labels.get(node, f"the node at x {x:.3f} m, y {y:.3f} m, z {z:.3f} m")

    def forces(self, displacements: Floats, plates: Ints) -> Floats:
        """Forces that the nodes put on some plates, (c, plates, 4, 6).

        Args:
            displacements: Of all nodes, (c, n, 6) [m, rad].
            plates: Numbers of the plates [-].
        """
        answer = self.nodal(np.ascontiguousarray(displacements.transpose(1, 2, 0)), plates)
        return answer.transpose(3, 0, 1, 2)

    def nodal(self, moved: Floats, plates: Ints) -> Floats:
        """The same as `forces` with the cases last, (plates, 4, 6, c).

        Args:
            moved: Displacements of all nodes, (n, 6, c) [m, rad].
            plates: Numbers of the plates [-].
        """
        own = moved[self.quads[plates]].reshape(len(plates), 24, moved.shape[2])
        answer = self.matrices.stiffness[self.first[1][plates]] @ own
        return answer.reshape(len(plates), 4, 6, moved.shape[2])

    def resultants(self, displacements: Floats, plates: Ints) -> Floats:
        """Nx, Ny, Nxy, Mx, My, Mxy in the middle of some plates, in the plate's own axes, (c, plates, 6).

        Args:
            displacements: Of all nodes, (c, n, 6) [m, rad].
            plates: Numbers of the plates [-].
        """
        moved = np.ascontiguousarray(displacements.transpose(1, 2, 0))
        own = moved[self.quads[plates]].reshape(len(plates), 24, len(displacements))
        return (self.matrices.resultants[self.first[1][plates]] @ own).transpose(2, 0, 1)

    def areas(self, plates: Ints) -> Floats:
        """Areas of some plates [m2].

        Args:
            plates: Numbers of the plates [-].
        """
        return self.matrices.area[self.first[1][plates]]


def layers(quads: Ints, count: int) -> tuple[Ints, Ints]:
    """Blocks and parents for any mesh: nodes by the number of plates between them and the first node.

    Args:
        quads: Nodes of each plate, (m, 4) [-].
        count: Number of nodes [-].
    """
    a, b = np.repeat(quads, 4, axis=1).ravel(), np.tile(quads, (1, 4)).ravel()
    graph = coo_array((np.ones(len(a)), (a, b)), shape=(count, count)).tocsr()
    away = np.asarray(dijkstra(graph, indices=np.array([0]), unweighted=True))[0]
    blocks = np.where(np.isfinite(away), away, 0).astype(np.int64)
    last = int(blocks.max())
    return blocks, np.minimum(np.arange(last + 1) + 1, last)
