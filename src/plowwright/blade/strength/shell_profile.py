"""The moldboard cut across by an upright plane along x: rows of nodes and the strips of plate between them.

The rows lie on the middle surfaces of the bottom angle, the skin and the fold. Where edge, lapped skin and the angle's
upright leg lie on one another they are taken as one plate of their summed thickness, at its true distance in front of
the angle's middle: as if they were glued, though bolts and stitches hold them.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import ceil
from typing import Literal

from plowwright.blade.datum import Datum
from plowwright.blade.moldboard import SNIPE, web_outline
from plowwright.units.constants import INCH

StripPart = Literal["edge", "leg", "shelf", "skin", "fold"]

TOGETHER = 0.25 * INCH
"""Levels closer than this are taken as one [m]."""
FINER = 2
"""How much smaller plates are beside a web, at its foot and in the upright leg than elsewhere [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """Plate between two rows.

    Attributes:
        part: What it is: edge alone, upright leg with what lies on it, shelf, skin, fold.
        rows: The two rows, upwards or forwards [-].
        thickness: Summed thickness [m].
        arms: From each row's node to the plate's middle surface, x and z [m].
    """

    part: StripPart
    rows: tuple[int, int]
    thickness: float
    arms: tuple[tuple[float, float], tuple[float, float]] = ((0.0, 0.0), (0.0, 0.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile:
    """Rows and strips of one section; the same all along the blade.

    Attributes:
        places: Where each row is, x and z [m].
        strips: The plates between rows.
        tip: Row at the tip of the edge [-].
        corner: Row where leg and shelf meet and the skin starts [-].
        shelf: Rows of the shelf from its rear edge to the corner [-].
        feet: Rows of the shelf that a web stands on, rear to front [-].
        skin: Rows of the skin from just above the corner to its top [-].
        lean: How far the skin leans forward at each of those rows [rad].
        face: Front face that a strike on the edge meets, along x [m].
    """

    places: tuple[tuple[float, float], ...]
    strips: tuple[Strip, ...]
    tip: int
    corner: int
    shelf: tuple[int, ...]
    feet: tuple[int, ...]
    skin: tuple[int, ...]
    lean: tuple[float, ...]
    face: float


def divided(start: float, end: float, size: float, *, at_least: int = 1) -> list[float]:
    """Equal steps from start to end, none longer than size; the start is left out.

    Args:
        start: First place [m or rad].
        end: Last place [m or rad].
        size: Longest step [m or rad].
        at_least: Fewest steps [-].
    """
    count = max(at_least, ceil(abs(end - start) / size - 1e-6))
    return [start + (end - start) * (i + 1) / count for i in range(count)]


def apart(levels: list[float], size: float) -> list[float]:
    """Levels in order, those that nearly coincide dropped, gaps longer than size divided.

    Args:
        levels: Levels wanted; the first and the last always stay [m].
        size: Longest step [m].
    """
    first, *between, last = sorted(levels)
    kept = [first]
    for level in between:
        if level - kept[-1] > TOGETHER and last - level > TOGETHER:
            kept.append(level)
    rows = [first]
    for level in [*kept[1:], last]:
        rows += divided(rows[-1], level, size)
    return rows


def columns(d: Datum, size: float) -> int:
    """How many plates a web is deep: they are finer than elsewhere, for the force in its foot's weld rests on them.

    Args:
        d: Sizes of the blade.
        size: Longest side of a plate [m].
    """
    return max(2, ceil(2 * d.series.moldboard.web_depth_middle / size - 1e-6))


def profile(d: Datum, size: float) -> Profile:
    """Rows and strips of a blade.

    Args:
        d: Sizes of the blade.
        size: Longest side of a plate [m].
    """
    rows = _Rows(d, size)
    tip, corner = rows.upright()
    shelf, feet = rows.shelf(corner)
    skin, lean = rows.skin(corner)
    return Profile(
        places=tuple(rows.places),
        strips=tuple(rows.strips),
        tip=tip,
        corner=corner,
        shelf=shelf,
        feet=feet,
        skin=skin,
        lean=lean,
        face=d.edge_back + d.edge_wall,
    )


class _Rows:
    """Collects the rows and strips of one section."""

    def __init__(self, d: Datum, size: float) -> None:
        self.d = d
        self.size = size
        self.places: list[tuple[float, float]] = []
        self.strips: list[Strip] = []
        self.middle = d.face - d.angle_wall / 2
        self.level = d.shelf - d.angle_wall / 2

    def _row(self, x: float, z: float) -> int:
        self.places.append((x, z))
        return len(self.places) - 1

    def upright(self) -> tuple[int, int]:
        """Edge and upright leg, and the edge's free part above the shelf when it has one."""
        d = self.d
        levels = [0.0, d.foot, self.level]
        levels += [z for z in (d.edge_height, d.shelf - d.lap) if 0.0 < z < self.level]
        # Finer than elsewhere: edge and leg hang from the shelf as a cantilever, and the push is at its end.
        rows = [self._row(self.middle, z) for z in apart(levels, self.size / FINER)]
        corner = rows[-1]
        if d.edge_height > d.shelf + TOGETHER:
            for z in divided(self.level, d.edge_height, self.size):
                rows.append(self._row(self.middle, z))
        for low, high in pairwise(rows):
            z = 0.5 * (self.places[low][1] + self.places[high][1])
            part, back, front = self._metal(z)
            arm = (0.5 * (back + front) - self.middle, 0.0)
            self.strips.append(Strip(part=part, rows=(low, high), thickness=front - back, arms=(arm, arm)))
        return rows[0], corner

    def _metal(self, z: float) -> tuple[StripPart, float, float]:
        """What stands at height z: its name, its rear and its front face."""
        d = self.d
        layers: list[tuple[float, float]] = []
        # Above the middle of the shelf the edge stands free of the leg.
        leg = d.foot < z < self.level
        if leg:
            layers.append((d.face - d.angle_wall, d.face))
            if z > d.shelf - d.lap:
                layers.append((d.face, d.face + d.skin_wall))
        if z < d.edge_height:
            layers.append((d.edge_back, d.edge_back + d.edge_wall))
        back, front = min(a for a, _ in layers), max(b for _, b in layers)
        return ("leg" if leg else "edge"), back, front

    def shelf(self, corner: int) -> tuple[tuple[int, ...], tuple[int, ...]]:
        """Rows of the shelf, with one under each corner of a web's plates."""
        d = self.d
        shape = web_outline(d)
        front, rear = shape[0][0], max(shape[5][0], d.shelf_back)
        places = [d.shelf_back]
        if rear - d.shelf_back > 0.1 * INCH:
            places.append(rear)
        first = len(places) - 1
        places += divided(rear, front, abs(front - rear), at_least=columns(d, self.size))
        last = len(places)
        places += divided(front, self.middle, self.size)[:-1]
        rows = [*(self._row(x, self.level) for x in places), corner]
        for a, b in pairwise(rows):
            self.strips.append(Strip(part="shelf", rows=(a, b), thickness=d.angle_wall))
        return tuple(rows), tuple(rows[first:last])

    def skin(self, corner: int) -> tuple[tuple[int, ...], tuple[float, ...]]:
        """Rows up the skin and out to the end of its fold."""
        d, t = self.d, self.d.skin_wall
        low = d.arc.phi_at_height(d.arc.z + SNIPE)
        first, *others = divided(low, d.arc.roll, self.size / d.arc.radius)
        # Finer where ears lie on the webs and their feet end.
        lean = [low, *divided(low, first, (first - low) / FINER), *others]
        rows = [self._row(*d.arc.at(phi, t / 2)) for phi in lean]
        x, z = d.arc.at(-d.arc.lean, t / 2)
        arm = (x - self.middle, z - self.level)
        self.strips.append(Strip(part="skin", rows=(corner, rows[0]), thickness=t, arms=(arm, (0.0, 0.0))))
        for a, b in pairwise(rows):
            self.strips.append(Strip(part="skin", rows=(a, b), thickness=t))
        fold = d.series.moldboard.top_fold
        if fold:
            x, z = self.places[rows[-1]]
            last = rows[-1]
            for place in divided(x, x - fold, self.size):
                row = self._row(place, z)
                self.strips.append(Strip(part="fold", rows=(last, row), thickness=t))
                last = row
        return tuple(rows), tuple(lean)
