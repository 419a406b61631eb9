"""Commands about the rules: whether they make sense, and the whole range worked out by them."""

from __future__ import annotations

from itertools import islice
from pathlib import Path
from typing import Annotated, Any

import typer
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

from plowwright import sweep as sweeps
from plowwright import units
from plowwright.blade.evidence import Evidence
from plowwright.cli.common import Demo, Json, Rules, app, desk_of, say
from plowwright.desk.desk import Desk
from plowwright.desk.strength import evidence_dict
from plowwright.errors import EntryError, NotFoundError, PlowwrightError


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
    desk = desk_of(rulebook, demo=demo)
    found = desk.audit()
    lines = [f"{f.verdict}: {f.text}" for f in found if f.verdict != "holds"]
    held = sum(f.verdict == "holds" for f in found)
    lines.append(f"{held} of {units.counted(len(found), 'thing')} hold in the rules of "
                 f"{desk.rulebook.version.date:%d %B %Y}.")  # fmt: skip
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
    say(answer, lines, as_json=as_json)
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
    desk = desk_of(rulebook, demo=demo)
    specs = list(islice(sweeps.every_spec(desk.rulebook), limit or None))
    columns = (TextColumn("working blades out"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("blades", total=len(specs))
        found = sweeps.run(desk.rulebook, specs, cluster=cluster, progress=lambda more: bar.advance(task, more))
    say(found.as_dict(), _sweep_lines(found), as_json=as_json)
    if found.stopped or found.refused:
        raise typer.Exit(1)


def _sweep_lines(found: sweeps.Sweep) -> list[str]:
    lines = ["Stopped before the end."] if found.stopped else []
    lines.append(f"{len(found.rows)} of {units.counted(found.asked, 'blade')} worked out by the rules "
                 f"{found.fingerprint}.")  # fmt: skip
    for name, rows in found.by_series().items():
        weights = [units.pounds(row.mass) for row in rows]
        prices = [row.price for row in rows]
        pieces = [row.parts for row in rows]
        lines.append(
            f"{name}: {units.counted(len(rows), 'blade')}, {min(weights):,.0f} to {max(weights):,.0f} lb, "
            f"{rows[0].currency} {min(prices):,.0f} to {max(prices):,.0f}, {min(pieces)} to {max(pieces)} pieces"
        )
    lines += [f"fails on {units.counted(count, 'blade')}: {title}" for title, count in found.failures().most_common()]
    refused = found.refusals().most_common(10)
    lines += [f"refused: {reason} ({units.counted(count, 'blade')})" for reason, count in refused]
    return lines
