"""Commands of the stockroom: an item, what to buy, ordered, come, late, reserved, taken, scrapped, counted."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from pathlib import Path
from typing import Annotated, Any

import typer

from plowwright import units
from plowwright.cli.common import Demo, Json, Key, Records, Rules, Who, app, desk_of, hand_of, say
from plowwright.desk.stock_answers import Answers
from plowwright.desk.stock_arrivals import Arrivals
from plowwright.desk.stock_counting import Counting
from plowwright.desk.stockroom import Stockroom
from plowwright.errors import EntryError
from plowwright.papers import buying_list, content, count_sheet, pdf
from plowwright.papers.lists import Column, Row, Sheet, write_csv, write_xlsx
from plowwright.shop.stock_counting import count_sheet as sheet_of
from plowwright.shop.stock_delivery import Delivery

Item = Annotated[str, typer.Argument(help='Item as the ledger calls it, as "flat 6 x 1/2 blank, 90 in".')]
Order = Annotated[str, typer.Argument(help="Order number.")]
Pieces = Annotated[int, typer.Option("--count", min=1, help="How many.")]
Lot = Annotated[str, typer.Option("--lot", help="Lot, heat or tag.")]
Reason = Annotated[str, typer.Option("--reason", help="Why, in a few words.")]
Out = Annotated[Path | None, typer.Option("--out", help="Write it as .pdf, .csv or .xlsx as well.")]


@app.command()
def stock(
    item: Annotated[str, typer.Argument(help="Item, or a few words of its name.")] = "",
    records: Records = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Tell how an item stands day by day, with its lots and lines; or list the items with these words in their name."""
    answers = Answers(desk_of(rulebook, demo=demo, records=records))
    rows = answers.items(item)
    if item and any(row.item == item for row in rows):
        found = answers.item(item)
        lines = [found.text]
        lines += [
            f"  {d.day:%a %d %b}: {d.left} left" + (f", {d.comes} come" if d.comes else "")
            + (f", {d.goes} go to {', '.join(d.orders) or 'nobody'}" if d.goes else "")
            for d in found.days.days
        ]  # fmt: skip
        lines += [f"  line {one.id}, {one.day:%d %b}: {one.kind} {one.count} {one.order or ''} {one.reason}".rstrip()
                  for one in found.lines[:12]]  # fmt: skip
        say(found.as_dict(), lines, as_json=as_json)
        return
    told = [{"item": r.item, "on_hand": r.on_hand, "reserved": r.reserved, "arriving": r.arriving} for r in rows]
    words = [f"{r.item}: {r.on_hand} on hand, {r.reserved} reserved, {r.arriving} on the way" for r in rows]
    say({"items": told}, words or ["Nothing in stock has these words in its name."], as_json=as_json)


@app.command()
def buy(
    out: Out = None, records: Records = None, rulebook: Rules = None, demo: Demo = False, as_json: Json = False
) -> None:  # fmt: skip
    """Tell what to order by when for the open orders, and what is at its re-order point."""
    desk = desk_of(rulebook, demo=demo, records=records)
    answers = Answers(desk)
    rows, awaited, refill = answers.to_buy(), answers.awaited(), answers.to_refill()
    if out is not None:
        shop, today = desk.rulebook.shop, desk.now.date()
        made = buying_list.buying_list(buying_list.Buying(rows=rows, shop=shop, on=today, refill=refill))
        _write(out, made, buying_list.rows_of(rows), buying_list.COLUMNS, buying_list.pages_of(rows), today)
    lines = [f"{row.text}." for row in rows] or ["Nothing has to be bought for the open orders."]
    lines += [f"{one.text}." for one in (*awaited, *refill)]
    told = {
        "buy": [r.as_dict() for r in rows], "awaited": [a.as_dict() for a in awaited],
        "refill": [u.as_dict() for u in refill],
    }  # fmt: skip
    say(told, lines, as_json=as_json)


