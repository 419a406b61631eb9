"""Commands at the dock: weighed, cleared, stamped, packed, matched, loaded, and the pack for a claim."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Annotated, Any, Literal

import typer

from plowwright import units
from plowwright.cli.common import Demo, Json, Key, Records, Rules, Who, app, desk_of, hand_of, say
from plowwright.desk.desk import Desk
from plowwright.desk.dock_papers import NAMES, DockPapers
from plowwright.desk.docking import Docking
from plowwright.desk.floor_photo import upright
from plowwright.errors import NotFoundError, RefusedError
from plowwright.shop.dock import Cause

OrderNumber = Annotated[str, typer.Argument(metavar="ORDER", help="Order number, letter and all.")]
System = Annotated[Literal["us", "metric"], typer.Option("--system", help="Units on the papers.")]
Paper = Annotated[Literal["letter", "a4"], typer.Option("--paper", help="Sheet size.")]
ClaimKind = Literal["damage", "reweigh", "missing"]
Terms = Literal["prepaid", "collect", "third party"]


@app.command()
def weigh(
    order: OrderNumber,
    scale: Annotated[str, typer.Option("--scale", help='What the scale says, as "984 lb".')],
    looked: Annotated[
        list[str] | None, typer.Option("--looked", help="A kind of cause looked for and ruled out; again for each.")
    ] = None,
    who: Who = "",
    key: Key = "",
    rulebook: Rules = None,
    demo: Demo = False,
    records: Records = None,
    as_json: Json = False,
) -> None:
    """Hold a scale ticket against the order's build; a blade that is off is stopped, with its likely causes."""
    desk = desk_of(rulebook, demo=demo, records=records)
    mass = units.si(scale, "mass", "--scale")
    if desk.records is None:
        found = desk.counter.weigh(order, mass, looked=looked or ())
        lines = [f"{found.finding.verdict}: {found.finding.sentence}", *map(_cause, found.causes)]
        if found.stopped:
            lines.append("Stopped: it is not loaded until somebody has measured it, or knows why.")
        say(found.as_dict(), lines, as_json=as_json)
        if found.stopped:
            raise typer.Exit(1)
        return
    answer = Docking(desk).weigh(hand_of(who, key), order, mass, looked=looked or ())
    ticket = answer["ticket"]
    lines = [str(answer["said"])]
    lines += [f"  {100 * c['chance']:.0f} in 100: {c['said']}. {c['look']}" for c in ticket["causes"]]
    _told(answer, lines, as_json=as_json, shut=bool(answer["stopped"]))


@app.command()
def clear(
    order: OrderNumber,
    measured: Annotated[str, typer.Option("--measured", help='What was measured, as "legs 0.25 in".')] = "",
    explained: Annotated[str, typer.Option("--explained", help="What explains the difference.")] = "",
    who: Who = "",
    key: Key = "",
    rulebook: Rules = None,
    demo: Demo = False,
    records: Records = None,
    as_json: Json = False,
) -> None:
    """Let a blade the scale stopped go on: somebody measured it, or knows why."""
    _done(
        desk_of(rulebook, demo=demo, records=records),
        lambda dock: dock.clear(hand_of(who, key), order, measured=measured, explained=explained), as_json=as_json,
    )  # fmt: skip


@app.command()
def stamp(
    order: OrderNumber,
    who: Who = "",
    key: Key = "",
    rulebook: Rules = None,
    demo: Demo = False,
    records: Records = None,
    as_json: Json = False,
) -> None:
    """Give a blade its serial number before the scale does, and say what is stamped."""
    desk = desk_of(rulebook, demo=demo, records=records)
    _done(desk, lambda dock: dock.stamp(hand_of(who, key), order), as_json=as_json)


@app.command()
def pack(
    order: OrderNumber,
    length: Annotated[str, typer.Option("--length", help="Across, over the packing.")],
    depth: Annotated[str, typer.Option("--depth", help="Fore and aft, over the packing.")],
    height: Annotated[str, typer.Option("--height", help="From the floor.")],
    mass: Annotated[str, typer.Option("--mass", help="On the scale, packing and all.")],
    crated: Annotated[bool, typer.Option("--crated", help="It stands in a crate, not on a skid.")] = False,
    who: Who = "",
    key: Key = "",
    rulebook: Rules = None,
    demo: Demo = False,
    records: Records = None,
    as_json: Json = False,
) -> None:
    """Keep size and mass as taken on the packed piece, and say its freight class."""
    sizes = {name: units.si(text, "length", f"--{name}")
             for name, text in (("length", length), ("depth", depth), ("height", height))}  # fmt: skip
    whole = units.si(mass, "mass", "--mass")
    _done(
        desk_of(rulebook, demo=demo, records=records),
        lambda dock: dock.pack(hand_of(who, key), order, **sizes, mass=whole, crated=crated), as_json=as_json,
    )  # fmt: skip


@app.command()
def lading(
    order: OrderNumber,
    to: Annotated[str, typer.Option("--to", help="Name and place of who gets it.")],
    terms: Annotated[Terms, typer.Option("--terms", help="Who pays the freight.")],
    who: Who = "",
    key: Key = "",
    rulebook: Rules = None,
    demo: Demo = False,
    records: Records = None,
    as_json: Json = False,
) -> None:
    """Say for the bill of lading who gets a load and who pays its freight."""
    desk = desk_of(rulebook, demo=demo, records=records)
    _done(desk, lambda dock: dock.lading(hand_of(who, key), order, ship_to=to, terms=terms), as_json=as_json)


