"""What the page of promises shows, as plain values for its templates."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from math import ceil
from typing import TYPE_CHECKING, Any, Final

from plowwright.desk.crew_kept import Kept, mark_of
from plowwright.desk.crew_papers import chart_of
from plowwright.desk.crew_rows import Row, late_said, rows_of
from plowwright.desk.crew_standing import said_day
from plowwright.desk.promising import Answered, Made
from plowwright.papers import svg
from plowwright.papers.crew_chart import crew_chart, mark_picture
from plowwright.papers.wall_sheet import MARKS
from plowwright.shop.crew_answer import said
from plowwright.shop.crew_jobs import in_words
from plowwright.shop.crew_learning import Learned
from plowwright.shop.crew_model import Progress
from plowwright.shop.crew_plan import CrewPlan
from plowwright.units import counted
from plowwright.web.jobs import Job

if TYPE_CHECKING:
    from plowwright.desk.crew_standing import Standing
    from plowwright.desk.desk import Desk

_MOST_MOVES: Final = 40


def drawn(desk: Desk, plan: CrewPlan, standing: Standing, *, prefix: str) -> str:
    """The chart as a page carries it.

    Args:
        desk: The shop.
        plan: The plan.
        standing: What stood beside the orders.
        prefix: Keeps its names apart from those of another picture on the page.
    """
    return svg.write(crew_chart(chart_of(desk, plan, standing)), title="who does what when", inline=True, prefix=prefix)


def marks() -> dict[str, str]:
    """Each mark's bar, as a page carries it."""
    return {
        mark: svg.write(mark_picture(mark), title=mark, inline=True, prefix=f"m{at}-") for at, mark in enumerate(MARKS)
    }


def days_of(rows: Sequence[Row]) -> list[dict[str, Any]]:
    """The promises day by day.

    Args:
        rows: The open orders, the next promise first.
    """
    days: dict[str, list[Row]] = {}
    for row in rows:
        promise = row.promise.date() if isinstance(row.promise, datetime) else row.promise
        days.setdefault(said_day(promise) if promise is not None else "no promise", []).append(row)
    return [{"day": day, "rows": [_row(row) for row in found]} for day, found in days.items()]


def _row(row: Row) -> dict[str, Any]:
    hour = f"{row.promise:%H:%M}" if isinstance(row.promise, datetime) else ""
    return {"number": row.number, "who": row.who, "what": row.what, "state": row.state, "hour": hour,
            "mark": "" if row.mark == "no promise" else row.mark, "done": row.done_said, "waits": row.waits,
            "in_hand": row.in_hand, "asks": list(row.asks)}  # fmt: skip


def plan_view(desk: Desk, plan: CrewPlan, standing: Standing, left_out: Mapping[str, str]) -> dict[str, Any]:
    """A plan: its chart, its promises by day, how good it is.

    Args:
        desk: The shop.
        plan: The plan.
        standing: What stood beside the orders.
        left_out: Orders that are not planned, and why.
    """
    late = [p.job for p in plan.promises if p.mark == "late"]
    evenings: dict[str, list[str]] = {}
    for who, day in plan.nights:
        evenings.setdefault(who, []).append(f"{day:%a} {day.day} {day:%b}")
    sure = "proved: no plan is less late"
    if plan.status != "proved best":
        sure = f"{plan.status}; proved: not under {plan.bound:,.0f} h"
    return {
        "chart": drawn(desk, plan, standing, prefix=f"c{mark_of(plan)}-"),
        "days": days_of(rows_of(desk, plan, left_out)),
        "said": f"{counted(len(plan.promises), 'order')} planned; {', '.join(late) or 'none'} late.",
        "how": f"{late_said(plan.objective, desk)}; {sure}.",
        "nights": [f"{who} {', '.join(days)}" for who, days in evenings.items()],
        "standing": standing.sentences(), "mark": mark_of(plan),
    }  # fmt: skip


