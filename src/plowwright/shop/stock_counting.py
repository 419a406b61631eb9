"""The count sheet: what the book says against what lies there, and the lines that put the book right."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from plowwright.errors import EntryError
from plowwright.shop.stock import loss
from plowwright.shop.stock_book import Balance, Coming, Entry, applied, standing


@dataclass(frozen=True, slots=True, kw_only=True)
class CountRow:
    """One item and lot of the count sheet.

    Attributes:
        item: What.
        lot: Lot, heat or tag.
        book: Pieces by the book [-].
        counted: Pieces counted [-], or None: nobody looked.
        reserved: Pieces of the item that are spoken for [-].
    """

    item: str
    lot: str
    book: int
    counted: int | None
    reserved: int

    @property
    def difference(self) -> int:
        """Counted less the book, 0 where nobody looked [-]."""
        return 0 if self.counted is None else self.counted - self.book

    @property
    def text(self) -> str:
        """The row in words."""
        where = f"{self.item}, lot {self.lot}" if self.lot else self.item
        if self.counted is None:
            return f"{where}: book {self.book}, not counted"
        if not self.difference:
            return f"{where}: {self.book}, agrees"
        word = "more" if self.difference > 0 else "fewer"
        return f"{where}: book {self.book}, counted {self.counted}, {abs(self.difference)} {word}"

    def as_dict(self) -> dict[str, Any]:
        """The row for a machine."""
        return {
            "item": self.item,
            "lot": self.lot,
            "book": self.book,
            "counted": self.counted,
            "difference": self.difference,
            "reserved": self.reserved,
        }


def count_sheet(
    balances: Iterable[Balance], counted: Mapping[tuple[str, str], int] | None = None, *, items: Iterable[str] = ()
) -> tuple[CountRow, ...]:
    """The sheet to walk along the rack with, or the same with what was counted.

    Args:
        balances: How the items stand.
        counted: Pieces counted, by item and lot; left out, an empty sheet [-].
        items: Items that are on the sheet even where the book has none.

    Raises:
        EntryError: A count below zero.
    """
    found = counted or {}
    for (item, lot), count in found.items():
        if count < 0:
            raise EntryError("a count is a whole number", where=f"{item} {lot}".strip(), value=str(count),
                             limit="0 or more", way_out="Write 0 where nothing lies there.")  # fmt: skip
    known = {one.item: one for one in balances}
    rows: list[CountRow] = []
    for item in sorted(set(known) | set(items) | {item for item, _ in found}):
        now = known.get(item) or standing(item, {}, ())
        lots = sorted(set(now.lots) | {lot for one, lot in found if one == item}) or [""]
        rows += [
            CountRow(
                item=item, lot=lot, book=now.lots.get(lot, 0), counted=found.get((item, lot)), reserved=now.reserved
            )
            for lot in lots
        ]
    return tuple(rows)


def count_lines(
    balances: Iterable[Balance], rows: Iterable[CountRow], coming: Iterable[Coming] = (), *, day: date, who: str
) -> tuple[Entry, ...]:
    """The lines that put the book right; where fewer lie there than are spoken for, with the releases this forces.

    Args:
        balances: How the items stand.
        rows: The filled-in sheet.
        coming: What is on its way.
        day: The day of the count.
        who: Who counted.
    """
    on_way, now = tuple(coming), {one.item: one for one in balances}
    out: list[Entry] = []
    for row in rows:
        if not row.difference:
            continue
        line = Entry(kind="count", item=row.item, lot=row.lot, count=row.difference, day=day,
                     reason=f"counted by {who}")  # fmt: skip
        stands = now.get(row.item) or standing(row.item, {}, ())
        lines = loss(stands, on_way, line) if row.difference < 0 else (line,)
        # What this sheet has already put down counts for the next lot of the same item.
        for one in lines:
            stands = applied(stands, one)
        now[row.item] = stands
        out += lines
    return tuple(out)
