"""What lies in the rack is read with file and row in every refusal."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from plowwright.desk import rack
from plowwright.errors import EntryError, NotFoundError
from plowwright.units.constants import INCH

STOCKS = {"tube 3 x 3 x 1/4": 1, "flat 6 x 1/2": 1, "plate 1/4": 1}


def load(folder: Path, text: str) -> rack.Rack:
    file = folder / "rack.toml"
    file.write_text(text, encoding="utf-8")
    return rack.load(file, STOCKS)


def test_sticks_remnants_and_blanks_are_read_in_si(tmp_path: Path) -> None:
    found = load(
        tmp_path,
        'sticks = [{ stock = "tube 3 x 3 x 1/4", length = "20 ft", count = 2 }]\n'
        'remnants = [{ stock = "tube 3 x 3 x 1/4", length = "61-1/4 in", tag = "R-1", book = "USD 12" }]\n'
        'blanks = [{ edge = "flat 6 x 1/2", length = "90 in", count = 5, '
        "arriving = [{ count = 6, on = 2026-11-30 }] }]\n",
    )
    assert found.sticks[0].length == pytest.approx(240 * INCH) and found.sticks[0].count == 2
    assert found.remnants[0].tag == "R-1" and found.remnants[0].book == 12.0
    assert found.blanks[0].arriving == {date(2026, 11, 30): 6}


def test_a_section_nobody_knows_is_refused_with_the_nearest(tmp_path: Path) -> None:
    with pytest.raises(EntryError) as caught:
        load(tmp_path, 'sticks = [{ stock = "tube 3 x 3 x 1/2", length = "20 ft" }]')
    assert "rack.toml, sticks row 1" in str(caught.value) and "tube 3 x 3 x 1/4" in str(caught.value)


def test_a_length_without_a_unit_is_refused(tmp_path: Path) -> None:
    with pytest.raises(EntryError) as caught:
        load(tmp_path, 'sticks = [{ stock = "tube 3 x 3 x 1/4", length = "240" }]')
    assert "sticks row 1, length" in str(caught.value)


def test_two_remnants_with_one_tag_are_refused(tmp_path: Path) -> None:
    row = '{ stock = "tube 3 x 3 x 1/4", length = "30 in", tag = "R-1" }'
    with pytest.raises(EntryError, match="R-1"):
        load(tmp_path, f"remnants = [{row}, {row}]")


def test_a_count_below_zero_or_no_number_is_refused(tmp_path: Path) -> None:
    for count in ("-1", '"two"', "true"):
        with pytest.raises(EntryError, match="whole number"):
            load(tmp_path, f'sticks = [{{ stock = "tube 3 x 3 x 1/4", length = "20 ft", count = {count} }}]')


def test_a_table_that_is_not_known_and_a_missing_file_are_refused(tmp_path: Path) -> None:
    with pytest.raises(EntryError, match="sheets, sheet_remnants"):
        load(tmp_path, "stick = []")
    with pytest.raises(NotFoundError):
        rack.load(tmp_path / "nowhere.toml", STOCKS)
