"""Dated rulebooks: an old serial keeps its old rules, so older folders stay and can be sealed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from pydantic import ValidationError

from plowwright.errors import NotFoundError, RulebookError
from plowwright.rulebook.lines import find_lines, line_of
from plowwright.rulebook.reading import parse_toml, read_text
from plowwright.rulebook.schema import Version


@dataclass(frozen=True, kw_only=True)
class VersionLine:
    """One dated rulebook.

    Attributes:
        date: From when it was in force.
        reason: Why it was made.
        folder: Where it stands.
        sealed: Fingerprint it was closed with, or None while it is open.
    """

    date: date
    reason: str
    folder: Path
    sealed: str | None


def versions(path: Path | str) -> list[VersionLine]:
    """All dated rulebooks of a folder, newest first: the folder itself and those in its folder `past`.

    Raises:
        RulebookError: a version file is missing or cannot be taken.
        NotFoundError: there is no such folder.
    """
    folder = Path(path)
    if not folder.is_dir():
        raise NotFoundError("there is no rulebook folder here", value=str(folder))
    older = (entry for entry in (folder / "past").glob("*") if entry.is_dir())
    found = [_line(entry) for entry in (folder, *older)]
    return sorted(found, key=lambda line: line.date, reverse=True)


def folder_in_force(path: Path, on: date) -> Path:
    """The folder whose rules were in force on a day.

    Raises:
        NotFoundError: even the oldest is younger.
    """
    known = versions(path)
    for line in known:
        if line.date <= on:
            return line.folder
    raise NotFoundError(
        "no rules were in force on that day",
        value=on.isoformat(),
        limit=f"the oldest rulebook is of {known[-1].date.isoformat()}",
        way_out=f"Put the older rules into {path / 'past'}.",
    )


def _line(folder: Path) -> VersionLine:
    file = folder / "version.toml"
    text = read_text(file)
    raw = parse_toml(text, str(file))
    try:
        version = Version.model_validate(raw)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        name = str(first["loc"][-1])
        raise RulebookError(
            f"{name}: {first['msg'][:1].lower()}{first['msg'][1:]}",
            way_out='A version has date = 2026-09-01 and reason = "..." of at least 8 signs.',
            where=f"{file} line {line_of(find_lines(text), (name,))}",
        ) from error
    return VersionLine(date=version.date, reason=version.reason, folder=folder, sealed=version.sealed)
