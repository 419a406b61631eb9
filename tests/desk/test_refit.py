"""A refit at the desk: blades by serial number, their rules, the order behind it, price and papers, the command."""

from __future__ import annotations

import json
import sys
from datetime import date
from pathlib import Path

import pytest

from plowwright.cli import main as cli
from plowwright.desk import serials
from plowwright.desk.desk import Desk
from plowwright.desk.refit import RefitDesk, Refitted
from plowwright.errors import EntryError, NotFoundError

SPEC = """
series = "basalt"
width = "90 in"
mount = "loader"
carrier = "skid steer"
hoses = "flat-face"
"""


@pytest.fixture(scope="module")
def desk() -> RefitDesk:
    return RefitDesk(Desk.demo())


@pytest.fixture(scope="module")
def found(desk: RefitDesk) -> Refitted:
    return desk.work_out("430W", level=0)


def serial_file(folder: Path, **changes: str) -> Path:
    lines = {"serial": 'serial = "B90-22-017"', "rules": "rules = 2022-03-01", "built": "built = 2022-10-14"} | changes
    file = folder / "B90-22-017.toml"
    file.write_text("\n".join(v for v in lines.values() if v) + f"\n[spec]{SPEC}")
    return file


def test_the_order_for_the_refit_knows_blade_and_machine(found: Refitted) -> None:
    assert found.order is not None and found.order.number == "430W"
    assert found.refit.existing.serial == "B90-22-017" and found.refit.carrier.name == "K4"
    assert found.refit.existing.rulebook.version.date == date(2022, 3, 1)


def test_a_serial_number_in_small_letters_will_do(desk: RefitDesk) -> None:
    assert desk.existing("b90-22-017").serial == "B90-22-017"


def test_an_unknown_serial_is_refused_with_near_ones(desk: RefitDesk) -> None:
    with pytest.raises(NotFoundError, match="no blade with this serial number is on file") as fault:
        desk.existing("B90-22-071")
    assert fault.value.value == "B90-22-071" and "Near it: B90-22-017" in fault.value.way_out


def test_a_letter_o_for_a_nought_finds_the_near_one(desk: RefitDesk) -> None:
    with pytest.raises(NotFoundError) as fault:
        desk.existing("B90-22-O17")
    assert "B90-22-017" in fault.value.way_out


def test_a_shop_without_serial_files_says_how_to_begin(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError) as fault:
        RefitDesk(Desk.demo(), tmp_path).existing("B90-22-017")
    assert "folder serials" in fault.value.way_out


def test_an_order_that_refits_nothing_is_refused(desk: RefitDesk) -> None:
    with pytest.raises(NotFoundError, match="order 421M is for blade and refits nothing"):
        desk.work_out("421M", "K4")


def test_a_blade_without_a_machine_to_go_to_is_asked_about(desk: RefitDesk) -> None:
    with pytest.raises(EntryError, match="which machine it goes to is not said") as fault:
        desk.work_out("B90-22-017")
    assert "--to K4" in fault.value.way_out


def test_a_spec_file_does_not_say_its_rules(desk: RefitDesk, tmp_path: Path) -> None:
    file = tmp_path / "his blade.toml"
    file.write_text(SPEC)
    with pytest.raises(EntryError, match="by which rules this blade was built is not said") as fault:
        desk.work_out(str(file), "K4", level=0)
    assert "--rules-of 2022-03-01" in fault.value.way_out
    found = desk.work_out(str(file), "K4", rules_of=date(2023, 5, 1), level=0)
    assert found.refit.existing.rulebook.version.date == date(2022, 3, 1)
    assert found.refit.existing.carrier is None and "the old machine" in found.refit.lever_note


def test_rules_of_a_day_nobody_kept_are_refused_with_the_oldest(desk: RefitDesk) -> None:
    with pytest.raises(NotFoundError, match="no rules were in force on that day") as fault:
        desk.existing("B90-22-017", date(2020, 1, 1))
    assert "2022-03-01" in fault.value.limit


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"rules": 'rules = "2022"'}, "not a day"),
        ({"rules": ""}, "rules is missing"),
        ({"more": 'colour = "red"'}, "no field is called colour"),
    ],
)
def test_a_serial_file_that_cannot_be_taken_names_its_line(tmp_path: Path, change: dict[str, str], said: str) -> None:
    file = serial_file(tmp_path, **change)
    with pytest.raises(EntryError, match=said) as fault:
        serials.find(str(file), tmp_path)
    assert fault.value.where.startswith("B90-22-017.toml line ")


