"""Drilled restrictors: there and back, the slow limit, cavitation, and what is refused."""

from __future__ import annotations

from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.errors import ModelError
from plowwright.physics.orifices import VAPOUR, Law, Restrictor, creeping_resistance, diameter_for
from plowwright.units.constants import INCH, PSI

HOLE = Restrictor(diameter=INCH / 16)
DIAMETERS = st.floats(0.5e-3, 5e-3)
DROPS = st.floats(1e3, 3e7)
VISCOSITIES = st.floats(5e-6, 5e-2)
LAWS = st.sampled_from(["likely", "slow"])


@given(diameter=DIAMETERS, drop=DROPS, viscosity=VISCOSITIES, law=LAWS)
def test_pressure_to_flow_and_back_is_where_it_started(
    diameter: float, drop: float, viscosity: float, law: Law
) -> None:
    hole = Restrictor(diameter=diameter)
    flow = hole.flow(drop, 870.0, viscosity, law=law)
    assert hole.drop(flow, 870.0, viscosity, law=law) == pytest.approx(drop, rel=1e-9)
    assert diameter_for(flow, drop, 870.0, viscosity, law=law) == pytest.approx(diameter, rel=1e-6)


@given(diameter=DIAMETERS, drop=DROPS, viscosity=VISCOSITIES)
def test_no_law_passes_more_than_creeping_flow(diameter: float, drop: float, viscosity: float) -> None:
    hole = Restrictor(diameter=diameter)
    creeping = drop / (870.0 * viscosity * creeping_resistance(diameter, hole.length))
    slow, likely = (hole.flow(drop, 870.0, viscosity, law=law) for law in ("slow", "likely"))
    assert slow <= likely * (1 + 1e-9) <= creeping * (1 + 2e-9)


@given(drop=DROPS, viscosity=VISCOSITIES)
def test_a_wider_hole_and_a_higher_pressure_pass_more(drop: float, viscosity: float) -> None:
    flow = HOLE.flow(drop, 870.0, viscosity)
    assert Restrictor(diameter=1.1 * HOLE.diameter).flow(drop, 870.0, viscosity) > flow
    assert HOLE.flow(1.1 * drop, 870.0, viscosity) > flow


def test_nothing_flows_without_pressure() -> None:
    assert HOLE.flow(0.0, 870.0, 46e-6) == 0.0 == HOLE.drop(0.0, 870.0, 46e-6)


def test_a_choking_hole_does_not_care_what_stands_behind_it() -> None:
    before = 2000 * PSI
    at_tank, at_little = (HOLE.flow_between(before, after, 870.0, 20e-6) for after in (0.0, 100 * PSI))
    assert at_tank == at_little == HOLE.choked(before, 870.0)
    assert HOLE.flow_between(before, 1500 * PSI, 870.0, 20e-6) < at_tank
    plain = Restrictor(diameter=HOLE.diameter, contraction=None)
    assert plain.choked(before, 870.0) == inf and plain.flow_between(before, 0.0, 870.0, 20e-6) > at_tank


@given(after=st.floats(0.0, 1e7), flow=st.floats(1e-6, 5e-4), viscosity=VISCOSITIES)
def test_the_pressure_before_a_hole_drives_just_that_flow(after: float, flow: float, viscosity: float) -> None:
    before = HOLE.before(flow, after, 870.0, viscosity)
    assert HOLE.flow_between(before, after, 870.0, viscosity) == pytest.approx(flow, rel=1e-7)
    assert before > VAPOUR


def test_a_hole_that_plugs_or_lies_outside_the_measured_range_says_so() -> None:
    fine = Restrictor(diameter=0.8e-3)
    assert any("plugs easily" in text and "0.031" in text for text in fine.cautions)
    stubby = Restrictor(diameter=4e-3, length=2e-3)
    assert stubby.cautions == (
        "restrictor: length over diameter 0.5 is outside 2 to 10, where the law was measured",
    )
    assert HOLE.cautions == ()


def test_a_hole_that_is_none_is_refused() -> None:
    with pytest.raises(ModelError, match=r"cap port: this is no hole \(given: 0 in wide.*leave the restrictor out"):
        Restrictor(diameter=0.0, name="cap port")
    with pytest.raises(ModelError, match=r"discharge coefficient out of range \(given: 1.5\)"):
        Restrictor(diameter=1e-3, discharge=1.5)
    with pytest.raises(ModelError, match="cannot be sized without flow and pressure"):
        diameter_for(0.0, 1e6, 870.0, 46e-6)
