"""The records: a command against the bare insert of its rows, big records against small ones, and the kill test.

The bare insert writes the very rows the command left, event and sums included, many at a time, in one transaction
through the same library into records of the same shape, and as safely on disk.
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date, datetime, timedelta
from pathlib import Path

from sqlalchemy import Connection, bindparam, insert, select, update

from bench import Row
from plowwright.store import database
from plowwright.store import records as r
from plowwright.store import tables as t
from plowwright.store.commands import Command
from plowwright.store.plain import written
from plowwright.store.reading import Reads
from plowwright.store.workbook import Workbook

ROOT = Path(__file__).resolve().parent.parent
COMMAND = 3.0
"""How many times the bare insert of the same rows a command may cost [-]."""
PAGE = 2.0
"""How many times the page with 100 orders the page with 10,000 may cost [-]."""
MOMENTS = 200
_TIMES = 60
_DAY = date(2026, 11, 11)
_OPEN = ("order", "released")


def run() -> list[Row]:
    """All rows of the records."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        return [*_commands(folder / "command"), *_pages(folder), *_kills(folder / "killed")]


def _commands(folder: Path) -> list[Row]:
    """Commands of a few rows and of many, each against the bare insert of what it left."""
    works: dict[str, Callable[[Command, int], None]] = {
        "build for an order, 8 rows": _build,
        "kit for an order, 27 rows": _kit,
        "count the rack, 600 lines at once": _rack,
    }
    rows: list[Row] = []
    with Workbook.open(folder / "ours") as book, Workbook.open(folder / "bare") as other:
        for one in (book, other):
            with one.command("begin", who="x", key="begin") as c:
                c.add(r.Order, number="418K", kind="blade", state="order")
                c.lines_of({"kind": "receive", "item": f"item {n}", "count": 100_000} for n in range(600))
        for name, work in works.items():
            ours, theirs = [], []
            # Taken in turn, so that a busy moment of the machine meets both.
            for number in range(_TIMES):
                started = time.perf_counter()
                with book.command("work", who="D.V.", key=f"{name} {number}") as c:
                    work(c, number)
                ours.append(time.perf_counter() - started)
                theirs.append(_bare(book, other, c.number))
            ratio = statistics.median(ours) / statistics.median(theirs)
            rows.append(Row(name=f"a command over a bare insert of its rows, {name}", value=ratio, limit=COMMAND))
    return rows


def _build(c: Command, number: int) -> None:
    c.line(kind="issue", item="item 1", count=1, order="418K")
    c.line(kind="issue", item="item 2", count=2, order="418K")
    c.add(r.Hours, order="418K", operation="fit and weld", person="D.V.", day=_DAY, minutes=30)
    c.change(r.Order, "418K", note=f"{number} done")


def _kit(c: Command, number: int) -> None:
    for item in range(12):
        c.line(kind="issue", item=f"item {item}", count=1, order="418K")
    c.change(r.Order, "418K", note=f"kit {number}")


def _rack(c: Command, number: int) -> None:
    c.lines_of({"kind": "count", "item": f"item {n}", "count": 1 + number % 3} for n in range(600))


def _bare(book: Workbook, other: Workbook, event: int) -> float:
    """The time of writing once more, into records of the same shape, the rows an event wrote and changed [s]."""
    with book.reading() as q:
        rows = {
            table: [dict(row) for row in q.connection.execute(select(table).where(column == event)).mappings()]
            for table, column in (
                (t.events, t.events.c.number), (t.touched, t.touched.c.event), (t.ledger, t.ledger.c.event),
                (t.hours, t.hours.c.event),
            )
        }  # fmt: skip
        note = q.get(r.Order, "418K").note
        items = {row["item"] for row in rows[t.ledger]}
        stock = [{"is_item": row.item, "is_lot": "", "on_hand": row.on_hand} for row in q.find(r.OnHand)]
        stock = [row for row in stock if row["is_item"] in items]
    started = time.perf_counter()
    with database.writing(other.engine) as link:
        for table, found in rows.items():
            if found:
                link.execute(_INSERT[table.name], found)
        link.execute(_STOCK, stock)
        link.execute(_NOTE, {"the_note": note})
    return time.perf_counter() - started


