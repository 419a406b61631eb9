"""Plastic section moduli: both halves of a cross-section at yield about the line that parts its area in two."""

from __future__ import annotations

from functools import lru_cache

from plowwright.physics.regions import Region, flatten

Polygon = tuple[tuple[float, float], ...]

_CHORD_SHARE = 2e-5
"""Chord error on arcs over the section's size [-]; the modulus is then good to about 1e-4."""


@lru_cache(maxsize=2000)
def plastic_modulus(pieces: tuple[tuple[Region, float, float], ...], *, across: int) -> float:
    """Plastic modulus of pieces acting together: the integral of the distance to the equal-area line.

    All pieces yield at the same stress and stay plane together.

    Args:
        pieces: Each region with its shift along u and along v [m].
        across: 0 for bending that varies stress along u, 1 along v [-].

    Returns:
        Plastic modulus [m3].

    Source: definition (AISC 360 F); table values of tubes agree within 1 % (tests/sources).
    """
    loops = _loops(pieces, across)
    total = sum(sign * _below(loop, None)[0] for loop, sign in loops)
    low = min(p[1] for loop, _ in loops for p in loop)
    high = max(p[1] for loop, _ in loops for p in loop)
    whole = sum(sign * _below(loop, None)[1] for loop, sign in loops)
    for _ in range(60):
        line = 0.5 * (low + high)
        if sum(sign * _below(loop, line)[0] for loop, sign in loops) < 0.5 * total:
            low = line
        else:
            high = line
    line = 0.5 * (low + high)
    area = sum(sign * _below(loop, line)[0] for loop, sign in loops)
    first = sum(sign * _below(loop, line)[1] for loop, sign in loops)
    # Above the line: moment less its area times the line; below it the other way round.
    return (whole - first) - (total - area) * line + area * line - first


def _loops(pieces: tuple[tuple[Region, float, float], ...], across: int) -> list[tuple[Polygon, float]]:
    """Every loop as a polygon of (other, along) with +1 for metal and -1 for a hole."""
    found: list[tuple[Polygon, float]] = []
    for region, du, dv in pieces:
        b = region.bounds()
        chord = _CHORD_SHARE * max(b[2] - b[0], b[3] - b[1])
        for loop, sign in ((region.outer, 1.0), *((hole, -1.0) for hole in region.inner)):
            points = [(u + du, v + dv) for u, v in flatten(loop, chord)]
            found.append((tuple((v, u) if across == 0 else (u, v) for u, v in points), sign))
    return found


def _below(loop: Polygon, line: float | None) -> tuple[float, float]:
    """Area and first moment about v = 0 of the part of a polygon below a line, or of all of it."""
    points = loop if line is None else _clipped(loop, line)
    area = first = 0.0
    for (u0, v0), (u1, v1) in zip(points, points[1:] + points[:1], strict=True):
        twice = u0 * v1 - u1 * v0
        area += twice / 2
        first += twice * (v0 + v1) / 6
    return (area, first) if area >= 0 else (-area, -first)


def _clipped(loop: Polygon, line: float) -> Polygon:
    """The part below the line; of a concave polygon, bridges along the line enclose nothing."""
    kept: list[tuple[float, float]] = []
    for (u0, v0), (u1, v1) in zip(loop, loop[1:] + loop[:1], strict=True):
        if v0 <= line:
            kept.append((u0, v0))
        if (v0 < line < v1) or (v1 < line < v0):
            share = (line - v0) / (v1 - v0)
            kept.append((u0 + share * (u1 - u0), line))
    return tuple(kept)
