"""A finding drawn as a bar from zero to its value against a fixed limit line.

The limit line stands at the same place in every bar, so a page of findings is read down one edge: bars that
stop short of it, touch it or pass it. Short strokes on the line stand on the side where the value must not
be. The verdict also has its own filling (open, hatched, solid, dashed) and its word, and so survives a
photocopier.
"""

from __future__ import annotations

from math import isfinite
from typing import Literal

from plowwright.errors import EntryError
from plowwright.papers import svg
from plowwright.papers.drawing import TEXT_SIZE, Picture
from plowwright.papers.marks import HATCH, HIDDEN, THIN, Colour, Fill, Pen

Verdict = Literal["holds", "near limit", "fails", "not checked"]
Sense = Literal["at most", "at least"]

LIMIT_SHARE = 0.72
"""Where the limit line stands along the bar's field [-]."""
BAR_HEIGHT = 3.4
LIMIT_LINE = Pen(name="limit", layer="limit line", width=0.7)
_FILL: dict[str, Fill] = {"holds": "tint", "near limit": "paper", "fails": "ink", "not checked": "none"}
_WORD: dict[str, Colour] = {"holds": "ink", "near limit": "near", "fails": "fails", "not checked": "ink"}


def bar(
    picture: Picture,
    x: float,
    y: float,
    width: float,
    *,
    ratio: float,
    verdict: Verdict,
    sense: Sense = "at most",
    height: float = BAR_HEIGHT,
) -> None:
    """The bar alone, without words.

    Args:
        picture: Where to draw it.
        x: Left end, which is zero [mm].
        y: Lower edge [mm].
        width: Length of the field, limit line at a fixed share of it [mm].
        ratio: Value over limit; anything below zero is drawn as zero [-].
        verdict: Word that decides the filling.
        sense: Whether the value must stay below or above the limit.
        height: Height of the bar [mm].
    """
    if verdict not in _FILL:
        raise EntryError(
            "a bar is drawn for one of four verdicts", value=str(verdict), limit=", ".join(_FILL)
        )
    limit_x = x + LIMIT_SHARE * width
    if verdict == "not checked" or not isfinite(ratio):
        picture.rectangle(x, y, limit_x - x, height, pen=HIDDEN)
    else:
        _filled(picture, x, y, width, ratio=ratio, verdict=verdict, height=height)
    picture.line((x, y - 0.8), (x, y + height + 0.8), pen=THIN)
    if verdict == "fails" and ratio > 1.0:
        # Without a rim of paper the limit line would drown in the solid bar that passes it.
        picture.rectangle(limit_x - 0.9, y - 0.1, 1.8, height + 0.2, pen=None, fill="paper")
    picture.line((limit_x, y - 1.4), (limit_x, y + height + 1.4), pen=LIMIT_LINE)
    side = 1.0 if sense == "at most" else -1.0
    for level in (y - 1.4, y - 0.6, y + height + 0.6, y + height + 1.4):
        picture.line((limit_x, level), (limit_x + side * 1.1, level + 0.7), pen=THIN)


def _filled(
    picture: Picture, x: float, y: float, width: float, *, ratio: float, verdict: Verdict, height: float
) -> None:
    reach = max(0.0, ratio) * LIMIT_SHARE * width
    end = x + min(reach, width)
    if end - x < 0.05:
        return
    if reach <= width:
        outline = [(x, y), (end, y), (end, y + height), (x, y + height)]
    else:
        # A torn end says that the bar goes on beyond the field.
        tear = [(end, y), (end - 1.2, y + height / 3), (end, y + 2 * height / 3), (end - 1.2, y + height)]
        outline = [(x, y), *tear, (x, y + height)]
    picture.polygon(outline, pen=THIN, fill=_FILL[verdict])
    if verdict == "near limit":
        picture.hatch([outline], spacing=0.9, pen=HATCH)


def margin_bar(
    picture: Picture,
    x: float,
    y: float,
    width: float,
    *,
    name: str,
    value: float,
    limit: float,
    value_text: str,
    limit_text: str,
    verdict: Verdict,
    sense: Sense = "at most",
    margin_text: str = "",
    size: float = TEXT_SIZE,
) -> None:
    """A finding in one row: its name above the bar, the verdict and both numbers in words beside it.

    The row takes 5.5 mm above `y` + bar height and 2.5 mm below `y`.

    Args:
        picture: Where to draw it.
        x: Left end [mm].
        y: Lower edge of the bar [mm].
        width: Length of the bar's field; the words begin 4 mm after it [mm].
        name: What is checked.
        value: The value, in the unit of the limit.
        limit: The limit, above zero.
        value_text: The value with its unit, or the reason why it was not checked.
        limit_text: The limit with its unit.
        verdict: The word.
        sense: Whether the value must stay below or above the limit.
        margin_text: What is left, as it is to be read.
        size: Size of the letters [mm].
    """
    if not limit > 0:
        raise EntryError(
            f"the bar of '{name}' needs a limit to be measured against",
            value=f"{limit:g}",
            limit="above 0",
            way_out="State the finding so that its limit is a positive number.",
        )
    with picture.group("finding", title=f"{name}: {verdict}"):
        picture.text((x, y + BAR_HEIGHT + 3.0), name, size=size)
        bar(picture, x, y, width, ratio=value / limit, verdict=verdict, sense=sense)
        beside = x + width + 4.0
        head = f"{verdict}, {margin_text}" if margin_text else verdict
        middle = y + BAR_HEIGHT / 2
        picture.text((beside, middle + 0.6), head, size=size, weight="bold", colour=_WORD[verdict])
        numbers = value_text if verdict == "not checked" else f"{value_text}; {sense} {limit_text}"
        picture.text((beside, middle + 0.6 - 1.3 * size), numbers, size=size)


def bar_svg(
    *, name: str, ratio: float, verdict: Verdict, sense: Sense = "at most", width: float = 62.0
) -> str:
    """The bar of one finding as a small picture of its own, for tables that set the words themselves."""
    picture = Picture(width=width + 2.0, height=BAR_HEIGHT + 4.4)
    bar(picture, 1.0, 2.2, width, ratio=ratio, verdict=verdict, sense=sense)
    return svg.write(picture, title=f"{name}: {verdict}")
