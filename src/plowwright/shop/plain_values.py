"""Frozen records as plain values and back, exactly: what a plan is kept as in the records.

A record becomes its fields by name. Things that stand in a plan many times, a piece or a stick, are written once in a
table of their kind and named by their place there. A float keeps every figure; no figure is rounded on the way.
"""

from __future__ import annotations

import dataclasses
import types
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from functools import cache
from math import inf, isfinite, isnan
from typing import Any, Final, Literal, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from plowwright.errors import EntryError

T = TypeVar("T")
_ENDLESS: Final = "endless"


def to_plain(value: Any, *, shared: Sequence[type[Any]] = (), form: int = 1) -> dict[str, Any]:
    """A record as plain values: numbers, texts, lists and mappings.

    Args:
        value: A frozen dataclass made of such, of tuples, mappings, days, numbers and texts.
        shared: Kinds that are written once each, in tables.
        form: Number of the form it is written in, raised when the fields of its kind change [-].

    Raises:
        EntryError: Something in it has no plain form.
    """
    writer = _Writer(shared)
    told = writer.plain(value)
    # The tables are full only now: writing the value filled them.
    tables = {kind.__name__: rows for kind, rows in writer.tables.items()}
    return {"form": form, "tables": tables, "value": told}


def from_plain(
    kind: type[T], entry: Mapping[str, Any], *, shared: Sequence[type[Any]] = (), form: int = 1, where: str = "plan"
) -> T:
    """The record that `to_plain` was given.

    Args:
        kind: Its class.
        entry: What `to_plain` gave.
        shared: As it was given then.
        form: The form that is read here [-].
        where: What to call it in messages.

    Raises:
        EntryError: Of another form, or it cannot be read; names the field.
    """
    if entry.get("form") != form:
        raise EntryError(
            "kept in a form that is not read here", where=where, value=str(entry.get("form")), limit=f"form {form}",
            way_out="Open it with the version that wrote it.",
        )  # fmt: skip
    reader = _Reader(shared, entry.get("tables", {}), where)
    return cast("T", reader.value(kind, entry.get("value"), ""))


class _Writer:
    def __init__(self, shared: Sequence[type[Any]]) -> None:
        self.tables: dict[type[Any], list[Any]] = {kind: [] for kind in shared}
        self._places: dict[Any, int] = {}

    def plain(self, value: Any) -> Any:
        kind = cast("type[Any]", type(value))
        if kind in self.tables:
            return self._place(kind, value)
        if dataclasses.is_dataclass(value):
            return self._fields(value)
        if isinstance(value, bool) or value is None or isinstance(value, str):
            return value
        if isinstance(value, int):
            return int(value)
        if isinstance(value, float):
            return self._number(float(value))
        if isinstance(value, date):
            return value.isoformat()
        if isinstance(value, tuple):
            return [self.plain(one) for one in cast("tuple[Any, ...]", value)]
        if isinstance(value, Mapping):
            rows = cast("Mapping[Any, Any]", value)
            return [[self.plain(key), self.plain(one)] for key, one in rows.items()]
        raise EntryError("this has no plain form", value=f"{kind.__name__} {value!r}"[:80])

    def _place(self, kind: type[Any], value: Any) -> int:
        key = (kind, value)
        if key not in self._places:
            row = self._fields(value)
            self._places[key] = len(self.tables[kind])
            self.tables[kind].append(row)
        return self._places[key]

    def _fields(self, value: Any) -> dict[str, Any]:
        return {one.name: self.plain(getattr(value, one.name)) for one in dataclasses.fields(value)}

    def _number(self, value: float) -> float | str:
        if isnan(value):
            raise EntryError("this has no plain form", value="not a number")
        if isfinite(value):
            return value
        # JSON knows no number without end; a rule that keeps nothing is written so.
        return _ENDLESS if value > 0 else f"-{_ENDLESS}"


