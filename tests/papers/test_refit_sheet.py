"""The refit sheet and the refit quote: two pages and one, the four lists, both mounts drawn, cautions, no cost."""

from __future__ import annotations

import json
import re
from datetime import date

import pytest

from plowwright import units
from plowwright.desk.desk import Desk
from plowwright.desk.refit import RefitDesk, Refitted
from plowwright.papers import content, pdf, qr, svg
from plowwright.papers.content import Paper
from plowwright.papers.refit_mount import side_by_side
from plowwright.papers.refit_sheet import CAUTIONS, RefitSheet, new_plates, quote_sheet, refit_sheet
from plowwright.papers.sheets import PaperName


@pytest.fixture(scope="module")
def found() -> Refitted:
    return RefitDesk(Desk.demo()).work_out("430W", level=1)


def sheet_of(found: Refitted, system: units.System = "us", paper: PaperName = "letter") -> RefitSheet:
    return RefitSheet(
        refit=found.refit, price=found.price, system=system, paper=paper, on=date(2026, 11, 11), number="430W"
    )


def pages(sheet: RefitSheet, paper: Paper) -> list[bytes]:
    pictures = {**paper.pictures, "qr": qr.svg(sheet.link())}
    return pdf.pages_png(content.source(paper.template), pictures=pictures, data=paper.data, ppi=20)


@pytest.mark.parametrize(("system", "paper"), [("us", "letter"), ("metric", "a4")])
def test_the_sheet_has_two_pages_and_the_quote_one(found: Refitted, system: units.System, paper: PaperName) -> None:
    sheet = sheet_of(found, system, paper)
    with units.speaking(system):
        assert len(pages(sheet, refit_sheet(sheet))) == 2
        assert len(pages(sheet, quote_sheet(sheet))) == 1


def test_the_sheet_names_all_four_lists_and_the_lever(found: Refitted) -> None:
    data = refit_sheet(sheet_of(found)).data
    assert [row[1] for row in data["change"]][:2] == ["mount plate", "4 lugs"]
    assert data["buy"][0][2] == "hose set, poppet"
    assert "2 legs" in data["keep"] and "2 restrictors" in data["keep"]
    assert any(row[0] == "look over king pin" for row in data["check"])
    assert data["lever"] == found.refit.lever_note


def test_what_the_new_machine_makes_worse_comes_first_with_how_it_was(found: Refitted) -> None:
    rows = refit_sheet(sheet_of(found)).data["checks"]
    assert rows[0][2].endswith(" on K7)") and "(as on K7)" not in rows[0][2]
    assert rows[-1][1].startswith("and ") and rows[-1][1].endswith("more that do not simply hold")


def test_both_papers_say_whether_the_machine_carries_it(found: Refitted) -> None:
    assert found.refit.suit is not None
    sheet = sheet_of(found)
    assert refit_sheet(sheet).data["suit"] == quote_sheet(sheet).data["suit"] == found.refit.suit.sentence


def test_every_act_that_can_hurt_has_its_caution(found: Refitted) -> None:
    said = " ".join(refit_sheet(sheet_of(found)).data["cautions"])
    assert "Springs are under load" in said and "grind paint, zinc and oil" in said
    assert "moving air" in said and "nobody under it" in said
    assert refit_sheet(sheet_of(found)).data["cautions"] == list(CAUTIONS)


def test_no_cost_and_no_margin_reach_the_customer(found: Refitted) -> None:
    data = quote_sheet(sheet_of(found)).data
    text = json.dumps(data)
    assert f"{found.price.total:,.2f}" in text
    assert f"{found.price.cost:,.2f}" not in text and "margin" not in text
    assert any("nothing is cut before" in line for line in data["terms"])


def test_both_mounts_are_drawn_at_one_scale_and_what_is_new_is_thick(found: Refitted) -> None:
    picture = svg.write(side_by_side(found.refit, width=180.0, system="us"), title="mounts")
    assert "45 in" in picture and "34 in" in picture
    assert "base, left" in picture and "base, right" in picture
    lugs = re.findall(r'data-part="lug \d"', picture)
    assert len(lugs) == 8  # four from behind, four from above
    assert "1:20" in picture or "1:24" in picture


def test_a_refit_without_new_plates_draws_none() -> None:
    same = RefitDesk(Desk.demo()).work_out("B90-22-017", "K6", level=0)
    assert new_plates(same.refit) == []
