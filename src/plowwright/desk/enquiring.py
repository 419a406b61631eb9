"""Whoever rang: what was told is kept, the customer found or made, his machine with its facts."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any, Final

from plowwright.blade.carriers import Carrier
from plowwright.desk.acting import Hand
from plowwright.errors import EntryError, NotFoundError, RefusedError
from plowwright.store import records as r
from plowwright.store.commands import Command
from plowwright.store.reading import Reads

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

OPEN: Final = "open"
QUOTED: Final = "quoted"
CLOSED: Final = "closed"
_NAMELESS: Final = "the machine"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rang:
    """An enquiry as the page of enquiries shows it.

    Attributes:
        id: Its number.
        day: When it came.
        customer: Who asked.
        phone: His number.
        machine: His machine, or "".
        note: What else was said.
        told: What was told, names and values in the order they were typed.
    """

    id: int
    day: date
    customer: str
    phone: str
    machine: str
    note: str
    told: tuple[tuple[str, str], ...]


class Enquiring:
    """Keeps enquiries; each is one command, harmless when it is sent twice.

    Args:
        desk: The shop.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def keep(
        self, hand: Hand, *, name: str, phone: str = "", told: Sequence[tuple[str, str]] = (),
        carrier: Carrier | None = None, note: str = "",
    ) -> dict[str, Any]:  # fmt: skip
        """Keep what a caller told.

        Args:
            hand: Who keeps it.
            name: The caller.
            phone: His number, or "".
            told: What was told, as the page of the call has it: names and values.
            carrier: His machine as far as it is known, or None.
            note: What else was said.

        Raises:
            EntryError: The caller has no name.
        """
        asked = {"name": name, "phone": phone, "told": [list(pair) for pair in told], "note": note,
                 "machine": carrier.as_dict() if carrier else None}  # fmt: skip

        def do(c: Command) -> dict[str, Any]:
            customer, was_known = customer_of(c, name, phone)
            machine = carrier_of(c, customer.id, carrier) if carrier and (carrier.facts or carrier.kind) else None
            row = c.add(
                r.Enquiry, day=c.at.date(), customer=customer.id, carrier=machine, told={"pairs": asked["told"]},
                state=OPEN, note=note.strip(),
            )  # fmt: skip
            known = "known here" if was_known else "new here"
            return {"said": f"enquiry {row.id} of {customer.name}, {known}, is kept", "enquiry": row.id,
                    "customer": customer.id, "carrier": machine}  # fmt: skip

        return self._desk.book.run("keep an enquiry", do, who=hand.who, key=hand.key, asked=asked)

    def close(self, hand: Hand, enquiry: int, reason: str) -> dict[str, Any]:
        """Put an enquiry away that comes to nothing.

        Args:
            hand: Who does it.
            enquiry: Its number.
            reason: Why, for the record.

        Raises:
            EntryError: No reason.
            RefusedError: It is put away already.
            NotFoundError: There is no such enquiry.
        """
        if len(reason.strip()) < 4:
            raise EntryError("putting an enquiry away needs its reason", value=repr(reason), way_out="Say why.")

        def do(c: Command) -> dict[str, Any]:
            row = c.get(r.Enquiry, enquiry)
            if row.state == CLOSED:
                raise RefusedError(f"enquiry {enquiry} is put away already", value=row.note)
            c.change(r.Enquiry, enquiry, state=CLOSED, note="; ".join(filter(None, (row.note, reason.strip()))))
            return {"said": f"enquiry {enquiry} is put away: {reason.strip()}", "enquiry": enquiry}

        return self._desk.book.run("put an enquiry away", do, who=hand.who, key=hand.key,
                                   asked={"enquiry": enquiry, "reason": reason})  # fmt: skip

    def open(self) -> tuple[Rang, ...]:
        """Enquiries nobody quoted or put away, the oldest first."""
        with self._desk.book.reading() as reads:
            rows = reads.find(r.Enquiry, state=OPEN)
            people = {c.id: c for c in reads.find(r.Customer, id=[e.customer for e in rows if e.customer is not None])}
            machines = {
                m.id: m for m in reads.find(r.CarrierFacts, id=[e.carrier for e in rows if e.carrier is not None])
            }  # fmt: skip
        found: list[Rang] = []
        for row in rows:
            person = people.get(row.customer or 0)
            machine = machines.get(row.carrier or 0)
            found.append(Rang(
                id=row.id, day=row.day, customer=person.name if person else "", phone=person.phone if person else "",
                machine=_machine(machine), note=row.note,
                told=tuple((str(a), str(b)) for a, b in row.told.get("pairs", ())),
            ))  # fmt: skip
        return tuple(found)


