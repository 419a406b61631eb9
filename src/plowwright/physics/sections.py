"""Cross-sections of bars as bought: tubes, angles, flats, rounds, and their outlines.

Outlines lie in the u-v plane. Tubes, flats and rounds are centred on the origin; an angle has its heel (outer corner)
at the origin, one leg along +u, the other along +v. Dimensions are nominal: mass goes by the nominal wall, while the
strength of a cold-formed tube goes by its design wall (see `design_wall`).
"""

from __future__ import annotations

from functools import lru_cache

from plowwright.physics.regions import Region, circle, polygon, rectangle, rounded_rectangle

DESIGN_WALL = 0.93
"""Design wall over nominal wall of an ASTM A500 tube [-] (AISC 360 B4.2)."""


def design_wall(wall: float) -> float:
    """Wall that strength may count on in an ASTM A500 tube.

    Args:
        wall: Nominal wall [m].

    Returns:
        Design wall [m].

    Source: AISC 360 B4.2.
    """
    return DESIGN_WALL * wall


@lru_cache(maxsize=500)
def box_tube(width: float, height: float, wall: float) -> Region:
    """Rectangular tube with outside corner radius 2 t and inside radius t.

    Args:
        width: Outside size along u [m].
        height: Outside size along v [m].
        wall: Wall thickness [m].

    Source: corner radius 2 t as the AISC Manual part 1 takes for areas and weights.
    """
    return Region(
        outer=rounded_rectangle(width, height, 2 * wall),
        inner=(rounded_rectangle(width - 2 * wall, height - 2 * wall, wall),),
    )


@lru_cache(maxsize=500)
def round_tube(diameter: float, wall: float) -> Region:
    """Round tube.

    Args:
        diameter: Outside diameter [m].
        wall: Wall thickness [m].
    """
    return Region(outer=circle(0.0, 0.0, diameter / 2), inner=(circle(0.0, 0.0, diameter / 2 - wall),))


@lru_cache(maxsize=500)
def angle(leg_u: float, leg_v: float, thickness: float) -> Region:
    """Rolled angle with sharp corners: root fillet and toe roundings nearly cancel in the area.

    Args:
        leg_u: Length of the leg along +u, from the heel [m].
        leg_v: Length of the leg along +v, from the heel [m].
        thickness: Thickness of both legs [m].
    """
    t = thickness
    return Region(outer=polygon(((0, 0), (leg_u, 0), (leg_u, t), (t, t), (t, leg_v), (0, leg_v))))


@lru_cache(maxsize=500)
def flat(width: float, thickness: float) -> Region:
    """Flat bar.

    Args:
        width: Size along u [m].
        thickness: Size along v [m].
    """
    return Region(outer=rectangle(-width / 2, -thickness / 2, width / 2, thickness / 2))


@lru_cache(maxsize=500)
def round_bar(diameter: float) -> Region:
    """Round bar.

    Args:
        diameter: Diameter [m].
    """
    return Region(outer=circle(0.0, 0.0, diameter / 2))
