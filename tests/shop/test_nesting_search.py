"""The search: more to choose from never costs more, more time never costs more, and draws can be repeated."""

from __future__ import annotations

import random
from math import pi

import pytest

from plowwright.physics.regions import polygon, rectangle
from plowwright.shop.nesting import plan
from plowwright.shop.nesting_fill import Bed, Ground, Item
from plowwright.shop.nesting_model import Outline, RestRule, Sheet
from plowwright.shop.nesting_shapes import Shapes
from plowwright.shop.nesting_spread import Problem, Spreader

TURNS = (0.0, pi / 2, pi, 3 * pi / 2)
RULE = RestRule(least=0.15, value_share=0.4)
BIG = Sheet(stock="p", length=2.0, width=1.0, price=100.0)
HALF = Sheet(stock="p", length=1.0, width=1.0, price=53.0)
SCRAP = Sheet(stock="p", length=0.7, width=0.5, price=4.0, on_hand=1, buyable=False, tag="R-1")


def webs(count: int) -> list[Outline]:
    web = polygon([(0, 0), (0.12, 0), (0.3, 0.3), (0.2, 0.62), (0.08, 0.62), (0.15, 0.3)])
    lug = polygon([(0, 0), (0.2, 0), (0.2, 0.1), (0.1, 0.16), (0, 0.1)])
    own = [Outline(stock="p", outer=web, tag=f"web {n}") for n in range(count)]
    return own + [Outline(stock="p", outer=lug, tag=f"lug {n}") for n in range(count)]


def spreader(outlines: list[Outline], sheets: tuple[Sheet, ...]) -> Spreader:
    ground = Ground(shapes=Shapes(gap=0.01), gap=0.01, edge=0.01, rule=RULE)
    items = tuple(
        Item(number=n, outline=o, poses=poses, area=poses[0].area)
        for n, o in enumerate(outlines)
        for poses in [ground.shapes.of(o, TURNS, least_hole=1.0)]
    )
    return Spreader(Problem(items=items, sheets=sheets, ground=ground, bound=0.0, seed=1), random.Random(1))


@pytest.mark.parametrize("more", [(HALF,), (SCRAP,), (HALF, SCRAP)])
def test_another_size_or_a_remnant_never_makes_the_week_dearer(more: tuple[Sheet, ...]) -> None:
    alone = plan(webs(6), [BIG], 0.01, TURNS, 2.0, rest_rule=RULE)
    richer = plan(webs(6), [BIG, *more], 0.01, TURNS, 4.0, rest_rule=RULE)
    assert richer.cost <= alone.cost + 1e-6


def test_true_shapes_cost_less_than_their_boxes() -> None:
    boxes = [Outline(stock="p", outer=rectangle(0, 0, *o.size), tag=o.tag) for o in webs(8)]
    true, boxed = (plan(own, [BIG, HALF], 0.01, TURNS, 3.0, rest_rule=RULE).cost for own in (webs(8), boxes))
    assert true < 0.9 * boxed


def test_a_handful_of_sheets_could_hold_the_pieces_for_less_and_keeps_to_the_stock() -> None:
    on = spreader(webs(6), (BIG, HALF, SCRAP))
    area = sum(i.area for i in on.problem.items)
    for _ in range(50):
        chosen = on.handful(on.problem.items, 150.0, [])
        assert chosen is not None
        assert sum(s.area for s in chosen) >= area
        assert chosen.count(SCRAP) <= 1
    assert on.handful(on.problem.items, 5.0, []) is None
    assert all(SCRAP not in (on.handful(on.problem.items, 150.0, [SCRAP]) or []) for _ in range(20))


def test_pieces_that_do_not_all_go_on_the_sheets_named_are_not_laid() -> None:
    on = spreader(webs(6), (BIG, HALF, SCRAP))
    assert on.fill_in((), on.problem.items, "along", [SCRAP]) is None
    found = on.fill_in((), on.problem.items, "along", [BIG, HALF])
    assert found is not None and sum(len(b.laid) for b in found.beds) == 12


def test_what_will_cost_too_much_is_given_up() -> None:
    on = spreader(webs(20), (HALF,))
    whole = on.spread((), on.problem.items, "along", [HALF])
    assert not whole.missing and len(whole.beds) > 1
    assert on.spread((), on.problem.items, "along", [HALF], below=60.0).missing


@pytest.mark.parametrize("lean", ["along", "across", "together"])
def test_pieces_are_pushed_the_way_they_are_told(lean: str) -> None:
    on = spreader([Outline(stock="p", outer=rectangle(0, 0, 0.1, 0.1), tag=f"s{n}") for n in range(8)], (BIG,))
    bed = Bed(ground=on.problem.ground, sheet=BIG)
    assert bed.fill(on.problem.items, lean) == []  # type: ignore[arg-type]
    far_x, far_y = bed.far
    if lean == "along":
        assert far_x < 0.12 and far_y > 0.8
    elif lean == "across":
        assert far_y < 0.12 and far_x > 0.8
    else:
        # Together: what is left counts, and a strip of full width or length may be left either way.
        assert sum(r.worth for r in bed.rests()) >= 0.4 * 100 * 0.89 - 1
