"""Backups while the shop works, and the way back from them.

A folder of backups holds one file of records for each time, what is known of it beside it, and one shared folder of
photos and papers, to which each backup adds only what is new.
"""

from __future__ import annotations

import hashlib
import json
import shutil
import sqlite3
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Engine, func, select

from plowwright.errors import EntryError, NotFoundError, StoreError
from plowwright.store import database, migrating, whole
from plowwright.store import tables as t
from plowwright.store.commands import last_event
from plowwright.store.filing import Filing, settle
from plowwright.store.workbook import FILES, Workbook

_DAY: Final = "%Y-%m-%d %H.%M.%S"
_ABOUT: Final = ".about.json"


@dataclass(frozen=True, slots=True, kw_only=True)
class Backup:
    """One backup: its file, when it was taken, the schema, how many events and files it holds, and its digests."""

    file: Path
    taken: datetime
    schema: str
    events: int
    last_digest: str
    files: int
    missing: tuple[str, ...]
    digest: str


def back_up(workbook: Workbook, to: str | Path, *, open_form: bool = False) -> Backup:
    """Take a backup while others go on working.

    Args:
        workbook: The records.
        to: Folder of backups, best on another disk.
        open_form: Whether to write plain lines, which either database can be filled from, instead of a copy of the
            SQLite database; a PostgreSQL is always written as plain lines.

    Raises:
        StoreError: The copy is not sound; nothing is left behind.
    """
    folder = Path(to)
    folder.mkdir(parents=True, exist_ok=True)
    ending = whole.ENDING if open_form or not workbook.is_sqlite else ".db"
    file = _free(folder, f"{workbook.now():{_DAY}}", ending)
    new = file.with_name(f".new {file.name}")
    try:
        if ending == ".db":
            copy_sqlite(workbook.engine, new)
            engine = database.sqlite_file(new)
        else:
            engine = workbook.engine
        try:
            with database.reading(engine) as connection:
                schema, (events, last) = migrating.schema_of(connection), last_event(connection)
                digests = list(connection.execute(select(t.files.c.digest).order_by(t.files.c.digest)).scalars())
                if ending != ".db":
                    whole.dump(connection, new)
        finally:
            if engine is not workbook.engine:
                engine.dispose()
                _single(new)
        # Files are kept before the records that name them, so whatever these records name is there by now.
        missing = _bring_files(workbook.filing, Filing(folder / FILES), digests)
        settle(new)
        new.replace(file)
        settle(folder)
    except BaseException:
        new.unlink(missing_ok=True)
        raise
    made = Backup(
        file=file, taken=workbook.now(), schema=schema, events=events, last_digest=last,
        files=len(digests) - len(missing), missing=tuple(missing), digest=_digest(file),
    )  # fmt: skip
    _about(file).write_text(
        json.dumps({**asdict(made), "file": file.name}, default=str, indent=1) + "\n", encoding="utf-8"
    )
    return made


def copy_sqlite(engine: Engine, file: Path) -> None:
    """A sound copy of a SQLite database, of one moment, while others write.

    Args:
        engine: Of the records.
        file: Where to; it is overwritten.

    Raises:
        StoreError: The copy is not sound.
    """
    file.unlink(missing_ok=True)
    source = engine.raw_connection()
    target = sqlite3.connect(file)
    try:
        driver = source.driver_connection
        assert isinstance(driver, sqlite3.Connection), "the records are SQLite"
        driver.backup(target)
        target.execute("PRAGMA journal_mode = DELETE")
        said = target.execute("PRAGMA integrity_check").fetchone()[0]
    finally:
        target.close()
        source.close()
    if said != "ok":
        file.unlink(missing_ok=True)
        raise StoreError("the copy of the records is not sound", value=said, way_out="Run `plowwright check`.")


def backups_in(folder: str | Path) -> list[Path]:
    """The backups of a folder, the newest last.

    Args:
        folder: Of backups.
    """
    found = [p for p in Path(folder).glob("*") if p.name.endswith((".db", whole.ENDING)) and not p.name.startswith(".")]
    return sorted(found, key=_in_time)


def restore(
    backup: str | Path, to: str | Path, *, files: str | Path | None = None, put_aside: bool = False
) -> Workbook:
    """Fill a folder or a database from a backup, and open it.

    Args:
        backup: Its file, or a folder of backups: then the newest.
        to: A folder, or the address of an empty PostgreSQL (for backups of plain lines).
        files: Folder for photos and papers where `to` is an address.
        put_aside: Whether records that are there are renamed and kept, instead of a refusal.

    Raises:
        NotFoundError: There is no such backup.
        EntryError: Records are there already.
        StoreError: The backup is damaged.
    """
    file = _chosen(Path(backup))
    _sound(file)
    plain_lines = file.name.endswith(whole.ENDING) or file.suffix == ".jsonl"
    if database.is_address(to):
        if not plain_lines:
            raise EntryError(
                "a copy of a SQLite database cannot fill a PostgreSQL",
                value=file.name,
                way_out="Open the old records, take a backup in the open form, and restore that.",
            )
        if put_aside:
            raise EntryError("a PostgreSQL is not put aside", way_out="Make a new empty database and name that.")
        _load(file, to)
    else:
        folder = Path(to)
        folder.mkdir(parents=True, exist_ok=True)
        _clear(folder, put_aside=put_aside)
        if plain_lines:
            _load(file, folder)
        else:
            schema = _schema_in(file)
            migrating.refuse_unknown(schema)
            new = folder / f".new {database.FILE}"
            shutil.copyfile(file, new)
            new.replace(folder / database.FILE)
    book = Workbook.open(to, files=files)
    _files_back(book, Filing(file.parent / FILES))
    return book


