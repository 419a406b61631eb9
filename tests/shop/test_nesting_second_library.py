"""Rectangles alone, laid by the nester and by rectpack: a library that shares nothing with it lays them no cheaper."""

from __future__ import annotations

import random
from math import pi

import pytest

from plowwright.physics.regions import rectangle
from plowwright.shop.nesting import plan
from plowwright.shop.nesting_model import Outline, RestRule, Sheet
from plowwright.units.constants import INCH
from tests.references.nesting_rectangles import best_cost

STOCK = "plate 1/4"
SHEETS = [Sheet(stock=STOCK, length=96 * INCH, width=48 * INCH, price=300.0),
          Sheet(stock=STOCK, length=48 * INCH, width=48 * INCH, price=165.0)]  # fmt: skip
GAP, EDGE = 3 / 8 * INCH, INCH / 2
RULE = RestRule(least=12 * INCH, value_share=0.4)


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_the_nester_is_never_dearer_than_the_best_packing_of_a_second_library(seed: int) -> None:
    draw = random.Random(seed)
    pieces = [
        Outline(stock=STOCK, tag=f"q{n}",
                outer=rectangle(0, 0, draw.uniform(4, 30) * INCH, draw.uniform(3, 18) * INCH))
        for n in range(24)
    ]  # fmt: skip
    found = plan(pieces, SHEETS, GAP, (0.0, pi / 2), 4.0, edge=EDGE, rest_rule=RULE)
    theirs = best_cost(pieces, SHEETS, GAP, EDGE, RULE)
    assert found.bound <= theirs + 1e-6, "a bound above a packing that exists is no bound"
    assert found.cost <= theirs + 1e-6
    laid = [one.outline.tag for sheet in found.sheets for one in sheet.placed]
    assert sorted(laid) == sorted(p.tag for p in pieces)
