"""What people do at the desk, in the shop's words: work a blade out, compare, audit, write papers."""

from __future__ import annotations

import os
from collections import OrderedDict
from collections.abc import Callable, Sequence
from datetime import date, datetime
from functools import cached_property
from pathlib import Path
from tempfile import gettempdir
from threading import Lock, RLock
from typing import Literal

from plowwright import rulebook as rulebook_files
from plowwright.blade import spec as specs
from plowwright.blade.build import Build
from plowwright.blade.differ import Difference, differ
from plowwright.blade.refit import Refit
from plowwright.blade.spec import Spec
from plowwright.desk.books import Books, FileBooks, RecordBooks
from plowwright.desk.counter import Counter
from plowwright.desk.cutting import CuttingDesk
from plowwright.desk.fit import FitDesk
from plowwright.desk.nesting import NestingDesk
from plowwright.desk.orders import Order, Wall
from plowwright.desk.plan_stock import NOTHING
from plowwright.desk.plans_kept import taken_of
from plowwright.desk.rack import Rack
from plowwright.desk.stock_shelf import shelf_of_rack, shelf_of_records
from plowwright.desk.strength import FOLDER, Strength
from plowwright.errors import EntryError, ModelError, NotFoundError
from plowwright.findings import Finding
from plowwright.papers import sheets
from plowwright.papers.sheets import Written
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.worked import Worked, work_out
from plowwright.store import as_built
from plowwright.store.records import Blade, KeptBuild, KeptRulebook
from plowwright.store.workbook import Workbook

KEPT = 64
"""How many worked-out blades are kept at hand."""
RULES = "rules"
"""Folder beside the records in which older rulebooks are laid out to be read."""


