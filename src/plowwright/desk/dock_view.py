"""What the dock reads: which blades can be weighed or loaded, their tickets, and all that is known of a load."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING, Any, Final

from plowwright.blade.build import Build
from plowwright.blade.correction import Correction
from plowwright.desk import order_file
from plowwright.desk.books import order_of
from plowwright.desk.life_refit import refit_of
from plowwright.desk.order_more import More, more_of
from plowwright.desk.orders import Order
from plowwright.desk.shop_air import cure_now
from plowwright.errors import NotFoundError, RefusedError
from plowwright.findings import Finding
from plowwright.rulebook.dock import Dock
from plowwright.shop.dock import predicted
from plowwright.shop.dock_cure import strapping
from plowwright.shop.dock_freight import Packed, freight_class, lifting, packed, travel
from plowwright.shop.dock_load import Load
from plowwright.shop.dock_papers import PackingRow, packing_list
from plowwright.shop.dock_ticket import WeighTicket, from_kept, taught_by
from plowwright.shop.orders import next_step
from plowwright.store import records as r
from plowwright.store.reading import Reads

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

IN_THE_YARD: Final = ("welding", "welded", "cleaned", "painted", "assembled", "done", "weighed")
"""How far an order is, in words, when its blade can hang on the scale in place of another."""
_TICKETS: Final = 60
"""So many of the newest tickets teach; older ones were of other steel [-]."""
_LOADED: Final = 12
"""So many of the last loads are shown [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hanging:
    """One blade that can be weighed or loaded.

    Attributes:
        number: Order number.
        name: The blade in words.
        customer: Who gets it.
        state: done, weighed or loaded.
        scale: What the scale said.
        serial: Serial number, or "".
        promise: When it is promised, or None.
        missing: What the next step still needs, in words.
    """

    number: str
    name: str
    customer: str
    state: str
    scale: str
    serial: str
    promise: datetime | None
    missing: tuple[str, ...]


class DockView:
    """Answers about the dock, from the records.

    Args:
        desk: The shop.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    @property
    def dock(self) -> Dock:
        """The dock's settings."""
        return self._desk.counter.dock

    def number(self, said: str) -> str:
        """An order's number as it was typed.

        Args:
            said: The number.

        Raises:
            EntryError: It cannot be; near ones are named.
        """
        with self._desk.book.reading() as reads:
            return order_file.number_of(reads, said)

    def waiting(self) -> tuple[Hanging, ...]:
        """Orders whose work is done and that have not left, the next promise first."""
        with self._desk.book.reading() as reads:
            return tuple(self._hanging(reads, row) for row in reads.wall(("done", "weighed")))

    def left(self) -> tuple[Hanging, ...]:
        """The last orders that left, newest number first."""
        with self._desk.book.reading() as reads:
            rows = reads.find(r.Order, state="loaded", newest=True, limit=_LOADED)
            return tuple(self._hanging(reads, row) for row in rows)

    def _hanging(self, reads: Reads, row: r.Order) -> Hanging:
        more = more_of(row.more)
        customer, build = reads.look(r.Customer, row.customer), reads.look(r.KeptBuild, row.build)
        missing: tuple[str, ...] = ()
        if row.state != "loaded":
            standing = order_file.standing_of(reads, row.number, rulebook=self._desk.rulebook, now=self._desk.now)
            step = next_step(standing, self._desk.now.date())
            missing = tuple(gate.sentence for gate in step.missing) if step else ()
        what = {"refit": f"refit of {more.serial}", "spares": ", ".join(more.spares)}
        name = str(build.facts.get("name", "")) if build is not None else what.get(row.kind, "")
        return Hanging(
            number=row.number, name=name, customer=customer.name if customer else "", state=row.state, scale=more.scale,
            serial=more.serial, promise=row.promise, missing=missing,
        )  # fmt: skip

    def order(self, number: str) -> Order:
        """An order as planners read it, loaded ones too.

        Args:
            number: With its check letter.

        Raises:
            NotFoundError: There is no such order.
        """
        with self._desk.book.reading() as reads:
            row = reads.get(r.Order, number)
            tables = (reads.look(r.Customer, row.customer), reads.look(r.CarrierFacts, row.carrier),
                      reads.look(r.KeptBuild, row.build))  # fmt: skip
        people, machines, builds = ({one.id: one} if one is not None else {} for one in tables)
        return order_of(row, people, machines, builds)  # type: ignore[arg-type]

    def build(self, order: Order) -> Build:
        """The blade of an order: as frozen, or of a refit as it will be.

        Args:
            order: The order.

        Raises:
            RefusedError: Spares: nothing hangs on the scale.
        """
        if order.spec is not None:
            return self._desk.build_of(order)
        if order.kind == "refit":
            new = refit_of(self._desk, order.number, level=0).refit.new
            return replace(new, spec=replace(new.spec, number=order.number))
        raise RefusedError(f"order {order.number} is for {order.kind} and builds no blade", value=order.number,
                           way_out="Spares are counted and packed, not weighed.")  # fmt: skip

    def others(self, number: str) -> Mapping[str, Build]:
        """The other blades in the yard: one of them may hang there instead.

        Args:
            number: The order that is weighed.
        """
        return {
            one.number: self._desk.build_of(one)
            for one in self._desk.orders()
            if one.spec is not None and one.number != number and one.state in IN_THE_YARD
        }

    def taught(self, reads: Reads) -> Correction:
        """What the tickets so far have taught.

        Args:
            reads: A steady view.
        """
        rows = reads.find(r.Ticket, newest=True, limit=_TICKETS)
        cleared = {row.explains for row in rows if row.explains is not None}
        return taught_by(
            [row.facts for row in rows if "finding" in row.facts and row.explains is None and row.id not in cleared],
            self.dock,
        )  # fmt: skip

    def tickets(self, reads: Reads, number: str) -> tuple[tuple[r.Ticket, WeighTicket], ...]:
        """Scale tickets of an order, oldest first; those of the packed piece are not among them.

        Args:
            reads: A steady view.
            number: Order number.
        """
        rows = reads.find(r.Ticket, order=number)
        return tuple((row, from_kept(row.facts)) for row in rows if "finding" in row.facts)

    def ticket(self, number: str) -> WeighTicket:
        """The last ticket of an order.

        Args:
            number: Order number.

        Raises:
            NotFoundError: It has not been on the scale.
        """
        with self._desk.book.reading() as reads:
            found = self.tickets(reads, number)
        if not found:
            raise NotFoundError("it has not been on the scale", value=number, way_out="Weigh it first.")
        return found[-1][1]

    # Loads --------------------------------------------------------------------------------------------------------

    def load(self, number: str) -> Load:
        """All that is known of a load.

        Args:
            number: Order number.

        Raises:
            RefusedError: Spares, which are packed and counted only.
        """
        order = self.order(number)
        build = self.build(order)
        with self._desk.book.reading() as reads:
            row = reads.get(r.Order, number)
            more = more_of(row.more)
            tickets = self.tickets(reads, number)
            gates = self._gates(reads, row)
        dock = self.dock
        weighed = tickets[-1][1].weighed.found if tickets and tickets[-1][1].verdict != "stopped" else None
        bare = weighed if weighed is not None else predicted(build)
        piece = stated_of(more) or packed(build, dock, mass=bare)
        return Load(
            number=number, name=build.name, customer=order.customer, carrier=order.carrier, serial=more.serial,
            state=row.state, promise=row.promise, bare=bare, weighed=weighed is not None, piece=piece,
            by=freight_class(piece, dock.freight), travel=travel(build, dock),
            lift=lifting(build, dock, mass=bare), rows=packing_list(build, serial=more.serial),
            cure=self.cure(more), gates=gates, freight="crate" in build.spec.extras,
        )  # fmt: skip

    def gates(self, number: str) -> tuple[Finding, ...]:
        """What an order needs before it is loaded, whatever it is for.

        Args:
            number: Order number.
        """
        with self._desk.book.reading() as reads:
            return self._gates(reads, reads.get(r.Order, number))

    def _gates(self, reads: Reads, row: r.Order) -> tuple[Finding, ...]:
        if row.state == "loaded":
            return ()
        now = self._desk.now
        standing = order_file.standing_of(reads, row.number, rulebook=self._desk.rulebook, now=now)
        step = next_step(standing, now.date())
        found = step.gates if step is not None else ()
        if step is not None and step.to != "loaded":
            # What comes before is shown with it, so that nobody is sent back twice.
            later = next_step(replace(standing, state="weighed"), now.date())
            titles = {gate.title for gate in found}
            found += tuple(gate for gate in (later.gates if later else ()) if gate.title not in titles)
        return found

    def cure(self, more: More) -> Finding:
        """Whether the paint may be strapped, and from when.

        Args:
            more: What is kept of the order.
        """
        with self._desk.book.reading() as reads:
            cure = cure_now(reads, self._desk.rulebook)
        return strapping(more.painted, cure.strap, self._desk.now, temperature=cure.temperature, source=cure.source)

    def rows(self, number: str) -> tuple[PackingRow, ...]:
        """What is ticked when an order leaves.

        Args:
            number: Order number.
        """
        order = self.order(number)
        if order.kind == "spares":
            return tuple(PackingRow(count=1, name=name, where="loose") for name in order.spares)
        with self._desk.book.reading() as reads:
            serial = more_of(reads.get(r.Order, number).more).serial
        return packing_list(self.build(order), serial=serial)

    def lading(self, number: str) -> Mapping[str, str]:
        """Who gets it, where, and who pays the freight.

        Args:
            number: Order number.
        """
        with self._desk.book.reading() as reads:
            row = reads.get(r.Order, number)
            customer = reads.look(r.Customer, row.customer)
        address = f"{customer.name}\n{customer.address}" if customer is not None and customer.address else ""
        return {"ship_to": address, "terms": "not said", **more_of(row.more).rest.get("lading", {})}

    def attachments(self, number: str) -> tuple[r.Attachment, ...]:
        """Photos and scans kept with an order.

        Args:
            number: Order number.
        """
        with self._desk.book.reading() as reads:
            return tuple(one for one in reads.attached(order_file.ABOUT, number) if one.file is not None)

    def file(self, digest: str) -> tuple[r.KeptFile, bytes]:
        """A photo or scan.

        Args:
            digest: As the records name it.
        """
        with self._desk.book.reading() as reads:
            kept = reads.get(r.KeptFile, digest)
        return kept, self._desk.book.filing.read(digest)


def stated_of(more: More) -> Packed | None:
    """Size and mass taken on the packed piece, or None.

    Args:
        more: What is kept of the order.
    """
    kept: Mapping[str, Any] | None = more.rest.get("packed")
    if not kept:
        return None
    return Packed(length=kept["length_m"], depth=kept["depth_m"], height=kept["height_m"], mass=kept["mass_kg"],
                  crated=kept["crated"], stated=True)  # fmt: skip
