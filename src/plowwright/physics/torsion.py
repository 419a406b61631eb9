"""Torsion of bars: closed tubes by Bredt, open sections as the sum of their flats, rounds exactly.

Each shape gives two numbers: the torsion constant J (twist per length = T / (G J)) and the torsion modulus
(greatest shear stress = T / modulus).
"""

from __future__ import annotations

from collections.abc import Iterable
from math import pi, sqrt

# A tube as the shapes table takes it: outside corner radius 2 t, so the mean line turns with 1.5 t.
_MEAN_CORNER = 1.5


def box_tube_constant(width: float, height: float, wall: float) -> float:
    """Torsion constant of a rectangular tube: J = 4 Am^2 t / p along the mean line, corners of radius 1.5 t.

    Valid for walls thin against the tube (t under a fifth of the smaller side). Table values are these; a
    finite-element cross-section gives 0.6 to 2.3 % more for small thick tubes.

    Args:
        width: Outside size [m].
        height: The other outside size [m].
        wall: Wall, the design wall for strength [m].

    Returns:
        Torsion constant [m4].

    Source: R. Bredt 1896, as in AISC Design Guide 9; edition 15 shapes table agrees (tests/sources).

    >>> inch = 0.0254
    >>> round(box_tube_constant(2 * inch, 2 * inch, 0.233 * inch) / inch**4, 2)
    1.31
    """
    b, h, r = width - wall, height - wall, _MEAN_CORNER * wall
    area = b * h - (4 - pi) * r * r
    around = 2 * (b + h) - (8 - 2 * pi) * r
    return 4 * area * area * wall / around


def box_tube_modulus(width: float, height: float, wall: float) -> float:
    """Torsion modulus of a rectangular tube: C = 2 (B - t)(H - t) t - 4.5 (4 - pi) t^3.

    Args:
        width: Outside size [m].
        height: The other outside size [m].
        wall: Wall, the design wall for strength [m].

    Returns:
        Torsion modulus [m3].

    Source: AISC 360-16 H3.1, user note.
    """
    return 2 * (width - wall) * (height - wall) * wall - 4.5 * (4 - pi) * wall**3


def round_tube_constant(diameter: float, wall: float) -> float:
    """Torsion constant of a round tube, or of a round bar when the wall is the radius: pi (D^4 - d^4) / 32.

    Args:
        diameter: Outside diameter [m].
        wall: Wall [m].

    Returns:
        Torsion constant [m4]; its modulus is this over the outside radius.

    Source: closed form.
    """
    inside = diameter - 2 * wall
    return pi * (diameter**4 - inside**4) / 32


def flat_constant(width: float, thickness: float) -> float:
    """Torsion constant of a flat: J = b t^3 / 3 (1 - 0.63 t/b (1 - t^4 / (12 b^4))).

    Args:
        width: One side [m].
        thickness: The other side; which is which does not matter [m].

    Returns:
        Torsion constant, within 0.3 % of Saint-Venant's series from square to strip [m4].

    Source: Roark's Formulas for Stress and Strain, table of torsion constants (from memory); checked in
    tests/sources.

    >>> inch = 0.0254
    >>> round(flat_constant(6 * inch, 0.5 * inch) / inch**4, 4)
    0.2369
    """
    b, t = max(width, thickness), min(width, thickness)
    return b * t**3 / 3 * (1 - 0.63 * t / b * (1 - (t / b) ** 4 / 12))


def flat_modulus(width: float, thickness: float) -> float:
    """Torsion modulus of a flat: b t^2 / (3 + 1.8 t / b), within 4 % of Saint-Venant's series.

    Args:
        width: One side [m].
        thickness: The other side [m].

    Returns:
        Torsion modulus [m3].

    Source: Shigley's Mechanical Engineering Design, torsion of rectangular bars (from memory).
    """
    b, t = max(width, thickness), min(width, thickness)
    return b * t * t / (3 + 1.8 * t / b)


def open_constant(flats: Iterable[tuple[float, float]]) -> float:
    """Torsion constant of an open section: the sum of its flats, each with its end correction.

    Args:
        flats: Width and thickness of each flat; a corner is counted once [m].

    Returns:
        Torsion constant [m4]. Low by what root fillets add: 5 to 12 % for rolled angles.

    Source: handbook sum of b t^3 / 3; see `flat_constant`.
    """
    return sum(flat_constant(b, t) for b, t in flats)


def angle_constant(leg_u: float, leg_v: float, thickness: float, fillet: float = 0.0) -> float:
    """Torsion constant of a rolled angle of equal walls, with what the junction and its root fillet add.

    J = K1 + K2 + alpha D^4, D the circle inscribed in the root.

    Args:
        leg_u: Length of one leg [m].
        leg_v: Length of the other leg [m].
        thickness: Thickness of both legs [m].
        fillet: Radius of the root fillet, 0 for a sharp root [m].

    Returns:
        Torsion constant, within 4 % of a finite-element cross-section [m4].

    Source: Roark's Formulas for Stress and Strain, table of torsion constants, L section (from memory).
    """
    t, r = thickness, fillet
    a, c = max(leg_u, leg_v), min(leg_u, leg_v) - thickness
    long = a * t**3 * (1 / 3 - 0.21 * t / a * (1 - (t / a) ** 4 / 12))
    short = c * t**3 * (1 / 3 - 0.105 * t / c * (1 - (t / c) ** 4 / 192))
    inscribed = 2 * (2 * t + 3 * r - sqrt(2.0) * (2 * r + t))
    return long + short + (0.07 + 0.076 * r / t) * inscribed**4
