"""Lists read in: rows of a CSV or XLSX file by their headings, each with the line it stands on.

A heading may carry the unit of its column in square brackets, as our own lists do; then a bare number is one. Without
it every cell has to say its unit.
"""

from __future__ import annotations

import codecs
import csv
import difflib
import io
import re
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import nan
from pathlib import Path
from typing import Final
from xml.etree.ElementTree import ParseError

from plowwright import units
from plowwright.errors import EntryError, NotFoundError

_TITLE = re.compile(r"^(?P<name>[^\[]+?)\s*(?:\[(?P<unit>[^\]]*)\])?$")
_SUFFIX = re.compile(r"^(?P<name>.+?) (?P<unit>in|ft|mm|cm|m|lb|kg|usd|deg)$")
_OTHERS = {
    "stock": ("section", "profile", "material", "sheet", "plate"),
    "quantity": ("qty", "pieces", "pcs", "count", "number of pieces"),
    "on hand": ("available", "in stock", "qty on hand", "count", "quantity", "qty"),
    "price": ("cost", "price each"),
    "tag": ("id", "piece", "label", "name"),
    "order": ("order number", "job"),
    "drawing": ("file", "dxf"),
}
"""What others call our columns; ours go first, and none of theirs is taken where ours is there."""
_BARE = re.compile(r"^[+-]?[\d.,]+([- ]\d+/\d+)?$|^\d+/\d+$")
_EITHER = re.compile(r"^\d{1,3},\d{3}$")
MOST_ROWS: Final = 50_000
"""More rows than any such shop's list has; a longer one is another file [-]."""
MOST_BYTES: Final = 32_000_000
"""Larger than any such list; a larger one is another file [bytes]."""
_TRUE, _FALSE = ("yes", "y", "true", "1", "x"), ("no", "n", "false", "0", "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One row of a list.

    Attributes:
        cells: Text by heading, in small letters, without its unit.
        column_units: Unit by heading, where the heading names one.
        where: File and line, for messages.
        line: The line alone [-].
    """

    cells: Mapping[str, str]
    column_units: Mapping[str, str]
    where: str
    line: int = 0

    def text(self, name: str, default: str = "") -> str:
        """What stands in a column, or the default where it is empty or not there.

        Args:
            name: Heading.
            default: What an empty cell means.
        """
        return self.cells.get(name, "").strip() or default

    def quantity(self, name: str, kind: str, default: float | None = None) -> float:
        """A size in SI.

        Args:
            name: Heading.
            kind: Kind of quantity.
            default: What an empty cell means; None where it may not be empty [SI of its kind].

        Raises:
            EntryError: Empty where it may not be, or no such size.
            UnitError: No unit in the cell or in the heading.
        """
        text = self.text(name)
        if not text:
            if default is None:
                formula = "; a formula counts once a spreadsheet has worked it out and saved it"
                hint = formula if ".xls" in self.where else ""
                raise EntryError(f"no {name} here", where=self.where, way_out=f"Fill in the column {name}{hint}.")
            return default
        unit = self.column_units.get(name, "")
        if unit and _BARE.match(text):
            text = f"{text} {unit}"
        return units.si(text, kind, f"{self.where}, {name}")

    def count(self, name: str, default: int = 1) -> int:
        """A whole number, 0 or more [-].

        Args:
            name: Heading.
            default: What an empty cell means.

        Raises:
            EntryError: It is no whole number.
        """
        text = self.text(name)
        if not text:
            return default
        try:
            value = float(text)
        except ValueError:
            value = nan
        if not value >= 0 or not value.is_integer():
            raise EntryError(
                f"{name} is not a whole number", value=text, limit="0 or more", where=self.where, way_out="Write 2."
            )
        return int(value)

    def yes(self, name: str, *, default: bool = False) -> bool:
        """Yes or no.

        Args:
            name: Heading.
            default: What an empty cell means.

        Raises:
            EntryError: It is neither.
        """
        text = self.text(name).lower()
        if not text:
            return default
        if text not in (*_TRUE, *_FALSE):
            raise EntryError(f"{name} is neither yes nor no", value=text, where=self.where, way_out="Write yes or no.")
        return text in _TRUE


def read(
    path: Path | str, *, needs: Sequence[str], knows: Sequence[str] = (),
    others: Mapping[str, Sequence[str]] = _OTHERS,
) -> list[Entry]:  # fmt: skip
    """Rows of a list.

    Args:
        path: A .csv or .xlsx file.
        needs: Headings that must be there.
        knows: Others that may be.
        others: What others call our columns, by our heading.

    Raises:
        NotFoundError: There is no such file.
        EntryError: It cannot be read, a heading is missing or not known, or it holds no row.
    """
    file = Path(path)
    if not file.is_file():
        raise NotFoundError("there is no list here", value=str(file), way_out="Give a .csv or .xlsx file.")
    return read_bytes(file.read_bytes(), file.name, needs=needs, knows=knows, others=others)


def read_bytes(
    data: bytes, name: str, *, needs: Sequence[str], knows: Sequence[str] = (),
    others: Mapping[str, Sequence[str]] = _OTHERS,
) -> list[Entry]:  # fmt: skip
    """Rows of a list that came over the wire.

    Args:
        data: What is in the file.
        name: What it is called; its ending says whether it is a workbook.
        needs: Headings that must be there.
        knows: Others that may be.
        others: What others call our columns, by our heading.

    Raises:
        EntryError: It cannot be read, a heading is missing or not known, it holds no row or too many.
    """
    if len(data) > MOST_BYTES:
        raise EntryError(
            "this file is too large for a list", where=name, value=f"{len(data) / 1e6:.0f} MB",
            limit=f"{MOST_BYTES / 1e6:.0f} MB", way_out="Take pictures out, or split it.",
        )  # fmt: skip
    columns = _Columns(needs=needs, knows=knows, others=others)
    is_book = Path(name).suffix.lower() in (".xlsx", ".xlsm")
    rows = _workbook(data, name, columns) if is_book else _text(data, name, columns)
    filled = [(line, cells) for line, cells in rows if any(c.strip() for c in cells)]
    # A caption may stand above the headings: the first line that names a needed one is theirs.
    at = next((i for i, (_, cells) in enumerate(filled) if columns.named(cells)), None)
    if at is None:
        raise EntryError(
            "this list has no headings that are known here", where=name,
            value=", ".join(filled[0][1])[:80] if filled else "an empty file", limit=", ".join(needs),
            way_out=f"Name the columns in the first line: {', '.join((*needs, *knows))}.",
        )  # fmt: skip
    names, column_units = _headings(filled[at][1], name, columns)
    found = [
        Entry(
            cells={head: cell for head, cell in zip(names, cells, strict=False) if head},
            column_units=column_units,
            where=f"{name} line {line}",
            line=line,
        )
        for line, cells in filled[at + 1 :]
    ]
    if not found:
        raise EntryError("this list has headings and no row", where=name, way_out="Add a line for each thing.")
    if len(found) > MOST_ROWS:
        raise EntryError("more rows than a shop's list has", where=name, value=f"{len(found):,}",
                         limit=f"{MOST_ROWS:,}", way_out="Split it into several files.")  # fmt: skip
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class _Columns:
    needs: Sequence[str]
    knows: Sequence[str]
    others: Mapping[str, Sequence[str]]

    def ours(self, cells: Sequence[str]) -> list[str]:
        """Our name of each heading, what is nobody's left as it is."""
        names = [_split(cell)[0] for cell in cells]
        known = (*self.needs, *self.knows)
        for own in known:
            if own in names:
                continue
            theirs = next((o for o in self.others.get(own, ()) if o in names and o not in known), None)
            if theirs is not None:
                names[names.index(theirs)] = own
        return names

    def named(self, cells: Sequence[str]) -> bool:
        """Whether a line names one of the needed columns."""
        return any(name in self.needs for name in self.ours(cells))


def _split(cell: str) -> tuple[str, str]:
    """Name and unit of a heading: "Length [in]", "length (in)", "length_in"."""
    plain = cell.strip().replace("_", " ").replace("(", "[").replace(")", "]")
    found = _TITLE.match(plain)
    if not found:
        return "", ""
    name, unit = found["name"].strip().lower(), (found["unit"] or "").strip()
    ended = None if unit else _SUFFIX.match(name)
    if not ended:
        return name, unit
    return ended["name"], "USD" if ended["unit"] == "usd" else ended["unit"]


def _headings(cells: Sequence[str], file: str, columns: _Columns) -> tuple[list[str], dict[str, str]]:
    names, known = columns.ours(cells), (*columns.needs, *columns.knows)
    missing = [name for name in columns.needs if name not in names]
    if missing:
        raise EntryError(
            f"column missing: {', '.join(missing)}", where=file, value=", ".join(n for n in names if n),
            way_out=f"A list of this kind has: {', '.join(known)}.",
        )  # fmt: skip
    twice = sorted({name for name in known if names.count(name) > 1})
    if twice:
        raise EntryError("two columns have one heading", where=file, value=", ".join(twice),
                         way_out="Rename or drop the one that is not meant.")  # fmt: skip
    for name in names:
        if name and name not in known:
            close = [near for near in difflib.get_close_matches(name, known, n=1, cutoff=0.7) if near not in names]
            if close:
                # A heading nearly ours, where ours is missing, is a slip of the pen; any other is the sender's own.
                raise EntryError(
                    "a column that is not known here", where=file, value=name, way_out=f"Did you mean {close[0]}?"
                )
    said = {name: unit for name, cell in zip(names, cells, strict=True) if name and (unit := _split(cell)[1])}
    return names, said


def _text(raw: bytes, name: str, columns: _Columns) -> list[tuple[int, list[str]]]:
    try:
        text = raw.decode("utf-16" if raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)) else "utf-8-sig")
    except UnicodeDecodeError:
        text = raw.decode("cp1252", errors="replace")
    first = next((line for line in text.splitlines() if line.strip()), "")
    marks = sorted((",", ";", "\t"), key=first.count, reverse=True)
    tried = [(mark, _parted(text, mark, name)) for mark in marks]
    # A caption may be full of commas: the mark that parts the headings is the one meant.
    mark, rows = next((t for t in tried if any(columns.named(cells) for _, cells in t[1])), tried[0])
    if mark == ";":
        _ask_about_commas(rows, name)
    return rows


