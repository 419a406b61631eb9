"""Cross-sections as beams see them: what must hold of any of them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.errors import ModelError
from plowwright.physics import built_up, sections
from plowwright.physics.regions import rectangle
from plowwright.units.constants import INCH

sizes = st.floats(1.0, 8.0)
walls = st.floats(0.05, 0.3)


@given(width=sizes, height=sizes, wall=walls)
def test_a_tube_on_its_side_has_its_properties_swapped(width: float, height: float, wall: float) -> None:
    one = sections.tube_strength(width * INCH, height * INCH, wall * INCH)
    other = sections.tube_strength(height * INCH, width * INCH, wall * INCH)
    assert one.inertia_y == pytest.approx(other.inertia_z, rel=1e-9)
    assert one.plastic_y == pytest.approx(other.plastic_z, rel=1e-6)
    assert one.torsion == pytest.approx(other.torsion, rel=1e-9)
    assert one.shear_y == pytest.approx(other.shear_z, rel=1e-9)


@given(width=sizes, thickness=sizes)
def test_a_flat_at_full_yield_bears_half_as_much_again_as_at_first_yield(width: float, thickness: float) -> None:
    flat = sections.flat_strength(width * INCH, thickness * INCH)
    assert flat.plastic_y / flat.elastic_y == pytest.approx(1.5, rel=1e-6)
    assert flat.plastic_z == pytest.approx(thickness * width**2 / 4 * INCH**3, rel=1e-6)


@given(diameter=st.floats(0.25, 3.0))
def test_a_round_bar_is_the_closed_form_and_its_points_lie_on_the_safe_side(diameter: float) -> None:
    d = diameter * INCH
    bar = sections.round_strength(d)
    assert bar.inertia_y == pytest.approx(math.pi * d**4 / 64, rel=1e-9)
    assert bar.plastic_y == pytest.approx(d**3 / 6, rel=2e-4)
    assert bar.torsion_modulus == pytest.approx(math.pi * d**3 / 16, rel=1e-9)
    for turn in range(12):
        moment = (math.cos(turn * 0.3), math.sin(turn * 0.3))
        greatest = max(bar.stresses(moment_y=moment[0], moment_z=moment[1]))
        exact = 32 / (math.pi * d**3)
        assert exact * (1 - 1e-9) <= greatest <= 1.009 * exact


@given(scale=st.floats(0.1, 10.0))
def test_properties_grow_with_the_power_of_their_unit(scale: float) -> None:
    one = sections.angle_strength(0.1, 0.07, 0.008, 0.009)
    large = sections.angle_strength(0.1 * scale, 0.07 * scale, 0.008 * scale, 0.009 * scale)
    assert large.area == pytest.approx(one.area * scale**2)
    assert large.torsion == pytest.approx(one.torsion * scale**4)
    assert large.plastic_y == pytest.approx(one.plastic_y * scale**3, rel=1e-3)


def test_pull_and_moments_come_back_from_the_stresses_they_make() -> None:
    tee = built_up.tee_strength(3 * INCH, 0.25 * INCH, 6 * INCH, 0.1875 * INCH)
    pulled = tee.stresses(axial=1000.0)
    assert pulled == pytest.approx([1000.0 / tee.area] * len(pulled))
    bent = tee.stresses(moment_y=100.0)
    top = max(z for _, z in tee.points)
    assert bent[[z for _, z in tee.points].index(top)] == pytest.approx(100.0 * top / tee.inertia_y)
    assert min(bent) == pytest.approx(-100.0 / tee.elastic_y)


def test_an_angle_free_to_bend_out_of_plane_is_stressed_more_than_one_held_by_a_skin() -> None:
    angle = sections.angle_strength(3 * INCH, 3 * INCH, 0.25 * INCH)
    held, free = (max(map(abs, angle.stresses(moment_y=100.0, free=loose))) for loose in (False, True))
    assert free > 1.1 * held


def test_pieces_that_make_up_a_flat_are_the_flat() -> None:
    half = sections.Piece(region=sections.flat(0.1, 0.01), v=0.005)
    other = sections.Piece(region=sections.flat(0.1, 0.01), v=-0.005)
    whole = sections.flat_strength(0.1, 0.02)
    put = sections.built_up((half, other), torsion=1.0, torsion_modulus=1.0, shear_y=1.0, shear_z=1.0)
    assert put.area == pytest.approx(whole.area)
    assert put.inertia_y == pytest.approx(whole.inertia_y)
    assert put.plastic_y == pytest.approx(whole.plastic_y)


def test_edge_and_angle_as_one_plate_twist_less_than_each_alone() -> None:
    size = (4 * INCH, 3 * INCH, 0.375 * INCH, 6 * INCH, 0.5 * INCH, 3 * INCH)
    one = built_up.angle_with_edge_strength(*size)
    alone = built_up.angle_with_edge_strength(*size, as_one=False)
    assert one.torsion > 2 * alone.torsion
    assert one.inertia_y == alone.inertia_y
    x0, y0 = one.centroid
    region = rectangle(-0.5 * INCH, -3 * INCH, 0.0, 3 * INCH)
    assert x0 > region[0][0] and y0 > region[0][1]


def test_a_stocky_skin_works_over_its_whole_pitch_and_a_thin_one_over_part_of_it() -> None:
    stocky = sections_width(pitch=4.0, thickness=0.1875)
    thin = sections_width(pitch=20.0, thickness=0.125)
    assert stocky == pytest.approx(4.0)
    assert 3.0 < thin < 8.0


def sections_width(*, pitch: float, thickness: float) -> float:
    return built_up.effective_width(pitch * INCH, thickness * INCH, 250e6, 200e9) / INCH


def test_a_toe_rounder_than_the_leg_is_thick_is_refused() -> None:
    with pytest.raises(ModelError, match=r"toe of an angle.*given: 0.007 m.*limit: 0.00635 m"):
        sections.filleted_angle(0.0762, 0.0762, 0.00635, 0.009, 0.007)
