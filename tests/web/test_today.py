"""The pages 'Today' and 'What was done'."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from fastapi.testclient import TestClient

from plowwright.desk.acting import hand
from plowwright.desk.desk import Desk
from plowwright.desk.floor import Floor
from plowwright.web.server import create_app


@pytest.fixture
def owner(shop: Desk) -> Iterator[TestClient]:
    """The owner's screen."""
    with TestClient(create_app(shop)) as client:
        yield client


def test_the_morning_opens_with_the_day_drawn_and_every_line_leads_somewhere(owner: TestClient) -> None:
    text = owner.get("/today").text
    main = text[text.index('<main id="main">') :]
    assert main.index('class="strip"') < main.index("Leaves next") < main.index("Late, and why")
    assert "D.V. 418K fit and weld Wed 08:00 to 11:00" in main
    assert "5 days late, promised Fri 6 Nov: waits for its edge, 108 in" in main
    for item in re.findall(r"<li>(.*?)</li>", main, re.DOTALL):
        assert "<a href=" in item, item


def test_the_log_is_filtered_opened_and_leads_to_where_it_is_put_right(owner: TestClient, shop: Desk) -> None:
    Floor(shop).done(hand("D.V."), "418K", "weld", took="3 h")
    Floor(shop).begin(hand("M.S."), "419T", "assemble")
    text = owner.get("/events?order=418K").text
    assert "Fit and weld of 418K is done" in text and "M.S. is at assemble" not in text
    assert "M.S. is at assemble" in owner.get("/events?by=M.S.").text
    assert "Nothing like that was done." in owner.get("/events?by=N.N.").text
    wrong = owner.get("/events?order=481K")
    assert wrong.status_code == 422 and "Near it: 418K" in wrong.text
    event = re.search(r'href="/events\?event=(\d+)"', text)
    assert event
    page = owner.get(f"/events?event={event.group(1)}").text
    assert "by: D.V., ended: 2026-11-11T08:00:00" in page and 'href="/floor/418K/fit_and_weld#right"' in page
    assert len(re.findall(r">[0-9a-f]{64}<", page)) == 2
    assert owner.get("/events?event=99999").status_code == 404
