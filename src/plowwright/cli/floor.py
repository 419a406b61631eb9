"""Commands of the floor and the morning: what is today, begun, done, a problem, a note, settled, put right, the log."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from plowwright.cli.common import Demo, Json, Key, Records, Rules, Who, app, desk_of, hand_of, looked_at, say
from plowwright.desk.acting import said_of
from plowwright.desk.floor_photo import Photo, upright
from plowwright.errors import NotFoundError

Order = Annotated[str, typer.Argument(help="Order number with its check letter.")]
Operation = Annotated[str, typer.Argument(help='Operation, as "fit and weld"; one word of it will do.')]
At = Annotated[str, typer.Option("--at", help="At which operation.")]
Picture = Annotated[Path | None, typer.Option("--photo", help="JPEG or PNG to keep with it.")]


@app.command()
def today(records: Records = None, rulebook: Rules = None, demo: Demo = False, as_json: Json = False) -> None:
    """Tell the morning: what leaves, what is late and why, who does what, what comes, what waits for a word."""
    from plowwright.desk.floor_chain import clock
    from plowwright.desk.today import today_of

    with looked_at(rulebook, records, demo=demo) as desk:
        found = today_of(desk)
    lines = [clock(found.now)]
    for one in found.leaving:
        needs = f"needs {'; '.join(one.needs)}" if one.needs else "ready to load"
        lines.append(f"leaves: {one.order.number}, {one.when}: {needs}")
    for name, rows in found.parts.items():
        lines += [f"{name.replace('_', ' ')}: {row.order + ', ' if row.order else ''}{row.text}" for row in rows]
    for person in found.work.people:
        now = "; ".join(f"{s.order.number} {s.words}" for s in person.now)
        then = "; ".join(f"{s.order.number} {s.words}" for s in person.next)
        lines.append(f"{person.name}: {'at ' + now if now else 'at nothing'}{', next ' + then if then else ''}")
    say(found.as_dict(), lines, as_json=as_json)


@app.command()
def begin(
    order: Order, operation: Operation, who: Who = "", key: Key = "", records: Records = None,
    rulebook: Rules = None, demo: Demo = False, as_json: Json = False,
) -> None:  # fmt: skip
    """Say that somebody goes at an operation; what he was at before is laid down with its hours."""
    from plowwright.desk.floor import Floor

    answer = Floor(desk_of(rulebook, demo=demo, records=records)).begin(hand_of(who, key), order, operation)
    say(answer, [said_of(answer)], as_json=as_json)


@app.command()
def done(
    order: Order, operation: Operation, who: Who = "", key: Key = "",
    took: Annotated[str, typer.Option("--took", help='Working time, as "3 h 20 min"; else from the begin.')] = "",
    when: Annotated[str, typer.Option("--when", help='Since when, as "15:00" or "2026-11-10 15:00"; else now.')] = "",
    left: Annotated[str, typer.Option("--left", help="For test and weigh: time with the left end forward.")] = "",
    right: Annotated[str, typer.Option("--right", help="For test and weigh: time with the right end forward.")] = "",
    oil: Annotated[str, typer.Option("--oil", help="For test and weigh: temperature of the oil.")] = "",
    records: Records = None, rulebook: Rules = None, demo: Demo = False, as_json: Json = False,
) -> None:  # fmt: skip
    """Say that an operation is done, by whom and in what time; refused when it comes before its turn or its cure."""
    from plowwright.desk.floor import Floor

    answer = Floor(desk_of(rulebook, demo=demo, records=records)).done(
        hand_of(who, key), order, operation, took=took, when=when, test={"left": left, "right": right, "oil": oil}
    )
    say(answer, [said_of(answer)], as_json=as_json)


@app.command()
def undone(
    order: Order, operation: Operation,
    reason: Annotated[str, typer.Option("--reason", help="Why it is not done after all.")] = "",
    keep_hours: Annotated[bool, typer.Option("--keep-hours", help="The hours noted with it stay.")] = False,
    who: Who = "", key: Key = "", records: Records = None, rulebook: Rules = None, demo: Demo = False,
    as_json: Json = False,
) -> None:  # fmt: skip
    """Put right an operation that is not done after all; its hours are reversed."""
    from plowwright.desk.floor_right import FloorRight

    answer = FloorRight(desk_of(rulebook, demo=demo, records=records)).undo(
        hand_of(who, key), order, operation, reason, hours_too=not keep_hours
    )
    say(answer, [said_of(answer)], as_json=as_json)


@app.command()
def problem(
    order: Order, what: Annotated[str, typer.Argument(help="What is wrong.")],
    at: At = "", where: Annotated[str, typer.Option("--where", help="Where on the blade.")] = "",
    hold: Annotated[bool, typer.Option("--hold", help="Nothing more is done before it is settled.")] = False,
    photo: Picture = None, who: Who = "", key: Key = "", records: Records = None, rulebook: Rules = None,
    demo: Demo = False, as_json: Json = False,
) -> None:  # fmt: skip
    """Put a problem on an order; it stands there until somebody settles it."""
    from plowwright.desk.floor_words import FloorWords

    answer = FloorWords(desk_of(rulebook, demo=demo, records=records)).problem(
        hand_of(who, key), order, at, what, where=where, hold=hold, photo=_photo(photo)
    )
    say(answer, [said_of(answer)], as_json=as_json)


@app.command("settle-problem")
def settle_problem(
    order: Order, how: Annotated[str, typer.Argument(help="What was done about it.")],
    which: Annotated[str, typer.Option("--which", help="Some words of the problem; left out, the only one.")] = "",
    who: Who = "", key: Key = "", records: Records = None, rulebook: Rules = None, demo: Demo = False,
    as_json: Json = False,
) -> None:  # fmt: skip
    """Say how a problem of the floor was settled; it leaves the order, and so does the hold it put on."""
    from plowwright.desk.floor_words import FloorWords

    answer = FloorWords(desk_of(rulebook, demo=demo, records=records)).settle(hand_of(who, key), order, which, how)
    say(answer, [said_of(answer)], as_json=as_json)


@app.command()
def note(
    order: Order, text: Annotated[str, typer.Argument(help="The note.")] = "", at: At = "", photo: Picture = None,
    who: Who = "", key: Key = "", records: Records = None, rulebook: Rules = None, demo: Demo = False,
    as_json: Json = False,
) -> None:  # fmt: skip
    """Keep a note, a photo or both with an order."""
    from plowwright.desk.floor_words import FloorWords

    answer = FloorWords(desk_of(rulebook, demo=demo, records=records)).note(
        hand_of(who, key), order, at, text, photo=_photo(photo)
    )
    say(answer, [said_of(answer)], as_json=as_json)


@app.command()
def log(
    order: Annotated[str, typer.Option("--order", help="Of one order only.")] = "",
    by: Annotated[str, typer.Option("--by", help="By one person only.")] = "",
    before: Annotated[int | None, typer.Option("--before", help="Only what was done before this number.")] = None,
    event: Annotated[int | None, typer.Option("--event", help="Open this one: asked, changed, digests.")] = None,
    limit: Annotated[int, typer.Option("--limit", min=1, help="The most that are told.")] = 30,
    records: Records = None, rulebook: Rules = None, demo: Demo = False, as_json: Json = False,
) -> None:  # fmt: skip
    """Tell what was done, the newest first, or open one event with what it changed."""
    from plowwright.desk.floor_chain import clock
    from plowwright.desk.log import log_of, opened

    with looked_at(rulebook, records, demo=demo) as desk:
        one = opened(desk, event) if event is not None else None
        found = log_of(desk, order=order, who=by, before=before, limit=limit)
    if one is not None:
        lines = [f"No. {one.entry.number}, {clock(one.entry.at)}, {one.entry.who}: {one.entry.command}", one.entry.said]
        lines += [f"  {c.row} {c.field}: {c.was or 'nothing'} -> {c.now or 'nothing'}" for c in one.changed]
        say(one.as_dict(), [*lines, f"  digest {one.digest}"], as_json=as_json)
        return
    lines = [f"{e.number} {clock(e.at)} {e.who}: {e.command} {e.order}. {e.said}" for e in found.entries]
    told = {"events": [e.as_dict() for e in found.entries], "before": found.before}
    say(told, lines or ["Nothing like that was done."], as_json=as_json)


def _photo(path: Path | None) -> Photo | None:
    if path is None:
        return None
    if not path.is_file():
        raise NotFoundError("no photo lies there", value=str(path), way_out="Name a JPEG or PNG.")
    return upright(path.read_bytes(), path.name)
