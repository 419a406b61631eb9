"""What can be asked of the records; the same questions stand open to a page and to a command."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, TypeVar, cast

from sqlalchemy import ColumnElement, Connection, Select, Table, func, select

from plowwright.errors import EntryError, NotFoundError
from plowwright.store import records as r
from plowwright.store import statements as st
from plowwright.store import tables as t

R = TypeVar("R")


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """How an item stands: pieces on hand, reserved, and on the way."""

    item: str
    on_hand: int
    reserved: int
    arriving: int


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderFile:
    """All that is on file of one order."""

    order: r.Order
    customer: r.Customer | None
    carrier: r.CarrierFacts | None
    build: r.KeptBuild | None
    quote: r.Quote | None
    changes: tuple[r.Change, ...]
    money: tuple[r.Money, ...]
    lines: tuple[r.Line, ...]
    reservations: tuple[r.Reservation, ...]
    hours: tuple[r.Hours, ...]
    tickets: tuple[r.Ticket, ...]
    blades: tuple[r.Blade, ...]
    attachments: tuple[r.Attachment, ...]
    events: tuple[r.Event, ...]

    @property
    def paid_cents(self) -> int:
        """What was paid so far, in cents."""
        return sum(line.cents for line in self.money)


@dataclass(frozen=True, slots=True, kw_only=True)
class LifeRecord:
    """All that ever happened to one serial number."""

    blade: r.Blade
    customer: r.Customer | None
    carrier: r.CarrierFacts | None
    build: r.KeptBuild | None
    rulebook: r.KeptRulebook | None
    chapters: tuple[r.Chapter, ...]
    fitted: tuple[r.Fitted, ...]
    tickets: tuple[r.Ticket, ...]
    attachments: tuple[r.Attachment, ...]
    events: tuple[r.Event, ...]


class Reads:
    """Questions, all answered from one steady view of the records."""

    def __init__(self, connection: Connection) -> None:
        self._link = connection

    @property
    def connection(self) -> Connection:
        """The open transaction."""
        return self._link

    # Any record ---------------------------------------------------------------------------------------------------

    def get(self, kind: type[R], key: int | str) -> R:
        """The record with this number.

        Args:
            kind: Its class, as `Order`.
            key: Its number, serial, digest or fingerprint.

        Raises:
            NotFoundError: There is none.
        """
        found = self.look(kind, key)
        if found is None:
            raise NotFoundError(
                f"not on file: {r.TABLES[kind].rstrip('s')}", value=str(key), way_out="Look at the number again."
            )
        return found

    def look(self, kind: type[R], key: int | str | None) -> R | None:
        """The record with this number, or None where there is none.

        Args:
            kind: Its class.
            key: Its number; None finds nothing.
        """
        if key is None:
            return None
        row = self.connection.execute(st.one(r.TABLES[kind]), {st.KEY: key}).mappings().one_or_none()
        return kind(**row) if row is not None else None

    def find(
        self, kind: type[R], /, *, newest: bool = False, limit: int | None = None, skip: int = 0, **equal: Any
    ) -> tuple[R, ...]:
        """All records whose fields are as given, by number.

        Args:
            kind: Their class.
            newest: Whether the last written come first.
            limit: The most that are wanted.
            skip: How many to leave out at the start.
            equal: Field and value; a tuple or list of values means any of them.

        Raises:
            EntryError: There is no such field.
        """
        table = table_of(kind)
        query = select(table).where(*(_equal(table, name, value) for name, value in equal.items()))
        keys = list(table.primary_key.columns)
        query = query.order_by(*(key.desc() if newest else key for key in keys))
        return self._all(kind, query.limit(limit).offset(skip or None))

    def count(self, kind: type[Any], /, **equal: Any) -> int:
        """How many records have these fields.

        Args:
            kind: Their class.
            equal: Field and value, as in `find`.
        """
        table = table_of(kind)
        query = select(func.count()).select_from(table)
        return int(self.connection.execute(query.where(*(_equal(table, n, v) for n, v in equal.items()))).scalar_one())

    # Orders -------------------------------------------------------------------------------------------------------

    def wall(self, states: Sequence[str], *, limit: int = 200) -> tuple[r.Order, ...]:
        """Orders in these states, the next promise first, those without one at the end.

        Args:
            states: As `("order", "released")`.
            limit: The most that are wanted.
        """
        query = select(t.orders).where(t.orders.c.state.in_(states))
        late = t.orders.c.promise.is_(None)
        return self._all(r.Order, query.order_by(late, t.orders.c.promise, t.orders.c.number).limit(limit))

    def numbers(self) -> tuple[str, ...]:
        """Every order number that was ever given."""
        return tuple(self.connection.execute(select(t.orders.c.number).order_by(t.orders.c.number)).scalars())

    def order_file(self, number: str) -> OrderFile:
        """All that is on file of an order.

        Args:
            number: With its check letter.

        Raises:
            NotFoundError: There is none.
        """
        order = self.get(r.Order, number)
        return OrderFile(
            order=order,
            customer=self.look(r.Customer, order.customer),
            carrier=self.look(r.CarrierFacts, order.carrier),
            build=self.look(r.KeptBuild, order.build),
            quote=self.look(r.Quote, order.quote),
            changes=self.find(r.Change, order=number),
            money=self.find(r.Money, order=number),
            lines=self.find(r.Line, order=number),
            reservations=self.find(r.Reservation, order=number),
            hours=self.find(r.Hours, order=number),
            tickets=self.find(r.Ticket, order=number),
            blades=self.find(r.Blade, order=number),
            attachments=self.attached("orders", number),
            events=self.history("orders", number),
        )

    def customers_like(self, text: str, *, limit: int = 20) -> tuple[r.Customer, ...]:
        """Customers with this in their name or at the end of their phone number.

        Args:
            text: A part of the name, or the last figures.
            limit: The most that are wanted.
        """
        sought = text.strip().lower().replace("!", "!!").replace("%", "!%").replace("_", "!_")
        table = t.customers
        hit = func.lower(table.c.name).like(f"%{sought}%", escape="!") | table.c.phone.like(f"%{sought}", escape="!")
        return self._all(r.Customer, select(table).where(hit).order_by(table.c.name, table.c.id).limit(limit))

    def serials(self) -> tuple[str, ...]:
        """Every serial number on file."""
        return tuple(self.connection.execute(select(t.blades.c.serial).order_by(t.blades.c.serial)).scalars())

    # Stock --------------------------------------------------------------------------------------------------------

    def balances(self, items: Sequence[str] | None = None) -> tuple[Balance, ...]:
        """How items stand, by name.

        Args:
            items: Which; all that were ever in stock, reserved or ordered when left out.
        """
        sums: dict[str, list[int]] = {}
        coming = select(t.arrivals.c.item, func.sum(t.arrivals.c.count)).where(t.arrivals.c.state == "expected")
        queries: tuple[tuple[Any, Any], ...] = (
            (select(t.stock.c.item, func.sum(t.stock.c.on_hand)), t.stock.c.item),
            (select(t.reservations.c.item, func.sum(t.reservations.c.count)), t.reservations.c.item),
            (coming, t.arrivals.c.item),
        )
        for at, (query, item) in enumerate(queries):
            wanted = query.group_by(item) if items is None else query.where(item.in_(items)).group_by(item)
            for name, count in self.connection.execute(wanted):
                sums.setdefault(name, [0, 0, 0])[at] = int(count)
        for name in items or ():
            sums.setdefault(name, [0, 0, 0])
        return tuple(
            Balance(item=name, on_hand=hand, reserved=held, arriving=coming_in)
            for name, (hand, held, coming_in) in sorted(sums.items())
        )

    def lying(self) -> tuple[r.OnHand, ...]:
        """What really lies there, lot by lot; lots that are used up are left out."""
        table = t.stock
        return self._all(r.OnHand, select(table).where(table.c.on_hand > 0).order_by(table.c.item, table.c.lot))

    def balance(self, item: str) -> Balance:
        """How one item stands.

        Args:
            item: As the ledger calls it.
        """
        return self.balances([item])[0]

    def lines(self, item: str, *, limit: int = 50, before: int | None = None) -> tuple[r.Line, ...]:
        """The last lines of an item, newest first.

        Args:
            item: As the ledger calls it.
            limit: The most that are wanted.
            before: Only lines older than this one, to turn the page.
        """
        query = select(t.ledger).where(t.ledger.c.item == item)
        if before is not None:
            query = query.where(t.ledger.c.id < before)
        return self._all(r.Line, query.order_by(t.ledger.c.id.desc()).limit(limit))

    def reserved(self, item: str | None = None, *, until: date | None = None) -> tuple[r.Reservation, ...]:
        """Open reservations, the earliest first.

        Args:
            item: Of one item only.
            until: Only those needed by this day.
        """
        table = t.reservations
        query = select(table) if item is None else select(table).where(table.c.item == item)
        if until is not None:
            query = query.where(table.c.needed <= until)
        return self._all(r.Reservation, query.order_by(table.c.needed, table.c.item, table.c.order))

    def arriving(self, item: str | None = None) -> tuple[r.Arrival, ...]:
        """What is on its way, the earliest first.

        Args:
            item: Of one item only.
        """
        query = select(t.arrivals).where(t.arrivals.c.state == "expected")
        if item is not None:
            query = query.where(t.arrivals.c.item == item)
        return self._all(r.Arrival, query.order_by(t.arrivals.c.due, t.arrivals.c.id))

    # Blades -------------------------------------------------------------------------------------------------------

    def life(self, serial: str) -> LifeRecord:
        """The life record of a blade.

        Args:
            serial: As stamped.

        Raises:
            NotFoundError: There is none.
        """
        blade = self.get(r.Blade, serial)
        build = self.look(r.KeptBuild, blade.build)
        # It is weighed before its life record begins; those tickets name its order only.
        first = self.find(r.Ticket, order=blade.order) if blade.order is not None else ()
        tickets = (*(one for one in first if one.serial is None), *self.find(r.Ticket, serial=serial))
        return LifeRecord(
            blade=blade,
            customer=self.look(r.Customer, blade.customer),
            carrier=self.look(r.CarrierFacts, blade.carrier),
            build=build,
            rulebook=self.look(r.KeptRulebook, build.rulebook) if build else None,
            chapters=self.find(r.Chapter, serial=serial),
            fitted=self.find(r.Fitted, serial=serial),
            tickets=tickets,
            attachments=self.attached("blades", serial),
            events=self.history("blades", serial),
        )

    def recall(self, item: str, lot: str) -> tuple[r.Fitted, ...]:
        """Where the parts of a lot went.

        Args:
            item: The part.
            lot: Its lot.
        """
        return self.find(r.Fitted, item=item, lot=lot)

    # Plans, events, notes -----------------------------------------------------------------------------------------

    def last_plan(self, kind: str, *, state: str | None = None) -> r.Plan | None:
        """The newest plan of a kind, or None.

        Args:
            kind: As "cut" or "crew".
            state: Only of this state, as "released".
        """
        wanted: dict[str, Any] = {"kind": kind} if state is None else {"kind": kind, "state": state}
        found = self.find(r.Plan, newest=True, limit=1, **wanted)
        return found[0] if found else None

    def events(self, *, limit: int = 50, before: int | None = None) -> tuple[r.Event, ...]:
        """The last events, newest first.

        Args:
            limit: The most that are wanted.
            before: Only those before this number, to turn the page.
        """
        query = select(t.events)
        if before is not None:
            query = query.where(t.events.c.number < before)
        return self._all(r.Event, query.order_by(t.events.c.number.desc()).limit(limit))

    def event_of(self, key: str) -> r.Event | None:
        """The event with this idempotency key, or None.

        Args:
            key: As the command gave it.
        """
        rows = self._all(r.Event, select(t.events).where(t.events.c.key == key))
        return rows[0] if rows else None

    def history(self, table: str, key: int | str) -> tuple[r.Event, ...]:
        """Every event that wrote or changed a row that may change, oldest first.

        Args:
            table: As "orders".
            key: Its number there.
        """
        numbers = select(t.touched.c.event).where(t.touched.c.kind == table, t.touched.c.key == str(key))
        return self._all(r.Event, select(t.events).where(t.events.c.number.in_(numbers)).order_by(t.events.c.number))

    def last_touch(self, table: str) -> int:
        """Number of the last event that wrote or changed a row of a table, 0 where none did.

        Args:
            table: As "blades".
        """
        query = select(func.coalesce(func.max(t.touched.c.event), 0)).where(t.touched.c.kind == table)
        return int(self.connection.execute(query).scalar_one())

    def attached(self, about: str, key: int | str) -> tuple[r.Attachment, ...]:
        """Notes and photos about a row, oldest first.

        Args:
            about: Its table, as "orders".
            key: Its number there.
        """
        return self.find(r.Attachment, about=about, key=str(key))

    def _all(self, kind: type[R], query: Select[Any]) -> tuple[R, ...]:
        return tuple(kind(**row) for row in self.connection.execute(query).mappings())


def table_of(kind: type[Any]) -> Table:
    """The table a record is a row of.

    Args:
        kind: Its class.
    """
    return t.metadata.tables[r.TABLES[kind]]


def _equal(table: Table, name: str, value: Any) -> ColumnElement[bool]:
    if name not in table.c:
        raise EntryError(f"{table.name} have no field {name}", value=name, limit=", ".join(table.c.keys()))
    column = table.c[name]
    if isinstance(value, tuple | list | set | frozenset):
        return column.in_(list(cast("Sequence[Any]", value)))
    return column.is_(None) if value is None else column == value
