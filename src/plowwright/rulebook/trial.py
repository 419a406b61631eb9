"""A rule trial: the same rulebook with one series changed, in memory only, to see what it does before it counts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from plowwright import units
from plowwright.errors import RulebookError
from plowwright.rulebook.reading import Rulebook, fingerprint
from plowwright.rulebook.references import problems
from plowwright.rulebook.refusals import near_names
from plowwright.rulebook.schema import ClassRow, Series

_TEXT_FIELDS: Final = ("leg", "cross", "hinge_beam", "web", "ear", "pin_plate", "mount_plate", "tower")
_LENGTH_FIELDS: Final = ("hinge_beam_length", "frame_length")


def tried(
    rulebook: Rulebook, series: str, *, changes: Mapping[str, str] | None = None, up_to: float | None = None
) -> Rulebook:
    """The rulebook with one series changed.

    Args:
        rulebook: The rules in force; they stay as they are.
        series: Key of the series.
        changes: Fields of its class rows and what they are on trial, as `{"leg": "tube 3 x 3 x 1/4"}`; every row gets
            them.
        up_to: Widest blade on trial; the last row of each table goes that far [m].

    Raises:
        RulebookError: No such series, field or stock, or the width lies below the narrowest blade.
    """
    if series not in rulebook.series:
        raise RulebookError(
            "no series is called so",
            value=series,
            way_out=near_names(series, list(rulebook.series)),
            where="series.toml",
        )
    changed = _changed(rulebook.series[series], rulebook, dict(changes or {}))
    if up_to is not None:
        changed = _widened(changed, up_to)
    data = rulebook.data.model_copy(update={"series": {**rulebook.series, series: changed}})
    found = problems(data)
    if found:
        first = found[0]
        raise RulebookError(
            first.what, value=first.value, limit=first.limit, way_out=first.way_out, where="on trial, series.toml"
        )
    return replace(rulebook, data=data, fingerprint=fingerprint(data))


def _changed(series: Series, rulebook: Rulebook, changes: dict[str, str]) -> Series:
    values: dict[str, Any] = {}
    for field, text in changes.items():
        if field in _LENGTH_FIELDS:
            values[field] = units.si(text, "length")
            continue
        if field not in _TEXT_FIELDS:
            raise RulebookError(
                "a class row has no such field to try",
                value=field,
                way_out=near_names(field, [*_TEXT_FIELDS, *_LENGTH_FIELDS]),
                where="on trial",
            )
        stock = [*rulebook.sections, *rulebook.plates]
        if text not in stock:
            raise RulebookError(
                "no stock is called so", value=text, way_out=near_names(text, stock), where=f"on trial, {field}"
            )
        values[field] = text
    if not values:
        return series
    rows: list[ClassRow] = [row.model_copy(update=values) for row in series.rows]
    return series.model_copy(update={"rows": rows})


def _widened(series: Series, up_to: float) -> Series:
    if up_to < series.from_:
        raise RulebookError(
            "the widest blade on trial is narrower than the narrowest",
            value=units.tape(up_to),
            limit=f"at least {units.tape(series.from_)}",
            where=f"on trial, {series.name}",
        )
    update: dict[str, Any] = {"up_to_and_including": up_to}
    for table in ("rows", "edges", "cylinders"):
        rows = list(getattr(series, table))
        rows[-1] = rows[-1].model_copy(update={"up_to_and_including": max(up_to, rows[-1].up_to_and_including)})
        update[table] = rows
    return series.model_copy(update=update)
