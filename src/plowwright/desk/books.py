"""Where the desk reads orders, rack and past blades: the shop's records, or plain files where none are kept."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from datetime import date, datetime, time
from pathlib import Path
from typing import Final, Protocol, get_args

from plowwright.blade import spec as specs
from plowwright.desk import orders as order_files
from plowwright.desk import rack as racks
from plowwright.desk.order_more import more_of, state_in_words
from plowwright.desk.orders import Order, Wall
from plowwright.desk.rack import Lying, Rack
from plowwright.errors import EntryError
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.service_past import Past, past_from_dict
from plowwright.shop.stock_items import Item, Sort, item_of
from plowwright.store import records as r
from plowwright.store.reading import Reads
from plowwright.store.workbook import Workbook

PAST: Final = "serials-past.toml"
"""File of the blades that left before the records began."""
OPEN: Final = ("enquiry", "quote", "order", "released", "done", "weighed")
"""States of an order that is still on the wall."""
MOST: Final = 1000
"""More open orders than any such shop has [-]."""
NO_DAY: Final = date(9999, 12, 31)
"""Stands for the promise of an order that has none."""


class Books(Protocol):
    """What the desk asks."""

    def stamp(self) -> int:
        """Another number after every change."""
        ...

    def now(self) -> datetime:
        """The shop's clock."""
        ...

    def wall(self) -> Wall | None:
        """The open orders, or None where none are kept."""
        ...

    def rack(self) -> Rack:
        """What lies there."""
        ...

    def serial_of(self, number: str) -> str:
        """Serial number the blade of an order was given; "" before that."""
        ...


class FileBooks:
    """Orders and rack as files in a folder; they are read once and never written.

    Args:
        folder: Where rack.toml stands.
        orders_file: orders.toml, or None.
        rulebook: The rules in force.
    """

    def __init__(self, folder: Path, orders_file: Path | None, rulebook: Rulebook) -> None:
        self._folder, self._rulebook = folder, rulebook
        self._wall = order_files.load(orders_file) if orders_file else None

    def stamp(self) -> int:
        """Files are read once: always 0."""
        return 0

    def now(self) -> datetime:
        """The clock of orders.toml, else this machine's."""
        return self._wall.now if self._wall else datetime.now()

    def wall(self) -> Wall | None:
        """The orders of orders.toml."""
        return self._wall

    def rack(self) -> Rack:
        """What rack.toml says; nothing where there is no such file.

        Raises:
            EntryError: The file cannot be read.
        """
        file = self._folder / racks.FILE
        stocks = {**self._rulebook.sections, **self._rulebook.plates, **self._rulebook.bought}
        return racks.load(file, stocks) if file.is_file() else racks.EMPTY

    def serial_of(self, number: str) -> str:
        """Files know no serial number of an open order: always ""."""
        return ""


class RecordBooks:
    """Orders and rack as the shop's records have them.

    Args:
        book: The records.
    """

    def __init__(self, book: Workbook) -> None:
        self._book = book

    def stamp(self) -> int:
        """Number of the last event."""
        with self._book.reading() as reads:
            last = reads.events(limit=1)
        return last[0].number if last else 0

    def now(self) -> datetime:
        """The clock of the records."""
        return self._book.now()

    def wall(self) -> Wall:
        """Every order that is not loaded or cancelled, the next promise first."""
        with self._book.reading() as reads:
            return Wall(now=self._book.now(), orders=orders_of(reads))

    def rack(self) -> Rack:
        """What the ledger adds up to, and what is on its way."""
        with self._book.reading() as reads:
            return rack_of(reads)

    def serial_of(self, number: str) -> str:
        """Serial number the blade of an order was given at the scale; "" before that.

        Args:
            number: Of the order.
        """
        with self._book.reading() as reads:
            row = reads.look(r.Order, number)
        return more_of(row.more).serial if row is not None and row.kind == "blade" else ""


def orders_of(reads: Reads) -> tuple[Order, ...]:
    """The open orders, as planners and pages read them.

    Args:
        reads: A steady view.
    """
    rows = reads.wall(OPEN, limit=MOST)
    people = {c.id: c for c in reads.find(r.Customer, id=[o.customer for o in rows if o.customer is not None])}
    machines = {m.id: m for m in reads.find(r.CarrierFacts, id=[o.carrier for o in rows if o.carrier is not None])}
    builds = {b.id: b for b in reads.find(r.KeptBuild, id=[o.build for o in rows if o.build is not None])}
    return tuple(order_of(row, people, machines, builds) for row in rows)


