"""From patterns to sticks a sawyer can cut: which piece with which tag, in which order, turned which way."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from plowwright.shop.cutting_grid import Column, Kind, Problem
from plowwright.shop.cutting_model import CutStick, Piece, Placed, cut_width


def lay_out(problem: Problem, columns: Sequence[Column], *, kerf: float, trim: float) -> tuple[CutStick, ...]:
    """Put tagged pieces on the sticks of a plan, rush pieces on as few sticks as can be, those sticks first.

    Args:
        problem: The problem.
        columns: One for each stick; together they hold every piece once.
        kerf: Width of a cut [m].
        trim: Off each trimmed end [m].
    """
    waiting = [sorted(k.pieces, key=lambda p: not p.rush) for k in problem.kinds]
    out: list[CutStick] = []
    for c in _in_saw_order(problem, columns):
        taken = [(problem.kinds[kind], [waiting[kind].pop(0) for _ in range(count)]) for kind, count in c.pattern]
        out.append(_stick(problem, c, taken, kerf, trim))
    return tuple(out)


def _in_saw_order(problem: Problem, columns: Sequence[Column]) -> list[Column]:
    """Sticks that hold most of the rush pieces still waiting first; then the fullest; equal ones together."""
    rush = np.array([sum(p.rush for p in k.pieces) for k in problem.kinds])
    rest = sorted(columns, key=lambda c: (-problem.stocks[c.stock].stick.length, c.pattern))
    order: list[Column] = []
    while rush.any() and rest:
        helps = [sum(min(count, int(rush[kind])) for kind, count in c.pattern) for c in rest]
        at = int(np.argmax(helps))
        c = rest.pop(at)
        for kind, count in c.pattern:
            rush[kind] -= min(count, int(rush[kind]))
        order.append(c)
    return order + rest


def _stick(problem: Problem, c: Column, taken: list[tuple[Kind, list[Piece]]], kerf: float, trim: float) -> CutStick:
    stock = problem.stocks[c.stock]
    units = [[piece] for kind, pieces in taken if kind.mitre < 0 for piece in pieces]
    for chain in sorted({kind.mitre for kind, _ in taken if kind.mitre >= 0}):
        single = [p for kind, pieces in taken if kind.mitre == chain and kind.singles for p in pieces]
        double = [p for kind, pieces in taken if kind.mitre == chain and not kind.singles for p in pieces]
        units += _chained(single, double)
    units.sort(key=lambda unit: (not any(p.rush for p in unit), -unit[0].length, unit[0].tag))
    placed: list[Placed] = []
    cursor = trim if stock.stick.trimmed_ends == 2 else 0.0
    for unit in units:
        laid = _laid(unit, cursor, kerf)
        placed += laid
        cursor = laid[-1].from_to[1] + cut_width(kerf, laid[-1].ends[1])
    return CutStick(
        stick=stock.stick,
        placed=tuple(placed),
        drop=max(0, stock.start - c.used) * problem.unit,
        kept=c.kept,
        cost=c.cost,
    )


def _chained(single: list[Piece], double: list[Piece]) -> list[list[Piece]]:
    """Runs of pieces that share their mitre cuts: a pair of one-sided pieces closes a run at both ends."""
    runs: list[list[Piece]] = []
    ones = list(single)
    if double:
        opening = [ones.pop(0)] if ones else []
        closing = [ones.pop(0)] if opening and len(single) % 2 == 0 else []
        runs.append([*opening, *double, *closing])
    while ones:
        runs.append([ones.pop(0) for _ in range(min(2, len(ones)))])
    return runs


def _laid(unit: list[Piece], cursor: float, kerf: float) -> list[Placed]:
    out: list[Placed] = []
    for number, piece in enumerate(unit):
        if len(unit) == 1:
            way = Placed(piece=piece, start=0.0)
        elif number == 0:
            way = _opening(piece)
        else:
            way = _following(piece, -out[-1].ends[1])
        if not out:
            start = cursor + (way.start - way.from_to[0])
        else:
            before = out[-1]
            start = before.start + before.piece.centre_line + cut_width(kerf, before.ends[1])
        out.append(Placed(piece=piece, start=start, turned=way.turned, flipped=way.flipped))
    return out


def _ways(piece: Piece) -> list[Placed]:
    return [
        Placed(piece=piece, start=0.0, turned=turned, flipped=flipped)
        for turned in (False, True)
        for flipped in (False, True)
    ]


def _opening(piece: Piece) -> Placed:
    """Any way with a mitre at its right end."""
    return next(way for way in _ways(piece) if way.ends[1])


def _following(piece: Piece, left: float) -> Placed:
    """The way whose left end is parallel to the cut before it."""
    return next(way for way in _ways(piece) if abs(way.ends[0] - left) < 1e-6)
