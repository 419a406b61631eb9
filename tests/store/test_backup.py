"""Backups while the shop works, and the way back."""

from __future__ import annotations

import gzip
import json
import threading
from pathlib import Path
from types import SimpleNamespace

import pytest

from plowwright.errors import EntryError, NotFoundError, StoreError
from plowwright.store import migrating
from plowwright.store import records as r
from plowwright.store.backup import back_up, backups_in, restore
from plowwright.store.checking import check
from plowwright.store.workbook import Workbook
from tests.store.conftest import WEDNESDAY, fresh_database
from tests.store.shopwork import fill


def everything(book: Workbook) -> dict[str, tuple[object, ...]]:
    """Every row of the records."""
    with book.reading() as q:
        return {kind.__name__: q.find(kind) for kind in r.TABLES}


def test_a_restored_backup_is_the_records_as_they_were(book: Workbook, place: SimpleNamespace, tmp_path: Path) -> None:
    fill(book)
    before = everything(book)
    made = back_up(book, tmp_path / "stick")
    book.run("later", lambda c: c.add(r.Customer, name="after the backup"), who="x", key="later")
    with restore(made.file, tmp_path / "new") as again:
        assert everything(again) == before
        assert check(again).holds
        assert again.filing.read(before["KeptFile"][0].digest) == b"a photo of the stamp"  # type: ignore[attr-defined]
        again.run("go on", lambda c: c.add(r.Customer, name="goes on"), who="x", key="later")
    assert (made.events, made.files, made.missing, made.schema) == (8, 1, (), migrating.NEWEST)
    assert made.file.name == ("2026-11-11 08.00.00.db" if place.kind == "sqlite" else "2026-11-11 08.00.00.jsonl.gz")


def test_plain_lines_move_the_records_to_the_other_database_and_back(
    folder_book: Workbook, server: str, tmp_path: Path
) -> None:
    fill(folder_book)
    over = back_up(folder_book, tmp_path / "over", open_form=True)
    with restore(over.file, fresh_database(server), files=tmp_path / "pg files") as moved:
        assert everything(moved) == everything(folder_book)
        assert check(moved).holds
        moved.run("go on", lambda c: c.add(r.Customer, name="first on the new one"), who="x", key="n1")
        back = back_up(moved, tmp_path / "back")
        with restore(back.file, tmp_path / "home") as home:
            assert everything(home) == everything(moved)
            assert check(home).holds


def test_a_backup_taken_while_others_write_is_of_one_moment(book: Workbook, tmp_path: Path) -> None:
    fill(book)
    stop = threading.Event()
    written: list[int] = []

    def write() -> None:
        while not stop.is_set():
            with book.command("work", who="a writer", key=f"n{len(written)}") as c:
                c.add(r.Customer, name="x")
                c.line(kind="receive", item="spring", count=1)
                c.keep_file(f"photo {len(written)}".encode(), name="photo.jpg")
            written.append(1)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        made = []
        for _ in range(5):
            seen = len(written)
            made.append((seen, back_up(book, tmp_path / "stick")))
    finally:
        stop.set()
        writer.join()
    assert made[-1][0] > made[0][0], "nothing was written meanwhile"
    assert [one.file for _, one in made] == backups_in(tmp_path / "stick")
    for number, (seen, one) in enumerate(made):
        assert one.missing == () and one.events >= 8 + seen
        with restore(one.file, tmp_path / f"new {number}") as again:
            assert check(again).holds
            with again.reading() as q:
                assert q.count(r.Event) == one.events


def test_records_that_are_there_are_not_written_over(folder_book: Workbook, tmp_path: Path) -> None:
    fill(folder_book)
    made = back_up(folder_book, tmp_path / "stick")
    folder_book.run("later", lambda c: c.add(r.Customer, name="later"), who="x", key="later")
    folder_book.close()
    with pytest.raises(EntryError, match="there are records in this folder already"):
        restore(made.file, tmp_path / "records")
    with restore(made.file, tmp_path / "records", put_aside=True) as again, again.reading() as q:
        assert q.count(r.Event) == 8
    (aside,) = (tmp_path / "records").glob("put aside *.db")
    with restore(aside, tmp_path / "what was put aside") as old, old.reading() as q:
        assert q.count(r.Event) == 9


