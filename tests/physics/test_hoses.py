"""Hoses and couplers: loss, speed, and why cold oil decides."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.errors import ModelError
from plowwright.physics.hoses import (
    Coupler,
    Line,
    blasius,
    bore_for_speed,
    friction_factor,
    friction_factors,
    hose_drop,
    line,
    line_drops,
    line_speed,
)
from plowwright.units.constants import FOOT, GPM, INCH, PSI

FLAT_FACE = Coupler(name="flat-face 1/2", standard="ISO 16028", bore=INCH / 2, rated=3600 * PSI)


@given(flow=st.floats(1e-6, 3e-3), viscosity=st.floats(5e-6, 2e-2))
def test_more_flow_or_thicker_oil_never_loses_less(flow: float, viscosity: float) -> None:
    loss = hose_drop(flow, INCH / 2, 3.0, 870.0, viscosity)
    assert hose_drop(1.05 * flow, INCH / 2, 3.0, 870.0, viscosity) > loss
    # Where flow turns turbulent a little more viscosity can calm it; laminar oil always loses more when thicker.
    assert hose_drop(flow, INCH / 2, 3.0, 870.0, 100.0 * viscosity) > loss


def test_turbulent_formulas_on_cold_oil_are_ten_times_too_low() -> None:
    flow, viscosity = 8 * GPM, 3000e-6
    number = 4 * flow / (pi * INCH / 2 * viscosity)
    assert friction_factor(number) > 10 * blasius(number)


def test_many_at_once_are_the_same_as_one_by_one() -> None:
    one = line(INCH / 2, 8 * FOOT, (FLAT_FACE, FLAT_FACE), rated=3500 * PSI)
    flows = np.array([1e-5, 1e-4, 6e-4, 1.5e-3])
    full = np.full_like
    many = line_drops(
        flows, full(flows, one.bore), full(flows, one.length), full(flows, one.loss), full(flows, one.cold),
        full(flows, 870.0), full(flows, 46e-6),
    )  # fmt: skip
    assert many == pytest.approx([one.drop(float(q), 870.0, 46e-6) for q in flows])
    assert friction_factors(np.array([100.0, 1e5])) == pytest.approx([0.64, friction_factor(1e5)])


def test_a_line_loses_what_its_hose_couplers_and_bends_lose() -> None:
    small = Coupler(name="flat-face 3/8", standard="ISO 16028", bore=3 * INCH / 8)
    one = line(INCH / 2, 8 * FOOT, (FLAT_FACE, small), bends=0.0)
    parts = hose_drop(5e-4, INCH / 2, 8 * FOOT, 870.0, 46e-6)
    parts += FLAT_FACE.drop(5e-4, 870.0, 46e-6) + small.drop(5e-4, 870.0, 46e-6)
    assert one.drop(5e-4, 870.0, 46e-6) == pytest.approx(parts)
    assert small.drop(5e-4, 870.0, 46e-6) > FLAT_FACE.drop(5e-4, 870.0, 46e-6)


def test_a_line_is_rated_by_its_weakest_part_and_not_at_all_when_one_is_unknown() -> None:
    assert line(INCH / 2, 2.0, (FLAT_FACE,), rated=3500 * PSI).rated == 3500 * PSI
    bare = Coupler(name="old poppet", standard="ISO 7241", bore=INCH / 2)
    assert line(INCH / 2, 2.0, (FLAT_FACE, bare), rated=3500 * PSI).rated is None


def test_a_still_line_loses_nothing_and_a_hose_without_bore_is_refused() -> None:
    assert hose_drop(0.0, INCH / 2, 3.0, 870.0, 46e-6) == 0.0
    with pytest.raises(ModelError, match=r"this is no hydraulic line \(given: bore 0 in.*dash 8 is 1/2 in"):
        Line(bore=0.0)


@given(flow=st.floats(1e-5, 3e-3), speed=st.floats(0.5, 8.0))
def test_the_bore_for_a_speed_gives_that_speed(flow: float, speed: float) -> None:
    assert line_speed(flow, bore_for_speed(flow, speed)) == pytest.approx(speed)
