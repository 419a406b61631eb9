"""At the counter and the dock: what goes short by when, a spare sold, a blade found by scraps, a blade weighed."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from functools import cached_property
from pathlib import Path

from plowwright.blade.build import Build, work_out
from plowwright.blade.refit import Refit
from plowwright.blade.spec import Spec
from plowwright.desk import past
from plowwright.desk.books import PAST, past_of_file
from plowwright.desk.orders import Order
from plowwright.desk.stock_needs import Needs
from plowwright.desk.stock_shelf import Shelf
from plowwright.errors import NotFoundError, RulebookError
from plowwright.rulebook.dock import Dock
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.dock import Weighed, weigh
from plowwright.shop.service_marks import Marks, marks_of
from plowwright.shop.service_past import Past
from plowwright.shop.service_search import Found, Scraps, find
from plowwright.shop.stock_shortages import Sale, Shared, Supply, Want, if_sold, share
from plowwright.shop.stock_wants import spare_wants


class Counter:
    """Answers from the wall, the rack and the list of past blades.

    Args:
        rulebook: The rules in force.
        orders: The open orders.
        shelf: What lies there, is on its way, and was taken or reserved; it knows the shop's day.
        build: Works the blade of an order out.
        folder: Where the list of past blades stands.
        blade: An older blade of the records by its serial number; left out, the list of past blades is asked.
        refit: Works the refit of an order out; left out, nobody knows what one takes.
    """

    def __init__(
        self,
        rulebook: Rulebook,
        orders: Sequence[Order],
        shelf: Shelf,
        build: Callable[[Order], Build],
        folder: Path,
        *,
        blade: Callable[[str], Build | None] | None = None,
        refit: Callable[[Order], Refit | None] | None = None,
    ) -> None:
        self._rulebook, self._orders, self.shelf = rulebook, orders, shelf
        self._build, self._folder, self._blade = build, folder, blade
        self._refit = refit or (lambda _: None)
        self._read: dict[Path, Rulebook] = {rulebook.folder: rulebook}

    @property
    def dock(self) -> Dock:
        """The dock's settings.

        Raises:
            RulebookError: The rulebook has none.
        """
        if self._rulebook.dock is None:
            raise RulebookError(
                "this rulebook does not say how blades are weighed", where="dock.toml",
                way_out="Copy the file of a newer rulebook beside shop.toml.",
            )  # fmt: skip
        return self._rulebook.dock

    def blade(self, serial: str) -> Build | None:
        """An older blade by its serial number, or None where nobody knows it.

        Args:
            serial: As stamped.
        """
        if self._blade is not None:
            return self._blade(serial)
        return self._built(self.past[serial]) if serial in self.past else None

    @cached_property
    def needs(self) -> Needs:
        """What the open orders need of the shelf."""
        return Needs(self._rulebook, self.dock, self._orders, self.shelf, build=self._build, blade=self.blade,
                     refit=self._refit)  # fmt: skip

    @cached_property
    def _wants(self) -> tuple[Want, ...]:
        return self.needs.wants()

    def wants(self) -> tuple[Want, ...]:
        """What the open orders still take off the shelf, each by the day it must lie there."""
        return self._wants

    def supplies(self) -> tuple[Supply, ...]:
        """What lies there, and what is on its way."""
        return self.shelf.supplies()

    def shortages(self) -> Shared:
        """Which order goes short of what on which day."""
        return self._shared

    @cached_property
    def _shared(self) -> Shared:
        return share(self.wants(), self.supplies())

    def sell(self, spare: str, spec: Spec, count: int = 1) -> tuple[Sale, ...]:
        """What a spare sold today does to the wall, piece by piece.

        Args:
            spare: As the price list calls it, or a bought part.
            spec: The blade it is for.
            count: How many of it [-].

        Raises:
            NotFoundError: Nobody knows what is behind the name.
        """
        build = work_out(spec, self._rulebook, level=0)
        sold = spare_wants(spare, build, order="counter", day=self.shelf.today, count=count)
        wants, supplies = self.wants(), self.supplies()
        return tuple(if_sold(one, wants, supplies) for one in sold)

    @cached_property
    def past(self) -> Mapping[str, Past]:
        """Blades that left before, by serial number; none where there is no list.

        Raises:
            EntryError: The list cannot be read.
        """
        return past_of_file(self._folder / PAST)

    def _built(self, one: Past) -> Build:
        return past.built(one, self._rulebook, self._read)

    @cached_property
    def _marks(self) -> tuple[Marks, ...]:
        found: list[Marks] = []
        for one in self.past.values():
            build = self._built(one)
            colour = one.colour or build.rulebook.shop.body_colour
            found.append(
                marks_of(build, serial=one.serial, built=one.built, colour=colour, phone=one.phone_ends,
                         owner=one.customer)
            )  # fmt: skip
        return tuple(found)

    def find(self, scraps: Scraps) -> Found:
        """Which past blade it is, by what the caller has.

        Args:
            scraps: What was told.

        Raises:
            NotFoundError: There is no list of past blades.
        """
        if not self.past:
            raise NotFoundError("no past blades are on file here", value=PAST, way_out=f"Keep them in {PAST}.")
        return find(scraps, self._marks)

    def weigh(self, number: str, ticket: float, *, looked: Collection[str] = ()) -> Weighed:
        """A scale ticket held against the order's build; the others in the yard may hang on the scale instead.

        Args:
            number: Order number.
            ticket: What the scale said [kg].
            looked: Kinds of cause somebody looked for and ruled out.

        Raises:
            NotFoundError: No open order with a blade has this number.
        """
        blades = {o.number: o for o in self._orders if o.spec is not None}
        wanted = number.strip().upper()
        if wanted not in blades:
            raise NotFoundError("no open order with a blade has this number", value=number,
                                way_out=f"Open with a blade: {', '.join(blades)}.")  # fmt: skip
        others = {n: self._build(o) for n, o in blades.items() if n != wanted}
        return weigh(self._build(blades[wanted]), ticket, self.dock, others=others, looked=looked)
