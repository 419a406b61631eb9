"""Closed outlines sorted into parts and their openings; what crosses, lies on another or reads as words is named."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import shapely

from plowwright.papers.outlines_in import JOIN, LETTERING, SAME, TINY, Problem, flat, spot_said
from plowwright.physics.regions import Loop, Region


def regions_of(loops: Sequence[Loop], per_metre: float) -> tuple[list[Region], list[Problem]]:
    """Outer loops with the loops inside them as holes; what lies in a hole is a part again.

    Args:
        loops: Closed ones.
        per_metre: The drawing's units in a metre, for what is said [-].
    """
    problems: list[Problem] = []
    sound: list[tuple[Loop, shapely.Polygon]] = []
    for loop in loops:
        shape = shapely.Polygon(flat(loop))
        if not shape.is_valid or shape.area < TINY**2:
            where = loop[0][:2]
            problems.append(
                Problem(kind="crossing", fixed=False, place=where, sentence=(
                    f"the outline that begins at {spot_said(where, per_metre)} crosses itself; left out"))
            )  # fmt: skip
            continue
        sound.append((loop, shape))
    sound.sort(key=lambda pair: -pair[1].area)
    kept: list[tuple[Loop, shapely.Polygon]] = []
    for loop, shape in sound:
        twin = next((k for k, other in kept if _same(shape, other)), None)
        if twin is not None:
            problems.append(_twice(loop, shape, shapely.Polygon(flat(twin)), per_metre))
            continue
        crossed = next((k for k, other in kept if _crosses(shape, other)), None)
        if crossed is not None:
            where = loop[0][:2]
            problems.append(
                Problem(kind="overlap", fixed=False, place=where, sentence=(
                    f"the outline that begins at {spot_said(where, per_metre)} overlaps the one at "
                    f"{spot_said(crossed[0][:2], per_metre)}; left out"))
            )  # fmt: skip
            continue
        kept.append((loop, shape))
    problems += _lettering(kept, per_metre)
    inside = [sum(other.contains(shape) for _, other in kept[:at]) for at, (_, shape) in enumerate(kept)]
    found: list[Region] = []
    for at, (loop, shape) in enumerate(kept):
        if inside[at] % 2:
            continue
        holes = [
            _wound(k, ccw=False)
            for i, (k, other) in enumerate(kept)
            if inside[i] == inside[at] + 1 and shape.contains(other)
        ]
        found.append(Region(outer=_wound(loop, ccw=True), inner=tuple(holes)))
    return found, problems


def _same(one: shapely.Polygon, other: shapely.Polygon) -> bool:
    """Whether two outlines are one drawn twice, or so near each other that nothing can be cut between them."""
    reach = max(abs(a - b) for a, b in zip(one.bounds, other.bounds, strict=True))
    return reach <= JOIN and float(shapely.hausdorff_distance(one.exterior, other.exterior)) <= JOIN


def _twice(loop: Loop, one: shapely.Polygon, other: shapely.Polygon, per_metre: float) -> Problem:
    gap = float(shapely.hausdorff_distance(one.exterior, other.exterior))
    begins = f"the outline that begins at {spot_said(loop[0][:2], per_metre)}"
    if gap <= 2 * SAME:
        return Problem(kind="duplicate", fixed=True, place=loop[0][:2], sentence=f"{begins} is drawn twice; kept once")
    return Problem(kind="duplicate", fixed=False, place=loop[0][:2], sentence=(
        f"{begins} lies within {gap * per_metre:.3f} of another; the smaller one is left out"))  # fmt: skip


def _lettering(kept: Sequence[tuple[Loop, shapely.Polygon]], per_metre: float) -> Iterator[Problem]:
    """Closed outlines no larger than a letter, straight and notched all over: named, for a slug is cut of each."""
    found: list[Loop] = []
    for loop, shape in kept:
        low_x, low_y, high_x, high_y = shape.bounds
        small = max(high_x - low_x, high_y - low_y) <= LETTERING
        straight = len(loop) >= 6 and not any(bulge for _, _, bulge in loop)
        if small and straight and shape.area < 0.93 * shape.convex_hull.area:
            found.append(loop)
    if len(found) >= 2:
        where = found[0][0][:2]
        yield Problem(kind="text", fixed=False, place=where, sentence=(
            f"{len(found)} small outlines from {spot_said(where, per_metre)} on look like lettering drawn as closed "
            "lines; they are cut as drawn, so take them out of the drawing if they are words"))  # fmt: skip


def _crosses(one: shapely.Polygon, other: shapely.Polygon) -> bool:
    return one.intersects(other) and not other.contains(one) and one.intersection(other).area > TINY**2


def _wound(loop: Loop, *, ccw: bool) -> Loop:
    points = flat(loop)
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, (*points[1:], points[0]), strict=True))
    if (area > 0.0) == ccw:
        return loop
    turned = loop[::-1]
    return tuple((u, v, -turned[(at + 1) % len(turned)][2]) for at, (u, v, _) in enumerate(turned))
