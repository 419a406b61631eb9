"""The commands over orders, asked as a person would: what they say, and how they end."""

from __future__ import annotations

import json
import shutil
import sys
from pathlib import Path

import pytest

from plowwright.cli import main as cli

SPEC = 'series = "flint"\nwidth = "84 in"\nmount = "loader"\ncarrier = "skid steer"\nhoses = "flat-face"\n'


@pytest.fixture
def say(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], filled_folder: Path, tmp_path: Path):
    folder = shutil.copytree(filled_folder, tmp_path / "records")

    def run(*words: str, who: str = "R.K.") -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["plowwright", *words, "--demo"])
        monkeypatch.setenv("PLOWWRIGHT_RECORDS", str(folder))
        monkeypatch.setenv("PLOWWRIGHT_WHO", who)
        code = 0
        try:
            cli.main()
        except SystemExit as stop:
            code = int(stop.code or 0)
        said = capsys.readouterr()
        return code, said.out, said.err

    return run


def answer(say, *words: str) -> dict:
    code, out, err = say(*words, "--json")
    assert code == 0, err or out
    return json.loads(out)


def test_an_order_is_quoted_taken_paid_and_released(say, tmp_path: Path) -> None:
    spec = tmp_path / "flint.toml"
    spec.write_text(SPEC, encoding="utf-8")
    code, out, _ = say("quote", str(spec), "--for", "Q.S.", "--machine", "K6")
    assert code == 0 and out.startswith("433R is quoted to Q.S.: Flint 84 in, USD 2,571, until ")
    taken = say("accept", "433R", "--promise", "2026-11-27T07:00")[1]
    assert taken.startswith("433R is ordered, promised Fri 27 Nov, 07:00")
    code, _, err = say("release", "433R")
    assert code == 1 and "USD 1,028.40 of the deposit is missing" in err
    assert say("pay", "433R", "--sum", "1,028.40", "--note", "check 4411")[0] == 0
    assert say("release", "433R")[1] == "433R is released; 18 pieces reserved for 433R.\n"
    file = answer(say, "order", "433r")
    assert (file["state"], file["paid_cents"], file["next"]["to"]) == ("released", 102_840, "done")
    assert [h["what"] for h in file["history"]] == ["quote", "accept", "take money", "advance"]


def test_an_order_of_the_records_is_known_to_the_commands_about_blades(say, tmp_path: Path) -> None:
    spec = tmp_path / "flint.toml"
    spec.write_text(SPEC, encoding="utf-8")
    say("quote", str(spec), "--for", "Q.S.", "--machine", "K6")
    for words in (("build", "433R", "--level", "0", "--out", str(tmp_path / "out")), ("swing", "433R"),
                  ("differ", "433R", "421M")):  # fmt: skip
        code, out, err = say(*words)
        assert code in (0, 1) and ("Flint 84 in" in out or "433R" in out), (words, out, err)
        assert "no open order" not in err and "no order" not in err


def test_the_file_of_an_order_says_which_gate_is_shut(say) -> None:
    code, out, _ = say("order", "425V")
    assert code == 0 and "SHUT  hold: on hold: Sidewalk ice" in out and "Next: released." in out
    code, _, err = say("release", "425V")
    assert code == 1 and "425V cannot be released yet" in err


def test_swapped_figures_end_with_two_and_name_the_near_number(say) -> None:
    code, _, err = say("order", "472S")
    assert code == 2 and "the letter S does not belong to 472" in err and "Near it: 427S." in err
    code, out, _ = say("hold", "472S", "--why", "he is thinking", "--json")
    assert code == 2 and json.loads(out)["error"]["way_out"] == "Near it: 427S."


def test_nobody_named_is_bad_input(say) -> None:
    code, _, err = say("release", "421M", who="")
    assert code == 2 and "who" in err.casefold()


def test_the_same_key_is_done_once(say) -> None:
    first = answer(say, "quote", "--spare", "seal kit", "--for", "L.K.", "--key", "form 1")
    assert answer(say, "quote", "--spare", "seal kit", "--for", "L.K.", "--key", "form 1") == first
    assert first["cents"] == 4_100
    listed = answer(say, "enquiries")
    assert sorted(q["number"] for q in listed["quotes"]) == ["432N", first["number"]]


def test_a_change_waits_for_its_yes_and_can_be_dropped(say, tmp_path: Path) -> None:
    code, out, _ = say("change", "421M", "second colour", "--more", "85", "--promise", "2026-11-24")
    assert code == 0 and "USD 85 more; 4 days later, Tue 24 Nov; waits for a yes" in out
    note = answer(say, "order", "421M")["changes"][0]["id"]
    assert say("settle", "421M")[1].startswith(f"421M, change {note} is taken: second colour; USD ")
    assert answer(say, "order", "421M")["changes"][0]["settled"]
    second = answer(say, "change", "421M", "no markers", "--less", "41")["note"]
    assert say("settle", "421M", "--change", str(second), "--drop", "keeps them")[0] == 0
    assert len(answer(say, "order", "421M")["changes"]) == 1
    assert say("change", "421M", "both", "--more", "1", "--less", "1")[0] == 2
    assert say("settle", "421M")[0] == 1


def test_questions_holds_steps_back_and_calling_off(say) -> None:
    assert say("ask", "422D", "pin sizes", "--said", "1-1/4 in")[0] == 0
    assert answer(say, "ask", "422D", "colour of the frame")["said"] == "422D asks: colour of the frame"
    assert say("lift", "425V", "--why", "Reed 48 instead")[0] == 0
    assert say("lift", "425V", "--why", "Reed 48 instead")[0] == 1
    assert say("back", "418K", "order", "--why", "wrong steel")[1] == "418K is back at order: wrong steel.\n"
    assert say("cancel", "432N", "--why", "too late for him")[0] == 0
    code, _, err = say("accept", "432N", "--promise", "2026-12-20")
    assert code == 1 and "432N was called off" in err
    assert say("again", "432N")[0] == 1


def test_a_copy_is_shown_first_and_quoted_when_it_is_answered(say) -> None:
    shown = answer(say, "copy", "B90-22-017", "--machine", "K4")
    keys = [one["key"] for one in shown["asks"]]
    assert shown["differs"] and "machine" in keys
    code, _, err = say("copy", "B90-22-017", "--machine", "K4", "--for", "J.R.")
    assert code == 1 and "is not frozen before this is answered" in err
    told = [word for key in keys for word in ("--answer", f"{key}=yes")]
    assert answer(say, "copy", "B90-22-017", "--machine", "K4", "--for", "J.R.", *told)["number"] == "433R"
    assert say("copy", "B90-22-017", "--for", "J.R.", "--answer", "yes")[0] == 2


def test_an_enquiry_is_kept_and_listed(say) -> None:
    code, out, _ = say("enquiry", "--from", "Q.S.", "--phone", "555 0142", "--machine", "K7", "--note", "gate of 8 ft")
    assert code == 0 and "new here, is kept" in out
    assert "Q.S., 555 0142, machine K7, gate of 8 ft" in say("enquiries")[1]


def test_one_thing_is_quoted_at_a_time(say) -> None:
    code, _, err = say("quote", "--for", "Q.S.")
    assert code == 2 and "one thing is quoted at a time" in err


def test_money_put_right_no_longer_counts(say) -> None:
    line = answer(say, "order", "418K")["money"][0]["id"]
    assert answer(say, "pay", "418K", "--wrong", str(line), "--note", "check came back")["paid_cents"] == 0
    assert say("pay", "418K", "--sum", "1,37")[0] == 2
