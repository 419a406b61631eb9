"""The floor and the morning at the command line."""

from __future__ import annotations

import io
import json
import shutil
import sys
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from plowwright.cli.main import main


@pytest.fixture
def records(filled_folder: Path, tmp_path: Path) -> Path:
    """Records of the invented shop, on their own."""
    return Path(shutil.copytree(filled_folder, tmp_path / "records"))


@dataclass(frozen=True)
class Done:
    """What a command gave back."""

    returncode: int
    stdout: str
    stderr: str


def run(*words: str) -> Done:
    out, err = io.StringIO(), io.StringIO()
    code = 0
    with pytest.MonkeyPatch.context() as patched, redirect_stdout(out), redirect_stderr(err):
        patched.setattr(sys, "argv", ["plowwright", *words])
        try:
            main()
        except SystemExit as stop:
            code = int(stop.code or 0)
    return Done(returncode=code, stdout=out.getvalue(), stderr=err.getvalue())


def told(*words: str) -> dict[str, Any]:
    done = run(*words, "--json")
    assert done.returncode == 0, done.stderr
    answer = json.loads(done.stdout)
    assert isinstance(answer, dict)
    return answer


def test_an_operation_is_done_once_and_the_second_who_says_so_is_told(records: Path) -> None:
    where = ("--demo", "--records", str(records))
    answer = told("done", "418K", "weld", "--who", "D.V.", "--took", "3 h 20 min", "--key", "slip 7", *where)
    assert answer["said"] == "Fit and weld of 418K is done, by D.V., 3 h 20 min."
    again = told("done", "418K", "weld", "--who", "D.V.", "--took", "3 h 20 min", "--key", "slip 7", *where)
    assert again == answer
    other = run("done", "418K", "weld", "--who", "M.S.", *where)
    assert other.returncode == 1 and "fit and weld is done already" in other.stderr
    back = told("undone", "418K", "weld", "--reason", "a seam is left", "--who", "D.V.", *where)
    assert "3 h 20 min taken back" in back["said"]
    events = told("log", "--order", "418K", *where)["events"]
    assert [e["command"] for e in events[:2]] == ["not done after all", "done"]
    opened = told("log", "--event", str(events[1]["number"]), *where)
    assert any(row["field"] == "work, fit and weld" for row in opened["changed"])


def test_begun_noted_and_a_problem_are_said_and_stand_on_today(records: Path, tmp_path: Path) -> None:
    where = ("--demo", "--records", str(records))
    assert "M.S. is at assemble of 419T" in told("begin", "419T", "assemble", "--who", "M.S.", *where)["said"]
    told("problem", "420A", "web is bent", "--at", "weld", "--where", "left end", "--who", "D.V.", *where)
    assert told("note", "420A", "two of the webs are new", "--who", "D.V.", *where)["said"] == "The note is with 420A."
    no_photo = run("note", "420A", "--photo", str(tmp_path / "none.jpg"), "--who", "D.V.", *where)
    assert no_photo.returncode == 2 and "no photo lies there" in no_photo.stderr
    morning = told("today", *where)
    assert [line["order"] for line in morning["problems"]] == ["420A"]
    assert {"leaving", "late", "to_order", "people"} <= morning.keys()


def test_a_problem_is_settled_by_a_few_words_of_it_and_its_hold_goes_with_it(records: Path) -> None:
    where = ("--who", "D.V.", "--demo", "--records", str(records))
    told("problem", "420A", "web is bent", "--at", "weld", "--where", "left end", "--hold", *where)
    told("problem", "420A", "a bolt is missing", *where)
    two = run("settle-problem", "420A", "bolt put in", *where)
    assert two.returncode == 2 and "more than one problem is meant" in two.stderr and "web is bent" in two.stderr
    none = run("settle-problem", "420A", "bolt put in", "--which", "spring", *where)
    assert none.returncode == 1 and "this problem does not stand on the order" in none.stderr
    done = ("settle-problem", "420A", "new web cut and tacked", "--which", "WEB is", "--key", "web", *where)
    answer = told(*done)
    assert answer["said"] == "Settled on 420A: new web cut and tacked. It is no longer on hold."
    assert told(*done) == answer
    assert told("settle-problem", "420A", "bolt put in", *where)["said"] == "Settled on 420A: bolt put in."
    assert told("today", "--demo", "--records", str(records))["problems"] == []


def test_nothing_is_written_where_no_records_are_named(tmp_path: Path) -> None:
    refused = run("done", "418K", "weld", "--who", "D.V.", "--demo")
    assert refused.returncode == 2 and "no records are open here" in refused.stderr
    assert run("today", "--demo").stdout.startswith("Wed 11 Nov")
