"""What a picture is made of: pens by meaning, and marks (path, outlines, circle, label) gathered in groups.

Page axes: x to the right, y up, origin at the lower left corner [mm]. Angles in degrees, counter-clockwise
from x. A loop is a sequence of vertices (u, v, bulge); bulge = tan(sweep / 4) of the arc from this vertex to
the next, positive counter-clockwise. A plain (u, v) pair stands for a straight run.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan, ceil, cos, hypot, pi, sin
from typing import Literal

Point = tuple[float, float]
Vertex = tuple[float, float, float]
Colour = Literal["ink", "accent", "hair", "near", "fails", "paper"]
Fill = Literal["none", "paper", "tint", "ink", "accent"]
Anchor = Literal["left", "middle", "right"]
Stand = Literal["base", "centre", "top"]
Weight = Literal["regular", "bold"]


@dataclass(frozen=True, kw_only=True)
class Pen:
    """A line by its meaning; widths follow the series of ISO 128.

    Attributes:
        name: One word, used as a class on pages.
        layer: Layer name in plain words, used where a format has layers.
        width: Line width [mm].
        colour: Named colour; the writer knows its value.
        dash: Lengths of stroke and gap in turn, empty for a full line [mm].
    """

    name: str
    layer: str
    width: float
    colour: Colour = "ink"
    dash: tuple[float, ...] = ()


OUTLINE = Pen(name="outline", layer="visible outline", width=0.5)
CUT = Pen(name="cut", layer="cut", width=0.5)
HOLE = Pen(name="hole", layer="holes", width=0.35)
BEND = Pen(name="bend", layer="bend lines", width=0.25, dash=(6.0, 1.2, 1.2, 1.2))
HIDDEN = Pen(name="hidden", layer="hidden", width=0.25, dash=(2.0, 1.0))
THIN = Pen(name="thin", layer="thin", width=0.25)
CENTRE = Pen(name="centre", layer="centre lines", width=0.18, dash=(6.0, 1.2, 0.8, 1.2))
DIMENSION = Pen(name="dimension", layer="dimensions", width=0.18)
HATCH = Pen(name="hatch", layer="hatching", width=0.13)
HAIR = Pen(name="hair", layer="hairlines", width=0.18, colour="hair")
GROUND = Pen(name="ground", layer="ground line", width=0.7)
ACCENT = Pen(name="accent", layer="marked", width=0.7, colour="accent")
PENS = (OUTLINE, CUT, HOLE, BEND, HIDDEN, THIN, CENTRE, DIMENSION, HATCH, HAIR, GROUND, ACCENT)
TEXT_LAYER = "text"


@dataclass(frozen=True, kw_only=True)
class Path:
    """A run of straight lines and arcs.

    Attributes:
        vertices: Corners with the bulge of the run that starts there [mm].
        closed: Whether the last corner joins the first.
        fill: Named filling, only for closed paths.
        pen: Pen of the line; None draws the filling alone.
    """

    vertices: tuple[Vertex, ...]
    pen: Pen | None
    closed: bool = False
    fill: Fill = "none"


@dataclass(frozen=True, kw_only=True)
class Circle:
    """A full circle.

    Attributes:
        x: Centre [mm].
        y: Centre [mm].
        radius: Radius [mm].
        pen: Pen of the line; None draws the filling alone.
        fill: Named filling.
    """

    x: float
    y: float
    radius: float
    pen: Pen | None
    fill: Fill = "none"


@dataclass(frozen=True, kw_only=True)
class Label:
    """One line of text.

    Attributes:
        x: Where the anchor of the text sits [mm].
        y: Where the text stands [mm].
        text: The words.
        size: Size of the letters (em) [mm].
        anchor: Which end of the text sits at x.
        stand: Whether y is the base line, the centre or the top of a capital.
        weight: Regular or bold.
        rotate: Turned by this angle, counter-clockwise [deg].
        colour: Named colour.
        halo: A rim of paper round the letters, so that lines below do not cross them.
        pen: Pen it belongs to, for the layer; None for plain text.
    """

    x: float
    y: float
    text: str
    size: float
    anchor: Anchor = "left"
    stand: Stand = "base"
    weight: Weight = "regular"
    rotate: float = 0.0
    colour: Colour = "ink"
    halo: bool = False
    pen: Pen | None = None


@dataclass(frozen=True, kw_only=True)
class Outlines:
    """Closed straight-sided outlines still in model metres; each is one path on the page.

    A drawing of a blade holds hundreds of them, so they are put on the page only when they are written.

    Attributes:
        rings: Corners of each outline [m].
        start: Page place of the model's origin [mm].
        step: Page millimetres for each model metre, across and up; negative where seen from behind [mm/m].
        pen: Pen of the lines.
        fill: Named filling.
    """

    rings: Sequence[Sequence[Point]]
    start: Point
    step: Point
    pen: Pen
    fill: Fill = "none"

    def paths(self) -> list[Path]:
        """The same on the page."""
        (x, y), (across, up) = self.start, self.step
        return [
            Path(
                vertices=tuple([(x + across * u, y + up * v, 0.0) for u, v in ring]),
                pen=self.pen, closed=True, fill=self.fill,
            )
            for ring in self.rings
        ]  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Group:
    """Marks that belong together, so that a page can find them again.

    Attributes:
        name: Identifier of the group on a page.
        part: Mark of the part it shows, "" for none.
        title: What it is, in words, for a pointer held over it and for screen readers.
        marks: What it holds, in drawing order.
    """

    name: str
    part: str
    title: str
    marks: tuple[Mark, ...]


Mark = Path | Outlines | Circle | Label | Group


def as_vertices(points: Sequence[Sequence[float]]) -> tuple[Vertex, ...]:
    """Vertices with a bulge each, from vertices or plain points."""
    return tuple((float(p[0]), float(p[1]), float(p[2]) if len(p) > 2 else 0.0) for p in points)


def flatten(vertices: Sequence[Vertex], *, closed: bool, step: float = pi / 36) -> list[Point]:
    """The same run with every arc cut into chords.

    Args:
        vertices: The run.
        closed: Whether the last vertex joins the first.
        step: Greatest turn of one chord [rad].
    """
    points: list[Point] = []
    count = len(vertices)
    for index, (x, y, bulge) in enumerate(vertices):
        points.append((x, y))
        last = index == count - 1
        if bulge == 0.0 or (last and not closed):
            continue
        to_x, to_y, _ = vertices[(index + 1) % count]
        sweep = 4 * atan(bulge)
        centre_x, centre_y = arc_centre((x, y), (to_x, to_y), bulge=bulge)
        chords = max(1, ceil(abs(sweep) / step))
        for k in range(1, chords):
            c, s = cos(sweep * k / chords), sin(sweep * k / chords)
            dx, dy = x - centre_x, y - centre_y
            points.append((centre_x + c * dx - s * dy, centre_y + s * dx + c * dy))
    return points


def arc_centre(start: Point, end: Point, *, bulge: float) -> Point:
    """Centre of the arc from start to end."""
    (x, y), (to_x, to_y) = start, end
    share = (1 - bulge * bulge) / (4 * bulge)
    return (x + to_x) / 2 - share * (to_y - y), (y + to_y) / 2 + share * (to_x - x)


def arc_radius(start: Point, end: Point, *, bulge: float) -> float:
    """Radius of the arc from start to end."""
    chord = hypot(end[0] - start[0], end[1] - start[1])
    return chord * (1 + bulge * bulge) / (4 * abs(bulge))


def walk(marks: Sequence[Mark]) -> list[Path | Circle | Label]:
    """Every mark in drawing order, groups opened, outlines on the page."""
    found: list[Path | Circle | Label] = []
    for mark in marks:
        if isinstance(mark, Group):
            found.extend(walk(mark.marks))
        elif isinstance(mark, Outlines):
            found.extend(mark.paths())
        else:
            found.append(mark)
    return found
