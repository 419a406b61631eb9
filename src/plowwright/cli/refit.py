"""Command about refits: an existing blade for another machine."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated, Literal

import typer
from rich.console import Console
from rich.progress import Progress, SpinnerColumn, TextColumn

from plowwright.cli.common import Demo, Json, Records, Rules, app, desk_of, say
from plowwright.desk.desk import demo_folder
from plowwright.desk.refit import RefitDesk
from plowwright.desk.serials import FOLDER
from plowwright.errors import EntryError


@app.command()
def refit(
    what: Annotated[
        str, typer.Argument(metavar="SERIAL|SPEC.toml", help="A serial number, a spec file, or an order for a refit.")
    ],
    to: Annotated[
        str, typer.Option("--to", help="Carrier it goes to: a file or a known name; left out, the order's own.")
    ] = "",
    rules_of: Annotated[
        str, typer.Option("--rules-of", help="Day whose rules it was built by, as 2022-03-01, where its file has none.")
    ] = "",
    mount: Annotated[str, typer.Option("--mount", help="Mount other than the first that couples.")] = "",
    hoses: Annotated[str, typer.Option("--hoses", help="Hoses other than those with the carrier's couplers.")] = "",
    out: Annotated[Path | None, typer.Option("--out", help="Folder to write the papers into.")] = None,
    system: Annotated[Literal["us", "metric"], typer.Option("--system", help="Units on the papers.")] = "us",
    paper: Annotated[Literal["letter", "a4"], typer.Option("--paper", help="Sheet size.")] = "letter",
    owner: Annotated[bool, typer.Option("--owner", help="Show cost, margin and floor in the JSON.")] = False,
    records: Records = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Say what an existing blade keeps, changes, buys and has checked to go on another machine, and what that costs."""
    desk = desk_of(rulebook, demo=demo, records=records)
    refits = RefitDesk(desk, demo_folder() / FOLDER if demo else None)
    changes = {name: value for name, value in (("mount", mount), ("hoses", hoses)) if value}
    with Progress(
        SpinnerColumn(), TextColumn("{task.description}"), console=Console(stderr=True), transient=True
    ) as bar:
        bar.add_task("working the refit out")
        found = refits.work_out(what, to, rules_of=_day(rules_of), changes=changes, system=system)
    lines = found.lines(system=system)
    if out is not None:
        written = refits.papers(found, out, system=system, paper=paper)
        lines.append(f"{len(written)} papers are in {out}: the refit sheet, and drawings of the new plates only.")
    say(found.as_dict(owner=owner), lines, as_json=as_json)


def _day(text: str) -> date | None:
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError as fault:
        raise EntryError(
            "not a day", value=text, way_out="Write it as --rules-of 2022-03-01.", where="--rules-of"
        ) from fault
