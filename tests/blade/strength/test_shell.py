from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from plowwright.blade.datum import Datum
from plowwright.blade.loads import BoardLoad, Patch
from plowwright.blade.parts import Assembly, Weld
from plowwright.blade.strength import shell, shell_joins
from plowwright.blade.strength.shell import ShellBoard
from plowwright.blade.strength.shell_results import BoardResult
from plowwright.errors import ModelError
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import GRAVITY, INCH
from tests.references.boards import blade, held, strike, strikes, worked


@pytest.fixture(scope="module")
def flint(demo_rules: Rulebook) -> tuple[ShellBoard, Assembly, Datum]:
    assembly, d = blade(demo_rules)
    return shell.board(assembly, d, demo_rules), assembly, d


@pytest.fixture(scope="module")
def found(flint: tuple[ShellBoard, Assembly, Datum]) -> BoardResult:
    return worked(flint[0], strikes(flint[2]))


def rigid(board: ShellBoard) -> np.ndarray:
    places = board.joined.mesh.nodes[board.joined.kept]
    out = np.zeros((6, len(places), 6))
    for k, axis in enumerate(np.eye(3)):
        out[k, :, k] = 1.0
        out[3 + k, :, :3], out[3 + k, :, 3 + k] = np.cross(axis, places), 1.0
    return out.reshape(6, -1)


def test_the_interface_is_named_after_the_hinges_and_the_lugs(flint: tuple[ShellBoard, Assembly, Datum]) -> None:
    board, assembly, _ = flint
    names = board.names
    assert names[:3] == ("hinge 1 board", "hinge 2 board", "hinge 3 board")
    assert names[3:] == tuple(f"lug {k + 1}" for k in range(len(names) - 3))
    springs = [p for p in assembly.parts if p.mark == "trip spring"]
    assert len(names) == 3 + len(springs)


def test_a_board_moved_as_a_stiff_body_takes_no_force(flint: tuple[ShellBoard, Assembly, Datum]) -> None:
    stiff, _, _ = flint[0].block(strikes(flint[2]))
    assert np.abs(stiff @ rigid(flint[0]).T).max() < 1e-8 * np.abs(stiff).max()
    assert stiff == pytest.approx(stiff.T, abs=1e-9 * np.abs(stiff).max())


def test_loads_keep_their_force_and_moment_when_they_are_brought_to_the_interface(
    flint: tuple[ShellBoard, Assembly, Datum],
) -> None:
    board, _, d = flint
    cases = strikes(d)
    _, loads, _ = board.block(cases)
    total = loads @ rigid(board).T
    face = d.edge_back + d.edge_wall
    for row, (load,) in zip(total[:6], cases[:6], strict=True):
        force, p = np.array(load.force), load.place
        at = np.array([face, 0.5 * (p.y0 + p.y1), 0.5 * (p.z0 + p.z1)])
        assert row[:3] == pytest.approx(force, abs=1e-8)
        assert row[3:] == pytest.approx(np.cross(at, force), abs=1e-7)


def test_a_web_is_in_balance_between_shelf_skin_ear_and_lug(found: BoardResult) -> None:
    """Web 2 carries a hinge: what it puts on shelf and skin is what its ear and lug put on it."""
    given = [s for name, s in found.ears.items() if "web 2" in name]
    assert len(given) == 3
    out = [(found.web_feet["web 2"], found.web_foot_places["web 2"])]
    out.append((found.web_skins["web 2"], found.web_skin_places["web 2"]))

    def at_origin(forces: np.ndarray, place: tuple[float, float, float]) -> np.ndarray:
        moment = forces[:, 3:] + np.cross(np.array(place), forces[:, :3])
        return np.hstack([forces[:, :3], moment])

    put = sum(at_origin(f, p) for f, p in out)
    taken = sum(at_origin(s.forces, s.at) for s in given)
    assert put == pytest.approx(taken, abs=1e-6)
    # A web without an ear or lug passes on from the shelf what it gets from the skin.
    alone = at_origin(found.web_feet["web 1"], found.web_foot_places["web 1"])
    alone += at_origin(found.web_skins["web 1"], found.web_skin_places["web 1"])
    assert alone == pytest.approx(0.0, abs=1e-6)


def test_ears_and_lugs_together_hold_against_the_strike(found: BoardResult) -> None:
    total = sum(s.forces[:, :3] for s in found.ears.values())
    assert total[:5] == pytest.approx(np.tile([1.0, 0.0, 0.0], (5, 1)), abs=1e-6)


def test_the_struck_corner_goes_back_and_the_top_comes_forward(found: BoardResult) -> None:
    edge, top = found.outline("edge"), found.outline("top")
    assert edge.moved[0, 0, 0] < 0 < top.moved[0, 0, 0]
    assert abs(edge.moved[0, 0, 0]) > 5 * abs(edge.moved[0, -1, 0])
    assert edge.places[0, 2] == 0.0 and edge.places.shape == edge.moved.shape[1:]


