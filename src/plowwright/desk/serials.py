"""Blades that left the shop: one file for each serial number, with its spec, the day of its rules, what is known."""

from __future__ import annotations

import difflib
import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any, Final, cast

from plowwright.blade import spec as specs
from plowwright.blade.refit import Known
from plowwright.blade.spec import Spec
from plowwright.errors import EntryError, NotFoundError
from plowwright.rulebook import lines as toml_lines
from plowwright.rulebook.reading import parse_toml
from plowwright.rulebook.refusals import near_names

FOLDER: Final = "serials"
"""Name of the folder beside orders.toml that holds a file for each serial number."""
_FIELDS: Final = ("serial", "rules", "built", "carrier", "customer", "note", "spec", "known")
_KNOWN: Final = ("what", "said", "source", "date")


@dataclass(frozen=True, kw_only=True)
class Record:
    """One blade as its file has it.

    Attributes:
        serial: Its serial number, or the name of its spec file.
        spec: What it was built as.
        rules: Day whose rules it was built by, or None where the file does not say.
        built: Day it left the shop, or None.
        carrier: The machine it was on, as the shop calls it, or "".
        customer: Who has it, or "".
        known: What else is known.
        note: Whatever else was said.
    """

    serial: str
    spec: Spec
    rules: date | None
    built: date | None = None
    carrier: str = ""
    customer: str = ""
    known: tuple[Known, ...] = ()
    note: str = ""


def find(what: str, folder: Path) -> Record:
    """The blade with this serial number, or of this spec file.

    Args:
        what: A serial number, or the path of a .toml file: of a blade that left the shop, or a plain spec.
        folder: Folder of the serials' files.

    Raises:
        NotFoundError: There is none; near ones are named.
        EntryError: Its file cannot be taken; names file, line and field.
    """
    if what.endswith(".toml") or os.sep in what:
        return _of_file(Path(what))
    files = {file.stem.upper(): file for file in sorted(folder.glob("*.toml"))} if folder.is_dir() else {}
    wanted = what.strip().upper()
    if wanted in files:
        return read(files[wanted].read_text(encoding="utf-8"), files[wanted].name)
    names = list(files)
    # Swapped figures are the usual fault, and O for 0.
    swapped = [n for n in names if sorted(n) == sorted(wanted.replace("O", "0"))]
    near = swapped or difflib.get_close_matches(wanted, names, n=3, cutoff=0.5)
    way_out = "Keep a file for each blade in the folder serials, or give its spec file."
    if names:
        way_out = f"Near it: {', '.join(near)}." if near else f"Known: {', '.join(names[:12])}."
    raise NotFoundError("no blade with this serial number is on file", value=what, way_out=way_out)


def _of_file(file: Path) -> Record:
    if not file.is_file():
        raise NotFoundError(
            "no such file", value=str(file), way_out="Give a serial number, or the path of a spec or serial file."
        )
    text = file.read_text(encoding="utf-8")
    if "serial" in parse_toml(text, file.name):
        return read(text, file.name)
    spec = specs.load(file)
    return Record(serial=spec.number or file.stem, spec=spec, rules=None, customer=spec.customer, note=spec.note)


def read(text: str, name: str) -> Record:
    """A blade from the text of its file.

    Args:
        text: The text, TOML.
        name: What messages call the file.

    Raises:
        EntryError: Something in it cannot be taken; names file, line and field.
    """
    raw, at = parse_toml(text, name), toml_lines.find_lines(text)

    def place(*keys: str | int) -> str:
        field = ".".join(f"row {key + 1}" if isinstance(key, int) else key for key in keys)
        return f"{name} line {toml_lines.line_of(at, keys)}" + (f", {field}" if field else "")

    for key in raw:
        _known_field(key, _FIELDS, place(key))
    for key in ("serial", "rules", "spec"):
        if key not in raw:
            raise EntryError(f"{key} is missing", way_out=_EXAMPLES[key], where=place())
    spec = specs.from_dict(
        {**cast("dict[str, Any]", raw["spec"]), "customer": str(raw.get("customer", ""))}, where=place("spec")
    )
    listed = cast("list[Mapping[str, Any]]", raw.get("known", []))
    return Record(
        serial=str(raw["serial"]),
        spec=spec,
        rules=_day(raw["rules"], place("rules")),
        built=_day(raw["built"], place("built")) if "built" in raw else None,
        carrier=str(raw.get("carrier", "")),
        customer=str(raw.get("customer", "")),
        known=tuple(_known(row, i, place) for i, row in enumerate(listed)),
        note=str(raw.get("note", "")),
    )


_EXAMPLES: Final = {
    "serial": 'Add a line serial = "B90-22-017" at the top.',
    "rules": "Add a line rules = 2022-03-01: the day whose rules it was built by.",
    "spec": "Add a table [spec] with series, width, mount, carrier, hoses, outlets and extras.",
}


def _known_field(key: str, known: tuple[str, ...], where: str) -> None:
    if key not in known:
        raise EntryError(
            f"no field is called {key}", value=key, limit=", ".join(known), way_out=near_names(key, known), where=where
        )


def _day(value: object, where: str) -> date:
    if not isinstance(value, date):
        raise EntryError("not a day", value=str(value), way_out="Write it as 2022-10-14, without quotes.", where=where)
    return value


def _known(row: Mapping[str, Any], number: int, place: Callable[..., str]) -> Known:
    for key in row:
        _known_field(key, _KNOWN, place("known", number, key))
    for key in _KNOWN:
        if key not in row:
            raise EntryError(f"{key} is missing", way_out=f"Add a line {key} = ... here.", where=place("known", number))
    return Known(
        what=str(row["what"]),
        said=str(row["said"]),
        source=str(row["source"]),
        on=_day(row["date"], place("known", number, "date")),
    )
