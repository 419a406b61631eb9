from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import pytest

from plowwright.desk import orders
from plowwright.desk.orders import Wall
from plowwright.errors import EntryError, NotFoundError, UnitError

GOOD = """
today = 2026-11-11T08:00:00
[[orders]]
number = "501A"
customer = "Q.R."
due = 2026-11-20
state = "cut"
spec = { series = "flint", width = "84 in", mount = "loader", carrier = "skid steer", hoses = "none" }
"""


def write(folder: Path, text: str) -> Path:
    file = folder / "orders.toml"
    file.write_text(text, encoding="utf-8")
    return file


@pytest.fixture(scope="module")
def wall(demo_dir: Path) -> Wall:
    return orders.load(demo_dir / "orders.toml")


def test_the_demos_wall_is_read_with_its_clock(wall: Wall) -> None:
    assert wall.now == datetime(2026, 11, 11, 8, 0)
    assert len(wall.orders) == len({o.number for o in wall.orders}) == 15
    assert wall.order("418K").due == datetime(2026, 11, 13, 7, 0)
    assert wall.order("420A").due == date(2026, 11, 20)


def test_small_letters_and_blanks_around_a_number_will_do(wall: Wall) -> None:
    assert wall.order(" 421m ").number == "421M"


def test_a_refit_and_a_sale_of_spares_have_no_spec(wall: Wall) -> None:
    assert wall.order("430W").kind == "refit" and wall.order("430W").spec is None
    assert wall.order("431G").kind == "spares" and wall.order("431G").spares


def test_a_spec_carries_its_order_number_and_customer(wall: Wall) -> None:
    spec = wall.order("421M").spec
    assert spec is not None and (spec.number, spec.customer) == ("421M", "H.L.")


@pytest.mark.parametrize(("typed", "near"), [("412M", "421M"), ("421N", "421M"), ("241m", "421M")])
def test_a_wrong_number_names_the_near_one(wall: Wall, typed: str, near: str) -> None:
    with pytest.raises(NotFoundError) as fault:
        wall.order(typed)
    assert typed in str(fault.value) and near in fault.value.way_out


def test_a_number_near_to_nothing_gets_the_whole_list(wall: Wall) -> None:
    with pytest.raises(NotFoundError, match="Open orders: 418K, 419T"):
        wall.order("zzzz")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('customer = "Q.R."', "", "orders.toml, order 501A: not complete: customer"),
        ("due = 2026-11-20", 'due = "soon"', "orders.toml, order 501A, due: not a day (given: soon)"),
        ("today = 2026-11-11T08:00:00", "", "orders.toml, today: the clock is missing"),
        ("[[orders]]", "[[orders", "orders.toml: this is not TOML"),
    ],
)
def test_a_fault_in_the_file_names_file_order_and_line(tmp_path: Path, old: str, new: str, said: str) -> None:
    with pytest.raises(EntryError) as fault:
        orders.load(write(tmp_path, GOOD.replace(old, new)))
    assert said in str(fault.value)


def test_a_width_without_a_unit_names_the_order(tmp_path: Path) -> None:
    with pytest.raises(UnitError) as fault:
        orders.load(write(tmp_path, GOOD.replace("84 in", "84")))
    assert "501A" in str(fault.value) and "84" in fault.value.value


def test_a_missing_file_is_said(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError, match=r"orders\.toml"):
        orders.load(tmp_path / "orders.toml")
