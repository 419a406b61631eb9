"""Putting right what was said wrongly on the floor: an operation not done after all, hours that were others."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from plowwright.desk import floor_chain as chain
from plowwright.desk.acting import Hand
from plowwright.desk.floor_base import FloorBase, answer, words
from plowwright.desk.floor_chain import in_words, said_minutes
from plowwright.desk.floor_finish import TEST
from plowwright.desk.order_file import standing_of
from plowwright.desk.order_more import More, more_of
from plowwright.errors import NotFoundError, RefusedError
from plowwright.shop.orders import step_back
from plowwright.store import records as r
from plowwright.store.commands import Command
from plowwright.store.reading import Reads


def standing_hours(reads: Reads, number: str, operation: str = "") -> tuple[r.Hours, ...]:
    """The hours of an order that were not reversed.

    Args:
        reads: A steady view.
        number: Order.
        operation: Of one operation only.
    """
    found = reads.find(r.Hours, order=number)
    rows = [row for row in found if operation in ("", row.operation)]
    gone = {row.reverses for row in rows if row.reverses is not None}
    return tuple(row for row in rows if row.reverses is None and row.id not in gone)


class FloorRight(FloorBase):
    """Nothing is taken out of the records: what was wrong is reversed by a new row with its reason."""

    def undo(
        self, hand: Hand, number: str, operation: str, reason: str, *, hours_too: bool = True
    ) -> dict[str, Any]:
        """An operation is not done after all.

        Args:
            hand: Who puts it right.
            number: Order.
            operation: Which.
            reason: Why.
            hours_too: Whether the hours written with it were wrong as well.

        Raises:
            EntryError: No reason.
            RefusedError: It is not done, what comes after it is, or the order is further on.
            NotFoundError: No such operation.
        """
        number, reason = self.number(number), words(reason, "why it is put right")

        def do(c: Command) -> dict[str, Any]:
            order = c.get(r.Order, number)
            op, more = chain.named(operation, order.kind), more_of(order.more)
            self._may_undo(order, op, more)
            if order.state == "done":
                c.change(r.Order, number, state=step_back(standing_of(c, number), "released", reason))
                more = replace(more, scale="not weighed", matched=None)  # the scale saw it before this work
            event = _event_of(c, number, op)
            reversed_now = self._reverse(c, number, op, event, reason) if hours_too else 0
            back = _was_at(event, number, op)
            busy = {one.by for row in c.wall(("released",), limit=400) for one in more_of(row.more).under_way}
            again = tuple(one for one in back.under_way if one.operation == op and one.by not in busy)
            test = {} if op == TEST else more.test
            work = {name: one for name, one in more.work.items() if name != op}
            more = replace(more, work=work, under_way=(*more.under_way, *again), test=test)
            self.keep(c, c.get(r.Order, number), more)
            self.attach(c, number, f"{in_words(op)} is not done after all: {reason} ({hand.who})")
            said = [f"{in_words(op).capitalize()} of {number} is not done: {reason}."]
            said += [f"{said_minutes(reversed_now)} taken back."] if reversed_now else []
            said += [f"{one.by} is at it again, since {one.begun:%a %H:%M}." for one in again]
            return answer(number, op, " ".join(said))

        asked = {"order": number, "operation": operation, "reason": reason, "hours_too": hours_too}
        return self.run("not done after all", hand, do, asked)

    def hours(
        self, hand: Hand, number: str, operation: str, took: str, reason: str, *, row: int | None = None
    ) -> dict[str, Any]:
        """Hours as they really were: the wrong row is reversed, the right one written.

        Args:
            hand: Whose hours they are, where none were noted.
            number: Order.
            operation: Which.
            took: Working time, as "3 h 20 min"; "" for none.
            reason: Why.
            row: The row that was wrong, None where none was noted.

        Raises:
            EntryError: No reason, no time, or the time cannot be read.
            RefusedError: The row was reversed before.
            NotFoundError: No such row, order, operation or person.
        """
        number, reason = self.number(number), words(reason, "why the hours are put right")
        minutes = chain.minutes_of(took, "how long it took") if took.strip() or row is None else 0
        member = self.member(hand.who)

        def do(c: Command) -> dict[str, Any]:
            op = chain.named(operation, c.get(r.Order, number).kind)
            wrong = self._standing_row(c, number, op, row) if row is not None else None
            who, day = (wrong.person, wrong.day) if wrong else (member.name, c.at.date())
            if wrong is not None:
                self._against(c, wrong, reason)
            if minutes:
                c.add(r.Hours, order=number, operation=op, person=who, day=day, minutes=minutes, note=reason)
            was = said_minutes(wrong.minutes) if wrong else "none"
            now = said_minutes(minutes) if minutes else "none"
            return answer(number, op, f"Hours of {who} at {in_words(op)} of {number}: {now}, not {was}. {reason}.")

        asked = {"order": number, "operation": operation, "took": took, "reason": reason, "row": row}
        return self.run("put hours right", hand, do, asked)

    def _may_undo(self, order: r.Order, op: str, more: More) -> None:
        where = f"{order.number}, {in_words(op)}"
        if op not in more.work:
            raise RefusedError(f"{in_words(op)} is not done", where=where, way_out="There is nothing to put right.")
        later = chain.follows(order.kind, op, more)
        if later:
            names = " and ".join(map(in_words, later))
            raise RefusedError(f"{names} came after it and is done", where=where, value=names,
                               limit="nothing after it done", way_out=f"Put {names} right first.")  # fmt: skip
        if order.state not in ("released", "done"):
            raise RefusedError(f"{order.number} is {order.state}", where=where, value=order.state,
                               limit="released or done",
                               way_out="Step it back on its order page first, with the reason.")  # fmt: skip

    def _reverse(self, c: Command, number: str, op: str, event: r.Event | None, reason: str) -> int:
        if event is None:
            return 0
        rows = [row for row in standing_hours(c, number, op) if row.event == event.number]
        for row in rows:
            self._against(c, row, reason)
        return sum(row.minutes for row in rows)

    def _against(self, c: Command, row: r.Hours, reason: str) -> None:
        c.add(r.Hours, order=row.order, operation=row.operation, person=row.person, day=row.day, minutes=-row.minutes,
              note=reason, reverses=row.id)  # fmt: skip

    def _standing_row(self, c: Command, number: str, op: str, row: int) -> r.Hours:
        found = c.get(r.Hours, row)
        if found.order != number or found.operation != op:
            raise NotFoundError(f"these are no hours at {in_words(op)} of {number}", value=str(row),
                                way_out="Look at the sheet of the operation again.")  # fmt: skip
        if found not in standing_hours(c, number, op):
            raise RefusedError("these hours were put right before", value=said_minutes(found.minutes),
                               way_out="Look at the sheet again; the right ones stand there.")  # fmt: skip
        return found


def _event_of(c: Command, number: str, op: str) -> r.Event | None:
    """The command that last called the operation done; None for what was done before the records began."""
    for event in reversed(c.history("orders", number)):
        if event.command == "done" and isinstance(event.answer, dict) and event.answer.get("operation") == op:
            return event
    return None


def _was_at(event: r.Event | None, number: str, op: str) -> More:
    """What was kept of the order before that command."""
    for one in event.changed if event else ():
        if one.get("table") == "orders" and one.get("key") == number and "more" in one.get("was", {}):
            return more_of(one["was"]["more"])
    return More()
