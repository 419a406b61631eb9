"""How deep a carrier pushes at which speed: what is sure and what is perhaps, on three grounds, straight and angled.

One small chart for each ground and angle, all to the same axes, so that one can be laid over the next. Under the full
line even the worst of both brackets allows it; up to the broken line only the best of both does.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from plowwright import units
from plowwright.blade.suit.results import SnowEnvelope, Suit
from plowwright.papers import fonts
from plowwright.papers.charts import LINES, ticks
from plowwright.papers.drawing import Picture
from plowwright.papers.elevations import System
from plowwright.papers.marks import HAIR, HATCH, THIN, Point
from plowwright.units.constants import INCH, MPH

_SIZE: Final = 2.8
_LEFT, _BETWEEN, _HEAD, _FOOT = 13.0, 5.0, 11.0, 9.0
_OVER, _UNDER = 5.0, 11.0
"""For the names of the axes, over and under all charts [mm]."""
_TALL: Final = 0.78
"""Height of a chart over its width [-]."""
_KM_H: Final = 1.0 / 3.6


def picture(suit: Suit, *, width: float, system: System = "us") -> Picture:
    """Every envelope of a blade on its carrier; a sentence instead where there is none.

    Args:
        suit: How the blade suits the carrier.
        width: Width of the picture [mm].
        system: Units of axes and words.
    """
    with units.speaking(system):
        return _picture(suit, width=width, system=system)


def _picture(suit: Suit, *, width: float, system: System) -> Picture:
    found = suit.envelopes
    if not found:
        return _nothing(suit, width=width)
    grounds = tuple(dict.fromkeys(e.ground for e in found))
    angles = tuple(dict.fromkeys(e.angle for e in found))
    wide = (width - _LEFT - 2.0 - _BETWEEN * (len(grounds) - 1)) / len(grounds)
    tall = _TALL * wide
    row = tall + _HEAD + _FOOT
    page = Picture(width, row * len(angles) + _OVER + _UNDER)
    speed, depth = (MPH, INCH) if system == "us" else (_KM_H, 0.01)
    most = max(max(e.perhaps) for e in found) / depth
    fast = max(e.speeds[-1] for e in found) / speed
    axes = (ticks(0.0, fast, about=4), ticks(0.0, max(most, 1.0) * 1.02, about=4), fast)
    for across, ground in enumerate(grounds):
        for down, angle in enumerate(angles):
            one = next((e for e in found if e.ground == ground and e.angle == angle), None)
            if one is None:
                continue
            at = (_LEFT + across * (wide + _BETWEEN), page.height - _OVER - (down + 1) * row + _FOOT)
            said = "straight" if angle < 1e-9 else f"at {units.say(angle, 'angle')}"
            with page.group("envelope", title=f"{ground}, {said}"):
                page.text((at[0], at[1] + tall + 5.6), ground, size=3.0, weight="bold")
                page.text((at[0], at[1] + tall + 1.8), f"{said}, clears {units.say(one.clear_width, 'length')}",
                          size=_SIZE)  # fmt: skip
                _chart(page, at, (wide, tall), one, axes=axes, per=(speed, depth), first=across == 0)
    _names(page, system)
    _key(page)
    return page


def _nothing(suit: Suit, *, width: float) -> Picture:
    page = Picture(width, 9.0)
    asked = ", ".join(suit.missing) or "the carrier's weight"
    page.text((0.0, 3.0), f"No envelope yet: ask for {asked}.", size=3.0)
    return page


def _chart(
    page: Picture,
    corner: Point,
    size: Point,
    one: SnowEnvelope,
    *,
    axes: tuple[Sequence[float], Sequence[float], float],
    per: Point,
    first: bool,
) -> None:
    """One ground at one angle."""
    (x0, y0), (wide, tall) = corner, size
    xs, ys, fast = axes

    def at(speed: float, depth: float) -> Point:
        return x0 + speed / per[0] / fast * wide, y0 + depth / per[1] / ys[-1] * tall

    sure = [at(v, d) for v, d in zip(one.speeds, one.sure, strict=True)]
    perhaps = [at(v, d) for v, d in zip(one.speeds, one.perhaps, strict=True)]
    base = [(sure[-1][0], y0), (sure[0][0], y0)]
    page.polygon([*sure, *base], pen=None, fill="tint")
    page.hatch([[*perhaps, *sure[::-1]]], spacing=1.5, pen=HATCH)
    for y in ys:
        level = y0 + y / ys[-1] * tall
        page.line((x0, level), (x0 + wide, level), pen=HAIR)
        if first:
            page.text((x0 - 1.4, level), f"{y:g}", size=_SIZE, anchor="right", stand="centre")
    for x in (x for x in xs if x <= fast + 1e-9):
        place = x0 + x / fast * wide
        page.line((place, y0), (place, y0 - 1.0), pen=THIN)
        page.text((place, y0 - 1.8), f"{x:g}", size=_SIZE, anchor="middle", stand="top")
    page.line((x0, y0), (x0 + wide, y0), pen=THIN)
    page.polyline(perhaps, pen=LINES["broken"])
    page.polyline(sure, pen=LINES["full"])


def _names(page: Picture, system: System) -> None:
    speed, depth = ("mph", "in") if system == "us" else ("km/h", "cm")
    page.text((0.0, page.height - 3.2), f"depth of snow, {depth}", size=_SIZE)
    page.text((page.width, 8.4), f"speed, {speed}", size=_SIZE, anchor="right")


def _key(page: Picture) -> None:
    """What is sure and what is perhaps, in words, each beside its own filling and line."""
    x = 0.0
    for words, sure in (("sure, even at the worst", True), ("perhaps, at the best; above it not", False)):
        box = [(x, 0.8), (x + 8.0, 0.8), (x + 8.0, 4.0), (x, 4.0)]
        if sure:
            page.polygon(box, pen=None, fill="tint")
        else:
            page.hatch([box], spacing=1.5, pen=HATCH)
        page.line((x, 4.0), (x + 8.0, 4.0), pen=LINES["full" if sure else "broken"])
        page.text((x + 10.0, 2.3), words, size=_SIZE, stand="centre")
        x += 16.0 + fonts.text_width(words, size=_SIZE)
