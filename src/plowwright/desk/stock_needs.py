"""What the open orders still take off the shelf: what they need, less what they took, with what they reserved first."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from dataclasses import replace
from typing import Final

from plowwright.blade.build import Build
from plowwright.blade.refit import Refit
from plowwright.desk.orders import Order
from plowwright.desk.stock_shelf import Shelf
from plowwright.errors import NotFoundError
from plowwright.rulebook.dock import Dock
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.stock_edges import bar_item, edge_want, needed_by
from plowwright.shop.stock_shortages import Want
from plowwright.shop.stock_wants import blade_wants, spare_wants

NOT_YET: Final = ("on hold", "quote only")
"""States of an order that takes nothing yet; parts of a refit are wanted though its blade is still out."""
OVER: Final = ("done", "weighed", "loaded", "cancelled")
"""States of an order that takes nothing any more."""


class Needs:
    """The needs of the open orders against one shelf.

    Args:
        rulebook: The rules in force.
        dock: Its settings for stock.
        orders: The open orders.
        shelf: What is there, taken and reserved.
        build: Works the blade of an order out.
        blade: An older blade by its serial number, None where nobody knows it.
        refit: Works the refit of an order out, None where its blade or its machine is not known.
    """

    def __init__(
        self,
        rulebook: Rulebook,
        dock: Dock,
        orders: Sequence[Order],
        shelf: Shelf,
        *,
        build: Callable[[Order], Build],
        blade: Callable[[str], Build | None],
        refit: Callable[[Order], Refit | None],
    ) -> None:
        self._rulebook, self._dock, self._orders, self.shelf = rulebook, dock, orders, shelf
        self._build, self._blade, self._refit = build, blade, refit
        self._lengths = tuple(sorted({*rulebook.shop.edge_blanks, *shelf.blank_lengths()}))

    def wants(self) -> tuple[Want, ...]:
        """What the open orders still take off the shelf, each by the day it must lie there."""
        found: list[Want] = []
        reserved = {(one.item, one.order): 0 for one in self.shelf.held}
        for one in self.shelf.held:
            reserved[one.item, one.order] += one.count
        for order in self._orders:
            found += _held_first(self.of(order), reserved)
        # Reserved for something nobody can work out, as a stick for the saw: spoken for all the same.
        for one in self.shelf.held:
            part = min(one.count, reserved[one.item, one.order])
            reserved[one.item, one.order] -= part
            if part:
                day = max(one.needed, self.shelf.today)
                found.append(Want(order=one.order or "nobody", what=one.item, day=day, serves=(one.item,), count=part,
                                  held=True))  # fmt: skip
        return tuple(found)

    def of(self, order: Order) -> tuple[Want, ...]:
        """What one order still takes off the shelf.

        Args:
            order: Which.
        """
        return tuple(_less(self._whole(order), dict(self.shelf.taken.get(order.number, {}))))

    def _whole(self, order: Order) -> Sequence[Want]:
        """All an order takes, as if it had taken nothing yet."""
        shelf = self.shelf
        if order.state in NOT_YET or order.state in OVER:
            return ()
        if order.kind == "spares":
            return self._spares(order)
        if order.kind == "refit":
            return self._refitting(order)
        if order.spec is None:
            return ()
        edge_only = order.number in shelf.before
        if edge_only and not _waits_for_edge(order):
            return ()
        day = needed_by(order.due, self._dock.stock.days_before.value, today=shelf.today, closed=shelf.closed)
        wants = blade_wants(self._build(order), order=order.number, day=day, lengths=self._lengths)
        return wants[:1] if edge_only else wants

    def _spares(self, order: Order) -> list[Want]:
        """Pieces behind its spares; behind "edge with bolts" nobody knows them before the blade is named."""
        blade = self._blade(order.serial) if order.serial else None
        day = needed_by(order.due, 0, today=self.shelf.today)
        found: list[Want] = []
        for spare in order.spares:
            if blade is not None:
                with suppress(NotFoundError):
                    found += self.fitting(blade, spare_wants(spare, blade, order=order.number, day=day))
            elif spare in self._rulebook.bought:
                found.append(Want(order=order.number, what=spare, day=day, serves=(spare,)))
        return found

    def _refitting(self, order: Order) -> list[Want]:
        """Bought parts a refit puts on, and its edge where that is new."""
        refit = self._refit(order)
        if refit is None or order.number in self.shelf.before:
            return []
        days = self._dock.stock.days_before.value
        day = needed_by(order.due, days, today=self.shelf.today, closed=self.shelf.closed)
        wants: list[Want] = []
        for row in (*refit.change, *refit.buy):
            item = row.instead or row.stock
            if row.act in ("make", "buy") and item in self._rulebook.bought:
                wants.append(Want(order=order.number, what=item, day=day, serves=(item,), count=max(1, row.count)))
            elif row.act == "make" and row.part == "edge":
                wants.append(edge_want(refit.new, order=order.number, day=day, lengths=self._lengths))
        return wants

    def fitting(self, blade: Build, wants: Sequence[Want]) -> list[Want]:
        """Wants of an older blade: blanks are drilled by today's rule; by another one only a bar serves its edge.

        Args:
            blade: By the rules of its day.
            wants: Its wants.
        """
        series = self._rulebook.series.get(blade.spec.series)
        same = series is not None and series.holes == blade.series.holes
        bar = bar_item(blade.datum.edge.edge)
        return [w if same or bar not in w.serves else replace(w, serves=(bar,)) for w in wants]


def _waits_for_edge(order: Order) -> bool:
    """Whether a blade that is else complete still wants its edge, by what it waits for or by its note."""
    return "edge" in order.note.casefold() or any("edge" in one.what.casefold() for one in order.waits)


def _less(wants: Iterable[Want], taken: dict[str, int]) -> Iterable[Want]:
    for want in wants:
        left = want.count
        for item in want.serves:
            part = min(left, max(0, taken.get(item, 0)))
            if part:
                taken[item] -= part
                left -= part
        if left:
            yield replace(want, count=left)


def _held_first(wants: Iterable[Want], reserved: dict[tuple[str, str], int]) -> Iterable[Want]:
    """Each want parted into what is reserved for it and the rest; what was used is taken off the reservations."""
    for want in wants:
        left = want.count
        for item in want.serves:
            part = min(left, reserved.get((item, want.order), 0))
            if part:
                reserved[item, want.order] -= part
                left -= part
                yield replace(want, serves=(item,), count=part, held=True)
        if left:
            yield replace(want, count=left)
