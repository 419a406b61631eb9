"""What the cutting planner refuses before it starts, each time with piece or stick, value, limit and way out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from math import inf, isfinite, isnan, pi

from plowwright.errors import PlanInputError
from plowwright.shop.cutting_model import Piece, RemnantRule, Stick
from plowwright.units import tape

STEEPEST = pi * 80 / 180
"""Furthest from square that a saw cuts [rad]."""


def check_entry(
    pieces: Sequence[Piece],
    sticks: Sequence[Stick],
    kerf: float,
    trim: float,
    rule: RemnantRule,
    seconds: float,
) -> None:
    """Refuse what no plan can be made from.

    Args:
        pieces: To be cut.
        sticks: To cut from.
        kerf: Width of a cut [m].
        trim: Off each trimmed end [m].
        rule: Which drops are kept [-].
        seconds: Time given [s].

    Raises:
        PlanInputError: Something makes no sense, or a piece fits on no stick.
    """
    _settings(kerf, trim, rule, seconds)
    twice = sorted(tag for tag, count in Counter(p.tag for p in pieces).items() if count > 1)
    if twice:
        raise PlanInputError(
            "two pieces share a tag", value=", ".join(twice[:5]), limit="one tag, one piece",
            way_out="Number alike pieces of one order, as 421M-7.1 and 421M-7.2.",
        )  # fmt: skip
    for piece in pieces:
        _piece(piece)
    for stick in sticks:
        _stick(stick)
    by_stock: dict[str, list[Stick]] = {}
    for stick in sticks:
        by_stock.setdefault(stick.stock, []).append(stick)
    for piece in pieces:
        _has_stock(piece, by_stock)


def _settings(kerf: float, trim: float, rule: RemnantRule, seconds: float) -> None:
    for name, value in (("kerf", kerf), ("trim", trim), ("least useful remnant", rule.least)):
        if not (isfinite(value) and value >= 0) and not (name.startswith("least") and value == inf):
            raise PlanInputError(
                f"the {name} must not be below zero", value=_length(value), limit="0 in or more",
                way_out='Give a length, for example "1/8 in".',
            )  # fmt: skip
    if not 0 <= rule.value_share < 1:
        raise PlanInputError(
            "a kept drop is worth a share of what its stick cost", value=f"{rule.value_share:g}",
            limit="0 or more and below 1", way_out="Give 0.6 for six tenths; at 1 it would pay to buy sticks to keep.",
        )  # fmt: skip
    if rule.handling < 0 or (rule.places is not None and rule.places < 0):
        raise PlanInputError(
            "handling and places in the rack cannot be below zero",
            value=f"handling {rule.handling:g}, places {rule.places}", limit="0 or more",
            way_out="Leave places out for a rack without limit.",
        )  # fmt: skip
    if isnan(seconds) or seconds <= 0:
        raise PlanInputError(
            "a plan needs some time", value=f"{seconds:g} s", limit="above 0 s",
            way_out="Ten seconds are plenty for a week's orders.",
        )  # fmt: skip


def _piece(piece: Piece) -> None:
    if not (isfinite(piece.length) and piece.length > 0):
        raise PlanInputError(
            "a piece needs a length", where=piece.tag, value=_length(piece.length), limit="above 0 in",
            way_out="Correct it in the list of pieces.",
        )  # fmt: skip
    for end in piece.ends:
        if end is None:
            continue
        if not (abs(end.angle) <= STEEPEST and end.depth > 0):
            raise PlanInputError(
                "a mitre the saw cannot cut", where=piece.tag,
                value=f"{end.angle * 180 / pi:g} deg over {_length(end.depth)}",
                limit="80 deg from square, a depth above 0 in", way_out="Give the angle away from a square cut.",
            )  # fmt: skip
    if piece.centre_line <= 0:
        raise PlanInputError(
            "a piece is shorter than its mitres", where=piece.tag, value=_length(piece.length),
            limit=f"above {tape(piece.length - piece.centre_line)} over the long points",
            way_out="Check the angle, or cut it square.",
        )  # fmt: skip


def _stick(stick: Stick) -> None:
    if not (isfinite(stick.length) and stick.length > 0):
        raise PlanInputError(
            "a stick needs a length", where=stick.in_words() if isfinite(stick.length) else stick.stock,
            value=_length(stick.length), limit="above 0 in", way_out='Give it as bought, for example "20 ft".',
        )  # fmt: skip
    if not (isfinite(stick.price) and (stick.price > 0 or (stick.price == 0 and not stick.buyable))):
        raise PlanInputError(
            "a stick that can be bought needs a price; a remnant may be free", where=stick.in_words(),
            value=f"{stick.price:g}", limit="above 0, or 0 for what cannot be bought",
            way_out="Give what one stick costs.",
        )  # fmt: skip
    if stick.on_hand < 0 or stick.trimmed_ends not in (1, 2):
        raise PlanInputError(
            "a stick's count or trimmed ends make no sense", where=stick.in_words(),
            value=f"{stick.on_hand} on hand, {stick.trimmed_ends} ends trimmed", limit="0 or more on hand, 1 or 2 ends",
            way_out="Count the rack again.",
        )  # fmt: skip


def _has_stock(piece: Piece, by_stock: dict[str, list[Stick]]) -> None:
    if not any(s.buyable or s.on_hand for s in by_stock.get(piece.stock, [])):
        raise PlanInputError(
            "no stick of this section is listed", where=piece.tag, value=piece.stock,
            limit=f"listed: {', '.join(sorted(by_stock)) or 'none'}",
            way_out="Add its sticks; the same outside size with another wall is another section.",
        )  # fmt: skip


def _length(value: float) -> str:
    return tape(value) if isfinite(value) else str(value)
