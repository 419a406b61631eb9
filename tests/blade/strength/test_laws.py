"""Laws of mechanics that hold for a whole blade whatever its figures, at both levels."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from plowwright.blade import loads
from plowwright.blade.build import Build, work_out
from plowwright.blade.loads import LoadCase, LoadSettings
from plowwright.blade.spec import Spec
from plowwright.blade.strength import frame_model, lattice, shell
from plowwright.blade.strength.analysis import analyse
from plowwright.blade.strength.analysis_results import Analysis, Level
from plowwright.blade.strength.analysis_solve import Solved, solve
from plowwright.blade.strength.frame_parts import finder
from plowwright.blade.strength.plan import Plan
from plowwright.blade.strength.shell_loads import pushed
from plowwright.blade.strength.shell_results import result
from plowwright.physics import frame_elements
from plowwright.physics.materials import STEEL_YOUNG
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH

PLAIN = LoadSettings(uplift=0.2, bump=2.0)
LEVELS: tuple[Level, ...] = (1, 2)
# Both strikes on one side of the king pin, so that the same rub pad bears in both.
HERE, THERE = "strike left corner, straight", "strike left quarter, straight"


@pytest.fixture(scope="module")
def flint(demo_rules: Rulebook) -> Build:
    spec = Spec(series="flint", width=84 * INCH, mount="loader", carrier_kind="skid steer", hoses="flat-face")
    return work_out(spec, demo_rules, level=0)


@pytest.fixture(scope="module")
def strikes(flint: Build) -> tuple[LoadCase, LoadCase, LoadCase]:
    """A strike here, one there, and both at once."""
    known = {case.name: case for case in loads.cases(flint, PLAIN)}
    here, there = known[HERE], known[THERE]
    return here, there, replace(here, name="both", board=(*here.board, *there.board))


@pytest.fixture(scope="module")
def solved(flint: Build, strikes: tuple[LoadCase, LoadCase, LoadCase]) -> dict[Level, Solved]:
    return {level: solve(flint, strikes, level) for level in LEVELS}


def motions(places: np.ndarray) -> np.ndarray:
    """Six ways to move as a stiff body: along x, y, z by a metre, about them by a radian, (6, n, 6)."""
    out = np.zeros((6, len(places), 6))
    for k, axis in enumerate(np.eye(3)):
        out[k, :, k] = 1.0
        out[3 + k, :, :3], out[3 + k, :, 3 + k] = np.cross(axis, places), axis[k]
        out[3 + k, :, 3:] = axis
    return out


def test_a_shell_moldboard_moved_as_a_stiff_body_has_no_stress_and_no_force_on_any_seam(flint: Build) -> None:
    board = shell.board(flint.assembly, flint.datum, flint.rulebook)
    moved = motions(board.joined.mesh.nodes)
    told = result(board.mesh, board.joined, flint.datum, moved)
    nothing = 1e-8 * STEEL_YOUNG
    for part, stress in told.plate_stress.items():
        assert np.abs(stress).max() < nothing, part
    assert np.abs(told.shelf_stress).max() < nothing
    # The same motion of one end alone would put a force of this size on a seam.
    force = STEEL_YOUNG * flint.datum.skin_wall
    for forces in (*told.web_feet.values(), *told.web_skins.values(), *(seam.forces for seam in told.ears.values())):
        assert np.abs(forces).max() < 1e-6 * force
    # And a motion that is not stiff has stress: the check can fail.
    moved[:, 0] *= 1.001
    assert np.abs(result(board.mesh, board.joined, flint.datum, moved).shelf_stress).max() > nothing


def test_a_lattice_moved_as_a_stiff_body_has_no_force_in_any_bar(flint: Build) -> None:
    plan = Plan()
    find = finder(flint, plan)
    frame_model.push_frame(find)
    lattice.lay(find, [0.0, 0.3])
    frame = plan.frame()
    placed = frame_elements.place(frame.nodes, frame.members)
    stiff = frame_elements.stiffness(frame.members, placed.lengths)
    ends = motions(frame.nodes)[:, frame.members.ends].reshape(6, len(stiff), 12)
    forces = np.einsum("mij,cmj->cmi", stiff @ placed.turn, ends)
    size = np.abs(stiff @ placed.turn).max(axis=(1, 2))
    assert (np.abs(forces).max(axis=(0, 2)) < 1e-9 * size).all()


@pytest.mark.parametrize("level", LEVELS)
def test_what_a_strike_here_moves_there_a_strike_there_moves_here(solved: dict[Level, Solved], level: Level) -> None:
    """Work of each load over the other's motion, push frame with moldboard, and hub with mount."""
    found = solved[level]
    for side, put in ((found.front, found.front.loads.nodal), (found.hub, found.on_hub)):
        moved = side.result.displacements
        over = [float((put[a] * moved[b]).sum()) for a, b in ((0, 1), (1, 0))]
        assert abs(over[0]) > 0
        assert over[0] == pytest.approx(over[1], rel=1e-6)


