from __future__ import annotations

from math import cos, pi, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon

from plowwright.physics.regions import Region, circle, flatten, polygon, rectangle, rounded_rectangle
from plowwright.physics.sections import angle, box_tube, flat, round_bar, round_tube

sizes = st.floats(0.01, 2.0)


@given(radius=sizes, u=st.floats(-1, 1), v=st.floats(-1, 1))
def test_a_circle_has_the_area_and_second_moment_of_the_closed_form(
    radius: float, u: float, v: float
) -> None:
    p = Region(outer=circle(u, v, radius)).properties()
    assert p.area == pytest.approx(pi * radius**2, rel=1e-9)
    assert (p.u, p.v) == pytest.approx((u, v), abs=1e-9)
    assert p.uu == pytest.approx(pi * radius**4 / 4, rel=1e-6, abs=1e-12)
    assert p.perimeter == pytest.approx(2 * pi * radius, rel=1e-9)


@given(b=sizes, h=sizes)
def test_a_rectangle_has_b_h_cubed_over_twelve(b: float, h: float) -> None:
    p = Region(outer=rectangle(0, 0, b, h)).properties()
    assert (p.area, p.u, p.v) == pytest.approx((b * h, b / 2, h / 2))
    assert p.vv == pytest.approx(b * h**3 / 12, rel=1e-9)
    assert p.uu == pytest.approx(h * b**3 / 12, rel=1e-9)
    assert p.uv == pytest.approx(0, abs=1e-12)


@given(turn=st.floats(0, 2 * pi), shift=st.floats(-1, 1))
def test_turning_and_moving_a_region_changes_neither_area_nor_polar_moment(turn: float, shift: float) -> None:
    corners = ((0, 0), (0.3, 0), (0.3, 0.1), (0.1, 0.1), (0.1, 0.4), (0, 0.4))
    moved = [
        (cos(turn) * u - sin(turn) * v + shift, sin(turn) * u + cos(turn) * v - shift) for u, v in corners
    ]
    a, b = Region(outer=polygon(corners)).properties(), Region(outer=polygon(moved)).properties()
    assert b.area == pytest.approx(a.area, rel=1e-9)
    assert b.uu + b.vv == pytest.approx(a.uu + a.vv, rel=1e-7)


def test_a_hole_is_taken_out_whichever_way_it_runs() -> None:
    hole = rectangle(0.2, 0.2, 0.4, 0.4)
    for inner in (hole, tuple(reversed(hole))):
        assert Region(outer=rectangle(0, 0, 1, 1), inner=(inner,)).properties().area == pytest.approx(0.96)


def test_sections_agree_with_an_independent_polygon_library() -> None:
    for region in (
        box_tube(0.1, 0.05, 0.006),
        round_tube(0.06, 0.006),
        angle(0.1, 0.075, 0.01),
        flat(0.15, 0.0127),
        round_bar(0.03),
    ):
        shape = Polygon(flatten(region.outer, 1e-7), [flatten(loop, 1e-7) for loop in region.inner])
        p = region.properties()
        assert shape.is_valid
        assert shape.area == pytest.approx(p.area, rel=1e-4)
        assert (shape.centroid.x, shape.centroid.y) == pytest.approx((p.u, p.v), abs=1e-6)
        assert shape.bounds == pytest.approx(region.bounds(), abs=2e-4)


def test_corners_of_no_radius_give_a_plain_rectangle() -> None:
    assert rounded_rectangle(2, 1, 0) == rectangle(-1, -0.5, 1, 0.5)
