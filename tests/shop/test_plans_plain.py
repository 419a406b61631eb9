"""Cut plans and nests kept as plain values: they come back to the last figure, and damage is named."""

from __future__ import annotations

import json
import re
from datetime import date
from math import inf

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from plowwright.desk.desk import Desk
from plowwright.errors import EntryError
from plowwright.shop.buying import BuyLine
from plowwright.shop.cutting import plan as plan_cuts
from plowwright.shop.cutting_model import CutPlan, CutStick, Mitre, Piece, Placed, RemnantRule, SectionPlan, Stick
from plowwright.shop.cutting_plain import CutKept, cut_from_plain, cut_to_plain
from plowwright.shop.edge_planning import EdgeCut, EdgePlan, EdgeWanted
from plowwright.shop.nesting_model import (
    NestedSheet,
    NestPlan,
    Outline,
    PlacedOutline,
    Rest,
    RestRule,
    Sheet,
    StockNest,
)
from plowwright.shop.nesting_plain import NestKept, nest_from_plain, nest_to_plain
from plowwright.shop.plain_values import from_plain, to_plain
from plowwright.shop.replan import Change
from plowwright.units.constants import INCH

SIZES = st.floats(min_value=0.0, max_value=1e3, allow_nan=False)
WORDS = st.text(max_size=8)


def built(kind: type, **more: st.SearchStrategy) -> st.SearchStrategy:
    return st.builds(kind, **more)


MITRES = st.none() | built(Mitre, angle=st.floats(-1.5, 1.5), depth=SIZES, side=WORDS)
PIECES = built(Piece, stock=WORDS, length=SIZES, tag=WORDS, order=WORDS, mark=WORDS, ends=st.tuples(MITRES, MITRES),
               flips=st.booleans(), rush=st.booleans())  # fmt: skip
STICKS = built(Stick, stock=WORDS, length=SIZES, price=SIZES, on_hand=st.integers(0, 9), buyable=st.booleans(),
               tag=WORDS, trimmed_ends=st.sampled_from((1, 2)))  # fmt: skip
CUT_STICKS = built(
    CutStick, stick=STICKS, drop=SIZES, kept=st.booleans(), cost=SIZES, number=st.integers(0, 99), drop_tag=WORDS,
    placed=st.lists(
        built(Placed, piece=PIECES, start=SIZES, turned=st.booleans(), flipped=st.booleans()), max_size=3
    ).map(tuple),
)  # fmt: skip
STATUSES = st.sampled_from(("proved best", "not proved", "stopped"))
SECTIONS = built(SectionPlan, stock=WORDS, sticks=st.lists(CUT_STICKS, max_size=2).map(tuple), cost=SIZES, bound=SIZES,
                 linear_bound=SIZES, status=STATUSES, seconds=SIZES, method=WORDS)  # fmt: skip
RULES = built(RemnantRule, least=SIZES | st.just(inf), value_share=SIZES, handling=SIZES,
              places=st.none() | st.integers(0, 9))  # fmt: skip
PLANS = built(CutPlan, sections=st.lists(SECTIONS, max_size=2).map(tuple), kerf=SIZES, trim=SIZES, remnant_rule=RULES,
              share_mitres=st.booleans(), seconds=SIZES)  # fmt: skip
DAYS = st.none() | st.dates()
BUYS = built(BuyLine, stick=STICKS, count=st.integers(0, 9), cost=SIZES, needed_by=DAYS, order_by=DAYS,
             late=st.booleans(), orders=st.lists(WORDS, max_size=2).map(tuple))  # fmt: skip
EDGES = built(
    EdgePlan, cost=SIZES,
    cuts=st.lists(
        built(EdgeCut, wanted=built(EdgeWanted, tag=WORDS, width=SIZES, order=WORDS), blank=SIZES, bought=st.booleans(),
              cost=SIZES, waste=SIZES, steps=st.lists(WORDS, max_size=2).map(tuple)), max_size=2,
    ).map(tuple),
)  # fmt: skip
CHANGES = built(Change, tag=WORDS, was=st.integers(1, 9), now=st.integers(1, 9),
                why=st.sampled_from(("miscut", "bent bar", "moved")))  # fmt: skip
