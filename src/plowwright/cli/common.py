"""What all commands share: the application, its common options, the desk they work at, and how they answer."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Annotated, Any

import typer

from plowwright.desk.acting import Hand, hand
from plowwright.desk.desk import Desk, demo_folder
from plowwright.errors import NotFoundError
from plowwright.store.database import FILE

FOLDER = "records"
"""Where a shop's records are when nobody says otherwise."""
app = typer.Typer(
    name="plowwright",
    help="Works snow-blade attachments out: parts, weight, price, papers.",
    no_args_is_help=True,
    add_completion=False,
)

Json = Annotated[bool, typer.Option("--json", help="Answer for a machine, as JSON.")]
Rules = Annotated[Path | None, typer.Option("--rulebook", help="Folder of the rulebook; ./rulebook when left out.")]
Demo = Annotated[bool, typer.Option("--demo", help="Use the invented shop.")]
Records = Annotated[
    str | None,
    typer.Option("--records", help="Folder of the shop's records, or the address of their PostgreSQL.",
                 envvar="PLOWWRIGHT_RECORDS"),
]  # fmt: skip
Who = Annotated[str, typer.Option("--who", help="Who does it, as R.K.", envvar="PLOWWRIGHT_WHO")]
Key = Annotated[
    str, typer.Option("--key", help="Any text given once: the same key is the same command, done once.")
]


def hand_of(who: str, key: str) -> Hand:
    """Who acts, and by which key.

    Args:
        who: Who does it.
        key: The key, or "" for a fresh one.

    Raises:
        EntryError: Nobody is named.
    """
    return hand(who, key)


def desk_of(rulebook: Path | None, *, demo: bool, records: str | None = None) -> Desk:
    """The desk a command works at.

    Args:
        rulebook: Folder of the rulebook, or None for the usual one.
        demo: Whether the invented shop is meant.
        records: Folder or address of the records; None for the folder `records` where there is one, else for plain
            files, which are only read.

    Raises:
        NotFoundError: There is no such folder.
    """
    if records is None and not demo and (Path(FOLDER) / FILE).is_file():
        records = FOLDER
    if records is not None:
        from plowwright.desk.opening import open_demo, open_records

        if demo:
            return open_demo(records)
        folder = _rules(rulebook)
        return Desk(folder, records=open_records(records))
    if demo:
        return Desk(rulebook, demo_folder() / "orders.toml") if rulebook else Desk.demo()
    folder = _rules(rulebook)
    orders = folder.parent / "orders.toml"
    return Desk(folder, orders if orders.is_file() else None)


@contextmanager
def looked_at(rulebook: Path | None, records: str | None, *, demo: bool) -> Iterator[Desk]:
    """The desk of a command that only looks; the invented shop is opened aside where no records of it are named.

    Args:
        rulebook: Folder of the rulebook, or None for the usual one.
        records: Folder or address of the records, or None.
        demo: Whether the invented shop is meant.
    """
    if not demo or records is not None:
        yield desk_of(rulebook, demo=demo, records=records)
        return
    with TemporaryDirectory(prefix="plowwright-demo-") as aside:
        desk = desk_of(rulebook, demo=True, records=aside)
        yield desk
        desk.book.close()


def _rules(rulebook: Path | None) -> Path:
    folder = rulebook or Path("rulebook")
    if not folder.is_dir():
        raise NotFoundError(
            "no rulebook here", value=str(folder), way_out="Name its folder with --rulebook, or use --demo."
        )
    return folder


def say(answer: Any, lines: list[str], *, as_json: bool) -> None:
    """Answer a command.

    Args:
        answer: What a machine reads.
        lines: What a person reads.
        as_json: Whether a machine asked.
    """
    if as_json:
        print(json.dumps(answer, indent=1))
    else:
        for line in lines:
            print(line)
