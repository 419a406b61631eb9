"""The crew plan drawn: people as rows over days, work as bars, cure as hatched waits, promises as flags on top.

A day is a column from six in the morning to eight in the evening; what runs at night or on a closed day is drawn at its
edge, so that every working day is as wide as the next. Saturdays, Sundays and closed days are narrow.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from typing import Final

from plowwright.papers import fonts
from plowwright.papers.drawing import Picture
from plowwright.papers.marks import CUT, HAIR, HATCH, HIDDEN, OUTLINE, THIN, Pen
from plowwright.shop.crew_model import DAYS, Crew, Person
from plowwright.shop.crew_plan import Assignment, CrewPlan, Mark, Promise

_NAMES: Final = 19.0
_ROW: Final = 10.0
_LANE: Final = 5.0
_FLAG: Final = 5.2
_HEAD: Final = 7.0
_OPENS: Final = time(6)
_CLOSES: Final = time(20)
_NARROW: Final = 0.22
_SIZE: Final = 2.9
EVENING: Final = Pen(name="evening", layer="evening work", width=0.7)
WORDS: Final[Mapping[Mark, str]] = {
    "safe": "", "tight": "tight", "needs a night": "needs a night", "late": "late", "no promise": "",
}  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class CrewChart:
    """What is drawn.

    Attributes:
        plan: The plan.
        crew: People with their hours.
        first: First day.
        days: How many days [-].
        closed: Days on which nobody works.
        now: The moment of the plan, drawn as a line.
        cures: By order, from when to when its paint cures.
        width: Of the picture [mm].
        moved: Operations drawn with a heavy outline, as (order, operation).
    """

    plan: CrewPlan
    crew: Crew
    first: date
    days: int
    closed: Collection[date] = field(default_factory=frozenset[date])
    now: datetime
    cures: Mapping[str, tuple[datetime, datetime]] = field(default_factory=dict[str, tuple[datetime, datetime]])
    width: float = 300.0
    moved: Collection[tuple[str, str]] = field(default_factory=frozenset[tuple[str, str]])


class _Axis:
    """From moments to places along the chart."""

    def __init__(self, chart: CrewChart) -> None:
        self.days = [chart.first + timedelta(days=n) for n in range(chart.days)]
        shares = [_NARROW if d.weekday() >= 5 or d in chart.closed else 1.0 for d in self.days]
        unit = (chart.width - _NAMES - 1.0) / sum(shares)
        self.left = [_NAMES + unit * sum(shares[:n]) for n in range(len(shares))]
        self.wide = [unit * share for share in shares]
        self.end = self.left[-1] + self.wide[-1]

    def at(self, moment: datetime) -> float:
        """Place of a moment [mm]; before the first day or after the last it is the edge."""
        number = (moment.date() - self.days[0]).days
        if number < 0:
            return _NAMES
        if number >= len(self.days):
            return self.end
        opens, closes = (datetime.combine(moment.date(), t) for t in (_OPENS, _CLOSES))
        share = (moment - opens) / (closes - opens)
        return self.left[number] + self.wide[number] * min(1.0, max(0.0, share))

    def shows(self, begin: datetime, end: datetime) -> bool:
        """Whether any of a span lies on the chart."""
        return end.date() >= self.days[0] and begin.date() <= self.days[-1]


def cures_of(plan: CrewPlan, wait: float) -> dict[str, tuple[datetime, datetime]]:
    """From when to when each order's paint cures.

    Args:
        plan: The plan.
        wait: From the end of paint until it may be strapped [s].
    """
    return {a.job: (a.end, a.end + timedelta(seconds=wait)) for a in plan.assignments if a.operation == "paint"}


def crew_chart(chart: CrewChart) -> Picture:
    """The picture.

    Args:
        chart: What is drawn.
    """
    axis = _Axis(chart)
    cures = [(job, span) for job, span in sorted(chart.cures.items(), key=lambda c: c[1])
             if axis.shows(*span) and span[1] > chart.now]  # fmt: skip
    lanes = _lanes([span for _, span in cures])
    # What is promised for later than the chart reaches stands in the list below it, and not piled up at the edge.
    # What was promised for before its first day stays, where it is late: that chart is the one of today.
    flags = [p for p in chart.plan.promises if p.due is not None and _flagged(p, p.due.date(), axis, chart)]
    rows = _flag_rows(flags, axis)
    count = max([*rows.values(), 0]) + 1
    cure_high = _LANE * (max(lanes, default=0) + 1) if cures else 0.0
    people_high = _ROW * len(chart.crew.people)
    height = _HEAD + count * _FLAG + 2.0 + people_high + (cure_high + 2.0 if cures else 0.0) + 1.0
    page = Picture(width=chart.width, height=height)
    top = height - _HEAD
    base = top - count * _FLAG - 2.0
    bottom = base - people_high - (cure_high + 2.0 if cures else 0.0)
    _days(page, axis, chart, top=top, bottom=bottom)
    for promise in flags:
        _flag(page, axis, promise, y=top - (rows[promise.job] + 1) * _FLAG, low=base)
    for number, person in enumerate(chart.crew.people):
        _person(page, axis, chart, person, y=base - (number + 1) * _ROW)
    if cures:
        _cures(page, axis, cures, lanes, top=base - people_high - 2.0)
    if axis.shows(chart.now, chart.now):
        x = axis.at(chart.now)
        page.line((x, bottom), (x, base), pen=HIDDEN)
    return page


def _flagged(promise: Promise, due: date, axis: _Axis, chart: CrewChart) -> bool:
    overdue = promise.mark == "late" and axis.days[0] <= chart.now.date()
    return due <= axis.days[-1] and (due >= axis.days[0] or overdue)


def _days(page: Picture, axis: _Axis, chart: CrewChart, *, top: float, bottom: float) -> None:
    for day, left, wide in zip(axis.days, axis.left, axis.wide, strict=True):
        page.line((left, bottom), (left, top + _HEAD), pen=HAIR)
        if wide < 8.0:
            page.rectangle(left, bottom, wide, top - bottom, pen=None, fill="tint")
            continue
        said = f"{DAYS[day.weekday()]} {day.day} {day:%b}"
        if fonts.text_width(said, size=_SIZE) > wide - 1.5:
            said = f"{DAYS[day.weekday()]} {day.day}"
        page.text((left + 1.2, top + 2.2), said, size=_SIZE, weight="bold")
    page.line((axis.end, bottom), (axis.end, top + _HEAD), pen=HAIR)
    page.line((0.0, top), (axis.end, top), pen=THIN)


def _flag_rows(flags: Sequence[Promise], axis: _Axis) -> dict[str, int]:
    """In which row each promise stands, so that no two run into each other."""
    ends: list[float] = []
    rows: dict[str, int] = {}
    for promise in sorted(flags, key=lambda p: (p.due or datetime.max, p.job)):
        begin, _ = _flag_place(promise, axis)
        row = next((n for n, end in enumerate(ends) if end < begin), len(ends))
        wide = fonts.text_width(_flag_words(promise), size=_SIZE, weight="bold") + 5.0
        if row == len(ends):
            ends.append(0.0)
        ends[row] = begin + wide
        rows[promise.job] = row
    return rows


def _flag_words(promise: Promise) -> str:
    word = WORDS[promise.mark]
    return f"{promise.job} {word}".strip()


def _flag_place(promise: Promise, axis: _Axis) -> tuple[float, float]:
    """Where a flag's words begin and where its staff stands [mm]; near the right edge the words stand before it."""
    assert promise.due is not None
    staff = axis.at(promise.due)
    wide = fonts.text_width(_flag_words(promise), size=_SIZE, weight="bold") + 4.0
    return (staff if staff + wide <= axis.end else max(_NAMES, axis.end - wide)), staff


