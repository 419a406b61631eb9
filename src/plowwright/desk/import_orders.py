"""Orders brought in from a list: read, held against rulebook and records, written, and listed the same way again."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from typing import Any, Final

from plowwright.blade.spec import CARRIER_KINDS, CarrierKind, Spec
from plowwright.desk.books import order_of
from plowwright.desk.import_days import bare
from plowwright.desk.import_known import People, Writer, people_of
from plowwright.desk.import_order_rows import (
    BLADE,
    STATES,
    OrderRow,
    cells_of,
    row_of_record,
    spec_of_row,
    state_of,
)
from plowwright.desk.import_rows import ReadRow, Row, twice
from plowwright.desk.order_more import CHAIN, Done, More
from plowwright.papers.lists import Column
from plowwright.papers.tables_in import Entry
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.lines import Line
from plowwright.shop.orders import money
from plowwright.shop.orders_numbers import check_number, next_number, with_letter
from plowwright.shop.worked import Worked
from plowwright.store import records as r
from plowwright.store.commands import Command
from plowwright.store.reading import Reads

NEEDS: Final = ("customer", "series", "width", "mount")
KNOWS: Final = (
    "number", "kind", "phone", "carrier", "carrier kind", "hoses", "outlets", "extras", "due", "state", "price",
    "deposit paid", "serial", "spares", "note",
)  # fmt: skip
OTHERS: Final = {
    "number": ("order", "order number", "order no", "no", "no.", "job"),
    "customer": ("name", "client", "buyer", "for"),
    "phone": ("telephone", "tel", "phone number", "mobile"),
    "carrier": ("machine", "tractor", "loader"),
    "carrier kind": ("kind of carrier", "kind of machine", "machine kind", "machine type"),
    "series": ("class", "duty class"),
    "width": ("edge width", "blade width"),
    "mount": ("mount plate", "coupling"),
    "hoses": ("hose set", "couplers"),
    "outlets": ("outlet side", "side"),
    "extras": ("options", "with"),
    "due": ("promise", "promised", "due date", "date due", "wanted by"),
    "state": ("status", "stage", "how far"),
    "price": ("total", "amount"),
    "deposit paid": ("deposit", "paid", "down payment"),
    "serial": ("serial number", "serial no"),
    "note": ("notes", "remark", "remarks", "comment", "comments"),
}
_PAST_DUE: Final = ("quote", "done", "weighed", "loaded", "cancelled")
"""States in which an order may be without a day."""


def columns(currency: str) -> tuple[Column, ...]:
    """The columns of a list of orders.

    Args:
        currency: Code of the currency.
    """
    units = {"width": "in", "price": currency, "deposit paid": currency}
    order = ("number", "kind", "customer", "phone", "carrier", "carrier kind", "series", "width", "mount", "hoses",
             "outlets", "extras", "due", "state", "price", "deposit paid", "serial", "spares", "note")  # fmt: skip
    return tuple(Column(field=name, heading=name, unit=units.get(name, "")) for name in order)


@dataclass(frozen=True, kw_only=True)
class _There:
    """What the records have already."""

    people: People
    rows: Mapping[str, OrderRow]

    @property
    def numbers(self) -> tuple[str, ...]:
        return tuple(self.rows)


class Orders:
    """Brings orders in.

    Args:
        rulebook: The rules in force.
        work: Works a blade out.
    """

    def __init__(self, rulebook: Rulebook, work: Callable[[Spec], Worked]) -> None:
        self._rulebook, self._work = rulebook, work

    def read(self, entries: Sequence[Entry], reads: Reads | None) -> list[ReadRow]:
        """Every row read and held against what is there.

        Args:
            entries: The rows.
            reads: The records, None where none are open.
        """
        there = _There(people=people_of(reads), rows=rows_of(reads)) if reads else _There(people=People(), rows={})
        rows = [Row(entry) for entry in entries]
        values = [self._row(row, there) for row in rows]
        twice([(row, v.number if v and v.number else None) for row, v in zip(rows, values, strict=True)], "number")
        _alike(rows, values, there)
        return [self._outcome(row, value, there) for row, value in zip(rows, values, strict=True)]

    def write(self, c: Command, rows: Sequence[ReadRow], source: str) -> list[str]:
        """Write the new ones.

        Args:
            c: The command.
            rows: As `read` gave them inside the same command.
            source: Name of the file.

        Returns:
            Their numbers, in the order of the rows.
        """
        writer, out = Writer(c), list[str]()
        given = [row.value.number for row in rows if row.value is not None and row.value.number]
        # Numbers of the file are taken before the blanks get theirs.
        last = int(next_number((*c.numbers(), *given))[:-1])
        for row in rows:
            if row.value is None:
                continue
            value: OrderRow = row.value
            if not value.number:
                value, last = replace(value, number=with_letter(last)), last + 1
            self._write(c, writer, value, source)
            out.append(value.number)
        return out

    def sums(self, rows: Sequence[ReadRow], written: Sequence[str], reads: Reads) -> list[tuple[str, str, str]]:
        """What the file says and what the records now have of it: what, file, records.

        Args:
            rows: The rows.
            written: Numbers that were written.
            reads: The records after it.
        """
        values: list[OrderRow] = [row.value for row in rows if row.value is not None]
        found = reads.find(r.Order, number=list(written)) if written else ()
        paid = reads.find(r.Money, order=list(written)) if written else ()
        blades = sum(v.spec is not None for v in values)
        price = sum(self._cents(v) for v in values)
        deposits = sum(v.paid for v in values)
        return [
            ("orders", str(len(values)), str(len(found))),
            ("of them blades with a frozen build", str(blades), str(sum(o.build is not None for o in found))),
            ("sum of the prices", money(price), money(sum(o.cents for o in found))),
            ("sum of the deposits paid", money(deposits), money(sum(line.cents for line in paid))),
        ]

    def _row(self, row: Row, there: _There) -> OrderRow | None:
        if row.text("customer").casefold().startswith("example"):
            row.note("example", "look", "customer", "the example row of the template", way_out="It is left out.")
            return None
        kind = row.choice("kind", {"blade": "blade", "refit": "refit", "spares": "spares"}, must=False) or BLADE
        customer, phone = row.text("customer", must=True), row.text("phone")
        meant = there.people.meant(row, customer, phone, "phone") if customer else None
        carrier = row.text("carrier")
        machine = there.people.machines.get(bare(carrier)) if carrier else None
        spec = spec_of_row(row, self._rulebook, machine) if kind == BLADE else None
        state = state_of(row)
        due = row.moment("due", must=state not in _PAST_DUE)
        value = OrderRow(
            number=self._number(row, there), kind=kind, customer=meant.name if meant else customer, phone=phone,
            carrier=machine.name if machine else carrier, spec=spec, due=due, state=state, price=row.cents("price"),
            paid=row.cents("deposit paid") or 0, note=row.text("note"), serial=row.text("serial"),
            spares=tuple(part.strip() for part in row.text("spares").split(";") if part.strip()),
            carrier_kind=spec.carrier_kind if spec else (machine.kind if machine else ""),
        )  # fmt: skip
        if not row.is_wrong:
            self._money(row, value)
        return value

    def _number(self, row: Row, there: _There) -> str:
        said = row.text("number")
        if not said:
            row.note("next-number", "changed", "number", "it gets the next number of the book")
            return ""
        if said.isascii() and said.isdigit() and len(said) <= 9:
            number = with_letter(int(said))
            row.note("letter-added", "changed", "number", "no check letter", value=said, way_out=f"Taken as {number}.")
            return number
        check = check_number(said)
        if check.holds:
            return check.number
        near = check_number(said, there.numbers).near if there.numbers else ()
        way_out = f"Near it: {', '.join(near)}." if near else "Read it again off the order, letter and all."
        row.note("wrong-letter", "wrong", "number", check.reason, value=said, way_out=way_out)
        return ""

    def _money(self, row: Row, value: OrderRow) -> None:
        cents = self._cents(value)
        if value.spec is not None and value.price is not None:
            listed = round(100 * self._work(value.spec).price.total)
            if abs(listed - value.price) > 0.005 * listed:
                row.note("price-differs", "look", "price", f"today's list says {money(listed)}", way_out="It is kept.",
                         value=money(value.price))  # fmt: skip
        elif value.spec is not None:
            row.note("filled-in", "changed", "price", f"taken from today's list: {money(cents)}")
        if value.paid > cents:
            row.note("deposit", "wrong", "deposit paid", "more was paid than it costs", value=money(value.paid),
                     limit=money(cents), way_out="Look at price and deposit again.")  # fmt: skip
        elif value.spec is not None and not value.paid and value.state in (*CHAIN_WORDS, "released"):
            row.note("deposit", "look", "deposit paid", f"{value.state}, and no deposit is in")

    def _cents(self, value: OrderRow) -> int:
        if value.price is not None:
            return value.price
        return round(100 * self._work(value.spec).price.total) if value.spec is not None else 0

    def _outcome(self, row: Row, value: OrderRow | None, there: _There) -> ReadRow:
        if value is None:
            return ReadRow(line=row.entry.line, said="the example", outcome="left out", noted=tuple(row.noted))
        known = there.rows.get(value.number)
        if known is not None and not row.is_wrong:
            _compare(row, value, known)
        named = value.number or row.text("number") or "the next number"
        said = f"{named} for {value.customer or 'nobody'}: {value.in_words(self._rulebook)}"
        if row.is_wrong:
            return ReadRow(line=row.entry.line, said=said, outcome="wrong", noted=tuple(row.noted))
        if known is not None:
            # How its blanks would be filled in says nothing of an order that is there.
            told = tuple(one for one in row.noted if one.code != "filled-in")
            return ReadRow(line=row.entry.line, said=said, outcome="already there", noted=told)
        return ReadRow(line=row.entry.line, said=said, outcome="new", noted=tuple(row.noted), value=value)

    def _write(self, c: Command, writer: Writer, value: OrderRow, source: str) -> None:
        customer = writer.customer(value.customer, value.phone)
        worked = self._work(value.spec) if value.spec is not None else None
        kept = writer.kept(worked.build) if worked else None
        cents = self._cents(value)
        deposit = round(cents * worked.price.deposit_share) if worked else 0
        due = value.due if isinstance(value.due, datetime) or value.due is None else datetime.combine(value.due, time())
        is_quote = value.state == "quote"
        quote = self._quote(c, customer, worked, kept, cents, source) if worked and kept else None
        held = value.state == "on hold"
        c.add(
            r.Order, number=value.number, kind=value.kind, state=STATES[value.state][0], customer=customer,
            carrier=writer.machine(value.carrier, value.carrier_kind), build=kept.id if kept else None,
            quote=quote.id if quote else None, cents=cents, deposit_cents=deposit, promise=None if is_quote else due,
            wished=due if is_quote else None, note="" if held else value.note, more=_more(value, c.at).as_dict(),
            hold=(value.note or f"on hold when it was brought in from {source}") if held else "",
        )  # fmt: skip
        if value.paid:
            c.add(r.Money, order=value.number, kind="deposit", cents=value.paid, day=c.at.date(),
                  note=f"paid before it was brought in from {source}")  # fmt: skip

    def _quote(
        self, c: Command, customer: int | None, worked: Worked, kept: r.KeptBuild, cents: int, source: str
    ) -> r.Quote:
        price = worked.price
        lines = [line.as_dict() for line in price.lines]
        agreed = cents / 100 - price.total
        if abs(agreed) >= 0.005:
            label = f"as agreed before, from {source}"
            lines.append(Line(kind="agreed", label=label, amount=round(agreed, 2),
                              formula="price of the list brought in less today's price").as_dict())  # fmt: skip
        return c.add(r.Quote, customer=customer, build=kept.id, lines=lines, cents=cents, day=c.at.date(),
                     valid_until=c.at.date() + timedelta(days=price.valid_days))  # fmt: skip


CHAIN_WORDS: Final = tuple(word for word, (_, done) in STATES.items() if done and word not in _PAST_DUE)
"""States in which work was done already."""


def _more(value: OrderRow, at: datetime) -> More:
    done = STATES[value.state][1]
    # Nobody noted when: a cure counted from now is never too short.
    work = {name: Done(ended=at) for name in CHAIN[:done]} if value.kind == BLADE else {}
    return More(work=work, serial=value.serial, spares=value.spares, taken=done >= CHAIN.index("assemble"))


def rows_of(reads: Reads) -> dict[str, OrderRow]:
    """Every order of the records in the form of a list, by number.

    Args:
        reads: A steady view.
    """
    people = {one.id: one for one in reads.find(r.Customer)}
    machines = {one.id: one for one in reads.find(r.CarrierFacts)}
    builds = {one.id: one for one in reads.find(r.KeptBuild)}
    paid: dict[str, int] = {}
    for line in reads.find(r.Money):
        paid[line.order] = paid.get(line.order, 0) + line.cents
    return {
        row.number: row_of_record(
            row, order_of(row, people, machines, builds), paid.get(row.number, 0),
            phone=people[row.customer].phone if row.customer is not None else "",
            carrier_kind=machines[row.carrier].kind if row.carrier is not None else "",
        )
        for row in reads.find(r.Order)
    }  # fmt: skip


def listed(reads: Reads) -> list[dict[str, Any]]:
    """Every order as a row of a list that can be brought in again.

    Args:
        reads: A steady view.
    """
    return [cells_of(row) for row in rows_of(reads).values()]


def _compare(row: Row, value: OrderRow, known: OrderRow) -> None:
    """Note what the file says of an order that is there already."""
    mine, theirs = cells_of(value), cells_of(known)
    loose = {"state", "deposit paid", "phone", "carrier kind", "note", "price" if value.price is None else ""}
    off = [name for name in theirs if mine[name] != theirs[name] and name not in loose]
    for name in off:
        row.note("differs", "wrong", name, f"the records say {theirs[name] or 'nothing'} of {value.number}",
                 value=mine[name] or "nothing",
                 way_out="Write a change note on the order's page, or mend the list.")  # fmt: skip
    moved = [name for name in ("state", "deposit paid", "note") if mine[name] not in ("", "0.00", theirs[name])]
    for name in moved if not off else ():
        row.note("moved-on", "there", name, f"the records say {theirs[name] or 'nothing'}, and theirs stands",
                 value=mine[name])  # fmt: skip
    if not off and not moved:
        row.note("there-already", "there", "", f"{value.number} is in the records already")


def _alike(rows: Sequence[Row], values: Sequence[OrderRow | None], there: _There) -> None:
    """Note rows without a number that could be an order that is there, or another row."""
    seen: dict[object, str] = {}
    for known in there.rows.values():
        seen.setdefault(known.likeness, known.number)
    for row, value in zip(rows, values, strict=True):
        if value is None or row.is_wrong:
            continue
        if not value.number and value.likeness in seen:
            row.note("alike", "look", "", f"like {seen[value.likeness]}: same customer, blade and day",
                     way_out="Take the row out if it is the same order.")  # fmt: skip
        seen.setdefault(value.likeness, value.number or f"line {row.entry.line}")


def example(rulebook: Rulebook, today: date) -> dict[str, Any]:
    """The example row of the template, from the rulebook's own choices.

    Args:
        rulebook: The rules in force.
        today: The shop's day.
    """
    series = next(iter(rulebook.series))
    mount = next(iter(rulebook.mounts))
    kinds: list[CarrierKind] = [kind for kind in CARRIER_KINDS if rulebook.mounts[mount].carriers.count(kind)]
    spec = Spec(series=series, width=rulebook.series[series].widths()[0], mount=mount, carrier_kind=kinds[0],
                hoses=next(iter(rulebook.options["hoses"])))  # fmt: skip
    value = OrderRow(
        number="", kind=BLADE, customer="example: take this row out", phone="", carrier="", carrier_kind=kinds[0],
        spec=spec, due=today + timedelta(days=28), state="order", price=None, paid=0, note="", serial="", spares=(),
    )  # fmt: skip
    return cells_of(value)
