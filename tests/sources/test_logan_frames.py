"""Source: D. L. Logan, A First Course in the Finite Element Method, 4th ed., Example 5.8 and Problem 5.30.

The figures are as the repository of PyNiteFEA quotes them, in inches and kips; the tolerances are their printed digits.
"""

from __future__ import annotations

import pytest

from tests.references.frames import frame, members, nodal


def test_the_space_frame_of_three_members_in_logan_moves_as_printed() -> None:
    bars = members(
        [(1, 0), (2, 0), (3, 0)],
        area=10, inertia_y=100, inertia_z=100, torsion=50, young=30000, shear_modulus=10000, up=(0.3, 0.2, 0.1),
    )  # fmt: skip
    made = frame([(0, 0, 0), (-100, 0, 0), (0, 0, -100), (0, -100, 0)], bars, fixed=dict.fromkeys((1, 2, 3), "xyzXYZ"))
    result = made.solve(nodal(4, (0, (0, -50, 0, -1000, 0, 0))))
    printed = (7.098e-05, -0.0139951, -0.002352, -0.003996, 1.78e-05, -0.0001033)
    assert result.displacements[0, 0] == pytest.approx(printed, rel=1e-3)


def test_the_gable_frame_in_logan_thrusts_and_sags_as_printed() -> None:
    bars = members(
        [(k, k + 1) for k in range(5)], area=12, inertia_y=200, inertia_z=200, torsion=100, young=30000,
        shear_modulus=11500,
    )  # fmt: skip
    places = [(0, 0, 0), (0, 360, 0), (180, 480, 0), (420, 480, 0), (600, 360, 0), (600, 0, 0)]
    made = frame(places, bars, fixed={0: "xyzXYZ", 5: "xyzXYZ"})
    down = (0, -30, 0, 0, 0, 0)
    result = made.solve(nodal(6, (2, down), (3, down)))
    assert result.reactions[0, 0, [0, 1, 5]] == pytest.approx((11.6877, 30, -1810.0745), rel=1e-4)
    assert result.displacements[0, 2, 1] == pytest.approx(-6.66676, rel=1e-4)