def _flag(page: Picture, axis: _Axis, promise: Promise, *, y: float, low: float) -> None:
    assert promise.due is not None
    begin, staff = _flag_place(promise, axis)
    title = f"{promise.job}, promised {promise.due:%a} {promise.due.day} {promise.due:%b %H:%M}: {promise.mark}"
    with page.group(f"promise-{promise.job}", title=title):
        page.line((staff, low), (staff, y + _FLAG - 0.6), pen=HAIR)
        # A late promise is a hollow flag, one that is kept a filled one; the word says it as well.
        late = promise.mark == "late"
        shape = ((begin, y + 0.6), (begin, y + 3.6), (begin + 2.4, y + 2.1))
        page.polygon(shape, pen=THIN, fill="paper" if late else "ink")
        page.text((begin + 3.2, y + 1.1), _flag_words(promise), size=_SIZE, weight="bold" if late else "regular",
                  halo=True)  # fmt: skip


def _person(page: Picture, axis: _Axis, chart: CrewChart, person: Person, *, y: float) -> None:
    page.line((0.0, y), (axis.end, y), pen=HAIR)
    page.text((0.5, y + _ROW / 2), person.name, size=3.6, weight="bold", stand="centre")
    for day in axis.days:
        if day in chart.closed:
            continue
        for row in person.hours:
            if row.day == DAYS[day.weekday()]:
                begin, end = (axis.at(datetime.combine(day, t)) for t in (row.begin, row.end))
                page.rectangle(begin, y + 0.8, end - begin, _ROW - 1.6, pen=None, fill="tint")
    for one in chart.plan.of(person.name):
        if axis.shows(one.begin, one.end) and one.end > datetime.combine(axis.days[0], time()):
            _bar(page, axis, one, y=y, moved=(one.job, one.operation) in chart.moved)
    for away in person.away:
        if axis.shows(away.begin, away.end):
            _away(page, axis.at(away.begin), axis.at(away.end), y, f"{person.name} {away.why or 'away'}")


