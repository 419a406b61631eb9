"""Papers of the dock: each says the numbers of its load, in both paper sizes, and opens its page by its code."""

from __future__ import annotations

import io
import zipfile
from dataclasses import replace
from datetime import date, datetime

import pypdf
import pytest
import zxingcpp
from PIL import Image

from plowwright.desk.desk import Desk
from plowwright.papers import content, pdf, qr
from plowwright.papers.bill_of_lading import lading_sheet
from plowwright.papers.claim_pack import claim_cover, zipped
from plowwright.papers.content import Paper, Sheet
from plowwright.papers.dock_sheet import Page, link, written
from plowwright.papers.lifting_picture import lifting_picture
from plowwright.papers.load_slip import load_slip
from plowwright.papers.marks import Circle, Label, walk
from plowwright.papers.packing_list import packing_sheet
from plowwright.papers.weigh_ticket import weigh_ticket
from plowwright.shop.crew_jobs import cure
from plowwright.shop.dock import predicted, weigh
from plowwright.shop.dock_cure import strapping
from plowwright.shop.dock_freight import freight_class, lifting, packed, travel
from plowwright.shop.dock_load import CAUTIONS, Load
from plowwright.shop.dock_papers import bill_of_lading, claim_pack, packing_list
from plowwright.shop.dock_ticket import WeighTicket, taught_by, ticket_of, with_reason
from plowwright.shop.orders import Standing, next_step
from plowwright.units import LB

FRIDAY = date(2026, 11, 13)


def sheet_of(desk: Desk, number: str, paper: str = "us-letter", system: str = "us") -> Sheet:
    worked = desk.worked(desk.spec_of(number)[0])
    return Sheet(worked=worked, system=system, paper=paper, on=FRIDAY, number=number)  # type: ignore[arg-type]


def load_of(desk: Desk, number: str, *, balance: int = 0) -> Load:
    build, dock = desk.worked(desk.spec_of(number)[0]).build, desk.rulebook.dock
    assert dock is not None
    piece = packed(build, dock, mass=predicted(build))
    standing = Standing(number=number, state="weighed", cents=balance, scale="holds", matched=True, cured=True)
    step = next_step(standing, FRIDAY)
    assert step is not None
    return Load(
        number=number, name=build.name, customer=desk.order(number).customer, carrier="K7", serial="B84-26-017",
        state="weighed", promise=None, bare=predicted(build), weighed=True, piece=piece,
        by=freight_class(piece, dock.freight), travel=travel(build, dock), lift=lifting(build, dock),
        rows=packing_list(build, serial="B84-26-017"), gates=step.gates, freight=True,
        cure=strapping(datetime(2026, 11, 10, 15), cure(desk.rulebook)[1], datetime(2026, 11, 13, 7), temperature=18.3),
    )  # fmt: skip


def text_of(data: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages).split())


def code_of(sheet: Sheet, paper: Paper, page: Page) -> str:
    pictures = {**paper.pictures, "qr": qr.svg(link(sheet, page))}
    first = pdf.pages_png(content.source(paper.template), pictures=pictures, data=paper.data, ppi=150)[0]
    return zxingcpp.read_barcodes(Image.open(io.BytesIO(first)))[0].text


def ticket_of_418k(desk: Desk, by_lb: float) -> WeighTicket:
    build, dock = desk.worked(desk.spec_of("418K")[0]).build, desk.rulebook.dock
    assert dock is not None
    found = weigh(build, predicted(build) + by_lb * LB, dock)
    return ticket_of(found, build, taught_by((), dock), serial="B84-26-017", at=datetime(2026, 11, 11, 8), by="M.S.")


@pytest.mark.parametrize("paper", ["us-letter", "a4"])
def test_a_weigh_ticket_of_a_stopped_blade_fits_one_sheet_and_says_where_to_put_the_caliper(
    desk: Desk, paper: str
) -> None:
    sheet = sheet_of(desk, "418K", paper)
    ticket = weigh_ticket(sheet, ticket_of_418k(desk, -10.3))
    data = written(sheet, ticket, "scale")
    assert len(pypdf.PdfReader(io.BytesIO(data)).pages) == 1
    said = text_of(data)
    for word in ("STOPPED", "418K", "B84-26-017", "994.3 lb (451.0 kg)", "1,004.6 lb (455.7 kg)", "-10.3 lb",
                 "1,002.3 lb", "caliper on the push-frame leg, right: 1/4 in as ordered, 3/16 in if wrong", "Measured:",
                 sheet.build.fingerprint):  # fmt: skip
        assert word in said, word
    address = sheet.build.rulebook.shop.address_on_network.rstrip("/")
    assert code_of(sheet, ticket, "scale") == f"{address}/scale?order=418K"