_INSERT = {table.name: insert(table) for table in (t.events, t.touched, t.ledger, t.hours)}
_STOCK = (
    update(t.stock)
    .where(t.stock.c.item == bindparam("is_item"), t.stock.c.lot == bindparam("is_lot"))
    .values(on_hand=bindparam("on_hand"))
)
_NOTE = update(t.orders).where(t.orders.c.number == "418K").values(note=bindparam("the_note"))


def _pages(folder: Path) -> list[Row]:
    small, big = _filled(folder / "small", 100, 1_000), _filled(folder / "big", 10_000, 100_000)
    pages: dict[str, Callable[[Reads], object]] = {
        "the wall of open orders": lambda q: q.wall(_OPEN),
        "an order's file": lambda q: q.order_file("N00050"),
        "stock of all items": lambda q: q.balances(),
        "the last lines of an item": lambda q: q.lines("item 7"),
        "a blade's life record": lambda q: q.life("S00050"),
        "the last events": lambda q: q.events(),
    }
    rows: list[Row] = []
    with small, big:
        for name, page in pages.items():
            times: dict[int, list[float]] = {0: [], 1: []}
            for turn in range(_TIMES):
                for which, book in enumerate((small, big)):
                    started = time.perf_counter()
                    with book.reading() as q:
                        page(q)
                    if turn >= 5:
                        times[which].append(time.perf_counter() - started)
            ratio = statistics.median(times[1]) / statistics.median(times[0])
            rows.append(Row(name=f"{name}, 10,000 orders over 100", value=ratio, limit=PAGE))
    return rows


def _filled(folder: Path, orders: int, lines: int) -> Workbook:
    """Records with so many orders, thirty of them open, and so many ledger lines of twenty items."""
    book = Workbook.open(folder)
    with database.writing(book.engine) as link:
        _events(link, orders)
        states = ["released" if number < 30 else "loaded" for number in range(orders)]
        promise = datetime(2026, 11, 13, 7)
        link.execute(insert(t.orders), [
            {"number": f"N{n:05}", "kind": "blade", "state": state, "promise": promise + timedelta(hours=n % 500),
             "more": {}, "event": n + 1}
            for n, state in enumerate(states)
        ])  # fmt: skip
        link.execute(insert(t.touched), [{"event": n + 1, "kind": "orders", "key": f"N{n:05}"} for n in range(orders)])
        link.execute(insert(t.blades), [
            {"serial": f"S{n:05}", "order": f"N{n:05}", "marks": {}, "event": n + 1} for n in range(orders)
        ])  # fmt: skip
        link.execute(insert(t.chapters), [
            {"serial": f"S{n:05}", "kind": "as-built", "day": _DAY, "facts": {}, "event": n + 1} for n in range(orders)
        ])  # fmt: skip
        link.execute(insert(t.ledger), [
            {"kind": "receive", "item": f"item {n % 20}", "lot": "", "count": 1, "day": _DAY, "facts": {},
             "order": f"N{n % orders:05}", "event": n % orders + 1}
            for n in range(lines)
        ])  # fmt: skip
        link.execute(insert(t.stock), [{"item": f"item {n}", "lot": "", "on_hand": lines // 20} for n in range(20)])
    return book


def _events(link: Connection, count: int) -> None:
    at = datetime(2026, 11, 11, 8)
    link.execute(insert(t.events), [
        {"number": n + 1, "at": at, "who": "x", "command": "fill", "key": f"k{n}", "asked": {}, "changed": [],
         "answer": json.loads(written({"n": n})), "digest": ""}
        for n in range(count)
    ])  # fmt: skip


def _kills(folder: Path) -> list[Row]:
    """Writers killed at random moments: what was acknowledged and is lost, and what is half there."""
    words = [sys.executable, "-m", "tests.store.killing", str(folder), str(MOMENTS)]
    done = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, check=True, timeout=600)
    found = json.loads(done.stdout)
    said = f"{found['moments']} writers killed, {found['acknowledged']:,} commands acknowledged"
    return [
        Row(name=f"{said}: lost", value=found["lost"], limit=0, unit="commands"),
        Row(name=f"{said}: half there", value=found["half"], limit=0, unit="commands"),
        Row(name=f"{said}: faults found by the check", value=len(found["faults"]), limit=0, unit="faults"),
    ]
