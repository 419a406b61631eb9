"""Oil: what a grade and an index say of a cold morning, and what is refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.errors import ModelError
from plowwright.physics.oil import (
    CENTISTOKE,
    GRADES,
    Oil,
    Temperatures,
    grade_limits,
    oil_of_grade,
    viscosity_at_100,
    viscosity_index,
    walther,
)

VG46 = oil_of_grade(46)


@given(grade=st.sampled_from([g for g in GRADES if g >= 15]), index=st.floats(40.0, 180.0))
def test_the_index_of_an_oil_made_to_an_index_is_that_index(grade: int, index: float) -> None:
    at_40 = grade * CENTISTOKE
    found = viscosity_index(at_40, viscosity_at_100(at_40, index))
    # The standard's formulas of H and L jump by up to half a point where one range of Y ends.
    assert found == pytest.approx(index, abs=0.6)


@given(st.floats(-36.0, 119.0))
def test_oil_only_thins_as_it_warms(temperature: float) -> None:
    assert VG46.viscosity(temperature) > VG46.viscosity(temperature + 1.0)


def test_an_oil_has_the_viscosities_it_was_given() -> None:
    oil = Oil(name="as printed", at_40=46 * CENTISTOKE, at_100=6.8 * CENTISTOKE)
    assert oil.viscosity(40.0) / CENTISTOKE == pytest.approx(46.0)
    assert oil.viscosity(100.0) / CENTISTOKE == pytest.approx(6.8)
    assert oil.density_at(15.0) == 870.0 and oil.density_at(40.0) < 870.0


def test_multigrade_oil_is_thinner_in_the_cold() -> None:
    assert oil_of_grade(46, 150.0).viscosity(-20.0) < 0.6 * VG46.viscosity(-20.0)


def test_a_grade_nobody_sells_is_refused_with_those_there_are() -> None:
    with pytest.raises(ModelError, match=r"no such oil grade \(given: VG 40\); limit: ISO 3448: .*32, 46, 68"):
        oil_of_grade(40)
    assert grade_limits(46) == pytest.approx((41.4e-6, 50.6e-6))


def test_oil_below_its_pour_point_gives_no_answer() -> None:
    with pytest.raises(ModelError, match=r"VG 46, index 100: no viscosity is known there .*-40.*pour point.*Warm"):
        VG46.viscosity(-40.0)
    with pytest.raises(ModelError, match="no viscosity"):
        VG46.viscosity(float("nan"))


def test_an_index_no_oil_has_is_refused() -> None:
    with pytest.raises(ModelError, match=r"no oil of this grade has such a viscosity index \(given: index 900"):
        oil_of_grade(46, 900.0)
    with pytest.raises(ModelError, match=r"too thin at 100 C.*given: 1 mm2/s.*2 mm2/s or more"):
        viscosity_index(5e-6, 1e-6)


def test_two_points_at_one_temperature_make_no_line() -> None:
    with pytest.raises(ModelError, match="two points do not make a viscosity line"):
        walther((40.0, 46e-6), (40.0, 40e-6))


def test_cold_lines_and_a_warm_tank_are_not_mixed_up() -> None:
    with pytest.raises(ModelError, match="the blade's lines are not warmer than the carrier's tank"):
        Temperatures(tank=-10.0, lines=40.0)