class _Reader:
    def __init__(self, shared: Sequence[type[Any]], tables: Mapping[str, Any], where: str) -> None:
        self._where = where
        self._tables: dict[type[Any], list[Any]] = {}
        for kind in shared:
            rows = tables.get(kind.__name__, [])
            self._tables[kind] = [self._record(kind, row, f"{kind.__name__} {at}") for at, row in enumerate(rows)]

    def value(self, kind: Any, entry: Any, at: str) -> Any:
        if kind in self._tables:
            return self._row(kind, entry, at)
        if isinstance(kind, type) and dataclasses.is_dataclass(kind):
            return self._record(kind, entry, at)
        origin = get_origin(kind)
        if origin in (Union, types.UnionType):
            return None if entry is None else self.value(_but_none(kind), entry, at)
        if origin is tuple:
            return self._tuple(get_args(kind), entry, at)
        if origin is not None and isinstance(origin, type) and issubclass(origin, Mapping):
            key, one = get_args(kind)
            return {self.value(key, k, at): self.value(one, v, at) for k, v in self._list(entry, at)}
        if origin is Literal:
            return entry if entry in get_args(kind) else self._refuse(entry, at, limit=", ".join(get_args(kind)))
        return self._single(kind, entry, at)

    def _single(self, kind: Any, entry: Any, at: str) -> Any:
        if kind is float and isinstance(entry, int | float) and not isinstance(entry, bool):
            return float(entry)
        if kind is float and entry in (_ENDLESS, f"-{_ENDLESS}"):
            return inf if entry == _ENDLESS else -inf
        if kind in (date, datetime) and isinstance(entry, str):
            try:
                return kind.fromisoformat(entry)
            except ValueError:
                return self._refuse(entry, at, limit="a day as 2026-11-11")
        if kind in (int, str, bool) and type(entry) is kind:
            return entry
        return self._refuse(entry, at, limit=getattr(kind, "__name__", str(kind)))

    def _record(self, kind: type[Any], entry: Any, at: str) -> Any:
        if not isinstance(entry, Mapping):
            return self._refuse(entry, at, limit=kind.__name__)
        row = cast("Mapping[str, Any]", entry)
        hints = _hints(kind)
        strange = sorted(set(row) ^ set(hints))
        if strange:
            return self._refuse(strange, at, limit=", ".join(hints))
        return kind(**{name: self.value(hint, row[name], f"{at}.{name}".strip(".")) for name, hint in hints.items()})

    def _row(self, kind: type[Any], entry: Any, at: str) -> Any:
        rows = self._tables[kind]
        if type(entry) is not int or not 0 <= entry < len(rows):
            return self._refuse(entry, at, limit=f"0 to {len(rows) - 1}")
        return rows[entry]

    def _tuple(self, kinds: tuple[Any, ...], entry: Any, at: str) -> tuple[Any, ...]:
        rows = self._list(entry, at)
        if kinds[-1] is Ellipsis:
            return tuple(self.value(kinds[0], one, at) for one in rows)
        if len(rows) != len(kinds):
            return self._refuse(entry, at, limit=f"{len(kinds)} values")
        return tuple(self.value(kind, one, at) for kind, one in zip(kinds, rows, strict=True))

    def _list(self, entry: Any, at: str) -> list[Any]:
        return cast("list[Any]", entry) if isinstance(entry, list) else self._refuse(entry, at, limit="a list")

    def _refuse(self, entry: Any, at: str, *, limit: str) -> Any:
        raise EntryError(
            "what was kept cannot be read", where=f"{self._where}, {at}".strip(", "), value=str(entry)[:80],
            limit=limit, way_out="Run `plowwright check` on the records.",
        )  # fmt: skip


@cache
def _hints(kind: type[Any]) -> dict[str, Any]:
    hints = get_type_hints(kind)
    return {one.name: hints[one.name] for one in dataclasses.fields(kind)}


def _but_none(kind: Any) -> Any:
    others = [one for one in get_args(kind) if one is not type(None)]
    return others[0] if len(others) == 1 else Union[tuple(others)]  # noqa: UP007
