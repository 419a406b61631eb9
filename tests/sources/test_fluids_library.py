"""Hoses: friction factors and losses against an independent library of fluid dynamics.

Source: `fluids` 1.3 (open source), which carries the laws of Colebrook, Blasius and Hagen-Poiseuille; Technical Paper
410, example 7.13, as that library works it out.
"""

from __future__ import annotations

from math import pi

import fluids
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.physics import hoses
from plowwright.units.constants import FOOT, GPM, INCH, PSI


@pytest.mark.parametrize(
    ("number", "rough", "factor"),
    [(1000, 0.0, 0.064), (2000, 0.0, 0.032), (1e5, 1e-4, 0.0185139), (1e5, 1e-3, 0.0221745), (2.9e5, 1e-5, 0.0146592)],
)
def test_friction_factors_are_those_of_the_table(number: float, rough: float, factor: float) -> None:
    assert hoses.friction_factor(number, rough) == pytest.approx(factor, rel=1e-3)


@given(number=st.floats(10.0, 1e7), rough=st.floats(0.0, 0.05))
def test_friction_factors_agree_with_the_library(number: float, rough: float) -> None:
    # Serghides' explicit form is good to 0.003 %; both change from laminar to turbulent at Re 2040.
    assert hoses.friction_factor(number, rough) == pytest.approx(
        fluids.friction.friction_factor(Re=number, eD=rough), rel=1e-4
    )


@pytest.mark.parametrize(("number", "factor"), [(3000, 0.042752), (10_000, 0.03164)])
def test_blasius_law_for_smooth_lines(number: float, factor: float) -> None:
    assert hoses.blasius(number) == pytest.approx(factor, rel=1e-3)
    assert hoses.blasius(number) == pytest.approx(fluids.friction.Blasius(number), rel=1e-3)


def test_a_half_inch_hose_at_ten_gpm_loses_17_5_psi() -> None:
    flow, bore = 10 * GPM, INCH / 2
    assert hoses.line_speed(flow, bore) / FOOT == pytest.approx(16.34, rel=1e-3)
    assert hoses.reynolds(flow, bore, 46e-6) == pytest.approx(1375, rel=1e-3)
    assert hoses.hose_drop(flow, bore, 10 * FOOT, 870.0, 46e-6) / PSI == pytest.approx(17.48, rel=3e-3)


@pytest.mark.parametrize(
    ("bore", "gpm", "viscosity", "length", "psi"), [(0.5, 18, 20e-6, 10, 43.85), (0.75, 25, 32e-6, 15, 19.6)]
)
def test_turbulent_hoses_lose_what_a_smooth_pipe_loses(
    bore: float, gpm: float, viscosity: float, length: float, psi: float
) -> None:
    # 2 %: Blasius' law, as good as Colebrook's here, gives 1 % more.
    found = hoses.hose_drop(gpm * GPM, bore * INCH, length * FOOT, 870.0, viscosity)
    assert found / PSI == pytest.approx(psi, rel=0.02)


def test_oil_in_two_inch_pipe_as_in_the_technical_paper() -> None:
    # Inside diameter 2.067 in; 2 gallons a second of SG 0.815 at 2.7 cSt over 100 ft; the paper prints 9.65 psi.
    bore, flow = 2.067 * INCH, 120 * GPM
    rough = 0.0018 / 2.067
    number = hoses.reynolds(flow, bore, 2.7e-6)
    assert hoses.friction_factor(number, rough) == pytest.approx(0.0227022, rel=2e-3)
    found = hoses.hose_drop(flow, bore, 100 * FOOT, 0.815 * 999.0, 2.7e-6, rough=rough) / PSI
    assert found == pytest.approx(9.5376, rel=5e-3)
    assert found == pytest.approx(9.65, rel=0.02)


@given(gpm=st.floats(0.5, 35.0), viscosity=st.floats(10e-6, 5e-3))
def test_losses_agree_with_the_library_warm_and_cold(gpm: float, viscosity: float) -> None:
    bore, flow = INCH / 2, gpm * GPM
    speed = flow / (pi / 4 * bore**2)
    number = fluids.Reynolds(V=speed, D=bore, nu=viscosity)
    factor = fluids.friction.friction_factor(Re=number)
    theirs = fluids.dP_from_K(fluids.K_from_f(fd=factor, L=3.0, D=bore), rho=870.0, V=speed)
    assert hoses.hose_drop(flow, bore, 3.0, 870.0, viscosity) == pytest.approx(theirs, rel=1e-4)
