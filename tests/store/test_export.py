"""Everything in open files."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from plowwright.errors import EntryError
from plowwright.store import records as r
from plowwright.store.export import export
from plowwright.store.workbook import Workbook
from tests.store.shopwork import fill


def test_every_row_is_there_twice_and_every_photo_by_its_name(book: Workbook, tmp_path: Path) -> None:
    fill(book)
    done = export(book, tmp_path / "out")
    with book.reading() as q:
        assert {name: done.rows[name] for name in r.TABLES.values()} == {
            table: q.count(kind) for kind, table in r.TABLES.items()
        }
    for name, count in done.rows.items():
        lines = (tmp_path / "out" / f"{name}.jsonl").read_text(encoding="utf-8").splitlines()
        with (tmp_path / "out" / f"{name}.csv").open(encoding="utf-8", newline="") as sheet:
            rows = list(csv.DictReader(sheet))
        assert len(lines) == len(rows) == count
        for line, row in zip(lines, rows, strict=True):
            assert set(json.loads(line)) == set(row)
    orders = [json.loads(line) for line in (tmp_path / "out" / "orders.jsonl").read_text().splitlines()]
    assert orders[0]["number"] == "418K" and orders[0]["promise"] == "2026-11-13T07:00:00"
    with (tmp_path / "out" / "orders.csv").open(newline="") as sheet:
        (order,) = csv.DictReader(sheet)
    assert (order["promise"], order["more"], order["wished"]) == ("2026-11-13T07:00:00", '{"rush":true}', "")
    (photo,) = (tmp_path / "out" / "files").iterdir()
    assert photo.name.endswith(" stamp.jpg") and photo.read_bytes() == b"a photo of the stamp"
    assert "schema 2" in (tmp_path / "out" / "read me.txt").read_text()


def test_a_folder_with_something_in_it_is_not_written_into(folder_book: Workbook, tmp_path: Path) -> None:
    with pytest.raises(EntryError, match="the folder is not empty"):
        export(folder_book, tmp_path / "records")
