"""The page 'What we promised': drawn, asked, looked at before it is kept, kept, printed, put into a calendar."""

from __future__ import annotations

import io
import re
import time
from collections.abc import Iterator
from datetime import datetime
from urllib.parse import urlencode

import pytest
from fastapi.testclient import TestClient
from icalendar import Calendar
from pypdf import PdfReader

from plowwright.desk import promising
from plowwright.desk.desk import Desk
from plowwright.store import records as r
from plowwright.web.server import create_app

PART = {"HX-Request": "true"}


@pytest.fixture
def page(shop: Desk, monkeypatch: pytest.MonkeyPatch) -> Iterator[TestClient]:
    monkeypatch.setattr(promising, "STEPS", 30)
    monkeypatch.setattr(promising, "ASK_STEPS", 30)
    with TestClient(create_app(shop), raise_server_exceptions=True) as client:
        yield client


def settled(page: TestClient, address: str) -> str:
    for _ in range(400):
        text = page.get(address, headers=PART).text
        if 'class="waits"' not in text:
            return text
        time.sleep(0.05)
    raise AssertionError("it was never planned")


def keep(page: TestClient, query: str = "what=plan", **more: str) -> str:
    text = settled(page, f"/promised/plan?{query}")
    fields = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', text))
    answer = page.post("/promised/keep", data={**fields, "who": "R.K.", **more})
    assert answer.status_code == 200, answer.text
    return answer.text


def test_without_a_kept_plan_one_is_made_and_shown_with_chart_and_promises(page: TestClient) -> None:
    first = page.get("/promised").text
    assert "No plan is kept yet" in first and 'hx-get="/promised/plan?what=plan"' in first
    text = settled(page, "/promised/plan?what=plan")
    assert "<svg" in text and "423P, 421M late" in text and "its edge, 108 in, due Tue 17 Nov" in text
    assert "on hold: Sidewalk ice" in text and "Keep this plan" in text


def test_a_kept_plan_opens_the_page_with_the_crews_chart(page: TestClient) -> None:
    text = keep(page)
    assert "Crew plan 1 kept: 13 orders" in text
    assert text.index("<svg") < text.index("Can I promise") < text.index("Promises by day")
    assert "Plan 1" in text and "draft by R.K." in text and 'href="/order/418K"' in text
    for word in ("late", "safe", "Fri 13 Nov"):
        assert word in text


def test_a_form_sent_twice_keeps_one_plan(page: TestClient, shop: Desk) -> None:
    text = settled(page, "/promised/plan?what=plan")
    fields = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', text))
    for _ in range(2):
        assert page.post("/promised/keep", data={**fields, "who": "R.K."}).status_code == 200
    with shop.book.reading() as reads:
        assert reads.count(r.Plan, kind="crew") == 1


def test_a_sick_man_moves_operations_and_nothing_is_kept_until_somebody_says_so(page: TestClient, shop: Desk) -> None:
    keep(page)
    query = urlencode({"what": "sick", "person": "D.V.", "begin": "Thu 12 Nov", "end": "Fri 13 Nov"})
    text = settled(page, f"/promised/plan?{query}")
    assert "What would move" in text and "D.V. is away (sick) from Thu 12 Nov to the evening of Fri 13 Nov." in text
    assert "operations moved" in text and "Orders that are done at another time" in text
    with shop.book.reading() as reads:
        assert reads.count(r.Plan, kind="crew") == 1
    after = keep(page, query, release="yes")
    assert "released" in after and "D.V. is away (sick)" in after and "Back again" in after


def test_a_promise_is_answered_and_asking_writes_nothing(page: TestClient, shop: Desk) -> None:
    before = shop.seen.stamp
    text = settled(page, "/promised/answer?" + urlencode({"order": "432n", "on": "Tue 15 Dec"}))
    assert "<b>No</b>" in text and "Proved" in text and "First without pushing anybody" in text
    yes = settled(page, "/promised/answer?" + urlencode({"order": "428C", "on": "Fri 18 Dec 07:00"}))
    assert "<b>Yes" in yes
    spec = {"order": "", "series": "flint", "width": "84 in", "hoses": "flat-face"}
    blade = settled(page, "/promised/answer?" + urlencode({**spec, "on": "Fri 18 Dec 07:00"}))
    assert "Flint 84 in for Fri 18 Dec 07:00" in blade and "Nobody knows when these come" in blade
    assert shop.seen.stamp == before


def test_the_whole_page_is_given_where_no_script_asks(page: TestClient) -> None:
    settled(page, "/promised/plan?what=plan")
    assert "<html" in page.get("/promised/plan?what=plan").text
    assert "<html" in page.get("/promised/answer?" + urlencode({"order": "428C", "on": "Fri 18 Dec"})).text


@pytest.mark.parametrize(
    ("address", "said"),
    [
        ("/promised/answer?" + urlencode({"order": "418K", "on": "soon"}), "this is no day"),
        ("/promised/answer?" + urlencode({"order": "472S", "on": "Fri 18 Dec"}), "427S"),
        ("/promised/answer?" + urlencode({"on": "Fri 18 Dec"}), "nothing is asked for"),
        ("/promised/answer?" + urlencode({"order": "418K", "on": "2026-11-01"}), "that moment has passed"),
        ("/promised/plan?what=fire", "nothing of the kind can be tried"),
        ("/promised/plan?what=sick&person=D.V.", "say until when"),
        ("/promised/plan?what=cold&temperature=20%20F", "paint does not cure by any row"),
        ("/promised/plan?what=rush&order=999Z", "999Z"),
    ],
)
def test_what_cannot_be_asked_is_refused_with_its_reason(page: TestClient, address: str, said: str) -> None:
    assert said in settled(page, address)


