"""The stockroom from day to day: what is reserved for an order, taken for it and laid back, each one command."""

from __future__ import annotations

from plowwright.desk import stock_writing as w
from plowwright.desk.acting import Hand
from plowwright.desk.order_file import standing_of
from plowwright.desk.selling_words import read_number
from plowwright.desk.stock_room import Room, Said, open_order, pieces, reasoned
from plowwright.errors import EntryError, RefusedError
from plowwright.shop.orders import next_step
from plowwright.shop.stock_book import Entry
from plowwright.shop.stock_shortages import Want, share
from plowwright.store import records as r
from plowwright.store.commands import Command
from plowwright.units import counted


class Stockroom(Room):
    """What orders reserve, take and lay back."""

    def reserve(self, hand: Hand, number: str) -> Said:
        """Reserve for an order all that can be had by its day, and say what goes short.

        Args:
            hand: Who asks.
            number: Of the order.

        Raises:
            EntryError: No such number was issued; near ones are named.
            NotFoundError: No open order has this number.
        """
        # What is repeated after the order has left still gets its first answer, so only the number is read here.
        name = read_number(self.desk, number)
        return self.run("reserve for an order", hand, {"order": name}, lambda c: self.within(c, name))

    def within(self, c: Command, number: str) -> Said:
        """The same inside a command that does more, as the release of an order.

        Args:
            c: The command.
            number: Of the order.

        Raises:
            NotFoundError: No open order has this number.
        """
        needs = self.needs(c)
        before = share(needs.wants(), needs.shelf.supplies())
        found = w.reserve(c, needs.of(open_order(c, number)), today=self.today)
        hurt = self.newly_short(before, c) if found.lines else ()
        got = counted(found.pieces, "piece") if found.pieces else "nothing more"
        said = f"{got} reserved for {number}"
        if found.lacking:
            said += "; goes short of " + "; ".join(one.text for one in found.lacking)
        said += "".join(f"; by it {one.text}" for one in hurt if one.want.order != number)
        return {
            "said": said,
            "order": number,
            "reserved": [{"item": e.item, "count": e.count, "needed": e.needed} for e in found.lines],
            "lacking": [one.as_dict() for one in found.lacking],
            "newly_short": [one.as_dict() for one in hurt],
        }

    def give_up(self, hand: Hand, number: str, reason: str) -> Said:
        """Give back all an order has reserved.

        Args:
            hand: Who asks.
            number: Of the order.
            reason: Why.

        Raises:
            EntryError: No reason, or nothing is reserved.
        """
        why, name = reasoned(reason, number), number.strip().upper()

        def do(c: Command) -> Said:
            lines = w.give_up(c, name, today=self.today, reason=why)
            if not lines:
                raise EntryError("nothing is reserved for this order", value=name)
            count = sum(one.count for one in lines)
            said = f"{counted(count, 'piece')} reserved for {name} {'is' if count == 1 else 'are'} free again: {why}"
            return {"said": said, "order": name}

        return self.run("give reservations back", hand, {"order": name, "reason": why}, do)

    def take(self, hand: Hand, number: str, item: str = "", count: int = 1, *, lot: str | None = None) -> Said:
        """Take pieces off the shelf for an order.

        Args:
            hand: Who takes them.
            number: Of the order.
            item: What; left out, all the order still needs and that lies there for it.
            count: Pieces of it [-].
            lot: From which lot; left out, whichever has enough.

        Raises:
            NotFoundError: No open order has this number.
            EntryError: No such number was issued, not as many are there, or others have reserved them.
            RefusedError: It is only quoted, on hold, or its deposit is not in.
        """
        name = read_number(self.desk, number)

        def do(c: Command) -> Said:
            order = open_order(c, name)
            _takes(c, order.number)
            if item.strip():
                pieces(count, item)
                w.take_item(c, item.strip(), count, order=order.number, today=self.today, lot=lot)
                return {"said": f"{count} x {item.strip()} taken for {order.number}", "order": order.number}
            needs = self.needs(c)
            before, wants = share(needs.wants(), needs.shelf.supplies()), needs.of(order)
            lines, missing = w.take_wants(c, wants, order=order.number, today=self.today)
            taken = sum(line.count for line in lines if line.kind == "issue")
            if not taken and not missing:
                return {"said": f"{order.number} needs nothing more off the shelf", "order": order.number}
            said = f"{counted(taken, 'piece')} taken for {order.number}"
            if missing:
                said += "; not there: " + ", ".join(_what(one) for one in missing)
            hurt = [one for one in self.newly_short(before, c) if one.want.order != order.number]
            said += "".join(f"; by it {one.text}" for one in hurt)
            return {"said": said, "order": order.number, "missing": [_what(one) for one in missing]}

        asked = {"order": name, "item": item.strip(), "count": count, "lot": lot}
        return self.run("take for an order", hand, asked, do)

    def give_back(self, hand: Hand, number: str, item: str, count: int = 1, *, lot: str = "") -> Said:
        """Lay pieces back that an order took.

        Args:
            hand: Who lays them back.
            number: Of the order.
            item: What.
            count: Pieces [-].
            lot: Their lot.

        Raises:
            EntryError: The order has not taken as many.
        """
        name, what = number.strip().upper(), item.strip()
        pieces(count, what)

        def do(c: Command) -> Said:
            lines = c.find(r.Line, order=name, item=what, lot=lot, kind=["issue", "return"])
            out = sum(line.count if line.kind == "issue" else -line.count for line in lines)
            if count > out:
                which = f", lot {lot}" if lot else ""
                raise EntryError(f"{name} has taken only {out} of it{which}", where=what, value=f"return {count}",
                                 limit=str(out), way_out="Name the lot they are of, or count the rack.")  # fmt: skip
            w.write(c, [Entry(kind="return", item=what, count=count, day=self.today, lot=lot, order=name)])
            return {"said": f"{count} x {what} laid back from {name}", "order": name}

        return self.run("lay back", hand, {"order": name, "item": what, "count": count, "lot": lot}, do)


def _takes(c: Command, number: str) -> None:
    """Refuse to take pieces for what is not ordered, is on hold, has no deposit in or has left."""
    row = c.get(r.Order, number)
    if row.hold:
        raise RefusedError(f"{number} is on hold: {row.hold}", value=row.hold, limit="not on hold",
                           way_out="Lift the hold on its order page; until then it takes nothing.")  # fmt: skip
    if row.state not in ("order", "released", "done", "weighed"):
        raise RefusedError(f"{number} is at {row.state}: it takes nothing off the shelf", value=row.state,
                           limit="ordered, and not loaded yet",
                           way_out="Take the order first, or sell the pieces over the counter.")  # fmt: skip
    if row.state != "order":
        return
    step = next_step(standing_of(c, number), c.at.date())
    shut = next((gate for gate in (step.missing if step else ()) if gate.title == "deposit"), None)
    if shut is not None:
        raise RefusedError(
            f"{number}: {shut.sentence}", value=shut.value, limit=shut.limit,
            way_out="Note the deposit on its order page when it comes; until then it takes nothing off the shelf.",
        )  # fmt: skip


def _what(want: Want) -> str:
    return want.what if want.count == 1 else f"{want.count} x {want.what}"
