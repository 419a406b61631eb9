"""Opening a shop's records: empty ones, or those of the invented shop filled from its files."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Final

from plowwright.blade import carriers as carrier_files
from plowwright.blade.build import Build
from plowwright.blade.build import work_out as work_out_build
from plowwright.desk import orders as order_files
from plowwright.desk import past, serials
from plowwright.desk import rack as racks
from plowwright.desk.books import PAST, past_of_file
from plowwright.desk.desk import Desk, demo_folder
from plowwright.desk.order_more import CHAIN, Done, More, UnderWay
from plowwright.desk.order_prices import Offer, blade_offer, refit_offer, spares_offer
from plowwright.desk.orders import Order
from plowwright.errors import EntryError
from plowwright.rulebook import load
from plowwright.rulebook.reading import Rulebook
from plowwright.shop import service
from plowwright.shop.crew_jobs import STATES
from plowwright.shop.service_marks import marks_of
from plowwright.shop.stock_edges import blank_item
from plowwright.shop.stock_items import remnant_item, sheet_item, sheet_remnant_item, stick_item
from plowwright.store import as_built
from plowwright.store import records as r
from plowwright.store.commands import Command
from plowwright.store.workbook import Workbook

COMMAND: Final = "open the records"
"""The first command of the invented shop's records; it keeps the clock they began at."""
WHO: Final = "the demo"
_REASON: Final = "there when the records began"


def open_records(where: str | Path, *, files: Path | None = None, make: bool = True) -> Workbook:
    """Open a shop's records; those of the invented shop go on from the moment its wall was written.

    Args:
        where: A folder, or the address of a PostgreSQL.
        files: Folder of photos and papers, beside a PostgreSQL.
        make: Whether to make records where there are none.

    Raises:
        NotFoundError: There are none, and none are to be made.
        StoreError: They cannot be read.
    """
    book = Workbook.open(where, files=files, make=make)
    with book.reading() as reads:
        first = reads.event_of(COMMAND)
    if first is not None and first.asked.get("clock"):
        behind = datetime.fromisoformat(first.asked["opened"]) - datetime.fromisoformat(first.asked["clock"])
        book.keep_time_by(lambda: datetime.now() - behind)
    return book


def open_demo(
    where: str | Path, *, files: Path | None = None, clock: Callable[[], datetime] | None = None,
    progress: Callable[[str], None] | None = None,
) -> Desk:  # fmt: skip
    """The desk of the invented shop with records of its own, filled from its files where they are new.

    Args:
        where: A folder, or the address of a PostgreSQL.
        files: Folder of photos and papers, beside a PostgreSQL.
        clock: Another clock than the demo's, which runs on from Wednesday 11 November 2026, 08:00.
        progress: Told what is being filled in.
    """
    folder = demo_folder()
    rulebook = load(folder / "rulebook")
    book = open_records(where, files=files)
    fill(book, folder, rulebook, progress=progress or _quiet, own_clock=True)
    if clock is not None:
        book.keep_time_by(clock)
    return Desk(folder / "rulebook", records=book)


def fill(
    book: Workbook, folder: Path, rulebook: Rulebook, *, progress: Callable[[str], None], own_clock: bool = False,
    who: str = WHO,
) -> dict[str, int]:  # fmt: skip
    """Fill empty records from a shop's files; what was filled before is left alone.

    Args:
        book: The records.
        folder: Folder of orders.toml, rack.toml, serials-past.toml, serials and carriers.
        rulebook: The rules in force.
        progress: Told what is being filled in.
        own_clock: Whether the records go on from the moment of orders.toml, as those of the invented shop do.
        who: Who does it.

    Returns:
        How many orders, items of the rack and past blades were written; all 0 where they were filled before.

    Raises:
        NotFoundError: There is no orders.toml.
        EntryError: Something in a file cannot be read, or the records are not empty.
    """
    wall = order_files.load(folder / "orders.toml")
    with book.reading() as reads:
        if reads.event_of(COMMAND) is not None:
            return {"orders": 0, "items": 0, "blades": 0}
        if reads.events(limit=1):
            raise EntryError("these records are in use, so they are not filled from files", value=str(book.folder),
                             way_out="Bring lists in with the command import.")  # fmt: skip
    real = datetime.now().replace(microsecond=0)
    told: dict[str, str] = {"shop": rulebook.shop.name}
    if own_clock:
        told |= {"clock": wall.now.isoformat(), "opened": real.isoformat()}
        book.keep_time_by(lambda: wall.now)
    with book.command(COMMAND, who=who, key=COMMAND, asked=told) as c:
        filling = _Filling(c, folder, rulebook, wall.now)
        progress("machines and rack")
        filling.machines()
        filling.rack()
        for one in past_of_file(folder / PAST).values():
            progress(f"blade {one.serial}")
            filling.past(one)
        for file in sorted((folder / serials.FOLDER).glob("*.toml")):
            filling.serial(serials.read(file.read_text(encoding="utf-8"), file.name))
        for order in wall.orders:
            progress(f"order {order.number}")
            filling.order(order)
        counts = {"orders": len(wall.orders), "items": filling.items, "blades": filling.blades}
        c.answer({"said": f"the records of {rulebook.shop.name} are open", **counts})
    if own_clock:
        behind = real - wall.now
        book.keep_time_by(lambda: datetime.now() - behind)
    return counts


