"""The command about angling: how a blade swings on a carrier, its test card, and what a stopwatch says."""

from __future__ import annotations

from typing import Annotated, Any, Literal

import typer

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.carried import moved
from plowwright.blade.carriers import Carrier
from plowwright.blade.moving import judging
from plowwright.blade.moving.card import card_of
from plowwright.blade.moving.diagnosis import Diagnosis, diagnose
from plowwright.blade.moving.restrictors import rules_of
from plowwright.blade.moving.results import Swinging
from plowwright.blade.moving.striking import Struck, look
from plowwright.blade.moving.swinging import without_settings
from plowwright.cli.common import Demo, Json, Records, Rules, app, desk_of, say
from plowwright.errors import EntryError
from plowwright.findings import Finding


@app.command()
def swing(
    what: Annotated[str, typer.Argument(metavar="SPEC.toml|ORDER", help="A spec file or the number of an open order.")],
    carrier: Annotated[
        str, typer.Option("--carrier", help="Carrier file or name of a known carrier; left out, the order's own.")
    ] = "",
    seconds_left: Annotated[
        float | None, typer.Option("--seconds-left", min=0.01, help="Stopwatch, stop to stop, left end forward.")
    ] = None,
    seconds_right: Annotated[
        float | None, typer.Option("--seconds-right", min=0.01, help="Stopwatch, stop to stop, right end forward.")
    ] = None,
    oil: Annotated[
        str, typer.Option("--oil", help='Oil in the blade\'s lines when it was timed, as "40 F"; left out, warm.')
    ] = "",
    strike: Annotated[bool, typer.Option("--strike", help="Follow a strike on the blade's end through.")] = False,
    level: Annotated[
        int, typer.Option("--level", min=0, max=2, help="Strength behind the relief's setting: 0 not looked at.")
    ] = 1,
    system: Annotated[Literal["us", "metric"], typer.Option("--system", help="Units of the answer.")] = "us",
    records: Records = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Tell how a blade swings on a carrier: seconds each way, speed, force, pressures, protection, and diagnosis."""
    if (seconds_left is None) != (seconds_right is None):
        raise EntryError(
            "the stopwatch is asked for both ways",
            value=f"left {seconds_left}, right {seconds_right}",
            way_out="Give --seconds-left and --seconds-right, stop to stop, three times each way.",
        )
    desk = desk_of(rulebook, demo=demo, records=records)
    spec, order = desk.spec_of(what)
    machine = desk.strength.carrier(carrier) if carrier else desk.strength.of_order(order.carrier) if order else None
    worked = desk.worked(spec)
    if level in (1, 2):
        worked = desk.strength.holding(worked, machine, level=1 if level == 1 else 2, system=system)
    with units.speaking(system):
        found = moved(worked.build, machine).swinging
        if found is None:
            say({"finding": without_settings().as_dict()}, [without_settings().sentence], as_json=as_json)
            return
        timed = _timed(worked.build, machine, (seconds_left, seconds_right), oil)
        deeper = look(worked.build, machine) if strike else None
        answer, lines = _answer(worked.build, machine, found, timed, deeper)
    say(answer, lines, as_json=as_json)


def _timed(
    build: Build, machine: Carrier | None, seconds: tuple[float | None, float | None], oil: str
) -> Diagnosis | None:
    left, right = seconds
    if left is None or right is None:
        return None
    warm = rules_of(build).oil.tank.value
    return diagnose(build, machine, left, right, units.si(oil, "temperature", "--oil") if oil else warm)


def _answer(
    build: Build, machine: Carrier | None, found: Swinging, timed: Diagnosis | None, deeper: Struck | Finding | None
) -> tuple[dict[str, Any], list[str]]:
    card = card_of(build, found)
    name = machine.name if machine else "no carrier: on the shop's test pack"
    lines = [f"{build.name}, {name}"]
    for one in found.by_way.values():
        lines.append(
            f"{one.says}: {judging.span_said(one.time, judging.seconds)} warm, first swing of the day "
            f"{judging.seconds(one.band.first)} to {judging.seconds(one.band.high)}; pace by {one.limited_by}; end "
            f"{judging.span_said(one.end_speed, judging.end_speed)}, {judging.span_said(one.energy, judging.joules)} "
            f"at the stop, {judging.span_said(one.stall, judging.force)} where something holds it"
        )
    lines += [f"{f.verdict}: {f.text}" for f in found.findings]
    lines += ["test card:", *(f"  {row.sentence}" for row in card.rows)]
    answer = {**found.as_dict(), "test_card": card.as_dict(), "diagnosis": None, "strike": None}
    if timed is not None:
        lines += [f"stopwatch: {timed.sentence}", f"send: {timed.send or 'nothing yet'}"]
        answer["diagnosis"] = timed.as_dict()
    if deeper is not None:
        lines.append(deeper.sentence if isinstance(deeper, Finding) else deeper.finding.sentence)
        answer["strike"] = deeper.as_dict()
    return answer, lines + list(found.cautions)
