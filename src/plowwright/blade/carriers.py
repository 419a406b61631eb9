"""What is known of a carrier, from a half-known phone call to its plate; unknown is a legal state.

A carrier file is TOML: name and kind, then one `[[facts]]` table for each thing known. Facts are merged so that a
weaker source never overwrites a stronger one.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final, cast

from plowwright.blade.carrier_facts import ASSUMED, NAMES, Fact, Spreads, fact
from plowwright.errors import EntryError, NotFoundError, PlowwrightError
from plowwright.rulebook import lines as toml_lines
from plowwright.rulebook.reading import parse_toml
from plowwright.rulebook.refusals import near_names

KINDS: Final = ("skid steer", "tracked loader", "compact loader", "tractor", "wheel loader")
"""Kinds of carrier, as mounts and springs of the rulebook name them."""
_TOP: Final = ("name", "kind", "note", "facts")
_FIELDS: Final = ("name", "value", "what", "low", "high", "ahead", "source", "date")


@dataclass(frozen=True, slots=True, kw_only=True)
class Carrier:
    """A machine that is to carry a blade, as far as it is known.

    Attributes:
        name: What we call it.
        kind: Kind of carrier, or "" while it is not known.
        facts: What is known, strongest source of each.
        note: Whatever else was said.
        overruled: Facts that a stronger or newer one stands in front of.
    """

    name: str
    kind: str = ""
    facts: tuple[Fact, ...] = ()
    note: str = ""
    overruled: tuple[Fact, ...] = ()

    def known(self, name: str, *whats: str) -> Fact | None:
        """The fact of that name, or None while it is unknown.

        Args:
            name: One of `carrier_facts.NAMES`.
            whats: What exactly it must be, the first wish first; without any, the strongest of the name.
        """
        if name not in NAMES:
            fact(name, "", source="told", on=datetime.date.min)  # refuses the name with the way out
        found = [f for f in self.facts if f.name == name]
        for what in whats:
            for one in found:
                if one.what == what:
                    return one
        if whats or not found:
            return None
        order = NAMES[name].whats
        best = found[0]
        for one in found[1:]:
            better = one.stronger_than(best) and not best.stronger_than(one)
            equal = one.stronger_than(best) and best.stronger_than(one)
            if better or (equal and order.index(one.what) < order.index(best.what)):
                best = one
        return best

    def unknown(self, *names: str) -> tuple[str, ...]:
        """Those of these facts nobody has told us yet.

        Args:
            names: Of `carrier_facts.NAMES`.
        """
        return tuple(name for name in names if self.known(name) is None)

    def learn(self, *facts: Fact) -> Carrier:
        """The carrier with more facts; a weaker source is kept aside, never put in front of a stronger one.

        Args:
            facts: What was learned.
        """
        kept = {f.key: f for f in self.facts}
        aside = list(self.overruled)
        for new in facts:
            old = kept.get(new.key)
            if old is None or old == new:
                kept[new.key] = new
            elif new.stronger_than(old):
                kept[new.key] = new
                aside.append(old)
            else:
                aside.append(new)
        return replace(self, facts=tuple(kept.values()), overruled=tuple(dict.fromkeys(aside)))

    def as_dict(self) -> dict[str, Any]:
        """The carrier for a machine."""
        return {
            "name": self.name,
            "kind": self.kind,
            "note": self.note,
            "facts": [f.as_dict() for f in self.facts],
            "overruled": [f.as_dict() for f in self.overruled],
        }


def merge(known: Carrier, other: Carrier) -> Carrier:
    """Two accounts of one machine as one.

    Args:
        known: What is known; its name stays.
        other: What was learned since.

    Raises:
        EntryError: They are of different kinds, so they are not one machine.
    """
    if known.kind and other.kind and known.kind != other.kind:
        raise EntryError(
            "these are two different machines",
            value=f"{known.name} is a {known.kind}, {other.name} a {other.kind}",
            way_out="Ask once more what it is, and correct the kind where it is wrong.",
        )
    merged = replace(known, kind=known.kind or other.kind, note=" ".join(n for n in (known.note, other.note) if n))
    return merged.learn(*other.facts, *other.overruled)


def load(path: Path | str, spreads: Spreads = ASSUMED) -> Carrier:
    """Read a carrier file.

    Args:
        path: The file.
        spreads: Spread of a fact by its source.

    Raises:
        NotFoundError: There is no such file.
        EntryError: Something in it cannot be taken; names file, line and field.
    """
    file = Path(path)
    try:
        text = file.read_text(encoding="utf-8-sig")
    except FileNotFoundError as error:
        raise NotFoundError(
            "there is no carrier file here", value=str(file), way_out="Give a file such as carriers/k7.toml."
        ) from error
    except UnicodeDecodeError as error:
        raise EntryError(
            "the file is not plain text in UTF-8", way_out="Save it as UTF-8 in the editor.", where=str(file)
        ) from error
    return read(text, file.name, spreads)


def load_all(folder: Path | str, spreads: Spreads = ASSUMED) -> dict[str, Carrier]:
    """Every carrier file of a folder, by the file's name without its ending.

    Args:
        folder: The folder.
        spreads: Spread of a fact by its source.

    Raises:
        EntryError: Something in one of them cannot be taken.
    """
    files = sorted(Path(folder).glob("*.toml"), key=lambda f: (len(f.stem), f.stem))
    return {file.stem: load(file, spreads) for file in files}


def read(text: str, name: str, spreads: Spreads = ASSUMED) -> Carrier:
    """A carrier from the text of its file.

    Args:
        text: The text, TOML.
        name: What messages call the file.
        spreads: Spread of a fact by its source.

    Raises:
        EntryError: Something in it cannot be taken; names file, line and field.
    """
    raw = parse_toml(text, name)
    at = toml_lines.find_lines(text)

    def place(*keys: str | int) -> str:
        field = ".".join(f"row {key + 1}" if isinstance(key, int) else key for key in keys)
        return f"{name} line {toml_lines.line_of(at, keys)}" + (f", {field}" if field else "")

    for key in raw:
        _refuse_unknown(key, _TOP, place(key))
    if not isinstance(raw.get("name"), str):
        raise EntryError("name is missing", way_out='Add a line name = "..." at the top.', where=place())
    # Whoever has only said "a 40 horse" has not said what it is: the kind may stay unknown.
    kind = str(raw.get("kind", ""))
    if kind and kind not in KINDS:
        raise EntryError(
            "no such kind of carrier",
            value=kind,
            limit=", ".join(KINDS),
            way_out=near_names(kind, KINDS),
            where=place("kind"),
        )
    listed = raw.get("facts", [])
    if not isinstance(listed, list):
        raise EntryError("facts are tables of their own", way_out="Begin each with [[facts]].", where=place("facts"))
    carrier = Carrier(name=raw["name"], kind=kind, note=str(raw.get("note", "")))
    rows = cast("Sequence[Mapping[str, Any]]", listed)
    return carrier.learn(*(_row(row, i, place, spreads) for i, row in enumerate(rows)))


def _refuse_unknown(key: str, known: tuple[str, ...], where: str) -> None:
    if key not in known:
        raise EntryError(
            f"no field is called {key}",
            value=key,
            limit=", ".join(known),
            way_out=near_names(key, known),
            where=where,
        )


def _row(row: Mapping[str, Any], i: int, place: Any, spreads: Spreads) -> Fact:
    for key in row:
        _refuse_unknown(key, _FIELDS, place("facts", i, key))
    for key in ("name", "value", "source", "date"):
        if key not in row:
            raise EntryError(f"{key} is missing", way_out=f"Add a line {key} = ... here.", where=place("facts", i))
    on = row["date"]
    if not isinstance(on, datetime.date):
        raise EntryError(
            "the day it was learned is not a date",
            value=str(on),
            way_out="Write date = 2026-11-11, without quotes.",
            where=place("facts", i, "date"),
        )
    named = {key: str(row.get(key, "")) for key in _FIELDS if key != "date"}
    try:
        return fact(
            named["name"],
            named["value"],
            source=named["source"],
            on=on,
            what=named["what"],
            low=named["low"],
            high=named["high"],
            ahead=named["ahead"],
            spreads=spreads,
        )
    except PlowwrightError as error:
        field = next((k for k in _FIELDS if named.get(k) and named[k] == error.value), "value")
        raise EntryError(
            error.what,
            value=error.value,
            limit=error.limit,
            way_out=error.way_out,
            where=place("facts", i, field),
        ) from error
