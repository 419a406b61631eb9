"""Commands over orders: quoted, ordered, paid, held, changed, released, stepped back, called off, copied."""

from __future__ import annotations

from datetime import date, datetime
from typing import Annotated, Any

import typer

from plowwright.blade import spec as specs
from plowwright.cli.common import Demo, Json, Key, Records, Rules, Who, app, desk_of, hand_of, looked_at, say
from plowwright.desk.acting import said_of
from plowwright.desk.enquiring import Enquiring, told_in_words
from plowwright.desk.order_copy import Copy, copy_of
from plowwright.desk.order_file import OrderPage, open_quotes, order_page
from plowwright.desk.order_papers import name_of
from plowwright.desk.selling import Selling
from plowwright.desk.selling_changes import Changing
from plowwright.desk.selling_money import Till, cents_of
from plowwright.desk.selling_quotes import Quoting
from plowwright.desk.selling_words import For, day_of, said_day
from plowwright.errors import EntryError
from plowwright.shop.orders import money

Number = Annotated[str, typer.Argument(help="Order number with its letter.")]
Whom = Annotated[str, typer.Option("--for", help="Who it is for.")]
Phone = Annotated[str, typer.Option("--phone", help="His phone number.")]
Machine = Annotated[str, typer.Option("--machine", help="His machine, as the shop calls it.")]
Wished = Annotated[str, typer.Option("--wished", help="Day he wishes for, as 2026-11-27 or 2026-11-27T07:00.")]
Note = Annotated[str, typer.Option("--note", help="What else must be known.")]
Why = Annotated[str, typer.Option("--why", help="Why, in a few words.")]
Answers = Annotated[
    list[str] | None, typer.Option("--answer", help='Answer to a question, as "machine=yes, K7"; again for each.')
]


