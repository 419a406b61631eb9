"""Stock brought in from a list: counts of what lies there, and what is on its way."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Final

from plowwright.desk.import_days import bare, day_said
from plowwright.desk.import_rows import ReadRow, Row, inches_said, sum_said, twice
from plowwright.errors import EntryError
from plowwright.papers.lists import Column
from plowwright.papers.tables_in import Entry
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.refusals import near_names
from plowwright.shop.stock_edges import bar_item
from plowwright.shop.stock_items import Item, Sort, item_of, name_of
from plowwright.store import records as r
from plowwright.store.commands import Command
from plowwright.store.reading import Reads

NEEDS: Final = ("count",)
KNOWS: Final = ("item", "section", "sort", "length", "width", "lot", "counted", "arrives", "supplier", "book", "note")
OTHERS: Final = {
    "count": ("quantity", "qty", "on hand", "pieces", "pcs", "in stock"),
    "item": ("part", "what"),
    "section": ("stock", "profile", "bar", "plate", "sheet", "material"),
    "lot": ("tag", "heat", "lot number", "heat number"),
    "counted": ("counted on", "day", "date"),
    "arrives": ("arrives on", "arriving", "due", "expected"),
    "supplier": ("from", "vendor", "dealer"),
    "book": ("book value", "value"),
    "note": ("notes", "remark", "remarks", "comment", "comments"),
}
_SORTS: Final[Mapping[str, Sort]] = {
    "stick": "stick", "remnant": "remnant", "sheet": "sheet", "sheet remnant": "sheet remnant", "blank": "blank",
    "part": "part",
}  # fmt: skip
_TAGGED: Final = ("remnant", "sheet remnant")


def columns(currency: str) -> tuple[Column, ...]:
    """The columns of a list of stock.

    Args:
        currency: Code of the currency.
    """
    units = {"length": "in", "width": "in", "book": currency}
    order = ("item", "sort", "section", "length", "width", "lot", "count", "counted", "arrives", "supplier", "book",
             "note")  # fmt: skip
    return tuple(Column(field=name, heading=name, unit=units.get(name, "")) for name in order)


@dataclass(frozen=True, slots=True, kw_only=True)
class StockRow:
    """One row: pieces that lie there, or that come on a day.

    Attributes:
        item: As the ledger calls it.
        lot: Lot, heat or tag, or "".
        count: Pieces [-].
        more: Of pieces that lie there, how many more than the ledger has [-].
        day: When they were counted, None for today.
        arrives: The day they come; None where they lie there.
        supplier: Who sends them, or "".
        facts: Length and width [m] and book value [money] of a tagged remnant.
        note: What else is known.
    """

    item: str
    lot: str
    count: int
    more: int = 0
    day: date | None = None
    arrives: date | None = None
    supplier: str = ""
    facts: Mapping[str, float] = field(default_factory=dict[str, float])
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class _There:
    on_hand: Mapping[tuple[str, str], int] = field(default_factory=dict[tuple[str, str], int])
    reserved: Mapping[str, int] = field(default_factory=dict[str, int])
    coming: Mapping[tuple[str, date], int] = field(default_factory=dict[tuple[str, date], int])


class Stock:
    """Brings stock in.

    Args:
        rulebook: The rules in force.
    """

    def __init__(self, rulebook: Rulebook) -> None:
        self._rulebook = rulebook
        known = {**rulebook.sections, **rulebook.plates, **rulebook.bought}
        self._stocks = {name: name for name in known}
        self._items = dict(self._stocks) | {bar_item(bar): bar_item(bar) for bar in rulebook.sections}

    def read(self, entries: Sequence[Entry], reads: Reads | None) -> list[ReadRow]:
        """Every row read and held against the ledger.

        Args:
            entries: The rows.
            reads: The records, None where none are open.
        """
        there = _there_of(reads) if reads else _There()
        rows = [Row(entry) for entry in entries]
        values = [self._row(row, there) for row in rows]
        same = [(row, (v.item, v.lot, v.arrives) if v else None) for row, v in zip(rows, values, strict=True)]
        twice(same, "item")
        return [_outcome(row, value, there) for row, value in zip(rows, values, strict=True)]

    def write(self, c: Command, rows: Sequence[ReadRow], source: str) -> list[str]:
        """Write count lines and arrivals.

        Args:
            c: The command.
            rows: As `read` gave them inside the same command.
            source: Name of the file.

        Returns:
            The items, in the order of the rows.
        """
        values: list[StockRow] = [row.value for row in rows if row.value is not None]
        c.lines_of(
            {"kind": "count", "item": v.item, "lot": v.lot, "count": v.more, "day": v.day or c.at.date(),
             "reason": v.note or f"counted in {source}", "facts": dict(v.facts)}
            for v in values
            if v.arrives is None
        )  # fmt: skip
        for v in values:
            if v.arrives is not None:
                c.add(r.Arrival, item=v.item, count=v.count, due=v.arrives, state="expected", supplier=v.supplier,
                      note=v.note or f"from {source}")  # fmt: skip
        return [v.item for v in values]

    def sums(self, rows: Sequence[ReadRow], written: Sequence[str], reads: Reads) -> list[tuple[str, str, str]]:
        """What the file says and what the records now have of it: what, file, records.

        Args:
            rows: The rows.
            written: Items that were written.
            reads: The records after it.
        """
        values: list[StockRow] = [row.value for row in rows if row.value is not None]
        lots = {(v.item, v.lot): v.count for v in values if v.arrives is None}
        days = {(v.item, v.arrives): v.count for v in values if v.arrives is not None}
        there = _there_of(reads)
        return [
            ("rows written", str(len(values)), str(len(written))),
            ("pieces of these items and lots on hand", str(sum(lots.values())),
             str(sum(there.on_hand.get(key, 0) for key in lots))),
            ("pieces of these items on their way on these days", str(sum(days.values())),
             str(sum(there.coming.get(key, 0) for key in days))),
        ]  # fmt: skip

    def _row(self, row: Row, there: _There) -> StockRow | None:
        if row.text("item").casefold().startswith("example"):
            row.note("example", "look", "item", "the example row of the template", way_out="It is left out.")
            return None
        item, lot = self._item(row), row.text("lot")
        count, arrives = row.count("count"), row.day("arrives")
        book = row.cents("book")
        if item is None or count is None or row.is_wrong:
            return None
        if item.sort in _TAGGED and arrives is None and (not lot or count > 1):
            row.note("empty", "wrong", "lot", "a remnant is one piece with a tag of its own", value=f"{count} {lot}",
                     way_out="Write a row for each, with its tag.")  # fmt: skip
            return None
        facts: dict[str, float] = {}
        if item.sort in _TAGGED:
            facts = {"length_m": item.length, "width_m": item.width, "book": (book or 0) / 100}
        value = StockRow(
            item=name_of(item) if item.sort != "part" else item.name, lot=lot, count=count, day=row.day("counted"),
            arrives=arrives, supplier=row.text("supplier"), facts=facts, note=row.text("note"),
            more=count - there.on_hand.get((name_of(item) if item.sort != "part" else item.name, lot), 0),
        )  # fmt: skip
        return value if _allowed(row, value, there) else None

    def _item(self, row: Row) -> Item | None:
        said = row.text("item")
        if said and not (row.text("section") and said == row.text("section")):
            return self._named(row, said)
        section = row.text("section")
        if not section:
            row.note("empty", "wrong", "item", "neither an item nor a section here",
                     way_out="Write the item as the rulebook calls it, or section and length.")  # fmt: skip
            return None
        stock = self._known(row, "section", section, self._stocks)
        sort = row.choice("sort", _SORTS, must=False)
        if not stock:
            return None
        if stock in self._rulebook.bought:
            return Item(name=stock, sort="part", stock=stock)
        length, width = row.size("length", "length"), row.size("width", "length", must=stock in self._rulebook.plates)
        if length is None or (stock in self._rulebook.plates and width is None):
            return None
        if not length > 0 or (width is not None and stock in self._rulebook.plates and not width > 0):
            row.note("not-a-size", "wrong", "length", "a size of nothing", value=row.text("length"), limit="above 0")
            return None
        found = _SORTS[sort] if sort else self._sort(stock, length, width or 0.0, lot=row.text("lot"))
        is_sheet = stock in self._rulebook.plates
        if (found in ("sheet", "sheet remnant")) != is_sheet or found == "part":
            row.note("not-known", "wrong", "sort", f"{stock} comes in {'sheets' if is_sheet else 'sticks'}",
                     value=row.text("sort"), way_out="Leave the column sort empty, or mend it.")  # fmt: skip
            return None
        return Item(name="", sort=found, stock=stock, length=length, width=width or 0.0)

    def _sort(self, stock: str, length: float, width: float, *, lot: str) -> Sort:
        """A tagged piece of another size than is bought is a remnant."""
        if stock in self._rulebook.plates:
            plate = self._rulebook.plates[stock]
            bought = {round(plate.sheet_width, 4), round(plate.sheet_length, 4)}
            return "sheet" if not lot or {round(length, 4), round(width, 4)} == bought else "sheet remnant"
        is_bought = any(abs(length - stick) < 1e-4 for stick in self._rulebook.shop.sticks)
        return "stick" if not lot or is_bought else "remnant"

    def _named(self, row: Row, said: str) -> Item | None:
        try:
            item = item_of(said)
        except EntryError as error:
            row.refused("not-a-size", "item", error)
            return None
        stock = self._known(row, "item", item.stock, self._items if item.sort == "part" else self._stocks)
        if not stock:
            return None
        name = stock if item.sort == "part" else item.name
        return Item(name=name, sort=item.sort, stock=stock, length=item.length, width=item.width)

    def _known(self, row: Row, column: str, said: str, known: Mapping[str, str]) -> str:
        if said in known:
            return said
        same = [name for name in known if bare(name) == bare(said)]
        if len(same) == 1:
            row.note("spelling", "changed", column, f"taken as {same[0]}", value=said)
            return same[0]
        row.note("not-known", "wrong", column, "no such section, sheet or part in the rulebook", value=said,
                 way_out=near_names(said, list(known)))  # fmt: skip
        return ""


def _allowed(row: Row, value: StockRow, there: _There) -> bool:
    if value.arrives is not None:
        if value.count == 0:
            row.note("not-a-size", "wrong", "count", "an arrival of nothing", value="0", limit="1 or more")
            return False
        return True
    before = value.count - value.more
    held = there.reserved.get(value.item, 0)
    left = sum(n for (item, _), n in there.on_hand.items() if item == value.item) + value.more
    if value.more < 0 and left < held:
        row.note("reserved", "wrong", "count", "fewer than are reserved", value=str(left), limit=str(held),
                 way_out="Count it on the count sheet: there the orders that go short are named.")  # fmt: skip
        return False
    if value.more and before:
        row.note("count-differs", "changed", "count", f"the ledger has {before}: a count line of {value.more:+d}",
                 value=str(value.count))  # fmt: skip
    return True


def _outcome(row: Row, value: StockRow | None, there: _There) -> ReadRow:
    line = row.entry.line
    if value is None or row.is_wrong:
        said = row.text("item") or row.text("section") or "nothing"
        out = "wrong" if row.is_wrong else "left out"
        return ReadRow(line=line, said=said, outcome=out, noted=tuple(row.noted))
    lot = f", lot {value.lot}" if value.lot else ""
    said = f"{value.count} x {value.item}{lot}" + (f", on {value.arrives:%d %b %Y}" if value.arrives else "")
    same = there.coming.get((value.item, value.arrives)) == value.count if value.arrives else value.more == 0
    if same:
        row.note("there-already", "there", "", "the ledger has as many" if value.count else "there are none")
    return ReadRow(line=line, said=said, outcome="already there" if same else "new", noted=tuple(row.noted),
                   value=None if same else value)  # fmt: skip


def _there_of(reads: Reads) -> _There:
    coming: dict[tuple[str, date], int] = {}
    for one in reads.arriving():
        coming[one.item, one.due] = coming.get((one.item, one.due), 0) + one.count
    reserved: dict[str, int] = {}
    for held in reads.reserved():
        reserved[held.item] = reserved.get(held.item, 0) + held.count
    return _There(on_hand={(h.item, h.lot): h.on_hand for h in reads.find(r.OnHand)}, reserved=reserved, coming=coming)


def listed(reads: Reads) -> list[dict[str, Any]]:
    """Everything in stock and on its way, as rows of a list that can be brought in again.

    Args:
        reads: A steady view.
    """
    facts = {(line.item, line.lot): line.facts for line in reads.find(r.Line, kind=["receive", "return", "count"])
             if line.facts}  # fmt: skip
    there = _there_of(reads)
    rows = [
        _cells(item, lot=lot, count=count, book=facts.get((item, lot), {}).get("book", 0.0))
        for (item, lot), count in sorted(there.on_hand.items())
        if count
    ]
    return rows + [_cells(item, count=n, arrives=day) for (item, day), n in sorted(there.coming.items())]


def _cells(name: str, *, count: int, lot: str = "", book: float = 0.0, arrives: date | None = None) -> dict[str, Any]:
    item = item_of(name)
    is_part = item.sort == "part"
    return {
        "item": name, "sort": item.sort, "section": "" if is_part else item.stock,
        "length": inches_said(item.length) if item.length else "",
        "width": inches_said(item.width) if item.width else "", "lot": lot, "count": count, "counted": "",
        "arrives": day_said(arrives), "supplier": "",
        "book": sum_said(round(100 * book)) if item.sort in _TAGGED else "", "note": "",
    }  # fmt: skip


def example(rulebook: Rulebook) -> dict[str, Any]:
    """The example row of the template.

    Args:
        rulebook: The rules in force.
    """
    stick = rulebook.shop.sticks[0]
    row = _cells(name_of(Item(name="", sort="stick", stock=next(iter(rulebook.sections)), length=stick)), count=2)
    return {**row, "item": "example: take this row out"}
