"""Fatigue: damage, spectra of strikes, and the ratio of two lives."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.errors import EntryError, ModelError
from plowwright.physics import fatigue
from plowwright.physics.fatigue import SNCurve, Spectrum, Stage, Strike
from plowwright.units.constants import INCH, LBF

CURVE = SNCurve(category=80e6)
STREETS = Spectrum(
    name="streets",
    strikes=(
        Strike(name="seam in the pavement", force=300 * LBF, count=20000),
        Strike(name="manhole", force=1500 * LBF, count=600),
        Strike(name="curb end", force=4000 * LBF, count=20),
    ),
)
PER_MOMENT = 1.0e5


@given(stress=st.floats(1e7, 5e8), more=st.floats(1.001, 2.0))
def test_more_stress_bears_fewer_cycles(stress: float, more: float) -> None:
    low, high = CURVE.endurance([stress, stress * more])
    assert high < low or low == float("inf")


@given(st.floats(60e6, 500e6))
def test_above_the_knee_twice_the_stress_does_eight_times_the_harm(stress: float) -> None:
    assert CURVE.damage([2 * stress], [1]) == pytest.approx(8 * CURVE.damage([stress], [1]))


def test_the_two_slopes_meet_at_the_knee() -> None:
    just_over, just_under = CURVE.endurance([CURVE.at_knee * 1.0001, CURVE.at_knee * 0.9999])
    assert just_over == pytest.approx(5e6, rel=1e-3)
    assert just_under == pytest.approx(5e6, rel=1e-3)


def test_a_trip_that_lets_go_first_caps_every_strike() -> None:
    capped = STREETS.capped(1000 * LBF)
    assert [s.force / LBF for s in capped.strikes] == pytest.approx([300, 1000, 1000])
    assert [s.count for s in capped.strikes] == [20000, 600, 20]


def test_a_shorter_lever_makes_a_longer_life_by_its_third_power_while_all_strikes_are_above_the_knee() -> None:
    hard = Spectrum(name="hard", strikes=(Strike(name="curb", force=4000 * LBF, count=100),))
    long, short = (
        fatigue.kick_damage(hard, [Stage(lever=lever * INCH, share=1.0)], stress_per_moment=PER_MOMENT, curve=CURVE)
        for lever in (6.0, 3.0)
    )
    assert fatigue.life_ratio(short, long) == pytest.approx(8.0)


def test_a_cap_that_grows_as_the_lever_shrinks_makes_both_edges_nearly_alike() -> None:
    """With every strike limited by the trip, force times lever stays the same however the edge wears."""
    always = Spectrum(name="always", strikes=(Strike(name="curb", force=1e9, count=100),))
    moment = 500.0

    def stages(longest: float, shortest: float) -> list[Stage]:
        wear = fatigue.wear_stages(longest * INCH, shortest * INCH)
        return [Stage(lever=s.lever, share=s.share, cap=moment / s.lever) for s in wear]

    edge, centre = (
        fatigue.kick_damage(always, rows, stress_per_moment=PER_MOMENT * 3, curve=CURVE)
        for rows in (stages(6, 2), stages(4, 2))
    )
    assert fatigue.life_ratio(centre, edge) == pytest.approx(1.0)


@given(longest=st.floats(0.05, 0.3), shortest=st.floats(0.01, 0.3), count=st.integers(1, 40))
def test_wear_is_spent_evenly_from_one_lever_to_the_other(longest: float, shortest: float, count: int) -> None:
    stages = fatigue.wear_stages(longest, shortest, count=count)
    assert sum(s.share for s in stages) == pytest.approx(1.0)
    assert sum(s.share * s.lever for s in stages) == pytest.approx((longest + shortest) / 2)


def test_stages_that_leave_working_time_out_are_refused() -> None:
    with pytest.raises(ModelError, match=r"stages of wear do not make one whole \(given: 0.5\)"):
        fatigue.kick_damage(STREETS, [Stage(lever=0.1, share=0.5)], stress_per_moment=1.0, curve=CURVE)


def test_a_ratio_without_harm_on_either_side_says_so_with_one_and_with_infinity() -> None:
    assert fatigue.life_ratio(0.0, 0.0) == 1.0
    assert fatigue.life_ratio(0.0, 0.1) == float("inf")
    assert fatigue.life_ratio(0.1, 0.2) == pytest.approx(2.0)


def test_a_negative_strike_and_an_unknown_detail_are_refused_by_name() -> None:
    with pytest.raises(EntryError, match=r"strike 'manhole': count cannot be negative \(given: -3\)"):
        Strike(name="manhole", force=1.0, count=-3)
    with pytest.raises(ModelError, match=r"no such fatigue detail \(given: glue\)\. There are: .*root of a load"):
        fatigue.detail_curve("glue")


def test_means_that_reach_the_strength_are_refused() -> None:
    with pytest.raises(ModelError, match=r"mean stress alone reaches the strength \(given: 400 MPa\); limit: 400 MPa"):
        fatigue.goodman(1e6, 400e6, 400e6)
    assert fatigue.goodman(100e6, 50e6, 900e6) / 1e6 == pytest.approx(105.8824)
    assert fatigue.smith_watson_topper(10e6, -50e6) == 0.0
