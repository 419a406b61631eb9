"""What lies in the rack, as its file has it (rack.toml): sticks, remnants with tags, sheets, drilled blanks."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any, Final

from plowwright import units
from plowwright.errors import EntryError, NotFoundError
from plowwright.rulebook.refusals import near_names

FILE: Final = "rack.toml"
_TABLES: Final = ("sticks", "remnants", "sheets", "sheet_remnants", "blanks", "bought")


@dataclass(frozen=True, slots=True, kw_only=True)
class Lying:
    """Sticks or sheets of one kind, or one remnant.

    Attributes:
        stock: Section, sheet or bought part of the rulebook; for blanks the bar they are of.
        length: [m], 0 for bought parts.
        width: Of a sheet [m], 0 for bars.
        count: How many [-].
        tag: Tag of a remnant, "" for whole ones.
        book: What a remnant still counts for [money].
        arriving: More of them by the day they come [-].
    """

    stock: str
    length: float
    width: float = 0.0
    count: int = 1
    tag: str = ""
    book: float = 0.0
    arriving: Mapping[date, int] = field(default_factory=dict[date, int])


@dataclass(frozen=True, slots=True, kw_only=True)
class Rack:
    """Everything that lies there.

    Attributes:
        sticks: Whole sticks.
        remnants: Tagged remnants of sticks.
        sheets: Whole sheets.
        sheet_remnants: Tagged remnants of sheets.
        blanks: Drilled edge blanks.
        bought: Parts that come in a box; they have no length.
    """

    sticks: tuple[Lying, ...] = ()
    remnants: tuple[Lying, ...] = ()
    sheets: tuple[Lying, ...] = ()
    sheet_remnants: tuple[Lying, ...] = ()
    blanks: tuple[Lying, ...] = ()
    bought: tuple[Lying, ...] = ()


EMPTY: Final = Rack()


def load(path: Path, stocks: Mapping[str, object]) -> Rack:
    """Read the rack's file.

    Args:
        path: rack.toml.
        stocks: Sections, sheets and bought parts of the rulebook by name.

    Raises:
        NotFoundError: No such file.
        EntryError: Not TOML, or an entry that cannot be read; names file, table and row.
    """
    if not path.is_file():
        raise NotFoundError("no rack here", value=path.name, way_out="Keep what lies there in rack.toml.")
    try:
        entry = tomllib.loads(path.read_text(encoding="utf-8"))
    except tomllib.TOMLDecodeError as fault:
        raise EntryError("this is not TOML", where=path.name, value=str(fault)) from fault
    strange = sorted(set(entry) - set(_TABLES))
    if strange:
        raise EntryError("nothing of that name lies in a rack", where=path.name, value=", ".join(strange),
                         way_out=f"There are: {', '.join(_TABLES)}.")  # fmt: skip
    rows = {
        table: tuple(
            _lying(one, f"{path.name}, {table} row {at}", stocks) for at, one in enumerate(entry.get(table, ()), 1)
        )
        for table in _TABLES
    }
    tags = [one.tag for lying in rows.values() for one in lying if one.tag]
    twice = sorted({tag for tag in tags if tags.count(tag) > 1})
    if twice:
        raise EntryError("two remnants have one tag", where=path.name, value=", ".join(twice), way_out="Tag one anew.")
    return Rack(**rows)


def _lying(entry: Mapping[str, Any], where: str, stocks: Mapping[str, object]) -> Lying:
    stock = str(entry.get("stock") or entry.get("edge") or entry.get("part") or "")
    if stock not in stocks:
        raise EntryError(
            "no such section, sheet or part in the rulebook", where=where, value=stock or "nothing",
            way_out=near_names(stock, list(stocks)),
        )  # fmt: skip
    count = entry.get("count", 1)
    if not isinstance(count, int) or isinstance(count, bool) or count < 0:
        raise EntryError("a count is a whole number", where=where, value=str(count), limit="0 or more",
                         way_out="Write count = 2.")  # fmt: skip
    return Lying(
        stock=stock,
        length=0.0 if "part" in entry else units.si(str(entry.get("length", "")), "length", f"{where}, length"),
        width=units.si(str(entry["width"]), "length", f"{where}, width") if "width" in entry else 0.0,
        count=count,
        tag=str(entry.get("tag", "")),
        book=units.si(str(entry["book"]), "money", f"{where}, book") if "book" in entry else 0.0,
        arriving={one["on"]: int(one["count"]) for one in entry.get("arriving", ())},
    )
