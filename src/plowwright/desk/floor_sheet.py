"""One order as the floor sees it: its operations with who did them, hours, notes and photos, problems, look-alikes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Final

from plowwright.desk import floor_chain as chain
from plowwright.desk import floor_finish as finish
from plowwright.desk.floor_chain import Shut, clock, in_words, said_minutes
from plowwright.desk.floor_people import about
from plowwright.desk.floor_right import standing_hours
from plowwright.desk.floor_twins import Twin, look_alikes
from plowwright.desk.order_file import ABOUT, number_of
from plowwright.desk.order_more import Done, More, UnderWay, more_of
from plowwright.desk.orders import Order
from plowwright.desk.shop_air import cure_now
from plowwright.papers import traveller
from plowwright.papers.content import Sheet
from plowwright.papers.elevations import System
from plowwright.shop import crew_jobs
from plowwright.store import records as r

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

HERE: Final = ("order", "released", "done", "weighed")
"""States in which a blade is made or stands in the shop."""
_LIFT: Final = "Lift at the marked points only; nobody stands under it."
CAUTIONS: Final[Mapping[str, str]] = {
    "saw": "Guard down, stick clamped, nobody in line with it. Cut ends are hot and sharp; the drop falls.",
    "plate_and_drill": "Dark glass and moving air at the plasma table. Clamp what is drilled; no gloves at a spindle.",
    "fit_and_weld": f"Weld in moving air behind a screen; grind paint and zinc off first. {_LIFT}",
    "clean": f"Glasses and ears; sparks away from paint and rags. {_LIFT}",
    "paint": "Mask and gloves as the paint maker's sheet says, air on, no flame and no grinder in the bay. "
    "Local rules on spraying come first.",
    "assemble": "Springs go on under load: stand aside of their line. Oil goes through skin: plug every port until its "
    f"hose is on. {_LIFT}",
    "test_and_weigh": f"Look for leaks with a card, never by hand. Keep clear of the ends and the hinge line. {_LIFT}",
    "take_in": "Springs of an old blade are under load and its hoses may hold pressure: let both off before anything "
    "is opened.",
    "pack": "Edges are heavy and sharp: two people or the hoist.",
}
"""What can hurt at each operation; *common practice*, local rules and the makers' sheets come first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One operation of one order.

    Attributes:
        operation: As hours.toml names it.
        about: Working time by the rulebook, None where it has none [s].
        done: When and by whom, None where it is not done.
        at_it: Who is at it.
        shut: Why it may not be begun yet, None where it may.
        hours: Its hours that stand.
        waits: What it waits for from outside, in words.
    """

    operation: str
    about: float | None
    done: Done | None
    at_it: tuple[UnderWay, ...]
    shut: Shut | None
    hours: tuple[r.Hours, ...]
    waits: tuple[str, ...]

    @property
    def words(self) -> str:
        """The operation as it is said."""
        return in_words(self.operation)

    @property
    def minutes(self) -> int:
        """All its hours that stand, in minutes."""
        return sum(row.minutes for row in self.hours)


@dataclass(frozen=True, slots=True, kw_only=True)
class FloorOrder:
    """One order as the floor sees it.

    Attributes:
        row: As the records have it.
        order: As planners read it.
        more: What is kept beside the row's columns.
        steps: Its operations.
        notes: Notes and photos, the newest first.
        twins: Blades it may be taken for.
    """

    row: r.Order
    order: Order
    more: More
    steps: tuple[Step, ...]
    notes: tuple[r.Attachment, ...]
    twins: tuple[Twin, ...]

    def step(self, operation: str) -> Step:
        """One of its operations.

        Args:
            operation: In any spelling.

        Raises:
            NotFoundError: It has none of that name.
        """
        name = chain.named(operation, self.row.kind)
        return next(step for step in self.steps if step.operation == name)

    @property
    def next(self) -> Step | None:
        """What comes next, None where all is done."""
        left = chain.left(self.row.kind, self.more)
        return next((step for step in self.steps if step.operation in left), None)


def order_on_floor(desk: Desk, number: str) -> FloorOrder:
    """One order as the floor sees it.

    Args:
        desk: The shop.
        number: With its check letter.

    Raises:
        EntryError: No such number; near ones are named.
        NotFoundError: It has left the yard, or was called off.
    """
    with desk.book.reading() as reads:
        number = number_of(reads, number)
        row, hours = reads.get(r.Order, number), standing_hours(reads, number)
        notes = reads.attached(ABOUT, number)
        handle = cure_now(reads, desk.rulebook).handle
    order = desk.order(number)
    more = more_of(row.more)
    steps = tuple(
        Step(
            operation=op, about=about(desk, order, op), done=more.work.get(op),
            at_it=tuple(one for one in more.under_way if one.operation == op),
            shut=finish.barred(row, more, op) or chain.shut(row.kind, op, more, at=desk.now, handle=handle),
            hours=tuple(one for one in hours if one.operation == op),
            waits=tuple(f"{w.what}, due {clock(w.on)}" for w in chain.waits_of(op, more)),
        )
        for op in chain.operations(row.kind)
    )  # fmt: skip
    return FloorOrder(row=row, order=order, more=more, steps=steps, notes=tuple(reversed(notes)),
                      twins=twins_of(desk, order))  # fmt: skip


def twins_of(desk: Desk, order: Order) -> tuple[Twin, ...]:
    """Blades in the shop that a blade may be taken for.

    Args:
        desk: The shop.
        order: Whose blade.
    """
    here = [one for one in desk.orders() if one.state != "quote only"]
    return look_alikes(order, here, desk.build_of)


def traveller_of(desk: Desk, number: str, *, system: System = "us", paper: str = "letter") -> bytes:
    """The traveller of an order, with what is done of it already written in.

    Args:
        desk: The shop.
        number: With its check letter.
        system: Units on it.
        paper: Letter or a4.

    Raises:
        NotFoundError: The order builds no blade.
    """
    found = order_on_floor(desk, number)
    build = desk.build_of(found.order)
    sheet = Sheet(worked=desk.worked(build.spec), system=system, paper="a4" if paper == "a4" else "us-letter",
                  on=desk.now.date(), number=found.row.number)  # fmt: skip
    rules = crew_jobs.rules_of(desk.rulebook).cure
    carrier = f" on {found.order.carrier}" if found.order.carrier else ""
    made = traveller.traveller(
        sheet, [_row(step, desk.now) for step in found.steps], due=clock(found.order.due),
        customer=f"{found.order.customer}{carrier}", cure=tuple((c.at, c.handle, c.strap) for c in rules.rows),
        painted=clock(found.more.painted) if found.more.painted else "",
        twins=[twin.sentence for twin in found.twins], asks=found.more.asks,
    )  # fmt: skip
    return traveller.write(sheet, made)


def _row(step: Step, now: datetime) -> traveller.Row:
    waits = step.waits if step.done is None else ()
    begun = min((one.begun for one in step.at_it), default=None)
    return traveller.Row(
        name=step.words.capitalize(), about="" if step.about is None else said_minutes(round(step.about / 60)),
        note="; ".join(f"waits for {one}" for one in waits),
        begun=_short(begun, now) if begun else "", ended=_short(step.done.ended, now) if step.done else "",
        hours=said_minutes(step.minutes) if step.minutes else "",
        by=step.done.by if step.done else ", ".join(one.by for one in step.at_it), done=step.done is not None,
    )  # fmt: skip


def _short(moment: datetime, now: datetime) -> str:
    return f"{moment:%a} {moment.day} {moment:%H:%M}" if abs((now - moment).days) < 25 else f"{moment:%d %b}"
