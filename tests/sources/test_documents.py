"""Our files read back by programs that did not write them.

Source: ezdxf's audit and reader for DXF, pypdf for PDF, openpyxl and the csv module for lists, zxing-cpp for
the square code, Pillow for pixels.
"""

from __future__ import annotations

import csv
import io
from datetime import UTC, datetime
from math import pi

import ezdxf
import numpy as np
import openpyxl
import pypdf
import pytest
import zxingcpp
from ezdxf.document import Drawing
from PIL import Image

from plowwright.papers import bars, clock, pdf, qr, svg
from plowwright.papers.drawing import Picture
from plowwright.papers.dxf import BendLine, PlateText, RoundHole, elevation_dxf, plate_dxf
from plowwright.papers.lists import Column, Sheet, write_csv, write_xlsx
from plowwright.papers.marks import HIDDEN, flatten
from plowwright.papers.views import View

PLATE = [(0.0, 0.0, 0.0), (0.254, 0.0, 1.0), (0.254, 0.127, 0.0), (0.0, 0.127, 0.0)]
ADDRESS = "http://192.168.7.20:8000/orders/421M/build-sheet"
INK_BELOW = 128


def read_dxf(content: bytes) -> Drawing:
    document = ezdxf.read(io.StringIO(content.decode("utf-8")))  # pyright: ignore[reportPrivateImportUsage]
    audit = document.audit()
    assert audit.errors == [] and audit.fixes == []
    return document


@pytest.mark.parametrize(("units", "code", "per_metre"), [("in", 1, 1 / 0.0254), ("mm", 4, 1000.0)])
def test_a_plate_is_read_back_at_true_size_on_layers_with_plain_names(
    units: str, code: int, per_metre: float
) -> None:
    content = plate_dxf(
        [PLATE, [(0.15, 0.05), (0.2, 0.05), (0.2, 0.08), (0.15, 0.08)]],
        [RoundHole(u=0.05, v=0.06, diameter=0.0127)],
        [BendLine(start=(0.1, 0.0), end=(0.1, 0.127), note="up 90 deg")],
        [PlateText(u=0.01, v=0.01, text="web 1")],
        units=units,  # type: ignore[arg-type]
        name="web 1",
    )
    document = read_dxf(content)
    assert document.dxfversion == "AC1024" and document.header["$INSUNITS"] == code
    space = document.modelspace()
    outline, window = space.query('LWPOLYLINE[layer=="cut"]')
    assert outline.closed and window.closed
    run = [(x, y, bulge) for x, y, bulge in outline.get_points("xyb")]
    points = flatten(run, closed=True, step=0.001)
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, points[1:] + points[:1], strict=True)) / 2
    # Rectangle and half circle, 10 in x 5 in and radius 2-1/2 in; chords of 0.001 rad cost below 1e-6.
    assert area / per_metre**2 == pytest.approx(0.254 * 0.127 + pi * 0.0635**2 / 2, rel=1e-6)
    (hole,) = space.query('CIRCLE[layer=="holes"]')
    assert hole.dxf.radius / per_metre == pytest.approx(0.00635, abs=1e-8)
    assert hole.dxf.center.y / per_metre == pytest.approx(0.06, abs=1e-8)
    (bend,) = space.query('LINE[layer=="bend lines"]')
    assert bend.dxf.end.y / per_metre == pytest.approx(0.127, abs=1e-8)
    assert [text.dxf.text for text in space.query('TEXT[layer=="marking"]')] == ["web 1"]
    layers = {layer.dxf.name for layer in document.layers}
    assert {"cut", "holes", "bend lines", "marking"} <= layers
    assert document.layers.get("bend lines").dxf.linetype in document.linetypes


def test_an_elevation_drawn_one_to_ten_is_read_back_at_true_size() -> None:
    view = View(ratio=10, x=20, y=20)
    picture = Picture(200, 100)
    picture.polygon(view.points(PLATE))
    picture.line(view.at(0, 0.05), view.at(0.254, 0.05), pen=HIDDEN)
    picture.dimension(view.at(0, 0), view.at(0.254, 0), text="10 in", offset=-8)
    picture.leader(view.at(0.1, 0.1), (80, 60), "web 1/4 in")
    space = read_dxf(elevation_dxf(picture, view=view, units="in", name="front")).modelspace()
    (outline,) = space.query('LWPOLYLINE[layer=="visible outline"]')
    assert [tuple(round(v, 6) for v in point) for point in outline.get_points("xyb")] == [
        (0, 0, 0),
        (10, 0, 1),
        (10, 5, 0),
        (0, 5, 0),
    ]
    assert len(space.query('LINE[layer=="hidden"]')) == 1
    texts = {text.dxf.text for text in space.query("TEXT")}
    assert texts == {"10 in", "web 1/4 in"}
    assert len(space.query("SOLID")) == 3