def test_over_the_whole_blade_the_shell_s_own_points_answer_each_other(
    solved: dict[Level, Solved], strikes: tuple[LoadCase, LoadCase, LoadCase]
) -> None:
    """From edge to mount plate and back, oil, pins and pads with it."""
    board = solved[2].board
    assert board is not None
    block, motion = board
    moved = block.recover(motion).displacements
    put = pushed(block.board.mesh, moved.shape[1], [case.board for case in strikes[:2]])
    over = [float((put[a] * moved[b]).sum()) for a, b in ((0, 1), (1, 0))]
    assert over[0] > 0
    assert over[0] == pytest.approx(over[1], rel=1e-6)


@pytest.mark.parametrize("level", LEVELS)
def test_two_strikes_at_once_do_what_each_does_alone(solved: dict[Level, Solved], level: Level) -> None:
    found = solved[level]
    for answer in (
        found.front.result.end_forces,
        found.hub.result.end_forces,
        found.front.moved,
        found.king_pin,
        found.pushes,
    ):
        assert answer[2] == pytest.approx(answer[0] + answer[1], rel=1e-6, abs=1e-7 * np.abs(answer).max())
    if found.board is not None:
        told = found.board[0].recover(found.board[1])
        for web, feet in told.web_feet.items():
            assert feet[2] == pytest.approx(feet[0] + feet[1], rel=1e-6, abs=1e-7), web


@pytest.mark.parametrize("series", ["reed", "flint", "basalt"])
@pytest.mark.parametrize("level", LEVELS)
def test_a_blade_for_outlets_on_the_other_side_gives_the_mirrored_answer(
    demo_rules: Rulebook, series: str, level: Level
) -> None:
    """The cylinder changes sides. Only a middle web's ear and lug stand to one side, and a shell's lugs beside webs."""
    left, right = (_for_outlets(demo_rules, series, side, level) for side in ("left", "right"))
    near = 0.03 if level == 2 else 0.02 if series == "flint" else 1e-5
    for row, case in enumerate(left.cases):
        if not case.scales:
            continue
        other = right.number(case.name.replace("left", "?").replace("right", "left").replace("?", "right"))
        mine, theirs = left.first_yield(case.name), right.first_yield(right.cases[other].name)
        assert mine.force == pytest.approx(theirs.force, rel=near), case.name
        assert left.cylinder_force[row] == pytest.approx(right.cylinder_force[other], rel=near, abs=1e-6)
        turned = right.hinge_forces[other, ::-1, :3] * (1.0, -1.0, 1.0)
        assert left.hinge_forces[row, :, :3] == pytest.approx(turned, abs=2 * near * np.abs(turned).max()), case.name


def _for_outlets(rules: Rulebook, series: str, side: str, level: Level) -> Analysis:
    spec = Spec(
        series=series,
        width=66 * INCH,
        mount="loader",
        carrier_kind="skid steer",
        hoses="flat-face",
        outlets=side,  # type: ignore[arg-type]
    )
    return analyse(work_out(spec, rules, level=0), level=level, chosen=PLAIN)
