"""Plain shells for tests: a patch of plates over a shape given by two shares, with the same thickness everywhere."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from plowwright.physics.shell_mesh import Mesh, layers

STEEL = 2.0e11
POISSON = 0.3


@dataclass(frozen=True, kw_only=True)
class Patch:
    """A shell of n by m plates.

    Attributes:
        mesh: Nodes and plates.
        u: Share of each node along the first side.
        v: Share along the second.
    """

    mesh: Mesh
    u: np.ndarray
    v: np.ndarray

    def loose(self) -> np.ndarray:
        """Nothing held."""
        return np.zeros((len(self.u), 6), dtype=bool)

    def spread(self, whole: float) -> np.ndarray:
        """A load spread evenly over all equal plates, on the nodes."""
        count = np.bincount(self.mesh.quads.ravel(), minlength=len(self.u))
        return whole * count / count.sum()


def patch(
    shape: Callable[[float, float], tuple[float, float, float]],
    n: int,
    m: int | None = None,
    *,
    thickness: float,
    young: float = STEEL,
    poisson: float = POISSON,
    skewed: float = 0.0,
    seed: int = 1,
) -> Patch:
    """A shell over a shape; `skewed` moves its inner nodes at random by that share of a plate's side."""
    m = m or n
    u, v = (k.ravel() for k in np.meshgrid(np.linspace(0, 1, n + 1), np.linspace(0, 1, m + 1), indexing="ij"))
    random = np.random.default_rng(seed)
    inner = (u > 0) & (u < 1) & (v > 0) & (v < 1)
    at_u = u + np.where(inner, skewed / n * random.uniform(-1, 1, len(u)), 0.0)
    at_v = v + np.where(inner, skewed / m * random.uniform(-1, 1, len(u)), 0.0)
    nodes = np.array([shape(float(a), float(b)) for a, b in zip(at_u, at_v, strict=True)])
    i, j = (k.ravel() for k in np.meshgrid(np.arange(n), np.arange(m), indexing="ij"))
    first = i * (m + 1) + j
    quads = np.stack([first, first + m + 1, first + m + 2, first + 1], axis=1)
    blocks, parents = layers(quads, len(nodes))
    count = len(quads)
    mesh = Mesh(
        nodes=nodes,
        quads=quads,
        offsets=np.zeros((count, 4, 3)),
        thickness=np.full(count, thickness),
        young=young,
        poisson=poisson,
        alike=np.arange(count),
        blocks=blocks,
        parents=parents,
    )
    return Patch(mesh=mesh, u=u, v=v)
