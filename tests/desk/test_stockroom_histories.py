"""Whatever is done in the stockroom in whatever order, nothing is below zero and no day is promised twice."""

from __future__ import annotations

import shutil
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from plowwright.desk import stock_writing as w
from plowwright.desk.stock_shelf import coming_of, stands
from plowwright.errors import EntryError, NotFoundError
from plowwright.shop.stock_book import Entry, balance, overdrawn
from plowwright.shop.stock_shortages import Want
from plowwright.store import records as r
from plowwright.store.checking import check
from plowwright.store.commands import Command
from plowwright.store.workbook import Workbook
from tests.databases import fresh_database

NOW = datetime(2026, 11, 11, 8)
TODAY = NOW.date()
ITEMS = ("90", "102")
ORDERS = ("420A", "421M", "427S")
STEP = st.tuples(
    st.sampled_from(["receive", "order", "late", "cancel", "reserve", "give up", "take", "take one", "back", "scrap",
                     "count", "undo", "sell"]),
    st.sampled_from(ITEMS), st.integers(1, 4), st.integers(0, 12), st.sampled_from(ORDERS),
    st.sampled_from(["", "H1"]),
)  # fmt: skip
Step = tuple[str, str, int, int, str, str]


def open_orders(book: Workbook) -> None:
    with book.command("orders", who="R.K.", key="orders") as c:
        for number in ORDERS:
            c.add(r.Order, number=number, kind="blade", state="released")


def later(days: int) -> date:
    return TODAY + timedelta(days=days)


def do(c: Command, step: Step) -> Any:
    """One thing done in the stockroom."""
    kind, item, count, days, order, lot = step
    wants = [Want(order=order, what="edge", day=later(days), serves=(item, *ITEMS), count=count)]
    line = Entry(kind="receive", item=item, count=count, day=TODAY, lot=lot, reason=kind)
    done: dict[str, Callable[[], Any]] = {
        "receive": lambda: w.write(c, [line]),
        "order": lambda: c.add(r.Arrival, item=item, count=count, due=later(days), state="expected"),
        "late": lambda: move(c, item, count, due=later(days + 5)),
        "cancel": lambda: move(c, item, count, state="cancelled"),
        "reserve": lambda: w.reserve(c, wants, today=TODAY),
        "give up": lambda: w.give_up(c, order, today=TODAY, reason="called off"),
        "take": lambda: w.take_wants(c, wants, order=order, today=TODAY),
        "take one": lambda: w.take_item(c, item, count, order=order, today=TODAY),
        "back": lambda: w.write(c, [replace(line, kind="return", order=order)]),
        "scrap": lambda: w.lose(c, replace(line, kind="scrap")),
        "sell": lambda: w.lose(c, replace(line, kind="issue")),
        "count": lambda: w.count(c, {(item, lot): days}, {}, who="M.S.", today=TODAY),
        "undo": lambda: w.reverse(c, days + 1, reason="wrong", today=TODAY),
    }
    return done[kind]()


def move(c: Command, item: str, count: int, **change: Any) -> Any:
    """One of the arrivals of an item changes, and what that forces is written."""
    rows = c.arriving(item)
    if not rows:
        return None
    c.change(r.Arrival, rows[count % len(rows)].id, **change)
    return w.settle(c, [item], today=TODAY, reason="moved")


def play(book: Workbook, steps: list[Step]) -> None:
    """Do every step, and look after each whether all that must hold does."""
    for number, step in enumerate(steps):
        before = summed(book)
        try:
            book.run(step[0], lambda c, step=step: bool(do(c, step)), who="x", key=str(number), asked={"n": number})
        except (EntryError, NotFoundError):
            assert summed(book) == before, "a refused command leaves nothing behind"
        with book.reading() as reads:
            lines = reads.find(r.Line)
            for item in ITEMS:
                now = stands(reads, item)
                assert now == balance(lines, item), "the sums kept beside the ledger are those of its lines"
                assert min((*now.lots.values(), *(h.count for h in now.held)), default=0) >= 0
                assert overdrawn(now, coming_of(reads, item)) is None
        again = summed(book)
        try:
            book.run(step[0], lambda c, step=step: bool(do(c, step)), who="x", key=str(number), asked={"n": number})
        except (EntryError, NotFoundError):
            pass
        else:
            assert summed(book) == again, "done again with the same key, nothing changes"
    assert check(book).holds


def summed(book: Workbook) -> list[tuple[str, int, int, int]]:
    with book.reading() as reads:
        return [(b.item, b.on_hand, b.reserved, b.arriving) for b in reads.balances()]


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=st.lists(STEP, min_size=4, max_size=16))
def test_after_any_history_the_book_holds(
    tmp_path_factory: pytest.TempPathFactory, ready_folder: Path, steps: list[Step]
) -> None:
    folder = shutil.copytree(ready_folder, tmp_path_factory.mktemp("history"), dirs_exist_ok=True)
    with Workbook.open(folder, clock=lambda: NOW) as book:
        open_orders(book)
        play(book, steps)


@settings(max_examples=6, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=st.lists(STEP, min_size=8, max_size=16))
def test_after_any_history_the_book_holds_on_postgresql_too(
    server: str, ready: str, tmp_path_factory: pytest.TempPathFactory, steps: list[Step]
) -> None:
    where, files = fresh_database(server, like=ready), tmp_path_factory.mktemp("files")
    with Workbook.open(where, files=files, clock=lambda: NOW) as book:
        open_orders(book)
        play(book, steps)


@contextmanager
def several(where: Any, files: Any) -> Iterator[list[Workbook]]:
    """The same records, opened by three programs."""
    books = [Workbook.open(where, files=files, clock=lambda: NOW) for _ in range(3)]
    try:
        yield books
    finally:
        for book in books:
            book.close()


@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_three_programs_that_reserve_the_last_two_blanks_never_promise_a_third(
    kind: str, request: pytest.FixtureRequest, tmp_path: Path
) -> None:
    if kind == "sqlite":
        where: Any = shutil.copytree(request.getfixturevalue("ready_folder"), tmp_path / "records")
    else:
        where = fresh_database(request.getfixturevalue("server"), like=request.getfixturevalue("ready"))
    with several(where, tmp_path / "files" if kind == "postgresql" else None) as books:
        open_orders(books[0])
        with books[0].command("take in", who="M.S.", key="in") as c:
            c.line(kind="receive", item="90", count=2)
        start = threading.Barrier(3)
        found: dict[str, int] = {}

        def reserve(book: Workbook, order: str) -> None:
            want = Want(order=order, what="edge", day=later(4), serves=("90",))
            start.wait()
            found[order] = book.run(
                "reserve", lambda c: w.reserve(c, [want], today=TODAY).pieces, who="x", key=f"reserve {order}"
            )

        hands = [threading.Thread(target=reserve, args=pair) for pair in zip(books, ORDERS, strict=True)]
        for one in hands:
            one.start()
        for one in hands:
            one.join()
        assert sorted(found.values()) == [0, 1, 1]
        with books[0].reading() as reads:
            assert reads.balance("90").reserved == 2
        assert check(books[0]).holds
