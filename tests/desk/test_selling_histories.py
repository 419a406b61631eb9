"""Whatever is done to an order in whatever turn: no state without its gates, money adds up, nothing is half done."""

from __future__ import annotations

import itertools
import shutil
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from plowwright.blade import spec as specs
from plowwright.desk.acting import Hand
from plowwright.desk.desk import Desk
from plowwright.desk.docking import Docking
from plowwright.desk.opening import open_records
from plowwright.desk.order_file import order_page
from plowwright.desk.order_more import CHAIN, more_of
from plowwright.desk.selling import Selling
from plowwright.desk.selling_changes import Changing
from plowwright.desk.selling_money import Till
from plowwright.desk.selling_quotes import Quoting
from plowwright.desk.selling_words import For
from plowwright.errors import PlowwrightError
from plowwright.shop.orders import CANCELLED, STATES
from plowwright.store import checking
from plowwright.store import records as r

FLINT = specs.from_dict({"series": "flint", "width": "84 in", "mount": "loader", "carrier": "skid steer",
                         "hoses": "flat-face"})  # fmt: skip
WEDNESDAY = datetime(2026, 11, 11, 8)
KEYS = itertools.count(1)
MOVES = (
    "accept", "deposit", "some", "refund", "reverse", "hold", "lift", "ask", "answer", "note", "settle", "drop",
    "release", "work", "scale", "match", "done", "weighed", "loaded", "back", "cancel", "again",
)  # fmt: skip


def hand() -> Hand:
    return Hand(who="R.K.", key=f"key {next(KEYS)}")


class Story:
    """One order, and everything that can be tried on it."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.number = Quoting(desk).quote(hand(), FLINT, For(name="V.A."))["number"]

    def row(self) -> r.Order:
        return order_page(self.desk, self.number).file.order

    def more(self, **fields: object) -> None:
        def do(c) -> None:
            more = more_of(c.get(r.Order, self.number).more)
            c.change(r.Order, self.number, more=replace(more, **fields).as_dict())

        self.desk.book.run("floor and dock", do, who="D.V.", key=f"key {next(KEYS)}")

    def work(self) -> None:
        more = order_page(self.desk, self.number).more
        for name in CHAIN:
            more = more.done(name, ended=datetime(2026, 11, 8, 8), by="D.V.")
        self.more(work=more.work)

    def first(self, sort: str) -> int:
        page = order_page(self.desk, self.number)
        rows = page.file.money if sort == "money" else [row for row, note in page.notes if not note.settled]
        return rows[0].id if rows else 0

    def moves(self) -> dict[str, Callable[[], object]]:
        d, n, h = self.desk, self.number, hand()
        selling, till, changing = Selling(d), Till(d), Changing(d)
        asks = order_page(d, n).more.asks
        return {
            "accept": lambda: selling.accept(h, n, date(2026, 11, 27)),
            "deposit": lambda: till.pay(h, n, "deposit", self.row().deposit_cents),
            "some": lambda: till.pay(h, n, "balance", 40_000),
            "refund": lambda: till.pay(h, n, "refund", 20_000),
            "reverse": lambda: till.reverse(h, n, self.first("money"), "written by mistake"),
            "hold": lambda: selling.hold(h, n, "he is thinking"),
            "lift": lambda: selling.lift(h, n, "he is not any more"),
            "ask": lambda: selling.ask(h, n, "gate width"),
            "answer": lambda: selling.answer(h, n, asks[0] if asks else "none", "8 ft"),
            "note": lambda: changing.write(h, n, "second colour", cents=8_500),
            "settle": lambda: changing.settle(h, n, self.first("note")),
            "drop": lambda: changing.drop(h, n, self.first("note"), "too dear"),
            "release": lambda: selling.release(h, n),
            "work": self.work,
            "scale": lambda: self.more(scale="holds", serial="F84-26-001"),
            "match": lambda: self.more(matched=True),
            "done": lambda: selling.advance(h, n, "done"),
            "weighed": lambda: selling.advance(h, n, "weighed"),
            "loaded": lambda: Docking(d).load(h, n, ticked="all"),
            "back": lambda: selling.step_back(h, n, "order", "steel is late"),
            "cancel": lambda: selling.cancel(h, n, "bought elsewhere"),
            "again": lambda: Quoting(d).quote_again(h, n),
        }

    def holds(self, was: r.Order, move: str, *, taken: bool) -> None:
        page = order_page(self.desk, self.number)
        now, paid = page.file.order, sum(m.cents for m in page.file.money)
        assert page.file.paid_cents == paid >= 0
        quoted = page.file.quote.cents if page.file.quote else 0
        assert now.cents == quoted + sum(note.cents for _, note in page.notes if note.settled)
        if not taken:
            assert now == was, f"{move} was refused and left something behind"
        if was.state in ("loaded", CANCELLED):
            assert now.state == was.state
        if STATES.index(was.state) + 1 == STATES.index(now.state) if {was.state, now.state} <= set(STATES) else False:
            assert {"order": "accept"}.get(now.state, {"released": "release"}.get(now.state, now.state)) == move
            if now.state == "order":
                assert now.promise is not None
            if now.state == "released":
                assert paid >= now.deposit_cents and not now.hold and not page.more.asks
                assert all(note.settled for _, note in page.notes)
            if now.state == "done":
                assert page.more.left == () and not now.hold
            if now.state == "weighed":
                assert page.more.scale == "holds"
            if now.state == "loaded":
                assert paid >= now.cents and page.more.matched and not now.hold
                with self.desk.book.reading() as reads:
                    assert reads.life("F84-26-001").blade.order == self.number
        elif now.state != was.state:
            assert move in ("back", "cancel")


WAY = ("accept", "deposit", "release", "work", "done", "scale", "weighed", "match")


@settings(max_examples=25)
@given(st.integers(0, len(WAY)), st.lists(st.sampled_from(MOVES), min_size=4, max_size=14))
def test_no_history_leaves_an_order_where_its_gates_are_shut(filled_folder, tmp_path_factory, begun, tried) -> None:
    folder: Path = tmp_path_factory.mktemp("story")
    shutil.copytree(filled_folder, folder, dirs_exist_ok=True)
    with open_records(folder, make=False) as book:
        book.keep_time_by(lambda: WEDNESDAY)
        story = Story(Desk(Path(__file__).parents[2] / "demo" / "rulebook", records=book))
        for move in (*WAY[:begun], *tried):
            was, taken = story.row(), True
            try:
                story.moves()[move]()
            except PlowwrightError:
                taken = False
            story.holds(was, move, taken=taken)
        assert checking.check(book).holds
    shutil.rmtree(folder)
