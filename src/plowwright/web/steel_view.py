"""What the pages of a cut plan show, as plain values for their templates, and its papers."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any, Final

from plowwright import units
from plowwright.desk.cutting import CuttingDesk, Week
from plowwright.papers import content, labels, pdf, svg
from plowwright.papers.lists import write_csv, write_xlsx
from plowwright.papers.saw_sheet import SawSheet, groups_of, mark_of, saw_sheet, stick_picture
from plowwright.papers.steel_lists import PLAN_COLUMNS, plan_rows, plan_sheets
from plowwright.shop.cutting_model import CutStick, Progress
from plowwright.shop.replan import Change
from plowwright.web.forms import System
from plowwright.web.jobs import Job, orders_view, reached_view
from plowwright.web.steel_asked import Asked

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_WIDTH: Final = 172.0
FILES: Final = {
    "saw sheet.pdf": ("saw sheet", "application/pdf"),
    "changed sticks.pdf": ("only the sticks that changed", "application/pdf"),
    "labels of drops.pdf": ("labels for the drops", "application/pdf"),
    "cut plan.csv": ("the plan as CSV", "text/csv"),
    "cut plan.xlsx": (
        "the plan as a workbook", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    ),
}  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Made:
    """A plan, and what a mishap changed in it.

    Attributes:
        week: The plan with everything around it.
        changes: Tags issued again.
        extra: What the mishap costs in steel [money].
    """

    week: Week
    changes: tuple[Change, ...] = ()
    extra: float = 0.0


def form_view(cutting: CuttingDesk, chosen: set[str], asked: Asked | None) -> dict[str, Any]:
    """The form: orders whose steel is uncut, and the seconds.

    Args:
        cutting: What plans.
        chosen: Numbers that are ticked.
        asked: What was asked, None where it could not be taken.
    """
    return {
        "orders": orders_view(cutting.waiting(), chosen),
        "seconds": f"{asked.seconds if asked else cutting.rules.saw.seconds.value:g}",
        "query": asked.query if asked else "",
    }


def waiting_view(job: Job[Made, Progress], asked: Asked) -> dict[str, Any]:
    """How far a plan has come.

    Args:
        job: The plan.
        asked: Which it is.
    """
    reached = job.reached
    turn = "Finding room for what lost its place" if asked.mishaps else "Waiting for its turn"
    gap = ""
    if reached is not None and reached.bound > 0 and reached.cost < float("inf"):
        gap = f"{100 * (reached.cost / reached.bound - 1):.1f} % over the bound"
    return reached_view(job, turn) | {"gap": gap, "again": asked.query, "limit": f"{asked.seconds:g}"}


def plan_view(made: Made, asked: Asked, desk: Desk, system: System) -> dict[str, Any]:
    """What came of a plan.

    Args:
        made: The plan.
        asked: Which it is.
        desk: The shop.
        system: US or metric.
    """
    plan, week = made.week.plan, made.week
    longest = max(c.stick.length for c in plan.sticks)
    currency = desk.rulebook.shop.currency
    sure = "no plan costs less"
    if plan.status != "proved best":
        sure += f" than {currency} {plan.bound:,.0f}: at most {100 * plan.gap:.2f} % over the best"
    numbers = {c.now for c in made.changes}
    return {
        "said": f"{units.counted(len(plan.sticks), 'stick')}, {units.counted(len(plan.pieces), 'piece')}, "
        f"{currency} {plan.cost:,.0f}; {sure}.",
        "status": plan.status, "mark": mark_of(plan), "seconds": f"{plan.seconds:.1f}",
        "alike": "; ".join(", ".join(group) for group in week.alike),
        "changes": [c.in_words() for c in made.changes],
        "extra": f"{currency} {made.extra:,.0f}" if made.changes else "",
        "sticks": [
            _stick(c, longest, asked, system, changed=c.number in numbers, again={x.tag for x in made.changes})
            for c in plan.sticks
        ],
        "edges": [
            {"tag": cut.wanted.tag, "bar": bar.bar, "steps": " ".join(cut.steps),
             "from": "undrilled bar" if not cut.blank else f"{units.say(cut.blank, 'length', system=system)} blank",
             "buy": cut.bought}
            for bar in week.edges
            for cut in bar.plan.cuts
        ],
        "buys": [{"said": b.in_words(), "orders": ", ".join(b.orders), "late": b.late,
                  "cost": f"{currency} {b.cost:,.0f}"} for b in week.buys],
        "papers": [
            {"href": f"/cutting/papers/{name}?{asked.query}", "name": name, "what": what}
            for name, (what, _) in FILES.items()
            if made.changes or name != "changed sticks.pdf"
        ],
        "fields": asked.pairs(), "first": asked.first.query, "before": asked.before.query,
    }  # fmt: skip


def _stick(
    c: CutStick, longest: float, asked: Asked, system: System, *, changed: bool, again: set[str]
) -> dict[str, Any]:
    def said(value: float) -> str:
        return units.say(value, "length", system=system)

    drop = f"keep {said(c.drop)} as {c.drop_tag}" if c.kept else f"{said(c.drop)} to scrap"
    page = stick_picture(c, width=_WIDTH, longest=longest, cut=asked.ticked, system=system)
    return {
        "number": c.number, "kept": c.kept, "stock": c.stick.stock, "rush": c.rush, "changed": changed, "drop": drop,
        "what": f"{'remnant ' + c.stick.tag if c.stick.tag else 'stick'}, {said(c.stick.length)}",
        "picture": svg.write(page, title=f"stick {c.number}", inline=True, prefix=f"s{c.number}-"),
        "rows": [
            {"numbers": first if len(group) == 1 else f"{first} to {first + len(group) - 1}",
             "length": said(group[0].piece.length),
             "pieces": [{"tag": p.piece.tag, "cut": p.piece.tag in asked.ticked, "new": p.piece.tag in again}
                        for p in group]}
            for first, group in groups_of(c)
        ],
    }  # fmt: skip


def written(
    name: str, made: Made, desk: Desk, system: System, *, cut: Collection[str] = (), released: int = 0
) -> bytes:
    """One paper of a plan.

    Args:
        name: Which, of those the page lists.
        made: The plan.
        desk: The shop.
        system: US or metric.
        cut: Tags already cut, drawn hollow.
        released: Number the plan was released under, 0 while it is not.
    """
    plan, shop = made.week.plan, desk.rulebook.shop
    if name == "cut plan.csv":
        return write_csv(plan_rows(plan), PLAN_COLUMNS)
    if name == "cut plan.xlsx":
        return write_xlsx(plan_sheets(plan), title="cut plan", when=datetime.combine(made.week.on, datetime.min.time()))
    if name == "labels of drops.pdf":
        found = labels.labels(labels.of_drops(plan, shop, system), shop=shop, paper="us-letter")
    else:
        only = {c.now for c in made.changes} if name == "changed sticks.pdf" else None
        found = saw_sheet(
            SawSheet(plan=plan, shop=shop, on=made.week.on, system=system, alike=made.week.alike, only=only,
                     changes=made.changes if only else (), cut=cut, released=released),
        )  # fmt: skip
    return pdf.compile(content.source(found.template), pictures=found.pictures, data=found.data)