def test_the_price_is_made_of_new_parts_hours_paint_and_wire(found: Refitted) -> None:
    price = found.price
    kinds = [line.kind for line in price.lines]
    assert kinds == ["make"] * 5 + ["buy", "work", "paint and wire"]
    assert price.total == pytest.approx(sum(line.amount for line in price.lines))
    assert price.hours == pytest.approx(10.75 * 3600)
    assert price.deposit == pytest.approx(0.4 * price.total, abs=0.01)


def test_what_has_a_list_price_is_sold_at_it_and_the_rest_at_cost_and_margin(found: Refitted) -> None:
    hoses = next(line for line in found.price.lines if line.kind == "buy")
    assert (hoses.amount, hoses.formula) == (149.0, "price list")
    plate = next(line for line in found.price.lines if line.label.startswith("mount plate"))
    # 34 x 16 in of plate 1/2 at 20.42 lb/ft2 and 0.88 a pound, over 1 - 0.35.
    assert plate.amount == pytest.approx(34 * 16 / 144 * 20.42 * 0.88 / 0.65, rel=0.01)


def test_the_price_holds_against_the_floor_and_the_customer_does_not_see_it(found: Refitted) -> None:
    assert found.price.finding.verdict == "holds"
    assert found.price.cost / found.price.total == pytest.approx(1 - found.price.margin_share)
    assert "owner" not in found.as_dict()["price"]
    assert found.as_dict(owner=True)["price"]["owner"]["cost"] < found.price.total


def test_stock_that_is_no_longer_on_the_list_makes_the_price_doubtful(found: Refitted) -> None:
    assert any("round tube 5 x 5/16" in said and "price of 2022-03-01" in said for said in found.price.doubts)
    assert found.price.doubts[0].startswith("Nothing worn or cracked is in this price")


def test_a_refit_that_changes_nothing_costs_only_the_look_and_the_test(desk: RefitDesk) -> None:
    found = desk.work_out("B90-22-017", "K6", level=0)
    assert [line.kind for line in found.price.lines] == ["work"]
    assert found.price.hours == pytest.approx(2.5 * 3600)


def test_only_the_new_plates_are_drawn(desk: RefitDesk, found: Refitted, tmp_path: Path) -> None:
    written = desk.papers(found, tmp_path)
    names = {str(w.path.relative_to(tmp_path)) for w in written}
    marks = {"mount plate", "lug", "oscillation stop", "rub pad"}
    plates = {f"plates/{mark}.{kind}" for mark in marks for kind in ("dxf", "svg")}
    assert names == {"refit sheet.pdf", "refit quote.pdf"} | plates


def test_every_row_says_its_price_to_a_machine(found: Refitted) -> None:
    answer = found.as_dict()
    json.dumps(answer)
    made = [row for row in answer["change"] if row["act"] == "make"]
    assert all(row["price"] > 0 for row in (*made, *answer["buy"]))
    assert all(row["price"] is None for row in answer["keep"])
    assert {"keep", "change", "buy", "check", "lever_note", "findings", "price"} <= set(answer)


def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    monkeypatch.setattr(sys, "argv", ["plowwright", *words])
    code = 0
    try:
        cli.main()
    except SystemExit as stop:
        code = int(stop.code or 0)
    said = capsys.readouterr()
    return code, said.out, said.err


def test_the_command_answers_a_machine(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(monkeypatch, capsys, "refit", "B90-22-017", "--to", "K4", "--demo", "--json")
    answer = json.loads(out)
    assert code == 0
    assert (answer["from"], answer["to"], answer["rules_of"]) == ("K7", "K4", "2022-03-01")
    assert answer["new"]["spec"]["mount"] == "pin-on"


def test_the_command_answers_a_person_and_refuses_a_day_that_is_none(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, _ = run(monkeypatch, capsys, "refit", "430W", "--demo", "--system", "metric")
    assert code == 0 and "Order 430W: B90-22-017, Basalt 90 in, from K7 to K4" in out and " kg" in out
    code, _, said = run(monkeypatch, capsys, "refit", "430W", "--demo", "--rules-of", "spring 2022")
    assert code == 2 and "not a day" in said and "spring 2022" in said
