"""Commands: all or nothing, safe to repeat, and each leaves an event that says who, when and what changed."""

from __future__ import annotations

from datetime import date, datetime

import pytest

from plowwright.errors import EntryError, NotFoundError, StoreError
from plowwright.store import records as r
from plowwright.store.commands import Command
from plowwright.store.workbook import Workbook
from tests.store.conftest import WEDNESDAY


def order(book: Workbook, number: str = "418K", key: str = "order") -> r.Order:
    with book.command("take the order", who="R.K.", key=key) as c:
        return c.add(r.Order, number=number, kind="blade", state="order")


def test_a_command_that_fails_half_way_leaves_nothing(book: Workbook) -> None:
    def build(c: Command) -> None:
        c.add(r.Customer, name="T.B.")
        c.line(kind="receive", item="edge", count=1)
        c.line(kind="issue", item="spring", count=1)

    with pytest.raises(EntryError, match="only 0 on hand"):
        book.run("build", build, who="D.V.", key="k1")
    with book.reading() as q:
        assert (q.count(r.Customer), q.count(r.Line), q.count(r.Event)) == (0, 0, 0)
        assert q.balances() == ()


def test_any_fault_of_ours_leaves_nothing_either(book: Workbook) -> None:
    def build(c: Command) -> float:
        c.add(r.Customer, name="T.B.")
        return 1 / 0

    with pytest.raises(ZeroDivisionError):
        book.run("build", build, who="D.V.", key="k1")
    with book.reading() as q:
        assert q.count(r.Customer) == 0 and q.count(r.Event) == 0


def test_a_full_disk_leaves_nothing_and_is_said_in_words(folder_book: Workbook) -> None:
    def much(c: Command) -> None:
        pages = c.connection.exec_driver_sql("PRAGMA page_count").scalar_one()
        c.connection.exec_driver_sql(f"PRAGMA max_page_count = {pages + 2}")
        for number in range(2000):
            c.add(r.Customer, name=f"customer {number}", note="x" * 200)

    with pytest.raises(StoreError, match=r"could not be read or written \(given: database or disk is full\)"):
        folder_book.run("much", much, who="x", key="1")
    with folder_book.reading() as q:
        assert q.count(r.Customer) == 0 and q.count(r.Event) == 0


def test_the_same_key_again_changes_nothing_and_gives_the_first_answer(book: Workbook) -> None:
    for _ in range(3):
        with book.command("take in", who="R.K.", key="form 7") as c:
            line = c.line(kind="receive", item="edge", count=1)
            c.answer({"line": line.id, "day": date(2026, 11, 11)})
        assert c.answered == {"line": 1, "day": "2026-11-11"}
    assert c.repeated and c.number == 1 and c.at == WEDNESDAY
    with book.reading() as q:
        assert q.balance("edge").on_hand == 1 and q.count(r.Event) == 1


def test_a_repeated_command_is_not_judged_by_what_it_brought_about(book: Workbook) -> None:
    order(book)

    def release(c: Command) -> str:
        held = c.get(r.Order, "418K")
        if held.state != "order":
            raise EntryError("released already")
        c.change(r.Order, "418K", state="released")
        return "released"

    assert book.run("release", release, who="R.K.", key="k2") == "released"
    assert book.run("release", release, who="R.K.", key="k2") == "released"
    with pytest.raises(EntryError, match="released already"):
        book.run("release", release, who="R.K.", key="k3")


def test_a_key_used_for_something_else_is_refused_by_name(book: Workbook) -> None:
    book.run("count", lambda c: c.number, who="R.K.", key="k", asked={"item": "edge"})
    with pytest.raises(EntryError, match=r"given before, to 'count' by R\.K\. on 2026-11-11 08:00 \(given: k\)"):
        book.run("scrap", lambda c: c.number, who="M.S.", key="k", asked={"item": "edge"})
    with pytest.raises(EntryError, match="key of its own"):
        book.run("count", lambda c: c.number, who="R.K.", key="k", asked={"item": "spring"})


def test_nobody_and_no_key_are_refused(book: Workbook) -> None:
    with pytest.raises(EntryError, match="count: a command needs its who"), book.command("count", who=" ", key="k"):
        pass
    with pytest.raises(EntryError, match="a command needs its key"), book.command("count", who="R.K.", key=""):
        pass


