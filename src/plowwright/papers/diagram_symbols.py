"""Hydraulic symbols in the manner of ISO 1219-1, drawn by us: only those that a blade's diagram needs."""

from __future__ import annotations

from typing import Final, Literal

from plowwright.papers.drawing import Picture
from plowwright.papers.marks import OUTLINE, THIN, Pen, Point

LINE: Final = Pen(name="oil-line", layer="working lines", width=0.5)
PILOT: Final = Pen(name="pilot", layer="pilot lines", width=0.25, dash=(1.4, 0.9))
CHAIN: Final = Pen(name="enclosure", layer="enclosures", width=0.25, dash=(5.0, 1.2, 1.0, 1.2))
BOX: Final = 9.0
"""Side of a valve's square [mm]."""
_HALF: Final = BOX / 2


def cylinder(page: Picture, centre: Point, *, length: float, high: float, rod: float) -> None:
    """A double-acting cylinder with one rod, lying, its rod to the right.

    Args:
        page: The picture.
        centre: Middle of the body [mm].
        length: Of the body [mm].
        high: Its height [mm].
        rod: How far the rod reaches out of it [mm].
    """
    x, y = centre
    left, right, piston = x - length / 2, x + length / 2, x - 0.12 * length
    page.rectangle(left, y - high / 2, length, high, pen=OUTLINE, fill="paper")
    page.rectangle(piston - 1.2, y - high / 2, 2.4, high, pen=OUTLINE, fill="tint")
    page.rectangle(piston + 1.2, y - 1.1, right + rod - piston - 1.2, 2.2, pen=THIN, fill="paper")
    page.circle((right + rod + 1.8, y), 1.8, pen=THIN, fill="paper")
    page.circle((left - 1.8, y), 1.8, pen=THIN, fill="paper")


def relief(page: Picture, centre: Point, *, inlet: Literal["left", "right"]) -> None:
    """A relief valve between two lines that stand left and right of it: square, arrow beside the ports, spring, pilot.

    Args:
        page: The picture.
        centre: Middle of the square [mm].
        inlet: The side that opens it.
    """
    x, y = centre
    s = 1.0 if inlet == "left" else -1.0
    page.rectangle(x - _HALF, y - _HALF, BOX, BOX, pen=OUTLINE, fill="paper")
    low = y - 1.8
    page.arrow((x - s * (_HALF - 0.4), low), (x + s * (_HALF - 0.2), low), pen=THIN)
    spring(page, (x, y + _HALF), up=1.0)
    page.arrow((x - 3.2, y + _HALF + 0.6), (x + 3.4, y + _HALF + 4.6), pen=THIN)
    # Pilot from the inlet round to the side that faces the spring.
    out = x - s * (_HALF + 2.2)
    page.polyline(((out, y), (out, y - _HALF - 1.8), (x, y - _HALF - 1.8), (x, y - _HALF)), pen=PILOT)


def spring(page: Picture, at: Point, *, up: float) -> None:
    """A spring on top of a square (up 1) or below it (up -1).

    Args:
        page: The picture.
        at: Where it sits [mm].
        up: 1 or -1 [-].
    """
    x, y = at
    zigzag = [(x + (1.3 if i % 2 else -1.3), y + up * 0.9 * i) for i in range(6)]
    page.polyline([(x, y), *zigzag[1:]], pen=THIN)


def side_spring(page: Picture, at: Point, *, out: float) -> None:
    """A spring at the end of a row of squares, to the right (out 1) or left (out -1).

    Args:
        page: The picture.
        at: Where it sits [mm].
        out: 1 or -1 [-].
    """
    x, y = at
    zigzag = [(x + out * 0.9 * i, y + (1.3 if i % 2 else -1.3)) for i in range(6)]
    page.polyline([(x, y), *zigzag[1:]], pen=THIN)


def restrictor(page: Picture, at: Point) -> None:
    """A fixed restrictor in an upright line.

    Args:
        page: The picture.
        at: Its middle [mm].
    """
    x, y = at
    page.arc((x - 3.6, y), 2.8, start=-52, end=52, pen=OUTLINE)
    page.arc((x + 3.6, y), 2.8, start=128, end=232, pen=OUTLINE)


