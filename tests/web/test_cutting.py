"""The page 'This week's cutting': plan, progress, stop, papers, and a plan mended after a mishap."""

from __future__ import annotations

import io
import re
import threading
import time
from urllib.parse import quote, urlencode

import pytest
from fastapi.testclient import TestClient
from pypdf import PdfReader

from plowwright.desk.desk import Desk
from plowwright.web.server import create_app

ONE = "order=421M&seconds=1"


def settled(pages: TestClient, address: str) -> str:
    for _ in range(200):
        text = pages.get(address).text
        if 'class="waits"' not in text:
            return text
        time.sleep(0.05)
    raise AssertionError("it was never planned")


def test_the_page_offers_the_orders_whose_steel_is_uncut(pages: TestClient) -> None:
    text = pages.get("/cutting").text
    assert text.count('name="order"') == 7 and 'value="421M" checked' in text and "418K" not in text
    assert "This week&#39;s cutting</a>" in text or "This week's cutting</a>" in text


def test_a_plan_shows_each_stick_with_its_pieces_edges_and_what_to_order(pages: TestClient) -> None:
    text = settled(pages, f"/cutting/plan?{ONE}")
    sticks = len(re.findall(r'id="stick-\d+"', text))
    assert f"{sticks} sticks" in text and text.count('class="bar"') == sticks
    assert 'value="421M leg left"' in text and "421M edge" in text and "undrilled bar" in text
    assert "Told apart only by their walls" in text or "tube" in text


def test_every_paper_of_the_plan_can_be_had(pages: TestClient) -> None:
    text = settled(pages, f"/cutting/plan?{ONE}")
    links = re.findall(r'href="(/cutting/papers/[^"]+)"', text)
    assert len(links) == 4
    for link in links:
        answer = pages.get(link.replace("&amp;", "&"))
        assert answer.status_code == 200 and len(answer.content) > 500, link
    saw = pages.get(f"/cutting/papers/saw sheet.pdf?{ONE}")
    assert "421M hinge beam" in PdfReader(io.BytesIO(saw.content)).pages[-1].extract_text() + "".join(
        page.extract_text() for page in PdfReader(io.BytesIO(saw.content)).pages
    )


def test_a_bent_bar_is_planned_again_with_the_tags_to_write(pages: TestClient) -> None:
    text = settled(pages, f"/cutting/plan?{ONE}")
    number = re.findall(r'id="stick-(\d+)"', text)[0]
    mended = settled(pages, f"/cutting/plan?{ONE}&bent={number}")
    assert "Tags to write again" in mended and "(bent bar)" in mended and "changed sticks.pdf" in mended
    paper = pages.get(f"/cutting/papers/changed sticks.pdf?{ONE}&bent={number}")
    assert "changed sticks" in PdfReader(io.BytesIO(paper.content)).pages[0].extract_text()


def test_what_is_cut_stays_when_a_piece_is_miscut(pages: TestClient) -> None:
    text = settled(pages, f"/cutting/plan?{ONE}")
    tags = re.findall(r'name="cut" value="([^"]+)"', text)
    query = f"{ONE}&cut={quote(tags[0])}&miscut={quote(tags[1])}"
    mended = settled(pages, f"/cutting/plan?{query}")
    assert f'value="{tags[0]}" checked' in mended and "(miscut)" in mended


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("order=999Z", "999Z"),
        ("seconds=soon", "seconds and sticks are numbers"),
        ("seconds=0", "0.1 to 600"),
        (f"{ONE}&bent=77", "no stick of the plan has this number"),
        (f"{ONE}&miscut=nothing", "no piece of the plan has this tag"),
    ],
)
def test_what_cannot_be_planned_is_refused_with_the_way_out(pages: TestClient, query: str, said: str) -> None:
    text = settled(pages, f"/cutting/plan?{query}")
    assert said in text and "Way out" in text


def test_an_order_that_is_not_open_leaves_the_form_standing(pages: TestClient) -> None:
    answer = pages.get("/cutting?order=999Z")
    assert answer.status_code == 422 and "Not planned" in answer.text and 'name="seconds"' in answer.text