def test_a_plan_in_the_making_can_be_stopped_with_the_best_so_far(page: TestClient) -> None:
    text = page.get("/promised/stop?what=anew", headers=PART).text
    text = settled(page, "/promised/plan?what=anew") if 'class="waits"' in text else text
    assert "orders planned" in text


def test_papers_are_those_of_the_plan_that_stands(page: TestClient) -> None:
    text = keep(page)
    names = [name.replace("%20", " ") for name in re.findall(r'href="/promised/papers/([^"]+)"', text)]
    assert names == ["wall sheet.pdf", "who does what.pdf", "week of R.K.pdf", "week of D.V.pdf", "week of M.S.pdf"]
    for name in names:
        found = PdfReader(io.BytesIO(page.get(f"/promised/papers/{name}").content))
        assert len(found.pages) >= 1, name
    wall = PdfReader(io.BytesIO(page.get("/promised/papers/wall sheet.pdf").content))
    assert len(wall.pages) == 1 and "423P" in wall.pages[0].extract_text()
    assert page.get("/promised/papers/other.pdf").status_code == 404


def test_the_calendar_is_read_by_another_library_and_a_moved_promise_raises_its_sequence(
    page: TestClient, shop: Desk
) -> None:
    keep(page)

    def entries() -> dict[str, object]:
        answer = page.get("/promised/calendar.ics")
        assert answer.headers["content-type"].startswith("text/calendar")
        found = Calendar.from_ical(answer.content).walk("VEVENT")
        return {str(one["uid"]).split("@")[0].removeprefix("promise-"): one for one in found}

    before = entries()
    assert "432N" not in before and before["418K"]["dtstart"].dt == datetime(2026, 11, 13, 7)
    assert int(before["420A"]["sequence"]) == 0 and "late" in str(before["423P"]["summary"])
    with shop.book.command("move a promise", who="R.K.", key="m") as c:
        c.change(r.Order, "420A", promise=datetime(2026, 11, 24))
        c.change(r.Order, "429J", state="cancelled")
    after = entries()
    assert int(after["420A"]["sequence"]) == 1 and after["420A"]["uid"] == before["420A"]["uid"]
    assert f"{after['420A']['dtstart'].dt:%d %b}" == "24 Nov"
    assert str(after["429J"]["status"]) == "CANCELLED" and int(after["429J"]["sequence"]) == 1


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ({"what": "sick", "person": "D.V.", "begin": "Thu 12 Nov", "end": "Fri 13 Nov"},
         ("<option selected>D.V.</option>", 'value="Thu 12 Nov"', 'value="Fri 13 Nov"')),
        ({"what": "late", "order": "420A", "part": "skin <1/8>", "day": "Tue 24 Nov"},
         ('value="420A" selected', 'value="skin &lt;1/8&gt;"', 'value="Tue 24 Nov"')),
        ({"what": "cold", "temperature": "52 F"}, ('value="52 F"',)),
        ({"what": "rush", "order": "428C"}, ('value="428C" selected',)),
    ],
)  # fmt: skip
def test_a_plan_that_is_not_kept_comes_back_with_what_was_typed(
    page: TestClient, typed: dict[str, str], kept: tuple[str, ...]
) -> None:
    settled(page, f"/promised/plan?{urlencode(typed)}")
    nobody = page.post("/promised/keep", data={**typed, "key": "k", "stamp": "1"})
    assert nobody.status_code == 422 and "nobody is named" in nobody.text
    for one in kept:
        assert one in nobody.text, one
    assert f'hx-get="/promised/plan?{urlencode(typed)}"'.replace("&", "&amp;") in nobody.text


def test_a_plan_overtaken_by_an_event_is_looked_at_again_with_what_was_typed(page: TestClient, shop: Desk) -> None:
    query = urlencode({"what": "sick", "person": "D.V.", "end": "Fri 13 Nov"})
    fields = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"',
                             settled(page, f"/promised/plan?{query}")))  # fmt: skip
    with shop.book.command("note", who="M.S.", key="between") as c:
        c.change(r.Order, "420A", hold="he rang")
    late = page.post("/promised/keep", data={**fields, "who": "R.K."})
    assert late.status_code == 422 and "something was written down since this plan was made" in late.text
    assert 'value="Fri 13 Nov"' in late.text and "<option selected>D.V.</option>" in late.text


def test_a_question_refused_without_scripts_leads_back_to_what_was_typed(page: TestClient) -> None:
    asked = page.get("/promised/answer?" + urlencode({"order": "418K", "on": "soon", "rush": "yes"}))
    assert asked.status_code == 422
    back = re.search(r'href="(/promised\?[^"]+)"', asked.text)
    assert back
    form = page.get(back.group(1).replace("&amp;", "&")).text
    assert 'value="418K"' in form and 'value="soon"' in form and 'value="yes" checked' in form


def test_a_plan_nobody_looked_at_is_not_kept(page: TestClient, shop: Desk) -> None:
    unlike = {"what": "plan", "key": "k", "who": "R.K.", "stamp": "1", "mark": "0000-0000"}
    unseen = page.post("/promised/keep", data=unlike)
    assert unseen.status_code == 422 and "this is not the plan that was looked at any more" in unseen.text
    with shop.book.reading() as reads:
        assert reads.count(r.Plan, kind="crew") == 0
