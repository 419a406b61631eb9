"""Rules of a refit: the blade's own old rules for what stays on it, today's for what changes and for the checks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TypeVar

from plowwright.errors import RulebookError
from plowwright.rulebook.quantities import Record
from plowwright.rulebook.reading import Rulebook, fingerprint
from plowwright.rulebook.references import Problem, problems
from plowwright.rulebook.schema import ClassRow, Option, Plate, Section, Series, Version

CHECKS = ("strength", "suit", "swing", "plumbing", "fit", "cutting", "refit")
"""Files of settings: what a check takes on trust today, whatever the age of the blade."""

_Entry = TypeVar("_Entry", bound=Record)
_Stock = TypeVar("_Stock", Section, Plate)


def both(old: Rulebook, today: Rulebook, series: str, width: float) -> Rulebook:
    """One rulebook of two: sizes by the old, prices, mounts, options and settings of the checks by today's.

    Args:
        old: The rules the blade was built by.
        today: The rules in force.
        series: Key of its series.
        width: Width of the blade [m].

    Raises:
        RulebookError: The two do not go together; names the entry.
    """
    data = today.data.model_copy(
        update={
            "version": _version(old, today),
            "materials": {**today.materials, **old.materials},
            "sections": {**today.sections, **_priced(old.sections, today.sections)},
            "plates": {**today.plates, **_priced(old.plates, today.plates)},
            "bought": {**today.bought, **_filled(old.bought, today.bought)},
            "series": {**old.series, series: _with_mount(old.series[series], today.series.get(series), width)},
            "mounts": {**old.mounts, **today.mounts},
            "options": _options(old.options, today.options),
            "hours": {**old.hours, **today.hours},
        }
    )
    _refuse(problems(data), old, today)
    return replace(today, data=data, fingerprint=fingerprint(data))


def judged(old: Rulebook, today: Rulebook) -> Rulebook:
    """The old rules with today's settings of the checks, so that a blade as it stands can be looked at beside the new.

    Args:
        old: The rules the blade was built by.
        today: The rules in force.
    """
    settings = {name: getattr(today.data, name) for name in CHECKS}
    bought = {**old.bought, **_filled(old.bought, today.bought)}
    data = old.data.model_copy(update={**settings, "bought": bought})
    return replace(old, data=data, fingerprint=fingerprint(data))


def superseded(name: str, today: Rulebook) -> str:
    """What is bought today instead of this, "" where it is still bought.

    Args:
        name: A section, plate or bought part.
        today: The rules in force.
    """
    seen = [name]
    while True:
        entry = today.bought.get(seen[-1]) or today.sections.get(seen[-1]) or today.plates.get(seen[-1])
        after = entry.superseded_by if entry else None
        if after is None or after in seen:
            return "" if len(seen) == 1 else seen[-1]
        seen.append(after)


def known_today(name: str, today: Rulebook) -> bool:
    """Whether today's lists have this stock, with a price of today.

    Args:
        name: A section, plate or bought part.
        today: The rules in force.
    """
    return name in today.bought or name in today.sections or name in today.plates


def _version(old: Rulebook, today: Rulebook) -> Version:
    was, now = old.version.date.isoformat(), today.version.date.isoformat()
    reason = f"Rules of {was} for what stays on the blade, those of {now} for what changes"
    return Version(date=old.version.date, reason=reason)


def _priced(old: Mapping[str, _Stock], today: Mapping[str, _Stock]) -> dict[str, _Stock]:
    """Old sizes at today's prices; what today's list does not have keeps its old price."""
    found: dict[str, _Stock] = {}
    for name, entry in old.items():
        now = today.get(name)
        new = {} if now is None else {"price": now.price, "superseded_by": now.superseded_by}
        found[name] = entry.model_copy(update=new)
    return found


def _filled(old: Mapping[str, _Entry], today: Mapping[str, _Entry]) -> dict[str, _Entry]:
    """Old sizes; what the old file does not say, today's says, and price and lead time are today's."""
    found: dict[str, _Entry] = {}
    for name, entry in old.items():
        now = today.get(name)
        if now is None:
            found[name] = entry
            continue
        said = {field: getattr(entry, field) for field in type(entry).model_fields}
        silent = {field for field, value in said.items() if value is None} | {
            field for field in said if field not in entry.model_fields_set
        }
        of_today = silent | {"price", "lead_time_days", "superseded_by"}
        found[name] = entry.model_copy(update={field: getattr(now, field) for field in of_today})
    return found


def _with_mount(old: Series, today: Series | None, width: float) -> Series:
    """The old series with today's plate for the mount; its sleeve goes on a tube that stays, so it is the old one's."""
    now = None if today is None else next((row for row in today.rows if row.serves(width)), None)
    if now is None:
        return old
    rows: list[ClassRow] = [
        row.model_copy(update={"mount_plate": now.mount_plate}) if row.serves(width) else row for row in old.rows
    ]
    return old.model_copy(update={"rows": rows})


def _options(
    old: Mapping[str, dict[str, Option]], today: Mapping[str, dict[str, Option]]
) -> dict[str, dict[str, Option]]:
    return {group: {**old.get(group, {}), **today.get(group, {})} for group in dict.fromkeys((*old, *today))}


def _refuse(found: Sequence[Problem], old: Rulebook, today: Rulebook) -> None:
    if not found:
        return
    first = found[0]
    raise RulebookError(
        first.what,
        value=first.value,
        limit=first.limit,
        way_out=first.way_out,
        where=f"rules of {old.version.date.isoformat()} and {today.version.date.isoformat()} together, "
        + ".".join(str(key) for key in first.path),
    )
