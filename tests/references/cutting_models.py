"""Other ways to the same cut plans, for small cases: every split by dynamic programming, and CP-SAT and HiGHS models.

All in whole numbers: a piece's length, the kerf, and sticks as (length usable, start to far end, cost by drop).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache
from itertools import permutations, product
from math import cos, inf, tan
from typing import Any

from plowwright.shop.cutting_model import Piece, RemnantRule, Stick


def stick_cost(lengths: Sequence[float], stick: Stick, kerf: float, trim: float, rule: RemnantRule) -> float:
    """What a stick costs with square-cut pieces on it, infinite where they do not fit."""
    used = sum(length + kerf for length in lengths)
    if used > stick.length - trim * stick.trimmed_ends + kerf + 1e-7:
        return inf
    drop = stick.length - (trim if stick.trimmed_ends == 2 else 0.0) - used
    return stick.price - rule.worth(max(0.0, drop), stick)


def every_split(pieces: Sequence[Piece], sticks: Sequence[Stick], kerf: float, trim: float, rule: RemnantRule) -> float:
    """The least cost by trying every split of the pieces into sticks; for up to nine square-cut pieces."""
    lengths = [p.length for p in pieces]
    full = (1 << len(lengths)) - 1
    limits = tuple(99 if s.buyable else s.on_hand for s in sticks)

    @cache
    def on(subset: int, stick: int) -> float:
        chosen = [x for i, x in enumerate(lengths) if subset >> i & 1]
        return stick_cost(chosen, sticks[stick], kerf, trim, rule)

    @cache
    def least(rest: int, left: tuple[int, ...]) -> float:
        if not rest:
            return 0.0
        lowest = rest & -rest
        best, others = inf, rest ^ lowest
        part = others
        while True:
            subset = part | lowest
            for at, there in enumerate(left):
                if there and (cost := on(subset, at)) < inf:
                    after = left if there == 99 else (*left[:at], there - 1, *left[at + 1 :])
                    best = min(best, cost + least(rest ^ subset, after))
            if not part:
                return best
            part = (part - 1) & others

    return least(full, limits)


def shortest_run(pieces: Sequence[Piece], kerf: float) -> float:
    """The least length of stick for mitred pieces, last cut included: every order, every way of turning each one."""
    best = inf
    for order in permutations(pieces):
        for ways in product(range(4), repeat=len(order)):
            best = min(best, _run(order, ways, kerf))
    return best


def _run(order: Sequence[Piece], ways: Sequence[int], kerf: float) -> float:
    at = [0.0, 0.0]  # how far each face is used, near and far
    begin = inf
    for number, (piece, way) in enumerate(zip(order, ways, strict=True)):
        ends = [end.angle if end else 0.0 for end in piece.ends]
        if way & 1:
            ends.reverse()
        if way & 2:
            ends = [-e for e in ends]
        depth = max((e.depth for e in piece.ends if e), default=0.0)
        left, right = (0.5 * depth * tan(e) for e in ends)
        run = piece.centre_line
        start = max(at[0] - left, at[1] + left) if number else abs(left)
        begin = min(begin, start - abs(left))
        wide = kerf / cos(ends[1])
        at = [start + run - right + wide, start + run + right + wide]
    return max(at) - begin


def with_cp_sat(
    pieces: Sequence[Piece], sticks: Sequence[Stick], kerf: float, trim: float, *, unit: float, seconds: float
) -> tuple[float, float]:
    """Cost and bound of an assignment model: piece to stick, stick to length; drops are worth nothing."""
    from ortools.sat.python import cp_model

    model: Any = cp_model.CpModel()
    sizes = sorted((round((p.length + kerf) / unit) for p in pieces), reverse=True)
    room = [round((s.length - 2 * trim + kerf) / unit) for s in sticks]
    prices = [round(s.price * 100) for s in sticks]
    most = _first_fit(sizes, max(room))
    kind = [[model.NewBoolVar("") for _ in sticks] for _ in range(most)]
    on = [[model.NewBoolVar("") for _ in range(most)] for _ in sizes]
    for row in on:
        model.AddExactlyOne(row)
    for b in range(most):
        model.AddAtMostOne(kind[b])
        model.Add(
            sum(s * on[i][b] for i, s in enumerate(sizes)) <= sum(r * k for r, k in zip(room, kind[b], strict=True))
        )
    model.Minimize(sum(p * k for row in kind for p, k in zip(prices, row, strict=True)))
    solver: Any = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    status = solver.Solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return inf, 0.0
    return solver.ObjectiveValue() / 100, solver.BestObjectiveBound() / 100


def _first_fit(sizes: Sequence[int], room: int) -> int:
    free: list[int] = []
    for size in sizes:
        at = next((i for i, f in enumerate(free) if f >= size), None)
        if at is None:
            free.append(room - size)
        else:
            free[at] -= size
    return len(free) + 1


def with_highs(lengths: Sequence[int], room: int, seconds: float) -> int:
    """Fewest bins by HiGHS on the assignment model; for small cases only."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    solve: Callable[..., Any] = milp
    n, m = len(lengths), _first_fit(sorted(lengths, reverse=True), room) - 1
    cost = np.concatenate((np.zeros(n * m), np.ones(m)))
    rows, low, high = [], [], []
    for i in range(n):
        row = np.zeros(n * m + m)
        row[i * m : (i + 1) * m] = 1
        rows.append(row)
        low.append(1.0)
        high.append(1.0)
    for b in range(m):
        row = np.zeros(n * m + m)
        row[[i * m + b for i in range(n)]] = lengths
        row[n * m + b] = -room
        rows.append(row)
        low.append(-np.inf)
        high.append(0.0)
    answer = solve(
        cost, constraints=LinearConstraint(np.array(rows), low, high), integrality=np.ones(n * m + m),
        bounds=Bounds(0, 1), options={"time_limit": seconds},
    )  # fmt: skip
    assert answer.status == 0, answer.message
    return round(answer.fun)
