"""The commands about blades that left."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from plowwright.cli.main import main


@pytest.fixture
def records(filled_folder: Path, tmp_path: Path) -> Path:
    """Records of the invented shop."""
    return shutil.copytree(filled_folder, tmp_path / "records")


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


def test_a_blade_is_found_with_and_without_records(
    records: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    told = ("find", "--width", "83-1/2 in", "--springs", 2, "--phone", 71, "--year", 2021, "--demo", "--json")
    for where in ((), ("--records", records)):
        code, said, _ = run(capsys, monkeypatch, *told, *where)
        assert code == 0 and json.loads(said)["candidates"][0]["serial"] == "F84-21-063"
    code, _, complaint = run(capsys, monkeypatch, "find", "--demo")
    assert code == 2 and "nothing was told to find it by" in complaint


def test_a_chapter_is_written_and_the_history_tells_it_with_its_papers(
    records: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    at = ("--demo", "--records", records)
    told = ("chapter", "F84-21-063", "owner", "sold on", "--fact", "owner=M.M.", "--who", "R.K.", "--key", "k1", *at)
    for _ in range(2):
        code, said, _ = run(capsys, monkeypatch, *told)
        assert code == 0 and "F84-21-063: owner of" in said and "written." in said
    code, said, _ = run(capsys, monkeypatch, "history", "f84-21-063", "--out", tmp_path / "out", *at, "--json")
    told_back = json.loads(said)
    assert code == 0 and told_back["owner"] == "M.M." and told_back["rules"]["date"] == "2022-03-01"
    assert [c["kind"] for c in told_back["chapters"]].count("owner") == 1
    assert sorted(one.name for one in (tmp_path / "out").iterdir()) == [
        "F84-21-063 booklet.pdf", "F84-21-063 history.pdf", "F84-21-063 wear card.pdf",
    ]  # fmt: skip
    code, _, complaint = run(capsys, monkeypatch, "chapter", "F84-21-063", "owner", "sold on", "--fact", "M.M.",
                             "--who", "R.K.", *at)  # fmt: skip
    assert code == 2 and "a fact has a name and a value" in complaint


def test_spares_recall_and_lessons_answer_a_machine(
    records: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    at = ("--demo", "--records", records, "--json")
    _, said, _ = run(capsys, monkeypatch, "spares", "F84-21-063", *at)
    rows = {row["mark"]: row for row in json.loads(said)["spares"]}
    assert rows["valve block"]["now"] == "crossover relief block"
    _, said, _ = run(capsys, monkeypatch, "recall", "C-20-04", "--out", tmp_path / "ring.csv", *at)
    assert len(json.loads(said)["blades"]) == 5 and (tmp_path / "ring.csv").is_file()
    code, said, _ = run(capsys, monkeypatch, "lesson", "2026-09-01", "legs cracked on wide ones", "--who", "R.K.",
                        "--place", "leg to hinge beam", *at)  # fmt: skip
    assert code == 0 and "26 effects" in json.loads(said)["said"]
    _, said, _ = run(capsys, monkeypatch, "lessons", "--by", "place", *at)
    told = json.loads(said)
    assert told["groups"][0]["verdict"] == "cannot be told apart" and told["written"][0]["places"]
    code, _, complaint = run(capsys, monkeypatch, "history", "F84-21-063", "--demo")
    assert code == 2 and "no records are open here" in complaint


def test_a_blade_in_its_first_winter_has_seen_one_winter(
    records: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("plowwright.shop.service.Life.winters", lambda *_: 1)
    code, said, _ = run(capsys, monkeypatch, "history", "F84-21-063", "--demo", "--records", records)
    assert code == 0 and ", 1 winter.\n" in said
