"""Frames for tests and benches: members with the same section by default, frames made at random, a lattice blade."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from plowwright.physics.frame_elements import Members
from plowwright.physics.frames import Frame, Loads, Springs

STEEL = 2.0e11
SHEAR = 7.7e10


def members(
    ends: ArrayLike,
    *,
    names: Sequence[str] = (),
    area: ArrayLike = 1e-3,
    inertia_y: ArrayLike = 1e-6,
    inertia_z: ArrayLike = 2e-6,
    torsion: ArrayLike = 1.5e-6,
    shear_y: ArrayLike = np.inf,
    shear_z: ArrayLike = np.inf,
    young: ArrayLike = STEEL,
    shear_modulus: ArrayLike = SHEAR,
    up: ArrayLike = (0.0, 0.0, 1.0),
    offset_start: ArrayLike = 0.0,
    offset_end: ArrayLike = 0.0,
) -> Members:
    """Members by their ends; one value stands for all."""
    at = np.asarray(ends, dtype=np.int64).reshape(-1, 2)
    count = len(at)

    def column(values: ArrayLike, *shape: int) -> np.ndarray:
        return np.array(np.broadcast_to(np.asarray(values, dtype=float), (count, *shape)))

    return Members(
        names=tuple(names) or tuple(f"bar {k}" for k in range(count)),
        ends=at,
        area=column(area),
        shear_y=column(shear_y),
        shear_z=column(shear_z),
        torsion=column(torsion),
        inertia_y=column(inertia_y),
        inertia_z=column(inertia_z),
        young=column(young),
        shear_modulus=column(shear_modulus),
        up=column(up, 3),
        offset_start=column(offset_start, 3),
        offset_end=column(offset_end, 3),
    )


def frame(
    nodes: ArrayLike,
    bars: Members,
    *,
    fixed: dict[int, str],
    released: dict[int, Sequence[int]] | None = None,
    springs: Springs | None = None,
) -> Frame:
    """A frame whose supports are given as text: 'xyzXYZ' holds displacements and rotations about the same axes."""
    places = np.asarray(nodes, dtype=float)
    supports = np.zeros((len(places), 6), dtype=bool)
    for node, held in fixed.items():
        supports[node, ["xyzXYZ".index(letter) for letter in held]] = True
    releases = np.zeros((len(bars.names), 12), dtype=bool)
    for bar, gone in (released or {}).items():
        releases[bar, list(gone)] = True
    labels = tuple(f"node {k}" for k in range(len(places)))
    return Frame(nodes=places, members=bars, supports=supports, releases=releases, springs=springs, labels=labels)


def nodal(count: int, *forces: tuple[int, Sequence[float]]) -> Loads:
    """One case of forces on nodes: (node, (Fx, Fy, Fz, Mx, My, Mz))."""
    table = np.zeros((1, count, 6))
    for node, force in forces:
        table[0, node] += np.asarray(force, dtype=float)
    return Loads(names=("case",), nodal=table)


def at_random(seed: int, *, cases: int = 2, plain: bool = False) -> tuple[Frame, Loads]:
    """A spatial frame of a dozen or so members of all directions and sections, with pins, ground springs and
    loads along its members; plain: without shear deformation and rigid arms.

    Every node hangs on a tree of members that are rigidly joined; only the members beyond the tree have pins, so that
    nothing can be loose.
    """
    rng = np.random.default_rng(seed)
    count = int(rng.integers(4, 11))
    nodes = rng.uniform(-1.0, 1.0, (count, 3)) + np.arange(count)[:, None] * np.array([0.9, 0.3, 0.1])
    tree = [(int(rng.integers(0, k)), k) for k in range(1, count)]
    beyond = [tuple(int(end) for end in rng.choice(count, 2, replace=False)) for _ in range(int(rng.integers(2, 7)))]
    ends = [*tree, *(pair for pair in beyond if pair not in tree and pair[::-1] not in tree)]
    total = len(ends)
    size = rng.uniform(0.03, 0.1, total)

    def arm() -> np.ndarray:
        return np.zeros((total, 3)) if plain else rng.uniform(-0.08, 0.08, (total, 3))

    bars = members(
        ends,
        area=size**2 * rng.uniform(0.2, 1, total),
        inertia_y=size**4 / 12 * rng.uniform(0.2, 1, total),
        inertia_z=size**4 / 12 * rng.uniform(0.2, 1, total),
        torsion=size**4 / 8 * rng.uniform(0.1, 1, total),
        shear_y=np.inf if plain else size**2 * 0.5,
        shear_z=np.inf if plain else size**2 * 0.4,
        up=rng.normal(size=(total, 3)),
        offset_start=arm(),
        offset_end=arm(),
    )
    releases = np.zeros((total, 12), dtype=bool)
    for k in range(len(tree), total):
        releases[
            k, [[4, 5], [10, 11], [5], [4, 5, 10, 11], [3, 10], [0, 5], [4, 5, 9, 10, 11]][int(rng.integers(7))]
        ] = True
    supports = np.zeros((count, 6), dtype=bool)
    supports[0] = True
    supports[-1, :3] = rng.random(3) < 0.5
    grounded = rng.choice(np.arange(1, count), 2, replace=False)
    springs = Springs(
        names=("spring 0", "spring 1"),
        ends=np.stack((grounded, [-1, -1]), axis=1),
        stiffness=10 ** rng.uniform(3, 7, (2, 6)) * (rng.random((2, 6)) < 0.7),
        axes=np.tile(np.eye(3), (2, 1, 1)),
    )
    springs.stiffness[supports[grounded]] = 0.0
    loads = Loads(
        names=tuple(f"case {k}" for k in range(cases)),
        nodal=rng.normal(size=(cases, count, 6)) * 1000 * (rng.random((cases, count, 6)) < 0.5),
        uniform=rng.normal(size=(cases, total, 3)) * 500 * (rng.random((cases, total, 1)) < 0.5),
    )
    made = Frame(
        nodes=nodes,
        members=bars,
        supports=supports,
        releases=releases,
        springs=springs,
        labels=tuple(f"node {k}" for k in range(count)),
    )
    return made, loads


def lattice_blade(*, cases: int = 20, shear: bool = False) -> tuple[Frame, Loads]:
    """A frame of the size and kind of a blade: a moldboard as a lattice of strips, webs and diagonals, hinged on a
    push frame of tubes, held by axial springs and at the mount; invented sizes, rigid arms at the hinges and feet.

    Steel of 2 x 3 in tubes and 1/4 in plate order, 2.1 m wide; 81 members. The cases push one place along the edge
    after the other.
    """
    bays = 8
    across = np.linspace(-1.05, 1.05, bays + 1)
    foot, top, beam = (
        np.stack((np.full(bays + 1, x), across, np.full(bays + 1, z)), axis=1)
        for x, z in ((0.0, 0.12), (0.05, 0.75), (-0.25, 0.2))
    )
    rear = np.array([[-0.6, -0.45, 0.2], [-0.6, 0.45, 0.2], [-0.95, -0.2, 0.2], [-0.95, 0.2, 0.2], [-0.95, 0.0, 0.2]])
    towers = np.array([[-0.25, y, 0.7] for y in across[1::2]])
    nodes = np.concatenate((foot, top, beam, rear, towers))
    f, t, b, r, w = 0, bays + 1, 2 * bays + 2, 3 * bays + 3, 3 * bays + 8
    rows: list[tuple[int, int, tuple[float, float, float, float], str]] = []
    plate, tube, flat, rod = (
        (2.5e-3, 4e-6, 1e-6, 8e-8),
        (1e-3, 7e-7, 4e-7, 8e-7),
        (1.2e-3, 2e-6, 2e-8, 3e-8),
        (2e-4, 1e-9, 1e-9, 2e-9),
    )
    for k in range(bays):
        rows += [(f + k, f + k + 1, plate, "foot"), (t + k, t + k + 1, tube, "top"), (b + k, b + k + 1, tube, "beam")]
        rows += [(f + k, t + k + 1, rod, "diagonal"), (f + k + 1, t + k, rod, "diagonal")]
    rows += [(f + k, t + k, flat, "web") for k in range(bays + 1)]
    rows += [(f + k, b + k, flat, "ear") for k in range(1, bays, 2)]
    rows += [(b + k, w + j, tube, "tower") for j, k in enumerate(range(1, bays, 2))]
    rows += [(w + j, t + k, rod, "spring") for j, k in enumerate(range(1, bays, 2))]
    rows += [
        (b + 2, r, tube, "leg"),
        (b + 6, r + 1, tube, "leg"),
        (b + 1, r, tube, "brace"),
        (b + 7, r + 1, tube, "brace"),
    ]
    rows += [
        (r, r + 1, tube, "cross"),
        (r, r + 2, tube, "leg"),
        (r + 1, r + 3, tube, "leg"),
        (r + 2, r + 4, tube, "hub"),
    ]
    rows += [(r + 4, r + 3, tube, "hub"), (b + 4, r, rod, "tie"), (b + 4, r + 1, rod, "tie"), (r, r + 3, rod, "tie")]
    rows += [(r + 1, r + 2, rod, "tie"), (b + 3, r, rod, "tie"), (b + 5, r + 1, rod, "tie")]
    rows += [(b, r, rod, "tie"), (b + 8, r + 1, rod, "tie"), *((w + j, w + j + 1, rod, "tie") for j in range(3))]
    kinds = [row[3] for row in rows]
    sizes = np.array([row[2] for row in rows])
    arms = np.zeros((len(rows), 3))
    arms[[kind == "ear" for kind in kinds]] = (-0.04, 0.0, 0.03)
    bars = members(
        [row[:2] for row in rows],
        names=[f"{kind} {k}" for k, kind in enumerate(kinds)],
        area=sizes[:, 0],
        inertia_y=sizes[:, 1],
        inertia_z=sizes[:, 2],
        torsion=sizes[:, 3],
        shear_y=sizes[:, 0] / 2 if shear else np.inf,
        shear_z=sizes[:, 0] / 2 if shear else np.inf,
        up=(0.31, 0.17, 0.94),
        offset_start=arms,
        offset_end=-arms,
    )
    released = {k: (4,) for k, kind in enumerate(kinds) if kind == "ear"}
    released |= {k: (4, 5, 9, 10, 11) for k, kind in enumerate(kinds) if kind in ("spring", "diagonal", "tie")}
    made = frame(nodes, bars, fixed={r + 2: "xyzXYZ", r + 3: "xyzXYZ", r + 4: "xyz"}, released=released)
    nodal_loads = np.zeros((cases, len(nodes), 6))
    for case in range(cases):
        at = f + case % (bays + 1)
        nodal_loads[case, at, :3] = (-1000.0, 120.0 * (case % 3), 300.0 * (case % 2))
    uniform = np.zeros((cases, len(rows), 3))
    uniform[:, :, 2] = -77000.0 * sizes[:, 0]
    return made, Loads(names=tuple(f"case {k}" for k in range(cases)), nodal=nodal_loads, uniform=uniform)