def _load(file: Path, to: str | Path) -> None:
    schema = whole.schema_in(file)
    migrating.refuse_unknown(schema)
    engine = database.engine_of(to)
    try:
        with database.reading(engine) as connection:
            there = migrating.schema_of(connection)
            if there and connection.execute(select(func.count()).select_from(t.events)).scalar_one():
                raise EntryError(
                    "there are records already",
                    value=str(engine.url.database),
                    way_out="Name an empty database or folder.",
                )
        if there and there != schema:
            raise EntryError("the empty records are of another schema", value=there, limit=schema)
        migrating.bring_up(engine, to=schema)
        with database.writing(engine) as connection:
            whole.load(connection, file)
    finally:
        engine.dispose()


def _clear(folder: Path, *, put_aside: bool) -> None:
    there = folder / database.FILE
    if not there.exists():
        _forget(folder)
        return
    if not put_aside:
        raise EntryError(
            "there are records in this folder already",
            value=str(folder),
            way_out="Name another folder, or say that the records there are to be put aside.",
        )
    aside = _free(folder, f"put aside {datetime.now():{_DAY}}", ".db")
    engine = database.engine_of(folder)
    copy_sqlite(engine, aside)  # takes along what still lies in the write-ahead log
    engine.dispose()
    _forget(folder)


def _forget(folder: Path) -> None:
    # A write-ahead log left by other records would be taken for part of the restored ones.
    for ending in ("", "-wal", "-shm"):
        (folder / f"{database.FILE}{ending}").unlink(missing_ok=True)


def _chosen(backup: Path) -> Path:
    if backup.is_dir():
        found = backups_in(backup)
        if not found:
            raise NotFoundError("no backup in this folder", value=str(backup))
        return found[-1]
    if not backup.is_file():
        raise NotFoundError("no such backup", value=str(backup), way_out="Name a backup's file, or its folder.")
    return backup


def _sound(file: Path) -> None:
    about = _about(file)
    if about.is_file():
        said: dict[str, Any] = json.loads(about.read_text(encoding="utf-8"))
        if said.get("digest") != _digest(file):
            raise StoreError("the backup is not what it was when taken", value=file.name, way_out="Take another one.")


def _schema_in(file: Path) -> str:
    try:
        with sqlite3.connect(f"file:{file}?mode=ro", uri=True) as link:
            return str(link.execute("SELECT version_num FROM alembic_version").fetchone()[0])
    except (sqlite3.DatabaseError, TypeError) as fault:
        raise StoreError("this is not a backup of the records", value=file.name) from fault


def _bring_files(source: Filing, target: Filing, digests: list[str]) -> list[str]:
    missing: list[str] = []
    for digest in digests:
        if target.path(digest).is_file():
            continue
        try:
            target.keep(source.read(digest))
        except (NotFoundError, StoreError):
            missing.append(digest)  # said in the backup, and by the check; the rest is worth keeping all the more
    return missing


def _files_back(book: Workbook, source: Filing) -> None:
    if not source.is_there:
        return
    with book.reading() as q:
        digests = list(q.connection.execute(select(t.files.c.digest)).scalars())
    _bring_files(source, book.filing, digests)


def _free(folder: Path, stem: str, ending: str) -> Path:
    number, file = 1, folder / f"{stem}{ending}"
    while file.exists():
        number += 1
        file = folder / f"{stem}, {number}{ending}"
    return file


def _in_time(file: Path) -> tuple[str, int]:
    # Of two in one second the second has a number after it.
    stem = file.name.removesuffix(".db").removesuffix(whole.ENDING)
    day, _, number = stem.partition(", ")
    return day, int(number) if number.isdigit() else 1


def _single(file: Path) -> None:
    # Reading the copy in write-ahead mode left two files beside it; back to one.
    link = sqlite3.connect(file)
    try:
        link.execute("PRAGMA journal_mode = DELETE")
    finally:
        link.close()


def _about(file: Path) -> Path:
    return file.with_name(file.name + _ABOUT)


def _digest(file: Path) -> str:
    with file.open("rb") as data:
        return hashlib.file_digest(data, "sha256").hexdigest()
