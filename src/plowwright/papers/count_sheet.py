"""The count sheet: what the book says of every item and lot, a place for what lies there; filled in, what is off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from plowwright import units
from plowwright.papers import qr
from plowwright.papers.content import Paper
from plowwright.papers.lists import Column, Row, Sheet
from plowwright.papers.pdf import PaperSize
from plowwright.rulebook.schema import Shop
from plowwright.shop.stock_counting import CountRow
from plowwright.shop.stock_items import item_of

_GROUPS: Final = {
    "stick": "Sticks", "remnant": "Tagged remnants of sticks", "sheet": "Sheets",
    "sheet remnant": "Tagged remnants of sheets", "blank": "Edge blanks", "part": "Parts in boxes",
}  # fmt: skip
COLUMNS: Final = (
    Column(field="item", heading="item"),
    Column(field="lot", heading="lot or tag"),
    Column(field="book", heading="book"),
    Column(field="counted", heading="counted"),
    Column(field="difference", heading="difference"),
    Column(field="reserved", heading="reserved"),
)
"""Columns of the list."""


@dataclass(frozen=True, kw_only=True)
class Rack:
    """What a count sheet is made from.

    Attributes:
        rows: What is to be counted, or was.
        shop: Who counts.
        on: Day the sheet carries.
        mark: Which state of the book it is of, as "event 112".
        paper: Sheet size.
        by: Who counted, "" for a sheet to fill in.
    """

    rows: Sequence[CountRow]
    shop: Shop
    on: date
    mark: str
    paper: PaperSize = "us-letter"
    by: str = ""


def count_sheet(rack: Rack) -> Paper:
    """The sheet, ready to be set.

    Args:
        rack: What it is made from.
    """
    shop = rack.shop
    filled = any(row.counted is not None for row in rack.rows)
    groups: dict[str, list[list[str]]] = {}
    for row in rack.rows:
        group = groups.setdefault(_GROUPS[item_of(row.item).sort], [])
        counted = "" if row.counted is None else str(row.counted)
        off = f"{row.difference:+d}" if row.difference else "agrees"
        if row.counted is None:
            off = "not counted" if filled else ""
        group.append([row.item, row.lot, str(row.book), counted, off])
    about = "Write what lies there, not what should. Leave a row empty that you did not see."
    if filled:
        off = sum(1 for row in rack.rows if row.difference)
        seen = units.counted(sum(1 for row in rack.rows if row.counted is not None), "row")
        about = f"Counted by {rack.by}: {off or 'none'} of {seen} {'is' if off == 1 else 'are'} off."
    elif not rack.rows:
        about = "The book has nothing of this to count."
    data: dict[str, Any] = {
        "head": {
            "shop": f"{shop.name}, {shop.place}", "title": "Count sheet", "order": "", "about": about,
            "fingerprint": rack.mark, "marked": "book at", "paper": rack.paper, "address": f"{rack.on:%d %B %Y}",
        },
        "filled": filled,
        "groups": [{"title": title, "rows": groups[title]} for title in _GROUPS.values() if title in groups],
    }  # fmt: skip
    pictures = {"qr": qr.svg(f"{shop.address_on_network.rstrip('/')}/counting")}
    return Paper(template="count.typ", data=data, pictures=pictures)


def rows_of(rows: Sequence[CountRow]) -> list[Row]:
    """The sheet as rows of a list.

    Args:
        rows: What is to be counted, or was.
    """
    return [
        {"item": r.item, "lot": r.lot, "book": r.book, "counted": r.counted,
         "difference": None if r.counted is None else r.difference, "reserved": r.reserved}
        for r in rows
    ]  # fmt: skip


def pages_of(rows: Sequence[CountRow]) -> tuple[Sheet, ...]:
    """The sheet as the page of a workbook.

    Args:
        rows: What is to be counted, or was.
    """
    return (Sheet(name="count sheet", columns=COLUMNS, rows=rows_of(rows)),)
