"""A neutral picture: a dozen drawing verbs on a page measured in millimetres.

Page axes: x to the right, y up, origin at the lower left corner [mm]. Angles in degrees, counter-clockwise
from x. Whatever a verb draws is kept as paths, circles and labels (`marks`), so that a writer stays small.
A `View` (module `views`) carries model metres to the page.

    picture = Picture(width=180, height=90)
    with picture.group("skin", part="skin", title="Skin"):
        picture.polygon(view.points(outline), fill="tint")
    picture.dimension(view.at(0, 0), view.at(1, 0), text="39-3/8 in", offset=-8)
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from math import atan2, cos, degrees, hypot, radians, sin, tan
from typing import Literal

from plowwright.errors import EntryError
from plowwright.papers import fonts
from plowwright.papers.hatching import hatch_lines
from plowwright.papers.marks import (
    DIMENSION,
    HATCH,
    OUTLINE,
    Anchor,
    Circle,
    Colour,
    Fill,
    Group,
    Label,
    Mark,
    Path,
    Pen,
    Point,
    Stand,
    Weight,
    as_vertices,
)
from plowwright.papers.placing import readable, spread, unit

TEXT_SIZE = 2.9
"""Letters on a drawing [mm]; capitals of about 1.9 mm are still read on a second photocopy."""
ARROW_LENGTH = 2.4
_ARROW_HALF_WIDTH = 0.45
_EXTENSION_GAP = 0.8
_EXTENSION_PAST = 1.2
_TEXT_LIFT = 0.7
_ROW_PITCH = 1.35
"""Least distance of two neighbouring turned texts, as a share of their size [-]."""

Along = Literal["aligned", "horizontal", "vertical"]


class Picture:
    """An append-only drawing.

    Args:
        width: Width of the page or of the field drawn on [mm].
        height: Its height [mm].
    """

    def __init__(self, width: float, height: float) -> None:
        if not (width > 0 and height > 0):
            raise EntryError(
                "a picture needs a width and a height",
                value=f"{width:g} mm x {height:g} mm",
                limit="above 0 mm",
            )
        self.width = width
        self.height = height
        self._open: list[list[Mark]] = [[]]

    @property
    def marks(self) -> tuple[Mark, ...]:
        """What was drawn, in order."""
        if len(self._open) != 1:
            raise EntryError("a group of the picture is still open", way_out="Leave its `with` block first.")
        return tuple(self._open[0])

    def add(self, mark: Mark) -> None:
        """Keep one mark."""
        self._open[-1].append(mark)

    @contextmanager
    def group(self, name: str, *, part: str = "", title: str = "") -> Iterator[None]:
        """Gather what is drawn inside under one name.

        Args:
            name: Identifier on a page.
            part: Mark of the part it shows.
            title: What it is, in words.
        """
        self._open.append([])
        try:
            yield
        finally:
            held = tuple(self._open.pop())
            self.add(Group(name=name, part=part, title=title, marks=held))

    def line(self, start: Point, end: Point, *, pen: Pen = OUTLINE) -> None:
        """A straight line."""
        self.polyline((start, end), pen=pen)

    def polyline(self, points: Sequence[Sequence[float]], *, pen: Pen = OUTLINE) -> None:
        """An open run of points, or of vertices with bulges [mm]."""
        self.add(Path(vertices=as_vertices(points), pen=pen))

    def polygon(
        self, points: Sequence[Sequence[float]], *, pen: Pen | None = OUTLINE, fill: Fill = "none"
    ) -> None:
        """A closed run of points, or a loop with bulges [mm]."""
        self.add(Path(vertices=as_vertices(points), pen=pen, closed=True, fill=fill))

    def rectangle(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        *,
        pen: Pen | None = OUTLINE,
        fill: Fill = "none",
    ) -> None:
        """A rectangle by its lower left corner [mm]."""
        self.polygon(((x, y), (x + width, y), (x + width, y + height), (x, y + height)), pen=pen, fill=fill)

    def circle(self, centre: Point, radius: float, *, pen: Pen | None = OUTLINE, fill: Fill = "none") -> None:
        """A full circle [mm]."""
        self.add(Circle(x=centre[0], y=centre[1], radius=radius, pen=pen, fill=fill))

    def arc(self, centre: Point, radius: float, *, start: float, end: float, pen: Pen = OUTLINE) -> None:
        """Part of a circle, counter-clockwise.

        Args:
            centre: Centre [mm].
            radius: Radius [mm].
            start: Where it begins [deg].
            end: Where it ends [deg].
        """
        sweep = (end - start) % 360 or 360.0
        middle = start + sweep / 2
        bulge = tan(radians(sweep / 8))
        rim = [
            (centre[0] + radius * cos(radians(a)), centre[1] + radius * sin(radians(a)), b)
            for a, b in ((start, bulge), (middle, bulge), (start + sweep, 0.0))
        ]
        self.polyline(rim, pen=pen)

    def hatch(
        self,
        loops: Sequence[Sequence[Sequence[float]]],
        *,
        angle: float = 45.0,
        spacing: float = 2.0,
        pen: Pen = HATCH,
    ) -> None:
        """Parallel lines over an area; loops within loops are left out.

        Args:
            loops: Boundary and holes, with bulges [mm].
            angle: Direction of the lines [deg].
            spacing: Distance of the lines [mm].
            pen: Pen of the lines.
        """
        for start, end in hatch_lines([as_vertices(loop) for loop in loops], angle=angle, spacing=spacing):
            self.line(start, end, pen=pen)

    def text(
        self,
        at: Point,
        text: str,
        *,
        size: float = TEXT_SIZE,
        anchor: Anchor = "left",
        stand: Stand = "base",
        weight: Weight = "regular",
        rotate: float = 0.0,
        colour: Colour = "ink",
        halo: bool = False,
        pen: Pen | None = None,
    ) -> None:
        """One line of text; `halo` keeps lines below from crossing it. Sizes in mm, angle in degrees."""
        self.add(
            Label(
                x=at[0],
                y=at[1],
                text=text,
                size=size,
                anchor=anchor,
                stand=stand,
                weight=weight,
                rotate=rotate,
                colour=colour,
                halo=halo,
                pen=pen,
            )
        )

    def arrow(self, tail: Point, tip: Point, *, pen: Pen = DIMENSION, shaft: bool = True) -> None:
        """A line that ends in a slender filled head; without its shaft the head alone."""
        ux, uy = unit(tail, tip)
        back = (tip[0] - ARROW_LENGTH * ux, tip[1] - ARROW_LENGTH * uy)
        if shaft:
            self.line(tail, back, pen=pen)
        half = _ARROW_HALF_WIDTH
        fill: Fill = "accent" if pen.colour == "accent" else "ink"
        head = (tip, (back[0] - half * uy, back[1] + half * ux), (back[0] + half * uy, back[1] - half * ux))
        self.polygon(head, pen=None, fill=fill)

    def dimension(
        self,
        start: Point,
        end: Point,
        *,
        text: str,
        offset: float,
        along: Along = "aligned",
        size: float = TEXT_SIZE,
    ) -> None:
        """The distance of two points, with extension lines, arrows and its text above the line.

        Args:
            start: First point measured [mm].
            end: Second point measured [mm].
            text: The distance, as it is to be read.
            offset: How far the dimension line lies off the points, to the left of start -> end when
                positive; measured from the farther point when the line is not aligned [mm].
            along: Aligned with the points, or their horizontal or vertical distance.
            size: Size of the letters [mm].
        """
        start, end = _ordered(start, end, along=along)
        axis = {"aligned": None, "horizontal": (1.0, 0.0), "vertical": (0.0, 1.0)}[along]
        ux, uy = axis or unit(start, end)
        nx, ny = -uy, ux
        first, second = start[0] * nx + start[1] * ny, end[0] * nx + end[1] * ny
        level = (max(first, second) if offset >= 0 else min(first, second)) + offset
        feet: list[Point] = []
        with self.group("dimension", title=text):
            for point, height in ((start, first), (end, second)):
                foot = (point[0] + (level - height) * nx, point[1] + (level - height) * ny)
                self._extension(point, foot)
                feet.append(foot)
            self._dimension_line(feet[0], feet[1], text=text, size=size)

    def _extension(self, point: Point, foot: Point) -> None:
        reach = hypot(foot[0] - point[0], foot[1] - point[1])
        if reach <= _EXTENSION_GAP:
            return
        ux, uy = unit(point, foot)
        begin = (point[0] + _EXTENSION_GAP * ux, point[1] + _EXTENSION_GAP * uy)
        past = (foot[0] + _EXTENSION_PAST * ux, foot[1] + _EXTENSION_PAST * uy)
        self.line(begin, past, pen=DIMENSION)

    def _dimension_line(self, a: Point, b: Point, *, text: str, size: float) -> None:
        ux, uy = unit(a, b)
        length = hypot(b[0] - a[0], b[1] - a[1])
        turn = readable(degrees(atan2(uy, ux)))
        up = (-sin(radians(turn)), cos(radians(turn)))
        wide = fonts.text_width(text, size=size)
        pen = DIMENSION
        if length >= 2 * ARROW_LENGTH + 1.0:
            self.line(a, b, pen=pen)
            self.arrow(b, a, pen=pen, shaft=False)
            self.arrow(a, b, pen=pen, shaft=False)
        else:
            out = 2.2 * ARROW_LENGTH
            self.arrow((a[0] - out * ux, a[1] - out * uy), a, pen=pen)
            self.line(a, b, pen=pen)
            self.arrow((b[0] + out * ux, b[1] + out * uy), b, pen=pen)
        place = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        if wide + 1.0 > length:
            beyond = 2.2 * ARROW_LENGTH if length < 2 * ARROW_LENGTH + 1.0 else 0.0
            place = (b[0] + (beyond + 1.0 + wide / 2) * ux, b[1] + (beyond + 1.0 + wide / 2) * uy)
            self.line(
                (b[0] + beyond * ux, b[1] + beyond * uy),
                (b[0] + (beyond + 1.0 + wide) * ux, b[1] + (beyond + 1.0 + wide) * uy),
                pen=pen,
            )
        at = (place[0] + _TEXT_LIFT * up[0], place[1] + _TEXT_LIFT * up[1])
        self.text(at, text, size=size, anchor="middle", rotate=turn, halo=True, pen=pen)

    def running(
        self,
        datum: Point,
        points: Sequence[Point],
        *,
        texts: Sequence[str],
        row: float,
        axis: Literal["x", "y"] = "x",
        size: float = TEXT_SIZE,
    ) -> None:
        """Running dimensions of many points from one datum, each read at its own extension line.

        Args:
            datum: The point everything is measured from; its line reads 0 [mm].
            points: What is measured [mm].
            texts: The distance of each point, as it is to be read.
            row: Page y (axis x) or page x (axis y) at which the texts begin [mm].
            axis: Along which the distances run.
            size: Size of the letters [mm].
        """
        if len(points) != len(texts):
            raise EntryError(
                "running dimensions need one text for each point",
                value=f"{len(points)} points, {len(texts)} texts",
            )
        flip = axis == "y"
        turned = [(p[1], p[0]) if flip else (p[0], p[1]) for p in (datum, *points)]
        places = spread([p[0] for p in turned], least=_ROW_PITCH * size)
        side = 1.0 if row >= turned[0][1] else -1.0
        base = row - side * 3.0
        anchor: Anchor = "left" if side > 0 else "right"
        with self.group("running", title="running dimensions from one datum"):
            for (along, across), place, text in zip(turned, places, ("0", *texts), strict=True):
                begin = across + side * _EXTENSION_GAP
                bent = [(along, begin), (along, base), (place, base + side * 2.0), (place, row)]
                self.polyline([(b, a) for a, b in bent] if flip else bent, pen=DIMENSION)
                spot = (place, row + side * 0.8)
                self.text(
                    (spot[1], spot[0]) if flip else spot,
                    text,
                    size=size,
                    anchor=anchor,
                    stand="centre",
                    rotate=0.0 if flip else 90.0,
                    halo=True,
                    pen=DIMENSION,
                )
            zero = (turned[0][0], base)
            self.circle((zero[1], zero[0]) if flip else zero, 0.8, pen=DIMENSION, fill="paper")

    def leader(
        self,
        tip: Point,
        to: Point,
        text: str | Sequence[str],
        *,
        size: float = TEXT_SIZE,
        weight: Weight = "regular",
    ) -> None:
        """A note: an arrow to the thing, a short shoulder, and the words beside it.

        Args:
            tip: What the note is about [mm].
            to: Where the shoulder begins; the words stand on the side away from the tip [mm].
            text: One line or several.
            size: Size of the letters [mm].
            weight: Regular or bold.
        """
        lines = [text] if isinstance(text, str) else list(text)
        side = 1.0 if to[0] >= tip[0] else -1.0
        shoulder = (to[0] + side * 2.0, to[1])
        with self.group("note", title=" ".join(lines)):
            self.line(to, shoulder, pen=DIMENSION)
            self.arrow(to, tip, pen=DIMENSION)
            top = to[1] + (len(lines) - 1) * size * 0.6
            for index, line in enumerate(lines):
                self.text(
                    (shoulder[0] + side * 0.8, top - index * size * 1.2),
                    line,
                    size=size,
                    stand="centre",
                    anchor="left" if side > 0 else "right",
                    weight=weight,
                    halo=True,
                    pen=DIMENSION,
                )


def _ordered(start: Point, end: Point, *, along: Along) -> tuple[Point, Point]:
    swap = (along == "horizontal" and end[0] < start[0]) or (along == "vertical" and end[1] < start[1])
    return (end, start) if swap else (start, end)
