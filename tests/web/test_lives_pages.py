"""The pages of old blades: history with a new chapter, find, recall, lessons, and the refit behind a sheet's code."""

from __future__ import annotations

import io
import re
import time
from collections.abc import Iterator

import pypdf
import pytest
from fastapi.testclient import TestClient

from plowwright.desk.desk import Desk
from plowwright.web.server import create_app

PIXEL = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010802000000907753de0000000c49444154789c63606060000000040001f61738"
    "550000000049454e44ae426082"
)


@pytest.fixture
def old(shop: Desk) -> Iterator[TestClient]:
    """The pages over the demo's records."""
    with TestClient(create_app(shop)) as client:
        yield client


def form(**told: str) -> dict[str, str]:
    return {"who": "R.K.", "key": "form 7", "day": "2026-11-02", **told}


def test_the_history_opens_with_the_blade_and_tells_what_fits_it(old: TestClient) -> None:
    text = old.get("/history/F84-21-063").text
    assert text.index("elevations") < text.index("Its winters") < text.index("Spare parts that fit")
    assert "before the oldest rules that are kept" in text and "Drill it by the old layout" in text
    assert "crossover relief block takes its place" in text and "things are made otherwise today" in text
    assert "carrier ports of the valve block" in text and 'href="/recall?lot=C-21-03"' in text


def test_a_chapter_is_written_once_and_shown_with_its_photo(old: TestClient) -> None:
    told = form(kind="failure", said="crack in the throat", place="leg to hinge beam")
    for _ in range(2):
        answer = old.post("/history/F84-21-063", data=told, files={"photo": ("yard.png", PIXEL, "image/png")})
        assert answer.status_code == 200 and "failure of 02 Nov 2026 written, 1 photo." in answer.text
    assert answer.text.count("<p>crack in the throat,") == 1
    (photo,) = set(re.findall(r'href="(/history/F84-21-063/photo/\w+)"', answer.text))
    picture = old.get(photo)
    assert picture.content == PIXEL and picture.headers["content-type"] == "image/png"
    assert "F84-21-063" in old.get("/lessons?by=place").text


def test_what_is_refused_keeps_what_was_typed(old: TestClient) -> None:
    answer = old.post("/history/F84-21-063", data=form(kind="failure", said="crack in the throat"))
    assert answer.status_code == 422 and "a failure has a place" in answer.text
    assert ">crack in the throat</textarea>" in answer.text
    late = old.post("/history/F84-21-063", data=form(kind="edge", said="new edge", day="2026-12-24"))
    assert late.status_code == 422 and "that day has not come yet" in late.text
    bare = old.post("/history/F84-21-063", data=form(kind="edge", said="measured", left="1.25"))
    assert bare.status_code == 422 and "a number without a unit" in bare.text


def test_a_serial_with_swapped_figures_is_refused_with_the_near_one(old: TestClient) -> None:
    answer = old.get("/history/F84-21-036")
    assert answer.status_code == 404 and "Near it: F84-21-063" in answer.text


def test_the_second_owner_is_found_by_scraps_and_leads_to_the_history(old: TestClient) -> None:
    told = form(kind="owner", said="sold on", owner="M.M.")
    assert old.post("/history/F90-22-052", data=told).status_code == 200
    text = old.get("/find?width=90+in&mount=hook&colour=blue").text
    assert '<a href="/history/F90-22-052">' in text and "M.M." in text and "Ask next:" in text


def test_a_recall_names_who_has_the_lot_and_gives_a_list_to_ring_along(old: TestClient) -> None:
    text = old.get("/recall?lot=C-20-04").text
    assert "Lot C-20-04: 5 still on, 0 since replaced." in text and "B108-20-071" in text
    answer = old.get("/recall.csv?lot=C-20-04")
    assert answer.headers["content-type"].startswith("text/csv") and answer.text.count("\n") == 6
    assert "No part of lot X-1 is noted" in old.get("/recall?lot=X-1").text


def test_working_out_what_a_rule_change_does_can_be_stopped(shop: Desk) -> None:
    pages = TestClient(create_app(shop))
    part = pages.get("/lessons/effects?change=2026-09-01").text
    # What is inside the opened line takes its own place: the line's own target would find nothing in it.
    assert "<progress" in part and 'hx-target="this"' in part
    assert "Stopped before every blade was looked at" in pages.get("/lessons/stop?change=2026-09-01").text
    assert pages.get("/lessons/effects?change=").status_code == 422
    assert "no change of rules on that day" in pages.get("/lessons/stop?change=2020-01-01").text.lower()


def test_lessons_show_the_band_and_a_rule_change_can_be_written_down(old: TestClient) -> None:
    text = old.get("/lessons").text
    assert "cannot be told apart" in text and "/lessons/effects?change=2026-09-01" in text
    part = old.get("/lessons/effects?change=2026-09-01").text
    for _ in range(400):
        if "<progress" not in part:
            break
        assert "blades built by both rules" in part
        time.sleep(0.1)
        part = old.get("/lessons/effects?change=2026-09-01").text
    assert "Basalt 114 to 120 in: built only since the change" in part
    told = {"who": "R.K.", "key": "form 8", "change": "2026-09-01", "reason": "legs cracked", "answers": "king pin"}
    refused = old.post("/lessons", data=told)
    assert refused.status_code == 422 and "no failure was noted at that place" in refused.text
    done = old.post("/lessons", data={**told, "answers": "leg to hinge beam"})
    assert done.status_code == 200 and "is written down with 26 effects" in done.text
    assert "Built since: no winter yet" in done.text
    assert old.get("/lessons?by=moon").status_code == 422


def test_the_code_on_a_refit_sheet_opens_its_page(old: TestClient) -> None:
    for _ in range(600):
        text = old.get("/refit/430W").text
        if "so far." not in text:
            break
        time.sleep(0.1)
    assert 'href="/history/B90-22-017"' in text and "pin-on plate" in text and "What gives first" in text
    assert "stamped 54" in text and re.search(r"USD [\d,]+\.\d\d", text)
    sheet = pypdf.PdfReader(io.BytesIO(old.get("/refit/430W/sheet.pdf").content))
    assert "430W" in sheet.pages[0].extract_text()
    assert old.get("/refit/421M").status_code in (404, 422)


@pytest.mark.parametrize("name", ["booklet", "wear-card", "sheet"])
def test_papers_of_a_serial_open_in_both_sizes(old: TestClient, name: str) -> None:
    for size, high in (("letter", 792), ("a4", 842)):
        made = old.get(f"/history/B84-24-077/{name}.pdf?paper={size}")
        assert made.headers["content-type"] == "application/pdf"
        page = pypdf.PdfReader(io.BytesIO(made.content)).pages[0]
        assert "B84-24-077" in page.extract_text() and round(float(page.mediabox.height)) == high
