"""The checker of nests: builds every piece from its own loops and believes nothing. Shares no code with the nester.

Arcs are struck here anew, by chords no further than `CHORD` from them, so a distance is right to twice that. What may
be off is `HAIR`: a fiftieth of a millimetre, which no torch holds.
"""

from __future__ import annotations

from cmath import exp, phase
from collections import Counter
from collections.abc import Iterable, Sequence
from math import atan, ceil, pi, sqrt

from shapely import Polygon, STRtree

from plowwright.errors import PlanFaultError
from plowwright.shop.nesting_model import NestedSheet, NestPlan, Outline, PlacedOutline, RestRule, Sheet
from plowwright.units import tape

HAIR = 2e-5
"""How much closer than the gap two pieces may lie, and how far over the edge [m]."""
CHORD = 4e-6
_CENT = 1e-6
_ANGLE = 1e-9


def check(
    plan: NestPlan,
    outlines: Sequence[Outline],
    sheets: Sequence[Sheet],
    gap: float,
    edge: float,
    rotations: Sequence[float],
    rule: RestRule,
) -> None:
    """Refuse a nest that loses a piece, lays two too close or one too far out, oversteps a stock, or says a wrong cost.

    Args:
        plan: The nest.
        outlines: What was to be cut.
        sheets: What there was to cut from.
        gap: Least distance between two pieces [m].
        edge: Least distance from a piece to the sheet's edge [m].
        rotations: Angles at which pieces may lie that name none themselves [rad].
        rule: Which rests are kept and what they are worth [-].

    Raises:
        PlanFaultError: It breaks one of its rules; names sheet, piece and value.
    """
    _every_piece_once(plan, outlines)
    _stock_respected(plan, sheets)
    for nested in plan.sheets:
        _angles(nested, rotations)
        shapes = [shape_of(p) for p in nested.placed]
        _inside(nested, shapes, edge)
        _apart(nested, shapes, gap)
        _rests(nested, shapes, gap, rule)
    _totals(plan)
    _order(plan)


def shape_of(placed: PlacedOutline) -> Polygon:
    """A piece as it lies, from its own loops.

    Args:
        placed: The piece.
    """
    outline = placed.outline
    # Drilled holes stay closed: nothing can be cut from inside one.
    return Polygon(_ring(placed, outline.outer), [_ring(placed, loop) for loop in outline.inner])


def _ring(placed: PlacedOutline, loop: Sequence[tuple[float, float, float]]) -> list[tuple[float, float]]:
    turn, at = exp(1j * placed.turn), complex(placed.x, placed.y)
    points: list[complex] = []
    for (u, v, bulge), (end_u, end_v, _) in zip(loop, [*loop[1:], loop[0]], strict=True):
        start, end = complex(u, v), complex(end_u, end_v)
        points.append(start)
        if bulge:
            # From the chord's middle the centre lies to the left by (1 - b2) / 4b of the chord.
            centre = (start + end) / 2 + 1j * (end - start) * (1 - bulge * bulge) / (4 * bulge)
            arm, sweep = start - centre, 4 * atan(bulge)
            parts = max(2, ceil(abs(sweep) / sqrt(8 * CHORD / max(abs(arm), 4 * CHORD))))
            points.extend(centre + arm * exp(1j * sweep * k / parts) for k in range(1, parts))
    moved = [at + turn * p for p in points]
    return [(p.real, p.imag) for p in moved]


def _every_piece_once(plan: NestPlan, outlines: Sequence[Outline]) -> None:
    wanted = {o.tag: o for o in outlines}
    seen = Counter(o.tag for o in plan.pieces)
    _refuse("a piece is on no sheet", (tag for tag in wanted if tag not in seen))
    _refuse("a piece nobody asked for is on a sheet", (tag for tag in seen if tag not in wanted))
    _refuse("a piece is cut more than once", (tag for tag, count in seen.items() if count > 1))
    _refuse("a piece is not as it was asked for", (o.tag for o in plan.pieces if o != wanted[o.tag]))


