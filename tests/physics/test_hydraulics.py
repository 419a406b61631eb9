"""Angling by restrictors: the ideal swing, and every trap met on the way to it."""

from __future__ import annotations

from dataclasses import replace
from math import inf, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plowwright.errors import ModelError
from plowwright.physics import drills
from plowwright.physics.circuits import (
    OPEN_PORTS,
    Circuit,
    Cylinder,
    Lines,
    Restrictors,
    Supply,
    Way,
    plain_diameter,
    plain_speed,
    pump_time,
)
from plowwright.physics.hoses import Line
from plowwright.physics.hydraulics import SwingTimes, hole_for_time, size_restrictor, swing_time, swing_times
from plowwright.physics.oil import oil_of_grade
from plowwright.physics.orifices import VAPOUR, Restrictor
from plowwright.units.constants import FOOT, GPM, INCH, LBF, PSI

OIL = oil_of_grade(46)
CYLINDER = Cylinder(bore=2.5 * INCH, rod=1.25 * INCH, stroke=10 * INCH)
CARRIER = Supply(flow=20 * GPM, relief=3000 * PSI)
HOSE = Line(bore=INCH / 2, length=8 * FOOT, loss=15.0, cold=1500.0)
LINES = Lines(cap=HOSE, rod=HOSE)
BORES = st.floats(0.04, 0.12)
SHARES = st.floats(0.3, 0.7)
HOLES = st.floats(0.8e-3, 2.5e-3)
PRESSURES = st.floats(5e6, 25e6)


def plain(size: float) -> Restrictor:
    return Restrictor(diameter=size, discharge=0.7, contraction=None)


def both(hole: Restrictor | None) -> Restrictors:
    return Restrictors(cap=hole, rod=hole)


def drilled(name: str) -> Restrictors:
    return both(Restrictor(diameter=drills.named(name).diameter))


def swing(restrictors: Restrictors, supply: Supply = CARRIER, warm: float = 40.0) -> SwingTimes:
    return swing_time(CYLINDER, restrictors, supply, OIL, warm, lines=LINES)


@given(bore=BORES, share=SHARES, cap=HOLES, rod=HOLES, pressure=PRESSURES)
def test_the_ideal_swing_has_the_closed_forms_times_and_ratio_for_any_pair_of_holes(
    bore: float, share: float, cap: float, rod: float, pressure: float
) -> None:
    cylinder = Cylinder(bore=bore, rod=share * bore, stroke=0.3)
    endless = Supply(flow=1.0, relief=pressure)
    times = swing_time(cylinder, Restrictors(cap=plain(cap), rod=plain(rod)), endless, OIL, 15.0)
    ways: tuple[Way, Way] = ("out", "in")
    for way, travel in zip(ways, (times.rod_out, times.rod_in), strict=True):
        ideal = plain_speed(cylinder, way, pressure, cap, rod, 0.7, 870.0)
        assert travel.speed == pytest.approx(ideal, rel=1e-3) and travel.limited_by == "restrictors"
    assert times.ratio == pytest.approx(sqrt(cylinder.rod_area / cylinder.cap_area), rel=1e-3)


def test_with_restrictors_the_time_does_not_depend_on_the_pumps_flow() -> None:
    at = [swing(drilled("1/16"), replace(CARRIER, flow=gpm * GPM)) for gpm in (8, 20, 35)]
    assert all(t.rod_out.limited_by == t.rod_in.limited_by == "restrictors" for t in at)
    assert [t.rod_out.time for t in at] == pytest.approx([at[0].rod_out.time] * 3, rel=1e-9)
    assert [t.rod_in.time for t in at] == pytest.approx([at[0].rod_in.time] * 3, rel=1e-9)
    # What the pump gives beyond it goes over the carrier's relief as heat, and there is more of it.
    assert at[0].rod_out.heat < at[1].rod_out.heat < at[2].rod_out.heat
    assert at[2].rod_out.heat == pytest.approx(40e3, rel=0.05)


