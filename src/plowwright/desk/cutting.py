"""Cutting at the desk: the steel of all open orders, from the rack and the dealer, as one plan that can be mended."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Final

from plowwright.blade.build import Build
from plowwright.blade.datum import hole_rule
from plowwright.blade.making import Maker
from plowwright.desk.orders import Order
from plowwright.desk.plan_stock import NOTHING, Taken
from plowwright.desk.rack import Rack
from plowwright.errors import NotFoundError, PlanInputError, RulebookError
from plowwright.rulebook.cutting import Cutting
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.buying import BuyLine, LengthChoice, compare_lengths, to_order, working_days_before
from plowwright.shop.cut_pieces import look_alikes, of_orders, sticks_for
from plowwright.shop.cutting import plan as plan_cuts
from plowwright.shop.cutting_model import CutPlan, Piece, RemnantRule, Report, Stick, Stop
from plowwright.shop.edge_planning import Blanks, EdgePlan, EdgeWanted, Stocking, plan_edges, stocking_curve
from plowwright.shop.replan import Replan, replan
from plowwright.shop.stock_items import stick_item
from plowwright.units import tape

UNCUT: Final = ("not started",)
"""States of an order whose steel is still to be cut."""


@dataclass(frozen=True, kw_only=True)
class Edges:
    """The edges of one bar.

    Attributes:
        bar: Section the edges are of.
        plan: Where each comes from.
    """

    bar: str
    plan: EdgePlan


@dataclass(frozen=True, kw_only=True)
class Week:
    """What the saw does for some orders.

    Attributes:
        orders: Their numbers, in the order of their promises.
        pieces: Every piece.
        sticks: What it may be cut from.
        plan: The cut plan.
        edges: Cutting edges by their bar.
        buys: Sticks to order, the most urgent first.
        alike: Sections of one outside size with another wall, kept apart.
        on: Day it was made.
        spoilt: Sticks lost in mishaps: in no plan, and not in the rack either.
    """

    orders: tuple[str, ...]
    pieces: tuple[Piece, ...]
    sticks: tuple[Stick, ...]
    plan: CutPlan
    edges: tuple[Edges, ...]
    buys: tuple[BuyLine, ...]
    alike: tuple[tuple[str, ...], ...]
    on: date
    spoilt: tuple[Stick, ...] = ()


class CuttingDesk:
    """Plans the steel of a shop's orders.

    Args:
        rulebook: The rules in force.
        orders: The open orders.
        rack: What lies there.
        build: Works the blade of an order out.
        today: The shop's day.
        taken: What released plans hold.
    """

    def __init__(
        self, rulebook: Rulebook, orders: Sequence[Order], rack: Rack, build: Callable[[Order], Build], today: date,
        *, taken: Taken = NOTHING,
    ) -> None:  # fmt: skip
        self._rulebook, self._orders, self._rack = rulebook, orders, rack
        self._build, self._today, self._taken = build, today, taken
        self._closed = tuple(rulebook.crew.closed) if rulebook.crew else ()

    @property
    def taken(self) -> Taken:
        """What released plans hold: orders in them, and what they have still to fetch."""
        return self._taken

    def mark(self, numbers: Collection[str], *, table: bool = False) -> str:
        """A mark of all a plan would be made from: another one once an order or the rack changed.

        Args:
            numbers: Order numbers; none for all that wait.
            table: Whether the plate is meant, not the steel.

        Raises:
            NotFoundError: A number is not open.
        """
        lying = (self._rack.sheets, self._rack.sheet_remnants) if table else (self._rack.sticks, self._rack.remnants)
        made_of = [(o.number, o.spec, o.due) for o in self.chosen(numbers, table=table)]
        told = repr((made_of, lying, sorted(self._taken.spoken.items())))
        return hashlib.sha256(told.encode()).hexdigest()[:12]

    @property
    def rules(self) -> Cutting:
        """How steel is cut.

        Raises:
            RulebookError: The rulebook does not say.
        """
        found = self._rulebook.cutting
        if found is None:
            raise RulebookError(
                "this rulebook does not say how steel is cut", where="cutting.toml",
                way_out="Copy the file of a newer rulebook beside shop.toml.",
            )  # fmt: skip
        return found

    @property
    def remnant_rule(self) -> RemnantRule:
        """Which drops go back to the rack."""
        r = self.rules.remnants
        return RemnantRule(
            least=self._rulebook.shop.least_remnant, value_share=r.value_share.value, handling=r.handling.value,
            places=r.places.value,
        )  # fmt: skip

    def waiting(self, *, table: bool = False) -> tuple[Order, ...]:
        """Orders whose steel is still to be cut and is in no released plan, the earliest promise first.

        Args:
            table: Whether their plate is meant, not their steel.
        """
        held = self._taken.table if table else self._taken.saw
        found = [o for o in self._orders if o.spec is not None and o.state in UNCUT and o.number not in held]
        return tuple(sorted(found, key=lambda o: (_day(o.due), o.number)))

    def chosen(self, numbers: Collection[str], *, table: bool = False) -> tuple[Order, ...]:
        """The orders meant: these numbers, or all that wait where none is given.

        Args:
            numbers: Order numbers.
            table: Whether their plate is meant, not their steel.

        Raises:
            NotFoundError: A number is not open, or builds no blade.
            PlanInputError: One is cut already, or in a released plan.
        """
        if not numbers:
            return self.waiting(table=table)
        known = {o.number: o for o in self._orders if o.spec is not None}
        wanted = [n.strip().upper() for n in numbers]
        missing = [n for n in wanted if n not in known]
        if missing:
            raise NotFoundError(
                "no open order with a blade has this number", value=", ".join(missing),
                way_out=f"Open with a blade: {', '.join(known)}.",
            )  # fmt: skip
        held = self._taken.table if table else self._taken.saw
        name = "nest" if table else "cut plan"
        taken = [f"{n} (in {name} {held[n]})" if held[n] else f"{n} (cut already)" for n in wanted if n in held]
        if taken:
            raise PlanInputError("this steel is cut by another plan", value=", ".join(taken),
                                 way_out="Plan without them, or go on with that plan.")  # fmt: skip
        return tuple(sorted((known[n] for n in dict.fromkeys(wanted)), key=lambda o: (_day(o.due), o.number)))

    def plan(
        self,
        numbers: Collection[str] = (),
        *,
        seconds: float | None = None,
        progress: Report | None = None,
        stop: Stop | None = None,
    ) -> Week:
        """One plan for all of them.

        Args:
            numbers: Order numbers; none for every order that waits for the saw.
            seconds: Time given, the rule's where left out [s].
            progress: Called now and then.
            stop: Asked now and then; True hands back the best so far.

        Raises:
            NotFoundError: A number is not open, or no order waits for the saw.
            PlanInputError: What is there cannot serve.
        """
        rules, shop = self.rules, self._rulebook.shop
        orders = self.chosen(numbers)
        if not orders:
            raise NotFoundError("no order waits for the saw", way_out="Name orders by their numbers.")
        builds = {o.number: self._build(o) for o in orders}
        rush = [o.number for o in orders if o.spec is not None and "rush" in o.spec.extras]
        pieces = of_orders(builds, rush)
        stocks = {p.stock for p in pieces}
        sticks = self.sticks(stocks)
        plan = plan_cuts(
            pieces, sticks, shop.kerf, shop.end_trim, self.remnant_rule,
            rules.saw.seconds.value if seconds is None else seconds, progress=progress, stop=stop,
        )  # fmt: skip
        before = rules.saw.ready_days.value
        days = {o.number: working_days_before(_day(o.due), before, closed=self._closed) for o in orders}
        lead = {stock: rules.buying.days(stock) for stock in stocks}
        return Week(
            orders=tuple(builds),
            pieces=pieces,
            sticks=sticks,
            plan=plan,
            edges=self.edges(builds),
            buys=to_order(plan, saw_days=days, lead_days=lead, today=self._today, closed=self._closed),
            alike=look_alikes(self._rulebook, stocks),
            on=self._today,
        )

    def sticks(self, stocks: Collection[str]) -> tuple[Stick, ...]:
        """What can be cut from: sticks of every length at their price, and the rack's remnants.

        Args:
            stocks: Sections wanted.
        """
        there = {(one.stock, one.length): one.count for one in self._rack.sticks}
        known = self._rulebook.shop.sticks
        # A stick is looked up by the length the rulebook has, not by one that differs in the last place.
        on_hand = {
            (stock, next((k for k in known if abs(k - length) < 1e-4), length)): max(
                0, count - self._taken.spoken.get(stick_item(stock, length), 0)
            )
            for (stock, length), count in there.items()
        }
        remnants = [
            Stick(stock=r.stock, length=r.length, price=r.book, on_hand=1, buyable=False, tag=r.tag, trimmed_ends=1)
            for r in self._rack.remnants
        ]
        return sticks_for(self._rulebook, stocks, discounts=self.rules.discounts(), on_hand=on_hand, remnants=remnants)

    def edges(self, builds: Mapping[str, Build]) -> tuple[Edges, ...]:
        """Where every cutting edge comes from, bar by bar.

        Args:
            builds: Blade by order number.
        """
        out: list[Edges] = []
        for bar in sorted({b.datum.edge.edge for b in builds.values()}):
            own = {number: b for number, b in builds.items() if b.datum.edge.edge == bar}
            rules = {b.datum.layout.rule for b in own.values()}
            for rule in sorted(rules, key=repr):
                wanted = [
                    EdgeWanted(tag=f"{number} edge", width=b.spec.width, order=number)
                    for number, b in own.items()
                    if b.datum.layout.rule == rule
                ]
                price = self._rulebook.sections[bar].price
                plan = plan_edges(wanted, self.blanks(bar), rule, bar_price=price,
                                  bar_extra=self.rules.edges.drilling.value)  # fmt: skip
                out.append(Edges(bar=bar, plan=plan))
        return tuple(out)

    def blanks(self, bar: str) -> list[Blanks]:
        """Drilled blanks of a bar: every stocked length at its price, and how many lie there.

        Args:
            bar: Section the edges are of.
        """
        price = self._rulebook.sections[bar].price * (1.0 + self.rules.edges.blank_extra.value)
        there = {round(b.length, 4): b.count for b in self._rack.blanks if b.stock == bar}
        return [
            Blanks(length=length, price=price * length, on_hand=there.get(round(length, 4), 0))
            for length in self._rulebook.shop.edge_blanks
        ]

    def mend(
        self, week: Week, *, cut: Collection[str], miscut: Collection[str] = (), bent: Collection[int] = (),
        seconds: float = 6.0,
    ) -> tuple[Week, Replan]:  # fmt: skip
        """The plan after a miscut or a bent bar; what is cut stays.

        Args:
            week: The plan in hand.
            cut: Tags of pieces cut well so far.
            miscut: Tags of spoilt pieces that are wanted again.
            bent: Numbers of sticks found bent.
            seconds: Time given [s].

        Raises:
            PlanInputError: A tag or number is not in the plan.
        """
        found = replan(
            week.plan, week.sticks, cut=cut, miscut=miscut, bent=bent,
            worth_a_tag=self.rules.saw.worth_a_tag.value, seconds=seconds, gone=week.spoilt,
        )  # fmt: skip
        return replace(week, plan=found.plan, spoilt=(*week.spoilt, *found.spoilt)), found

    def lengths(self, week: Week, *, seconds: float = 20.0, stop: Stop | None = None) -> tuple[LengthChoice, ...]:
        """The same pieces from each stick length alone and from all, the cheapest first.

        Args:
            week: The plan in hand.
            seconds: Time given to all [s].
            stop: Asked now and then; True ends the search.
        """
        shop = self._rulebook.shop
        return compare_lengths(
            week.pieces, week.sticks, shop.kerf, shop.end_trim, self.remnant_rule, seconds, stop=stop
        )

    def stocking(self, series: str, forecast: Mapping[float, float]) -> tuple[Stocking, ...]:
        """Which blank lengths to stock for a forecast: fewest lengths against waste.

        Args:
            series: Key of the series whose hole rule counts.
            forecast: Edges expected by width [m], as a count [-].

        Raises:
            NotFoundError: No such series, or the forecast names a width it is not built in.
        """
        known = self._rulebook.series.get(series)
        if known is None:
            named = ", ".join(self._rulebook.series)
            raise NotFoundError("no series is called so", value=series, way_out=f"There are: {named}.")
        widths = known.widths()
        odd = [w for w in forecast if all(abs(w - k) > 1e-4 for k in widths)]
        if odd:
            raise NotFoundError(
                f"{known.name} is not built so wide", value=", ".join(tape(w) for w in odd),
                limit=f"{tape(widths[0])} to {tape(widths[-1])} in steps of {tape(known.step)}",
                way_out="Count last season's edges by the widths you build.",
            )  # fmt: skip
        lengths = [*widths, *(widths[-1] + known.step * more for more in (1, 2))]
        rule = hole_rule(known, known.edges[0], Maker(rulebook=self._rulebook))
        # Drilling a bar here costs as much as so much of the bar thrown away.
        price = self._rulebook.sections[known.edges[0].edge].price
        return stocking_curve(forecast, lengths, rule, undrilled_waste=self.rules.edges.drilling.value / price)


def _day(due: date | datetime) -> date:
    return due.date() if isinstance(due, datetime) else due
