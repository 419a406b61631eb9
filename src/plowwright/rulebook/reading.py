"""Reading a rulebook folder: every refusal names file, line, field, value, limit and the way out."""

from __future__ import annotations

import difflib
import hashlib
import json
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any, Final, cast

from pydantic import ValidationError

from plowwright.errors import NotFoundError, PlowwrightError, RulebookError, UnitError
from plowwright.findings import Finding
from plowwright.rulebook import lines as toml_lines
from plowwright.rulebook.cutting import Cutting
from plowwright.rulebook.fit import Fit
from plowwright.rulebook.plumbing import Plumbing
from plowwright.rulebook.references import Problem, problems
from plowwright.rulebook.refit import Refit
from plowwright.rulebook.schema import (
    BoughtPart,
    Hours,
    MaterialEntry,
    Mount,
    Option,
    Plate,
    Prices,
    RulebookData,
    Section,
    Series,
    Shop,
    Version,
)
from plowwright.rulebook.strength import Strength
from plowwright.rulebook.suit import Suit
from plowwright.rulebook.swing import Swing

FILES: Final = tuple(RulebookData.model_fields)
"""Names of the files of a rulebook folder, without `.toml`."""
MAY_BE_MISSING: Final = frozenset(n for n, f in RulebookData.model_fields.items() if not f.is_required())
"""Files that came later: a rulebook closed before then stays valid without them."""

Lines = Mapping[str, dict[toml_lines.Path, int]]


@dataclass(frozen=True, kw_only=True, eq=False)
class Rulebook:
    """The shop's rules of one date, read and checked.

    Attributes:
        data: All entries as checked records, SI inside.
        fingerprint: Short mark of the content; comments, layout and the spelling of a size leave it alone.
        folder: Where it was read from.
        lines: For each file, on which line an entry stands.
    """

    data: RulebookData
    fingerprint: str
    folder: Path
    lines: Lines = field(repr=False)

    @property
    def version(self) -> Version:
        """Date and reason of these rules."""
        return self.data.version

    @property
    def shop(self) -> Shop:
        """Who the shop is, its saw and its stock lengths."""
        return self.data.shop

    @property
    def materials(self) -> dict[str, MaterialEntry]:
        """Grades by name."""
        return self.data.materials

    @property
    def sections(self) -> dict[str, Section]:
        """Bars, tubes and angles by name."""
        return self.data.sections

    @property
    def plates(self) -> dict[str, Plate]:
        """Sheets and plates by name."""
        return self.data.plates

    @property
    def bought(self) -> dict[str, BoughtPart]:
        """Bought parts by name."""
        return self.data.bought

    @property
    def series(self) -> dict[str, Series]:
        """Series by key."""
        return self.data.series

    @property
    def mounts(self) -> dict[str, Mount]:
        """Mounts by key."""
        return self.data.mounts

    @property
    def options(self) -> dict[str, dict[str, Option]]:
        """Options by group and value."""
        return self.data.options

    @property
    def prices(self) -> Prices:
        """Price list and cost rates."""
        return self.data.prices

    @property
    def hours(self) -> dict[str, Hours]:
        """Bench hours by series key."""
        return self.data.hours

    @property
    def strength(self) -> Strength | None:
        """What strength, trip and strike checks take on trust, or None where the rulebook has no strength.toml."""
        return self.data.strength

    @property
    def suit(self) -> Suit | None:
        """What the carrier checks take on trust, or None where the rulebook has no suit.toml."""
        return self.data.suit

    @property
    def swing(self) -> Swing | None:
        """What the angling checks take on trust, or None where the rulebook has no swing.toml."""
        return self.data.swing

    @property
    def plumbing(self) -> Plumbing | None:
        """What plumbing takes on trust, or None where the rulebook has no plumbing.toml."""
        return self.data.plumbing

    @property
    def fit(self) -> Fit | None:
        """How blades are matched to machines, or None where the rulebook has no fit.toml."""
        return self.data.fit

    @property
    def cutting(self) -> Cutting | None:
        """How steel is cut and bought, or None where the rulebook has no cutting.toml."""
        return self.data.cutting

    @property
    def refit(self) -> Refit | None:
        """What a refit takes on trust, or None where the rulebook has no refit.toml."""
        return self.data.refit

    def place(self, file: str, *path: str | int) -> str:
        """File and line of an entry, for messages."""
        return f"{file}.toml line {toml_lines.line_of(self.lines.get(file, {}), path)}"

    def audit(self) -> list[Finding]:
        """Whether the rules make sense over all widths and series, in sentences."""
        # The audit reads rulebooks, so it cannot be imported above.
        from plowwright.rulebook.audit import audit

        return audit(self)