class _Filling:
    """Writes one shop's files into its records."""

    def __init__(self, c: Command, folder: Path, rulebook: Rulebook, now: datetime) -> None:
        self.c, self.folder, self.rulebook, self.now = c, folder, rulebook, now
        self.desk = Desk(rulebook.folder, folder / "orders.toml")
        self.people: dict[str, int] = {}
        self.carriers: dict[str, int] = {}
        self.read: dict[Path, Rulebook] = {rulebook.folder: rulebook}
        self.items = self.blades = 0

    def person(self, name: str, phone: str = "") -> int | None:
        """A customer by his name, written once."""
        if not name:
            return None
        if name not in self.people:
            self.people[name] = self.c.add(r.Customer, name=name, phone=phone).id
        return self.people[name]

    def machines(self) -> None:
        """Every known carrier, with its facts as told, measured or read."""
        for key, carrier in carrier_files.load_all(self.folder / "carriers").items():
            row = self.c.add(r.CarrierFacts, name=key.upper(), kind=carrier.kind,
                             facts=[fact.as_dict() for fact in carrier.facts])  # fmt: skip
            self.carriers[key.upper()] = row.id

    def rack(self) -> None:
        """Count lines for what lies there, arrivals for what is on its way."""
        file = self.folder / racks.FILE
        stocks = {**self.rulebook.sections, **self.rulebook.plates, **self.rulebook.bought}
        rack = racks.load(file, stocks) if file.is_file() else racks.EMPTY
        named = [(stick_item(s.stock, s.length), s) for s in rack.sticks]
        named += [(remnant_item(s.stock, s.length), s) for s in rack.remnants]
        named += [(sheet_item(s.stock, s.length, s.width), s) for s in rack.sheets]
        named += [(sheet_remnant_item(s.stock, s.length, s.width), s) for s in rack.sheet_remnants]
        named += [(blank_item(s.stock, s.length), s) for s in rack.blanks]
        named += [(s.stock, s) for s in rack.bought]
        self.items = len(named)
        for item, one in named:
            facts = {"length_m": one.length, "width_m": one.width, "book": one.book} if one.tag else {}
            if one.count:
                self.c.line(kind="count", item=item, count=one.count, lot=one.tag, day=self.now.date(),
                            reason=_REASON, facts=facts)  # fmt: skip
            for day, count in one.arriving.items():
                self.c.add(r.Arrival, item=item, count=count, due=day, state="expected")

    def past(self, one: past.Past) -> None:
        """A blade of the list, by the rules of its day, with its chapters."""
        build = past.built(one, self.rulebook, self.read)
        self._blade(
            build, one.serial, one.built, customer=one.customer, carrier=one.machine, colour=one.colour,
            phone=one.phone_ends, note=one.note, chapters=one.life.chapters,
        )  # fmt: skip

    def serial(self, record: serials.Record) -> None:
        """A blade with a file of its own; what is known of it becomes notes."""
        rules = load(self.rulebook.folder, on=record.rules) if record.rules else self.rulebook
        build = work_out_build(record.spec, rules, level=0)
        life = service.write(service.Life(serial=record.serial), "as-built", f"built for {record.customer}",
                             day=record.built or rules.version.date, facts={"owner": record.customer})  # fmt: skip
        for known in record.known:
            life = service.write(life, "note", f"{known.what}: {known.said} ({known.source})", day=known.on)
        self._blade(build, record.serial, record.built or rules.version.date, customer=record.customer,
                    carrier=record.carrier, note=record.note, chapters=life.chapters)  # fmt: skip

    def _blade(
        self, build: Build, serial: str, built: date, *, customer: str, carrier: str, note: str,
        chapters: tuple[service.Chapter, ...], colour: str = "", phone: str = "",
    ) -> None:  # fmt: skip
        self.blades += 1
        kept = as_built.keep(self.c, build)
        marks = marks_of(build, serial=serial, built=built, colour=colour or build.rulebook.shop.body_colour,
                         phone=phone, owner=customer)  # fmt: skip
        self.c.add(
            r.Blade, serial=serial, build=kept.id, customer=self.person(customer, phone),
            carrier=self.carriers.get(carrier.upper()), built=built, marks=marks.as_dict(), note=note,
        )  # fmt: skip
        for chapter in chapters:
            as_built.write_chapter(self.c, serial, replace(chapter, replaces=None),
                                   build=kept.id if chapter.kind == "as-built" else None)  # fmt: skip

    def order(self, order: Order) -> None:
        """An order of the wall, as far as it is, with its frozen build and its deposit."""
        offer = self._offer(order)
        kept = as_built.keep(self.c, offer.build) if offer.build else None
        quoted = order.state == "quote only"
        quote = self._quote(order, offer, kept)
        due = order.due if isinstance(order.due, datetime) else datetime.combine(order.due, time())
        more = self._more(order)
        released = bool(more.work or more.under_way)
        self.c.add(
            r.Order, number=order.number, kind=order.kind, customer=self.person(order.customer),
            carrier=self.carriers.get(order.carrier.upper()), build=kept.id if kept else None,
            quote=quote.id, cents=offer.cents, deposit_cents=offer.deposit_cents,
            state="quote" if quoted else "released" if released else "order",
            promise=None if quoted else due, wished=due if quoted else None,
            hold=order.note if order.state == "on hold" else "", note="" if order.state == "on hold" else order.note,
            more=more.as_dict(),
        )  # fmt: skip
        if released and offer.deposit_cents:
            self.c.add(r.Money, order=order.number, kind="deposit", cents=offer.deposit_cents,
                       day=self.now.date() - timedelta(days=14), note=_REASON)  # fmt: skip

    def _offer(self, order: Order) -> Offer:
        if order.spec is not None:
            return blade_offer(self.desk, replace(order.spec, number="", customer="", note=""))
        if order.kind == "refit":
            return refit_offer(self.desk, order.serial, order.carrier)
        return spares_offer(self.rulebook, order.spares, order.serial)

    def _quote(self, order: Order, offer: Offer, kept: r.KeptBuild | None) -> r.Quote:
        # An order on the wall was quoted before it was ordered; a quote that is still one, on the day of the wall.
        day = self.now.date() if order.state == "quote only" else self.now.date() - timedelta(days=21)
        return self.c.add(
            r.Quote, customer=self.person(order.customer), build=kept.id if kept else None,
            lines=[line.as_dict() for line in offer.lines], cents=offer.cents, day=day,
            valid_until=day + timedelta(days=offer.valid_days),
        )  # fmt: skip

    def _more(self, order: Order) -> More:
        more = More(serial=order.serial, spares=order.spares, waits=order.waits, asks=order.asks,
                    taken=order.state == "painted")  # fmt: skip
        state = "cut" if order.state == "welding" else order.state
        yesterday = datetime.combine(self.now.date() - timedelta(days=1), time(15))
        ended = yesterday if state == "painted" else self.now - timedelta(days=2)
        work = {name: Done(ended=ended) for name in CHAIN[: STATES.get(state, 0)]}
        under = (UnderWay(operation="fit_and_weld", by="D.V.", begun=self.now - timedelta(days=1), left=3 * 3600.0),)
        return replace(more, work=work, under_way=under if order.state == "welding" else ())


def _quiet(_said: str) -> None:
    return

