"""Side by side: the drawings at one scale, then only what differs, from the class down to the holes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from plowwright.blade.differ import Difference
from plowwright.errors import EntryError, NotFoundError
from plowwright.shop.worked import Worked
from plowwright.web import drawing
from plowwright.web.forms import System

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

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


def side_view(desk: Desk, numbers: list[str], system: System) -> dict[str, Any]:
    """Two or more orders laid beside each other.

    Args:
        desk: The shop's rules and orders.
        numbers: Order numbers, two or more.
        system: US or metric, for the dimensions on the drawings.

    Raises:
        EntryError: Fewer than two.
        NotFoundError: No such order, or one without a blade of its own.
    """
    wanted = list(dict.fromkeys(numbers))
    if len(wanted) < 2:
        raise EntryError(
            "side by side needs two blades or more", value=", ".join(wanted) or "none chosen", limit="at least 2",
            way_out="Choose them on the wall.",
        )  # fmt: skip
    found = [_worked(desk, number) for number in wanted]
    difference = desk.differ(found)
    drawings = drawing.at_one_scale([worked.build for _, worked in found], system)
    blades = [
        {
            "heading": f"{number}, {worked.build.name}",
            "href": f"/blade/{number}",
            "drawing": drawn,
            "share": f"{100 * share:.2f}%",
        }
        for (number, worked), (drawn, share) in zip(found, drawings, strict=True)
    ]
    return {
        "names": [number for number, _ in found],
        "looks": [f"{one.first} and {one.second} {one.sentence}." for one in difference.looks],
        "blades": blades,
        "rows": _rows(difference),
    }


def _worked(desk: Desk, number: str) -> tuple[str, Worked]:
    order = desk.order(number)
    if order.spec is None:
        raise NotFoundError(
            f"order {order.number} has no blade of its own", value=order.kind,
            way_out="Choose an order that builds one.",
        )  # fmt: skip
    return order.number, desk.worked(order.spec)


def _rows(difference: Difference) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = []
    chapter = ""
    for row in difference.rows:
        if row.chapter != chapter:
            chapter = row.chapter
            rows.append({"head": _CHAPTERS[chapter]})
        rows.append({"head": "", "name": row.what, "cells": row.values, "apart": row.apart})
    return rows
