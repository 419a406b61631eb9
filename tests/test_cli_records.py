"""The commands over the records: backup, restore, check, export, on records with work in them."""

from __future__ import annotations

import json
import re
import sqlite3
from pathlib import Path

import pytest

from plowwright.cli.main import main
from plowwright.store import records as r
from plowwright.store.workbook import Workbook
from tests.store.shopwork import fill


@pytest.fixture
def records(tmp_path: Path) -> Path:
    """A folder of records of one small week."""
    with Workbook.open(tmp_path / "records") as book:
        fill(book)
    return tmp_path / "records"


def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, *words: object) -> tuple[int, str, str]:
    """The exit code, what was said and what was complained of."""
    monkeypatch.setattr("sys.argv", ["plowwright", *map(str, words)])
    code = 0
    try:
        main()
    except SystemExit as left:
        code = int(left.code or 0)
    said = capsys.readouterr()
    return code, said.out, said.err


def test_a_backup_goes_the_whole_way_back(
    records: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    code, said, _ = run(capsys, monkeypatch, "backup", tmp_path / "saved", "--records", records)
    assert code == 0 and "8 events and 1 file," in said
    code, said, _ = run(capsys, monkeypatch, "restore", tmp_path / "saved", tmp_path / "again")
    assert code == 0 and "All of it holds." in said
    with Workbook.open(tmp_path / "again", make=False) as book, book.reading() as q:
        assert q.order_file("418K").order.cents == 281000
    code, _, complaint = run(capsys, monkeypatch, "restore", tmp_path / "saved", records)
    assert code == 2 and "already" in complaint
    assert run(capsys, monkeypatch, "restore", tmp_path / "saved", records, "--put-aside")[0] == 0
    assert len(list(records.glob("put aside*.db"))) == 1


def test_the_check_names_what_was_done_behind_the_programs_back(
    records: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    code, said, _ = run(capsys, monkeypatch, "check", "--records", records)
    assert code == 0 and said.rstrip().endswith("All of it holds.")
    with sqlite3.connect(records / "shop.db") as behind:
        behind.execute("UPDATE stock SET on_hand = on_hand + 7")
    code, said, _ = run(capsys, monkeypatch, "check", "--records", records, "--json")
    told = json.loads(said)
    assert code == 1 and told["verdict"] == "fails"
    assert [line["what"] for line in told["lines"] if line["faults"]] == ["stock is the sum of its ledger"]


def test_opening_the_demo_says_what_was_filled_in_and_that_a_second_time_changes_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    words = ("open", "--demo", "--records", tmp_path / "new", "--who", "R.K.")
    code, said, _ = run(capsys, monkeypatch, *words)
    found = re.search(r"from the files of the invented shop: (\d+) orders, (\d+) stock items and (\d+) past", said)
    assert code == 0 and said.count("\n") == 1 and found is not None
    with Workbook.open(tmp_path / "new", make=False) as book, book.reading() as q:
        assert q.count(r.Order) == int(found[1])
    assert run(capsys, monkeypatch, *words)[1].endswith("filled before, nothing was changed.\n")


def test_everything_leaves_in_open_files_and_no_folder_is_made_by_asking(
    records: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    code, said, _ = run(capsys, monkeypatch, "export", tmp_path / "out", "--records", records, "--json")
    assert code == 0 and json.loads(said)["rows"]["orders"] == 1 and (tmp_path / "out" / "orders.csv").is_file()
    code, _, complaint = run(capsys, monkeypatch, "check", "--records", tmp_path / "nowhere")
    assert code == 2 and "--records" in complaint and not (tmp_path / "nowhere").exists()