def test_time_goes_with_one_over_the_square_of_the_hole() -> None:
    endless, wide, narrow = Supply(flow=1.0, relief=2e7), 2e-3, 1e-3
    slow, fast = (swing_time(CYLINDER, both(plain(d)), endless, OIL, 15.0) for d in (narrow, wide))
    assert slow.rod_out.time / fast.rod_out.time == pytest.approx(4.0, rel=1e-3)
    real = swing(drilled("#52")).rod_out.time / swing(drilled("#60")).rod_out.time
    assert real == pytest.approx((0.0400 / 0.0635) ** 2, rel=0.05)


def test_out_slower_than_in_means_that_the_pump_sets_the_pace() -> None:
    assert swing(drilled("1/16")).ratio < 1.0
    drilled_out = swing(OPEN_PORTS)
    assert drilled_out.ratio > 1.0 and drilled_out.rod_out.limited_by == drilled_out.rod_in.limited_by == "pump"
    assert drilled_out.rod_out.time == pytest.approx(pump_time(CYLINDER, "out", CARRIER.flow))
    assert drilled_out.rod_out.time < 0.7
    small = swing(drilled("1/16"), replace(CARRIER, flow=2.5 * GPM))
    assert small.ratio > 1.0 and small.rod_out.limited_by == "pump"


@pytest.mark.parametrize(("warm", "low", "high"), [(0.0, 1.2, 1.4), (-10.0, 1.7, 2.0), (-25.0, 6.0, 9.0)])
def test_a_cold_morning_makes_it_slower_by_a_known_factor(warm: float, low: float, high: float) -> None:
    ratio = swing(drilled("1/16"), warm=warm).rod_out.time / swing(drilled("1/16")).rod_out.time
    assert low <= ratio <= high
    slow = swing_time(CYLINDER, drilled("1/16"), CARRIER, OIL, warm, lines=LINES, law="slow")
    assert slow.rod_out.time > swing(drilled("1/16"), warm=warm).rod_out.time


def test_one_restrictor_missing_is_faster_both_ways() -> None:
    fitted = swing(drilled("1/16"))
    for holes in (Restrictors(cap=None, rod=fitted_hole()), Restrictors(cap=fitted_hole(), rod=None)):
        found = swing(holes)
        assert found.rod_out.time < fitted.rod_out.time and found.rod_in.time < fitted.rod_in.time


def fitted_hole() -> Restrictor:
    return Restrictor(diameter=INCH / 16)


@settings(deadline=None, max_examples=40)
@given(
    hole=st.floats(0.7e-3, 3e-3),
    gpm=st.floats(3.0, 35.0),
    psi=st.floats(1500.0, 3500.0),
    load=st.floats(-2000.0, 5000.0),
    warm=st.floats(-20.0, 60.0),
    droop=st.floats(0.0, 0.3),
)
def test_the_answer_put_back_balances(
    hole: float, gpm: float, psi: float, load: float, warm: float, droop: float
) -> None:
    fitted = Restrictor(diameter=hole)
    supply = Supply(flow=gpm * GPM, relief=psi * PSI, back=30 * PSI, droop=droop)
    found = swing_time(CYLINDER, both(fitted), supply, OIL, warm, lines=LINES, load_out=load).rod_out
    rho, nu = OIL.density_at(warm), OIL.viscosity(warm)
    q_in, q_out = found.speed * CYLINDER.cap_area, found.speed * CYLINDER.rod_area
    assert found.pressure_in * CYLINDER.cap_area - found.pressure_out * CYLINDER.rod_area == pytest.approx(
        load, abs=1e-6 * psi * PSI * CYLINDER.cap_area
    )
    behind = supply.back + HOSE.drop(q_out, rho, nu)
    assert found.pressure_out == pytest.approx(fitted.before(q_out, behind, rho, nu), rel=1e-5, abs=10.0)
    if found.limited_by == "load":
        assert found.pressure_in == pytest.approx(VAPOUR, abs=2.0)
    elif not found.cavitates:
        ahead = found.supply - HOSE.drop(q_in, rho, nu) - fitted.drop(q_in, rho, nu)
        assert found.pressure_in == pytest.approx(ahead, rel=1e-4, abs=1e3)
    pumped = supply.flow * (1.0 - droop * found.supply / supply.relief)
    assert q_in + found.excess == pytest.approx(pumped, rel=1e-4) or found.limited_by == "load"


