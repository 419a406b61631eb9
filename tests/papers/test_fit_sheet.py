"""The fit sheet: one page, every fact with its source, the worst first, no cost, cautions that stay."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from pypdf import PdfReader

from plowwright import units
from plowwright.blade.carrier_facts import NAMES, fact
from plowwright.blade.carriers import Carrier
from plowwright.blade.suit.results import Suit
from plowwright.blade.suit.suits import suits
from plowwright.blade.work import UNTOLD, Work
from plowwright.desk.desk import Desk
from plowwright.papers import content, fit_sheet, pdf, qr
from plowwright.papers.content import Sheet
from plowwright.papers.elevations import System
from plowwright.papers.pdf import PaperSize

DAY = date(2026, 11, 11)
ORDERS = ("422D", "424H", "425V", "428C", "432N")
ALL_TOLD = Work(
    ground="pavement", driver="hired", curbs=True, road=True, ice=True, snow="", depth=0.3, gate=2.6, width=2.1,
    duty_class="standard", note="wants it by Friday",
)  # fmt: skip


def _sheet(desk: Desk, number: str, *, system: System = "us", paper: PaperSize = "us-letter") -> Sheet:
    spec, _ = desk.spec_of(number)
    return Sheet(worked=desk.worked(spec), system=system, paper=paper, on=DAY, number=number)


def _carrier(desk: Desk, number: str) -> Carrier:
    carrier = desk.strength.carrier(desk.order(number).carrier)
    assert carrier is not None
    return carrier


def _suit(sheet: Sheet, carrier: Carrier, work: Work = UNTOLD) -> Suit:
    found = suits(sheet.build, carrier, work)
    assert found is not None
    return found


def _pages(sheet: Sheet, suit: Suit) -> list[str]:
    paper = fit_sheet.fit_sheet(sheet, suit, why=("It is the widest that clears the tyres.",))
    made = pdf.compile(
        content.source(paper.template), pictures={**paper.pictures, "qr": qr.svg(sheet.link())}, data=paper.data,
        when=datetime(2026, 11, 11, tzinfo=UTC),
    )  # fmt: skip
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(made)).pages]


@pytest.mark.parametrize("paper", ["us-letter", "a4"])
@pytest.mark.parametrize("number", ORDERS)
def test_it_is_one_page_however_much_was_told(desk: Desk, number: str, paper: PaperSize) -> None:
    sheet = _sheet(desk, number, paper=paper)
    pages = _pages(sheet, _suit(sheet, _carrier(desk, number), ALL_TOLD))
    assert len(pages) == 1
    assert number in pages[0] and sheet.build.fingerprint in pages[0]


def test_every_fact_stands_there_with_its_source(desk: Desk) -> None:
    sheet, carrier = _sheet(desk, "424H"), _carrier(desk, "424H")
    told = [row for half in fit_sheet.fit_sheet(sheet, _suit(sheet, carrier, ALL_TOLD)).data["told"] for row in half]
    for one in carrier.facts:
        noun = NAMES[one.name].noun
        row = next(r for r in told if r[0] in (noun, f"{noun}, {one.what}"))
        assert row[2] == one.source
    assert ["driver", "hired", "told"] in told and ["also", "wants it by Friday", "told"] in told


@pytest.mark.parametrize("number", ORDERS)
def test_every_check_stands_there_the_worst_first(desk: Desk, number: str) -> None:
    sheet = _sheet(desk, number)
    suit = _suit(sheet, _carrier(desk, number))
    data = fit_sheet.fit_sheet(sheet, suit).data
    verdicts = [row[3] for row in data["checks"]]
    assert verdicts == sorted(verdicts, key=list(fit_sheet.WORST_FIRST).index)
    listed = " ".join([row[0] for row in data["checks"]] + data["also"])
    for check in suit.checks:
        assert check.title in listed
    assert suit.sentence == data["sentence"]


def test_the_limit_that_bites_first_is_said_once(desk: Desk) -> None:
    for number in ORDERS:
        sheet = _sheet(desk, number)
        suit = _suit(sheet, _carrier(desk, number))
        told = [c for c in suit.checks if c.binds and c.used is not None]
        first = max(told, key=lambda c: c.used.likely if c.used else 0.0)
        said = " ".join([suit.sentence, *fit_sheet.fit_sheet(sheet, suit).data["why"]])
        assert first.title in said


def test_price_and_validity_come_from_the_quote_and_nothing_of_cost_stands_there(desk: Desk) -> None:
    sheet = _sheet(desk, "421M")
    (said,) = _pages(sheet, _suit(sheet, _carrier(desk, "421M")))
    quote = content.frozen_quote(sheet)
    assert f"{quote.total:,.0f}" in said and f"{quote.valid_until:%d %B %Y}" in said
    for word in ("margin floor", "floor price", f"{sheet.worked.price.owner.cost:,.0f}"):
        assert word not in said


def test_a_told_number_is_asked_for_and_never_called_certain(desk: Desk) -> None:
    sheet = _sheet(desk, "421M")
    carrier = Carrier(name="a caller's", kind="skid steer").learn(fact("power", "40 hp", source="told", on=DAY))
    suit = _suit(sheet, carrier)
    (said,) = _pages(sheet, suit)
    assert suit.verdict != "suits"
    assert "Please read it off the plate: power 40 hp" in said
    assert "Not known yet, or assumed:" in said and "weight" in said


def test_cautions_and_the_deferral_cannot_be_left_out(desk: Desk) -> None:
    with units.speaking("metric"):
        sheet = _sheet(desk, "424H", paper="a4", system="metric")
        suit = _suit(sheet, _carrier(desk, "424H"))
    (said,) = _pages(sheet, suit)
    for caution in (*fit_sheet.CAUTIONS, *suit.cautions):
        assert caution in said
    assert "not the work of a licensed engineer" in said and "maker's limits come first" in said
    assert " kg" in said and " lb" not in said


def test_a_carrier_of_unknown_kind_still_gets_its_page(desk: Desk) -> None:
    sheet = _sheet(desk, "421M")
    (said,) = _pages(sheet, _suit(sheet, replace(Carrier(name="a caller's"), note="")))
    assert "kind not told" in said
