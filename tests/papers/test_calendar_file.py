"""The calendar of promises, read back by a library that is not ours (icalendar)."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar

from plowwright.errors import EntryError
from plowwright.papers.calendar_file import Dated, calendar_file, escaped, folded, uid_of

STAMP = datetime(2026, 11, 11, 13, 0, tzinfo=UTC)
HOUR = Dated(uid="promise-418K@ridge.local", on=datetime(2026, 11, 13, 7), summary="418K T.B., Basalt 84 in: tight",
             description="cause: weld; cure, then strap\nin hand 2 h", sequence=3, stamp=STAMP,
             url="http://ridge.local:8421/order/418K")  # fmt: skip
DAY = Dated(uid="promise-420A@ridge.local", on=date(2026, 11, 20), summary="420A H.L.", stamp=STAMP,
            status="TENTATIVE")  # fmt: skip


def read(*entries: Dated) -> Calendar:
    found = Calendar.from_ical(calendar_file(entries, name="Promises, Ostrel Ridge Metalworks"))
    assert isinstance(found, Calendar)
    return found


def test_another_library_reads_every_promise_as_it_was_given() -> None:
    calendar = read(HOUR, DAY)
    assert calendar["version"] == "2.0" and calendar["method"] == "PUBLISH"
    # The library knows RFC 5545 alone, so it hands the name of RFC 7986 back as it stands.
    assert str(calendar["name"]).replace("\\,", ",") == "Promises, Ostrel Ridge Metalworks"
    one, other = calendar.walk("VEVENT")
    assert str(one["uid"]) == HOUR.uid and int(one["sequence"]) == 3 and str(one["status"]) == "CONFIRMED"
    assert str(one["summary"]) == HOUR.summary and str(one["description"]) == HOUR.description
    assert one["dtstamp"].dt == STAMP and str(one["url"]) == HOUR.url
    assert other["dtstart"].dt == date(2026, 11, 20) and not isinstance(other["dtstart"].dt, datetime)
    assert not one.errors and not other.errors


def test_seven_is_seven_by_the_shops_clock_without_any_zone() -> None:
    (one,) = read(HOUR).walk("VEVENT")
    assert one["dtstart"].dt == datetime(2026, 11, 13, 7) and one["dtstart"].dt.tzinfo is None
    assert b"DTSTART:20261113T070000\r\n" in calendar_file([HOUR], name="x")


def test_a_stamp_of_another_zone_is_written_in_utc() -> None:
    away = Dated(uid="a", on=date(2026, 1, 2), summary="s",
                 stamp=datetime(2026, 11, 11, 8, tzinfo=timezone(timedelta(hours=-5))))  # fmt: skip
    (one,) = read(away).walk("VEVENT")
    assert one["dtstamp"].dt == datetime(2026, 11, 11, 13, tzinfo=UTC)


def test_no_line_is_longer_than_75_octets_and_every_line_ends_in_cr_lf() -> None:
    long = Dated(uid="b", on=date(2026, 1, 2), summary="ö" * 200, description="ein langer Satz, " * 40, stamp=STAMP)
    body = calendar_file([long], name="x")
    lines = body.split(b"\r\n")
    assert lines[-1] == b"" and all(len(line) <= 75 for line in lines)
    assert b"\n" not in body.replace(b"\r\n", b"") and b"\r" not in body.replace(b"\r\n", b"")
    (one,) = read(long).walk("VEVENT")
    assert str(one["summary"]) == "ö" * 200


@given(st.text(max_size=300))
def test_any_text_comes_back_whole_or_without_what_no_calendar_shows(text: str) -> None:
    (one,) = read(Dated(uid="c", on=date(2026, 1, 2), summary="s" + text, stamp=STAMP)).walk("VEVENT")
    back = str(one["summary"])
    wanted = "s" + text.replace("\r\n", "\n").replace("\r", "\n")
    assert back == "".join(c for c in wanted if c in "\t\n" or (ord(c) >= 32 and ord(c) != 127))


@given(st.text(alphabet=st.characters(codec="utf-8"), max_size=200))
def test_folding_never_parts_a_letter(text: str) -> None:
    line = escaped(text)
    rows = folded(line).split(b"\r\n")[:-1]
    assert all(row.decode("utf-8") is not None and len(row) <= 75 for row in rows)
    assert (rows[0] + b"".join(row[1:] for row in rows[1:])).decode() == line


def test_a_uid_is_made_of_the_order_and_the_shop() -> None:
    assert uid_of("418K", "http://ridge.local:8421/") == "promise-418K@ridge.local"
    assert uid_of("418K", "") == "promise-418K@shop"


def test_two_entries_of_one_name_and_a_stamp_without_zone_are_refused() -> None:
    with pytest.raises(EntryError, match=r"needs a name of its own.*promise-418K"):
        calendar_file([HOUR, HOUR], name="x")
    bare = Dated(uid="d", on=date(2026, 1, 2), summary="s", stamp=datetime(2026, 1, 1))
    with pytest.raises(EntryError, match="a stamp of a calendar needs its zone"):
        calendar_file([bare], name="x")
