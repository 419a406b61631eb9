"""What a page can ask of the records."""

from __future__ import annotations

from dataclasses import FrozenInstanceError, fields
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from plowwright.errors import EntryError, NotFoundError, StoreError
from plowwright.store import records as r
from plowwright.store import tables as t
from plowwright.store.workbook import Workbook
from tests.store.shopwork import EDGE, fill


def test_every_record_has_the_fields_of_its_table() -> None:
    for kind, name in r.TABLES.items():
        assert [field.name for field in fields(kind)] == list(t.metadata.tables[name].c.keys()), name
    assert set(t.metadata.tables) == {*r.TABLES.values(), "touched"}


def test_every_table_is_filled_by_the_shops_work_these_tests_go_by(folder_book: Workbook) -> None:
    fill(folder_book)
    with folder_book.reading() as q:
        assert [kind.__name__ for kind in r.TABLES if not q.count(kind)] == []


def test_an_order_brings_its_whole_file(book: Workbook) -> None:
    fill(book)
    with book.reading() as q:
        file = q.order_file("418K")
    assert (file.order.state, file.order.more) == ("done", {"rush": True})
    assert file.customer and file.customer.name == "T.B."
    assert file.carrier and file.carrier.name == "K7"
    assert file.build and file.build.facts["mass_lb"] == 912.4
    assert file.quote and file.quote.valid_until == date(2026, 12, 11)
    assert file.paid_cents == 112400
    assert [change.note for change in file.changes] == ["shoes added", "yes by phone"]
    assert [line.kind for line in file.lines] == ["reserve", "release", "issue"]
    assert [(held.item, held.count) for held in file.reservations] == [(EDGE, 1)]
    assert [blade.serial for blade in file.blades] == ["B84-26-018"]
    assert [ticket.mass for ticket in file.tickets] == [431.0, 414.2]
    assert [event.command for event in file.events] == ["take the order", "build"]
    with pytest.raises(NotFoundError, match="481K"), book.reading() as q:
        q.order_file("481K")


def test_a_blade_brings_its_life_record_with_the_rules_of_its_day(book: Workbook) -> None:
    fill(book)
    with book.reading() as q:
        life = q.life("B84-26-018")
    assert life.customer and life.customer.name == "H.L."
    assert [chapter.kind for chapter in life.chapters] == ["as-built", "owner"]
    assert life.rulebook and life.rulebook.files == {"shop.toml": 'name = "Ostrel Ridge"\n'}
    assert life.fitted[0].lot == "L1" and life.tickets[0].predicted == 413.9
    assert life.attachments[0].note == "the stamp"
    assert [event.who for event in life.events] == ["D.V.", "R.K."]


def test_a_recall_finds_where_the_parts_of_a_lot_went(book: Workbook) -> None:
    fill(book)
    with book.reading() as q:
        assert [fitted.serial for fitted in q.recall(EDGE, "L1")] == ["B84-26-018"]
        assert q.recall(EDGE, "L2") == ()


def test_the_wall_shows_the_next_promise_first_and_no_promise_last(book: Workbook) -> None:
    first = datetime(2026, 11, 13, 7)
    with book.command("a wall", who="R.K.", key="1") as c:
        for number, days, state in (
            ("1A", 5, "order"),
            ("2B", None, "order"),
            ("3C", 1, "released"),
            ("4D", 0, "loaded"),
        ):
            promise = None if days is None else first + timedelta(days=days)
            c.add(r.Order, number=number, kind="blade", state=state, promise=promise)
    with book.reading() as q:
        assert [order.number for order in q.wall(("order", "released"))] == ["3C", "1A", "2B"]


def test_a_customer_is_found_by_a_part_of_the_name_or_the_end_of_the_phone(book: Workbook) -> None:
    fill(book)
    with book.reading() as q:
        assert [found.name for found in q.customers_like("t.b")] == ["T.B."]
        assert [found.name for found in q.customers_like("0199")] == ["H.L."]
        assert q.customers_like("%") == ()


def test_what_is_on_its_way_and_reserved_is_told_by_day(book: Workbook) -> None:
    fill(book)
    with book.reading() as q:
        assert [(coming.due, coming.count) for coming in q.arriving(EDGE)] == [(date(2026, 11, 30), 6)]
        assert [held.order for held in q.reserved(until=date(2026, 11, 12))] == ["418K"]
        assert q.reserved(EDGE, until=date(2026, 11, 11)) == ()
        balance = q.balance(EDGE)
        assert (balance.on_hand, balance.reserved, balance.arriving) == (4, 1, 6)
        assert q.balance("never heard of").on_hand == 0


def test_the_last_plan_of_a_kind_is_found(book: Workbook) -> None:
    fill(book)
    with book.reading() as q:
        plan = q.last_plan("cut", state="released")
        assert plan and plan.body == {"sticks": 3}
        assert q.last_plan("crew") is None


def test_a_promise_without_an_hour_is_kept_as_the_day(book: Workbook) -> None:
    with book.command("order", who="R.K.", key="1") as c:
        c.add(r.Order, number="421M", kind="blade", state="order", promise=date(2026, 11, 20))
    with book.command("promise", who="R.K.", key="2") as c:
        moved = c.change(r.Order, "421M", promise=date(2026, 11, 23))
    with book.reading() as q:
        assert q.get(r.Order, "421M") == moved
        assert moved.promise == datetime(2026, 11, 23)


def test_records_are_frozen_and_a_wrong_field_is_named(folder_book: Workbook) -> None:
    fill(folder_book)
    with folder_book.reading() as q:
        order = q.get(r.Order, "418K")
        with pytest.raises(FrozenInstanceError):
            order.state = "done"  # type: ignore[misc]
        with pytest.raises(EntryError, match="orders have no field colour"):
            q.find(r.Order, colour="green")
        assert q.find(r.Order, state=("done", "loaded"))[0].number == "418K"


def test_a_page_sees_one_moment_while_others_write(book: Workbook) -> None:
    fill(book)
    with book.reading() as q:
        before = q.balance(EDGE).on_hand
        book.run("take in", lambda c: c.line(kind="receive", item=EDGE, count=7), who="x", key="n")
        assert q.balance(EDGE).on_hand == before
    with book.reading() as q:
        assert q.balance(EDGE).on_hand == before + 7


def test_a_page_can_be_read_while_a_command_runs_and_a_second_command_is_told_to_wait(
    place: object, book: Workbook
) -> None:
    fill(book)
    other = Workbook.open(place.where, files=place.files, patience=0.2)  # type: ignore[attr-defined]
    with other, book.command("long work", who="x", key="n") as c:
        c.line(kind="receive", item=EDGE, count=7)
        with other.reading() as q:
            assert q.balance(EDGE).on_hand == 4
        with pytest.raises(StoreError, match="another command is still being written"):
            other.run("short work", lambda c: c.number, who="y", key="m")


def test_a_server_that_does_not_answer_is_said_so() -> None:
    with pytest.raises(StoreError, match=r"the database does not answer .* See that its server runs"):
        Workbook.open("postgresql://shop@127.0.0.1:1/shop")


def test_records_that_are_not_there_are_only_made_when_asked(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError, match="there are no records in this folder"):
        Workbook.open(tmp_path / "nowhere", make=False)
    assert not (tmp_path / "nowhere").exists()
    Workbook.open(tmp_path / "here").close()
    Workbook.open(tmp_path / "here", make=False).close()
