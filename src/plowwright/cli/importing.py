"""Bringing orders, stock and past blades in from a list: a dry run first, then all of it, or nothing."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from plowwright.cli.common import Demo, Json, Records, Rules, app, desk_of, hand_of, say
from plowwright.desk.desk import Desk
from plowwright.desk.importing import DryRun, Importing
from plowwright.errors import NotFoundError
from plowwright.units import counted

_SHOWN = 60
"""Notes a terminal shows at most; --json gives all of them [-]."""


@app.command(name="import")
def bring_in(
    kind: Annotated[str, typer.Argument(help="orders, stock or serials.")],
    file: Annotated[Path | None, typer.Argument(help="The list, .csv or .xlsx.")] = None,
    really: Annotated[bool, typer.Option("--really", help="Write it; without this the list is only read.")] = False,
    who: Annotated[str, typer.Option("--who", help="Who does it, as R.K.", envvar="PLOWWRIGHT_WHO")] = "",
    template: Annotated[Path | None, typer.Option("--template", help="Write an empty list here instead.")] = None,
    listed: Annotated[Path | None, typer.Option("--list", help="Write what the records have here instead.")] = None,
    rulebook: Rules = None,
    demo: Demo = False,
    records: Records = None,
    as_json: Json = False,
) -> None:
    """Read a list of orders, stock or past blades, say what is odd in it, and with --really bring it in as one."""
    desk = desk_of(rulebook, demo=demo, records=records)
    importing = Importing(desk)
    if template is not None or listed is not None:
        _write(importing, kind, template, listed, as_json=as_json)
        return
    if file is None or not file.is_file():
        raise NotFoundError("there is no list here", value=str(file or ""),
                            way_out="Give a .csv or .xlsx file, or ask for an empty one with --template.")  # fmt: skip
    data = file.read_bytes()
    if not really:
        dry = importing.dry_run(kind, data, file.name)
        say(dry.as_dict(), _lines(dry, desk), as_json=as_json)
        if dry.count("wrong"):
            raise typer.Exit(1)
        return
    answer = importing.really(hand_of(who, ""), kind, data, file.name)
    lines = [f"{answer['said']}."]
    if answer.get("again"):
        lines = [f"This very file was brought in before: {answer['said']}. Nothing was changed."]
    lines += [f"{one['what']}: {one['file']} in the file, {one['records']} in the records" for one in answer["audit"]]
    say(answer, lines, as_json=as_json)


def _write(
    importing: Importing, kind: str, template: Path | None, listed: Path | None, *, as_json: bool
) -> None:
    wrote: dict[str, Any] = {}
    for name, to, make in (("template", template, importing.template), ("list", listed, importing.listed)):
        if to is not None:
            to.write_bytes(make(kind, to.suffix.lower()))
            wrote[name] = str(to)
    say(wrote, [f"The {name} is in {to}." for name, to in wrote.items()], as_json=as_json)


def _lines(dry: DryRun, desk: Desk) -> list[str]:
    lines = [f"{dry.said()}."]
    marks = {"wrong": "wrong  ", "changed": "changed", "there": "there  ", "look": "look   "}
    order = sorted(dry.noted, key=lambda one: list(marks).index(one.sort))
    lines += [f"{marks[one.sort]} {one.sentence()} [{one.code}]" for one in order[:_SHOWN]]
    if len(order) > _SHOWN:
        lines.append(f"And {counted(len(order) - _SHOWN, 'note')} more; --json gives all of them.")
    if dry.done is not None:
        lines.append("This very file was brought in before; it changes nothing.")
    elif desk.records is None:
        lines.append("No records are open: name them with --records, to see what is there already.")
    elif dry.count("wrong"):
        lines.append("Nothing can be brought in before the wrong rows are mended.")
    elif dry.is_open:
        lines.append(f"Nothing was written. To bring {counted(dry.count('new'), 'new one')} in: --really --who R.K.")
    return lines
