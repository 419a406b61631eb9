"""One section's problem in whole numbers: lengths counted in divisions of the tape, alike pieces in one kind.

A piece enters as its length and one kerf; a stick holds its length less its trims, and one kerf more because the last
cut may fall into the trim. Pieces whose like mitres may share a cut enter by their centre-line; what their free ends
then stick out is added by chain: two free ends where every piece is mitred at both ends, one where an odd number of
pieces is mitred at one end, none otherwise.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import ceil, floor, inf

import numpy as np
from numpy.typing import NDArray

from plowwright.shop.cutting_model import Piece, RemnantRule, Stick, cut_width
from plowwright.units.constants import INCH

Floats = NDArray[np.float64]
Pattern = tuple[tuple[int, int], ...]
"""Kinds of piece with how many of each, by rising kind."""

UNITS: tuple[float, ...] = (INCH / 16, 0.001, INCH / 32, INCH / 64, 0.0005)
"""Divisions tried in turn until every length is whole [m]."""
ROUNDED = INCH / 32
"""Division that pieces are rounded up to where no other serves: the finest on a tape [m]."""
_HAIR = 1e-4


@dataclass(frozen=True, kw_only=True)
class Kind:
    """Pieces that take the same length of stick.

    Attributes:
        size: Length it enters with, kerf included [grid].
        mitre: Which chain of like mitres it belongs to; -1 for none [-].
        singles: Whether it is mitred at one end only.
        pieces: The pieces themselves.
    """

    size: int
    mitre: int
    singles: bool
    pieces: tuple[Piece, ...]


@dataclass(frozen=True, kw_only=True)
class Stock:
    """Sticks of one length in the grid.

    Attributes:
        stick: What they are.
        capacity: What it holds of lengths with kerf [grid].
        start: From the left trim to the far end [grid].
        limit: How many there are, None for no limit [-].
        costs: Cost by length used, the drop's worth taken off where it is kept [money].
        keeps: Whether the drop is kept, by length used [-].
    """

    stick: Stick
    capacity: int
    start: int
    limit: int | None
    costs: Floats
    keeps: NDArray[np.bool_]


@dataclass(frozen=True, kw_only=True)
class Problem:
    """One section to be planned.

    Attributes:
        stock: Section.
        unit: Length of one division [m].
        kinds: Pieces by what they take, the longest first.
        overhangs: What one free end of each chain sticks out [grid].
        stocks: Sticks to cut from.
        places: How many drops the rack takes, None for no limit [-].
    """

    stock: str
    unit: float
    kinds: tuple[Kind, ...]
    overhangs: tuple[int, ...]
    stocks: tuple[Stock, ...]
    places: int | None

    @cached_property
    def sizes(self) -> NDArray[np.int64]:
        """Lengths with kerf [grid]."""
        return np.array([k.size for k in self.kinds], dtype=np.int64)

    @cached_property
    def demand(self) -> NDArray[np.int64]:
        """How many of each kind [-]."""
        return np.array([len(k.pieces) for k in self.kinds], dtype=np.int64)

    @cached_property
    def longest(self) -> int:
        """Most that any stick holds [grid]."""
        return max(s.capacity for s in self.stocks)

    def used(self, pattern: Iterable[tuple[int, int]]) -> int:
        """Length that a pattern takes [grid]."""
        total = 0
        double: set[int] = set()
        single: dict[int, int] = {}
        for kind, count in pattern:
            k = self.kinds[kind]
            total += count * k.size
            if k.mitre >= 0 and count:
                if k.singles:
                    single[k.mitre] = single.get(k.mitre, 0) + count
                else:
                    double.add(k.mitre)
        for chain in double | single.keys():
            ones = single.get(chain, 0)
            total += self.overhangs[chain] * (ones % 2 if ones else 2)
        return total

    def cheapest(self, used: int, left: Sequence[float] | None = None) -> int | None:
        """The stock that holds a used length at least cost, None where none does.

        Args:
            used: Length used [grid].
            left: How many of each stock are left [-]; left out, as many as wanted.
        """
        best, cost = None, inf
        for at, stock in enumerate(self.stocks):
            free = left is None or left[at] >= 1
            if free and stock.capacity >= used and stock.costs[used] < cost - 1e-12:
                best, cost = at, float(stock.costs[used])
        return best


@dataclass(frozen=True, kw_only=True)
class Column:
    """A pattern on a stick.

    Attributes:
        pattern: Which kinds and how many.
        stock: Which stick, by its place among the problem's stocks [-].
        used: Length used [grid].
        cost: Price less the worth of the kept drop [money].
        kept: Whether the drop's worth is counted.
    """

    pattern: Pattern
    stock: int
    used: int
    cost: float
    kept: bool


def column(problem: Problem, pattern: Pattern, stock: int, *, keep: bool = True) -> Column:
    """A pattern on a stick with what it costs.

    Args:
        problem: The section's problem.
        pattern: Kinds and counts.
        stock: Which stick [-].
        keep: Whether the drop may go to the rack.
    """
    used, on = problem.used(pattern), problem.stocks[stock]
    kept = keep and bool(on.keeps[used])
    cost = float(on.costs[used]) if kept or not on.keeps[used] else on.stick.price
    return Column(pattern=pattern, stock=stock, used=used, cost=cost, kept=kept)


def build(
    pieces: Sequence[Piece], sticks: Sequence[Stick], *, kerf: float, trim: float, rule: RemnantRule, share: bool
) -> Problem:
    """One section's pieces and sticks in whole numbers.

    Args:
        pieces: All of one section.
        sticks: All of the same section.
        kerf: Width of a cut [m].
        trim: Off each trimmed end [m].
        rule: Which drops are kept and what they are worth [-].
        share: Whether like mitres may share a cut.
    """
    unit = _unit([*(p.length for p in pieces), *(s.length for s in sticks), kerf, trim])
    chains: dict[tuple[float, float, str], int] = {}
    groups: dict[tuple[int, int, bool], list[Piece]] = {}
    for piece in pieces:
        chain = _chain(piece) if share else None
        if chain is None:
            angle = max(abs(end.angle) if end else 0.0 for end in piece.ends)
            groups.setdefault((_up(piece.length + cut_width(kerf, angle), unit), -1, False), []).append(piece)
        else:
            number = chains.setdefault(chain, len(chains))
            size = _up(piece.centre_line + cut_width(kerf, chain[0]), unit)
            groups.setdefault((size, number, None in piece.ends), []).append(piece)
    kinds = tuple(
        Kind(size=size, mitre=chain, singles=single, pieces=tuple(group))
        for (size, chain, single), group in sorted(groups.items(), key=lambda g: (-g[0][0], g[0][1], g[0][2]))
    )
    overhangs = tuple(_up(p.ends[0].overhang if p.ends[0] else p.ends[1].overhang if p.ends[1] else 0.0, unit)
                      for p in (_first(kinds, number) for number in range(len(chains))))  # fmt: skip
    return Problem(
        stock=pieces[0].stock,
        unit=unit,
        kinds=kinds,
        overhangs=overhangs,
        stocks=tuple(_stock(s, kerf, trim, rule, unit) for s in sticks),
        places=rule.places,
    )


def _first(kinds: Sequence[Kind], chain: int) -> Piece:
    return next(k.pieces[0] for k in kinds if k.mitre == chain)


def _chain(piece: Piece) -> tuple[float, float, str] | None:
    """Angle, depth and side of the mitre that may be shared, None where none may be."""
    cut = [(round(abs(e.angle), 6), round(e.depth, 6), e.side) for e in piece.ends if e is not None]
    return cut[0] if piece.flips and cut and len(set(cut)) == 1 else None


def _unit(lengths: Iterable[float]) -> float:
    all_of = list(lengths)
    for unit in UNITS:
        if all(abs(x / unit - round(x / unit)) < _HAIR for x in all_of):
            return unit
    return ROUNDED


def _up(length: float, unit: float) -> int:
    return ceil(length / unit - _HAIR)


def _stock(stick: Stick, kerf: float, trim: float, rule: RemnantRule, unit: float) -> Stock:
    trims = trim * stick.trimmed_ends
    capacity = max(0, floor((stick.length - trims + kerf) / unit + _HAIR))
    # A remnant with one sawn end is laid with that end to the left, and only its far end is trimmed.
    left = trim if stick.trimmed_ends == 2 else 0.0
    drops = stick.length - left - np.arange(capacity + 1) * unit
    worth = np.array([rule.worth(float(drop), stick) for drop in drops])
    return Stock(
        stick=stick,
        capacity=capacity,
        start=floor((stick.length - left) / unit + _HAIR),
        limit=stick.limit,
        costs=stick.price - worth,
        keeps=worth > 0,
    )
