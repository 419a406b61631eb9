"""A changed field on 'Who's calling' against an empty page of the same server, over a real socket."""

from __future__ import annotations

import itertools
import socket
import statistics
import threading
import time
from collections.abc import Iterator

import httpx
import uvicorn

from bench import Row
from plowwright.desk.desk import Desk
from plowwright.web.server import create_app

MOST = 15.0
"""How many times the empty page a changed field may cost [-]."""
_TIMES = 16
_PAUSE = 0.3
"""How long a person looks at an answer before the next field, assumed; shorter than anybody types [s]."""
_PATIENCE = 120.0


def run() -> list[Row]:
    """A changed field over the empty page, every enquiry asked for the first time."""
    # Named as TCP, else the event loop leaves the delay of small packets on and every answer takes 40 ms.
    with socket.socket(proto=socket.IPPROTO_TCP) as door:
        door.bind(("127.0.0.1", 0))
        port = door.getsockname()[1]
        app = create_app(Desk.demo())
        app.state.warm()  # as `plowwright serve` does
        server = uvicorn.Server(uvicorn.Config(app, log_level="error"))
        serving = threading.Thread(target=server.run, kwargs={"sockets": [door]}, daemon=True)
        serving.start()
        while not server.started:
            time.sleep(0.02)
        try:
            with httpx.Client(base_url=f"http://127.0.0.1:{port}") as client:
                told = (("kind known", _known()), ("kind unknown", _unknown()))
                return [
                    Row(name=f"a changed field over an empty page, {what}", value=_ratio(client, changes), limit=MOST)
                    for what, changes in told
                ]
        finally:
            server.should_exit = True
            serving.join(timeout=5)


def _ratio(client: httpx.Client, changes: Iterator[dict[str, str]]) -> float:
    """Median time of a change nobody has asked for yet over the median time of the empty page."""
    for _ in range(3):
        client.get("/empty").raise_for_status()
        _settled(client, next(changes))
    empty, changed = [], []
    # Taken in turn, so that a busy moment of the machine meets both.
    for _ in range(_TIMES):
        time.sleep(_PAUSE)
        empty.append(_timed(client, "/empty", {}))
        changed.append(_timed(client, "/calling/answer", next(changes)))
    return statistics.median(changed) / statistics.median(empty)


def _settled(client: httpx.Client, params: dict[str, str]) -> None:
    """Wait for the range, which the server works out once after its start."""
    began = time.perf_counter()
    while 'class="waits"' in client.get("/calling/answer", params=params).raise_for_status().text:
        if time.perf_counter() - began > _PATIENCE:
            raise TimeoutError("the range was not worked out in time")
        time.sleep(0.1)


def _timed(client: httpx.Client, address: str, params: dict[str, str]) -> float:
    started = time.perf_counter()
    text = client.get(address, params=params).raise_for_status().text
    if 'class="waits"' in text:
        _settled(client, params)
    return time.perf_counter() - started


def _known() -> Iterator[dict[str, str]]:
    """A tractor of which one field after the other changes."""
    common = {"m_told": "yes", "m_kind": "tractor", "m_power_what": "engine", "m_power_from": "told",
              "m_lift_what": "at pins, full height", "m_lift_from": "told"}  # fmt: skip
    for step in itertools.count():
        yield {**common, "m_power": f"{30 + step} hp", "m_lift": f"{1200 + 30 * step} lb"}


def _unknown() -> Iterator[dict[str, str]]:
    """A machine of which only the power is told."""
    common = {"m_told": "yes", "m_power_what": "engine", "m_power_from": "told"}
    for step in itertools.count():
        yield {**common, "m_power": f"{20 + step} hp"}
