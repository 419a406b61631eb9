"""One section planned with every stick there is, and again with fewer where the first plan is not proved."""

from __future__ import annotations

from dataclasses import replace

from plowwright.shop.cutting_grid import Problem, column
from plowwright.shop.cutting_limits import Limits
from plowwright.shop.cutting_search import Found, Search


def solve(problem: Problem, limits: Limits) -> Found:
    """Search with every stick; where nothing is proved, also without what need not be used.

    More to choose from must not make a plan dearer, which a search that stops early cannot promise by itself.

    Args:
        problem: The problem.
        limits: When to stop.
    """
    others = _subsets(problem)
    found = Search(problem, limits.part(0.7) if others else limits).run()
    for number, stocks in enumerate(others):
        if found.proved or limits.halt() or found.missing > 1e-6:
            break
        less = replace(problem, stocks=tuple(problem.stocks[at] for at in stocks))
        quiet = limits.part(1 / (len(others) - number)).silent()
        other = Search(less, quiet).run()
        if other.whole.complete and other.whole.cost < found.whole.cost - 1e-9:
            columns = tuple(column(problem, c.pattern, stocks[c.stock], keep=c.kept) for c in other.whole.columns)
            found = replace(found, whole=replace(other.whole, columns=columns), method=other.method)
    return found


def _subsets(problem: Problem) -> list[tuple[int, ...]]:
    """The sticks that can be bought without those that are there once, then each of their lengths by itself."""
    bought = [at for at, s in enumerate(problem.stocks) if s.limit is None]
    out: list[tuple[int, ...]] = [tuple(bought)] if 0 < len(bought) < len(problem.stocks) else []
    if 1 < len(bought) <= 3:
        out += [(at,) for at in bought]
    return out
