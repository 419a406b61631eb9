"""A cut plan as plain values and back, so that it can be kept: the same plan to the last figure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from plowwright.shop.buying import BuyLine
from plowwright.shop.cutting_model import CutPlan, Piece, Stick
from plowwright.shop.edge_planning import EdgePlan
from plowwright.shop.plain_values import from_plain, to_plain
from plowwright.shop.replan import Change

FORM: Final = 1
"""Form cut plans are kept in; raised when a field is added to a plan, a piece or a stick [-]."""
_SHARED: Final = (Piece, Stick)


@dataclass(frozen=True, slots=True, kw_only=True)
class CutKept:
    """A cut plan with all that is needed to print it, cut by it and mend it.

    Attributes:
        plan: Which piece comes from which stick.
        pieces: Every piece, in the order in which they were asked for.
        sticks: What there was to cut from.
        spoilt: Sticks lost in mishaps.
        edges: Where the edges of each bar come from.
        buys: Sticks to order.
        alike: Sections that only a caliper tells apart.
        changes: Tags issued again by the last mishap.
        extra: What the last mishap costs in steel [money].
    """

    plan: CutPlan
    pieces: tuple[Piece, ...]
    sticks: tuple[Stick, ...]
    spoilt: tuple[Stick, ...] = ()
    edges: tuple[tuple[str, EdgePlan], ...] = ()
    buys: tuple[BuyLine, ...] = ()
    alike: tuple[tuple[str, ...], ...] = ()
    changes: tuple[Change, ...] = ()
    extra: float = 0.0


def cut_to_plain(kept: CutKept) -> dict[str, Any]:
    """The plan as numbers, texts, lists and mappings; pieces and sticks stand in tables.

    Args:
        kept: The plan.
    """
    return to_plain(kept, shared=_SHARED, form=FORM)


def cut_from_plain(entry: Mapping[str, Any], *, where: str = "cut plan") -> CutKept:
    """The plan that `cut_to_plain` was given.

    Args:
        entry: What it gave.
        where: What to call it in messages.

    Raises:
        EntryError: Of another form, or damaged.
    """
    return from_plain(CutKept, entry, shared=_SHARED, form=FORM, where=where)
