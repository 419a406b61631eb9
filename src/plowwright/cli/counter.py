"""Commands at the counter and the dock: what goes short, a spare sold, a blade found by scraps, a blade weighed."""

from __future__ import annotations

from typing import Annotated, Literal

import typer

from plowwright import units
from plowwright.blade.spec import from_dict
from plowwright.cli.common import Demo, Json, Rules, app, desk_of, say
from plowwright.errors import EntryError
from plowwright.shop.service_search import Scraps


@app.command()
def short(rulebook: Rules = None, demo: Demo = False, as_json: Json = False) -> None:
    """Tell which open order goes short of what on which day, from the rack and what is on its way."""
    found = desk_of(rulebook, demo=demo).counter.shortages()
    lines = [f"{one.text}." for one in found.short] or ["Nobody goes short."]
    say({"short": [one.as_dict() for one in found.short]}, lines, as_json=as_json)


@app.command()
def sell(
    spare: Annotated[str, typer.Argument(help='Spare of the price list or bought part, as "84 edge with bolts".')],
    series: Annotated[str, typer.Option("--series", help="Series of the blade it is for.")] = "flint",
    width: Annotated[str, typer.Option("--width", help="Width of the blade it is for.")] = "84 in",
    mount: Annotated[str, typer.Option("--mount", help="Its mount.")] = "loader",
    carrier: Annotated[str, typer.Option("--carrier", help="Kind of machine it is on.")] = "skid steer",
    count: Annotated[int, typer.Option("--count", min=1, help="How many.")] = 1,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Ask the calendar before a spare is sold: which orders go short by it, and until when."""
    entry = {"series": series, "width": width, "mount": mount, "carrier": carrier, "hoses": "none"}
    found = desk_of(rulebook, demo=demo).counter.sell(spare, from_dict(entry, where="sell"), count)
    say({"sales": [one.as_dict() for one in found]}, [f"{one.text}." for one in found], as_json=as_json)


@app.command()
def find(
    width: Annotated[str, typer.Option("--width", help="Width, as measured.")] = "",
    gap: Annotated[
        list[str] | None, typer.Option("--gap", help="First gaps of the edge's holes; again for each.")
    ] = None,
    bore: Annotated[str, typer.Option("--bore", help="Bore of the angle cylinder.")] = "",
    pins: Annotated[int | None, typer.Option("--pins", help="Hinge pins.")] = None,
    springs: Annotated[int | None, typer.Option("--springs", help="Trip springs.")] = None,
    notches: Annotated[int | None, typer.Option("--notches", help="Notches in the mount plate.")] = None,
    mount: Annotated[Literal["plate", "pins", "hook"] | None, typer.Option("--mount", help="How it couples.")] = None,
    colour: Annotated[str, typer.Option("--colour", help="Colour of the moldboard.")] = "",
    phone: Annotated[str, typer.Option("--phone", help="Last figures of a phone number.")] = "",
    year: Annotated[int | None, typer.Option("--year", help="Year it was bought, as remembered.")] = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Find a past blade by whatever scraps the caller has, and say what to ask next."""
    scraps = Scraps(
        width=units.si(width, "length", "--width") if width else None,
        gaps=tuple(units.si(g, "length", "--gap") for g in gap) if gap else None,
        bore=units.si(bore, "length", "--bore") if bore else None,
        pins=pins, springs=springs, notches=notches, mount=mount, colour=colour or None, phone_ends=phone or None,
        year=year,
    )  # fmt: skip
    if not scraps.told():
        raise EntryError("nothing was told to find it by", way_out='Give what the caller has, as --width "83-1/2 in".')
    found = desk_of(rulebook, demo=demo).counter.find(scraps)
    lines = [found.text]
    for c in found.candidates:
        against = f"; against it: {', '.join(c.against)}" if c.against else ""
        lines.append(f"  {c.marks.serial}, {c.marks.name}, {c.marks.owner}: {100 * c.chance:.0f} in 100{against}")
    say(found.as_dict(), lines, as_json=as_json)


@app.command()
def weigh(
    order: Annotated[str, typer.Argument(help="Order number.")],
    scale: Annotated[str, typer.Option("--scale", help='What the scale says, as "984 lb".')],
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Hold a scale ticket against the order's build; a blade that is off is stopped, with its likely causes."""
    found = desk_of(rulebook, demo=demo).counter.weigh(order, units.si(scale, "mass", "--scale"))
    lines = [f"{found.finding.verdict}: {found.finding.sentence}"]
    lines += [f"  {100 * c.chance:.0f} in 100: {c.said}. {c.look}" for c in found.causes]
    if found.stopped:
        lines.append("Stopped: it is not loaded until somebody has measured it, or knows why.")
    say(found.as_dict(), lines, as_json=as_json)
    if found.stopped:
        raise typer.Exit(1)
