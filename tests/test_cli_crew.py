"""The commands of the crew plan."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest
from icalendar import Calendar

from plowwright.cli import main as cli
from plowwright.desk import promising


@pytest.fixture
def say(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    monkeypatch.setattr(promising, "STEPS", 30)
    monkeypatch.setattr(promising, "ASK_STEPS", 30)

    def run(*words: str) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["plowwright", *words, "--demo"])
        code = 0
        try:
            cli.main()
        except SystemExit as stop:
            code = int(stop.code or 0)
        said = capsys.readouterr()
        return code, said.out, said.err

    return run


def test_the_plan_says_each_promise_with_its_mark_and_its_cause(say) -> None:
    code, out, _ = say("crew")
    assert code == 0
    late = next(line for line in out.splitlines() if line.startswith("423P"))
    assert "late" in late and "its edge, 108 in, due Tue 17 Nov" in late
    assert "425V  not planned: on hold" in out
    assert " hours late in all, an hour of a rush counted 3 times; " in out and "weighted" not in out


def test_a_machine_gets_the_whole_plan(say) -> None:
    code, out, _ = say("crew", "--json", "--rush", "428C", "--shop-at", "50 F")
    answer = json.loads(out)
    assert code == 0 and answer["standing"]["rush"] == ["428C"] and answer["standing"]["temperature_c"] == 10.0
    assert {p["job"]: p["mark"] for p in answer["promises"]}["423P"] == "late"
    assert {one["number"] for one in answer["left_out"]} == {"425V", "432N"}


def test_a_promise_is_asked_and_a_no_exits_1(say) -> None:
    code, out, _ = say("promise", "432N", "--on", "Tue 15 Dec")
    assert code == 1 and out.startswith("432N for Tue 15 Dec 16:30: no. Proved")
    code, out, _ = say("promise", "418K", "--on", "Fri 13 Nov 07:00", "--json")
    assert code == 0 and json.loads(out)["word"] == "yes"
    code, _, err = say("promise", "--on", "Fri 13 Nov 07:00")
    assert code == 2 and "nothing is asked for" in err


def test_somebody_sick_is_looked_at_and_kept_only_when_asked(say, filled_folder: Path, tmp_path: Path) -> None:
    import shutil

    records = str(shutil.copytree(filled_folder, tmp_path / "shop"))
    code, out, _ = say("crew", "--keep", "--who", "R.K.", "--records", records)
    assert code == 0 and "Crew plan 1 kept" in out
    code, out, _ = say("sick", "D.V.", "--until", "Tue 1 Dec", "--since", "Thu 26 Nov", "--records", records)
    assert code == 0 and "D.V. is away (sick)" in out and "kept" not in out
    code, out, _ = say("late-part", "423P", "--comes", "Tue 1 Dec", "--part", "edge", "--records", records)
    assert code == 0 and "423P: edge comes Tue 1 Dec." in out
    code, _, err = say("crew", "--keep", "--records", records)
    assert code == 2 and "nobody is named" in err
    code, _, err = say("sick", "D.V.", "--records", records)
    assert code == 2 and "until when is not said" in err


def test_the_papers_and_the_calendar_are_written(say, tmp_path: Path) -> None:
    code, out, _ = say("wallsheet", "--out", str(tmp_path / "wall"), "--paper", "a4", "--json")
    assert code == 0
    files = [Path(one) for one in json.loads(out)["written"]]
    assert [f.name for f in files][:2] == ["wall sheet.pdf", "who does what.pdf"] and all(f.is_file() for f in files)
    assert len(Calendar.from_ical(files[-1].read_bytes()).walk("VEVENT")) == 14


def test_hours_nobody_noted_say_so(say) -> None:
    code, out, _ = say("learned", "--series", "basalt")
    assert code == 0 and "basalt, fit and weld: no hours noted yet; the rulebook says 12.0 h." in out
