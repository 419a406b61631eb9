"""A foreign DXF is audited: units, open outlines, duplicates, tiny strokes, text as geometry, and what else comes."""

from __future__ import annotations

import itertools
from math import cos, pi, sin
from pathlib import Path
from typing import Any

import ezdxf
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from plowwright.errors import EntryError, NotFoundError
from plowwright.papers.dxf import RoundHole, plate_dxf
from plowwright.papers.dxf_in import DxfRead, read
from plowwright.papers.outlines_in import Stroke, cleaned, flat, joined
from plowwright.units.constants import INCH


def drawing(units: int | None = 1) -> Any:
    document = ezdxf.new("R2010")  # type: ignore[attr-defined]
    document.header["$INSUNITS"] = units or 0
    document.header["$MEASUREMENT"] = 0
    return document


def saved(document: Any, folder: Path) -> DxfRead:
    file = folder / "foreign.dxf"
    document.saveas(file)
    return read(file)


def square(space: Any, x: float, y: float, side: float, gap: float = 0.0) -> None:
    corners = [(x, y), (x + side, y), (x + side, y + side), (x, y + side), (x, y + gap)]
    for a, b in itertools.pairwise(corners):
        space.add_line(a, b)


def six_faults() -> Any:
    """No unit, a gap that closes, an open outline, a line drawn twice, a tiny arc, text and lettering as lines."""
    document = drawing(None)
    space = document.modelspace()
    square(space, 0, 0, 10, gap=0.01)
    space.add_line((0, 0), (10, 0))
    space.add_arc((5, 5), 0.0008, 0, 90)
    space.add_circle((5, 5), 0.5)
    square(space, 20, 0, 6, gap=1.0)
    space.add_text("BRACKET", dxfattribs={"layer": "cut"}).set_placement((2, 2))
    for at in range(4):
        space.add_line((2 + at, 8), (2.3 + at, 8.6))
    return document


def kinds(found: DxfRead, *, fixed: bool) -> set[str]:
    return {p.kind for p in found.problems if p.fixed == fixed}


def test_six_faults_are_each_named_and_those_that_can_be_are_mended(tmp_path: Path) -> None:
    found = saved(six_faults(), tmp_path)
    assert kinds(found, fixed=True) >= {"duplicate", "tiny stroke", "text", "open outline"}
    assert kinds(found, fixed=False) == {"unit", "open outline"}
    said = "\n".join(found.lines())
    assert "a gap of 0.0100 at 0.000, 0.010 was closed" in said or "a gap of 0.0100" in said
    assert "is open by 1.000" in said and "the file says no unit" in said
    assert "1 text on the layer cut" in said and "4 short open strokes" in said
    (part,) = found.parts
    assert len(part.inner) == 1
    assert part.properties().area == pytest.approx((100 - pi / 4) * INCH**2, rel=2e-3)


def test_a_sound_drawing_has_nothing_wrong_with_it(tmp_path: Path) -> None:
    document = drawing()
    square(document.modelspace(), 0, 0, 10)
    found = saved(document, tmp_path)
    assert not found.problems and found.lines()[-1] == "Nothing wrong with it."


def test_our_own_plate_comes_back_as_it_left(tmp_path: Path) -> None:
    loop = ((0.0, 0.0, 0.0), (0.3, 0.0, 0.2), (0.3, 0.2, 0.0), (0.0, 0.2, 0.0))
    file = tmp_path / "plate.dxf"
    for unit in ("in", "mm"):
        file.write_bytes(plate_dxf([loop], [RoundHole(u=0.1, v=0.1, diameter=0.02)], units=unit, name="p"))
        found = read(file)
        assert found.unit == unit and len(found.parts) == 1
        outer = shapely.Polygon(flat(found.parts[0].outer))
        assert outer.symmetric_difference(shapely.Polygon(flat(loop))).area < 1e-7
        assert len(found.parts[0].inner) == 1


def test_a_unit_told_goes_before_what_the_file_says(tmp_path: Path) -> None:
    document = drawing(1)
    square(document.modelspace(), 0, 0, 100)
    document.saveas(tmp_path / "foreign.dxf")
    found = read(tmp_path / "foreign.dxf", "mm")
    assert found.unit_known and found.parts[0].properties().area == pytest.approx(0.01)
    assert "the file says in, it is taken in mm as told" in "\n".join(found.lines())


def test_a_size_that_is_no_plate_parts_asks_for_the_other_unit(tmp_path: Path) -> None:
    document = drawing(1)
    square(document.modelspace(), 0, 0, 400)
    found = saved(document, tmp_path)
    assert any(p.kind == "unit" and "is it in mm" in p.sentence and not p.fixed for p in found.problems)


