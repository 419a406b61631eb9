"""Words from the floor: a problem that stands on its order until it is settled, a note and photo kept with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Final

from plowwright.desk import floor_chain as chain
from plowwright.desk.acting import Hand
from plowwright.desk.floor_base import FloorBase, answer, words
from plowwright.desk.floor_chain import clock, in_words
from plowwright.desk.floor_photo import Photo
from plowwright.desk.order_more import more_of
from plowwright.errors import EntryError, RefusedError
from plowwright.store import records as r
from plowwright.store.commands import Command

PROBLEM: Final = "problem: "
"""How the note of a problem begins in the records."""
SETTLED: Final = "settled: "
HELD: Final = "problem, "
"""How a hold begins that a problem of the floor put on."""


class FloorWords(FloorBase):
    """What is told from the floor besides work."""

    def problem(
        self, hand: Hand, number: str, operation: str, what: str, *, where: str = "", hold: bool = False,
        photo: Photo | None = None,
    ) -> dict[str, Any]:  # fmt: skip
        """Something is wrong: it stands on the order until somebody settles it.

        Args:
            hand: Who says so.
            number: Order.
            operation: At which operation, "" for none.
            what: What is wrong.
            where: Where on the blade.
            hold: Whether the order is to wait until it is settled.
            photo: Of it.

        Raises:
            EntryError: Nothing is said.
            NotFoundError: No such order or operation.
        """
        number, what, where = self.number(number), words(what, "what is wrong"), where.strip()

        def do(c: Command) -> dict[str, Any]:
            order = c.get(r.Order, number)
            op, more = chain.named(operation, order.kind) if operation else "", more_of(order.more)
            at = ", ".join(filter(None, (in_words(op), where)))
            told = f"{at}: {what}" if at else what
            line = f"{told} ({hand.who}, {clock(c.at)})"
            self.keep(c, order, replace(more, problems=(*more.problems, line)))
            self.attach(c, number, f"{PROBLEM}{told}", photo)
            held = f"{number} waits until it is settled." if hold and not order.hold else ""
            if held:
                c.change(r.Order, number, hold=f"{HELD}{told}")
            already = f"{number} was on hold already: {order.hold}." if hold and order.hold else ""
            pictured = " with a photo" if photo else ""
            return answer(number, op, " ".join(filter(None, (
                f"The problem stands on {number}{pictured}: {told}.", held, already, "The owner sees it on Today.",
            ))))  # fmt: skip

        asked = {"order": number, "operation": operation, "what": what, "where": where, "hold": hold,
                 "photo": photo.as_asked() if photo else None}  # fmt: skip
        return self.run("problem", hand, do, asked)

    def settle(self, hand: Hand, number: str, problem: str, how: str) -> dict[str, Any]:
        """A problem is settled: it leaves the order, and so does the hold it put on.

        Args:
            hand: Who settled it.
            number: Order.
            problem: The problem as it stands on the order, or some words of it; "" where only one stands there.
            how: What was done about it.

        Raises:
            EntryError: Nothing is said of how, or more than one problem is meant.
            NotFoundError: No such order.
            RefusedError: No such problem stands on it, or it was settled before.
        """
        number, how = self.number(number), words(how, "how it was settled")

        def do(c: Command) -> dict[str, Any]:
            order = c.get(r.Order, number)
            more = more_of(order.more)
            settled = _which(problem.strip(), more.problems, number)
            left = tuple(one for one in more.problems if one != settled)
            self.keep(c, order, replace(more, problems=left))
            self.attach(c, number, f"{SETTLED}{settled}. {how} ({hand.who})", None)
            lifted = bool(order.hold) and settled.startswith(f"{order.hold.removeprefix(HELD)} (")
            if lifted:
                c.change(r.Order, number, hold="")
            return answer(number, "", f"Settled on {number}: {how}." + (" It is no longer on hold." if lifted else ""))

        return self.run("settle a problem", hand, do, {"order": number, "problem": problem, "how": how})

    def note(
        self, hand: Hand, number: str, operation: str, text: str, *, photo: Photo | None = None
    ) -> dict[str, Any]:
        """A note, a photo or both, kept with the order.

        Args:
            hand: Whose.
            number: Order.
            operation: At which operation, "" for none.
            text: The note.
            photo: The photo.

        Raises:
            EntryError: Neither words nor photo.
            NotFoundError: No such order or operation.
        """
        number, text = self.number(number), text.strip()
        if not text and photo is None:
            raise EntryError("there is neither a word nor a photo", where="note and photo",
                             way_out="Write what is to be known, or take the photo.")  # fmt: skip

        def do(c: Command) -> dict[str, Any]:
            order = c.get(r.Order, number)
            op = chain.named(operation, order.kind) if operation else ""
            told = ": ".join(filter(None, (in_words(op), text)))
            self.attach(c, number, f"{told} ({hand.who})".strip(), photo)
            kept = "The note and the photo are" if text and photo else "The photo is" if photo else "The note is"
            return answer(number, op, f"{kept} with {number}.")

        asked = {"order": number, "operation": operation, "text": text, "photo": photo.as_asked() if photo else None}
        return self.run("note and photo", hand, do, asked)


def _which(said: str, problems: Sequence[str], number: str) -> str:
    """The problem of an order that is meant."""
    if said in problems:
        return said
    meant = [one for one in problems if said.casefold() in one.casefold()]
    if not meant:
        raise RefusedError("this problem does not stand on the order", value=said, where=number,
                           limit="; ".join(problems) or "none stands on it",
                           way_out="Somebody may have settled it; look at the order again.")  # fmt: skip
    if len(meant) > 1:
        raise EntryError("more than one problem is meant", value=said or "nothing", where=number,
                         limit="; ".join(meant), way_out="Give a few words of one of them.")  # fmt: skip
    return meant[0]