@app.command(name="match")
def match_readings(
    order: OrderNumber,
    stamp_read: Annotated[str, typer.Option("--stamp", help="As read off the blade.")],
    label: Annotated[str, typer.Option("--label", help="As read or scanned off the label.")],
    who: Who = "",
    key: Key = "",
    rulebook: Rules = None,
    demo: Demo = False,
    records: Records = None,
    as_json: Json = False,
) -> None:
    """Hold order, stamp and label against each other; exits 1 where they differ, and says which."""
    desk = desk_of(rulebook, demo=demo, records=records)
    answer = Docking(desk).match(hand_of(who, key), order, stamp=stamp_read, label=label)
    _told(answer, [str(answer["said"])], as_json=as_json, shut=not answer["holds"])


@app.command()
def load(
    order: OrderNumber,
    show: Annotated[bool, typer.Option("--show", help="Only say what it still needs; nothing is written.")] = False,
    counted: Annotated[bool, typer.Option("--counted", help="Everything on the packing list was ticked.")] = False,
    out: Annotated[Path | None, typer.Option("--out", help="Folder to write the papers of the load to.")] = None,
    system: System = "us",
    paper: Paper = "letter",
    who: Who = "",
    key: Key = "",
    rulebook: Rules = None,
    demo: Demo = False,
    records: Records = None,
    as_json: Json = False,
) -> None:
    """Load an order: every gate is open and everything is ticked. With --show it says what is still missing."""
    desk = desk_of(rulebook, demo=demo, records=records)
    dock = Docking(desk)
    number = dock.view.number(order)
    with units.speaking(system):
        lines = [str(path) for path in _papers(desk, number, out, system, paper)] if out else []
    if not show:
        answer = dock.load(hand_of(who, key), number, ticked="all" if counted else ())
        _told({**answer, "papers": lines}, [str(answer["said"]), *lines], as_json=as_json)
        return
    shut = [gate for gate in dock.view.gates(number) if gate.verdict not in ("holds", "near limit")]
    with units.speaking(system):
        try:
            told: dict[str, Any] = dock.view.load(number).as_dict()
            said = [f"{told['name']}, {told['mass']} bare; {told['class_said']}.", f"{told['lifting']}."]
        except RefusedError:
            told, said = {"number": number, "gates": [gate.as_dict() for gate in dock.view.gates(number)]}, []
    said += [f"{gate.verdict}: {gate.sentence}." for gate in dock.view.gates(number)]
    _told({**told, "papers": lines}, [*said, *lines], as_json=as_json, shut=bool(shut))


@app.command()
def claim(
    order: OrderNumber,
    kind: Annotated[ClaimKind, typer.Option("--kind", help="What it is about.")] = "damage",
    said: Annotated[str, typer.Option("--said", help="What happened, for the cover.")] = "",
    reweigh: Annotated[str, typer.Option("--reweigh", help="As the freight carrier weighed it.")] = "",
    photo: Annotated[Path | None, typer.Option("--photo", help="A photo or scan to keep with the order.")] = None,
    what: Annotated[str, typer.Option("--what", help="What the photo is, as a claim asks for it.")] = "",
    out: Annotated[Path | None, typer.Option("--out", help="ZIP to write everything to.")] = None,
    system: System = "us",
    paper: Paper = "letter",
    who: Who = "",
    key: Key = "",
    rulebook: Rules = None,
    demo: Demo = False,
    records: Records = None,
    as_json: Json = False,
) -> None:
    """Say what a claim against the freight carrier rests on, what of it is missing, and put it in one ZIP."""
    desk = desk_of(rulebook, demo=demo, records=records)
    dock = Docking(desk)
    number = dock.view.number(order)
    lines: list[str] = []
    if photo is not None:
        if not photo.is_file():
            raise NotFoundError("no such file", value=str(photo), way_out="Give the path of a JPEG or PNG.")
        kept = upright(photo.read_bytes(), photo.name)
        lines.append(str(dock.photo(hand_of(who, key), number, kept, what=what or "photos at delivery")["said"]))
    papers = DockPapers(desk, system=system, paper=paper)
    with units.speaking(system):
        found = papers.claim(number, kind, reweigh=units.si(reweigh, "mass", "--reweigh") if reweigh else None)
        lines += [f"{'there' if p.there else 'missing'}: {p.what}, {p.why}" for p in found.pieces]
        if found.reweigh is not None:
            lines.append(f"{found.reweigh.verdict}: {found.reweigh.sentence}.")
        if out is not None:
            out.write_bytes(papers.claim_zip(found, said=said))
            lines.append(str(out))
    answer = {
        "number": number, "kind": kind, "reweigh": found.reweigh.as_dict() if found.reweigh else None,
        "there": [p.what for p in found.pieces if p.there], "missing": [p.what for p in found.pieces if not p.there],
        "zip": str(out) if out else None,
    }  # fmt: skip
    say(answer, lines, as_json=as_json)


def _papers(
    desk: Desk, number: str, out: Path, system: Literal["us", "metric"], paper: Literal["letter", "a4"]
) -> list[Path]:
    out.mkdir(parents=True, exist_ok=True)
    made = DockPapers(desk, system=system, paper=paper)
    written: list[Path] = []
    for name in NAMES:
        try:
            data = made.paper(number, name)
        except NotFoundError:
            continue  # not weighed yet: no ticket
        path = out / f"{number} {name}.pdf"
        path.write_bytes(data)
        written.append(path)
    return written


def _cause(one: Cause) -> str:
    return f"  {100 * one.chance:.0f} in 100: {one.said}. {one.look}"


def _done(desk: Desk, do: Callable[[Docking], Mapping[str, Any]], *, as_json: bool) -> None:
    answer = do(Docking(desk))
    _told(answer, [str(answer["said"])], as_json=as_json)


def _told(answer: Mapping[str, Any], lines: list[str], *, as_json: bool, shut: bool = False) -> None:
    say(dict(answer), lines, as_json=as_json)
    if shut:
        raise typer.Exit(1)
