"""The commands of the dock, over records of the invented shop: what a person reads, what a machine reads, the exits."""

from __future__ import annotations

import json
import shutil
import sys
import zipfile
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from plowwright.cli import main as cli
from plowwright.desk.opening import open_records
from plowwright.desk.order_more import CHAIN, Done, more_of
from plowwright.store import records as r

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def records(filled_folder: Path, tmp_path: Path) -> Path:
    """Records in which 418K and 427S are done, painted long ago and paid."""
    folder = shutil.copytree(filled_folder, tmp_path / "shop")
    with open_records(folder, make=False) as book, book.command("finished", who="D.V.", key="finished") as c:
        for number in ("418K", "427S"):
            file = c.order_file(number)
            more = more_of(file.order.more)
            more = replace(more, work={n: Done(ended=datetime(2026, 11, 1, 9)) for n in CHAIN}, under_way=())
            c.change(r.Order, number, state="done", more=more.as_dict())
            c.add(r.Money, order=number, kind="balance", cents=file.order.cents - file.paid_cents, day=c.at.date())
    return folder


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], records: Path) -> Run:
    def ran(*words: str) -> tuple[int, str, str]:
        asked = ["plowwright", *words, "--demo", "--records", str(records), "--who", "M.S."]
        monkeypatch.setattr(sys, "argv", asked)
        code = 0
        try:
            cli.main()
        except SystemExit as stop:
            code = int(stop.code or 0)
        said = capsys.readouterr()
        return code, said.out, said.err

    return ran


def test_weigh_without_records_writes_nothing_and_says_what_it_would(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "argv", ["plowwright", "weigh", "418K", "--scale", "994 lb", "--demo"])
    with pytest.raises(SystemExit) as stop:
        cli.main()
    said = capsys.readouterr().out
    assert stop.value.code == 1
    assert "Stopped: it is not loaded until somebody has measured it, or knows why." in said


