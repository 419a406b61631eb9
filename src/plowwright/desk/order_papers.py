"""Papers of an order, from its file: quote, order confirmation, change note. What was frozen is printed as frozen."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from typing import TYPE_CHECKING, Final

from plowwright.blade.differ import differ
from plowwright.desk.order_copy import by_own_rules
from plowwright.desk.order_file import OrderPage
from plowwright.desk.selling_words import said_day
from plowwright.errors import NotFoundError, RefusedError
from plowwright.papers.change_note import Changed, change_sheet
from plowwright.papers.content import Sheet, quote_sheet
from plowwright.papers.elevations import System
from plowwright.papers.order_confirmation import Ordered, PaperName, order_sheet, write
from plowwright.shop.orders import money
from plowwright.shop.worked import Worked, work_out
from plowwright.store import records as r

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_SHOWN: Final = 8
"""Differences named on a change note; the drawings have the others [-]."""


class OrderPapers:
    """Writes the papers of orders.

    Args:
        desk: The shop.
        paper: Sheet size.
        system: Units on the papers.
    """

    def __init__(self, desk: Desk, *, paper: PaperName = "letter", system: System = "us") -> None:
        self._desk = desk
        self._paper: PaperName = paper
        self._system: System = system

    def quote(self, page: OrderPage) -> bytes:
        """The quote as it was frozen.

        Args:
            page: The order's file.

        Raises:
            NotFoundError: It was ordered without one.
        """
        quote = page.file.quote
        if quote is None:
            raise NotFoundError(f"{page.number} has no quote on file", value=page.number)
        worked = self._worked(page, quote.build)
        # The blade's own sheet, where its rules still give the price that was frozen.
        if worked is not None and round(100 * worked.price.total) == quote.cents:
            sheet = self._sheet(page, worked, quote.day)
            return write(quote_sheet(sheet), self._ordered(page, quote.day))
        said = f"{quote.valid_until:%d %B %Y}"
        order = replace(self._ordered(page, quote.day), cents=quote.cents, paid_cents=0, promise="", valid_until=said,
                        changes=())  # fmt: skip
        return write(order_sheet(order, self._paper), order)

    def confirmation(self, page: OrderPage) -> bytes:
        """The order confirmation as of today.

        Args:
            page: The order's file.

        Raises:
            RefusedError: Nothing is ordered yet, or it was called off.
        """
        if page.standing is None or page.standing.state in ("enquiry", "quote"):
            state = page.cancelled or "a quote"
            raise RefusedError(f"{page.number} is not ordered", value=state, way_out="Its quote is a paper of its own.")
        today = self._desk.now.date()
        order = self._ordered(page, today)
        worked = self._worked(page, page.file.order.build)
        sheet = self._sheet(page, worked, today) if worked else None
        return write(order_sheet(order, self._paper, sheet), order)

    def change(self, page: OrderPage, note: int) -> bytes:
        """A change note for the customer.

        Args:
            page: The order's file.
            note: Its number.

        Raises:
            NotFoundError: The order has no such note.
        """
        found = {row.id: (row, one) for row, one in page.notes}
        if note not in found:
            raise NotFoundError(f"{page.number} has no such change note", value=str(note),
                                limit=", ".join(map(str, found)) or "it has none")  # fmt: skip
        row, one = found[note]
        order = self._ordered(page, self._desk.now.date())
        counted = {other.settles for other in page.file.changes if other.settles is not None}
        later = [n.cents for r_, n in page.notes if r_.id in counted and (r_.id >= note or not one.settled)]
        before = page.file.order.cents - (sum(later) if one.settled else 0)
        changed = Changed(
            note=one, id=note, cents_before=before, day_before=said_day(one.promise_was) if one.promise_was else "",
            day_after=said_day(one.promise) if one.promise else "", differs=self._differs(page, row),
        )  # fmt: skip
        return write(change_sheet(order, changed, self._paper), order)

    def _differs(self, page: OrderPage, row: r.Change) -> tuple[tuple[str, str, str], ...]:
        if row.build is None:
            return ()
        builds = [c.build for c in page.file.changes if c.settles is not None and c.build is not None and c.id < row.id]
        was = builds[-1] if builds else page.file.quote.build if page.file.quote else page.file.order.build
        with self._desk.book.reading() as reads:
            kept = [reads.look(r.KeptBuild, one) for one in (was, row.build)]
        pair = [by_own_rules(self._desk, one) for one in kept if one is not None]
        if len(pair) < 2:
            return ()
        rows = differ(pair, system=self._system).rows[:_SHOWN]
        return tuple((one.what, one.values[0], one.values[1]) for one in rows)

    def _worked(self, page: OrderPage, build: int | None) -> Worked | None:
        if build is None or page.order.kind != "blade":
            return None
        with self._desk.book.reading() as reads:
            kept = reads.get(r.KeptBuild, build)
        found = by_own_rules(self._desk, kept)
        return work_out(replace(found.spec, customer=page.order.customer), found.rulebook, level=0)

    def _sheet(self, page: OrderPage, worked: Worked, on: date) -> Sheet:
        size = "us-letter" if self._paper == "letter" else "a4"
        return Sheet(worked=worked, system=self._system, paper=size, on=on, number=page.number)

    def _ordered(self, page: OrderPage, on: date) -> Ordered:
        row, quote = page.file.order, page.file.quote
        lines = [(str(line["label"]), money(round(100 * line["amount"])) if line["amount"] else "included")
                 for line in (quote.lines if quote else ())]  # fmt: skip
        if page.file.quote is not None:
            lines += [(note.said, money(note.cents)) for _, note in page.notes if note.settled and note.cents]
        return Ordered(
            number=page.number, kind=row.kind, name=name_of(page), customer=page.order.customer,
            machine=page.order.carrier, on=on, shop=self._desk.rulebook.shop, lines=lines, cents=row.cents,
            deposit_cents=row.deposit_cents, paid_cents=page.file.paid_cents, promise=_promised(page.promise),
            asks=page.more.asks, changes=[note.text for _, note in page.notes],
            fingerprint=page.file.build.fingerprint if page.file.build else "", held=bool(row.hold),
        )  # fmt: skip


def name_of(page: OrderPage) -> str:
    """What an order is for, in words.

    Args:
        page: Its file.
    """
    if page.file.build is not None and page.order.kind == "blade":
        facts = page.file.build.facts
        return str(facts.get("name", "")) or page.order.kind
    if page.order.kind == "refit":
        to = f" for {page.order.carrier}" if page.order.carrier else ""
        return f"refit of {page.more.serial}{to}"
    about = f" for {page.more.serial}" if page.more.serial else ""
    return f"{', '.join(page.more.spares) or 'spares'}{about}"


def _promised(when: date | datetime | None) -> str:
    if when is None:
        return ""
    hour = f", {when:%H:%M}" if isinstance(when, datetime) else ""
    return f"{when:%A} {when.day} {when:%B %Y}{hour}"
