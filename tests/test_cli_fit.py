"""The command `fit`: what a person reads and what a machine reads."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from plowwright.cli import main as cli


@pytest.fixture
def say(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    def run(*words: str) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["plowwright", *words])
        code = 0
        try:
            cli.main()
        except SystemExit as stop:
            code = int(stop.code or 0)
        said = capsys.readouterr()
        return code, said.out, said.err

    return run


def test_a_known_carrier_is_answered_with_prices_reasons_and_questions(say) -> None:
    code, out, _ = say("fit", "K7", "--demo")
    assert code == 0
    assert "lies between rules, standard and heavy" in out and "Price: USD" in out and "Ask next:" in out
    assert "1. " in out and "not the work of a licensed engineer" in out


def test_what_angling_adds_stands_before_the_cautions(say) -> None:
    code, out, _ = say("fit", "K8", "--demo")
    lines = out.splitlines()
    notes = next(i for i, line in enumerate(lines) if line.startswith("How Basalt"))
    assert code == 0 and lines[notes + 1].startswith("- pressure on the rod side")
    assert lines[-3].startswith("Strength") and notes < len(lines) - 4


def test_a_machine_reads_every_blade(say) -> None:
    code, out, _ = say("fit", "K1", "--demo", "--json")
    answer = json.loads(out)
    assert code == 0 and len(answer["blades"]) == 26
    refused = next(b for b in answer["blades"] if b["name"] == "Basalt 84 in")
    assert refused["verdict"] == "does not suit" and refused["bites"]["used"] > 1


def test_a_carrier_file_will_do_and_the_work_is_taken_in(say, tmp_path: Path) -> None:
    file = tmp_path / "caller.toml"
    file.write_text(
        'name = "A caller"\nkind = "tractor"\n[[facts]]\nname = "power"\nvalue = "18 kW"\nsource = "told"\n'
        "date = 2026-11-11\n",
        encoding="utf-8",
    )
    code, out, _ = say("fit", str(file), "--demo", "--driver", "owner", "--ground", "sidewalk", "--metric")
    assert code == 0 and "A caller: tractor" in out and "would suit if" in out and " kg" in out
    assert "suits      " not in out.replace("would suit if", "")


def test_a_gate_without_a_unit_is_refused_with_an_example(say) -> None:
    code, _, err = say("fit", "K7", "--demo", "--gate", "72")
    assert code == 2 and "--gate" in err and "72" in err and "in" in err


def test_an_unknown_ground_is_refused_with_the_known_ones(say) -> None:
    code, _, err = say("fit", "K7", "--demo", "--ground", "tarmac")
    assert code == 2 and "pavement, gravel, sidewalk, mixed" in err


def test_an_unknown_carrier_is_refused_with_a_near_one(say) -> None:
    code, _, err = say("fit", "K77", "--demo")
    assert code == 2 and "K7" in err
