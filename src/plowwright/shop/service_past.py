"""Blades that left the shop before the records began, as the owner's list has them (serials-past.toml)."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Final, cast

from plowwright.blade import spec as specs
from plowwright.blade.spec import Spec
from plowwright.errors import EntryError
from plowwright.shop.service import Fitted, Life, write

_SERIAL: Final = re.compile(r"([A-Z])(\d{2,3})-(\d{2})-(\d{3})")
_FIELDS: Final = {"serial", "built", "customer", "machine", "phone_ends", "colour", "note", "spec", "chapters"}
_CHAPTER: Final = {"kind", "day", "said", "place", "facts", "fitted"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Past:
    """One blade of the list.

    Attributes:
        serial: Class letter, width, year, running number.
        built: Day it left.
        spec: What it is.
        customer: Who bought it.
        machine: The machine it was for, "" where nobody noted it.
        phone_ends: Last figures of the buyer's phone, "" likewise.
        colour: Of the moldboard, "" for the shop's.
        note: What else is known.
        life: Its record so far.
    """

    serial: str
    built: date
    spec: Spec
    customer: str
    machine: str
    phone_ends: str
    colour: str
    note: str
    life: Life


def past_from_dict(entry: Mapping[str, Any], *, where: str = "serials-past.toml") -> Past:
    """One blade from plain values, as a file gives them.

    Args:
        entry: Field names and values.
        where: What to call the source in messages.

    Raises:
        EntryError: A field is missing, unknown or cannot be read.
        SpecError: Its spec is not complete.
    """
    serial = str(entry.get("serial", ""))
    place = f"{where}, {serial or '?'}"
    _known(entry, _FIELDS, place)
    missing = [name for name in ("serial", "built", "spec") if name not in entry]
    if missing:
        raise EntryError(f"not complete: {', '.join(missing)}", where=place, way_out="Add a line for each.")
    parts = _SERIAL.fullmatch(serial)
    if parts is None:
        raise EntryError("not a serial number", where=place, value=serial, way_out="Write it as F84-21-063.")
    built = entry["built"]
    if not isinstance(built, date):
        raise EntryError("not a day", where=f"{place}, built", value=str(built), way_out="Write built = 2021-11-18.")
    spec = specs.from_dict(dict(entry["spec"]), where=f"{place}, spec")
    _agree(parts, spec, built, place)
    customer = str(entry.get("customer", ""))
    life = write(Life(serial=serial), "as-built", f"built for {customer or 'nobody noted'}", day=built,
                 facts={"owner": customer} if customer else {})  # fmt: skip
    for at, chapter in enumerate(cast("list[dict[str, Any]]", entry.get("chapters", [])), 1):
        life = _with(life, chapter, f"{place}, chapter {at}")
    return Past(
        serial=serial, built=built, spec=spec, customer=customer, machine=str(entry.get("machine", "")),
        phone_ends=str(entry.get("phone_ends", "")), colour=str(entry.get("colour", "")),
        note=str(entry.get("note", "")), life=life,
    )  # fmt: skip


def _with(life: Life, chapter: Mapping[str, Any], where: str) -> Life:
    _known(chapter, _CHAPTER, where)
    day = chapter.get("day")
    if not isinstance(day, date):
        raise EntryError("not a day", where=where, value=str(day), way_out="Write day = 2024-02-03.")
    fitted = [
        Fitted(item=str(one.get("item", "")), place=str(one.get("place", "")), lot=str(one.get("lot", "")))
        for one in cast("list[dict[str, Any]]", chapter.get("fitted", []))
    ]
    facts = {str(k): str(v) for k, v in cast("dict[str, Any]", chapter.get("facts", {})).items()}
    return write(life, str(chapter.get("kind", "")), str(chapter.get("said", "")), day=day,
                 place=str(chapter.get("place", "")), facts=facts, fitted=fitted)  # fmt: skip


def _known(entry: Mapping[str, Any], fields: set[str], where: str) -> None:
    strange = sorted(set(entry) - fields)
    if strange:
        raise EntryError("no such field", where=where, value=", ".join(strange), limit=", ".join(sorted(fields)))


def _agree(parts: re.Match[str], spec: Spec, built: date, where: str) -> None:
    """A serial says class, width and year; one that says another blade than its spec is a slip of the pen."""
    letter, width, year, _ = parts.groups()
    said = (letter, int(width), int(year))
    own = (spec.series[0].upper(), round(spec.width / 0.0254), built.year % 100)
    if said != own:
        raise EntryError("serial and blade do not agree", where=where, value=parts.group(0),
                         limit=f"{own[0]}{own[1]}-{own[2]:02d}-...", way_out="Look at the stamp again.")  # fmt: skip
