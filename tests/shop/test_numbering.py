"""Numbers at the saw and on the table."""

from __future__ import annotations

from plowwright.shop.numbering import numbers_of


def test_rush_comes_first_over_all_stocks_and_every_number_is_given_once() -> None:
    found = numbers_of({"tube": [False, True], "angle": [False], "flat": [True, False]})
    assert sorted(found, key=lambda place: found[place]) == [
        ("flat", 0), ("tube", 1), ("angle", 0), ("flat", 1), ("tube", 0)
    ]  # fmt: skip
    assert sorted(found.values()) == [1, 2, 3, 4, 5]
