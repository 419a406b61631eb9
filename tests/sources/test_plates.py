"""Source: tables of rectangular plates under even pressure, Timoshenko and Woinowsky-Krieger, Theory of Plates and
Shells, and Roark's Formulas for Stress and Strain. The simply supported rows were summed again here from Navier's
series; the clamped rows are from memory.

Greatest deflection is alpha q b^4 / (E t^3), greatest stress beta q b^2 / t^2, b the shorter side, Poisson's ratio 0.3.
The tables are for thin plates: ours are 1/200 of the shorter side thick, where shear gives less than a thousandth.
"""

from __future__ import annotations

from math import pi

import numpy as np
import pytest

from plowwright.physics import shells
from tests.references.shells import POISSON, STEEL, patch

SUPPORTED = [(1.0, 0.0444, 0.2874), (1.4, 0.0774, 0.4533), (2.0, 0.1106, 0.6101), (3.0, 0.1336, 0.7132)]
CLAMPED = [(1.0, 0.0138, 0.3078), (2.0, 0.0277, 0.4974)]
THICK = 0.005


def plate(ratio: float, *, clamped: bool, n: int) -> tuple[float, float, float]:
    """Deflection as alpha, stress in the middle and at the middle of the long side as beta, by our shell.

    A quarter of the plate; stresses are those in the plates next to the point, carried on to it in a straight line.
    """
    long = ratio
    shell = patch(lambda a, b: (a * long / 2, b / 2, 0.0), n, thickness=THICK)
    held = shell.loose()
    held[:, [0, 1, 5]] = True
    held[shell.u == 0, 2] = held[shell.v == 0, 2] = True
    held[shell.u == 0, 3] = held[shell.v == 0, 4] = True
    held[shell.u == 1, 4] = held[shell.v == 1, 3] = True
    if clamped:
        held[shell.u == 0] = held[shell.v == 0] = True
    loads = np.zeros((1, len(shell.u), 6))
    loads[0, :, 2] = shell.spread(long / 4)
    moved = shells.factor(shell.mesh, held=held).solve(loads)
    alpha = moved[0, -1, 2] * STEEL * THICK**3
    # Across the long side, v is the shorter direction: My of the column next to the middle line, from foot to middle.
    column = np.arange((n - 1) * n, n * n)
    across = 6 * np.abs(shell.mesh.resultants(moved, column)[0, :, 4])
    middle, side = 1.5 * across[-1] - 0.5 * across[-2], 1.5 * across[0] - 0.5 * across[1]
    return float(alpha), float(middle), float(side)


def navier(ratio: float) -> tuple[float, float]:
    """alpha and beta of the supported plate from the double series."""
    odd = np.arange(1, 200, 2)
    m, n = odd[:, None], odd[None, :]
    sign = np.where(((m + n) // 2 - 1) % 2 == 0, 1.0, -1.0)
    bottom = m * n * ((m / ratio) ** 2 + n**2) ** 2
    alpha = 12 * (1 - POISSON**2) * 16 / pi**6 * (sign / bottom).sum()
    beta = 6 * 16 / pi**4 * (sign * (n**2 + POISSON * (m / ratio) ** 2) / bottom).sum()
    return float(alpha), float(beta)


@pytest.mark.parametrize(("ratio", "alpha", "beta"), SUPPORTED)
def test_the_table_of_supported_plates_is_what_the_series_gives(ratio: float, alpha: float, beta: float) -> None:
    """Four figures of the table: half a unit of the last one is 0.2 %."""
    found = navier(ratio)
    assert found == (pytest.approx(alpha, rel=2e-3), pytest.approx(beta, rel=2e-3))


@pytest.mark.parametrize(("ratio", "alpha", "beta"), SUPPORTED)
def test_a_supported_plate_sags_and_is_stressed_as_the_table_says(ratio: float, alpha: float, beta: float) -> None:
    """Half a per cent, as the row asks, with 24 plates along each half side."""
    found, middle, _ = plate(ratio, clamped=False, n=24)
    assert found == pytest.approx(alpha, rel=0.005)
    assert middle == pytest.approx(beta, rel=0.005)


@pytest.mark.parametrize(("ratio", "alpha", "beta"), CLAMPED)
def test_a_clamped_plate_sags_and_is_stressed_at_its_side_as_the_table_says(
    ratio: float, alpha: float, beta: float
) -> None:
    """One per cent, as the row asks."""
    found, _, side = plate(ratio, clamped=True, n=32)
    assert found == pytest.approx(alpha, rel=0.01)
    assert side == pytest.approx(beta, rel=0.01)


@pytest.mark.parametrize("clamped", [False, True])
def test_a_coarse_plate_is_within_three_per_cent(clamped: bool) -> None:
    """Six plates along each half side, about as coarse as the skin between two webs."""
    alpha = (CLAMPED if clamped else SUPPORTED)[0][1]
    assert plate(1.0, clamped=clamped, n=6)[0] == pytest.approx(alpha, rel=0.03)