def test_an_elevation_from_behind_is_written_as_it_is_seen() -> None:
    view = View(ratio=10, x=100, y=20, mirrored=True)
    picture = Picture(200, 100)
    picture.polygon(view.points(PLATE))
    space = read_dxf(elevation_dxf(picture, view=view, units="mm", name="back")).modelspace()
    (outline,) = space.query("LWPOLYLINE")
    xs = [x for x, _, _ in outline.get_points("xyb")]
    assert min(xs) == pytest.approx(-254) and max(xs) == pytest.approx(0)


PAPER = """#import "sheet.typ": *
#show: sheet.with(shop: data.shop, title: "Build sheet", order: "Order 421M", fingerprint: "7f3a-91c2",
  paper: data.paper, code: "qr", address: "shop:8000/o/421M")
#drawing("front")
#finding(name: "Hinge pins", value: "30 ksi", limit: "50 ksi", margin: "40 % left", verdict: "holds",
  bar: "pins")
#ruled(("Mark", "Length"), range(60).map(i => ("leg " + str(i), "41-1/4")), ticks: true)
"""


def paper(size: str) -> tuple[str, dict[str, str], dict[str, object]]:
    picture = Picture(150, 40)
    picture.rectangle(0, 0, 150, 40)
    picture.text((75, 20), "7 ft 0 in", anchor="middle")
    pictures = {
        "front": svg.write(picture, title="front"),
        "qr": qr.svg(ADDRESS),
        "pins": bars.bar_svg(name="Hinge pins", ratio=0.6, verdict="holds"),
    }
    return PAPER, pictures, {"shop": "Ostrel Ridge Metalworks", "paper": size}


@pytest.mark.parametrize(("size", "points"), [("us-letter", (612, 792)), ("a4", (595.28, 841.89))])
def test_every_page_of_a_paper_says_order_build_and_page_of_how_many(
    size: str, points: tuple[float, float]
) -> None:
    source, pictures, data = paper(size)
    when = datetime(2026, 11, 11, 8, 0, tzinfo=UTC)
    reader = pypdf.PdfReader(io.BytesIO(pdf.compile(source, pictures=pictures, data=data, when=when)))
    count = len(reader.pages)
    assert count > 1
    for index, page in enumerate(reader.pages, start=1):
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(points, abs=0.01)
        text = page.extract_text()
        for word in ("Ostrel Ridge Metalworks", "Build sheet", "Order 421M", "7f3a-91c2", "shop:8000/o/421M"):
            assert word in text
        assert f"page {index} of {count}" in text
    first = reader.pages[0].extract_text()
    assert "7 ft 0 in" in first and "holds, 40 % left" in first and "30 ksi; at most 50 ksi" in first
    assert "leg 59" in reader.pages[-1].extract_text()
    assert reader.metadata is not None and reader.metadata.creation_date == when


def test_the_letters_of_a_paper_are_carried_in_the_file() -> None:
    source, pictures, data = paper("a4")
    reader = pypdf.PdfReader(io.BytesIO(pdf.compile(source, pictures=pictures, data=data, when=clock.FIXED)))
    carried = [
        font["/DescendantFonts"][0].get_object()["/FontDescriptor"].get_object()
        for font in (entry.get_object() for entry in reader.pages[0]["/Resources"]["/Font"].values())
    ]
    assert carried and all({"/FontFile2", "/FontFile3"} & set(descriptor) for descriptor in carried)


@pytest.mark.parametrize("ppi", [100.0, 150.0])
def test_the_code_on_a_printed_page_opens_the_pages_address(ppi: float) -> None:
    source, pictures, data = paper("us-letter")
    for page in pdf.pages_png(source, pictures=pictures, data=data, ppi=ppi):
        grey = Image.open(io.BytesIO(page)).convert("L")
        assert [code.text for code in zxingcpp.read_barcodes(grey)] == [ADDRESS]


