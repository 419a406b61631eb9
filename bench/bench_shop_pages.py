"""The pages of a shop with 10,000 orders and 100,000 ledger lines behind it, against the same with 100 orders.

Both begin as the invented shop; what is behind it are orders that are loaded, their blades with marks and chapters,
ledger lines of the items there are, hours and events.
"""

from __future__ import annotations

import json
import statistics
import tempfile
import time
from datetime import date, datetime, timedelta
from pathlib import Path

from fastapi.testclient import TestClient
from sqlalchemy import insert

from bench import Row
from plowwright.desk.desk import Desk
from plowwright.desk.opening import open_demo
from plowwright.shop.orders_numbers import with_letter
from plowwright.store import database
from plowwright.store import records as r
from plowwright.store import tables as t
from plowwright.store.plain import written
from plowwright.web.server import create_app

LIMIT = 2.0
"""How many times the page with 100 orders the page with 10,000 may cost [-]."""
TIMES = 15
PAGES = (
    "/", "/today", "/order/421M", "/enquiries", "/promised", "/parts", "/counting", "/receiving", "/scale", "/loading",
    "/loading/418K", "/floor", "/events", "/history/B90-22-017", "/find?width=83-1%2F2+in&springs=2&phone_ends=71",
    "/lessons", "/recall?lot=C-21-03",
)  # fmt: skip


def run() -> list[Row]:
    """A row for each page."""
    with tempfile.TemporaryDirectory() as name:
        small, big = _behind(Path(name) / "small", 100, 1_000), _behind(Path(name) / "big", 10_000, 100_000)
        with small.book, big.book:
            return [_row(page, small, big) for page in PAGES]


def _row(page: str, small: Desk, big: Desk) -> Row:
    clients = [TestClient(create_app(desk)) for desk in (small, big)]
    times: tuple[list[float], list[float]] = ([], [])
    for turn in range(TIMES + 3):
        # Taken in turn, so that a busy moment of the machine meets both.
        for client, found in zip(clients, times, strict=True):
            started = time.perf_counter()
            client.get(page).raise_for_status()
            if turn >= 3:
                found.append(time.perf_counter() - started)
    ratio = statistics.median(times[1]) / statistics.median(times[0])
    return Row(name=f"page {page.partition('?')[0]}, 10,000 orders over 100", value=ratio, limit=LIMIT)


def _behind(folder: Path, orders: int, lines: int) -> Desk:
    """The invented shop with so many loaded orders and so many ledger lines behind it."""
    now = datetime(2026, 11, 11, 8)
    desk = open_demo(folder, clock=lambda: now)
    book = desk.book
    with book.reading() as reads:
        first = reads.events(limit=1)[0].number + 1
        blades = reads.find(r.Blade)
        items = [one.item for one in reads.lying()]
        customers = [one.id for one in reads.find(r.Customer)]
    with database.writing(book.engine) as link:
        link.execute(insert(t.events), [
            {"number": first + n, "at": now - timedelta(minutes=orders - n), "who": "R.K.", "command": "load",
             "key": f"behind {n}", "asked": {}, "changed": [], "answer": json.loads(written({"said": f"loaded {n}"})),
             "digest": ""}
            for n in range(orders)
        ])  # fmt: skip
        numbers = [with_letter(1000 + n) for n in range(orders)]
        link.execute(insert(t.orders), [
            {"number": number, "kind": "blade", "state": "loaded", "customer": customers[n % len(customers)],
             "build": blades[n % len(blades)].build, "promise": now - timedelta(days=1 + n % 2000), "cents": 250_000,
             "more": {"serial": _serial(blades[n % len(blades)].serial, n)}, "event": first + n}
            for n, number in enumerate(numbers)
        ])  # fmt: skip
        link.execute(insert(t.touched), [
            {"event": first + n, "kind": "orders", "key": number} for n, number in enumerate(numbers)
        ])  # fmt: skip
        link.execute(insert(t.blades), [
            {"serial": _serial(like.serial, n), "order": numbers[n], "build": like.build, "customer": like.customer,
             "carrier": like.carrier, "built": like.built, "event": first + n,
             "marks": {**like.marks, "serial": _serial(like.serial, n), "phone_ends": f"{n % 10_000:04}"}}
            for n, like in ((n, blades[n % len(blades)]) for n in range(orders))
        ])  # fmt: skip
        link.execute(insert(t.chapters), [
            {"serial": _serial(blades[n % len(blades)].serial, n), "kind": "as-built", "said": "built", "facts": {},
             "day": blades[n % len(blades)].built or date(2022, 1, 1), "event": first + n}
            for n in range(orders)
        ])  # fmt: skip
        link.execute(insert(t.money), [
            {"order": number, "kind": "balance", "cents": 250_000, "day": now.date(), "event": first + n}
            for n, number in enumerate(numbers)
        ])  # fmt: skip
        link.execute(insert(t.hours), [
            {"order": number, "operation": "saw", "person": "D.V.", "day": now.date() - timedelta(days=n % 2000),
             "minutes": 90 + n % 60, "event": first + n}
            for n, number in enumerate(numbers)
        ])  # fmt: skip
        link.execute(insert(t.ledger), [
            {"kind": "receive" if n % 2 == 0 else "issue", "item": items[n // 2 % len(items)], "lot": "", "count": 1,
             "day": now.date() - timedelta(days=n % 2000), "facts": {}, "order": numbers[n % orders],
             "event": first + n % orders}
            for n in range(lines)
        ])  # fmt: skip
    return desk


def _serial(like: str, number: int) -> str:
    return f"{like[:-3]}{1000 + number}"
