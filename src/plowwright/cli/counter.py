"""Commands at the counter: what goes short, a spare sold."""

from __future__ import annotations

from typing import Annotated

import typer

from plowwright.blade.spec import from_dict
from plowwright.cli.common import Demo, Json, Key, Records, Rules, Who, app, desk_of, hand_of, say
from plowwright.desk.selling_money import cents_of
from plowwright.desk.stock_answers import Answers
from plowwright.desk.stock_sales import Sales


@app.command()
def short(records: Records = None, rulebook: Rules = None, demo: Demo = False, as_json: Json = False) -> None:
    """Tell which open order goes short of what on which day, and why, from what lies there and what is on its way."""
    found = Answers(desk_of(rulebook, demo=demo, records=records)).short()
    lines = [f"{one.short.text} ({one.cause})." for one in found] or ["Nobody goes short."]
    say({"short": [one.as_dict() for one in found]}, lines, as_json=as_json)


@app.command()
def sell(
    spare: Annotated[str, typer.Argument(help='Spare of the price list or bought part, as "84 edge with bolts".')],
    series: Annotated[str, typer.Option("--series", help="Series of the blade it is for.")] = "flint",
    width: Annotated[str, typer.Option("--width", help="Width of the blade it is for.")] = "84 in",
    mount: Annotated[str, typer.Option("--mount", help="Its mount.")] = "loader",
    carrier: Annotated[str, typer.Option("--carrier", help="Kind of machine it is on.")] = "skid steer",
    serial: Annotated[str, typer.Option("--serial", help="A blade on file instead: its own rules say what fits.")] = "",
    count: Annotated[int, typer.Option("--count", min=1, help="How many.")] = 1,
    really: Annotated[bool, typer.Option("--really", help="Sell it, not only ask.")] = False,
    agreed: Annotated[
        list[str] | None, typer.Option("--agreed", help="Order that may go short; again for each.")
    ] = None,
    to: Annotated[str, typer.Option("--to", help="Who buys it.")] = "",
    taken: Annotated[str, typer.Option("--taken", help='Sum taken for it, as "USD 41".')] = "",
    who: Who = "",
    key: Key = "",
    records: Records = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Ask the calendar before a spare is sold: which orders go short by it, and until when; with --really, sell it."""
    entry = {"series": series, "width": width, "mount": mount, "carrier": carrier, "hoses": "none"}
    spec = None if serial else from_dict(entry, where="sell")
    desk = desk_of(rulebook, demo=demo, records=records)
    sales = Sales(desk)
    if really:
        sum_ = cents_of(taken, desk.rulebook.shop.currency, "--taken") if taken else None
        done = sales.sell(
            hand_of(who, key), spare, spec, count, to=to, serial=serial, agreed=agreed or (), taken=sum_
        )  # fmt: skip
        say(done, [f"{done['said']}."], as_json=as_json)
        return
    found = sales.ask(spare, spec, count, serial=serial)
    say({"sales": [one.as_dict() for one in found]}, [f"{one.text}." for one in found], as_json=as_json)
