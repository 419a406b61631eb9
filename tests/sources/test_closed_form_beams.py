"""Source: closed forms of beam theory, as any handbook of strength of materials has them.

Inches and kips, as the figures were first worked out: a frame does not care which consistent units it is given in. One
member is exact at its ends, so a tolerance above 1e-6 is that of the figure: six digits, or a largest sag that is read
off at nodes.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from plowwright.physics.frames import Frame, Loads
from tests.references.frames import frame, members, nodal

YOUNG, INERTIA, LENGTH = 29000.0, 4.93, 100.0
SECTION = {
    "area": 2.24,
    "inertia_y": INERTIA,
    "inertia_z": INERTIA,
    "torsion": 6.26,
    "young": YOUNG,
    "shear_modulus": 11200.0,
}


def beam(places: list[float], *, start: str, end: str, **section: float) -> Frame:
    """A beam along x with nodes at the places."""
    bars = members([(k, k + 1) for k in range(len(places) - 1)], **{**SECTION, **section})
    return frame([(x, 0, 0) for x in places], bars, fixed={0: start, len(places) - 1: end})


def along(made: Frame, size: float) -> Loads:
    """An even load upwards."""
    uniform = np.zeros((1, len(made.members.names), 3))
    uniform[..., 2] = size
    return Loads(names=("even",), nodal=np.zeros((1, len(made.nodes), 6)), uniform=uniform)


def test_the_end_of_a_cantilever_goes_down_by_p_l3_over_3ei() -> None:
    made = beam([0, LENGTH], start="xyzXYZ", end="")
    result = made.solve(nodal(2, (1, (0, 0, -1, 0, 0, 0))))
    assert result.displacements[0, 1, 2] == pytest.approx(-2.331491, rel=1e-6)
    assert abs(result.reactions[0, 0, 4]) == pytest.approx(100, rel=1e-9)


def test_shear_adds_p_l_over_g_a_to_a_cantilever_and_w_l2_over_8ga_to_a_beam_on_two_supports() -> None:
    shear_area = 0.9
    made = beam([0, 20], start="xyzXYZ", end="", shear_z=shear_area)
    result = made.solve(nodal(2, (1, (0, 0, -1, 0, 0, 0))))
    assert -result.displacements[0, 1, 2] == pytest.approx(
        20**3 / (3 * YOUNG * INERTIA) + 20 / (11200 * shear_area), rel=1e-9
    )
    made = beam([0, 7, 10, 20], start="xyzX", end="yzX", shear_z=shear_area)
    result = made.solve(along(made, -0.5))
    wanted = 5 * 0.5 * 20**4 / (384 * YOUNG * INERTIA) + 0.5 * 20**2 / (8 * 11200 * shear_area)
    assert -result.displacements[0, 2, 2] == pytest.approx(wanted, rel=1e-9)


def test_a_beam_fixed_at_both_ends_has_w_l2_over_12_there_and_half_of_it_at_mid_length() -> None:
    made = beam([0, 50, LENGTH], start="xyzXYZ", end="xyzXYZ")
    result = made.solve(along(made, -0.01))
    assert -result.displacements[0, 1, 2] == pytest.approx(0.0182148, rel=1e-5)
    assert abs(result.reactions[0, 0, 4]) == pytest.approx(8.33333, rel=1e-5)
    inside = result.internal(np.array([0.0, 1.0]))
    assert abs(inside[0, 0, 1, 4]) == pytest.approx(0.01 * LENGTH**2 / 24, rel=1e-9)
    assert inside[0, 0, 0, 4] * inside[0, 0, 1, 4] < 0


def test_a_propped_cantilever_carries_three_eighths_of_its_load_on_the_prop() -> None:
    places = np.linspace(0, LENGTH, 41)
    made = beam(places.tolist(), start="xyzXYZ", end="z")
    result = made.solve(along(made, -0.01))
    assert result.reactions[0, -1, 2] == pytest.approx(0.375, rel=1e-9)
    assert -result.displacements[0, :, 2].min() == pytest.approx(0.037808, rel=3e-3)


def test_a_beam_with_its_load_off_centre_sags_most_where_the_handbook_says() -> None:
    a = 30.0
    at = LENGTH - math.sqrt((LENGTH**2 - a**2) / 3)
    made = beam([0, a, at, LENGTH], start="xyzX", end="yz")
    result = made.solve(nodal(4, (1, (0, 0, -1, 0, 0, 0))))
    assert -result.displacements[0, 2, 2] == pytest.approx(0.1168518, rel=1e-6)
    assert result.displacements[0, 2, 4] == pytest.approx(0, abs=1e-12)


def test_a_bar_fixed_at_both_ends_shares_two_torques_by_the_distance_to_the_ends() -> None:
    made = beam([0, 36, 132, 168], start="xyzXYZ", end="xyzXYZ")
    result = made.solve(nodal(4, (1, (0, 0, 0, 5, 0, 0)), (2, (0, 0, 0, 10, 0, 0))))
    assert result.reactions[0, [0, 3], 3] == pytest.approx((-6.071429, -8.928571), rel=1e-6)


def test_a_bracket_bends_and_twists_as_the_sum_of_its_closed_forms() -> None:
    bars = members([(0, 1), (1, 2)], **{**SECTION, "inertia_y": 3.16}, up=[(0, 0, 1), (-1, 0, 0)])
    made = frame([(0, 0, 0), (48, 0, 0), (48, 0, 30)], bars, fixed={0: "xyzXYZ"})
    result = made.solve(nodal(3, (2, (2, -1, 0, 0, 0, 0))))
    assert result.displacements[0, 2, :3] == pytest.approx((1.14072, -0.936952, -0.754256), rel=1e-4)
    assert result.reactions[0, 0, 3:] == pytest.approx((-30, -60, 48), rel=1e-9)
    closed = 48**3 / (3 * YOUNG * INERTIA) + 30**3 / (3 * YOUNG * INERTIA) + 30**2 * 48 / (11200 * 6.26)
    assert -result.displacements[0, 2, 1] == pytest.approx(closed, rel=1e-9)
