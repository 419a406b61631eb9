"""Grown shapes and what they bar: never less than the true gap, never an overlap."""

from __future__ import annotations

from math import cos, pi, sin

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, affinity

from plowwright.physics.regions import Loop, Region, circle, flatten, polygon, rectangle, rounded_rectangle
from plowwright.shop.nesting_model import Outline
from plowwright.shop.nesting_shapes import HAIR, Shapes, convex_parts, grown, least_width, metal_inside


@st.composite
def stars(draw: st.DrawFn) -> Loop:
    count = draw(st.integers(3, 9))
    radii = draw(st.lists(st.floats(0.03, 0.2), min_size=count, max_size=count))
    return polygon((r * cos(2 * pi * k / count), r * sin(2 * pi * k / count)) for k, r in enumerate(radii))


def true_shape(loop: Loop) -> Polygon:
    return Polygon(flatten(loop, 1e-6))


@pytest.mark.parametrize(
    "loop", [circle(0.1, 0.2, 0.05), rounded_rectangle(0.2, 0.1, 0.03), ((0, 0, 0.4), (0.2, 0, 0.0), (0.1, 0.2, -0.3))]
)
def test_no_metal_lies_outside_the_polygon_of_an_arc_and_hardly_any_is_added(loop: Loop) -> None:
    hull = Polygon(metal_inside(loop, opening=False))
    assert true_shape(loop).difference(hull.buffer(1e-9)).area < 1e-9
    assert hull.area <= 1.02 * Region(outer=loop).properties().area


def test_no_metal_lies_inside_the_polygon_of_a_round_opening() -> None:
    inside = Polygon(metal_inside(circle(0, 0, 0.05), opening=True))
    assert true_shape(circle(0, 0, 0.05)).buffer(1e-6).contains(inside)
    assert inside.area > 0.96 * pi * 0.05**2


@settings(max_examples=60, deadline=None)
@given(loop=stars(), gap=st.sampled_from([0.002, 0.01, 0.03]))
def test_a_grown_shape_holds_half_the_gap_all_round(loop: Loop, gap: float) -> None:
    shape = true_shape(loop)
    held = shape.buffer(gap / 2 - HAIR, quad_segs=64)
    assert held.difference(grown(shape, gap).buffer(1e-8)).area < 1e-9


@settings(max_examples=60, deadline=None)
@given(loop=stars())
def test_convex_parts_make_up_the_shape(loop: Loop) -> None:
    shape = true_shape(loop)
    parts = [Polygon(p) for p in convex_parts(shape)]
    assert sum(p.area for p in parts) == pytest.approx(shape.area, rel=1e-6)
    assert all(p.convex_hull.area == pytest.approx(p.area, rel=1e-6) for p in parts)
    assert shapely.union_all(parts).symmetric_difference(shape).area < 1e-8


@settings(max_examples=40, deadline=None)
@given(one=stars(), two=stars(), turns=st.tuples(st.sampled_from([0.0, pi / 2, 0.7]), st.sampled_from([0.0, pi, 1.1])))
def test_a_shape_laid_on_the_border_of_what_is_barred_touches_and_does_not_overlap(
    one: Loop, two: Loop, turns: tuple[float, float]
) -> None:
    shapes = Shapes(gap=0.01)
    a = shapes.of(Outline(stock="p", outer=one, tag="a"), [turns[0]], least_hole=1.0)[0]
    b = shapes.of(Outline(stock="p", outer=two, tag="b"), [turns[1]], least_hole=1.0)[0]
    for fixed, moving in ((a, b), (b, a)):
        barred = shapes.barred(fixed, moving)
        for x, y in shapely.get_coordinates(barred)[:12]:
            there = affinity.translate(moving.polygon, x, y)
            assert fixed.polygon.intersection(there).area < 1e-8
            assert fixed.polygon.distance(there) < 1e-6
        spot = barred.representative_point()
        assert fixed.polygon.intersection(affinity.translate(moving.polygon, spot.x, spot.y)).area > 0


def test_an_opening_leaves_places_free_inside_for_what_fits() -> None:
    shapes = Shapes(gap=0.01)
    ring = Outline(stock="p", outer=circle(0, 0, 0.2), inner=(circle(0, 0, 0.15),), tag="ring")
    host = shapes.of(ring, [0.0], least_hole=0.05)[0]
    fits = shapes.of(Outline(stock="p", outer=rectangle(0, 0, 0.1, 0.1), tag="s"), [0.0], least_hole=0.05)[0]
    large = shapes.of(Outline(stock="p", outer=rectangle(0, 0, 0.21, 0.21), tag="l"), [0.0], least_hole=0.05)[0]
    assert len(shapes.barred(host, fits).interiors) == 1
    assert len(shapes.barred(host, large).interiors) == 0


def test_looks_that_repeat_are_kept_once() -> None:
    quarter = [k * pi / 2 for k in range(4)]
    shapes = Shapes(gap=0.01)
    assert len(shapes.of(Outline(stock="p", outer=rectangle(0, 0, 0.1, 0.2), tag="r"), quarter, least_hole=1.0)) == 2
    assert len(shapes.of(Outline(stock="p", outer=rectangle(0, 0, 0.1, 0.1), tag="s"), quarter, least_hole=1.0)) == 1
    again = shapes.of(Outline(stock="p", outer=rectangle(5, 5, 5.2, 5.1), tag="t"), quarter, least_hole=1.0)
    assert {p.key for p in again} == {0, 1}


def test_the_least_width_is_that_between_two_jaws() -> None:
    assert least_width([(0, 0), (4, 0), (4, 1), (0, 1)]) == pytest.approx(1.0)
    turned = np.array([(0, 0), (4, 0), (4, 1), (0, 1)]) @ np.array([(cos(0.4), sin(0.4)), (-sin(0.4), cos(0.4))])
    assert least_width(turned.tolist()) == pytest.approx(1.0)
    assert least_width([(0, 0), (1, 0), (0.5, 0.8660254)]) == pytest.approx(0.8660254)
    assert least_width([(0, 0), (1, 1), (2, 2)]) == 0.0


def test_an_outline_of_many_short_sides_is_held_by_one_of_fewer() -> None:
    angles = [2 * pi * k / 900 for k in range(900)]
    wavy = polygon(((0.2 + 0.01 * cos(40 * t)) * cos(t), (0.2 + 0.01 * cos(40 * t)) * sin(t)) for t in angles)
    shape = true_shape(wavy)
    held = grown(shape, 0.01)
    assert held.buffer(1e-9).contains(shape.buffer(0.005 - 2 * HAIR, quad_segs=32))
    assert shapely.get_num_coordinates(held) < 400
    assert held.area < 1.04 * shape.buffer(0.005).area