def test_a_mirrored_strike_gives_the_mirrored_answer(flint: tuple[ShellBoard, Assembly, Datum]) -> None:
    """The webs with outer ears are mirrored; only the middle ear stands to one side, worth a hundredth."""
    board, _, d = flint
    found = worked(board, strikes(d))
    left, right = found.outline("edge").moved[4], found.outline("edge").moved[0]
    assert left[-1] == pytest.approx(right[0] * [1, -1, 1], rel=0.02, abs=1e-9)
    feet = np.array([1, -1, 1, -1, 1, -1]) * found.web_feet["web 1"][0]
    assert found.web_feet["web 5"][4] == pytest.approx(feet, rel=0.02, abs=0.02)
    assert found.shelf_stress[0] == pytest.approx(found.shelf_stress[4], rel=0.01)
    assert found.shelf_at[0] == pytest.approx(-found.shelf_at[4], abs=3 * INCH)


def test_foot_and_skin_together_carry_a_strike_beyond_the_end_web(
    found: BoardResult, flint: tuple[ShellBoard, Assembly, Datum]
) -> None:
    """Between the struck end and the first hinge nothing holds: the moment through all plates is force times lever."""
    board, _, _ = flint
    mesh, lines, count = board.mesh, board.mesh.lines, len(board.mesh.profile.strips)
    gap = int(np.searchsorted(lines, -25 * INCH))
    plates = gap * count + np.arange(count)
    put = board.joined.mesh.forces(found.displacements[:1], plates)[0][:, 1:3]
    arm = mesh.nodes[mesh.quads[plates][:, 1:3]] - [0.0, lines[gap + 1], 0.0]
    moment = (put[..., 3:] + np.cross(arm, put[..., :3])).sum(axis=(0, 1))
    assert moment[2] == pytest.approx(lines[gap + 1] - lines[0] - 1.5 * INCH, rel=1e-6)
    # The skin, carried by the webs, bends the other way: the foot carries more than all of it.
    assert found.foot_forces[0, gap, 2] > moment[2]


def test_weight_on_the_interface_is_that_of_the_moldboard(flint: tuple[ShellBoard, Assembly, Datum]) -> None:
    board, assembly, _ = flint
    block = board.condensed([[]], np.array([[0.0, 0.0, -GRAVITY]]))
    total = block.loads @ rigid(board).T
    parts = [p for p in assembly.parts if p.body == "moldboard"]
    mass = sum(p.mass() for p in parts)
    assert total[0, :3] == pytest.approx([0, 0, -mass * GRAVITY], abs=1e-5)
    x = sum(p.mass() * p.centroid()[0] for p in parts) / mass
    # Ears, lugs and bolts are spread over the plates: their share moves the centre by less than an inch.
    assert total[0, 4] / (mass * GRAVITY) == pytest.approx(x, abs=1 * INCH)


def test_recover_gives_the_same_as_the_block_does(flint: tuple[ShellBoard, Assembly, Datum]) -> None:
    board, _, d = flint
    cases = strikes(d)[:2]
    block = board.condensed(cases)
    motion = held(block)
    assert board.recover(motion, cases).displacements == pytest.approx(block.recover(motion).displacements, abs=1e-15)


@pytest.mark.parametrize(("series", "width"), [("reed", 72), ("flint", 84), ("basalt", 84)])
def test_a_finer_mesh_changes_little(demo_rules: Rulebook, series: str, width: float) -> None:
    """From 3 in to 1-1/2 in: give of the struck corner 1 %, shelf 2 %, skin 12 %, force in a hinge web's foot 5 %."""
    assembly, d = blade(demo_rules, series, width)
    coarse, fine = (worked(shell.board(assembly, d, demo_rules, size=s * INCH), strikes(d)[:1]) for s in (3.0, 1.5))
    corner = [r.outline("edge").moved[0, 0, 0] for r in (coarse, fine)]
    assert corner[0] == pytest.approx(corner[1], rel=0.01)
    assert coarse.shelf_stress == pytest.approx(fine.shelf_stress, rel=0.02)
    assert coarse.skin_stress == pytest.approx(fine.skin_stress, rel=0.12)
    near = [np.linalg.norm(r.web_feet["web 2"][0, :3]) for r in (coarse, fine)]
    assert near[0] == pytest.approx(near[1], rel=0.05)


