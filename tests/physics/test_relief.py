"""The crossover relief: where it sits, which way it protects, its window, and strikes followed in time."""

from __future__ import annotations

from dataclasses import replace

import pytest

from plowwright.errors import ModelError
from plowwright.physics.circuits import Circuit, Cylinder, Restrictors, Supply
from plowwright.physics.oil import oil_of_grade
from plowwright.physics.orifices import Restrictor
from plowwright.physics.relief import (
    Order,
    Protection,
    Relief,
    Struck,
    Ways,
    order_warning,
    protection,
    setting_window,
    struck,
)
from plowwright.physics.strike_motion import Strike, best_setting, end_and_middle, first_peak_time, strike
from plowwright.units.constants import GPM, INCH, LBF, PSI

CYLINDER = Cylinder(bore=2.5 * INCH, rod=1.25 * INCH, stroke=10 * INCH)
RELIEF = Relief(setting=2500 * PSI, rated=15 * GPM)
HOLE = Restrictor(diameter=INCH / 16)
OIL = oil_of_grade(46)
CIRCUIT = Circuit(
    cylinder=CYLINDER,
    restrictors=Restrictors(cap=HOLE, rod=HOLE),
    supply=Supply(flow=20 * GPM, relief=2000 * PSI),
    oil=OIL,
    temperature=40.0,
)


def hit(order: Order, speed: float = 0.3, relief: Relief = RELIEF) -> Struck:
    return struck(CYLINDER, "out", speed, relief, order=order, restrictor=HOLE, density=860.0, viscosity=40e-6)


def test_a_restrictor_between_cylinder_and_relief_makes_the_relief_useless() -> None:
    good, bad = hit("relief at the cylinder"), hit("restrictor between cylinder and relief")
    assert good.pressure < 1.2 * RELIEF.setting
    assert bad.pressure > 2.5 * good.pressure and bad.at_relief == good.at_relief
    said = order_warning("restrictor between cylinder and relief", bad)
    assert "makes the relief useless" in said and "psi" in said
    assert said.endswith("build it cylinder, relief, restrictors, hoses")
    assert order_warning("relief at the cylinder", good) == ""


def test_a_relief_that_is_too_small_holds_more_than_its_setting() -> None:
    small = hit("relief at the cylinder", 0.6, replace(RELIEF, rated=5 * GPM))
    assert small.over_rated > 1.0 and small.pressure > 2 * RELIEF.setting
    assert RELIEF.pressure(0.0) == RELIEF.setting
    assert RELIEF.pressure(RELIEF.rated) == pytest.approx(1.15 * RELIEF.setting)
    assert RELIEF.pressure(2 * RELIEF.rated) == pytest.approx(4.6 * RELIEF.setting)


def guard(ways: Ways | None = None) -> Protection:
    return protection(
        CYLINDER, ways or Ways(), travel=4 * INCH, trapped=1.2e-3, bulk=1.2e9, start=2500 * PSI, limit=4000 * PSI
    )


def test_a_crossover_relief_on_one_single_rod_cylinder_is_never_full_protection() -> None:
    found = guard()
    assert (found.rod_out, found.rod_in, found.full) == ("protected", "not protected", False)
    assert found.homeless / INCH**3 == pytest.approx(4.909, rel=1e-3)
    assert found.give < 1 * INCH
    assert "rod in: not protected: the 4.9 in3 the rod displaces have nowhere to go" in found.sentences[1]
    assert "path to tank, an accumulator or a cylinder of equal areas" in found.sentences[1]
    assert "bubble" in found.sentences[0]


def test_a_path_to_tank_an_accumulator_or_equal_areas_protect_rod_in() -> None:
    assert guard(Ways(to_tank=True)).full and guard(Ways(accumulator=1e-4)).full
    both = guard(Ways(equal_areas=True))
    assert both.full and both.homeless == 0.0 and len(both.sentences) == 1
    part = guard(Ways(accumulator=2e-5))
    assert part.rod_in == "protected in part" and not part.full and guard().give < part.give < 4 * INCH


def test_squeezing_the_trapped_oil_gives_as_much_way_as_its_springiness() -> None:
    give = guard().give
    rise = 1.2e9 * CYLINDER.rod_section * give / 1.2e-3
    assert rise == pytest.approx(1500 * PSI)


def test_the_window_lies_between_the_carriers_relief_and_the_weakest_part() -> None:
    window = setting_window(
        CIRCUIT, arm=8 * INCH, reach=42 * INCH, capacities={"frame": 3000 * LBF}, ratings={"cylinder": 3500 * PSI}
    )
    assert window.low == pytest.approx(2200 * PSI) and window.low_by == "the carrier's own relief"
    assert window.high / PSI == pytest.approx(3000 * 42 / 8 / 4.9087, rel=1e-3) and window.high_by == "frame"
    assert not window.empty and window.sentence.startswith("set it between 2,200 psi (the carrier's own relief)")


