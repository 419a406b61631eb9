"""What no nest can cost less than: by area, the gap counted, and by large pieces of which no two share a sheet."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from scipy.optimize import Bounds, LinearConstraint, milp

from plowwright.physics.regions import flatten
from plowwright.shop.nesting_fill import Ground, Item
from plowwright.shop.nesting_model import Outline, RestRule, Sheet
from plowwright.shop.nesting_shapes import Posed, least_width

_CHORD = 2e-5
_LARGE = 40
"""So many of the largest pieces are looked at in pairs [-]."""
_SURE = 1e-5


def held_area(outline: Outline, gap: float, least_hole: float) -> float:
    """Area that no other piece's share of the gap can enter, a little less than it is [m2].

    Args:
        outline: The piece.
        gap: Between two pieces [m].
        least_hole: Openings narrower than this take no piece [m].
    """
    holes = [flatten(loop, _CHORD) for loop in outline.inner]
    open_ones = [h for h in holes if least_width(h) >= least_hole - 10 * _CHORD]
    shape = shapely.Polygon(flatten(outline.outer, _CHORD), open_ones)
    # Its polygon may lie outside the true one by a chord's error, all along.
    return max(outline.area, shape.buffer(gap / 2, quad_segs=16).area - _CHORD * shape.length)


def each_by_itself(items: Sequence[Item], sheets: Sequence[Sheet], ground: Ground) -> tuple[tuple[int, list[int]], ...]:
    """Large pieces of which no two go on one sheet: so many of them, and the sheets that hold those.

    Args:
        items: The pieces.
        sheets: The sheets.
        ground: Gap, edge and what pairs of shapes bar.
    """
    fields = [ground.field(s) for s in sheets]
    known: dict[tuple[object, object], bool] = {}
    apart: list[Item] = []
    for item in sorted(items, key=lambda i: -i.area)[:_LARGE]:
        if all(_conflict(item, other, fields, ground, known) for other in apart):
            apart.append(item)
    served = [tuple(k for k, f in enumerate(fields) if _fits(item, f)) for item in apart]
    return tuple((sum(set(other) <= set(held) for other in served), [*held]) for held in dict.fromkeys(served))


def _fits(item: Item, of: tuple[float, float]) -> bool:
    return any(p.length <= of[0] and p.width <= of[1] for p in item.poses)


def _conflict(
    a: Item, b: Item, fields: Sequence[tuple[float, float]], ground: Ground, known: dict[tuple[object, object], bool]
) -> bool:
    """Whether two pieces fit side by side, or one in the other, on no sheet at any of their angles."""
    pair = (tuple(p.key for p in a.poses), tuple(p.key for p in b.poses))
    if pair not in known:
        known[pair] = not any(_beside(p, q, of, ground) for of in fields for p in a.poses for q in b.poses)
    return known[pair]


def _beside(p: Posed, q: Posed, of: tuple[float, float], ground: Ground) -> bool:
    spare = [of[0] - p.length, of[1] - p.width, of[0] - q.length, of[1] - q.width]
    if min(spare) < 0:
        return False
    # Where the second's corner can be against the first's, each anywhere on the sheet; a little more, to be sure.
    reach = shapely.box(-spare[0] - _SURE, -spare[1] - _SURE, spare[2] + _SURE, spare[3] + _SURE)
    return not ground.shapes.barred(p, q).contains(reach)


def least_cost(
    outlines: Sequence[Outline],
    grown_area: float,
    fields: Sequence[float],
    sheets: Sequence[Sheet],
    rule: RestRule,
    apart: Sequence[tuple[int, list[int]]] = (),
) -> float:
    """The cheapest sheets whose fields hold the grown shapes' area, their rests all worth keeping [money].

    Grown shapes do not overlap and lie in the field, so their area is no more than that of the fields. A rest is no
    more than the sheet less its pieces, and worth no more than its share of the price.

    Args:
        outlines: The pieces.
        grown_area: Area of the shapes grown by half the gap [m2].
        fields: Area of each sheet's field, in which grown shapes lie [m2].
        sheets: The sheets.
        rule: Which rests are kept [-].
        apart: So many sheets are needed at least of those listed, by place in the list [-].
    """
    net = sum(o.area for o in outlines)
    n = len(sheets)
    share = rule.value_share
    # Columns: how many of each sheet, then how much metal of the pieces lies on sheets of that kind.
    cost = [(1 - share) * s.price for s in sheets] + [share * s.price / s.area for s in sheets]
    rows = [
        [*fields, *[0.0] * n],
        [*[0.0] * n, *[1.0] * n],
        *[[*[s.area if k == at else 0.0 for k in range(n)], *[-1.0 if k == at else 0.0 for k in range(n)]]
          for at, s in enumerate(sheets)],
    ]  # fmt: skip
    rows += [[*[1.0 if k in those else 0.0 for k in range(n)], *[0.0] * n] for _, those in apart]
    low = [grown_area, net, *[0.0] * n, *[float(count) for count, _ in apart]]
    high = [np.inf] * len(low)
    most = [np.inf if s.limit is None else float(s.limit) for s in sheets] + [np.inf] * n
    found = milp(
        cost,
        constraints=LinearConstraint(np.array(rows), low, high),
        bounds=Bounds(np.zeros(2 * n), np.array(most)),
        integrality=np.array([1] * n + [0] * n),
    )
    # Without an answer nothing is proved; what is stated must hold all the same.
    if not found.success or found.mip_dual_bound is None:
        return 0.0
    return max(0.0, float(found.mip_dual_bound))