def _bar(page: Picture, axis: _Axis, one: Assignment, *, y: float, moved: bool) -> None:
    begin, end = axis.at(one.begin), axis.at(one.end)
    wide = max(0.8, end - begin)
    title = f"{one.job}, {one.operation}, {one.person}: {_span(one)}" + (", evening" if one.overtime else "")
    with page.group("", part=one.job, title=title):
        pen = EVENING if moved else CUT if one.settled else OUTLINE
        page.rectangle(begin, y + 1.6, wide, _ROW - 3.2, pen=pen, fill="paper")
        if one.overtime:
            # Worked in the evening: a rule along its foot.
            page.rectangle(begin, y + 1.6, wide, 0.9, pen=None, fill="ink")
        lines = (one.job, _short(one.operation))
        if fonts.text_width(one.job, size=_SIZE) <= wide - 0.6:
            second = fonts.text_width(lines[1], size=2.3) <= wide - 0.6
            middle = y + _ROW / 2 + (1.1 if second else 0.0)
            page.text((begin + wide / 2, middle), one.job, size=_SIZE, anchor="middle", stand="centre", weight="bold")
            if second:
                page.text((begin + wide / 2, y + _ROW / 2 - 1.5), lines[1], size=2.3, anchor="middle", stand="centre")


def _away(page: Picture, begin: float, end: float, y: float, said: str) -> None:
    """Time in which somebody is not there: drawn over what then stands still."""
    wide = max(0.8, end - begin)
    loop = ((begin, y + 0.8), (begin + wide, y + 0.8), (begin + wide, y + _ROW - 0.8), (begin, y + _ROW - 0.8))
    with page.group("", title=said):
        page.polygon(loop, pen=HIDDEN, fill="paper")
        page.hatch([loop], angle=135.0, spacing=2.0, pen=HATCH)
        if fonts.text_width(said, size=_SIZE) < wide - 1.0:
            page.text((begin + wide / 2, y + _ROW / 2), said, size=_SIZE, anchor="middle", stand="centre", halo=True)


def _short(operation: str) -> str:
    return {"fit and weld": "weld", "plate and drill": "plate", "test and weigh": "test"}.get(operation, operation)


def _span(one: Assignment) -> str:
    return f"{one.begin:%a} {one.begin.day} {one.begin:%b %H:%M} to {one.end:%a} {one.end.day} {one.end:%b %H:%M}"


def _lanes(spans: Sequence[tuple[datetime, datetime]]) -> list[int]:
    ends: list[datetime] = []
    found: list[int] = []
    for begin, end in spans:
        lane = next((n for n, last in enumerate(ends) if last <= begin), len(ends))
        if lane == len(ends):
            ends.append(end)
        ends[lane] = end
        found.append(lane)
    return found


def _cures(
    page: Picture, axis: _Axis, cures: Sequence[tuple[str, tuple[datetime, datetime]]], lanes: Sequence[int], *,
    top: float,
) -> None:  # fmt: skip
    page.text((0.5, top - _LANE / 2), "paint cures", size=2.6, stand="centre")
    for (job, (begin, end)), lane in zip(cures, lanes, strict=True):
        x, to = axis.at(begin), axis.at(end)
        y = top - (lane + 1) * _LANE
        wide = max(0.8, to - x)
        title = f"{job}: paint cures from {begin:%a %H:%M} to {end:%a %H:%M}, then it may be strapped"
        with page.group("", part=job, title=title):
            loop = ((x, y + 0.6), (x + wide, y + 0.6), (x + wide, y + _LANE - 0.6), (x, y + _LANE - 0.6))
            page.hatch([loop], spacing=1.5, pen=HATCH)
            page.polygon(loop, pen=THIN)
            if fonts.text_width(job, size=2.6) < wide - 0.6:
                page.text((x + wide / 2, y + _LANE / 2), job, size=2.6, anchor="middle", stand="centre", halo=True)


def mark_picture(mark: Mark) -> Picture:
    """A promise's mark as a bar against its limit line: short of it, up to it, an evening's piece, past it.

    Args:
        mark: Which.
    """
    page = Picture(width=16.0, height=4.6)
    limit = 11.5
    reach = {"safe": 7.0, "tight": limit, "needs a night": limit, "late": 15.4, "no promise": 0.0}[mark]
    if reach:
        page.rectangle(0.4, 1.3, reach - 0.4, 2.0, pen=None, fill="ink")
    if mark == "needs a night":
        page.rectangle(8.2, 1.3, limit - 8.2, 2.0, pen=THIN, fill="paper")
    if mark != "no promise":
        page.line((limit, 0.3), (limit, 4.3), pen=OUTLINE)
    return page
