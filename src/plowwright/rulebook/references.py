"""What the schema alone cannot see: names that lead nowhere, and sizes a kind of entry needs."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from plowwright import units
from plowwright.rulebook.schema import Band, RulebookData, Section


@dataclass(frozen=True, kw_only=True)
class Problem:
    """An entry that cannot be taken.

    Attributes:
        path: File name without ending, then keys and places in lists down to the entry.
        what: What is wrong, one sentence.
        value: What was written.
        limit: What it broke, or "".
        way_out: What would work, or "".
    """

    path: tuple[str | int, ...]
    what: str
    value: str = ""
    limit: str = ""
    way_out: str = ""

    def but(self, *, way_out: str) -> Problem:
        """The same with another way out."""
        return replace(self, way_out=way_out)


# Field of a series (dots go down, * is every row) -> file it names an entry of, kinds of entry that will do.
_SERIES: Final[dict[str, tuple[str, tuple[str, ...]]]] = {
    "moldboard.bottom_angle": ("sections", ("angle",)),
    "moldboard.skin": ("plates", ()),
    "moldboard.top_member": ("sections", ()),
    "hinge.pin": ("sections", ("round",)),
    "tower.eyebolt": ("bought", ()),
    "king_pin": ("sections", ("round",)),
    "oscillation_pin": ("sections", ("round", "round tube")),
    "oscillation_sleeve": ("sections", ("round tube",)),
    "stand_pocket": ("sections", ("tube",)),
    "gusset": ("plates", ()),
    "valve_block": ("bought", ("valve block",)),
    "rows.*.leg": ("sections", ("tube",)),
    "rows.*.cross": ("sections", ("tube",)),
    "rows.*.hinge_beam": ("sections", ("tube",)),
    "rows.*.tower": ("sections", ("tube",)),
    "rows.*.cylinder_arm": ("sections", ("tube",)),
    "rows.*.web": ("plates", ()),
    "rows.*.ear": ("plates", ()),
    "rows.*.pin_plate": ("plates", ()),
    "rows.*.mount_plate": ("plates", ()),
    "edges.*.edge": ("sections", ("flat",)),
    "edges.*.bolt": ("bought", ("bolt",)),
    "cylinders.*.cylinder": ("bought", ("cylinder",)),
    "springs.*.spring": ("bought", ("spring",)),
}
_SIZES: Final[dict[str, tuple[str, ...]]] = {
    "tube": ("width", "height", "wall"),
    "round tube": ("diameter", "wall"),
    "angle": ("width", "height", "wall"),
    "flat": ("width", "wall"),
    "round": ("diameter",),
    "cylinder": ("bore", "rod", "stroke", "retracted", "barrel"),
    "spring": ("coil", "wire", "active_coils", "free_length", "greatest_stretch"),
    "bolt": ("length", "diameter"),
}

Named = tuple[tuple[str | int, ...], str, str, tuple[str, ...]]
"""Where a name is written, the name, the file it should be in, and the kinds that will do."""


def problems(data: RulebookData) -> list[Problem]:
    """All names that lead nowhere and sizes that are not there."""
    return [*_lost_names(data), *_missing_sizes(data), *_bands(data), *_keys(data)]


def names_used(data: RulebookData) -> Iterator[Named]:
    """Every place where one entry names another."""
    for key, series in data.series.items():
        for spelled, (table, kinds) in _SERIES.items():
            for path, name in _values(series, spelled.split(".")):
                yield ("series", key, *path), name, table, kinds
    for key, mount in data.mounts.items():
        for field, table in (("lug_plate", "plates"), ("lip", "sections")):
            if getattr(mount, field) is not None:
                yield ("mounts", key, field), getattr(mount, field), table, ()
    for group, values in data.options.items():
        for value, option in values.items():
            for i, added in enumerate(option.adds):
                for field, table in (("bought", "bought"), ("section", "sections"), ("plate", "plates")):
                    if getattr(added, field) is not None:
                        yield ("options", group, value, "adds", i, field), getattr(added, field), table, ()
    for table in ("sections", "plates"):
        for key, entry in getattr(data, table).items():
            yield (table, key, "material"), entry.material, "materials", ()


def successors(data: RulebookData) -> Iterator[Named]:
    """Every place where an entry names the one that took its place."""
    for table in ("sections", "plates", "bought"):
        for key, entry in getattr(data, table).items():
            if entry.superseded_by is not None:
                yield (table, key, "superseded_by"), entry.superseded_by, table, ()


def choices(data: RulebookData) -> list[str]:
    """Everything that can be chosen, as group.value; series, mounts, carriers and outlets are groups too."""
    chosen = [f"series.{key}" for key in data.series] + [f"mount.{key}" for key in data.mounts]
    chosen += [f"carrier.{kind}" for mount in data.mounts.values() for kind in mount.carriers]
    chosen = [*dict.fromkeys(chosen), "outlets.left", "outlets.right"]
    return chosen + [f"{group}.{value}" for group, values in data.options.items() for value in values]


def _values(here: Any, keys: list[str]) -> Iterator[tuple[tuple[str | int, ...], str]]:
    if not keys:
        if here is not None:
            yield (), here
        return
    head, *rest = keys
    steps = list(enumerate(here)) if head == "*" else [(head, getattr(here, head))]
    for step, below in steps:
        for path, name in _values(below, rest):
            yield (step, *path), name


def _article(noun: str) -> str:
    return f"an {noun}" if noun[0] in "aeiou" else f"a {noun}"


def _near(name: str, names: list[str]) -> str:
    close = difflib.get_close_matches(name, names, n=3, cutoff=0.55)
    return f"Did you mean {' or '.join(close)}?" if close else f"There are: {', '.join(names[:12])}."


def _lost_names(data: RulebookData) -> Iterator[Problem]:
    for path, name, table, kinds in (*names_used(data), *successors(data)):
        entries: Mapping[str, Any] = getattr(data, table)
        fitting = [key for key, entry in entries.items() if not kinds or entry.kind in kinds]
        if name not in entries:
            yield Problem(
                path=path, what=f"{table}.toml has no such entry", value=name, way_out=_near(name, fitting)
            )
        elif name not in fitting:
            yield Problem(
                path=path,
                what=f"{path[-1]} wants {_article(' or '.join(kinds))}",
                value=f"{name}, {_article(entries[name].kind)}",
                way_out=_near(name, fitting),
            )


def _missing_sizes(data: RulebookData) -> Iterator[Problem]:
    for table in ("sections", "bought"):
        for key, entry in getattr(data, table).items():
            missing = [size for size in _SIZES.get(entry.kind, ()) if getattr(entry, size) is None]
            if missing:
                yield Problem(
                    path=(table, key),
                    what=f"a {entry.kind} needs {', '.join(missing)}",
                    value=key,
                    way_out=f"Add {missing[0]} = ... to it.",
                )
    for key, section in data.sections.items():
        yield from _impossible_wall(key, section)


def _impossible_wall(key: str, section: Section) -> Iterator[Problem]:
    sides = [side for side in (section.width, section.height, section.diameter) if side is not None]
    if section.kind not in ("tube", "round tube", "angle") or section.wall is None or not sides:
        return
    share = 1.0 if section.kind == "angle" else 0.5
    if section.wall >= share * min(sides):
        yield Problem(
            path=("sections", key, "wall"),
            what="the wall does not fit into the section",
            value=units.tape(section.wall),
            limit=f"below {units.tape(share * min(sides))}",
        )


def _bands(data: RulebookData) -> Iterator[Problem]:
    for key, series in data.series.items():
        if series.step <= 0 or series.up_to_and_including < series.from_:
            yield Problem(
                path=("series", key, "up_to_and_including"),
                what="the series has no widths",
                value=f"{units.tape(series.from_)} to {units.tape(series.up_to_and_including)}",
                way_out="Write the narrowest as from, the widest as up_to_and_including, and a step over 0.",
            )
        for name in ("rows", "edges", "cylinders"):
            bands: list[Band] = getattr(series, name)
            if not bands:
                yield Problem(
                    path=("series", key), what=f"{name} has no row", way_out=f"Add [[{key}.{name}]]."
                )
            for i, band in enumerate(bands):
                yield from _one_band(("series", key, name, i), band)
        if not any(row.carrier == "any" for row in series.springs):
            yield Problem(
                path=("series", key, "springs"),
                what='springs have no row for carrier = "any"',
                way_out=f'Add [[{key}.springs]] with carrier = "any".',
            )


def _one_band(path: tuple[str | int, ...], band: Band) -> Iterator[Problem]:
    if (band.from_ is None) == (band.over is None):
        both = "both from and over" if band.from_ is not None else "neither from nor over"
        yield Problem(
            path=path,
            what=f"the row has {both}",
            limit="exactly one of them",
            way_out='Write from = "54 in" to include that width, or over = "54 in" to start above it.',
        )
        return
    start = band.over if band.from_ is None else band.from_
    if start is not None and start > band.up_to_and_including:
        yield Problem(
            path=(*path, "up_to_and_including"),
            what="the row ends before it begins",
            value=units.tape(band.up_to_and_including),
            limit=f"{units.tape(start)} or more",
        )


def _keys(data: RulebookData) -> Iterator[Problem]:
    keys = list(data.series)
    for path, table in ((("prices", "series"), data.prices.series), (("hours",), data.hours)):
        for key in table:
            if key not in data.series:
                yield Problem(
                    path=(*path, key),
                    what="series.toml has no such series",
                    value=key,
                    way_out=_near(key, keys),
                )
    known = choices(data)
    for key in data.prices.options:
        if key not in known:
            yield Problem(
                path=("prices", "options", key),
                what="nothing of that name can be chosen",
                value=key,
                way_out=_near(key, known),
            )
    for group, values in data.options.items():
        for value, option in values.items():
            for field in ("needs", "excludes"):
                for i, name in enumerate(getattr(option, field)):
                    if name not in known:
                        yield Problem(
                            path=("options", group, value, field, i),
                            what="nothing of that name can be chosen",
                            value=name,
                            way_out=_near(name, known),
                        )