def test_a_load_that_holds_the_blade_stalls_it_and_one_that_drags_it_is_held_by_the_way_out() -> None:
    stall = CYLINDER.push(CARRIER.relief) * 1.01
    stuck = swing_time(CYLINDER, drilled("1/16"), CARRIER, OIL, 40.0, load_out=stall).rod_out
    assert (stuck.time, stuck.speed, stuck.limited_by) == (inf, 0.0, "stalled")
    assert stuck.heat == pytest.approx(CARRIER.power)
    free = swing(drilled("1/16")).rod_out
    dragged = swing_time(CYLINDER, drilled("1/16"), CARRIER, OIL, 40.0, lines=LINES, load_out=-5000.0).rod_out
    assert free.time > dragged.time > 0.7 * free.time
    runaway = swing_time(
        CYLINDER, drilled("1/16"), replace(CARRIER, flow=1 * GPM), OIL, 40.0, load_out=-20_000.0
    ).rod_out
    assert runaway.limited_by == "load" and runaway.time < pump_time(CYLINDER, "out", 1 * GPM)


def test_a_load_that_outruns_the_pump_leaves_a_void_behind_the_piston() -> None:
    supply = replace(CARRIER, flow=3.2 * GPM)
    found = swing_time(CYLINDER, drilled("1/16"), supply, OIL, 40.0, lines=LINES, load_out=-18_000.0).rod_out
    assert found.limited_by == "load" and supply.flow < found.flow < 2 * supply.flow
    assert found.pressure_in == pytest.approx(VAPOUR, abs=2.0)


def test_a_load_that_nothing_holds_is_refused() -> None:
    bare = replace(CARRIER, flow=1 * GPM)
    with pytest.raises(ModelError, match=r"nothing on the way out holds this load back \(given: 20000 N.*restrictor"):
        swing_time(CYLINDER, OPEN_PORTS, bare, OIL, 40.0, load_out=-20_000.0)


def test_a_return_restrictor_cavitates_and_is_slower_for_it() -> None:
    capped = swing(drilled("1/16"))
    assert capped.rod_out.cavitates and capped.rod_in.cavitates
    free = swing(both(replace(fitted_hole(), contraction=None)))
    assert not free.rod_out.cavitates and free.rod_out.time < capped.rod_out.time
    lifted = swing(drilled("1/16"), replace(CARRIER, back=800 * PSI))
    assert not lifted.rod_in.cavitates


def test_a_drooping_pump_changes_nothing_while_there_is_flow_to_spare() -> None:
    stiff, soft = (swing(drilled("1/16"), replace(CARRIER, droop=d)) for d in (0.0, 0.2))
    assert soft.rod_out.time == pytest.approx(stiff.rod_out.time) and soft.rod_out.heat < stiff.rod_out.heat


def test_many_circuits_at_once_have_the_times_they_have_alone() -> None:
    circuits = [
        Circuit(
            cylinder=CYLINDER, restrictors=drilled(name), supply=replace(CARRIER, flow=gpm * GPM), oil=OIL,
            temperature=warm, lines=LINES, load_out=load,
        )
        for name in ("#60", "1/16") for gpm in (3, 20) for warm in (-15.0, 40.0) for load in (-1000.0, 0.0, 3000.0)
    ]  # fmt: skip
    for circuit, found in zip(circuits, swing_times(circuits), strict=True):
        alone = swing_time(
            CYLINDER, circuit.restrictors, circuit.supply, OIL, circuit.temperature, lines=LINES,
            load_out=circuit.load_out,
        )  # fmt: skip
        assert found.rod_out.time == pytest.approx(alone.rod_out.time, rel=1e-9)
        assert found.rod_in.time == pytest.approx(alone.rod_in.time, rel=1e-9)
    assert swing_times([]) == []


@settings(deadline=None, max_examples=25)
@given(target=st.floats(3.0, 12.0), warm=st.floats(-5.0, 60.0), gpm=st.floats(8.0, 35.0))
def test_the_hole_found_for_a_time_gives_that_time_back(target: float, warm: float, gpm: float) -> None:
    supply = replace(CARRIER, flow=gpm * GPM)
    found = size_restrictor(CYLINDER, target, supply, OIL, warm, lines=LINES)
    assert found.drill is not None and found.drill.diameter <= found.ideal * (1 + 1e-9)
    hole = both(Restrictor(diameter=found.ideal))
    assert swing_time(CYLINDER, hole, supply, OIL, warm, lines=LINES).shortest == pytest.approx(target, rel=1e-5)
    as_drilled = swing_time(CYLINDER, drilled(found.drill.name), supply, OIL, warm, lines=LINES)
    assert found.times.shortest == pytest.approx(as_drilled.shortest) and as_drilled.shortest >= target * (1 - 1e-9)
    assert found.times.rod_in.time == pytest.approx(as_drilled.rod_in.time)
    assert found.loosest.shortest < found.times.shortest < found.tightest.shortest


