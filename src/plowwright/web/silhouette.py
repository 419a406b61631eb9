"""The small drawing of a whole blade on the wall, from the front and from the side, every blade at one scale."""

from __future__ import annotations

from plowwright.blade.parts import Assembly
from plowwright.papers import svg
from plowwright.papers.drawing import Picture
from plowwright.papers.marks import GROUND, THIN
from plowwright.papers.outlines import fill_of, outlines
from plowwright.papers.views import View

RATIO = 16.0
"""Every blade of the wall is drawn this many times smaller than life [-]."""
WIDEST = 3.1
"""Room for the widest blade of the shop [m]."""
DEEPEST = 1.55
LOWEST = 0.9
"""Least height of a picture, so that rows keep their rhythm [m]."""


def picture(assembly: Assembly, *, title: str) -> str:
    """The blade from the front and from its left side on one ground line, as inline SVG.

    Args:
        assembly: The blade's parts at rest.
        title: What it is, for screen readers.
    """
    base = 0.6
    parts = [part for part in assembly.parts if part.body != "loose"]
    tops = [y for part in parts for shape in outlines(part, across=1, up=2) for _, y in shape]
    highest = max(LOWEST, *tops)
    page = Picture(width=(WIDEST + DEEPEST) * 1000 / RATIO, height=highest * 1000 / RATIO + 2 * base)
    front = View(ratio=RATIO, x=WIDEST * 500 / RATIO, y=base, mirrored=True)
    side = View(ratio=RATIO, x=(WIDEST + 0.12) * 1000 / RATIO, y=base)
    for view, across in ((front, 1), (side, 0)):
        for part in sorted(parts, key=lambda p: p.centroid()[1 - across]):
            for shape in outlines(part, across=across, up=2):
                page.polygon(view.points(shape), pen=THIN, fill=fill_of(part))
    page.line((0.0, base), (page.width, base), pen=GROUND)
    return svg.write(page, title=title, inline=True, css_class="standing")
