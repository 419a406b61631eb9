"""The command line. Exits 0 when done, 1 when refused with a reason, 2 on bad input."""

from __future__ import annotations

import json
import sys
from itertools import islice
from pathlib import Path
from typing import Annotated, Any, Literal

import typer
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, SpinnerColumn, TextColumn, TimeRemainingColumn

from plowwright import sweep as sweeps
from plowwright import units
from plowwright.blade import edges
from plowwright.blade.edge_layouts import HoleRule
from plowwright.blade.evidence import Evidence
from plowwright.desk.desk import Desk, demo_folder
from plowwright.desk.strength import evidence_dict, holding_dict
from plowwright.errors import EdgeError, EntryError, ModelError, NotFoundError, PlowwrightError
from plowwright.papers import sheets

app = typer.Typer(
    name="plowwright",
    help="Works snow-blade attachments out: parts, weight, price, papers.",
    no_args_is_help=True,
    add_completion=False,
)

Json = Annotated[bool, typer.Option("--json", help="Answer for a machine, as JSON.")]
Rules = Annotated[Path | None, typer.Option("--rulebook", help="Folder of the rulebook; ./rulebook when left out.")]
Demo = Annotated[bool, typer.Option("--demo", help="Use the invented shop.")]


def _desk(rulebook: Path | None, *, demo: bool) -> Desk:
    if demo:
        return Desk(rulebook, demo_folder() / "orders.toml") if rulebook else Desk.demo()
    folder = rulebook or Path("rulebook")
    if not folder.is_dir():
        raise NotFoundError(
            "no rulebook here", value=str(folder), way_out="Name its folder with --rulebook, or use --demo."
        )
    orders = folder.parent / "orders.toml"
    return Desk(folder, orders if orders.is_file() else None)


def _say(answer: Any, lines: list[str], *, as_json: bool) -> None:
    if as_json:
        print(json.dumps(answer, indent=1))
    else:
        for line in lines:
            print(line)


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
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Work a blade out and write its papers."""
    desk = _desk(rulebook, demo=demo)
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
    _say({**worked.as_dict(owner=owner), "strength": holding_dict(worked)}, lines, as_json=as_json)


@app.command()
def differ(
    blades: Annotated[list[str], typer.Argument(metavar="A B ...", help="Two or more spec files or order numbers.")],
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Show only what differs between blades, and whether they can be told apart by eye."""
    if len(blades) < 2:
        raise EntryError("two blades or more are compared", value=" ".join(blades), way_out="Name another one.")
    desk = _desk(rulebook, demo=demo)
    found = desk.differ([desk.worked(desk.spec_of(b)[0]) for b in blades])
    lines: list[str] = []
    chapter = ""
    for row in found.rows:
        if row.chapter != chapter:
            chapter = row.chapter
            lines.append(f"{chapter}:")
        lines.append(f"  {row.what}: {' | '.join(row.values)}" + (f"  ({row.apart})" if row.apart else ""))
    lines += [f"{one.first} and {one.second} {one.sentence}." for one in found.looks]
    _say(found.as_dict(), lines, as_json=as_json)


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
    _say(answer, lines, as_json=as_json)


