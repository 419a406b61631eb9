"""The check finds what is wrong, and says where."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from plowwright.errors import StoreError
from plowwright.store import database
from plowwright.store import records as r
from plowwright.store.checking import check
from plowwright.store.workbook import Workbook
from tests.store.shopwork import EDGE, fill


def test_sound_records_hold_in_every_line(book: Workbook) -> None:
    fill(book)
    report = check(book)
    assert report.holds and report.faults == ()
    assert len(report.lines) == 13
    assert all(line.looked_at for line in report.lines)
    assert report.as_dict()["verdict"] == "holds"


def test_empty_records_hold_too(book: Workbook) -> None:
    assert check(book).holds


def by_force(book: Workbook, *statements: str) -> None:
    """Change the database as somebody would who goes round the program."""
    assert book.folder is not None
    with sqlite3.connect(book.folder / database.FILE) as link:
        guards = link.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for name, _ in guards:
            link.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            link.execute(statement)
        for _, sql in guards:
            link.execute(sql)


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("UPDATE stock SET on_hand = 9", f"stock is the sum of its ledger: {EDGE}, lot L1: 9 kept, the lines make 4"),
        (
            'UPDATE reservations SET "count" = 2',
            f"reservations are the sum of theirs: {EDGE} for 418K on 2026-11-12: 2 kept, the lines make 1",
        ),
        (
            "UPDATE ledger SET \"count\" = 7 WHERE kind = 'issue'",
            f"stock never fell below zero: {EDGE}: -2 after event 6",
        ),
        ('UPDATE ledger SET "count" = -2 WHERE reverses IS NOT NULL', "line 4 does not undo the line it names"),
        ("DELETE FROM ledger WHERE kind = 'issue'", "event 6 says it wrote 2 rows of ledger, 1 are there"),
        ("DELETE FROM events WHERE number = 5", "event 5 is not there; the next is 6"),
        ("DELETE FROM events WHERE number = 5", "ledger.event names 5, which is not in events"),
        ("UPDATE events SET who = 'M.S.' WHERE number = 3", "event 3 is not what was written"),
        ("UPDATE orders SET cents = 100", "orders 418K: cents changed without an event"),
        ("DELETE FROM arrivals", "arrivals 1 is gone"),
        ("UPDATE builds SET facts = '{\"mass_lb\": 1}'", "build 1 is not what was kept"),
        ("UPDATE blades SET customer = 99", "blades.customer names 99, which is not in customers"),
    ],
)
def test_what_was_changed_behind_the_programs_back_is_found(folder_book: Workbook, statement: str, said: str) -> None:
    fill(folder_book)
    by_force(folder_book, statement)
    report = check(folder_book)
    assert not report.holds
    assert any(said in fault for fault in report.faults), report.faults


def test_missing_guards_are_found(folder_book: Workbook) -> None:
    assert folder_book.folder is not None
    with sqlite3.connect(folder_book.folder / database.FILE) as link:
        link.execute("DROP TRIGGER ledger_update_refused")
    assert check(folder_book).faults == (
        "rows written once are guarded: ledger could be changed: its triggers are gone",
    )


@pytest.mark.parametrize(
    ("harm", "said"),
    [
        (lambda path: path.unlink(), "is not in its folder"),
        (lambda path: path.write_bytes(b"another photo"), "is not what it was"),
    ],
)
def test_a_photo_lost_or_changed_is_found(book: Workbook, harm: Callable[[Path], object], said: str) -> None:
    fill(book)
    with book.reading() as q:
        (photo,) = q.find(r.KeptFile)
    harm(book.filing.path(photo.digest))
    assert check(book).faults == (f"photos and papers: stamp.jpg ({photo.digest[:12]}) {said}",)
    assert check(book, files=False).holds


def test_a_photo_no_record_names_is_only_worth_a_look(book: Workbook) -> None:
    book.filing.keep(b"a command broke off here")
    report = check(book)
    assert report.holds and report.lines[-1].notes == ("1 files that no record names",)


def test_a_damaged_database_is_found(folder_book: Workbook) -> None:
    fill(folder_book)
    assert folder_book.folder is not None
    file = folder_book.folder / database.FILE
    folder_book.close()
    with sqlite3.connect(file) as link:
        page, size = link.execute("SELECT rootpage, (SELECT page_size FROM pragma_page_size) FROM sqlite_master "
                                  "WHERE name = 'ledger'").fetchone()  # fmt: skip
        link.execute("PRAGMA journal_mode = DELETE")
    data = bytearray(file.read_bytes())
    data[(page - 1) * size : (page - 1) * size + 200] = b"\xff" * 200
    file.write_bytes(bytes(data))
    with Workbook.open(folder_book.folder) as again:
        report = check(again)
    assert not report.holds
    assert report.lines[0].what == "the database itself" and report.lines[0].verdict == "fails"
    assert "malformed" in report.lines[0].sentence
    assert {line.what for line in report.lines if line.verdict == "holds"} >= {"builds are as frozen"}


def test_a_file_that_is_no_database_is_refused_in_words(tmp_path: Path) -> None:
    (tmp_path / database.FILE).write_bytes(b"a letter to the roller" * 500)
    with pytest.raises(
        StoreError, match=r"could not be read or written \(given: file is not a database\).*last backup"
    ):
        Workbook.open(tmp_path)
