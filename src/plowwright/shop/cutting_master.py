"""Column generation: the linear programme over patterns, priced by the knapsack; its bounds hold when it stops early.

One solver object lives as long as its problem; demands and the bounds of columns are changed in it when a search goes
down and comes back up.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from importlib import import_module
from math import inf
from typing import Any

import numpy as np
from numpy.typing import NDArray

from plowwright.errors import PlanFaultError
from plowwright.shop.cutting_grid import Column, Floats, Problem, Stock, column
from plowwright.shop.cutting_pricing import Table, fill

_TINY = 1e-7
_SMOOTH = 0.5
"""Share of the best dual prices known in the ones that patterns are priced with [-]."""
_EACH_TIME = 12
"""New patterns taken from one table [-]."""


@dataclass(frozen=True, kw_only=True)
class Duals:
    """Dual prices of a linear programme.

    Attributes:
        pieces: Of each kind [money].
        sticks: Of each stock that is limited, 0 for the rest [money].
        place: Of a place in the rack [money].
    """

    pieces: Floats
    sticks: Floats
    place: float


@dataclass(frozen=True, kw_only=True)
class Relaxed:
    """A solved linear programme.

    Attributes:
        value: Of the restricted programme [money].
        bound: What is proved for all patterns [money].
        columns: The columns with a share above zero.
        shares: Their shares [-].
        duals: Dual prices that prove the bound.
        missing: How many pieces no pattern serves [-].
        finished: Whether no better pattern is left.
    """

    value: float
    bound: float
    columns: tuple[Column, ...]
    shares: Floats
    duals: Duals
    missing: float
    finished: bool


def quiet_solver(*, seconds: float | None = None) -> Any:
    """A linear solver on one thread that says nothing.

    All of the program's solvers use one thread: asked for another number, a second one in the same process fails
    without a word.

    Args:
        seconds: Time limit [s].
    """
    # Takes a tenth of a second to load; the class below the package's own one, which greets on the screen when made.
    core: Any = import_module("highspy._core")
    made: Any = core._Highs()
    options: dict[str, Any] = {"output_flag": False, "threads": 1, "random_seed": 1}
    if seconds is not None:
        options["time_limit"] = max(0.01, seconds)
    for name, value in options.items():
        must(made.setOptionValue(name, value), f"option {name}")
    return made


def must(status: Any, doing: str) -> None:
    """Check a status of the solver.

    Args:
        status: What it gave back.
        doing: What was asked, for the message.

    Raises:
        PlanFaultError: It refused.
    """
    if "Error" in str(status):
        raise PlanFaultError("the linear solver refused", value=doing, limit=str(status))


class Master:
    """The restricted linear programme of one section and its columns."""

    def __init__(self, problem: Problem, columns: Iterable[Column]) -> None:
        """Start with some columns that serve every piece.

        Args:
            problem: The section's problem.
            columns: To begin with.
        """
        self.problem = problem
        self.columns: list[Column] = []
        self._known: set[tuple[Any, ...]] = set()
        self.kinds = len(problem.kinds)
        self.stocks = len(problem.stocks)
        self._rack_row = self.kinds + self.stocks if problem.places is not None else None
        self.demand = problem.demand.astype(float)
        self.left = [inf if s.limit is None else float(s.limit) for s in problem.stocks]
        self.least = [0.0] * self.stocks
        self.places = inf if problem.places is None else float(problem.places)
        self.solver = quiet_solver()
        for name, value in (("presolve", "off"), ("simplex_strategy", 4)):
            must(self.solver.setOptionValue(name, value), f"option {name}")
        dearest = max(s.stick.price for s in problem.stocks)
        self.penalty = 10.0 * dearest + 1.0
        self._rows()
        self.counts: list[NDArray[np.int64]] = []
        self.add(columns)

    def _rows(self) -> None:
        lower, upper = self._limits()
        n = len(lower)
        empty = np.zeros(0, dtype=np.int32)
        must(self.solver.addRows(n, lower, upper, 0, np.zeros(n, dtype=np.int32), empty,
                                 np.zeros(0)), "rows")  # fmt: skip
        # What no stick on hand can serve is bought at a forbidding price, so that a shortage shows instead of failing.
        k = self.kinds
        must(self.solver.addCols(k, np.full(k, self.penalty), np.zeros(k), np.full(k, inf), k,
                                 np.arange(k, dtype=np.int32), np.arange(k, dtype=np.int32), np.ones(k)),
             "columns")  # fmt: skip

    def _limits(self) -> tuple[Floats, Floats]:
        """Lower and upper limits of the rows: pieces, sticks, places in the rack."""
        rack = [] if self._rack_row is None else [self.places]
        lower = [*self.demand, *self.least, *([0.0] * len(rack))]
        return np.array(lower, dtype=float), np.array([*([inf] * self.kinds), *self.left, *rack], dtype=float)

    def add(self, columns: Iterable[Column]) -> int:
        """Add the columns that are new; says how many were [-].

        Args:
            columns: The columns.
        """
        fresh: list[Column] = []
        for c in columns:
            key = (c.pattern, c.stock, c.kept)
            if key not in self._known:
                self._known.add(key)
                fresh.append(c)
        if not fresh:
            return 0
        starts: list[int] = []
        rows: list[int] = []
        values: list[float] = []
        for c in fresh:
            starts.append(len(rows))
            for kind, count in c.pattern:
                rows.append(kind)
                values.append(count)
            rows.append(self.kinds + c.stock)
            values.append(1)
            if c.kept and self._rack_row is not None:
                rows.append(self._rack_row)
                values.append(1)
            counts = np.zeros(self.kinds, dtype=np.int64)
            for kind, count in c.pattern:
                counts[kind] = count
            self.counts.append(counts)
        n = len(fresh)
        must(self.solver.addCols(n, np.array([c.cost for c in fresh]), np.zeros(n), np.full(n, inf), len(rows),
                                 np.array(starts, dtype=np.int32), np.array(rows, dtype=np.int32),
                                 np.array(values, dtype=float)), "columns")  # fmt: skip
        self.columns += fresh
        return n

    def restrict(
        self, demand: NDArray[np.int64], left: Sequence[float], places: float, least: Sequence[float] | None = None
    ) -> None:
        """Ask for other demands from now on; patterns that hold more than is wanted are shut out.

        Args:
            demand: Pieces of each kind [-].
            left: Sticks of each stock [-].
            places: Places in the rack [-].
            least: Sticks of each stock that have to be used [-]; left out, none.
        """
        self.demand, self.left, self.places = demand.astype(float), list(left), places
        self.least = [0.0] * self.stocks if least is None else list(least)
        lower, upper = self._limits()
        n = len(lower)
        must(self.solver.changeRowsBounds(n, np.arange(n, dtype=np.int32), lower, upper), "rows")
        fits = (np.array(self.counts) <= demand).all(axis=1)
        m = len(self.columns)
        most = np.where(fits, inf, 0.0)
        must(self.solver.changeColsBounds(m, np.arange(self.kinds, self.kinds + m, dtype=np.int32), np.zeros(m), most),
             "columns")  # fmt: skip

    def relax(self, halt: Callable[[], bool], *, give_up_at: float = inf, rounds: int = 10_000) -> Relaxed:
        """Solve the linear programme over all patterns.

        Args:
            halt: Asked between rounds; True stops with the bound so far.
            give_up_at: Stop as soon as the bound reaches this [money].
            rounds: Most rounds of pricing [-].
        """
        best_bound, best_duals = -inf, None
        finished = False
        value, shares, duals = self._solve()
        demand = self.demand.astype(np.int64)
        for _ in range(rounds):
            smooth = duals if best_duals is None else _mixed(best_duals, duals)
            table = fill(self.problem, smooth.pieces, demand, self.problem.longest)
            bound, proved = self._bound(table, smooth)
            if bound > best_bound:
                best_bound, best_duals = bound, proved
            if best_bound >= min(give_up_at, value) - _TINY * max(1.0, abs(value)):
                finished = best_bound >= value - _TINY * max(1.0, abs(value))
                break
            added = self.add(self._priced(table, duals))
            if not added and smooth is not duals:
                table = fill(self.problem, duals.pieces, demand, self.problem.longest)
                bound, proved = self._bound(table, duals)
                if bound > best_bound:
                    best_bound, best_duals = bound, proved
                added = self.add(self._priced(table, duals))
            if not added:
                finished = True
                break
            value, shares, duals = self._solve()
            if halt():
                break
        chosen = [at for at in range(len(self.columns)) if shares[self.kinds + at] > 1e-9]
        return Relaxed(
            value=value,
            bound=min(best_bound, value),
            columns=tuple(self.columns[at] for at in chosen),
            shares=np.array([shares[self.kinds + at] for at in chosen]),
            duals=best_duals or duals,
            missing=float(shares[: self.kinds].sum()),
            finished=finished,
        )

    def _bound(self, table: Table, duals: Duals) -> tuple[float, Duals]:
        return farley(self.problem, table, duals, demand=self.demand, left=self.left, least=self.least,
                      places=self.places)  # fmt: skip

    def _priced(self, table: Table, duals: Duals) -> list[Column]:
        """Columns of a table that improve the programme at these prices."""
        found: list[Column] = []
        seen: dict[int, Any] = {}
        for at, stock in enumerate(self.problem.stocks):
            if self.left[at] < 1:
                continue
            best = table.best[: stock.capacity + 1]
            reduced = costs_with(stock, duals.place) + duals.sticks[at] - best
            for used in _spread(reduced, _EACH_TIME):
                pattern = seen.setdefault(used, table.pattern(used) if used not in seen else None)
                if not pattern:
                    continue
                keep = bool(stock.keeps[used]) and stock.costs[used] + duals.place < stock.stick.price
                made = column(self.problem, pattern, at, keep=keep)
                charge = duals.sticks[at] + (duals.place if made.kept else 0.0)
                worth = sum(count * duals.pieces[kind] for kind, count in pattern)
                if made.cost + charge - worth < -_TINY * max(1.0, made.cost):
                    found.append(made)
        return found

    def _solve(self) -> tuple[float, Floats, Duals]:
        must(self.solver.run(), "solve")
        status = str(self.solver.getModelStatus())
        if "kOptimal" not in status:
            raise PlanFaultError("the linear programme of a cut plan was not solved", value=status)
        solution = self.solver.getSolution()
        prices = np.array(solution.row_dual)
        sticks = -prices[self.kinds : self.kinds + self.stocks]
        place = max(0.0, -float(prices[self._rack_row])) if self._rack_row is not None else 0.0
        pieces = np.maximum(prices[: self.kinds], 0.0)
        duals = Duals(pieces=pieces, sticks=sticks, place=place)
        return float(self.solver.getObjectiveValue()), np.array(solution.col_value), duals


def costs_with(stock: Stock, place: float) -> Floats:
    """Cost of a stick by used length when a place in the rack is charged for [money].

    Args:
        stock: The stick.
        place: Price of a place [money].
    """
    if place <= 0:
        return stock.costs
    return np.minimum(stock.stick.price, np.where(stock.keeps, stock.costs + place, stock.costs))


def farley(
    problem: Problem, table: Table, duals: Duals, *, demand: Floats, left: Sequence[float],
    least: Sequence[float], places: float,
) -> tuple[float, Duals]:  # fmt: skip
    """What dual prices prove once they are made valid [money], and the prices that prove it.

    Farley's bound: prices are scaled down until no pattern on a stick without limit is worth more than it costs; a
    limited stick that is still worth more than it costs is charged for, one that has to be used and is worth less is
    given for.

    Args:
        problem: The problem.
        table: Worked out for these prices.
        duals: The prices.
        demand: Pieces of each kind [-].
        left: Sticks of each stock [-].
        least: Sticks of each stock that have to be used [-].
        places: Places in the rack [-].

    Source: Farley, A note on bounding a class of linear programming problems, Operations Research 38 (1990), from
    memory; limited sticks by the same argument on the dual.
    """
    scale = 1.0
    for stock, there in zip(problem.stocks, left, strict=True):
        best = table.best[: stock.capacity + 1]
        worth = best > 0
        if there == inf and worth.any():
            scale = min(scale, float((costs_with(stock, duals.place)[worth] / best[worth]).min()))
    charges = np.zeros(len(problem.stocks))
    for at, (stock, there) in enumerate(zip(problem.stocks, left, strict=True)):
        if there < inf:
            over = scale * table.best[: stock.capacity + 1] - costs_with(stock, duals.place)
            # Pieces without a price are not in the table; a stick with one of them alone is the worst case.
            charge = max(float(over.max()), 0.0)
            if charge <= 0 and least[at] > 0:
                alone = -float(stock.costs[min(stock.capacity, int(problem.sizes.min())) :].min())
                charge = max(float(over[1:].max(initial=-inf)), alone)
            charges[at] = charge
    value = scale * float(duals.pieces @ demand)
    for charge, there, must_use in zip(charges, left, least, strict=True):
        if charge:
            value -= float(charge) * (there if charge > 0 else must_use)
    if places < inf:
        value -= duals.place * places
    return value, Duals(pieces=scale * duals.pieces, sticks=charges, place=duals.place)


def _mixed(best: Duals, now: Duals) -> Duals:
    a = _SMOOTH
    return Duals(
        pieces=a * best.pieces + (1 - a) * now.pieces,
        sticks=a * best.sticks + (1 - a) * now.sticks,
        place=a * best.place + (1 - a) * now.place,
    )


def _spread(reduced: Floats, most: int) -> list[int]:
    """Used lengths with the lowest reduced costs, best first."""
    low = np.nonzero(reduced < -_TINY)[0]
    if len(low) > most:
        low = low[np.argpartition(reduced[low], most)[:most]]
    return [int(u) for u in low[np.argsort(reduced[low])]]
