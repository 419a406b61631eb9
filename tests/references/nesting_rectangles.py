"""The same pieces packed as bounding boxes by rectpack: the best of its heuristics, sheets downsized as ours are."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from math import inf
from typing import Any

import rectpack
from rectpack import maxrects, skyline

from plowwright.shop.nesting_model import Outline, RestRule, Sheet

UNIT = 1e-4
"""Lengths are counted in tenths of a millimetre [m]."""
ALGORITHMS = (maxrects.MaxRectsBl, maxrects.MaxRectsBssf, skyline.SkylineMwf)
SORTS = (rectpack.SORT_AREA, rectpack.SORT_LSIDE)
WAYS = (rectpack.PackingBin.BFF,)
Sizes = Sequence[tuple[int, int]]


def best_cost(outlines: Sequence[Outline], sheets: Sequence[Sheet], gap: float, edge: float, rule: RestRule) -> float:
    """The least cost of all heuristics, stock by stock, from whole sheets of each size in turn [money]."""
    total = 0.0
    for stock in dict.fromkeys(o.stock for o in outlines):
        own = [o for o in outlines if o.stock == stock]
        total += best_of_stock(own, [s for s in sheets if s.stock == stock], gap, edge, rule)
    return total


def best_of_stock(own: Sequence[Outline], sheets: Sequence[Sheet], gap: float, edge: float, rule: RestRule) -> float:
    sizes = [tuple(round((x + gap) / UNIT) for x in o.size) for o in own]
    return min(
        _cost(sizes, first, sheets, gap, edge, rule, algorithm, sort, way)  # type: ignore[arg-type]
        for first, algorithm, sort, way in product(sheets, ALGORITHMS, SORTS, WAYS)
    )


def _cost(
    sizes: Sizes, first: Sheet, sheets: Sequence[Sheet], gap: float, edge: float, rule: RestRule,
    algorithm: Any, sort: Any, way: Any,
) -> float:  # fmt: skip
    """Cost with whole sheets of one size, each then cut down to the cheapest that holds its boxes the same way."""
    held = _pack(sizes, [(first, len(sizes))], gap, edge, algorithm, sort, way)
    if held is None:
        return inf
    total = 0.0
    used: list[Sheet] = []
    for inside in held:
        best, taken = inf, None
        for sheet in sheets:
            if sheet.limit is not None and used.count(sheet) >= sheet.limit:
                continue
            again = _pack(inside, [(sheet, 1)], gap, edge, algorithm, sort, way, places=True)
            if again is None:
                continue
            cost = sheet.price - _rests(again, sheet, gap, edge, rule)
            if cost < best:
                best, taken = cost, sheet
        if taken is None:
            return inf
        used.append(taken)
        total += best
    return total


def _pack(
    sizes: Sizes, bins: Sequence[tuple[Sheet, int]], gap: float, edge: float, algorithm: Any, sort: Any, way: Any,
    *, places: bool = False,
) -> list[Any] | None:  # fmt: skip
    packer = rectpack.newPacker(
        mode=rectpack.PackingMode.Offline, bin_algo=way, pack_algo=algorithm, sort_algo=sort, rotation=True
    )
    for width, height in sizes:
        packer.add_rect(width, height)
    for sheet, count in bins:
        packer.add_bin(*(int((x - 2 * edge + gap) / UNIT + 1e-6) for x in (sheet.length, sheet.width)), count=count)
    packer.pack()
    laid = packer.rect_list()
    if len(laid) < len(sizes):
        return None
    if places:
        return laid
    held: dict[int, list[tuple[int, int]]] = {}
    for at, _, _, width, height, _ in laid:
        held.setdefault(at, []).append((width, height))
    return list(held.values())


def _rests(laid: Sequence[Any], sheet: Sheet, gap: float, edge: float, rule: RestRule) -> float:
    """Worth of what is left beside and above the boxes, by the same rule as ours [money]."""
    x = min(sheet.length, max(r[1] + r[3] for r in laid) * UNIT + edge)
    y = min(sheet.width, max(r[2] + r[4] for r in laid) * UNIT + edge)
    beside = rule.worth(sheet.length - x, sheet.width, sheet) + rule.worth(x, sheet.width - y, sheet)
    above = rule.worth(sheet.length, sheet.width - y, sheet) + rule.worth(sheet.length - x, y, sheet)
    return max(beside, above)
