"""The invented shop's records: filled once from its files, they say what the files say."""

from __future__ import annotations

import shutil
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from plowwright.desk.desk import Desk
from plowwright.desk.opening import fill, open_demo, open_records
from plowwright.errors import EntryError, NotFoundError
from plowwright.store import checking
from plowwright.store import records as r
from plowwright.store.workbook import Workbook
from tests.conftest import WEDNESDAY


def test_the_wall_of_the_records_is_the_wall_of_the_files(either_shop: Desk) -> None:
    by_file = {order.number: order for order in Desk.demo().orders()}
    by_records = {order.number: order for order in either_shop.orders()}
    assert set(by_records) == set(by_file) and len(by_records) == 15
    for number, order in by_records.items():
        other = by_file[number]
        assert (order.customer, order.carrier, order.kind, order.due, order.state, order.spares, order.waits) == (
            other.customer, other.carrier, other.kind, other.due, other.state, other.spares, other.waits
        )  # fmt: skip
        if order.spec is not None and other.spec is not None:
            assert either_shop.build_of(order).fingerprint == Desk.demo().build_of(other).fingerprint
    assert either_shop.now == WEDNESDAY


def test_the_rack_of_the_records_is_the_rack_of_the_files(shop: Desk) -> None:
    mine, theirs = shop.rack, Desk.demo().rack
    assert {(s.stock, round(s.length, 6)): s.count for s in mine.sticks} == {
        (s.stock, round(s.length, 6)): s.count for s in theirs.sticks
    }
    assert {(s.tag, s.stock, s.length, s.book) for s in (*mine.remnants, *mine.sheet_remnants)} == {
        (s.tag, s.stock, s.length, s.book) for s in (*theirs.remnants, *theirs.sheet_remnants)
    }
    assert {(b.stock, round(b.length, 6)): (b.count, dict(b.arriving)) for b in mine.blanks} == {
        (b.stock, round(b.length, 6)): (b.count, dict(b.arriving)) for b in theirs.blanks
    }
    with_some = {b.stock: (b.count, dict(b.arriving)) for b in theirs.bought if b.count or b.arriving}
    assert {b.stock: (b.count, dict(b.arriving)) for b in mine.bought} == with_some


def test_the_same_orders_go_short_by_records_and_by_files(shop: Desk) -> None:
    assert {s.text for s in shop.counter.shortages().short} == {s.text for s in Desk.demo().counter.shortages().short}


def test_every_past_blade_is_there_with_its_own_rules(shop: Desk) -> None:
    with shop.book.reading() as reads:
        assert reads.count(r.Blade) == len(Desk.demo().counter.past) + 1
        life = reads.life("B90-22-017")
        assert life.rulebook is not None and life.rulebook.day <= date(2022, 10, 14)
        assert life.chapters[0].kind == "as-built"
    assert checking.check(shop.book).holds


def test_filled_records_are_not_filled_again(shop: Desk, demo_dir: Path) -> None:
    with shop.book.reading() as reads:
        before = reads.events(limit=1)[0].number
    counts = fill(shop.book, demo_dir, shop.rulebook, progress=lambda _: None)
    assert counts == {"orders": 0, "items": 0, "blades": 0}
    with shop.book.reading() as reads:
        assert reads.events(limit=1)[0].number == before


def test_records_in_use_are_not_filled_from_files(tmp_path: Path, demo_dir: Path, shop: Desk) -> None:
    with Workbook.open(tmp_path / "used") as book:
        book.run("take in steel", lambda c: c.add(r.Customer, name="X").id, who="R.K.", key="1")
        with pytest.raises(EntryError, match="in use"):
            fill(book, demo_dir, shop.rulebook, progress=lambda _: None)


def test_a_desk_without_records_says_how_to_open_them() -> None:
    with pytest.raises(NotFoundError, match="--records"):
        _ = Desk.demo().book


def test_the_demo_goes_on_from_its_own_wednesday(tmp_path: Path) -> None:
    open_demo(tmp_path / "demo").book.close()
    with open_records(tmp_path / "demo") as book:
        assert book.now().date() == WEDNESDAY.date() and book.now() >= WEDNESDAY


def test_an_order_is_seen_as_soon_as_it_is_written(shop: Desk) -> None:
    assert shop.order("421M").state == "not started"
    shop.book.run("hold", lambda c: c.change(r.Order, "421M", hold="he is thinking").number, who="R.K.", key="1")
    assert shop.order("421M").state == "on hold" and shop.order("421M").note.startswith("he is thinking")


def test_a_frozen_order_keeps_its_rules_when_the_rulebook_changes(shop: Desk, tmp_path: Path, demo_dir: Path) -> None:
    live = shutil.copytree(demo_dir / "rulebook", tmp_path / "rulebook")
    version = live / "version.toml"
    version.write_text(version.read_text(encoding="utf-8").replace("2026-09-01", "2026-11-10"), encoding="utf-8")
    changed = Desk(live, records=shop.book)
    assert changed.rulebook.fingerprint != shop.rulebook.fingerprint
    order = changed.order("421M")
    assert changed.build_of(order).rulebook.fingerprint == shop.rulebook.fingerprint
    assert order.spec is not None
    assert changed.worked(order.spec).build.rulebook.fingerprint == shop.rulebook.fingerprint
    # Another choice on the same sheet is a new blade: it goes by the rules in force.
    other = replace(order.spec, extras=())
    assert changed.worked(other).build.rulebook.fingerprint == changed.rulebook.fingerprint
