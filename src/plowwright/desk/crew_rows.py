"""The plan as rows for the wall sheet, the week sheets, the page and the calendar."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from math import ceil
from typing import TYPE_CHECKING, Final

from plowwright.desk.books import NO_DAY
from plowwright.desk.crew_standing import said_day
from plowwright.desk.orders import Order
from plowwright.papers.calendar_file import Dated, uid_of
from plowwright.shop.crew_answer import said
from plowwright.shop.crew_jobs import moment
from plowwright.shop.crew_plan import CrewPlan, Mark
from plowwright.store import records as r

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

GONE: Final = 60
"""How many of the last cancelled orders stay in the calendar as cancelled [-]."""


def late_said(hours: float, desk: Desk) -> str:
    """How late a plan is in all, in words.

    Args:
        hours: All hours late, those of a rush counted more [h].
        desk: The shop; its rules say how often an hour of a rush counts.
    """
    if hours <= 0.0:
        return "Nothing late"
    crew = desk.rulebook.crew
    rush = crew.planning.rush.value if crew else 1.0
    # Rounded up: a quarter of an hour late is late.
    return f"{ceil(hours):,} hours late in all, an hour of a rush counted {rush:g} times"


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One open order as it stands.

    Attributes:
        number: Order number.
        who: For whom.
        what: Blade, refit or spares, in words.
        notches: Of its duty class [-]; 0 where it has none.
        state: How far it is.
        promise: Day, or day and hour; None where there is none.
        done: When it can go, None where it is not planned.
        mark: Safe, tight, needs a night, late, no promise; "" where it is not planned.
        waits: What it waits for, in words; the cause where it is late.
        in_hand: Time in hand or late, in words, "" for neither.
        asks: What nobody has answered yet.
    """

    number: str
    who: str
    what: str
    notches: int
    state: str
    promise: date | datetime | None
    done: datetime | None
    mark: Mark | str
    waits: str
    in_hand: str
    asks: tuple[str, ...]

    @property
    def promise_said(self) -> str:
        """The promise as it was given."""
        return said_day(self.promise) if self.promise is not None else "none"

    @property
    def done_said(self) -> str:
        """When it can go, in words."""
        return said(self.done) if self.done is not None else ""


def rows_of(desk: Desk, plan: CrewPlan, left_out: Mapping[str, str]) -> tuple[Row, ...]:
    """Every open order, the next promise first.

    Args:
        desk: The shop.
        plan: The plan that stands.
        left_out: Orders that are not planned, and why.
    """
    planned = {p.job: p for p in plan.promises}
    rows: list[Row] = []
    for order in desk.orders():
        found = planned.get(order.number)
        why = left_out.get(order.number, "") if found is None else found.cause
        series = desk.rulebook.series.get(order.spec.series) if order.spec else None
        mark, in_hand = (found.mark, _in_hand(found.due, found.done)) if found else ("", "")
        due = None if order.due == NO_DAY else moment(desk.rulebook, order.due)
        if found is None and due is not None and order.state in ("done", "weighed") and due < desk.now:
            # Nothing is left to plan, yet the customer still waits for it.
            mark, in_hand, why = "late", _in_hand(due, desk.now), f"{why or 'its work is done'}; it is still here"
        rows.append(Row(
            number=order.number, who=order.customer, what=what_of(desk, order),
            notches=series.notches if series else 0, state=order.state,
            promise=None if order.due == NO_DAY else order.due, done=found.done if found else None,
            mark=mark, waits=why or ("not in this plan: plan again" if found is None else ""),
            in_hand=in_hand, asks=order.asks,
        ))  # fmt: skip
    return tuple(sorted(rows, key=_when))


def _when(row: Row) -> tuple[datetime, str]:
    if row.promise is None:
        return datetime.max, row.number
    end = row.promise if isinstance(row.promise, datetime) else datetime.combine(row.promise, datetime.max.time())
    return end, row.number


