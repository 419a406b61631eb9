"""Money of an order: deposit, balance, refund; a line once written is put right by a line of the negative sum."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

from plowwright.desk.acting import Hand
from plowwright.desk.order_file import standing_of
from plowwright.desk.order_more import more_of
from plowwright.desk.selling_words import read_number, run, words
from plowwright.errors import EntryError, NotFoundError, RefusedError
from plowwright.shop.orders import CANCELLED, Standing, money, take_money
from plowwright.store import records as r
from plowwright.store.commands import Command
from plowwright.store.reading import Reads

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_SUM: Final = re.compile(r"(?P<currency>[A-Z]{3}|\$)?\s*(?P<whole>\d{1,3}(?:,\d{3})+|\d{1,9})(?:\.(?P<part>\d{2}))?")


class Till:
    """What comes in and what goes back; each is one command, harmless when it is sent twice.

    Args:
        desk: The shop.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def pay(self, hand: Hand, number: str, kind: str, cents: int, note: str = "") -> dict[str, Any]:
        """Take money, or give it back.

        Args:
            hand: Who took it.
            number: Order.
            kind: deposit, balance or refund.
            cents: The sum, without a sign [cents].
            note: How it came, as "check 4411".

        Raises:
            EntryError: No such kind, or no sum.
            RefusedError: Nothing is ordered yet, more than is open, or more goes back than came in.
        """
        number = read_number(self._desk, number)

        def do(c: Command) -> dict[str, Any]:
            standing = _standing(c, number)
            sum_ = take_money(standing, kind, cents)
            row = c.add(r.Money, order=number, kind=kind, cents=sum_, day=c.at.date(), note=note.strip())
            paid = standing.paid_cents + sum_
            way = "goes back" if sum_ < 0 else "is in"
            said = f"{money(abs(sum_))} of {kind} {way} for {number}; {_open(standing, paid)}"
            return {"said": said, "number": number, "line": row.id, "paid_cents": paid,
                    "open_cents": standing.cents - paid}  # fmt: skip

        asked = {"order": number, "kind": kind, "cents": cents, "note": note}
        return run(self._desk, "take money", hand, do, asked)

    def reverse(self, hand: Hand, number: str, line: int, reason: str) -> dict[str, Any]:
        """Put a line of money right that was written by mistake.

        Args:
            hand: Who.
            number: Order.
            line: The line.
            reason: What was wrong with it.

        Raises:
            EntryError: No reason.
            RefusedError: It was reversed already, or reverses one itself.
            NotFoundError: The order has no such line.
        """
        number = read_number(self._desk, number)
        reason = words(reason, "putting money right needs its reason")

        def do(c: Command) -> dict[str, Any]:
            lines = {one.id: one for one in c.find(r.Money, order=number)}
            if line not in lines:
                raise NotFoundError(f"{number} has no such line of money", value=str(line),
                                    limit=", ".join(map(str, lines)) or "it has none")  # fmt: skip
            wrong = lines[line]
            if wrong.reverses is not None or any(one.reverses == line for one in lines.values()):
                raise RefusedError(f"line {line} of {number} was put right already", value=money(wrong.cents))
            paid = sum(one.cents for one in lines.values()) - wrong.cents
            if paid < 0:
                raise RefusedError(f"without line {line} more would have gone back for {number} than came in",
                                   value=money(wrong.cents), way_out="Put the refund right first.")  # fmt: skip
            c.add(r.Money, order=number, kind=wrong.kind, cents=-wrong.cents, day=c.at.date(), note=reason,
                  reverses=line)  # fmt: skip
            return {"said": f"{money(wrong.cents)} of {wrong.kind} for {number} does not count: {reason}",
                    "number": number, "paid_cents": paid}  # fmt: skip

        return run(self._desk, "reverse money", hand, do, {"order": number, "line": line, "reason": reason})

    def terms(self, hand: Hand, number: str, said: str) -> dict[str, Any]:
        """The owner's word that goods may go before the balance is in; "" takes it back.

        Args:
            hand: Who gives it.
            number: Order.
            said: On what terms, as "pays by the end of the month".
        """
        number, said = read_number(self._desk, number), said.strip().rstrip(".")

        def do(c: Command) -> dict[str, Any]:
            standing_of(c, number)
            more = more_of(c.get(r.Order, number).more)
            word = f"{hand.who}: {said}" if said else ""
            c.change(r.Order, number, more=replace(more, terms=word).as_dict())
            now = f"may be loaded before its balance, {word}" if word else "is loaded when it is paid"
            return {"said": f"{number} {now}", "number": number, "terms": word}

        return run(self._desk, "give terms", hand, do, {"order": number, "said": said})


def cents_of(text: str, currency: str = "USD", where: str = "") -> int:
    """A sum as people write it: 1,046.40 or USD 1,046.40.

    >>> cents_of("USD 1,046.40")
    104640

    Args:
        text: As typed.
        currency: The shop's.
        where: What to call the field in messages.

    Raises:
        EntryError: It cannot be read, or is in another currency.
    """
    found = _SUM.fullmatch(text.strip().upper())
    example = f"Write it as {currency} 1,046.40."
    if found is None:
        raise EntryError("not a sum of money", value=text, where=where, way_out=example)
    said = found["currency"]
    if said not in (None, "$", currency):
        raise EntryError("another currency than the shop's", value=text, limit=currency, where=where, way_out=example)
    return 100 * int(found["whole"].replace(",", "")) + int(found["part"] or 0)


def _standing(reads: Reads, number: str) -> Standing:
    """What is known of an order, a called-off one too: money may still go back for it."""
    row = reads.get(r.Order, number)
    if row.state != CANCELLED:
        return standing_of(reads, number)
    paid = sum(one.cents for one in reads.find(r.Money, order=number))
    # Nothing is owed for it any more, so nothing but a refund can be taken.
    return Standing(number=number, state="order", cents=paid, paid_cents=paid)


def _open(standing: Standing, paid: int) -> str:
    left = standing.cents - paid
    if left <= 0:
        return "it is paid"
    deposit = standing.deposit_cents - paid
    return f"{money(left)} is open" + (f", {money(deposit)} of it as deposit" if deposit > 0 else "")
