"""Extension springs: force, work, stress by place, and what is refused by name."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.errors import ModelError
from plowwright.physics.springs import ExtensionSpring, bergstraesser, gerber, helical_rate
from plowwright.units.constants import INCH, LBF, PSI

KSI = 1000 * PSI


def spring(**changes: float) -> ExtensionSpring:
    sizes = {"wire": 0.375 * INCH, "mean": 1.875 * INCH, "rate": 168 * LBF / INCH, "initial": 110 * LBF}
    return ExtensionSpring(name="trip spring 3/8", tensile=176 * KSI, **{**sizes, **changes})


def test_a_spring_of_zero_rate_is_refused_by_name() -> None:
    with pytest.raises(
        ModelError, match=r"trip spring 3/8: a spring without rate.*given: 0 lb/in.*spring maker's rate"
    ):
        spring(rate=0.0)


def test_a_spring_without_wire_has_no_rate_and_is_named() -> None:
    with pytest.raises(ModelError, match=r"spring 2: no rate follows from its sizes \(given: active coils 0\)"):
        helical_rate(0.01, 0.05, 0.0, 78e9, name="spring 2")
    with pytest.raises(
        ModelError, match=r"trip spring 3/8: the coil is too tight.*mean diameter 0.7 in, wire 0.375 in"
    ):
        spring(mean=0.7 * INCH)


def test_a_close_wound_spring_does_not_give_before_its_initial_tension() -> None:
    one = spring()
    assert one.force(0.0) == 0.0
    assert one.force(0.001 * INCH) / LBF == pytest.approx(110, rel=0.01)
    assert one.force(2 * INCH) / LBF == pytest.approx(110 + 336)


@given(start=st.floats(0.001, 0.05), more=st.floats(0.001, 0.05))
def test_the_work_of_a_stretch_is_the_mean_force_times_its_way(start: float, more: float) -> None:
    one = spring()
    mean = (one.force(start) + one.force(start + more)) / 2
    assert one.energy(start, start + more) == pytest.approx(mean * more)
    assert one.energy(start, start + more) == pytest.approx(one.energy(0, start + more) - one.energy(0, start))


def test_the_hook_is_the_place_where_an_extension_spring_breaks() -> None:
    uses = spring().uses(600 * LBF)
    assert uses["hook root"] > uses["body"] or uses["hook bending"] > uses["body"]
    eased = spring(hook=1.5 * INCH, hook_root=1.5 * INCH).uses(600 * LBF)
    assert eased["hook bending"] < uses["hook bending"]
    assert eased["hook root"] < uses["hook root"]


@given(st.floats(1.0, 5000.0))
def test_stress_grows_with_the_pull(pull: float) -> None:
    one, two = spring().uses(pull), spring().uses(2 * pull)
    assert all(two[place] == pytest.approx(2 * one[place]) for place in one)


def test_longer_travel_tires_a_spring_sooner() -> None:
    short = spring().fatigue_safety(300 * LBF, 400 * LBF)
    long = spring().fatigue_safety(300 * LBF, 800 * LBF)
    assert all(long[place] < short[place] for place in short)


def test_gerbers_parabola_is_met_by_the_factor_it_gives() -> None:
    n = gerber(100.0, 200.0, 300.0, 900.0)
    assert n * 100 / 300 + (n * 200 / 900) ** 2 == pytest.approx(1.0)
    assert gerber(100.0, 0.0, 300.0, 900.0) == pytest.approx(3.0)


def test_a_tighter_coil_is_stressed_more_on_its_inside() -> None:
    assert bergstraesser(4.0) > bergstraesser(8.0) > bergstraesser(20.0) > 1.0
