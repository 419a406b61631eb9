"""Source: PyNiteFEA, an independent open-source frame program, run beside ours on the same frames.

It has no shear deformation and no rigid arms. Frames without either agree to 1e-6 (1e-9 is usual). Where arms are
compared it gets links three hundred times as stiff as the members, and the tolerance is what such links are worth: for
an arm as long as the members are thin a third of a per cent, for a blade's frame less than 1e-4.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from plowwright.physics.frames import Frame, FrameResult
from tests.references import pynite
from tests.references.frames import at_random, lattice_blade


def largest_difference(made: Frame, ours: FrameResult, theirs: pynite.Answer) -> float:
    """Largest difference of displacements, reactions and end forces, as a share of the largest of its kind."""
    reactions = ours.reactions.copy()
    if made.springs is not None:
        for k, node in enumerate(made.springs.ends[:, 0]):
            reactions[:, node] += ours.spring_forces[:, k]
    ends = [table.reshape(len(table), -1, 6) for table in (ours.end_forces, theirs.end_forces)]
    pairs = [(ours.displacements, theirs.displacements), (reactions, theirs.reactions), (ends[0], ends[1])]
    return max(
        float(np.abs(a[..., part] - b[..., part]).max() / np.abs(b[..., part]).max())
        for a, b in pairs
        for part in (slice(0, 3), slice(3, 6))
    )


@pytest.mark.parametrize("seed", range(40))
def test_a_frame_made_at_random_with_pins_and_springs_answers_as_theirs_does(seed: int) -> None:
    made, loads = at_random(seed, plain=True)
    assert largest_difference(made, made.solve(loads), pynite.solve(made, loads)) < 1e-6


def test_the_frames_made_at_random_have_pins_springs_and_loads_along_members() -> None:
    several = [at_random(seed, plain=True) for seed in range(40)]
    assert sum(bool(made.releases.any()) for made, _ in several) > 30
    assert all(made.springs is not None and made.springs.stiffness.any() for made, _ in several)
    assert sum(loads.uniform is not None and bool(loads.uniform.any()) for _, loads in several) > 30


@pytest.mark.parametrize("seed", range(8))
def test_rigid_arms_answer_as_very_stiff_links_do(seed: int) -> None:
    made, loads = at_random(seed)
    none = np.full(len(made.members.names), np.inf)
    made = replace(made, members=replace(made.members, shear_y=none, shear_z=none))
    assert largest_difference(made, made.solve(loads), pynite.solve(made, loads, link=300)) < 3e-3


def test_the_frame_of_a_blade_with_its_arms_answers_as_theirs_does() -> None:
    made, loads = lattice_blade()
    assert len(made.members.names) >= 80 and len(loads.names) == 20
    assert largest_difference(made, made.solve(loads), pynite.solve(made, loads, link=300)) < 1e-4
