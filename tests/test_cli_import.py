"""`plowwright import`: a dry run, all of it or nothing, templates and lists."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from plowwright.cli.main import main
from plowwright.shop.orders_numbers import with_letter

HEAD = "number,customer,carrier kind,series,width,mount,hoses,outlets,due,state\n"
ROW = f"{with_letter(433)},Y.B.,skid steer,basalt,84 in,loader,flat-face,left,2026-12-10,order\n"


@pytest.fixture
def records(filled_folder: Path, tmp_path: Path) -> Path:
    return shutil.copytree(filled_folder, tmp_path / "records")


def run(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, records: Path, *words: object
) -> tuple[int, str, str]:
    monkeypatch.setattr("sys.argv", ["plowwright", "import", *map(str, words), "--demo", "--records", str(records)])
    monkeypatch.delenv("PLOWWRIGHT_WHO", raising=False)
    code = 0
    try:
        main()
    except SystemExit as left:
        code = int(left.code or 0)
    said = capsys.readouterr()
    return code, said.out, said.err


@pytest.fixture
def ran(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, records: Path):
    return lambda *words: run(capsys, monkeypatch, records, *words)


def test_a_dry_run_says_what_would_be_and_how_to_do_it(ran, tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text(HEAD + ROW)
    code, said, _ = ran("orders", tmp_path / "a.csv")
    assert code == 0 and "1 row of a.csv: 1 new" in said and "--really --who R.K." in said


def test_a_wrong_row_is_said_with_its_code_and_exits_1(ran, tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text(HEAD + ROW.replace("84 in", "83 in"))
    code, said, _ = ran("orders", tmp_path / "a.csv")
    assert code == 1 and "wrong   line 2, width: Basalt is not built 83 in wide" in said and "[width-not-built]" in said
    code, _, complaint = ran("orders", tmp_path / "a.csv", "--really", "--who", "R.K.")
    assert code == 2 and "nothing is written" in complaint


def test_really_writes_once_and_says_the_audit(ran, tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text(HEAD + ROW)
    code, said, _ = ran("orders", tmp_path / "a.csv", "--really", "--who", "R.K.")
    assert code == 0 and "1 orders brought in from a.csv" in said and "orders: 1 in the file, 1 in the records" in said
    code, said, _ = ran("orders", tmp_path / "a.csv", "--really", "--who", "R.K.")
    assert code == 0 and "brought in before" in said and "Nothing was changed." in said


def test_nobody_named_is_refused(ran, tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text(HEAD + ROW)
    code, _, complaint = ran("orders", tmp_path / "a.csv", "--really")
    assert code == 2 and "nobody is named" in complaint


def test_a_machine_gets_every_row_and_note(ran, tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text(HEAD + ROW + ROW.replace(with_letter(433), "472S"))
    code, said, _ = ran("orders", tmp_path / "a.csv", "--json")
    told = json.loads(said)
    assert code == 1 and (told["new"], told["wrong"], told["would_write"]) == (1, 1, False)
    assert [note["code"] for row in told["rows"] for note in row["noted"]].count("wrong-letter") == 1


@pytest.mark.parametrize("kind", ["orders", "stock", "serials"])
def test_a_template_and_the_records_own_list_can_be_read_again(ran, tmp_path: Path, kind: str) -> None:
    code, said, _ = ran(kind, "--template", tmp_path / "t.xlsx", "--list", tmp_path / "l.csv")
    assert code == 0 and "The template is in" in said and "The list is in" in said
    assert ran(kind, tmp_path / "t.xlsx")[0] == 0
    code, said, _ = ran(kind, tmp_path / "l.csv")
    assert code == 0 and " 0 new" in said


def test_no_file_and_no_such_kind_are_bad_input(ran, tmp_path: Path) -> None:
    assert "there is no list here" in ran("orders", tmp_path / "none.csv")[2]
    (tmp_path / "a.csv").write_text(HEAD + ROW)
    code, _, complaint = ran("wishes", tmp_path / "a.csv")
    assert code == 2 and "orders, stock, serials" in complaint
