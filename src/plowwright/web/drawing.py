"""The drawing at the head of a blade's page: the elevations of its papers as inline SVG in the page's colours."""

from __future__ import annotations

from collections.abc import Sequence

from plowwright.blade.build import Build
from plowwright.papers import svg
from plowwright.papers.elevations import four_views
from plowwright.web.forms import System

ROOM = 160.0
"""Width of the sheet the views share; it sets how large letters are beside the lines [mm]."""


def sheet(build: Build, system: System) -> str:
    """Four views of one blade at one scale, dimensioned, every part a group with its id.

    Args:
        build: The blade.
        system: US or metric dimensions.
    """
    return _written(build, system, prefix="")[0]


def at_one_scale(builds: Sequence[Build], system: System) -> list[tuple[str, float]]:
    """The same of several blades, each with the share of the page's width that brings all to one scale.

    Args:
        builds: The blades.
        system: US or metric dimensions.

    Returns:
        For each blade its picture and its share of the width [-].
    """
    drawn = [_written(build, system, prefix=f"b{n}-") for n, build in enumerate(builds, 1)]
    coarsest = max(scale for _, scale in drawn)
    return [(picture, scale / coarsest) for picture, scale in drawn]


def _written(build: Build, system: System, *, prefix: str) -> tuple[str, float]:
    page, scale = four_views(build, width=ROOM, system=system)
    title = f"{build.name}: front, side, back and top, 1:{scale:g} on paper"
    return svg.write(page, title=title, inline=True, css_class="elevations", prefix=prefix), scale
