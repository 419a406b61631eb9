"""Nests as DXF: read again by the library that knows the format, built up as polygons, and held against the plan."""

from __future__ import annotations

import io
from collections.abc import Iterator
from math import pi

import ezdxf
import pytest
from ezdxf import path as dxf_path
from ezdxf.document import Drawing
from shapely import LineString, Point, Polygon

from plowwright.errors import ModelError
from plowwright.papers.nest_dxf import piece_dxf, sheet_dxf
from plowwright.physics.regions import circle, flatten, polygon, rectangle, rounded_rectangle
from plowwright.shop.nest_checker import shape_of
from plowwright.shop.nesting import plan
from plowwright.shop.nesting_model import NestedSheet, Outline, RestRule, Sheet
from plowwright.shop.nesting_order import cut_order

CURVE = 5e-5
"""The library that reads the file makes cubic curves of arcs, which lie this close to them [m]."""
PER_METRE = {"in": 1 / 0.0254, "mm": 1000.0}
FRAME = Outline(
    stock="plate 1/4", tag="420A frame", mark="frame", outer=rounded_rectangle(0.5, 0.4, 0.05),
    inner=(circle(0, 0, 0.15),), drilled=(circle(0.2, 0.15, 0.008), circle(-0.2, 0.15, 0.008)),
)  # fmt: skip
LUG = Outline(
    stock="plate 1/4", tag="420A lug", mark="lug", outer=((0, 0, 0.0), (0.1, 0, 1.0), (0.1, 0.06, 0.0), (0, 0.06, 0.0)),
    inner=(circle(0.1, 0.03, 0.01),),
)  # fmt: skip
WEB = Outline(stock="plate 1/4", tag="421M web", mark="web", outer=polygon([(0, 0), (0.3, 0), (0.05, 0.25)]))


@pytest.fixture(scope="module")
def nested() -> NestedSheet:
    sheet = Sheet(stock="plate 1/4", length=1.6, width=0.6, price=50.0)
    turns = (0.0, 0.4, pi / 2, pi)
    made = plan([FRAME, LUG, WEB], [sheet], 0.01, turns, 1.0, rest_rule=RestRule(least=0.2, value_share=0.4))
    return made.sheets[0]


def read(content: bytes) -> Drawing:
    document = ezdxf.read(io.StringIO(content.decode("utf-8")))
    auditor = document.audit()
    assert not auditor.errors and not auditor.fixes
    return document


def loops(document: Drawing, layer: str, units: str) -> Iterator[Polygon]:
    for entity in document.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]'):
        assert entity.closed  # type: ignore[attr-defined]
        points = dxf_path.make_path(entity).flattening(1e-5 * PER_METRE[units])  # type: ignore[type-var]
        yield Polygon([(p.x / PER_METRE[units], p.y / PER_METRE[units]) for p in points])


@pytest.mark.parametrize("units", ["in", "mm"])
def test_the_polygons_of_the_file_are_those_of_the_nest(nested: NestedSheet, units: str) -> None:
    document = read(sheet_dxf(nested, units=units))  # type: ignore[arg-type]
    outlines, openings = ([*loops(document, layer, units)] for layer in ("outlines", "openings"))
    assert (len(outlines), len(openings)) == (3, 2)
    for placed in nested.placed:
        shape = shape_of(placed)
        whole = Polygon(shape.exterior)
        twin = min(outlines, key=lambda p: p.symmetric_difference(whole).area)
        assert twin.symmetric_difference(whole).area < CURVE * whole.length
        for ring in shape.interiors:
            hole = Polygon(ring)
            assert min(p.symmetric_difference(hole).area for p in openings) < CURVE * hole.length
    (border,) = loops(document, "sheet", units)
    assert border.bounds == pytest.approx((0, 0, 1.6, 0.6), abs=1e-6)
    assert all(border.contains(p) for p in outlines)