def test_a_write_ahead_log_left_by_other_records_is_not_taken_for_the_restored_ones(
    folder_book: Workbook, tmp_path: Path
) -> None:
    fill(folder_book)
    made = back_up(folder_book, tmp_path / "stick")
    new = tmp_path / "new"
    new.mkdir()
    (new / "shop.db-wal").write_bytes((tmp_path / "records" / "shop.db-wal").read_bytes())
    with restore(made.file, new) as again:
        assert check(again).holds and everything(again) == everything(folder_book)


def test_a_folder_of_backups_means_the_newest(folder_book: Workbook, tmp_path: Path) -> None:
    fill(folder_book)
    back_up(folder_book, tmp_path / "stick")
    folder_book.run("later", lambda c: c.add(r.Customer, name="later"), who="x", key="later")
    back_up(folder_book, tmp_path / "stick")
    with restore(tmp_path / "stick", tmp_path / "new") as again, again.reading() as q:
        assert q.count(r.Event) == 9
    with pytest.raises(NotFoundError, match="no backup in this folder"):
        restore(tmp_path / "records" / "files", tmp_path / "new 2")


def test_a_damaged_backup_is_refused(folder_book: Workbook, tmp_path: Path) -> None:
    fill(folder_book)
    made = back_up(folder_book, tmp_path / "stick")
    data = bytearray(made.file.read_bytes())
    data[len(data) // 2] ^= 0xFF
    made.file.write_bytes(bytes(data))
    with pytest.raises(
        StoreError, match=r"the backup is not what it was when taken \(given: 2026-11-11 08\.00\.00\.db\)"
    ):
        restore(made.file, tmp_path / "new")


def test_a_cut_off_backup_of_plain_lines_is_refused_and_nothing_half_is_left(
    folder_book: Workbook, tmp_path: Path
) -> None:
    fill(folder_book)
    made = back_up(folder_book, tmp_path / "stick", open_form=True)
    lines = gzip.decompress(made.file.read_bytes()).splitlines(keepends=True)
    cut = tmp_path / "cut.jsonl"
    cut.write_bytes(b"".join(lines[: len(lines) // 2]))
    with pytest.raises(StoreError, match="the backup is cut off"):
        restore(cut, tmp_path / "new")
    with Workbook.open(tmp_path / "new", clock=lambda: WEDNESDAY) as left, left.reading() as q:
        assert q.count(r.Customer) == 0
    (tmp_path / "other.jsonl").write_text(json.dumps({"something": "else"}) + "\n")
    with pytest.raises(StoreError, match="this is not a backup of the records"):
        restore(tmp_path / "other.jsonl", tmp_path / "new 2")


def test_a_lost_photo_is_named_and_the_rest_is_kept(folder_book: Workbook, tmp_path: Path) -> None:
    fill(folder_book)
    with folder_book.reading() as q:
        (photo,) = q.find(r.KeptFile)
    folder_book.filing.path(photo.digest).unlink()
    made = back_up(folder_book, tmp_path / "stick")
    assert made.missing == (photo.digest,) and made.files == 0
    assert made.file.is_file()


def test_a_second_backup_adds_only_new_photos(folder_book: Workbook, tmp_path: Path) -> None:
    fill(folder_book)
    back_up(folder_book, tmp_path / "stick")
    (old,) = (path for path in (tmp_path / "stick" / "files").glob("*/*"))
    stamp = old.stat().st_mtime_ns
    folder_book.run("photo", lambda c: c.keep_file(b"another", name="b.jpg"), who="x", key="p")
    back_up(folder_book, tmp_path / "stick")
    assert old.stat().st_mtime_ns == stamp
    assert len(list((tmp_path / "stick" / "files").glob("*/*"))) == 2
