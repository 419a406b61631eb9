"""Edges for several orders from stocked blanks, and which blank lengths are worth stocking.

An edge is cut from a blank the same off each end; a blank serves a width only if the holes that result meet the bottom
angle of that width (`blade.edge_blanks`). Who gets which blank is an assignment problem and is solved exactly; which
lengths to stock is a small location problem, solved exactly for every number of lengths.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, cast

import numpy as np

from plowwright.blade.edge_bars import tape
from plowwright.blade.edge_blanks import CutFound, Policy, blank_for
from plowwright.blade.edge_layouts import HoleRule
from plowwright.errors import PlanFaultError, PlanInputError

_NEVER = 1e9


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeWanted:
    """One edge somebody needs: for a blade, or as a spare.

    Attributes:
        tag: What is written on it.
        width: Length of the edge [m].
        order: Order number, "" for stock.
    """

    tag: str
    width: float
    order: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Blanks:
    """Drilled blanks of one length.

    Attributes:
        length: [m].
        price: Of one [money].
        on_hand: How many lie in the rack [-].
        buyable: Whether more can be had in time.
    """

    length: float
    price: float
    on_hand: int = 0
    buyable: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeCut:
    """One edge and where it comes from.

    Attributes:
        wanted: The edge.
        blank: Length of the blank, 0 for an undrilled bar [m].
        bought: Whether that blank is not in the rack yet.
        cost: Of the blank or bar [money].
        waste: Length that does not become edge [m].
        steps: What saw and drill do, one sentence each.
    """

    wanted: EdgeWanted
    blank: float
    bought: bool
    cost: float
    waste: float
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgePlan:
    """Where every edge comes from; no other choice costs less.

    Attributes:
        cuts: One for each edge, in the order they were asked for.
        cost: Of all blanks and bars [money].
    """

    cuts: tuple[EdgeCut, ...]
    cost: float

    @property
    def to_buy(self) -> dict[float, int]:
        """Blanks to buy: length [m], number [-]; length 0 stands for undrilled bars."""
        out: dict[float, int] = {}
        for cut in self.cuts:
            if cut.bought:
                out[cut.blank] = out.get(cut.blank, 0) + 1
        return out


def plan_edges(
    wanted: Sequence[EdgeWanted],
    blanks: Sequence[Blanks],
    rule: HoleRule,
    *,
    bar_price: float,
    bar_extra: float = 0.0,
    policy: Policy = "own rule",
) -> EdgePlan:
    """Give every edge a blank, or an undrilled bar where none serves, at the least cost.

    Args:
        wanted: The edges, spares included.
        blanks: The stocked blanks.
        rule: The hole rule of these edges and of the blanks.
        bar_price: Of an undrilled bar per length [money/m].
        bar_extra: What drilling a whole bar costs more than cutting a blank down [money].
        policy: Where the bottom angle's layout comes from [-].

    Raises:
        PlanInputError: A price or count makes no sense.
        EdgeError: A width is too short for the hole rule.
    """
    _check(blanks, bar_price)
    lengths = [b.length for b in blanks]
    serving = {
        width: {c.blank: c for c in blank_for(width, lengths, rule, policy=policy).serving}
        for width in {w.width for w in wanted}
    }
    n = len(wanted)
    supply: list[tuple[Blanks | None, bool]] = []
    for b in blanks:
        supply += [(b, False)] * min(b.on_hand, n)
        supply += [(b, True)] * (n if b.buyable else 0)
    supply += [(None, True)] * n
    costs = np.full((n, len(supply)), _NEVER)
    for row, edge in enumerate(wanted):
        for at, (blank, bought) in enumerate(supply):
            if blank is None:
                costs[row, at] = edge.width * bar_price + bar_extra
            elif blank.length in serving[edge.width]:
                # Of two blanks of one price the one in the rack goes first.
                costs[row, at] = blank.price + (1e-6 if bought else 0.0)
    rows, chosen = _assigned(costs)
    cuts: list[EdgeCut] = []
    for row, at in zip(rows, chosen, strict=True):
        cuts.append(_cut(wanted[row], supply[at], serving, bar_price, bar_extra))
    return EdgePlan(cuts=tuple(cuts), cost=sum(c.cost for c in cuts))


def _assigned(costs: np.ndarray) -> tuple[list[int], list[int]]:
    if not costs.size:
        return [], []
    from scipy.optimize import linear_sum_assignment

    rows, columns = cast(tuple[Any, Any], linear_sum_assignment(costs))
    return [int(r) for r in rows], [int(c) for c in columns]


def _cut(
    edge: EdgeWanted,
    source: tuple[Blanks | None, bool],
    serving: Mapping[float, Mapping[float, CutFound]],
    bar_price: float,
    bar_extra: float,
) -> EdgeCut:
    blank, bought = source
    if blank is None:
        steps = (f"Cut {tape(edge.width)} from an undrilled bar and drill it by the rule.",)
        return EdgeCut(wanted=edge, blank=0.0, bought=True, cost=edge.width * bar_price + bar_extra, waste=0.0,
                       steps=steps)  # fmt: skip
    found = serving[edge.width][blank.length]
    return EdgeCut(wanted=edge, blank=blank.length, bought=bought, cost=blank.price, waste=found.waste,
                   steps=found.cut.steps())  # fmt: skip


def _check(blanks: Sequence[Blanks], bar_price: float) -> None:
    for b in blanks:
        if b.length <= 0 or b.price < 0 or b.on_hand < 0:
            raise PlanInputError(
                "a blank needs a length above zero, a price and a count not below zero", where=tape(b.length),
                value=f"price {b.price:g}, {b.on_hand} on hand", limit="0 or more", way_out="Count the blanks again.",
            )  # fmt: skip
    if bar_price <= 0:
        raise PlanInputError(
            "an undrilled bar needs a price", value=f"{bar_price:g}", limit="above 0",
            way_out="Give what a length of it costs.",
        )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Stocking:
    """Which blank lengths to stock for a forecast.

    Attributes:
        lengths: Blank lengths [m].
        waste: Length that does not become edge over the forecast [m].
        undrilled: Edges of the forecast that no stocked length serves, and that take an undrilled bar [-].
        serves: Which length each width comes from, 0 for an undrilled bar [m].
    """

    lengths: tuple[float, ...]
    waste: float
    undrilled: float
    serves: Mapping[float, float]


def stocking_curve(
    forecast: Mapping[float, float],
    candidates: Sequence[float],
    rule: HoleRule,
    *,
    undrilled_waste: float,
    most: int | None = None,
) -> tuple[Stocking, ...]:
    """The least waste for one blank length, two, three and so on: the curve of lengths against waste.

    The bottom angles follow the shop's own rule, so that a later change of the list orphans no blade. Exact: each point
    is a location problem solved to optimality.

    Args:
        forecast: Edges expected by width [m], as a count [-].
        candidates: Blank lengths that could be stocked [m].
        rule: The hole rule.
        undrilled_waste: What one edge from an undrilled bar counts as, in length wasted [m].
        most: Most lengths looked at [-]; left out, until more lengths help no more.

    Raises:
        PlanInputError: The forecast is empty or has a count below zero.
        EdgeError: A width is too short for the hole rule.
    """
    if not forecast or min(forecast.values()) < 0:
        raise PlanInputError(
            "a forecast needs at least one width with a count not below zero", value=str(dict(forecast)),
            limit="0 or more edges", way_out="Count last season's edges by width.",
        )  # fmt: skip
    widths, lengths = sorted(forecast), sorted(set(candidates))
    wastes = np.full((len(widths), len(lengths)), np.inf)
    for row, width in enumerate(widths):
        found = {c.blank: c.waste for c in blank_for(width, lengths, rule).serving}
        for at, length in enumerate(lengths):
            wastes[row, at] = found.get(length, np.inf)
    counts = np.array([forecast[w] for w in widths])
    curve: list[Stocking] = []
    for number in range(1, (most or len(lengths)) + 1):
        point = _best_lengths(widths, lengths, wastes, counts, number, undrilled_waste)
        worth = point.waste + point.undrilled * undrilled_waste
        if curve and worth >= curve[-1].waste + curve[-1].undrilled * undrilled_waste - 1e-9:
            break
        curve.append(point)
    return tuple(curve)


def fewest_lengths(curve: Sequence[Stocking], waste: float, *, undrilled: float = 0.0) -> Stocking:
    """The fewest blank lengths that stay within a waste, from a curve.

    Args:
        curve: From `stocking_curve`.
        waste: Most waste over the forecast [m].
        undrilled: Most edges from undrilled bars over the forecast [-].

    Raises:
        PlanInputError: No number of lengths stays within it; names the least that can be had.
    """
    for point in curve:
        if point.waste <= waste + 1e-9 and point.undrilled <= undrilled + 1e-9:
            return point
    least = curve[-1]
    raise PlanInputError(
        "no choice of blank lengths wastes so little", value=f"{tape(waste)}, {undrilled:g} undrilled",
        limit=f"{tape(least.waste)} and {least.undrilled:g} undrilled with {len(least.lengths)} lengths",
        way_out="Allow more waste or more undrilled bars, or look at more candidate lengths.",
    )  # fmt: skip


def _best_lengths(
    widths: Sequence[float], lengths: Sequence[float], wastes: np.ndarray, counts: np.ndarray, number: int, alone: float
) -> Stocking:
    """At most so many lengths for the least waste, by a whole-number programme solved to the end."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    w, m = wastes.shape
    serves = np.argwhere(np.isfinite(wastes))
    n = m + len(serves) + w
    cost = np.zeros(n)
    cost[m : m + len(serves)] = [counts[i] * wastes[i, j] for i, j in serves]
    cost[m + len(serves) :] = counts * alone
    # Every width from one length or an undrilled bar; only from a length that is stocked; at most so many of those.
    rows = np.zeros((w + len(serves) + 1, n))
    for k, (i, j) in enumerate(serves):
        rows[i, m + k] = 1
        rows[w + k, m + k], rows[w + k, j] = 1, -1
    rows[np.arange(w), m + len(serves) + np.arange(w)] = 1
    rows[-1, :m] = 1
    low = np.concatenate((np.ones(w), np.full(len(serves) + 1, -np.inf)))
    high = np.concatenate((np.ones(w), np.zeros(len(serves)), [number]))
    solve = cast(Any, milp)
    answer = solve(cost, constraints=LinearConstraint(rows, low, high), integrality=np.ones(n), bounds=Bounds(0, 1))
    if answer.status != 0:
        raise PlanFaultError("which blanks to stock was not solved to the end", value=str(answer.message))
    chosen = {int(i): int(j) for k, (i, j) in enumerate(serves) if answer.x[m + k] > 0.5}
    return Stocking(
        lengths=tuple(sorted({lengths[j] for j in chosen.values()})),
        waste=float(sum(counts[i] * wastes[i, j] for i, j in chosen.items())),
        undrilled=float(sum(counts[i] for i in range(w) if i not in chosen)),
        serves={widths[i]: lengths[chosen[i]] if i in chosen else 0.0 for i in range(w)},
    )
