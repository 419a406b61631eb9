"""Commands about blades: work one out, compare, lay the holes of an edge out."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer
from rich.console import Console
from rich.progress import Progress, SpinnerColumn, TextColumn

from plowwright import units
from plowwright.blade import edges
from plowwright.blade.edge_layouts import HoleRule
from plowwright.cli.common import Demo, Json, Records, Rules, app, desk_of, say
from plowwright.desk.strength import holding_dict
from plowwright.errors import EntryError
from plowwright.papers import sheets


@app.command()
def build(
    what: Annotated[str, typer.Argument(metavar="SPEC.toml|ORDER", help="A spec file or the number of an open order.")],
    out: Annotated[Path | None, typer.Option("--out", help="Folder to write the papers into.")] = None,
    system: Annotated[Literal["us", "metric"], typer.Option("--system", help="Units on the papers.")] = "us",
    paper: Annotated[Literal["letter", "a4"], typer.Option("--paper", help="Sheet size.")] = "letter",
    solids: Annotated[bool, typer.Option("--solids", help="Write STEP solids as well.")] = False,
    owner: Annotated[bool, typer.Option("--owner", help="Show cost, margin and floor in the JSON.")] = False,
    carrier: Annotated[
        str, typer.Option("--carrier", help="Carrier file or name of a known carrier; left out, the order's own.")
    ] = "",
    level: Annotated[
        int, typer.Option("--level", min=0, max=2, help="Strength: 0 not looked at, 1 as a lattice, 2 as a shell.")
    ] = 2,
    records: Records = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Work a blade out and write its papers."""
    desk = desk_of(rulebook, demo=demo, records=records)
    spec, order = desk.spec_of(what)
    worked = desk.worked(spec)
    if level in (1, 2):
        with Progress(
            SpinnerColumn(), TextColumn("{task.description}"), console=Console(stderr=True), transient=True
        ) as bar:
            bar.add_task("working out whether it holds")
            own = desk.strength.of_order(order.carrier) if order else None
            machine = desk.strength.carrier(carrier) if carrier else own
            worked = desk.strength.holding(worked, machine, level=1 if level == 1 else 2, system=system)
    number = order.number if order else spec.number
    lines = sheets.plain_lines(worked, number, system=system)
    if out is not None:
        with Progress(
            SpinnerColumn(), TextColumn("{task.description}"), console=Console(stderr=True), transient=True
        ) as bar:
            task = bar.add_task("papers")
            written = desk.papers(
                worked, out, system=system, paper=paper, order=order, solids=solids,
                progress=lambda name: bar.update(task, description=f"writing the {name}"),
            )  # fmt: skip
        main = ", ".join(w.path.name for w in written if w.path.suffix == ".pdf")
        lines += [f"{len(written)} papers are in {out}: {main}, and drawings, lists and solids beside them."]
    say({**worked.as_dict(owner=owner), "strength": holding_dict(worked)}, lines, as_json=as_json)


@app.command()
def differ(
    blades: Annotated[list[str], typer.Argument(metavar="A B ...", help="Two or more spec files or order numbers.")],
    records: Records = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Show only what differs between blades, and whether they can be told apart by eye."""
    if len(blades) < 2:
        raise EntryError("two blades or more are compared", value=" ".join(blades), way_out="Name another one.")
    desk = desk_of(rulebook, demo=demo, records=records)
    found = desk.differ([desk.worked(desk.spec_of(b)[0]) for b in blades])
    lines: list[str] = []
    chapter = ""
    for row in found.rows:
        if row.chapter != chapter:
            chapter = row.chapter
            lines.append(f"{chapter}:")
        lines.append(f"  {row.what}: {' | '.join(row.values)}" + (f"  ({row.apart})" if row.apart else ""))
    lines += [f"{one.first} and {one.second} {one.sentence}." for one in found.looks]
    say(found.as_dict(), lines, as_json=as_json)


@app.command()
def holes(
    length: Annotated[str, typer.Option("--length", help='Length of the edge, as "84 in".')],
    end: Annotated[str, typer.Option("--end", help='From each end to its first hole, as "3 in".')],
    pitch: Annotated[str, typer.Option("--pitch", help='Between holes, as "12 in".')],
    from_blank: Annotated[str, typer.Option("--from-blank", help="Length of a longer edge it is cut from.")] = "",
    off_left: Annotated[
        str, typer.Option("--off-left", help="Cut this off the left end, the rest off the right.")
    ] = "",
    as_json: Json = False,
) -> None:
    """Lay the holes of an edge out, or cut a longer edge down."""
    rule = HoleRule.of(end=units.si(end, "length", "--end"), pitch=units.si(pitch, "length", "--pitch"))
    wanted = units.read(length, "length", "--length")
    if from_blank:
        blank = units.si(from_blank, "length", "--from-blank")
        left = units.si(off_left, "length", "--off-left") if off_left else None
        cut = edges.cut_from(blank, wanted.value, rule, off_left=left)
        answer, layout, steps = cut.as_dict(), cut.layout, list(cut.steps())
    else:
        layout = edges.layout(wanted.value, rule)
        answer, steps = layout.as_dict(), []
    lines = [wanted.doubt] if wanted.doubt else []
    lines += [
        f"{units.tape(wanted.value)} edge, {len(layout.positions)} holes, from the left end:",
        "  " + "  ".join(units.tape(p) for p in layout.positions),
        "gaps: " + "  ".join(units.tape(g) for g in layout.gaps),
        *steps,
        ("can" if layout.is_flippable() else "cannot") + f" be turned end for end: {layout.flip_reason()}",
    ]
    say(answer, lines, as_json=as_json)
