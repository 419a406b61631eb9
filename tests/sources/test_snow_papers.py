"""Snow densities, tyre grip and what tests of plows found.

Source: Glossary of Meteorology and an open course text (densities, read); CRREL Report 95-07 (field and packed snow,
read); Noon 1994 (tyre friction, read); Nicolletti et al., SAE 1996, and Kempainen et al., Int. J. Vehicle Design 19(4),
1998 (abstracts).
"""

from __future__ import annotations

import numpy as np
import pytest

from plowwright.physics.snow import Front, Snow, density, grip, resistance
from plowwright.units.constants import DEGREE


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("new snow", 70, 150),
        ("new snow, cold and light", 50, 70),
        ("undisturbed snow in the field", 110, 250),
        ("firn", 400, 830),
        ("ice", 830, 923),
        ("packed by a tyre, over 700 kPa", 650, 650),
    ],
)
def test_densities(name: str, low: float, high: float) -> None:
    assert (density(name).low, density(name).high) == (low, high)


@pytest.mark.parametrize(
    ("ground", "low", "high"),
    [("gravel", 0.35, 0.35), ("dry pavement", 0.65, 0.65), ("wet pavement", 0.5, 0.5), ("packed snow", 0.20, 0.25)],
)
def test_grip(ground: str, low: float, high: float) -> None:
    assert (grip(ground).low, grip(ground).high) == (low, high)


def test_grip_on_ice_spans_both_sources() -> None:
    assert grip("ice").low == 0.08 and grip("ice").high == 0.15


def test_at_low_speed_a_straight_line_through_the_force_is_close() -> None:
    # The paper finds plow forces nearly linear in speed at low speed; our bracket, up to 4 m/s, strays under 5 %.
    front, speeds = Front(width=2.1, height=0.8, angle=30 * DEGREE, on_edge=2500.0), np.linspace(0.0, 4.0, 9)
    highs = np.array([resistance(front, Snow(density=150.0), 0.15, float(v))[1] for v in speeds])
    line = np.polyval(np.polyfit(speeds, highs, 1), speeds)
    assert np.abs(highs / line - 1.0).max() < 0.05