class Desk:
    """One shop's rulebook, with its orders from the records or, where none are kept, from plain files.

    Attributes:
        rulebook: The rules in force.
        records: The shop's records, or None where none are open.
        folder: Where the shop's files stand, beside its rulebook.
        strength: What holds on which carrier; carriers are files in a folder beside the orders.
    """

    def __init__(
        self, rulebook_dir: Path | str, orders_file: Path | str | None = None, *, records: Workbook | None = None
    ) -> None:
        self.rulebook: Rulebook = rulebook_files.load(rulebook_dir)
        self.records = records
        self.folder = Path(orders_file).parent if orders_file else Path(rulebook_dir).parent
        self._books: Books = (
            RecordBooks(records)
            if records is not None
            else FileBooks(self.folder, Path(orders_file) if orders_file else None, self.rulebook)
        )
        beside = self.folder if records is not None or orders_file else Path(rulebook_dir)
        self.strength = Strength(self.rulebook, beside / FOLDER)
        self._worked: OrderedDict[tuple[Spec, str], Worked] = OrderedDict()
        # The pages ask from several threads at once.
        self._lock = Lock()
        self._looking = RLock()
        self._seen: _Seen | None = None
        self._old_rules: dict[str, Rulebook] = {}
        self._old_blades: dict[int, Build] = {}
        self._refits: dict[tuple[str, str, int], Refit | None] = {}

    @classmethod
    def demo(cls) -> Desk:
        """The desk of the invented shop, by its files.

        Raises:
            NotFoundError: The demo's folder is not beside the program.
        """
        return cls(demo_folder() / "rulebook", demo_folder() / "orders.toml")

    @property
    def book(self) -> Workbook:
        """The shop's records.

        Raises:
            NotFoundError: None are open here.
        """
        if self.records is None:
            raise NotFoundError(
                "no records are open here, so nothing can be written down",
                way_out="Name their folder with --records, or serve the pages with it.",
            )
        return self.records

    @property
    def seen(self) -> _Seen:
        """Orders and rack as they are now; read anew once something was written."""
        with self._looking:
            # What is needed by when is asked of a day: tomorrow it is asked anew, though nothing was written.
            stamp = (self._books.stamp(), self.now.date())
            if self._seen is None or self._seen.stamp != stamp:
                self._seen = _Seen(self, self._books, stamp)
            return self._seen

    @property
    def wall(self) -> Wall | None:
        """The open orders, or None where none are kept."""
        return self.seen.wall

    @property
    def now(self) -> datetime:
        """The shop's clock: the demo's own, else this machine's."""
        return self._books.now()

    def orders(self) -> tuple[Order, ...]:
        """All open orders."""
        wall = self.wall
        return wall.orders if wall else ()

    def order(self, number: str) -> Order:
        """The order with this number; NotFoundError names near ones."""
        wall = self.wall
        if wall is None:
            raise NotFoundError("no orders are open here", value=number, way_out="Give a spec file, or use --demo.")
        return wall.order(number)

    def spec_of(self, text: str) -> tuple[Spec, Order | None]:
        """The spec behind a file's path or an order's number.

        Args:
            text: Path of a .toml file, or an order number.

        Raises:
            NotFoundError: Neither a file nor an open order, or an order that builds no blade.
            SpecError: The file cannot be read.
        """
        if text.endswith(".toml") or os.sep in text:
            return specs.load(text), None
        order = self.order(text)
        if order.spec is None:
            raise NotFoundError(
                f"order {order.number} is for {order.kind} and builds no blade",
                value=order.number,
                way_out="Give an order that builds one, or a spec file.",
            )
        return order.spec, order

    def worked(self, spec: Spec) -> Worked:
        """A blade worked out, kept at hand for the next time it is asked for.

        The blade of an open order, just as ordered, comes by the rules it was frozen with; any other by those in force.

        Args:
            spec: What is chosen.
        """
        rules = self._rules_for(spec)
        key = (spec, rules.fingerprint)
        with self._lock:
            if key in self._worked:
                self._worked.move_to_end(key)
                return self._worked[key]
        found = work_out(spec, rules, level=0)
        with self._lock:
            self._worked[key] = found
            if len(self._worked) > KEPT:
                self._worked.popitem(last=False)
        return found

    def _rules_for(self, spec: Spec) -> Rulebook:
        if self.records is None or not spec.number:
            return self.rulebook
        frozen = next((o for o in self.orders() if o.number == spec.number and o.spec == spec), None)
        return self.rules_of(frozen.rules) if frozen is not None and frozen.rules else self.rulebook

    def differ(self, blades: Sequence[Worked], *, system: Literal["us", "metric"] = "us") -> Difference:
        """Only what differs between two or more worked-out blades."""
        return differ([w.build for w in blades], [w.price for w in blades], system=system)

    @property
    def rack(self) -> Rack:
        """What lies there; nothing where neither records nor a file say so.

        Raises:
            EntryError: The file cannot be read.
        """
        return self.seen.rack

    @cached_property
    def fit(self) -> FitDesk:
        """Which blades suit a caller's machine."""
        return FitDesk(self.rulebook)

    @property
    def counter(self) -> Counter:
        """What goes short by when, a spare sold over the counter, a blade found by scraps, a blade on the scale."""
        return self.seen.counter

    @property
    def cutting(self) -> CuttingDesk:
        """The steel of the open orders, with what lies in the rack."""
        return self.seen.cutting

    @property
    def nesting(self) -> NestingDesk:
        """The plate of the open orders, with what lies behind the table."""
        return self.seen.nesting

    def build_of(self, order: Order) -> Build:
        """The blade of an order, by the rules it was frozen with.

        Args:
            order: An order with a spec.

        Raises:
            NotFoundError: It builds no blade.
            StoreError: Its rules do not come out of the records as they were.
        """
        if order.spec is None:
            raise NotFoundError(f"order {order.number} is for {order.kind} and builds no blade", value=order.number)
        return self.worked(order.spec).build

    @property
    def closed(self) -> tuple[date, ...]:
        """Days the shop is closed, by the crew's calendar."""
        crew = self.rulebook.crew
        return tuple(crew.closed) if crew else ()

    def blade_of(self, serial: str) -> Build | None:
        """A blade of the records by the rules it was built with; None where none is kept under this number.

        Args:
            serial: As stamped.

        Raises:
            StoreError: Its rules do not come out of the records as they were.
        """
        with self.book.reading() as reads:
            row = reads.look(Blade, serial)
            kept = reads.look(KeptBuild, row.build) if row is not None else None
        if kept is None:
            return None
        if kept.id not in self._old_blades:
            self._old_blades[kept.id] = as_built.build_of(kept, self.rules_of(kept.rulebook), level=0)
        return self._old_blades[kept.id]

    def serial_of(self, number: str) -> str:
        """Serial number the blade of an order was given at the scale; "" before that, or where no records are open.

        Args:
            number: Of the order.
        """
        return self._books.serial_of(number)

    def refit_of(self, order: Order) -> Refit | None:
        """The refit of an order, kept at hand; None where its blade or its machine is not known well enough.

        Args:
            order: An order for a refit.
        """
        from plowwright.desk.life_refit import refit_of  # it is about a desk itself

        last = 0
        if self.records is not None:
            with self.records.reading() as reads:
                last = max(reads.last_touch("blades"), reads.last_touch("carriers"))
        key = (order.serial, order.carrier, last)
        if key not in self._refits:
            try:
                self._refits[key] = refit_of(self, order.serial, order.carrier, level=0).refit
            except (EntryError, NotFoundError, ModelError):
                self._refits[key] = None
        return self._refits[key]

    def rules_of(self, fingerprint: str) -> Rulebook:
        """A rulebook by its fingerprint: the one in force, or one kept in the records.

        Args:
            fingerprint: Of the rulebook.

        Raises:
            NotFoundError: No such rulebook is kept.
            StoreError: It does not come out as it was.
        """
        if fingerprint == self.rulebook.fingerprint:
            return self.rulebook
        with self._looking:
            if fingerprint not in self._old_rules:
                with self.book.reading() as reads:
                    kept = reads.get(KeptRulebook, fingerprint)
                under = (self.book.folder or Path(gettempdir())) / RULES
                self._old_rules[fingerprint] = as_built.rules_of(kept, under)
            return self._old_rules[fingerprint]

    def audit(self) -> list[Finding]:
        """Whether the rulebook makes sense."""
        return self.rulebook.audit()

    def papers(
        self,
        worked: Worked,
        folder: Path,
        *,
        system: Literal["us", "metric"] = "us",
        paper: Literal["letter", "a4"] = "letter",
        order: Order | None = None,
        solids: bool = False,
        progress: Callable[[str], None] | None = None,
    ) -> list[Written]:
        """Write every paper of a blade.

        Args:
            worked: The blade.
            folder: Where to; made if missing.
            system: Units on the papers.
            paper: Sheet size.
            order: The order it is for.
            solids: Whether STEP solids are wanted as well.
            progress: Told the name of each paper before it is written.
        """
        return sheets.write_papers(
            worked, folder, system=system, paper=paper, on=self.now.date(), number=order.number if order else "",
            serial=self.serial_of(order.number) if order else "", solids=solids, progress=progress,
        )  # fmt: skip


