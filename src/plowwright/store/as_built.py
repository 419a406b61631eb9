"""Blades as the rules know them, kept in the records and brought back: build with its rulebook, life record."""

from __future__ import annotations

from pathlib import Path
from typing import Final, cast

from plowwright.blade import spec as specs
from plowwright.blade.build import Build, Level, work_out
from plowwright.errors import NotFoundError, StoreError
from plowwright.rulebook import reading as rulebooks
from plowwright.rulebook.reading import Rulebook
from plowwright.shop import service
from plowwright.store import records as r
from plowwright.store.commands import Command
from plowwright.store.reading import LifeRecord

MARK: Final = "kept.txt"
"""Written last into a folder of brought-back rules: without it the folder is not whole."""


def keep(c: Command, build: Build) -> r.KeptBuild:
    """Keep a build with the facts it gave, and its whole rulebook where that is not kept yet.

    Args:
        c: The command.
        build: The blade, worked out.

    Raises:
        StoreError: The rulebook's files were edited since it was read.
    """
    rules = build.rulebook
    keep_rules(c, rules)
    return c.keep_build(
        fingerprint=build.fingerprint,
        # The tape's sixteenths would not bring a metric width back exactly.
        spec={**build.spec.as_dict(), "width": f"{build.spec.width!r} m"},
        rulebook_day=rules.version.date,
        rulebook=rules.fingerprint,
        facts=build.as_dict(),
    )


def keep_rules(c: Command, rules: Rulebook) -> None:
    """Keep a whole rulebook where it is not kept yet.

    Args:
        c: The command.
        rules: As they were read from a folder.

    Raises:
        StoreError: The rulebook's files were edited since it was read.
    """
    if c.look(r.KeptRulebook, rules.fingerprint) is None:
        c.keep_rulebook(fingerprint=rules.fingerprint, day=rules.version.date, files=_texts(rules))


def rules_of(kept: r.KeptRulebook, under: Path) -> Rulebook:
    """A kept rulebook, read again.

    Args:
        kept: As the records have it.
        under: Folder to lay its files out in, once for each fingerprint.

    Raises:
        StoreError: It does not come out as it was kept.
    """
    folder = under / kept.fingerprint
    if not (folder / MARK).is_file():
        folder.mkdir(parents=True, exist_ok=True)
        for name, text in kept.files.items():
            (folder / Path(name).name).write_text(text, encoding="utf-8")
        (folder / MARK).write_text(f"Rules of {kept.day}, kept in the records; never edited.\n", encoding="utf-8")
    rules = rulebooks.load(folder)
    if rules.fingerprint != kept.fingerprint:
        raise StoreError(
            "a kept rulebook does not come out as it was",
            value=rules.fingerprint,
            limit=kept.fingerprint,
            way_out=f"Somebody may have edited {folder}: delete that folder, and ask again.",
        )
    return rules


def build_of(kept: r.KeptBuild, rules: Rulebook, *, level: Level = 2) -> Build:
    """A kept build, worked out again by its own rules; its facts as frozen are in `kept.facts`.

    Args:
        kept: As the records have it.
        rules: Its rulebook, as `rules_of` gives it.
        level: How deep its strength is looked at.

    Raises:
        StoreError: It does not come out as the same blade.
    """
    build = work_out(specs.from_dict(kept.spec), rules, level=level)
    if build.fingerprint != kept.fingerprint:
        raise StoreError(
            "a kept blade does not come out as it was", value=build.fingerprint, limit=kept.fingerprint,
            way_out="Go by the facts kept with it; they are what was built.",
        )  # fmt: skip
    return build


def write_chapter(c: Command, serial: str, chapter: service.Chapter, *, build: int | None = None) -> r.Chapter:
    """Write a chapter of a life record with the parts that went on; its number is given by the records.

    Args:
        c: The command.
        serial: Of the blade.
        chapter: As the rules made it.
        build: The kept build as it is from now on, after a refit.

    Raises:
        NotFoundError: No blade has this serial number, or the chapter it puts right is not of this blade.
    """
    c.get(r.Blade, serial)
    if chapter.replaces is not None and c.get(r.Chapter, chapter.replaces).serial != serial:
        raise NotFoundError("the chapter put right is of another blade", value=str(chapter.replaces), where=serial)
    written = c.add(
        r.Chapter, serial=serial, kind=chapter.kind, day=chapter.day, place=chapter.place, said=chapter.said,
        facts=dict(chapter.facts), build=build, replaces=chapter.replaces,
    )  # fmt: skip
    for part in chapter.fitted:
        c.add(r.Fitted, chapter=written.id, serial=serial, item=part.item, lot=part.lot, place=part.place)
    return written


def life_of(record: LifeRecord) -> service.Life:
    """A life record as the rules of service read it.

    Args:
        record: As the records have it.
    """
    return service.Life(
        serial=record.blade.serial,
        chapters=tuple(
            service.Chapter(
                number=chapter.id,
                kind=cast("service.ChapterKind", chapter.kind),
                day=chapter.day,
                said=chapter.said,
                place=chapter.place,
                facts=chapter.facts,
                fitted=tuple(
                    service.Fitted(item=part.item, place=part.place, lot=part.lot)
                    for part in record.fitted
                    if part.chapter == chapter.id
                ),
                replaces=chapter.replaces,
            )
            for chapter in record.chapters
        ),
    )


def _texts(rules: Rulebook) -> dict[str, str]:
    texts = {file.name: rulebooks.read_text(file) for file in sorted(rules.folder.glob("*.toml"))}
    if rulebooks.load(rules.folder).fingerprint != rules.fingerprint:
        raise StoreError(
            "the rulebook was edited after it was read",
            value=str(rules.folder),
            way_out="Work the blade out again by the rules as they are now.",
        )
    return texts
