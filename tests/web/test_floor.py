"""The pages of the floor, asked as a tablet asks them."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator

import pytest
from fastapi.testclient import TestClient
from PIL import Image

from plowwright.desk.desk import Desk
from plowwright.web.server import create_app


@pytest.fixture
def tablet(shop: Desk) -> Iterator[TestClient]:
    """A tablet on the shop's own records."""
    with TestClient(create_app(shop)) as client:
        yield client


def key_of(text: str, act: str) -> str:
    """The key of one form of a page."""
    found = re.search(rf'action="[^"]*/{act}".*?name="key" value="([^"]+)"', text, re.DOTALL)
    assert found, f"no form for {act}"
    return found.group(1)


def test_three_names_lead_to_ones_own_slips(tablet: TestClient) -> None:
    text = tablet.get("/floor").text
    assert text.count('href="/floor?who=') == 3 and "Who are you?" in text
    mine = tablet.get("/floor?who=M.S.")
    assert 'href="/floor/419T/assemble"' in mine.text and "one notch in the mount plate" in mine.text
    assert "418K, Basalt 84 in, is here too" in mine.text
    # The tablet knows its person from then on.
    assert "M.S.: what you are at" in tablet.get("/floor").text


def test_done_is_said_by_one_form_and_the_page_tells_it_and_how_to_put_it_right(tablet: TestClient) -> None:
    page = tablet.get("/floor/418K/fit_and_weld?who=D.V.").text
    assert "grind paint and zinc off first" in page
    form = {"key": key_of(page, "done"), "who": "D.V.", "took": "3 h 20 min"}
    told = tablet.post("/floor/418K/fit_and_weld/done", data=form)
    assert told.status_code == 200 and "Fit and weld of 418K is done, by D.V., 3 h 20 min." in told.text
    assert "It is not done after all" in told.text and "Next on 418K: clean" in told.text
    again = tablet.post("/floor/418K/fit_and_weld/done", data=form)
    assert "Fit and weld of 418K is done, by D.V., 3 h 20 min." in again.text
    other = tablet.post("/floor/418K/fit_and_weld/done", data={"key": "another", "who": "M.S."})
    assert other.status_code == 422 and "fit and weld is done already" in other.text
    right = tablet.post("/floor/418K/fit_and_weld/right", data={"key": "r", "who": "D.V.", "reason": "a seam is left"})
    assert "Fit and weld of 418K is not done: a seam is left." in right.text


def test_what_is_refused_stays_as_it_was_typed(tablet: TestClient) -> None:
    form = {"key": "k", "who": "D.V.", "took": "3 hours and more"}
    answer = tablet.post("/floor/418K/fit_and_weld/done", data=form)
    assert answer.status_code == 422 and "Not taken." in answer.text and 'value="3 hours and more"' in answer.text
    nobody = tablet.post("/floor/418K/fit_and_weld/done", data={"key": "k2", "took": "3 h"})
    assert nobody.status_code == 422 and "nobody is named" in nobody.text
    early = tablet.post("/floor/418K/assemble/done", data={"key": "k3", "who": "M.S."})
    assert early.status_code == 422 and "assemble comes after paint" in early.text


def test_a_problem_with_its_photo_stands_on_the_order_and_is_settled_there(tablet: TestClient) -> None:
    photo = io.BytesIO()
    Image.new("RGB", (60, 40), "red").save(photo, "PNG")
    answer = tablet.post(
        "/floor/420A/fit_and_weld/problem",
        data={"key": "p", "who": "D.V.", "what": "web is bent", "where": "left end", "hold": "yes"},
        files={"photo": ("bent.png", photo.getvalue(), "image/png")},
    )
    assert "The problem stands on 420A with a photo" in answer.text
    address = re.search(r'src="(/floor/photo/[0-9a-f]{64})"', answer.text)
    assert address
    kept = tablet.get(address.group(1))
    assert kept.headers["content-type"] == "image/png" and Image.open(io.BytesIO(kept.content)).size == (60, 40)
    page = tablet.get("/floor/420A").text
    problem = re.search(r'name="problem" value="([^"]+)"', page)
    assert problem and "On hold." in page
    short = tablet.post("/floor/420A/settle", data={"key": "s0", "who": "R.K.", "problem": problem.group(1), "how": ""})
    assert short.status_code == 422 and "nothing is said" in short.text
    done = tablet.post(
        "/floor/420A/settle",
        data={"key": "s", "who": "R.K.", "problem": problem.group(1), "how": "straightened cold"},
    )
    assert "Settled on 420A: straightened cold." in done.text and 'name="problem"' not in done.text


def test_what_is_no_photo_is_refused_and_the_words_stay(tablet: TestClient) -> None:
    answer = tablet.post(
        "/floor/420A/fit_and_weld/note", data={"key": "n", "who": "D.V.", "text": "see the seam"},
        files={"photo": ("list.txt", b"no picture", "text/plain")},
    )  # fmt: skip
    assert answer.status_code == 422 and "this is no photo that can be read" in answer.text
    assert "see the seam</textarea>" in answer.text


def test_the_test_card_is_asked_for_and_the_scale_is_one_press_away(tablet: TestClient) -> None:
    page = tablet.get("/floor/419T/test_and_weigh").text
    for name in ("left", "right", "oil"):
        assert f'name="{name}"' in page
    assert 'href="/scale?order=419T"' in page and "passes" in page and "never by hand" in page


def test_an_order_or_operation_that_is_not_there_is_said(tablet: TestClient) -> None:
    assert "Near it: 418K" in tablet.get("/floor/481K").text
    assert tablet.get("/floor/418K/polish").status_code == 404
    assert tablet.post("/floor/418K/saw/dance", data={"key": "x", "who": "D.V."}).status_code == 422
    assert tablet.get("/floor/photo/" + "0" * 64).status_code == 404


def test_the_traveller_is_one_press_away(tablet: TestClient) -> None:
    answer = tablet.get("/floor/419T/traveller.pdf")
    assert answer.headers["content-type"] == "application/pdf" and answer.content.startswith(b"%PDF")