def load(path: Path | str, on: date | None = None) -> Rulebook:
    """Read a rulebook folder.

    Args:
        path: The folder with today's rules; older ones stand in its folder `past`.
        on: The day whose rules are wanted; without it, those of the folder itself.

    Raises:
        NotFoundError: there is no such folder, or no rules were in force on that day.
        RulebookError: a file is missing or an entry cannot be taken.
    """
    folder = Path(path)
    if on is not None:
        from plowwright.rulebook.versions import folder_in_force  # versions reads by the functions below

        folder = folder_in_force(folder, on)
    texts = _texts(folder)
    raw = {name: parse_toml(text, f"{name}.toml") for name, text in texts.items()}
    where = {name: toml_lines.find_lines(text) for name, text in texts.items()}
    try:
        data = RulebookData.model_validate(raw)
    except ValidationError as error:
        raise _refusal(_from_schema(error, raw), where) from error
    found = problems(data)
    if found:
        raise _refusal(found, where)
    return Rulebook(data=data, fingerprint=fingerprint(data), folder=folder, lines=where)


def fingerprint(data: RulebookData) -> str:
    """Short mark of the content of a rulebook, three groups of four; the seal itself is not part of it."""
    # Without defaults: a field that the program learns later must not break the seal of an old rulebook.
    content = data.model_dump(
        mode="json", by_alias=True, exclude_defaults=True, exclude={"version": {"sealed"}}
    )
    text = json.dumps(_rounded(content), sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    digest = hashlib.sha256(text.encode()).hexdigest()
    return "-".join(digest[i : i + 4] for i in range(0, 12, 4))


def parse_toml(text: str, name: str) -> dict[str, Any]:
    """Parse one file.

    Args:
        text: Its content.
        name: What messages call it.

    Raises:
        RulebookError: not TOML; names the line.
    """
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        what, _, at = str(error).partition(" (at ")
        number = at.removeprefix("line ").partition(",")[0].rstrip(")")
        rows = text.splitlines()
        line = int(number) if number.isdigit() else len(rows)
        raise RulebookError(
            f"the file cannot be read: {what[:1].lower()}{what[1:]}",
            value=rows[line - 1].strip() if 0 < line <= len(rows) else "the end of the file",
            way_out='Write name = "value", quotes closed; a table is [name], a comment begins with #.',
            where=f"{name} line {max(line, 1)}",
        ) from error


def near_names(name: str, names: Sequence[str]) -> str:
    """The way out for a name that is not there: the nearest ones, or all of them when they are few."""
    close = difflib.get_close_matches(name, names, n=3, cutoff=0.55)
    if close:
        return f"Did you mean {' or '.join(close)}?"
    return f"There are: {', '.join(names)}." if 0 < len(names) <= 12 else ""


def read_text(file: Path) -> str:
    """Text of a file of a rulebook.

    Raises:
        RulebookError: it is not there or not UTF-8 text.
    """
    try:
        return file.read_text(encoding="utf-8-sig")
    except FileNotFoundError as error:
        raise RulebookError(
            "the file is not there",
            limit=f"a rulebook has {', '.join(f'{n}.toml' for n in FILES)}",
            way_out="Copy it from an older rulebook and change it.",
            where=str(file),
        ) from error
    except UnicodeDecodeError as error:
        raise RulebookError(
            "the file is not plain text in UTF-8",
            value=f"byte {error.start}",
            way_out="Save it as UTF-8 in the editor.",
            where=str(file),
        ) from error


def _texts(folder: Path) -> dict[str, str]:
    if not folder.is_dir():
        raise NotFoundError(
            "there is no rulebook folder here",
            value=str(folder),
            way_out="Give the folder that holds series.toml.",
        )
    for file in sorted(folder.glob("*.toml")):
        if file.stem not in FILES:
            raise RulebookError(
                "a rulebook has no such file",
                value=file.name,
                way_out=near_names(file.stem, FILES) + " Rename it, or move it out of the folder.",
                where=str(file),
            )
    wanted = [name for name in FILES if name not in MAY_BE_MISSING or (folder / f"{name}.toml").exists()]
    return {name: read_text(folder / f"{name}.toml") for name in wanted}


def _rounded(value: Any) -> Any:
    # Twelve figures: a conversion that differs in the last bit on another machine must not change the mark.
    if isinstance(value, float):
        return float(f"{value:.12g}")
    if isinstance(value, dict):
        return {key: _rounded(item) for key, item in cast("dict[str, Any]", value).items()}
    if isinstance(value, list):
        return [_rounded(item) for item in cast("list[Any]", value)]
    return value


def _from_schema(error: ValidationError, raw: Mapping[str, Any]) -> list[Problem]:
    """The schema library's complaints in our words, one for each entry."""
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


def _refusal(found: Sequence[Problem], where: Lines) -> PlowwrightError:
    """One error for the first problem in file order, which names the places of the others."""

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
