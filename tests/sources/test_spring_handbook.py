"""Helical springs: rate, curvature factors, wire strength and the stress in hooks.

Source: Shigley's Mechanical Engineering Design, example 10-1 (printed answers from memory, worked again by hand), and
its factors for coils and hooks (from memory).
"""

from __future__ import annotations

from math import pi

import pytest

from plowwright.physics import springs
from plowwright.physics.springs import ExtensionSpring
from plowwright.units.constants import INCH, LBF, PSI

KSI = 1000 * PSI
RATE = LBF / INCH


def test_the_worked_example_of_a_music_wire_spring() -> None:
    wire, outside, active = 0.037 * INCH, 0.4375 * INCH, 10.5
    mean = outside - wire
    index = mean / wire
    assert index == pytest.approx(10.8, rel=0.005)
    assert springs.bergstraesser(index) == pytest.approx(1.124, rel=0.001)
    shear_yield = 0.45 * springs.MUSIC_WIRE.tensile(wire)
    assert shear_yield / KSI == pytest.approx(145.9, rel=0.005)
    force = pi * wire**3 * shear_yield / (8 * springs.bergstraesser(index) * mean)
    assert force / LBF == pytest.approx(6.46, rel=0.005)
    rate = springs.helical_rate(wire, mean, active, springs.MUSIC_WIRE.shear_modulus)
    assert rate / RATE == pytest.approx(4.13, rel=0.005)
    assert force / rate / INCH == pytest.approx(1.56, rel=0.005)


@pytest.mark.parametrize(("index", "factor"), [(4, 1.4038), (5, 1.3105), (6, 1.2525), (8, 1.184), (10, 1.1448)])
def test_the_curvature_factor_is_wahls(index: float, factor: float) -> None:
    assert springs.wahl(index) == pytest.approx(factor, rel=0.0005)
    # Bergstraesser's stays within 1 % of it over the indexes springs are made with.
    assert springs.bergstraesser(index) == pytest.approx(factor, rel=0.015)


@pytest.mark.parametrize(
    ("wire", "mean", "active", "modulus", "rate"),
    [(0.5, 2.5, 10, 11.5e6, 575.0), (0.375, 2.0, 16, 11.5e6, 222.09), (0.4375, 2.25, 14, 11.2e6, 321.64)],
)
def test_trip_springs_have_the_rate_their_sizes_give(
    wire: float, mean: float, active: float, modulus: float, rate: float
) -> None:
    found = springs.helical_rate(wire * INCH, mean * INCH, active, modulus * PSI)
    assert found / RATE == pytest.approx(rate, rel=0.001)


def test_three_springs_hold_the_moment_of_their_preload() -> None:
    one = ExtensionSpring(
        name="trip spring", wire=0.375 * INCH, mean=2 * INCH, rate=222.09 * RATE, initial=0.0, tensile=170 * KSI
    )
    force = 3 * one.force(1.25 * INCH)
    assert force / LBF == pytest.approx(832.8, rel=0.002)
    assert force * 4.5 * INCH / LBF / INCH == pytest.approx(3747.8, rel=0.002)


def test_a_hook_bends_by_the_handbooks_factor() -> None:
    # By hand for C1 = 6: (4 x 36 - 6 - 1) / (4 x 6 x 5) = 1.1417; (24 - 1) / (24 - 4) = 1.15 at the root for C2 = 6.
    one = ExtensionSpring(name="spring", wire=0.01, mean=0.06, rate=1e4, initial=0.0, tensile=1e9)
    bending = 1.1417 * 16 * 0.06 / (pi * 1e-6) + 4 / (pi * 1e-4)
    assert one.hook_bending(1000.0) == pytest.approx(1000 * bending, rel=1e-4)
    assert one.hook_shear(1000.0) == pytest.approx(1000 * 1.15 * 8 * 0.06 / (pi * 1e-6), rel=1e-4)
