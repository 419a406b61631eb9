"""Lists for a spreadsheet."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from plowwright.errors import EntryError
from plowwright.papers import clock
from plowwright.papers.lists import Column, Sheet, write_csv, write_xlsx

COLUMNS = (
    Column(field="mark", heading="Mark"),
    Column(field="length", heading="Length", unit="in", decimals=4),
    Column(field="pieces", heading="Pieces"),
)
ROWS = (
    {"mark": 'leg "left", 3 x 3', "length": 41.25, "pieces": 2},
    {"mark": "-lug", "length": -0.00001, "pieces": None},
)


def test_a_csv_follows_the_standard_and_names_the_unit_in_its_heading() -> None:
    assert write_csv(ROWS, COLUMNS) == (
        b'\xef\xbb\xbfMark,Length [in],Pieces\r\n"leg ""left"", 3 x 3",41.25,2\r\n\'-lug,0,\r\n'
    )


def test_a_value_that_no_column_shows_is_refused_instead_of_lost() -> None:
    with pytest.raises(EntryError) as refused:
        write_csv([*ROWS, {"mark": "web", "colour": "green"}], COLUMNS)
    assert "list, row 3: a row carries values that no column shows (given: colour)" in str(refused.value)
    assert "limit: mark, length, pieces" in str(refused.value)


def test_a_sheet_name_used_twice_is_refused() -> None:
    sheet = Sheet(name="Cut list", columns=COLUMNS, rows=ROWS)
    with pytest.raises(EntryError, match=r"a name of its own \(given: Cut list\)"):
        write_xlsx([sheet, sheet])


def test_a_workbook_without_a_sheet_is_refused() -> None:
    with pytest.raises(EntryError, match="at least one sheet"):
        write_xlsx([])


def test_the_same_rows_are_the_same_workbook_in_test_mode(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(clock.SWITCH, "1")
    sheet = Sheet(name="Cut list", columns=COLUMNS, rows=ROWS)
    assert write_xlsx([sheet]) == write_xlsx([sheet])


def test_a_given_moment_is_the_only_date_in_a_workbook() -> None:
    sheet = Sheet(name="Cut list", columns=COLUMNS, rows=ROWS)
    first = write_xlsx([sheet], when=datetime(2026, 11, 11, 8, tzinfo=UTC))
    assert first == write_xlsx([sheet], when=datetime(2026, 11, 11, 8, tzinfo=UTC))
    assert first != write_xlsx([sheet], when=datetime(2027, 1, 2, 8, tzinfo=UTC))
