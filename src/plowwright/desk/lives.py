"""Blades that left the shop: what is on file of one, found by scraps, recalled by a lot, and one chapter more."""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Any, Final

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.differ import Difference, differ
from plowwright.desk.acting import Hand
from plowwright.desk.life_finding import Finder
from plowwright.desk.life_refit import build_behind, standing_build
from plowwright.errors import EntryError, NotFoundError, PlowwrightError, StoreError
from plowwright.papers import lists
from plowwright.shop import service
from plowwright.shop.service import Fitted, Life, Recalled, recall
from plowwright.shop.service_parts import Spare, spares_for
from plowwright.shop.service_search import Found, Scraps
from plowwright.shop.worked import work_out
from plowwright.store import as_built
from plowwright.store import records as r
from plowwright.store.commands import Command
from plowwright.store.reading import LifeRecord, Reads

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

COMMAND: Final = "write a chapter"
PLACES: Final = (
    "leg to hinge beam", "web foot, outer", "web foot, inner", "hinge beam ear", "moldboard ear", "king pin",
    "angle cylinder", "cylinder lug", "trip spring", "spring lug", "bottom angle", "cutting edge", "mount plate",
    "valve block", "hoses",
)  # fmt: skip
"""Places of a blade by the names of its parts, offered beside those a failure was noted at before."""
_MOST: Final = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo:
    """A picture that goes with a chapter.

    Attributes:
        data: What is in it.
        name: What it was called.
        media: As "image/jpeg".
    """

    data: bytes
    name: str
    media: str = ""


@dataclass(frozen=True, kw_only=True, eq=False)
class BladeFile:
    """What is on file of one blade.

    Attributes:
        record: As the records have it.
        life: Its chapters as the rules of service read them.
        built: As it left the shop, by its own rules; None where the records have no build or cannot give it back.
        stands: As its last refit left it; the same where there was none.
        doubts: What must be known before its numbers are trusted, each a sentence.
        today: The shop's day.
    """

    record: LifeRecord
    life: Life
    built: Build | None
    stands: Build | None
    doubts: tuple[str, ...]
    today: date

    @property
    def serial(self) -> str:
        """Its serial number."""
        return self.record.blade.serial

    @property
    def owner(self) -> str:
        """Who has it, "" where nobody noted it."""
        return self.life.owner or (self.record.customer.name if self.record.customer else "")

    @property
    def winters(self) -> int:
        """Winters it has been through, this one counted [-]."""
        return self.life.winters(self.today)

    def as_dict(self) -> dict[str, Any]:
        """The file for a machine."""
        kept = self.record.build
        return {
            **self.life.as_dict(),
            "owner": self.owner,
            "order": self.record.blade.order,
            "built": self.record.blade.built.isoformat() if self.record.blade.built else None,
            "winters": self.winters,
            "name": str(self.record.blade.marks.get("name", "")),
            "rules": None if kept is None else {"date": kept.rulebook_day.isoformat(), "fingerprint": kept.rulebook},
            "as_built": None if kept is None else {
                "fingerprint": kept.fingerprint, "spec": kept.spec, "mass_lb": kept.facts.get("mass_lb"),
                "parts": kept.facts.get("parts"),
            },
            "stands": None if self.stands is None else self.stands.fingerprint,
            "on_it": {place: {"item": one.item, "lot": one.lot} for place, one in self.life.fitted_on().items()},
            "doubts": list(self.doubts),
        }  # fmt: skip