def test_cuts_stand_in_the_file_in_the_order_in_which_they_are_made(nested: NestedSheet) -> None:
    document = read(sheet_dxf(nested, units="mm"))
    layers = {"outlines": "outline", "openings": "opening", "rest cuts": "rest"}
    written = [layers[e.dxf.layer] for e in document.modelspace() if e.dxf.layer in layers]
    assert written == [c.kind for c in cut_order(nested)]
    starts = [
        e.get_points("xy")[0] for e in document.modelspace().query('LWPOLYLINE[layer=="outlines"]')  # type: ignore[attr-defined]
    ]  # fmt: skip
    wanted = [c.start for c in cut_order(nested) if c.kind == "outline"]
    assert [tuple(x / 1000 for x in p) for p in starts] == [pytest.approx(w, abs=1e-6) for w in wanted]


def test_arcs_stay_arcs_and_drilled_holes_stay_circles_off_the_cut(nested: NestedSheet) -> None:
    document = read(sheet_dxf(nested, units="mm"))
    bulges = [
        b for e in document.modelspace().query('LWPOLYLINE[layer=="openings"]') for (b,) in e.get_points("b")  # type: ignore[attr-defined]
    ]  # fmt: skip
    assert bulges and all(abs(abs(b) - 1) < 1e-9 for b in bulges)
    drilled = [*document.modelspace().query("CIRCLE")]
    assert len(drilled) == 2
    assert all(e.dxf.layer == "holes to drill" and e.dxf.radius == pytest.approx(8.0) for e in drilled)


def test_every_piece_and_rest_is_marked_with_its_tag_on_itself(nested: NestedSheet) -> None:
    document = read(sheet_dxf(nested, units="mm"))
    texts = {e.dxf.text: e for e in document.modelspace().query("TEXT")}
    assert set(texts) == {p.outline.tag for p in nested.placed} | {r.tag for r in nested.rests}
    assert all(e.dxf.layer == "marking" for e in texts.values())
    for placed in nested.placed:
        at = texts[placed.outline.tag].dxf.insert
        assert Polygon(shape_of(placed).exterior).buffer(0.01).contains(Point(at.x / 1000, at.y / 1000))


def test_rest_cuts_free_the_rests(nested: NestedSheet) -> None:
    document = read(sheet_dxf(nested, units="mm"))
    lines = [*document.modelspace().query('LINE[layer=="rest cuts"]')]
    polylines = [*document.modelspace().query('LWPOLYLINE[layer=="rest cuts"]')]
    assert len(lines) + len(polylines) == len(nested.freeing()) > 0
    pieces = [shape_of(p) for p in nested.placed]
    for low, high, across, at in nested.freeing():
        cut = LineString([(at, low), (at, high)] if across else [(low, at), (high, at)])
        assert min(p.distance(cut) for p in pieces) > 0.009


def test_a_piece_by_itself_is_its_own_file(nested: NestedSheet) -> None:
    document = read(piece_dxf(FRAME, units="in"))
    outline, hole = sorted(loops(document, "cut", "in"), key=lambda p: -p.area)
    assert outline.symmetric_difference(Polygon(flatten(FRAME.outer, 1e-6))).area < 1e-5
    assert hole.area == pytest.approx(pi * 0.15**2, rel=1e-3)
    assert len(document.modelspace().query('CIRCLE[layer=="holes"]')) == 2
    assert {e.dxf.text for e in document.modelspace().query("TEXT")} == {"frame, plate 1/4"}


def test_the_same_nest_gives_the_same_file(nested: NestedSheet) -> None:
    assert sheet_dxf(nested, units="mm") == sheet_dxf(nested, units="mm")


def test_a_square_hole_cannot_be_drilled() -> None:
    square = Outline(stock="p", tag="x", outer=rectangle(0, 0, 1, 1), drilled=(rectangle(0.4, 0.4, 0.5, 0.5),))
    with pytest.raises(ModelError, match=r"x: a hole to drill is not round .*List it among the openings"):
        piece_dxf(square, units="mm")
