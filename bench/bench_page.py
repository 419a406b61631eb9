"""A changed option on the blade's page against an empty page of the same server, over a real socket."""

from __future__ import annotations

import itertools
import socket
import statistics
import threading
import time

import httpx
import uvicorn

from bench import Row
from plowwright.desk.desk import Desk
from plowwright.web.server import create_app

MOST = 10.0
"""How many times the empty page a changed option may cost as a person meets it [-]."""
UNPREPARED = 25.0
"""The same where options are changed faster than the server can work ahead; no goal, kept from getting worse [-]."""
_TIMES = 12
_PAUSE = 0.6
"""How long a person looks at a drawing before the next press, assumed; the server works ahead meanwhile [s]."""


def run() -> list[Row]:
    """A changed option over the empty page: after a person's pause, and asked at once with nothing worked ahead."""
    return [
        _served("a changed option over an empty page, after a person's pause", pause=_PAUSE, limit=MOST),
        _served("a changed option over an empty page, at once, nothing worked ahead", pause=0.0, limit=UNPREPARED),
    ]


def _served(name: str, *, pause: float, limit: float) -> Row:
    # Named as TCP, else the event loop leaves the delay of small packets on and every answer takes 40 ms.
    with socket.socket(proto=socket.IPPROTO_TCP) as door:
        door.bind(("127.0.0.1", 0))
        port = door.getsockname()[1]
        server = uvicorn.Server(uvicorn.Config(create_app(Desk.demo()), log_level="error"))
        serving = threading.Thread(target=server.run, kwargs={"sockets": [door]}, daemon=True)
        serving.start()
        while not server.started:
            time.sleep(0.02)
        try:
            with httpx.Client(base_url=f"http://127.0.0.1:{port}") as client:
                return Row(name=name, value=_ratio(client, pause=pause), limit=limit)
        finally:
            server.should_exit = True
            serving.join(timeout=5)


def _ratio(client: httpx.Client, *, pause: float) -> float:
    """Median time of a change nobody has asked for yet over the median time of the empty page."""
    changes = _changes()
    for _ in range(3):
        client.get("/empty").raise_for_status()
        client.get("/blade/answer", params=next(changes)).raise_for_status()
    empty, changed = [], []
    # Taken in turn, so that a busy moment of the machine meets both.
    for _ in range(_TIMES):
        time.sleep(pause)
        empty.append(_timed(client, "/empty", {}))
        changed.append(_timed(client, "/blade/answer", next(changes)))
    return statistics.median(changed) / statistics.median(empty)


def _timed(client: httpx.Client, address: str, params: dict[str, str]) -> float:
    started = time.perf_counter()
    client.get(address, params=params).raise_for_status()
    return time.perf_counter() - started


def _changes() -> itertools.chain[dict[str, str]]:
    """One option changed at a time, each blade asked for the first time."""
    common = {"series": "basalt", "mount": "loader", "carrier": "skid steer", "chosen": "yes", "outlets": "left"}
    return itertools.chain(
        ({**common, "width": f"{width} in", "hoses": "flat-face"} for width in range(54, 121, 6)),
        ({**common, "width": f"{width} in", "hoses": "poppet"} for width in range(120, 53, -6)),
    )
