"""Commands over the shop's records: a backup, the way back, the check, and everything in open files."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import Annotated, Any

import typer
from rich.console import Console
from rich.progress import Progress, SpinnerColumn, TextColumn

from plowwright import rulebook as rulebooks
from plowwright.cli.common import Demo, Json, Rules, Who, app, say
from plowwright.desk.desk import demo_folder
from plowwright.desk.opening import fill, open_records
from plowwright.errors import NotFoundError
from plowwright.store import backup as backups
from plowwright.store import checking
from plowwright.store.export import export as write_open
from plowwright.store.workbook import Workbook
from plowwright.units import counted

Records = Annotated[
    str,
    typer.Option("--records", help="Folder of the records, or the address of their PostgreSQL.",
                 envvar="PLOWWRIGHT_RECORDS"),
]  # fmt: skip
Files = Annotated[Path | None, typer.Option("--files", help="Folder of photos and papers, beside a PostgreSQL.")]


def _opened(records: str, files: Path | None) -> Workbook:
    try:
        return Workbook.open(records, files=files, make=False)
    except NotFoundError as missing:
        raise NotFoundError(
            missing.what, value=missing.value, way_out="Name the folder that holds shop.db with --records."
        ) from missing


@app.command(name="open")
def open_shop(
    who: Who,
    rulebook: Rules = None,
    records: Records = "records",
    files: Files = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Begin the shop's records: filled once from orders.toml, rack.toml and serials-past.toml beside the rulebook."""
    folder = demo_folder() / "rulebook" if demo else rulebook or Path("rulebook")
    rules = rulebooks.load(folder)
    book = open_records(records, files=files)
    with Progress(SpinnerColumn(), TextColumn("{task.description}"), console=Console(stderr=True), transient=True) as p:
        task = p.add_task("Filling in ...", total=None)

        def told(what: str) -> None:
            p.update(task, description=f"Filling in {what} ...")

        counts = fill(book, folder.parent, rules, progress=told, own_clock=demo, who=who)
    book.close()
    source = "the files of the invented shop" if demo else str(folder.parent)
    parts = [counted(counts["orders"], "order"), counted(counts["items"], "stock item"),
             counted(counts["blades"], "past blade")]  # fmt: skip
    filled = f"filled from {source}: {parts[0]}, {parts[1]} and {parts[2]}"
    done = filled if any(counts.values()) else "filled before, nothing was changed"
    say(counts, [f"{records}: {done}."], as_json=as_json)


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
    lines = [f"{made.file}: {counted(made.events, 'event')} and {counted(made.files, 'file')}, "
             f"as of {made.taken:%Y-%m-%d %H:%M}."]  # fmt: skip
    if made.missing:
        lines.append(_missing(len(made.missing)))
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
    lines = [f"{folder}: {counted(sum(made.rows.values()), 'row')} of {counted(len(made.rows), 'table')}, "
             f"{counted(made.files, 'file')}."]  # fmt: skip
    if made.missing:
        lines.append(_missing(len(made.missing)))
    say(_plain(asdict(made)), lines, as_json=as_json)


def _missing(files: int) -> str:
    return f"Not in it, because gone or damaged: {counted(files, 'file')}. Run `plowwright check`."


def _tell(report: checking.Report, before: list[str], *, as_json: bool) -> None:
    wrong = f"{counted(len(report.faults), 'thing')} {'is' if len(report.faults) == 1 else 'are'} wrong"
    verdict = "All of it holds." if report.holds else f"{wrong}: see keeping-it-safe.md."
    say(report.as_dict(), [*before, *(f"{line.sentence}." for line in report.lines), verdict], as_json=as_json)
    if not report.holds:
        raise typer.Exit(1)


def _plain(told: dict[str, Any]) -> dict[str, Any]:
    return {name: str(value) if not isinstance(value, (int, tuple, dict)) else value for name, value in told.items()}
