"""The packing list: what leaves with one blade, to be ticked, with the size and mass of the piece."""

from __future__ import annotations

from typing import Any

from plowwright.papers.content import Paper, Sheet
from plowwright.papers.dock_sheet import about, both
from plowwright.shop.dock_load import Load
from plowwright.shop.dock_papers import PackingRow

NOTE = (
    "Count what came against this list before you sign the driver's paper, and write on that paper what is bent, wet or"
    " missing: afterwards it is hard to prove."
)
"""Common practice at delivery."""


def packing_sheet(sheet: Sheet, load: Load) -> Paper:
    """The list of one load.

    Args:
        sheet: The blade, its order and the units.
        load: The load.
    """
    data: dict[str, Any] = {
        "head": sheet.head("Packing list", about(sheet, load.serial)),
        "piece": piece_facts(sheet, load),
        "on": _rows(load, "on the blade"),
        "loose": _rows(load, "loose"),
        "count": sum(row.count for row in load.rows if row.where == "loose"),
        "note": NOTE,
    }
    return Paper(template="packing-list.typ", data=data)


def piece_facts(sheet: Sheet, load: Load) -> list[list[str]]:
    """The packed piece in a few facts.

    Args:
        sheet: For the units.
        load: The load.
    """
    piece = load.piece
    size = " x ".join(sheet.length(s) for s in (piece.length, piece.depth, piece.height))
    return [
        ["For", load.customer or "not said"], ["Pieces", f"1 {'crate' if piece.crated else 'skid'}"],
        ["Size", size], ["Mass, packed", both(piece.mass, "mass", sheet)],
        ["Taken", "on the packed piece" if piece.stated else "worked out, not measured yet"],
        ["Serial number", load.serial or "none yet"],
    ]  # fmt: skip


def beside(row: PackingRow) -> str:
    """What stands beside a row, without the name once more: "trip spring 3/8" beside "trip spring" is "3/8".

    Args:
        row: The row.
    """
    note = row.note.removeprefix(row.name).strip(" ,")
    # "cylinder 3 x 1-1/2 x 12" beside "angle cylinder".
    return note.removeprefix(f"{row.name.rpartition(' ')[2]} ")


def _rows(load: Load, where: str) -> list[list[str]]:
    return [[str(row.count), row.name, beside(row)] for row in load.rows if row.where == where]