def test_a_ticket_that_was_cleared_says_what_was_measured_and_by_whom(desk: Desk) -> None:
    sheet = sheet_of(desk, "418K")
    off = ticket_of_418k(desk, -10.3)
    cleared = with_reason(off, "measured: legs 0.25 in (D.V.)", at=datetime(2026, 11, 11, 9), by="D.V.")
    data = written(sheet, weigh_ticket(sheet, cleared), "scale")
    said = text_of(data)
    assert len(pypdf.PdfReader(io.BytesIO(data)).pages) == 1
    assert "EXPLAINED" in said
    assert "Cleared by D.V." in said
    assert "measured: legs 0.25 in (D.V.)" in said
    assert "Measured:" not in said


def test_a_right_blade_has_a_short_ticket_without_causes(desk: Desk) -> None:
    sheet = sheet_of(desk, "418K")
    said = text_of(written(sheet, weigh_ticket(sheet, ticket_of_418k(desk, 1.0)), "scale"))
    assert "The scale agrees with the build." in said
    assert "Likely causes" not in said
    assert "one trip spring is missing" in said


@pytest.mark.parametrize("paper", ["us-letter", "a4"])
@pytest.mark.parametrize("system", ["us", "metric"])
def test_a_load_slip_says_gates_ticks_width_and_draws_the_lift_on_two_sheets(
    desk: Desk, paper: str, system: str
) -> None:
    sheet, load = sheet_of(desk, "418K", paper, system), load_of(desk, "418K", balance=206_976)
    data = written(sheet, load_slip(sheet, load), "loading")
    pages = [" ".join(p.extract_text().split()) for p in pypdf.PdfReader(io.BytesIO(data)).pages]
    assert len(pages) == 2
    assert "NOT YET" in pages[0]
    assert "USD 2,069.76 is still to be paid before it is loaded" in pages[0]
    for row in load.rows:
        assert row.name in pages[0]
    assert "84 in" in pages[0]
    for words in (*CAUTIONS, "hook", "slings", "or steeper"):
        assert words in pages[1], words


def test_a_load_with_every_gate_open_may_be_loaded(desk: Desk) -> None:
    sheet = sheet_of(desk, "418K")
    assert "MAY BE LOADED" in text_of(written(sheet, load_slip(sheet, load_of(desk, "418K")), "loading"))


def test_a_packing_list_names_every_piece_once_and_counts_what_lies_loose(desk: Desk) -> None:
    sheet, load = sheet_of(desk, "418K"), load_of(desk, "418K")
    said = text_of(written(sheet, packing_sheet(sheet, load), "loading"))
    assert all(row.name in said for row in load.rows)
    loose = sum(row.count for row in load.rows if row.where == "loose")
    assert f"Loose pieces in all: {loose}." in said


def test_a_bill_says_what_is_missing_until_it_is_whole_and_no_hand_is_put_to_it(desk: Desk) -> None:
    sheet, load = sheet_of(desk, "427S"), load_of(desk, "427S")
    bare = bill_of_lading(sheet.build, load.piece, load.by, number="427S", serial="F90-26-001", on=FRIDAY, ship_to="")
    said = text_of(written(sheet, lading_sheet(sheet, bare, serial="F90-26-001"), "loading"))
    assert "Not to be signed yet. Missing: who gets it; who pays the freight; size and mass" in said
    piece = replace(load.piece, stated=True)
    whole = bill_of_lading(sheet.build, piece, load.by, number="427S", serial="F90-26-001", on=FRIDAY,
                           ship_to="D.S., Lower Yard", terms="prepaid")  # fmt: skip
    said = text_of(written(sheet, lading_sheet(sheet, whole, serial="F90-26-001"), "loading"))
    assert "Not to be signed yet" not in said
    for word in ("D.S., Lower Yard", f"{load.by.freight_class:g}", "427S, serial F90-26-001", "Driver, signed:"):
        assert word in said, word


