"""Flat parts for the plasma table, and the same as pictures."""

from __future__ import annotations

import io
from pathlib import Path

import ezdxf
import pytest
from ezdxf.document import Drawing

from plowwright import rulebook
from plowwright.blade.build import Build, work_out
from plowwright.blade.spec import Spec
from plowwright.papers import plates
from plowwright.papers.marks import BEND, CUT, HOLE, Label, walk
from plowwright.papers.marks import Path as Line
from plowwright.physics.regions import flatten
from plowwright.units.constants import INCH


@pytest.fixture(scope="module")
def flint(demo_dir: Path) -> Build:
    rules = rulebook.load(demo_dir / "rulebook")
    spec = Spec(series="flint", width=84 * INCH, mount="loader", carrier_kind="skid steer", hoses="flat-face")
    return work_out(spec, rules, level=0)


def _read(data: bytes) -> Drawing:
    return ezdxf.read(io.StringIO(data.decode()))


def test_every_mark_cut_from_plate_or_sheet_has_one_file(flint: Build) -> None:
    marks = [p.mark for p in plates.flat_parts(flint)]
    assert len(marks) == len(set(marks))
    assert set(marks) == {p.mark for p in flint.parts if p.kind in ("plate", "rolled")}


@pytest.mark.parametrize(("units", "per_metre"), [("in", 1 / INCH), ("mm", 1000.0)])
def test_a_plate_is_as_large_in_its_file_as_in_the_model(flint: Build, units: plates.Units, per_metre: float) -> None:
    for part in plates.flat_parts(flint):
        if part.kind == "rolled":
            continue
        space = _read(plates.plate_part_dxf(part, units=units)).modelspace()
        corners = [p for e in space.query('LWPOLYLINE[layer=="cut"]') for p in e.get_points("xy")]
        points = part.solids[0].region.outer
        for axis in (0, 1):
            found = max(p[axis] for p in corners) - min(p[axis] for p in corners)
            assert found == pytest.approx((max(p[axis] for p in points) - min(p[axis] for p in points)) * per_metre)
        cut = len(space.query('LWPOLYLINE[layer=="cut"]')) - 1 + len(space.query("CIRCLE"))
        assert cut == len(part.solids[0].region.inner), part.mark


def test_the_skin_is_cut_flat_to_its_developed_length_with_its_bends_marked(flint: Build) -> None:
    skin = flint.assembly.part("skin")
    space = _read(plates.plate_part_dxf(skin, units="in")).modelspace()
    (outline,) = space.query('LWPOLYLINE[layer=="cut"]')
    xs, ys = zip(*outline.get_points("xy"), strict=True)
    assert (max(xs), max(ys)) == pytest.approx((84.0, skin.length / INCH))
    rolled = skin.solids[0].region.outer
    assert skin.length / INCH > max(p[1] for p in flatten(rolled)) / INCH - min(p[1] for p in flatten(rolled)) / INCH
    bends = space.query('LINE[layer=="bend lines"]')
    assert [round(b.dxf.start.y, 5) for b in bends] == [round(b.at / INCH, 5) for b in skin.bends]


def test_the_picture_of_a_plate_says_its_size_its_stock_and_its_scale(flint: Build) -> None:
    plate = flint.assembly.part("mount plate")
    page = plates.plate_part_picture(plate, width=120, height=90, system="us")
    texts = [m.text for m in walk(page.marks) if isinstance(m, Label)]
    assert texts == ["45 in", "18 in", f"mount plate, {plate.stock}; scale 1:16"]
    lines = [m for m in walk(page.marks) if isinstance(m, Line)]
    assert len([m for m in lines if m.pen is HOLE]) == 3 and len([m for m in lines if m.pen is CUT]) == 1
    metric = plates.plate_part_picture(plate, width=120, height=90, system="metric")
    assert "1143 mm" in [m.text for m in walk(metric.marks) if isinstance(m, Label)]


def test_the_picture_of_the_skin_is_its_flat_sheet_with_every_bend(flint: Build) -> None:
    skin = flint.assembly.part("skin")
    page = plates.plate_part_picture(skin, width=120, height=90, system="us")
    lines = [m for m in walk(page.marks) if isinstance(m, Line)]
    assert len([m for m in lines if m.pen is BEND]) == len(skin.bends) == 3
    outline = next(m for m in lines if m.pen is CUT)
    for bend in (m for m in lines if m.pen is BEND):
        assert min(v[1] for v in outline.vertices) <= bend.vertices[0][1] <= max(v[1] for v in outline.vertices)
