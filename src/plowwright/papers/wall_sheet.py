"""Papers of the crew plan: the wall sheet of all open orders, a person's week, and the plan drawn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any, Final

from plowwright import units
from plowwright.papers import qr, svg
from plowwright.papers.content import Paper
from plowwright.papers.crew_chart import CrewChart, crew_chart, mark_picture
from plowwright.papers.pdf import PaperSize
from plowwright.rulebook.schema import Shop
from plowwright.shop.crew_plan import Assignment, CrewPlan, Mark

MARKS: Final[tuple[Mark, ...]] = ("safe", "tight", "needs a night", "late")
_AFTERNOON: Final = time(16)
"""What ends by now was finished within the day."""
CAUTION: Final = "Days are what we promised; they are no reason to skip a guard, a clamp or the paint's cure."


@dataclass(frozen=True, slots=True, kw_only=True)
class WallRow:
    """One open order on the wall sheet.

    Attributes:
        number: Order number.
        who: For whom.
        what: What it is for.
        notches: Of its duty class [-].
        state: How far it is.
        promise: The promise in words.
        mark: Safe, tight, needs a night, late, or "".
        waits: What it waits for; the cause where it is late.
        in_hand: Time in hand or late, in words.
    """

    number: str
    who: str
    what: str
    notches: int
    state: str
    promise: str
    mark: str
    waits: str
    in_hand: str


@dataclass(frozen=True, kw_only=True)
class CrewPaper:
    """What all papers of one plan share.

    Attributes:
        shop: Whose plan.
        plan: The plan.
        mark: Its short mark.
        released: Whether it was released to the floor.
        now: The moment it was made.
        paper: Sheet size.
    """

    shop: Shop
    plan: CrewPlan
    mark: str
    released: bool
    now: datetime
    paper: PaperSize = "us-letter"

    def head(self, title: str, about: str, *, order: str = "", flipped: bool = True) -> dict[str, Any]:
        """Head and foot of a sheet.

        Args:
            title: Of the sheet.
            about: What it says, in a line.
            order: What stands at the right of the title.
            flipped: Whether it lies on its long side.
        """
        return {
            "shop": f"{self.shop.name}, {self.shop.place}", "title": title, "order": order, "about": about,
            "fingerprint": self.mark, "marked": "released plan" if self.released else "draft plan", "paper": self.paper,
            "address": f"{self.now:%d %B %Y %H:%M}", "flipped": flipped,
        }  # fmt: skip

    def code(self) -> str:
        """What the square code opens on the shop's network."""
        return qr.svg(f"{self.shop.address_on_network.rstrip('/')}/promised")


def wall_sheet(sheet: CrewPaper, rows: Sequence[WallRow], notes: Sequence[str] = ()) -> Paper:
    """All open orders on one sheet, as long as they fit.

    Args:
        sheet: The plan.
        rows: The orders, the next promise first.
        notes: What stands beside the orders: who is away, what is not known.
    """
    late = [row.number for row in rows if row.mark == "late"]
    about = f"{units.counted(len(rows), 'open order')}; {', '.join(late) + ' late' if late else 'none late'}."
    data = {
        "head": sheet.head("The wall", about),
        "rows": [
            {"number": r.number, "who": r.who, "what": r.what, "notches": r.notches, "state": r.state,
             "promise": r.promise, "mark": r.mark, "waits": r.waits, "in_hand": r.in_hand,
             "picture": _mark_name(r.mark)}
            for r in rows
        ],
        "notes": list(notes),
        "caution": CAUTION,
    }  # fmt: skip
    pictures = {"qr": sheet.code(), **{_mark_name(m): svg.write(mark_picture(m), title=m) for m in MARKS}}
    return Paper(template="wall.typ", data=data, pictures=pictures)


def _mark_name(mark: str) -> str:
    return f"mark-{mark.replace(' ', '-')}" if mark in MARKS else ""


def week_sheet(sheet: CrewPaper, person: str, what: Mapping[str, str], *, first: date, days: int = 7) -> Paper:
    """What one person does, day by day, with a box for each.

    Args:
        sheet: The plan.
        person: Whose week.
        what: What each order is for, by its number.
        first: First day.
        days: How many days [-].
    """
    last = first + timedelta(days=days - 1)
    marks = {p.job: p.mark for p in sheet.plan.promises if p.mark in ("late", "tight", "needs a night")}
    opens = min((a.begin.time() for a in sheet.plan.of(person)), default=time())

    def last_day(one: Assignment) -> date:
        return _last_day(one, opens)

    out: list[dict[str, Any]] = []
    for number in range(days):
        day = first + timedelta(days=number)
        midnight = datetime.combine(day, datetime.min.time())
        rows = [
            {
                "from": f"{a.begin:%H:%M}" if a.begin.date() == day else "goes on",
                "to": f"{a.end:%H:%M}" if a.end.date() == day else "day's end" if last_day(a) == day else "and on",
                "number": a.job, "operation": a.operation, "what": what.get(a.job, ""),
                "mark": marks.get(a.job, ""), "evening": _evening(a, day),
            }
            for a in sheet.plan.of(person)
            if a.begin.date() <= day <= last_day(a) and a.end > max(sheet.now, midnight) and _works(a, midnight)
        ]  # fmt: skip
        if rows:
            out.append({"day": f"{day:%A} {day.day} {day:%B}", "rows": rows})
    about = f"{first:%a} {first.day} {first:%b} to {last:%a} {last.day} {last:%b}"
    data = {"head": sheet.head("The week", about, order=person, flipped=False), "days": out, "caution": CAUTION}
    return Paper(template="week.typ", data=data, pictures={"qr": sheet.code()})


def _last_day(one: Assignment, opens: time) -> date:
    """The last day anything of it is worked: what ends as the day begins was done by the evening before."""
    day = one.end.date()
    if one.end.time() > opens:
        return day
    while day > one.begin.date():
        day -= timedelta(days=1)
        if day.weekday() < 5:
            break
    return day


def _evening(one: Assignment, day: date) -> bool:
    """Whether an evening is worked on it that day: where it goes on, the morning it ends is no evening."""
    return bool(one.overtime) and (day < one.end.date() or day == one.begin.date() or one.end.time() > _AFTERNOON)


def _works(one: Assignment, midnight: datetime) -> bool:
    """Whether anything of it is worked on a day; a weekend it only lies over is left out."""
    return midnight.weekday() < 5 or one.begin.date() == midnight.date() or one.end.date() == midnight.date()


def chart_sheet(sheet: CrewPaper, charts: Sequence[CrewChart]) -> Paper:
    """The plan drawn, on a sheet that lies on its long side.

    Args:
        sheet: The plan.
        charts: What is drawn, as two weeks and the next two.
    """
    about = "A bar is work, its foot black where an evening is worked; hatched: paint cures. A hollow flag is late."
    drawn = {f"chart{n}": svg.write(crew_chart(c), title="who does what when") for n, c in enumerate(charts, 1)}
    data = {"head": sheet.head("Who does what", about), "charts": list(drawn)}
    pictures = {"qr": sheet.code(), **drawn}
    return Paper(template="chart.typ", data=data, pictures=pictures)