@app.command()
def enquiry(
    who: Who,
    name: Annotated[str, typer.Option("--from", help="Who rang.")] = "",
    phone: Phone = "",
    machine: Machine = "",
    note: Note = "",
    key: Key = "",
    rulebook: Rules = None,
    records: Records = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Keep who rang and what was said."""
    desk = desk_of(rulebook, demo=demo, records=records)
    known = desk.strength.carrier(machine)
    told = [("machine", machine)] if machine else []
    _done(Enquiring(desk).keep(hand_of(who, key), name=name, phone=phone, told=told, carrier=known, note=note), as_json)


@app.command()
def enquiries(rulebook: Rules = None, records: Records = None, demo: Demo = False, as_json: Json = False) -> None:
    """List open enquiries, and quotes that wait for a yes with their last day."""
    with looked_at(rulebook, records, demo=demo) as desk:
        rang, waiting = Enquiring(desk).open(), open_quotes(desk)
    lines: list[str] = []
    for e in rang:
        words = ", ".join(filter(None, (e.customer, e.phone, *told_in_words(e.told), e.note)))
        lines.append(f"Enquiry {e.id}, {e.day:%d %b}: {words}.")
    lines += [
        f"{q.number} for {q.customer}: {q.what}, {money(q.cents)}, {'until' if q.stands else 'ran out on'}"
        f" {q.until:%a %d %b %Y}."
        for q in waiting
        if q.until
    ]
    answer = {
        "enquiries": [{"id": e.id, "day": e.day.isoformat(), "customer": e.customer, "phone": e.phone,
                       "told": dict(e.told), "note": e.note} for e in rang],
        "quotes": [{"number": q.number, "customer": q.customer, "what": q.what, "cents": q.cents,
                    "until": q.until.isoformat() if q.until else None, "stands": q.stands} for q in waiting],
    }  # fmt: skip
    say(answer, lines or ["Nothing is open."], as_json=as_json)


@app.command()
def quote(
    who: Who,
    what: Annotated[str, typer.Argument(metavar="[SPEC.toml]", help="Spec file of the blade.")] = "",
    whom: Whom = "",
    phone: Phone = "",
    machine: Machine = "",
    wished: Wished = "",
    note: Note = "",
    ask: Annotated[list[str] | None, typer.Option("--ask", help="What must still be asked; again for each.")] = None,
    spare: Annotated[list[str] | None, typer.Option("--spare", help="A spare sold; again for each.")] = None,
    serial: Annotated[str, typer.Option("--serial", help="The blade the spares are for.")] = "",
    refit: Annotated[str, typer.Option("--refit", help="Serial number of an old blade to go on --machine.")] = "",
    enquiry_: Annotated[int | None, typer.Option("--enquiry", help="Number of the enquiry it answers.")] = None,
    key: Key = "",
    rulebook: Rules = None,
    records: Records = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Quote a blade, a refit or spares: frozen with today's rules and prices, and given the next number."""
    given = [name for name, one in (("a spec", what), ("--refit", refit), ("--spare", spare)) if one]
    if len(given) != 1:
        raise EntryError("one thing is quoted at a time", value=", ".join(given) or "nothing",
                         limit="a spec file, --refit or --spare")  # fmt: skip
    desk, by = desk_of(rulebook, demo=demo, records=records), hand_of(who, key)
    about = For(name=whom, phone=phone, carrier=machine, enquiry=enquiry_, note=note, asks=tuple(ask or ()),
                wished=_when(wished, "--wished"))  # fmt: skip
    if refit:
        answer = Quoting(desk).quote_refit(by, refit, machine, about)
    elif spare:
        answer = Quoting(desk).quote_spares(by, spare, about, serial=serial)
    else:
        answer = Quoting(desk).quote(by, specs.load(what), about)
    _done(answer, as_json)


@app.command()
def again(
    number: Number,
    who: Who,
    key: Key = "",
    rulebook: Rules = None,
    records: Records = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Quote the same once more at today's prices; the number stays."""
    desk = desk_of(rulebook, demo=demo, records=records)
    _done(Quoting(desk).quote_again(hand_of(who, key), number), as_json)


@app.command()
def copy(
    what: Annotated[str, typer.Argument(metavar="SERIAL|ORDER", help="The earlier blade.")],
    who: Annotated[str, typer.Option("--who", help="Who does it, as R.K.", envvar="PLOWWRIGHT_WHO")] = "",
    whom: Whom = "",
    machine: Machine = "",
    answers: Answers = None,
    wished: Wished = "",
    note: Note = "",
    key: Key = "",
    rulebook: Rules = None,
    records: Records = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Show what the same as last time would not be, and what to ask; with --for it is quoted once all is answered."""
    if not whom:
        with looked_at(rulebook, records, demo=demo) as desk:
            found = copy_of(desk, what, machine=machine)
        say(found.as_dict(), _copy_lines(found), as_json=as_json)
        return
    desk = desk_of(rulebook, demo=demo, records=records)
    found = copy_of(desk, what, machine=machine)
    about = For(name=whom, carrier=machine, note=note, wished=_when(wished, "--wished"))
    _done(Quoting(desk).quote(hand_of(who, key), found.spec, about, copy=found, answers=_answers(answers)), as_json)


@app.command()
def order(
    number: Number, rulebook: Rules = None, records: Records = None, demo: Demo = False, as_json: Json = False
) -> None:
    """Show the file of an order: how far it is, what the next step asks for, money, changes, questions."""
    with looked_at(rulebook, records, demo=demo) as desk:
        page = order_page(desk, number)
    say(page.as_dict(), order_lines(page), as_json=as_json)


@app.command()
def accept(
    number: Number,
    who: Who,
    promise: Annotated[str, typer.Option("--promise", help="Day given, as 2026-11-27 or 2026-11-27T07:00.")],
    key: Key = "",
    rulebook: Rules = None,
    records: Records = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """The customer says yes: a quote becomes an order, with its day."""
    desk = desk_of(rulebook, demo=demo, records=records)
    _done(Selling(desk).accept(hand_of(who, key), number, day_of(promise, where="--promise")), as_json)


@app.command()
def pay(
    number: Number,
    who: Who,
    sum_: Annotated[str, typer.Option("--sum", help='The sum, as "1,046.40".')] = "",
    kind: Annotated[str, typer.Option("--sort", help="deposit, balance or refund.")] = "deposit",
    wrong: Annotated[int | None, typer.Option("--wrong", help="Put this line of money right instead.")] = None,
    note: Note = "",
    key: Key = "",
    rulebook: Rules = None,
    records: Records = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Write money down that came in or went back, or put a line right that was written by mistake."""
    desk, by = desk_of(rulebook, demo=demo, records=records), hand_of(who, key)
    if wrong is not None:
        return _done(Till(desk).reverse(by, number, wrong, note), as_json)
    cents = cents_of(sum_, desk.rulebook.shop.currency, "--sum")
    return _done(Till(desk).pay(by, number, kind, cents, note), as_json)


@app.command()
def hold(
    number: Number, who: Who, why: Why, key: Key = "", rulebook: Rules = None, records: Records = None,
    demo: Demo = False, as_json: Json = False,
) -> None:  # fmt: skip
    """Put an order on hold."""
    desk = desk_of(rulebook, demo=demo, records=records)
    _done(Selling(desk).hold(hand_of(who, key), number, why), as_json)


@app.command()
def lift(
    number: Number, who: Who, why: Why, key: Key = "", rulebook: Rules = None, records: Records = None,
    demo: Demo = False, as_json: Json = False,
) -> None:  # fmt: skip
    """Lift the hold of an order."""
    desk = desk_of(rulebook, demo=demo, records=records)
    _done(Selling(desk).lift(hand_of(who, key), number, why), as_json)


@app.command()
def ask(
    number: Number,
    what: Annotated[str, typer.Argument(help="The question, or the beginning of one that is open.")],
    who: Who,
    said: Annotated[str, typer.Option("--said", help="The answer; left out, the question is put on the order.")] = "",
    key: Key = "",
    rulebook: Rules = None,
    records: Records = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Put a question on an order, or answer one that is open."""
    todo, by = Selling(desk_of(rulebook, demo=demo, records=records)), hand_of(who, key)
    _done(todo.answer(by, number, what, said) if said else todo.ask(by, number, what), as_json)


@app.command()
def change(
    number: Number,
    what: Annotated[str, typer.Argument(help='What changes, as "markers added".')],
    who: Who,
    more: Annotated[str, typer.Option("--more", help="Added to the price; with --spec as the list says.")] = "",
    less: Annotated[str, typer.Option("--less", help="Taken off the price.")] = "",
    promise: Annotated[str, typer.Option("--promise", help="New day, as 2026-11-27 or 2026-11-27T07:00.")] = "",
    spec: Annotated[str, typer.Option("--spec", help="Spec file of the blade after it.")] = "",
    key: Key = "",
    rulebook: Rules = None,
    records: Records = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Write a change note: what, price and day; it waits for the customer's yes."""
    desk = desk_of(rulebook, demo=demo, records=records)
    if more and less:
        raise EntryError("more or less, not both", value=f"--more {more} --less {less}")
    currency = desk.rulebook.shop.currency
    cents = cents_of(more, currency, "--more") if more else -cents_of(less, currency, "--less") if less else None
    answer = Changing(desk).write(
        hand_of(who, key), number, what, cents=cents, promise=_when(promise, "--promise"),
        spec=specs.load(spec) if spec else None,
    )  # fmt: skip
    _done(answer, as_json)


@app.command()
def settle(
    number: Number,
    who: Who,
    note: Annotated[int | None, typer.Option("--change", help="Number of the change; left out, the only one.")] = None,
    drop: Annotated[str, typer.Option("--drop", help="He does not want it after all: why.")] = "",
    key: Key = "",
    rulebook: Rules = None,
    records: Records = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """The customer says yes to a change note, or no."""
    changing, by = Changing(desk_of(rulebook, demo=demo, records=records)), hand_of(who, key)
    if drop and note is None:
        raise EntryError("which change is dropped", way_out="Name it, as --change 3.", where="--change")
    _done(changing.drop(by, number, note or 0, drop) if drop else changing.settle(by, number, note), as_json)


@app.command()
def release(
    number: Number, who: Who, key: Key = "", rulebook: Rules = None, records: Records = None, demo: Demo = False,
    as_json: Json = False,
) -> None:  # fmt: skip
    """Release an order to the floor, when every gate is open."""
    desk = desk_of(rulebook, demo=demo, records=records)
    _done(Selling(desk).release(hand_of(who, key), number), as_json)


@app.command()
def back(
    number: Number,
    to: Annotated[str, typer.Argument(help="The earlier step: order, released or done.")],
    who: Who,
    why: Why,
    key: Key = "",
    rulebook: Rules = None,
    records: Records = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Take a step back, with its reason."""
    desk = desk_of(rulebook, demo=demo, records=records)
    _done(Selling(desk).step_back(hand_of(who, key), number, to, why), as_json)


@app.command()
def cancel(
    number: Number, who: Who, why: Why, key: Key = "", rulebook: Rules = None, records: Records = None,
    demo: Demo = False, as_json: Json = False,
) -> None:  # fmt: skip
    """Call an order off; its number is never given again."""
    desk = desk_of(rulebook, demo=demo, records=records)
    _done(Selling(desk).cancel(hand_of(who, key), number, why), as_json)


def order_lines(page: OrderPage) -> list[str]:
    """The file of an order in plain lines.

    Args:
        page: The file.
    """
    row, standing = page.file.order, page.standing
    on = f" on {page.order.carrier}" if page.order.carrier else ""
    state = f"called off: {page.cancelled}" if standing is None else row.state
    lines = [f"{page.number}, {name_of(page)}, for {page.order.customer}{on}: {state}."]
    day = f"promised {said_day(page.promise)}" if page.promise else "no day promised"
    lines.append(f"{money(row.cents)}, {money(page.file.paid_cents)} in; {day}.")
    lines += [f"Change {change.id}: {note.text}." for change, note in page.notes]
    lines += [f"To be asked: {one}." for one in page.more.asks]
    if page.step is not None:
        lines.append(f"Next: {page.step.to}.")
        lines += [f"  {'open' if g.verdict in ('holds', 'near limit') else 'SHUT'}  {g.title}: {g.sentence}"
                  for g in page.step.gates]  # fmt: skip
    return lines


def _copy_lines(found: Copy) -> list[str]:
    lines = [f"The same as {found.what}, for {found.customer or 'nobody noted'}:"]
    rows = [f"  {row.what}: {row.values[0]}, now {row.values[1]}" for row in found.found.rows]
    lines += rows or ["  nothing differs"]
    lines += [f"Ask ({one.key}): {one.ask} ({one.why})" for one in found.found.asks]
    return lines


def _answers(given: list[str] | None) -> dict[str, str]:
    found: dict[str, str] = {}
    for one in given or ():
        name, mark, said = one.partition("=")
        if not mark:
            raise EntryError("an answer names its question", value=one, where="--answer",
                             way_out='Write it as --answer "machine=yes, K7".')  # fmt: skip
        found[name.strip()] = said.strip()
    return found


def _when(text: str, where: str) -> date | datetime | None:
    return day_of(text, where=where) if text else None


def _done(answer: dict[str, Any], as_json: bool) -> None:
    said = said_of(answer)
    say(answer, [f"{said[:1].upper()}{said[1:]}."], as_json=as_json)
