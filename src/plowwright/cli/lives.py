"""Commands about blades that left: found by scraps, their history, spares that fit, recall by lot, lessons."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated, Literal

import typer

from plowwright import units
from plowwright.cli.common import Demo, Json, Key, Records, Rules, Who, app, desk_of, hand_of, say
from plowwright.desk.lessons import Lessons
from plowwright.desk.life_papers import PaperOf, paper_of
from plowwright.desk.lives import BladeFile, Lives, Photo, day_of
from plowwright.errors import EntryError
from plowwright.shop.service import Fitted
from plowwright.shop.service_search import Scraps

Serial = Annotated[str, typer.Argument(metavar="SERIAL", help="Serial number, as stamped.")]
_PAPERS: tuple[PaperOf, ...] = ("booklet", "wear card", "history")
_MEDIA = {".jpg": "image/jpeg", ".jpeg": "image/jpeg", ".png": "image/png", ".webp": "image/webp"}


@app.command()
def find(
    width: Annotated[str, typer.Option("--width", help="Width, as measured.")] = "",
    gap: Annotated[
        list[str] | None, typer.Option("--gap", help="First gaps of the edge's holes; again for each.")
    ] = None,
    bore: Annotated[str, typer.Option("--bore", help="Bore of the angle cylinder.")] = "",
    pins: Annotated[int | None, typer.Option("--pins", help="Hinge pins.")] = None,
    springs: Annotated[int | None, typer.Option("--springs", help="Trip springs.")] = None,
    notches: Annotated[int | None, typer.Option("--notches", help="Notches in the mount plate.")] = None,
    mount: Annotated[Literal["plate", "pins", "hook"] | None, typer.Option("--mount", help="How it couples.")] = None,
    colour: Annotated[str, typer.Option("--colour", help="Colour of the moldboard.")] = "",
    phone: Annotated[str, typer.Option("--phone", help="Last figures of a phone number.")] = "",
    year: Annotated[int | None, typer.Option("--year", help="Year it was bought, as remembered.")] = None,
    records: Records = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Find a past blade by whatever scraps the caller has, and say what to ask next."""
    scraps = Scraps(
        width=units.si(width, "length", "--width") if width else None,
        gaps=tuple(units.si(g, "length", "--gap") for g in gap) if gap else None,
        bore=units.si(bore, "length", "--bore") if bore else None,
        pins=pins, springs=springs, notches=notches, mount=mount, colour=colour or None, phone_ends=phone or None,
        year=year,
    )  # fmt: skip
    if not scraps.told():
        raise EntryError("nothing was told to find it by", way_out='Give what the caller has, as --width "83-1/2 in".')
    found = Lives(desk_of(rulebook, demo=demo, records=records)).find(scraps)
    lines = [found.text]
    for c in found.candidates:
        against = f"; against it: {', '.join(c.against)}" if c.against else ""
        lines.append(f"  {c.marks.serial}, {c.marks.name}, {c.marks.owner}: {100 * c.chance:.0f} in 100{against}")
    say(found.as_dict(), lines, as_json=as_json)