def test_the_event_says_who_when_what_was_and_what_is(book: Workbook) -> None:
    order(book)
    with book.command("promise", who="R.K.", key="k2", asked={"day": "Friday at seven"}) as c:
        c.change(r.Order, "418K", promise=datetime(2026, 11, 13, 7), state="order")
    with book.reading() as q:
        made, promised = q.history("orders", "418K")
    assert made.changed[0]["now"]["state"] == "order"
    assert (promised.number, promised.who, promised.at, promised.command) == (2, "R.K.", WEDNESDAY, "promise")
    assert promised.asked == {"day": "Friday at seven"}
    assert promised.changed == [
        {"table": "orders", "key": "418K", "was": {"promise": None}, "now": {"promise": "2026-11-13T07:00:00"}}
    ]


def test_a_change_that_changes_nothing_is_not_said_to_have_changed_anything(book: Workbook) -> None:
    order(book)
    with book.command("look", who="R.K.", key="k2") as c:
        c.change(r.Order, "418K", state="order")
    with book.reading() as q:
        assert q.events(limit=1)[0].changed == []
        assert len(q.history("orders", "418K")) == 1


def test_a_field_that_is_not_there_or_missing_is_named(book: Workbook) -> None:
    with pytest.raises(EntryError, match=r"orders have no field colour \(given: colour\)"):
        book.run("x", lambda c: c.add(r.Order, number="1A", colour="red"), who="x", key="1")
    with pytest.raises(EntryError, match="orders: state is missing"):
        book.run("x", lambda c: c.add(r.Order, number="1A", kind="blade"), who="x", key="2")
    with pytest.raises(NotFoundError, match=r"not on file: order \(given: 472S\)"):
        book.run("x", lambda c: c.change(r.Order, "472S", state="done"), who="x", key="3")


def test_an_order_number_is_given_once(book: Workbook) -> None:
    order(book)
    with pytest.raises(EntryError, match="the records refuse this"):
        order(book, key="again")


def test_a_row_that_names_one_that_is_not_there_is_refused_with_the_way_out(book: Workbook) -> None:
    with pytest.raises(EntryError, match="not on file"):
        book.run(
            "x", lambda c: c.add(r.Money, order="999X", kind="deposit", cents=1, day=WEDNESDAY.date()), who="x", key="1"
        )
    with book.reading() as q:
        assert q.count(r.Money) == 0


def test_one_command_inside_another_is_refused_at_once(book: Workbook) -> None:
    with (
        pytest.raises(StoreError, match="count began inside scrap"),
        book.command("scrap", who="x", key="1"),
        book.command("count", who="x", key="2"),
    ):
        pass
    book.run("count", lambda c: c.number, who="x", key="3")


def test_what_is_written_once_cannot_be_changed_through_a_command(book: Workbook) -> None:
    order(book)
    book.run(
        "pay", lambda c: c.add(r.Money, order="418K", kind="deposit", cents=5, day=WEDNESDAY.date()), who="x", key="1"
    )
    with pytest.raises(EntryError, match="money are written once and never changed"):
        book.run("x", lambda c: c.change(r.Money, 1, cents=500), who="x", key="2")


def test_a_build_is_kept_once_and_answers_as_it_was(book: Workbook) -> None:
    facts = {"mass_lb": 912.4}
    kept = {"fingerprint": "b", "spec": {"width": "84 in"}, "rulebook_day": date(2022, 3, 1), "rulebook": "r22"}
    book.run("quote", lambda c: c.keep_build(**kept, facts=facts), who="x", key="1")
    book.run("order", lambda c: c.keep_build(**kept, facts=facts), who="x", key="2")
    facts["mass_lb"] = 950.0
    with book.reading() as q:
        (only,) = q.find(r.KeptBuild)
    assert only.facts == {"mass_lb": 912.4} and only.rulebook == "r22" and only.rulebook_day == date(2022, 3, 1)


def test_a_file_is_on_disk_by_its_digest_when_the_command_is_kept(book: Workbook) -> None:
    kept = book.run("photo", lambda c: c.keep_file(b"picture", name="a.jpg"), who="x", key="1")
    again = book.run("photo", lambda c: c.keep_file(b"picture", name="b.jpg"), who="x", key="2")
    assert kept == again and book.filing.read(kept["digest"]) == b"picture"
    book.filing.path(kept["digest"]).write_bytes(b"another")
    with pytest.raises(StoreError, match="a file is not what it was"):
        book.filing.read(kept["digest"])