@app.command()
def audit(
    series: Annotated[str, typer.Option("--series", help="Only this series' evidence.")] = "",
    on_trial: Annotated[
        list[str] | None, typer.Option("--try", help='A field of the class rows on trial: leg="tube 3 x 3 x 1/4".')
    ] = None,
    up_to: Annotated[str, typer.Option("--up-to", help='A width limit on trial, as "84 in".')] = "",
    out: Annotated[Path | None, typer.Option("--out", help="Folder to draw the width curves into, as SVG.")] = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Tell whether the rulebook makes sense over all widths and classes, and what stands behind its width limits."""
    desk = _desk(rulebook, demo=demo)
    found = desk.audit()
    lines = [f"{f.verdict}: {f.text}" for f in found if f.verdict != "holds"]
    held = sum(f.verdict == "holds" for f in found)
    lines.append(f"{held} of {len(found)} things hold in the rules of {desk.rulebook.version.date:%d %B %Y}.")
    limit = units.si(up_to, "length", "--up-to") if up_to else None
    shown = _evidence(desk, series=series, changes=_changes(on_trial or []), up_to=limit)
    if desk.rulebook.strength is None:
        lines.append("Width limits are not checked because this rulebook has no strength.toml.")
    answers: list[dict[str, Any]] = []
    for key, one in shown.items():
        if isinstance(one, PlowwrightError):
            # Rules that give no blade are no reason to keep quiet about what else was found.
            lines.append(f"Nothing can be told of the width limit of {key}: {one.sentence()}")
            answers.append({"series": key, "error": one.as_dict()})
            continue
        compared = desk.strength.compared(one)
        answers.append(evidence_dict(one, compared))
        lines += [*one.sentences, *compared]
        if out is not None:
            lines.append(f"Drawn in {desk.strength.draw(one, out)}.")
    answer = {
        "fingerprint": desk.rulebook.fingerprint, "findings": [f.as_dict() for f in found], "evidence": answers,
    }  # fmt: skip
    _say(answer, lines, as_json=as_json)
    if any(f.verdict == "fails" for f in found):
        raise typer.Exit(1)


def _changes(on_trial: list[str]) -> dict[str, str]:
    pairs = [text.partition("=") for text in on_trial]
    for text, (field, _, value) in zip(on_trial, pairs, strict=True):
        if not field.strip() or not value.strip():
            raise EntryError(
                "what is on trial is a field and its stock", value=text, where="--try",
                way_out='Write --try leg="tube 3 x 3 x 1/4".',
            )  # fmt: skip
    return {field.strip(): value.strip().strip('"') for field, _, value in pairs}


def _evidence(
    desk: Desk, *, series: str, changes: dict[str, str], up_to: float | None
) -> dict[str, Evidence | PlowwrightError]:
    """Corner strength of one series or of all, or why it cannot be told, with a bar that says how far it is."""
    known = desk.rulebook.series
    if (changes or up_to) and not series:
        raise EntryError(
            "a trial is made on one series", way_out=f"Name it with --series: {', '.join(known)}.", where="--try"
        )
    if series and series not in known:
        raise NotFoundError("no series is called so", value=series, way_out=f"There are: {', '.join(known)}.")
    if desk.rulebook.strength is None:
        return {}
    keys = [series] if series else list(known)
    total = sum(desk.strength.widths(key, up_to) for key in keys)
    total += desk.strength.widths(series) if changes or up_to else 0
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("width limits", total=total)

        def told(said: str) -> None:
            bar.update(task, advance=1, description=said)

        if changes or up_to:
            desk.strength.evidence(series, told=told)
            return {series: desk.strength.evidence(series, changes=changes, up_to=up_to, told=told)}
        found: dict[str, Evidence | PlowwrightError] = {}
        for key in keys:
            try:
                found[key] = desk.strength.evidence(key, told=told)
            except PlowwrightError as fault:
                found[key] = fault
        return found


@app.command()
def sweep(
    limit: Annotated[int, typer.Option("--limit", min=0, help="Only the first so many blades; 0 for all.")] = 0,
    cluster: Annotated[str, typer.Option("--cluster", help="Address of a Dask cluster to spread the work over.")] = "",
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Work the whole range out over this machine's cores or a cluster; Ctrl-C stops it and keeps what is done."""
    desk = _desk(rulebook, demo=demo)
    specs = list(islice(sweeps.every_spec(desk.rulebook), limit or None))
    columns = (TextColumn("working blades out"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("blades", total=len(specs))
        found = sweeps.run(desk.rulebook, specs, cluster=cluster, progress=lambda more: bar.advance(task, more))
    _say(found.as_dict(), _sweep_lines(found), as_json=as_json)
    if found.stopped or found.refused:
        raise typer.Exit(1)


def _sweep_lines(found: sweeps.Sweep) -> list[str]:
    lines = ["Stopped before the end."] if found.stopped else []
    lines.append(f"{len(found.rows)} of {found.asked} blades worked out by the rules {found.fingerprint}.")
    for name, rows in found.by_series().items():
        weights = [units.pounds(row.mass) for row in rows]
        prices = [row.price for row in rows]
        pieces = [row.parts for row in rows]
        lines.append(
            f"{name}: {len(rows)} blades, {min(weights):,.0f} to {max(weights):,.0f} lb, "
            f"{rows[0].currency} {min(prices):,.0f} to {max(prices):,.0f}, {min(pieces)} to {max(pieces)} pieces"
        )
    lines += [f"fails on {count} blades: {title}" for title, count in found.failures().most_common()]
    lines += [f"refused: {reason} ({count} blades)" for reason, count in found.refusals().most_common(10)]
    return lines


@app.command()
def serve(
    host: Annotated[str, typer.Option("--host", help="Address to answer on.")] = "127.0.0.1",
    port: Annotated[int, typer.Option("--port", help="Port to answer on.")] = 8421,
    rulebook: Rules = None,
    demo: Demo = False,
) -> None:
    """Serve the shop's pages until stopped with Ctrl-C."""
    from plowwright.web.server import run

    desk = _desk(rulebook, demo=demo)
    print(f"The wall is at http://{host}:{port}/ (Ctrl-C stops it).")
    run(desk, host=host, port=port)


def main() -> None:
    """Run a command; an error on purpose becomes its sentence and an exit code."""
    try:
        # Not standing alone, an exit asked for inside a command comes back as its code; commands return nothing else.
        code: int | None = app(standalone_mode=False)
    except PlowwrightError as fault:
        if "--json" in sys.argv:
            print(json.dumps({"error": fault.as_dict()}, indent=1))
        else:
            print(fault.sentence(), file=sys.stderr)
        refused = isinstance(fault, (ModelError, EdgeError)) or not isinstance(fault, (EntryError, NotFoundError))
        sys.exit(1 if refused else 2)
    except Exception as fault:
        # Typer raises its own usage errors with a ready-made message; anything else is ours and must be seen whole.
        show = getattr(fault, "format_message", None)
        if show is None:
            raise
        if "--json" in sys.argv:
            print(json.dumps({"error": EntryError(show()).as_dict()}, indent=1))
        else:
            print(show(), file=sys.stderr)
        sys.exit(2)
    if code:
        sys.exit(code)
