"""Counting the cycles in a load history by the rainflow method of ASTM E1049-85, whole in this module.

Clause 5.4.4: a range is counted when the next one is as large; as a whole cycle when it lies inside the history, as a
half when it holds the first point; what is left at the end counts as halves.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise


@dataclass(frozen=True, slots=True, kw_only=True)
class Cycle:
    """One counted cycle, in the unit of the history.

    Attributes:
        range: From valley to peak [unit of the history].
        mean: Middle between both [unit of the history].
        count: 1 for a whole cycle, 0.5 for a half [-].
    """

    range: float
    mean: float
    count: float


def reversals(history: Iterable[float]) -> tuple[float, ...]:
    """The points where a history turns, its first and last included.

    Args:
        history: Values in time order [any one unit].

    Source: ASTM E1049-85 (2017) 3.1.
    """
    kept: list[float] = []
    for value in history:
        if kept and value == kept[-1]:
            continue
        if len(kept) > 1 and (kept[-1] - kept[-2]) * (value - kept[-1]) > 0:
            kept[-1] = value
        else:
            kept.append(value)
    return tuple(kept)


def cycles(history: Iterable[float]) -> tuple[Cycle, ...]:
    """Every cycle of a history, in the order the rule counts them.

    Args:
        history: Values in time order [any one unit].

    Returns:
        Cycles with range, mean and count; none for a history that does not turn or move.

    Source: ASTM E1049-85 (2017) 5.4.4.

    >>> found = cycles([-2, 1, -3, 5, -1, 3, -4, 4, -2])
    >>> [(c.range, c.count) for c in found]
    [(3, 0.5), (4, 0.5), (4, 1.0), (8, 0.5), (9, 0.5), (8, 0.5), (6, 0.5)]
    """
    found: list[Cycle] = []
    open_points: list[float] = []
    for point in reversals(history):
        open_points.append(point)
        while len(open_points) > 2:
            before, last = (abs(open_points[i] - open_points[i - 1]) for i in (-2, -1))
            if last < before:
                break
            if len(open_points) == 3:
                found.append(_cycle(open_points[0], open_points[1], 0.5))
                del open_points[0]
            else:
                found.append(_cycle(open_points[-3], open_points[-2], 1.0))
                del open_points[-3:-1]
    found += [_cycle(a, b, 0.5) for a, b in pairwise(open_points)]
    return tuple(found)


def counted(found: Sequence[Cycle]) -> dict[float, float]:
    """Cycles by range, rising.

    Args:
        found: Cycles, as `cycles` gives them.

    Returns:
        Number of cycles by range.

    >>> counted(cycles([-2, 1, -3, 5, -1, 3, -4, 4, -2]))
    {3: 0.5, 4: 1.5, 6: 0.5, 8: 1.0, 9: 0.5}
    """
    total: dict[float, float] = {}
    for cycle in found:
        total[cycle.range] = total.get(cycle.range, 0.0) + cycle.count
    return dict(sorted(total.items()))


def _cycle(a: float, b: float, count: float) -> Cycle:
    return Cycle(range=abs(b - a), mean=(a + b) / 2, count=count)
