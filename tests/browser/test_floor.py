"""The floor on a tablet: gloves, a closed lid, a lost line, a camera's photo."""

from __future__ import annotations

import io
import socket
import threading
import time
from collections.abc import Iterator

import pytest
import uvicorn
from PIL import Image
from playwright.sync_api import Browser, Page, Route, expect

from plowwright.desk.desk import Desk
from plowwright.desk.floor_right import standing_hours
from plowwright.desk.order_file import ABOUT
from plowwright.web.server import create_app

LEAST = 44
TOO_SMALL = """least => [...document.querySelectorAll('main :is(a, button, summary, select, textarea, input)')]
  .filter(one => one.type !== 'hidden')
  .filter(one => one.checkVisibility())
  .map(one => one.matches('[type=checkbox]') ? one.closest('label') : one)
  .map(one => [one.textContent.trim().slice(0, 40) || one.name, one.getBoundingClientRect()])
  .filter(([, box]) => box.height < least - 0.5 || box.width < least - 0.5)
  .map(([name, box]) => `${name}: ${Math.round(box.width)} x ${Math.round(box.height)}`)"""


@pytest.fixture
def tablet(browser: Browser, shop: Desk) -> Iterator[Page]:
    """A tablet held upright, on the shop's own records."""
    with socket.socket(proto=socket.IPPROTO_TCP) as door:
        door.bind(("127.0.0.1", 0))
        server = uvicorn.Server(uvicorn.Config(create_app(shop), log_level="error"))
        serving = threading.Thread(target=server.run, kwargs={"sockets": [door]}, daemon=True)
        serving.start()
        while not server.started:
            time.sleep(0.02)
        context = browser.new_context(
            viewport={"width": 820, "height": 1180}, has_touch=True,
            base_url=f"http://127.0.0.1:{door.getsockname()[1]}",
        )  # fmt: skip
        yield context.new_page()
        context.close()
        server.should_exit = True
        serving.join(timeout=5)


@pytest.mark.parametrize("address", ["/floor", "/floor?who=M.S.", "/floor/418K", "/floor/418K/fit_and_weld?who=D.V.",
                                     "/floor/419T/paint", "/floor/419T/test_and_weigh"])  # fmt: skip
def test_everything_to_press_is_large_enough_and_nothing_runs_off_the_page(tablet: Page, address: str) -> None:
    tablet.goto(address)
    for fold in tablet.locator("main details").all():
        fold.evaluate("one => { one.removeAttribute('name'); one.open = true; }")
    assert tablet.evaluate(TOO_SMALL, LEAST) == []
    assert tablet.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_from_ones_name_to_done_in_four_presses(tablet: Page, shop: Desk) -> None:
    tablet.goto("/floor")
    tablet.tap("text=D.V.")
    tablet.tap(".slips .huge >> nth=0")
    tablet.tap("button:has-text('Done: fit and weld of 418K')")
    expect(tablet.locator(".did")).to_contain_text("Fit and weld of 418K is done, by D.V.")
    tablet.tap("text=It is not done after all")
    tablet.fill("#right [name=reason] >> nth=0", "a seam is left")
    tablet.tap("text=Put right: not done")
    expect(tablet.locator(".did")).to_contain_text("Fit and weld of 418K is not done: a seam is left.")
    with shop.book.reading() as reads:
        assert standing_hours(reads, "418K") == ()


def test_a_half_written_answer_survives_a_closed_lid(tablet: Page) -> None:
    tablet.goto("/floor/420A/fit_and_weld?who=D.V.")
    tablet.tap("summary:has-text('Problem')")
    tablet.fill("[name=what]", "web is bent")
    key = tablet.input_value("form[data-keep^=problem] [name=key]")
    tablet.goto("/floor")
    tablet.goto("/floor/420A/fit_and_weld")
    assert tablet.input_value("[name=what]") == "web is bent"
    assert tablet.input_value("form[data-keep^=problem] [name=key]") == key
    assert tablet.inner_text(".left-half") == "You left this half written."
    tablet.select_option("form[data-keep^=problem] [name=who]", "D.V.")
    tablet.tap("button:has-text('Problem on 420A')")
    expect(tablet.locator(".did")).to_contain_text("The problem stands on 420A")
    tablet.goto("/floor/420A/fit_and_weld")
    assert tablet.input_value("[name=what]") == ""


def test_what_was_sent_over_a_line_that_broke_is_done_once(tablet: Page, shop: Desk) -> None:
    tablet.goto("/floor/420A/fit_and_weld?who=D.V.")
    tablet.tap("summary:has-text('Note and photo')")
    tablet.fill("[name=text]", "two webs are new")

    def broken(route: Route) -> None:
        # The shop's computer takes it, but its answer never comes back.
        route.fetch(max_redirects=0)
        route.abort()

    tablet.route("**/note", broken)
    tablet.tap("button:has-text('Keep it with 420A')")
    tablet.wait_for_timeout(500)
    tablet.unroute("**/note")
    tablet.goto("/floor/420A/fit_and_weld?who=D.V.")
    assert tablet.input_value("[name=text]") == "two webs are new"
    tablet.tap("button:has-text('Keep it with 420A')")
    expect(tablet.locator(".did")).to_contain_text("The note is with 420A.")
    with shop.book.reading() as reads:
        assert [one.note for one in reads.attached(ABOUT, "420A")] == ["fit and weld: two webs are new (D.V.)"]


def test_a_photo_of_the_camera_goes_with_the_order_and_is_seen(tablet: Page) -> None:
    taken = io.BytesIO()
    Image.new("RGB", (640, 480), "green").save(taken, "JPEG")
    tablet.goto("/floor/420A/fit_and_weld?who=D.V.")
    tablet.tap("summary:has-text('Note and photo')")
    field = tablet.locator("form[data-keep^=note] [name=photo]")
    assert (field.get_attribute("accept"), field.get_attribute("capture")) == ("image/*", "environment")
    field.set_input_files({"name": "IMG.jpg", "mimeType": "image/jpeg", "buffer": taken.getvalue()})
    tablet.tap("button:has-text('Keep it with 420A')")
    expect(tablet.locator(".did")).to_contain_text("The photo is with 420A.")
    tablet.locator(".kept img").scroll_into_view_if_needed()
    tablet.wait_for_function("document.querySelector('.kept img').naturalWidth === 640")


def test_all_answers_can_be_given_without_script(browser: Browser, tablet: Page) -> None:
    tablet.goto("/floor")
    home = tablet.evaluate("location.origin")
    context = browser.new_context(viewport={"width": 820, "height": 1180}, java_script_enabled=False)
    plain = context.new_page()
    plain.goto(f"{home}/floor/418K/fit_and_weld?who=D.V.")
    plain.click("button:has-text('Done: fit and weld of 418K')")
    expect(plain.locator(".did")).to_contain_text("Fit and weld of 418K is done, by D.V.")
    context.close()
