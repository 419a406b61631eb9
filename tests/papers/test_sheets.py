from __future__ import annotations

import csv
import io
import json
import re
from datetime import date
from pathlib import Path

import ezdxf
import pytest
from pypdf import PdfReader

from plowwright import rulebook
from plowwright.blade.spec import Spec
from plowwright.papers import sheets
from plowwright.shop.worked import Worked, work_out
from plowwright.units import pounds
from plowwright.units.constants import INCH

DAY = date(2026, 11, 11)


@pytest.fixture(scope="module")
def worked(demo_dir: Path) -> Worked:
    rules = rulebook.load(demo_dir / "rulebook")
    spec = Spec(
        series="basalt",
        width=84 * INCH,
        mount="loader",
        carrier_kind="skid steer",
        hoses="flat-face",
        extras=("markers",),
        customer="H.L.",
    )
    return work_out(spec, rules)


@pytest.fixture(scope="module")
def folder(worked: Worked, tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("papers")
    sheets.write_papers(worked, out, on=DAY, number="421M")
    return out


def text(path: Path) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(path).pages)


def test_every_paper_carries_order_fingerprint_and_page_count(worked: Worked, folder: Path) -> None:
    papers = sorted(folder.glob("*.pdf"))
    wanted = [
        "bill of materials", "build sheet", "cut list", "fitting sheet", "hole sheet", "hose sheet", "kit list",
        "labels", "quote", "test card", "will it hold",
    ]  # fmt: skip
    assert [p.stem for p in papers] == wanted
    for paper in papers:
        said = text(paper)
        assert "421M" in said and worked.build.fingerprint in said
        assert paper.stem == "labels" or f"of {len(PdfReader(paper).pages)}" in said


def test_two_papers_do_not_disagree_about_the_weight(worked: Worked, folder: Path) -> None:
    tenth, whole = f"{pounds(worked.build.mass):,.1f} lb", f"{pounds(worked.build.mass):,.0f} lb"
    for name, said in (("build sheet", tenth), ("bill of materials", tenth), ("quote", whole)):
        assert said in text(folder / f"{name}.pdf"), name


def test_the_bill_names_every_piece_once_and_sums_to_the_mass_without_weld_and_paint(
    worked: Worked, folder: Path
) -> None:
    rows = list(csv.DictReader(io.StringIO((folder / "bill of materials.csv").read_text(encoding="utf-8-sig"))))
    mass = sum(float(r["Mass [lb]"]) for r in rows) if "Mass [lb]" in rows[0] else None
    column = next(c for c in rows[0] if c.startswith("Mass") and "each" not in c)
    mass = mass if mass is not None else sum(float(r[column]) for r in rows)
    groups = worked.build.tally.group_masses
    welded = groups["weld metal"] + groups["paint"]
    assert mass == pytest.approx(pounds(worked.build.mass - welded), abs=0.2)
    said = text(folder / "bill of materials.pdf")
    assert all(row.mark in said for row in worked.build.bill.rows)


def test_the_customers_quote_holds_price_and_deposit_but_nothing_of_cost_or_margin(
    worked: Worked, folder: Path
) -> None:
    said = text(folder / "quote.pdf")
    assert f"{worked.price.total:,.0f}" in said and "11 December 2026" in said
    for word in ("margin", "floor", f"{worked.price.owner.cost:,.2f}", f"{worked.price.owner.cost:,.0f}"):
        assert word not in said.lower()


def test_the_build_sheet_shows_the_correction_as_a_line_of_its_own_with_its_interval(folder: Path) -> None:
    said = text(folder / "build sheet.pdf")
    assert "Correction from scale tickets: no scale tickets yet" in said


def test_the_frozen_quote_reads_back(worked: Worked, folder: Path) -> None:
    quote = sheets.frozen((folder / "quote.json").read_text())
    assert quote.total == worked.price.total
    assert quote.build_fingerprint == worked.build.fingerprint


