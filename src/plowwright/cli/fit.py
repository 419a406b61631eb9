"""The command that answers an enquiry: which blades suit a machine, for how much, and what to ask next."""

from __future__ import annotations

from typing import Annotated, Literal, cast

import typer

from plowwright import units
from plowwright.blade.work import DRIVERS, GROUNDS, Driver, Ground, Work
from plowwright.cli.common import Demo, Json, Records, Rules, app, desk_of, say
from plowwright.desk.fit import FitAnswer
from plowwright.errors import EntryError
from plowwright.physics.snow import DENSITIES
from plowwright.rulebook.fit import CLASSES
from plowwright.rulebook.refusals import near_names

SHOWN = 12
"""Blades a person is shown; a machine gets all."""
NOTES_BEFORE = 4
"""Lines that end the answer: a blank one, strength and two cautions."""


@app.command()
def fit(
    carrier: Annotated[str, typer.Argument(metavar="CARRIER", help="A carrier file, or the name of a known carrier.")],
    ground: Annotated[str, typer.Option("--ground", help="pavement, gravel, sidewalk or mixed.")] = "",
    driver: Annotated[str, typer.Option("--driver", help="owner or hired.")] = "",
    gate: Annotated[str, typer.Option("--gate", help="Narrowest passage, with its unit.")] = "",
    width: Annotated[str, typer.Option("--width", help="Width he wishes, with its unit.")] = "",
    duty_class: Annotated[str, typer.Option("--class", help="Class he wishes: light, standard or heavy.")] = "",
    snow: Annotated[str, typer.Option("--snow", help="State of the snow, as the density table names it.")] = "",
    road: Annotated[bool, typer.Option("--road", help="It travels on a public road with the blade on.")] = False,
    depth: Annotated[str, typer.Option("--depth", help="Snow to push in one go, with its unit.")] = "",
    shown: Annotated[int, typer.Option("--shown", min=1, help="Blades shown.")] = SHOWN,
    metric: Annotated[bool, typer.Option("--metric", help="Answer in kilograms and millimetres.")] = False,
    records: Records = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Say which blades suit a machine, why, for how much, and what to ask next."""
    desk = desk_of(rulebook, demo=demo, records=records)
    machine = desk.strength.carrier(carrier)
    if machine is None:
        raise EntryError("no carrier is named", way_out="Give a carrier file, such as carriers/k7.toml.")
    work = Work(
        ground=cast("Ground", _word(ground, GROUNDS, "--ground")),
        driver=cast("Driver", _word(driver, DRIVERS, "--driver")),
        gate=units.si(gate, "length", "--gate") if gate else None,
        width=units.si(width, "length", "--width") if width else None,
        duty_class=_word(duty_class, ("", *CLASSES), "--class"),
        snow=_word(snow, ("", *(row.name for row in DENSITIES)), "--snow"),
        road=True if road else None,
        depth=units.si(depth, "length", "--depth") if depth else None,
    )
    system: Literal["us", "metric"] = "metric" if metric else "us"
    answer = desk.fit.answer(machine, work, system)
    first = answer.best
    notes = () if first.verdict == "does not suit" else desk.fit.notes(first, machine, system)
    lines = _lines(answer, shown, system)
    if notes:
        lines[-NOTES_BEFORE:-NOTES_BEFORE] = ["", f"How {first.name} moves on it:", *(f"- {note}" for note in notes)]
    say({**answer.as_dict(), "notes": list(notes)}, lines, as_json=as_json)


def _word(given: str, known: tuple[str, ...], where: str) -> str:
    if given not in known:
        words = [word for word in known if word]
        raise EntryError(
            "not one of the words known here",
            value=given,
            limit=", ".join(words),
            way_out=near_names(given, words),
            where=where,
        )
    return given


def _lines(answer: FitAnswer, shown: int, system: units.System) -> list[str]:
    carrier = answer.carrier
    with units.speaking(system):
        known = [f"{f.said()}{f'. {f.doubt}' if f.doubt else ''}" for f in carrier.facts]
    lines = [f"{carrier.name}: {carrier.kind or 'kind not known'}", *(f"  {fact}" for fact in known)]
    if answer.asks:
        lines.append(f"{answer.asks}." + (f" {answer.decides}." if answer.decides else ""))
    lines += [f"Price: {answer.prices}.", ""]
    for row in answer.rows[:shown]:
        lines.append(f"{row.name:16} {row.verdict:14} {row.price_said:>10}  {row.reason}")
    if len(answer.rows) > shown:
        rest = answer.rows[shown:]
        counts = {verdict: sum(r.verdict == verdict for r in rest) for verdict in answer.counts}
        left = ", ".join(f"{count} {verdict}" for verdict, count in counts.items() if count)
        lines.append(f"and {len(rest)} more: {left}.")
    if answer.questions:
        lines += ["", "Ask next:"]
        for at, question in enumerate(answer.questions, 1):
            lines.append(f"{at}. {question.ask} ({question.why}; {question.changes})")
    return [*lines, "", answer.strength, *answer.cautions]
