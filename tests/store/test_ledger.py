"""The stock ledger: only ever added to, never below zero, and the last piece goes to one."""

from __future__ import annotations

import shutil
import threading
from datetime import date
from pathlib import Path
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plowwright.errors import EntryError, NotFoundError, PlowwrightError
from plowwright.shop.stock_book import Entry
from plowwright.store import records as r
from plowwright.store import tables as t
from plowwright.store.checking import check
from plowwright.store.workbook import Workbook
from tests.store.conftest import WEDNESDAY
from tests.store.shopwork import fill

EDGE = "edge blank 90 in"
MONDAY, TUESDAY = date(2026, 11, 16), date(2026, 11, 17)


def receive(book: Workbook, count: int = 1, key: str = "in") -> None:
    book.run("take in", lambda c: c.line(kind="receive", item=EDGE, count=count), who="M.S.", key=key)


def test_a_balance_is_the_sum_of_its_lines(book: Workbook) -> None:
    with book.command("a week", who="M.S.", key="1") as c:
        c.line(kind="receive", item=EDGE, count=6, lot="L1")
        c.line(kind="issue", item=EDGE, count=2, lot="L1")
        c.line(kind="return", item=EDGE, count=1, lot="L1")
        c.line(kind="scrap", item=EDGE, count=1, lot="L1", reason="bent")
        c.line(kind="count", item=EDGE, count=-1, lot="L1", reason="counted three")
        c.line(kind="reserve", item=EDGE, count=2, needed=MONDAY)
        c.line(kind="release", item=EDGE, count=1, needed=MONDAY)
    with book.reading() as q:
        balance = q.balance(EDGE)
        assert (balance.on_hand, balance.reserved, balance.arriving) == (3, 1, 0)
        assert [line.kind for line in q.lines(EDGE, limit=2)] == ["release", "reserve"]
        assert [line.kind for line in q.lines(EDGE, before=2)] == ["receive"]


def test_more_than_is_on_hand_is_refused_with_both_numbers(book: Workbook) -> None:
    receive(book, 2)
    with pytest.raises(
        EntryError, match=rf"{EDGE}: only 2 on hand \(given: issue 3\); limit: 2\. .*count the rack|Count"
    ):
        book.run("x", lambda c: c.line(kind="issue", item=EDGE, count=3), who="x", key="1")
    with pytest.raises(EntryError, match="only 0 on hand, lot L9"):
        book.run("x", lambda c: c.line(kind="scrap", item=EDGE, count=1, lot="L9"), who="x", key="2")


def test_no_more_is_reserved_or_issued_than_will_be_there(book: Workbook) -> None:
    receive(book, 2)
    with book.command("order edges", who="R.K.", key="1") as c:
        c.add(r.Arrival, item=EDGE, count=1, due=MONDAY, state="expected")
        c.line(kind="reserve", item=EDGE, count=3, needed=TUESDAY)
    with pytest.raises(
        EntryError, match=r"4 would be reserved, and only 3 will be there \(given: 2 on hand, 1 on the way\)"
    ):
        book.run("x", lambda c: c.line(kind="reserve", item=EDGE, count=1, needed=TUESDAY), who="x", key="2")
    with pytest.raises(EntryError, match="3 would be reserved, and only 2 will be there"):
        book.run("sell a spare", lambda c: c.line(kind="issue", item=EDGE, count=1), who="x", key="3")


def test_counting_may_find_less_than_was_promised_and_the_check_says_so(book: Workbook) -> None:
    receive(book, 2)
    book.run("reserve", lambda c: c.line(kind="reserve", item=EDGE, count=2, needed=MONDAY), who="x", key="1")
    book.run("count", lambda c: c.line(kind="count", item=EDGE, count=-1, reason="counted one"), who="x", key="2")
    report = check(book)
    assert report.holds
    (line,) = [line for line in report.lines if line.notes]
    assert line.notes == (f"{EDGE}: 2 reserved, 1 on hand and 0 on the way",)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ({"kind": "lend", "count": 1}, "no such line in the stock ledger"),
        ({"kind": "receive", "count": 0}, "a whole number of pieces"),
        ({"kind": "receive", "count": 1.5}, r"a whole number of pieces, not nothing \(given: 1\.5\)"),
        ({"kind": "issue", "count": -1}, r"only a count line or a reversal may be negative \(given: issue -1\)"),
        ({"kind": "reserve", "count": 1}, "a reserve line needs the day the pieces are needed"),
    ],
)
def test_a_line_that_makes_no_sense_is_refused(folder_book: Workbook, line: dict[str, object], said: str) -> None:
    with pytest.raises(EntryError, match=said):
        folder_book.run("x", lambda c: c.line(item=EDGE, **line), who="x", key="1")


