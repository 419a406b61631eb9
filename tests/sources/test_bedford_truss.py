"""Source: A. Bedford and W. Fowler, Engineering Mechanics: Statics, 4th ed., Problem 6.64.

The forces are as the repository of PyNiteFEA quotes them, three digits each.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.references.frames import frame, members, nodal


def test_the_space_truss_in_bedford_and_fowler_carries_the_printed_forces() -> None:
    places = [(1.1, -0.4, 0), (1, 0, 0), (0, 0, 0.6), (0, 0, -0.4), (0, 0.8, 0)]
    a, b, c, d, e = range(5)
    ends = [(a, b), (a, c), (a, d), (b, c), (b, d), (b, e)]
    bars = members(ends, up=(0.2, 0.1, 0.3))
    made = frame(
        places,
        bars,
        fixed={a: "XYZ", b: "XYZ", **dict.fromkeys((c, d, e), "xyzXYZ")},
        released=dict.fromkeys(range(6), (4, 5, 10, 11)),
    )
    result = made.solve(nodal(5, (a, (10, 60, 20, 0, 0, 0))))
    tension = result.internal(np.array([0.5]))[0, :, 0, 0]
    assert tension[3:] == pytest.approx((32.7, 45.2, -112.1), rel=3e-3)
