"""Commands of the crew plan: who does what by when, can it be promised, somebody sick, a part late, the wall sheet."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time
from pathlib import Path
from typing import Annotated, Any, Literal

import typer

from plowwright import units
from plowwright.cli.common import Demo, Json, Key, Records, Rules, Who, app, desk_of, hand_of, say
from plowwright.cli.stopping import stoppable
from plowwright.desk.crew_days import day_said
from plowwright.desk.crew_rows import late_said
from plowwright.desk.crew_standing import Standing
from plowwright.desk.desk import Desk
from plowwright.errors import EntryError
from plowwright.shop.crew_answer import said

Keep = Annotated[bool, typer.Option("--keep", help="Keep the plan in the records; left out, it is only looked at.")]


@app.command()
def crew(
    anew: Annotated[bool, typer.Option("--anew", help="Let everything move, not as little as can be.")] = False,
    rush: Annotated[list[str] | None, typer.Option("--rush", help="Order that goes first; again for each.")] = None,
    shop_at: Annotated[str, typer.Option("--shop-at", help='Temperature of the shop, as "50 F".')] = "",
    learned: Annotated[
        bool | None, typer.Option("--learned/--by-rulebook", help="Hours learned from the shop, or the rulebook's.")
    ] = None,
    keep: Keep = False,
    release: Annotated[bool, typer.Option("--release", help="Keep it and release it to the floor.")] = False,
    who: Who = "",
    key: Key = "",
    rulebook: Rules = None,
    demo: Demo = False,
    records: Records = None,
    as_json: Json = False,
) -> None:
    """Plan who does what by when for all open orders, and say how each promise stands."""
    desk = desk_of(rulebook, demo=demo, records=records)
    from plowwright.desk.promising import Promising

    standing = Promising(desk).standing()
    if rush:
        standing = replace(standing, rush=tuple(dict.fromkeys((*standing.rush, *(n.strip().upper() for n in rush)))))
    if shop_at:
        standing = replace(standing, temperature=units.si(shop_at, "temperature", "--shop-at"))
    if learned is not None:
        standing = replace(standing, learned=learned)
    state = "released" if release else "draft" if keep else ""
    _planned(desk, standing, anew=anew, state=state, who=who, key=key, as_json=as_json)


@app.command()
def sick(
    person: Annotated[str, typer.Argument(help="Who, as the rulebook names him.")],
    until: Annotated[str, typer.Option("--until", help='Last day he is away, or day and hour, as "Fri 13 Nov".')] = "",
    since: Annotated[str, typer.Option("--since", help="From when; now when left out.")] = "",
    why: Annotated[str, typer.Option("--why", help="Sick, holiday, on the road.")] = "sick",
    back: Annotated[bool, typer.Option("--back", help="He is there again.")] = False,
    keep: Keep = False,
    who: Who = "",
    key: Key = "",
    rulebook: Rules = None,
    demo: Demo = False,
    records: Records = None,
    as_json: Json = False,
) -> None:
    """Show what moves while somebody is away, before anything is kept."""
    desk = desk_of(rulebook, demo=demo, records=records)
    from plowwright.desk.promising import Promising

    standing, now = Promising(desk).standing(), desk.now
    if back:
        standing = standing.back(person)
    else:
        if not until:
            raise EntryError("until when is not said", where=person, way_out='Give --until, as --until "Fri 13 Nov".')
        begin = day_said(since, now.date(), where="--since") if since else now
        end = day_said(until, now.date(), where="--until")
        first = begin if isinstance(begin, datetime) else datetime.combine(begin, time())
        last = end if isinstance(end, datetime) else datetime.combine(end, time(23, 59))
        standing = standing.sick(person, first, last, why)
    _planned(desk, standing, anew=False, state="draft" if keep else "", who=who, key=key, as_json=as_json)


@app.command(name="late-part")
def late_part(
    order: Annotated[str, typer.Argument(help="Order that waits.")],
    comes: Annotated[str, typer.Option("--comes", help='When it comes now, as "Tue 24 Nov".')],
    part: Annotated[str, typer.Option("--part", help="What it is; left out, whatever the order waits for.")] = "",
    keep: Keep = False,
    who: Who = "",
    key: Key = "",
    rulebook: Rules = None,
    demo: Demo = False,
    records: Records = None,
    as_json: Json = False,
) -> None:
    """Show what moves when a part comes later, before anything is kept."""
    desk = desk_of(rulebook, demo=demo, records=records)
    from plowwright.desk.promising import Promising

    day = day_said(comes, desk.now.date(), where="--comes")
    standing = Promising(desk).standing().late(desk.order(order).number, part, day)
    _planned(desk, standing, anew=False, state="draft" if keep else "", who=who, key=key, as_json=as_json)


def _planned(desk: Desk, standing: Standing, *, anew: bool, state: str, who: str, key: str, as_json: bool) -> None:
    from plowwright.desk.promising import Promising

    promising = Promising(desk)
    by = hand_of(who, key) if state else None
    with stoppable() as stopped:
        made = promising.plan(standing, anew=anew, stop=stopped)
    plan = made.plan
    answer: dict[str, Any] = {
        **plan.as_dict(), "standing": made.standing.as_dict(), "doubts": made.entry.doubts.sentences(),
        "left_out": [{"number": one.number, "why": one.why} for one in made.entry.left_out],
        "changed": [{"order": n, "was": was.isoformat(), "now": now.isoformat()} for n, was, now in made.changed],
    }  # fmt: skip
    lines = [*made.standing.sentences()]
    for p in sorted(plan.promises, key=lambda p: (p.due or datetime.max, p.job)):
        due = said(p.due) if p.due else "no promise"
        lines.append(f"{p.job}  {due:<16} {p.mark:<13} can go {said(p.done):<16} {p.cause}")
    lines += [f"{one.number}  not planned: {one.why}" for one in made.entry.left_out]
    if made.changed:
        lines.append(f"{units.counted(len(plan.moved), 'operation')} moved. Done at another time:")
        lines += [f"  {n}: {said(was)} before, {said(now)} now" for n, was, now in made.changed]
    lines += made.entry.doubts.sentences()
    sure = "proved: no plan is less late" if plan.status == "proved best" else plan.status
    evenings = units.counted(len(plan.nights), "evening")
    lines.append(f"{late_said(plan.objective, desk)}; {sure}; {evenings}; {plan.seconds:.1f} s.")
    if by is not None:
        kept = promising.keep(by, made, "released" if state == "released" else "draft")
        answer["kept"] = kept
        lines.append(kept["said"])
    say(answer, lines, as_json=as_json)


@app.command()
def promise(
    on: Annotated[str, typer.Option("--on", help='Day and hour asked for, as "Fri 13 Nov 07:00".')],
    order: Annotated[str, typer.Argument(help="Open order or quote; left out, a blade nobody ordered yet.")] = "",
    series: Annotated[str, typer.Option("--series", help="Series of the blade.")] = "",
    width: Annotated[str, typer.Option("--width", help="Its width.")] = "",
    mount: Annotated[str, typer.Option("--mount", help="Its mount.")] = "loader",
    carrier: Annotated[str, typer.Option("--carrier", help="Kind of machine.")] = "skid steer",
    hoses: Annotated[str, typer.Option("--hoses", help="Its hoses.")] = "flat-face",
    rush: Annotated[bool, typer.Option("--rush", help="Paid as a rush.")] = False,
    rulebook: Rules = None,
    demo: Demo = False,
    records: Records = None,
    as_json: Json = False,
) -> None:
    """Ask whether something can be promised for a day and hour; asking moves nothing. Exits 1 at a no."""
    from plowwright.desk.promising import Promising, Question

    desk = desk_of(rulebook, demo=demo, records=records)
    blade = {"series": series, "width": width, "mount": mount, "carrier": carrier, "hoses": hoses}
    if not order and not (series and width):
        raise EntryError("nothing is asked for", way_out="Give an order's number, or --series and --width.")
    question = Question(
        on=day_said(on, desk.now.date(), where="--on"), order=order.strip().upper(),
        blade=() if order else tuple(blade.items()), rush=rush,
    )  # fmt: skip
    with stoppable() as stopped:
        found = Promising(desk).ask(question, stop=stopped)
    lines = [found.sentence]
    lines += [f"  {p.job} gives way: {said(p.was)} before, {said(p.now)} then" for p in found.answer.pushed]
    say(found.as_dict(), lines, as_json=as_json)
    if found.answer.word == "no":
        raise typer.Exit(1)


@app.command(name="learned")
def learned_hours(
    series: Annotated[str, typer.Option("--series", help="Only this series.")] = "",
    rulebook: Rules = None,
    demo: Demo = False,
    records: Records = None,
    as_json: Json = False,
) -> None:
    """Show what each operation really takes by the hours worked, beside the rulebook's, with how sure that is."""
    from plowwright.desk.promising import Promising

    rows = [r for r in Promising(desk_of(rulebook, demo=demo, records=records)).learned() if series in ("", r.series)]
    say({"learned": [r.as_dict() for r in rows]}, [f"{r.series}, {r.text}." for r in rows], as_json=as_json)


@app.command()
def wallsheet(
    out: Annotated[Path, typer.Option("--out", help="Folder the papers are written to.")] = Path(),
    paper: Annotated[Literal["letter", "a4"], typer.Option("--paper", help="Sheet size.")] = "letter",
    rulebook: Rules = None,
    demo: Demo = False,
    records: Records = None,
    as_json: Json = False,
) -> None:
    """Write the wall sheet, the plan drawn, everybody's week and the calendar file, of the plan that stands."""
    from plowwright.desk import crew_papers as papers
    from plowwright.desk.promising import Promising

    desk = desk_of(rulebook, demo=demo, records=records)
    promising = Promising(desk)
    kept = promising.kept()
    stands = papers.stands_kept(kept) if kept else papers.stands_made(promising.plan(), desk.now)
    size = "a4" if paper == "a4" else "us-letter"
    bodies = {name: papers.written(desk, name, stands, paper=size) for name in papers.names_of_papers(desk)}
    bodies["promises.ics"] = papers.calendar_of_promises(desk, stands)
    out.mkdir(parents=True, exist_ok=True)
    for name, body in bodies.items():
        (out / name).write_bytes(body)
    files = [str(out / name) for name in bodies]
    say({"written": files}, files, as_json=as_json)