def test_a_mistake_is_reversed_by_a_line_and_only_once(book: Workbook) -> None:
    receive(book, 3)
    book.run("put right", lambda c: c.reverse(1, reason="was two"), who="M.S.", key="1")
    with book.reading() as q:
        assert q.balance(EDGE).on_hand == 0
        assert [(line.count, line.reverses) for line in q.lines(EDGE)] == [(-3, 1), (3, None)]
    with pytest.raises(EntryError, match="line 1 was reversed already, by line 2"):
        book.run("x", lambda c: c.reverse(1, reason="again"), who="M.S.", key="2")
    with pytest.raises(EntryError, match="line 2 is a reversal itself"):
        book.run("x", lambda c: c.reverse(2, reason="again"), who="M.S.", key="3")
    with pytest.raises(NotFoundError, match=r"no such line in the stock ledger \(given: 77\)"):
        book.run("x", lambda c: c.reverse(77, reason="again"), who="M.S.", key="4")


def test_receiving_is_not_reversed_when_the_pieces_are_gone(book: Workbook) -> None:
    receive(book, 1)
    book.run("use", lambda c: c.line(kind="issue", item=EDGE, count=1), who="x", key="1")
    with pytest.raises(EntryError, match="only 0 on hand"):
        book.run("x", lambda c: c.reverse(1, reason="never came"), who="x", key="2")


def test_the_database_itself_refuses_to_change_what_is_written_once(book: Workbook) -> None:
    fill(book)
    with book.reading() as q:
        columns = {name: next(iter(t.metadata.tables[name].primary_key.columns)).name for name in t.KEPT}
        assert all(q.connection.exec_driver_sql(f"SELECT count(*) FROM {name}").scalar_one() for name in t.KEPT)
    for name, column in columns.items():
        for number, force in enumerate((f"UPDATE {name} SET {column} = {column}", f"DELETE FROM {name}")):
            with pytest.raises(EntryError, match=f"a row of {name} is written once and never changed"):
                book.run("force", lambda c, s=force: c.connection.exec_driver_sql(s), who="x", key=f"{name} {number}")
    assert check(book).holds


def test_the_database_itself_refuses_a_stock_below_zero(book: Workbook) -> None:
    receive(book, 1)
    with (
        pytest.raises(EntryError, match=r"not as much on hand"),
        book.command("by force", who="x", key="1") as c,
    ):
        c.connection.exec_driver_sql("UPDATE stock SET on_hand = on_hand - 2")


def test_two_writers_for_the_last_blank_and_one_gets_it(place: SimpleNamespace) -> None:
    with Workbook.open(place.where, files=place.files, clock=lambda: WEDNESDAY) as one:
        receive(one, 1)
        for turn in range(10):
            got: list[str] = []
            refused: list[str] = []
            start = threading.Barrier(4)

            def take(who: str, turn: int = turn, start: threading.Barrier = start, got: list[str] = got,
                     refused: list[str] = refused) -> None:  # fmt: skip
                # Each with a workbook of its own, as two programs would have.
                with Workbook.open(place.where, files=place.files, clock=lambda: WEDNESDAY) as book:
                    start.wait()
                    try:
                        with book.command("take the last", who=who, key=f"{turn} {who}") as c:
                            assert c.balance(EDGE).on_hand in (0, 1)
                            c.line(kind="issue", item=EDGE, count=1)
                        got.append(who)
                    except EntryError as refusal:
                        refused.append(refusal.what)

            writers = [threading.Thread(target=take, args=(who,)) for who in ("R.K.", "D.V.", "M.S.", "the page")]
            for writer in writers:
                writer.start()
            for writer in writers:
                writer.join()
            assert len(got) == 1, (got, refused)
            assert refused == ["only 0 on hand"] * 3
            receive(one, 1, key=f"again {turn}")
        assert check(one).holds


def test_writers_at_once_all_get_through_and_their_events_have_no_gap(place: SimpleNamespace) -> None:
    with Workbook.open(place.where, files=place.files, clock=lambda: WEDNESDAY) as book:
        faults: list[str] = []
        start = threading.Barrier(4)

        def work(who: str) -> None:
            start.wait()
            for number in range(12):
                try:
                    with book.command("take in", who=who, key=f"{who} {number}") as c:
                        c.line(kind="receive", item=who, count=1)
                        c.line(kind="receive", item=EDGE, count=1)
                except PlowwrightError as fault:
                    faults.append(str(fault))

        writers = [threading.Thread(target=work, args=(who,)) for who in ("R.K.", "D.V.", "M.S.", "the page")]
        for writer in writers:
            writer.start()
        for writer in writers:
            writer.join()
        assert faults == []
        with book.reading() as q:
            assert [balance.on_hand for balance in q.balances()] == [12, 12, 12, 48, 12]
            assert q.count(r.Event) == 48
        assert check(book).holds