def hose(page: Picture, start: Point, end: Point, *, bow: float) -> None:
    """A flexible line: two dots and a bow between them.

    Args:
        page: The picture.
        start: One end [mm].
        end: The other end [mm].
        bow: How far it bows, + to the right of start -> end: a bulge [-].
    """
    page.polyline(((*start, bow), (*end, 0.0)), pen=LINE)
    for at in (start, end):
        page.circle(at, 0.8, pen=None, fill="ink")


def coupler(page: Picture, at: Point) -> None:
    """A quick coupler, coupled, both halves with a check that shuts when they part; the line is upright.

    Args:
        page: The picture.
        at: Where the halves meet [mm].
    """
    x, y = at
    for s in (1.0, -1.0):
        page.polyline(((x - 2.3, y + s * 3.4), (x, y + s * 0.9), (x + 2.3, y + s * 3.4)), pen=OUTLINE)
        page.circle((x, y + s * 3.1), 1.15, pen=OUTLINE, fill="paper")
        page.line((x, y + s * 4.25), (x, y + s * 6.0), pen=LINE)
        page.line((x - 3.2, y + s * 0.45), (x + 3.2, y + s * 0.45), pen=THIN)


def plug(page: Picture, at: Point, *, half: float = 1.5) -> None:
    """A plugged end of a line: a cross over it.

    Args:
        page: The picture.
        at: The end [mm].
        half: Half the cross across [mm].
    """
    x, y = at
    for s in (1.0, -1.0):
        page.line((x - half, y - s * half), (x + half, y + s * half), pen=OUTLINE)


def pump(page: Picture, centre: Point, radius: float) -> None:
    """A pump of fixed size that delivers upwards.

    Args:
        page: The picture.
        centre: Its middle [mm].
        radius: Of the circle [mm].
    """
    x, y = centre
    page.circle(centre, radius, pen=OUTLINE, fill="paper")
    page.polygon(((x - 1.9, y + radius - 3.1), (x, y + radius), (x + 1.9, y + radius - 3.1)), pen=None, fill="ink")


def tank(page: Picture, at: Point) -> None:
    """A tank, open to the air, under the end of a line.

    Args:
        page: The picture.
        at: Where the line ends [mm].
    """
    x, y = at
    page.polyline(((x - 4.0, y + 1.6), (x - 4.0, y - 1.6), (x + 4.0, y - 1.6), (x + 4.0, y + 1.6)), pen=OUTLINE)


def valve(page: Picture, centre: Point, *, side: float) -> tuple[float, float]:
    """A valve of four ports and three places, shut in the middle, moved by a lever, centred by springs.

    Args:
        page: The picture.
        centre: Middle of the middle square [mm].
        side: Of a square [mm].

    Returns:
        How far ports A and P stand left of the middle, B and T right of it, and half the height [mm].
    """
    x, y = centre
    half, port = side / 2, side / 4
    for i in (-1, 0, 1):
        page.rectangle(x + (i - 0.5) * side, y - half, side, side, pen=OUTLINE, fill="paper")
    # Shut: a stop in front of each port.
    for px in (x - port, x + port):
        for s in (1.0, -1.0):
            page.line((px, y + s * half), (px, y + s * (half - 2.6)), pen=THIN)
            page.line((px - 1.5, y + s * (half - 2.6)), (px + 1.5, y + s * (half - 2.6)), pen=THIN)
    page.arrow((x - side - port, y - half), (x - side - port, y + half), pen=THIN)
    page.arrow((x - side + port, y + half), (x - side + port, y - half), pen=THIN)
    page.arrow((x + side - port, y - half), (x + side + port, y + half), pen=THIN)
    page.arrow((x + side - port, y + half), (x + side + port, y - half), pen=THIN)
    for s in (1.0, -1.0):
        side_spring(page, (x + s * 1.5 * side, y - 1.8), out=s)
    # The lever.
    page.polyline(((x - 1.5 * side, y + 2.2), (x - 1.5 * side - 4.0, y + 2.2)), pen=THIN)
    page.line((x - 1.5 * side - 4.0, y + 0.6), (x - 1.5 * side - 5.6, y + 6.2), pen=OUTLINE)
    page.circle((x - 1.5 * side - 5.8, y + 6.8), 0.8, pen=None, fill="ink")
    return port, half
