"""A blade leaves the shop: its life record begins, or goes on with a refit or with spares that were fetched."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING, Any, Final

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.carried import Moved, moved
from plowwright.blade.carriers import Carrier
from plowwright.blade.moving import judging
from plowwright.blade.suit.suits import suits
from plowwright.desk.life_refit import behind, keep_refit, refit_of, standing_build
from plowwright.desk.life_timed import BroughtOver, Timed, brought_over
from plowwright.desk.order_more import More, more_of
from plowwright.errors import EntryError
from plowwright.rulebook.reading import Rulebook
from plowwright.shop import service
from plowwright.shop.service import MADE_WITH, STAMP, Fitted, Life
from plowwright.shop.service_marks import marks_of
from plowwright.shop.stock_items import item_of
from plowwright.store import as_built
from plowwright.store import records as r
from plowwright.store.commands import Command

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_TIMES: Final = ("left", "right")
_NAMES: Final = {"left": "left end forward", "right": "right end forward", "stamp": STAMP}
"""Names of the test card, as the life record has them."""
_ORDINALS: Final = ("", "2nd", "3rd", "4th", "5th", "6th", "7th", "8th")


@dataclass(frozen=True, kw_only=True, eq=False)
class Handing:
    """All that is worked out before the blade is loaded, so that the loading itself only writes.

    Attributes:
        number: Order.
        kind: Blade, refit or spares.
        serial: Serial number, of the blade made or of the old one.
        build: As it leaves, None for spares.
        kept: Number of the kept build of the order, None for a refit.
        customer: Who gets it.
        card: Test card: names and values, each with its unit.
        card_said: What the card means on the customer's machine, or "".
        advice: What was told to whoever takes it, each a sentence.
        bought: For a refit: what was bought for it.
        today: For a refit: the rules in force.
        spares: For an order of spares: what was fetched.
        rest_on: What the order said when all this was worked out, so that a change since then is seen.
    """

    number: str
    kind: str
    serial: str
    build: Build | None = None
    kept: int | None = None
    customer: str = ""
    card: Mapping[str, str] = field(default_factory=dict[str, str])
    card_said: str = ""
    advice: tuple[str, ...] = ()
    bought: tuple[Fitted, ...] = ()
    today: Rulebook | None = None
    spares: tuple[str, ...] = ()
    rest_on: tuple[int | None, str] = (None, "")


def handing_of(desk: Desk, number: str) -> Handing:
    """What the loading of an order will write into a life record, worked out before.

    Args:
        desk: The shop.
        number: Order, with its check letter.

    Raises:
        NotFoundError: No such order, or for a refit no such blade.
        StoreError: Its rules do not come out of the records as they were.
    """
    with desk.book.reading() as reads:
        row = reads.get(r.Order, number)
        kept = reads.look(r.KeptBuild, row.build)
        customer = reads.look(r.Customer, row.customer)
        machine = reads.look(r.CarrierFacts, row.carrier)
    more = more_of(row.more)
    carrier = desk.strength.of_order(machine.name) if machine else None
    common: dict[str, Any] = {
        "number": number, "kind": row.kind, "serial": more.serial, "customer": customer.name if customer else "",
        "spares": more.spares, "rest_on": (row.build, more.serial),
    }  # fmt: skip
    if row.kind == "refit":
        found = refit_of(desk, number, level=0).refit
        bought = tuple(Fitted(item=one.instead or one.stock, place=one.part) for one in found.buy if one.stock)
        proved = _proved(found.new, carrier, more)
        return Handing(**common, build=found.new, bought=bought, today=desk.rulebook, **proved)
    if kept is None or row.kind != "blade":
        return Handing(**common)
    build = as_built.build_of(kept, desk.rules_of(kept.rulebook), level=0)
    return Handing(**common, build=build, kept=kept.id, **_proved(build, carrier, more))


def hand_over(c: Command, handing: Handing) -> str:
    """Write what a loaded order leaves in a life record, inside the command that loads it; what was written, in words.

    A blade's record is begun once: done again for the same order and serial nothing is written.

    Args:
        c: The command.
        handing: What `handing_of` worked out.

    Raises:
        EntryError: The order was changed since that was worked out, it has no serial number, or the number is another
            blade's.
    """
    row = c.get(r.Order, handing.number)
    now = (row.build, more_of(row.more).serial)
    if now != handing.rest_on:
        raise EntryError(
            "the order was changed while it was loaded", where=handing.number, value=now[1] or "no serial",
            limit=handing.rest_on[1] or "no serial", way_out="Look at it again, then load it.",
        )  # fmt: skip
    if handing.kind == "spares":
        return _spares(c, handing)
    if not handing.serial:
        raise EntryError("a blade that leaves has a serial number", where=handing.number, way_out="Give and stamp it.")
    there = c.look(r.Blade, handing.serial)
    if handing.kind == "refit":
        return _refit(c, handing)
    if there is not None:
        if there.order == handing.number:
            return f"{handing.serial} has its life record."
        raise EntryError("this serial number is another blade's", where=handing.number, value=handing.serial,
                         limit=f"given to {there.order or 'a blade of before the records'}",
                         way_out="Look at the stamp, and give the next free number.")  # fmt: skip
    return _begin(c, handing, row)


def _begin(c: Command, handing: Handing, row: r.Order) -> str:
    build = handing.build
    assert build is not None  # an order for a blade has a build from the quote on
    day = c.at.date()
    customer = c.look(r.Customer, row.customer)
    marks = marks_of(build, serial=handing.serial, built=day, phone=customer.phone if customer else "",
                     owner=handing.customer)  # fmt: skip
    c.add(r.Blade, serial=handing.serial, order=handing.number, build=handing.kept, customer=row.customer,
          carrier=row.carrier, built=day, marks=marks.as_dict())  # fmt: skip
    life = service.write(Life(serial=handing.serial), "as-built", f"built for {handing.customer or 'nobody noted'}",
                         day=day, facts=_facts(c, handing, build), fitted=issued(c, handing.number, build))  # fmt: skip
    life = _card_and_advice(life, handing, day)
    for chapter in life.chapters:
        as_built.write_chapter(c, handing.serial, chapter, build=handing.kept if chapter.kind == "as-built" else None)
    return f"The life record of {handing.serial} begins with {units.counted(len(life.chapters), 'chapter')}."


def _refit(c: Command, handing: Handing) -> str:
    build, today = handing.build, handing.today
    assert build is not None and today is not None  # a refit always works one out
    blade, day = c.get(r.Blade, handing.serial), c.at.date()
    record = c.life(handing.serial)
    life, stands = as_built.life_of(record), standing_build(c, record)
    if any(one.kind == "refit" and one.facts.get("order") == handing.number for one in life.standing):
        return f"{handing.serial} has its refit in its life record."
    before, kept = len(life.chapters), keep_refit(c, build, today, behind(stands) if stands else ())
    row = c.get(r.Order, handing.number)
    life = service.write(life, "refit", f"refitted: {build.datum.mount.name}", day=day,
                         facts={"order": handing.number, **_owned(handing)},
                         fitted=handing.bought or issued(c, handing.number, build))  # fmt: skip
    life = _card_and_advice(life, handing, day)
    for chapter in life.chapters[before:]:
        as_built.write_chapter(c, handing.serial, chapter, build=kept.id if chapter.kind == "refit" else None)
    was = {**blade.marks, **({"owner": handing.customer} if handing.customer else {})}
    new = marks_of(build, serial=handing.serial, built=blade.built or day).as_dict()
    marks = {**was, **{name: new[name] for name in ("mount", "springs", "pins", "bore", "name")}}
    c.change(r.Blade, handing.serial, customer=row.customer or blade.customer, carrier=row.carrier or blade.carrier,
             marks=marks)  # fmt: skip
    return f"The refit is in the life record of {handing.serial}."


def _spares(c: Command, handing: Handing) -> str:
    if not handing.serial or c.look(r.Blade, handing.serial) is None:
        return "No blade on file has this serial number, so no life record says of these spares."
    life = as_built.life_of(c.life(handing.serial))
    if any(one.facts.get("order") == handing.number for one in life.standing):
        return f"The spares are in the life record of {handing.serial}."
    fetched = ", ".join(handing.spares) or "spares"
    life = service.write(life, "note", f"spares fetched: {fetched}; nobody has said yet that they are on",
                         day=c.at.date(), facts={"order": handing.number})  # fmt: skip
    as_built.write_chapter(c, handing.serial, life.chapters[-1])
    return f"The spares are in the life record of {handing.serial}."


def _card_and_advice(life: Life, handing: Handing, day: date) -> Life:
    if handing.card:
        said = handing.card_said or "proved on the shop's test pack"
        life = service.write(life, "test card", said, day=day, facts=handing.card)
    if handing.advice:
        life = service.write(life, "advice", "told at loading: " + " ".join(handing.advice), day=day)
    return life


def _owned(handing: Handing) -> dict[str, str]:
    return {"owner": handing.customer} if handing.customer else {}


def _facts(c: Command, handing: Handing, build: Build) -> dict[str, str]:
    tickets = c.find(r.Ticket, order=handing.number, newest=True, limit=1)
    found = {
        **_owned(handing),
        "order": handing.number,
        "build": build.fingerprint,
        "rules of": f"{build.rulebook.version.date:%d %b %Y}",
        "mass by the model": units.say(build.mass, "mass", system="us"),
    }
    if tickets:
        found["mass on the scale"] = units.say(tickets[0].mass, "mass", system="us")
    swing = moved(build, None).swinging
    if swing is not None:
        found[MADE_WITH] = f"drill {swing.fitted.drill.text}"
    if swing is not None and swing.relief is not None:
        found["relief to be set to"] = judging.pressure(swing.relief.setting)
    return found


def issued(c: Command, number: str, build: Build) -> tuple[Fitted, ...]:
    """What an order's issue lines say went on, with its lot and the mark it serves; what came back is taken off.

    Args:
        c: The command.
        number: Order.
        build: Its blade, for the marks.
    """
    left: dict[tuple[str, str], int] = {}
    for line in c.find(r.Line, order=number, kind=["issue", "return"]):
        # A line that undoes another carries its count with the other sign.
        sign = 1 if line.kind == "issue" else -1
        left[(line.item, line.lot)] = left.get((line.item, line.lot), 0) + sign * line.count
    marks: dict[str, list[str]] = {}
    for row in build.bill.rows:
        marks.setdefault(row.stock, []).append(row.mark)
    found: list[Fitted] = []
    seen: dict[str, int] = {}
    for (name, lot), count in sorted(left.items()):
        item = item_of(name)
        serves = ["edge"] if item.sort == "blank" else marks.get(item.stock, [])
        if count <= 0 or not serves:
            continue
        place = " and ".join(dict.fromkeys(serves))
        at = seen[place] = seen.get(place, 0) + 1
        nth = f", {_ORDINALS[at - 1] if at <= len(_ORDINALS) else f'{at}th'} lot" if at > 1 else ""
        found.append(Fitted(item=item.stock, place=f"{place}{nth}", lot=lot))
    return tuple(found)


def _proved(build: Build, carrier: Carrier | None, more: More) -> dict[str, Any]:
    """Test card and advice."""
    card = {_NAMES.get(name, name): text for name, text in more.test.items()}
    said = ""
    if all(name in more.test for name in _TIMES):
        left, right = (units.si(more.test[name], "time", _NAMES[name]) for name in _TIMES)
        oil = units.si(more.test["oil"], "temperature", "oil") if "oil" in more.test else None
        found = brought_over(build, carrier, Timed(left=left, right=right), oil=oil)
        said = f"on the test pack {found.pack.text}; {found.said}"
        card |= _brought(found)
    return {"card": card, "card_said": said, "advice": advice_of(build, carrier)}


def _brought(found: BroughtOver) -> dict[str, str]:
    if found.carrier is None:
        return {}
    return {f"on {found.name}, left end forward": judging.seconds(found.carrier.left),
            f"on {found.name}, right end forward": judging.seconds(found.carrier.right)}  # fmt: skip


def advice_of(build: Build, carrier: Carrier | None) -> tuple[str, ...]:
    """What is said to whoever takes a blade away: ballast, what is near its limit on his machine, width on the road.

    Args:
        build: The blade.
        carrier: His machine, as far as it is known.
    """
    if carrier is None:
        return ("His machine is not known here: lift, axles, outlets and couplers are his to check with its book.",)
    lines: list[str] = []
    suit = suits(build, carrier)
    if suit is not None:
        lines.append(f"{suit.sentence.rstrip('.')}.")
        if suit.ballast is not None:
            mass = units.say(suit.ballast.mass.likely, "mass", system="us")
            lines.append(f"Ballast about {mass}, on before the blade.")
        open_ = [f for f in suit.findings if f.verdict in ("fails", "near limit")]
        lines += [f"{f.verdict.capitalize()}: {f.title}." for f in open_[:3]]
        wide = units.say(suit.widths.travel, "length", system="us")
        lines.append(f"On the road it is {wide} wide at its narrowest; local rules come first.")
    return (*lines, *_moving(moved(build, carrier)))


def _moving(found: Moved) -> tuple[str, ...]:
    swing = found.swinging
    if swing is None:
        return ()
    one_way = [f"rod {way}" for way, held in (("out", swing.protection.rod_out), ("in", swing.protection.rod_in))
               if not held]  # fmt: skip
    if not one_way:
        return ()
    return (f"The relief does not protect it with the {' nor with the '.join(one_way)}: creep along curbs.",)
