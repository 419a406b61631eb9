"""Side by side: the drawings at one scale, then only what differs, from the class down to the holes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from starlette.datastructures import QueryParams

from plowwright.blade.differ import Difference
from plowwright.errors import EntryError, NotFoundError
from plowwright.shop.worked import Worked
from plowwright.web import drawing, forms
from plowwright.web.forms import System

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_AS_CHOSEN = "as chosen"
_CHAPTERS = {
    "class": "Class",
    "spec": "What was chosen",
    "class row": "Walls, plates and settings of the class",
    "parts": "Parts",
    "joints": "Joints",
    "holes": "Holes",
    "mass": "Mass",
    "price": "Price",
}


def side_view(desk: Desk, query: QueryParams, system: System) -> dict[str, Any]:
    """Two or more blades laid beside each other: orders as ordered, and any other choices.

    Args:
        desk: The shop's rules and orders.
        query: Any number of `order` (its number) and `blade` (the part of a blade's address after the question mark).
        system: US or metric.

    Raises:
        EntryError: Fewer than two, or a choice that clashes.
        NotFoundError: No such order, or one without a blade of its own.
    """
    wanted = list(dict.fromkeys((key, said) for key, said in query.multi_items() if key in ("order", "blade")))
    if len(wanted) < 2:
        raise EntryError(
            "side by side needs two blades or more", value=", ".join(said for _, said in wanted) or "none chosen",
            limit="at least 2", way_out="Choose them on the wall, or one more on a blade's own sheet.",
        )  # fmt: skip
    found: list[_Laid] = []
    for key, said in wanted:
        found.append(_ordered(desk, said) if key == "order" else _chosen(desk, said, found))
    difference = desk.differ([one.worked for one in found], system=system)
    drawings = drawing.at_one_scale([one.worked.build for one in found], system)
    blades = [
        {
            "heading": f"{one.name}, {one.worked.build.name}",
            "href": one.href,
            "drawing": drawn,
            "share": f"{100 * share:.2f}%",
        }
        for one, (drawn, share) in zip(found, drawings, strict=True)
    ]
    return {
        "names": [one.name for one in found],
        "looks": [f"{one.first} and {one.second} {one.sentence}." for one in difference.looks],
        "blades": blades,
        "rows": _rows(difference),
    }


@dataclass(frozen=True, kw_only=True)
class _Laid:
    name: str
    href: str
    worked: Worked


def _ordered(desk: Desk, number: str) -> _Laid:
    order = desk.order(number)
    if order.spec is None:
        raise NotFoundError(
            f"order {order.number} has no blade of its own", value=order.kind,
            way_out="Choose an order that builds one.",
        )  # fmt: skip
    return _Laid(name=order.number, href=f"/blade/{order.number}", worked=desk.worked(order.spec))


def _chosen(desk: Desk, said: str, before: list[_Laid]) -> _Laid:
    """A blade by its choices; those it does not name are the order's, where it names one."""
    choices = QueryParams(said)
    order = desk.order(choices["order"]) if choices.get("order") else None
    spec = forms.spec_of(choices, ordered=order.spec if order else None, rulebook=desk.rulebook)
    count = 1 + sum(one.name.startswith(_AS_CHOSEN) for one in before)
    name = _AS_CHOSEN if count == 1 else f"{_AS_CHOSEN} {count}"
    return _Laid(name=name, href=f"/blade?{said}", worked=desk.worked(replace(spec, number=name)))


def _rows(difference: Difference) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = []
    chapter = ""
    for row in difference.rows:
        if row.chapter != chapter:
            chapter = row.chapter
            rows.append({"head": _CHAPTERS[chapter]})
        rows.append({"head": "", "name": row.what, "cells": row.values, "apart": row.apart})
    return rows
