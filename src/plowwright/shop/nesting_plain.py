"""A nest as plain values and back, so that it can be kept: the same nest to the last figure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from plowwright.shop.nesting_model import NestPlan, Outline, Sheet
from plowwright.shop.plain_values import from_plain, to_plain

FORM: Final = 1
"""Form nests are kept in; raised when a field is added to a nest, an outline or a sheet [-]."""
_SHARED: Final = (Outline, Sheet)


@dataclass(frozen=True, slots=True, kw_only=True)
class NestKept:
    """A nest with all that is needed to print it and cut by it.

    Attributes:
        plan: Which part lies where.
        outlines: Every part, in the order in which they were asked for.
        sheets: What there was to cut from.
    """

    plan: NestPlan
    outlines: tuple[Outline, ...]
    sheets: tuple[Sheet, ...]


def nest_to_plain(kept: NestKept) -> dict[str, Any]:
    """The nest as numbers, texts, lists and mappings; outlines and sheets stand in tables.

    Args:
        kept: The nest.
    """
    return to_plain(kept, shared=_SHARED, form=FORM)


def nest_from_plain(entry: Mapping[str, Any], *, where: str = "nest") -> NestKept:
    """The nest that `nest_to_plain` was given.

    Args:
        entry: What it gave.
        where: What to call it in messages.

    Raises:
        EntryError: Of another form, or damaged.
    """
    return from_plain(NestKept, entry, shared=_SHARED, form=FORM, where=where)
