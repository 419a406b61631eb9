"""Strength of seams and bolts loaded off their centre in their own plane: the instantaneous-centre method.

The part turns about one point of the plane; each piece of seam, or bolt, is displaced square to its arm and in
proportion to it, the one that first reaches its greatest displacement sets the scale, and the place of the point is
the one that leaves no force over. Stronger than the elastic method of `joints.py`, and used to judge how much that
one keeps back.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import cos, sin

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from plowwright.errors import ModelError
from plowwright.physics.joints import Seam
from plowwright.physics.welds import E70, THROAT
from plowwright.units.constants import INCH

Floats = NDArray[np.float64]
Law = Callable[[Floats, Floats], Floats]

_PIECES = 200
_ROUND_OFF = 1e-6
_BOLT_STRETCH = 0.34 * INCH
"""Displacement of a bolt at its greatest shear [m]; from tests on 3/4 in A325 bolts."""
_BOLT_DECAY = 10.0 / INCH


@dataclass(frozen=True, slots=True, kw_only=True)
class Turning:
    """What the method finds.

    Attributes:
        strength: Load the group carries in its line of action, nominal [N].
        centre: The instantaneous centre [m].
        residual: Force left over as a share of the load [-].
    """

    strength: float
    centre: tuple[float, float]
    residual: float


def seam_group(
    seams: Sequence[Seam], *, load_at: tuple[float, float], direction: float, electrode: float = E70
) -> Turning:
    """Nominal strength of seams in the x-y plane under one load in that plane.

    R = 0.60 F_EXX throat (1 + 0.5 sin^1.5 theta) (p (1.9 - 0.9 p))^0.3, p = displacement over
    0.209 (theta + 2)^-0.32 leg, rupture at 1.087 (theta + 6)^-0.65 leg but at most 0.17 leg, theta in degrees.

    Args:
        seams: Runs of fillet; z is not looked at.
        load_at: A point of the load's line of action [m].
        direction: Where the load points, from x towards y [rad].
        electrode: Tensile strength of the weld metal [Pa].

    Raises:
        ModelError: No centre leaves the forces in balance.

    Source: AISC Manual part 8 and AISC 360-16 J2.4; within 0.5 % of the printed coefficients (tests/sources).
    """
    places, along, runs, legs = _pieces(seams)
    strength = 0.60 * electrode * THROAT * legs * runs

    def law(arm: Floats, across: Floats) -> Floats:
        # The force is square to the arm, so the seam's angle to the force is the arm's angle to the seam's normal.
        cosine = np.abs(np.einsum("pi,pi->p", across, along))
        theta = np.degrees(np.arccos(np.clip(cosine, 0.0, 1.0)))
        most = np.minimum(1.087 * (theta + 6.0) ** -0.65, 0.17) * legs
        at_peak = 0.209 * (theta + 2.0) ** -0.32 * legs
        p = arm * float((most / arm).min()) / at_peak
        curve = np.clip(p * (1.9 - 0.9 * p), 0.0, None) ** 0.3
        return strength * (1.0 + 0.5 * np.sin(np.radians(theta)) ** 1.5) * curve

    return _balanced(places, load_at, direction, law, "seams")


def bolt_group(
    places: Sequence[tuple[float, float]], *, load_at: tuple[float, float], direction: float, one: float
) -> Turning:
    """Nominal strength of equal bolts in shear in their plane: R = R1 (1 - e^(-10 d))^0.55, d in inches up to 0.34.

    Args:
        places: Bolts in the plane [m].
        load_at: A point of the load's line of action [m].
        direction: Where the load points, from x towards y [rad].
        one: Strength of one bolt [N].

    Raises:
        ModelError: No centre leaves the forces in balance.

    Source: Crawford and Kulak 1971 as in AISC Manual part 7 (from memory); within 1 % of the printed coefficients.
    """

    def law(arm: Floats, across: Floats) -> Floats:
        del across
        stretch = _BOLT_STRETCH * arm / arm.max()
        return one * (1.0 - np.exp(-_BOLT_DECAY * stretch)) ** 0.55

    return _balanced(np.array(places, dtype=float), load_at, direction, law, "bolts")


def _pieces(seams: Sequence[Seam]) -> tuple[Floats, Floats, Floats, Floats]:
    """Middles, directions, lengths and legs of short pieces of every seam."""
    places: list[Floats] = []
    along: list[Floats] = []
    runs: list[Floats] = []
    legs: list[Floats] = []
    shares = (np.arange(_PIECES) + 0.5) / _PIECES
    for seam in seams:
        a, b = np.array(seam.start[:2]), np.array(seam.end[:2])
        run = float(np.linalg.norm(b - a))
        places.append(a + shares[:, None] * (b - a))
        along.append(np.tile((b - a) / run, (_PIECES, 1)))
        runs.append(np.full(_PIECES, run * seam.share / _PIECES))
        legs.append(np.full(_PIECES, seam.leg))
    return np.vstack(places), np.vstack(along), np.concatenate(runs), np.concatenate(legs)


def _balanced(places: Floats, load_at: tuple[float, float], direction: float, law: Law, what: str) -> Turning:
    """Find the centre: forces and load in balance, the load's size following from its moment about the centre."""
    middle = places.mean(axis=0)
    size = float(np.abs(places - middle).max())
    load = np.array([cos(direction), sin(direction)])
    arm = np.array(load_at) - middle
    turn = float(arm[0] * load[1] - arm[1] * load[0])
    if abs(turn) < 1e-9 * size:
        arms = np.full(len(places), 1e6 * size)
        across = np.tile(load, (len(places), 1))
        return Turning(strength=float(law(arms, across).sum()), centre=(float("inf"), float("inf")), residual=0.0)
    sense = 1.0 if turn > 0 else -1.0

    def state(centre: Floats) -> tuple[Floats, float]:
        reach = places - centre
        radius = np.maximum(np.linalg.norm(reach, axis=1), 1e-9 * size)
        across = sense * np.column_stack([-reach[:, 1], reach[:, 0]]) / radius[:, None]
        force = law(radius, across)
        lever = np.array(load_at) - centre
        about = float(lever[0] * load[1] - lever[1] * load[0])
        carried = float((force * radius).sum()) * sense / about if abs(about) > 1e-12 * size else float("inf")
        return (force[:, None] * across).sum(axis=0) - carried * load, carried

    def left(centre: Floats) -> Floats:
        over, carried = state(centre)
        return over / max(abs(carried), 1e-30) if np.isfinite(carried) else np.array([1e3, 1e3])

    # The elastic centre lies on the far side of the group, square to the load, at I_polar / (n e).
    polar = float(((places - middle) ** 2).sum()) / len(places)
    normal = np.array([-load[1], load[0]])
    tries = [middle + normal * polar / turn * scale for scale in (1.0, 0.5, 0.25, 2.0)]
    best = min(
        (least_squares(left, start, xtol=1e-14, ftol=1e-14, gtol=1e-14) for start in tries), key=lambda r: r.cost
    )
    residual = float(np.linalg.norm(best.fun))
    if residual > _ROUND_OFF:
        raise ModelError(
            f"no centre about which these {what} turn leaves their forces in balance",
            value=f"{residual:.2g} of the load left over",
            limit=f"{_ROUND_OFF:g}",
            way_out="Use the elastic method for this joint.",
        )
    return Turning(strength=abs(state(best.x)[1]), centre=(float(best.x[0]), float(best.x[1])), residual=residual)