def kept_view(desk: Desk, kept: Kept) -> dict[str, Any]:
    """The plan that stands.

    Args:
        desk: The shop.
        kept: As the records have it.
    """
    left_out = {one.number: one.why for one in kept.left_out}
    since = desk.seen.stamp[0] - kept.event
    known = {p.job for p in kept.plan.promises} | set(left_out)
    new = [o.number for o in desk.orders() if o.number not in known]
    return {
        **plan_view(desk, kept.plan, kept.standing, left_out), "number": kept.number, "state": kept.state,
        "at": said(kept.at), "who": kept.who, "doubts": list(kept.doubts), "since": since, "new": new,
    }  # fmt: skip


def made_view(desk: Desk, made: Made) -> dict[str, Any]:
    """A plan nobody kept yet: what moved, and what it does to each promise.

    Args:
        desk: The shop.
        made: The plan.
    """
    plan = made.plan
    before = {p.job: p for p in made.before.promises} if made.before else {}
    moved = [
        {"job": m.job, "operation": m.operation, "was": f"{m.was[0] or 'wait'}, {said(m.was[1])}",
         "now": f"{m.now[0] or 'wait'}, {said(m.now[1])}"}
        for m in plan.moved
    ]  # fmt: skip
    promises = [
        {"job": p.job, "was": said(before[p.job].done), "was_mark": before[p.job].mark, "now": said(p.done),
         "mark": p.mark, "worse": p.mark == "late" and before[p.job].mark != "late", "cause": p.cause}
        for p in plan.promises
        if p.job in before and (before[p.job].done != p.done or before[p.job].mark != p.mark)
    ]  # fmt: skip
    return {
        **plan_view(desk, plan, made.standing, {one.number: one.why for one in made.entry.left_out}),
        "first": made.before is None, "moves": moved[:_MOST_MOVES], "more_moves": max(0, len(moved) - _MOST_MOVES),
        "promises": promises, "seconds": f"{plan.seconds:.1f}", "doubts": made.entry.doubts.sentences(),
        "late_now": [one["job"] for one in promises if one["worse"]],
    }  # fmt: skip


def waiting_view(job: Job[Made, Progress], query: str) -> dict[str, Any]:
    """How far a plan has come.

    Args:
        job: The plan.
        query: What asks for it.
    """
    told = job.reached
    how = "Waiting for its turn" if told is None else f"{told.stage}: {ceil(told.late):,} hours late in all so far"
    return {"waits": True, "said": how, "waited": job.waited(), "query": query}


def answer_view(desk: Desk, found: Answered, standing: Standing) -> dict[str, Any]:
    """The answer to a promise asked for.

    Args:
        desk: The shop.
        found: The answer.
        standing: What stands beside the orders.
    """
    one = found.answer
    return {
        "word": found.word, "sentence": found.sentence, "what": found.what, "asked": said(one.asked), "why": one.why,
        "first": said(one.first) if one.first else "", "soonest": said(one.soonest), "nights": one.nights,
        "doubts": list(found.doubts), "hurt": list(found.hurt),
        "pushed": [{"job": p.job, "due": said(p.due) if p.due else "", "was": said(p.was), "now": said(p.now)}
                   for p in one.pushed],
        "chart": drawn(desk, one.plan, standing, prefix="a-") if one.plan else "",
    }  # fmt: skip


def learned_view(rows: Sequence[Learned], desk: Desk) -> list[dict[str, Any]]:
    """Learned hours beside the rulebook's, by series.

    Args:
        rows: As `crew_learning.learn` gives them.
        desk: For the names of the series.
    """
    found: dict[str, list[dict[str, Any]]] = {}
    for one in rows:
        known = one.blades > 0
        found.setdefault(one.series, []).append({
            "operation": in_words(one.operation), "rulebook": f"{one.rulebook / 3600:.1f} h", "blades": one.blades,
            "hours": f"{one.hours / 3600:.1f} h" if known else "",
            "between": f"{one.low / 3600:.1f} to {one.high / 3600:.1f} h" if known else "",
            "usual": f"{one.usual[0] / 3600:.1f} to {one.usual[1] / 3600:.1f} h" if known else "",
            "told": one.told, "differs": one.told in ("takes longer", "takes less"),
            "drawn_in": ", ".join(one.drawn_in),
        })  # fmt: skip
    return [
        {"series": desk.rulebook.series[key].name if key in desk.rulebook.series else key, "rows": rows_}
        for key, rows_ in found.items()
        if any(one["blades"] for one in rows_)
    ]
