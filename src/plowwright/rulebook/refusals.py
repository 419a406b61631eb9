"""A rulebook's faults in our words: the schema library's complaints translated, and one refusal for all of them."""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Sequence
from typing import Any, Final, cast

from pydantic import ValidationError

from plowwright.errors import PlowwrightError, RulebookError, UnitError
from plowwright.rulebook import lines as toml_lines
from plowwright.rulebook.references import Problem
from plowwright.rulebook.schema import RulebookData

FILES: Final = tuple(RulebookData.model_fields)
"""Names of the files of a rulebook folder, without `.toml`."""
Lines = Mapping[str, dict[toml_lines.Path, int]]


def near_names(name: str, names: Sequence[str]) -> str:
    """The way out for a name that is not there: the nearest ones, or all of them when they are few."""
    close = difflib.get_close_matches(name, names, n=3, cutoff=0.55)
    if close:
        return f"Did you mean {' or '.join(close)}?"
    return f"There are: {', '.join(names)}." if 0 < len(names) <= 12 else ""


def from_schema(error: ValidationError, raw: Mapping[str, Any]) -> list[Problem]:
    """The schema library's complaints in our words, one for each entry.

    Args:
        error: What the library raised.
        raw: The files as parsed.
    """
    found: dict[tuple[str | int, ...], Problem] = {}
    words: dict[tuple[str | int, ...], list[str]] = {}
    for item in error.errors(include_url=False):
        path = _path_in_file(item["loc"], raw, missing=item["type"] == "missing")
        context = cast("dict[str, Any]", item.get("ctx", {}))
        if item["type"] == "literal_error":
            words.setdefault(path, []).append(str(context["expected"]).replace("'", '"'))
        found[path] = _problem(item, path, raw, context)
    for path, expected in words.items():
        refused = found[path]
        if "without a unit" in refused.what or refused.what.startswith("not "):
            found[path] = refused.but(way_out=f"{refused.way_out} Or write {' or '.join(expected)}.".strip())
    return list(found.values())


def _path_in_file(loc: tuple[str | int, ...], raw: Any, *, missing: bool) -> tuple[str | int, ...]:
    """The part of the library's location that stands in the files; its names of alternatives are left out."""
    path: list[str | int] = []
    here = raw
    for i, key in enumerate(loc):
        if isinstance(here, dict) and key in here:
            here = cast("dict[Any, Any]", here)[key]
        elif isinstance(here, list) and isinstance(key, int) and key < len(cast("list[Any]", here)):
            here = cast("list[Any]", here)[key]
        elif not (missing and i == len(loc) - 1):
            continue
        path.append(key)
    return tuple(path)


def _problem(item: Any, path: tuple[str | int, ...], raw: Any, context: Mapping[str, Any]) -> Problem:
    inner = context.get("error")
    given = "" if isinstance(item["input"], dict | list) else str(item["input"])
    if isinstance(inner, UnitError):
        return Problem(
            path=path, what=inner.what, value=inner.value, limit=inner.limit, way_out=inner.way_out
        )
    kind = str(item["type"])
    name = str(path[-1]) if path else ""
    if kind == "missing":
        return Problem(path=path, what=f"{name} is missing", way_out=f"Add a line {name} = ... here.")
    if kind == "extra_forbidden":
        known = _fields_beside(item["loc"])
        return Problem(
            path=path, what=f"no field is called {name}", value=given, way_out=near_names(name, known)
        )
    if kind == "literal_error":
        expected = str(context["expected"]).replace("'", '"')
        return Problem(
            path=path, what="not one of the words known here", value=given, way_out=f"Write {expected}."
        )
    if kind == "value_error":
        return Problem(path=path, what=str(inner), value=given)
    text = str(item["msg"])
    return Problem(path=path, what=f"{text[:1].lower()}{text[1:]}", value=given)


def _fields_beside(loc: tuple[str | int, ...]) -> list[str]:
    """Names of the fields the record at this place has."""
    here: Any = RulebookData
    for key in loc[:-1]:
        if isinstance(here, type) and hasattr(here, "model_fields"):
            fields = cast("type[RulebookData]", here).model_fields
            match = [f for n, f in fields.items() if key in (n, f.alias)]
            here = match[0].annotation if match else None
        else:
            # A table by name or a list of records: its record is the last thing in the brackets.
            arguments = getattr(here, "__args__", ())
            here = arguments[-1] if arguments else None
    if not (isinstance(here, type) and hasattr(here, "model_fields")):
        return []
    return [f.alias or n for n, f in cast("type[RulebookData]", here).model_fields.items()]


def refusal(found: Sequence[Problem], where: Lines) -> PlowwrightError:
    """One error for the first problem in file order, which names the places of the others.

    Args:
        found: All problems, at least one.
        where: On which line of each file an entry stands.
    """

    def place(problem: Problem) -> str:
        file, *rest = problem.path
        at = f"{file}.toml line {toml_lines.line_of(where[str(file)], tuple(rest))}"
        return f"{at}, {'.'.join(_spelled(key) for key in rest)}" if rest else at

    ordered = sorted(
        found,
        key=lambda p: (
            FILES.index(str(p.path[0])),
            toml_lines.line_of(where[str(p.path[0])], tuple(p.path[1:])),
        ),
    )
    first, others = ordered[0], ordered[1:]
    way_out = first.way_out
    if others:
        listed = "; ".join(f"{place(p)}: {p.what}" for p in others[:4])
        way_out = f"{way_out} Refused as well: {listed}{' and more' if len(others) > 4 else ''}.".strip()
    return RulebookError(
        first.what, value=first.value, limit=first.limit, way_out=way_out, where=place(first)
    )


def _spelled(key: str | int) -> str:
    if isinstance(key, int):
        return f"row {key + 1}"
    return key if all(sign.isalnum() or sign in "-_" for sign in key) else f'"{key}"'