def test_blocks_are_opened_hidden_layers_left_out_and_curves_cut_into_strokes(tmp_path: Path) -> None:
    document = drawing()
    block = document.blocks.new("HOLE")
    block.add_circle((0, 0), 0.5)
    space = document.modelspace()
    square(space, 0, 0, 10)
    space.add_blockref("HOLE", (3, 3))
    document.layers.add("old").off()
    space.add_circle((7, 7), 1, dxfattribs={"layer": "old"})
    space.add_ellipse((7, 3), (1.5, 0), 0.5)
    found = saved(document, tmp_path)
    assert len(found.parts[0].inner) == 2
    assert kinds(found, fixed=True) == {"block", "hidden layer", "curve"}


def test_outlines_that_cross_themselves_or_each_other_are_left_out_and_said(tmp_path: Path) -> None:
    document = drawing()
    space = document.modelspace()
    space.add_lwpolyline([(0, 0), (4, 4), (4, 0), (0, 4)], close=True)
    square(space, 10, 0, 6)
    square(space, 14, 3, 5)
    found = saved(document, tmp_path)
    assert kinds(found, fixed=False) == {"crossing", "overlap"} and len(found.parts) == 1


def test_a_part_in_a_hole_is_a_part_of_its_own(tmp_path: Path) -> None:
    document = drawing()
    space = document.modelspace()
    square(space, 0, 0, 20)
    square(space, 5, 5, 10)
    square(space, 7, 7, 4)
    found = saved(document, tmp_path)
    assert sorted(len(p.inner) for p in found.parts) == [0, 1]


def test_arcs_seen_from_below_are_turned_the_right_way(tmp_path: Path) -> None:
    document = drawing()
    space = document.modelspace()
    space.add_line((0, 0), (4, 0))
    space.add_arc((-2, 0, 0), 2, 0, 180, dxfattribs={"extrusion": (0, 0, -1)})
    found = saved(document, tmp_path)
    assert found.parts[0].properties().area == pytest.approx(2 * pi * INCH**2, rel=1e-6)
    assert found.parts[0].bounds()[3] == pytest.approx(2 * INCH)


def test_what_is_no_drawing_is_refused(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError):
        read(tmp_path / "none.dxf")
    (tmp_path / "bad.dxf").write_text("hello", encoding="utf-8")
    with pytest.raises(EntryError, match="no DXF that can be read"):
        read(tmp_path / "bad.dxf")


def test_an_empty_drawing_says_so(tmp_path: Path) -> None:
    found = saved(drawing(), tmp_path)
    assert not found.parts and "no closed outline" in found.not_fixed[-1].sentence


@given(
    st.lists(st.tuples(st.integers(0, 400), st.integers(0, 400)), min_size=3, max_size=9, unique=True),
    st.randoms(use_true_random=False),
)
def test_any_outline_is_joined_whatever_the_order_and_direction_of_its_strokes(
    points: list[tuple[int, int]], draw: Any
) -> None:
    hull = shapely.MultiPoint(points).convex_hull
    if hull.geom_type != "Polygon":
        return
    ring = [(x * INCH / 4, y * INCH / 4) for x, y in hull.exterior.coords]
    strokes = [Stroke(start=a, end=b, bulge=0.0, layer="0") for a, b in itertools.pairwise(ring)]
    mixed = [s.turned() if draw.random() < 0.5 else s for s in strokes]
    draw.shuffle(mixed)
    kept, said = cleaned([*mixed, mixed[0].turned()], 1.0)
    assert [p.kind for p in said] == ["duplicate"]
    loops, problems = joined(kept, 1.0)
    assert not problems and len(loops) == 1
    assert shapely.Polygon(flat(loops[0])).area == pytest.approx(hull.area * (INCH / 4) ** 2)


def test_a_block_set_in_rows_and_columns_gives_every_copy(tmp_path: Path) -> None:
    document = drawing()
    square(document.blocks.new("PAD"), 0, 0, 3)
    document.modelspace().add_blockref(
        "PAD", (0, 0), dxfattribs={"row_count": 2, "row_spacing": 10, "column_count": 3, "column_spacing": 10}
    )
    assert len(saved(document, tmp_path).parts) == 6


def test_a_polyline_mirrored_by_its_upright_lies_where_it_is_seen(tmp_path: Path) -> None:
    document = drawing()
    space = document.modelspace()
    space.add_lwpolyline(
        [(0, 0, 0), (10, 0, 1), (10, 4, 0), (0, 4, 0)], format="xyb", close=True, dxfattribs={"extrusion": (0, 0, -1)}
    )
    space.add_circle((-3, 2), 0.5)
    (part,) = saved(document, tmp_path).parts
    assert len(part.inner) == 1
    assert part.bounds() == pytest.approx((-12 * INCH, 0.0, 0.0, 4 * INCH))


