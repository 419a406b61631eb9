"""The plate sheet: every part numbered once where it lies, to scale, with its tag, rests and table time."""

from __future__ import annotations

import io
from datetime import date
from math import pi
from pathlib import Path

import pytest
import shapely
from pypdf import PdfReader

from plowwright import rulebook
from plowwright.errors import EntryError
from plowwright.papers import content, pdf
from plowwright.papers.marks import Label, flatten, walk
from plowwright.papers.marks import Path as Run
from plowwright.papers.outline_lists import NEST_COLUMNS, nest_rows, outlines_from, sheets_from
from plowwright.papers.plate_sheet import (
    PlateSheet,
    lie_of,
    mark_of,
    nest_picture,
    numbered,
    plate_sheet,
    rows_of,
    widest_spot,
)
from plowwright.physics.regions import rectangle
from plowwright.rulebook.schema import Shop
from plowwright.shop.nesting import plan
from plowwright.shop.nesting_model import NestPlan, Outline, RestRule, Sheet
from plowwright.units.constants import INCH

RING = (rectangle(4 * INCH, 4 * INCH, 12 * INCH, 12 * INCH),)


@pytest.fixture(scope="module")
def made() -> NestPlan:
    parts = [
        Outline(stock="plate 1/4", outer=rectangle(0.0, 0.0, 20 * INCH, 20 * INCH), inner=RING, tag="421M frame",
                order="421M", mark="frame", rush=True),
        *(Outline(stock="plate 1/4", outer=rectangle(0.0, 0.0, 6 * INCH, 4 * INCH), tag=f"422D lug {n}/3",
                  order="422D", mark="lug") for n in (1, 2, 3)),
    ]  # fmt: skip
    sheets = [Sheet(stock="plate 1/4", length=60 * INCH, width=30 * INCH, price=80.0)]
    return plan(parts, sheets, INCH * 3 / 8, [0.0, pi / 2], 1.0, rest_rule=RestRule(least=12 * INCH, value_share=0.4))


@pytest.fixture(scope="module")
def shop(demo_dir: Path) -> Shop:
    return rulebook.load(demo_dir / "rulebook").shop


@pytest.mark.parametrize("width", [184.0, 90.0])
def test_every_part_is_drawn_at_its_place_and_scale_with_its_number(made: NestPlan, width: float) -> None:
    for nest in made.sheets:
        page, lie = nest_picture(nest, width=width), lie_of(nest, width)
        mm = lie.scale
        left = (width - (nest.sheet.width if lie.turned else nest.sheet.length) * mm) / 2
        runs = [m for m in walk(page.marks) if isinstance(m, Run) and m.fill == "tint"]
        for run, (_, placed) in zip(runs, numbered(nest), strict=True):
            drawn = shapely.Polygon([(v[0], v[1]) for v in run.vertices])
            real = shapely.Polygon(flatten(placed.loop(placed.outline.outer), closed=True))
            x, y = real.centroid.x, real.centroid.y
            if lie.turned:
                x, y = nest.sheet.width - y, x
            assert drawn.area == pytest.approx(real.area * mm**2, rel=1e-6)
            assert (drawn.centroid.x, drawn.centroid.y) == pytest.approx((left + x * mm, 1.0 + y * mm), abs=1e-6)
            assert shapely.box(0.0, 0.0, page.width, page.height).contains(drawn)
        numbers = {m.text for m in walk(page.marks) if isinstance(m, Label) and m.text.isdigit()}
        assert numbers == {str(n) for n in range(1, len(nest.placed) + 1)}


def test_a_sheet_that_is_mostly_rest_is_turned_and_drawn_larger() -> None:
    parts = [Outline(stock="plate 1/4", outer=rectangle(0.0, 0.0, 20 * INCH, 3 * INCH), tag=f"lug {n}")
             for n in range(16)]  # fmt: skip
    sheets = [Sheet(stock="plate 1/4", length=120 * INCH, width=60 * INCH, price=400.0)]
    (nest,) = plan(parts, sheets, INCH * 3 / 8, [0.0], 1.0, rest_rule=RestRule(least=12 * INCH, value_share=0.4)).sheets
    lie, page = lie_of(nest, 184.0), nest_picture(nest, width=184.0)
    assert lie.turned and lie.scale > 1.9 * 182.0 / nest.sheet.length and page.height <= 120.0
    said = [m.text for m in walk(page.marks) if isinstance(m, Label)]
    assert "rest 1 runs on" in said and len(said) == 17


def test_a_number_stands_on_steel_not_in_an_opening(made: NestPlan) -> None:
    for nest in made.sheets:
        for placed in nest.placed:
            (x, y), room = widest_spot(placed)
            o = placed.outline
            steel = shapely.Polygon(
                flatten(placed.loop(o.outer), closed=True), [flatten(placed.loop(k), closed=True) for k in o.inner]
            )
            assert steel.contains(shapely.Point(x, y)) and room > 0
            assert shapely.Point(x, y).distance(steel.exterior) == pytest.approx(room, abs=0.003) or room < 0.11