class Lives:
    """Answers from the life records, and writes chapters into them.

    Args:
        desk: The shop.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._builds: dict[int, Build] = {}
        self._finder = Finder(desk)

    # Asking -------------------------------------------------------------------------------------------------------

    def blade(self, serial: str) -> BladeFile:
        """What is on file of one blade; it answers by the rules it was built by, whatever is in force today.

        Args:
            serial: As stamped; small letters and O for 0 will do.

        Raises:
            NotFoundError: None is on file; near ones are named.
        """
        with self._desk.book.reading() as reads:
            record = reads.life(self._serial(reads, serial))
            last = standing_build(reads, record)
        doubts: list[str] = []
        built = self._by_own_rules(record.build, doubts)
        stands = built if last is None or last is record.build else self._by_own_rules(last, doubts)
        doubts += _older_than_its_rules(record)
        return BladeFile(record=record, life=as_built.life_of(record), built=built, stands=stands or built,
                         doubts=tuple(doubts), today=self._desk.now.date())  # fmt: skip

    def find(self, scraps: Scraps) -> Found:
        """Which blade it may be, by what the caller has.

        Args:
            scraps: What was told.

        Raises:
            EntryError: Nothing was told.
            NotFoundError: No blade is on file.
        """
        return self._finder.find(scraps)

    def spares(self, serial: str) -> tuple[Spare, ...]:
        """The parts that fit one blade, superseded ones followed.

        Args:
            serial: As stamped.

        Raises:
            NotFoundError: Not on file, or nothing is kept of how it was built.
        """
        file = self.blade(serial)
        if file.stands is None:
            raise NotFoundError("nothing is kept of how it was built", value=file.serial,
                                way_out="Measure the old part, and write what it is as a note.")  # fmt: skip
        return spares_for(file.stands, self._desk.rulebook, life=file.life)

    def recall(self, lot: str, *, item: str = "") -> tuple[Recalled, ...]:
        """Every blade a lot went on, those that still carry it first.

        Args:
            lot: The lot.
            item: Only this item, "" for all of that lot.

        Raises:
            EntryError: No lot named.
        """
        with self._desk.book.reading() as reads:
            serials = sorted({one.serial for one in reads.find(r.Fitted, lot=lot.strip())}) if lot.strip() else []
            lives = [as_built.life_of(reads.life(serial)) for serial in serials]
        return recall(lives, lot, item=item)

    def call_list(self, lot: str, *, item: str = "") -> bytes:
        """The recall as CSV, with what is known of each owner's phone.

        Args:
            lot: The lot.
            item: Only this item, "" for all of that lot.
        """
        columns = ("serial", "owner", "phone", "item", "place", "since", "still on it", "called", "answer")
        with self._desk.book.reading() as reads:
            phones = {one.name: one.phone for one in reads.find(r.Customer)}
        rows: list[dict[str, lists.Value]] = [
            {"serial": one.serial, "owner": one.owner, "phone": phones.get(one.owner, ""), "item": one.item,
             "place": one.place, "since": one.since.isoformat(), "still on it": "yes" if one.still else "no",
             "called": "", "answer": ""}
            for one in self.recall(lot, item=item)
        ]  # fmt: skip
        return lists.write_csv(rows, [lists.Column(field=name, heading=name) for name in columns])

    def lots(self) -> tuple[str, ...]:
        """Every lot that went on a blade."""
        with self._desk.book.reading() as reads:
            return tuple(sorted({one.lot for one in reads.find(r.Fitted) if one.lot}))

    def differs(self, file: BladeFile) -> Difference | str:
        """What the same choices give by today's rules, or why they give nothing.

        Args:
            file: What is on file of the blade.
        """
        if file.stands is None:
            return "nothing is kept of how it was built"
        try:
            new = work_out(file.stands.spec, self._desk.rulebook, level=0).build
        except PlowwrightError as error:
            return f"it cannot be built by today's rules: {error.sentence()}"
        return differ([replace(file.stands, carrier=None), new])

    def places(self) -> tuple[str, ...]:
        """Names of places, those a failure was noted at first, so that a new one is called by the same name."""
        with self._desk.book.reading() as reads:
            noted = {one.place for one in reads.find(r.Chapter, kind="failure") if one.place}
        return (*sorted(noted), *(place for place in PLACES if place not in noted))

    # Writing ------------------------------------------------------------------------------------------------------

    def write(
        self, hand: Hand, serial: str, kind: str, said: str, *, day: date | None = None, place: str = "",
        facts: Mapping[str, str] | None = None, fitted: Sequence[Fitted] = (), replaces: int | None = None,
        photos: Sequence[Photo] = (),
    ) -> dict[str, Any]:  # fmt: skip
        """Write one chapter more; a chapter that was wrong is put right by a new one that names it.

        Args:
            hand: Who writes, and by which form.
            serial: Of the blade.
            kind: Which sort of chapter.
            said: What happened.
            day: When; left out, today.
            place: Where on the blade.
            facts: Names and values, each with its unit.
            fitted: Parts that went on.
            replaces: Number of the chapter this one puts right.
            photos: Pictures that go with it.

        Raises:
            EntryError: No such kind, nothing said, a failure without a place, or a day that has not come.
            NotFoundError: No such blade.
        """
        with self._desk.book.reading() as reads:
            number = self._serial(reads, serial)
        told = {"serial": number, "kind": kind, "said": said, "day": day, "place": place, "facts": dict(facts or {}),
                "fitted": [[one.item, one.place, one.lot] for one in fitted], "replaces": replaces,
                "photos": [one.name for one in photos]}  # fmt: skip

        def do(c: Command) -> dict[str, Any]:
            today = c.at.date()
            when = day or today
            if when > today:
                raise EntryError("that day has not come yet", where=number, value=when.isoformat(),
                                 limit=f"today, {today.isoformat()}", way_out="Write it once it happened.")  # fmt: skip
            _rightly(kind, number)
            life = service.write(as_built.life_of(c.life(number)), kind, said, day=when, place=place, facts=facts,
                                 fitted=fitted, replaces=replaces)  # fmt: skip
            new = life.chapters[-1]
            written = as_built.write_chapter(c, number, new)
            for photo in photos:
                file = c.keep_file(photo.data, name=photo.name, media=photo.media)
                c.add(r.Attachment, file=file.digest, about="blades", key=number, day=when,
                      note=f"chapter {written.id}: {new.said}")  # fmt: skip
            if "owner" in new.facts:
                _sold_on(c, number, life.owner)
            right = f", puts chapter {replaces} right" if replaces else ""
            pictures = f", {len(photos)} photo{'s' if len(photos) > 1 else ''}" if photos else ""
            return {"said": f"{number}: {new.kind} of {new.day:%d %b %Y} written{right}{pictures}.",
                    "chapter": written.id, "serial": number}  # fmt: skip

        return self._desk.book.run(COMMAND, do, who=hand.who, key=hand.key, asked=told)

    # Inside -------------------------------------------------------------------------------------------------------

    def _serial(self, reads: Reads, text: str) -> str:
        wanted = text.strip().upper()
        if reads.look(r.Blade, wanted) is not None:
            return wanted
        known = [row.serial for row in reads.find(r.Blade)]
        swapped = [one for one in known if sorted(one) == sorted(wanted.replace("O", "0"))]
        near = swapped or difflib.get_close_matches(wanted, known, n=_MOST, cutoff=0.6)
        raise NotFoundError(
            "no blade with this serial number is on file", value=text,
            way_out=f"Near it: {', '.join(near)}." if near else "Find it by scraps.",
        )  # fmt: skip

    def _by_own_rules(self, kept: r.KeptBuild | None, doubts: list[str]) -> Build | None:
        """The blade worked out again by the rules kept with it; what does not come out as it was kept is said."""
        if kept is None:
            doubts.append("Nothing is kept of how it was built.")
            return None
        if kept.id not in self._builds:
            try:
                self._builds[kept.id] = build_behind(self._desk, kept)
            except StoreError as error:
                doubts.append(f"{error.sentence()} What stands here was kept when it was built.")
                return None
        build = self._builds[kept.id]
        doubts += apart(kept.facts, build)
        return build


def apart(kept: Mapping[str, Any], build: Build) -> list[str]:
    """Where the facts kept with a blade and the same blade worked out again do not agree, each a sentence.

    Args:
        kept: Facts as they were kept.
        build: The blade, worked out again by its own rules.
    """
    again = build.as_dict()
    was = {one["mark"]: one for one in kept.get("parts", ())}
    now = {one["mark"]: one for one in again["parts"]}
    rows = [
        mark for mark in dict.fromkeys((*was, *now))
        if [was.get(mark, {}).get(name) for name in _COMPARED] != [now.get(mark, {}).get(name) for name in _COMPARED]
    ]  # fmt: skip
    if not rows and abs(kept.get("mass_lb", again["mass_lb"]) - again["mass_lb"]) < 0.1:
        return []
    said = f"{kept.get('mass_lb', 0.0):.1f} lb kept, {again['mass_lb']:.1f} lb worked out again"
    which = f"; {', '.join(rows[:6])}" if rows else ""
    return [f"Kept facts and the blade worked out again do not agree ({said}{which}): go by the facts kept with it."]


_COMPARED: Final = ("stock", "length_in", "quantity")


def _older_than_its_rules(record: LifeRecord) -> list[str]:
    built, kept = record.blade.built, record.build
    if built is None or kept is None or kept.rulebook_day <= built:
        return []
    return [f"It left on {built:%d %b %Y}, before the oldest rules that are kept ({kept.rulebook_day:%d %b %Y}): its "
            "numbers are by those. Measure before steel is cut for it."]  # fmt: skip


def _rightly(kind: str, serial: str) -> None:
    if kind == "refit":
        raise EntryError("a refit is written when its order is loaded", where=serial, value=kind,
                         way_out="Take an order for the refit; for a small change write a note.")  # fmt: skip


def _sold_on(c: Command, serial: str, owner: str) -> None:
    """Whoever has it now, as the blade's own row and its marks have him."""
    known = c.find(r.Customer, name=owner, limit=1)
    customer = known[0] if known else c.add(r.Customer, name=owner)
    marks = {**c.get(r.Blade, serial).marks, "owner": owner}
    c.change(r.Blade, serial, customer=customer.id, marks=marks)


def day_of(text: str, where: str) -> date | None:
    """A day as it is typed, None for nothing.

    Args:
        text: As 2026-11-11.
        where: What messages call the field.

    Raises:
        EntryError: It is no day.
    """
    if not text.strip():
        return None
    try:
        return date.fromisoformat(text.strip())
    except ValueError as fault:
        raise EntryError("not a day", value=text, where=where, way_out="Write it as 2026-11-11.") from fault


def worn_said(text: str) -> dict[str, str]:
    """What is left of the edge, as a fact of an edge chapter; nothing for nothing.

    Args:
        text: Height of the edge as measured, as "4-1/2 in".

    Raises:
        EntryError: It is no length.
    """
    if not text.strip():
        return {}
    return {"edge height left": units.say(units.si(text, "length", "edge height left"), "length", system="us")}
