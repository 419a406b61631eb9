"""Two times on a stopwatch: each cause is found back from the times it makes."""

from __future__ import annotations

from dataclasses import replace

import pytest

from plowwright.errors import ModelError
from plowwright.physics import drills
from plowwright.physics.circuits import OPEN_PORTS, Circuit, Cylinder, Lines, Restrictors, Supply
from plowwright.physics.hoses import Line
from plowwright.physics.hydraulics import swing_times
from plowwright.physics.oil import oil_of_grade
from plowwright.physics.orifices import Restrictor
from plowwright.physics.stopwatch import Cause, causes, leaky_time
from plowwright.units.constants import FOOT, GPM, INCH, PSI

HOSE = Line(bore=INCH / 2, length=8 * FOOT, loss=15.0, cold=1500.0)


def drilled(name: str) -> Restrictors:
    hole = Restrictor(diameter=drills.named(name).diameter)
    return Restrictors(cap=hole, rod=hole)


BUILT = Circuit(
    cylinder=Cylinder(bore=2.5 * INCH, rod=1.25 * INCH, stroke=10 * INCH),
    restrictors=drilled("#54"),
    supply=Supply(flow=20 * GPM, relief=3000 * PSI),
    oil=oil_of_grade(46),
    temperature=40.0,
    lines=Lines(cap=HOSE, rod=HOSE),
)


def diagnosed(really: Circuit) -> tuple[Cause, ...]:
    times = swing_times([really])[0]
    return causes(BUILT, times.rod_out.time, times.rod_in.time)


def test_a_blade_as_it_was_built_is_called_so_before_anything_else_that_fits() -> None:
    found = diagnosed(BUILT)
    assert found[0].name == "as built" and found[0].fits and found[0].off < 1e-9
    assert diagnosed(replace(BUILT, temperature=35.0))[0].name == "as built"


def test_a_drilled_out_pair_is_named_with_the_drill_and_what_to_send() -> None:
    found = diagnosed(replace(BUILT, restrictors=drilled("#45")))[0]
    assert found.name == "drilled out" and "drill #45 (0.0820 in)" in found.sentence
    assert "send the pair as built, stamped" in found.sentence


@pytest.mark.parametrize(
    ("side", "name"), [("cap", "cap-side restrictor missing"), ("rod", "rod-side restrictor missing")]
)
def test_one_missing_restrictor_is_told_by_its_side(side: str, name: str) -> None:
    fitted = BUILT.restrictors
    left = Restrictors(cap=None, rod=fitted.rod) if side == "cap" else Restrictors(cap=fitted.cap, rod=None)
    assert diagnosed(replace(BUILT, restrictors=left))[0].name == name


def test_none_at_all_leaves_the_pump_and_can_injure() -> None:
    found = diagnosed(replace(BUILT, restrictors=OPEN_PORTS))[0]
    assert found.name == "both restrictors missing" and "can injure" in found.sentence


def test_a_small_pump_makes_out_the_slower_way_and_the_blade_needs_nothing() -> None:
    found = diagnosed(replace(BUILT, supply=replace(BUILT.supply, flow=2 * GPM)))[0]
    assert found.name == "pump too small" and found.rod_out > found.rod_in
    assert "of 20 gpm" in found.sentence and "the blade needs nothing" in found.sentence


def test_cold_oil_and_a_plugged_hole_look_alike_and_both_are_named() -> None:
    fitting = {cause.name for cause in diagnosed(replace(BUILT, temperature=-8.0)) if cause.fits}
    assert fitting == {"oil colder than told", "plugged"}


def test_a_leak_past_the_piston_makes_out_quicker_and_in_slower() -> None:
    tight, leaky = ((leaky_time(BUILT, "out", leak), leaky_time(BUILT, "in", leak)) for leak in (0.0, 5e-12))
    times = swing_times([BUILT])[0]
    assert tight == pytest.approx((times.rod_out.time, times.rod_in.time), rel=1e-5)
    assert leaky[0] < tight[0] and leaky[1] > tight[1]
    found = causes(BUILT, *leaky)[0]
    assert found.name == "internal leak" and "drifts" in found.sentence and "seal kit" in found.sentence


def test_without_two_times_there_is_no_answer() -> None:
    with pytest.raises(ModelError, match=r"two times are needed.*given: 0 s out, 5 s in.*three times each way"):
        causes(BUILT, 0.0, 5.0)
