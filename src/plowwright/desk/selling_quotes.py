"""Quotes: worked out, frozen with the rules of the day, and given the next number of the book.

The number is looked for inside the command, so that two who quote at once get two numbers.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from plowwright.blade import spec as specs
from plowwright.blade.spec import Spec
from plowwright.desk.acting import Hand
from plowwright.desk.enquiring import QUOTED, carrier_named, customer_of
from plowwright.desk.order_copy import Copy
from plowwright.desk.order_more import More, more_of
from plowwright.desk.order_prices import Offer, blade_offer, refit_offer, spares_offer
from plowwright.desk.selling_words import For, plain_day, read_number, run
from plowwright.errors import RefusedError
from plowwright.shop.orders import money
from plowwright.shop.orders_numbers import next_number
from plowwright.store import as_built
from plowwright.store import records as r
from plowwright.store.commands import Command

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk


class Quoting:
    """Quotes of blades, refits and spares; each is one command, harmless when it is sent twice.

    Args:
        desk: The shop.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def quote(
        self, hand: Hand, spec: Spec, whom: For, *, copy: Copy | None = None, answers: Mapping[str, str] | None = None
    ) -> dict[str, Any]:
        """Quote a blade: it is worked out, frozen with its rules, and gets the next number.

        Args:
            hand: Who.
            spec: What is asked for.
            whom: Who it is for.
            copy: The earlier blade it is copied from, looked at, or None.
            answers: What was answered to the questions the copy raised, by key.

        Raises:
            SpecError: It is not complete, or its choices clash.
            RefusedError: A question the copy raised is not answered.
        """
        told = {key: text.strip() for key, text in (answers or {}).items() if text.strip()}
        if copy is not None:
            copy.hold_to(told)
        offer = blade_offer(self._desk, replace(spec, number="", customer="", note=""))
        kept = {} if copy is None else {"copy": copy.as_kept(told)}
        asked = {"spec": spec.as_dict(), "copied_from": copy.what if copy else "", "answers": told}
        return self._quoted(hand, offer, whom, asked, kept=kept)

    def quote_refit(self, hand: Hand, serial: str, to: str, whom: For) -> dict[str, Any]:
        """Quote a refit of an old blade by today's prices.

        Args:
            hand: Who.
            serial: Serial number of the blade.
            to: The machine it goes to.
            whom: Who it is for.

        Raises:
            NotFoundError: No such serial number or machine.
        """
        offer = refit_offer(self._desk, serial, to)
        whom = replace(whom, carrier=whom.carrier or offer.carrier)
        return self._quoted(hand, offer, whom, {"serial": serial, "to": to})

    def quote_spares(self, hand: Hand, spares: Sequence[str], whom: For, *, serial: str = "") -> dict[str, Any]:
        """Quote spares by the price list.

        Args:
            hand: Who.
            spares: As the price list calls them; one named twice is sold twice.
            whom: Who they are for.
            serial: The blade they are for, or "".

        Raises:
            NotFoundError: The price list has no such spare.
        """
        offer = spares_offer(self._desk.rulebook, spares, serial)
        return self._quoted(hand, offer, whom, {"spares": list(spares), "serial": serial})

    def quote_again(self, hand: Hand, number: str) -> dict[str, Any]:
        """Quote the same once more by today's rules and prices; the number stays.

        Args:
            hand: Who.
            number: Of the quote.

        Raises:
            RefusedError: It is ordered already, or was called off.
        """
        number = read_number(self._desk, number)
        with self._desk.book.reading() as reads:
            row = reads.get(r.Order, number)
            more = more_of(row.more)
            kept = reads.look(r.KeptBuild, row.build)
            machine = reads.look(r.CarrierFacts, row.carrier)
        if row.kind == "spares":
            offer = spares_offer(self._desk.rulebook, more.spares, more.serial)
        elif row.kind == "refit" or kept is None:
            offer = refit_offer(self._desk, more.serial, machine.name if machine else "")
        else:
            offer = blade_offer(self._desk, specs.from_dict(kept.spec, where=f"records, order {number}"))

        def do(c: Command) -> dict[str, Any]:
            old = c.get(r.Order, number)
            if old.state != "quote":
                raise RefusedError(f"{number} is no quote any more", value=old.state,
                                   way_out="What is ordered is changed by a change note.")  # fmt: skip
            quote, build = self._freeze(c, offer, old.customer, None)
            c.change(r.Order, number, quote=quote.id, build=build, cents=offer.cents, deposit_cents=offer.deposit_cents)
            was = "the price stays" if old.cents == offer.cents else f"it was {money(old.cents)}"
            until = plain_day(quote.valid_until)
            said = f"{number} is quoted again at {money(offer.cents)}, {was}; it stands until {until}"
            return {"said": said, "number": number, "cents": offer.cents, "valid_until": quote.valid_until}

        return run(self._desk, "quote again", hand, do, {"order": number})

    def _quoted(
        self, hand: Hand, offer: Offer, whom: For, told: Mapping[str, Any], *, kept: Mapping[str, Any] | None = None
    ) -> dict[str, Any]:
        def do(c: Command) -> dict[str, Any]:
            customer, _ = customer_of(c, whom.name, whom.phone)
            machine = carrier_named(c, whom.carrier, customer.id)
            if whom.enquiry is not None:
                enquiry = c.get(r.Enquiry, whom.enquiry)
                machine = machine if machine is not None else enquiry.carrier
                c.change(r.Enquiry, enquiry.id, state=QUOTED)
            quote, build = self._freeze(c, offer, customer.id, whom.enquiry)
            number = next_number(c.numbers())
            more = More(serial=offer.serial, spares=offer.spares, asks=tuple(dict.fromkeys((*offer.asks, *whom.asks))),
                        rest=dict(kept or {}))  # fmt: skip
            c.add(
                r.Order, number=number, kind=offer.kind, state="quote", customer=customer.id, carrier=machine,
                quote=quote.id, build=build, cents=offer.cents, deposit_cents=offer.deposit_cents, wished=whom.wished,
                copied_from=told.get("copied_from", ""), note=whom.note.strip(), more=more.as_dict(),
            )  # fmt: skip
            said = (
                f"{number} is quoted to {customer.name}: {offer.name}, {money(offer.cents)},"
                f" until {plain_day(quote.valid_until)}"
            )
            return {"said": said, "number": number, "cents": offer.cents, "deposit_cents": offer.deposit_cents,
                    "valid_until": quote.valid_until, "customer": customer.id, "build": quote.build}  # fmt: skip

        return run(self._desk, "quote", hand, do, {"for": whom.as_dict(), **told})

    def _freeze(
        self, c: Command, offer: Offer, customer: int | None, enquiry: int | None
    ) -> tuple[r.Quote, int | None]:
        kept = as_built.keep(c, offer.build) if offer.build else None
        quote = c.add(
            r.Quote, enquiry=enquiry, customer=customer, build=kept.id if kept else None,
            lines=[line.as_dict() for line in offer.lines], cents=offer.cents, day=c.at.date(),
            valid_until=c.at.date() + timedelta(days=offer.valid_days),
        )  # fmt: skip
        return quote, quote.build
