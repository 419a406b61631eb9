"""A crew plan in the records: as it was made, with what stood beside the orders, read back to the minute."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, Final

from plowwright.desk.crew_standing import Later, Left, Standing, standing_of
from plowwright.desk.order_more import more_of
from plowwright.shop.crew_plan import CrewPlan
from plowwright.shop.plain_values import from_plain, to_plain
from plowwright.store import records as r
from plowwright.store.commands import Command

KIND: Final = "crew"
FORM: Final = 1
"""Form crew plans are kept in; raised when a field of a plan is added [-]."""


@dataclass(frozen=True, kw_only=True)
class Kept:
    """A plan as it stands in the records.

    Attributes:
        number: Of its row [-].
        state: Draft or released.
        at: When it was kept.
        who: Who kept it.
        event: Number of that event [-].
        plan: The plan.
        standing: What stood beside the orders.
        left_out: Orders that were not planned, and why.
        doubts: What was not known, in sentences.
    """

    number: int
    state: str
    at: datetime
    who: str
    event: int
    plan: CrewPlan
    standing: Standing
    left_out: tuple[Left, ...]
    doubts: tuple[str, ...]


def body_of(plan: CrewPlan, left_out: Sequence[Left], doubts: Sequence[str]) -> dict[str, Any]:
    """A plan as the records keep it.

    Args:
        plan: The plan.
        left_out: Orders that were not planned, and why.
        doubts: What was not known, in sentences.
    """
    return {
        "plan": to_plain(plan, form=FORM),
        "left_out": [{"number": one.number, "why": one.why} for one in left_out],
        "doubts": list(doubts),
        "mark": mark_of(plan),
    }


def kept_of(row: r.Plan, who: str) -> Kept:
    """A plan of the records, read.

    Args:
        row: Its row.
        who: Who kept it.

    Raises:
        EntryError: It cannot be read.
    """
    return Kept(
        number=row.id, state=row.state, at=row.at, who=who, event=row.event,
        plan=from_plain(CrewPlan, row.body["plan"], form=FORM, where=f"crew plan {row.id}"),
        standing=standing_of(row.asked.get("standing", {})),
        left_out=tuple(Left(number=one["number"], why=one["why"]) for one in row.body.get("left_out", ())),
        doubts=tuple(row.body.get("doubts", ())),
    )  # fmt: skip


def mark_of(found: CrewPlan) -> str:
    """Short mark of a plan, so that two sheets of different plans are told apart.

    Args:
        found: The plan.
    """
    rows = [[a.job, a.operation, a.person, a.begin.isoformat(), a.end.isoformat()] for a in found.assignments]
    digest = hashlib.sha256(json.dumps(rows).encode()).hexdigest()
    return f"{digest[:4]}-{digest[4:8]}"


def settled(c: Command, standing: Standing) -> Standing:
    """What stands, with parts that come later written to the orders that name them.

    Args:
        c: The command that keeps the plan.
        standing: What stands beside the orders.
    """
    left: list[Later] = []
    for one in standing.later:
        row = c.look(r.Order, one.order)
        more = more_of(row.more) if row is not None else None
        if row is None:
            continue
        named = [w for w in (more.waits if more else ()) if not one.what or one.what.casefold() in w.what.casefold()]
        if more is not None and named:
            waits = tuple(replace(w, on=one.on) if w in named else w for w in more.waits)
            c.change(r.Order, row.number, more=replace(more, waits=waits).as_dict())
        left.append(one)
    return replace(standing, later=tuple(left))
