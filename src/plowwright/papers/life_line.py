"""A blade's life along its winters: a band for each winter, a mark for each chapter, its word above it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Final

from plowwright.papers.drawing import Picture
from plowwright.papers.marks import ACCENT, GROUND, HAIR, OUTLINE, THIN
from plowwright.shop.service import Chapter, Life

_EDGE: Final = 8.0
_ROW: Final = 5.0
_BASE: Final = 12.0
_LETTER: Final = 1.75
"""Width of a letter of the words above the marks [mm]."""
_SIZE: Final = 3.2


def life_line(life: Life, *, today: date, width: float) -> Picture:
    """Chapters by their day over the winters they fell into; November to April is a winter.

    Args:
        life: The chapters.
        today: Where the line ends.
        width: Of the picture [mm].
    """
    chapters = life.standing
    first = min((one.day for one in chapters), default=today)
    start = date(first.year if first.month >= 7 else first.year - 1, 7, 1)
    last = max(today, *(one.day for one in chapters)) if chapters else today
    end = date(last.year + (1 if last.month >= 5 else 0), 5, 1)
    if end <= start:
        end = date(start.year + 1, 5, 1)

    def at(day: date) -> float:
        return _EDGE + (width - 2 * _EDGE) * (day - start).days / (end - start).days

    rows = _rows(chapters, [at(one.day) for one in chapters], width)
    page = Picture(width, _BASE + (max(rows, default=0) + 1) * _ROW + 7.0)
    for year in range(start.year, end.year):
        left, right = at(date(year, 11, 1)), min(at(date(year + 1, 5, 1)), width - _EDGE)
        page.rectangle(left, _BASE - 3.0, right - left, 3.0, pen=HAIR, fill="tint")
        page.text(((left + right) / 2, _BASE - 7.2), f"{year}/{(year + 1) % 100:02d}", size=_SIZE, anchor="middle")
    page.line((_EDGE, _BASE), (width - _EDGE, _BASE), pen=GROUND)
    now = at(today)
    page.line((now, _BASE - 4.0), (now, page.height - 2.0), pen=HAIR)
    side = "right" if now > width - 20.0 else "left"
    page.text((now, page.height - 2.2), "today", size=_SIZE, anchor=side, stand="top")
    for chapter, row in zip(chapters, rows, strict=True):
        _mark(page, chapter, at(chapter.day), _BASE + 3.5 + row * _ROW, width)
    return page


def _rows(chapters: Sequence[Chapter], places: Sequence[float], width: float) -> list[int]:
    """The lowest row each word has room in."""
    taken: list[tuple[int, float, float]] = []
    found: list[int] = []
    for chapter, x in zip(chapters, places, strict=True):
        long = len(chapter.kind) * _LETTER + 4.0
        low, high = (x - long, x + 1.5) if x + long > width - 2.0 else (x - 1.5, x + long)
        row = next(n for n in range(len(taken) + 1) if all(n != r or high < a or low > b for r, a, b in taken))
        taken.append((row, low, high))
        found.append(row)
    return found


def _mark(page: Picture, chapter: Chapter, x: float, y: float, width: float) -> None:
    """A failure is a cross, what was built or rebuilt a full square, all else an open circle: no colour is needed."""
    page.line((x, _BASE), (x, y), pen=HAIR)
    if chapter.kind == "failure":
        page.line((x - 1.2, _BASE - 1.2), (x + 1.2, _BASE + 1.2), pen=OUTLINE)
        page.line((x - 1.2, _BASE + 1.2), (x + 1.2, _BASE - 1.2), pen=OUTLINE)
    elif chapter.kind in ("as-built", "refit"):
        page.rectangle(x - 1.2, _BASE - 1.2, 2.4, 2.4, pen=ACCENT, fill="ink")
    else:
        page.circle((x, _BASE), 1.1, pen=THIN, fill="paper")
    left = x + len(chapter.kind) * _LETTER + 4.0 > width - 2.0
    page.text((x - 1.0 if left else x + 1.0, y), chapter.kind, size=_SIZE, anchor="right" if left else "left",
              weight="bold" if chapter.kind == "failure" else "regular")  # fmt: skip
