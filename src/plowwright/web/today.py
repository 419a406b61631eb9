"""The page 'Today': the day drawn as a strip, and below it what the owner must know in the morning."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, time
from typing import TYPE_CHECKING, Any, Final

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse

from plowwright.desk.floor_chain import clock
from plowwright.desk.today import Today, today_of
from plowwright.desk.today_hours import Block
from plowwright.papers import fonts, svg
from plowwright.papers.drawing import Picture
from plowwright.papers.marks import ACCENT, HAIR, HIDDEN, OUTLINE, THIN, Point
from plowwright.units import inches

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

PARTS: Final = (
    ("late", "Late, and why", "Nothing is late."),
    ("problems", "Problems from the floor", "No problem stands."),
    ("stopped", "Stopped at the scale", "No blade is stopped."),
    ("to_order", "To order today", "Nothing has to be ordered today."),
    ("arrivals", "Comes in", "Nothing is expected."),
    ("asks", "Questions and changes that wait for a word", "Nothing waits for a word."),
    ("deposits", "Deposits missing", "Every deposit is in."),
    ("quotes", "Quotes that run out", "No quote runs out this week."),
)
"""The parts of the page: name, heading, and what stands there when there is nothing."""
_LABELS: Final = 17.0
_WIDE: Final = 250.0
_ROW: Final = 10.0
_HEAD: Final = 11.0
_SIZE: Final = 3.4
_FIRST: Final = time(6)
_LAST: Final = time(17)


class TodayPage:
    """Answers /today.

    Args:
        desk: The shop.
        page: Sets a template.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse]) -> None:
        self._desk = desk
        self._page = page

    def add_to(self, app: FastAPI) -> None:
        """Put the address on the application."""
        app.get("/today", response_class=HTMLResponse)(self.today)

    def today(self, request: Request) -> HTMLResponse:
        """The owner's morning."""
        found = today_of(self._desk)
        view = {
            "strip": strip(found),
            "by": found.work.by,
            "from_plan": found.work.by.startswith("the crew plan"),
            "leaving": [
                {"number": one.order.number, "when": one.when, "needs": one.needs, "customer": one.order.customer,
                 "what": self._what(one.order)}
                for one in found.leaving
            ],
            "people": [
                {"name": one.name, "hours": one.hours or "not here today",
                 "now": [{"number": s.order.number, "op": s.operation, "words": s.words, "since": clock(s.begun)}
                         for s in one.now if s.begun],
                 "next": [{"number": s.order.number, "op": s.operation, "words": s.words,
                           "why": s.shut.why if s.shut else ""} for s in one.next]}
                for one in found.work.people
            ],
            "parts": [
                {"name": name, "heading": heading, "none": none, "lines": found.parts[name]}
                for name, heading, none in PARTS
            ],
        }  # fmt: skip
        return self._page(request, "today.html", view=view, day=clock(found.now.date()))

    def _what(self, order: Any) -> str:
        if order.spec is None:
            return ", ".join(order.spares) or f"refit of {order.serial}"
        return f"{self._desk.rulebook.series[order.spec.series].name} {inches(order.spec.width):g} in"


def strip(found: Today) -> str:
    """Today and the next day along a tape: what comes in, who is at what, what goes out; inline SVG.

    Args:
        found: The whole page.
    """
    names = [one.name for one in found.work.people]
    rows = ["in", *names, "out"]
    page = Picture(width=_WIDE, height=_HEAD + _ROW * len(rows) + 2)
    tape = _Tape(page, (found.now.date(), found.next), rows)
    tape.ground(found.now)
    for one in found.hours:
        for begin, end in one.spans:
            tape.box(one.name, begin, end, fill="tint")
    for block in found.blocks:
        tape.block(block)
    for day in (found.now.date(), found.next):
        count = sum(line.day == day for line in found.parts["arrivals"])
        words = f"{count} deliveries" if count > 1 else "1 delivery" * count
        tape.flag("in", datetime.combine(day, time(7, 30)), words)
    going: dict[datetime, list[str]] = {}
    for leaves in found.leaving:
        going.setdefault(leaves.at, []).append(leaves.order.number)
    for at, numbers in going.items():
        tape.goes(at, numbers)
    tape.now(found.now)
    told = "; ".join(f"{b.name} {b.order} {b.operation} {b.begin:%a %H:%M} to {b.end:%H:%M}" for b in found.blocks)
    return svg.write(page, title="Today and the next day", description=told, inline=True, css_class="strip")


