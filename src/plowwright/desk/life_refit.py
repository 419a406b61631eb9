"""A refit of a blade on file: worked out from its life record, or from its file where the records do not have it."""

from __future__ import annotations

from collections.abc import Sequence
from functools import reduce
from typing import TYPE_CHECKING, Final

from plowwright import units
from plowwright.blade import spec as specs
from plowwright.blade.build import Build, Level
from plowwright.blade.refit import Existing, Known, refit
from plowwright.blade.refit_rules import both
from plowwright.desk.refit import RefitDesk, Refitted
from plowwright.errors import EntryError, NotFoundError
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.refit_price import refit_price
from plowwright.shop.service import Chapter
from plowwright.store import as_built
from plowwright.store import records as r
from plowwright.store.commands import Command
from plowwright.store.reading import LifeRecord, Reads

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk
    from plowwright.desk.orders import Order

_ABOUT: Final = {"edge": "cutting edge", "restrictor": "restrictors"}
"""What a chapter of a sort is about, as a refit asks for it."""
RULES_BEFORE: Final = "rules_before"
"""Name under the facts of a refitted blade: the rulebooks its old parts rest on."""
_TOLD: Final = ("edge", "restrictor", "failure", "test card", "note")


def refit_of(
    desk: Desk, what: str, to: str = "", *, level: Level = 2, system: units.System = "us"
) -> Refitted:  # fmt: skip
    """Work a refit out.

    Args:
        desk: The shop.
        what: Number of an order for a refit, or a serial number.
        to: The machine it goes to; left out, the order's own.
        level: How deep the strength of the new build is looked at.
        system: Units its sentences speak.

    Raises:
        NotFoundError: No such blade or machine, or the order refits nothing.
        EntryError: Nobody says where it goes.
    """
    order = _order(desk, what)
    serial = order.serial if order else what.strip().upper()
    existing = _on_file(desk, serial)
    if existing is None:
        return RefitDesk(desk, desk.folder / "serials").work_out(what, to, level=level, system=system)
    carrier = desk.strength.carrier(to or (order.carrier if order else ""))
    if carrier is None:
        raise EntryError("which machine it goes to is not said", value=serial, way_out="Name it, as K4.")
    with units.speaking(system):
        found = refit(existing, carrier, desk.rulebook, level=level)
        return Refitted(refit=found, price=refit_price(found), order=order)


def _order(desk: Desk, what: str) -> Order | None:
    wanted = what.strip().upper()
    order = next((one for one in desk.orders() if one.number == wanted), None)
    if order is not None and (order.kind != "refit" or not order.serial):
        raise NotFoundError(
            f"order {order.number} is for {order.kind} and refits nothing", value=order.number,
            way_out="Give an order for a refit, or a serial number.",
        )  # fmt: skip
    return order


def _on_file(desk: Desk, serial: str) -> Existing | None:
    if desk.records is None:
        return None
    with desk.records.reading() as reads:
        if reads.look(r.Blade, serial) is None:
            return None
        record = reads.life(serial)
        kept = standing_build(reads, record)
    if kept is None:
        return None
    life = as_built.life_of(record)
    machine = record.carrier.name if record.carrier else ""
    return Existing(
        serial=serial, spec=specs.from_dict(kept.spec, where=serial), rulebook=build_behind(desk, kept).rulebook,
        carrier=desk.strength.of_order(machine), carrier_name=machine, built=record.blade.built, customer=life.owner,
        known=tuple(_known(one) for one in life.standing if one.kind in _TOLD), note=record.blade.note,
    )  # fmt: skip


def standing_build(reads: Reads, record: LifeRecord) -> r.KeptBuild | None:
    """The blade as it stands: as its last refit left it, else as it was built.

    Args:
        reads: A steady view.
        record: Its life record.
    """
    gone = {one.replaces for one in record.chapters}
    refits = [one for one in record.chapters if one.kind == "refit" and one.build and one.id not in gone]
    last = max(refits, key=lambda one: (one.day, one.id), default=None)
    return reads.look(r.KeptBuild, last.build) if last else record.build


def build_behind(desk: Desk, kept: r.KeptBuild, *, level: Level = 0) -> Build:
    """A kept build worked out again; a refitted one by its old rules and by those that were in force at its refit.

    Args:
        desk: The shop.
        kept: As the records have it.
        level: How deep its strength is looked at.

    Raises:
        NotFoundError: Its rulebook is not kept.
        StoreError: It does not come out as the same blade.
    """
    spec = specs.from_dict(kept.spec)
    rules = [desk.rules_of(one) for one in behind(kept)]
    book = reduce(lambda old, new: both(old, new, spec.series, spec.width), rules)
    return as_built.build_of(kept, book, level=level)


def behind(kept: r.KeptBuild) -> tuple[str, ...]:
    """Fingerprints of the rulebooks a blade rests on, the one it was built by first, then one for each refit.

    Args:
        kept: As the records have it.
    """
    return (*kept.facts.get(RULES_BEFORE, ()), kept.rulebook)


def keep_refit(c: Command, build: Build, today: Rulebook, before: Sequence[str]) -> r.KeptBuild:
    """Keep a refitted blade with the rulebooks it rests on: its rules are made of two and stand in no folder.

    Args:
        c: The command.
        build: As it leaves.
        today: The rules in force.
        before: Fingerprints of the rules the old blade rests on.

    Raises:
        StoreError: The rulebook's files were edited since it was read.
    """
    as_built.keep_rules(c, today)
    return c.keep_build(
        fingerprint=build.fingerprint, spec={**build.spec.as_dict(), "width": f"{build.spec.width!r} m"},
        rulebook_day=today.version.date, rulebook=today.fingerprint,
        facts={**build.as_dict(), RULES_BEFORE: list(before)},
    )  # fmt: skip


def _known(chapter: Chapter) -> Known:
    what, _, said = chapter.said.partition(": ")
    if chapter.kind != "note" or not said:
        what, said = _ABOUT.get(chapter.kind, chapter.place or chapter.kind), chapter.said
    return Known(what=what, said=said, source="life record", on=chapter.day)
