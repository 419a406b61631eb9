from __future__ import annotations

import json
import shutil
import sys
from pathlib import Path

import pytest

from plowwright import sweep
from plowwright.blade.spec import Spec
from plowwright.cli import main as cli


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


def test_what_is_said_of_a_blade_is_metric_where_metric_is_asked_for(say) -> None:
    code, out, _ = say("build", "421M", "--demo", "--system", "metric")
    assert code == 0 and " kg by the model" in out and " mm ahead of the mount plate" in out and " lb by" not in out


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


def test_the_range_is_worked_out_and_a_part_of_it_can_be_asked_for(say) -> None:
    code, out, _ = say("sweep", "--demo", "--limit", "26", "--json")
    answer = json.loads(out)
    assert code == 0 and answer["done"] == answer["asked"] == 26
    assert {"series", "width", "mass_lb", "price", "parts"} <= set(answer["blades"][0])


def test_a_short_sweep_says_from_what_to_what_each_series_goes(say) -> None:
    code, out, _ = say("sweep", "--demo", "--limit", "26")
    assert code == 0 and "26 of 26 blades" in out
    assert "reed: 5 blades" in out and "basalt: 12 blades" in out


def test_the_demos_orders_can_be_worked_out_by_other_rules(say, demo_dir) -> None:
    own = json.loads(say("build", "420A", "--demo", "--json")[1])
    past = demo_dir / "rulebook" / "past" / "2022-03-01"
    code, out, _ = say("build", "420A", "--demo", "--rulebook", str(past), "--json")
    assert code == 0 and json.loads(out)["rulebook"]["date"] == "2022-03-01"
    assert json.loads(out)["fingerprint"] != own["fingerprint"]


def test_a_missing_option_is_said_for_a_machine_too(say) -> None:
    code, out, _ = say("holes", "--length", "84 in", "--json")
    assert code == 2 and "--end" in json.loads(out)["error"]["what"]


@pytest.fixture
def broken(demo_dir: Path, tmp_path: Path) -> Path:
    """The demo's rules with a hole between two rows of the basalt series: 80 and 84 in fall between them."""
    folder = tmp_path / "rulebook"
    shutil.copytree(demo_dir / "rulebook", folder)
    series = folder / "series.toml"
    text = series.read_text(encoding="utf-8")
    head, rows = text.split("[[basalt.rows]]", 1)
    series.write_text(head + "[[basalt.rows]]" + rows.replace('"78 in"', '"72 in"', 1), encoding="utf-8")
    return folder


def test_rules_that_fail_end_with_1_and_say_what_fails(say, broken: Path) -> None:
    code, out, _ = say("audit", "--rulebook", str(broken))
    assert code == 1 and "fails" in out and "78 in" in out


def test_rules_that_fail_end_with_1_for_a_machine_too(say, broken: Path) -> None:
    code, out, _ = say("audit", "--rulebook", str(broken), "--json")
    assert code == 1 and [f for f in json.loads(out)["findings"] if f["verdict"] == "fails"]


def test_a_sweep_with_refused_blades_ends_with_1_and_gives_the_reason(say, monkeypatch) -> None:
    def refuse(*_: object, **__: object) -> sweep.Sweep:
        row = sweep.Swept(spec=Spec(series="reed", width=1.2, mount="loader", carrier_kind="skid steer", hoses="x"),
                          refused="the ears do not clear the springs")  # fmt: skip
        return sweep.Sweep(rows=(row,), asked=1, stopped=False, fingerprint="f")

    monkeypatch.setattr(sweep, "run", refuse)
    code, out, _ = say("sweep", "--demo", "--limit", "1")
    assert code == 1 and "refused: the ears do not clear the springs (1 blade)" in out


def test_any_pieces_are_cut_from_any_sticks(say, tmp_path) -> None:
    pieces, sticks, out = tmp_path / "p.csv", tmp_path / "s.csv", tmp_path / "plan.csv"
    pieces.write_text("stock,length [in],quantity,mark\ntube,84,4,leg\ntube,30,6,cross\n", encoding="utf-8")
    sticks.write_text("stock,length,price\ntube,20 ft,USD 132\ntube,24 ft,USD 152\n", encoding="utf-8")
    code, said, _ = say("cut", str(pieces), str(sticks), "--seconds", "1", "--out", str(out), "--json")
    answer = json.loads(said)
    assert code == 0 and answer["status"] == "proved best" and answer["cost"] == pytest.approx(284)
    assert out.read_text(encoding="utf-8-sig").count("leg 1/4") == 1


def test_pieces_without_sticks_and_a_bare_length_are_refused_with_the_way_out(say, tmp_path) -> None:
    pieces, sticks = tmp_path / "p.csv", tmp_path / "s.csv"
    pieces.write_text("stock,length\ntube,84\n", encoding="utf-8")
    sticks.write_text("stock,length,price\ntube,20 ft,USD 132\n", encoding="utf-8")
    code, _, err = say("cut", str(pieces))
    assert code == 2 and "pieces and sticks come together" in err
    code, _, err = say("cut", str(pieces), str(sticks))
    assert code == 2 and "p.csv line 2, length" in err and "84" in err


def test_the_steel_of_chosen_orders_is_planned_with_edges_and_what_to_buy(say) -> None:
    code, said, _ = say("cut", "--demo", "--order", "421M", "--seconds", "1", "--json")
    answer = json.loads(said)
    assert code == 0 and answer["orders"] == ["421M"]
    assert [e["tag"] for e in answer["edges"]] == ["421M edge"] and answer["buy"]


def test_a_drawing_is_audited_and_nested_on_the_sheets_given(say, tmp_path) -> None:
    import ezdxf

    document = ezdxf.new("R2010")  # type: ignore[attr-defined]
    document.header["$INSUNITS"] = 0
    space = document.modelspace()
    space.add_lwpolyline([(0, 0), (9, 0), (9, 6), (0, 6)], close=True)
    space.add_circle((4, 3), 1)
    space.add_line((0, 0), (9, 0))
    document.saveas(tmp_path / "bracket.dxf")
    sheets = tmp_path / "s.csv"
    sheets.write_text("stock,length,width,price\nplate 1/4,120 in,60 in,USD 310\n", encoding="utf-8")
    words = ("nest", str(tmp_path / "bracket.dxf"), str(sheets), "--stock", "plate 1/4", "--count", "6",
             "--seconds", "1")  # fmt: skip
    code, _, err = say(*words)
    assert code == 2 and "says no unit" in err and "--unit" in err
    code, said, _ = say(*words, "--unit", "in", "--out", str(tmp_path / "nests"), "--json")
    answer = json.loads(said)
    assert code == 0 and answer["sheets_used"] == 1 and len(answer["sheets"][0]["pieces"]) == 6
    assert {p["kind"] for p in answer["drawings"][0]["problems"]} == {"duplicate"}
    assert (tmp_path / "nests" / "nest.csv").is_file() and len(list((tmp_path / "nests").glob("*.dxf"))) == 1
