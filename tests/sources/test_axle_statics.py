"""Axles of a carrier with a blade in front and ballast behind.

Source: statics. Every case is worked by hand with moments about one axle and checked with moments about the other; the
arithmetic stands in the comments, in pounds and inches as on a scale and a tape.
"""

from __future__ import annotations

import numpy as np
import pytest

from plowwright.blade.suit import formulas
from plowwright.physics.lifting import FRONT_SHARE, REAR_SHARE, Tractor, ballast_for, carried, full_turn_tipping
from plowwright.units.constants import INCH, LB

SUBCOMPACT = Tractor(wheelbase=55 * INCH, front=1060 * LB, rear=990 * LB, front_limit=1900 * LB)
WITH_CAB = Tractor(wheelbase=86 * INCH, front=3900 * LB, rear=5000 * LB, front_limit=6800 * LB)


def axles(tractor: Tractor, load: float, ahead: float, ballast: float = 0.0, behind: float = 0.0) -> list[float]:
    """Front and rear by the formulas of the checks, pounds and inches in and out."""
    blade = (load * LB, ahead * INCH, tractor.wheelbase)
    hung = (ballast * LB, behind * INCH)
    return [
        formulas.front_axle(*blade, tractor.front, *hung) / LB,
        formulas.rear_axle(*blade, tractor.rear, *hung) / LB,
    ]


def test_a_heavy_blade_on_a_sub_compact_tractor_overloads_its_front_axle() -> None:
    # 1,040 lb, its centre 55 in ahead of the front axle, one wheelbase.
    # About the rear contact: front x 55 = 1,060 x 55 + 1,040 x (55 + 55)   ->   front = 1,060 + 2,080 = 3,140 lb.
    # About the front contact: rear x 55 = 990 x 55 - 1,040 x 55            ->   rear  =   990 - 1,040 =   -50 lb.
    # Down: 3,140 - 50 = 3,090 = 2,050 + 1,040. Less than nothing behind: the rear wheels are off the ground.
    assert axles(SUBCOMPACT, 1040, 55) == pytest.approx([3140, -50])
    found = carried(SUBCOMPACT, 1040 * LB, low=55 * INCH, lifted=55 * INCH)
    assert [found.low.front / LB, found.low.rear / LB] == pytest.approx([3140, -50])


def test_a_light_blade_on_the_same_tractor_by_moments_about_each_axle() -> None:
    # 400 lb, 44 in ahead: front = 1,060 + 400 x 99 / 55 = 1,060 + 720 = 1,780 lb, 120 lb under its 1,900.
    # rear = 990 - 400 x 44 / 55 = 990 - 320 = 670 lb, 670 / 2,450 = 27 % of the whole.
    assert axles(SUBCOMPACT, 400, 44) == pytest.approx([1780, 670])


def test_ballast_behind_takes_off_the_front_axle_what_its_lever_gives() -> None:
    # The same with 330 lb, 25 in behind the rear axle: front 1,780 - 330 x 25 / 55 = 1,780 - 150 = 1,630 lb;
    # rear 670 + 330 x (25 + 55) / 55 = 670 + 480 = 1,150 lb. Down: 2,780 = 2,050 + 400 + 330.
    assert axles(SUBCOMPACT, 400, 44, ballast=330, behind=25) == pytest.approx([1630, 1150])
    # In the rear wheels (0 in behind) it only stands on the rear axle.
    assert axles(SUBCOMPACT, 400, 44, ballast=330) == pytest.approx([1780, 1000])


