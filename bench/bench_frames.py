"""The frame of a blade under twenty load cases, and plain frames made at random, against PyNiteFEA in the same run.

PyNiteFEA is timed for its linear analysis alone, on a model already built; ours from the bare tables to displacements,
reactions and end forces, the balance put back and checked. One BLAS thread each.
"""

from __future__ import annotations

import time

import numpy as np
from threadpoolctl import threadpool_limits

from bench import Row
from plowwright.physics.frames import Frame, FrameResult, Loads
from plowwright.physics.limit import Capacities, collapse
from tests.references import pynite
from tests.references.frames import at_random, lattice_blade

AT_RANDOM = 30


def seconds(made: Frame, loads: Loads) -> float:
    """Best of several solutions, as theirs is the best of three [s]."""
    taken: list[float] = []
    for _ in range(25):
        begin = time.perf_counter()
        made.solve(loads)
        taken.append(time.perf_counter() - begin)
    return min(taken)


def difference(ours: FrameResult, theirs: pynite.Answer) -> float:
    """Largest difference of the displacements, as a share of the largest, displacements and rotations apart [-]."""
    off = np.abs(ours.displacements - theirs.displacements)
    size = np.abs(theirs.displacements)
    return max(float(off[..., part].max() / size[..., part].max()) for part in (slice(0, 3), slice(3, 6)))


def run() -> list[Row]:
    """Speed and difference on a blade's frame, difference on random frames, plastic collapse against one solution."""
    with threadpool_limits(limits=1):
        made, loads = lattice_blade()
        ours = made.solve(loads)
        theirs = min((pynite.solve(made, loads, link=300) for _ in range(3)), key=lambda answer: answer.seconds)
        own = seconds(made, loads)
        plain = [at_random(seed, plain=True) for seed in range(AT_RANDOM)]
        worst = max(difference(f.solve(under), pynite.solve(f, under)) for f, under in plain)
        begin = time.perf_counter()
        collapse(made, loads, _capacities(made))
        folded = time.perf_counter() - begin
    size = f"{len(made.members.names)} members, {len(loads.names)} cases"
    return [
        Row(
            name=f"PyNiteFEA over ours, {size}",
            value=theirs.seconds / own,
            limit=50,
            bound="at least",
        ),
        Row(name="largest difference there (stiff links)", value=difference(ours, theirs), limit=1e-4, unit="share"),
        Row(name=f"largest difference, {AT_RANDOM} random frames", value=worst, limit=1e-6, unit="share"),
        Row(name="plastic collapse of that frame over PyNiteFEA", value=folded / theirs.seconds, limit=0.5),
    ]


def _capacities(made: Frame) -> Capacities:
    """Of squarish sections that yield at 350 MPa."""
    part = made.members
    depth = np.sqrt(12 * np.maximum(part.inertia_y, part.inertia_z) / part.area)
    return Capacities(
        axial=3.5e8 * part.area,
        torsion=3.5e8 * part.torsion / depth,
        bending_y=1e9 * part.inertia_y / depth,
        bending_z=1e9 * part.inertia_z / depth,
    )
