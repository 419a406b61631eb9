"""From a ring to a load slip: one blade through the whole shop, in a real browser, by the forms of its pages."""

from __future__ import annotations

import os
import re
import socket
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

import pytest
import uvicorn
from playwright.sync_api import Browser, Page

from plowwright.desk.desk import Desk
from plowwright.desk.order_file import standing_of
from plowwright.store import checking
from plowwright.store import records as r
from plowwright.web.server import create_app
from tests.conftest import WEDNESDAY

PICTURES = os.environ.get("PLOWWRIGHT_PICTURES")
"""Folder to keep a picture of each page in, for somebody who wants to look."""


@dataclass
class Clock:
    """The shop's clock, moved on by hand."""

    now: datetime = WEDNESDAY

    def pass_by(self, **time: float) -> None:
        """Let time go by."""
        self.now += timedelta(**time)


class Walk:
    """Goes from page to page and sends their forms."""

    def __init__(self, page: Page, home: str) -> None:
        self.page, self.home, self.count = page, home, 0

    def open(self, address: str) -> str:
        """Go to a page; its text."""
        self.page.goto(self.home + address)
        self.page.wait_for_load_state("networkidle")
        self._look(address)
        return self.text()

    def text(self) -> str:
        """What the page says."""
        return self.page.inner_text("main") + "".join(self.page.locator(".did").all_inner_texts())

    def send(self, form: str, **fields: str) -> str:
        """Fill a form in and send it; what the page then says was done, or why not."""
        found = self.page.locator(form).first
        found.evaluate("one => { for (let up = one.closest('details'); up; up = up.parentElement.closest('details')) "
                       "up.open = true; }")  # fmt: skip
        for name, value in fields.items():
            field = found.locator(f'[name="{name}"]').first
            kind = field.evaluate("one => one.tagName + ' ' + (one.type || '')")
            if kind.startswith("SELECT"):
                field.select_option(value)
            elif kind.endswith(("radio", "checkbox")):
                found.locator(f'[name="{name}"][value="{value}"]').check(force=True)
            else:
                field.fill(value)
        found.locator("button[type=submit], button:not([type])").last.click()
        self.page.wait_for_load_state("networkidle")
        self._look(form)
        done = self.page.locator(".did")
        return done.inner_text() if done.count() else self.text()

    def _look(self, what: str) -> None:
        self.count += 1
        if PICTURES:
            name = "".join(c if c.isalnum() else "-" for c in what).strip("-")[:40]
            self.page.screenshot(path=Path(PICTURES) / f"{self.count:02} {name}.png", full_page=True)


@pytest.fixture
def clock() -> Clock:
    """Wednesday, 08:00."""
    return Clock()


@pytest.fixture
def walk(shop: Desk, clock: Clock, browser: Browser) -> Iterator[Walk]:
    """R.K. at the screen of the invented shop."""
    shop.book.keep_time_by(lambda: clock.now)
    with socket.socket(proto=socket.IPPROTO_TCP) as door:
        door.bind(("127.0.0.1", 0))
        server = uvicorn.Server(uvicorn.Config(create_app(shop), log_level="error"))
        serving = threading.Thread(target=server.run, kwargs={"sockets": [door]}, daemon=True)
        serving.start()
        while not server.started:
            time.sleep(0.02)
        home = f"http://127.0.0.1:{door.getsockname()[1]}"
        context = browser.new_context(viewport={"width": 1280, "height": 900})
        context.add_cookies([{"name": "who", "value": "R.K.", "url": home}])
        yield Walk(context.new_page(), home)
        context.close()
        server.should_exit = True
        serving.join(timeout=5)


def test_a_blade_goes_from_a_ring_to_the_trailer(walk: Walk, shop: Desk, clock: Clock) -> None:
    walk.open("/calling?machine=K6&w_width=72+in")
    assert "enquiry" in walk.send("#keep-call", name="W.T.", phone="555 0199")
    walk.page.get_by_role("link", name="Quote a blade").first.click()
    walk.page.wait_for_load_state("networkidle")
    walk.open(f"/order/new?{walk.page.url.partition('?')[2]}&series=reed&width=72+in&mount=loader"
              "&carrier=skid+steer&hoses=flat-face&outlets=left")  # fmt: skip
    said = walk.send("#quote", name="W.T.")
    assert "433" in said and "is quoted to W.T." in said
    number = next(word for word in said.split() if word.startswith("433"))
    assert "ordered, promised Tue 24 Nov" in walk.send("#do-accept", day="2026-11-24", hour="07:00")
    assert "deposit" in walk.send("#do-release")
    file = shop.order(number)
    assert file.state == "not started"
    deposit = walk.page.locator("#do-pay [name=sum]").input_value() or "USD 851.20"
    walk.send("#do-pay", kind="deposit", sum=deposit)
    assert "is released" in walk.send("#do-release")

    for operation, hours in (("saw", 1.5), ("plate_and_drill", 1.5), ("fit_and_weld", 7), ("clean", 1), ("paint", 2)):
        walk.open(f"/floor/{number}/{operation}")
        clock.pass_by(hours=hours)
        assert "done" in walk.send('form[action$="/done"]', took=f"{hours} h")
    walk.open(f"/floor/{number}/assemble")
    assert "cure" in walk.send('form[action$="/done"]', took="4 h").lower()
    clock.pass_by(hours=17)
    walk.open(f"/floor/{number}/assemble")
    assert "done" in walk.send('form[action$="/done"]', took="4 h")
    clock.pass_by(hours=1)
    walk.open(f"/floor/{number}/test_and_weigh")
    walk.send('form[action$="/done"]', took="1 h", left="4.1 s", right="4.0 s", oil="65 F")
    assert shop.order(number).state == "done"

    walk.open("/scale")
    walk.send("form.weigh", order=number, mass="700")
    assert "stays here" in walk.text()
    walk.open(f"/loading/{number}")
    assert "Not yet" in walk.text()
    with shop.book.reading() as reads:
        assert standing_of(reads, number).scale == "stopped"
    predicted = re.search(r"Bare, predicted\s+([\d,]+) lb", walk.text())
    assert predicted is not None
    walk.open("/scale")
    walk.send("form.weigh", order=number, mass=predicted[1])
    walk.open(f"/loading/{number}")
    walk.send('form[action$="/match"]', stamp=number, label=number)
    assert "curing" in walk.text() or "cure" in walk.text().lower()
    clock.pass_by(hours=30)
    walk.open(f"/order/{number}")
    walk.send("#do-pay", kind="balance", sum=walk.page.locator("#do-pay [name=sum]").input_value())
    walk.open(f"/loading/{number}")
    assert "not ticked" in walk.send('form[action$="/load"]')
    for box in walk.page.locator('[name="tick"]').all():
        box.check(force=True)
    walk.send('form[action$="/load"]')
    with shop.book.reading() as reads:
        assert reads.get(r.Order, number).state == "loaded"
        serial = reads.find(r.Blade, order=number)[0].serial
        assert serial.startswith("R72-26-")
    text = walk.open(f"/history/{serial}")
    assert "W.T." in text and "as-built" in text
    assert checking.check(shop.book).holds
