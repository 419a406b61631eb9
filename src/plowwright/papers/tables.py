"""Bill of materials and cut list as tables with numbers, for workbooks and CSV."""

from __future__ import annotations

from plowwright import units
from plowwright.blade.bill import BillRow, holes_in_words
from plowwright.blade.build import Build
from plowwright.papers import lists
from plowwright.papers.elevations import System
from plowwright.papers.lists import Column
from plowwright.units import inches, pounds


def bill_table(build: Build, system: System) -> lists.Sheet:
    """The bill as a table with numbers."""
    us = system == "us"
    columns = [
        Column(field="mark", heading="Mark"), Column(field="name", heading="Piece"),
        Column(field="stock", heading="Stock"),
        Column(field="material", heading="Material"),
        Column(field="length", heading="Length", unit="in" if us else "mm", decimals=3 if us else 1),
        Column(field="quantity", heading="Quantity", decimals=0),
        Column(field="each", heading="Mass each", unit="lb" if us else "kg", decimals=2),
        Column(field="total", heading="Mass", unit="lb" if us else "kg", decimals=2),
    ]  # fmt: skip
    rows = [
        {
            "mark": r.mark, "name": r.name, "stock": r.stock, "material": r.material, "quantity": r.quantity,
            "length": inches(r.length) if us else r.length * 1000,
            "each": pounds(r.mass_each) if us else r.mass_each, "total": pounds(r.mass_total) if us else r.mass_total,
        }
        for r in build.bill.rows
    ]  # fmt: skip
    return lists.Sheet(name="bill of materials", columns=columns, rows=rows)


def cut_table(build: Build, system: System) -> lists.Sheet:
    """The cut list as a table with numbers."""
    us = system == "us"
    columns = [
        Column(field="stock", heading="Stock"), Column(field="mark", heading="Mark"),
        Column(field="length", heading="Length", unit="in" if us else "mm", decimals=4 if us else 1),
        Column(field="tape", heading="On the tape"), Column(field="cuts", heading="End cuts"),
        Column(field="quantity", heading="Quantity", decimals=0), Column(field="holes", heading="Holes"),
    ]  # fmt: skip
    rows = [
        {
            "stock": r.stock, "mark": r.mark, "length": inches(r.length) if us else r.length * 1000,
            "tape": units.say(r.length, "length", system=system), "cuts": r.cuts, "quantity": r.quantity,
            "holes": holes_said(build, r, system),
        }
        for r in build.bill.cut_list()
    ]  # fmt: skip
    return lists.Sheet(name="cut list", columns=columns, rows=rows)


def holes_said(build: Build, row: BillRow, system: System) -> str:
    """Holes of a row in the reader's units: "8 plow bolt holes 21/32 in", "8 plow bolt holes 16.7 mm".

    Args:
        build: The blade.
        row: The row of its bill.
        system: US or metric.
    """
    if system == "us" or not row.holes:
        return row.holes
    return holes_in_words(build.assembly.part(row.ids[0]).holes, system)
