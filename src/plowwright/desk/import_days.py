"""Days as lists write them, read into days, and one way of writing them back."""

from __future__ import annotations

import re
from datetime import date, datetime, time
from typing import Final

from plowwright.errors import EntryError

_ISO: Final = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[ T](\d{1,2}):(\d{2})(?::(\d{2})(?:\.\d+)?)?)?")
_SLASHED: Final = re.compile(r"(\d{1,2})[/.](\d{1,2})[/.](\d{4})(?: (\d{1,2}):(\d{2})(?::\d{2})?)?")
_WORDED: Final = ("%d %b %Y", "%d %B %Y", "%b %d %Y", "%B %d %Y")
_WEEKDAY: Final = re.compile(r"^(mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,? ", re.IGNORECASE)



def read_moment(text: str, order: str = "") -> tuple[date | datetime, bool]:
    """A day as lists write it, and whether it was read from another form than 2026-11-20.

    >>> read_moment("20 Nov 2026")
    (datetime.date(2026, 11, 20), True)

    Args:
        text: As written; midnight is the day alone.
        order: "month/day/year" or "day/month/year", or "" where nobody said.

    Raises:
        EntryError: It is no day, or could be two.
    """
    example = "Write it as 2026-11-20, with an hour as 2026-11-20 07:00."
    if found := _ISO.fullmatch(text):
        year, month, day, hour, minute, _ = found.groups()
        return _moment(text, int(year), int(month), int(day), hour, minute), False
    if found := _SLASHED.fullmatch(text):
        one, other, year, hour, minute = found.groups()
        first, second = int(one), int(other)
        plain = bare(order)
        is_month_first = plain in ("monthdayyear", "mdy", "mmddyyyy")
        if not is_month_first and plain not in ("daymonthyear", "dmy", "ddmmyyyy"):
            if first <= 12 and second <= 12 and first != second:
                raise EntryError(
                    "this could be two days", value=text,
                    limit=f"{_moment(text, int(year), first, second):%d %b} or "
                    f"{_moment(text, int(year), second, first):%d %b}",
                    way_out="Write it as 2026-11-20, or head the column [month/day/year].",
                )  # fmt: skip
            is_month_first = second > 12 or first == second
        month, day = (first, second) if is_month_first else (second, first)
        return _moment(text, int(year), month, day, hour, minute), True
    plain = _WEEKDAY.sub("", text).replace(",", " ").replace(".", " ")
    for form in _WORDED:
        try:
            return datetime.strptime(" ".join(plain.split()), form).date(), True
        except ValueError:
            continue
    if re.fullmatch(r"\d{5}(\.\d+)?", text):
        raise EntryError("a number where a day is wanted", value=text,
                         way_out="Format the column as a date, or write it as 2026-11-20.")  # fmt: skip
    raise EntryError("this is no day", value=text, way_out=example)


def _moment(
    text: str, year: int, month: int, day: int, hour: str | None = None, minute: str | None = None
) -> date | datetime:
    try:
        found = datetime(year, month, day, int(hour or 0), int(minute or 0))
    except ValueError as error:
        raise EntryError("there is no such day", value=text, way_out="Look at the calendar again.") from error
    if not 1990 <= year <= 2100:
        raise EntryError("a day of another century", value=text, limit="1990 to 2100", way_out="Look at its year.")
    return found.date() if found.time() == time() else found


def bare(text: str) -> str:
    """A word without case, blanks and marks, to compare spellings.

    Args:
        text: As written.
    """
    return "".join(letter for letter in text.casefold() if letter.isalnum())


def day_said(moment: date | datetime | None) -> str:
    """A day as our lists write it, with its hour where it has one.

    Args:
        moment: The day, or None.
    """
    if moment is None:
        return ""
    if isinstance(moment, datetime) and moment.time() != time():
        return f"{moment:%Y-%m-%d %H:%M}"
    return f"{moment:%Y-%m-%d}"
