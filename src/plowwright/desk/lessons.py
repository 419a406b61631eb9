"""What the shop learned: failures against the winters of all blades, and changes of rules with reason and effects."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from threading import Lock
from typing import TYPE_CHECKING, Any, Final

from plowwright import rulebook as rulebook_files
from plowwright.desk.acting import Hand
from plowwright.errors import EntryError, NotFoundError
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.versions import VersionLine, versions
from plowwright.shop.service import Life
from plowwright.shop.service_changes import Effect, effects, in_groups
from plowwright.shop.service_lessons import Group, Out, before_and_after, grouped, places
from plowwright.store import as_built
from plowwright.store import records as r
from plowwright.store.commands import Command
from plowwright.store.reading import LifeRecord, Reads
from plowwright.units import counted

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

COMMAND: Final = "write down a rule change"
Stamp = tuple[int, int, date]
"""Last event that touched a blade, last chapter, day."""
_REASON: Final = 8
"""Least letters of a reason, as in version.toml [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed:
    """That rules were changed, and why.

    Attributes:
        day: From when the new rules counted.
        reason: Why they were made, as version.toml has it.
        before: Day of the rules before it.
    """

    day: date
    reason: str
    before: date


@dataclass(frozen=True, kw_only=True, eq=False)
class Change:
    """A change of rules.

    Attributes:
        day: From when the new rules counted.
        reason: Why they were made, as version.toml has it.
        before: Day of the rules before it.
        effects: What it does to every blade the shop builds.
    """

    day: date
    reason: str
    before: date
    effects: tuple[Effect, ...]

    @property
    def lines(self) -> tuple[str, ...]:
        """The effects in few lines."""
        return in_groups(self.effects)

    def as_dict(self) -> dict[str, Any]:
        """The change for a machine."""
        return {
            "date": self.day.isoformat(),
            "reason": self.reason,
            "before": self.before.isoformat(),
            "lines": list(self.lines),
            "effects": [one.as_dict() for one in self.effects],
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """A rule change as it was written down.

    Attributes:
        number: Of the event.
        day: From when the new rules counted.
        reason: Why.
        places: Failures at these places it was made for.
        lines: Its effects as they were then.
        by: Who wrote it.
        before: Failures at those places on blades built before it.
        since: The same on blades built since.
    """

    number: int
    day: date
    reason: str
    places: tuple[str, ...]
    lines: tuple[str, ...]
    by: str
    before: Group
    since: Group

    def as_dict(self) -> dict[str, Any]:
        """The lesson for a machine."""
        return {
            "number": self.number, "date": self.day.isoformat(), "reason": self.reason, "places": list(self.places),
            "effects": list(self.lines), "by": self.by, "before": self.before.as_dict(), "since": self.since.as_dict(),
        }  # fmt: skip


class Lessons:
    """Answers from the life records and the dated rulebooks.

    Args:
        desk: The shop.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._changes: dict[tuple[str, str], tuple[Effect, ...]] = {}
        self._specs: dict[int, dict[str, Any]] = {}
        self._looked: tuple[int, int, int] | None = None
        self._events: tuple[int, tuple[r.Event, ...]] | None = None
        self._places: tuple[Stamp, tuple[str, ...]] | None = None
        self._kept: tuple[Stamp, tuple[Out, ...]] | None = None
        self._grouped: dict[tuple[Stamp, str], tuple[Group, ...]] = {}
        self._lock = Lock()

    def groups(self, by: str) -> tuple[Group, ...]:
        """Failures of one grouping, the highest rate first.

        Args:
            by: class, width, carrier kind, place or winters.

        Raises:
            EntryError: No such grouping.
        """
        key = (self._stamp(), by)
        with self._lock:
            if key not in self._grouped:
                # Only what is asked for again and again is kept: the groupings of the day.
                self._grouped = {k: v for k, v in self._grouped.items() if k[0] == key[0]}
                self._grouped[key] = grouped(self._out(key[0]), by, today=self._desk.now.date())
            return self._grouped[key]

    def places(self) -> tuple[str, ...]:
        """Every place a failure was noted at."""
        with self._lock:
            stamp = self._stamp()
            if self._places is None or self._places[0] != stamp:
                self._places = (stamp, places(self._out(stamp)))
            return self._places[1]

    def out(self) -> tuple[Out, ...]:
        """Every blade out there of which it is known when and as what it was built."""
        with self._lock:
            return self._out(self._stamp())

    def _stamp(self) -> Stamp:
        """What all this rests on: blades, chapters, and the day; another one once one of them is new."""
        today = self._desk.now.date()
        with self._desk.book.reading() as reads:
            last = reads.events(limit=1)
            looked = last[0].number if last else 0
            if self._looked is None or self._looked[0] != looked:
                chapters = reads.find(r.Chapter, newest=True, limit=1)
                self._looked = (looked, reads.last_touch("blades"), chapters[0].id if chapters else 0)
        return self._looked[1], self._looked[2], today

    def _out(self, stamp: Stamp) -> tuple[Out, ...]:
        if self._kept is None or self._kept[0] != stamp:
            self._kept = (stamp, self._gathered())
        return self._kept[1]

    def _gathered(self) -> tuple[Out, ...]:
        with self._desk.book.reading() as reads:
            rows = [row for row in reads.find(r.Blade) if row.built is not None and row.build is not None]
            failures = reads.find(r.Chapter, kind="failure")
            # What puts a failure right may be of any kind.
            right = reads.find(r.Chapter, replaces=[one.id for one in failures]) if failures else ()
            specs = self._specs_of(reads, rows)
        by_serial: dict[str, dict[int, r.Chapter]] = {}
        for chapter in (*failures, *right):
            by_serial.setdefault(chapter.serial, {})[chapter.id] = chapter
        names = {key: series.name for key, series in self._desk.rulebook.series.items()}
        return tuple(
            Out(
                serial=row.serial,
                duty_class=names.get(spec["series"], str(spec["series"]).capitalize()),
                width=float(row.marks.get("width", 0.0)), carrier_kind=str(spec["carrier"]),
                built=row.built or date.min, life=_life(row, by_serial.get(row.serial, {})),
            )
            for row in rows
            for spec in (specs[row.build or 0],)
        )  # fmt: skip

    def days(self) -> tuple[Changed, ...]:
        """Every change of rules on file, the newest first, without what it does."""
        known = versions(self._desk.rulebook.folder)
        return tuple(Changed(day=new.date, reason=new.reason, before=old.date) for new, old in pairwise(known))

    def changes(self) -> tuple[Change, ...]:
        """Every change of rules on file, the newest first, with what it does to every blade the shop builds.

        Raises:
            RulebookError: An older rulebook cannot be read.
        """
        return tuple(self.change(one.day) for one in self.days())

    def change(
        self, day: date, *, progress: Callable[[int, int], None] | None = None, stop: Callable[[], bool] | None = None
    ) -> Change:
        """One change of rules with what it does; worked out once.

        Args:
            day: Day of the newer rules.
            progress: Told how many of how many blades are done [-].
            stop: Asked before each blade; True ends it.

        Raises:
            NotFoundError: No change of rules on that day is on file.
            RulebookError: An older rulebook cannot be read.
            RefusedError: It was stopped.
        """
        known = versions(self._desk.rulebook.folder)
        for new, old in pairwise(known):
            if new.date == day:
                since, before = self._rules(new), self._rules(old)
                key = (before.fingerprint, since.fingerprint)
                if key not in self._changes:
                    self._changes[key] = effects(before, since, progress=progress, stop=stop)
                return Change(day=new.date, reason=new.reason, before=old.date, effects=self._changes[key])
        days = [line.date.isoformat() for line in known[:-1]]
        raise NotFoundError("no change of rules on that day is on file", value=day.isoformat(),
                            way_out=f"On file: {', '.join(days)}." if days else
                            "Copy the old rules to past/<their date> first.")  # fmt: skip

    def written(self) -> tuple[Written, ...]:
        """Every rule change that was written down, the newest first, held against the failures it was made for."""
        with self._lock, self._desk.book.reading() as reads:
            last = reads.events(limit=1)
            looked = last[0].number if last else 0
            if self._events is None or self._events[0] != looked:
                self._events = (looked, reads.find(r.Event, command=COMMAND, newest=True))
            events = self._events[1]
        blades, today = self.out(), self._desk.now.date()
        return tuple(_written(event, blades, today) for event in events)

    def write(self, hand: Hand, day: date, reason: str, *, answers: Sequence[str] = ()) -> dict[str, Any]:
        """Write down why a rulebook was changed, with its effects as they are worked out now.

        Args:
            hand: Who writes, and by which form.
            day: Day of the newer rules.
            reason: Why they were made.
            answers: Places of failures it was made for.

        Raises:
            NotFoundError: No change of rules on that day is on file.
            EntryError: No reason, or a place no failure was noted at.
        """
        if len(reason.strip()) < _REASON:
            raise EntryError("a rule change has a reason", value=repr(reason.strip()), limit=f"{_REASON} letters",
                             way_out='Write it as "legs cracked at the hinge beam on wide Basalts".')  # fmt: skip
        noted = self.places()
        for place in answers:
            if place not in noted:
                raise EntryError("no failure was noted at that place", value=place, limit=", ".join(noted) or "none")
        found = self.change(day)
        asked = {"day": day.isoformat(), "reason": reason.strip(), "places": list(answers)}

        def do(_: Command) -> dict[str, Any]:
            said = f"The rule change of {day:%d %b %Y} is written down with {counted(len(found.effects), 'effect')}."
            return {**asked, "said": said, "lines": list(found.lines),
                    "effects": [one.as_dict() for one in found.effects]}  # fmt: skip

        return self._desk.book.run(COMMAND, do, who=hand.who, key=hand.key, asked=asked)

    def _rules(self, line: VersionLine) -> Rulebook:
        mine = self._desk.rulebook
        return mine if line.folder == mine.folder else rulebook_files.load(line.folder)

    def _specs_of(self, reads: Reads, rows: Sequence[r.Blade]) -> dict[int, dict[str, Any]]:
        """Specs of builds; they are frozen, so each is read once."""
        wanted = {row.build for row in rows if row.build is not None} - set(self._specs)
        for kept in reads.find(r.KeptBuild, id=sorted(wanted)) if wanted else ():
            self._specs[kept.id] = kept.spec
        return self._specs


def _life(row: r.Blade, chapters: dict[int, r.Chapter]) -> Life:
    return as_built.life_of(LifeRecord(
        blade=row, customer=None, carrier=None, build=None, rulebook=None,
        chapters=tuple(chapters[number] for number in sorted(chapters)), fitted=(), tickets=(), attachments=(),
        events=(),
    ))  # fmt: skip


def _written(event: r.Event, blades: Sequence[Out], today: date) -> Written:
    told = event.answer
    day = date.fromisoformat(told["day"])
    before, since = before_and_after(blades, day, told["places"], today=today)
    return Written(number=event.number, day=day, reason=told["reason"], places=tuple(told["places"]),
                   lines=tuple(told["lines"]), by=event.who, before=before, since=since)  # fmt: skip
