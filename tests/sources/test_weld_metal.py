"""Weld metal of fillets and the wire it takes, against the tables and the worked example of a welding handbook.

Source: the weld-metal weight table of the welding handbooks (equal-leg fillets with a flat face, steel at
0.283 lb/in3, edition not recorded) and its consumable formula P = W L / E.
"""

from __future__ import annotations

import pytest

from plowwright.physics.materials import STEEL_DENSITY, fillet_volume
from plowwright.shop.cost import wire_used
from plowwright.units import FOOT, INCH, LB

TABLE = [
    (1 / 8, 0.027), (3 / 16, 0.060), (1 / 4, 0.106), (5 / 16, 0.166), (3 / 8, 0.239), (7 / 16, 0.325), (1 / 2, 0.425),
]  # fmt: skip


def pounds_per_foot(leg: float) -> float:
    return fillet_volume(leg * INCH, FOOT) * STEEL_DENSITY / LB


@pytest.mark.parametrize(("leg", "expected"), TABLE)
def test_a_foot_of_fillet_weighs_what_the_table_says(leg: float, expected: float) -> None:
    # The table prints thousandths of a pound: half of one is 1.9 % of its smallest entry.
    assert pounds_per_foot(leg) == pytest.approx(expected, rel=0.01, abs=0.0005)


def test_the_worked_half_inch_fillet_agrees() -> None:
    assert pounds_per_foot(1 / 2) == pytest.approx(0.424, rel=0.004)


def test_a_square_of_a_quarter_by_an_eighth_is_one_fillet_of_a_quarter() -> None:
    square = 0.25 * INCH * 0.125 * INCH * FOOT * STEEL_DENSITY / LB
    assert square == pytest.approx(0.106, rel=0.01)
    assert square == pytest.approx(pounds_per_foot(1 / 4))


def test_a_hundred_feet_of_quarter_inch_fillet_take_the_wire_of_the_example() -> None:
    assert wire_used(100 * pounds_per_foot(1 / 4), 0.96) == pytest.approx(11.05, rel=0.005)


def test_less_deposition_takes_more_wire_in_proportion() -> None:
    # 0.98 argon-rich and 0.78 self-shielded flux-cored, as the same handbook lists them.
    solid, cored = (wire_used(10.6, share) for share in (0.98, 0.78))
    assert cored / solid == pytest.approx(1.256, abs=0.001)
