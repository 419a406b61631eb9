"""How hard a strike pushes, ground by ground."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from plowwright.errors import ModelError
from plowwright.physics import strike
from plowwright.units.constants import INCH, LBF, MPH, PSI


def test_each_ground_is_told_apart_and_carries_what_went_in() -> None:
    pushed = strike.weight_share(8000 * LBF, 0.3, 0.5)
    assert (pushed.low / LBF, pushed.high / LBF) == (pytest.approx(2400), pytest.approx(4000))
    assert dict(pushed.inputs) == {"weight": "8,000 lbf", "share": "0.3 to 0.5"}
    assert strike.traction(8000 * LBF, 0.08, 0.20).low / LBF == pytest.approx(640)
    assert {pushed.ground, strike.traction(1.0, 0.1, 0.2).ground} == {"carrier weight", "traction"}


def test_two_inches_of_wear_on_a_low_hinge_raise_the_trip_by_more_than_half() -> None:
    new, worn = (strike.trip_release(600.0, 40.0, 5.5 * INCH, wear * INCH).low for wear in (0, 2))
    assert worn / new == pytest.approx(1.57, abs=0.005)


def test_a_trip_without_lever_or_with_weak_springs_is_refused() -> None:
    with pytest.raises(ModelError, match=r"worn up to the hinge.*given: 6 in worn.*limit: under 5-1/2 in"):
        strike.trip_release(600.0, 40.0, 5.5 * INCH, 6 * INCH)
    with pytest.raises(ModelError, match=r"do not hold the moldboard up.*more preload"):
        strike.trip_release(30.0, 40.0, 5.5 * INCH, 0.0)


def test_the_relief_lets_a_blade_end_go_by_the_lever_of_the_cylinder() -> None:
    # 2,500 psi on 7.07 in2 with 9 in of arm: 159 kip in, over half of 84 in.
    found = strike.relief_release(2500 * PSI, 7.0686 * INCH**2, 9 * INCH, 42 * INCH)
    assert found.low / LBF == pytest.approx(2500 * 7.0686 * 9 / 42, rel=1e-6)
    with pytest.raises(ModelError, match=r"in line with the king pin"):
        strike.relief_release(2500 * PSI, 0.004, 0.2, 0.0)


@given(speed=st.floats(0.5, 5.0), mass=st.floats(100, 5000), stiffness=st.floats(1e5, 1e8))
def test_the_first_peak_is_that_of_the_equation_of_motion(speed: float, mass: float, stiffness: float) -> None:
    end = strike.contact_time(mass, stiffness)

    def motion(_: float, state: np.ndarray) -> list[float]:
        return [state[1], -stiffness * state[0] / mass]

    run = solve_ivp(motion, (0, 1.2 * end), [0.0, speed], rtol=1e-9, atol=1e-12, dense_output=True)
    peak = stiffness * float(run.sol(np.linspace(0.8 * end, 1.2 * end, 401))[0].max())
    assert strike.contact_peak(speed, mass, stiffness, stiffness).low == pytest.approx(peak, rel=1e-4)


def test_the_peak_of_a_contact_is_a_band_because_its_stiffness_is() -> None:
    found = strike.contact_peak(5 * MPH, 3000.0, 1e6, 1e7)
    assert found.high / found.low == pytest.approx(math.sqrt(10))
    assert "contact stiffness" in dict(found.inputs)


def test_a_strike_off_the_middle_meets_less_mass() -> None:
    assert strike.effective_mass(3000.0) == 3000.0
    assert strike.effective_mass(3000.0, 2500.0, 1.0) == pytest.approx(1 / (1 / 3000 + 1 / 2500))
    # A bar struck at its end: a quarter of its mass.
    assert strike.effective_mass(12.0, 12.0 * 2.0**2 / 12, 1.0) == pytest.approx(3.0)


def test_a_band_that_runs_backwards_is_refused() -> None:
    with pytest.raises(ModelError, match=r"strike force by traction: its band runs backwards.*450 lbf to 225 lbf"):
        strike.traction(1000.0, 2.0, 1.0)
