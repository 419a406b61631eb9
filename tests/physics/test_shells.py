from __future__ import annotations

from dataclasses import replace
from math import cos, pi, radians, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.errors import MechanismError, ModelError
from plowwright.physics import shells
from plowwright.physics.shell_mesh import Pieces, layers
from tests.references.shells import POISSON, STEEL, Patch, patch

LONG, WIDE, THICK = 1.0, 0.1, 0.01


def flat(a: float, b: float) -> tuple[float, float, float]:
    return (a * LONG, b * WIDE, 0.0)


def cantilever(n: int = 10, **more: float) -> tuple[Patch, np.ndarray]:
    strip = patch(flat, n, 2, thickness=THICK, **more)  # type: ignore[arg-type]
    held = strip.loose()
    held[strip.u == 0] = True
    return strip, held


def at_end(strip: Patch, freedom: int, whole: float) -> np.ndarray:
    loads = np.zeros((1, len(strip.u), 6))
    end = strip.u == 1
    share = np.where((strip.v == 0) | (strip.v == 1), 0.5, 1.0) * end
    loads[0, :, freedom] = whole * share / share.sum()
    return loads


@pytest.mark.parametrize("skewed", [0.0, 0.3])
def test_a_cantilever_bends_across_its_plane_as_a_beam_does(skewed: float) -> None:
    strip, held = cantilever(skewed=skewed, poisson=0.0)
    moved = shells.factor(strip.mesh, held=held).solve(at_end(strip, 2, 1.0))
    expected = LONG**3 / (3 * STEEL * WIDE * THICK**3 / 12)
    # Ten plates that turn straight: a quarter of a per cent each squared, and a little for the crooked ones.
    assert moved[0, strip.u == 1, 2].mean() == pytest.approx(expected, rel=0.004)


def test_a_cantilever_bends_in_its_plane_as_a_beam_does() -> None:
    strip, held = cantilever(poisson=0.0)
    moved = shells.factor(strip.mesh, held=held).solve(at_end(strip, 1, 1.0))
    inertia, shear = THICK * WIDE**3 / 12, STEEL / 2 * THICK * WIDE / 1.2
    expected = LONG**3 / (3 * STEEL * inertia) + LONG / shear
    assert moved[0, strip.u == 1, 1].mean() == pytest.approx(expected, rel=0.01)


def test_a_strip_twists_as_a_flat_bar_does() -> None:
    thin = 0.002
    strip = patch(flat, 20, 4, thickness=thin)
    held = strip.loose()
    held[strip.u == 0] = True
    loads = np.zeros((1, len(strip.u), 6))
    loads[0, strip.u == 1, 3] = [0.125, 0.25, 0.25, 0.25, 0.125]
    moved = shells.factor(strip.mesh, held=held).solve(loads)
    twist = 0.4 / (STEEL / 2 / (1 + POISSON) * WIDE * thin**3 / 3 * (1 - 0.63 * thin / WIDE))
    # Away from the clamped end, which keeps the strip from warping; four plates across are a little soft at the edges.
    middle = strip.v == 0.5
    found = moved[0, middle & np.isclose(strip.u, 0.9), 3] - moved[0, middle & np.isclose(strip.u, 0.5), 3]
    assert found == pytest.approx(twist, rel=0.04)


def test_the_roof_of_scordelis_and_lo_sags_as_published() -> None:
    """Barrel roof under its own weight, free edge at mid-span: 0.3024 (value from memory)."""
    radius, half, angle = 25.0, 25.0, radians(40)
    roof = patch(
        lambda a, b: (a * half, radius * sin(b * angle), radius * cos(b * angle)),
        12,
        thickness=0.25,
        young=4.32e8,
        poisson=0.0,
    )
    held = roof.loose()
    held[roof.u == 0, 1:3] = True
    for freedom in (0, 4, 5):
        held[roof.u == 1, freedom] = True
    for freedom in (1, 3, 5):
        held[roof.v == 0, freedom] = True
    loads = np.zeros((1, len(roof.u), 6))
    loads[0, :, 2] = roof.spread(-90.0 * half * radius * angle)
    moved = shells.factor(roof.mesh, held=held).solve(loads)
    assert moved[0, (roof.u == 1) & (roof.v == 1), 2] == pytest.approx(-0.3024, rel=0.01)


