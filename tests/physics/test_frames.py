"""What a frame takes, what it refuses, and the condensed parts, arms and springs in it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from plowwright.errors import MechanismError, ModelError
from plowwright.physics.frame_equations import Factored
from plowwright.physics.frames import Block, Frame, Springs
from tests.references.frames import at_random, frame, lattice_blade, members, nodal

PUSH = (0.0, 0.0, -1000.0, 0.0, 0.0, 0.0)


def goalpost() -> Frame:
    """Two posts and a beam, fixed at both feet."""
    bars = members([(0, 1), (1, 2), (2, 3)], names=("left post", "beam", "right post"), up=(0, 1, 0))
    places = [(0, 0, 0), (0, 0, 2), (3, 0, 2), (3, 0, 0)]
    return replace(
        frame(places, bars, fixed={0: "xyzXYZ", 3: "xyzXYZ"}), labels=("left foot", "left", "right", "right foot")
    )


def released(made: Frame, **by_bar: tuple[int, ...]) -> Frame:
    """The same with more ends released; spaces in names are underscores."""
    releases = made.releases.copy()
    for name, gone in by_bar.items():
        releases[made.members.names.index(name.replace("_", " ")), list(gone)] = True
    return replace(made, releases=releases)


def spring(node: int, *rates: float, other: int = -1) -> Springs:
    return Springs(
        names=("stop",), ends=np.array([[node, other]]), stiffness=np.array([rates], float), axes=np.eye(3)[None]
    )


def test_a_frame_without_supports_is_refused_and_the_node_that_moves_is_named() -> None:
    loose = replace(goalpost(), supports=np.zeros((4, 6), dtype=bool))
    with pytest.raises(MechanismError) as caught:
        loose.solve(nodal(4, (1, PUSH)))
    assert "is a mechanism: node '" in str(caught.value)
    assert "3 other nodes with it" in str(caught.value)


def test_a_node_that_no_member_meets_is_named_with_the_way_it_moves() -> None:
    made = goalpost()
    alone = replace(
        made,
        nodes=np.concatenate((made.nodes, [[9.0, 0.0, 0.0]])),
        supports=np.concatenate((made.supports, [[True, False, True, True, True, True]])),
        labels=(*made.labels, "hinge 2"),
    )
    with pytest.raises(MechanismError) as caught:
        alone.solve(nodal(5, (1, PUSH)))
    assert "node 'hinge 2' can move along y with nothing to hold it." in str(caught.value)
    assert "Support that freedom" in caught.value.way_out


def test_a_node_where_every_end_is_pinned_may_not_turn_freely() -> None:
    made = released(goalpost(), left_post=(10,), beam=(4,))
    # All ends at the node let go about one axis: local y of both members is along the same line in space.
    with pytest.raises(MechanismError, match="node 'left' can turn about y"):
        replace(made, members=replace(made.members, up=np.array([(1.0, 0, 0), (0, 0, 1.0), (0, 1.0, 0)]))).solve(
            nodal(4, (1, PUSH))
        )


def test_four_pinned_bars_in_a_square_fold_and_a_diagonal_holds_them() -> None:
    turn = 0.4
    corner = np.array([(0, 0), (1, 0), (1, 1), (0, 1)]) @ [[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]]
    places = np.column_stack((corner, np.zeros(4)))
    ends = [(0, 1), (1, 2), (2, 3), (3, 0), (0, 2)]
    held = {0: "xyzXYZ", 1: "zXYZ", 2: "zXYZ", 3: "zXYZ"}
    held[1] = "yzXYZ"
    pins = (4, 5, 10, 11)
    square = frame(places, members(ends[:4]), fixed=held, released=dict.fromkeys(range(4), pins))
    with pytest.raises(MechanismError, match=r"node 'node [23]' can move along [xy]"):
        square.solve(nodal(4, (2, (1000, 0, 0, 0, 0, 0))))
    braced = frame(places, members(ends), fixed=held, released=dict.fromkeys(range(5), pins))
    assert braced.solve(nodal(4, (2, (1000, 0, 0, 0, 0, 0)))).residual[0] < 1e-9


@pytest.mark.parametrize("seed", range(40))
def test_a_frame_on_two_balls_turns_about_the_line_between_them_whatever_rounding_leaves(seed: int) -> None:
    made, loads = at_random(seed)
    supports = np.zeros_like(made.supports)
    supports[:2, :3] = True
    with pytest.raises(MechanismError, match=r"is a mechanism: node 'node \d+' can (move|turn)"):
        replace(made, supports=supports, springs=None).solve(loads)


def test_a_spring_between_two_nodes_at_one_place_stretches_by_force_over_rate() -> None:
    ends = members([(0, 1), (2, 3)])
    joined = Springs(
        names=("joint",),
        ends=np.array([[1, 2]]),
        stiffness=np.array([[2e4, 3e4, 4e4, 500.0, 600.0, 700.0]]),
        axes=np.eye(3)[None],
    )
    made = frame([(0, 0, 0), (1, 0, 0), (1, 0, 0), (2, 0, 0)], ends, fixed={0: "xyzXYZ"}, springs=joined)
    result = made.solve(nodal(4, (3, (10, 20, 30, 40, 50, 60))))
    carried = np.array([10, 20, 30, 40, 50 - 30, 60 + 20])
    assert result.spring_forces[0, 0] == pytest.approx(carried)
    apart = result.displacements[0, 2] - result.displacements[0, 1]
    assert apart == pytest.approx(carried / joined.stiffness[0])


def test_a_blade_that_has_lost_what_holds_its_hinges_is_refused() -> None:
    made, loads = lattice_blade()
    assert made.solve(loads).residual.max() < 1e-9
    ears = [k for k, name in enumerate(made.members.names) if name.startswith(("ear", "spring"))]
    releases = made.releases.copy()
    releases[ears, 0] = True
    with pytest.raises(MechanismError, match="other nodes with it"):
        replace(made, releases=releases).solve(loads)


def test_a_member_that_slides_at_both_ends_is_refused_by_its_name() -> None:
    with pytest.raises(MechanismError) as caught:
        released(goalpost(), beam=(1, 7)).solve(nodal(4, (1, PUSH)))
    assert caught.value.where == "member 'beam'"
    assert "let the member move along y (its own axes)" in str(caught.value)
    with pytest.raises(MechanismError, match="move along x"):
        released(goalpost(), beam=(0, 6)).solve(nodal(4, (1, PUSH)))


def test_a_rod_between_two_balls_may_spin_about_itself() -> None:
    both = released(goalpost(), beam=(3, 4, 5, 9, 10, 11)).solve(nodal(4, (1, (500, 300, 0, 0, 0, 0))))
    one = released(goalpost(), beam=(3, 4, 5, 10, 11)).solve(nodal(4, (1, (500, 300, 0, 0, 0, 0))))
    assert both.displacements == pytest.approx(one.displacements, rel=1e-9, abs=1e-15)
    assert np.abs(both.end_forces[0, 1, [1, 2, 3, 4, 5, 7, 8, 9, 10, 11]]).max() < 1e-6


def test_a_spring_of_zero_rate_holds_nothing() -> None:
    bars = members([(0, 1)])
    hung = frame([(0, 0, 0), (1, 0, 0)], bars, fixed={0: "yzXYZ"}, springs=spring(0, 0, 0, 0, 0, 0, 0))
    with pytest.raises(MechanismError, match=r"node 'node [01]' can move along x"):
        hung.solve(nodal(2, (1, (10, 0, 0, 0, 0, 0))))
    held = replace(hung, springs=spring(0, 5e4, 0, 0, 0, 0, 0)).solve(nodal(2, (1, (10, 0, 0, 0, 0, 0))))
    assert held.displacements[0, 0, 0] == pytest.approx(10 / 5e4)
    assert held.spring_forces[0, 0] == pytest.approx((-10, 0, 0, 0, 0, 0))


def test_a_stiffness_that_pushes_the_wrong_way_is_refused() -> None:
    with pytest.raises(ModelError, match=r"not positive.*rate below zero"):
        replace(goalpost(), springs=spring(1, -1e9, 0, 0, 0, 0, 0)).solve(nodal(4, (1, PUSH)))


def test_a_spring_between_two_places_is_refused() -> None:
    with pytest.raises(ModelError) as caught:
        replace(goalpost(), springs=spring(1, 1e6, 0, 0, 0, 0, 0, other=2)).solve(nodal(4, (1, PUSH)))
    assert str(caught.value).startswith("spring 'stop': a spring joins two nodes that are not at one place (given: 3 m")


def test_a_member_without_length_and_one_with_up_along_it_are_refused_by_name() -> None:
    made = goalpost()
    nodes = made.nodes.copy()
    nodes[2] = nodes[1]
    with pytest.raises(ModelError, match=r"member 'beam': a member has no length .*given: 0 m"):
        replace(made, nodes=nodes).solve(nodal(4, (1, PUSH)))
    with pytest.raises(ModelError, match="member 'left post': the direction that is to turn the section lies along"):
        replace(made, members=replace(made.members, up=np.tile([0.0, 0.0, 2.0], (3, 1)))).solve(nodal(4, (1, PUSH)))


def test_tables_of_the_wrong_size_are_refused_with_both_sizes() -> None:
    with pytest.raises(ModelError) as caught:
        goalpost().solve(nodal(5, (1, PUSH)))
    assert str(caught.value) == "the nodal loads do not fit the frame (given: (1, 5, 6)); limit: (1, 4, 6)"
    with pytest.raises(ModelError, match="the labels do not fit"):
        replace(goalpost(), labels=("one",)).solve(nodal(4, (1, PUSH)))


def test_an_answer_that_does_not_balance_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    right = Factored.solve

    def wrong(self: Factored, forces: np.ndarray) -> np.ndarray:
        return 0.5 * right(self, forces)

    monkeypatch.setattr(Factored, "solve", wrong)
    with pytest.raises(ModelError) as caught:
        goalpost().solve(nodal(4, (1, PUSH)))
    assert "the answer for load case 1 does not balance" in str(caught.value)
    assert caught.value.limit == "1e-06"


def test_a_frame_with_every_node_held_has_reactions_alone() -> None:
    made = goalpost()
    held = replace(made, supports=np.ones((4, 6), dtype=bool)).solve(nodal(4, (1, PUSH)))
    assert held.reactions[0, 1] == pytest.approx([-part for part in PUSH])
    assert not held.displacements.any()


def test_a_rigid_arm_is_a_very_stiff_link_without_its_rounding() -> None:
    arm = (0.0, 0.2, -0.1)
    bent = frame([(0, 0, 0), (1, 0, 0)], members([(0, 1)], offset_end=(0, -0.2, 0.1)), fixed={0: "xyzXYZ"})
    moved = bent.solve(nodal(2, (1, (100, 200, 300, 10, 20, 30)))).displacements[0, 1]
    straight = frame([(0, 0, 0), (1, -0.2, 0.1)], members([(0, 1)]), fixed={0: "xyzXYZ"})
    force, moment = np.array([100.0, 200, 300]), np.array([10.0, 20, 30]) + np.cross(arm, (100, 200, 300))
    end = straight.solve(nodal(2, (1, (*force, *moment)))).displacements[0, 1]
    assert moved[3:] == pytest.approx(end[3:], rel=1e-9)
    assert moved[:3] == pytest.approx(end[:3] + np.cross(end[3:], arm), rel=1e-9)


def test_a_part_condensed_to_its_joints_answers_as_its_members_do() -> None:
    whole, loads = lattice_blade(cases=4)
    plain = replace(loads, uniform=None)
    inside = {name for name in whole.members.names if name.startswith(("foot", "top", "web", "diagonal"))}
    kept = [k for k, name in enumerate(whole.members.names) if name not in inside]
    gone = [k for k, name in enumerate(whole.members.names) if name in inside]
    board = np.arange(18)
    block = Block(nodes=board, stiffness=_stiffness(_only(whole, gone), board))
    parted = replace(_only(whole, kept), blocks=(block,))
    assert parted.solve(plain).displacements == pytest.approx(whole.solve(plain).displacements, rel=1e-7, abs=1e-10)


def _only(made: Frame, bars: list[int]) -> Frame:
    part = made.members
    columns = {name: getattr(part, name)[bars] for name in part.__dataclass_fields__ if name != "names"}
    chosen = replace(part, names=tuple(part.names[k] for k in bars), **columns)
    return replace(made, members=chosen, releases=made.releases[bars])


def _stiffness(made: Frame, nodes: np.ndarray) -> np.ndarray:
    """Stiffness between all freedoms of some nodes, all others held: the flexibility on soft ground springs, inverted,
    less the springs.
    """
    count, soft = len(nodes), 1e3
    ground = Springs(
        names=tuple(f"soft {k}" for k in range(count)),
        ends=np.stack((nodes, np.full(count, -1)), axis=1),
        stiffness=np.full((count, 6), soft),
        axes=np.tile(np.eye(3), (count, 1, 1)),
    )
    held = np.ones_like(made.supports)
    held[nodes] = False
    cases = np.zeros((6 * count, len(made.nodes), 6))
    cases[:, nodes] = np.eye(6 * count).reshape(6 * count, count, 6)
    result = replace(made, supports=held, springs=ground).solve(
        replace(nodal(1), names=tuple(str(k) for k in range(6 * count)), nodal=cases)
    )
    flexibility = result.displacements[:, nodes].reshape(6 * count, 6 * count)
    return np.linalg.inv(flexibility) - soft * np.eye(6 * count)


def test_forces_inside_a_member_run_from_its_start_to_its_far_end() -> None:
    made, loads = at_random(5)
    result = made.solve(loads)
    inside = result.internal(np.array([0.0, 1.0]))
    size = np.abs(result.end_forces).max()
    assert inside[:, :, 0] == pytest.approx(-result.end_forces[..., :6], abs=1e-9 * size)
    assert inside[:, :, 1] == pytest.approx(result.end_forces[..., 6:], abs=1e-9 * size)


def test_a_member_pulled_apart_is_in_tension() -> None:
    made = frame([(0, 0, 0), (1, 0, 0)], members([(0, 1)]), fixed={0: "xyzXYZ"})
    inside = made.solve(nodal(2, (1, (700, 0, 0, 0, 0, 0)))).internal(np.array([0.3]))
    assert inside[0, 0, 0] == pytest.approx((700, 0, 0, 0, 0, 0))


def test_a_load_that_bends_the_far_end_up_presses_the_upper_fibre() -> None:
    """Up is local z: the stress N/A + My z/Iy - Mz y/Iz at z above zero is tension for a load downwards."""
    made = frame([(0, 0, 0), (1, 0, 0)], members([(0, 1)]), fixed={0: "xyzXYZ"})
    up = made.solve(nodal(2, (1, (0, 0, 100, 0, 0, 0)))).internal(np.array([0.0]))[0, 0, 0]
    assert up[4] == pytest.approx(-100)
    left = made.solve(nodal(2, (1, (0, 100, 0, 0, 0, 0)))).internal(np.array([0.0]))[0, 0, 0]
    assert -left[5] == pytest.approx(-100)
