"""Bin packing: the uniform and triplet families, made again by their published generators.

Source: E. Falkenauer, A hybrid grouping genetic algorithm for bin packing, Journal of Heuristics 2 (1996) 5-30, from
memory: uniform sizes from 20 to 100 in bins of 150; triplets that fill bins of 1,000 exactly, the first of each from
380 to 490, the second from 250 to half of what is left. The instances are ours, made with the generators and a fixed
seed, not the published files. A triplet instance has its optimum by construction (a third of its items); a uniform one
is held against its linear bound rounded up, which is the optimum for all but a few of the published ones.
"""

from __future__ import annotations

import random

import pytest

from plowwright.shop.cutting import plan
from plowwright.shop.cutting_model import CutPlan, Piece, RemnantRule, Stick
from plowwright.units.constants import INCH


def packed(sizes: list[int], room: int, seconds: float) -> CutPlan:
    """One division of the tape is one unit of size; no kerf, no trim."""
    pieces = [Piece(stock="bin", length=size * INCH / 16, tag=f"{n}") for n, size in enumerate(sizes)]
    stick = Stick(stock="bin", length=room * INCH / 16, price=1.0)
    return plan(pieces, [stick], 0.0, 0.0, RemnantRule(least=1e9), seconds)


def uniform(items: int, seed: int) -> list[int]:
    """Sizes drawn evenly from 20 to 100."""
    draw = random.Random(seed)
    return [draw.randint(20, 100) for _ in range(items)]


def triplets(items: int, seed: int) -> list[int]:
    """Sizes that fill bins of 1,000 by threes."""
    draw = random.Random(seed)
    out: list[int] = []
    for _ in range(items // 3):
        first = draw.randint(380, 490)
        second = draw.randint(250, (1000 - first) // 2)
        out += [first, second, 1000 - first - second]
    return out


@pytest.mark.parametrize(("items", "seed"), [(120, 1), (120, 2), (120, 3), (250, 1), (250, 2), (500, 1), (1000, 1)])
def test_uniform_items_take_as_many_bins_as_the_bound_rounded_up(items: int, seed: int) -> None:
    found = packed(uniform(items, seed), 150, 30.0)
    assert found.status == "proved best"
    assert found.cost == found.bound


@pytest.mark.parametrize(("items", "seed"), [(60, 1), (60, 2), (60, 3), (120, 1), (120, 2), (249, 1)])
def test_triplets_fill_every_bin(items: int, seed: int) -> None:
    found = packed(triplets(items, seed), 1000, 60.0)
    assert found.cost == items // 3
    assert found.status == "proved best"
