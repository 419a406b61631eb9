"""Promises as a calendar file (iCalendar, RFC 5545) that any calendar program takes in.

Times are floating: seven in the morning is seven by the shop's clock, wherever the file is opened (section 3.3.5,
form 1). A promise for a day without an hour is a whole day (3.3.4). Every order keeps its UID, and its SEQUENCE rises
each time the promise moves (3.8.7.4), so a calendar that took the file in before moves its entry and makes no second
one. Lines end in CR LF and are folded at 75 octets (3.1), never inside a letter.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Final, Literal

from plowwright.errors import EntryError

Status = Literal["CONFIRMED", "TENTATIVE", "CANCELLED"]
MEDIA: Final = "text/calendar; charset=utf-8"
_OCTETS: Final = 75
_PRODUCT: Final = "-//Plowwright//Promises//EN"
_CONTROL: Final = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Dated:
    """One promise as an entry of a calendar.

    Attributes:
        uid: The same for this order for ever.
        on: Day, or day and hour by the shop's clock.
        summary: What stands in the calendar.
        description: What stands below it.
        sequence: How often the promise was moved [-].
        stamp: When this was last written down, with its zone.
        status: Confirmed, tentative or cancelled.
        url: Page of the order, or "".
    """

    uid: str
    on: date | datetime
    summary: str
    description: str = ""
    sequence: int = 0
    stamp: datetime
    status: Status = "CONFIRMED"
    url: str = ""


def uid_of(number: str, address: str) -> str:
    """The lasting name of an order's promise.

    >>> uid_of("418K", "http://ridge.local:8421/")
    'promise-418K@ridge.local'

    Args:
        number: Order number.
        address: Of the shop's pages.
    """
    host = re.sub(r"^[a-z]+://", "", address.strip()).split("/")[0].split(":")[0]
    return f"promise-{number}@{host or 'shop'}"


def calendar_file(entries: Iterable[Dated], *, name: str) -> bytes:
    """The file.

    Args:
        entries: The promises.
        name: Of the calendar, as a program shows it (RFC 7986, section 5.1).

    Raises:
        EntryError: An entry has no name, no zone on its stamp, or a name that is given twice.
    """
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{_PRODUCT}", "CALSCALE:GREGORIAN", "METHOD:PUBLISH",
             f"NAME:{escaped(name)}"]  # fmt: skip
    seen: set[str] = set()
    for one in entries:
        if not one.uid.strip() or one.uid in seen:
            raise EntryError("every promise of a calendar needs a name of its own", value=one.uid or one.summary,
                             way_out="Give each order once.")  # fmt: skip
        seen.add(one.uid)
        lines += _event(one)
    lines.append("END:VCALENDAR")
    return b"".join(folded(line) for line in lines)


def _event(one: Dated) -> list[str]:
    if one.stamp.tzinfo is None:
        raise EntryError("a stamp of a calendar needs its zone", where=one.uid, value=one.stamp.isoformat(),
                         way_out="Give it in UTC.")  # fmt: skip
    timed = isinstance(one.on, datetime)
    begin = f"DTSTART:{one.on:%Y%m%dT%H%M%S}" if timed else f"DTSTART;VALUE=DATE:{one.on:%Y%m%d}"
    lines = ["BEGIN:VEVENT", f"UID:{one.uid}", f"DTSTAMP:{one.stamp.astimezone(UTC):%Y%m%dT%H%M%SZ}", begin,
             f"SEQUENCE:{one.sequence}", f"STATUS:{one.status}", "TRANSP:TRANSPARENT",
             f"SUMMARY:{escaped(one.summary)}"]  # fmt: skip
    if one.description:
        lines.append(f"DESCRIPTION:{escaped(one.description)}")
    if one.url:
        lines.append(f"URL:{one.url}")
    return [*lines, "END:VEVENT"]


def escaped(text: str) -> str:
    """Text as a property carries it (3.3.11); what no calendar can show is left out.

    Args:
        text: Any text.
    """
    plain = _CONTROL.sub("", text.replace("\r\n", "\n").replace("\r", "\n"))
    return plain.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,").replace("\n", "\\n")


def folded(line: str) -> bytes:
    """One line of the file, folded where it is longer than 75 octets.

    Args:
        line: Without its end.
    """
    out: list[bytes] = []
    row = b""
    for letter in line:
        octets = letter.encode("utf-8")
        if len(row) + len(octets) > _OCTETS:
            out.append(row)
            row = b" "
        row += octets
    return b"\r\n".join([*out, row]) + b"\r\n"
