from __future__ import annotations

import json
import sys

import pytest

from plowwright import cli


def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    monkeypatch.setattr(sys, "argv", ["plowwright", *words])
    code = 0
    try:
        cli.main()
    except SystemExit as stop:
        code = int(stop.code or 0)
    said = capsys.readouterr()
    return code, said.out, said.err


@pytest.fixture
def say(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    return lambda *words: run(monkeypatch, capsys, *words)


def test_an_order_is_worked_out_for_a_machine(say) -> None:
    code, out, _ = say("build", "421M", "--demo", "--json")
    answer = json.loads(out)
    assert code == 0
    assert answer["name"] == "Basalt 84 in" and answer["mass_lb"] > 800
    assert {"mark", "name", "material", "stock", "length_in", "quantity"} <= set(answer["parts"][0])
    assert "owner" not in answer["price"]


def test_swapped_figures_are_refused_with_the_near_number(say) -> None:
    code, _, err = say("build", "412M", "--demo")
    assert code == 2 and "no open order has this number" in err and "421M" in err


def test_an_order_that_builds_nothing_says_so(say) -> None:
    code, out, _ = say("build", "431G", "--demo", "--json")
    assert code == 2 and "spares" in json.loads(out)["error"]["what"]


def test_papers_are_written_where_asked(say, tmp_path) -> None:
    code, out, _ = say("build", "420A", "--demo", "--out", str(tmp_path))
    assert code == 0 and "papers are in" in out
    assert (tmp_path / "build sheet.pdf").read_bytes().startswith(b"%PDF")


def test_twins_are_told_apart(say) -> None:
    code, out, _ = say("differ", "420A", "421M", "--demo")
    assert code == 0 and "can be told apart by eye" in out and "body height" in out
    assert say("differ", "420A", "--demo")[0] == 2


def test_holes_are_laid_out_and_a_lopsided_cut_is_refused(say) -> None:
    code, out, _ = say("holes", "--length", "90 in", "--end", "3 in", "--pitch", "12 in", "--json")
    assert code == 0 and json.loads(out)["positions_in"] == [3, 15, 27, 39, 51, 63, 75, 87]
    words = ("holes", "--length", "84 in", "--end", "3 in", "--pitch", "12 in", "--from-blank", "90 in")
    code, _, err = say(*words, "--off-left", "6 in")
    assert code == 1 and "not flippable" in err
    code, _, err = say("holes", "--length", "84", "--end", "3 in", "--pitch", "12 in")
    assert code == 2 and "90 in" in err


def test_the_demos_rules_make_sense(say) -> None:
    code, out, _ = say("audit", "--demo")
    assert code == 0 and "things hold" in out


def test_a_missing_rulebook_and_a_missing_option_are_said_plainly(say, tmp_path, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    code, _, err = say("audit")
    assert code == 2 and "--rulebook" in err and "--demo" in err
    assert say("holes", "--length", "84 in")[0] == 2
