"""A real Chromium on the demo's pages, every request it makes written down."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

import pytest
import uvicorn
from playwright.sync_api import Browser, ConsoleMessage, Page, sync_playwright

from plowwright.desk.desk import Desk
from plowwright.web.server import create_app

QUIET = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip
IN_SOFTWARE = ("--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader")


@dataclass
class Visit:
    """One page in one browser, with what it asked for and what it complained of."""

    page: Page
    home: str
    asked: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    def open(self, address: str) -> Page:
        """Go to an address of the server and wait until the page has settled."""
        self.page.goto(self.home + address)
        self.page.wait_for_load_state("networkidle")
        return self.page


@contextmanager
def served(desk: Desk) -> Iterator[str]:
    """Where a desk's pages are served meanwhile."""
    # Named as TCP, else the event loop leaves the delay of small packets on and every answer takes 40 ms.
    with socket.socket(proto=socket.IPPROTO_TCP) as door:
        door.bind(("127.0.0.1", 0))
        server = uvicorn.Server(uvicorn.Config(create_app(desk), log_level="error"))
        serving = threading.Thread(target=server.run, kwargs={"sockets": [door]}, daemon=True)
        serving.start()
        while not server.started:
            time.sleep(0.02)
        yield f"http://127.0.0.1:{door.getsockname()[1]}"
        server.should_exit = True
        serving.join(timeout=5)


@pytest.fixture(scope="session")
def home() -> Iterator[str]:
    """Where the demo's pages are served."""
    with served(Desk.demo()) as address:
        yield address


@pytest.fixture(scope="session")
def browser(chromium_path: str) -> Iterator[Browser]:
    """Chromium with depth drawn in software."""
    with sync_playwright() as player:
        opened = player.chromium.launch(executable_path=chromium_path, args=[*QUIET, *IN_SOFTWARE])
        yield opened
        opened.close()


@pytest.fixture
def visit(browser: Browser, home: str) -> Iterator[Visit]:
    """A fresh page; at the end nothing may have been asked of another machine, and nothing complained of."""
    page = browser.new_context(viewport={"width": 1280, "height": 900}).new_page()
    seen = Visit(page=page, home=home)
    page.on("request", lambda request: seen.asked.append(request.url))
    page.on("pageerror", lambda error: seen.complaints.append(str(error)))

    def listen(line: ConsoleMessage) -> None:
        # A page that is left or loaded again breaks off what it still asked. Any other failure has a line too.
        if line.type == "error" and not line.text.startswith(("htmx:sendAbort", "htmx:afterRequest")):
            seen.complaints.append(line.text)

    page.on("console", listen)
    yield seen
    # Leaving a page breaks off what it was still asking; that is no complaint of the page's.
    page.remove_listener("console", listen)
    page.context.close()
    outside = [url for url in seen.asked if not url.startswith((seen.home, "data:", "blob:"))]
    assert not outside, f"asked of another machine: {outside}"
    assert not seen.complaints, f"the browser complained: {seen.complaints}"
