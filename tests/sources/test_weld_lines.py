"""Seams as lines: shear, torsion and bending of plane groups by the elastic method.

Source: O. Blodgett, Design of Welded Structures, welds as lines; the four examples worked by hand in the README of the
`ezweld` package, read and run for the list of checks.
"""

from __future__ import annotations

from itertools import pairwise
from math import cos, pi, sin

import numpy as np
import pytest

from plowwright.physics.joints import Seam, SeamGroup
from plowwright.units.constants import INCH, LBF

KIP = 1000 * LBF
Point = tuple[float, float]


def lines(*runs: tuple[Point, Point]) -> SeamGroup:
    """Seams in the x-y plane given in inches, of unit leg so that leg stress is force per length."""
    seams = tuple(
        Seam(name=f"seam {n}", start=(a[0] * INCH, a[1] * INCH, 0.0), end=(b[0] * INCH, b[1] * INCH, 0.0), leg=1.0)
        for n, (a, b) in enumerate(runs, 1)
    )
    return SeamGroup(name="bracket", seams=seams)


def greatest(group: SeamGroup, force: tuple[float, ...], moment: tuple[float, ...]) -> float:
    found = group.leg_stress(np.array(force) * KIP, np.array(moment) * KIP * INCH, group.centre)
    return float(np.linalg.norm(found, axis=-1).max()) / KIP * INCH


def test_two_upright_lines_in_shear_and_bending() -> None:
    group = lines(((0, 0), (0, 8)), ((6, 0), (6, 8)))
    assert group.length / INCH == pytest.approx(16)
    assert group.tensor[0, 0] / INCH**3 == pytest.approx(85.333, rel=1e-4)
    assert greatest(group, (0, -50, 0), (0, 0, 0)) == pytest.approx(3.125, rel=1e-4)
    assert greatest(group, (0, 0, 0), (120, 0, 0)) == pytest.approx(5.625, rel=1e-4)
    assert greatest(group, (0, -50, 0), (120, 0, 0)) == pytest.approx(6.435, rel=3e-3)


def test_a_rectangle_bent_both_ways() -> None:
    group = lines(((0, 0), (4, 0)), ((4, 0), (4, 6)), ((4, 6), (0, 6)), ((0, 6), (0, 0)))
    assert group.tensor[0, 0] / INCH**3 / 3 == pytest.approx(36, rel=1e-3)
    assert group.tensor[1, 1] / INCH**3 / 2 == pytest.approx(29.333, rel=1e-3)
    assert greatest(group, (0, 0, 0), (240, 120, 0)) == pytest.approx(10.76, rel=3e-3)


def test_a_c_shape_in_shear_and_torsion() -> None:
    group = lines(((0, 0), (0, 10)), ((0, 10), (3, 10)), ((0, 0), (3, 0)))
    assert group.centre[0] / INCH == pytest.approx(0.5625)
    assert group.tensor[2, 2] / INCH**3 == pytest.approx(246.27, rel=1e-4)
    turning_off = min(greatest(group, (0, -50, 0), (0, 0, t)) for t in (200, -200))
    assert turning_off == pytest.approx(5.413, rel=3e-3)


def test_a_circle_in_shear_and_bending() -> None:
    corners = [(6 * cos(2 * pi * i / 360), 6 * sin(2 * pi * i / 360)) for i in range(361)]
    group = lines(*pairwise(corners))
    assert greatest(group, (0, -50, 0), (120, 0, 0)) == pytest.approx(1.6985, rel=1e-3)