@pytest.mark.parametrize("size", ["us-letter", "a4"])
def test_the_paper_says_parts_rests_time_and_caution(made: NestPlan, shop: Shop, size: str) -> None:
    sheet = PlateSheet(plan=made, shop=shop, on=date(2026, 11, 11), minutes={n.number: 95.0 for n in made.sheets},
                       paper=size)  # type: ignore[arg-type]  # fmt: skip
    paper = plate_sheet(sheet)
    found = PdfReader(io.BytesIO(pdf.compile(content.source(paper.template), pictures=paper.pictures, data=paper.data)))
    said = "\n".join(page.extract_text() for page in found.pages)
    assert "421M frame" in said and "422D lug" in said and mark_of(made) in said and "about 2 min on the table" in said
    assert "rush: cut first" in said and "pierces" in said and "hot and sharp" in said and "rest" in said


def test_parts_of_one_mark_stand_in_one_row_with_all_their_numbers(made: NestPlan) -> None:
    rows = {tag: (numbers, count) for n in made.sheets for numbers, tag, count in rows_of(n)}
    assert rows["422D lug"][1] == 3 and len(rows["422D lug"][0].split(", ")) == 3


def test_a_list_of_rectangles_and_drawings_is_read(tmp_path: Path) -> None:
    import ezdxf

    document = ezdxf.new("R2010")  # type: ignore[attr-defined]
    document.header["$INSUNITS"] = 1
    document.modelspace().add_lwpolyline([(0, 0), (5, 0), (5, 3), (0, 3)], close=True)
    document.saveas(tmp_path / "lug.dxf")
    (tmp_path / "parts.csv").write_text(
        "stock,length,width,drawing,quantity,mark,grain\nplate 1/4,20 in,8 in,,2,cover,yes\n"
        "plate 1/4,,,lug.dxf,3,lug,\n",
        encoding="utf-8",
    )
    found, audits = outlines_from(tmp_path / "parts.csv")
    assert [o.tag for o in found] == ["cover 1/2", "cover 2/2", "lug 1/3", "lug 2/3", "lug 3/3"]
    assert found[0].grain and found[2].area == pytest.approx(15 * INCH**2) and audits[0].name == "lug.dxf"
    (tmp_path / "sheets.csv").write_text(
        "stock,length,width,price,tag\nplate 1/4,120 in,60 in,USD 310,\nplate 1/4,30 in,40 in,USD 20,P-1\n",
        encoding="utf-8",
    )
    sheets = sheets_from(tmp_path / "sheets.csv")
    assert sheets[1].limit == 1 and sheets[1].length == pytest.approx(40 * INCH) and sheets[0].buyable


def test_a_drawing_without_a_unit_is_not_cut_from_until_it_is_told(tmp_path: Path) -> None:
    import ezdxf

    document = ezdxf.new("R2010")  # type: ignore[attr-defined]
    document.header["$INSUNITS"] = 0
    document.modelspace().add_lwpolyline([(0, 0), (50, 0), (50, 30), (0, 30)], close=True)
    document.saveas(tmp_path / "lug.dxf")
    with pytest.raises(EntryError, match="says no unit"):
        outlines_from(tmp_path / "lug.dxf", stock="plate 1/4")
    found, _ = outlines_from(tmp_path / "lug.dxf", stock="plate 1/4", unit="mm", count=2)
    assert len(found) == 2 and found[0].area == pytest.approx(0.0015)
    with pytest.raises(EntryError, match="no stock here"):
        outlines_from(tmp_path / "lug.dxf", unit="mm")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("stock,length,width\nplate 1/4,20 in,\n", "no width here"),
        ("stock,length,width\n,20 in,4 in\n", "no stock here"),
        ("stock,length,width\nplate,20 in,0 in\n", "a length and a width"),
        ("stock,length,width,mark\nplate,20 in,1 in,a\nplate,20 in,1 in,a\n", "two parts have one tag"),
        ("stock,drawing\nplate,none.dxf\n", "no drawing here"),
    ],
)
def test_what_cannot_be_nested_is_refused_with_file_and_line(tmp_path: Path, text: str, said: str) -> None:
    (tmp_path / "parts.csv").write_text(text, encoding="utf-8")
    with pytest.raises(Exception, match=said):
        outlines_from(tmp_path / "parts.csv")


def test_the_list_of_a_nest_has_a_row_for_every_part(made: NestPlan) -> None:
    rows = nest_rows(made)
    fields = {c.field for c in NEST_COLUMNS}
    assert len(rows) == len(made.pieces) and all(set(r) <= fields for r in rows)


def test_numbers_are_the_order_of_cutting_what_lies_in_an_opening_first(made: NestPlan) -> None:
    inside = [(nest, p) for nest in made.sheets for p in nest.placed if p.inside]
    assert inside, "the small lugs lie in the frame's opening"
    for nest, placed in inside:
        order = {p.outline.tag: number for number, p in numbered(nest)}
        assert order[placed.outline.tag] < order[placed.inside]
        assert sorted(order.values()) == list(range(1, len(nest.placed) + 1))
