"""The life record: everything that ever happened to one serial number, as chapters that are never edited."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Final, Literal, get_args

from plowwright.errors import EntryError

ChapterKind = Literal["as-built", "test card", "edge", "restrictor", "refit", "owner", "failure", "advice", "note"]
KINDS: Final[tuple[ChapterKind, ...]] = get_args(ChapterKind)
STAMP: Final = "restrictor stamp"
"""Name of the fact that says what is stamped on the restrictors."""
MADE_WITH: Final = "restrictors made with"
"""Name of the fact that says which drill the shop made them with; nobody has read a stamp then."""
_STAMPED: Final = re.compile(r"\bstamped\s+(#?\w+)")
_AFTER: Final = ("edge", "restrictor", "refit", "owner", "failure")
"""Sorts of chapter that only a blade that was built can have."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted:
    """A part that went on a blade.

    Attributes:
        item: What, as the rulebook calls it.
        place: Where on the blade.
        lot: Its lot, or "" where nobody noted it.
    """

    item: str
    place: str
    lot: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chapter:
    """One thing that happened.

    Attributes:
        number: Running number in the record [-].
        kind: Which sort of chapter.
        day: When.
        said: What, in words.
        place: Where on the blade, or "".
        facts: Names and values as noted, each with its unit.
        fitted: Parts that went on.
        replaces: The chapter this one puts right, or None.
    """

    number: int
    kind: ChapterKind
    day: date
    said: str
    place: str = ""
    facts: Mapping[str, str] = field(default_factory=dict[str, str])
    fitted: tuple[Fitted, ...] = ()
    replaces: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Life:
    """Everything known of one blade.

    Attributes:
        serial: Serial number.
        chapters: In the order they were written.
    """

    serial: str
    chapters: tuple[Chapter, ...] = ()

    @property
    def standing(self) -> tuple[Chapter, ...]:
        """What still counts, by day: chapters put right by a later one are left out."""
        gone = {chapter.replaces for chapter in self.chapters}
        kept = [chapter for chapter in self.chapters if chapter.number not in gone]
        return tuple(sorted(kept, key=lambda chapter: (chapter.day, chapter.number)))

    def last(self, kind: ChapterKind) -> Chapter | None:
        """The latest chapter of a kind that still counts.

        Args:
            kind: Which sort.
        """
        return next((chapter for chapter in reversed(self.standing) if chapter.kind == kind), None)

    @property
    def owner(self) -> str:
        """Who has it now, or "" where nobody noted it."""
        for chapter in reversed(self.standing):
            if "owner" in chapter.facts:
                return chapter.facts["owner"]
        return ""

    def fitted_on(self, day: date | None = None) -> dict[str, Fitted]:
        """What sits where: the last part put on each place.

        Args:
            day: As it stood on that day; left out, now.
        """
        found: dict[str, Fitted] = {}
        for chapter in self.standing:
            if day is None or chapter.day <= day:
                found.update({part.place: part for part in chapter.fitted})
        return found

    @property
    def stamp(self) -> tuple[str, str]:
        """What is stamped on the restrictors and where that is known from; ("", reason) where nobody noted it."""
        for chapter in reversed(self.standing):
            found = _STAMPED.search(chapter.said)
            told = chapter.facts.get(STAMP, "") or (found.group(1) if found else "")
            where = f"{chapter.kind} of {chapter.day:%d %b %Y}"
            if told:
                return told, where
            if made := chapter.facts.get(MADE_WITH, ""):
                return made, f"{where}: as it was made, not read off"
            if chapter.kind == "restrictor":
                return "", f"changed since, and the new stamp was not noted ({where})"
        return "", "nobody noted it"

    def winters(self, day: date) -> int:
        """Winters it has been through, the one a day falls into counted; 0 before the first [-].

        A winter is counted from November to April; *common practice* of the trade.

        Args:
            day: The day.
        """
        built = next((chapter.day for chapter in self.standing if chapter.kind == "as-built"), None)
        return 0 if built is None else winters(built, day)

    def as_dict(self) -> dict[str, Any]:
        """The record for a machine."""
        return {
            "serial": self.serial,
            "owner": self.owner,
            "chapters": [
                {
                    "number": c.number,
                    "kind": c.kind,
                    "day": c.day.isoformat(),
                    "said": c.said,
                    "place": c.place,
                    "facts": dict(c.facts),
                    "fitted": [{"item": f.item, "place": f.place, "lot": f.lot} for f in c.fitted],
                    "replaces": c.replaces,
                }
                for c in self.chapters
            ],
        }