def customer_of(c: Command, name: str, phone: str = "") -> tuple[r.Customer, bool]:
    """The customer of this name and number, made where he is not known.

    Args:
        c: The command.
        name: His name.
        phone: His number, or "".

    Returns:
        The customer, and whether he was known.

    Raises:
        EntryError: No name.
    """
    name, phone = " ".join(name.split()), phone.strip()
    if not name:
        raise EntryError("whoever it is for has no name", way_out='Give a name or initials, as "V.A.".')
    found = known_customer(c, name, phone)
    if found is None:
        return c.add(r.Customer, name=name, phone=phone), False
    if len(_figures(phone)) > len(_figures(found.phone)):
        return c.change(r.Customer, found.id, phone=phone), True
    return found, True


def known_customer(reads: Reads, name: str, phone: str = "") -> r.Customer | None:
    """A customer who is on file: the same name and no other number, or the same number and no other name.

    Args:
        reads: A steady view, or a command.
        name: His name.
        phone: His number, or "".
    """
    wanted, figures = name.casefold(), _figures(phone)
    same = [one for one in reads.customers_like(name) if one.name.casefold() == wanted]
    for one in same:
        own = _figures(one.phone)
        # The last figures are all that older records have of a number.
        if not figures or not own or own.endswith(figures) or figures.endswith(own):
            return one
    return None


def carrier_of(c: Command, customer: int, carrier: Carrier) -> int:
    """A customer's machine with its facts, written down; the shop's own carrier where it is one as it stands.

    Args:
        c: The command.
        customer: Whose.
        carrier: The machine as far as it is known.
    """
    facts = [fact.as_dict() for fact in carrier.facts]
    for one in c.find(r.CarrierFacts, name=carrier.name):
        if one.facts == facts and one.customer in (None, customer):
            return one.id
    name = carrier.kind or carrier.name if carrier.name == _NAMELESS else carrier.name
    return c.add(r.CarrierFacts, customer=customer, name=name, kind=carrier.kind, facts=facts).id


def carrier_named(reads: Reads, name: str, customer: int | None) -> int | None:
    """The machine called so: the customer's own first, else one of the shop's list; None for no name.

    Args:
        reads: A steady view, or a command.
        name: As the shop calls it.
        customer: Whose it may be.

    Raises:
        NotFoundError: None is called so.
    """
    if not name.strip():
        return None
    wanted = name.strip().casefold()
    rows = reads.find(r.CarrierFacts, customer=None)
    mine = reads.find(r.CarrierFacts, customer=customer) if customer is not None else ()
    for one in (*mine, *rows):
        if one.name.casefold() == wanted:
            return one.id
    listed = ", ".join(one.name for one in rows[:20])
    raise NotFoundError("no machine is called so", value=name, limit=listed,
                        way_out="Keep it with the enquiry, or leave it out until it is known.")  # fmt: skip


def told_in_words(told: Mapping[str, str] | Sequence[tuple[str, str]]) -> list[str]:
    """What a caller told, short: values without the names of the form's helpers.

    Args:
        told: Names and values.
    """
    pairs = list(told.items()) if isinstance(told, Mapping) else list(told)
    return [
        f"{re.sub('^[mw]_', '', name).replace('_', ' ')} {value}"
        for name, value in pairs
        if value and not name.endswith(("_what", "_from", "_ahead", "_told")) and name not in ("units", "key", "who")
    ]


def _figures(phone: str) -> str:
    return re.sub(r"\D", "", phone)


def _machine(row: r.CarrierFacts | None) -> str:
    if row is None:
        return ""
    return row.name if not row.kind or row.kind == row.name else f"{row.name}, {row.kind}"
