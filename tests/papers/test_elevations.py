"""Elevations: the right way round, to scale, dimensioned from the parts, nothing hidden drawn."""

from __future__ import annotations

import dataclasses
import io
import itertools
from math import radians
from pathlib import Path

import ezdxf
import pytest
import shapely

from plowwright import rulebook
from plowwright.blade.build import Build, work_out
from plowwright.blade.poses import Pose
from plowwright.blade.spec import Spec
from plowwright.papers import dxf, elevations, fonts
from plowwright.papers.drawing import Picture
from plowwright.papers.marks import Group, Label, Mark, walk
from plowwright.papers.marks import Path as Line
from plowwright.papers.projection import Seen, in_sight, see, without_covered
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH


@pytest.fixture(scope="module")
def rules(demo_dir: Path) -> Rulebook:
    return rulebook.load(demo_dir / "rulebook")


def _blade(rules: Rulebook, series: str, width: float, mount: str = "loader", carrier: str = "skid steer") -> Build:
    spec = Spec(series=series, width=width * INCH, mount=mount, carrier_kind=carrier, hoses="flat-face")
    return work_out(spec, rules, level=0)


@pytest.fixture(scope="module")
def flint(rules: Rulebook) -> Build:
    return _blade(rules, "flint", 84)


def _groups(marks: tuple[Mark, ...]) -> list[Group]:
    found = [m for m in marks if isinstance(m, Group)]
    return [*found, *(inner for group in found for inner in _groups(group.marks))]


def _middles(page: Picture, part: str) -> list[float]:
    """Where on the page the middle of a part is across, once for each view that shows it."""
    middles: list[float] = []
    for group in _groups(page.marks):
        if group.part == part:
            xs = [v[0] for m in walk(group.marks) if isinstance(m, Line) for v in m.vertices]
            middles.append((min(xs) + max(xs)) / 2)
    return middles


def test_who_faces_the_blade_has_its_left_side_at_his_right_and_who_sits_behind_it_at_his_left(flint: Build) -> None:
    assert flint.spec.outlets == "left"
    page, _ = elevations.four_views(flint, width=184, system="us")
    side, back, above = _middles(page, "valve block")
    _, middle_side, middle_back, middle_above = _middles(page, "mount plate")
    assert back < middle_back - 2 and above < middle_above - 2
    assert side < middle_side - 2, "from the left the carrier is at the right"
    # From the front the skin hides both.
    xs = [p[0] for part, shapes in see(flint, "front").shapes if part.id == "valve block" for s in shapes for p in s]
    assert sum(xs) / len(xs) > 0.1, "the front view runs to the reader's right with the blade's left"


def test_what_the_skin_hides_from_the_front_is_left_out_and_all_else_is_drawn(flint: Build) -> None:
    seen = see(flint, "front")
    left_out = {p.id for p, _ in seen.shapes} - {p.id for p, _ in without_covered(seen).shapes}
    assert {"web 3", "king pin", "hinge beam", "valve block"} <= left_out
    assert not {"skin", "cutting edge"} & left_out
    # A part that shows by a millimetre stays.
    skin = next(shapes for part, shapes in seen.shapes if part.id == "skin")
    web, _ = next(row for row in seen.shapes if row[0].id == "web 3")
    over = max(p[1] for p in skin[0]) + 0.001
    peeping = [[(0.0, 0.5), (0.1, 0.5), (0.1, over), (0.0, over)]]
    shapes = tuple((part, peeping if part is web else rings) for part, rings in seen.shapes)
    assert "web 3" in {p.id for p, _ in without_covered(dataclasses.replace(seen, shapes=shapes)).shapes}


def test_full_angle_brings_the_left_end_forward_at_the_readers_left(flint: Build) -> None:
    page, _ = elevations.four_views(flint, width=184, system="us")
    skins = [g for g in _groups(page.marks) if g.part == "skin"]
    corners = [v for m in walk(skins[-1].marks) if isinstance(m, Line) for v in m.vertices]
    left, right = min(corners), max(corners)
    assert left[1] > right[1] + 20


def test_the_views_are_to_one_scale_and_the_bar_says_which(flint: Build) -> None:
    page, scale = elevations.four_views(flint, width=184, system="us")
    edges = [g for g in _groups(page.marks) if g.part == "cutting edge"]
    xs = [v[0] for m in walk(edges[0].marks) if isinstance(m, Line) for v in m.vertices]
    assert (max(xs) - min(xs)) * scale == pytest.approx(84 * 25.4, rel=1e-4)
    texts = [m.text for m in walk(page.marks) if isinstance(m, Label)]
    assert f"2 ft; scale 1:{scale:g}" in texts


def test_dimensions_are_read_off_the_parts_in_the_readers_units(flint: Build) -> None:
    for system, wanted in (
        ("us", ("84 in", "31 in", "6 in edge", "5 in hinge", "frame 28 in", "mount plate 45 in", "18 in",
                "3-1/2 in to the end hole, both ends", "clears 72-3/4 in at 30 deg", "26-1/2", "82-1/2")),
        ("metric", ("2134 mm", "787 mm", "152 mm edge", "127 mm hinge", "mount plate 1143 mm", "673", "2096")),
    ):  # fmt: skip
        page, _ = elevations.four_views(flint, width=184, system=system)
        texts = [m.text for m in walk(page.marks) if isinstance(m, Label)]
        assert not [t for t in wanted if t not in texts], (system, texts)


def _box(label: Label) -> shapely.Polygon:
    wide, high = fonts.text_width(label.text, size=label.size), fonts.cap_height(label.size)
    left = {"left": 0.0, "middle": -wide / 2, "right": -wide}[label.anchor]
    low = {"base": 0.0, "centre": -high / 2, "top": -high}[label.stand]
    flat = shapely.box(left, low, left + wide, low + high)
    turned = shapely.affinity.rotate(flat, label.rotate, origin=(0, 0))
    return shapely.affinity.translate(turned, label.x, label.y)


