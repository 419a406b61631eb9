"""How a blade moves against what it should keep to: times, end speed and energy as margin bars, pressures by part."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from plowwright import units
from plowwright.blade.moving.geometry import LEFT
from plowwright.blade.moving.judging import pressure
from plowwright.blade.moving.results import PressureRow, Swinging
from plowwright.findings import Finding
from plowwright.papers import bars, fonts
from plowwright.papers.charts import ticks
from plowwright.papers.drawing import Picture
from plowwright.papers.elevations import System
from plowwright.papers.marks import HAIR, HATCH, THIN
from plowwright.papers.suiting_axles import COLOURS
from plowwright.units.constants import BAR, PSI

_SIZE: Final = 2.8
_ROW: Final = 12.4
_MOST: Final = 3.0
"""A bar ends at so many times its limit; what lies beyond reads its numbers [-]."""
_PITCH: Final = 7.0


def margins(swinging: Swinging, *, width: float) -> Picture:
    """Time, speed of the end and energy at the stop each way, against what they should keep to.

    Args:
        swinging: How the blade swings; its findings were said in the units they are read in.
        width: Width of the picture [mm].
    """
    first, second = sorted(swinging.by_way.values(), key=lambda one: one.says != LEFT)
    rows = [(f"{one.says}: {key}", found) for one in (first, second) for key, found in one.checks.items()]
    return finding_bars(rows, width=width)


def finding_bars(rows: Sequence[tuple[str, Finding]], *, width: float) -> Picture:
    """Findings one below the other against one limit line.

    Args:
        rows: Each with the name it is shown under.
        width: Width of the picture [mm].
    """
    page = Picture(width, _ROW * max(len(rows), 1))
    words = max((_words_wide(f) for _, f in rows), default=0.0)
    field = max(width - words - 6.0, 30.0)
    for number, (name, found) in enumerate(rows):
        y = page.height - _ROW * number - 8.4
        with page.group("finding", title=f"{name}: {found.verdict}"):
            page.text((0.0, y + bars.BAR_HEIGHT + 2.2), name, size=_SIZE)
            least = found.limit.startswith("at least")
            bars.bar(page, 0.2, y, field, ratio=_ratio(found, least=least), verdict=found.verdict,
                     sense="at least" if least else "at most")  # fmt: skip
            middle = y + bars.BAR_HEIGHT / 2
            page.text((field + 4.0, middle + 0.6), found.verdict, size=_SIZE, weight="bold",
                      colour=COLOURS.get(found.verdict, "ink"))  # fmt: skip
            page.text((field + 4.0, middle + 0.6 - 1.3 * _SIZE), _numbers(found), size=_SIZE)
    return page


def _numbers(found: Finding) -> str:
    return f"{found.value}; {found.limit}" if found.limit else found.value


def _words_wide(found: Finding) -> float:
    verdict = fonts.text_width(found.verdict, size=_SIZE, weight="bold")
    return max(verdict, fonts.text_width(_numbers(found), size=_SIZE))


def _ratio(found: Finding, *, least: bool) -> float:
    used = min(found.used or 0.0, _MOST)
    return (1 / used if used > 0 else _MOST) if least else used


def pressures(swinging: Swinging, *, width: float, system: System = "us") -> Picture:
    """What each part sees while angling, and with the return blocked, against its rating, all on one scale.

    Args:
        swinging: How the blade swings.
        width: Width of the picture [mm].
        system: Units of the scale and the words.
    """
    with units.speaking(system):
        return _pressures(swinging.pressures, width=width, system=system)


def _pressures(rows: Sequence[PressureRow], *, width: float, system: System) -> Picture:
    size, unit = (PSI, "psi") if system == "us" else (BAR, "bar")
    names = max(fonts.text_width(r.part, size=_SIZE, weight="bold") for r in rows) + 4.0
    says = max(fonts.text_width(_rated(r), size=_SIZE) for r in rows) + 3.0
    foot = 18.0
    page = Picture(width, foot + _PITCH * len(rows) + 2.0)
    marks = ticks(0.0, 1.04 * max(max(r.rated, r.blocked.high, r.working.high) for r in rows) / size, about=5)
    left, right, top = names, width - says, page.height - 1.0

    def x_at(value: float) -> float:
        return left + value / size / marks[-1] * (right - left)

    for mark in marks:
        x = x_at(mark * size)
        page.line((x, foot - 1.0), (x, top), pen=HAIR)
        page.text((x, foot - 2.0), f"{mark:,.0f}", size=_SIZE, anchor="middle", stand="top")
    page.text(((left + right) / 2, foot - 6.4), unit, size=_SIZE, anchor="middle", stand="top")
    for number, row in enumerate(rows):
        y = top - _PITCH * (number + 0.5)
        with page.group("pressure", title=f"{row.part}: {row.finding.verdict}"):
            page.text((0.0, y), row.part, size=_SIZE, weight="bold", stand="centre")
            _part(page, x_at, row, y)
            page.text((right + 3.0, y), _rated(row), size=_SIZE, stand="centre",
                      colour=COLOURS.get(row.finding.verdict, "ink"))  # fmt: skip
    _key(page)
    return page


def _rated(row: PressureRow) -> str:
    return f"rated {pressure(row.rated)}: {row.finding.verdict}"


def _part(page: Picture, x_at: Callable[[float], float], row: PressureRow, y: float) -> None:
    """At work from zero, with the return blocked as a range, the rating as a line."""
    half = 1.5
    page.rectangle(x_at(0.0), y - half, x_at(row.working.high) - x_at(0.0), 2 * half, pen=THIN, fill="tint")
    low, high = x_at(row.blocked.low), x_at(row.blocked.high)
    if high < low + 1.2:  # a single value still needs a mark
        low, high = (low + high) / 2 - 0.6, (low + high) / 2 + 0.6
    _hatched(page, low, high, y, half)
    limit = x_at(row.rated)
    page.line((limit, y - half - 1.0), (limit, y + half + 1.0), pen=bars.LIMIT_LINE)


def _hatched(page: Picture, low: float, high: float, y: float, half: float) -> None:
    box = [(low, y - half), (high, y - half), (high, y + half), (low, y + half)]
    page.polygon(box, pen=THIN, fill="paper")
    page.hatch([box], spacing=0.9, pen=HATCH)


def _key(page: Picture) -> None:
    x, y = 0.0, 2.2
    for words in ("at work, at most", "rod side, return blocked", "rated"):
        if words == "rated":
            page.line((x + 4.0, y - 2.0), (x + 4.0, y + 2.0), pen=bars.LIMIT_LINE)
        elif words.startswith("rod side"):
            _hatched(page, x, x + 8.0, y, 1.5)
        else:
            page.rectangle(x, y - 1.5, 8.0, 3.0, pen=THIN, fill="tint")
        page.text((x + 10.0, y), words, size=_SIZE, stand="centre")
        x += 15.0 + fonts.text_width(words, size=_SIZE)