def test_a_code_has_error_level_m_and_is_never_a_micro_code() -> None:
    picture = pdf.pages_png(
        '#set page(width: 4cm, height: 4cm)\n#image("pictures/qr.svg", width: 100%)',
        pictures={"qr": qr.svg("A")},
    )
    (code,) = zxingcpp.read_barcodes(Image.open(io.BytesIO(picture[0])))
    assert (code.text, code.format, code.ec_level) == ("A", zxingcpp.BarcodeFormat.QRCode, "M")


def test_a_drawing_lies_on_the_page_at_its_true_size() -> None:
    source, pictures, data = paper("a4")
    ppi = 100.0
    page = Image.open(io.BytesIO(pdf.pages_png(source, pictures=pictures, data=data, ppi=ppi)[0])).convert(
        "L"
    )
    dark = np.asarray(page) < INK_BELOW
    longest = max(_longest_run(row) for row in dark[int(1.3 * ppi) : int(3.5 * ppi)])
    # The frame of the drawing is 150 mm wide; one pixel is a quarter of a millimetre.
    assert longest / ppi * 25.4 == pytest.approx(150, abs=1.0)


def test_the_check_ruler_at_the_foot_is_three_inches_long() -> None:
    source, pictures, data = paper("us-letter")
    ppi = 200.0
    page = Image.open(io.BytesIO(pdf.pages_png(source, pictures=pictures, data=data, ppi=ppi)[0])).convert(
        "L"
    )
    dark = np.asarray(page) < INK_BELOW
    longest = max(_longest_run(row[: int(4.5 * ppi)]) for row in dark[int(10.0 * ppi) :])
    assert longest / ppi == pytest.approx(3.0, abs=0.02)


def _longest_run(row: np.ndarray) -> int:
    best = count = 0
    for dark in row:
        count = count + 1 if dark else 0
        best = max(best, count)
    return best


COLUMNS = (
    Column(field="mark", heading="Mark"),
    Column(field="length", heading="Length", unit="in", decimals=4),
    Column(field="pieces", heading="Pieces"),
    Column(field="done", heading="Done"),
)
ROWS = (
    {"mark": "leg, 3 x 3 \u00d7 1/4", "length": 41.25, "pieces": 2, "done": True},
    {"mark": "=1+1", "length": 3.5, "pieces": 1, "done": False},
)


def test_a_workbook_is_read_back_with_numbers_as_numbers_and_no_formula() -> None:
    content = write_xlsx(
        [Sheet(name="Cut list", columns=COLUMNS, rows=ROWS, caption="Order 421M")], title="421M"
    )
    book = openpyxl.load_workbook(io.BytesIO(content))
    page = book["Cut list"]
    assert [cell.value for cell in page[3]] == ["Mark", "Length [in]", "Pieces", "Done"]
    assert [cell.value for cell in page[4]] == ["leg, 3 x 3 \u00d7 1/4", 41.25, 2, "yes"]
    assert page["A5"].value == "=1+1" and page["A5"].data_type == "s"
    assert page["B4"].data_type == "n" and page["B4"].number_format == "General"
    assert page.freeze_panes == "A4" and page.column_dimensions["A"].width > 15
    assert page["A1"].value == "Order 421M" and book.properties.title == "421M"


def test_the_dates_in_a_workbook_are_the_given_ones() -> None:
    when = datetime(2026, 11, 11, 8, 0, tzinfo=UTC)
    content = write_xlsx([Sheet(name="Cut list", columns=COLUMNS, rows=ROWS)], when=when)
    book = openpyxl.load_workbook(io.BytesIO(content))
    naive = when.replace(tzinfo=None)
    assert (book.properties.created, book.properties.modified) == (naive, naive)


def test_a_csv_is_read_back_row_by_row() -> None:
    text = write_csv(ROWS, COLUMNS).decode("utf-8-sig")
    assert list(csv.reader(io.StringIO(text, newline=""))) == [
        ["Mark", "Length [in]", "Pieces", "Done"],
        ["leg, 3 x 3 \u00d7 1/4", "41.25", "2", "yes"],
        ["'=1+1", "3.5", "1", "no"],
    ]
