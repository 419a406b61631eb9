"""A spare sold over the counter: asked of the calendar first, then really issued, with the price and who has it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from plowwright.blade.build import work_out
from plowwright.blade.spec import Spec
from plowwright.desk import stock_writing as w
from plowwright.desk.acting import Hand
from plowwright.desk.stock_room import Room, Said, freed_orders, freed_said, pieces
from plowwright.desk.stock_shelf import stands
from plowwright.errors import EntryError, NotFoundError, RefusedError
from plowwright.shop.lines import money
from plowwright.shop.stock_book import Entry
from plowwright.shop.stock_shortages import Sale, Supply, Want, if_sold, share
from plowwright.shop.stock_wants import spare_wants
from plowwright.store.commands import Command
from plowwright.units import tape

COUNTER = "counter"
"""Who needs what is sold over the counter."""
TAKEN = "taken_cents"
"""Name under the facts of a stock line: the sum taken for a sale over the counter."""


class Sales(Room):
    """Spares over the counter."""

    def wanted(self, spare: str, spec: Spec | None, count: int, *, serial: str = "") -> tuple[Want, ...]:
        """The pieces behind a spare, for one blade.

        Args:
            spare: As the price list calls it, or a bought part.
            spec: The blade it is for, by today's rules.
            count: How many of it [-].
            serial: A blade of the records instead; its own rules then say what fits.

        Raises:
            NotFoundError: Nobody knows what is behind the name, or no such blade is on file.
        """
        pieces(count, spare)
        old = self.desk.counter.blade(serial.strip().upper()) if serial.strip() else None
        if old is not None:
            wants = spare_wants(spare, old, order=COUNTER, day=self.today, count=count)
            return tuple(self.desk.counter.needs.fitting(old, wants))
        if serial.strip() or spec is None:
            raise NotFoundError("no such blade on file", value=serial or "nothing", way_out="Find it by its scraps.")
        build = work_out(spec, self.desk.rulebook, level=0)
        return spare_wants(spare, build, order=COUNTER, day=self.today, count=count)

    def ask(self, spare: str, spec: Spec | None, count: int = 1, *, serial: str = "") -> tuple[Sale, ...]:
        """What a spare sold today does to the wall, piece by piece.

        Args:
            spare: As the price list calls it, or a bought part.
            spec: The blade it is for, by today's rules.
            count: How many of it [-].
            serial: A blade of the records instead.

        Raises:
            NotFoundError: Nobody knows what is behind the name, or no such blade is on file.
        """
        counter = self.desk.counter
        wants, supplies = counter.wants(), counter.supplies()
        return tuple(if_sold(one, wants, supplies) for one in self.wanted(spare, spec, count, serial=serial))

    def price(self, spare: str, count: int) -> int | None:
        """What it costs over the counter, None where the price list has none [cents].

        Args:
            spare: As the price list calls it.
            count: How many [-].
        """
        named = {_plain(name): price for name, price in self.desk.rulebook.prices.spares.items()}
        one = named.get(_plain(spare))
        return None if one is None else round(100 * one) * count

    def sell(
        self, hand: Hand, spare: str, spec: Spec | None, count: int = 1, *, to: str = "", serial: str = "",
        agreed: Iterable[str] = (), taken: int | None = None,
    ) -> Said:  # fmt: skip
        """Sell a spare: its pieces are issued, with the price, what was taken for it and who has it.

        There is no order behind it, so the sum taken stands on the stock line and in What was done, not in the money of
        an order; of several lines it stands on the first, so that it adds up.

        Args:
            hand: Who sells.
            spare: As the price list calls it, or a bought part.
            spec: The blade it is for, by today's rules.
            count: How many of it [-].
            to: Who buys it.
            serial: A blade of the records instead.
            agreed: Orders that may go short by it, as they were shown before.
            taken: Sum really taken, None where nobody says [cents].

        Raises:
            EntryError: The sum is below nothing.
            NotFoundError: Nobody knows what is behind the name.
            RefusedError: Not as many are there, or an order goes short that nobody agreed to.
        """
        currency = self.desk.rulebook.shop.currency
        if taken is not None and taken < 0:
            raise EntryError("a sum that is none", value=money(taken / 100, currency), limit="0 or more", where=spare,
                             way_out="What goes back is no sale: undo its stock line.")  # fmt: skip
        sold = self.wanted(spare, spec, count, serial=serial)
        yes = sorted({one.strip().upper() for one in agreed})
        cents = self.price(spare, count)
        facts = {"sold": spare, "pieces": count, "to": to.strip(), "for": serial or _about(spec), "cents": cents}

        def do(c: Command) -> Said:
            needs = self.needs(c)
            wants, supplies = needs.wants(), needs.shelf.supplies()
            lines: list[Entry] = []
            for want in sold:
                self._may(if_sold(want, wants, supplies), yes)
                for item, part in _from(want, wants, supplies):
                    first = taken is not None and not any(one.kind == "issue" for one in lines)
                    lines += self._issue(c, item, part, {**facts, **({TAKEN: taken} if first else {})})
            freed = [one for one in lines if one.kind == "release"]
            price = f" for {money(cents / 100, currency)}" if cents is not None else ", not on the price list"
            whom = f" to {to.strip()}" if to.strip() else ""
            said = f"{count} x {spare} sold{whom}{price}"
            said += f"; {money(taken / 100, currency)} taken" if taken is not None else ""
            issued = [{"item": e.item, "count": e.count, "lot": e.lot} for e in lines if e.kind == "issue"]
            return {"said": said + freed_said(freed), "cents": cents, TAKEN: taken, "freed": freed_orders(freed),
                    "issued": issued}  # fmt: skip

        asked = {"spare": spare, "count": count, "to": to, "for": facts["for"], "agreed": yes}
        asked |= {TAKEN: taken} if taken is not None else {}
        return self.run("sell over the counter", hand, asked, do)

    def _may(self, sale: Sale, agreed: Sequence[str]) -> None:
        if not sale.served:
            raise RefusedError("not as many are there", where=sale.sold.what, value=str(sale.sold.count),
                               way_out="Sell fewer, or order more first.")  # fmt: skip
        hurt = [one for one in sale.newly if one.want.order not in agreed]
        if hurt:
            raise RefusedError(
                "somebody goes short who was not agreed to", where=sale.sold.what, value=sale.text,
                limit=f"{sale.harmless} with nobody going short",
                way_out=f"Sell fewer, or say that {', '.join(dict.fromkeys(o.want.order for o in hurt))} may go short.",
            )  # fmt: skip

    def _issue(self, c: Command, item: str, count: int, facts: dict[str, object]) -> list[Entry]:
        out: list[Entry] = []
        for at, (lot, part) in enumerate(w.lots_for(stands(c, item), count)):
            to = f"sold to {facts['to']}" if facts["to"] else "sold over the counter"
            line = Entry(kind="issue", item=item, count=part, day=self.today, lot=lot, reason=to)
            # A sum stands on one line only, whatever the lots.
            out += w.lose(c, line, facts=facts if not at else {k: v for k, v in facts.items() if k != TAKEN})
        return out


def _from(want: Want, wants: Sequence[Want], supplies: Sequence[Supply]) -> list[tuple[str, int]]:
    """Which items a sale is served from, so that the fewest go short."""
    firm = Want(order=want.order, what=want.what, day=want.day, serves=want.serves, count=want.count, firm=True)
    counts: dict[str, int] = {}
    for one in share([firm, *wants], supplies).given:
        if one.want.firm:
            counts[one.item] = counts.get(one.item, 0) + 1
    return list(counts.items())


def _about(spec: Spec | None) -> str:
    return f"{spec.series} {tape(spec.width)}" if spec else ""


def _plain(name: str) -> str:
    """84 in edge and 84 edge are one thing on the phone."""
    return " ".join(word for word in name.casefold().split() if word != "in")
