"""At the counter and the dock: what goes short by when, a spare sold, a blade found by scraps, a blade weighed."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import Final

from plowwright.blade.build import Build, work_out
from plowwright.blade.spec import Spec
from plowwright.desk.orders import Order
from plowwright.desk.rack import Rack
from plowwright.errors import EntryError, NotFoundError, RulebookError, SpecError
from plowwright.rulebook.dock import Dock
from plowwright.rulebook.reading import Rulebook, load
from plowwright.rulebook.versions import versions
from plowwright.shop.dock import Weighed, weigh
from plowwright.shop.service_past import Past, past_from_dict
from plowwright.shop.service_search import Found, Marks, Scraps, find, marks_of
from plowwright.shop.stock_edges import bar_item, blank_item, needed_by
from plowwright.shop.stock_shortages import Sale, Shared, Supply, Want, if_sold, share
from plowwright.shop.stock_wants import blade_wants, spare_wants

FILE: Final = "serials-past.toml"
DONE: Final = ("painted", "on hold", "quote only", "to pack", "waiting for the blade")
"""States of an order that takes nothing more off the shelf by itself, or nothing yet."""


class Counter:
    """Answers from the wall, the rack and the list of past blades.

    Args:
        rulebook: The rules in force.
        orders: The open orders.
        rack: What lies there.
        build: Works the blade of an order out.
        today: The shop's day.
        folder: Where the list of past blades stands.
    """

    def __init__(
        self,
        rulebook: Rulebook,
        orders: Sequence[Order],
        rack: Rack,
        build: Callable[[Order], Build],
        today: date,
        folder: Path,
    ) -> None:
        self._rulebook, self._orders, self._rack = rulebook, orders, rack
        self._build, self._today, self._folder = build, today, folder
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

    def wants(self) -> tuple[Want, ...]:
        """What the open orders still take off the shelf, each by the day it must lie there."""
        found: list[Want] = []
        before = self.dock.stock.days_before.value
        for order in self._orders:
            if order.kind == "spares" and order.serial in self.past:
                blade = self._built(self.past[order.serial])
                day = needed_by(order.due, 0, today=self._today)
                for spare in order.spares:
                    found += self._fitting(blade, spare_wants(spare, blade, order=order.number, day=day))
            if order.spec is None or (order.state in DONE and order.number not in self._edge_waits()):
                continue
            day = needed_by(order.due, before, today=self._today)
            wants = blade_wants(self._build(order), order=order.number, day=day, lengths=self._lengths())
            found += wants if order.state not in DONE else wants[:1]
        return tuple(found)

    def _fitting(self, blade: Build, wants: Sequence[Want]) -> list[Want]:
        """Wants of an older blade: blanks are drilled by today's rule; by another one only a bar serves its edge."""
        series = self._rulebook.series.get(blade.spec.series)
        same = series is not None and series.holes == blade.series.holes
        bar = bar_item(blade.datum.edge.edge)
        return [w if same or bar not in w.serves else replace(w, serves=(bar,)) for w in wants]

    def _edge_waits(self) -> set[str]:
        """Orders that are painted and wait for nothing but their edge, by their note."""
        return {o.number for o in self._orders if o.state == "painted" and "edge" in o.note.casefold()}

    def _lengths(self) -> tuple[float, ...]:
        """Blank lengths of the shop's list, and those that lie in the rack or are on their way."""
        return tuple(sorted({*self._rulebook.shop.edge_blanks, *(b.length for b in self._rack.blanks)}))

    def supplies(self) -> tuple[Supply, ...]:
        """What lies there, and what is on its way."""
        lying = [(blank_item(b.stock, b.length), b) for b in self._rack.blanks]
        lying += [(b.stock, b) for b in self._rack.bought]
        found: list[Supply] = []
        for item, one in lying:
            if one.count:
                found.append(Supply(item=item, count=one.count, day=self._today))
            found += [Supply(item=item, count=count, day=day) for day, count in one.arriving.items()]
        return tuple(found)

    def shortages(self) -> Shared:
        """Which order goes short of what on which day."""
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
        sold = spare_wants(spare, build, order="counter", day=self._today, count=count)
        wants, supplies = self.wants(), self.supplies()
        return tuple(if_sold(one, wants, supplies) for one in sold)

    @cached_property
    def past(self) -> Mapping[str, Past]:
        """Blades that left before, by serial number; none where there is no list.

        Raises:
            EntryError: The list cannot be read.
        """
        file = self._folder / FILE
        if not file.is_file():
            return {}
        try:
            entry = tomllib.loads(file.read_text(encoding="utf-8"))
        except tomllib.TOMLDecodeError as fault:
            raise EntryError("this is not TOML", where=file.name, value=str(fault)) from fault
        return {one.serial: one for one in (past_from_dict(e, where=file.name) for e in entry.get("blades", ()))}

    def _built(self, one: Past) -> Build:
        """A past blade by the rules of its day, or by the first later ones on file that still know all its choices."""
        known = sorted(versions(self._rulebook.folder), key=lambda line: line.date)
        at = max((i for i, line in enumerate(known) if line.date <= one.built), default=0)
        for line in known[at:-1]:
            rules = self._read.setdefault(line.folder, load(line.folder))
            try:
                return work_out(one.spec, rules, level=0)
            except SpecError:
                continue  # an extra that came later, or a width no longer in these rules
        return work_out(one.spec, self._rulebook, level=0)

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
            raise NotFoundError("no past blades are on file here", value=FILE, way_out=f"Keep them in {FILE}.")
        return find(scraps, self._marks)

    def weigh(self, number: str, ticket: float) -> Weighed:
        """A scale ticket held against the order's build; the others in the yard may hang on the scale instead.

        Args:
            number: Order number.
            ticket: What the scale said [kg].

        Raises:
            NotFoundError: No open order with a blade has this number.
        """
        blades = {o.number: o for o in self._orders if o.spec is not None}
        wanted = number.strip().upper()
        if wanted not in blades:
            raise NotFoundError("no open order with a blade has this number", value=number,
                                way_out=f"Open with a blade: {', '.join(blades)}.")  # fmt: skip
        others = {n: self._build(o) for n, o in blades.items() if n != wanted}
        return weigh(self._build(blades[wanted]), ticket, self.dock, others=others)
