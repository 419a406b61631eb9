"""Plate at the desk: the plate and sheet parts of all open orders, laid on what there is and what can be bought."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from datetime import date

from plowwright.blade.build import Build
from plowwright.desk.cutting import CuttingDesk
from plowwright.desk.orders import Order
from plowwright.desk.rack import Rack
from plowwright.errors import NotFoundError
from plowwright.rulebook.cutting import Plates
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.nesting import plan as plan_nests
from plowwright.shop.nesting_limits import Report, Stop
from plowwright.shop.nesting_model import NestedSheet, NestPlan, Outline, RestRule, Sheet
from plowwright.shop.nesting_order import TableTime, table_time
from plowwright.shop.plate_pieces import of_orders, sheets_for, speeds
from plowwright.shop.stock_items import sheet_item


@dataclass(frozen=True, kw_only=True)
class Nests:
    """What the plate table does for some orders.

    Attributes:
        orders: Their numbers, in the order of their promises.
        outlines: Every part.
        sheets: What it may be cut from.
        plan: Which part lies where.
        on: Day it was made.
    """

    orders: tuple[str, ...]
    outlines: tuple[Outline, ...]
    sheets: tuple[Sheet, ...]
    plan: NestPlan
    on: date


class NestingDesk:
    """Plans the plate of a shop's orders.

    Args:
        rulebook: The rules in force.
        cutting: Knows which orders wait.
        rack: What lies behind the table.
        build: Works the blade of an order out.
        today: The shop's day.
    """

    def __init__(
        self, rulebook: Rulebook, cutting: CuttingDesk, rack: Rack, build: Callable[[Order], Build], today: date
    ) -> None:
        self._rulebook, self._cutting, self._rack = rulebook, cutting, rack
        self._build, self._today = build, today

    @property
    def rules(self) -> Plates:
        """How parts are laid on sheets."""
        return self._cutting.rules.plates

    @property
    def rest_rule(self) -> RestRule:
        """Which rests are kept."""
        r = self.rules
        return RestRule(
            least=r.least_remnant.value, value_share=r.value_share.value,
            handling=self._cutting.rules.remnants.handling.value,
        )  # fmt: skip

    def plan(
        self,
        numbers: Collection[str] = (),
        *,
        seconds: float | None = None,
        progress: Report | None = None,
        stop: Stop | None = None,
    ) -> Nests:
        """One nest for all of them; rolled skins are left to the roller.

        Args:
            numbers: Order numbers; none for every order whose steel is uncut.
            seconds: Time given, the rule's where left out [s].
            progress: Called now and then.
            stop: Asked now and then; True hands back the best so far.

        Raises:
            NotFoundError: A number is not open, or no order waits.
            PlanInputError: A part fits on no sheet there is.
        """
        orders = self._cutting.chosen(numbers, table=True)
        if not orders:
            raise NotFoundError("no order waits for the plate table", way_out="Name orders by their numbers.")
        builds = {o.number: self._build(o) for o in orders}
        rush = [o.number for o in orders if o.spec is not None and "rush" in o.spec.extras]
        outlines = of_orders(builds, rush, rolled=False)
        sheets = self.sheets({o.stock for o in outlines})
        r = self.rules
        found = plan_nests(
            outlines, sheets, r.gap.value, r.turns.value, r.seconds.value if seconds is None else seconds,
            edge=r.edge.value, rest_rule=self.rest_rule, progress=progress, stop=stop,
        )  # fmt: skip
        return Nests(orders=tuple(builds), outlines=outlines, sheets=sheets, plan=found, on=self._today)

    def sheets(self, stocks: Collection[str]) -> tuple[Sheet, ...]:
        """What can be cut from: bought sheets, those on hand, tagged remnants.

        Args:
            stocks: Sheets and plates wanted.
        """
        spoken = self._cutting.taken.spoken
        on_hand = {
            (s.stock, s.width, s.length): max(0, s.count - spoken.get(sheet_item(s.stock, s.length, s.width), 0))
            for s in self._rack.sheets
        }
        remnants = [
            Sheet(
                stock=r.stock, length=max(r.length, r.width), width=min(r.length, r.width), price=r.book, on_hand=1,
                buyable=False, tag=r.tag,
            )
            for r in self._rack.sheet_remnants
        ]  # fmt: skip
        return sheets_for(self._rulebook, stocks, on_hand=on_hand, remnants=remnants)

    def time_of(self, nest: NestedSheet) -> TableTime:
        """How long the table cuts a sheet, by the speeds of cutting.toml.

        Args:
            nest: The sheet.

        Raises:
            PlanInputError: The plate is thicker than the table cuts.
        """
        thickness = self._rulebook.plates[nest.sheet.stock].thickness
        return table_time(nest, thickness, speeds=speeds(self.rules))

    def bought(self, plan: NestPlan) -> Sequence[tuple[Sheet, int]]:
        """Whole sheets beyond those on hand, by kind.

        Args:
            plan: The nest.
        """
        used: dict[Sheet, int] = {}
        for nest in plan.sheets:
            used[nest.sheet] = used.get(nest.sheet, 0) + 1
        return [(s, n - s.on_hand) for s, n in used.items() if n > s.on_hand]
