"""Whatever the whole shop does in whatever turn, the records hold, no gate is jumped and nothing is half done."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from plowwright.blade import spec as specs
from plowwright.desk.acting import Hand
from plowwright.desk.cuts_kept import CutsKept
from plowwright.desk.desk import Desk
from plowwright.desk.docking import Docking
from plowwright.desk.enquiring import Enquiring
from plowwright.desk.floor import Floor
from plowwright.desk.floor_chain import left
from plowwright.desk.floor_right import FloorRight
from plowwright.desk.floor_words import FloorWords
from plowwright.desk.importing import Importing
from plowwright.desk.lives import Lives
from plowwright.desk.opening import open_records
from plowwright.desk.order_file import order_page
from plowwright.desk.order_more import more_of
from plowwright.desk.selling import Selling
from plowwright.desk.selling_changes import Changing
from plowwright.desk.selling_money import Till
from plowwright.desk.selling_quotes import Quoting
from plowwright.desk.selling_words import For
from plowwright.desk.stock_arrivals import Arrivals
from plowwright.desk.stock_counting import Counting
from plowwright.desk.stock_sales import Sales
from plowwright.desk.stockroom import Stockroom
from plowwright.errors import PlowwrightError
from plowwright.shop.dock import predicted
from plowwright.shop.orders import CANCELLED, STATES
from plowwright.shop.stock_delivery import Delivery
from plowwright.store import records as r
from plowwright.store.checking import check
from plowwright.units import LB
from tests.databases import fresh_database

WEDNESDAY = datetime(2026, 11, 11, 8)
FLINT = specs.from_dict({"series": "flint", "width": "84 in", "mount": "loader", "carrier": "skid steer",
                         "hoses": "flat-face"})  # fmt: skip
SPRING, STICK, LOTS = "trip spring 3/8", "stick of tube 3 x 3 x 1/4, 288 in", ("", "H1")
ORDERS = ("418K", "419T", "421M", "423P", "424H", "430W", "431G", "432N")
MOVES = (
    "quote", "quote spares", "quote again", "enquiry", "accept", "deposit", "balance", "refund", "reverse money",
    "terms", "hold", "lift", "ask", "answer", "change", "new build", "settle", "drop", "release", "advance", "back",
    "cancel", "reserve", "give up", "take", "take some", "lay back", "scrap", "count", "reverse line", "tag", "order",
    "late", "cancel arrival", "receive", "sell", "begin", "lay down", "floor done", "all work", "here", "not done",
    "hours", "problem", "settle problem", "weigh", "weigh off", "clear", "stamp", "pack", "match", "match wrong",
    "load", "chapter", "cut plan", "tick", "stick cut", "spoil", "sticks back", "import",
)  # fmt: skip
STEP = st.tuples(st.sampled_from(MOVES), st.integers(0, 9), st.integers(1, 4))
WAYS = (
    (), ("lift", "answer", "deposit", "release", "cut plan", "tick", "spoil", "tick"),
    ("lift", "answer", "deposit", "release", "cut plan", "tick", "cancel", "stick cut", "spoil", "sticks back"),
    ("all work", "weigh off", "clear", "pack", "match wrong"), ("problem", "settle problem", "quote again", "accept"),
    ("lift", "answer", "deposit", "release", "begin", "lay down", "floor done", "not done", "hours"),
)  # fmt: skip
"""How a history may begin."""
FINISH = ("all work", "deposit", "release", "all work", "weigh", "stamp", "match", "balance", "load")
Do = Callable[[Hand], Any]


class Shop:
    """The shop while it is tried out: everything that can be done in it, and all that must hold after each."""

    def __init__(self, desk: Desk) -> None:
        self.desk, self.book, self.now, self.keys = desk, desk.book, WEDNESDAY, 0
        self.book.keep_time_by(lambda: self.now)

    def row(self, number: str) -> r.Order:
        with self.book.reading() as reads:
            return reads.get(r.Order, number)

    def states(self) -> dict[str, r.Order]:
        with self.book.reading() as reads:
            return {row.number: row for row in reads.find(r.Order)}

    def stood(self) -> tuple[Any, ...]:
        """What a refused or repeated command must leave as it was."""
        with self.book.reading() as reads:
            last = reads.events(limit=1)[0]
            return (last.number, last.digest, reads.balances(), reads.find(r.Order), reads.count(r.Money),
                    reads.count(r.Line), reads.count(r.Hours), reads.count(r.Attachment))  # fmt: skip

    def next_of(self, number: str) -> str:
        row = self.row(number)
        return next(iter(left(row.kind, more_of(row.more))), "saw")

    def mass(self, number: str, off: float) -> float:
        view = Docking(self.desk).view
        return predicted(view.build(view.order(number))) + off * LB

    def first(self, number: str, sort: str) -> int:
        page = order_page(self.desk, number)
        rows = page.file.money if sort == "money" else [row for row, note in page.notes if not note.settled]
        return rows[-1].id if rows else 0

    def arrival(self, at: int) -> int:
        with self.book.reading() as reads:
            rows = [one for one in reads.find(r.Arrival) if one.state == "expected"]
        return rows[at % len(rows)].id if rows else 0

    def all_work(self, hand: Hand, number: str) -> Any:
        """Every operation left, each said done in its turn and late enough for the paint."""
        floor = Floor(self.desk)
        for at in range(9):
            row = self.row(number)
            todo = left(row.kind, more_of(row.more))
            if not todo:
                break
            self.now += timedelta(days=2)
            if any(one.operation == todo[0] for one in more_of(row.more).waits):
                floor.here(hand.part(f"here {at}"), number, todo[0])
            test = {"left": "5.6 s", "right": "5.6 s", "oil": "70 F"} if todo[0] == "test_and_weigh" else None
            floor.done(hand.part(f"done {at}"), number, todo[0], took="1 h", test=test)
        self.now += timedelta(days=2)

    def imported(self, hand: Hand, count: int) -> Any:
        head = "item,section,length [in],width [in],lot,count,arrives,book\n"
        return Importing(self.desk).really(hand, "stock", f"{head}{SPRING},,,,,{count},,\n".encode(), "count.csv")

    def cut(self, hand: Hand, number: str) -> Any:
        return CutsKept(self.desk).release(hand, self.desk.cutting.plan([number], seconds=0.2), {"query": number})

    def tick(self, hand: Hand, at: int, *, spoil: bool = False, whole: bool = False) -> Any:
        kept = CutsKept(self.desk)
        plan = kept.open()[0]
        sticks = [s for s in plan.week.plan.sticks if s.number in plan.version.fetched] or plan.week.plan.sticks
        stick = sticks[at % len(sticks)]
        tags = [piece.piece.tag for piece in stick.placed]
        if whole:
            return kept.tick(hand, plan.number, whole=[stick.number])
        if spoil:
            return kept.mend(hand, plan.number, miscut=tags[:1], seconds=0.2)
        return kept.tick(hand, plan.number, cut=tags)

    def move(self, name: str, number: str, at: int, count: int) -> Do:
        """One thing that somebody does, looked up before it is done, so that it can be sent twice."""
        d, day = self.desk, self.now.date() + timedelta(days=at)
        selling, till, changing, room = Selling(d), Till(d), Changing(d), Stockroom(d)
        arrivals, counting, floor, dock = Arrivals(d), Counting(d), Floor(d), Docking(d)
        page = order_page(d, number)
        order, lot = page.file.order, LOTS[at % 2]
        short, open_ = order.deposit_cents - page.file.paid_cents, order.cents - page.file.paid_cents
        op, serial, spec = self.next_of(number), page.more.serial or "B90-22-017", page.order.spec
        ask = page.more.asks[0] if page.more.asks else "none"
        arrival, change, line = self.arrival(at), self.first(number, "note"), self.first(number, "money")
        to = STATES[STATES.index(order.state) + 1] if order.state in STATES[:-1] else "loaded"
        problem = page.more.problems[-1] if page.more.problems else "none"
        mass = self.mass(number, 0.0) if name.startswith("weigh") else 0.0
        wider = specs.from_dict({**spec.as_dict(), "extras": [*spec.extras, "markers"]}) if spec else None
        moves: dict[str, Do] = {
            "quote": lambda h: Quoting(d).quote(h, FLINT, For(name="V.A.")),
            "quote spares": lambda h: Quoting(d).quote_spares(h, ["seal kit"], For(name="V.A."), serial=serial),
            "quote again": lambda h: Quoting(d).quote_again(h, number),
            "enquiry": lambda h: Enquiring(d).keep(h, name="Q.S.", phone="555 0142"),
            "accept": lambda h: selling.accept(h, number, day),
            "deposit": lambda h: till.pay(h, number, "deposit", short),
            "balance": lambda h: till.pay(h, number, "balance", open_),
            "refund": lambda h: till.pay(h, number, "refund", 10_000 * count),
            "reverse money": lambda h: till.reverse(h, number, line, "typed twice"),
            "terms": lambda h: till.terms(h, number, "pays in a month" if at % 2 else ""),
            "hold": lambda h: selling.hold(h, number, "he is thinking"),
            "lift": lambda h: selling.lift(h, number, "he is not any more"),
            "ask": lambda h: selling.ask(h, number, f"gate width {at}"),
            "answer": lambda h: selling.answer(h, number, ask, "8 ft"),
            "change": lambda h: changing.write(h, number, "colour", cents=(1 - at % 3) * 90_000 * count, promise=day),
            "new build": lambda h: changing.write(h, number, "markers on", spec=wider),
            "settle": lambda h: changing.settle(h, number, change),
            "drop": lambda h: changing.drop(h, number, change, "too dear"),
            "release": lambda h: selling.release(h, number),
            "advance": lambda h: selling.advance(h, number, to),
            "back": lambda h: selling.step_back(h, number, STATES[2 + at % 4], "steel is late"),
            "cancel": lambda h: selling.cancel(h, number, "bought elsewhere"),
            "reserve": lambda h: room.reserve(h, number),
            "give up": lambda h: room.give_up(h, number, "late"),
            "take": lambda h: room.take(h, number),
            "take some": lambda h: room.take(h, number, SPRING, count, lot=lot),
            "lay back": lambda h: room.give_back(h, number, SPRING, count, lot=lot),
            "scrap": lambda h: counting.scrap(h, SPRING, count, "bent", lot=lot),
            "count": lambda h: counting.count(h, {(SPRING, lot): at}),
            "reverse line": lambda h: counting.reverse(h, 10 * at + count, "typed twice"),
            "tag": lambda h: counting.tag(h, "tube 3 x 3 x 1/4", 1.0 + 0.1 * at),
            "order": lambda h: arrivals.order_in(h, (SPRING, STICK)[at % 2], count, day),
            "late": lambda h: arrivals.late(h, arrival, day),
            "cancel arrival": lambda h: arrivals.cancel(h, arrival, "not needed"),
            "receive": lambda h: arrivals.receive(h, Delivery(item=SPRING, count=count, lot=lot)),
            "sell": lambda h: Sales(d).sell(h, "seal kit", FLINT, count, to="V.A."),
            "begin": lambda h: floor.begin(h, number, op),
            "lay down": lambda h: floor.lay_down(h, number, op),
            "floor done": lambda h: floor.done(h, number, op, took="1 h"),
            "all work": lambda h: self.all_work(h, number),
            "here": lambda h: floor.here(h, number, "assemble"),
            "not done": lambda h: FloorRight(d).undo(h, number, "saw", "it was another one"),
            "hours": lambda h: FloorRight(d).hours(h, number, "saw", f"{count} h", "typed wrong"),
            "problem": lambda h: FloorWords(d).problem(h, number, op, "the bore is tight", hold=bool(at % 2)),
            "settle problem": lambda h: FloorWords(d).settle(h, number, problem, "reamed it"),
            "weigh": lambda h: dock.weigh(h, number, mass),
            "weigh off": lambda h: dock.weigh(h, number, mass - 40 * LB),
            "clear": lambda h: dock.clear(h, number, measured="legs 0.25 in, beam 0.25 in"),
            "stamp": lambda h: dock.stamp(h, number),
            "pack": lambda h: dock.pack(h, number, length=3.0, depth=2.0, height=1.5, mass=900.0, crated=True),
            "match": lambda h: dock.match(h, number, stamp=number, label=number),
            "match wrong": lambda h: dock.match(h, number, stamp=number, label="420A"),
            "load": lambda h: dock.load(h, number, ticked="all"),
            "chapter": lambda h: Lives(d).write(h, serial, "note", "he rang about it"),
            "cut plan": lambda h: self.cut(h, number),
            "tick": lambda h: self.tick(h, at),
            "stick cut": lambda h: self.tick(h, at, whole=True),
            "sticks back": lambda h: CutsKept(d).lay_back(h, CutsKept(d).open()[0].number),
            "spoil": lambda h: self.tick(h, at, spoil=True),
            "import": lambda h: self.imported(h, at),
        }
        return moves[name]

    def step(self, name: str, at: int, count: int, number: str) -> None:
        """Do it, look whether all holds, and send it once more."""
        self.keys += 1
        hand, was, stood = Hand(who="D.V.", key=f"key {self.keys}"), self.states(), self.stood()
        try:
            do = self.move(name, number, at, count)
            answer = do(hand)
        except PlowwrightError:
            assert name == "all work" or self.stood() == stood, f"{name} was refused and left something behind"
        except IndexError:
            assert name in ("tick", "stick cut", "spoil", "sticks back") and not CutsKept(self.desk).open()
        else:
            after = self.stood()
            # What is all done, or looks at a plan that has moved on, is no longer the same command.
            if name not in ("all work", "tick", "stick cut", "spoil", "sticks back", "cut plan"):
                again = self.sent_again(do, hand)
                assert again is None or again.get("said") == answer.get("said"), f"{name} answered otherwise"
                assert self.stood() == after, f"{name} sent twice was done twice"
        self.gates(was, name)

    def sent_again(self, do: Do, hand: Hand) -> dict[str, Any] | None:
        try:
            return do(hand)
        except PlowwrightError:
            return None  # it has moved on since, as an order that has left; what counts is that nothing is written

    def gates(self, was: dict[str, r.Order], move: str) -> None:
        """No order is where its gates are shut, and money adds up."""
        with self.book.reading() as reads:
            for number, row in {one.number: one for one in reads.find(r.Order)}.items():
                before = was.get(number)
                if before == row:
                    continue
                page = order_page(self.desk, number)
                notes, paid = page.notes, page.file.paid_cents
                assert paid == sum(m.cents for m in page.file.money) >= 0 <= row.cents
                if before is None or before.state == row.state:
                    continue
                assert before.state not in ("loaded", CANCELLED), f"{number} came back by {move}"
                forward = row.state in STATES and STATES.index(row.state) > STATES.index(before.state)
                # A blade on hold may be weighed, to see what it is held for; it goes nowhere by that.
                if forward and row.state in ("released", "done", "loaded"):
                    assert not row.hold, f"{number} moved while on hold by {move}"
                if forward and row.state == "released":
                    assert paid >= min(row.deposit_cents, row.cents) and not page.more.asks
                    assert all(note.settled for _, note in notes)
                if forward and STATES.index(row.state) >= STATES.index("done"):
                    assert left(row.kind, page.more) == ()
                if row.state in ("weighed", "loaded") and row.kind != "spares":
                    assert page.more.scale in ("holds", "explained")
                    ticket = reads.find(r.Ticket, order=number, newest=True, limit=1)
                    assert ticket
                if row.state == "loaded":
                    assert page.more.matched and (paid >= row.cents or page.more.terms)
                    assert row.kind != "blade" or reads.life(page.more.serial).blade.order == number
                if row.state == CANCELLED:
                    assert not [one for one in reads.find(r.Reservation, order=number) if one.count]
            given = [more_of(one.more).serial for one in reads.find(r.Order, kind="blade")]
            assert len([one for one in given if one]) == len({one for one in given if one}), "one serial number twice"


def play(desk: Desk, steps: list[tuple[str, int, int]], focus: str, *, finish: bool) -> None:
    shop = Shop(desk)
    for name, at, count in steps:
        shop.step(name, at, count, focus if at < 6 else ORDERS[(at + count) % len(ORDERS)])
        shop.now += timedelta(hours=at)
    for name in FINISH if finish else ():
        shop.step(name, 0, 1, focus)
    report = check(desk.book)
    assert report.holds, report.faults


def begun(way: tuple[str, ...]) -> list[tuple[str, int, int]]:
    return [(name, 0, 1) for name in way]


DEMO = Path(__file__).resolve().parents[2] / "demo"


@settings(max_examples=14, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(st.sampled_from(WAYS), st.lists(STEP, min_size=6, max_size=14), st.sampled_from(ORDERS), st.booleans())
def test_whatever_the_shop_does_the_records_hold(
    filled_folder: Path, tmp_path_factory: pytest.TempPathFactory, way: tuple[str, ...],
    steps: list[tuple[str, int, int]], focus: str, finish: bool,
) -> None:  # fmt: skip
    folder = shutil.copytree(filled_folder, tmp_path_factory.mktemp("whole") / "shop")
    with open_records(folder, make=False) as book:
        play(Desk(DEMO / "rulebook", records=book), [*begun(way), *steps], focus, finish=finish)
    shutil.rmtree(folder)


@settings(max_examples=4, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(st.sampled_from(WAYS), st.lists(STEP, min_size=6, max_size=10), st.sampled_from(ORDERS))
def test_whatever_the_shop_does_the_records_hold_on_postgresql_too(
    server: str, filled_database: str, tmp_path_factory: pytest.TempPathFactory, way: tuple[str, ...],
    steps: list[tuple[str, int, int]], focus: str,
) -> None:  # fmt: skip
    files = tmp_path_factory.mktemp("files")
    with open_records(fresh_database(server, like=filled_database), files=files, make=False) as book:
        play(Desk(DEMO / "rulebook", records=book), [*begun(way), *steps], focus, finish=True)


@pytest.mark.parametrize("focus", ["418K", "421M", "430W", "431G"])
def test_an_order_helped_over_every_gate_is_loaded_and_has_its_life_record(either_shop: Desk, focus: str) -> None:
    shop = Shop(either_shop)
    page = order_page(either_shop, focus)
    ready = [*(["answer"] * len(page.more.asks)), *(["lift"] if page.file.order.hold else [])]
    for name in (*ready, *FINISH):
        shop.step(name, 0, 1, focus)
    assert shop.row(focus).state == "loaded"
    assert check(either_shop.book).holds
