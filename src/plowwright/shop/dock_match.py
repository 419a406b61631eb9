"""Serial numbers, and what a stamp or a label says when it is read: order number, serial number, or both."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final
from urllib.parse import unquote, urlsplit

from plowwright.errors import EntryError
from plowwright.findings import Finding
from plowwright.shop.dock_papers import match
from plowwright.units import inches

_SERIAL: Final = re.compile(r"(?<![A-Z0-9])([A-Z])(\d{2,3})-(\d{2})-(\d{3,})(?![A-Z0-9])")


def serial_of(series: str, width: float, year: int, running: int) -> str:
    """A serial number: letter of the class, width in inches, year, running number of that year.

    >>> serial_of("Basalt", 84 * 0.0254, 2026, 17)
    'B84-26-017'

    Args:
        series: Name of the series.
        width: Width of the blade [m].
        year: Year it is made.
        running: Running number of that year [-].

    Raises:
        EntryError: A series without a name, or a running number below 1.
    """
    if not series.strip()[:1].isalpha():
        raise EntryError("a serial number begins with the letter of its series", value=series, way_out="Write Basalt.")
    if running < 1:
        raise EntryError("blades of a year are numbered from 1", value=str(running), limit="1 or more")
    return f"{series.strip()[0].upper()}{round(inches(width))}-{year % 100:02d}-{running:03d}"


def next_running(serials: Iterable[str], year: int) -> int:
    """The running number that follows those given this year; gaps are not filled, a number is never given twice [-].

    Args:
        serials: Serial numbers given so far; what is none is passed over.
        year: The year.
    """
    found = (_SERIAL.fullmatch(one.strip().upper()) for one in serials)
    taken = [int(m.group(4)) for m in found if m is not None and int(m.group(3)) == year % 100]
    return max(taken, default=0) + 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What was read off a stamp or a label.

    Attributes:
        said: As it was typed or scanned.
        number: The part that should be the order number, as read; "" where there is none.
        serial: The serial number in it, or "".
    """

    said: str
    number: str
    serial: str


def reading_of(said: str) -> Reading:
    """Read what was typed or scanned: "427S", "427S F90-26-004", or the address a label's code opens.

    Args:
        said: What was typed or scanned.
    """
    text = said.strip()
    if "://" in text:
        # A label's code is the address of its page; what it is about stands at the end.
        text = unquote(urlsplit(text).path).rstrip("/").rpartition("/")[2]
    text = text.upper()
    found = _SERIAL.search(text)
    number = text.replace(found.group(0), " ") if found else text
    number = " ".join(number.split()).strip(" ,;")
    return Reading(said=said.strip(), number=number, serial=found.group(0) if found else "")


def three_readings(
    order: str, stamp: str, label: str, *, serials: Mapping[str, str], issued: Sequence[str] = ()
) -> Finding:
    """Order, stamp and label at loading: one number three times, and no serial number that is another order's.

    Args:
        order: As on the load slip.
        stamp: As read off the blade.
        label: As read off the label, or the address its code opens.
        serials: Which order each serial number was given to.
        issued: Order numbers issued so far.
    """
    numbers: list[str] = []
    strange: list[str] = []
    for name, said in (("stamp", stamp), ("label", label)):
        reading = reading_of(said)
        whose = serials.get(reading.serial, "")
        if reading.serial and whose != order:
            told = f"that blade is {whose}" if whose else "no such serial number"
            strange.append(f"{name} {reading.serial}: {told}")
        # Where the serial number stands alone, it says whose blade it is as well.
        numbers.append(reading.number or whose)
    found = match(order, numbers[0], numbers[1], issued=issued)
    if not strange:
        return found
    told = "; ".join(strange)
    sentence = f"not loaded: {told}" if found.verdict == "holds" else f"{found.sentence}; {told}"
    return replace(found, sentence=sentence, value=f"{found.value}, {told}", verdict="fails")