def test_a_cylinder_pinched_between_stiff_ends_gives_as_published() -> None:
    """Two opposite unit forces at mid-length, an eighth modelled: 1.8248e-5 under the force (value from memory)."""
    radius, half = 300.0, 300.0
    shell = patch(
        lambda a, b: (a * half, radius * sin(b * pi / 2), radius * cos(b * pi / 2)), 24, thickness=3.0, young=3e6
    )
    held = shell.loose()
    held[shell.u == 0, 1:3] = True
    for where, freedoms in ((shell.u == 1, (0, 4, 5)), (shell.v == 0, (1, 3, 5)), (shell.v == 1, (2, 3, 4))):
        for freedom in freedoms:
            held[where, freedom] = True
    loads = np.zeros((1, len(shell.u), 6))
    loads[0, (shell.u == 1) & (shell.v == 0), 2] = -0.25
    moved = shells.factor(shell.mesh, held=held).solve(loads)
    # A hard case for flat plates: 3 % at 24 by 24.
    assert -moved[0, (shell.u == 1) & (shell.v == 0), 2] == pytest.approx(1.8248e-5, rel=0.03)


def test_a_shell_with_nothing_that_holds_it_is_refused_and_the_node_named() -> None:
    strip, held = cantilever()
    held[:, 2] = False
    held[:, 3:5] = False
    with pytest.raises(MechanismError, match=r"the node at x 1\.000 m.* can move along z|can turn about") as caught:
        shells.factor(strip.mesh, held=held)
    assert "Look for a part that is not joined" in str(caught.value)


def test_a_named_node_is_called_by_its_name_in_the_refusal() -> None:
    strip, _ = cantilever(1)
    mesh = replace(strip.mesh, labels=dict.fromkeys(range(6), "hinge 2 board"))
    with pytest.raises(MechanismError, match=r"hinge 2 board can (move along|turn about) [xyz]"):
        shells.factor(mesh)


def test_a_plate_of_no_area_is_refused_with_its_place() -> None:
    strip, held = cantilever()
    nodes = strip.mesh.nodes.copy()
    nodes[strip.mesh.quads[4]] = nodes[strip.mesh.quads[4, 0]]
    with pytest.raises(ModelError, match=r"no area or no thickness \(given: 0 m2, 0\.01 m thick\)"):
        shells.factor(replace(strip.mesh, nodes=nodes), held=held)


def test_blocks_that_do_not_fit_the_plates_are_refused() -> None:
    strip, held = cantilever()
    blocks = np.zeros_like(strip.mesh.blocks)
    blocks[strip.u > 0.5] = 2
    wrong = replace(strip.mesh, blocks=blocks, parents=np.array([1, 2, 2]))
    with pytest.raises(ModelError, match="joins two lines of nodes that are not neighbours"):
        shells.factor(wrong, held=held)


def test_an_answer_that_does_not_balance_is_never_handed_out(monkeypatch: pytest.MonkeyPatch) -> None:
    strip, held = cantilever()
    factored = shells.factor(strip.mesh, held=held)
    monkeypatch.setattr(shells, "RESIDUAL_LIMIT", 1e-18)
    with pytest.raises(ModelError, match=r"load case 1 does not balance \(given: a (force|moment) of .*limit: 1e-18"):
        factored.solve(at_end(strip, 2, 1.0))


def condensed_strip() -> tuple[shells.Factored, Patch, int]:
    """A strip with one more node at its end, joined to it by stiff springs and kept."""
    strip, held = cantilever()
    mesh, extra = strip.mesh, len(strip.u)
    end = np.flatnonzero(strip.u == 1)
    nodes = np.concatenate([mesh.nodes, [[1.2, 0.05, 0.0]]])
    stiff = np.zeros((len(end), 12, 12))
    for k, node in enumerate(end):
        arm = nodes[node] - nodes[extra]
        rigid = np.eye(6)
        rigid[:3, 3:] = [[0, arm[2], -arm[1]], [-arm[2], 0, arm[0]], [arm[1], -arm[0], 0]]
        rows = np.hstack([rigid, -np.eye(6)])
        stiff[k] = 1e8 * rows.T @ rows
    joined = replace(
        mesh,
        nodes=nodes,
        pieces=(Pieces(nodes=np.stack([np.full(len(end), extra), end], axis=1), stiffness=stiff),),
        blocks=np.append(mesh.blocks, -1),
    )
    still = np.concatenate([held, np.zeros((1, 6), dtype=bool)])
    return shells.factor(joined, held=still, kept=np.array([extra])), strip, extra


