"""Tensile stress areas of the coarse inch threads.

Source: ASME B1.1, unified inch screw threads: At = 0.7854 (d - 0.9743 / n)^2.
"""

from __future__ import annotations

import pytest

from plowwright.errors import ModelError
from plowwright.physics.bolts import coarse_pitch, tensile_area
from plowwright.units.constants import INCH

TABLE = [
    (0.25, 20, 0.0318), (0.375, 16, 0.0775), (0.5, 13, 0.1419), (0.625, 11, 0.226), (0.75, 10, 0.334), (1.0, 8, 0.606),
]  # fmt: skip


@pytest.mark.parametrize(("size", "threads", "area"), TABLE)
def test_a_coarse_thread_has_the_tables_area(size: float, threads: int, area: float) -> None:
    pitch = coarse_pitch(size * INCH)
    assert pitch == pytest.approx(INCH / threads)
    # The table prints three figures.
    assert tensile_area(size * INCH, pitch) / INCH**2 == pytest.approx(area, rel=0.003)


def test_a_size_the_series_does_not_have_is_refused_by_value() -> None:
    with pytest.raises(ModelError, match=r"no such bolt \(given: 0.55 in\); limit: 1/4 in, .*Give the pitch"):
        coarse_pitch(0.55 * INCH)