def write(
    life: Life, kind: str, said: str, *, day: date, place: str = "", facts: Mapping[str, str] | None = None,
    fitted: Sequence[Fitted] = (), replaces: int | None = None,
) -> Life:  # fmt: skip
    """The record with one chapter more; nothing in it is ever changed.

    Args:
        life: The record so far.
        kind: Which sort of chapter.
        said: What happened.
        day: When.
        place: Where on the blade.
        facts: Names and values, each with its unit.
        fitted: Parts that went on.
        replaces: The chapter this one puts right.

    Raises:
        EntryError: No such kind, nothing said, a failure without a place, or a chapter that is not there.
    """
    found = _kind(kind, life.serial)
    if len(said.strip()) < 3:
        raise EntryError("a chapter says what happened", where=life.serial, value=repr(said),
                         way_out='Write it as "edge turned end for end".')  # fmt: skip
    if found == "failure" and not place.strip():
        raise EntryError("a failure has a place", where=life.serial, value=said.strip(),
                         way_out='Write it as "leg to hinge beam, left": else nobody learns from it.')  # fmt: skip
    if found == "as-built" and any(one.kind == "as-built" for one in life.standing) and replaces is None:
        raise EntryError("it was built once", where=life.serial, value=said.strip(),
                         way_out="Put the first chapter right with replaces, or write a refit.")  # fmt: skip
    if replaces is not None and replaces not in {one.number for one in life.standing}:
        raise EntryError("there is no such chapter to put right", where=life.serial, value=str(replaces),
                         limit=", ".join(str(one.number) for one in life.standing))  # fmt: skip
    _can_be(found, life, day, facts or {})
    # Chapters of a shop's records are numbered over all blades: one more than the last of this one.
    number = max((one.number for one in life.chapters), default=0) + 1
    chapter = Chapter(number=number, kind=found, day=day, said=said.strip(), place=place.strip(),
                      facts=dict(facts or {}), fitted=tuple(fitted), replaces=replaces)  # fmt: skip
    return Life(serial=life.serial, chapters=(*life.chapters, chapter))


def _can_be(kind: ChapterKind, life: Life, day: date, facts: Mapping[str, str]) -> None:
    if kind == "owner" and not facts.get("owner", "").strip():
        raise EntryError("a new owner has a name", where=life.serial, way_out="Give him as on the wall, or initials.")
    built = next((one.day for one in life.standing if one.kind == "as-built"), None)
    if built is not None and kind in _AFTER and day < built:
        raise EntryError(
            "it was not built yet on that day", where=life.serial, value=day.isoformat(),
            limit=f"built {built.isoformat()}", way_out="Look at the day again, or at the serial number.",
        )  # fmt: skip


def _kind(said: str, serial: str) -> ChapterKind:
    for kind in KINDS:
        if kind == said:
            return kind
    raise EntryError("no chapter is called that", value=said, limit=", ".join(KINDS), where=serial)


def winters(built: date, day: date) -> int:
    """Winters between two days, the one the second falls into counted [-]; November to April is a winter.

    >>> winters(date(2022, 10, 14), date(2022, 12, 1)), winters(date(2022, 10, 14), date(2024, 2, 1))
    (1, 2)

    Args:
        built: First day.
        day: Second day.
    """

    def winter(when: date) -> int:
        """The year a winter began in that is running on a day, or was the last to begin."""
        return when.year if when.month >= 11 else when.year - 1

    # Built in the middle of a winter, that winter counts; built in summer, the next is the first.
    first = winter(built) if built.month >= 11 or built.month <= 4 else built.year
    return max(0, winter(day) - first + 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Recalled:
    """One blade a lot went on.

    Attributes:
        serial: Serial number.
        owner: Who has it now, "" where nobody noted it.
        place: Where on the blade.
        item: What.
        since: Since when.
        still: Whether it is still there; else a later part took its place.
    """

    serial: str
    owner: str
    place: str
    item: str
    since: date
    still: bool

    @property
    def text(self) -> str:
        """The line on the call list."""
        now = "still on it" if self.still else "since replaced"
        who = f"{self.serial}, {self.owner or 'owner not noted'}"
        return f"{who}: {self.item} at {self.place} since {self.since:%d %b %Y}, {now}"


def recall(lives: Iterable[Life], lot: str, *, item: str = "") -> tuple[Recalled, ...]:
    """Every blade a lot went on, those that still carry it first.

    Args:
        lives: The records.
        lot: The lot.
        item: Only this item, "" for all of that lot.

    Raises:
        EntryError: No lot named.
    """
    if not lot.strip():
        raise EntryError("a recall names the lot", way_out="Read it off the seller's letter.")
    rows: list[Recalled] = []
    for life in lives:
        now = life.fitted_on()
        for chapter in life.standing:
            for part in chapter.fitted:
                if part.lot == lot.strip() and item in ("", part.item):
                    rows.append(Recalled(serial=life.serial, owner=life.owner, place=part.place, item=part.item,
                                         since=chapter.day, still=now[part.place] == part))  # fmt: skip
    return tuple(sorted(rows, key=lambda row: (not row.still, row.serial, row.place)))
