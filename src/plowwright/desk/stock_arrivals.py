"""What is ordered from dealers, and what becomes of it: late, cancelled, taken in, refused."""

from __future__ import annotations

from datetime import date

from plowwright.desk import stock_writing as w
from plowwright.desk.acting import Hand
from plowwright.desk.stock_room import Room, Said, freed_orders, freed_said, pieces, reasoned, said_day
from plowwright.errors import EntryError, RefusedError
from plowwright.shop.stock_book import Entry
from plowwright.shop.stock_delivery import Delivery, judge
from plowwright.shop.stock_receiving import Received
from plowwright.store import records as r
from plowwright.store.commands import Command
from plowwright.store.reading import Reads

Photo = tuple[bytes, str, str]
"""What is in it, its name, its media type."""


class Arrivals(Room):
    """What is on its way."""

    def order_in(
        self, hand: Hand, item: str, count: int, due: date, *, supplier: str = "", note: str = ""
    ) -> Said:  # fmt: skip
        """Order pieces from a dealer.

        Args:
            hand: Who orders.
            item: As the ledger calls it.
            count: Pieces [-].
            due: The day they come.
            supplier: From whom.
            note: What else must be known.

        Raises:
            NotFoundError: The rulebook knows no such thing.
            EntryError: No pieces, or a day that has passed.
        """
        name = self.known(item)
        pieces(count, name)
        if due < self.today:
            raise EntryError("what is ordered today does not come before today", value=f"{due:%a %d %b %Y}",
                             limit=f"{self.today:%a %d %b %Y}", where=name,
                             way_out="What came already is taken in without an order.")  # fmt: skip

        def do(c: Command) -> Said:
            row = c.add(r.Arrival, item=name, count=count, due=due, state="expected", supplier=supplier.strip(),
                        note=note.strip())  # fmt: skip
            whom = f" from {row.supplier}" if row.supplier else ""
            return {"said": f"{count} x {name} ordered{whom}, due {said_day(due)}: arrival {row.id}", "arrival": row.id}

        asked = {"item": name, "count": count, "due": due, "supplier": supplier, "note": note}
        return self.run("order from a dealer", hand, asked, do)

    def late(self, hand: Hand, arrival: int, due: date, *, reason: str = "") -> Said:
        """An arrival comes on another day.

        Args:
            hand: Who was told.
            arrival: Its number.
            due: The new day.
            reason: What was said.

        Raises:
            NotFoundError: There is no such arrival.
            EntryError: It came already, or the day has passed.
        """
        if due < self.today:
            raise EntryError("that day has passed", value=f"{due:%a %d %b %Y}", limit=f"{self.today:%a %d %b %Y}",
                             where=f"arrival {arrival}", way_out="Say when it really comes.")  # fmt: skip

        def do(c: Command) -> Said:
            old = expected(c, arrival)
            note = "; ".join(filter(None, (old.note, f"was due {said_day(old.due)}", reason.strip())))
            c.change(r.Arrival, arrival, due=due, note=note)
            why = f"arrival {arrival} comes {said_day(due)} instead of {said_day(old.due)}"
            freed = w.settle(c, [old.item], today=self.today, reason=why)
            said = f"{old.count} x {old.item} now come on {said_day(due)} instead of {said_day(old.due)}"
            return {"said": said + freed_said(freed), "arrival": arrival, "freed": freed_orders(freed)}

        return self.run("move an arrival", hand, {"arrival": arrival, "due": due, "reason": reason}, do)

    def cancel(self, hand: Hand, arrival: int, reason: str) -> Said:
        """An arrival does not come at all.

        Args:
            hand: Who cancels it.
            arrival: Its number.
            reason: Why.

        Raises:
            NotFoundError: There is no such arrival.
            EntryError: It came already, or no reason is given.
        """
        why = reasoned(reason, f"arrival {arrival}")

        def do(c: Command) -> Said:
            old = expected(c, arrival)
            c.change(r.Arrival, arrival, state="cancelled", note="; ".join(filter(None, (old.note, why))))
            freed = w.settle(c, [old.item], today=self.today, reason=f"arrival {arrival} cancelled: {why}")
            said = f"arrival {arrival} cancelled, {old.count} x {old.item} do not come"
            return {"said": said + freed_said(freed), "arrival": arrival, "freed": freed_orders(freed)}

        return self.run("cancel an arrival", hand, {"arrival": arrival, "reason": why}, do)

    def judge(self, delivery: Delivery) -> Received:
        """Hold what came against what was ordered; nothing is written.

        Args:
            delivery: What came, and what was measured on it.

        Raises:
            NotFoundError: The rulebook knows no such thing.
            EntryError: A count below one, or a measurement of nothing.
        """
        return judge(delivery, self.desk.rulebook, self.desk.counter.dock)

    def receive(
        self, hand: Hand, delivery: Delivery, *, arrival: int | None = None, rest: date | None = None,
        photo: Photo | None = None,
    ) -> Said:  # fmt: skip
        """Take a delivery in; what fails is not racked, but kept as refused with its reason.

        Args:
            hand: Who took it off the truck.
            delivery: What came, and what was measured on it.
            arrival: Number of the arrival it belongs to, None where nobody had ordered it.
            rest: The new day of what did not come, or came bad; left out, the day it had.
            photo: Of its tag.

        Raises:
            NotFoundError: There is no such arrival, or the rulebook knows no such thing.
            RefusedError: Too little was measured to rack it.
            EntryError: It is not what that arrival is of, or came already.
        """
        found = self.judge(delivery)
        if found.verdict == "not checked":
            raise RefusedError(found.text, value=delivery.words() or "nothing measured",
                               way_out="Measure it at the truck; what is not measured is not racked.")  # fmt: skip
        asked = {"item": delivery.item, "count": delivery.count, "lot": delivery.lot, "measured": delivery.facts(),
                 "arrival": arrival, "rest": rest}  # fmt: skip
        name = "take in a delivery" if found.racked else "refuse a delivery"

        def do(c: Command) -> Said:
            row = expected(c, arrival) if arrival is not None else None
            if row is not None and row.item != delivery.item:
                raise EntryError(f"arrival {arrival} is of something else", value=delivery.item, limit=row.item,
                                 way_out="Choose the arrival it came with.")  # fmt: skip
            said = self._rack(c, delivery, row, found) if found.racked else self._refuse(c, delivery, row, found)
            if row is not None:
                said["said"] += self._left(c, row, delivery, rest, racked=found.racked)
                freed = w.settle(c, [row.item], today=self.today, reason=f"arrival {row.id}: not all of it came")
                said["said"] += freed_said(freed)
                said["freed"] = freed_orders(freed)
            if photo is not None:
                kept = c.keep_file(photo[0], name=photo[1], media=photo[2])
                about, key = said["about"]
                c.add(r.Attachment, file=kept.digest, about=about, key=str(key), day=self.today, note="tag")
            return {**said, "verdict": found.verdict, "looks_like": list(found.looks_like)}

        return self.run(name, hand, asked, do)

    def _rack(self, c: Command, delivery: Delivery, row: r.Arrival | None, found: Received) -> Said:
        facts = {**delivery.facts(), "verdict": found.verdict, **({"arrival": row.id} if row else {})}
        reason = f"arrival {row.id}" if row else "came unasked"
        entry = Entry(kind="receive", item=delivery.item, count=delivery.count, day=self.today,
                      lot=delivery.lot.strip(), reason=reason)  # fmt: skip
        (line,) = w.write(c, [entry], facts=facts)
        lot = f", lot {line.lot}" if line.lot else ""
        said = f"{delivery.count} x {delivery.item} taken in{lot}: {found.text.removeprefix(f'{found.stock}: ')}"
        return {"said": said, "racked": delivery.count, "line": line.id, "about": ["ledger", line.id]}

    def _refuse(self, c: Command, delivery: Delivery, row: r.Arrival | None, found: Received) -> Said:
        if row is None:
            # What nobody ordered and nobody takes still leaves a trace: it was here, and why it went back.
            row = c.add(r.Arrival, item=delivery.item, count=delivery.count, due=self.today, state="cancelled",
                        note=f"refused: {found.text}")  # fmt: skip
        said = f"{delivery.count} x {found.text}"
        c.add(r.Attachment, about="arrivals", key=str(row.id), day=self.today,
              note=f"refused, {delivery.count} of {row.count}: {found.text}")  # fmt: skip
        return {"said": said, "racked": 0, "about": ["arrivals", row.id]}

    def _left(
        self, c: Command, row: r.Arrival, delivery: Delivery, rest: date | None, *, racked: bool
    ) -> str:  # fmt: skip
        """Settle the arrival itself, and say what is still to come."""
        came = min(delivery.count, row.count)
        left = row.count - came
        due = max(rest or row.due, self.today)
        if racked:
            c.change(r.Arrival, row.id, state="arrived", count=came)
            more = delivery.count - row.count
            if more > 0:
                return f"; {more} more than ordered"
        else:
            note = "; ".join(filter(None, (row.note, f"{came} refused {said_day(self.today)}")))
            c.change(r.Arrival, row.id, state="cancelled", count=came, note=note)
            left += came if rest is not None else 0
        if not left:
            return "" if racked else "; none is asked for again"
        new = c.add(r.Arrival, item=row.item, count=left, due=due, state="expected", supplier=row.supplier,
                    note=f"rest of arrival {row.id}")  # fmt: skip
        return f"; {left} still to come on {said_day(due)}, as arrival {new.id}"


def expected(reads: Reads, arrival: int) -> r.Arrival:
    """An arrival that has not come yet.

    Args:
        reads: A steady view, or a command.
        arrival: Its number.

    Raises:
        NotFoundError: There is no such arrival.
        EntryError: It came or was cancelled.
    """
    row = reads.get(r.Arrival, arrival)
    if row.state != "expected":
        raise EntryError(f"arrival {arrival} has {'come' if row.state == 'arrived' else 'been cancelled'} already",
                         value=row.item, way_out="See what is on its way under Receiving.")  # fmt: skip
    return row