class _Tape:
    """Two days at one scale, one row for each who or what."""

    def __init__(self, page: Picture, days: tuple[date, date], rows: list[str]) -> None:
        self.page, self.days, self.rows = page, days, rows
        self.day = (_WIDE - _LABELS - 8) / 2

    def x(self, at: datetime) -> float:
        """Where a moment lies; what falls outside the hours shown lies at their end [mm]."""
        place = next((n for n, day in enumerate(self.days) if at.date() <= day), 1)
        first, last = (datetime.combine(self.days[place], t) for t in (_FIRST, _LAST))
        share = (min(max(at, first), last) - first) / (last - first)
        return _LABELS + place * (self.day + 4) + share * self.day

    def y(self, row: str) -> float:
        """Foot of a row [mm]."""
        return 1 + _ROW * (len(self.rows) - 1 - self.rows.index(row))

    def ground(self, now: datetime) -> None:
        """Rows, days and hours; no hour lies under the word of this moment."""
        top, word = self.page.height - _HEAD, self.x(now)
        for row in self.rows:
            words = {"in": "comes in", "out": "goes out"}.get(row, row)
            self.page.line((0, self.y(row)), (_WIDE, self.y(row)), pen=HAIR)
            self.page.text((0, self.y(row) + 3.6), words, size=_SIZE, weight="bold")
        for day in self.days:
            begin = datetime.combine(day, _FIRST)
            self.page.text((self.x(begin), top + 7.4), clock(day), size=4.2, weight="bold")
            for hour in range(_FIRST.hour, _LAST.hour + 1):
                at = datetime.combine(day, time(hour))
                long = hour % 2 == 0
                self.page.line((self.x(at), top), (self.x(at), top + (1.6 if long else 0.8)), pen=THIN)
                if long and not (at.date() == now.date() and word - 2 < self.x(at) < word + 9):
                    self.page.text((self.x(at), top + 2.4), f"{hour}", size=2.9, anchor="middle")
            self.page.line((self.x(begin), 1), (self.x(begin), top), pen=THIN)

    def box(self, row: str, begin: datetime, end: datetime, *, fill: Any, pen: Any = None) -> None:
        """A span of time in a row."""
        left, right = self.x(begin), self.x(end)
        if right > left:
            self.page.rectangle(left, self.y(row) + 1, right - left, _ROW - 2, pen=pen, fill=fill)

    def block(self, block: Block) -> None:
        """A piece of work: its order, and its operation where there is room."""
        pen = HIDDEN if not block.released else OUTLINE if block.planned else THIN
        self.box(block.name, block.begin, block.end, fill="paper", pen=pen)
        room, at = self.x(block.end) - self.x(block.begin) - 2, self.x(block.begin) + 1.2
        foot = self.y(block.name)
        if fonts.text_width(block.order, size=_SIZE) <= room:
            self.page.text((at, foot + 5.3), block.order, size=_SIZE, weight="bold")
        if fonts.text_width(block.operation, size=2.7) <= room:
            self.page.text((at, foot + 2.2), block.operation, size=2.7)

    def flag(self, row: str, at: datetime, words: str) -> None:
        """A word at a moment; nothing where there is none."""
        if words:
            self._arrow(at, row)
            self.page.text((self.x(at) + 2, self.y(row) + 3.6), words, size=_SIZE, halo=True)

    def goes(self, at: datetime, numbers: list[str]) -> None:
        """Orders that leave at a moment; left of their arrow where the tape ends."""
        self._arrow(at, "out")
        words = ", ".join(numbers)
        wide = fonts.text_width(words, size=4.2)
        fits = self.x(at) + 2 + wide < _WIDE
        spot: Point = (self.x(at) + (2 if fits else -2), self.y("out") + 3.4)
        self.page.text(spot, words, size=4.2, weight="bold", anchor="left" if fits else "right", halo=True)

    def _arrow(self, at: datetime, row: str) -> None:
        x, y = self.x(at), self.y(row)
        self.page.arrow((x, y + 8), (x, y + 0.6), pen=ACCENT)

    def now(self, at: datetime) -> None:
        """The line of this moment."""
        if _FIRST <= at.time() <= _LAST:
            x = self.x(at)
            self.page.line((x, 1), (x, self.page.height - _HEAD + 4), pen=ACCENT)
            self.page.text((x + 1, self.page.height - _HEAD + 3.6), "now", size=2.9, colour="accent", halo=True)