KEPT_CUTS = built(
    CutKept, plan=PLANS, pieces=st.lists(PIECES, max_size=2).map(tuple), sticks=st.lists(STICKS, max_size=2).map(tuple),
    spoilt=st.lists(STICKS, max_size=1).map(tuple), edges=st.lists(st.tuples(WORDS, EDGES), max_size=1).map(tuple),
    buys=st.lists(BUYS, max_size=1).map(tuple), alike=st.lists(st.lists(WORDS, max_size=2).map(tuple), max_size=1)
    .map(tuple), changes=st.lists(CHANGES, max_size=1).map(tuple), extra=SIZES,
)  # fmt: skip
VERTICES = st.tuples(SIZES, SIZES, st.floats(-1, 1))
LOOPS = st.lists(VERTICES, min_size=2, max_size=4).map(tuple)
OUTLINES = built(Outline, stock=WORDS, outer=LOOPS, tag=WORDS, inner=st.lists(LOOPS, max_size=1).map(tuple),
                 drilled=st.lists(LOOPS, max_size=1).map(tuple), order=WORDS, mark=WORDS, grain=st.booleans(),
                 turns=st.none() | st.lists(SIZES, max_size=2).map(tuple), rush=st.booleans())  # fmt: skip
SHEETS = built(Sheet, stock=WORDS, length=SIZES, width=SIZES, price=SIZES, on_hand=st.integers(0, 9),
               buyable=st.booleans(), tag=WORDS)  # fmt: skip
NESTED = built(
    NestedSheet, sheet=SHEETS, cost=SIZES, number=st.integers(0, 9),
    placed=st.lists(built(PlacedOutline, outline=OUTLINES, turn=SIZES, x=SIZES, y=SIZES, inside=WORDS), max_size=2)
    .map(tuple),
    rests=st.lists(built(Rest, box=st.tuples(SIZES, SIZES, SIZES, SIZES), worth=SIZES, tag=WORDS), max_size=1)
    .map(tuple),
)  # fmt: skip
NESTS = built(
    NestPlan, gap=SIZES, edge=SIZES, seconds=SIZES,
    rest_rule=built(RestRule, least=SIZES | st.just(inf), value_share=SIZES, handling=SIZES),
    stocks=st.lists(
        built(StockNest, stock=WORDS, sheets=st.lists(NESTED, max_size=1).map(tuple), cost=SIZES, bound=SIZES,
              status=STATUSES, seconds=SIZES, method=WORDS), max_size=2,
    ).map(tuple),
)  # fmt: skip
SLOW = settings(suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])


def through_json(entry: object) -> dict:
    # Strict: what PostgreSQL would refuse is refused here too.
    return json.loads(json.dumps(entry, allow_nan=False))


@SLOW
@given(kept=KEPT_CUTS)
def test_every_cut_plan_comes_back_to_the_last_figure(kept: CutKept) -> None:
    assert cut_from_plain(through_json(cut_to_plain(kept))) == kept


@SLOW
@given(plan=NESTS, outlines=st.lists(OUTLINES, max_size=2), sheets=st.lists(SHEETS, max_size=2))
def test_every_nest_comes_back_to_the_last_figure(plan: NestPlan, outlines: list, sheets: list) -> None:
    kept = NestKept(plan=plan, outlines=tuple(outlines), sheets=tuple(sheets))
    assert nest_from_plain(through_json(nest_to_plain(kept))) == kept


@pytest.fixture(scope="module")
def desk() -> Desk:
    return Desk.demo()


