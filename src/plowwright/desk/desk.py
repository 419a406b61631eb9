"""What people do at the desk, in the shop's words: work a blade out, compare, audit, write papers."""

from __future__ import annotations

import os
from collections import OrderedDict
from collections.abc import Callable, Sequence
from datetime import datetime
from functools import cached_property
from pathlib import Path
from threading import Lock
from typing import Literal

from plowwright import rulebook as rulebook_files
from plowwright.blade import spec as specs
from plowwright.blade.build import Build
from plowwright.blade.differ import Difference, differ
from plowwright.blade.spec import Spec
from plowwright.desk import orders as order_files
from plowwright.desk import rack as racks
from plowwright.desk.counter import Counter
from plowwright.desk.cutting import CuttingDesk
from plowwright.desk.fit import FitDesk
from plowwright.desk.nesting import NestingDesk
from plowwright.desk.orders import Order, Wall
from plowwright.desk.rack import Rack
from plowwright.desk.strength import FOLDER, Strength
from plowwright.errors import NotFoundError
from plowwright.findings import Finding
from plowwright.papers import sheets
from plowwright.papers.sheets import Written
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.worked import Worked, work_out

KEPT = 64
"""How many worked-out blades are kept at hand."""


class Desk:
    """One shop's rulebook and orders, read once.

    Attributes:
        rulebook: The rules in force.
        wall: The open orders, or None where no file of them is given.
        strength: What holds on which carrier; carriers are files in a folder beside the orders.
    """

    def __init__(self, rulebook_dir: Path | str, orders_file: Path | str | None = None) -> None:
        self.rulebook: Rulebook = rulebook_files.load(rulebook_dir)
        self.wall: Wall | None = order_files.load(Path(orders_file)) if orders_file else None
        self.strength = Strength(self.rulebook, Path(orders_file or rulebook_dir).parent / FOLDER)
        self._folder = Path(orders_file or rulebook_dir).parent
        self._worked: OrderedDict[Spec, Worked] = OrderedDict()
        # The pages ask from several threads at once.
        self._lock = Lock()

    @classmethod
    def demo(cls) -> Desk:
        """The desk of the invented shop.

        Raises:
            NotFoundError: The demo's folder is not beside the program.
        """
        return cls(demo_folder() / "rulebook", demo_folder() / "orders.toml")

    @property
    def now(self) -> datetime:
        """The shop's clock: the demo's own, else this machine's."""
        return self.wall.now if self.wall else datetime.now()

    def orders(self) -> tuple[Order, ...]:
        """All open orders."""
        return self.wall.orders if self.wall else ()

    def order(self, number: str) -> Order:
        """The order with this number; NotFoundError names near ones."""
        if self.wall is None:
            raise NotFoundError("no orders are open here", value=number, way_out="Give a spec file, or use --demo.")
        return self.wall.order(number)

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
        """A blade worked out, kept at hand for the next time it is asked for."""
        with self._lock:
            if spec in self._worked:
                self._worked.move_to_end(spec)
                return self._worked[spec]
        found = work_out(spec, self.rulebook, level=0)
        with self._lock:
            self._worked[spec] = found
            if len(self._worked) > KEPT:
                self._worked.popitem(last=False)
        return found

    def differ(self, blades: Sequence[Worked], *, system: Literal["us", "metric"] = "us") -> Difference:
        """Only what differs between two or more worked-out blades."""
        return differ([w.build for w in blades], [w.price for w in blades], system=system)

    @cached_property
    def rack(self) -> Rack:
        """What lies there, by rack.toml beside the orders; nothing where there is no such file.

        Raises:
            EntryError: The file cannot be read.
        """
        file = self._folder / racks.FILE
        stocks = {**self.rulebook.sections, **self.rulebook.plates, **self.rulebook.bought}
        return racks.load(file, stocks) if file.is_file() else racks.EMPTY

    @cached_property
    def fit(self) -> FitDesk:
        """Which blades suit a caller's machine."""
        return FitDesk(self.rulebook)

    @cached_property
    def counter(self) -> Counter:
        """What goes short by when, a spare sold over the counter, a blade found by scraps, a blade on the scale."""
        return Counter(self.rulebook, self.orders(), self.rack, self._build_of, self.now.date(), self._folder)

    @cached_property
    def cutting(self) -> CuttingDesk:
        """The steel of the open orders, with what lies in the rack."""
        return CuttingDesk(self.rulebook, self.orders(), self.rack, self._build_of, self.now.date())

    @cached_property
    def nesting(self) -> NestingDesk:
        """The plate of the open orders, with what lies behind the table."""
        return NestingDesk(self.rulebook, self.cutting, self.rack, self._build_of, self.now.date())

    def _build_of(self, order: Order) -> Build:
        return self.worked(self.spec_of(order.number)[0]).build

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
            solids=solids, progress=progress,
        )  # fmt: skip


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
