"""Cylinders, power, line speed, threads and hoses as fluid-power handbooks have them.

Source: fluid-power handbook rules and formula pages (read); ASME B1.20.1, SAE J514, J1926, J517 and ASME B94.11M
(tables from memory)
"""

from __future__ import annotations

import pytest

from plowwright.physics import drills, hoses
from plowwright.physics.circuits import Cylinder, Supply, pump_time
from plowwright.units.constants import FOOT, GPM, HP, INCH, LBF, PSI


@pytest.mark.parametrize(
    ("bore", "rod", "gpm", "push", "pull", "out", "inward"),
    [(3, 1.5, 10, 17_671, 13_254, 5.4466, 7.2622), (6, 3, 15, 70_686, 53_014, 2.0425, 2.7233)],
)
def test_push_pull_and_speed_of_a_cylinder_at_2500_psi(
    bore: float, rod: float, gpm: float, push: float, pull: float, out: float, inward: float
) -> None:
    cylinder = Cylinder(bore=bore * INCH, rod=rod * INCH, stroke=10 * INCH)
    assert cylinder.push(2500 * PSI) / LBF == pytest.approx(push, rel=1e-3)
    assert cylinder.pull(2500 * PSI) / LBF == pytest.approx(pull, rel=1e-3)
    assert 10 / pump_time(cylinder, "out", gpm * GPM) == pytest.approx(out, rel=1e-3)
    assert 10 / pump_time(cylinder, "in", gpm * GPM) == pytest.approx(inward, rel=1e-3)
    assert cylinder.ratio == pytest.approx(4 / 3)


def test_ten_gpm_at_2500_psi_are_14_6_horsepower() -> None:
    assert Supply(flow=10 * GPM, relief=2500 * PSI).power / HP == pytest.approx(14.59, rel=1e-3)


def test_eight_gpm_over_1500_psi_are_seven_horsepower_of_heat() -> None:
    heat = Supply(flow=8 * GPM, relief=1500 * PSI).power
    assert heat / HP == pytest.approx(7.001, rel=3e-3)
    assert heat / HP * 42.41 == pytest.approx(296.9, rel=3e-3)


def test_line_speed_is_0_3208_gpm_over_square_inches() -> None:
    bore = (4 / 3.141592653589793) ** 0.5 * INCH
    assert hoses.line_speed(GPM, bore) / FOOT == pytest.approx(0.3208, rel=1e-3)
    limits = {duty: tuple(round(v / FOOT) for v in pair) for duty, pair in hoses.SPEEDS.items()}
    assert limits == {
        "suction": (2, 4),
        "return or low pressure": (10, 15),
        "pressure": (15, 20),
        "high pressure": (25, 25),
    }


@pytest.mark.parametrize(("dash", "bore"), [(4, 0.25), (6, 0.375), (8, 0.5), (12, 0.75)])
def test_dash_is_the_bore_in_sixteenths(dash: int, bore: float) -> None:
    assert hoses.DASH[dash] / INCH == pytest.approx(bore) == pytest.approx(dash / 16)


@pytest.mark.parametrize(
    ("size", "outside", "threads"),
    [
        ("1/8", 0.405, 27),
        ("1/4", 0.54, 18),
        ("3/8", 0.675, 18),
        ("1/2", 0.84, 14),
        ("3/4", 1.05, 14),
        ("1", 1.315, 11.5),
    ],
)
def test_pipe_threads(size: str, outside: float, threads: float) -> None:
    found = hoses.PIPE_THREADS[size]
    assert (found[0] / INCH, found[1]) == pytest.approx((outside, threads))


def test_straight_threads_by_dash() -> None:
    expected = ["7/16-20", "9/16-18", "3/4-16", "7/8-14", "1-1/16-12", "1-5/16-12"]
    assert [hoses.STRAIGHT_THREADS[dash] for dash in (4, 6, 8, 10, 12, 16)] == expected


@pytest.mark.parametrize(
    ("name", "inches"),
    [("#60", 0.04), ("#55", 0.052), ("#50", 0.07), ("#45", 0.082), ("#40", 0.098), ("#35", 0.11), ("#30", 0.1285)],
)
def test_number_drills(name: str, inches: float) -> None:
    assert drills.named(name).diameter / INCH == pytest.approx(inches)
