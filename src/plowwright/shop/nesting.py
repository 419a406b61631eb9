"""The nest: parts of all open orders laid on sheets and remnants, true outlines, small parts in large openings.

Cost is what the sheets cost less the worth of the rests that go back behind the table. Each stock is planned by itself:
filled piece by piece at once, then laid anew in part and in whole, with spyrrow to tighten single sheets. Every plan
passes `nest_checker` before it is handed back. The bound is by area, the gap counted, and by large pieces of which no
two share a sheet; it holds whenever the search stops.

The same input and seed try the same nests in the same order; how many of them depends on the time and the machine.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import inf

from plowwright.errors import NoPlanInTimeError, PlanInputError
from plowwright.shop import nest_checker
from plowwright.shop.nesting_bound import each_by_itself, held_area, least_cost
from plowwright.shop.nesting_entry import check_entry, check_fit, turns_of
from plowwright.shop.nesting_fill import Bed, Ground, Item
from plowwright.shop.nesting_limits import Limits, Progress, Report, Stop
from plowwright.shop.nesting_model import (
    NestedSheet,
    NestPlan,
    Outline,
    PlacedOutline,
    RestRule,
    Sheet,
    Status,
    StockNest,
)
from plowwright.shop.nesting_search import Search
from plowwright.shop.nesting_shapes import Shapes, least_width, metal_inside
from plowwright.shop.nesting_spread import Found, Problem
from plowwright.shop.nesting_strip import hosts
from plowwright.shop.numbering import numbers_of
from plowwright.units import counted

__all__ = ["NestPlan", "Outline", "RestRule", "Sheet", "plan"]

NO_RESTS = RestRule(least=inf)
"""No rest is kept."""


def plan(
    outlines: Sequence[Outline],
    sheets: Sequence[Sheet],
    gap: float,
    rotations: Sequence[float],
    seconds: float,
    *,
    edge: float | None = None,
    rest_rule: RestRule = NO_RESTS,
    seed: int = 1,
    progress: Report | None = None,
    stop: Stop | None = None,
) -> NestPlan:
    """Lay all outlines on sheets, stock by stock.

    Args:
        outlines: What is to be cut, each with a tag of its own.
        sheets: Sheets that can be bought, that are on hand, and tagged remnants.
        gap: Least distance between two pieces, kerf counted [m].
        rotations: Angles at which pieces may lie that name none themselves [rad].
        seconds: Time given; what is best by then is handed back [s].
        edge: Least distance from a piece to the sheet's edge, None for the gap [m].
        rest_rule: Which rests are kept and what they are worth [-].
        seed: Start of the random numbers [-].
        progress: Called now and then with how far it has come.
        stop: Asked now and then; True ends the search, and the best so far is handed back.

    Returns:
        The plan with cost, bound by area, utilisation, status and seconds.

    Raises:
        PlanInputError: An outline, sheet or setting makes no sense, or a piece fits on no sheet there is.
        NoPlanInTimeError: Sheets are limited and no whole nest was found; one may exist.
    """
    margin = gap if edge is None else edge
    check_entry(outlines, sheets, gap, margin, rotations, rest_rule, seconds)
    clock = _Clock(begin=time.perf_counter(), seconds=seconds, stop=stop, progress=progress)
    problems = [
        _problem([o for o in outlines if o.stock == stock], sheets, gap, margin, rotations, rest_rule, seed)
        for stock in dict.fromkeys(o.stock for o in outlines)
    ]
    # The small ones first: what they leave of their time goes to the large ones.
    problems.sort(key=lambda p: (_weight(p), p.items[0].outline.stock))
    made: list[StockNest] = []
    for at, problem in enumerate(problems):
        share = _weight(problem) / sum(_weight(p) for p in problems[at:])
        limits = clock.limits(problem, share, done=at, total=len(problems))
        made.append(_nest(problem, limits, clock))
    found = NestPlan(
        stocks=_numbered(made),
        gap=gap,
        edge=margin,
        rest_rule=rest_rule,
        seconds=time.perf_counter() - clock.begin,
    )
    nest_checker.check(found, outlines, sheets, gap, margin, rotations, rest_rule)
    return found


@dataclass(frozen=True, kw_only=True)
class _Clock:
    begin: float
    seconds: float
    stop: Stop | None
    progress: Report | None

    def stopped(self) -> bool:
        return self.stop is not None and self.stop()

    def limits(self, problem: Problem, share: float, *, done: int, total: int) -> Limits:
        """When the search for a stock ends: its share of the time that is left."""
        now = time.perf_counter()

        def report(cost: float, stage: str) -> None:
            if self.progress is not None:
                self.progress(
                    Progress(stock=problem.items[0].outline.stock, cost=cost, bound=problem.bound, stage=stage,
                             seconds=time.perf_counter() - self.begin, done=done, total=total)
                )  # fmt: skip

        end = now + max(0.0, self.begin + self.seconds - now) * share
        return Limits(end=end, stopped=self.stopped, report=report)


def _weight(problem: Problem) -> float:
    """Share of the time a stock gets: by its pieces, and by the square root of the money at stake."""
    return len(problem.items) * 0.2 + problem.bound**0.5 + 1.0


def _problem(
    own: Sequence[Outline],
    sheets: Sequence[Sheet],
    gap: float,
    edge: float,
    rotations: Sequence[float],
    rule: RestRule,
    seed: int,
) -> Problem:
    ground = Ground(shapes=Shapes(gap=gap), gap=gap, edge=edge, rule=rule)
    there = tuple(s for s in sheets if s.stock == own[0].stock and (s.buyable or s.on_hand))
    alike = Counter((o.outer, o.inner, o.drilled) for o in own)
    first = {(o.outer, o.inner, o.drilled): o for o in own}
    # An opening holds a piece only if it is wider by two gaps than the narrowest one at its narrowest.
    narrowest = min(least_width(metal_inside(outer, opening=False)) for outer, _, _ in alike)
    least_hole = narrowest + 2 * gap if len(own) > 1 else inf
    items = tuple(
        Item(number=n, outline=o, poses=poses, area=poses[0].area)
        for n, o in enumerate(own)
        for poses in [ground.shapes.of(o, turns_of(o, rotations), least_hole=least_hole)]
    )
    for item in items:
        check_fit(item, there, ground)
    fields = [a * b for a, b in (ground.field(s) for s in there)]
    held = sum(count * held_area(first[kind], gap, least_hole) for kind, count in alike.items())
    bound = least_cost(own, held, fields, there, rule, each_by_itself(items, there, ground))
    return Problem(items=items, sheets=there, ground=ground, seed=seed, bound=bound)


def _nest(problem: Problem, limits: Limits, clock: _Clock) -> StockNest:
    started = time.perf_counter()
    search = Search(problem, limits)
    found = search.run()
    if found.missing:
        _refuse(problem, found)
    cost = found.cost
    status: Status = "proved best" if search.proved else "stopped" if clock.stopped() else "not proved"
    return StockNest(
        stock=problem.items[0].outline.stock,
        sheets=tuple(_nested(bed) for bed in found.beds),
        cost=cost,
        bound=min(cost, problem.bound),
        status=status,
        seconds=time.perf_counter() - started,
        method=found.method,
    )


def _refuse(problem: Problem, found: Found) -> None:
    stock = problem.items[0].outline.stock
    named = f"{counted(len(found.missing), 'piece')} of {stock}, among them {found.missing[0].outline.in_words()}"
    there = ", ".join(f"{s.limit} of {s.in_words()}" for s in problem.sheets)
    room = sum(s.area * (s.limit or 0) for s in problem.sheets)
    if sum(i.outline.area for i in problem.items) > room:
        raise PlanInputError(
            "what is on hand cannot hold every piece", where=stock, value=named, limit=there,
            way_out="Let more sheets be bought, or leave pieces for later.",
        )  # fmt: skip
    raise NoPlanInTimeError(
        "no nest was found that lays every piece on what is on hand", where=stock, value=named, limit=there,
        way_out="Give it more time, let more sheets be bought, or leave pieces for later.",
    )  # fmt: skip


def _nested(bed: Bed) -> NestedSheet:
    inside = hosts(bed)
    shift = bed.ground.shift
    placed = tuple(
        PlacedOutline(
            outline=lay.item.outline,
            turn=lay.pose.turn,
            x=lay.x + lay.pose.origin[0] + shift,
            y=lay.y + lay.pose.origin[1] + shift,
            inside=bed.laid[inside[at]].item.outline.tag if at in inside else "",
        )
        for at, lay in enumerate(bed.laid)
    )
    return NestedSheet(sheet=bed.sheet, placed=placed, rests=bed.rests(), cost=bed.cost)


def _numbered(nests: Sequence[StockNest]) -> tuple[StockNest, ...]:
    """Numbers in the table's order, all sheets with rush pieces first, then stock by stock; rests get their tags."""
    ordered = sorted(nests, key=lambda s: s.stock)
    given = numbers_of({nest.stock: [sheet.rush for sheet in nest.sheets] for nest in ordered})
    return tuple(
        replace(nest, sheets=tuple(_named(s, given[nest.stock, at]) for at, s in enumerate(nest.sheets)))
        for nest in ordered
    )


def _named(sheet: NestedSheet, number: int) -> NestedSheet:
    letters = "ab" if len(sheet.rests) > 1 else [""]
    rests = tuple(replace(r, tag=f"rest {number}{letter}") for r, letter in zip(sheet.rests, letters, strict=False))
    return replace(sheet, number=number, rests=rests)