@given(force=st.lists(st.floats(-1, 1), min_size=6, max_size=6))
def test_a_condensed_shell_answers_at_its_kept_node_as_the_whole_one_does(force: list[float]) -> None:
    factored, strip, extra = condensed_strip()
    loads = np.zeros((1, extra + 1, 6))
    loads[0, np.flatnonzero(strip.u == 0.5), 2] = 0.1
    found = factored.condense(loads)
    motion = np.linalg.solve(found.stiffness, found.loads[0] + np.array(force))[None]
    moved = factored.expand(found, motion, loads)
    whole = replace(
        factored.mesh,
        blocks=np.where(factored.mesh.blocks < 0, factored.mesh.blocks.max(), factored.mesh.blocks),
    )
    everything = loads.copy()
    everything[0, extra] = force
    direct = shells.factor(whole, held=factored.held).solve(everything)
    assert moved == pytest.approx(direct, abs=1e-8 * max(np.abs(direct).max(), 1e-12))


def test_a_condensed_shell_moved_as_a_stiff_body_takes_no_force() -> None:
    factored, _, extra = condensed_strip()
    free = shells.factor(factored.mesh, kept=np.array([extra]))
    stiff = free.condense(np.zeros((0, extra + 1, 6))).stiffness
    assert np.abs(stiff).max() < 1e-6 * 1e8


def test_twice_the_load_gives_twice_the_answer_and_two_loads_add() -> None:
    strip, held = cantilever()
    factored = shells.factor(strip.mesh, held=held)
    one, two = at_end(strip, 2, 1.0), at_end(strip, 1, 1.0)
    both = factored.solve(np.concatenate([one, two, 2 * one - 3 * two]))
    assert both[2] == pytest.approx(2 * both[0] - 3 * both[1], abs=1e-9 * np.abs(both).max())


@given(a=st.integers(3, 32), b=st.integers(3, 32), i=st.integers(0, 5), j=st.integers(0, 5))
def test_what_a_push_here_moves_there_a_push_there_moves_here(a: int, b: int, i: int, j: int) -> None:
    strip, held = cantilever()
    loads = np.zeros((2, len(strip.u), 6))
    loads[0, a, i] = loads[1, b, j] = 1.0
    moved = shells.factor(strip.mesh, held=held).solve(loads)
    assert moved[0, b, j] == pytest.approx(moved[1, a, i], rel=1e-6, abs=1e-9 * np.abs(moved).max())


def test_forces_of_a_part_of_the_plates_are_what_goes_through_the_cut() -> None:
    strip, held = cantilever()
    mesh = strip.mesh
    moved = shells.factor(mesh, held=held).solve(at_end(strip, 2, 1.0))
    beyond = np.flatnonzero(mesh.nodes[mesh.quads][:, :, 0].mean(axis=1) > 0.5)
    put = mesh.forces(moved, beyond)[0]
    cut = np.isclose(mesh.nodes[mesh.quads[beyond]][..., 0], 0.5)
    assert put[cut].sum(axis=0)[:3] == pytest.approx([0, 0, -1.0], abs=1e-9)
    arm = mesh.nodes[mesh.quads[beyond]] - [0.5, 0.05, 0.0]
    moment = (put[..., 3:] + np.cross(arm, put[..., :3]))[cut].sum(axis=0)
    assert moment == pytest.approx([0, 0.5, 0], abs=1e-9)


def test_resultants_of_a_bent_strip_give_its_moment() -> None:
    strip, held = cantilever()
    moved = shells.factor(strip.mesh, held=held).solve(at_end(strip, 2, 1.0))
    plates = np.arange(8, 12)
    found = strip.mesh.resultants(moved, plates)[0]
    lever = LONG - strip.mesh.nodes[strip.mesh.quads[plates]][:, :, 0].mean(axis=1)
    assert np.abs(found[:, 3]) == pytest.approx(lever / WIDE, rel=0.02)


def test_layers_make_a_chain_that_any_mesh_can_be_solved_by() -> None:
    quads = np.array([[0, 1, 4, 3], [1, 2, 5, 4]])
    blocks, parents = layers(quads, 6)
    assert blocks.tolist() == [0, 1, 2, 1, 1, 2]
    assert parents.tolist() == [1, 2, 2]
