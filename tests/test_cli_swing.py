"""`plowwright swing`: the swing, the test card and the stopwatch from the command line."""

from __future__ import annotations

import json
import sys

import pytest

from plowwright.cli import main as cli


@pytest.fixture
def say(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    def run(*words: str) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["plowwright", "swing", *words])
        code = 0
        try:
            cli.main()
        except SystemExit as stop:
            code = int(stop.code or 0)
        said = capsys.readouterr()
        return code, said.out, said.err

    return run


def test_an_order_swings_on_its_own_carrier_and_says_what_the_stopwatch_must_show(say) -> None:
    code, out, _ = say("420A", "--demo", "--level", "0")
    assert code == 0
    assert out.startswith("Flint 84 in, K6\nleft end forward: ")
    assert "test pack, left end forward: " in out and "K6, right end forward: " in out
    assert "Oil under pressure goes through skin" in out


def test_two_times_give_a_diagnosis_for_a_machine(say) -> None:
    words = ("--seconds-left", "1.7", "--seconds-right", "2.15", "--oil", "86 F", "--level", "0", "--json")
    code, out, _ = say("420A", "--demo", "--carrier", "K7", *words)
    answer = json.loads(out)
    assert code == 0
    assert answer["diagnosis"]["causes"][0]["name"] == "drilled out"
    assert answer["diagnosis"]["send"] == "restrictor pair" and answer["diagnosis"]["stop"]
    assert answer["test_card"]["rows"][0]["on"] == "test pack"


def test_one_time_alone_is_refused_with_the_way_out(say) -> None:
    code, _, err = say("420A", "--demo", "--seconds-left", "1.7")
    assert code == 2
    assert "the stopwatch is asked for both ways (given: left 1.7, right None)" in err


def test_a_temperature_without_its_unit_is_refused_with_an_example(say) -> None:
    code, _, err = say("420A", "--demo", "--level", "0", "--seconds-left", "2", "--seconds-right", "2", "--oil", "86")
    assert code == 2 and "65 F or -10 C" in err


def test_the_deeper_look_is_asked_for_by_name(say) -> None:
    code, out, _ = say("420A", "--demo", "--level", "0", "--strike", "--json")
    answer = json.loads(out)
    assert code == 0 and answer["strike"]["end"]["pressure_psi"] > 2000
    assert answer["strike"]["end"]["peak_n"] < answer["strike"]["middle"]["peak_n"]


def test_metric_is_spoken_where_it_is_asked_for(say) -> None:
    code, out, _ = say("420A", "--demo", "--level", "0", "--system", "metric")
    assert code == 0 and "mm/s" in out and " bar" in out and " psi" not in out
