"""What the nester refuses before it starts, each time with piece or sheet, value, limit and way out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from math import inf, isfinite, isnan, pi

import shapely

from plowwright.errors import PlanInputError
from plowwright.physics.regions import flatten
from plowwright.shop.nesting_fill import Ground, Item
from plowwright.shop.nesting_model import Outline, RestRule, Sheet
from plowwright.units import tape

WITH_THE_GRAIN = (0.0, pi)
"""Angles that leave a piece's u axis along the sheet [rad]."""


def turns_of(outline: Outline, rotations: Sequence[float]) -> tuple[float, ...]:
    """Angles at which a piece may lie [rad]; with the grain only 0 and 180 deg of them, and 0 if it has neither.

    Args:
        outline: The piece.
        rotations: For pieces that name none [rad].
    """
    own = rotations if outline.turns is None else outline.turns
    turns = tuple({round(t % (2 * pi), 9) % round(2 * pi, 9): t % (2 * pi) for t in own}.values())
    if outline.grain:
        turns = tuple(t for t in turns if min(t, abs(t - pi)) < 1e-9) or (0.0,)
    return turns


def check_entry(
    outlines: Sequence[Outline],
    sheets: Sequence[Sheet],
    gap: float,
    edge: float,
    rotations: Sequence[float],
    rule: RestRule,
    seconds: float,
) -> None:
    """Refuse what no nest can be made from.

    Args:
        outlines: To be cut.
        sheets: To cut from.
        gap: Between two pieces [m].
        edge: From a piece to the sheet's edge [m].
        rotations: Angles at which pieces may lie [rad].
        rule: Which rests are kept [-].
        seconds: Time given [s].

    Raises:
        PlanInputError: Something makes no sense, or there is no sheet of a piece's stock.
    """
    _settings(gap, edge, rotations, rule, seconds)
    twice = sorted(tag for tag, count in Counter(o.tag for o in outlines).items() if count > 1)
    if twice:
        raise PlanInputError(
            "two pieces share a tag", value=", ".join(twice[:5]), limit="one tag, one piece",
            way_out="Number alike pieces of one order, as 421M web 1/6 and 421M web 2/6.",
        )  # fmt: skip
    seen: set[tuple[object, object]] = set()
    for outline in outlines:
        if (outline.outer, outline.inner) not in seen:
            _outline(outline)
            seen.add((outline.outer, outline.inner))
        if outline.turns is not None and not (outline.turns and all(isfinite(t) for t in outline.turns)):
            raise PlanInputError(
                "a piece has no angle to lie at", where=outline.tag, limit="at least one angle",
                way_out='Give its angles, for example "0 deg, 180 deg", or leave them out.',
            )  # fmt: skip
    for sheet in sheets:
        _sheet(sheet)
    there = {s.stock for s in sheets if s.buyable or s.on_hand}
    for outline in outlines:
        if outline.stock not in there:
            raise PlanInputError(
                "no sheet of this stock is listed", where=outline.tag, value=outline.stock,
                limit=f"listed: {', '.join(sorted(there)) or 'none'}",
                way_out="Add its sheets; another thickness is another stock.",
            )  # fmt: skip


def _settings(gap: float, edge: float, rotations: Sequence[float], rule: RestRule, seconds: float) -> None:
    for name, value in (("gap", gap), ("distance to the edge", edge), ("least rest", rule.least)):
        if not (isfinite(value) and value >= 0) and not (name == "least rest" and value == inf):
            raise PlanInputError(
                f"the {name} must not be below zero", value=tape(value) if isfinite(value) else str(value),
                limit="0 in or more", way_out='Give a length, for example "3/8 in".',
            )  # fmt: skip
    if not rotations or not all(isfinite(r) for r in rotations):
        raise PlanInputError(
            "pieces need an angle to lie at", limit="at least one angle",
            way_out='Give the angles, for example "0 deg, 90 deg, 180 deg, 270 deg".',
        )  # fmt: skip
    if not (0 <= rule.value_share < 1 and rule.handling >= 0):
        raise PlanInputError(
            "a kept rest is worth a share of what its sheet cost, less handling",
            value=f"share {rule.value_share:g}, handling {rule.handling:g}",
            limit="share 0 or more and below 1, handling 0 or more",
            way_out="Give 0.4 for four tenths; at 1 it would pay to buy sheets to keep.",
        )  # fmt: skip
    if isnan(seconds) or seconds <= 0:
        raise PlanInputError(
            "a nest needs some time", value=f"{seconds:g} s", limit="above 0 s",
            way_out="Twenty seconds are plenty for a week's orders.",
        )  # fmt: skip


