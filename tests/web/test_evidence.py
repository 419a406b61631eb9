"""The page 'Rule evidence': a chart for each series, a trial beside the rules in force, progress and stop."""

from __future__ import annotations

import re
import threading
import time

import pytest
from fastapi.testclient import TestClient

from plowwright.desk.desk import Desk
from plowwright.web.server import create_app


def settled(pages: TestClient, address: str) -> str:
    """One series as it stands once it is worked out."""
    for _ in range(300):
        text = pages.get(address).text
        if "Working out" not in text and "Waiting" not in text:
            return text
        time.sleep(0.1)
    raise AssertionError("it was never worked out")


def test_the_page_has_a_place_for_each_series_and_the_form_of_a_trial(pages: TestClient) -> None:
    text = pages.get("/evidence").text
    for key in ("reed", "flint", "basalt"):
        assert f'hx-get="/evidence/look?series={key}"' in text
    assert "tube 3 x 3 x 1/4" in text and 'name="up_to"' in text and 'id="trial"' not in text
    assert '<a href="/evidence">Rules</a>' in pages.get("/").text


def test_a_series_is_drawn_with_its_limit_and_said_in_sentences(pages: TestClient) -> None:
    text = settled(pages, "/evidence/look?series=reed")
    assert "frame first yields" in text and "limit of the rules" in text and text.count("strike of K") == 6
    assert "at its limit of 72 in" in text


def test_metric_readers_get_metres_and_kilonewtons(pages: TestClient) -> None:
    text = settled(pages, "/evidence/look?series=reed&units=metric")
    assert "at its limit of 1829 mm" in text and "width, m" in text and "lbf" not in text
    assert "up to 1829 mm" in pages.get("/evidence?units=metric").text
    pages.cookies.clear()


def test_a_trial_is_held_against_the_rules_in_force(pages: TestClient) -> None:
    query = "series=reed&leg=tube+2-1%2F2+x+2-1%2F2+x+3%2F16&up_to=60+in"
    page = pages.get(f"/evidence?{query}").text
    assert 'id="trial" hx-get="/evidence/look?series=reed&amp;leg=' in page and 'value="60 in"' in page
    text = settled(pages, f"/evidence/look?{query}&trial=yes")
    assert "On trial: legs of tube 2-1/2 x 2-1/2 x 3/16, up to 60 in" in text
    assert "First yield at the width limit:" in text and "limit on trial" in text and "first yield as ruled" in text


@pytest.mark.parametrize(
    ("query", "said"),
    [("series=reed&up_to=84", "a number without a unit"), ("series=reed&up_to=84+ft", "that is no width of a blade")],
)
def test_a_limit_that_cannot_be_taken_is_said_with_the_way_out(pages: TestClient, query: str, said: str) -> None:
    answer = pages.get(f"/evidence?{query}")
    assert answer.status_code == 422 and said in answer.text and "Way out" in answer.text


def test_a_limit_below_the_narrowest_blade_is_refused_where_the_chart_would_be(pages: TestClient) -> None:
    text = settled(pages, "/evidence/look?series=reed&up_to=30+in&trial=yes")
    assert "the width limit on trial lies below the narrowest blade" in text


def test_how_far_it_is_is_said_and_it_can_be_stopped_and_begun_again() -> None:
    desk, gate, begun = Desk.demo(), threading.Event(), threading.Event()
    real = desk.strength.evidence

    def slow(series, *, told, **more):
        def held(said: str) -> None:
            told(said)
            if "54" in said:
                begun.set()
                gate.wait(60)

        return real(series, told=held, **more)

    desk.strength.evidence = slow  # type: ignore[method-assign]
    pages = TestClient(create_app(desk))
    pages.get("/evidence/look?series=reed")
    assert begun.wait(60)
    text = pages.get("/evidence/look?series=reed").text
    assert "Working out Reed 54 in: 2 of 9 widths." in text and re.search(r'<progress max="9" value="2"', text)
    assert "Stopped." in pages.get("/evidence/stop?series=reed").text
    gate.set()
    assert "at its limit of 72 in" in settled(pages, "/evidence/look?series=reed")


def test_a_series_nobody_has_is_refused(pages: TestClient) -> None:
    assert "no series is called so" in pages.get("/evidence/look?series=oak").text


def held_back(desk: Desk, at: str) -> tuple[threading.Event, threading.Event]:
    """Makes the look at a series wait at one width; set the first to let it go on, the second tells that it waits."""
    gate, begun = threading.Event(), threading.Event()
    real = desk.strength.evidence

    def slow(series, *, told, **more):
        def held(said: str) -> None:
            told(said)
            if at in said:
                begun.set()
                gate.wait(60)

        return real(series, told=held, **more)

    desk.strength.evidence = slow  # type: ignore[method-assign]
    return gate, begun


def test_an_open_page_that_asks_how_far_it_is_does_not_begin_anew_what_was_stopped() -> None:
    desk = Desk.demo()
    gate, begun = held_back(desk, "54")
    pages = TestClient(create_app(desk))
    pages.get("/evidence/look?series=reed")
    assert begun.wait(60)
    pages.get("/evidence/stop?series=reed")
    late = pages.get("/evidence/look?series=reed&going=yes")
    assert "Stopped." in late.text and "Begin again" in late.text and late.headers["HX-Retarget"] == "#look-reed"
    gate.set()
    assert "Stopped." in pages.get("/evidence/look?series=reed&going=yes").text
    assert "at its limit of 72 in" in settled(pages, "/evidence/look?series=reed")


@pytest.mark.parametrize("series", ["reed", "flint"])
def test_a_page_that_is_being_answered_when_stop_is_pressed_says_so(
    series: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = Desk.demo()
    gate, begun = held_back(desk, "54")
    pages = TestClient(create_app(desk))
    pages.get("/evidence/look?series=reed")
    assert begun.wait(60)
    # The second series waits for its turn, so it is taken back before it begins; the first is broken off on its way.
    pages.get(f"/evidence/look?series={series}")
    monkeypatch.setattr("plowwright.web.jobs.AT_ONCE", 10.0)
    answers = []
    hand = threading.Thread(
        target=lambda: answers.append(pages.get(f"/evidence/look?series={series}&going=yes"))
    )
    hand.start()
    time.sleep(0.3)
    monkeypatch.setattr("plowwright.web.jobs.AT_ONCE", 0.0)
    pages.get(f"/evidence/stop?series={series}")
    gate.set()
    hand.join(timeout=20)
    assert [one.status_code for one in answers] == [200] and "Stopped." in answers[0].text


def test_how_far_it_is_takes_its_own_place_so_that_stop_stays_under_the_finger() -> None:
    desk = Desk.demo()
    gate, begun = held_back(desk, "54")
    pages = TestClient(create_app(desk))
    whole = pages.get("/evidence/look?series=reed").text
    assert begun.wait(60)
    part = pages.get("/evidence/look?series=reed&going=yes")
    gate.set()
    assert ">Stop</button>" in whole and ">Stop</button>" not in part.text
    assert "2 of 9 widths" in part.text and "HX-Retarget" not in part.headers


def test_stop_pressed_too_late_shows_what_came_of_it(pages: TestClient) -> None:
    settled(pages, "/evidence/look?series=reed")
    assert "at its limit of 72 in" in pages.get("/evidence/stop?series=reed").text
