"""What all commands share: the application, its common options, the desk they work at, and how they answer."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated, Any

import typer

from plowwright.desk.desk import Desk, demo_folder
from plowwright.errors import NotFoundError

app = typer.Typer(
    name="plowwright",
    help="Works snow-blade attachments out: parts, weight, price, papers.",
    no_args_is_help=True,
    add_completion=False,
)

Json = Annotated[bool, typer.Option("--json", help="Answer for a machine, as JSON.")]
Rules = Annotated[Path | None, typer.Option("--rulebook", help="Folder of the rulebook; ./rulebook when left out.")]
Demo = Annotated[bool, typer.Option("--demo", help="Use the invented shop.")]


def desk_of(rulebook: Path | None, *, demo: bool) -> Desk:
    """The desk a command works at.

    Args:
        rulebook: Folder of the rulebook, or None for the usual one.
        demo: Whether the invented shop is meant.

    Raises:
        NotFoundError: There is no such folder.
    """
    if demo:
        return Desk(rulebook, demo_folder() / "orders.toml") if rulebook else Desk.demo()
    folder = rulebook or Path("rulebook")
    if not folder.is_dir():
        raise NotFoundError(
            "no rulebook here", value=str(folder), way_out="Name its folder with --rulebook, or use --demo."
        )
    orders = folder.parent / "orders.toml"
    return Desk(folder, orders if orders.is_file() else None)


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
