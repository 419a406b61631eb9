"""Released plans on their pages: released from the plan, ticked, mended, the same after a restart."""

from __future__ import annotations

import io
import re
import time
from urllib.parse import urlencode

import pytest
from fastapi.testclient import TestClient
from pypdf import PdfReader

from plowwright.desk.acting import hand
from plowwright.desk.cuts_kept import CutsKept
from plowwright.desk.desk import Desk
from plowwright.desk.selling import Selling
from plowwright.store import records as r
from plowwright.store.checking import check
from plowwright.web.server import create_app

ASKED = {"order": "421M", "seconds": "1"}


@pytest.fixture
def shop(shop: Desk) -> Desk:
    """The shop with 421M and 424H released to the floor."""
    with shop.book.command("release for a test", who="R.K.", key="a test") as c:
        for number in ("421M", "424H"):
            c.change(r.Order, number, state="released", hold="")
    return shop


@pytest.fixture
def kept(shop: Desk) -> TestClient:
    return TestClient(create_app(shop))


def settled(pages: TestClient, address: str) -> str:
    for _ in range(300):
        text = pages.get(address).text
        if 'class="waits"' not in text:
            return text
        time.sleep(0.05)
    raise AssertionError("it was never planned")


def released(pages: TestClient, what: str = "cutting", key: str = "form 1") -> tuple[str, str]:
    part = "plan" if what == "cutting" else "nest"
    assert "Cut by this" in settled(pages, f"/{what}/{part}?{urlencode(ASKED)}")
    answer = pages.post(f"/{what}/release", data={**ASKED, "who": "R.K.", "key": key})
    assert answer.status_code == 200, answer.text
    return str(answer.url).split("?")[0].rsplit("/", 1)[-1], answer.text


def row_of(text: str) -> str:
    found = re.search(r'name="row" value="(\d+)"', text)
    assert found is not None
    return found.group(1)


def test_a_plan_is_released_by_its_button_and_has_a_page_of_its_own(kept: TestClient) -> None:
    number, text = released(kept)
    assert f"Cut plan {number}</h1>" in text and "Released by R.K." in text and "Written down, 08:00" in text
    assert f'href="/cutting/kept/{number}"' in kept.get("/cutting").text
    assert 'value="421M"' not in kept.get("/cutting").text and 'value="421M"' in kept.get("/plates").text


def test_the_form_sent_twice_releases_once(kept: TestClient, shop: Desk) -> None:
    first, _ = released(kept)
    again = kept.post("/cutting/release", data={**ASKED, "who": "R.K.", "key": "form 1"})
    assert f"/cutting/kept/{first}" in str(again.url) or again.status_code == 422
    assert len(CutsKept(shop).open()) == 1


def test_an_order_that_is_not_released_is_named_when_the_button_is_pressed(kept: TestClient) -> None:
    settled(kept, "/cutting/plan?order=422D&seconds=1")
    answer = kept.post("/cutting/release", data={"order": "422D", "seconds": "1", "who": "R.K.", "key": "k"})
    assert answer.status_code == 422 and "422D is at order" in answer.text and "Release them" in answer.text


def test_ticks_are_kept_and_two_people_do_not_undo_each_other(kept: TestClient, shop: Desk) -> None:
    number, text = released(kept)
    plan = CutsKept(shop).at(int(number))
    stick = next(s for s in plan.week.plan.sticks if s.number in plan.version.fetched and len(s.placed) > 1)
    one, other = (p.piece.tag for p in stick.placed[:2])
    row = row_of(text)
    for tag, key in ((one, "k1"), (other, "k2")):
        kept.post(f"/cutting/kept/{number}", data={"row": row, "cut": tag, "who": "D.V.", "key": key})
    assert {one, other} <= CutsKept(shop).at(int(number)).version.ticked
    row = row_of(kept.get(f"/cutting/kept/{number}").text)
    if len(stick.placed) > 2:
        kept.post(f"/cutting/kept/{number}", data={"row": row, "cut": other, "who": "D.V.", "key": "k3"})
        assert CutsKept(shop).at(int(number)).version.ticked == {other}


