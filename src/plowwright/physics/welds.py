"""Fillet welds: strength, direction, least and greatest leg, and the throat a load needs."""

from __future__ import annotations

from math import sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

from plowwright.units.constants import INCH, PSI

Floats = NDArray[np.float64]

THROAT = 1.0 / sqrt(2.0)
"""Throat over leg of an equal-leg fillet [-]."""
E70 = 70e3 * PSI
"""Tensile strength of E70 weld metal [Pa]."""
SAFETY = 2.0
"""Safety factor of welds, bolts in shear and bearing under allowable loads [-] (AISC 360 chapter J)."""

# Leg by thickness of the thinner part joined.
_LEAST_LEG = ((1 / 4, 1 / 8), (1 / 2, 3 / 16), (3 / 4, 1 / 4))


def fillet_strength(leg: float, *, electrode: float = E70, safety: float = SAFETY) -> float:
    """Allowable force per length of a fillet, whatever its direction: 0.60 F_EXX x 0.7071 leg / safety.

    Valid for the weld metal; the plate beside it is `plate_shear`.

    Args:
        leg: Leg of the fillet [m].
        electrode: Tensile strength of the weld metal [Pa].
        safety: Safety factor, 2.00 for allowable loads, 1 for the nominal strength [-].

    Returns:
        Force per length [N/m].

    Source: AISC 360-16 J2.4 and table J2.5.

    >>> kip_per_inch = 4448.2216 / 0.0254
    >>> round(fillet_strength(0.0254 / 16) / kip_per_inch, 3)
    0.928
    """
    return 0.60 * electrode * THROAT * leg / safety


def direction_factor(angle: ArrayLike) -> Floats:
    """Gain of a fillet loaded across its length: 1 + 0.5 sin(theta)^1.5.

    Not for the ends of tubes, whose effective lengths already count it, nor where seams of several directions must
    move together: then only with the instantaneous centre.

    Args:
        angle: Between the force and the seam, 0 along it [rad].

    Returns:
        Factor on the strength [-].

    Source: AISC 360-16 J2.4(b).

    >>> float(direction_factor(np.pi / 2))
    1.5
    """
    return 1.0 + 0.5 * np.abs(np.sin(np.asarray(angle, dtype=float))) ** 1.5


def angle_to_seam(vectors: Floats, directions: Floats) -> Floats:
    """Angle between force vectors and the seams they act on.

    Args:
        vectors: Force per length, (..., seams, places, 3) [N/m or Pa].
        directions: Unit vectors along the seams, (seams, 3) [-].

    Returns:
        Angles from 0 to a right angle; 0 where there is no force [rad].
    """
    along = np.abs(np.einsum("...spi,si->...sp", vectors, directions))
    size = np.linalg.norm(vectors, axis=-1)
    share = np.divide(along, size, out=np.ones_like(size), where=size > 0)
    return np.arccos(np.clip(share, 0.0, 1.0))


def plate_shear(thickness: float, tensile: float, *, safety: float = SAFETY) -> float:
    """Allowable shear per length of the plate beside a weld: 0.60 Fu t / safety.

    Args:
        thickness: Thickness of the plate [m].
        tensile: Tensile strength of the plate [Pa].
        safety: Safety factor [-].

    Returns:
        Force per length [N/m].

    Source: AISC 360-16 J4.2(b), shear rupture.
    """
    return 0.60 * tensile * thickness / safety


def least_leg(thinner: float) -> float:
    """Least leg of a fillet by the thinner part joined: 1/8, 3/16, 1/4, 5/16 in up to 1/4, 1/2, 3/4 in and over.

    Args:
        thinner: Thickness of the thinner part [m].

    Returns:
        Leg [m]; it need not exceed the thinner part itself.

    Source: AISC 360-16 table J2.4. AWS D1.1 has the same sizes by the thicker part where neither preheat nor
    low-hydrogen metal is used, and 3/16 in as the least under repeated loads (from memory).

    >>> round(least_leg(0.5 * INCH) / INCH, 4), round(least_leg(0.51 * INCH) / INCH, 4)
    (0.1875, 0.25)
    """
    leg = next((leg for limit, leg in _LEAST_LEG if thinner <= limit * INCH * (1 + 1e-9)), 5 / 16)
    return min(leg * INCH, thinner)


def greatest_leg(edge: float) -> float:
    """Greatest leg of a fillet laid along a plate's edge: the thickness under 1/4 in, 1/16 in less from there on.

    Args:
        edge: Thickness of the plate whose edge is lapped [m].

    Returns:
        Leg [m].

    Source: AISC 360-16 J2.2b.

    >>> [round(greatest_leg(t * INCH) / INCH, 4) for t in (0.1875, 0.25, 0.375)]
    [0.1875, 0.1875, 0.3125]
    """
    return edge if edge < 0.25 * INCH * (1 - 1e-9) else edge - INCH / 16
