"""Lists for a spreadsheet: CSV and XLSX from the same columns, the same bytes from the same rows.

A column names its unit in its heading, so a number stays a number and can be added up.
"""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import cast

from openpyxl import Workbook
from openpyxl.cell.cell import Cell
from openpyxl.styles import Alignment, Border, Font, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from plowwright.errors import EntryError
from plowwright.papers import clock

Value = str | int | float | bool | None
Row = Mapping[str, Value]
_FORBIDDEN_IN_SHEET_NAMES = "[]:*?/\\"
_LONGEST_SHEET_NAME = 31
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
_WIDEST = 60


@dataclass(frozen=True, kw_only=True)
class Column:
    """One column of a list.

    Attributes:
        field: Key of the value in each row.
        heading: What stands on top, in words.
        unit: Unit of its numbers, put behind the heading; "" for none.
        decimals: Digits after the point that are shown and written [-].
    """

    field: str
    heading: str
    unit: str = ""
    decimals: int = 3

    @property
    def title(self) -> str:
        """Heading with its unit."""
        return f"{self.heading} [{self.unit}]" if self.unit else self.heading


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """One page of a workbook.

    Attributes:
        name: Name on its tab.
        columns: Its columns from left to right.
        rows: One mapping from field to value per line.
        caption: Line above the headings that says what it is, "" for none.
    """

    name: str
    columns: Sequence[Column]
    rows: Sequence[Row]
    caption: str = ""


def write_csv(rows: Sequence[Row], columns: Sequence[Column]) -> bytes:
    """The rows by RFC 4180, lines ended by CR LF, in UTF-8 with its signature in front.

    The signature is there because the common spreadsheets otherwise read the file in the letters of the
    machine and spoil names; programs read it with the encoding "utf-8-sig". A text that a spreadsheet would
    take for a formula gets a leading apostrophe.
    """
    _audit(rows, columns, where="list")
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([column.title for column in columns])
    for row in rows:
        writer.writerow([_plain(row.get(column.field), column) for column in columns])
    return out.getvalue().encode("utf-8-sig")


def write_xlsx(sheets: Sequence[Sheet], *, title: str = "", when: datetime | None = None) -> bytes:
    """A workbook with one page per sheet, headings frozen, numbers as numbers.

    Args:
        sheets: Its pages.
        title: Title in the properties of the file.
        when: Date in the properties; left out, now, or the fixed date of the test mode.
    """
    if not sheets:
        raise EntryError("a workbook needs at least one sheet")
    moment = clock.moment(when).replace(tzinfo=None, microsecond=0)
    book = Workbook()
    book.remove(book.worksheets[0])
    for sheet in sheets:
        _audit(sheet.rows, sheet.columns, where=f"sheet '{sheet.name}'")
        _fill(book.create_sheet(_tab(sheet.name, taken=book.sheetnames)), sheet)
    book.properties.title = title or sheets[0].name
    book.properties.creator = "Plowwright"
    book.properties.created = moment
    book.properties.modified = moment
    out = io.BytesIO()
    book.save(out)
    return _dated(out.getvalue(), moment=moment)


def _audit(rows: Sequence[Row], columns: Sequence[Column], *, where: str) -> None:
    fields = {column.field for column in columns}
    for index, row in enumerate(rows, start=1):
        strange = sorted(set(row) - fields)
        if strange:
            raise EntryError(
                "a row carries values that no column shows",
                where=f"{where}, row {index}",
                value=", ".join(strange),
                limit=", ".join(column.field for column in columns),
                way_out="Add a column or leave the value out, so that nothing is lost on the way.",
            )


def _plain(value: Value, column: Column) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        text = f"{value:.{column.decimals}f}"
        text = text.rstrip("0").rstrip(".") if "." in text else text
        return "0" if text == "-0" else text
    return f"'{value}" if value.startswith(_FORMULA_STARTS) else value


def _tab(name: str, *, taken: Sequence[str]) -> str:
    plain = "".join(" " if letter in _FORBIDDEN_IN_SHEET_NAMES else letter for letter in name).strip()
    plain = plain[:_LONGEST_SHEET_NAME].strip()
    if not plain or plain.lower() in {other.lower() for other in taken}:
        raise EntryError(
            "a sheet needs a name of its own",
            value=name,
            limit=f"{_LONGEST_SHEET_NAME} letters",
            way_out="Name each sheet after what it lists.",
        )
    return plain


def _fill(page: Worksheet, sheet: Sheet) -> None:
    head = 1
    if sheet.caption:
        page.cell(row=1, column=1, value=sheet.caption).font = Font(italic=True)
        head = 3
    rule = Border(bottom=Side(style="thin"))
    for place, column in enumerate(sheet.columns, start=1):
        cell = page.cell(row=head, column=place, value=column.title)
        cell.font, cell.border = Font(bold=True), rule
        cell.alignment = Alignment(wrap_text=True, vertical="bottom")
        shown = [len(column.title)] + [len(_plain(row.get(column.field), column)) for row in sheet.rows]
        page.column_dimensions[get_column_letter(place)].width = min(_WIDEST, max(shown) + 2)
        for line, row in enumerate(sheet.rows, start=head + 1):
            _put(cast(Cell, page.cell(row=line, column=place)), row.get(column.field), column)
    page.freeze_panes = f"A{head + 1}"
    page.print_title_rows = f"{head}:{head}"
    page.page_setup.orientation = "landscape"
    page.page_setup.fitToWidth, page.page_setup.fitToHeight = 1, 0
    page.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)


def _put(cell: Cell, value: Value, column: Column) -> None:
    if isinstance(value, bool):
        cell.value = "yes" if value else "no"
    elif isinstance(value, float):
        cell.value = round(value, column.decimals)
    elif isinstance(value, str):
        # Set as text outright: a part called "=A1" must never run as a formula.
        cell.value = value
        cell.data_type = "s"
    else:
        cell.value = value


def _dated(content: bytes, *, moment: datetime) -> bytes:
    """The same workbook with one date on every file inside, so that equal rows give equal bytes."""
    stamp = (
        max(1980, moment.year),
        moment.month,
        moment.day,
        moment.hour,
        moment.minute,
        moment.second // 2 * 2,
    )
    changed = f'<dcterms:modified xsi:type="dcterms:W3CDTF">{moment:%Y-%m-%dT%H:%M:%SZ}</dcterms:modified>'
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as source, zipfile.ZipFile(out, "w") as target:
        for name in source.namelist():
            data = source.read(name)
            if name == "docProps/core.xml":
                data = _with_change(data.decode("utf-8"), changed=changed).encode("utf-8")
            entry = zipfile.ZipInfo(name, date_time=stamp)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            target.writestr(entry, data)
    return out.getvalue()


def _with_change(text: str, *, changed: str) -> str:
    # The library puts the moment of saving over the date it was given.
    begin, end = text.find("<dcterms:modified"), text.find("</dcterms:modified>")
    if begin < 0 or end < 0:
        return text
    return text[:begin] + changed + text[end + len("</dcterms:modified>") :]