def test_what_was_looked_for_counts_without_records_too(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["plowwright", "weigh", "418K", "--scale", "994 lb", "--demo", "--json"]
    ranked: list[list[str]] = []
    for looked in ([], ["--looked", "hoses", "--looked", "spring"]):
        monkeypatch.setattr(sys, "argv", [*words, *looked])
        with pytest.raises(SystemExit):
            cli.main()
        ranked.append([cause["kind"] for cause in json.loads(capsys.readouterr().out)["causes"]])
    assert ranked[0][0] == "hoses" and "hoses" not in ranked[1] and ranked[1][0] == "wall"


def test_weigh_writes_into_the_records_that_lie_here_though_nobody_names_them(
    monkeypatch: pytest.MonkeyPatch, records: Path, tmp_path: Path, demo_dir: Path
) -> None:
    here = tmp_path / "here"
    here.mkdir()
    shutil.copytree(records, here / "records")
    monkeypatch.chdir(here)
    words = ["plowwright", "weigh", "418K", "--scale", "994 lb", "--rulebook", str(demo_dir / "rulebook")]
    monkeypatch.setattr(sys, "argv", [*words, "--who", "M.S."])
    with pytest.raises(SystemExit):
        cli.main()
    with open_records(here / "records", make=False) as book, book.reading() as reads:
        assert len(reads.find(r.Ticket, order="418K")) == 1


def test_weigh_writes_the_ticket_and_ends_with_1_where_it_is_stopped(run: Run, records: Path) -> None:
    code, out, _ = run("weigh", "418K", "--scale", "994 lb", "--json")
    answer = json.loads(out)
    assert code == 1
    assert answer["stopped"] and answer["ticket"]["verdict"] == "stopped"
    with open_records(records, make=False) as book, book.reading() as reads:
        assert reads.count(r.Ticket, order="418K") == 1
    code, out, _ = run("weigh", "418K", "--scale", "994 lb", "--looked", "hoses", "--looked", "spring")
    assert code == 1
    assert "hose set" not in out.partition("Likeliest")[2]


def test_the_same_key_is_the_same_command(run: Run, records: Path) -> None:
    first, second = (run("weigh", "418K", "--scale", "1005 lb", "--key", "K1", "--json") for _ in range(2))
    assert first == second
    assert first[0] == 0
    with open_records(records, make=False) as book, book.reading() as reads:
        assert reads.count(r.Ticket, order="418K") == 1


def test_a_stop_is_cleared_and_the_serial_number_is_said(run: Run) -> None:
    run("weigh", "418K", "--scale", "994 lb")
    code, _, err = run("clear", "418K", "--explained", "the paint is thin this time")
    assert code == 2
    assert "words will not do" in err
    code, out, _ = run("clear", "418K", "--measured", "legs 0.25 in, beam 0.25 in")
    assert code == 0
    assert "stamp 418K B84-26-001" in out
    code, _, err = run("clear", "418K", "--measured", "legs 0.25 in")
    assert code == 1
    assert "is not stopped at the scale" in err


def test_from_stamp_to_a_claim(run: Run, tmp_path: Path) -> None:
    assert "B84-26-001" in run("stamp", "418K")[1]
    assert run("stamp", "418K")[0] == 1
    assert run("weigh", "418K", "--scale", "1005 lb")[0] == 0
    code, out, _ = run("match", "418K", "--stamp", "418K", "--label", "419T")
    assert code == 1
    assert "label 419T. Take the blade the order names" in out
    assert run("load", "418K", "--show")[0] == 1
    assert run("match", "418K", "--stamp", "418K B84-26-001", "--label", "418k")[0] == 0
    sizes = ("--length", "89 in", "--depth", "56 in", "--height", "39 in", "--mass", "1045 lb")
    code, out, _ = run("pack", "418K", *sizes, "--json")
    assert json.loads(out)["freight_class"] == 100
    assert run("lading", "418K", "--to", "T.B., Lower Yard", "--terms", "prepaid")[0] == 0
    shown = json.loads(run("load", "418K", "--show", "--json")[1])
    assert shown["may_go"] and shown["packed"]["stated"]
    code, _, err = run("load", "418K")
    assert code == 1
    assert "not ticked are" in err
    code, out, _ = run("load", "418K", "--counted", "--out", str(tmp_path / "papers"))
    assert code == 0
    assert "418K is loaded." in out
    assert sorted(p.name for p in (tmp_path / "papers").iterdir()) == [
        "418K bill of lading.pdf", "418K load slip.pdf", "418K packing list.pdf", "418K weigh ticket.pdf"
    ]  # fmt: skip
    zipped = tmp_path / "claim.zip"
    code, out, _ = run("claim", "418K", "--kind", "reweigh", "--reweigh", "1300 lb", "--out", str(zipped), "--json")
    answer = json.loads(out)
    assert code == 0
    assert "scale ticket" in answer["there"] and "carrier's reweigh notice" in answer["missing"]
    assert answer["reweigh"]["verdict"] == "fails"
    with zipfile.ZipFile(zipped) as pack:
        assert pack.namelist()[0] == "418K claim.pdf"


def test_a_claim_on_what_has_not_left_and_a_missing_photo_are_refused(run: Run) -> None:
    code, _, err = run("claim", "418K")
    assert code == 2
    assert "has not left the yard" in err
    code, _, err = run("claim", "418K", "--photo", "nowhere.jpg")
    assert code == 2
    assert "no such file" in err


def test_a_number_without_a_unit_is_refused_with_an_example(run: Run) -> None:
    code, _, err = run("weigh", "418K", "--scale", "994")
    assert code == 2
    assert "--scale" in err and "lb" in err


def test_nobody_named_writes_nothing(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], records: Path
) -> None:
    monkeypatch.delenv("PLOWWRIGHT_WHO", raising=False)
    monkeypatch.setattr(sys, "argv", ["plowwright", "stamp", "418K", "--demo", "--records", str(records)])
    with pytest.raises(SystemExit) as stop:
        cli.main()
    assert stop.value.code == 2
    assert "nobody is named for what is done" in capsys.readouterr().err