def test_the_hole_sheet_reads_every_distance_from_one_end(worked: Worked, folder: Path) -> None:
    said = text(folder / "hole sheet.pdf")
    for place in ("3-1/2 in", "14-1/2 in", "80-1/2 in", "84 in"):
        assert place in said


def test_every_plate_is_a_closed_outline_of_true_size(worked: Worked, folder: Path) -> None:
    names = {p.stem for p in (folder / "plates").glob("*.dxf")}
    assert {"skin", "web", "ear", "mount plate", "king-pin plate"} <= names
    for path in (folder / "plates").glob("*.dxf"):
        document = ezdxf.readfile(path)
        assert not document.audit().errors
        assert document.header["$INSUNITS"] == 1
    skin = ezdxf.readfile(folder / "plates" / "skin.dxf")
    points = [p for line in skin.modelspace().query("LWPOLYLINE") for p in line.get_points("xy")]
    width = max(p[0] for p in points) - min(p[0] for p in points)
    assert width == pytest.approx(84, abs=1e-3)


def test_every_plate_has_its_picture_and_the_four_elevations_are_one_drawing_of_true_size(folder: Path) -> None:
    pictures = {p.stem for p in (folder / "plates").glob("*.svg")}
    assert pictures == {p.stem for p in (folder / "plates").glob("*.dxf")}
    document = ezdxf.readfile(folder / "elevations.dxf")
    assert not document.audit().errors and document.header["$INSUNITS"] == 1
    words = {t.dxf.text for t in document.modelspace().query("TEXT")}
    assert {"from the front", "from the left", "from behind", "from above, at full angle", "84 in"} <= words


def test_metric_lists_have_holes_in_millimetres(worked: Worked, tmp_path: Path) -> None:
    sheets.write_papers(worked, tmp_path, on=DAY, number="421M", system="metric", paper="a4")
    cut = (tmp_path / "cut list.csv").read_text(encoding="utf-8-sig")
    assert re.search(r"\d+ round holes? \d+\.\d mm", cut) and " in" not in "".join(re.findall(r"holes? [^,;\n]*", cut))
    assert re.search(r"\d+, 1\d\.\d mm square", text(tmp_path / "hole sheet.pdf"))


def test_papers_are_the_same_byte_for_byte_in_test_mode(
    worked: Worked, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PLOWWRIGHT_TEST_MODE", "1")
    first, second = tmp_path / "a", tmp_path / "b"
    for out in (first, second):
        sheets.write_papers(worked, out, on=DAY, number="421M", system="metric", paper="a4")
    for path in first.rglob("*.*"):
        assert path.read_bytes() == (second / path.relative_to(first)).read_bytes(), path.name


def test_metric_papers_on_a4_speak_millimetres_and_kilograms(worked: Worked, tmp_path: Path) -> None:
    sheets.write_papers(worked, tmp_path, on=DAY, number="421M", system="metric", paper="a4")
    said = text(tmp_path / "build sheet.pdf")
    assert f"{worked.build.mass:.1f} kg" in said and "2134 mm" in said
    box = PdfReader(tmp_path / "build sheet.pdf").pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx((595.3, 841.9), abs=0.5)


def test_progress_names_each_paper_before_it_is_written(worked: Worked, tmp_path: Path) -> None:
    said: list[str] = []
    written = sheets.write_papers(worked, tmp_path, on=DAY, progress=said.append)
    assert said == [w.what for w in written]
    assert json.loads((tmp_path / "quote.json").read_text())["total"] == worked.price.total


def test_a_metric_hole_sheet_speaks_millimetres_throughout(worked: Worked, tmp_path: Path) -> None:
    sheets.write_papers(worked, tmp_path, system="metric", paper="a4", on=DAY, number="421M")
    said = text(tmp_path / "hole sheet.pdf")
    assert "100 mm across, 25 mm up" in said and "Blank: " in said
    assert " in serves" not in said and "/16 in" not in said and "/2 in" not in said