def test_lines_that_lie_on_each_other_are_made_one(tmp_path: Path) -> None:
    document = drawing()
    space = document.modelspace()
    for a, b in (((0, 0), (6, 0)), ((4, 0), (10, 0)), ((10, 0), (10, 5)), ((10, 5), (0, 5)), ((0, 5), (0, 0))):
        space.add_line(a, b)
    space.add_line((3, 5), (7, 5))
    found = saved(document, tmp_path)
    assert found.parts[0].properties().area == pytest.approx(50 * INCH**2)
    assert kinds(found, fixed=True) == {"duplicate"} and not found.not_fixed
    assert any("from 0.000, 0.000 to 10.000, 0.000" in p.sentence for p in found.fixed)


def test_two_parts_drawn_with_one_common_line_are_doubted(tmp_path: Path) -> None:
    document = drawing()
    space = document.modelspace()
    square(space, 0, 0, 10)
    space.add_line((5, 0), (5, 10))
    found = saved(document, tmp_path)
    said = [p.sentence for p in found.not_fixed]
    assert len(said) == 1 and "ends on an outline at both ends" in said[0] and "two parts" in said[0]


def test_one_circle_drawn_twice_from_another_start_is_a_duplicate(tmp_path: Path) -> None:
    document = drawing()
    space = document.modelspace()
    square(space, 0, 0, 10)
    space.add_circle((5, 5), 1)
    space.add_arc((5, 5), 1, 90, 450 - 1e-9)
    found = saved(document, tmp_path)
    assert len(found.parts) == 1 and len(found.parts[0].inner) == 1
    assert kinds(found, fixed=True) == {"duplicate"} and not found.not_fixed


def test_two_outlines_a_hair_apart_are_doubted_and_no_ring_is_cut(tmp_path: Path) -> None:
    document = drawing()
    space = document.modelspace()
    square(space, 0, 0, 10)
    space.add_circle((5, 5), 1)
    space.add_circle((5, 5), 1.01)
    found = saved(document, tmp_path)
    assert len(found.parts) == 1 and kinds(found, fixed=False) == {"duplicate"}
    assert "0.010" in found.not_fixed[0].sentence


def test_lettering_drawn_as_closed_lines_is_named(tmp_path: Path) -> None:
    document = drawing()
    space = document.modelspace()
    square(space, 0, 0, 10)
    letter_l = [(0, 0), (0.3, 0), (0.3, 0.1), (0.1, 0.1), (0.1, 0.5), (0, 0.5)]
    for at in range(3):
        space.add_lwpolyline([(2 + 0.5 * at + x, 2 + y) for x, y in letter_l], close=True)
    found = saved(document, tmp_path)
    assert [p.kind for p in found.not_fixed] == ["text"] and "3 small outlines" in found.not_fixed[0].sentence


def test_square_holes_and_round_ones_of_many_strokes_are_no_lettering(tmp_path: Path) -> None:
    document = drawing()
    space = document.modelspace()
    square(space, 0, 0, 10)
    for at in range(4):
        square(space, 1 + 2 * at, 1, 0.5)
        ring = [(1.5 + 2 * at + 0.3 * cos(t * pi / 18), 5 + 0.3 * sin(t * pi / 18)) for t in range(36)]
        space.add_lwpolyline(ring, close=True)
    found = saved(document, tmp_path)
    assert len(found.parts[0].inner) == 8 and not found.problems


def test_a_polyline_off_the_plane_is_named(tmp_path: Path) -> None:
    document = drawing()
    document.modelspace().add_polyline3d([(0, 0, 0), (10, 0, 1), (10, 5, 1), (0, 5, 0)], close=True)
    assert "off the plane" in kinds(saved(document, tmp_path), fixed=True)


def test_a_run_of_tiny_strokes_is_followed_not_lost(tmp_path: Path) -> None:
    document = drawing()
    curve = [(10 + 0.5 * sin(t * pi / 800), 0.5 - 0.5 * cos(t * pi / 800)) for t in range(801)]
    document.modelspace().add_lwpolyline([(0, 0), *curve, (0, 1)], close=True)
    found = saved(document, tmp_path)
    assert found.parts[0].properties().area == pytest.approx((10 + pi / 8) * INCH**2, rel=1e-3)
    assert not found.not_fixed and len(found.fixed) == 1 and "800" in found.fixed[0].sentence


def test_a_unit_that_is_not_taken_here_is_not_called_missing(tmp_path: Path) -> None:
    document = drawing(14)
    square(document.modelspace(), 0, 0, 2)
    said = saved(document, tmp_path).not_fixed[0].sentence
    assert "unit 14" in said and "says no unit" not in said
