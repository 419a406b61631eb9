"""The commands of the stockroom, over records of their own."""

from __future__ import annotations

import json
import shutil
from functools import partial
from pathlib import Path

import pytest

BLANK = "flat 6 x 1/2 blank, 90 in"


@pytest.fixture
def run(filled_folder: Path, tmp_path: Path, at_prompt):  # type: ignore[no-untyped-def]
    records = shutil.copytree(filled_folder, tmp_path / "shop")

    return partial(at_prompt, records)


def test_short_sell_and_buy_answer_from_the_records(run) -> None:  # type: ignore[no-untyped-def]
    code, said, _ = run("short")
    assert code == 0 and "421M goes short of cylinder" in said and "1 on hand for 418K" in said
    _, said, _ = run("sell", "84 edge with bolts", "--count", "2", "--json")
    assert json.loads(said)["sales"][0]["newly_short"][0]["order"] == "422D"
    code, said, _ = run("buy", "--json")
    assert any(row["item"] == "crossover relief block" for row in json.loads(said)["buy"])


def test_a_sale_is_refused_with_one_and_done_when_agreed(run) -> None:  # type: ignore[no-untyped-def]
    code, _, fault = run("sell", "84 edge with bolts", "--count", "2", "--really", "--who", "R.K.")
    assert code == 1 and "422D may go short" in fault
    code, said, _ = run("sell", "84 edge with bolts", "--count", "2", "--really", "--agreed", "422D", "--who", "R.K.")
    assert code == 0 and "sold for USD 312" in said
    code, _, fault = run("sell", "seal kit", "--really")
    assert code == 2 and "nobody is named" in fault


def test_a_week_in_the_stockroom(run, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    steps = (
        (("arrive", "skid shoe", "--count", "8", "--due", "2026-12-20", "--who", "R.K."), "arrival 6"),
        (("arrive", "--arrival", "6", "--due", "2026-12-23", "--who", "R.K."), "instead of Sun 20 Dec"),
        (("receive", "skid shoe", "--count", "8", "--arrival", "6", "--who", "M.S."), "taken in: as ordered"),
        (("reserve", "418K", "--who", "R.K."), "22 pieces reserved for 418K"),
        (("take", "418K", "--who", "D.V."), "22 pieces taken for 418K"),
        (("take", "418K", "skid shoe", "--back", "--who", "D.V."), "laid back from 418K"),
        (("scrap", BLANK, "--reason", "cracked", "--who", "D.V."), "scrapped: cracked"),
        (("count", f"{BLANK}=3", "--who", "M.S."), "book 4, counted 3, 1 fewer"),
        (("tag", "tube 3 x 3 x 1/4", "--length", "40 in", "--who", "D.V."), "with tag R-119"),
        (("stock", BLANK), f"{BLANK}: 3 on hand"),
        (("stock", "shoe"), "skid shoe: "),
    )
    for words, expected in steps:
        code, said, fault = run(*words)
        assert code == 0 and expected in said, (words, said, fault)
    for name in ("sheet.pdf", "sheet.csv", "sheet.xlsx"):
        run("count", "--words", "blank", "--out", str(tmp_path / name))
        assert (tmp_path / name).stat().st_size > 100


def test_what_is_refused_says_why_and_by_its_exit_code(run) -> None:  # type: ignore[no-untyped-def]
    code, said, _ = run("receive", "stick of tube 3 x 3 x 1/4, 240 in", "--wall", "0.188 in", "--who", "M.S.")
    assert code == 1 and "it measures as tube 3 x 3 x 3/16" in said
    for words, expected in (
        (("undo-line", "9999", "--reason", "x", "--who", "R.K."), "no such line"),
        (("count", "skid shoe", "--who", "R.K."), "not a count"),
        (("arrive", "skid shoe", "--due", "soon", "--who", "R.K."), "not a day"),
        (("buy", "--out", "list.doc"), "lists are written as"),
    ):
        code, _, fault = run(*words)
        assert code == 2 and expected in fault