def _refuse(what: str, tags: Iterable[str]) -> None:
    if named := sorted(tags):
        raise PlanFaultError(what, value=", ".join(named[:5]))


def _stock_respected(plan: NestPlan, sheets: Sequence[Sheet]) -> None:
    there = Counter[Sheet]()
    endless: set[Sheet] = set()
    for sheet in sheets:
        there[sheet] += sheet.on_hand
        if sheet.buyable:
            endless.add(sheet)
    for sheet, count in Counter(n.sheet for n in plan.sheets).items():
        if sheet not in there:
            raise PlanFaultError("a sheet that is not in the list is cut", value=sheet.in_words())
        if sheet not in endless and count > there[sheet]:
            raise PlanFaultError(
                "more is cut than there is", value=f"{count} of {sheet.in_words()}", limit=f"{there[sheet]} on hand"
            )


def _angles(nested: NestedSheet, rotations: Sequence[float]) -> None:
    where = f"sheet {nested.number} ({nested.sheet.in_words()})"
    if not nested.placed:
        raise PlanFaultError("a sheet with nothing on it", where=where)
    for placed in nested.placed:
        outline = placed.outline
        if outline.stock != nested.sheet.stock:
            raise PlanFaultError(
                "a piece lies on another stock", where=where, value=f"{outline.tag} wants {outline.stock}",
                limit=nested.sheet.stock,
            )  # fmt: skip
        allowed = outline.turns if outline.turns is not None else rotations
        listed = any(abs(phase(exp(1j * (placed.turn - a)))) < _ANGLE for a in allowed)
        along = abs(exp(2j * placed.turn) - 1) < _ANGLE
        if (not listed and not (outline.grain and placed.turn == 0.0)) or (outline.grain and not along):
            raise PlanFaultError(
                "a piece lies at an angle it may not", where=where,
                value=f"{outline.tag} at {placed.turn * 180 / pi:.2f} deg",
                limit="0 and 180 deg, its grain" if outline.grain else "the angles listed",
            )  # fmt: skip


def _inside(nested: NestedSheet, shapes: Sequence[Polygon], edge: float) -> None:
    length, width = nested.sheet.length, nested.sheet.width
    for placed, shape in zip(nested.placed, shapes, strict=True):
        low_x, low_y, high_x, high_y = shape.bounds
        least = min(low_x, low_y, length - high_x, width - high_y)
        if least < edge - HAIR:
            raise PlanFaultError(
                "a piece lies too near the sheet's edge or beyond it",
                where=f"sheet {nested.number} ({nested.sheet.in_words()})",
                value=f"{placed.outline.tag}, {least * 1000:.2f} mm", limit=f"{edge * 1000:.2f} mm",
            )  # fmt: skip


def _apart(nested: NestedSheet, shapes: Sequence[Polygon], gap: float) -> None:
    where = f"sheet {nested.number} ({nested.sheet.in_words()})"
    tree = STRtree(shapes)
    tags = {p.outline.tag: at for at, p in enumerate(nested.placed)}
    for at, shape in enumerate(shapes):
        near: list[int] = [int(n) for n in tree.query(shape.buffer(gap, join_style="mitre"))]
        for other in (n for n in near if n > at):
            away = shape.distance(shapes[other])
            over = shape.intersection(shapes[other]).area if away == 0 else 0.0
            # Where no gap is asked for, an overlap no deeper than the hair is none.
            if away < gap - HAIR or over > HAIR * min(shape.length, shapes[other].length) / 2:
                raise PlanFaultError(
                    "two pieces overlap" if over > 0 else "two pieces lie closer than the gap", where=where,
                    value=f"{nested.placed[at].outline.tag}, {nested.placed[other].outline.tag}: "
                    + (f"{over * 1e6:.2f} mm2" if over > 0 else f"{away * 1000:.3f} mm"),
                    limit=f"{gap * 1000:.3f} mm apart",
                )  # fmt: skip
    for at, placed in enumerate(nested.placed):
        if placed.inside:
            host = shapes[tags[placed.inside]] if placed.inside in tags else Polygon()
            spot = shapes[at].representative_point()
            if not any(Polygon(ring).contains(spot) for ring in host.interiors):
                raise PlanFaultError(
                    "a piece does not lie in the opening it is said to", where=where,
                    value=f"{placed.outline.tag} in {placed.inside}",
                )  # fmt: skip


