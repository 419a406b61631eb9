"""What a caller told us, between the address of a page and a carrier with its work: nothing typed is ever lost."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from itertools import zip_longest
from typing import TYPE_CHECKING, Final, cast
from urllib.parse import urlencode

from starlette.datastructures import QueryParams

from plowwright import units
from plowwright.blade.carrier_facts import ASSUMED, NAMES, SOURCES, Fact, Spreads, fact
from plowwright.blade.carriers import KINDS, Carrier
from plowwright.blade.work import DRIVERS, GROUNDS, Driver, Ground, Work
from plowwright.errors import EntryError, PlowwrightError
from plowwright.physics.snow import DENSITIES
from plowwright.rulebook.fit import CLASSES

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

UNKNOWN: Final = "unknown"
"""How an address says that the carrier is not known, though the order names one."""
NAMELESS: Final = "the machine"
"""How sentences call a machine nobody named."""
FRESH: Final = "told"
"""Source of what is typed while somebody is on the phone."""
_TOLD: Final = "m_told"
"""Set when the form itself was sent, so that an emptied field means not known and not "as in the file"."""
_TURNED: Final = {
    "psi": "bar", "bar": "psi", "lb": "kg", "kg": "lb", "hp": "kW", "kw": "hp", "gpm": "L/min", "l/min": "gpm",
    "in": "cm", "cm": "in", "ft": "m", "m": "ft",
}  # fmt: skip
_SIZE: Final = re.compile(r"\s*([\d.,]+)\s*([A-Za-z/]+)\s*")


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line of the form as it was typed.

    Attributes:
        name: Which fact.
        value: What was typed, with its unit.
        what: What exactly it is.
        source: plate, book, told or guessed.
        ahead: For a lift ahead of the pins: how far.
    """

    name: str
    value: str
    what: str = ""
    source: str = FRESH
    ahead: str = ""


@dataclass(frozen=True, kw_only=True)
class Told:
    """A machine and its work, as far as the address tells them.

    Attributes:
        base: Name of the known carrier it began from, or "".
        kind: Kind of carrier as chosen, or "".
        rows: What was typed of the machine, in the order of `NAMES`; also what could not be taken.
        typed: What was typed of the work, by field.
        carrier: The machine from all that could be taken; None while nothing at all is known.
        work: The work from all that could be taken.
        refused: What could not be taken and why, by field id.
        doubts: What was taken with a doubt, by field id: the doubt, and another reading or "".
        read: What was read, by field id, where it reads otherwise than it was typed.
    """

    base: str
    kind: str
    rows: tuple[Row, ...]
    typed: Mapping[str, str]
    carrier: Carrier | None
    work: Work
    refused: Mapping[str, PlowwrightError]
    doubts: Mapping[str, tuple[str, str]]
    read: Mapping[str, str]
    as_filed: bool

    @property
    def machine(self) -> Carrier:
        """The machine, nameless and without facts while nothing is known."""
        return self.carrier or Carrier(name=NAMELESS)

    def pairs(self) -> list[tuple[str, str]]:
        """The part of an address that holds it, as names and values; the shortest that loses nothing."""
        return self.machine_pairs() + [(f"w_{name}", value) for name, value in self.typed.items() if value]

    def machine_pairs(self) -> list[tuple[str, str]]:
        """The same of the machine alone."""
        if self.as_filed:
            return [("machine", self.base)] if self.base else []
        found: list[tuple[str, str]] = [("machine", self.base)] if self.base else []
        found.append((_TOLD, "yes"))
        if self.kind:
            found.append(("m_kind", self.kind))
        for row in self.rows:
            key = f"m_{row.name}"
            found += [(key, row.value), (f"{key}_what", row.what), (f"{key}_from", row.source)]
            if row.name == "lift":
                found.append((f"{key}_ahead", row.ahead))
        return found

    @property
    def query(self) -> str:
        """The part of an address after the question mark."""
        return urlencode(self.pairs())


def field_id(name: str, at: int = 0) -> str:
    """Id of the field of a fact, or of a question of the work.

    Args:
        name: Fact, or kind, driver, ground, gate and so on.
        at: Which of its lines, from 0.
    """
    if name == "kind":
        return "m-kind"
    return f"m-{name}-{at}" if name in NAMES else f"w-{name}"


def told_of(
    query: QueryParams, desk: Desk, *, ordered: str = "", spreads: Spreads = ASSUMED, system: units.System = "us"
) -> Told:
    """What an address tells of the machine and its work.

    Args:
        query: What the address says.
        desk: Knows the carriers and the day.
        ordered: What the order calls its carrier, for an address that names none.
        spreads: Spread of a fact by its source.
        system: Units in which it is read back.

    Raises:
        NotFoundError: The address names a carrier nobody knows.
        EntryError: Something in a carrier file cannot be taken.
    """
    said = query.get("machine", "").strip()
    filed = None if said == UNKNOWN else desk.strength.carrier(said) if said else None
    if not said and ordered and _TOLD not in query:
        filed = desk.strength.of_order(ordered)
    rows = _rows(query) if _TOLD in query else _rows_of(filed)
    kind = query.get("m_kind", "").strip() if _TOLD in query else filed.kind if filed else ""
    refused: dict[str, PlowwrightError] = {}
    doubts: dict[str, tuple[str, str]] = {}
    read: dict[str, str] = {}
    if kind and kind not in KINDS:
        refused["m-kind"] = _no_word(kind, KINDS)
        kind = ""
    with units.speaking(system):
        facts = _facts(rows, filed, desk.now.date(), spreads, (refused, doubts, read))
        typed, work = _work(query, refused, read)
    same = filed is not None and kind == filed.kind and set(facts) == set(filed.facts) and not refused
    carrier = filed if same else _carrier(filed, kind, facts)
    return Told(
        base=filed.name if filed else UNKNOWN if said == UNKNOWN else "",
        kind=kind, rows=rows, typed=typed, carrier=carrier, work=work, refused=refused, doubts=doubts, read=read,
        as_filed=same or (filed is None and not rows and not kind),
    )  # fmt: skip


