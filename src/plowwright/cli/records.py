"""Commands over the shop's records: a backup, the way back, the check, and everything in open files."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import Annotated, Any

import typer

from plowwright.cli.common import Json, app, say
from plowwright.errors import NotFoundError
from plowwright.store import backup as backups
from plowwright.store import checking
from plowwright.store.export import export as write_open
from plowwright.store.workbook import Workbook

Records = Annotated[str, typer.Option("--records", help="Folder of the records, or the address of their PostgreSQL.")]
Files = Annotated[Path | None, typer.Option("--files", help="Folder of photos and papers, beside a PostgreSQL.")]


def _opened(records: str, files: Path | None) -> Workbook:
    try:
        return Workbook.open(records, files=files, make=False)
    except NotFoundError as missing:
        raise NotFoundError(
            missing.what, value=missing.value, way_out="Name the folder that holds shop.db with --records."
        ) from missing


@app.command()
def backup(
    folder: Annotated[Path, typer.Argument(help="Folder of the backups, best on another disk.")],
    records: Records = "records",
    files: Files = None,
    open_form: Annotated[bool, typer.Option("--open-form", help="Write plain lines instead of a database.")] = False,
    as_json: Json = False,
) -> None:
    """Take a backup of the records while everybody goes on working; it is read over before it counts."""
    with _opened(records, files) as book:
        made = backups.back_up(book, folder, open_form=open_form)
    lines = [f"{made.file}: {made.events:,} events and {made.files:,} files, as of {made.taken:%Y-%m-%d %H:%M}."]
    if made.missing:
        lines.append(f"Not in it, because they are gone or damaged: {len(made.missing)} files. Run `plowwright check`.")
    say(_plain(asdict(made)), lines, as_json=as_json)


@app.command()
def restore(
    saved: Annotated[Path, typer.Argument(metavar="BACKUP", help="A backup, or a folder of them: then the newest.")],
    to: Annotated[str, typer.Argument(metavar="FOLDER", help="Folder to fill, or the address of an empty PostgreSQL.")],
    files: Files = None,
    put_aside: Annotated[
        bool, typer.Option("--put-aside", help="Keep records that are there under another name, instead of refusing.")
    ] = False,
    as_json: Json = False,
) -> None:
    """Fill a folder from a backup and check it; records that are there are never written over."""
    with backups.restore(saved, to, files=files, put_aside=put_aside) as book:
        report = checking.check(book)
    _tell(report, [f"Restored into {to}."], as_json=as_json)


@app.command()
def check(records: Records = "records", files: Files = None, as_json: Json = False) -> None:
    """Look at everything in the records, and name what is wrong."""
    with _opened(records, files) as book:
        report = checking.check(book, files=files is not None or book.is_sqlite)
    _tell(report, [], as_json=as_json)


@app.command()
def export(
    folder: Annotated[Path, typer.Argument(help="A new folder.")],
    records: Records = "records",
    files: Files = None,
    as_json: Json = False,
) -> None:
    """Write everything as open files: each table as JSON lines and as CSV, photos under their names."""
    with _opened(records, files) as book:
        made = write_open(book, folder)
    lines = [f"{folder}: {sum(made.rows.values()):,} rows of {len(made.rows)} tables, {made.files:,} files."]
    if made.missing:
        lines.append(f"Not in it, because they are gone or damaged: {len(made.missing)} files. Run `plowwright check`.")
    say(_plain(asdict(made)), lines, as_json=as_json)


def _tell(report: checking.Report, before: list[str], *, as_json: bool) -> None:
    verdict = "All of it holds." if report.holds else f"{len(report.faults)} things are wrong: see keeping-it-safe.md."
    say(report.as_dict(), [*before, *(f"{line.sentence}." for line in report.lines), verdict], as_json=as_json)
    if not report.holds:
        raise typer.Exit(1)


def _plain(told: dict[str, Any]) -> dict[str, Any]:
    return {name: str(value) if not isinstance(value, (int, tuple, dict)) else value for name, value in told.items()}
