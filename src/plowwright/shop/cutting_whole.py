"""Whole sticks from a list of patterns, by the solver's branch and bound."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, inf

import numpy as np

from plowwright.shop.cutting_grid import Column, Problem
from plowwright.shop.cutting_master import must, quiet_solver


@dataclass(frozen=True, kw_only=True)
class Chosen:
    """What branch and bound found.

    Attributes:
        columns: One for each stick; empty where it found none.
        bound: No choice from this list costs less, infinite where there is none at all [money].
    """

    columns: tuple[Column, ...]
    bound: float


def choose(
    problem: Problem,
    columns: Sequence[Column],
    seconds: float,
    *,
    counts: Sequence[float] | None = None,
    ceiling: float = inf,
) -> Chosen:
    """The cheapest sticks from a list of patterns that hold every piece.

    Args:
        problem: The problem.
        columns: The list.
        seconds: Time given [s].
        counts: How many of each stock are used, where below infinity [-]; left out, up to the stocks' limits.
        ceiling: Only choices up to this cost are of interest [money].
    """
    if not columns:
        return Chosen(columns=(), bound=inf)
    import highspy

    kinds, stocks = len(problem.kinds), len(problem.stocks)
    limits = [inf if s.limit is None else float(s.limit) for s in problem.stocks]
    exact = [inf] * stocks if counts is None else list(counts)
    places = inf if problem.places is None else float(problem.places)
    lower = np.array([*problem.demand, *(0.0 if c == inf else c for c in exact), 0.0, -inf], dtype=float)
    upper = [*([inf] * kinds), *(min(a, b) for a, b in zip(limits, exact, strict=True)), places, ceiling]
    solver = quiet_solver(seconds=seconds)
    rows, none = len(lower), np.zeros(0, dtype=np.int32)
    must(solver.addRows(rows, lower, np.array(upper), 0, np.zeros(rows, dtype=np.int32), none, np.zeros(0)), "rows")
    starts: list[int] = []
    index: list[int] = []
    value: list[float] = []
    for c in columns:
        starts.append(len(index))
        index += [kind for kind, _ in c.pattern]
        value += [count for _, count in c.pattern]
        index += [kinds + c.stock, *([kinds + stocks] if c.kept else [])]
        value += [1.0, *([1.0] if c.kept else [])]
        if ceiling < inf:
            index.append(kinds + stocks + 1)
            value.append(c.cost)
    n = len(columns)
    most = np.array([ceil(max(problem.demand[k] / count for k, count in c.pattern)) for c in columns], dtype=float)
    must(solver.addCols(n, np.array([c.cost for c in columns]), np.zeros(n), most, len(index),
                        np.array(starts, dtype=np.int32), np.array(index, dtype=np.int32),
                        np.array(value, dtype=float)), "columns")  # fmt: skip
    whole = np.full(n, int(highspy.HighsVarType.kInteger), dtype=np.uint8)
    must(solver.changeColsIntegrality(n, np.arange(n, dtype=np.int32), whole), "whole numbers")
    must(solver.setOptionValue("mip_rel_gap", 0.0), "option")
    must(solver.run(), "branch and bound")
    if "kInfeasible" in str(solver.getModelStatus()):
        return Chosen(columns=(), bound=inf)
    info = solver.getInfo()
    found: tuple[Column, ...] = ()
    if info.primal_solution_status == 2:
        times = np.rint(np.array(solver.getSolution().col_value)).astype(int)
        found = tuple(c for c, count in zip(columns, times, strict=True) for _ in range(int(count)))
    return Chosen(columns=found, bound=float(info.mip_dual_bound))