def other_unit(text: str, name: str) -> str:
    """The same number in the other family's unit where that is usual for the fact, or "".

    Args:
        text: What was typed.
        name: Which fact.
    """
    size, known = _SIZE.fullmatch(text), NAMES[name]
    other = _TURNED.get(size[2].casefold()) if size else None
    if size is None or other is None:
        return ""
    turned = f"{size[1]} {other}"
    try:
        value = units.si(turned, known.quantity)
    except PlowwrightError:
        return ""
    return turned if known.usual[0] <= value <= known.usual[1] else ""


def _rows(query: QueryParams) -> tuple[Row, ...]:
    found: list[Row] = []
    for name in NAMES:
        key = f"m_{name}"
        lists = (query.getlist(key), *(query.getlist(f"{key}_{part}") for part in ("what", "from", "ahead")))
        for value, what, origin, ahead in zip_longest(*lists, fillvalue=""):
            if value.strip():
                source = origin or FRESH
                found.append(Row(name=name, value=value.strip(), what=what, source=source, ahead=ahead.strip()))
    return tuple(found)


def _rows_of(carrier: Carrier | None) -> tuple[Row, ...]:
    facts = carrier.facts if carrier else ()
    return tuple(_row_of(f) for name in NAMES for f in facts if f.name == name)


def _row_of(known: Fact) -> Row:
    ahead = "" if known.ahead is None else units.tape(known.ahead)
    return Row(name=known.name, value=known.text, what=known.what, source=known.source, ahead=ahead)


Notes = tuple[dict[str, PlowwrightError], dict[str, tuple[str, str]], dict[str, str]]


def _facts(rows: Iterable[Row], filed: Carrier | None, today: date, spreads: Spreads, notes: Notes) -> tuple[Fact, ...]:
    """Every line that can be taken; a line as it stands in the file stays the file's own, with its day."""
    refused, doubts, read = notes
    own = {_row_of(f): f for f in (filed.facts if filed else ())}
    counts: dict[str, int] = {}
    found: list[Fact] = []
    for row in rows:
        at = counts[row.name] = counts.get(row.name, -1) + 1
        field = field_id(row.name, at)
        try:
            known = own.get(row) or _fact(row, today, spreads)
        except PlowwrightError as error:
            refused[field] = error
            continue
        found.append(known)
        if known.doubt:
            doubts[field] = known.doubt, other_unit(row.value, row.name)
        elif known.quantity != "word":
            said = units.say(known.likely, known.quantity)
            if said.replace(",", "") != row.value.replace(",", ""):
                read[field] = said
    return tuple(found)


def _fact(row: Row, today: date, spreads: Spreads) -> Fact:
    ahead = row.ahead if row.what.startswith("ahead of pins") else ""
    if row.source not in SOURCES:
        raise _no_word(row.source, SOURCES)
    return fact(row.name, row.value, source=row.source, on=today, what=row.what, ahead=ahead, spreads=spreads)


def _carrier(filed: Carrier | None, kind: str, facts: tuple[Fact, ...]) -> Carrier | None:
    if filed is None:
        return Carrier(name=NAMELESS, kind=kind).learn(*facts) if kind or facts else None
    return replace(filed, name=f"{filed.name} as told", kind=kind, facts=(), overruled=()).learn(*facts)


def _work(query: QueryParams, refused: dict[str, PlowwrightError], read: dict[str, str]) -> tuple[dict[str, str], Work]:
    names = ("ground", "driver", "curbs", "road", "ice", "snow", "depth", "gate", "width", "class", "note")
    typed = {name: query.get(f"w_{name}", "").strip() for name in names}
    words: dict[str, str] = {}
    known = {
        "ground": GROUNDS, "driver": DRIVERS, "class": CLASSES, "snow": tuple(row.name for row in DENSITIES),
        "curbs": ("yes", "no"), "road": ("yes", "no"), "ice": ("yes", "no"),
    }  # fmt: skip
    for name, choices in known.items():
        words[name] = typed[name] if typed[name] in choices else ""
        if typed[name] and not words[name]:
            refused[f"w-{name}"] = _no_word(typed[name], tuple(c for c in choices if c))
    depth, gate, width = (_length(typed[name], f"w-{name}", refused, read) for name in ("depth", "gate", "width"))
    curbs, road, ice = (None if not words[name] else words[name] == "yes" for name in ("curbs", "road", "ice"))
    return typed, Work(
        ground=cast("Ground", words["ground"]), driver=cast("Driver", words["driver"]), snow=words["snow"],
        curbs=curbs, road=road, ice=ice, depth=depth, gate=gate, width=width, duty_class=words["class"],
        note=typed["note"],
    )  # fmt: skip


def _length(text: str, field: str, refused: dict[str, PlowwrightError], read: dict[str, str]) -> float | None:
    if not text:
        return None
    try:
        found = units.read(text, "length")
    except PlowwrightError as error:
        refused[field] = error
        return None
    if found.said != text:
        read[field] = found.said
    return found.value


def _no_word(given: str, known: tuple[str, ...]) -> EntryError:
    return EntryError(
        "not one of the words known here", value=given, limit=", ".join(known), way_out="Choose one of the list."
    )