def _parted(text: str, mark: str, name: str) -> list[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark)
    try:
        # An apostrophe in front keeps a spreadsheet from reading a text as a formula; it is not part of the text.
        return [(reader.line_num, [cell.removeprefix("'") for cell in row]) for row in reader]
    except csv.Error as error:
        raise EntryError(
            "this is no list", where=f"{name} line {reader.line_num}", value=str(error),
            way_out="A quotation mark may stand open: look at that line, or save the list again as .csv or .xlsx.",
        ) from error  # fmt: skip


def _ask_about_commas(rows: Sequence[tuple[int, list[str]]], name: str) -> None:
    """A list parted by semicolons mostly has decimal commas: 1,200 could be either."""
    for line, cells in rows:
        for cell in cells:
            if _EITHER.match(cell.strip()):
                plain = cell.strip()
                raise EntryError(
                    "a comma that may part thousands or decimals", where=f"{name} line {line}", value=plain,
                    way_out=f"Write {plain.replace(',', '')} or {plain.replace(',', '.')}.",
                )  # fmt: skip


def _workbook(data: bytes, name: str, columns: _Columns) -> list[tuple[int, list[str]]]:
    from openpyxl import load_workbook

    try:
        book = load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        pages = [
            [
                (number, ["" if cell is None else _cell(cell) for cell in row])
                for number, row in enumerate(sheet.iter_rows(values_only=True, max_row=2 * MOST_ROWS), 1)
            ]
            for sheet in book.worksheets
        ]
        book.close()
    except (zipfile.BadZipFile, KeyError, OSError, ValueError, TypeError, ParseError) as error:
        raise EntryError(
            "this is no workbook", where=name, way_out="Save it as .xlsx, or as .csv, and give that."
        ) from error
    # The list need not be on the first page: a cover may stand before it.
    found = next((rows for rows in pages if any(columns.named(cells) for _, cells in rows)), None)
    return found if found is not None else next(iter(pages), [])


def _cell(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:.10g}" if isinstance(value, float) else str(value)
