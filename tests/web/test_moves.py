"""The page 'How it moves': seconds each way, pressures, protection, the stopwatch, and the test card."""

from __future__ import annotations

import html
import io

from fastapi.testclient import TestClient
from pypdf import PdfReader


def page(pages: TestClient, address: str) -> str:
    answer = pages.get(address)
    assert answer.status_code == 200, answer.text
    return html.unescape(answer.text)


def test_the_swing_is_drawn_first_with_each_way_beside_it(pages: TestClient) -> None:
    text = page(pages, "/moves?order=421M")
    assert text.index("<figure><svg") < text.index("Each way") < text.index("Against what it should keep to")
    for said in ("left end forward", "right end forward", "first swing of a cold day", "energy at the stop",
                 "force at the end, held", "without restrictors"):  # fmt: skip
        assert said in text


def test_a_bigger_pump_does_not_swing_it_faster(pages: TestClient) -> None:
    text = page(pages, "/moves?order=421M")
    rows = text[text.index("a pump of 8 gpm") :].split("<tr>")[:3]
    times = [row.split("<td>")[1:3] for row in rows]
    assert times[0] == times[1] == times[2], times


def test_the_relief_is_never_called_full_protection(pages: TestClient) -> None:
    part = page(pages, "/moves?order=421M")
    part = part[part.index("What the relief protects") :]
    assert "not protected" in part
    assert part.count("full protection") == part.count("never full protection")


def test_a_drilled_out_restrictor_is_found_by_the_stopwatch(pages: TestClient) -> None:
    text = page(pages, "/moves/stopwatch?order=421M&machine=K4&left=1.2+s&right=1.4+s&oil=60+F")
    assert "Drilled out" in text and "To send:" in text and "restrictor pair" in text and "Stand still." in text
    assert text.count("<li>") >= 5, "all causes are ranked"


def test_the_times_stand_in_the_address(pages: TestClient) -> None:
    address = "order=421M&left=1.2+s&right=1.4+s&oil=60+F"
    answer = pages.get(f"/moves/stopwatch?{address}")
    assert "left=1.2+s&right=1.4+s&oil=60+F" in answer.headers["HX-Replace-Url"]
    again = page(pages, answer.headers["HX-Replace-Url"])
    assert 'value="1.2 s"' in again and "Stand still." in again


def test_a_time_without_a_unit_is_refused_with_an_example(pages: TestClient) -> None:
    text = page(pages, "/moves/stopwatch?order=421M&left=1.2&right=1.4+s&oil=60+F")
    assert "a number without a unit" in text and "Left end forward" in text and "Way out: Write" in text


def test_an_incomplete_stopwatch_says_what_is_needed(pages: TestClient) -> None:
    assert "All three are needed" in page(pages, "/moves/stopwatch?order=421M&left=1.2+s")


def test_without_a_machine_the_test_pack_stands_in_and_says_so(pages: TestClient) -> None:
    text = page(pages, "/moves?order=421M&machine=unknown")
    assert "the shop's test pack" in text and "To be sure of it, ask for" in text and "#m-pressure-0" in text


def test_the_page_speaks_metric(pages: TestClient) -> None:
    text = page(pages, "/moves?order=421M&units=metric")
    assert " bar" in text and "mm/s" in text
    pages.cookies.clear()


def test_the_test_card_can_be_had(pages: TestClient) -> None:
    answer = pages.get("/moves/test card.pdf?order=421M")
    assert answer.status_code == 200
    assert "Basalt 84" in PdfReader(io.BytesIO(answer.content)).pages[0].extract_text()


def test_the_blade_leads_to_both_pages(pages: TestClient) -> None:
    text = page(pages, "/blade/421M")
    assert 'href="/suits?order=421M' in text and 'href="/moves?order=421M' in text


def test_the_plumbing_stands_with_its_drawings_schedule_and_who_pays(pages: TestClient) -> None:
    text = page(pages, "/moves?order=422D")
    part = text[text.index('id="plumbing"') : text.index('id="stopwatch"')]
    drawn = ("Hose sketch", "ISO 1219-1")
    for said in (*drawn, "Schedule", "hose 4", "poppet 1/2, male", "ORB", "Plugs and caps", "Lever"):
        assert said in part, said


def test_pressures_are_held_against_the_couplers_it_really_gets(pages: TestClient) -> None:
    text = page(pages, "/moves?order=422D")
    assert "rated 3,000 psi" in text and "3,000 psi</td>" in text, "bars and schedule tell one rating"
