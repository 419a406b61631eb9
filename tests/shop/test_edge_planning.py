"""Edges from blanks across orders, and which blank lengths to stock."""

from __future__ import annotations

from itertools import combinations, product
from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.blade.edge_blanks import blank_for
from plowwright.blade.edge_layouts import HoleRule
from plowwright.errors import PlanInputError
from plowwright.shop.edge_planning import Blanks, EdgeWanted, fewest_lengths, plan_edges, stocking_curve
from plowwright.units.constants import INCH

RULE = HoleRule(end=3.5 * INCH, pitch=11 * INCH, least_end_gap=6 * INCH)
PRICES = {72: 70.0, 90: 85.0, 102: 95.0, 120: 110.0}
BAR = 1.3 / INCH


def wanted(*widths: int) -> list[EdgeWanted]:
    return [EdgeWanted(tag=f"e{n}", width=w * INCH) for n, w in enumerate(widths)]


def blanks(on_hand: dict[int, int], *, buyable: bool = True) -> list[Blanks]:
    return [
        Blanks(length=x * INCH, price=price, on_hand=on_hand.get(x, 0), buyable=buyable) for x, price in PRICES.items()
    ]


def test_an_edge_comes_from_the_cheapest_blank_whose_holes_meet_the_bottom_angle() -> None:
    (cut,) = plan_edges(wanted(84), blanks({90: 1}), RULE, bar_price=BAR).cuts
    assert cut.blank == pytest.approx(102 * INCH)
    assert cut.steps[0].startswith("Cut 9 in off each end of the 102 in edge")


def test_the_rack_is_used_before_a_blank_of_the_same_price_is_bought() -> None:
    found = plan_edges(wanted(90, 90), blanks({90: 1}), RULE, bar_price=BAR)
    assert sorted(c.bought for c in found.cuts) == [False, True]
    assert found.to_buy == {90 * INCH: 1}


def test_two_orders_share_the_blanks_so_that_both_are_served() -> None:
    # 66 in could take the 72, but only the 72 serves a 72 in edge; the 66 must take the 90.
    found = plan_edges(wanted(66, 72), blanks({72: 1, 90: 1}, buyable=False), RULE, bar_price=100 / INCH)
    assert [round(c.blank / INCH) for c in found.cuts] == [90, 72]


def test_a_width_no_blank_serves_takes_an_undrilled_bar() -> None:
    (cut,) = plan_edges(wanted(108), blanks({}), RULE, bar_price=BAR, bar_extra=20.0).cuts
    assert (cut.blank, cut.bought) == (0.0, True)
    assert cut.cost == pytest.approx(108 * 1.3 + 20)
    assert cut.steps == ("Cut 108 in from an undrilled bar and drill it by the rule.",)


@given(st.lists(st.sampled_from([48, 66, 72, 84, 90, 96, 102, 120]), min_size=1, max_size=4), st.data())
def test_no_other_choice_costs_less(widths: list[int], data: st.DataObject) -> None:
    there = {x: data.draw(st.integers(0, 2)) for x in PRICES}
    found = plan_edges(wanted(*widths), blanks(there, buyable=False), RULE, bar_price=BAR)
    lengths = [x * INCH for x in PRICES]
    serving = {w: [round(c.blank / INCH) for c in blank_for(w * INCH, lengths, RULE).serving] for w in set(widths)}
    best = inf
    for choice in product([0, *PRICES], repeat=len(widths)):
        if any(c and c not in serving[w] for c, w in zip(choice, widths, strict=True)):
            continue
        if any(choice.count(x) > there[x] for x in PRICES):
            continue
        best = min(best, sum(PRICES[c] if c else 1.3 * w for c, w in zip(choice, widths, strict=True)))
    assert found.cost == pytest.approx(best)


FORECAST = {w * INCH: float(n) for w, n in ((48, 2), (60, 3), (72, 5), (84, 9), (90, 6), (96, 4), (108, 2), (120, 1))}
CANDIDATES = [x * INCH for x in range(48, 121, 6)]


def test_more_lengths_waste_less_until_every_width_has_its_own() -> None:
    curve = stocking_curve(FORECAST, CANDIDATES, RULE, undrilled_waste=40 * INCH)
    worth = [p.waste + p.undrilled * 40 * INCH for p in curve]
    assert worth == sorted(worth, reverse=True) and worth[-1] == pytest.approx(0)
    assert [len(p.lengths) for p in curve] == list(range(1, len(curve) + 1))
    assert len(curve) <= len(FORECAST)


@pytest.mark.parametrize("number", [1, 2, 3])
def test_each_point_of_the_curve_is_the_best_of_all_choices(number: int) -> None:
    curve = stocking_curve(FORECAST, CANDIDATES, RULE, undrilled_waste=40 * INCH)
    waste = {w: {c.blank: c.waste for c in blank_for(w, CANDIDATES, RULE).serving} for w in FORECAST}
    best = min(
        sum(n * min([40 * INCH, *(waste[w][x] for x in some if x in waste[w])]) for w, n in FORECAST.items())
        for some in combinations(CANDIDATES, number)
    )
    assert curve[number - 1].waste + curve[number - 1].undrilled * 40 * INCH == pytest.approx(best)


def test_the_fewest_lengths_for_a_waste_are_read_off_the_curve() -> None:
    curve = stocking_curve(FORECAST, CANDIDATES, RULE, undrilled_waste=40 * INCH)
    assert fewest_lengths(curve, curve[2].waste, undrilled=curve[2].undrilled).lengths == curve[2].lengths
    with pytest.raises(PlanInputError, match="no choice of blank lengths wastes so little"):
        fewest_lengths(curve[:1], 0.0)


def test_an_empty_forecast_and_a_negative_count_are_refused() -> None:
    with pytest.raises(PlanInputError, match="a forecast needs at least one width"):
        stocking_curve({}, CANDIDATES, RULE, undrilled_waste=1.0)
    with pytest.raises(PlanInputError, match="a count not below zero"):
        plan_edges(wanted(84), [Blanks(length=1.0, price=5.0, on_hand=-1)], RULE, bar_price=BAR)
