"""Everything in open files: a shop that leaves takes its records along, readable with nothing but an editor."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Connection, Table

from plowwright.errors import EntryError, NotFoundError, StoreError
from plowwright.store import records as r
from plowwright.store import whole
from plowwright.store.plain import written
from plowwright.store.workbook import Workbook

READ_ME: Final = "read me.txt"
_UNSAFE: Final = re.compile(r"[^\w .()-]+")


@dataclass(frozen=True, slots=True, kw_only=True)
class Exported:
    """What was written: rows of each table, files, and files that could not be read."""

    folder: Path
    rows: dict[str, int]
    files: int
    missing: tuple[str, ...]


def export(workbook: Workbook, to: str | Path) -> Exported:
    """Write every row as a line of JSON and as a row of CSV, and every photo and paper under its own name.

    Args:
        workbook: The records.
        to: A new or empty folder.

    Raises:
        EntryError: The folder is not empty.
    """
    folder = Path(to)
    if folder.exists() and any(folder.iterdir()):
        raise EntryError("the folder is not empty", value=str(folder), way_out="Name a new one.")
    folder.mkdir(parents=True, exist_ok=True)
    with workbook.reading() as q:
        tables = whole.tables_of(q.connection)
        rows = {table.name: _table(q.connection, table, folder) for table in tables}
        kept = q.find(r.KeptFile)
    missing: list[str] = []
    for file in kept:
        place = folder / "files" / f"{file.digest[:12]} {_UNSAFE.sub('_', Path(file.name).name)[-80:]}"
        place.parent.mkdir(exist_ok=True)
        try:
            place.write_bytes(workbook.filing.read(file.digest))
        except (NotFoundError, StoreError):
            missing.append(file.digest)
    (folder / READ_ME).write_text(_read_me(workbook, rows), encoding="utf-8")
    return Exported(folder=folder, rows=rows, files=len(kept) - len(missing), missing=tuple(missing))


def _table(connection: Connection, table: Table, folder: Path) -> int:
    names = [column.name for column in table.columns]
    count = 0
    with (
        (folder / f"{table.name}.jsonl").open("w", encoding="utf-8") as lines,
        (folder / f"{table.name}.csv").open("w", encoding="utf-8", newline="") as sheet,
    ):
        out = csv.writer(sheet)
        out.writerow(names)
        for row in whole.rows_of(connection, table):
            lines.write(written(row) + "\n")
            out.writerow([_cell(row[name]) for name in names])
            count += 1
    return count


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, str):
        return value
    text = written(value)
    return text[1:-1] if text.startswith('"') else text


def _read_me(workbook: Workbook, rows: dict[str, int]) -> str:
    listed = "\n".join(f"{name:15} {count:>9,} rows" for name, count in sorted(rows.items()))
    return (
        f"Records of the shop, written on {workbook.now():%Y-%m-%d %H:%M}, schema {workbook.schema()}.\n\n"
        "Each table is there twice with the same content: name.jsonl (one JSON object a line, UTF-8) and name.csv\n"
        "(comma, UTF-8, names in the first row; what is not plain text or a number is JSON in its cell).\n"
        "Money is in cents, mass in kg, days as 2026-11-11, times as 2026-11-11T08:00:00 by the shop's clock.\n"
        "The folder files holds photos and papers; the first twelve figures of a name are those of files.digest.\n"
        "The column event is the number of the event that wrote the row: see events for who and when.\n\n"
        f"{listed}\n"
    )
