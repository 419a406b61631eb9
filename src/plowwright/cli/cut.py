"""Commands about steel: a cut plan for any pieces or for the open orders."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from plowwright import units
from plowwright.cli.common import Demo, Json, Key, Records, Rules, Who, app, desk_of, say
from plowwright.cli.plans import hand_for, ready_or_done, released
from plowwright.cli.stopping import watched
from plowwright.desk.cuts_kept import CutsKept
from plowwright.desk.cutting import Week
from plowwright.desk.plans_kept import asked_by
from plowwright.errors import EntryError
from plowwright.papers.lists import write_csv, write_xlsx
from plowwright.papers.steel_lists import PLAN_COLUMNS, pieces_from, plan_rows, plan_sheets, sticks_from
from plowwright.shop.cutting import plan as plan_cuts
from plowwright.shop.cutting_model import CutPlan, RemnantRule
from plowwright.shop.cutting_model import Progress as Reached


@app.command()
def cut(
    pieces: Annotated[
        Path | None, typer.Argument(help="List of pieces, .csv or .xlsx; left out, the open orders.")
    ] = None,
    sticks: Annotated[Path | None, typer.Argument(help="List of sticks and remnants, .csv or .xlsx.")] = None,
    order: Annotated[list[str] | None, typer.Option("--order", help="Only this order; may be given again.")] = None,
    seconds: Annotated[float, typer.Option("--seconds", min=0.1, help="Time the plan is given.")] = 10.0,
    kerf: Annotated[str, typer.Option("--kerf", help="Width of a cut, for lists.")] = "1/8 in",
    trim: Annotated[str, typer.Option("--trim", help="Off each end of a stick, for lists.")] = "1/2 in",
    least: Annotated[str, typer.Option("--least", help="Least useful drop, for lists.")] = "18 in",
    worth: Annotated[float, typer.Option("--worth", min=0, max=1, help="Worth of a kept drop, for lists.")] = 0.5,
    out: Annotated[Path | None, typer.Option("--out", help="Write the plan here, as .csv or .xlsx.")] = None,
    release: Annotated[bool, typer.Option("--release", help="Cut by it: its sticks leave the rack.")] = False,
    who: Who = "",
    key: Key = "",
    records: Records = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Plan the cutting of any pieces from any sticks, or the steel of the open orders; Ctrl-C takes the best so far."""
    by = hand_for(release=release, who=who, key=key, lists=pieces is not None or sticks is not None)
    if (pieces is None) != (sticks is None):
        raise EntryError(
            "pieces and sticks come together", value=str(pieces or sticks),
            way_out="Give both lists, or none for the open orders.",
        )  # fmt: skip
    week: Week | None = None
    # Lists are cut without a shop: a rulebook need not be there.
    desk = desk_of(rulebook, demo=demo, records=records) if pieces is None else None
    asked = asked_by(order or (), seconds)
    if by and desk and (order := ready_or_done(desk, by, "cut", order or (), asked, as_json=as_json)) is None:
        return
    with watched("cut plan") as (stopped, show):

        def told(at: Reached) -> None:
            over = f", {100 * (at.cost / at.bound - 1):.1f} % over the bound" if at.bound > 0 else ""
            show(f"{at.stock}, section {at.done + 1} of {at.total}: {at.stage}{over}")

        if desk is not None:
            week = desk.cutting.plan(order or (), seconds=seconds, progress=told, stop=stopped)
            plan = week.plan
        else:
            assert pieces is not None and sticks is not None
            rule = RemnantRule(least=units.si(least, "length", "--least"), value_share=worth)
            plan = plan_cuts(
                pieces_from(pieces), sticks_from(sticks), units.si(kerf, "length", "--kerf"),
                units.si(trim, "length", "--trim"), rule, seconds, progress=told, stop=stopped,
            )  # fmt: skip
    lines = _lines(plan, week)
    if out is not None:
        lines.append(_written(plan, out))
    answer = _answer(plan, week)
    if by and desk and week:
        answer["released"] = CutsKept(desk).release(by, week, asked)
        lines += released(answer["released"], "saw")
    say(answer, lines, as_json=as_json)


def _written(plan: CutPlan, out: Path) -> str:
    if out.suffix.lower() == ".xlsx":
        out.write_bytes(write_xlsx(plan_sheets(plan), title="cut plan"))
    elif out.suffix.lower() == ".csv":
        out.write_bytes(write_csv(plan_rows(plan), PLAN_COLUMNS))
    else:
        raise EntryError(
            "a list is written as .csv or .xlsx", value=out.name, where="--out", way_out="Name it plan.csv."
        )
    return f"The plan is in {out}."


def _lines(plan: CutPlan, week: Week | None) -> list[str]:
    lines: list[str] = []
    for c in plan.sticks:
        pieces = "  ".join(f"{p.piece.tag} {units.tape(p.piece.length)}" for p in c.placed)
        kept = f", keep {units.tape(c.drop)} as {c.drop_tag}" if c.kept else f", {units.tape(c.drop)} to scrap"
        lines.append(f"stick {c.number}{' (rush)' if c.rush else ''}, {c.stick.in_words()}: {pieces}{kept}")
    sure = (
        "proved best"
        if plan.status == "proved best"
        else f"{plan.status}, at most {100 * plan.gap:.2f} % over the best"
    )
    lines.append(
        f"{units.counted(len(plan.sticks), 'stick')}, {units.counted(len(plan.pieces), 'piece')}, "
        f"cost {plan.cost:,.2f}, no plan costs less than {plan.bound:,.2f}: {sure}, {plan.seconds:.1f} s."
    )
    if week is None:
        return lines
    for bar in week.edges:
        for one in bar.plan.cuts:
            lines.append(f"{one.wanted.tag}, {bar.bar}: " + " ".join(one.steps))
    lines += [b.in_words() + f", for {', '.join(b.orders)}" for b in week.buys]
    lines += [f"Told apart only by the caliper: {', '.join(group)}." for group in week.alike]
    return lines


def _answer(plan: CutPlan, week: Week | None) -> dict[str, Any]:
    answer = plan.as_dict()
    if week is not None:
        answer |= {
            "orders": list(week.orders),
            "edges": [
                {"tag": c.wanted.tag, "bar": e.bar, "width_in": round(units.inches(c.wanted.width), 4),
                 "blank_in": round(units.inches(c.blank), 4), "bought": c.bought, "cost": round(c.cost, 2),
                 "steps": list(c.steps)}
                for e in week.edges
                for c in e.plan.cuts
            ],
            "buy": [
                {"stock": b.stick.stock, "length_in": round(units.inches(b.stick.length), 4), "count": b.count,
                 "cost": round(b.cost, 2), "order_by": b.order_by.isoformat() if b.order_by else None,
                 "late": b.late, "orders": list(b.orders)}
                for b in week.buys
            ],
            "alike": [list(group) for group in week.alike],
        }  # fmt: skip
    return answer