def test_each_unknown_of_the_ideal_swing_is_found_back() -> None:
    hole = plain_diameter(CYLINDER, "in", 2e7, 4.0, 0.7, 870.0)
    assert CYLINDER.stroke / plain_speed(CYLINDER, "in", 2e7, hole, hole, 0.7, 870.0) == pytest.approx(4.0)
    endless = Supply(flow=1.0, relief=2e7)
    assert swing_time(CYLINDER, both(plain(hole)), endless, OIL, 15.0).rod_in.time == pytest.approx(4.0, rel=1e-3)
    base = Circuit(cylinder=CYLINDER, restrictors=OPEN_PORTS, supply=CARRIER, oil=OIL, temperature=40.0, lines=LINES)
    ways: tuple[Way, Way] = ("out", "in")
    for way in ways:
        times = swing(drilled("#55"))
        time = times.rod_out.time if way == "out" else times.rod_in.time
        found = hole_for_time(base, way, time, length=INCH / 4)
        assert found == pytest.approx(drills.named("#55").diameter, rel=1e-5)
    assert hole_for_time(base, "out", 0.5, length=INCH / 4) == inf


def test_a_restrictor_for_stock_is_slow_enough_on_every_carrier() -> None:
    small = replace(CARRIER, flow=2 * GPM)
    here = size_restrictor(CYLINDER, 4.0, small, OIL, 40.0, lines=LINES)
    assert here.drill is None and here.ideal == inf
    assert "the pump alone takes 4.8 s, so this carrier needs no restrictor" in here.cautions[0]
    stock = size_restrictor(CYLINDER, 4.0, small, OIL, 40.0, lines=LINES, any_pump=True)
    assert stock.drill is not None
    assert swing(drilled(stock.drill.name), replace(CARRIER, flow=35 * GPM)).shortest >= 4.0


def test_a_restrictor_that_would_plug_says_so() -> None:
    tiny = Cylinder(bore=1.5 * INCH, rod=0.75 * INCH, stroke=6 * INCH)
    found = size_restrictor(tiny, 8.0, CARRIER, OIL, 40.0)
    assert found.drill is not None and any("plugs easily" in text for text in found.cautions)


def test_what_cannot_be_sized_is_refused_with_the_way_out() -> None:
    with pytest.raises(ModelError, match=r"a swing takes some time \(given: 0 s\).*4 s is usual"):
        size_restrictor(CYLINDER, 0.0, CARRIER, OIL, 40.0)
    with pytest.raises(ModelError, match=r"the blade does not move at all.*larger cylinder"):
        size_restrictor(CYLINDER, 4.0, CARRIER, OIL, 40.0, load_out=1e6, load_in=1e6)
    with pytest.raises(ModelError, match="every drill is larger"):
        size_restrictor(CYLINDER, 4.0, CARRIER, OIL, 40.0, drawer=drills.within(low=0.12 * INCH))
    with pytest.raises(ModelError, match=r"these sizes make no cylinder \(given: bore 1 in, rod 2 in"):
        Cylinder(bore=INCH, rod=2 * INCH, stroke=INCH)
    with pytest.raises(ModelError, match=r"this supply moves nothing \(given: 0 gpm.*20 gpm and 3,000 psi"):
        Supply(flow=0.0, relief=3000 * PSI)


def test_a_three_inch_cylinder_pushes_and_pulls_as_the_handbook_says() -> None:
    cylinder = Cylinder(bore=3 * INCH, rod=1.5 * INCH, stroke=12 * INCH)
    assert cylinder.push(2500 * PSI) / LBF == pytest.approx(17_671, rel=1e-4)
    assert cylinder.pull(2500 * PSI) / LBF == pytest.approx(13_254, rel=1e-4)
