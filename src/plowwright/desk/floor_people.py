"""Who does what now and next: from the last kept crew plan where there is one, else by promise and what is ready."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import TYPE_CHECKING, Any, Final

from plowwright.desk import floor_chain as chain
from plowwright.desk import floor_finish as finish
from plowwright.desk.crew_kept import KIND, kept_of
from plowwright.desk.floor_chain import Shut, clock, in_words
from plowwright.desk.order_more import More, UnderWay, more_of
from plowwright.desk.orders import Order
from plowwright.desk.shop_air import cure_now
from plowwright.errors import PlowwrightError
from plowwright.rulebook.crew import Member
from plowwright.shop import crew_jobs
from plowwright.shop.crew_plan import CrewPlan
from plowwright.store import records as r
from plowwright.store.reading import Reads

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

Planned = Mapping[tuple[str, str], tuple[str, datetime, datetime]]
"""Person, begin and end by order and operation in words."""
NEXT: Final = 5
"""So many slips are laid out for one person; he works them from the top [-]."""
MOST: Final = 200
"""More orders are never on the floor [-]."""
_LAST: Final = datetime(9999, 12, 31)


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """One operation of one order, as it lies before somebody.

    Attributes:
        order: The order.
        operation: As hours.toml names it.
        about: Working time by the rulebook, None where it has none [s].
        begun: Since when somebody is at it, None where nobody is.
        by: Who is at it, or "".
        planned: When the crew plan has it begin, None where it says nothing.
        shut: Why it may not be begun yet, or None.
        problems: What stands on the order.
        still: Working time left of it as somebody said, None where nobody did [s].
    """

    order: Order
    operation: str
    about: float | None
    begun: datetime | None = None
    by: str = ""
    planned: datetime | None = None
    shut: Shut | None = None
    problems: tuple[str, ...] = ()
    still: float | None = None

    @property
    def words(self) -> str:
        """The operation as it is said."""
        return in_words(self.operation)

    def as_dict(self) -> dict[str, Any]:
        """The slip for a machine; hours by the rulebook."""
        return {
            "order": self.order.number, "operation": self.operation, "by": self.by,
            "about_h": None if self.about is None else round(self.about / 3600, 2),
            "begun": self.begun.isoformat() if self.begun else None,
            "planned": self.planned.isoformat(timespec="minutes") if self.planned else None,
            "waits": self.shut.why if self.shut else "", "problems": list(self.problems),
        }  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonsWork:
    """What somebody is at, and what comes next.

    Attributes:
        name: Who.
        hours: When he is here today, as "07:00 to 12:00, 12:30 to 16:30", or "".
        now: What he is at.
        next: What comes next, the first first.
    """

    name: str
    hours: str
    now: tuple[Slip, ...]
    next: tuple[Slip, ...]

    def as_dict(self) -> dict[str, Any]:
        """The same for a machine."""
        return {"name": self.name, "hours": self.hours, "now": [s.as_dict() for s in self.now],
                "next": [s.as_dict() for s in self.next]}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """The whole crew's.

    Attributes:
        people: Everybody, as crew.toml lists them.
        by: What the order of the slips rests on.
        plan: The kept crew plan, or None.
    """

    people: tuple[PersonsWork, ...]
    by: str
    plan: CrewPlan | None

    def of(self, name: str) -> PersonsWork | None:
        """Somebody's; None for who is none of the crew.

        Args:
            name: Who.
        """
        return next((one for one in self.people if one.name == name), None)


def work_of(desk: Desk, reads: Reads) -> Work:
    """What everybody is at and what comes next.

    Args:
        desk: The shop.
        reads: A steady view.
    """
    rules = crew_jobs.rules_of(desk.rulebook)
    laid = _Laid(desk, reads)
    row = reads.last_plan(KIND)
    plan = _kept(row)
    planned = planned_of(plan)
    by = f"the crew plan of {clock(row.at)}" if row and plan else "promises, and what is ready"
    people = tuple(
        PersonsWork(name=one.name, hours=hours_said(one, desk.now.date(), closed=desk.now.date() in rules.closed),
                    now=tuple(laid.at(one.name)), next=tuple(laid.next_of(one, planned))[:NEXT])
        for one in rules.people
    )  # fmt: skip
    return Work(people=people, by=by, plan=plan)


def planned_of(plan: CrewPlan | None) -> Planned:
    """Person, begin and end of each operation of a crew plan that was still to be done, by order and operation.

    Args:
        plan: The plan, or None.
    """
    rows = plan.assignments if plan is not None else ()
    return {(a.job, a.operation): (a.person, a.begin, a.end) for a in rows if a.person}


def _kept(row: r.Plan | None) -> CrewPlan | None:
    if row is None:
        return None
    try:
        return kept_of(row, "").plan
    except PlowwrightError:
        return None  # of another form: the floor goes on by promise


def hours_said(member: Member, day: date, *, closed: bool = False) -> str:
    """When somebody is here on a day, in words; "" where he is not.

    Args:
        member: Of the crew.
        day: The day.
        closed: Whether nobody works that day.
    """
    spans = [h for h in member.hours if f"{day:%a}" in h.days and not closed]
    return ", ".join(f"{h.begin:%H:%M} to {h.end:%H:%M}" for h in spans)


class _Laid:
    """Every operation of the floor as a slip."""

    def __init__(self, desk: Desk, reads: Reads) -> None:
        self.desk, self.now = desk, desk.now
        self.handle = cure_now(reads, desk.rulebook).handle
        orders = {one.number: one for one in desk.orders()}
        rows = [row for row in reads.wall(("released",), limit=MOST) if row.number in orders]
        self.open: list[tuple[r.Order, Order, More]] = [(row, orders[row.number], more_of(row.more)) for row in rows]

    def at(self, name: str) -> Iterator[Slip]:
        for row, order, more in self.open:
            for one in more.under_way:
                if one.by == name:
                    yield self.slip(row, order, more, one.operation, at_it=one)

    def next_of(self, member: Member, planned: Planned) -> list[Slip]:
        """His by the plan in its order; then what is ready and nobody's, by promise; what must wait stands last."""
        found: list[tuple[bool, bool, datetime, int, Slip]] = []
        for place, (row, order, more) in enumerate(self.open):
            begun = {one.operation for one in more.under_way}
            for op in chain.left(row.kind, more):
                whose, begin, _ = planned.get((row.number, in_words(op)), ("", _LAST, _LAST))
                skill = "assemble" if op == "take_in" else op
                if op in begun or (whose or member.name) != member.name or skill not in member.does:
                    continue
                slip = self.slip(row, order, more, op, planned=begin if whose else None)
                soon = slip.shut is not None and slip.shut.until is not None
                if slip.shut is None or soon or whose:
                    found.append((slip.shut is not None and not whose, not whose, begin, place, slip))
        return [one[-1] for one in sorted(found, key=lambda one: one[:-1])]

    def slip(
        self, row: r.Order, order: Order, more: More, op: str, *, at_it: UnderWay | None = None,
        planned: datetime | None = None,
    ) -> Slip:  # fmt: skip
        barred = finish.barred(row, more, op) or chain.shut(row.kind, op, more, at=self.now, handle=self.handle)
        return Slip(
            order=order, operation=op, about=about(self.desk, order, op), planned=planned, shut=barred,
            begun=at_it.begun if at_it else None, by=at_it.by if at_it else "", problems=more.problems,
            still=at_it.left if at_it else None,
        )  # fmt: skip


def about(desk: Desk, order: Order, operation: str) -> float | None:
    """Working time of an operation by the rulebook [s]; None where it has none.

    Args:
        desk: The shop.
        order: Whose.
        operation: As hours.toml names it.
    """
    hours = desk.rulebook.data.hours.get(order.spec.series) if order.spec else None
    return getattr(hours, operation, None) if hours is not None else None


def late(order: Order, now: datetime) -> bool:
    """Whether a promise is past; one for a day is kept until that day's end.

    Args:
        order: Whose.
        now: The shop's clock.
    """
    due = order.due if isinstance(order.due, datetime) else datetime.combine(order.due, time(23, 59))
    return due < now
