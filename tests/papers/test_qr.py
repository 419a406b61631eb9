"""The code on every sheet."""

from __future__ import annotations

import pytest

from plowwright.errors import EntryError
from plowwright.papers import qr


def test_the_same_address_gives_the_same_code() -> None:
    assert qr.svg("http://shop:8000/o/421M") == qr.svg("http://shop:8000/o/421M")
    assert qr.svg("http://shop:8000/o/421M") != qr.svg("http://shop:8000/o/420A")


def test_an_empty_code_is_refused() -> None:
    with pytest.raises(EntryError, match="a code needs something to say"):
        qr.svg("  ")


def test_an_address_too_long_for_a_worn_sheet_is_refused_with_its_length() -> None:
    with pytest.raises(EntryError, match=r"given: 301 letters\); limit: 300 letters"):
        qr.svg("x" * 301)
