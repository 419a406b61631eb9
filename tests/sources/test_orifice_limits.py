"""Orifices: handbook constants, the plain law, and the creeping limit worked out by a method of its own.

Source: Q = Cd A sqrt(2 dp / rho) and its US forms (NFPA 291: 29.84; handbook rule D = 0.23 sqrt(Q / sqrt dp), read);
Hagen-Poiseuille and Sampson for creeping flow; Lichtarowicz, Duggins and Markland 1965 (from memory).
"""

from __future__ import annotations

from math import pi, sqrt

import pytest

from plowwright.physics.orifices import VAPOUR, Restrictor, diameter_for
from plowwright.units.constants import GPM, INCH, PSI


def plain(inches: float, discharge: float) -> Restrictor:
    return Restrictor(diameter=inches * INCH, discharge=discharge)


def test_the_constant_of_the_hydrant_formula() -> None:
    # Water at its handbook density of 62.4 lb/ft3; the formula's constant is printed as 29.83 to 29.84.
    assert plain(1.0, 1.0).flow(PSI, 999.0, 1e-6) / GPM == pytest.approx(29.84, rel=1e-3)


@pytest.mark.parametrize(("inches", "psi", "gpm"), [(0.0625, 1000, 2.449), (0.09375, 2000, 7.792), (0.125, 500, 6.926)])
def test_a_sharp_edge_in_oil(inches: float, psi: float, gpm: float) -> None:
    found = plain(inches, 0.62).flow(psi * PSI, 870.0, 46e-6)
    assert found / GPM == pytest.approx(gpm, rel=3e-3)
    assert diameter_for(gpm * GPM, psi * PSI, 870.0, 46e-6, discharge=0.62) / INCH == pytest.approx(inches, rel=2e-3)


def test_a_sixteenth_at_two_thousand_psi() -> None:
    assert plain(0.0625, 0.63).flow(2000 * PSI, 1000.0, 1e-6) / GPM == pytest.approx(3.28, rel=5e-3)


def test_the_handbook_rule_for_a_tenth_of_an_inch() -> None:
    # D = 0.23 sqrt(Q / sqrt dp) prints 5.978 gpm at 1,000 psi with C 0.63 in water.
    assert plain(0.1, 0.63).flow(1000 * PSI, 1000.0, 1e-6) / GPM == pytest.approx(5.978, rel=0.01)


def test_a_very_long_hole_creeps_as_poiseuille_has_it() -> None:
    hole = Restrictor(diameter=1e-3, length=0.1)
    flow = hole.flow(100.0, 870.0, 1e-3)
    assert 4 * flow / (pi * 1e-3 * 1e-3) < 1e-3, "Reynolds number"
    assert flow == pytest.approx(pi * 1e-12 * 100.0 / (128 * 870.0 * 1e-3 * 0.1), rel=0.02)


def test_a_hole_in_a_thin_wall_creeps_as_sampson_has_it() -> None:
    thin = Restrictor(diameter=1e-3, length=0.0)
    assert thin.flow(100.0, 870.0, 1e-3) == pytest.approx(1e-9 * 100.0 / (24 * 870.0 * 1e-3), rel=0.02)


@pytest.mark.parametrize("slender", [2.0, 4.0, 10.0])
def test_a_drilled_hole_creeps_as_both_together(slender: float) -> None:
    hole = Restrictor(diameter=1.5e-3, length=slender * 1.5e-3)
    mu = 870.0 * 2e-2
    series = 128 * hole.length / (pi * 1.5e-3**4) + 24 / 1.5e-3**3
    # Below Re 0.01; the slow law still has a trace of inertia.
    assert hole.flow(1e3, 870.0, 2e-2) == pytest.approx(1e3 / (mu * series), rel=0.02)
    assert hole.flow(1e3, 870.0, 2e-2, law="slow") == pytest.approx(1e3 / (mu * series), rel=0.02)


@pytest.mark.parametrize(("slender", "number"), [(2.0, 100.0), (4.0, 1000.0), (10.0, 1e4)])
def test_the_measured_law_in_its_own_form(slender: float, number: float) -> None:
    # 1 / Cd = 1 / (0.827 - 0.0085 L/d) + 20 (1 + 2.25 L/d) / Re, Re with the ideal speed.
    d, nu = 1.5e-3, 40e-6
    ideal = number * nu / d
    discharge = 1 / (1 / (0.827 - 0.0085 * slender) + 20 * (1 + 2.25 * slender) / number)
    found = Restrictor(diameter=d, length=slender * d).flow(870.0 * ideal**2 / 2, 870.0, nu)
    assert found == pytest.approx(discharge * pi / 4 * d * d * ideal, rel=1e-9)


def test_a_cavitating_hole_has_nuricks_coefficient() -> None:
    hole, before, after = Restrictor(diameter=1.5e-3), 1e7, 0.0
    number = (before - VAPOUR) / (before - after)
    found = hole.flow_between(before, after, 870.0, 10e-6)
    assert found == pytest.approx(0.62 * sqrt(number) * hole.area * sqrt(2 * (before - after) / 870.0), rel=1e-9)
