"""What things are called in the stock ledger, and back: sticks, sheets, tagged remnants, blanks, parts in boxes.

A name says all that tells one item from another, so that two walls or two lengths never add up. The lot of a remnant
is its tag. A remnant's length is rounded down to the sixteenth: no planner may count on more than lies there.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import floor
from typing import Final, Literal

from plowwright import units
from plowwright.errors import EntryError
from plowwright.shop.stock_edges import blank_item
from plowwright.units import INCH

Sort = Literal["stick", "remnant", "sheet", "sheet remnant", "blank", "part"]
_BAR: Final = re.compile(r"(stick|remnant) of (.+), ([^,]+)")
_SHEET: Final = re.compile(r"(sheet remnant|sheet) of (.+), ([^,]+) by ([^,]+)")
_BLANK: Final = re.compile(r"(.+) blank, ([^,]+)")
_FINEST: Final = INCH / 16.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """What a name of the ledger stands for.

    Attributes:
        name: As the ledger has it.
        sort: Stick, remnant, sheet, sheet remnant, blank or part.
        stock: Section, sheet or bought part of the rulebook; for blanks the bar they are of.
        length: [m], 0 for parts.
        width: Of a sheet [m], 0 for the rest.
    """

    name: str
    sort: Sort
    stock: str
    length: float = 0.0
    width: float = 0.0


def stick_item(stock: str, length: float) -> str:
    """A whole stick.

    >>> stick_item("tube 3 x 3 x 1/4", 240 * 0.0254)
    'stick of tube 3 x 3 x 1/4, 240 in'

    Args:
        stock: Its section.
        length: [m].
    """
    return f"stick of {stock}, {_said(length)}"


def remnant_item(stock: str, length: float) -> str:
    """A remnant of a stick; its tag is the lot.

    Args:
        stock: Its section.
        length: [m], rounded down to the sixteenth.
    """
    return f"remnant of {stock}, {_said(_down(length))}"


def sheet_item(stock: str, length: float, width: float) -> str:
    """A whole sheet.

    Args:
        stock: Its plate.
        length: Longer side [m].
        width: Shorter side [m].
    """
    long, short = max(length, width), min(length, width)
    return f"sheet of {stock}, {_said(short)} by {_said(long)}"


def sheet_remnant_item(stock: str, length: float, width: float) -> str:
    """A remnant of a sheet; its tag is the lot.

    Args:
        stock: Its plate.
        length: Longer side [m], rounded down to the sixteenth.
        width: Shorter side [m], likewise.
    """
    long, short = max(length, width), min(length, width)
    return f"sheet remnant of {stock}, {_said(_down(short))} by {_said(_down(long))}"


def item_of(name: str) -> Item:
    """What a name of the ledger stands for; a name of no other form is a part in a box.

    >>> item_of("stick of tube 3 x 3 x 1/4, 240 in").stock
    'tube 3 x 3 x 1/4'

    Args:
        name: As the ledger has it.

    Raises:
        EntryError: Its length cannot be read.
    """
    if found := _BAR.fullmatch(name):
        sort, stock, length = found.groups()
        return Item(name=name, sort="stick" if sort == "stick" else "remnant", stock=stock, length=_m(length, name))
    if found := _SHEET.fullmatch(name):
        sort, stock, short, long = found.groups()
        return Item(name=name, sort="sheet" if sort == "sheet" else "sheet remnant", stock=stock,
                    length=_m(long, name), width=_m(short, name))  # fmt: skip
    if found := _BLANK.fullmatch(name):
        return Item(name=name, sort="blank", stock=found.group(1), length=_m(found.group(2), name))
    return Item(name=name, sort="part", stock=name)


def name_of(item: Item) -> str:
    """The name of an item by its parts; `item_of` the other way round.

    Args:
        item: What it is; its own name is not looked at.
    """
    match item.sort:
        case "stick":
            return stick_item(item.stock, item.length)
        case "remnant":
            return remnant_item(item.stock, item.length)
        case "sheet":
            return sheet_item(item.stock, item.length, item.width)
        case "sheet remnant":
            return sheet_remnant_item(item.stock, item.length, item.width)
        case "blank":
            return blank_item(item.stock, item.length)
        case "part":
            return item.stock


def _said(length: float) -> str:
    # A name is the same whatever units are spoken.
    return units.say(length, "length", system="us")


def _down(length: float) -> float:
    return floor(length / _FINEST + 1e-6) * _FINEST


def _m(text: str, name: str) -> float:
    value = units.si(text, "length", name)
    if not value > 0:
        raise EntryError("an item of the rack has a length", where=name, value=text, way_out="Write it as 240 in.")
    return value
