"""Work on the floor: begun, laid down, done; and that what was waited for is here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any, Final

from plowwright.desk import floor_chain as chain
from plowwright.desk import floor_finish as finish
from plowwright.desk.acting import Hand
from plowwright.desk.floor_base import FloorBase, answer
from plowwright.desk.floor_chain import clock, in_words, said_minutes
from plowwright.desk.order_more import More, UnderWay, more_of
from plowwright.errors import RefusedError
from plowwright.rulebook.crew import Member
from plowwright.store import records as r
from plowwright.store.commands import Command

_OPEN: Final = 400
"""More orders are never under way at once [-]."""


class Floor(FloorBase):
    """Work begun, laid down and done."""

    def begin(self, hand: Hand, number: str, operation: str) -> dict[str, Any]:
        """Somebody goes at an operation; what he was at before is laid down with its hours.

        Args:
            hand: Who.
            number: Order.
            operation: Which.

        Raises:
            EntryError: It may not be begun yet, or somebody is at it.
            NotFoundError: No such order, operation or person.
        """
        number, member = self.number(number), self.member(hand.who)

        def do(c: Command) -> dict[str, Any]:
            order, more, op = self._open(c, number, operation, at=c.at)
            busy = [one for one in more.under_way if one.operation == op]
            if busy:
                raise RefusedError(
                    f"{busy[0].by} is at {in_words(op)} of {number} already", value=f"since {clock(busy[0].begun)}",
                    where=f"{number}, {in_words(op)}", way_out="Take the next slip, or say done together.",
                )  # fmt: skip
            before = [self._lay_down(c, other, one, member) for other, one in self._at_now(c, hand.who)]
            more = more_of(c.get(r.Order, number).more)
            begun = UnderWay(operation=op, by=hand.who, begun=c.at)
            self.keep(c, order, replace(more, under_way=(*more.under_way, begun)))
            said = f"{hand.who} is at {in_words(op)} of {number} since {c.at:%H:%M}."
            return answer(number, op, " ".join([said, *before, *self._unusual(member, op)]))

        return self.run("begin", hand, do, {"order": number, "operation": operation})

    def lay_down(self, hand: Hand, number: str, operation: str) -> dict[str, Any]:
        """Somebody leaves an operation for later; the hours so far are noted.

        Args:
            hand: Who.
            number: Order.
            operation: Which.

        Raises:
            EntryError: He is not at it.
            NotFoundError: No such order, operation or person.
        """
        number, member = self.number(number), self.member(hand.who)

        def do(c: Command) -> dict[str, Any]:
            order = c.get(r.Order, number)
            op = chain.named(operation, order.kind)
            mine = [one for one in more_of(order.more).under_way if one.operation == op and one.by == hand.who]
            if not mine:
                raise RefusedError(f"{hand.who} is not at {in_words(op)} of {number}", where=number,
                                 way_out="Begin it first, or write the hours down with Done.")  # fmt: skip
            return answer(number, op, self._lay_down(c, order, mine[0], member))

        return self.run("lay down", hand, do, {"order": number, "operation": operation})

    def done(
        self, hand: Hand, number: str, operation: str, *, took: str = "", when: str = "",
        test: Mapping[str, str] | None = None,
    ) -> dict[str, Any]:  # fmt: skip
        """An operation is done; its hours are those said, else the person's own from begin to end.

        Args:
            hand: Who did it.
            number: Order.
            operation: Which.
            took: Working time, as "3 h 20 min"; "" to take it from the begin.
            when: Since when, "" for now.
            test: For test and weigh: left, right and oil, as the stopwatch and thermometer said.

        Raises:
            EntryError: It is done already, comes too early, or what was typed cannot be read.
            NotFoundError: No such order, operation or person.
        """
        number, member = self.number(number), self.member(hand.who)
        minutes = chain.minutes_of(took, "how long it took") if took.strip() else None
        told = {name: text for name, text in (test or {}).items() if text.strip()}
        looks = finish.remarks(self.desk, number, told)

        def do(c: Command) -> dict[str, Any]:
            ended = chain.moment_of(when, c.at)
            order, more, op = self._open(c, number, operation, at=ended)
            card = finish.test_of(op, told)
            mine = [one for one in more.under_way if one.operation == op]
            hours = self._hours(c, order, op, mine, member, ended=ended, minutes=minutes)
            more = replace(more.done(op, ended=ended, by=hand.who), test={**more.test, **card})
            self.keep(c, order, more)
            said = [f"{in_words(op).capitalize()} of {number} is done, by {hand.who}", f"{hours}."]
            said += [*self._unusual(member, op), *self._after(c, op, more)]
            said += looks
            if finish.last(order.kind, op):
                said += finish.finished(c, number)
            return answer(number, op, ", ".join(said[:2]) + " " + " ".join(said[2:]))

        asked = {"order": number, "operation": operation, "took": took, "when": when, "test": told}
        return self.run("done", hand, do, asked)

    def here(self, hand: Hand, number: str, operation: str) -> dict[str, Any]:
        """What an operation waits for from outside is here.

        Args:
            hand: Who saw it.
            number: Order.
            operation: Which.

        Raises:
            EntryError: It waits for nothing.
            NotFoundError: No such order or operation.
        """
        number = self.number(number)

        def do(c: Command) -> dict[str, Any]:
            order = c.get(r.Order, number)
            op, more = chain.named(operation, order.kind), more_of(order.more)
            waits = chain.waits_of(op, more)
            if not waits:
                raise RefusedError(f"{in_words(op)} of {number} waits for nothing", where=number)
            self.keep(c, order, replace(more, waits=tuple(w for w in more.waits if w not in waits)))
            what = " and ".join(w.what for w in waits)
            self.attach(c, number, f"here: {what} ({hand.who})")
            return answer(number, op, f"{what[0].upper()}{what[1:]} is here: {in_words(op)} of {number} need not wait. "
                           "What goes on the shelf is still taken in at Receiving.")  # fmt: skip

        return self.run("it is here", hand, do, {"order": number, "operation": operation})

    def _open(self, c: Command, number: str, operation: str, *, at: datetime) -> tuple[r.Order, More, str]:
        """The order and its operation, if that may be done at a moment."""
        order = c.get(r.Order, number)
        op, more = chain.named(operation, order.kind), more_of(order.more)
        where = f"{number}, {in_words(op)}"
        barred = finish.barred(order, more, op) or chain.shut(order.kind, op, more, at=at, handle=self.handle(c))
        if barred is not None:
            raise barred.error(where)
        return order, more, op

    def _at_now(self, c: Command, who: str) -> list[tuple[r.Order, UnderWay]]:
        rows = c.wall(("released",), limit=_OPEN)
        return [(row, one) for row in rows for one in more_of(row.more).under_way if one.by == who]

    def _lay_down(self, c: Command, order: r.Order, one: UnderWay, member: Member) -> str:
        more = more_of(c.get(r.Order, order.number).more)
        self.keep(c, order, replace(more, under_way=tuple(u for u in more.under_way if u != one)))
        minutes = self.minutes(member.name, one.begun, c.at)
        said = f"{in_words(one.operation).capitalize()} of {order.number} is laid down"
        if minutes <= 0:
            return f"{said}; no hours of {member.name}'s lie between."
        c.add(r.Hours, order=order.number, operation=one.operation, person=member.name, day=c.at.date(),
              minutes=minutes, note="laid down")  # fmt: skip
        return f"{said} with {said_minutes(minutes)} noted."

    def _hours(
        self, c: Command, order: r.Order, op: str, at_it: Sequence[UnderWay], member: Member, *, ended: datetime,
        minutes: int | None,
    ) -> str:  # fmt: skip
        """Write the hours of whoever says done, and of anybody else who was at it; what is said of them."""
        for one in at_it:
            if one.by != member.name:
                self._hours_row(c, order, op, one.by, ended, self.minutes(one.by, one.begun, ended))
        own = [one for one in at_it if one.by == member.name]
        spent = minutes if minutes is not None else sum(self.minutes(one.by, one.begun, ended) for one in own)
        self._hours_row(c, order, op, member.name, ended, spent)
        return said_minutes(spent) if spent > 0 else "no hours noted"

    def _hours_row(self, c: Command, order: r.Order, op: str, who: str, ended: datetime, minutes: int) -> None:
        if minutes > 0:
            c.add(r.Hours, order=order.number, operation=op, person=who, day=ended.date(), minutes=minutes)

    def _unusual(self, member: Member, op: str) -> list[str]:
        skill = "assemble" if op == "take_in" else op
        return [] if skill in member.does else [f"The rulebook does not name {member.name} for {in_words(op)}."]

    def _after(self, c: Command, op: str, more: More) -> list[str]:
        if op != "paint" or more.painted is None:
            return []
        handle, strap = (clock(t) for t in finish.cured_at(c, self.desk.rulebook, more.painted))
        return [f"It is handled from {handle} and strapped from {strap} on, not before."]
