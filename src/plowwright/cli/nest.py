"""The command that lays parts on sheets: any outlines, or the plate of the open orders."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import radians
from pathlib import Path
from typing import Annotated, Final, Literal

import typer

from plowwright import units
from plowwright.cli.common import Demo, Json, Key, Records, Rules, Who, app, desk_of, say
from plowwright.cli.plans import hand_for, ready_or_done, released
from plowwright.cli.stopping import watched
from plowwright.desk.nesting import Nests
from plowwright.desk.nests_kept import NestsKept
from plowwright.desk.plans_kept import asked_by
from plowwright.errors import EntryError
from plowwright.papers.dxf_in import DxfRead
from plowwright.papers.lists import write_csv
from plowwright.papers.nest_files import sheet_files
from plowwright.papers.outline_lists import NEST_COLUMNS, nest_rows, outlines_from, sheets_from
from plowwright.shop.nesting import plan as plan_nests
from plowwright.shop.nesting_limits import Progress as Reached
from plowwright.shop.nesting_model import NestPlan, Outline, RestRule

_TURNS: Final = (0.0, 90.0, 180.0, 270.0)
"""Angles a part may lie at where nobody says them [deg]."""


@app.command()
def nest(
    parts: Annotated[
        Path | None, typer.Argument(help="Parts: a .dxf drawing, or a .csv or .xlsx list; left out, the open orders.")
    ] = None,
    sheets: Annotated[Path | None, typer.Argument(help="List of sheets and remnants, .csv or .xlsx.")] = None,
    order: Annotated[list[str] | None, typer.Option("--order", help="Only this order; may be given again.")] = None,
    seconds: Annotated[float, typer.Option("--seconds", min=0.1, help="Time the nest is given.")] = 20.0,
    gap: Annotated[str, typer.Option("--gap", help="Between two parts, kerf counted, for lists.")] = "3/8 in",
    edge: Annotated[str, typer.Option("--edge", help="To the sheet's edge, for lists.")] = "1/2 in",
    turn: Annotated[
        list[float] | None, typer.Option("--turn", help="Angle a part may lie at, degrees; may be given again.")
    ] = None,
    least: Annotated[str, typer.Option("--least", help="Least shorter side of a rest worth keeping.")] = "12 in",
    worth: Annotated[float, typer.Option("--worth", min=0, max=1, help="Worth of a kept rest, for lists.")] = 0.4,
    stock: Annotated[str, typer.Option("--stock", help="Sheet of a drawing given alone.")] = "",
    count: Annotated[int, typer.Option("--count", min=1, help="How many of each part of a drawing given alone.")] = 1,
    unit: Annotated[
        Literal["in", "ft", "mm", "cm", "m"] | None, typer.Option("--unit", help="What a drawing's numbers are in.")
    ] = None,
    out: Annotated[Path | None, typer.Option("--out", help="Folder for a DXF per sheet and the list.")] = None,
    release: Annotated[bool, typer.Option("--release", help="Cut by it: its sheets are taken.")] = False,
    who: Who = "",
    key: Key = "",
    records: Records = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Lay any parts on any sheets, or the plate of the open orders; audits drawings; Ctrl-C takes the best so far."""
    audits: tuple[DxfRead, ...] = ()
    if parts is not None and sheets is None:
        raise EntryError("parts and sheets come together", value=str(parts),
                         way_out="Give both lists, or none for the open orders.")  # fmt: skip
    by = hand_for(release=release, who=who, key=key, lists=parts is not None)
    # Lists are laid without a shop: a rulebook need not be there.
    desk = desk_of(rulebook, demo=demo, records=records) if parts is None else None
    asked = asked_by(order or (), seconds)
    if by and desk and (order := ready_or_done(desk, by, "nest", order or (), asked, as_json=as_json)) is None:
        return
    nests: Nests | None = None
    with watched("nest") as (stopped, show):
        told = _telling(show)
        if desk is not None:
            nests = desk.nesting.plan(order or (), seconds=seconds, progress=told, stop=stopped)
            plan = nests.plan
        else:
            assert parts is not None and sheets is not None
            outlines, audits = outlines_from(parts, stock=stock, count=count, unit=unit)
            plan = _of_lists(
                outlines, sheets, gap=gap, edge=edge, least=least, worth=worth, turn=turn or _TURNS,
                seconds=seconds, told=told, stopped=stopped,
            )  # fmt: skip
    lines = [line for one in audits for line in one.lines()] + _lines(plan)
    if out is not None:
        lines.append(_written(plan, out))
    answer = {**plan.as_dict(), "drawings": [one.as_dict() for one in audits]}
    if by and desk and nests:
        answer["released"] = NestsKept(desk).release(by, nests, asked)
        lines += released(answer["released"], "table")
    say(answer, lines, as_json=as_json)


def _telling(show: Callable[[str], None]) -> Callable[[Reached], None]:
    return lambda at: show(f"{at.stock}, {at.done + 1} of {at.total}: {at.stage}")


def _of_lists(
    outlines: Sequence[Outline], sheets: Path, *, gap: str, edge: str, least: str, worth: float, turn: Sequence[float],
    seconds: float, told: Callable[[Reached], None], stopped: Callable[[], bool],
) -> NestPlan:  # fmt: skip
    return plan_nests(
        outlines, sheets_from(sheets), units.si(gap, "length", "--gap"), [radians(t) for t in turn], seconds,
        edge=units.si(edge, "length", "--edge"),
        rest_rule=RestRule(least=units.si(least, "length", "--least"), value_share=worth), progress=told, stop=stopped,
    )  # fmt: skip


def _lines(plan: NestPlan) -> list[str]:
    lines: list[str] = []
    for n in plan.sheets:
        rests = "; ".join(
            f"keep {units.tape(r.box[2] - r.box[0])} x {units.tape(r.box[3] - r.box[1])} as {r.tag}" for r in n.rests
        )
        lines.append(
            f"sheet {n.number}{' (rush)' if n.rush else ''}, {n.sheet.in_words()}: "
            f"{units.counted(len(n.placed), 'part')}, {100 * n.utilisation:.0f} % part, "
            f"{units.counted(n.pierces, 'pierce')}" + (f"; {rests}" if rests else "")
        )
    sure = "proved best" if plan.status == "proved best" else (
        f"{plan.status}, at most {100 * plan.over_bound:.1f} % over what the area alone asks for")  # fmt: skip
    used = f"{plan.sheets_used} {'sheet' if plan.sheets_used == 1 else 'sheets'}"
    lines.append(
        f"{used}, {units.counted(len(plan.pieces), 'part')}, {100 * plan.utilisation:.0f} % of the steel is part,"
        f" cost {plan.cost:,.2f}, no nest costs less than {plan.bound:,.2f}: {sure}, {plan.seconds:.1f} s."
    )
    return lines


def _written(plan: NestPlan, out: Path) -> str:
    out.mkdir(parents=True, exist_ok=True)
    files = sheet_files(plan)
    for name, content in files.items():
        (out / name).parent.mkdir(parents=True, exist_ok=True)
        (out / name).write_bytes(content)
    (out / "nest.csv").write_bytes(write_csv(nest_rows(plan), NEST_COLUMNS))
    return f"{len(files)} drawings and nest.csv are in {out}."
