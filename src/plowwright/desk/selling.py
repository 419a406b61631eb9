"""An order on its way: ordered, held, asked about, released, stepped back, called off.

Each is one command over the records: all or nothing, harmless when it is sent twice, and answered with what was done.
Gates are looked at inside the command, on what it reads.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from plowwright.desk import cuts_kept, nests_kept
from plowwright.desk.acting import Hand
from plowwright.desk.order_file import ABOUT, standing_of
from plowwright.desk.order_more import more_of
from plowwright.desk.selling_words import When, hold_ahead, read_number, run, said_day, said_when, words
from plowwright.desk.selling_words import which as which_of
from plowwright.desk.stockroom import Stockroom
from plowwright.errors import RefusedError
from plowwright.shop.orders import CANCELLED, STATES, advance, called_off, money, step_back
from plowwright.store import records as r
from plowwright.store.commands import Command
from plowwright.units import counted

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk


class Selling:
    """Everything that is done with an order at the desk, but for its quote, money and change notes.

    Args:
        desk: The shop.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    # The way ------------------------------------------------------------------------------------------------------

    def accept(self, hand: Hand, number: str, promise: When) -> dict[str, Any]:
        """The customer says yes: the quote becomes an order with a day, and its deposit is asked for.

        Args:
            hand: Who took the yes.
            number: Of the quote.
            promise: The day given, with the hour where one was.

        Raises:
            EntryError: The day lies behind.
            RefusedError: The quote ran out, or it is no quote any more.
        """
        number = self._number(number)

        def do(c: Command) -> dict[str, Any]:
            standing = standing_of(c, number)
            hold_ahead(promise, c.at)
            to = advance(replace(standing, promised=True), "order", c.at.date())
            c.change(r.Order, number, state=to, promise=promise)
            asked = f"; {money(standing.deposit_cents)} of deposit is asked for" if standing.deposit_cents else ""
            return {"said": f"{number} is ordered, promised {said_day(promise)}{asked}", "number": number, "state": to,
                    "deposit_cents": standing.deposit_cents}  # fmt: skip

        return self._run("accept", hand, do, {"order": number, "promise": said_when(promise)})

    def advance(self, hand: Hand, number: str, to: str) -> dict[str, Any]:
        """Take the next step of an order: released, done or weighed; it is loaded at the dock.

        Args:
            hand: Who.
            number: Order.
            to: The step.

        Raises:
            EntryError: No such step, or it needs a day.
            RefusedError: It is not the next one, a gate is shut, or it is the last one.
        """
        if to == "released":
            return self.release(hand, number)
        number = self._number(number)

        def do(c: Command) -> dict[str, Any]:
            standing = standing_of(c, number, rulebook=self._desk.rulebook, now=c.at)
            state = advance(standing, to, c.at.date())
            if state == "loaded":
                raise RefusedError(f"{number} is loaded with its packing list ticked, and its life record begins",
                                   value=state, way_out="Load it on its load slip.")  # fmt: skip
            c.change(r.Order, number, state=state)
            return {"said": f"{number} is {state}", "number": number, "state": state, "was": standing.state}

        return self._run("advance", hand, do, {"order": number, "to": to})

    def release(self, hand: Hand, number: str) -> dict[str, Any]:
        """Release an order to the floor: steel may be bought and cut for it, and what is there is reserved.

        Args:
            hand: Who.
            number: Order.

        Raises:
            RefusedError: A gate is shut.
        """
        number, room = self._number(number), Stockroom(self._desk)

        def do(c: Command) -> dict[str, Any]:
            standing = standing_of(c, number, rulebook=self._desk.rulebook, now=c.at)
            state = advance(standing, "released", c.at.date())
            c.change(r.Order, number, state=state)
            held = room.within(c, number)
            return {"said": f"{number} is {state}; {held['said']}", "number": number, "state": state,
                    "was": standing.state, "reserved": held["reserved"], "lacking": held["lacking"]}  # fmt: skip

        return self._run("advance", hand, do, {"order": number, "to": "released"})

    def step_back(self, hand: Hand, number: str, to: str, reason: str) -> dict[str, Any]:
        """Take a step back, with its reason; what scale and stamp said before the blade went back does not count.

        Args:
            hand: Who.
            number: Order.
            to: An earlier step.
            reason: Why.

        Raises:
            EntryError: No reason.
            RefusedError: It has left the yard, or it never was there.
        """
        number = self._number(number)

        def do(c: Command) -> dict[str, Any]:
            standing = standing_of(c, number)
            state = step_back(standing, to, reason)
            more = more_of(c.get(r.Order, number).more)
            if STATES.index(state) < STATES.index("weighed"):
                more = replace(more, scale="not weighed")
            c.change(r.Order, number, state=state, more=replace(more, matched=None).as_dict())
            return {"said": f"{number} is back at {state}: {reason.strip()}", "number": number, "state": state,
                    "was": standing.state}  # fmt: skip

        return self._run("step back", hand, do, {"order": number, "to": to, "reason": reason})

    def cancel(self, hand: Hand, number: str, reason: str) -> dict[str, Any]:
        """Call an order off: its steel is free again, no more of it is cut, its number is never given again.

        Args:
            hand: Who.
            number: Order or quote.
            reason: Why.

        Raises:
            EntryError: No reason.
            RefusedError: It has left the yard, or was called off already.
        """
        number = self._number(number)

        def do(c: Command) -> dict[str, Any]:
            standing = standing_of(c, number)
            left = called_off(standing, reason)
            more = more_of(c.get(r.Order, number).more)
            why = {"why": reason.strip(), "was": standing.state, "by": hand.who, "on": c.at.date().isoformat()}
            kept = replace(more, rest={**more.rest, "cancelled": why}).as_dict()
            c.change(r.Order, number, state=CANCELLED, more=kept)
            held = [one for one in c.find(r.Reservation, order=number) if one.count > 0]
            for one in held:
                c.line(kind="release", item=one.item, count=one.count, order=number, needed=one.needed,
                       reason="called off")  # fmt: skip
            free = f"{counted(len(held), 'reservation')} {'is' if len(held) == 1 else 'are'} free again" if held else ""
            plans = (cuts_kept.stop(c, number), nests_kept.stop(c, number))
            said = "; ".join(filter(None, (f"{number} is called off: {reason.strip()}", left, free, *plans)))
            return {"said": said, "number": number, "state": CANCELLED, "refund_cents": max(standing.paid_cents, 0)}

        return self._run("cancel", hand, do, {"order": number, "reason": reason})

    # What stands in the way ---------------------------------------------------------------------------------------

    def hold(self, hand: Hand, number: str, reason: str) -> dict[str, Any]:
        """Put an order on hold: it goes nowhere until that is lifted.

        Args:
            hand: Who.
            number: Order.
            reason: Why.

        Raises:
            EntryError: No reason.
            RefusedError: It has left the yard, or was called off.
        """
        number, reason = self._number(number), words(reason, "a hold needs its reason")

        def do(c: Command) -> dict[str, Any]:
            if standing_of(c, number).state == "loaded":
                raise RefusedError(f"{number} has left the yard", value="hold", limit="loaded is the last state")
            c.change(r.Order, number, hold=reason)
            return {"said": f"{number} is on hold: {reason}", "number": number}

        return self._run("hold", hand, do, {"order": number, "reason": reason})

    def lift(self, hand: Hand, number: str, because: str) -> dict[str, Any]:
        """Lift a hold.

        Args:
            hand: Who.
            number: Order.
            because: What settled it.

        Raises:
            EntryError: Nobody says what settled it.
            RefusedError: It is not on hold.
        """
        number, because = self._number(number), words(because, "lifting a hold needs to say what settled it")

        def do(c: Command) -> dict[str, Any]:
            held = standing_of(c, number).hold
            if not held:
                raise RefusedError(f"{number} is not on hold", value="lift")
            c.change(r.Order, number, hold="")
            c.add(r.Attachment, about=ABOUT, key=number, day=c.at.date(), note=f"hold lifted ({held}): {because}")
            return {"said": f"{number} is not on hold any more: {because}", "number": number}

        return self._run("lift", hand, do, {"order": number, "because": because})

    def ask(self, hand: Hand, number: str, what: str) -> dict[str, Any]:
        """Put a question on the order; it is not released before that is answered.

        Args:
            hand: Who.
            number: Order.
            what: What has to be asked.

        Raises:
            EntryError: Nothing is asked.
        """
        number, what = self._number(number), words(what, "a question says what is asked")

        def do(c: Command) -> dict[str, Any]:
            standing_of(c, number)
            more = more_of(c.get(r.Order, number).more)
            if what.casefold() in (one.casefold() for one in more.asks):
                raise RefusedError(f"{number} asks that already", value=what)
            c.change(r.Order, number, more=replace(more, asks=(*more.asks, what)).as_dict())
            return {"said": f"{number} asks: {what}", "number": number}

        return self._run("ask", hand, do, {"order": number, "what": what})

    def answer(self, hand: Hand, number: str, ask: str, said: str) -> dict[str, Any]:
        """Answer an open question; question and answer stay on file.

        Args:
            hand: Who was told.
            number: Order.
            ask: The question, or the beginning of it.
            said: The answer.

        Raises:
            EntryError: No answer, no such question, or more than one begins so.
        """
        number, said = self._number(number), words(said, "an answer says something", least=1)

        def do(c: Command) -> dict[str, Any]:
            standing_of(c, number)
            more = more_of(c.get(r.Order, number).more)
            which = which_of(ask, more.asks, number)
            kept = {"ask": which, "said": said, "by": hand.who, "on": c.at.date().isoformat()}
            rest = {**more.rest, "answers": [*more.rest.get("answers", ()), kept]}
            left = tuple(one for one in more.asks if one != which)
            c.change(r.Order, number, more=replace(more, asks=left, rest=rest).as_dict())
            still = f"; still open: {'; '.join(left)}" if left else ""
            return {"said": f"{number}, {which}: {said}{still}", "number": number, "asks": list(left)}

        return self._run("answer", hand, do, {"order": number, "ask": ask, "said": said})

    def _number(self, said: str) -> str:
        return read_number(self._desk, said)

    def _run(
        self, name: str, hand: Hand, do: Callable[[Command], dict[str, Any]], asked: Mapping[str, Any]
    ) -> dict[str, Any]:
        return run(self._desk, name, hand, do, asked)