@app.command()
def history(
    serial: Serial,
    out: Annotated[Path | None, typer.Option("--out", help="Folder to write booklet and cards into.")] = None,
    system: Annotated[Literal["us", "metric"], typer.Option("--system", help="Units on the papers.")] = "us",
    paper: Annotated[Literal["letter", "a4"], typer.Option("--paper", help="Sheet size.")] = "letter",
    records: Records = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Tell what is on file of one blade, by the rules it was built by, and write its booklet and wear card."""
    desk = desk_of(rulebook, demo=demo, records=records)
    lives = Lives(desk)
    file = lives.blade(serial)
    lines = _history(file)
    if out is not None:
        out.mkdir(parents=True, exist_ok=True)
        for name in _PAPERS:
            made = paper_of(lives, desk.rulebook, serial, name, system=system, paper=paper)
            (out / f"{file.serial} {name}.pdf").write_bytes(made)
        lines.append(f"{len(_PAPERS)} papers are in {out}: {', '.join(_PAPERS)}.")
    say(file.as_dict(), lines, as_json=as_json)


def _history(file: BladeFile) -> list[str]:
    name, seen = str(file.record.blade.marks.get("name", "")), "winter" if file.winters == 1 else "winters"
    lines = [f"{file.serial}, {name}: {file.owner or 'owner not noted'}, {file.winters} {seen}."]
    lines += list(file.doubts)
    for one in file.life.standing:
        place = f", {one.place}" if one.place else ""
        lines.append(f"  {one.number:>4}  {one.day:%d %b %Y}  {one.kind}: {one.said}{place}")
    return lines


@app.command()
def spares(
    serial: Serial,
    records: Records = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Tell which spare parts fit one blade, superseded ones followed to what is sold today."""
    found = Lives(desk_of(rulebook, demo=demo, records=records)).spares(serial)
    lines = [f"{one.count} x {one.name}: {one.now or 'none sold today'}. {one.fit.sentence}." for one in found]
    say({"spares": [one.as_dict() for one in found]}, lines, as_json=as_json)


@app.command()
def recall(
    lot: Annotated[str, typer.Argument(metavar="LOT", help="The lot, off the seller's letter.")],
    item: Annotated[str, typer.Option("--item", help="Only this part of the lot.")] = "",
    out: Annotated[Path | None, typer.Option("--out", help="File to write the call list into, as CSV.")] = None,
    records: Records = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Tell every blade a lot went on, who has it, and whether it is still there."""
    lives = Lives(desk_of(rulebook, demo=demo, records=records))
    rows = lives.recall(lot, item=item)
    lines = [one.text for one in rows] or [f"No part of lot {lot} is noted on any blade."]
    if out is not None:
        out.write_bytes(lives.call_list(lot, item=item))
        lines.append(f"The call list is in {out}.")
    told = [
        {"serial": one.serial, "owner": one.owner, "item": one.item, "place": one.place,
         "since": one.since.isoformat(), "still": one.still}
        for one in rows
    ]  # fmt: skip
    say({"lot": lot, "blades": told}, lines, as_json=as_json)


@app.command()
def chapter(
    serial: Serial,
    kind: Annotated[str, typer.Argument(metavar="KIND", help="edge, restrictor, failure, owner, note, test card ...")],
    said: Annotated[str, typer.Argument(metavar="WHAT", help='What happened, as "edge turned end for end".')],
    who: Who = "",
    day: Annotated[str, typer.Option("--day", help="When, as 2026-11-11; today when left out.")] = "",
    place: Annotated[str, typer.Option("--place", help="Where on the blade; a failure has one.")] = "",
    fact: Annotated[
        list[str] | None, typer.Option("--fact", help='A name and a value, as "owner=M.D."; again for each.')
    ] = None,
    item: Annotated[str, typer.Option("--item", help="Part that went on.")] = "",
    lot: Annotated[str, typer.Option("--lot", help="Its lot.")] = "",
    replaces: Annotated[int | None, typer.Option("--replaces", help="Number of the chapter it puts right.")] = None,
    photo: Annotated[list[Path] | None, typer.Option("--photo", help="A picture; again for each.")] = None,
    key: Key = "",
    records: Records = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Write one chapter more into the life record of a blade; one that was wrong is put right by a new one."""
    desk = desk_of(rulebook, demo=demo, records=records)
    done = Lives(desk).write(
        hand_of(who, key), serial, kind, said, day=day_of(day, "--day"), place=place,
        facts=dict(_fact(one) for one in fact or ()),
        fitted=(Fitted(item=item, place=place or kind, lot=lot),) if item else (),
        replaces=replaces, photos=[_photo(one) for one in photo or ()],
    )  # fmt: skip
    say(done, [done["said"]], as_json=as_json)


def _fact(text: str) -> tuple[str, str]:
    name, equals, value = text.partition("=")
    if not (name.strip() and equals and value.strip()):
        raise EntryError("a fact has a name and a value", value=text, where="--fact", way_out="Write --fact owner=M.D.")
    return name.strip(), value.strip()


def _photo(file: Path) -> Photo:
    if not file.is_file():
        raise EntryError("no such picture", value=str(file), where="--photo", way_out="Look at its name again.")
    return Photo(data=file.read_bytes(), name=file.name, media=_MEDIA.get(file.suffix.lower(), ""))


@app.command()
def lessons(
    by: Annotated[str, typer.Option("--by", help="class, width, carrier kind, place or winters.")] = "class",
    records: Records = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Tell what broke, against the winters of every blade, and what each change of rules does to every blade."""
    found = Lessons(desk_of(rulebook, demo=demo, records=records))
    groups, changes, written = found.groups(by), found.changes(), found.written()
    lines = [f"{one.text}." for one in groups] or ["Nothing broke that was noted."]
    for one in changes:
        lines.append(f"Rules of {one.day:%d %b %Y} after those of {one.before:%d %b %Y}: {one.reason}.")
        lines += [f"  {line}" for line in one.lines]
    for one in written:
        lines.append(f"Written down by {one.by} for {one.day:%d %b %Y}: {one.reason}.")
        if one.places:
            lines += [f"  {one.before.text}", f"  {one.since.text}"]
    told = {"groups": [one.as_dict() for one in groups], "changes": [one.as_dict() for one in changes],
            "written": [one.as_dict() for one in written]}  # fmt: skip
    say(told, lines, as_json=as_json)


@app.command(name="lesson")
def write_lesson(
    change: Annotated[str, typer.Argument(metavar="DAY", help="Day of the newer rules, as 2026-09-01.")],
    reason: Annotated[str, typer.Argument(metavar="WHY", help="Why they were made.")],
    who: Who = "",
    answers: Annotated[
        list[str] | None, typer.Option("--place", help="Place of failures it was made for; again for each.")
    ] = None,
    key: Key = "",
    records: Records = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Write down why the rules were changed, with what the change does to every blade."""
    desk = desk_of(rulebook, demo=demo, records=records)
    day = day_of(change, "DAY") or date.min
    done = Lessons(desk).write(hand_of(who, key), day, reason, answers=answers or ())
    say(done, [done["said"]], as_json=as_json)
