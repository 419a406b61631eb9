from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from plowwright.blade.assemble import assemble
from plowwright.blade.datum import Datum, work_out
from plowwright.blade.making import Maker
from plowwright.blade.spec import Spec
from plowwright.blade.strength.mesh import BoardMesh, board_mesh
from plowwright.blade.strength.shell_profile import apart, divided, profile
from plowwright.errors import ModelError
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH


def sizes(rules: Rulebook, series: str, width: float) -> Datum:
    spec = Spec(series=series, width=width * INCH, mount="loader", carrier_kind="skid steer", hoses="flat-face")
    return work_out(spec, rules)


def every_size(rules: Rulebook) -> list[Datum]:
    return [sizes(rules, key, width / INCH) for key, series in rules.series.items() for width in series.widths()]


def meshed(rules: Rulebook, d: Datum, size: float = 3.0) -> BoardMesh:
    return board_mesh(d, Maker(rulebook=rules), size * INCH)


@pytest.fixture(params=["demo", "common"])
def rules(request: pytest.FixtureRequest, demo_rules: Rulebook, common_rules: Rulebook) -> Rulebook:
    return demo_rules if request.param == "demo" else common_rules


def test_every_blade_of_the_range_can_be_cut_into_plates(rules: Rulebook) -> None:
    for d in every_size(rules):
        board = meshed(rules, d)
        corners = board.corners
        spread = np.cross(corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1])
        assert (0.5 * np.linalg.norm(spread, axis=1)).min() > (0.1 * INCH) ** 2, d.series.name
        assert (board.thickness > 0).all()


def test_no_plate_is_warped_by_more_than_a_twentieth_of_its_side(rules: Rulebook) -> None:
    for d in every_size(rules)[::4]:
        corners = meshed(rules, d).corners
        normal = np.cross(corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1])
        normal /= np.linalg.norm(normal, axis=1, keepdims=True)
        off = np.abs(np.einsum("mij,mj->mi", corners - corners.mean(axis=1, keepdims=True), normal)).max(axis=1)
        side = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2).min(axis=1)
        assert (off / side).max() < 0.05


def test_plates_share_nodes_so_that_nothing_is_loose(rules: Rulebook) -> None:
    board = meshed(rules, every_size(rules)[3])
    seen = {int(board.quads[0, 0])}
    while True:
        touched = np.isin(board.quads, list(seen)).any(axis=1)
        grown = seen | {int(n) for n in np.unique(board.quads[touched])}
        if grown == seen:
            break
        seen = grown
    assert seen == set(range(len(board.nodes)))


def test_the_plates_weigh_what_edge_angle_skin_and_webs_are_made_of(demo_rules: Rulebook) -> None:
    """Volume of the plates against that of the parts: bolt holes, the angle's root and snipes are worth 3 %."""
    d = sizes(demo_rules, "flint", 84)
    board = meshed(demo_rules, d, 1.5)
    corners = board.corners
    spread = np.cross(corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1])
    volume = float((0.5 * np.linalg.norm(spread, axis=1) * board.thickness).sum())
    make = Maker(rulebook=demo_rules)
    t = d.angle_wall
    parts = d.width * (d.edge_height * d.edge_wall + t * (d.leg_up + d.leg_back - t))
    parts += d.width * d.skin_wall * (d.lap + d.arc.length + (d.series.moldboard.top_fold or 0.0))
    webs = board.by_part["web 1"]
    web_area = float(0.5 * np.linalg.norm(spread[webs], axis=1).sum())
    parts += len(d.web_ys) * web_area * make.thickness(d.row.web)
    assert volume == pytest.approx(parts, rel=0.03)


def test_a_web_has_the_area_of_its_plate(demo_rules: Rulebook) -> None:
    spec = Spec(series="basalt", width=84 * INCH, mount="loader", carrier_kind="skid steer", hoses="flat-face")
    part = assemble(spec, demo_rules).part("web 1")
    board = meshed(demo_rules, work_out(spec, demo_rules), 2)
    corners = board.corners[board.by_part["web 1"]]
    spread = np.cross(corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1])
    found = 0.5 * np.linalg.norm(spread, axis=1).sum()
    # Straight lines where the outline has an arc, and a rear edge that bends between two rows.
    assert found == pytest.approx(part.solids[0].region.properties().area, rel=0.02)


