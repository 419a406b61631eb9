"""Booklet, wear card and history sheet: this serial's numbers, nothing surer than what is on file, cautions on it."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import pypdf
import pytest

from plowwright.blade import spec as specs
from plowwright.blade.build import work_out
from plowwright.papers import pdf
from plowwright.papers.booklet import CAUTIONS, booklet
from plowwright.papers.content import Paper, source
from plowwright.papers.history_sheet import SerialSheet, as_pdf, history_sheet
from plowwright.papers.life_line import life_line
from plowwright.papers.wear_card import rows_of, turn_said, wear_card
from plowwright.rulebook import load
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.service import Life, write
from plowwright.shop.service_parts import spares_for
from plowwright.units import INCH

ON = date(2026, 11, 11)


@pytest.fixture(scope="module")
def rules(demo_dir: Path) -> Rulebook:
    """Today's rules."""
    return load(demo_dir / "rulebook")


@pytest.fixture
def sheet(rules: Rulebook) -> SerialSheet:
    """A Basalt 84 with a test card."""
    entry = {"series": "basalt", "width": "84 in", "mount": "loader", "carrier": "skid steer", "hoses": "flat-face"}
    build = work_out(specs.from_dict(entry), rules, level=0)
    life = write(Life(serial="B84-26-001"), "as-built", "built for H.L.", day=date(2026, 10, 1))
    life = write(life, "test card", "proved", day=date(2026, 10, 1),
                 facts={"left end forward": "7.2 s", "restrictor stamp": "#54", "relief": "2,450 psi"})  # fmt: skip
    return SerialSheet(
        serial="B84-26-001", build=build, life=life, today=rules, spares=spares_for(build, rules, life=life),
        owner="H.L.", carrier="K7", weighed=455.0, doubts=(), system="us", paper="us-letter", on=ON,
    )  # fmt: skip


def read(sheet: SerialSheet, paper: Paper) -> str:
    pages = pypdf.PdfReader(io.BytesIO(as_pdf(sheet, paper))).pages
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pages))


def test_the_booklet_has_this_serials_numbers(sheet: SerialSheet) -> None:
    text = read(sheet, booklet(sheet))
    for said in ("B84-26-001", "84 in", "1,003 lb, weighed", "#54 (test card of 01 Oct 2026)", "left end forward 7.2 s",
                 "2,450 psi (test card of 01 Oct 2026)", "4 of 3/8, 4", "flat 8 x 1/2", "3 notches"):  # fmt: skip
        assert said in text, said


def test_what_nobody_noted_is_said_to_be_missing(sheet: SerialSheet) -> None:
    life = Life(serial="B84-26-001")
    spares = spares_for(sheet.build, sheet.today, life=life)
    bare = replace(sheet, life=life, weighed=None, spares=spares)
    text = read(bare, booklet(bare))
    assert "not known: nobody noted it" in text and "by the model" in text and "nobody noted what it was" in text
    assert "nothing noted" in text and "#54" not in text and "weighed" not in text


def test_cautions_and_the_machines_own_book_stand_in_every_booklet(sheet: SerialSheet) -> None:
    text = read(sheet, booklet(sheet))
    assert "Read your machine's own book first" in text
    assert all(re.sub(r"\s+", " ", caution) in text for caution in CAUTIONS)
    assert "not the work of a licensed engineer" in text and "by the bolt maker's table" in text


def test_a_number_that_is_a_setting_to_be_made_is_not_told_as_one_that_was(sheet: SerialSheet) -> None:
    life = write(Life(serial="X"), "as-built", "built", day=ON, facts={"relief to be set to": "2,500 psi"})
    text = read(sheet, booklet(replace(sheet, life=life)))
    assert "to be set to 2,500 psi; nobody noted what it was" in text


def test_the_wear_card_says_new_and_end_of_edge_pins_and_springs(sheet: SerialSheet) -> None:
    rows = {row[0]: row for row in rows_of(sheet)}
    hang = sheet.build.datum.foot
    assert rows["edge, left end"][2] == sheet.length(hang) and rows["edge, left end"][3] == "1/4 in: turn or renew"
    assert hang > 0.25 * INCH
    assert rows["hinge pins, 4"][2:] == ("1-1/4 in", "1-3/16 in: renew")
    assert rows["trip springs, 4"][2] == "14-1/2 in"
    made = as_pdf(sheet, wear_card(sheet))
    assert len(pypdf.PdfReader(io.BytesIO(made)).pages) == 1, "it is cut out of one sheet"
    assert read(sheet, wear_card(sheet)).count("Wear card B84-26-001 Basalt 84 in Measure") == 2


def test_only_an_edge_whose_holes_read_alike_from_both_ends_is_told_to_be_turned(sheet: SerialSheet) -> None:
    assert sheet.build.datum.layout.is_flippable() == turn_said(sheet).startswith("The edge may be turned")
    assert "never face for face" in turn_said(sheet)


def test_the_history_tells_what_stands_and_how_much_was_put_right(sheet: SerialSheet) -> None:
    life = write(sheet.life, "failure", "crack in the throat", day=ON, place="leg to hinge beam")
    life = write(life, "note", "it was a scratch", day=ON, replaces=3)
    text = read(sheet, history_sheet(replace(sheet, life=life)))
    assert "it was a scratch" in text and "crack in the throat" not in text
    assert "1 written wrongly and put right" in text


def test_the_code_opens_the_history_of_the_serial(sheet: SerialSheet, rules: Rulebook) -> None:
    zxing = pytest.importorskip("zxingcpp")
    from PIL import Image

    paper = wear_card(sheet)
    from plowwright.papers import qr

    pictures = {**paper.pictures, "qr": qr.svg(sheet.link())}
    (page, *_) = pdf.pages_png(source(paper.template), pictures=pictures, data=paper.data, ppi=200.0)
    found = zxing.read_barcodes(Image.open(io.BytesIO(page)))
    assert [code.text for code in found] == [f"{rules.shop.address_on_network.rstrip('/')}/history/B84-26-001"]


def test_both_sheet_sizes_and_units_are_set(sheet: SerialSheet) -> None:
    metric = replace(sheet, system="metric", paper="a4")
    text = read(metric, booklet(metric))
    assert "2134 mm" in text and "455 kg, weighed" in text and " lb" not in text.replace("lbf", "")


def test_the_line_of_a_life_names_every_winter_and_no_two_words_lie_on_each_other(sheet: SerialSheet) -> None:
    life = write(Life(serial="X"), "as-built", "built", day=date(2021, 11, 18))
    for day in (18, 19, 20, 21):
        life = write(life, "failure", "crack", day=date(2022, 1, day), place="king pin")
    page = life_line(life, today=ON, width=236.0)
    words = [mark for mark in page.marks if hasattr(mark, "text")]
    said = [mark.text for mark in words]
    assert [w for w in said if "/" in w] == ["2021/22", "2022/23", "2023/24", "2024/25", "2025/26", "2026/27"]
    heights = [mark.y for mark in words if mark.text == "failure"]
    assert len(set(heights)) == 4, "four failures in four days stand in four rows"
