"""The wall says what is late, rush or on hold in words, and draws every blade at one scale."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from plowwright.desk.desk import Desk
from plowwright.desk.opening import open_records
from plowwright.web.server import create_app


def wall(pages: TestClient) -> str:
    answer = pages.get("/")
    assert answer.status_code == 200
    return answer.text


def slip(text: str, number: str) -> str:
    return text.split(f'id="order-{number}"', 1)[1].split("</li>", 1)[0]


def test_every_order_of_the_demo_hangs_on_the_wall_once(pages: TestClient) -> None:
    numbers = re.findall(r'id="order-(\w+)"', wall(pages))
    assert len(numbers) == 15 and len(set(numbers)) == 15 and "421M" in numbers


def test_late_rush_and_on_hold_are_said_in_words(pages: TestClient) -> None:
    text = wall(pages)
    assert "late" in slip(text, "423P") and "rush" in slip(text, "418K") and "on hold" in slip(text, "425V")
    assert "late</span>" not in slip(text, "421M")
    assert "15 orders: 1 late, 1 rush, 1 on hold." in text


def test_the_oldest_promise_comes_first_and_the_clock_is_the_demos(pages: TestClient) -> None:
    text = wall(pages)
    assert text.index("423P") < text.index("418K") < text.index("421M") < text.index("432N")
    assert "Wed 11 Nov 2026, 08:00" in text


def test_a_wider_blade_is_drawn_wider_in_the_same_field(pages: TestClient) -> None:
    text = wall(pages)
    boxes = {re.search(r'viewBox="0 0 ([\d.]+)', slip(text, number)).group(1) for number in ("424H", "432N")}
    assert len(boxes) == 1
    assert _span(slip(text, "432N")) > 1.9 * _span(slip(text, "424H"))


def test_a_sale_of_spares_has_no_drawing_and_no_page(pages: TestClient) -> None:
    assert "<svg" not in slip(wall(pages), "431G")
    refused = pages.get("/blade/431G")
    assert refused.status_code == 404 and "431G" in refused.text and "Way out" in refused.text


def _span(text: str) -> float:
    # The widest tinted shape is the rolled skin, or the edge of the same width, from the front.
    spans: list[float] = []
    for path in re.findall(r'<path d="([^"]+)"[^>]*fill-tint', text):
        across = [float(x) for x in re.findall(r"[ML]([-\d.]+) ", path)]
        spans.append(max(across) - min(across))
    return max(spans)


@pytest.mark.parametrize(
    ("address", "said"),
    [
        ("/", "No order hangs here yet."),
        ("/today", "Nothing leaves today or on the next day."),
        ("/promised", "No order is open, so nothing is promised and nothing is planned."),
        ("/enquiries", "Open: no enquiries, no quotes."),
        ("/floor?who=D.V.", "You are at nothing.</p>"),
        ("/events", "Nothing is written down yet."),
    ],
)
def test_a_shop_that_begins_is_told_what_there_is_not_and_is_refused_nothing(
    tmp_path: Path, demo_dir: Path, address: str, said: str
) -> None:
    with open_records(tmp_path / "new", make=True) as book:
        page = TestClient(create_app(Desk(demo_dir / "rulebook", records=book))).get(address)
    assert page.status_code == 200 and said in page.text
    assert "Not taken." not in page.text and 'class="lay"' not in page.text