def test_a_real_plan_of_the_shop_comes_back_and_says_the_same_to_a_machine(desk: Desk) -> None:
    week = desk.cutting.plan(["421M", "424H"], seconds=1.0)
    kept = CutKept(plan=week.plan, pieces=week.pieces, sticks=week.sticks, buys=week.buys, alike=week.alike,
                   edges=tuple((one.bar, one.plan) for one in week.edges))  # fmt: skip
    back = cut_from_plain(through_json(cut_to_plain(kept)))
    assert back == kept and back.plan.as_dict() == week.plan.as_dict()
    assert [c.placed[0].from_to for c in back.plan.sticks] == [c.placed[0].from_to for c in week.plan.sticks]


def test_a_real_nest_of_the_shop_comes_back_and_its_areas_are_the_same(desk: Desk) -> None:
    nests = desk.nesting.plan(["421M"], seconds=1.0)
    kept = NestKept(plan=nests.plan, outlines=nests.outlines, sheets=nests.sheets)
    back = nest_from_plain(through_json(nest_to_plain(kept)))
    assert back == kept and back.plan.utilisation == nests.plan.utilisation


def test_a_piece_that_stands_twice_is_written_once(desk: Desk) -> None:
    week = desk.cutting.plan(["421M"], seconds=1.0)
    plain = cut_to_plain(CutKept(plan=week.plan, pieces=week.pieces, sticks=week.sticks))
    assert len(plain["tables"]["Piece"]) == len(week.pieces) == len(plain["value"]["pieces"])


def small() -> CutKept:
    pieces = [Piece(stock="tube", length=30 * INCH, tag="1A leg")]
    sticks = [Stick(stock="tube", length=240 * INCH, price=100.0)]
    plan = plan_cuts(pieces, sticks, 0.125 * INCH, 0.5 * INCH, RemnantRule(least=18 * INCH), 1.0)
    return CutKept(plan=plan, pieces=tuple(pieces), sticks=tuple(sticks))


def test_a_plan_of_a_later_form_is_refused_with_both_forms_named() -> None:
    with pytest.raises(EntryError, match=r"a form that is not read here.*given: 2.*limit: form 1"):
        cut_from_plain({**cut_to_plain(small()), "form": 2})


@pytest.mark.parametrize(
    ("damage", "said"),
    [
        (lambda p: p["tables"]["Piece"][0].pop("length"), "Piece 0.*length"),
        (lambda p: p["tables"]["Piece"][0].update(length="30 in"), r"Piece 0\.length.*30 in.*float"),
        (lambda p: p["tables"]["Stick"][0].update(on_hand=1.5), r"Stick 0\.on_hand.*1\.5.*int"),
        (lambda p: p["value"].update(pieces=[7]), "pieces.*given: 7.*0 to 0"),
        (lambda p: p["value"]["plan"]["sections"][0].update(status="maybe"), "status.*maybe.*proved best"),
    ],
)
def test_damage_is_named_with_its_field_and_value(damage, said: str) -> None:
    plain = through_json(cut_to_plain(small()))
    damage(plain)
    with pytest.raises(EntryError, match="what was kept cannot be read") as caught:
        cut_from_plain(plain, where="cut plan 3")
    assert "cut plan 3" in str(caught.value) and re.search(said, str(caught.value))


def test_days_come_back_as_days_and_an_endless_least_length_as_one() -> None:
    line = BuyLine(stick=Stick(stock="tube", length=6.0, price=1.0), count=2, cost=2.0, needed_by=date(2026, 11, 20),
                   order_by=None, late=False, orders=("421M",))  # fmt: skip
    assert from_plain(BuyLine, through_json(to_plain(line))) == line
    rule = RemnantRule(least=inf)
    assert from_plain(RemnantRule, through_json(to_plain(rule))) == rule


def test_what_is_no_number_is_refused() -> None:
    with pytest.raises(EntryError, match=r"no plain form.*not a number"):
        to_plain(RemnantRule(least=float("nan")))