def test_a_long_plan_shows_how_far_it_is_and_stop_takes_the_best_so_far() -> None:
    pages = TestClient(create_app(Desk.demo()))
    begun, text = time.monotonic(), ""
    query = "seconds=60"
    for _ in range(100):
        text = pages.get(f"/cutting/plan?{query}").text
        if "Section" in text and "over the bound" in text:
            break
        time.sleep(0.05)
    assert "Stop, take the best so far" in text and "<progress" in text
    stopped: list[str] = []
    hand = threading.Thread(target=lambda: stopped.append(pages.get(f"/cutting/stop?{query}").text))
    hand.start()
    hand.join(timeout=20)
    text = settled(pages, f"/cutting/plan?{query}")
    assert "sticks" in text and "at most" in text
    assert time.monotonic() - begun < 40


def test_stick_lengths_are_compared_on_the_same_pieces_the_cheapest_first(pages: TestClient) -> None:
    settled(pages, f"/cutting/plan?{ONE}")
    for _ in range(200):
        text = pages.get(f"/cutting/lengths?{ONE}").text
        if "Planning the same" not in text:
            break
        time.sleep(0.1)
    costs = [float(c.replace(",", "")) for c in re.findall(r"ft: ([\d,.]+)", text)]
    assert len(costs) == 3 and costs == sorted(costs) and "20 ft and 24 ft" in text


def test_a_price_break_is_weighed_and_a_bare_price_refused_beside_its_field(pages: TestClient) -> None:
    typed = "price=USD%20132&break_price=USD%20121&lot=40&needed=6&a_year=60"
    text = pages.get(f"/cutting/break?{typed}").text
    assert "The larger lot pays: it saves 440.00" in text
    answer = pages.get("/cutting/break?" + typed.replace("USD%20132", "132"))
    assert answer.status_code == 422 and "price of one" in answer.text
    answer = pages.get("/cutting/break?" + typed.replace("lot=40", "lot="))
    assert answer.status_code == 422 and "sticks in the lot" in answer.text


def test_ticks_alone_leave_the_plan_as_it_is_and_stay_ticked(pages: TestClient) -> None:
    text = settled(pages, f"/cutting/plan?{ONE}")
    tag = re.findall(r'name="cut" value="([^"]+)"', text)[0]
    ticked = pages.get(f"/cutting/plan?{ONE}&cut={quote(tag)}").text
    mark = re.findall(r"plan ([0-9a-f]{4}-[0-9a-f]{4})", text)
    assert 'class="waits"' not in ticked and re.findall(r"plan ([0-9a-f]{4}-[0-9a-f]{4})", ticked) == mark
    assert f'value="{tag}" checked' in ticked


def test_a_second_mishap_is_said_of_the_mended_plan_and_the_first_is_not_forgotten(pages: TestClient) -> None:
    text = settled(pages, f"/cutting/plan?{ONE}")
    bent = re.findall(r'id="stick-(\d+)"', text)[0]
    mended = settled(pages, f"/cutting/plan?{ONE}&bent={bent}")
    hidden = re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', mended)
    assert ("bent", bent) in hidden and hidden[-1][0] == "then"
    new = max(int(n) for n in re.findall(r'id="stick-(\d+)"', mended))
    again = settled(pages, "/cutting/plan?" + urlencode([*hidden, ("bent", str(new))]))
    numbers = [int(n) for n in re.findall(r'id="stick-(\d+)"', again)]
    assert "(bent bar)" in again and int(bent) not in numbers and new not in numbers and max(numbers) > new


@pytest.mark.parametrize("lot", ["inf", "nan"])
def test_a_count_without_end_is_refused(pages: TestClient, lot: str) -> None:
    answer = pages.get(f"/cutting/break?price=USD%20132&break_price=USD%20121&lot={lot}&needed=6&a_year=60")
    assert answer.status_code == 422 and "sticks in the lot: not a number" in answer.text