def test_a_whole_stick_is_cut_by_one_press_and_its_drop_is_back(kept: TestClient, shop: Desk) -> None:
    number, text = released(kept)
    plan = CutsKept(shop).at(int(number))
    stick = next(s for s in plan.week.plan.sticks if s.number in plan.version.fetched and s.kept)
    data = {"row": row_of(text), "whole": str(stick.number), "who": "D.V.", "key": "k"}
    text = kept.post(f"/cutting/kept/{number}", data=data).text
    assert "back in the rack" in text and stick.drop_tag in {one.tag for one in shop.rack.remnants}


def test_a_tag_nobody_knows_is_refused_on_the_plans_own_page_with_the_ticks_still_there(
    kept: TestClient, shop: Desk
) -> None:
    number, text = released(kept)
    plan = CutsKept(shop).at(int(number))
    stick = next(s for s in plan.week.plan.sticks if s.number in plan.version.fetched)
    tag = stick.placed[0].piece.tag
    data = {"row": row_of(text), "cut": tag, "what": "mishap", "miscut": "999 rib", "who": "D.V.", "key": "k"}
    answer = kept.post(f"/cutting/kept/{number}", data=data)
    assert answer.status_code == 422 and "no piece of the plan has this tag" in answer.text
    assert 'value="999 rib"' in answer.text and f'value="{tag}" checked' in answer.text
    assert not CutsKept(shop).at(int(number)).version.ticked


def test_a_bent_bar_is_said_on_the_page_and_the_tags_to_write_again_are_shown(kept: TestClient, shop: Desk) -> None:
    number, text = released(kept)
    plan = CutsKept(shop).at(int(number))
    stick = next(s for s in plan.week.plan.sticks if s.number in plan.version.fetched)
    data = {"row": row_of(text), "what": "mishap", "bent": str(stick.number), "who": "D.V.", "key": "k"}
    text = kept.post(f"/cutting/kept/{number}", data=data).text
    assert "Tags to write again" in text and "(bent bar)" in text and "changed sticks.pdf" in text