def what_of(desk: Desk, order: Order) -> str:
    """What an order is for, in a few words.

    Args:
        desk: The shop.
        order: The order.
    """
    if order.spec is not None:
        return desk.build_of(order).name
    if order.kind == "spares":
        return f"spares for {order.serial}: {', '.join(order.spares)}" if order.serial else ", ".join(order.spares)
    return f"refit of {order.serial} for {order.carrier}".strip()


def _in_hand(due: datetime | None, done: datetime) -> str:
    if due is None:
        return ""
    spare = due - done
    return f"{span_said(abs(spare))} {'late' if spare < timedelta(0) else 'in hand'}"


def span_said(span: timedelta) -> str:
    """A span by the clock, as 3 days or 5 h.

    Args:
        span: How long.
    """
    hours = span.total_seconds() / 3600.0
    if hours >= 48:
        return f"{hours / 24:.0f} days"
    return f"{hours:.0f} h" if hours >= 10 else f"{hours:.1f} h"


def dated_of(desk: Desk, rows: Sequence[Row]) -> tuple[Dated, ...]:
    """The promises as entries of a calendar; one that was cancelled stays in as cancelled.

    Args:
        desk: The shop; its records say how often each promise was moved.
        rows: The open orders.
    """
    address = desk.rulebook.shop.address_on_network
    base = address.rstrip("/")
    given = [row for row in rows if row.promise is not None and row.state not in ("quote only", "enquiry")]
    moves, stamps, gone = _moves(desk, [row.number for row in given])
    out: list[Dated] = []
    for row in given:
        assert row.promise is not None
        word = f": {row.mark}" if row.mark and row.mark != "no promise" else f": {row.state}"
        lines = [f"State: {row.state}", *([f"Can go {row.done_said}"] if row.done else []),
                 *([f"Waits: {row.waits}"] if row.waits else []), *(f"Ask: {one}" for one in row.asks)]  # fmt: skip
        out.append(Dated(
            uid=uid_of(row.number, address), on=row.promise, summary=f"{row.number} {row.who}, {row.what}{word}",
            description="\n".join(lines), sequence=moves.get(row.number, 0),
            stamp=stamps.get(row.number, _utc(desk.now)), url=f"{base}/order/{row.number}" if base else "",
            status="TENTATIVE" if row.state == "on hold" else "CONFIRMED",
        ))  # fmt: skip
    return (*out, *gone)


def _moves(desk: Desk, numbers: Sequence[str]) -> tuple[dict[str, int], dict[str, datetime], tuple[Dated, ...]]:
    """How often each promise was moved and when it was last written, by the events; and what was cancelled."""
    if desk.records is None:
        return {}, {}, ()
    moves: dict[str, int] = {}
    stamps: dict[str, datetime] = {}
    with desk.records.reading() as reads:
        gone = reads.find(r.Order, state="cancelled", newest=True, limit=GONE)
        lost = [one for one in gone if one.promise is not None]
        for number in (*numbers, *(one.number for one in lost)):
            for event in reads.history("orders", number):
                if _touches(event, number):
                    moves[number] = moves.get(number, 0) + 1
                stamps[number] = _utc(event.at)
        people = {c.id: c.name for c in reads.find(r.Customer, id=[o.customer for o in lost if o.customer is not None])}
    entries = tuple(
        Dated(
            uid=uid_of(one.number, desk.rulebook.shop.address_on_network),
            on=one.promise.date() if one.promise.time() == datetime.min.time() else one.promise,
            summary=f"{one.number} {people.get(one.customer or 0, '')}: cancelled", status="CANCELLED",
            sequence=moves.get(one.number, 0) + 1, stamp=stamps.get(one.number, _utc(desk.now)),
        )
        for one in lost
        if one.promise is not None
    )  # fmt: skip
    return moves, stamps, entries


def _touches(event: r.Event, number: str) -> bool:
    """Whether an event moved a promise that was given before."""
    return any(
        one.get("table") == "orders" and str(one.get("key")) == number and one.get("was", {}).get("promise") is not None
        and "promise" in one.get("now", {})
        for one in event.changed
    )  # fmt: skip


def _utc(moment: datetime) -> datetime:
    return moment.astimezone(UTC)