def _rests(nested: NestedSheet, shapes: Sequence[Polygon], gap: float, rule: RestRule) -> None:
    where = f"sheet {nested.number} ({nested.sheet.in_words()})"
    worth = 0.0
    boxes = [Polygon([(a, b), (c, b), (c, d), (a, d)]) for a, b, c, d in (r.box for r in nested.rests)]
    for at, (rest, box) in enumerate(zip(nested.rests, boxes, strict=True)):
        a, b, c, d = rest.box
        if min(a, b) < -HAIR or c > nested.sheet.length + HAIR or d > nested.sheet.width + HAIR:
            raise PlanFaultError("a rest reaches beyond its sheet", where=where, value=rest.tag)
        if min(c - a, d - b) < rule.least - HAIR:
            raise PlanFaultError(
                "a rest is kept that is of no use", where=where, value=f"{rest.tag}, {tape(min(c - a, d - b))}",
                limit=f"at least {tape(rule.least)}",
            )  # fmt: skip
        close = next((n for n, s in enumerate(shapes) if s.distance(box) < gap - HAIR), None)
        if close is not None:
            raise PlanFaultError(
                "a rest lies closer to a piece than the gap", where=where,
                value=f"{rest.tag}, {nested.placed[close].outline.tag}", limit=f"{gap * 1000:.2f} mm",
            )  # fmt: skip
        if any(box.intersection(other).area > _CENT for other in boxes[:at]):
            raise PlanFaultError("two rests overlap", where=where, value=rest.tag)
        area = nested.sheet.length * nested.sheet.width
        most = rule.value_share * nested.sheet.price * (c - a) * (d - b) / area - rule.handling
        if rest.worth > most + _CENT:
            raise PlanFaultError(
                "a rest counts for more than it is worth", where=where, value=f"{rest.worth:.4f}", limit=f"{most:.4f}"
            )
        worth += rest.worth
    if abs(nested.cost - (nested.sheet.price - worth)) > _CENT:
        raise PlanFaultError(
            "a sheet's cost is not its price less its rests", where=where, value=f"{nested.cost:.4f}",
            limit=f"{nested.sheet.price - worth:.4f}",
        )  # fmt: skip


def _totals(plan: NestPlan) -> None:
    for nest in plan.stocks:
        cost = sum(n.cost for n in nest.sheets)
        if abs(cost - nest.cost) > _CENT or nest.bound > cost + _CENT:
            raise PlanFaultError(
                "a stock's cost is not the sum of its sheets, or its bound lies above it", where=nest.stock,
                value=f"cost {nest.cost:.4f}, bound {nest.bound:.4f}", limit=f"sheets {cost:.4f}",
            )  # fmt: skip
        if any(n.sheet.stock != nest.stock for n in nest.sheets):
            raise PlanFaultError("a sheet is listed under another stock", where=nest.stock)


def _order(plan: NestPlan) -> None:
    numbers = sorted(n.number for n in plan.sheets)
    if numbers != list(range(1, len(numbers) + 1)):
        raise PlanFaultError("sheets are not numbered from 1 without a gap", value=str(numbers[:10]))
    last_rush = max((n.number for n in plan.sheets if n.rush), default=0)
    early = [n.number for n in plan.sheets if not n.rush and n.number < last_rush]
    if early:
        raise PlanFaultError("a sheet comes before one with a rush piece", value=f"sheet {early[0]}")