def _outline(outline: Outline) -> None:
    loops = [outline.outer, *outline.inner, *outline.drilled]
    if any(len(loop) < 2 or not all(isfinite(x) for vertex in loop for x in vertex) for loop in loops):
        raise PlanInputError(
            "an outline needs corners with sizes", where=outline.tag, limit="three corners, or two and an arc",
            way_out="Draw it again, closed.",
        )  # fmt: skip
    runs = [flatten(loop) for loop in loops]
    if any(len(run) < 3 for run in runs):
        raise PlanInputError(
            "an outline encloses nothing", where=outline.tag, value=f"{min(len(r) for r in runs)} corners",
            limit="three corners, or two and an arc", way_out="Draw it again, closed.",
        )  # fmt: skip
    shape = shapely.Polygon(runs[0])
    if not shape.is_valid or shape.area <= 1e-8:
        raise PlanInputError(
            "an outline crosses itself or encloses nothing", where=outline.tag,
            value=shapely.is_valid_reason(shape).lower(), limit="one closed outline with an inside",
            way_out="Draw it again without the crossing; places are in metres of the part's own axes.",
        )  # fmt: skip
    for number, run in enumerate(runs[1:], 1):
        hole = shapely.Polygon(run)
        if not (hole.is_valid and shape.buffer(1e-7).contains(hole)):
            raise PlanInputError(
                "an opening crosses itself or reaches out of its outline", where=f"{outline.tag}, opening {number}",
                value=f"{hole.difference(shape).area * 1e6:.1f} mm2 outside" if hole.is_valid else "crosses itself",
                limit="inside the outline", way_out="Draw the opening again, or make it part of the outline.",
            )  # fmt: skip


def _sheet(sheet: Sheet) -> None:
    if not (isfinite(sheet.length) and isfinite(sheet.width) and min(sheet.length, sheet.width) > 0):
        raise PlanInputError(
            "a sheet needs a length and a width", where=sheet.tag or sheet.stock,
            value=f"{sheet.length:g} m by {sheet.width:g} m", limit="above 0 in",
            way_out='Give it as bought, for example "60 in x 120 in".',
        )  # fmt: skip
    if not (isfinite(sheet.price) and (sheet.price > 0 or (sheet.price == 0 and not sheet.buyable))):
        raise PlanInputError(
            "a sheet that can be bought needs a price; a remnant may be free", where=sheet.in_words(),
            value=f"{sheet.price:g}", limit="above 0, or 0 for what cannot be bought",
            way_out="Give what one sheet costs.",
        )  # fmt: skip
    if sheet.on_hand < 0 or (sheet.tag and (sheet.buyable or sheet.on_hand > 1)):
        raise PlanInputError(
            "a sheet's count makes no sense", where=sheet.in_words(),
            value=f"{sheet.on_hand} on hand{', can be bought' if sheet.buyable else ''}",
            limit="0 or more on hand; a tagged remnant is there once and cannot be bought",
            way_out="Count behind the table again, and give each remnant a tag of its own.",
        )  # fmt: skip


def check_fit(item: Item, sheets: Sequence[Sheet], ground: Ground) -> None:
    """Refuse a piece that fits on no sheet at any of its angles.

    Args:
        item: The piece.
        sheets: Sheets of its stock.
        ground: Gap and distance to the edge.

    Raises:
        PlanInputError: With the piece's size, the largest sheet, and the way out.
    """
    fields = [ground.field(s) for s in sheets]
    if any(pose.length <= a and pose.width <= b for pose in item.poses for a, b in fields):
        return
    largest = max(sheets, key=lambda s: s.area)
    free = (max(0.0, largest.length - 2 * ground.edge), max(0.0, largest.width - 2 * ground.edge))
    raise PlanInputError(
        "a piece fits on no sheet", where=item.outline.tag,
        value=" x ".join(tape(x) for x in item.outline.size),
        limit=f"{largest.in_words()}, of which {tape(free[1])} x {tape(free[0])} is left inside the edge",
        way_out="Add a larger sheet, allow another angle, or splice the piece and enter its parts.",
    )  # fmt: skip
