"""All rows of the records as plain lines and back: the open form that either database can be filled from."""

from __future__ import annotations

import gzip
import json
from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Connection, Date, DateTime, MetaData, Table, insert, select, text

from plowwright.errors import StoreError
from plowwright.store.migrating import schema_of
from plowwright.store.plain import written

ENDING: Final = ".jsonl.gz"
"""How the name of such a file ends."""
_HEAD: Final = "plowwright records, schema"
_BATCH: Final = 500


def tables_of(connection: Connection) -> list[Table]:
    """The tables that are really there, whatever their schema, those others point to first.

    Args:
        connection: To the records.
    """
    found = MetaData()
    found.reflect(connection)
    # Tables of one circle (a line that reverses a line) are held together only at the end of a transaction.
    return [table for table in found.sorted_tables if table.name != "alembic_version"]


def rows_of(connection: Connection, table: Table) -> Iterator[dict[str, Any]]:
    """Every row of a table in the order of its key, a few hundred at a time.

    Args:
        connection: To the records.
        table: Which one.
    """
    query = select(table).order_by(*table.primary_key.columns)
    for row in connection.execution_options(yield_per=_BATCH).execute(query).mappings():
        yield dict(row)


def dump(connection: Connection, file: Path) -> int:
    """Write all rows, of one moment, to a file; how many.

    Args:
        connection: A steady view.
        file: Where to.
    """
    count = 0
    with file.open("wb") as raw, gzip.GzipFile(fileobj=raw, mode="wb", filename="", mtime=0) as out:
        out.write((written({_HEAD: schema_of(connection)}) + "\n").encode())
        for table in tables_of(connection):
            for row in rows_of(connection, table):
                out.write((written({"table": table.name, "row": row}) + "\n").encode())
                count += 1
        out.write((written({"rows": count}) + "\n").encode())
    return count


def schema_in(file: Path) -> str:
    """The schema a file of rows was written from.

    Args:
        file: As `dump` wrote it.

    Raises:
        StoreError: It is not such a file.
    """
    try:
        with _opened(file) as lines:
            head = json.loads(next(iter(lines)))
        return str(head[_HEAD])
    except (OSError, EOFError, ValueError, KeyError, TypeError, StopIteration) as fault:
        raise StoreError("this is not a backup of the records", value=file.name) from fault


def load(connection: Connection, file: Path) -> int:
    """Fill empty tables of the same schema; how many rows.

    Args:
        connection: Of one transaction that may write.
        file: As `dump` wrote it.

    Raises:
        StoreError: The file is cut off or damaged.
    """
    tables = {table.name: table for table in tables_of(connection)}
    count, ended = 0, False
    waiting: list[dict[str, Any]] = []
    name = ""
    try:
        with _opened(file) as lines:
            next(lines)
            for line in lines:
                entry = json.loads(line)
                if "rows" in entry:
                    ended = entry["rows"] == count
                    break
                if entry["table"] != name or len(waiting) >= _BATCH:
                    _fill(connection, tables, name, waiting)
                    name, waiting = entry["table"], []
                waiting.append(entry["row"])
                count += 1
    except (OSError, EOFError, ValueError) as fault:
        raise StoreError(
            "the backup cannot be read to its end", value=file.name, way_out="Take another one."
        ) from fault
    if not ended:
        raise StoreError("the backup is cut off", value=f"{file.name}, {count} rows", way_out="Take another one.")
    _fill(connection, tables, name, waiting)
    if connection.dialect.name == "postgresql":
        _count_on(connection, tables.values())
    return count


def _opened(file: Path) -> Any:
    if file.suffix == ".gz":
        return gzip.open(file, "rt", encoding="utf-8")
    return file.open(encoding="utf-8")


def _fill(connection: Connection, tables: dict[str, Table], name: str, rows: list[dict[str, Any]]) -> None:
    if rows:
        table = tables[name]
        connection.execute(insert(table), [_typed(table, row) for row in rows])


def _typed(table: Table, row: dict[str, Any]) -> dict[str, Any]:
    for column in table.columns:
        value = row.get(column.name)
        if value is None:
            continue
        if isinstance(column.type, DateTime):
            row[column.name] = datetime.fromisoformat(value)
        elif isinstance(column.type, Date):
            row[column.name] = date.fromisoformat(value)
    return row


def _count_on(connection: Connection, tables: Any) -> None:
    # The database's own counters must go on after the rows that were brought along.
    for table in tables:
        if "id" in table.c:
            connection.execute(
                text(
                    f"SELECT setval(pg_get_serial_sequence('{table.name}', 'id'), "
                    f"COALESCE((SELECT max(id) FROM {table.name}), 1), (SELECT count(*) > 0 FROM {table.name}))"
                )
            )