@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize("room", [160.0, 184.0, 260.0])
@pytest.mark.parametrize(
    "which",
    [
        ("reed", 48, "mini", "compact loader"),
        ("flint", 84, "pin-on", "tractor"),
        ("basalt", 108, "loader", "skid steer"),
    ],
)
def test_no_words_lie_on_each_other_or_off_the_sheet(
    rules: Rulebook, which: tuple[str, float, str, str], room: float, system: elevations.System
) -> None:
    page, _ = elevations.four_views(_blade(rules, *which), width=room, system=system)
    boxes = [(m.text, _box(m)) for m in walk(page.marks) if isinstance(m, Label)]
    sheet = shapely.box(0, 0, page.width, page.height)
    assert [text for text, box in boxes if not sheet.contains(box)] == []
    assert [(a[0], b[0]) for a, b in itertools.combinations(boxes, 2) if a[1].intersects(b[1])] == []


def test_every_part_is_a_group_the_page_can_find(flint: Build) -> None:
    page, _ = elevations.four_views(flint, width=184, system="us")
    assert {g.part for g in _groups(page.marks)} - {""} == {p.id for p in flint.parts if p.body != "loose"}


def _lines(seen: Seen) -> dict[str, float]:
    return {part.id: sum(shapely.LineString(run).length for run in runs) for part, runs in in_sight(seen) if runs}


def test_in_lines_alone_what_stands_behind_the_skin_is_left_out(flint: Build) -> None:
    front = _lines(see(flint, "front"))
    assert {"skin", "cutting edge"} <= set(front)
    assert not {"web 3", "spring 1", "king pin", "leg left", "mount plate"} & set(front)
    back = _lines(see(flint, "back"))
    # The king pin is seen through the open oscillation tube.
    assert {"mount plate", "web 1", "king pin"} <= set(back) and "hinge pin 2" not in back
    assert front["cutting edge"] >= 2 * 84 * INCH


def test_a_line_in_sight_never_runs_under_a_nearer_part(flint: Build) -> None:
    seen = see(flint, "above", Pose(angle=radians(30)))
    order = {part.id: i for i, (part, _) in enumerate(seen.shapes)}
    sheets = {part.id: shapely.union_all([shapely.Polygon(s) for s in shapes]) for part, shapes in seen.shapes}
    for part_id, rings in seen.holes.items():
        sheets[part_id] = sheets[part_id].difference(shapely.union_all([shapely.Polygon(r) for r in rings]))
    for part, runs in in_sight(seen):
        lines = shapely.union_all([shapely.LineString(run) for run in runs])
        for other, sheet in sheets.items():
            if order[other] > order[part.id]:
                assert lines.intersection(sheet.buffer(-1e-4)).length < 1e-3, (part.id, other)


def test_the_four_views_as_dxf_are_true_size_without_hidden_lines(flint: Build) -> None:
    page, view = elevations.drawn_in_lines(flint, system="us")
    document = ezdxf.read(io.StringIO(dxf.elevation_dxf(page, view=view, units="in", name="four views").decode()))
    texts = {t.dxf.text for t in document.modelspace().query("TEXT")}
    assert {"84 in", "from behind", "mount plate 45 in"} <= texts
    filled, _ = elevations.four_views(flint, width=500, system="us")
    assert len(walk(page.marks)) < 2 * len(walk(filled.marks))
    ground = [e for e in document.modelspace().query("LINE") if e.dxf.layer == "ground line"]
    assert len(ground) == 3 and ground[0].dxf.start.y == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize(
    "which",
    [
        ("basalt", 84, "loader", "skid steer"),
        ("basalt", 54, "mini", "compact loader"),
        ("flint", 90, "hook", "wheel loader"),
        ("reed", 60, "pin-on", "tractor"),
    ],
)
def test_every_series_and_mount_can_be_drawn_in_lines_alone(
    rules: Rulebook, which: tuple[str, float, str, str]
) -> None:
    page, view = elevations.drawn_in_lines(_blade(rules, *which), system="metric")
    document = ezdxf.read(io.StringIO(dxf.elevation_dxf(page, view=view, units="mm", name="four views").decode()))
    texts = {t.dxf.text for t in document.modelspace().query("TEXT")}
    assert {f"{which[1] * 25.4:.0f} mm", "from the front", "from the left", "from above, at full angle"} <= texts


def test_a_wider_edge_with_the_same_parts_is_dimensioned_wider(flint: Build) -> None:
    wider = dataclasses.replace(flint, assembly=dataclasses.replace(flint.assembly, width=90 * INCH))
    page, _ = elevations.four_views(wider, width=184, system="us")
    assert "90 in" in [m.text for m in walk(page.marks) if isinstance(m, Label)]


def test_the_edge_is_drawn_with_its_holes(flint: Build) -> None:
    seen = see(flint, "front")
    assert len(seen.holes["cutting edge"]) == len(flint.assembly.part("cutting edge").holes) == 8
    assert seen.upright and not see(flint, "above").upright


def test_one_plain_view_fits_its_room(flint: Build) -> None:
    for name in ("front", "side", "back", "above"):
        page = elevations.picture_of(flint, name, width=110.0)
        spots = [v for m in walk(page.marks) if isinstance(m, Line) for v in m.vertices]
        assert min(x for x, _, _ in spots) >= 0 and max(x for x, _, _ in spots) <= 110, name
        assert min(y for _, y, _ in spots) >= 0 and max(y for _, y, _ in spots) <= page.height, name