def test_edge_lap_and_leg_are_one_plate_at_its_true_place(demo_rules: Rulebook) -> None:
    d = sizes(demo_rules, "flint", 84)
    strips = [s for s in profile(d, 3 * INCH).strips if s.part == "leg"]
    rows = profile(d, 3 * INCH).places
    assert strips
    for strip in strips:
        assert strip.thickness == pytest.approx(d.angle_wall + d.skin_wall + d.edge_wall)
        middle = rows[strip.rows[0]][0] + strip.arms[0][0]
        assert middle + strip.thickness / 2 == pytest.approx(d.edge_back + d.edge_wall)
        assert middle - strip.thickness / 2 == pytest.approx(d.face - d.angle_wall)


def test_where_the_skin_laps_little_there_is_no_skin_between_edge_and_leg(common_rules: Rulebook) -> None:
    d = sizes(common_rules, "standard", 84)
    thick = sorted({round(s.thickness / INCH, 4) for s in profile(d, 3 * INCH).strips if s.part == "leg"})
    lapped, bolted = d.angle_wall + d.skin_wall, d.angle_wall + d.edge_wall
    assert thick == sorted({round(lapped / INCH, 4), round(bolted / INCH, 4)})


def test_there_is_a_line_of_nodes_at_every_web_both_ends_and_every_ears_seam(rules: Rulebook) -> None:
    for d in every_size(rules)[::5]:
        lines = meshed(rules, d).lines
        for y in (*d.web_ys, -d.width / 2, d.width / 2):
            assert np.abs(lines - y).min() < 1e-6
        assert np.diff(lines).max() <= 3 * INCH + 1e-9
        assert (np.diff(lines) > 0).all()


def test_alike_plates_are_alike(demo_rules: Rulebook) -> None:
    board = meshed(demo_rules, sizes(demo_rules, "reed", 60))
    corners = board.corners
    own = corners - corners[:, :1]
    assert own == pytest.approx(own[board.alike], abs=1e-9)
    assert (board.thickness == board.thickness[board.alike]).all()
    assert len(np.unique(board.alike)) < len(board.alike) / 2


@pytest.mark.parametrize(("inches", "said"), [(0.01, "0.01 in"), (500.0, "500 in")])
def test_a_size_of_plates_no_mesh_can_have_is_refused_with_a_way_out(
    demo_rules: Rulebook, inches: float, said: str
) -> None:
    with pytest.raises(ModelError) as caught:
        meshed(demo_rules, sizes(demo_rules, "reed", 60), inches)
    assert f"(given: {said}); limit: 0.25 in to the blade's width. 3 in is fine enough" in str(caught.value)


def test_an_angle_whose_web_stands_at_its_rear_edge_needs_no_sliver_of_shelf(demo_rules: Rulebook) -> None:
    d = sizes(demo_rules, "reed", 60)
    narrow = profile(replace(d, shelf_back=d.shelf_back + 0.2 * INCH), 3 * INCH)
    runs = np.diff([narrow.places[row][0] for row in narrow.shelf])
    assert runs.min() > 0.1 * INCH


def test_steps_are_equal_and_never_longer_than_asked() -> None:
    assert divided(0.0, 1.0, 0.3) == pytest.approx([0.25, 0.5, 0.75, 1.0])
    assert divided(0.0, -1.0, 0.5, at_least=4) == pytest.approx([-0.25, -0.5, -0.75, -1.0])


def test_levels_that_nearly_fall_together_are_taken_as_one() -> None:
    levels = [0.0, 1 * INCH, 1.1 * INCH, 3.9 * INCH, 4 * INCH]
    assert apart(levels, 10 * INCH) == pytest.approx([0.0, 1 * INCH, 4 * INCH])
