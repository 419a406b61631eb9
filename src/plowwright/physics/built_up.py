"""Cross-sections made of several pieces of one blade: a web with its skin, the bottom angle with its edge.

Same axes as `sections.py`: y along the outline's u, z along its v.
"""

from __future__ import annotations

from functools import lru_cache

from plowwright.physics import sections, torsion
from plowwright.physics.regions import Region, rectangle
from plowwright.physics.sections import Piece, StrengthSection


@lru_cache(maxsize=2000)
def tee_strength(
    stem_depth: float, stem_thickness: float, flange_width: float, flange_thickness: float
) -> StrengthSection:
    """A web with the skin that works with it, as a beam: the skin is the flange, at the origin's +z side.

    The stem runs from v = 0 down to v = -stem_depth; the flange lies on top of it.

    Args:
        stem_depth: Depth of the web under the skin [m].
        stem_thickness: Thickness of the web [m].
        flange_width: Width of skin that works with it, see `effective_width` [m].
        flange_thickness: Thickness of the skin [m].

    Source: geometry; torsion as the sum of the flats, shear along z on 5/6 of the stem.
    """
    d, t, b, f = stem_depth, stem_thickness, flange_width, flange_thickness
    j = torsion.open_constant(((d, t), (b, f)))
    return sections.built_up(
        (Piece(region=Region(outer=rectangle(-t / 2, -d, t / 2, 0.0))), Piece(region=sections.flat(b, f), v=f / 2)),
        torsion=j,
        torsion_modulus=j / max(t, f),
        shear_y=5 / 6 * b * f,
        shear_z=5 / 6 * d * t,
    )


def effective_width(pitch: float, thickness: float, stress: float, young: float) -> float:
    """Width of a thin skin between two webs that still works at a given compression (Winter's formula).

    rho = (1 - 0.22 / lambda) / lambda, lambda = 1.052 / sqrt(4) (w / t) sqrt(f / E), rho = 1 for lambda <= 0.673.

    Args:
        pitch: Clear width between the webs [m].
        thickness: Thickness of the skin [m].
        stress: Compression at the web, at most yield [Pa].
        young: Modulus of elasticity [Pa].

    Returns:
        Effective width, at most the pitch [m].

    Source: AISI S100 B2.1, stiffened element with k = 4 (from memory). A rolled skin buckles later than a flat one.
    """
    slender = 1.052 / 2.0 * pitch / thickness * (stress / young) ** 0.5
    return pitch if slender <= 0.673 else pitch * (1 - 0.22 / slender) / slender


@lru_cache(maxsize=2000)
def angle_with_edge_strength(
    leg_up: float,
    leg_back: float,
    wall: float,
    edge_height: float,
    edge_wall: float,
    hang: float,
    *,
    as_one: bool = True,
) -> StrengthSection:
    """The bottom angle with the cutting edge bolted to its face, as one beam along the blade.

    Outline: u back from the angle's front face, v up from the foot of its upright leg; the shelf lies on top.

    Args:
        leg_up: Upright leg of the angle [m].
        leg_back: Leg that lies back as the shelf [m].
        wall: Thickness of the angle [m].
        edge_height: Height of the edge, less its wear [m].
        edge_wall: Thickness of the edge [m].
        hang: How far the edge reaches below the foot of the angle [m].
        as_one: Whether the bolts make edge and leg one plate in torsion, else each twists alone (the safe side).

    Source: geometry; torsion as the sum of the flats. Bolted plates lie between the two answers.
    """
    t, e = wall, edge_wall
    lap = max(0.0, min(edge_height - hang, leg_up))
    if as_one:
        flats = [(lap, t + e), (leg_up - lap, t), (leg_back - t, t), (edge_height - lap, e)]
    else:
        flats = [(leg_up, t), (leg_back - t, t), (edge_height, e)]
    j = torsion.open_constant((b, s) for b, s in flats if b > 0)
    pieces = (
        Piece(region=Region(outer=rectangle(0.0, 0.0, t, leg_up))),
        Piece(region=Region(outer=rectangle(t, leg_up - t, leg_back, leg_up))),
        Piece(region=Region(outer=rectangle(-e, -hang, 0.0, edge_height - hang))),
    )
    return sections.built_up(
        pieces,
        torsion=j,
        torsion_modulus=j / (t + e if as_one and lap else max(t, e)),
        shear_y=5 / 6 * leg_back * t,
        shear_z=5 / 6 * (leg_up * t + edge_height * e),
    )
