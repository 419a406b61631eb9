"""Papers of the crew plan from the desk: the wall sheet, the plan drawn, everybody's week, the calendar file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Final

from plowwright.desk.crew_kept import Kept, mark_of
from plowwright.desk.crew_rows import Row, dated_of, rows_of
from plowwright.desk.promising import Made
from plowwright.errors import NotFoundError
from plowwright.papers import content, pdf
from plowwright.papers.calendar_file import calendar_file
from plowwright.papers.crew_chart import CrewChart, cures_of
from plowwright.papers.wall_sheet import CrewPaper, WallRow, chart_sheet, wall_sheet, week_sheet
from plowwright.shop.crew_jobs import calendar_of, crew_of, cure
from plowwright.shop.crew_plan import CrewPlan

if TYPE_CHECKING:
    from plowwright.desk.crew_standing import Standing
    from plowwright.desk.desk import Desk

DAYS: Final = 14
WALL: Final = "wall sheet.pdf"
CHART: Final = "who does what.pdf"


def chart_of(
    desk: Desk, plan: CrewPlan, standing: Standing, *, start: int = 0, width: float = 300.0
) -> CrewChart:
    """The plan as it is drawn.

    Args:
        desk: The shop.
        plan: The plan.
        standing: What stood beside the orders.
        start: Days from today at which it begins [-].
        width: Of the picture [mm].
    """
    now = desk.now
    moved = {(m.job, m.operation) for m in plan.moved}
    return CrewChart(
        plan=plan, crew=crew_of(desk.rulebook, standing.absences()), first=now.date() + timedelta(days=start),
        days=DAYS,
        closed=calendar_of(desk.rulebook, now).closed, now=now, width=width, moved=moved,
        cures=cures_of(plan, cure(desk.rulebook, standing.temperature)[1]),
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Stands:
    """The plan that stands: the last one kept, else the one of this moment.

    Attributes:
        plan: The plan.
        standing: What stood beside the orders.
        left_out: Orders that are not planned, and why.
        notes: What is not known, in sentences.
        released: Whether it was released to the floor.
        at: When it was made.
    """

    plan: CrewPlan
    standing: Standing
    left_out: Mapping[str, str]
    notes: tuple[str, ...]
    released: bool
    at: datetime


def stands_kept(kept: Kept) -> Stands:
    """A kept plan as the one that stands.

    Args:
        kept: As the records have it.
    """
    return Stands(
        plan=kept.plan, standing=kept.standing, left_out={one.number: one.why for one in kept.left_out},
        notes=kept.doubts, released=kept.state == "released", at=kept.at,
    )  # fmt: skip


def stands_made(made: Made, at: datetime) -> Stands:
    """A plan nobody kept yet as the one that stands.

    Args:
        made: The plan.
        at: When it was made.
    """
    return Stands(
        plan=made.plan, standing=made.standing, left_out={one.number: one.why for one in made.entry.left_out},
        notes=tuple(made.entry.doubts.sentences()), released=False, at=at,
    )  # fmt: skip


def names_of_papers(desk: Desk) -> list[str]:
    """Papers of a plan: the wall, the chart, a week for each of the crew.

    Args:
        desk: The shop.
    """
    people = desk.rulebook.crew.people if desk.rulebook.crew else []
    return [WALL, CHART, *(week_of(one.name) for one in people)]


def week_of(person: str) -> str:
    """Name of somebody's week sheet.

    Args:
        person: As the rulebook names him.
    """
    return f"week of {person.rstrip('.')}.pdf"


def written(desk: Desk, name: str, stands: Stands, *, paper: pdf.PaperSize = "us-letter") -> bytes:
    """One paper of a plan.

    Args:
        desk: The shop.
        name: Which, of `names_of_papers`.
        stands: The plan.
        paper: Sheet size.

    Raises:
        NotFoundError: There is no such paper.
    """
    known = names_of_papers(desk)
    if name not in known:
        raise NotFoundError("no such paper of a crew plan", value=name, way_out=f"There are: {', '.join(known)}.")
    plan, standing = stands.plan, stands.standing
    sheet = CrewPaper(shop=desk.rulebook.shop, plan=plan, mark=mark_of(plan), released=stands.released, now=stands.at,
                      paper=paper)  # fmt: skip
    rows = rows_of(desk, plan, stands.left_out)
    if name == WALL:
        found = wall_sheet(sheet, [wall_row(row) for row in rows], [*standing.sentences(), *stands.notes])
    elif name == CHART:
        charts = [chart_of(desk, plan, standing, start=start, width=250.0) for start in (0, DAYS)]
        found = chart_sheet(sheet, charts)
    else:
        crew = desk.rulebook.crew
        who = next(one.name for one in (crew.people if crew else ()) if week_of(one.name) == name)
        found = week_sheet(sheet, who, {row.number: row.what for row in rows}, first=desk.now.date())
    return pdf.compile(content.source(found.template), pictures=found.pictures, data=found.data)


def wall_row(row: Row) -> WallRow:
    """A row of the wall sheet.

    Args:
        row: The order as it stands.
    """
    asks = f"{'; ' if row.waits else ''}ask: {', '.join(row.asks)}" if row.asks else ""
    return WallRow(
        number=row.number, who=row.who, what=row.what, notches=row.notches, state=row.state,
        promise=row.promise_said, mark="" if row.mark == "no promise" else str(row.mark), waits=row.waits + asks,
        in_hand=row.in_hand,
    )  # fmt: skip


def calendar_of_promises(desk: Desk, stands: Stands) -> bytes:
    """The promises as a calendar file.

    Args:
        desk: The shop.
        stands: The plan, for how each promise stands.
    """
    rows = rows_of(desk, stands.plan, stands.left_out)
    return calendar_file(dated_of(desk, rows), name=f"Promises, {desk.rulebook.shop.name}")
