"""S-N curves of welded details and Miner's sum.

Source: EN 1993-1-9:2005 7.1; the values were run with the package `fatpack`, which is run here again. The detail
categories and the shear curve's cut-off are from memory.
"""

from __future__ import annotations

import math

import fatpack
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.physics.fatigue import DETAILS, SNCurve, detail_curve, shear_curve

MPA = 1e6
LIMITS = [
    (36, 26.53, 14.57), (56, 41.26, 22.66), (63, 46.42, 25.5), (71, 52.31, 28.74), (80, 58.94, 32.38),
    (90, 66.31, 36.42), (100, 73.68, 40.47), (112, 82.52, 45.33), (160, 117.89, 64.75),
]  # fmt: skip
ENDURANCE = [(150, 212095), (100, 715822), (71, 2e6), (60, 3313990), (50, 6268710), (40, 19130590), (30, 80616160)]
BLOCKS = [(120, 1e4), (90, 5e4), (60, 2e5), (45, 1e6), (30, 5e6), (20, 5e7)]


@pytest.mark.parametrize(("category", "knee", "cut_off"), LIMITS)
def test_each_category_has_the_standards_knee_and_cut_off(category: float, knee: float, cut_off: float) -> None:
    curve = SNCurve(category=category * MPA)
    assert curve.at_knee / MPA == pytest.approx(knee, rel=0.001)
    assert curve.at_cut_off / MPA == pytest.approx(cut_off, rel=0.001)


@pytest.mark.parametrize(("stress", "cycles"), ENDURANCE)
def test_category_71_bears_the_cycles_of_the_standard(stress: float, cycles: float) -> None:
    assert float(SNCurve(category=71 * MPA).endurance(stress * MPA)) == pytest.approx(cycles, rel=0.001)


def test_under_the_cut_off_nothing_is_harmed() -> None:
    assert math.isinf(float(SNCurve(category=71 * MPA).endurance(28 * MPA)))


def test_miners_sum_of_six_blocks_is_the_reference_packages() -> None:
    stress, counts = np.array(BLOCKS).T
    ours = SNCurve(category=71 * MPA).damage(stress * MPA, counts)
    assert ours == pytest.approx(0.291629, rel=0.001)
    assert ours == pytest.approx(fatpack.TriLinearEnduranceCurve(71).find_miner_sum(np.array(BLOCKS)), rel=1e-9)


@given(stress=st.floats(20, 400), category=st.sampled_from([36, 56, 71, 80, 112]))
def test_any_stress_range_bears_what_the_reference_package_says(stress: float, category: float) -> None:
    theirs = float(fatpack.TriLinearEnduranceCurve(category).get_endurance(stress))
    ours = float(SNCurve(category=category * MPA).endurance(stress * MPA))
    assert ours == pytest.approx(theirs, rel=1e-9)


def test_the_shear_curve_ends_at_0457_of_its_category() -> None:
    for category in (80, 100):
        assert shear_curve(category * MPA).at_cut_off / category / MPA == pytest.approx(0.457, rel=0.005)


def test_the_details_named_have_the_categories_remembered() -> None:
    assert DETAILS["toe of a load-carrying fillet"] == 80
    assert DETAILS["root of a load-carrying fillet"] == 36
    assert DETAILS["attachment along the stress, over 100 mm"] == 56
    assert detail_curve("fillet in shear").steep == 5
    assert detail_curve("root of a load-carrying fillet").steep == 3
