"""Fillet strength, direction, least and greatest legs, and the tabulated coefficients of eccentric seams.

Source: AISC 360-16 J2.2b, J2.4 and tables J2.4 and J2.5; AISC Manual table 8-8, angle 0, rows a = 0.1 and a = 0.2 as
printed.
"""

from __future__ import annotations

from math import pi, radians

import numpy as np
import pytest
from scipy.integrate import quad

from plowwright.physics import eccentric, welds
from plowwright.physics.joints import Seam, SeamGroup
from plowwright.units.constants import INCH, LBF

KIP = 1000 * LBF
K = [0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7]
C_SHAPED = {
    0.1: [1.86, 2.28, 2.78, 3.30, 3.83, 4.37, 4.92, 5.46],
    0.2: [1.76, 2.18, 2.63, 3.11, 3.60, 4.11, 4.61, 5.13],
}
SIXTEENTHS, LONG = 4, 10.0


def c_shape(k: float) -> tuple[tuple[Seam, ...], float]:
    """Upright seam on the left, two legs of k times its length to the right; and its centroid from the upright [in]."""
    leg, high, out = SIXTEENTHS / 16 * INCH, LONG * INCH, k * LONG * INCH
    seams = [Seam(name="upright", start=(0, 0, 0), end=(0, high, 0), leg=leg)]
    if k:
        seams.append(Seam(name="top", start=(0, high, 0), end=(out, high, 0), leg=leg))
        seams.append(Seam(name="bottom", start=(0, 0, 0), end=(out, 0, 0), leg=leg))
    return tuple(seams), k * k * LONG / (1 + 2 * k)


def test_a_sixteenth_of_fillet_bears_928_pounds_an_inch() -> None:
    per_sixteenth = welds.fillet_strength(INCH / 16) / KIP * INCH
    assert per_sixteenth == pytest.approx(0.928, abs=0.0005)
    assert welds.fillet_strength(INCH / 16, safety=1 / 0.75) / KIP * INCH == pytest.approx(1.392, abs=0.0005)
    assert welds.fillet_strength(INCH / 16, safety=1.0) / KIP * INCH == pytest.approx(1.8562, rel=1e-3)


@pytest.mark.parametrize(("degrees", "factor"), [(0, 1.0), (45, 1.2973), (90, 1.5)])
def test_a_seam_pulled_across_bears_up_to_half_as_much_again(degrees: float, factor: float) -> None:
    assert float(welds.direction_factor(radians(degrees))) == pytest.approx(factor, rel=1e-4)


@pytest.mark.parametrize(
    ("thickness", "leg"), [(1 / 4, 1 / 8), (0.26, 3 / 16), (1 / 2, 3 / 16), (5 / 8, 1 / 4), (3 / 4, 1 / 4), (1, 5 / 16)]
)
def test_the_least_leg_goes_by_the_thinner_part(thickness: float, leg: float) -> None:
    assert welds.least_leg(thickness * INCH) == pytest.approx(leg * INCH)


@pytest.mark.parametrize(("edge", "leg"), [(0.1875, 0.1875), (0.25, 0.1875), (0.375, 0.3125)])
def test_along_an_edge_the_leg_stays_a_sixteenth_back(edge: float, leg: float) -> None:
    assert welds.greatest_leg(edge * INCH) == pytest.approx(leg * INCH)


@pytest.mark.parametrize(
    ("a", "k", "printed"), [(a, k, c) for a, row in C_SHAPED.items() for k, c in zip(K, row, strict=True)]
)
def test_a_c_shaped_group_has_the_printed_coefficient(a: float, k: float, printed: float) -> None:
    seams, centroid = c_shape(k)
    # The load is on the open side, a times the upright off the centroid.
    at = (centroid + a * LONG) * INCH
    found = eccentric.seam_group(seams, load_at=(at, 0.0), direction=-pi / 2)
    # The table prints three figures: half of the last is 0.3 %.
    assert found.strength / KIP / (SIXTEENTHS * LONG) == pytest.approx(printed, rel=0.005)
    assert found.residual < 1e-9


def test_one_line_far_off_its_load_bears_the_moment_of_its_own_strength_summed_up() -> None:
    """The far end of the table by another road: the centre in the middle, every piece pushed across itself."""
    seams, _ = c_shape(0)
    far = 400.0
    found = eccentric.seam_group(seams, load_at=(far * LONG * INCH, 0.0), direction=-pi / 2)
    at_peak, most = 0.209 * 92**-0.32, 1.087 * 96**-0.65
    leg, half = SIXTEENTHS / 16 * INCH, LONG * INCH / 2

    def moment(r: float) -> float:
        p = most / at_peak * r / half
        return welds.fillet_strength(leg, safety=1.0) * 1.5 * (p * (1.9 - 0.9 * p)) ** 0.3 * r

    expected = 2 * quad(moment, 0.0, half)[0]
    assert found.strength * far * LONG * INCH == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize("k", [0.3, 0.7])
def test_the_elastic_method_never_promises_more_than_the_instantaneous_centre(k: float) -> None:
    seams, centroid = c_shape(k)
    at = (centroid + 0.2 * LONG) * INCH
    exact = eccentric.seam_group(seams, load_at=(at, 0.0), direction=-pi / 2).strength
    group = SeamGroup(name="bracket", seams=seams)
    stress = np.linalg.norm(group.leg_stress((0, -1.0, 0), (0, 0, 0), (at, 0.0, 0.0)), axis=-1).max()
    elastic = welds.fillet_strength(1.0, safety=1.0) / stress
    assert 0.5 < elastic / exact < 1.0