def test_a_weak_frame_on_a_strong_carrier_leaves_no_setting_and_says_which_two_clash() -> None:
    window = setting_window(CIRCUIT, arm=8 * INCH, reach=42 * INCH, capacities={"frame": 1500 * LBF}, ratings={})
    assert window.empty
    assert window.sentence.startswith("no setting does: the carrier's own relief asks for 2,200 psi, frame allows")


def test_a_hard_strike_asks_for_a_higher_setting_so_as_not_to_ride_into_the_stop() -> None:
    window = setting_window(
        CIRCUIT, arm=8 * INCH, reach=42 * INCH, capacities={}, ratings={"cylinder": 5000 * PSI},
        energy=4000.0, travel=3 * INCH,
    )  # fmt: skip
    assert window.low_by == "energy of the strike within the travel left"
    assert window.low * CYLINDER.rod_area * 3 * INCH == pytest.approx(4000.0)


def test_a_window_for_nothing_and_a_relief_without_setting_are_refused() -> None:
    with pytest.raises(ModelError, match="without anything to protect"):
        setting_window(CIRCUIT, arm=0.2, reach=1.0, capacities={}, ratings={})
    with pytest.raises(ModelError, match=r"protects nothing \(given: set to 0 psi.*2,500 psi and 8 gpm"):
        Relief(setting=0.0, rated=1e-3)


STRIKE = Strike(speed=2.0, mass=3500.0, lever=1.0, inertia=250.0, area=3.2e-3, arm=0.2, oil=1e-3)


def test_the_first_peak_is_that_of_a_mass_on_a_spring() -> None:
    middle = replace(STRIKE, lever=0.0)
    found = strike(middle, lasts=0.1)
    assert found.peak == pytest.approx(middle.free_peak, rel=1e-3)
    assert found.peak_at == pytest.approx(first_peak_time(middle), rel=0.01)
    free = replace(STRIKE, area=1e-9)
    assert strike(free, lasts=0.05).peak == pytest.approx(free.free_peak, rel=1e-3)


def test_the_end_has_the_smaller_contact_force_and_the_greater_moment_at_the_king_pin() -> None:
    end, middle = end_and_middle(replace(STRIKE, relief=RELIEF), 1.0)
    assert end.peak < 0.5 * middle.peak and end.king_pin_moment > 0.0 == middle.king_pin_moment
    assert end.yaw > 0.0 == middle.yaw


def test_a_relief_set_beyond_reach_is_no_relief_and_an_ideal_one_holds_its_setting() -> None:
    none = strike(STRIKE, lasts=0.1)
    beyond = strike(replace(STRIKE, relief=replace(RELIEF, setting=1e9)), lasts=0.1)
    assert beyond.pressure == pytest.approx(none.pressure, rel=1e-3) and beyond.relieved == 0.0
    ideal = Relief(setting=2000 * PSI, rated=1.0, override=0.01, lag=1e-5)
    held = strike(replace(STRIKE, relief=ideal), lasts=0.1)
    assert held.pressure == pytest.approx(ideal.setting, rel=0.02) and held.relieved > 5e-5
    assert none.pressure > 5 * held.pressure


def test_a_late_or_small_relief_lets_more_pressure_through() -> None:
    quick, late = (strike(replace(STRIKE, relief=replace(RELIEF, lag=lag)), lasts=0.1) for lag in (1e-3, 2e-2))
    assert late.pressure > 1.2 * quick.pressure > RELIEF.setting
    small = strike(replace(STRIKE, relief=replace(RELIEF, rated=3 * GPM, lag=1e-3)), lasts=0.1)
    assert small.pressure > quick.pressure


def test_a_trip_takes_the_moldboard_out_of_the_way_and_no_energy_is_lost_on_the_way() -> None:
    trips = replace(
        STRIKE, lever=0.0, height=0.12, trip_inertia=12.0, trip_moment=900.0, trip_rate=800.0, relief=RELIEF
    )
    found = strike(trips, lasts=0.1)
    assert found.trip > 0.3 and found.peak < 0.6 * strike(replace(trips, height=0.0), lasts=0.1).peak
    assert found.unbalanced < 1e-4
    pushed = strike(replace(STRIKE, push=8000.0, relief=RELIEF), lasts=0.1)
    assert pushed.unbalanced < 1e-4


def test_a_relief_has_a_best_setting_too_low_rides_into_the_stop_and_too_high_stays_shut() -> None:
    short_of_stop = replace(STRIKE, relief=replace(RELIEF, rated=40 * GPM, lag=2e-3), stop=0.15, speed=1.6)
    settings = [psi * PSI for psi in (300, 1000, 2000, 3000, 4000, 6000, 9000, 12000)]
    best, found = best_setting(short_of_stop, settings, lasts=0.15)
    assert settings[0] < best < settings[-1]
    moments = [outcome.king_pin_moment for outcome in found]
    assert moments[0] > 1.2 * min(moments) and moments[-1] > 1.2 * min(moments)
    assert found[0].yaw > short_of_stop.stop > found[-1].yaw
    with pytest.raises(ModelError, match="there is no relief to set"):
        best_setting(STRIKE, settings)