def test_the_larger_of_both_ballast_rules_wins_and_each_can_be_it() -> None:
    # Cab tractor, 900 lb, 60 in ahead, box 30 in behind. Without: front 3,900 + 900 x 146 / 86 = 5,427.9 lb, within
    # 6,800; rear 5,000 - 900 x 60 / 86 = 4,372.1 lb. 45 % of the empty 8,900 is 4,005 lb: no rule asks for anything.
    none = ballast_for(WITH_CAB, 900 * LB, 60 * INCH, 30 * INCH)
    assert none.mass == 0.0 and none.by == ""
    # 2,000 lb there: front 3,900 + 2,000 x 146 / 86 = 7,295.35, over by 495.35: B = 495.35 x 86 / 30 = 1,420 lb.
    # rear 5,000 - 1,395.35 = 3,604.65, short by 400.35: B = 400.35 x 86 / 116 = 296.8 lb. The front axle asks for more.
    front = ballast_for(WITH_CAB, 2000 * LB, 60 * INCH, 30 * INCH)
    assert {name: kg / LB for name, kg in front.needs.items()} == pytest.approx(
        {"rear axle at least 45 % of the empty tractor": 296.81, "front axle within its limit": 1420.0}, abs=0.01
    )
    assert front.by == "front axle within its limit" and front.axles.front / LB == pytest.approx(6800)
    # Sub-compact, 420 lb at 48 in, box 26 in behind: front 1,060 + 420 x 103 / 55 = 1,846.5, within 1,900.
    # rear 990 - 366.5 = 623.5, wanted 0.45 x 2,050 = 922.5, short by 299.0: B = 299.0 x 55 / 81 = 203 lb.
    rear = ballast_for(SUBCOMPACT, 420 * LB, 48 * INCH, 26 * INCH)
    assert rear.by == "rear axle at least 45 % of the empty tractor"
    assert rear.mass / LB == pytest.approx(203.06, abs=0.01)


def test_the_formulas_of_the_checks_give_the_same_ballast() -> None:
    at = (60 * INCH, WITH_CAB.wheelbase, WITH_CAB.front)
    by_rear = formulas.ballast_by_rear(2000 * LB, *at, WITH_CAB.rear, 30 * INCH, REAR_SHARE)
    by_front = formulas.ballast_by_front(2000 * LB, *at, 6800 * LB, 30 * INCH)
    assert [by_rear / LB, by_front / LB] == pytest.approx([296.81, 1420.0], abs=0.01)


def test_too_much_ballast_unloads_the_steering() -> None:
    # 1,060 - B x 40 / 55 = 0.20 x 2,050 = 410   ->   B = 650 x 55 / 40 = 893.75 lb is the most with nothing in front.
    assert FRONT_SHARE == 0.20
    assert axles(SUBCOMPACT, 0, 0, ballast=893.75, behind=40)[0] == pytest.approx(410)


def test_a_rating_at_the_pins_is_worth_less_further_out() -> None:
    # Moments about the loader's pivot: 700 lb at 55 in are 38,500 lb in; 12-1/2 in further out that is 570 lb.
    assert formulas.at_center(700 * LB, 55 * INCH, 12.5 * INCH) / LB == pytest.approx(38_500 / 67.5)


def test_an_articulated_carrier_at_full_turn_by_moments_about_the_front_axle() -> None:
    # Joint midway of 74 in, turned 60 deg: the rear axle stands 37 + 37 x 0.5 = 55.5 in behind instead of 74.
    # What it holds falls to 55.5 / 74 = 75 % if all the holding weight is there, 87.5 % if half is the front frame's.
    low, high = full_turn_tipping(3600 * LB, np.pi / 3, joint=37 * INCH, wheelbase=74 * INCH)
    assert [low / LB, high / LB] == pytest.approx([2700, 3150])


def test_half_of_tipping_on_wheels_and_35_per_cent_on_tracks_in_pounds() -> None:
    # 1,450 x 0.35 = 507.5; 4,350 x 0.5 = 2,175.
    assert formulas.operating(1450 * LB, 0.35) / LB == pytest.approx(507.5)
    assert formulas.operating(4350 * LB, 0.50) / LB == pytest.approx(2175)


@pytest.mark.parametrize("tractor", [SUBCOMPACT, WITH_CAB], ids=["sub-compact", "cab"])
def test_many_blades_at_once_stand_as_one_by_one(tractor: Tractor) -> None:
    masses = np.linspace(100.0, 900.0, 9)
    ahead = np.linspace(0.8, 1.7, 9)
    together = formulas.front_axle(masses, ahead, tractor.wheelbase, tractor.front, 120.0, 0.7)
    bare = (tractor.wheelbase, tractor.front)
    singly = [formulas.front_axle(m, a, *bare, 120.0, 0.7) for m, a in zip(masses, ahead, strict=True)]
    assert together == pytest.approx(singly)