def order_of(
    row: r.Order,
    people: Mapping[int, r.Customer],
    machines: Mapping[int, r.CarrierFacts],
    builds: Mapping[int, r.KeptBuild],
) -> Order:
    """One order, as planners and pages read it.

    Args:
        row: Its row.
        people: Customers by number.
        machines: Carriers by number.
        builds: Builds by number.
    """
    more = more_of(row.more)
    customer = people[row.customer].name if row.customer is not None else ""
    build = builds.get(row.build) if row.build is not None else None
    spec = None
    if build is not None and row.kind == "blade":
        spec = specs.from_dict(
            {**build.spec, "number": row.number, "customer": customer}, where=f"records, order {row.number}"
        )
    return Order(
        number=row.number,
        customer=customer,
        carrier=machines[row.carrier].name if row.carrier is not None else "",
        kind=row.kind,
        spec=spec,
        due=promise_of(row.promise or row.wished),
        state=state_in_words(row.state, row.kind, row.hold, more),
        note="; ".join(filter(None, (row.hold, row.note))),
        serial=more.serial if row.kind != "blade" else "",
        spares=more.spares,
        waits=more.waits,
        asks=more.asks,
        rules=build.rulebook if build is not None else "",
    )


def promise_of(moment: datetime | None) -> date | datetime:
    """A promise as it was given: a day, or a day and an hour; midnight stands for the day.

    Args:
        moment: As the records have it.
    """
    if moment is None:
        return NO_DAY
    return moment.date() if moment.time() == time() else moment


def rack_of(reads: Reads) -> Rack:
    """What lies there, from the sums of the ledger.

    Args:
        reads: A steady view.

    Raises:
        EntryError: An item's name cannot be read.
    """
    coming: dict[str, dict[date, int]] = {}
    for one in reads.arriving():
        days = coming.setdefault(one.item, {})
        days[one.due] = days.get(one.due, 0) + one.count
    there: dict[tuple[str, str], int] = {(h.item, h.lot): h.on_hand for h in reads.lying()}
    items = {name: item_of(name) for name in sorted({name for name, _ in there} | set(coming))}
    tagged = [name for name, item in items.items() if item.sort in ("remnant", "sheet remnant")]
    exact = _exact(reads, tagged)
    rows: dict[str, list[Lying]] = {sort: [] for sort in get_args(Sort)}
    for name, item in items.items():
        lots = {lot: count for (one, lot), count in there.items() if one == name}
        if name in tagged:
            rows[item.sort] += [_remnant(item, lot, exact) for lot, count in sorted(lots.items()) if count > 0]
        else:
            rows[item.sort].append(Lying(
                stock=item.stock, length=item.length, width=item.width, count=sum(lots.values()),
                arriving=coming.get(name, {}),
            ))  # fmt: skip
    return Rack(
        sticks=tuple(rows["stick"]), remnants=tuple(rows["remnant"]), sheets=tuple(rows["sheet"]),
        sheet_remnants=tuple(rows["sheet remnant"]), blanks=tuple(rows["blank"]), bought=tuple(rows["part"]),
    )  # fmt: skip


def _remnant(item: Item, tag: str, exact: Mapping[tuple[str, str], Mapping[str, float]]) -> Lying:
    facts = exact.get((item.name, tag), {})
    return Lying(
        stock=item.stock, length=facts.get("length_m", item.length), width=facts.get("width_m", item.width), count=1,
        tag=tag, book=facts.get("book", 0.0),
    )  # fmt: skip


def _exact(reads: Reads, items: Sequence[str]) -> dict[tuple[str, str], Mapping[str, float]]:
    """Length to the last place and book value of each remnant, as its line says."""
    lines = reads.find(r.Line, item=list(items), kind=["receive", "return", "count"]) if items else ()
    return {(line.item, line.lot): line.facts for line in lines if line.facts}


def past_of_file(file: Path) -> Mapping[str, Past]:
    """Blades that left before, by serial number; none where there is no list.

    Args:
        file: serials-past.toml.

    Raises:
        EntryError: The list cannot be read.
    """
    if not file.is_file():
        return {}
    try:
        entry = tomllib.loads(file.read_text(encoding="utf-8"))
    except tomllib.TOMLDecodeError as fault:
        raise EntryError("this is not TOML", where=file.name, value=str(fault)) from fault
    return {one.serial: one for one in (past_from_dict(e, where=file.name) for e in entry.get("blades", ()))}
