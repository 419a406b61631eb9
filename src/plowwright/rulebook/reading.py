"""Reading a rulebook folder: every refusal names file, line, field, value, limit and the way out."""

from __future__ import annotations

import hashlib
import json
import tomllib
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any, Final, cast

from pydantic import ValidationError

from plowwright.errors import NotFoundError, RulebookError
from plowwright.findings import Finding
from plowwright.rulebook import lines as toml_lines
from plowwright.rulebook.crew import Crew
from plowwright.rulebook.cutting import Cutting
from plowwright.rulebook.dock import Dock
from plowwright.rulebook.fit import Fit
from plowwright.rulebook.plumbing import Plumbing
from plowwright.rulebook.references import problems
from plowwright.rulebook.refit import Refit
from plowwright.rulebook.refusals import FILES, Lines, from_schema, near_names, refusal
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

MAY_BE_MISSING: Final = frozenset(n for n, f in RulebookData.model_fields.items() if not f.is_required())
"""Files that came later: a rulebook closed before then stays valid without them."""


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
    def crew(self) -> Crew | None:
        """Who works when at what, or None where the rulebook has no crew.toml."""
        return self.data.crew

    @property
    def dock(self) -> Dock | None:
        """What the dock takes on trust, or None where the rulebook has no dock.toml."""
        return self.data.dock

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
        raise refusal(from_schema(error, raw), where) from error
    found = problems(data)
    if found:
        raise refusal(found, where)
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
