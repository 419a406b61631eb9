"""The hose sheet: sketch, schedule, couplers and diagram of one blade, every hose and port on it."""

from __future__ import annotations

import io
from datetime import date

import pytest
from pypdf import PdfReader

from plowwright.blade.carried import moved
from plowwright.desk.desk import Desk
from plowwright.papers import content, pdf, qr
from plowwright.papers.content import Sheet
from plowwright.papers.hose_sheet import hose_sheet


@pytest.mark.parametrize(("order", "machine", "size", "system"), [("422D", "K4", "us-letter", "us"),
                                                                  ("421M", "K7", "a4", "metric")])  # fmt: skip
def test_every_hose_coupler_and_caution_is_on_the_sheet(
    desk: Desk, order: str, machine: str, size: str, system: str
) -> None:
    worked, carrier = desk.worked(desk.spec_of(order)[0]), desk.strength.of_order(machine)
    sheet = Sheet(worked=worked, system=system, paper=size, on=date(2026, 11, 11), number=order)  # type: ignore[arg-type]
    on = moved(worked.build, carrier)
    assert on.plumbing is not None
    paper = hose_sheet(sheet, on, carrier)
    pictures = {"qr": qr.svg("x"), **paper.pictures}
    found = PdfReader(io.BytesIO(pdf.compile(content.source(paper.template), pictures=pictures, data=paper.data)))
    said = "\n".join(page.extract_text() for page in found.pages)
    assert len(found.pages) <= 4
    assert all(h.name in said for h in on.plumbing.hoses)
    assert len(paper.data["rows"]) == len(on.plumbing.schedule) and "Hydraulic diagram" in said
    assert "goes through skin" in said and machine in said and "licensed engineer" in said
