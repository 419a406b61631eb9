"""From builds to tagged pieces for the saw."""

from __future__ import annotations

from math import inf, radians

import pytest

from plowwright.blade.build import Build, work_out
from plowwright.blade.spec import Spec
from plowwright.errors import RulebookError
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.cut_pieces import EDGE, look_alikes, of_orders, pieces_of, sticks_for
from plowwright.shop.cutting import plan
from plowwright.shop.cutting_model import RemnantRule, Stick
from plowwright.units.constants import INCH


@pytest.fixture(scope="module")
def flint(demo_rules: Rulebook) -> Build:
    spec = Spec(series="flint", width=84 * INCH, mount="loader", carrier_kind="skid steer", hoses="flat-face")
    return work_out(spec, demo_rules)


def test_every_bar_of_the_bill_becomes_so_many_pieces_and_edges_are_left_to_the_blanks(flint: Build) -> None:
    pieces = pieces_of("420A", flint)
    rows = [row for row in flint.bill.cut_list() if row.mark != EDGE]
    assert len(pieces) == sum(row.quantity for row in rows)
    assert len({p.tag for p in pieces}) == len(pieces)
    for row in rows:
        own = [p for p in pieces if p.mark == row.mark and p.stock == row.stock]
        assert len(own) >= row.quantity
        assert any(p.length == pytest.approx(row.length) for p in own)
    assert not any(p.mark == EDGE for p in pieces)


def test_a_tag_holds_order_and_check_letter_mark_and_count(flint: Build) -> None:
    tags = {p.tag for p in pieces_of("420A", flint)}
    assert "420A hinge beam" in tags
    assert {"420A stand pocket 1/2", "420A stand pocket 2/2"} <= tags


def test_a_mitred_leg_carries_its_angle_and_may_be_turned_an_angle_iron_may_not(flint: Build) -> None:
    pieces = pieces_of("420A", flint)
    leg = next(p for p in pieces if p.mark == "leg left")
    assert leg.flips and all(end is not None for end in leg.ends)
    row = next(r for r in flint.bill.rows if r.mark == "leg left")
    said = float(row.cuts.removeprefix("both ends ").split(" ")[0])
    first = leg.ends[0]
    assert first is not None and abs(first.angle) == pytest.approx(radians(said), abs=radians(0.06))
    solid = flint.assembly.part(row.ids[0]).solids[0]
    assert leg.centre_line == pytest.approx(solid.end - solid.start, abs=1e-6)
    assert not next(p for p in pieces if p.mark == "bottom angle").flips


def test_several_orders_are_cut_together_and_left_and_right_keep_their_tags(flint: Build, demo_rules: Rulebook) -> None:
    pieces = of_orders({"420A": flint, "427S": flint}, rush=["427S"])
    sticks = sticks_for(demo_rules, {p.stock for p in pieces}, discounts={288 * INCH: 0.04})
    found = plan(pieces, sticks, demo_rules.shop.kerf, demo_rules.shop.end_trim,
                 RemnantRule(least=demo_rules.shop.least_remnant), 10.0)  # fmt: skip
    assert sorted(p.tag for p in found.pieces) == sorted(p.tag for p in pieces)
    assert {p.order for p in found.pieces if p.rush} == {"427S"}
    apart = sum(
        plan(pieces_of(order, flint), sticks, demo_rules.shop.kerf, demo_rules.shop.end_trim,
             RemnantRule(least=inf), 5.0).cost
        for order in ("420A", "427S")
    )  # fmt: skip
    assert found.cost <= apart


def test_the_longer_stick_is_cheaper_by_the_inch_where_the_owner_says_so(demo_rules: Rulebook) -> None:
    stock = "tube 3 x 3 x 1/4"
    remnant = Stick(stock=stock, length=1.0, price=5.0, on_hand=1, buyable=False, tag="R3")
    short, long, last = sticks_for(
        demo_rules, [stock], discounts={288 * INCH: 0.04}, on_hand={(stock, 240 * INCH): 3}, remnants=[remnant]
    )
    assert long.price / long.length == pytest.approx(0.96 * short.price / short.length, rel=1e-3)
    assert (short.on_hand, long.on_hand, last.tag) == (3, 0, "R3")


def test_walls_that_look_alike_are_named_together(demo_rules: Rulebook) -> None:
    groups = look_alikes(demo_rules, demo_rules.sections)
    assert ("tube 2-1/2 x 2-1/2 x 1/8", "tube 2-1/2 x 2-1/2 x 3/16") in groups


def test_a_section_that_is_not_in_the_rulebook_is_refused(demo_rules: Rulebook) -> None:
    with pytest.raises(RulebookError, match="no such entry"):
        sticks_for(demo_rules, ["tube 9 x 9 x 9"])
