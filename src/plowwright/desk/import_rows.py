"""One row of a list that is brought in: its cells read forgivingly, and everything odd about it noted with a code.

A note says what stands in which row and column, the value, the limit and the way out, and what becomes of it: *wrong*
(the row cannot be taken), *changed* (taken otherwise than it is written, and how), *there* (in the records already) or
*look* (taken as it is, but worth a look).
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any, Final, Literal

from plowwright import units
from plowwright.desk.import_days import bare, read_moment
from plowwright.errors import EntryError, PlowwrightError, UnitError
from plowwright.papers.tables_in import Entry

Sort = Literal["wrong", "changed", "there", "look"]
Outcome = Literal["new", "already there", "wrong", "left out"]
CODES: Final[Mapping[str, str]] = {
    "empty": "a cell that must be filled is empty",
    "example": "the example row of the template; it is left out",
    "no-unit": "a size or price without its unit",
    "not-a-size": "a size, price or count that cannot be read",
    "not-a-day": "a day that cannot be read, or that could be two days",
    "not-known": "a choice, part or section that the rulebook does not have",
    "spelling": "a choice spelt otherwise than the rulebook spells it, taken as the one meant",
    "filled-in": "an empty cell filled in from what is known",
    "sheet-error": "the spreadsheet shows an error in this cell",
    "wrong-letter": "an order number whose check letter does not belong to its figures: swapped or misread",
    "letter-added": "an order number without its check letter, which is added",
    "next-number": "an order without a number, which gets the next one",
    "row-twice": "two rows of the file are of one thing",
    "there-already": "the records have this already, and the same",
    "differs": "the records have this already, and otherwise; an import never overwrites",
    "moved-on": "the records have this already and know more; theirs stands",
    "alike": "the records or the file have one very like it",
    "width-not-built": "a width the series is not built in",
    "clash": "choices that do not go together",
    "serial-disagrees": "a serial number that says another class, width or year than its blade",
    "not-a-serial": "a serial number of another form than the shop's",
    "price-differs": "a price other than the list's; it is kept as written",
    "deposit": "a deposit that does not go with the price or the state",
    "count-differs": "a count other than the ledger's; a count line is written for the difference",
    "reserved": "fewer pieces than are reserved",
    "customer": "a customer who could be two people, or whose phone is new",
}
"""Every code and what it means."""
_SIZES: Final[dict[tuple[str, str, str], float]] = {}
_MOST_SIZES: Final = 4096
_ERROR_CELL: Final = re.compile(r"#(REF|N/A|VALUE|DIV/0|NAME|NULL|NUM|SPILL|CALC)[!?]?", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Noted:
    """One thing noted about a row.

    Attributes:
        code: One of `CODES`.
        sort: Wrong, changed, there or look.
        line: Line of the file [-].
        column: Heading of the column, or "".
        what: What was noted, one sentence without its full stop.
        value: What stands there, or "".
        limit: What it is held against, or "".
        way_out: What would work, or how it was taken, or "".
    """

    code: str
    sort: Sort
    line: int
    column: str
    what: str
    value: str = ""
    limit: str = ""
    way_out: str = ""

    def sentence(self) -> str:
        """All of it in one text."""
        text = f"line {self.line}{', ' + self.column if self.column else ''}: {self.what}"
        text += f" (given: {self.value})" if self.value else ""
        text += f"; limit: {self.limit}" if self.limit else ""
        return f"{text}. {self.way_out}" if self.way_out else f"{text}."

    def as_dict(self) -> dict[str, Any]:
        """The same for a machine."""
        return {
            "code": self.code, "sort": self.sort, "line": self.line, "column": self.column, "what": self.what,
            "value": self.value, "limit": self.limit, "way_out": self.way_out,
        }  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadRow:
    """A row as it was read.

    Attributes:
        line: Line of the file [-].
        said: What it is, in a few words.
        outcome: New, already there, wrong or left out.
        noted: What was noted about it.
        value: What it is to be written as, of the kind's own class; None where it is not written.
    """

    line: int
    said: str
    outcome: Outcome
    noted: tuple[Noted, ...] = ()
    value: Any = None

    def as_dict(self) -> dict[str, Any]:
        """The row for a machine."""
        return {"line": self.line, "said": self.said, "outcome": self.outcome,
                "noted": [one.as_dict() for one in self.noted]}  # fmt: skip


@dataclass(slots=True)
class Row:
    """A row while it is read.

    Attributes:
        entry: Its cells.
        noted: What was noted so far.
    """

    entry: Entry
    noted: list[Noted] = field(default_factory=list[Noted])

    @property
    def is_wrong(self) -> bool:
        """Whether it cannot be taken."""
        return any(one.sort == "wrong" for one in self.noted)

    def note(
        self, code: str, sort: Sort, column: str, what: str, *, value: str = "", limit: str = "", way_out: str = ""
    ) -> None:
        """Note something.

        Args:
            code: One of `CODES`.
            sort: Wrong, changed, there or look.
            column: Heading, or "".
            what: What was noted.
            value: What stands there.
            limit: What it is held against.
            way_out: What would work, or how it was taken.
        """
        assert code in CODES
        one = Noted(code=code, sort=sort, line=self.entry.line, column=column, what=what, value=value, limit=limit,
                    way_out=way_out)  # fmt: skip
        if one not in self.noted:
            self.noted.append(one)

    def refused(self, code: str, column: str, error: PlowwrightError) -> None:
        """Note what a rule of the shop refused.

        Args:
            code: One of `CODES`.
            column: Heading, or "".
            error: The refusal.
        """
        self.note(code, "wrong", column, error.what, value=error.value, limit=error.limit, way_out=error.way_out)

    def text(self, column: str, *, must: bool = False) -> str:
        """What stands in a column, blanks around it and doubled ones taken out.

        Args:
            column: Heading.
            must: Whether it may not be empty.
        """
        text = " ".join(self.entry.text(column).split())
        if _ERROR_CELL.fullmatch(text):
            self.note("sheet-error", "wrong", column, "the spreadsheet shows an error here", value=text,
                      way_out="Mend the formula, or write the value itself.")  # fmt: skip
            return ""
        if must and not text:
            formula = ", or let a spreadsheet work its formula out and save it" if ".xls" in self.entry.where else ""
            self.note("empty", "wrong", column, f"no {column} here", way_out=f"Fill it in{formula}.")
        return text

    def choice(self, column: str, options: Mapping[str, str], *, must: bool = True) -> str:
        """The key of a choice, however it is spelt.

        Args:
            column: Heading.
            options: Words by key.
            must: Whether it may not be empty.
        """
        text = self.text(column, must=must)
        return self.named(column, text, options) if text else ""

    def named(self, column: str, text: str, options: Mapping[str, str]) -> str:
        """The key of what was written, or "" where none is meant.

        Args:
            column: Heading.
            text: As written.
            options: Words by key.
        """
        if text in options:
            return text
        plain = bare(text)
        same = [key for key, words in options.items() if plain in (bare(key), bare(words))]
        if len(same) == 1:
            if text.casefold() != same[0].casefold():
                self.note("spelling", "changed", column, f"taken as {same[0]}", value=text)
            return same[0]
        near = difflib.get_close_matches(text.casefold(), list(options), n=3, cutoff=0.5)
        self.note("not-known", "wrong", column, f"no {column} is called that", value=text,
                  limit=", ".join(options) if len(options) <= 12 else "",
                  way_out=f"Near it: {', '.join(near)}." if near else "Write it as the rulebook does.")  # fmt: skip
        return ""

    def many(self, column: str, options: Mapping[str, str]) -> tuple[str, ...]:
        """Several choices, parted by commas, semicolons, plus signs or slashes; in the rulebook's order, each once.

        Args:
            column: Heading.
            options: Words by key.
        """
        text = self.text(column)
        if text.casefold() in ("none", "no", "-"):
            return ()
        parts = [part.strip() for part in re.split(r"[,;+/]|\band\b", text) if part.strip()]
        found = {key for part in parts if (key := self.named(column, part, options))}
        return tuple(key for key in options if key in found)

    def size(self, column: str, kind: str, *, must: bool = True) -> float | None:
        """A size in SI, None where it is empty or cannot be read.

        Args:
            column: Heading; it may carry the unit.
            kind: Kind of quantity.
            must: Whether it may not be empty.
        """
        text = self.text(column, must=must)
        if not text:
            return None
        seen = (text, self.entry.column_units.get(column, ""), kind)
        try:
            # A long list says the same few sizes again and again.
            if seen not in _SIZES:
                if len(_SIZES) >= _MOST_SIZES:
                    _SIZES.clear()
                _SIZES[seen] = self.entry.quantity(column, kind)
            return _SIZES[seen]
        except UnitError as error:
            self.refused("no-unit", column, error)
        except EntryError as error:
            self.refused("not-a-size", column, error)
        return None

    def cents(self, column: str) -> int | None:
        """A sum of money in whole cents, None where it is empty or cannot be read.

        Args:
            column: Heading; it may carry the currency.
        """
        amount = self.size(column, "money", must=False)
        if amount is not None and amount < 0:
            self.note("not-a-size", "wrong", column, "a sum below nothing", value=self.text(column), limit="0 or more",
                      way_out="A refund is written on the order's page.")  # fmt: skip
            return None
        return None if amount is None else round(100 * amount)

    def count(self, column: str) -> int | None:
        """A whole number, None where it is empty or none.

        Args:
            column: Heading.
        """
        if not self.text(column, must=True):
            return None
        try:
            return self.entry.count(column)
        except EntryError as error:
            self.refused("not-a-size", column, error)
        return None

    def moment(self, column: str, *, must: bool = False) -> date | datetime | None:
        """A day, with its hour where one is written; None where it is empty or cannot be read.

        Args:
            column: Heading; `[month/day/year]` or `[day/month/year]` in it settles 11/12/2026.
            must: Whether it may not be empty.
        """
        text = self.text(column, must=must)
        if not text:
            return None
        try:
            found, changed = read_moment(text, self.entry.column_units.get(column, ""))
        except EntryError as error:
            self.refused("not-a-day", column, error)
            return None
        if changed:
            said = f"{found:%d %b %Y}" + (f" {found:%H:%M}" if isinstance(found, datetime) else "")
            self.note("spelling", "changed", column, f"taken as {said}", value=text)
        return found

    def day(self, column: str, *, must: bool = False) -> date | None:
        """A day; an hour is dropped.

        Args:
            column: Heading.
            must: Whether it may not be empty.
        """
        found = self.moment(column, must=must)
        return found.date() if isinstance(found, datetime) else found


def twice(rows: Sequence[tuple[Row, object]], column: str) -> None:
    """Note rows that are of one thing.

    Args:
        rows: Each with what it is of; None is of nothing yet.
        column: Heading it is told by.
    """
    first: dict[object, int] = {}
    for row, thing in rows:
        if thing is None:
            continue
        if thing in first:
            row.note("row-twice", "wrong", column, f"line {first[thing]} is of the same", value=row.text(column),
                     way_out="Take one of the two rows out.")  # fmt: skip
        first.setdefault(thing, row.entry.line)


def inches_said(length: float) -> str:
    """A length as a number of inches for a column headed [in].

    Args:
        length: [m].
    """
    return f"{units.inches(length):.6f}".rstrip("0").rstrip(".")


def sum_said(cents: int) -> str:
    """A sum as a plain number for a column headed with its currency.

    Args:
        cents: The sum [cents].
    """
    return f"{cents / 100:.2f}"
