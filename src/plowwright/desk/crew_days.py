"""Days and hours as they are said on the phone: Fri 13 Nov 07:00, Friday at 7, 2026-11-13."""

from __future__ import annotations

import re
from datetime import date, datetime, time, timedelta
from typing import Final

from plowwright.errors import EntryError

_DAYS: Final = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_MONTHS: Final = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_ISO: Final = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})")
_HOUR: Final = re.compile(r"(?:\bat\s+)?\b(\d{1,2}):(\d{2})(?::\d{2})?\b|\bat\s+(\d{1,2})\b")
_DATE: Final = re.compile(r"(\d{1,2})\.?\s+([a-z]{3,9})\.?(?:\s+(\d{4}))?")
_WEEKDAY: Final = re.compile(r"\b(mon|tue|wed|thu|fri|sat|sun)[a-z]*\b")
_EXAMPLE: Final = 'Write it as "Fri 13 Nov 07:00", "2026-11-13 07:00" or "Fri 13 Nov".'


def day_said(text: str, today: date, *, where: str = "") -> date | datetime:
    """A day, with its hour where one is said.

    A day without a year is the next such day; a weekday alone is the next one after today.

    >>> day_said("Fri 13 Nov 07:00", date(2026, 11, 11))
    datetime.datetime(2026, 11, 13, 7, 0)
    >>> day_said("Friday", date(2026, 11, 11))
    datetime.date(2026, 11, 13)

    Args:
        text: As it was said.
        today: The day it was said.
        where: What to call it in messages.

    Raises:
        EntryError: It is no day, or the weekday is not that day's.
    """
    plain = text.strip().casefold().replace("t", " ", 1) if _ISO.match(text.strip()) else text.strip().casefold()
    hour = _HOUR.search(plain)
    rest = plain[: hour.start()] + plain[hour.end() :] if hour else plain
    day = _day(rest, today, text, where)
    if hour is None:
        return day
    try:
        return datetime.combine(day, time(int(hour[1] or hour[3]), int(hour[2] or 0)))
    except ValueError as fault:
        raise EntryError("no hour of a day", where=where, value=text, limit="00:00 to 23:59",
                         way_out=_EXAMPLE) from fault  # fmt: skip


def _day(text: str, today: date, said: str, where: str) -> date:
    week = _WEEKDAY.search(text)
    found: date | None = None
    try:
        if iso := _ISO.search(text):
            found = date(int(iso[1]), int(iso[2]), int(iso[3]))
        elif (named := _DATE.search(text)) and named[2][:3] in _MONTHS:
            month = _MONTHS.index(named[2][:3]) + 1
            found = date(int(named[3] or today.year), month, int(named[1]))
            if not named[3] and found < today:
                found = date(today.year + 1, month, int(named[1]))
    except ValueError as fault:
        raise EntryError("no such day", where=where, value=said, way_out=_EXAMPLE) from fault
    if found is None and text.strip() in ("today", "tomorrow"):
        found = today + timedelta(days=text.strip() == "tomorrow")
    if found is None and week is not None:
        ahead = (_DAYS.index(week[1]) - today.weekday() - 1) % 7 + 1
        return today + timedelta(days=ahead)
    if found is None:
        raise EntryError("this is no day", where=where, value=said or "nothing", way_out=_EXAMPLE)
    if week is not None and _DAYS[found.weekday()] != week[1]:
        raise EntryError("the weekday is not that day's", where=where, value=said,
                         limit=f"{found:%a} {found.day} {found:%b %Y}",
                         way_out="Say which of both is meant.")  # fmt: skip
    return found
