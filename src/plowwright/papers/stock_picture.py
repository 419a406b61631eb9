"""Stock over days, drawn: who goes short from when until when, and how much of one item is left each evening."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from plowwright.papers import fonts
from plowwright.papers.drawing import Picture
from plowwright.papers.marks import ACCENT, DIMENSION, GROUND, HAIR, HATCH, OUTLINE, THIN
from plowwright.shop.stock_dates import Dated

_SIZE: Final = 2.9
_PITCH: Final = 6.4
_HEAD: Final = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """One thing somebody goes short of.

    Attributes:
        order: Who.
        what: What, in a few words.
        day: From when.
        until: Until when, None where nothing is on its way.
    """

    order: str
    what: str
    day: date
    until: date | None


def strip(gaps: Sequence[Gap], *, today: date, width: float, closed: Collection[date] = ()) -> Picture:
    """A calendar from today on, one row for each gap: the bar runs from the day it is needed to the day it comes.

    A bar that ends in an arrow has nothing on its way. Days nobody works are hatched.

    Args:
        gaps: What goes short, in the order of the rows.
        today: The day of asking.
        width: Room across [mm].
        closed: Days the shop is closed.
    """
    last = max([today + timedelta(days=20), *(g.until or g.day + timedelta(days=3) for g in gaps)])
    days = min((last - today).days + 3, 60)
    said = [f"{g.order}  {g.what}" for g in gaps]
    left = min(0.46 * width, max([fonts.text_width(one, size=_SIZE) for one in said] or [20.0]) + 8.0)
    step = (width - left - 1.0) / days
    page = Picture(width=width, height=_HEAD + _PITCH * max(1, len(gaps)) + 1.0)
    top = page.height - _HEAD
    _calendar(page, today, days, left=left, step=step, top=top, closed=closed)
    for number, gap in enumerate(gaps):
        y = top - _PITCH * (number + 0.5)
        begin = left + step * max(0, (gap.day - today).days)
        end = left + step * min(days, (gap.until - today).days) if gap.until else left + step * days
        with page.group("gap", title=f"{gap.order}: {gap.what}"):
            page.text((0.0, y), gap.order, size=_SIZE, stand="centre", weight="bold")
            at = fonts.text_width(gap.order, size=_SIZE) + 3.5
            page.text((at, y), _fit(gap.what, left - at - 2.0), size=_SIZE, stand="centre")
            _bar(page, begin, max(end, begin + 0.8 * step), y, gap)
    return page


def _calendar(
    page: Picture, today: date, days: int, *, left: float, step: float, top: float, closed: Collection[date]
) -> None:
    for at in range(days + 1):
        day, x = today + timedelta(days=at), left + step * at
        if at < days and (day.weekday() >= 5 or day in closed):
            page.hatch([[(x, 0.5), (x + step, 0.5), (x + step, top), (x, top)]], spacing=2.2, pen=HATCH)
        monday = day.weekday() == 0
        page.line((x, 0.5), (x, top + (3.0 if monday or at == 0 else 0.0)), pen=THIN if monday else HAIR)
        if at == 0 or (monday and at > 1):
            word = f"{day:%d %b}" if at else f"{day:%a %d %b}"
            page.text((x + 0.8, top + 4.0), word, size=_SIZE, weight="bold" if not at else "regular")
    page.line((0.0, top), (left + step * days, top), pen=OUTLINE)


def _bar(page: Picture, begin: float, end: float, y: float, gap: Gap) -> None:
    half = 1.5
    body = [(begin, y - half), (end, y - half), (end, y + half), (begin, y + half)]
    if gap.until is None:
        body = [(begin, y - half), (end - 2.5, y - half), (end, y), (end - 2.5, y + half), (begin, y + half)]
    page.polygon(body, pen=OUTLINE, fill="ink" if gap.until is None else "tint")
    if gap.until is not None:
        page.line((end, y - 2.4), (end, y + 2.4), pen=GROUND)


def _fit(text: str, room: float) -> str:
    if fonts.text_width(text, size=_SIZE) <= room:
        return text
    while text and fonts.text_width(text + "...", size=_SIZE) > room:
        text = text[:-1]
    return text.rstrip() + "..."


def chart(days: Dated, *, width: float, height: float = 52.0, closed: Collection[date] = ()) -> Picture:
    """How much of one item is left each evening, with what comes and what goes written at its day.

    Args:
        days: Day by day.
        width: Room across [mm].
        height: Room upwards [mm].
        closed: Days the shop is closed.
    """
    today = days.today
    last = max([today + timedelta(days=20), *(line.day for line in days.days)])
    count = (last - today).days + 3
    lefts = [days.on_hand, *(line.left for line in days.days), 0]
    low, high = min(lefts), max(lefts)
    page = Picture(width=width, height=height)
    left, foot, top = 12.0, 6.0, height - _HEAD - 6.0
    step = (width - left - 1.0) / count
    scale = (top - foot) / max(1, high - low)

    def x_at(day: date) -> float:
        return left + step * (day - today).days

    def y_at(value: int) -> float:
        return foot + (value - low) * scale

    _calendar(page, today, count, left=left, step=step, top=height - _HEAD, closed=closed)
    for value in sorted({low, 0, days.on_hand, high}):
        page.text((left - 1.5, y_at(value)), str(value), size=_SIZE, anchor="right", stand="centre")
    page.line((left, y_at(0)), (width - 1.0, y_at(0)), pen=GROUND)
    run = [(left, y_at(days.on_hand))]
    for line in days.days:
        run += [(x_at(line.day), run[-1][1]), (x_at(line.day), y_at(line.left))]
    run.append((width - 1.0, run[-1][1]))
    page.polyline(run, pen=ACCENT)
    _written(page, days, x_at, y_at)
    return page


def _written(page: Picture, days: Dated, x_at: Callable[[date], float], y_at: Callable[[int], float]) -> None:
    free = -1e9
    for line in days.days[:40]:
        said = [f"+{line.comes}"] if line.comes else []
        said += [f"-{line.goes} {', '.join(line.orders[:2])}".rstrip()] if line.goes else []
        text = "  ".join(said)
        x = x_at(line.day) + 1.0
        if x + fonts.text_width(text, size=_SIZE) > page.width:
            x = page.width - fonts.text_width(text, size=_SIZE) - 1.0
        lift = 1.2 if x > free else 4.4
        page.text((x, min(y_at(line.left) + lift, page.height - _HEAD - 3.2)), text, size=_SIZE, halo=True)
        free = x + fonts.text_width(text, size=_SIZE) if lift < 2 else -1e9
        page.line((x_at(line.day), y_at(0)), (x_at(line.day), y_at(0) - 1.5), pen=DIMENSION)