def test_the_saw_sheet_of_a_released_plan_names_it_and_is_the_same_after_a_restart(
    kept: TestClient, shop: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PLOWWRIGHT_TEST_MODE", "1")
    number, _ = released(kept)
    address = f"/cutting/kept/{number}/papers/saw sheet.pdf"
    before = PdfReader(io.BytesIO(kept.get(address).content))
    again = PdfReader(io.BytesIO(TestClient(create_app(shop)).get(address).content))
    text = "".join(page.extract_text() for page in before.pages)
    assert f"Cut plan {number}, " in text
    assert "".join(page.extract_text() for page in again.pages) == text


def test_a_printed_plan_that_was_not_released_is_the_same_at_its_address_after_a_restart(
    kept: TestClient, shop: Desk
) -> None:
    query = urlencode({"order": "424H", "seconds": "1"})
    text = settled(kept, f"/cutting/plan?{query}")
    mark = re.findall(r"plan ([0-9a-f]{4}-[0-9a-f]{4})", text)
    assert kept.get(f"/cutting/papers/saw sheet.pdf?{query}").status_code == 200
    with shop.book.reading() as reads:
        assert len(reads.find(r.Plan, kind="cut", state="draft")) == 1
    fresh = TestClient(create_app(shop))
    assert re.findall(r"plan ([0-9a-f]{4}-[0-9a-f]{4})", settled(fresh, f"/cutting/plan?{query}")) == mark
    said = re.findall(r'class="quiet">proved best, ([\d.]+) s', text)
    assert re.findall(r'class="quiet">proved best, ([\d.]+) s', settled(fresh, f"/cutting/plan?{query}")) == said


def test_a_rack_that_changed_is_planned_from_anew(kept: TestClient, shop: Desk) -> None:
    query = urlencode({"order": "421M", "seconds": "1"})
    first = settled(kept, f"/cutting/plan?{query}")
    assert "To order" in first
    CutsKept(shop).release(hand("R.K."), shop.cutting.plan(["424H"], seconds=1.0), {})
    with shop.book.command("receive", who="R.K.", key="r") as c:
        c.line(kind="receive", item="stick of tube 4 x 4 x 1/4, 288 in", count=2)
    assert settled(kept, f"/cutting/plan?{query}") != first


def test_a_nest_is_released_ticked_and_done_on_its_page(kept: TestClient) -> None:
    number, text = released(kept, "plates")
    assert f"Nest {number}</h1>" in text and "no. 1" in text
    whole = re.search(r'name="whole" value="(\d+)"', text)
    assert whole is not None
    data = {"row": row_of(text), "whole": whole.group(1), "who": "D.V.", "key": "k"}
    text = kept.post(f"/plates/kept/{number}", data=data).text
    assert "1 of" in text and "<b>done</b>" in text
    paper = kept.get(f"/plates/kept/{number}/papers/plate sheet.pdf")
    assert f"Nest {number}, " in PdfReader(io.BytesIO(paper.content)).pages[0].extract_text()


def test_a_plan_that_is_not_there_and_a_sheet_of_another_are_refused(kept: TestClient) -> None:
    assert kept.get("/cutting/kept/77").status_code == 404
    number, _ = released(kept)
    answer = kept.post(f"/cutting/kept/{number}", data={"row": "x", "who": "D.V.", "key": "k"})
    assert answer.status_code == 422 and "this form is of no plan" in answer.text
    answer = kept.post(f"/cutting/kept/{number}", data={"row": number, "who": "D.V.", "key": "k2"})
    assert answer.status_code == 404 and "no version of that plan" in answer.text


def test_without_records_a_plan_has_no_button_and_no_number(pages: TestClient) -> None:
    text = settled(pages, f"/cutting/plan?{urlencode(ASKED)}")
    assert "Cut by this plan" not in text and pages.get("/cutting/kept/1").status_code == 404


@pytest.mark.parametrize("what", ["cutting", "plates"])
def test_what_is_called_off_is_not_cut_and_its_steel_is_laid_back(shop: Desk, kept: TestClient, what: str) -> None:
    number, before = released(kept, what)
    assert "Lay back what is not cut" not in before
    Selling(shop).cancel(hand("R.K."), "421M", "bought elsewhere")
    address = f"/{what}/kept/{number}"
    page = kept.get(address).text
    assert "421M is called off" in page and "not to be cut" in page and "nothing to cut" in page
    tag = re.search(r'name="cut" value="([^"]+)" disabled', page)
    assert tag is not None, "its boxes are shut"
    refused = kept.post(address, data={"who": "D.V.", "key": "tick", "row": row_of(page), "cut": tag.group(1)})
    assert refused.status_code == 422 and "this is not to be cut" in refused.text
    assert "to be laid back" in kept.get(f"/{what}").text
    data = {"who": "D.V.", "key": "back", "row": row_of(page), "what": "lay back"}
    back = kept.post(address, data=data)
    assert back.status_code == 200 and "laid back" in back.text and "Lay back what is not cut" not in back.text
    assert f"{address}\"" not in kept.get(f"/{what}").text, "it is under way no more"
    assert check(shop.book).holds


def test_a_stick_shared_with_an_order_called_off_is_cut_without_it(shop: Desk, kept: TestClient) -> None:
    with_both = CutsKept(shop).release(
        hand("R.K."), shop.cutting.plan(["421M", "424H"], seconds=0.5), {"query": "both"}
    )["plan"]
    Selling(shop).cancel(hand("R.K."), "424H", "bought elsewhere")
    address, held = f"/cutting/kept/{with_both}", CutsKept(shop).at(with_both)
    shared = next(s.number for s in held.week.plan.sticks
                  if held.to_saw(s.number) and any(p.piece.tag in held.off.unsawn for p in s.placed))  # fmt: skip
    page = kept.get(address).text
    done = kept.post(address, data={"who": "D.V.", "key": "cut", "row": row_of(page), "whole": str(shared)})
    assert done.status_code == 200 and shared in CutsKept(shop).at(with_both).version.done
    sheet = PdfReader(io.BytesIO(kept.get(f"{address}/papers/saw sheet.pdf").content))
    text = "".join(one.extract_text() for one in sheet.pages)
    assert "421M" in text and not any(tag in text for tag in held.off.unsawn)
