"""The order confirmation and the change note, read back by other programs than the one that set them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from io import BytesIO
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image
from pypdf import PdfReader

from plowwright.blade import spec as specs
from plowwright.papers import content, pdf, qr
from plowwright.papers.change_note import Changed, change_sheet
from plowwright.papers.content import Sheet
from plowwright.papers.order_confirmation import Ordered, order_sheet, write
from plowwright.rulebook.reading import Rulebook, load
from plowwright.shop.orders_changes import change
from plowwright.shop.worked import work_out

DAY = date(2026, 11, 11)


@pytest.fixture(scope="module")
def rules(demo_dir: Path) -> Rulebook:
    return load(demo_dir / "rulebook")


@pytest.fixture
def ordered(rules: Rulebook) -> Ordered:
    return Ordered(
        number="422D", kind="blade", name="Flint 84 in", customer="P.O.", machine="K4", on=DAY, shop=rules.shop,
        lines=(("Flint 84 in", "USD 2,395"), ("pin-on plate", "USD 255")), cents=265_000, deposit_cents=106_000,
        paid_cents=50_000, promise="Monday 23 November 2026", asks=("pin sizes, measured on the machine",),
        fingerprint="cda1-b1bf",
    )  # fmt: skip


def text_of(made: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(BytesIO(made)).pages)


@pytest.mark.parametrize(("paper", "width"), [("letter", 612), ("a4", 595)])
def test_the_confirmation_says_what_for_how_much_and_by_when(ordered: Ordered, rules: Rulebook, paper, width) -> None:
    spec = specs.from_dict({"series": "flint", "width": "84 in", "mount": "pin-on", "carrier": "tractor",
                            "hoses": "poppet", "outlets": "right"})  # fmt: skip
    size = "us-letter" if paper == "letter" else "a4"
    sheet = Sheet(worked=work_out(spec, rules, level=0), system="us", paper=size, on=DAY, number="422D")
    made = write(order_sheet(ordered, paper, sheet), ordered)
    assert round(float(PdfReader(BytesIO(made)).pages[0].mediabox.width)) == width
    text = text_of(made)
    for said in ("422D", "cda1-b1bf", "Monday 23 November 2026", "USD 2,650", "USD 1,060", "USD 560", "USD 1,590",
                 "pin sizes, measured on the machine", "Caution.", "Local rules", "page 1 of", "Read and agreed"):
        assert said in text, said
    assert "margin" not in text.casefold() and "cost" not in text.casefold()


def test_the_code_on_the_sheet_opens_the_order(ordered: Ordered) -> None:
    paper = order_sheet(replace(ordered, kind="spares"))
    pictures = {**paper.pictures, "qr": qr.svg(ordered.link())}
    page = pdf.pages_png(content.source(paper.template), pictures=pictures, data=paper.data, ppi=200)[0]
    read = zxingcpp.read_barcodes(Image.open(BytesIO(page)))
    assert [code.text for code in read] == [ordered.link()] and ordered.link().endswith("/order/422D")


def test_spares_are_quoted_without_a_blade_drawn(ordered: Ordered) -> None:
    spares = replace(ordered, kind="spares", name="seal kit", machine="", promise="", valid_until="11 December 2026",
                     lines=(("seal kit", "USD 41"),), cents=4_100, deposit_cents=0, paid_cents=0, asks=(),
                     fingerprint="")  # fmt: skip
    text = text_of(write(order_sheet(spares), spares))
    assert "Quote" in text and "11 December 2026" in text and "USD 41" in text and "Springs are under load" in text
    assert "Promised for" not in text and "Read and agreed" not in text


def test_a_change_note_says_before_and_after_and_waits_for_a_yes(ordered: Ordered) -> None:
    note = change("422D", "order", "six inches wider", on=DAY, cents=5_700, promise_was=date(2026, 11, 23),
                  promise=date(2026, 11, 30))  # fmt: skip
    changed = Changed(note=note, id=3, cents_before=265_000, day_before="Mon 23 Nov", day_after="Mon 30 Nov",
                      differs=(("width", "84 in", "90 in"),))  # fmt: skip
    text = text_of(write(change_sheet(ordered, changed), ordered))
    for said in ("Change note 3", "six inches wider", "USD 2,650", "USD 2,707", "USD 57 more", "7 days later", "90 in",
                 "Nothing of it is done before you have said yes"):
        assert said in text, said
    taken = text_of(write(change_sheet(ordered, replace(changed, note=replace(note, settled=True))), ordered))
    assert "You have said yes to this." in taken and "Yes, change it" not in taken


def test_spares_are_not_said_to_be_cut_or_painted_and_a_long_list_keeps_its_head(ordered: Ordered) -> None:
    lines = [(f"spare {n}", "USD 41") for n in range(60)]
    spares = replace(ordered, kind="spares", lines=lines, asks=())
    pages = PdfReader(BytesIO(write(order_sheet(spares), spares))).pages
    assert len(pages) == 2 and all("Amount" in page.extract_text() for page in pages)
    said = "".join(page.extract_text() for page in pages)
    assert "Paint cures" not in said and "Steel is bought" not in said and "The balance is due" in said


def test_an_order_on_hold_does_not_give_its_day_without_saying_so(ordered: Ordered) -> None:
    held = replace(ordered, held=True)
    assert "This order is on hold" in text_of(write(order_sheet(held), held))
    assert "on hold" not in text_of(write(order_sheet(ordered), ordered))
