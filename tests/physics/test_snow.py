"""Snow: the bracket, the grip, and the envelope read both ways."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.errors import ModelError, NotFoundError
from plowwright.physics.snow import (
    DENSITIES,
    FRICTIONS,
    Front,
    Pusher,
    Snow,
    density,
    envelope,
    force_angle,
    grip,
    pile_section,
    resistance,
    speed_to_push,
)
from plowwright.units.constants import DEGREE

SNOW = Snow(density=150.0)
ANGLED = Front(width=2.13, height=0.86, angle=30 * DEGREE, on_edge=2500.0)
STRAIGHT = replace(ANGLED, angle=0.0)
CARRIER = Pusher(driven=33_000.0, weight=36_000.0, power=45_000.0, grip=(0.20, 0.25))
DEPTHS = st.floats(0.01, 0.6)
SPEEDS = st.floats(0.0, 8.0)
ANGLES = st.floats(0.0, 40 * DEGREE)


@given(depth=DEPTHS, speed=SPEEDS, angle=ANGLES, rho=st.floats(50.0, 400.0))
def test_the_bracket_is_in_order_and_grows_with_depth_speed_and_density(
    depth: float, speed: float, angle: float, rho: float
) -> None:
    front, snow = replace(ANGLED, angle=angle), Snow(density=rho)
    low, high = resistance(front, snow, depth, speed)
    assert 0.0 < low < high
    for other in (
        resistance(front, snow, 1.1 * depth, speed),
        resistance(front, snow, depth, speed + 1.0),
        resistance(front, replace(snow, density=1.1 * rho), depth, speed),
    ):
        assert other[0] >= low and other[1] >= high


def test_without_snow_only_the_edge_scrapes() -> None:
    assert resistance(ANGLED, SNOW, 0.0, 3.0) == pytest.approx((250.0, 1000.0))


def test_speed_adds_the_snows_momentum_to_both_ends() -> None:
    slow, fast = resistance(STRAIGHT, SNOW, 0.2, 0.0), resistance(STRAIGHT, SNOW, 0.2, 4.0)
    added = 150.0 * 0.2 * 2.13 * 16.0
    assert [b - a for a, b in zip(slow, fast, strict=True)] == pytest.approx([added, added])
    still, moving = resistance(ANGLED, SNOW, 0.2, 0.0), resistance(ANGLED, SNOW, 0.2, 4.0)
    turned = [b - a for a, b in zip(still, moving, strict=True)]
    assert turned == pytest.approx([added * 0.75**1.5] * 2)


def test_an_angled_blade_carries_less_and_clears_less() -> None:
    assert pile_section(ANGLED, SNOW, 0.1) < pile_section(STRAIGHT, SNOW, 0.1)
    assert pile_section(STRAIGHT, SNOW, 5.0) == pytest.approx(0.86**2 / (2 * 0.8391), rel=1e-3)
    assert ANGLED.clear_width == pytest.approx(2.13 * 0.8660, rel=1e-3) and STRAIGHT.clear_width == 2.13


def test_the_wheels_push_no_more_than_grip_and_power_allow() -> None:
    assert CARRIER.push(0.0) == pytest.approx((0.2 * 33_000 - 0.04 * 36_000, 0.25 * 33_000 - 0.04 * 36_000))
    assert CARRIER.push(9.0) == pytest.approx((5000 - 1440, 5000 - 1440))
    assert replace(CARRIER, power=None).push(9.0) == CARRIER.push(0.0)
    assert replace(CARRIER, grip=(0.0, 0.02)).push(1.0) == (0.0, 0.0)


@given(speed=st.floats(0.1, 6.0), angle=ANGLES)
def test_the_envelope_lies_on_the_balance_and_reads_the_same_both_ways(speed: float, angle: float) -> None:
    front = replace(ANGLED, angle=angle)
    found = envelope(front, SNOW, CARRIER, (speed,))
    assert found.sure[0] <= found.perhaps[0] <= front.height
    if 0.0 < found.sure[0] < front.height:
        assert resistance(front, SNOW, found.sure[0], speed)[1] == pytest.approx(CARRIER.push(speed)[0], rel=1e-6)
        assert speed_to_push(front, SNOW, CARRIER, found.sure[0])[0] == pytest.approx(speed, rel=1e-3)


def test_the_envelope_shrinks_with_speed_on_ice_and_with_heavier_snow() -> None:
    speeds = (1.0, 3.0, 6.0)
    packed = envelope(STRAIGHT, SNOW, CARRIER, speeds)
    assert list(packed.sure) == sorted(packed.sure, reverse=True)
    ice = envelope(STRAIGHT, SNOW, replace(CARRIER, grip=(0.08, 0.15)), speeds)
    wet = envelope(STRAIGHT, Snow(density=350.0), CARRIER, speeds)
    assert all(a <= b for a, b in zip(ice.sure, packed.sure, strict=True))
    assert all(a < b for a, b in zip(wet.sure, packed.sure, strict=True))


def test_every_row_of_the_tables_names_its_source_or_says_assumed() -> None:
    assert all(row.source and row.low <= row.high for row in (*DENSITIES, *FRICTIONS))
    assert density("new snow").high == 150.0 and grip("packed snow, chains or tracks").source == "assumed"
    with pytest.raises(NotFoundError, match=r"no such state of snow.*given: slush.*new snow; undisturbed"):
        density("slush")


def test_what_is_no_snow_is_refused() -> None:
    with pytest.raises(ModelError, match=r"this is no snow \(given: .*, 923 kg/m3.*70 to 150"):
        Snow(density=1200.0)


def test_the_force_on_the_edge_points_as_far_down_as_it_is_heavy() -> None:
    assert force_angle(1000.0, 1000.0) == pytest.approx(45 * DEGREE)
