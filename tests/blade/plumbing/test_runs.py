"""How long a hose must be and how tight it bends, against shapes anyone can work out with a pencil."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.blade.plumbing.runs import Ends, bend, needed, shape
from plowwright.errors import ModelError

R = 0.06


def ends(start: tuple[float, ...], out: tuple[float, ...], end: tuple[float, ...], into: tuple[float, ...]) -> Ends:
    return Ends(start=np.array([start]), out=np.array([out]), end=np.array([end]), into=np.array([into]))


def test_a_straight_hose_is_as_long_as_its_ends_are_apart() -> None:
    facing = ends((0, 0, 0), (1, 0, 0), (0.7, 0, 0), (-1, 0, 0))
    assert needed(facing, R)[0] == pytest.approx(0.7)


@given(apart=st.floats(2.2 * R, 1.0))
def test_a_hose_that_turns_back_needs_two_quarter_turns_and_what_lies_between(apart: float) -> None:
    turned = ends((0, 0, 0), (0, 1, 0), (apart, 0, 0), (0, 1, 0))
    assert needed(turned, R)[0] == pytest.approx(pi * R + apart - 2 * R, rel=1e-3)


@given(along=st.floats(0.2, 1.0), aside=st.floats(0.2, 1.0))
def test_a_quarter_turn_is_never_longer_than_legs_with_the_corner_cut(along: float, aside: float) -> None:
    turned = ends((0, 0, 0), (1, 0, 0), (along, aside, 0), (0, -1, 0))
    length = needed(turned, R)[0]
    with_corner = (along - R) + (aside - R) + pi / 2 * R
    assert np.hypot(along, aside) < length <= with_corner + 1e-6


def test_a_longer_hose_bends_wider_where_it_turns_back() -> None:
    turned = ends((0, 0, 0), (0, 1, 0), (0.3, 0, 0), (0, 1, 0))
    half_circle = pi * 0.15
    assert bend(turned, half_circle, R)[0] == pytest.approx(0.15, rel=0.2)
    assert bend(turned, needed(turned, R)[0], R)[0] == pytest.approx(R, rel=0.01)


def test_slack_between_facing_ends_bows_the_hose() -> None:
    facing = ends((0, 0, 0), (1, 0, 0), (0.5, 0, 0), (-1, 0, 0))
    # A flat bow: chord over length is 1 - (length / radius)^2 / 24.
    assert bend(facing, 0.6, R)[0] == pytest.approx(0.6 / (24 * (1 - 0.5 / 0.6)) ** 0.5, rel=0.01)


def test_a_hose_that_does_not_reach_has_no_bend() -> None:
    assert bend(ends((0, 0, 0), (1, 0, 0), (1, 0, 0), (-1, 0, 0)), 0.9, R)[0] == 0.0


def test_a_drawn_hose_begins_and_ends_where_it_should_and_is_as_long_as_said() -> None:
    turned = ends((0, 0, 0), (0, 1, 0), (0.3, 0.05, 0.1), (0, 1, 0))
    points = shape(turned, 0.5, R)
    assert points[0] == pytest.approx((0, 0, 0))
    assert points[-1] == pytest.approx((0.3, 0.05, 0.1))
    drawn = np.linalg.norm(np.diff(points, axis=0), axis=1).sum()
    assert 0.4 < drawn <= 0.505


def test_a_direction_that_is_not_of_length_one_is_refused_with_its_length() -> None:
    with pytest.raises(ModelError, match=r"not of length 1.*out: 2 to 2"):
        ends((0, 0, 0), (2, 0, 0), (1, 0, 0), (-1, 0, 0))
