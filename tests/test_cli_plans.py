"""Plans released at the prompt, ticked, mended and laid back, over records of their own."""

from __future__ import annotations

import json
import shutil
from functools import partial
from pathlib import Path

import pytest

from plowwright.desk.opening import open_records
from plowwright.store import records as r

WHO = ("--who", "D.V.")


@pytest.fixture
def run(filled_folder: Path, tmp_path: Path, at_prompt):  # type: ignore[no-untyped-def]
    records = shutil.copytree(filled_folder, tmp_path / "shop")
    with (
        open_records(records, make=False) as book,
        book.command("release for a test", who="R.K.", key="a test") as c,
    ):
        for number in ("421M", "424H"):
            c.change(r.Order, number, state="released", hold="")

    return partial(at_prompt, records)


def released(run, *more: str) -> dict:  # type: ignore[no-untyped-def,type-arg]
    code, said, fault = run("cut", "--order", "421M", "--seconds", "1", "--release", "--json", *WHO, *more)
    assert code == 0, fault
    return json.loads(said)


def test_a_plan_is_released_once_and_its_orders_go_into_no_other(run) -> None:  # type: ignore[no-untyped-def]
    first = released(run, "--key", "morning")
    number = first["released"]["plan"]
    assert first["released"]["said"].startswith(f"cut plan {number} is released for 421M: ")
    # The same command again is the same plan; nothing is planned or fetched anew.
    code, said, _ = run("cut", "--order", "421M", "--seconds", "1", "--release", *WHO, "--key", "morning")
    assert code == 0 and said.endswith(f"How it stands: plowwright saw {number}.\n")
    code, _, fault = run("cut", "--order", "422D", "--seconds", "1", "--release", *WHO, "--key", "morning")
    assert code == 2 and "key" in fault
    code, _, fault = run("cut", "--order", "421M", "--seconds", "1", "--release", *WHO)
    assert code == 2 and f"421M (in cut plan {number})" in fault
    code, _, fault = run("cut", "--order", "422D", "--seconds", "1", "--release", *WHO)
    assert code == 2 and "422D is at order" in fault
    # Nobody named: all that are released to the floor, which is 424H.
    code, said, _ = run("cut", "--seconds", "1", "--release", *WHO)
    assert code == 0 and " is released for 424H: " in said
    code, _, fault = run("cut", "--seconds", "1", "--release", *WHO)
    assert code == 2 and "not every order may be cut" in fault
    code, said, _ = run("saw")
    assert code == 0 and f"cut plan {number} for 421M: 0 of " in said


def test_sticks_are_cut_and_a_miscut_is_planned_again(run) -> None:  # type: ignore[no-untyped-def]
    number = str(released(run)["released"]["plan"])
    _, said, _ = run("saw", number, "--json")
    held = json.loads(said)
    here = [s for s in held["sticks"] if s["state"] == "to cut"]
    first, second = here[0], next(s for s in here[1:] if len(s["tags"]) > 1)
    code, said, _ = run("saw", number, "--stick", str(first["number"]), *WHO)
    assert code == 0 and f"{len(first['tags'])} of {held['pieces']} pieces cut" in said
    code, said, _ = run("saw", number, "--cut", second["tags"][0], *WHO)
    assert code == 0
    code, said, _ = run("saw", number, "--not-cut", second["tags"][0], *WHO)
    assert code == 0 and f"{len(first['tags'])} of {held['pieces']} pieces cut" in said
    code, said, fault = run("saw", number, "--miscut", second["tags"][0], *WHO)
    assert code == 0, fault
    assert said.startswith(f"cut plan {number}: ") and "to write again" in said
    _, said, _ = run("saw", number)
    assert f"stick {first['number']}, " in said and ", done: " in said and "(cut)" in said


def test_what_makes_no_sense_is_refused_with_the_way_out(run) -> None:  # type: ignore[no-untyped-def]
    assert "No cut plan is open." in run("saw")[1] and "No nest is open." in run("table")[1]
    for words, told in (
        (("saw", "--cut", "421M-1", *WHO), "the plan is not said"),
        (("saw", "1", "--lay-back", "--cut", "421M-1", *WHO), "more than one thing"),
        (("saw", "1", "--miscut", "421M-1", "--stick", "1", *WHO), "with --cut, --miscut and --bent alone"),
        (("cut", "a.csv", "b.csv", "--release", *WHO), "only a plan of orders is released"),
        (("nest", "a.dxf", "b.csv", "--release", *WHO), "only a plan of orders is released"),
        (("cut", "--order", "421M", "--release"), "nobody is named"),
        (("saw", "99"), "no"),
    ):
        code, _, fault = run(*words)
        assert code == 2 and told in fault, (words, fault)


def test_an_order_called_off_at_the_saw_is_laid_back(run) -> None:  # type: ignore[no-untyped-def]
    number = str(released(run)["released"]["plan"])
    code, _, fault = run("saw", number, "--lay-back", *WHO)
    assert code in (1, 2) and "laid back" in fault
    code, _, fault = run("cancel", "421M", "--why", "the customer sold his loader", "--who", "R.K.")
    assert code == 0, fault
    assert "to be laid back" in run("saw", number)[1]
    code, said, fault = run("saw", number, "--lay-back", *WHO)
    assert code == 0, fault
    assert "back" in said and "laid back: " in run("saw", number)[1]


def test_a_nest_is_released_and_its_sheets_are_cut(run) -> None:  # type: ignore[no-untyped-def]
    code, said, fault = run("nest", "--order", "421M", "--seconds", "1", "--release", "--json", *WHO)
    assert code == 0, fault
    number = str(json.loads(said)["released"]["plan"])
    assert f"nest {number} for 421M" in run("table")[1]
    held = json.loads(run("table", number, "--json")[1])
    here = next(s for s in held["sheets"] if s["state"] == "to cut")
    code, said, fault = run("table", number, "--sheet", str(here["number"]), *WHO)
    assert code == 0, fault
    after = json.loads(run("table", number, "--json")[1])
    assert not held["cut"] and after["cut"] == sorted(set(here["tags"])) and after["left"] == held["left"] - 1
    assert said.startswith(f"nest {number}: {len(after['cut'])} of ")
    assert next(s for s in after["sheets"] if s["number"] == here["number"])["state"] == "done"
