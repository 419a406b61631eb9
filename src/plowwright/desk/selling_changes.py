"""Change notes of an order: written, taken by the customer or dropped; a changed spec keeps its new build."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from plowwright.blade.build import Build
from plowwright.blade.spec import Spec
from plowwright.desk.acting import Hand
from plowwright.desk.books import promise_of
from plowwright.desk.order_copy import by_own_rules
from plowwright.desk.order_file import DROPPED, YES, note_of, notes_of, standing_of
from plowwright.desk.order_more import more_of
from plowwright.desk.selling_words import When, hold_ahead, read_number, run, said_when, words
from plowwright.errors import EntryError, NotFoundError, RefusedError
from plowwright.shop.orders import money
from plowwright.shop.orders_changes import change
from plowwright.shop.price import list_lines
from plowwright.store import as_built
from plowwright.store import records as r
from plowwright.store.commands import Command

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk


class Changing:
    """Change notes; each command is all or nothing, harmless when it is sent twice.

    Args:
        desk: The shop.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def write(
        self, hand: Hand, number: str, said: str, *, cents: int | None = None, promise: When | None = None,
        spec: Spec | None = None,
    ) -> dict[str, Any]:  # fmt: skip
        """Write a change note; it counts when the customer has said yes to its price and day.

        Args:
            hand: Who.
            number: Order.
            said: What changes.
            cents: Added to the price, negative for less; None for what the price list makes of it [cents].
            promise: The promise after it; None where it stays.
            spec: The blade after it; None where it stays.

        Raises:
            EntryError: Nothing said, or the day lies behind.
            RefusedError: Nothing is ordered yet, it has left the yard, or another new build waits for its yes.
            SpecError: The blade cannot be built so.
        """
        number = read_number(self._desk, number)
        new = self._desk.worked(replace(spec, number="", customer="", note="")).build if spec else None
        effect = cents if cents is not None else self._effect(number, new) if new else 0

        def do(c: Command) -> dict[str, Any]:
            standing = standing_of(c, number)
            row = c.get(r.Order, number)
            if promise is not None:
                hold_ahead(promise, c.at)
            if new is not None:
                self._free(c, number, new)
            was = promise_of(row.promise) if row.promise else None
            note = change(
                number, standing.state, said, on=c.at.date(), cents=effect, promise_was=was, promise=promise,
                build=new.fingerprint if new else "",
            )  # fmt: skip
            kept = as_built.keep(c, new) if new else None
            written = c.add(
                r.Change, order=number, day=note.on, note=note.said, cents=effect, promise_was=row.promise,
                promise=promise if promise is not None else row.promise, build=kept.id if kept else None,
            )  # fmt: skip
            late = "; steel may be cut for it already: look before you answer" if note.after_release else ""
            return {"said": f"{number}, change {written.id}: {note.text}{late}", "number": number, "note": written.id,
                    "cents": effect, "text": note.text}  # fmt: skip

        asked = {"order": number, "said": said, "cents": cents, "promise": said_when(promise),
                 "spec": spec.as_dict() if spec else None}  # fmt: skip
        return run(self._desk, "write a change note", hand, do, asked)

    def settle(self, hand: Hand, number: str, note: int | None = None) -> dict[str, Any]:
        """The customer says yes to a change: price, day and build are what it says from now on.

        Args:
            hand: Who took the yes.
            number: Order.
            note: Which change note; None where only one waits.

        Raises:
            RefusedError: Nothing waits, or it was settled already.
            NotFoundError: The order has no such note.
            EntryError: More than one waits, and none is named.
        """
        number = read_number(self._desk, number)

        def do(c: Command) -> dict[str, Any]:
            standing = standing_of(c, number)
            if standing.state == "loaded":
                raise RefusedError(f"{number} has left the yard", value="settle", way_out="A change now is a refit.")
            row = self._waiting(c, number, note)
            order = c.get(r.Order, number)
            moved = row.promise != row.promise_was
            if order.cents + row.cents < 0:
                raise RefusedError(f"{number} would cost less than nothing", value=money(row.cents),
                                   limit=f"{money(order.cents)} so far",
                                   way_out="Drop this change and write it with its right price.")  # fmt: skip
            c.add(r.Change, order=number, day=c.at.date(), note=YES, cents=0, promise_was=order.promise,
                  promise=row.promise if moved else order.promise, build=row.build, settles=row.id)  # fmt: skip
            fields: dict[str, Any] = {"cents": order.cents + row.cents}
            if moved:
                fields["promise"] = row.promise
            if row.build is not None:
                fields |= {"build": row.build, **_off_the_scale(order)}
            now = c.change(r.Order, number, **fields)
            said = f"{number}, change {row.id} is taken: {row.note}; {money(now.cents)} in all"
            if "state" in fields:
                said += "; it goes on the scale again, as the build it is now"
            return {"said": said, "number": number, "note": row.id, "cents": now.cents, "promise": now.promise}

        return run(self._desk, "settle a change", hand, do, {"order": number, "note": note})

    def drop(self, hand: Hand, number: str, note: int, reason: str) -> dict[str, Any]:
        """The customer does not want a change after all: the order stays as it was.

        Args:
            hand: Who.
            number: Order.
            note: Which change note.
            reason: Why.

        Raises:
            EntryError: No reason.
            RefusedError: It was settled already.
            NotFoundError: The order has no such note.
        """
        number, reason = read_number(self._desk, number), words(reason, "dropping a change needs its reason")

        def do(c: Command) -> dict[str, Any]:
            row = self._waiting(c, number, note)
            order = c.get(r.Order, number)
            c.add(r.Change, order=number, day=c.at.date(), note=f"{DROPPED}: {reason}", cents=0,
                  promise_was=order.promise, promise=order.promise, settles=row.id)  # fmt: skip
            return {"said": f"{number}, change {row.id} is dropped: {reason}", "number": number, "note": row.id}

        return run(self._desk, "drop a change", hand, do, {"order": number, "note": note, "reason": reason})

    def effect(self, number: str, spec: Spec) -> int:
        """What today's price list makes of a changed spec, against the spec as it is [cents].

        Args:
            number: Order.
            spec: The blade after the change.
        """
        new = self._desk.worked(replace(spec, number="", customer="", note="")).build
        return self._effect(read_number(self._desk, number), new)

    def _effect(self, number: str, new: Build) -> int:
        """Both by the price list of the day the order was frozen, so that only the change itself is priced."""
        with self._desk.book.reading() as reads:
            kept = reads.look(r.KeptBuild, reads.get(r.Order, number).build)
        if kept is None:
            raise EntryError(f"{number} builds no blade", value=number, way_out="Say the price of the change.")
        old = by_own_rules(self._desk, kept)
        try:
            before, after = (sum(line.amount for line in list_lines(one.spec, old.rulebook)) for one in (old, new))
        except (EntryError, KeyError):
            before, after = (sum(line.amount for line in list_lines(one.spec, one.rulebook)) for one in (old, new))
        return round(100 * (after - before))

    def _free(self, c: Command, number: str, new: Build) -> None:
        """See that no other new build waits, and that this one is new."""
        order = c.get(r.Order, number)
        if order.kind != "blade":
            raise RefusedError(f"{number} is for {order.kind} and builds no blade of its own", value=new.name,
                               way_out="Say in words what changes, and its price.")  # fmt: skip
        kept = c.look(r.KeptBuild, order.build)
        if kept is not None and kept.fingerprint == new.fingerprint:
            raise RefusedError(f"{number} is built like that already", value=new.name,
                               way_out="Leave the blade as it is, and say in words what changes.")  # fmt: skip
        for row, note in notes_of(c, number):
            if row.build is not None and not note.settled:
                raise RefusedError(
                    f"change {row.id} of {number} has a new build too and waits for its yes", value=note.said,
                    way_out="Settle or drop that one first: two new builds cannot both be built.",
                )  # fmt: skip

    def _waiting(self, c: Command, number: str, note: int | None) -> r.Change:
        rows = c.find(r.Change, order=number)
        answered = {row.settles for row in rows}
        open_ = [row for row in rows if row.settles is None and row.id not in answered]
        if note is None:
            if len(open_) > 1:
                listed = "; ".join(f"{row.id}: {note_of(row, '', settled=False).said}" for row in open_)
                raise EntryError(f"more than one change of {number} waits", limit=listed, way_out="Name its number.")
            if not open_:
                raise RefusedError(f"no change of {number} waits for a yes")
            return open_[0]
        known = {row.id: row for row in rows if row.settles is None}
        if note not in known:
            raise NotFoundError(f"{number} has no such change note", value=str(note),
                                limit=", ".join(map(str, known)) or "it has none")  # fmt: skip
        if note in answered:
            raise RefusedError(f"change {note} of {number} was settled already", value=known[note].note)
        return known[note]


def _off_the_scale(order: r.Order) -> dict[str, Any]:
    """What no longer counts when the build changes: scale, stamp and size were those of the old one."""
    more = more_of(order.more)
    if more.scale == "not weighed" and more.matched is None and "packed" not in more.rest:
        return {}
    rest = {name: value for name, value in more.rest.items() if name != "packed"}
    kept = replace(more, scale="not weighed", matched=None, rest=rest).as_dict()
    return {"more": kept, "state": "done" if order.state == "weighed" else order.state}
