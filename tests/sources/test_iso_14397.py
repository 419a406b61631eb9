"""Rated operating load of loaders.

Source: ISO 14397-1 / SAE J818: 50 % of tipping on wheels, 35 % on tracks (fractions read in a machine manual quoting
SAE J818; the clause itself not reached); rated load limited by hydraulic lift as well (definition 3.1, from memory).
"""

from __future__ import annotations

import pytest

from plowwright.physics.lifting import RATED_SHARE, rated_load
from plowwright.units.constants import LB


def test_half_of_tipping_on_wheels_and_35_per_cent_on_tracks() -> None:
    assert RATED_SHARE == {"wheels": 0.5, "tracks": 0.35}
    assert rated_load(4350 * LB, "wheels") / LB == pytest.approx(2175)
    assert rated_load(5700 * LB, "tracks") / LB == pytest.approx(1995)


def test_never_more_than_the_hydraulics_lift() -> None:
    assert rated_load(4000 * LB, "wheels", hydraulic=1900 * LB) / LB == pytest.approx(1900)
