"""Where lines and words go on a page: directions, turned text, texts that would lie on each other."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from plowwright.errors import EntryError
from plowwright.papers.marks import Point


def readable(angle: float) -> float:
    """The same direction, turned so that text is read from below or from the right [deg]."""
    angle = (angle + 180.0) % 360.0 - 180.0
    if angle > 90.0 + 1e-9:
        return angle - 180.0
    if angle <= -90.0 + 1e-9:
        return angle + 180.0
    return angle


def spread(places: Sequence[float], *, least: float) -> list[float]:
    """Move places apart until none is closer to its neighbour than `least`, each as little as may be.

    Neighbours that are too close form a heap that is set out evenly about its own middle; heaps that then
    touch are joined, so the order is kept.
    """
    order = sorted(range(len(places)), key=lambda i: places[i])
    heaps: list[tuple[float, list[int]]] = []
    for index in order:
        middle, held = places[index], [index]
        while heaps and middle - heaps[-1][0] < least * (len(held) + len(heaps[-1][1])) / 2 - 1e-9:
            held = heaps.pop()[1] + held
            middle = sum(places[i] for i in held) / len(held)
        heaps.append((middle, held))
    moved = list(places)
    for middle, held in heaps:
        for position, index in enumerate(held):
            moved[index] = middle + (position - (len(held) - 1) / 2) * least
    return moved


def unit(start: Point, end: Point) -> Point:
    """Direction from start to end, of length one."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = hypot(dx, dy)
    if length == 0.0:
        raise EntryError(
            "two points of a drawing coincide and give no direction",
            value=f"({start[0]:.2f}, {start[1]:.2f}) mm",
            way_out="Leave the dimension of nothing out.",
        )
    return dx / length, dy / length
