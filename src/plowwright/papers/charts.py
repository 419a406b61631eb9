"""Two kinds of chart on a picture: curves over a length with bands behind them, and ranges along one force scale.

Numbers come in the unit they are read in; what they mean is in the names beside them. Lines differ in their dashes and
carry their names, bands differ in their hatching and carry theirs, so that nothing rests on colour.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor, log10
from typing import Literal

from plowwright.errors import EntryError
from plowwright.papers import fonts
from plowwright.papers.drawing import Picture
from plowwright.papers.marks import DIMENSION, HAIR, HATCH, HIDDEN, OUTLINE, THIN, Pen
from plowwright.papers.placing import spread

RangeKind = Literal["stands", "caps", "pushes"]
Line = Literal["full", "broken", "dotted", "marked", "thin", "thin broken"]
_SIZE = 2.8
LINES: dict[str, Pen] = {
    "full": OUTLINE,
    "broken": Pen(name="broken", layer="broken", width=0.5, dash=(3.0, 1.2)),
    "dotted": Pen(name="dotted", layer="dotted", width=0.5, dash=(0.6, 1.0)),
    "marked": Pen(name="dash and dot", layer="dash and dot", width=0.5, dash=(3.0, 1.0, 0.6, 1.0)),
    "thin": THIN,
    "thin broken": HIDDEN,
}


@dataclass(frozen=True, kw_only=True)
class Curve:
    """One line of a chart.

    Attributes:
        name: What it shows; written at its right end.
        points: Values along and up, in the units of the axes.
        line: How it is drawn.
    """

    name: str
    points: tuple[tuple[float, float], ...]
    line: Line = "full"


@dataclass(frozen=True, kw_only=True)
class Band:
    """A range of values behind the curves.

    Attributes:
        name: What it is; written inside it at the right.
        low: Lower end, in the unit of the upright axis.
        high: Upper end.
        slant: Direction of its hatching [deg].
        likely: Likely value, drawn as a line of its own; None for none.
    """

    name: str
    low: float
    high: float
    slant: float = 45.0
    likely: float | None = None


@dataclass(frozen=True, kw_only=True)
class Upright:
    """An upright line at one value, as a limit of the rules.

    Attributes:
        name: What it is.
        at: Where, in the unit of the axis along.
    """

    name: str
    at: float


@dataclass(frozen=True, kw_only=True)
class Range:
    """One row of a chart of ranges.

    Attributes:
        name: What gives or pushes at this force.
        low: Lower end of the range, in the unit of the scale.
        high: Upper end.
        says: The range in words, with its unit.
        kind: What the blade stands ("stands"), what caps the force ("caps"), or what pushes ("pushes").
    """

    name: str
    low: float
    high: float
    says: str
    kind: RangeKind = "stands"


def ticks(low: float, high: float, *, about: int = 6) -> list[float]:
    """Round values from low to high, inclusive of the ends they reach over.

    Args:
        low: Least value to cover.
        high: Greatest value to cover.
        about: How many steps are wanted [-].
    """
    if not high > low:
        raise EntryError("a scale needs two different ends", value=f"{low:g} to {high:g}")
    raw = (high - low) / about
    base = 10.0 ** floor(log10(raw))
    step = next(m * base for m in (1.0, 2.0, 2.5, 5.0, 10.0) if m * base >= raw - 1e-12)
    first, last = floor(low / step + 1e-9), ceil(high / step - 1e-9)
    return [step * i for i in range(first, last + 1)]


def curves(
    *,
    width: float,
    height: float,
    along: str,
    up: str,
    lines: Sequence[Curve],
    bands: Sequence[Band] = (),
    uprights: Sequence[Upright] = (),
    along_ticks: Sequence[float] = (),
) -> Picture:
    """Curves over a common axis, with bands behind and upright limits.

    Args:
        width: Width of the picture [mm].
        height: Its height [mm].
        along: Name and unit of the axis along.
        up: Name and unit of the upright axis, which starts at zero.
        lines: The curves.
        bands: Ranges behind them.
        uprights: Limits.
        along_ticks: Values written along the axis; round ones when left out.
    """
    xs = [p[0] for c in lines for p in c.points]
    tops = [p[1] for c in lines for p in c.points] + [b.high for b in bands]
    if not xs:
        raise EntryError("a chart needs at least one curve with points", way_out="Give it one.")
    marks_x = list(along_ticks) or ticks(min(xs), max(xs))
    marks_y = ticks(0.0, max(tops) * 1.04)
    names = max(fonts.text_width(c.name, size=_SIZE) for c in lines)
    left, foot, right, top = 16.0, 13.0, width - names - 6.0, height - 7.0
    x0, x1 = min(*xs, marks_x[0]), max(*xs, marks_x[-1])
    y1 = marks_y[-1]

    def at(x: float, y: float) -> tuple[float, float]:
        return left + (x - x0) / (x1 - x0) * (right - left), foot + y / y1 * (top - foot)

    page = Picture(width, height)
    _bands(page, at, bands, ends=(x0, x1), most=y1)
    _axes(page, at, marks_x, marks_y, along=along, up=up, ends=(x0, x1))
    for mark in uprights:
        low, high = at(mark.at, 0.0), at(mark.at, y1)
        page.line(low, high, pen=HIDDEN)
        page.text((high[0], high[1] + 1.5), mark.name, size=_SIZE, anchor="middle", halo=True)
    ends = [at(*c.points[-1]) for c in lines]
    order = sorted(range(len(lines)), key=lambda i: ends[i][1])
    heights = spread([ends[i][1] for i in order], least=1.3 * _SIZE)
    for index, height_of_name in zip(order, heights, strict=True):
        curve, end = lines[index], ends[index]
        with page.group("curve", title=curve.name):
            page.polyline([at(*p) for p in curve.points], pen=LINES[curve.line])
            page.line(end, (right + 2.0, height_of_name), pen=DIMENSION)
            page.text((right + 3.0, height_of_name), curve.name, size=_SIZE, stand="centre", halo=True)
    _band_names(page, at, bands, end=x1)
    return page


def _bands(
    page: Picture,
    at: Callable[[float, float], tuple[float, float]],
    bands: Sequence[Band],
    *,
    ends: tuple[float, float],
    most: float,
) -> None:
    """Ranges over the whole width; they may lie on each other."""
    for band in bands:
        a, b = at(ends[0], band.low), at(ends[1], min(band.high, most))
        box = [(a[0], a[1]), (b[0], a[1]), (b[0], b[1]), (a[0], b[1])]
        with page.group("band", title=band.name):
            page.hatch([box], angle=band.slant, spacing=2.4, pen=HATCH)
            page.polygon(box, pen=HAIR)
            if band.likely is not None:
                page.line(at(ends[0], band.likely), at(ends[1], band.likely), pen=THIN)


def _band_names(
    page: Picture, at: Callable[[float, float], tuple[float, float]], bands: Sequence[Band], *, end: float
) -> None:
    """Above the likely value of each band, over the curves, none on another."""
    middles = [at(end, band.likely if band.likely is not None else (band.low + band.high) / 2)[1] for band in bands]
    for band, height in zip(bands, spread(middles, least=1.4 * _SIZE), strict=True):
        page.text((at(end, 0.0)[0] - 1.5, height + 0.9), band.name, size=_SIZE, anchor="right", halo=True)


def _axes(
    page: Picture,
    at: Callable[[float, float], tuple[float, float]],
    marks_x: Sequence[float],
    marks_y: Sequence[float],
    *,
    along: str,
    up: str,
    ends: tuple[float, float],
) -> None:
    for y in marks_y:
        a, b = at(ends[0], y), at(ends[1], y)
        page.line(a, b, pen=HAIR)
        page.text((a[0] - 1.5, a[1]), f"{y:,.0f}", size=_SIZE, anchor="right", stand="centre")
    for x in marks_x:
        a = at(x, 0.0)
        page.line(a, (a[0], a[1] - 1.2), pen=THIN)
        page.text((a[0], a[1] - 2.0), f"{x:g}", size=_SIZE, anchor="middle", stand="top")
    first, last = at(ends[0], 0.0), at(ends[1], 0.0)
    page.line(first, last, pen=THIN)
    page.text(((first[0] + last[0]) / 2, first[1] - 6.5), along, size=_SIZE, anchor="middle", stand="top")
    page.text((1.0, page.height - 3.5), up, size=_SIZE)


def ranges(
    *, width: float, scale: str, rows: Sequence[Range], most: float = 0.0, key: Mapping[RangeKind, str] | None = None
) -> Picture:
    """Ranges on one common scale, in the order given: read from the top, the first to give comes first.

    What caps the force is open, what the blade stands is solid, what pushes is hatched; each row says its range.

    Args:
        width: Width of the picture [mm].
        scale: Name and unit of the scale.
        rows: The ranges, first to give first.
        most: End of the scale; from the rows when 0. What lies beyond is an arrow and its numbers.
        key: What each filling means, in words; left out, no key is drawn.
    """
    if not rows:
        raise EntryError("a chart of ranges needs at least one row", way_out="Give it one.")
    names = max(fonts.text_width(r.name, size=_SIZE) for r in rows) + 3.0
    says = max(fonts.text_width(r.says, size=_SIZE) for r in rows) + 3.0
    pitch, foot = 5.2, 17.0 if key else 10.5
    page = Picture(width, foot + pitch * len(rows) + 1.5)
    left, right = names, width - says
    marks = ticks(0.0, most or 1.03 * max(r.high for r in rows), about=5)

    def x_at(value: float) -> float:
        return left + min(value, marks[-1]) / marks[-1] * (right - left)

    top = page.height - 1.0
    for value in marks:
        x = x_at(value)
        page.line((x, foot - 1.0), (x, top), pen=HAIR)
        page.text((x, foot - 2.0), f"{value:,.0f}", size=_SIZE, anchor="middle", stand="top")
    page.text(((left + right) / 2, foot - 6.0), scale, size=_SIZE, anchor="middle", stand="top")
    for index, row in enumerate(rows):
        y = top - pitch * (index + 0.5)
        with page.group("range", title=f"{row.name}: {row.says}"):
            page.text((0.0, y), row.name, size=_SIZE, stand="centre")
            page.text((right + 3.0, y), row.says, size=_SIZE, stand="centre")
            if row.low > marks[-1]:
                page.arrow((right - 6.0, y), (right, y), pen=DIMENSION)
            else:
                _range(page, x_at(row.low), x_at(row.high), y, row.kind)
    x = 0.0
    for kind, words in (key or {}).items():
        _range(page, x, x + 7.0, 2.0, kind)
        page.text((x + 9.0, 2.0), words, size=_SIZE, stand="centre")
        x += 15.0 + fonts.text_width(words, size=_SIZE)
    return page


def _range(page: Picture, a: float, b: float, y: float, kind: RangeKind) -> None:
    half = 1.5
    if b < a + 0.8:  # a single value still needs a mark
        a, b = a - 0.4, a + 0.4
    box = [(a, y - half), (b, y - half), (b, y + half), (a, y + half)]
    if kind == "pushes":
        page.polygon(box, pen=THIN, fill="paper")
        page.hatch([box], spacing=0.9, pen=HATCH)
    else:
        page.polygon(box, pen=THIN, fill="ink" if kind == "stands" else "paper")
