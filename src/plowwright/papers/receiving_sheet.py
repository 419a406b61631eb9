"""The receiving sheet: what is measured at the truck before anything is racked; filled in, what came of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from plowwright import units
from plowwright.blade.edge_layouts import HoleLayout
from plowwright.papers import qr
from plowwright.papers.content import Paper
from plowwright.papers.elevations import System
from plowwright.papers.pdf import PaperSize
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.stock_delivery import UNDRILLED, layouts_of
from plowwright.shop.stock_items import item_of
from plowwright.shop.stock_receiving import Received

CAUTION: Final = (
    "A bundle rolls when its straps are cut: stand at its end, gloves on, and nobody between the load and the truck. "
    "A sheet on forks is carried low."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """One thing that comes.

    Attributes:
        item: As the ledger calls it.
        count: Pieces expected, or that came [-].
        due: The day it is due.
        number: Of the arrival, "" where nobody ordered it.
        supplier: From whom.
        lot: Heat or lot, off its tag.
        measured: What was measured, in words; "" for a sheet to fill in.
        found: What came of it, None for a sheet to fill in.
    """

    item: str
    count: int
    due: date
    number: str = ""
    supplier: str = ""
    lot: str = ""
    measured: str = ""
    found: Received | None = None


@dataclass(frozen=True, kw_only=True)
class Truck:
    """What a receiving sheet is made from.

    Attributes:
        loads: What comes.
        book: The rulebook: sizes as ordered.
        on: Day the sheet carries.
        paper: Sheet size.
        system: Units on it.
    """

    loads: Sequence[Load]
    book: Rulebook
    on: date
    paper: PaperSize = "us-letter"
    system: System = "us"


def receiving_sheet(truck: Truck) -> Paper:
    """The sheet, ready to be set.

    Args:
        truck: What it is made from.
    """
    shop = truck.book.shop
    filled = any(load.found is not None for load in truck.loads)
    about = "Measure first, then sign the driver's paper. What is not measured is not racked; what fails goes back."
    if not truck.loads:
        about = "Nothing is on its way."
    if filled:
        about = "What was measured at the truck, and what came of it."
    data: dict[str, Any] = {
        "head": {
            "shop": f"{shop.name}, {shop.place}", "title": "Receiving sheet", "order": "", "about": about,
            "fingerprint": "", "paper": truck.paper, "address": f"{truck.on:%d %B %Y}",
        },
        "loads": [_load(load, truck) for load in truck.loads],
        "caution": CAUTION,
    }  # fmt: skip
    pictures = {"qr": qr.svg(f"{shop.address_on_network.rstrip('/')}/receiving")}
    return Paper(template="receiving.typ", data=data, pictures=pictures)


def _load(load: Load, truck: Truck) -> dict[str, Any]:
    told = f"{load.count} x {load.item}"
    come = f"due {load.due:%a %d %b}" if load.found is None else f"came {load.due:%a %d %b}"
    where = ", ".join(filter(None, (load.supplier, come)))
    found = load.found
    return {
        "title": told,
        "where": where,
        "number": f"arrival {load.number}" if load.number else "",
        "lot": load.lot,
        "asked": asked_of(load.item, truck.book, truck.system),
        "measured": load.measured,
        "text": _sentences(found.text.removeprefix(f"{found.stock}: ")) if found else "",
        "verdict": "racked" if found and found.racked else "refused" if found else "",
        "findings": [[f.title, f.value or "not measured", f.limit, f.verdict] for f in found.findings] if found else [],
    }


def _sentences(text: str) -> str:
    """Each sentence begun large and ended with a stop."""
    parts = [part.strip().rstrip(".") for part in text.split(". ")]
    return " ".join(f"{part[:1].upper()}{part[1:]}." for part in parts if part)


def asked_of(item: str, book: Rulebook, system: System) -> list[list[str]]:
    """What is measured on an item, and what it should be: pairs of words.

    Args:
        item: As the ledger calls it.
        book: The rulebook.
        system: Units.
    """
    what = item_of(item)
    stock = what.stock.removesuffix(UNDRILLED)
    rows: list[list[str]] = []
    if (stock in book.sections and what.sort != "part") or stock != what.stock:
        own = book.sections[stock]
        sizes = (("wall by caliper", own.wall), ("width", own.width or own.diameter), ("height", own.height))
        rows = [[name, _fine(size, system)] for name, size in sizes if size]
        rows.append(["weight of one foot" if system == "us" else "weight of one metre",
                     units.say(own.mass, "linear_mass", system=system)])  # fmt: skip
    elif stock in book.plates:
        rows = [["thickness by caliper", _fine(book.plates[stock].thickness, system)]]
    if what.sort == "blank":
        found: HoleLayout | None = next(layouts_of(what, book), None)
        if found is not None:
            places = ", ".join(units.say(p, "length", system=system) for p in found.positions)
            rows.append(["every pin of the template", places])
    return rows or [["counted, boxes looked at", "nothing wrong to the eye"]]


def _fine(value: float, system: System) -> str:
    """As a caliper reads it, beside the size it is sold by."""
    sold = units.say(value, "length", system=system)
    return f"{units.inches(value):.3f} in ({sold})" if system == "us" else f"{value * 1000:.2f} mm"
