"""The bill of lading: filled in as far as the shop knows, signed by hands, with what is still missing said on it."""

from __future__ import annotations

from typing import Any

from plowwright import units
from plowwright.papers.content import Paper, Sheet
from plowwright.papers.dock_sheet import about, both
from plowwright.shop.dock_papers import BillOfLading
from plowwright.units import FOOT, LB

_TERMS = ("prepaid", "collect", "third party")


def lading_sheet(sheet: Sheet, bill: BillOfLading, *, serial: str) -> Paper:
    """The bill of one load, with the fields bills commonly have.

    Args:
        sheet: The blade, its order and the units.
        bill: What it says.
        serial: Serial number.
    """
    data: dict[str, Any] = {
        "head": sheet.head("Bill of lading", about(sheet, serial)),
        "number": bill.number,
        "on": f"{bill.on:%d %B %Y}",
        "from": bill.ship_from,
        "to": bill.ship_to,
        "terms": [[term, term == bill.terms] for term in _TERMS],
        "rows": [
            {
                "pieces": str(row.pieces), "packing": row.packing, "goods": row.goods, "marks": row.marks,
                "size": _size(row.piece.length, row.piece.depth, row.piece.height, sheet),
                "mass": both(row.piece.mass, "mass", sheet), "class": f"{row.freight_class:g}",
                "density": f"{row.piece.density / (LB / FOOT**3):.1f} lb/ft3",
            }
            for row in bill.rows
        ],
        "pieces": str(bill.pieces),
        "mass": both(bill.mass, "mass", sheet),
        "notes": list(bill.notes),
        "missing": list(bill.missing),
    }  # fmt: skip
    return Paper(template="bill-of-lading.typ", data=data)


def _size(length: float, depth: float, height: float, sheet: Sheet) -> list[str]:
    other = "metric" if sheet.system == "us" else "us"
    first, second = (
        " x ".join(units.say(s, "length", system=system) for s in (length, depth, height))
        for system in (sheet.system, other)
    )
    return [first, second]
