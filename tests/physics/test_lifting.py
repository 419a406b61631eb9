"""Lift, axles and ballast by hand calculation, and each solved back."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.errors import ModelError
from plowwright.physics.lifting import (
    FRONT_SHARE,
    REAR_SHARE,
    Tractor,
    at_center,
    axle_loads,
    ballast_for,
    carried,
    full_turn_tipping,
    heaviest,
    rated_load,
    tipping_needed,
)
from plowwright.units.constants import DEGREE, INCH, LB

K1 = Tractor(wheelbase=55 * INCH, front=1060 * LB, rear=990 * LB, front_limit=1900 * LB)
LOADS = st.floats(50.0, 500.0)
AHEAD = st.floats(0.3, 2.0)


def test_axle_loads_by_hand() -> None:
    # 500 lb, 44 in ahead of the front axle: about the rear axle 500 x (44 + 55) / 55 = 900 lb more on the front.
    found = axle_loads(K1, 500 * LB, 44 * INCH)
    assert (found.front / LB, found.rear / LB) == pytest.approx((1960.0, 590.0))
    # 300 lb of ballast 22 in behind: 300 x 22 / 55 = 120 lb off the front, 420 lb on the rear.
    eased = axle_loads(K1, 500 * LB, 44 * INCH, ballast=300 * LB, behind=22 * INCH)
    assert (eased.front / LB, eased.rear / LB) == pytest.approx((1840.0, 1010.0))
    assert eased.rear_share == pytest.approx(1010 / 2850)


@given(load=LOADS, ahead=AHEAD, ballast=st.floats(0.0, 400.0), behind=st.floats(0.0, 1.2))
def test_no_weight_is_lost_and_moments_balance(load: float, ahead: float, ballast: float, behind: float) -> None:
    found = axle_loads(K1, load, ahead, ballast=ballast, behind=behind)
    assert found.front + found.rear == pytest.approx(K1.mass + load + ballast)
    about_front = found.rear * K1.wheelbase
    assert about_front == pytest.approx(
        K1.rear * K1.wheelbase - load * ahead + ballast * (behind + K1.wheelbase), abs=1e-6
    )


def test_a_blade_further_out_at_full_lift_is_worse() -> None:
    found = carried(K1, 400 * LB, low=36 * INCH, lifted=48 * INCH)
    assert found.lifted.front > found.low.front and found.lifted.rear < found.low.rear


@given(load=LOADS, ahead=AHEAD, behind=st.floats(0.2, 1.2))
def test_ballast_meets_both_rules_and_the_larger_wins(load: float, ahead: float, behind: float) -> None:
    found = ballast_for(K1, load, ahead, behind)
    assert found.mass == max(found.needs.values())
    assert found.axles.rear >= REAR_SHARE * K1.mass - 1e-6
    assert K1.front_limit is not None and found.axles.front <= K1.front_limit + 1e-6
    steers = found.axles.front >= FRONT_SHARE * K1.mass
    assert steers != any("does not steer" in text for text in found.fails)


def test_ballast_by_hand() -> None:
    # (500 x 44 + (0.45 x 2050 - 990) x 55) / (55 + 22) = 237.5 lb; front: (1960 - 1900) x 55 / 22 = 150 lb.
    found = ballast_for(K1, 500 * LB, 44 * INCH, 22 * INCH)
    assert found.mass / LB == pytest.approx(237.5)
    assert found.by == "rear axle at least 45 % of the empty tractor" and found.fails == ()
    assert found.needs["front axle within its limit"] / LB == pytest.approx(150.0)
    heavy = ballast_for(K1, 620 * LB, 44 * INCH, 22 * INCH)
    assert heavy.by == "front axle within its limit"
    light = ballast_for(K1, 50 * LB, 20 * INCH, 22 * INCH)
    assert (light.mass, light.by) == (0.0, "")


def test_filled_wheels_take_nothing_off_the_front_axle_and_say_so() -> None:
    found = ballast_for(K1, 500 * LB, 44 * INCH, 0.0)
    assert any("60 lb over its limit, and ballast in the rear wheels takes nothing off it" in t for t in found.fails)
    strict = ballast_for(replace(K1, rear_limit=900 * LB), 500 * LB, 44 * INCH, 22 * INCH)
    assert any("over its limit of 900 lb" in text for text in strict.fails)


@given(ahead=AHEAD, ballast=st.floats(0.0, 200.0))
def test_the_heaviest_blade_is_just_at_a_limit(ahead: float, ballast: float) -> None:
    most = heaviest(K1, ahead, ballast=ballast, behind=0.5)
    found = axle_loads(K1, most, ahead, ballast=ballast, behind=0.5)
    assert K1.front_limit is not None
    slack = min(K1.front_limit - found.front, found.rear - REAR_SHARE * K1.mass)
    assert slack == pytest.approx(0.0, abs=1e-6)
    assert heaviest(replace(K1, front_limit=None), -0.1) == float("inf")


@given(rated=st.floats(100.0, 3000.0), reach=st.floats(0.5, 3.0), ahead=st.floats(-0.4, 2.0))
def test_a_rating_moved_out_and_back_is_the_same(rated: float, reach: float, ahead: float) -> None:
    out = at_center(rated, reach, ahead)
    assert at_center(out, reach + ahead, -ahead) == pytest.approx(rated)
    assert (out < rated) == (ahead > 0.0) or ahead == pytest.approx(0.0, abs=1e-12)


def test_a_rated_load_is_the_lesser_of_tipping_and_hydraulics_and_found_back() -> None:
    assert rated_load(4000.0, "wheels", hydraulic=1900.0) == 1900.0
    assert tipping_needed(rated_load(5700.0, "tracks"), "tracks") == pytest.approx(5700.0)


def test_an_articulated_carrier_tips_sooner_at_full_turn() -> None:
    low, high = full_turn_tipping(3600.0, 40 * DEGREE, joint=37 * INCH, wheelbase=74 * INCH)
    assert low == pytest.approx(3600 * (1 + 0.76604) / 2, rel=1e-4) and low < high < 3600.0
    assert full_turn_tipping(3600.0, 0.0, joint=1.0, wheelbase=2.0) == pytest.approx((3600.0, 3600.0))


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ModelError, match="behind the loader's pivot"):
        at_center(1000.0, 1.0, -1.5)
    with pytest.raises(ModelError, match=r"does not stand on two axles \(given: wheelbase 0 in"):
        Tractor(wheelbase=0.0, front=1.0, rear=1.0)
    with pytest.raises(ModelError, match="joint of an articulated carrier lies between its axles"):
        full_turn_tipping(3600.0, 0.5, joint=3.0, wheelbase=2.0)
