"""Laws that every frame obeys, on frames made at random with pins, rigid arms, shear deformation and springs."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.physics.frame_elements import place, release, stiffness
from plowwright.physics.frames import Frame, Loads
from tests.references.frames import at_random

seeds = st.integers(0, 10_000)


def close(answer: np.ndarray, wanted: np.ndarray, *, share: float = 1e-7) -> bool:
    """Equal within a share of the largest value, displacements or forces apart from rotations or moments."""
    return all(
        bool(np.abs(answer[..., part] - wanted[..., part]).max() <= share * np.abs(wanted[..., part]).max() + 1e-300)
        for part in (slice(0, 3), slice(3, 6))
    )


def by_kind(end_forces: np.ndarray) -> np.ndarray:
    """End forces of both ends one after the other, so that forces and moments stand apart."""
    return end_forces.reshape(*end_forces.shape[:2], 2, 6)


@given(seeds)
def test_moving_a_frame_as_a_whole_strains_nothing(seed: int) -> None:
    made, _ = at_random(seed)
    placed = place(made.nodes, made.members)
    full = stiffness(made.members, placed.lengths)
    soft, _ = release(full, made.releases, made.members.names)
    motion = np.zeros((len(made.nodes), 6, 6))
    motion[:, :3, :3] = np.eye(3)
    motion[:, 3:, 3:] = np.eye(3)
    for axis in range(3):
        motion[:, :3, 3 + axis] = np.cross(np.eye(3)[axis], made.nodes)
    ends = motion[made.members.ends].reshape(len(full), 12, 6)
    forces = soft @ (placed.turn @ ends)
    assert np.abs(forces).max() < 1e-12 * np.abs(full).max()


@given(seeds)
def test_what_one_load_does_at_another_the_other_does_at_the_one(seed: int) -> None:
    """Maxwell and Betti."""
    made, loads = at_random(seed)
    result = made.solve(replace(loads, uniform=None))
    work = np.einsum("ank,bnk->ab", result.displacements, loads.nodal)
    assert work[0, 1] == pytest.approx(work[1, 0], rel=1e-7, abs=1e-9 * float(np.abs(work).max()))


@given(seeds, st.integers(-30, 30), st.integers(-30, 30))
def test_loads_together_do_what_they_do_apart(seed: int, first: int, second: int) -> None:
    made, loads = at_random(seed)
    assert loads.uniform is not None
    weights = np.array([first, second]) / 10
    both = Loads(
        names=("both",),
        nodal=np.einsum("c,cnk->nk", weights, loads.nodal)[None],
        uniform=np.einsum("c,cmk->mk", weights, loads.uniform)[None],
    )
    apart, together = made.solve(loads), made.solve(both)
    size = float(np.abs(weights).sum()) * np.abs(by_kind(apart.end_forces)).max(axis=(0, 1, 2)).reshape(2, 3).max(
        axis=1
    )
    wanted = np.einsum("c,cmek->mek", weights, by_kind(apart.end_forces))
    off = np.abs(by_kind(together.end_forces)[0] - wanted).max(axis=(0, 1)).reshape(2, 3).max(axis=1)
    assert (off <= 1e-8 * size + 1e-300).all()


@given(seeds)
def test_reactions_and_springs_balance_the_loads(seed: int) -> None:
    made, loads = at_random(seed)
    result = made.solve(loads)
    assert loads.uniform is not None and made.springs is not None
    on_nodes = result.reactions + loads.nodal
    for k, node in enumerate(made.springs.ends[:, 0]):
        on_nodes[:, node] += result.spring_forces[:, k]
    placed = place(made.nodes, made.members)
    middle = made.nodes[made.members.ends[:, 0]] + made.members.offset_start
    middle = middle + placed.axes[:, 0] * placed.lengths[:, None] / 2
    whole = loads.uniform * placed.lengths[:, None]
    force = on_nodes[..., :3].sum(axis=1) + whole.sum(axis=1)
    moment = (on_nodes[..., 3:] + np.cross(made.nodes, on_nodes[..., :3])).sum(axis=1)
    moment = moment + np.cross(middle, whole).sum(axis=1)
    size = np.abs(on_nodes).max() + np.abs(whole).max()
    assert np.abs(force).max() < 1e-7 * size
    assert np.abs(moment).max() < 1e-6 * size


@given(seeds)
def test_a_mirrored_frame_gives_the_mirrored_answer(seed: int) -> None:
    made, loads = at_random(seed)
    assert loads.uniform is not None
    flip, spin = np.array([1.0, -1, 1]), np.array([1.0, -1, 1, -1, 1, -1])
    part = made.members
    mirrored = replace(
        made,
        nodes=made.nodes * flip,
        members=replace(
            part, up=part.up * flip, offset_start=part.offset_start * flip, offset_end=part.offset_end * flip
        ),
    )
    answer = mirrored.solve(replace(loads, nodal=loads.nodal * spin, uniform=loads.uniform * flip))
    plain = made.solve(loads)
    assert close(answer.displacements, plain.displacements * spin)
    assert close(answer.reactions, plain.reactions * spin)
    # Local y points the other way, so what goes along y, and what turns about x and z, changes its sign.
    assert np.abs(answer.internal(np.array([0.3]))[..., 0]) == pytest.approx(
        np.abs(plain.internal(np.array([0.3]))[..., 0]), abs=1e-6 * float(np.abs(plain.end_forces).max())
    )


@given(seeds, st.floats(0.1, 3.0), st.floats(0.1, 3.0))
def test_a_turned_frame_gives_the_turned_answer(seed: int, about_x: float, about_z: float) -> None:
    made, loads = at_random(seed)
    made = _on_springs_alone(made)
    assert loads.uniform is not None and made.springs is not None
    cx, sx, cz, sz = np.cos(about_x), np.sin(about_x), np.cos(about_z), np.sin(about_z)
    turn = np.array([[cz, -sz, 0], [sz, cz, 0], [0, 0, 1]]) @ np.array([[1, 0, 0], [0, cx, -sx], [0, sx, cx]])

    def turned(table: np.ndarray) -> np.ndarray:
        return (table.reshape(*table.shape[:-1], -1, 3) @ turn.T).reshape(table.shape)

    part = made.members
    moved = replace(
        made,
        nodes=turned(made.nodes),
        members=replace(
            part, up=turned(part.up), offset_start=turned(part.offset_start), offset_end=turned(part.offset_end)
        ),
        springs=replace(made.springs, axes=turned(made.springs.axes)),
    )
    answer = moved.solve(replace(loads, nodal=turned(loads.nodal), uniform=turned(loads.uniform)))
    plain = made.solve(loads)
    assert close(answer.displacements, turned(plain.displacements))
    assert close(by_kind(answer.end_forces), by_kind(plain.end_forces), share=1e-6)
    assert close(answer.spring_forces, plain.spring_forces, share=1e-6)


def _on_springs_alone(made: Frame) -> Frame:
    """Held at one node only, fixed all round, so that its supports have no direction of their own."""
    supports = np.zeros_like(made.supports)
    supports[0] = True
    return replace(made, supports=supports)


@given(seeds, st.randoms(use_true_random=False))
def test_the_order_in_which_nodes_are_numbered_does_not_matter(seed: int, random: Random) -> None:
    made, loads = at_random(seed)
    order = list(range(len(made.nodes)))
    random.shuffle(order)
    number = np.argsort(order)
    assert made.springs is not None
    grounded = np.where(made.springs.ends < 0, -1, number[made.springs.ends])
    moved = replace(
        made,
        nodes=made.nodes[order],
        members=replace(made.members, ends=number[made.members.ends]),
        supports=made.supports[order],
        springs=replace(made.springs, ends=grounded),
    )
    answer = moved.solve(replace(loads, nodal=loads.nodal[:, order]))
    assert close(answer.displacements, made.solve(loads).displacements[:, order])


@given(seeds)
def test_a_released_end_carries_nothing(seed: int) -> None:
    made, loads = at_random(seed)
    result = made.solve(loads)
    assert not np.abs(result.end_forces * made.releases).any()


@given(seeds)
def test_the_shear_in_a_member_is_the_slope_of_its_moment(seed: int) -> None:
    made, loads = at_random(seed)
    result = made.solve(loads)
    step = 1e-4
    inside = result.internal(np.array([0.4 - step, 0.4, 0.4 + step]))
    run = 2 * step * result.lengths
    size = float(np.abs(result.end_forces).max())
    slope_y = (inside[:, :, 2, 4] - inside[:, :, 0, 4]) / run
    slope_z = (inside[:, :, 2, 5] - inside[:, :, 0, 5]) / run
    assert slope_y == pytest.approx(inside[:, :, 1, 2], abs=1e-6 * size)
    assert slope_z == pytest.approx(-inside[:, :, 1, 1], abs=1e-6 * size)
