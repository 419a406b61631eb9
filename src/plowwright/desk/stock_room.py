"""What all that is done in the stockroom shares: the day, the needs, names that are known, and how a command is run."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from plowwright.desk.acting import Hand
from plowwright.desk.books import orders_of
from plowwright.desk.orders import Order
from plowwright.desk.stock_needs import Needs
from plowwright.desk.stock_shelf import shelf_of_records
from plowwright.errors import EntryError, NotFoundError
from plowwright.rulebook.refusals import near_names
from plowwright.shop.stock_book import Entry
from plowwright.shop.stock_delivery import UNDRILLED
from plowwright.shop.stock_items import item_of
from plowwright.shop.stock_shortages import Shared, Short, share
from plowwright.store.commands import Command
from plowwright.store.reading import Reads

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

Said = dict[str, Any]
"""What a command answers: `said`, one sentence of what was done, and the rest for a machine."""


class Room:
    """The stockroom of one shop.

    Args:
        desk: The shop.
    """

    def __init__(self, desk: Desk) -> None:
        self.desk = desk

    @property
    def today(self) -> date:
        """The shop's day."""
        return self.desk.now.date()

    def needs(self, reads: Reads) -> Needs:
        """The needs of the open orders, as a steady view or a command sees them.

        Args:
            reads: The view.
        """
        orders = orders_of(reads)
        shelf = shelf_of_records(reads, orders, today=self.today, closed=self.desk.closed)
        counter = self.desk.counter
        return Needs(self.desk.rulebook, counter.dock, orders, shelf, build=self.desk.build_of, blade=counter.blade,
                     refit=self.desk.refit_of)  # fmt: skip

    def newly_short(self, before: Shared, reads: Reads) -> tuple[Short, ...]:
        """Orders that go short of something now and did not before.

        Args:
            before: Who got what before.
            reads: The command, after what it has written.
        """
        needs = self.needs(reads)
        was = {(one.want.order, one.want.what) for one in before.short}
        after = share(needs.wants(), needs.shelf.supplies()).short
        return tuple(one for one in after if (one.want.order, one.want.what) not in was)

    def known(self, item: str) -> str:
        """The item's name, if the rulebook knows what it is.

        Args:
            item: As the ledger calls it.

        Raises:
            NotFoundError: It does not; near names are named.
        """
        name = item.strip()
        found, book = item_of(name), self.desk.rulebook
        stocks: Mapping[str, object] = {"part": book.bought, "sheet": book.plates, "sheet remnant": book.plates}.get(
            found.sort, book.sections
        )
        if found.stock in stocks or found.stock.removesuffix(UNDRILLED) in book.sections:
            return name
        raise NotFoundError(
            "the rulebook knows no such section, sheet or part", value=item or "nothing",
            way_out=near_names(name, [*self.desk.counter.shelf.on_hand, *book.bought]),
        )  # fmt: skip

    def run(self, name: str, hand: Hand, asked: Mapping[str, Any], do: Callable[[Command], Said]) -> Said:
        """Do one command, once for each key.

        Args:
            name: In the shop's words.
            hand: Who does it.
            asked: What was asked, kept with the event.
            do: Reads and writes through the command, and answers.
        """
        answer: Said = self.desk.book.run(name, do, who=hand.who, key=hand.key, asked=asked)
        return answer


def open_order(reads: Reads, number: str) -> Order:
    """An order of the wall.

    Args:
        reads: A steady view, or a command.
        number: With its check letter.

    Raises:
        NotFoundError: There is none.
    """
    wanted = number.strip().upper()
    for order in orders_of(reads):
        if order.number == wanted:
            return order
    raise NotFoundError("no open order has this number", value=number, way_out="Look at the wall.")


def pieces(count: int, where: str) -> None:
    """Refuse a count of nothing.

    Args:
        count: Pieces [-].
        where: Of what.

    Raises:
        EntryError: Below one.
    """
    if count < 1:
        raise EntryError("a count is a whole number", value=str(count), limit="1 or more", where=where,
                         way_out="Write 2.")  # fmt: skip


def reasoned(reason: str, where: str) -> str:
    """A reason, trimmed.

    Args:
        reason: As given.
        where: Of what.

    Raises:
        EntryError: None was given.
    """
    if not reason.strip():
        raise EntryError("nobody says why", where=where, way_out='Give the reason in a few words, as "bent".')
    return reason.strip()


def said_day(day: date) -> str:
    """A day as it is said.

    Args:
        day: The day.
    """
    return f"{day:%a %d %b}"


def freed_orders(freed: Iterable[Entry]) -> list[str]:
    """Orders that lost a reservation.

    Args:
        freed: The releases.
    """
    return list(dict.fromkeys(one.order or "nobody" for one in freed))


def freed_said(freed: Sequence[Entry]) -> str:
    """Who lost a reservation, to be said behind what was done.

    Args:
        freed: The releases.
    """
    counts: dict[str, int] = {}
    for one in freed:
        counts[one.order or "nobody"] = counts.get(one.order or "nobody", 0) + one.count
    return "".join(f"; {order} loses its reservation of {count}" for order, count in counts.items())