class _Seen:
    """Orders and rack at one moment, and what works from them.

    Args:
        desk: Works blades out.
        books: Where they are read.
        stamp: Which event, and which day.
    """

    def __init__(self, desk: Desk, books: Books, stamp: tuple[int, date]) -> None:
        self.stamp = stamp
        self._desk, self._books = desk, books
        self.wall = books.wall()

    @cached_property
    def rack(self) -> Rack:
        return self._books.rack()

    @cached_property
    def counter(self) -> Counter:
        desk = self._desk
        today, closed = desk.now.date(), desk.closed
        if desk.records is None:
            shelf, blade = shelf_of_rack(self.rack, self._orders, today=today, closed=closed), None
        else:
            with desk.records.reading() as reads:
                shelf, blade = shelf_of_records(reads, self._orders, today=today, closed=closed), desk.blade_of
        return Counter(desk.rulebook, self._orders, shelf, desk.build_of, desk.folder, blade=blade,
                       refit=desk.refit_of)  # fmt: skip

    @cached_property
    def cutting(self) -> CuttingDesk:
        desk = self._desk
        taken = NOTHING
        if desk.records is not None:
            with desk.records.reading() as reads:
                taken = taken_of(reads)
        return CuttingDesk(desk.rulebook, self._orders, self.rack, desk.build_of, desk.now.date(), taken=taken)

    @cached_property
    def nesting(self) -> NestingDesk:
        desk = self._desk
        return NestingDesk(desk.rulebook, self.cutting, self.rack, desk.build_of, desk.now.date())

    @property
    def _orders(self) -> tuple[Order, ...]:
        return self.wall.orders if self.wall else ()


def demo_folder() -> Path:
    """Folder of the invented shop: PLOWWRIGHT_DEMO, or `demo` beside the source tree.

    Raises:
        NotFoundError: Neither is there.
    """
    named = os.environ.get("PLOWWRIGHT_DEMO")
    folder = Path(named) if named else Path(__file__).resolve().parents[3] / "demo"
    if not (folder / "rulebook").is_dir():
        raise NotFoundError(
            "the demo's folder is not here",
            value=folder.name,
            way_out="Set PLOWWRIGHT_DEMO to the folder that holds it.",
        )
    return folder