KINDS = ("receive", "issue", "return", "scrap", "count", "reserve", "release", "reverse")
STEPS = st.lists(
    st.lists(
        st.tuples(st.sampled_from(KINDS), st.sampled_from(["edge", "spring"]), st.sampled_from(["", "L1"]),
                  st.integers(-2, 4), st.sampled_from([MONDAY, TUESDAY])),
        min_size=1, max_size=4,
    ),
    min_size=1, max_size=8,
)  # fmt: skip


@settings(max_examples=20)
@given(steps=STEPS)
def test_after_any_history_the_sums_agree_and_nothing_is_below_zero(
    tmp_path_factory: pytest.TempPathFactory, ready_folder: Path, steps: list[list[tuple[str, str, str, int, date]]]
) -> None:
    folder = shutil.copytree(ready_folder, tmp_path_factory.mktemp("history"), dirs_exist_ok=True)
    with Workbook.open(folder, clock=lambda: WEDNESDAY) as book:
        hand: dict[tuple[str, str], int] = {}
        held: dict[tuple[str, date], int] = {}
        for number, step in enumerate(steps):
            trial_hand, trial_held = dict(hand), dict(held)
            try:
                with book.command("a step", who="x", key=str(number)) as c:
                    for kind, item, lot, count, needed in step:
                        if kind == "reverse":
                            line = c.reverse(max(count, 1), reason="wrong")
                        else:
                            dated = needed if kind in ("reserve", "release") else None
                            line = c.line(kind=kind, item=item, lot=lot, count=count, needed=dated)
                        sign = {"issue": -1, "scrap": -1, "release": -1}.get(line.kind, 1)
                        if line.kind in ("reserve", "release"):
                            assert line.needed
                            key = (line.item, line.needed)
                            trial_held[key] = trial_held.get(key, 0) + sign * line.count
                        else:
                            at = (line.item, line.lot)
                            trial_hand[at] = trial_hand.get(at, 0) + sign * line.count
                hand, held = trial_hand, trial_held
            except (EntryError, NotFoundError):
                pass
        with book.reading() as q:
            assert {(row.item, row.lot): row.on_hand for row in q.find(r.OnHand) if row.on_hand} == {
                key: count for key, count in hand.items() if count
            }
            assert {(row.item, row.needed): row.count for row in q.reserved()} == {
                key: count for key, count in held.items() if count
            }
        assert min(hand.values(), default=0) >= 0 and min(held.values(), default=0) >= 0
        assert check(book).holds


def test_many_lines_at_once_are_one_event_and_judged_by_their_end(book: Workbook) -> None:
    lines = [{"kind": "receive", "item": f"item {n % 3}", "count": 2} for n in range(30)]
    lines += [{"kind": "issue", "item": "item 0", "count": 20}]
    assert book.run("import", lambda c: c.lines_of(lines), who="R.K.", key="1") == 31
    with pytest.raises(EntryError, match="item 1: only 20 on hand"):
        book.run("x", lambda c: c.lines_of([{"kind": "issue", "item": "item 1", "count": 21}]), who="x", key="2")
    with book.reading() as q:
        assert [balance.on_hand for balance in q.balances()] == [0, 20, 20]
        assert q.count(r.Event) == 1 and q.count(r.Line) == 31
    assert check(book).holds


def test_the_lines_that_the_rules_of_stock_propose_are_written_as_they_are(book: Workbook) -> None:
    day = WEDNESDAY.date()
    wanted = [
        Entry(kind="receive", item=EDGE, count=3, day=day, lot="L1", reason="came by truck"),
        Entry(kind="issue", item=EDGE, count=1, day=TUESDAY, lot="L1"),
        Entry(kind="issue", item=EDGE, count=-1, day=TUESDAY, reverses=2, reason="not taken"),
    ]
    book.run("a day", lambda c: c.entries(wanted), who="M.S.", key="1")
    with book.reading() as q:
        lines = q.find(r.Line)
        assert [(line.kind, line.count, line.lot, line.reverses) for line in lines] == [
            ("receive", 3, "L1", None),
            ("issue", 1, "L1", None),
            ("issue", -1, "L1", 2),
        ]
        assert lines[0].reason == "came by truck" and lines[1].day == TUESDAY
        assert q.balance(EDGE).on_hand == 3