@pytest.mark.parametrize("times", [1 / 3, 3.0])
def test_how_stiff_a_fillet_is_hardly_matters_to_web_and_ear_together(
    demo_rules: Rulebook, found: BoardResult, monkeypatch: pytest.MonkeyPatch, times: float
) -> None:
    """A third of the assumed stiffness and three times as much: the corner 2 %, their force on the shelf 2 %."""
    monkeypatch.setattr(shell_joins, "SEAM_STIFFNESS", times * shell_joins.SEAM_STIFFNESS)
    assembly, d = blade(demo_rules)
    other = worked(shell.board(assembly, d, demo_rules), strikes(d)[:1])
    on_shelf = [r.web_feet["web 2"][0, :3] + r.ears["ear 1 to shelf"].forces[0, :3] for r in (found, other)]
    assert np.linalg.norm(on_shelf[1] - on_shelf[0]) < 0.02 * np.linalg.norm(on_shelf[0])
    corner = [r.outline("edge").moved[0, 0, 0] for r in (found, other)]
    assert corner[1] == pytest.approx(corner[0], rel=0.02)


def test_every_blade_of_both_rulebooks_is_solved(demo_rules: Rulebook, common_rules: Rulebook) -> None:
    for rules in (demo_rules, common_rules):
        for key, series in rules.series.items():
            for width in (series.widths()[0], series.widths()[-1]):
                assembly, d = blade(rules, key, width / INCH)
                found = worked(shell.board(assembly, d, rules), strikes(d)[:1])
                assert 0 < -found.outline("edge").moved[0, 0, 0] < 1e-5, (key, width)


def test_a_weld_of_no_length_is_refused_by_its_name(demo_rules: Rulebook) -> None:
    assembly, d = blade(demo_rules)
    joints = [replace(j, end=j.start, via=()) if j.id == "ear 2 to shelf" else j for j in assembly.joints]
    broken = replace(assembly, joints=tuple(joints))
    with pytest.raises(ModelError, match=r"^ear 2 to shelf: a weld has no length.*\(given: 0 in\); limit: more"):
        shell.board(broken, d, demo_rules)


def test_an_ear_without_a_weld_is_refused_by_its_name(demo_rules: Rulebook) -> None:
    assembly, d = blade(demo_rules)
    joints = [j for j in assembly.joints if not (isinstance(j, Weld) and j.joins[0] == "ear 1")]
    with pytest.raises(ModelError, match=r"^ear 1: nothing holds ear 1: it has no weld"):
        shell.board(replace(assembly, joints=tuple(joints)), d, demo_rules)


def test_a_load_beside_the_board_is_refused_with_where_it_lies(flint: tuple[ShellBoard, Assembly, Datum]) -> None:
    board, _, d = flint
    with pytest.raises(ModelError, match=r"beside the moldboard, along the blade \(given: 48-1/2 in to 51-1/2 in\)"):
        board.block([[strike(50 * INCH)]])
    high = Patch(y0=0.0, y1=INCH, z0=40 * INCH, z1=41 * INCH, on="edge")
    with pytest.raises(ModelError, match=r"beside the moldboard, up the edge \(given: 40 in to 41 in\)"):
        board.block([[BoardLoad(force=(-1.0, 0.0, 0.0), place=high)]])
    assert d.width < 97 * INCH


def test_accelerations_that_do_not_fit_the_cases_are_refused(flint: tuple[ShellBoard, Assembly, Datum]) -> None:
    with pytest.raises(ModelError, match=r"do not fit the load cases \(given: \(2, 3\)\); limit: \(1, 3\)"):
        flint[0].condensed([[]], np.zeros((2, 3)))


def test_a_point_push_is_shared_by_the_nodes_beside_it(flint: tuple[ShellBoard, Assembly, Datum]) -> None:
    board, _, _ = flint
    y = 0.3 * board.mesh.lines[10] + 0.7 * board.mesh.lines[11]
    point = BoardLoad(force=(-1.0, 0.0, 0.0), place=Patch(y0=y, y1=y, z0=0.0, z1=0.0, on="edge"))
    block = board.condensed([[point]])
    tip = board.mesh.profile.tip
    assert block.nodal[0, board.mesh.node(10, tip), 0] == pytest.approx(-0.3)
    assert block.nodal[0, board.mesh.node(11, tip), 0] == pytest.approx(-0.7)


def test_a_bar_along_the_top_stiffens_the_board(demo_rules: Rulebook) -> None:
    """The same blade with a tube along its top instead of a bare fold gives less at the top corner."""
    data = demo_rules.series["flint"]
    tube = next(name for name, s in demo_rules.sections.items() if s.kind == "tube")
    board = data.moldboard.model_copy(update={"top_member": tube})
    series = {**demo_rules.series, "flint": data.model_copy(update={"moldboard": board})}
    rules = replace(demo_rules, data=demo_rules.data.model_copy(update={"series": series}))
    plain_assembly, d = blade(demo_rules)
    barred_assembly, barred = blade(rules)
    assert any(p.id == "top member" for p in barred_assembly.parts)
    before = worked(shell.board(plain_assembly, d, demo_rules), strikes(d)[:1])
    after = worked(shell.board(barred_assembly, barred, rules), strikes(barred)[:1])
    twist = [np.ptp(r.outline("top").moved[0, :, 0]) for r in (before, after)]
    assert twist[1] < 0.97 * twist[0]
