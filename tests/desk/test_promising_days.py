"""Days and hours as they are said on the phone."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.desk.crew_days import day_said
from plowwright.errors import EntryError

TODAY = date(2026, 11, 11)


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("Fri 13 Nov 07:00", datetime(2026, 11, 13, 7)),
        ("Friday 13 November at 7", datetime(2026, 11, 13, 7)),
        ("Fri 07:00", datetime(2026, 11, 13, 7)),
        ("wed", date(2026, 11, 18)),
        ("13 Nov", date(2026, 11, 13)),
        ("5 Jan", date(2027, 1, 5)),
        ("15 Dec 2026", date(2026, 12, 15)),
        ("2026-12-15", date(2026, 12, 15)),
        ("2026-12-15 07:30", datetime(2026, 12, 15, 7, 30)),
        ("2026-12-15T07:30", datetime(2026, 12, 15, 7, 30)),
        ("today", TODAY),
        ("tomorrow 09:15", datetime(2026, 11, 12, 9, 15)),
    ],
)
def test_a_day_is_understood_as_it_is_said(text: str, meant: date) -> None:
    found = day_said(text, TODAY)
    assert found == meant and type(found) is type(meant)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "this is no day"),
        ("soon", "this is no day"),
        ("Thu 13 Nov", "the weekday is not that day's"),
        ("31 Nov", "no such day"),
        ("2026-13-01", "no such day"),
        ("13 Nov 25:00", "no hour of a day"),
    ],
)
def test_what_is_no_day_is_refused_with_an_example(text: str, said: str) -> None:
    with pytest.raises(EntryError, match=said) as refused:
        day_said(text, TODAY, where="--on")
    assert "--on" in str(refused.value)


@given(st.integers(0, 360))
def test_a_day_written_with_its_weekday_is_read_back(ahead: int) -> None:
    day = TODAY + timedelta(days=ahead)
    assert day_said(f"{day:%a} {day.day} {day:%b}", TODAY) == day