@pytest.mark.parametrize("kind", ["damage", "reweigh", "missing"])
def test_a_claim_cover_says_what_is_there_and_what_is_missing(desk: Desk, kind: str) -> None:
    sheet, load = sheet_of(desk, "418K"), load_of(desk, "418K")
    pieces = claim_pack(kind, ["bill of lading", "scale ticket"])
    cover = claim_cover(sheet, kind, load, pieces, ["418K bill of lading.pdf"], said="left shoe bent")
    data = written(sheet, cover, "claim")
    there, _, missing = text_of(data).partition("Still missing")
    assert "Left shoe bent" in there
    for piece in pieces:
        assert piece.why in (there if piece.there else missing)
    assert code_of(sheet, cover, "claim").endswith("/claim/418K")


def test_a_pack_is_the_same_bytes_for_the_same_files_and_day() -> None:
    files = {"a.pdf": b"one", "b.jpg": b"two"}
    first = zipped(files, FRIDAY)
    assert first == zipped(files, FRIDAY)
    with zipfile.ZipFile(io.BytesIO(first)) as pack:
        assert pack.testzip() is None
        assert {name: pack.read(name) for name in pack.namelist()} == files


@pytest.mark.parametrize("number", ["418K", "419T", "422D", "426B"])
def test_the_lifting_picture_hangs_the_hook_over_the_centre_of_gravity(desk: Desk, number: str) -> None:
    build, dock = desk.worked(desk.spec_of(number)[0]).build, desk.rulebook.dock
    assert dock is not None
    lift = lifting(build, dock)
    marks = walk(lifting_picture(build, lift, width=184.0, system="us").marks)
    hooks = [m for m in marks if isinstance(m, Circle) and abs(m.radius - 1.8) < 1e-9]
    centres = [m for m in marks if isinstance(m, Circle) and abs(m.radius - 2.6) < 1e-9]
    assert (len(hooks), len(centres)) == (2, 3)
    for hook, centre in zip(hooks, centres[:2], strict=True):
        assert hook.x == pytest.approx(centre.x)
        assert hook.y > centre.y
    said = [m.text for m in marks if isinstance(m, Label)]
    assert any(text.startswith("slings ") for text in said)
    assert all(m.x < 184.0 for m in marks if isinstance(m, Label))


def test_a_metric_ticket_and_slip_speak_no_pounds_but_those_in_brackets(desk: Desk) -> None:
    sheet = sheet_of(desk, "418K", "a4", "metric")
    said = text_of(written(sheet, weigh_ticket(sheet, ticket_of_418k(desk, -10.3)), "scale"))
    assert "4.7 kg lighter; at most 3.4 kg either way" in said and "1.3 kg over" in said
    assert not [word for word in said.replace("(994.3 lb)", "").replace("(1,004.6 lb)", "").split() if word == "lb"]


def test_a_load_that_left_is_not_said_to_be_waiting_for_leave(desk: Desk) -> None:
    sheet, load = sheet_of(desk, "418K"), replace(load_of(desk, "418K"), state="loaded", gates=())
    said = text_of(written(sheet, load_slip(sheet, load), "loading"))
    assert "LOADED" in said and "MAY BE LOADED" not in said


def test_a_crate_is_round_the_blade_and_not_in_its_own_box(desk: Desk) -> None:
    rows = packing_list(desk.worked(desk.spec_of("427S")[0]).build, serial="F90-26-001")
    assert [row.where for row in rows if row.name == "freight crate"] == ["on the blade"]


def test_nothing_stands_twice_in_a_row_of_the_packing_list(desk: Desk) -> None:
    sheet = sheet_of(desk, "418K")
    rows = packing_sheet(sheet, load_of(desk, "418K")).data
    beside = {name: note for _, name, note in [*rows["on"], *rows["loose"]]}
    assert beside["trip spring"] == "3/8" and beside["angle cylinder"] == "3 x 1-1/2 x 12" and not beside["skid shoe"]


def test_a_bill_of_a_blade_without_a_serial_number_names_only_its_order(desk: Desk) -> None:
    sheet, load = sheet_of(desk, "427S"), load_of(desk, "427S")
    bare = bill_of_lading(sheet.build, load.piece, load.by, number="427S", serial="", on=FRIDAY, ship_to="")
    assert bare.rows[0].marks == "427S"
