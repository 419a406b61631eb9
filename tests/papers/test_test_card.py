"""The test card: one page, the seconds of the swing, room to write, cautions that cannot be left out."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from pypdf import PdfReader

from plowwright import units
from plowwright.blade.carried import moved
from plowwright.blade.carrier_facts import fact
from plowwright.blade.carriers import Carrier
from plowwright.blade.moving.card import TestCard, card_of
from plowwright.blade.moving.judging import seconds
from plowwright.desk.desk import Desk
from plowwright.errors import NotFoundError
from plowwright.papers import content, pdf, qr
from plowwright.papers.content import Sheet
from plowwright.papers.elevations import System
from plowwright.papers.pdf import PaperSize
from plowwright.papers.test_card import card_sheet
from plowwright.shop.worked import Worked

DAY = date(2026, 11, 11)
ORDERS = ("418K", "422D", "424H", "425V", "428C", "432N")


def _card(sheet: Sheet, carrier: Carrier | None) -> TestCard:
    swing = moved(sheet.build, carrier).swinging
    assert swing is not None
    return card_of(sheet.build, swing)


def _sheet(desk: Desk, number: str, *, system: System = "us", paper: PaperSize = "us-letter") -> tuple[Sheet, Carrier]:
    spec, order = desk.spec_of(number)
    assert order is not None
    carrier = desk.strength.carrier(order.carrier)
    assert carrier is not None
    return Sheet(worked=desk.worked(spec), system=system, paper=paper, on=DAY, number=number), carrier


def _pages(sheet: Sheet, carrier: Carrier | None) -> list[str]:
    paper = card_sheet(sheet, carrier)
    made = pdf.compile(
        content.source(paper.template), pictures={**paper.pictures, "qr": qr.svg(sheet.link())}, data=paper.data,
        when=datetime(2026, 11, 11, tzinfo=UTC),
    )  # fmt: skip
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(made)).pages]


@pytest.mark.parametrize("paper", ["us-letter", "a4"])
@pytest.mark.parametrize("number", ORDERS)
def test_the_card_is_one_page_with_order_fingerprint_and_every_expected_time(
    desk: Desk, number: str, paper: PaperSize
) -> None:
    sheet, carrier = _sheet(desk, number, paper=paper)
    (said,) = _pages(sheet, carrier)
    assert number in said and sheet.build.fingerprint in said and "page 1 of 1" in said
    for row in _card(sheet, carrier).rows:
        assert seconds(row.expected) in said
        assert f"{row.low:.1f} to {seconds(row.high)}" in said
        assert row.says in said
    assert carrier.name in said and "On the test pack" in said


def test_each_way_has_three_boxes_on_the_pack_and_on_the_carrier(desk: Desk) -> None:
    sheet, carrier = _sheet(desk, "421M")
    data = card_sheet(sheet, carrier).data
    assert [len(group["rows"]) for group in data["groups"]] == [2, 2]
    (said,) = _pages(sheet, carrier)
    assert said.count("1st") == said.count("3rd") == 2


def test_it_says_the_drill_the_relief_and_what_is_proved(desk: Desk) -> None:
    sheet, carrier = _sheet(desk, "421M")
    card = _card(sheet, carrier)
    (said,) = _pages(sheet, carrier)
    assert f"drill {card.drill}" in said and card.relief is not None
    assert units.say(card.relief, "pressure", digits=0) in said
    for line in (*card.checks, *card.cautions):
        assert line in said
    for blank in ("Serial", "Oil, pack", "Oil, carrier", "Relief set to", "Restrictor stamp", "Trip lets go at"):
        assert blank in said
    assert "not the work of a licensed engineer" in said


def test_metric_cards_speak_bar_and_degrees_celsius(desk: Desk) -> None:
    sheet, carrier = _sheet(desk, "421M", system="metric", paper="a4")
    (said,) = _pages(sheet, carrier)
    assert "degC" in said and "bar" in said and "degF" not in said and "psi" not in said


def test_without_a_carrier_only_the_packs_rows_stand_and_what_to_ask_is_named(desk: Desk) -> None:
    sheet, _ = _sheet(desk, "421M")
    (said,) = _pages(sheet, None)
    assert "carrier not known" in said and "first hour" not in said
    assert "Not known of the carrier, ask before its times are trusted: oil pressure, auxiliary flow." in said


def test_a_told_relief_never_reads_as_known(desk: Desk) -> None:
    sheet, _ = _sheet(desk, "421M")
    told = Carrier(name="B.N.", kind="skid steer").learn(fact("pressure", "3,000 psi", source="told", on=DAY))
    (said,) = _pages(sheet, told)
    assert re.search(r"Would hold if the oil pressure really is 3,000 psi as told", said)


def test_a_rulebook_without_swing_settings_says_what_to_copy(desk: Desk) -> None:
    sheet, carrier = _sheet(desk, "421M")
    rules = replace(sheet.build.rulebook, data=sheet.build.rulebook.data.model_copy(update={"swing": None}))
    build = replace(sheet.build, rulebook=rules)
    with pytest.raises(NotFoundError, match=r"no swing\.toml"):
        card_sheet(replace(sheet, worked=Worked(build=build, price=sheet.worked.price)), carrier)