@app.command()
def arrive(
    item: Annotated[str, typer.Argument(help="Item that is ordered; with --arrival leave it out.")] = "",
    count: Pieces = 1,
    due: Annotated[str, typer.Option("--due", help="Day it comes, as 2026-11-30.")] = "",
    supplier: Annotated[str, typer.Option("--from", help="From whom.")] = "",
    arrival: Annotated[int | None, typer.Option("--arrival", help="An arrival that comes on another day.")] = None,
    cancel: Annotated[bool, typer.Option("--cancel", help="That arrival does not come.")] = False,
    reason: Reason = "",
    who: Who = "",
    key: Key = "",
    records: Records = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Write down what is ordered and when it comes; that it comes later, or not at all."""
    room, hand = Arrivals(desk_of(rulebook, demo=demo, records=records)), hand_of(who, key)
    if arrival is None:
        _told(room.order_in(hand, item, count, _day(due), supplier=supplier), as_json=as_json)
    elif cancel:
        _told(room.cancel(hand, arrival, reason), as_json=as_json)
    else:
        _told(room.late(hand, arrival, _day(due), reason=reason), as_json=as_json)


@app.command()
def receive(
    item: Item,
    count: Pieces = 1,
    lot: Lot = "",
    wall: Annotated[str, typer.Option("--wall", help='Wall or thickness by caliper, as "0.246 in".')] = "",
    width: Annotated[str, typer.Option("--width", help="Larger outside size.")] = "",
    height: Annotated[str, typer.Option("--height", help="Smaller outside size.")] = "",
    weight: Annotated[str, typer.Option("--weight", help='Weight of a cut foot, as "8.8 lb/ft".')] = "",
    hole: Annotated[
        list[str] | None, typer.Option("--hole", help="Hole of a blank from one end; again for each.")
    ] = None,
    bad: Annotated[str, typer.Option("--bad", help="What is wrong with it to the eye.")] = "",
    arrival: Annotated[int | None, typer.Option("--arrival", help="The arrival it belongs to.")] = None,
    rest: Annotated[str, typer.Option("--rest", help="Day on which what is missing or bad comes.")] = "",
    who: Who = "",
    key: Key = "",
    records: Records = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Take a delivery in: measured against what was ordered, racked or refused with the reason."""
    delivery = Delivery(
        item=item, count=count, lot=lot, bad=bad, wall=_size(wall, "--wall"), width=_size(width, "--width"),
        height=_size(height, "--height"), holes=tuple(units.si(one, "length", "--hole") for one in hole or ()),
        mass_per_length=units.si(weight, "linear_mass", "--weight") if weight else None,
    )  # fmt: skip
    room = Arrivals(desk_of(rulebook, demo=demo, records=records))
    done = room.receive(hand_of(who, key), delivery, arrival=arrival, rest=_day(rest) if rest else None)
    _told(done, as_json=as_json)
    if not done["racked"]:
        raise typer.Exit(1)


@app.command()
def reserve(
    order: Order,
    give_up: Annotated[bool, typer.Option("--give-up", help="Give its reservations back instead; say why.")] = False,
    reason: Reason = "",
    who: Who = "",
    key: Key = "",
    records: Records = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Reserve for an order all that can be had by its day, and say what goes short."""
    room, hand = Stockroom(desk_of(rulebook, demo=demo, records=records)), hand_of(who, key)
    _told(room.give_up(hand, order, reason) if give_up else room.reserve(hand, order), as_json=as_json)


@app.command()
def take(
    order: Order,
    item: Annotated[str, typer.Argument(help="Item; left out, all the order still needs.")] = "",
    count: Pieces = 1,
    lot: Lot = "",
    back: Annotated[bool, typer.Option("--back", help="Lay them back instead.")] = False,
    who: Who = "",
    key: Key = "",
    records: Records = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Take pieces off the shelf for an order, or lay them back."""
    room, hand = Stockroom(desk_of(rulebook, demo=demo, records=records)), hand_of(who, key)
    done = (
        room.give_back(hand, order, item, count, lot=lot) if back
        else room.take(hand, order, item, count, lot=lot or None)
    )  # fmt: skip
    _told(done, as_json=as_json)


@app.command()
def scrap(
    item: Item,
    count: Pieces = 1,
    lot: Lot = "",
    reason: Reason = "",
    order: Annotated[str, typer.Option("--order", help="Whose work spoilt them.")] = "",
    who: Who = "",
    key: Key = "",
    records: Records = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Throw pieces away with the reason; orders that lose their reservation by it are named."""
    room = Counting(desk_of(rulebook, demo=demo, records=records))
    done = room.scrap(hand_of(who, key), item, count, reason, lot=lot, order=order.strip().upper() or None)
    _told(done, as_json=as_json)


@app.command()
def count(
    counted: Annotated[
        list[str] | None, typer.Argument(help='What was counted, each as "skid shoe=7" or "ITEM@LOT=7".')
    ] = None,
    words: Annotated[str, typer.Option("--words", help="Only items with these words, on the sheet.")] = "",
    out: Out = None,
    who: Who = "",
    key: Key = "",
    records: Records = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Put the book right by what was counted; with nothing counted, make the sheet to walk along the rack with."""
    desk = desk_of(rulebook, demo=demo, records=records)
    if counted:
        _told(Counting(desk).count(hand_of(who, key), dict(map(_counted, counted))), as_json=as_json)
        return
    rows = sheet_of(Answers(desk).balances(words))
    if out is not None:
        today = desk.now.date()
        made = count_sheet.count_sheet(
            count_sheet.Rack(rows=rows, shop=desk.rulebook.shop, on=today, mark=f"{today:%d %b}")
        )
        _write(out, made, count_sheet.rows_of(rows), count_sheet.COLUMNS, count_sheet.pages_of(rows), today)
    say({"rows": [row.as_dict() for row in rows]}, [row.text for row in rows], as_json=as_json)


@app.command("undo-line")
def undo_line(
    number: Annotated[int, typer.Argument(help="Number of the line.")],
    reason: Reason = "",
    who: Who = "",
    key: Key = "",
    records: Records = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Undo a line of the stock ledger by its opposite, with the reason; nothing is ever edited."""
    room = Counting(desk_of(rulebook, demo=demo, records=records))
    _told(room.reverse(hand_of(who, key), number, reason), as_json=as_json)


@app.command()
def tag(
    stuff: Annotated[str, typer.Argument(help='Section or sheet, as "tube 3 x 3 x 1/4".')],
    length: Annotated[str, typer.Option("--length", help="As measured.")],
    width: Annotated[str, typer.Option("--width", help="Of a sheet's rest.")] = "",
    mark: Annotated[str, typer.Option("--tag", help="As written on it; left out, the next free one.")] = "",
    who: Who = "",
    key: Key = "",
    records: Records = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Lay a drop back into the rack with a tag of its own."""
    room = Counting(desk_of(rulebook, demo=demo, records=records))
    sizes = units.si(length, "length", "--length"), _size(width, "--width") or 0.0
    _told(room.tag(hand_of(who, key), stuff, sizes[0], width=sizes[1], tag=mark), as_json=as_json)


def _told(done: Mapping[str, Any], *, as_json: bool) -> None:
    say(dict(done), [f"{done['said']}."], as_json=as_json)


def _size(said: str, where: str) -> float | None:
    return units.si(said, "length", where) if said else None


def _day(said: str) -> date:
    try:
        return date.fromisoformat(said)
    except ValueError as fault:
        raise EntryError("not a day", value=said or "nothing", where="--due", way_out="Write 2026-11-30.") from fault


def _counted(said: str) -> tuple[tuple[str, str], int]:
    what, sign, number = said.rpartition("=")
    if not sign or not number.strip().isdigit():
        raise EntryError("not a count", value=said, way_out='Write it as "skid shoe=7", or "ITEM@LOT=7".')
    item, _, lot = what.partition("@")
    return (item.strip(), lot.strip()), int(number)


def _write(
    out: Path, paper: content.Paper, rows: list[Row], columns: tuple[Column, ...], pages: tuple[Sheet, ...], on: date
) -> None:  # fmt: skip
    kind = out.suffix.casefold()
    if kind == ".csv":
        out.write_bytes(write_csv(rows, columns))
    elif kind == ".xlsx":
        out.write_bytes(write_xlsx(pages, when=datetime.combine(on, datetime.min.time())))
    elif kind == ".pdf":
        out.write_bytes(pdf.compile(content.source(paper.template), pictures=paper.pictures, data=paper.data))
    else:
        raise EntryError("lists are written as .pdf, .csv or .xlsx", value=out.name, way_out="Name it so.")
