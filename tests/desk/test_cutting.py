"""The steel of the open orders at the desk: chosen orders, rack, dealer, edges, mending."""

from __future__ import annotations

from collections import Counter

import pytest

from plowwright.desk.cutting import Week
from plowwright.desk.desk import Desk
from plowwright.errors import NotFoundError, PlanInputError
from plowwright.units.constants import INCH


@pytest.fixture(scope="module")
def desk() -> Desk:
    return Desk.demo()


@pytest.fixture(scope="module")
def week(desk: Desk) -> Week:
    return desk.cutting.plan(seconds=2.0)


def test_only_orders_whose_steel_is_uncut_are_planned_the_earliest_promise_first(week: Week) -> None:
    assert week.orders == ("421M", "422D", "424H", "426B", "427S", "428C", "429J")


def test_every_bar_of_the_bills_is_cut_once_and_only_once(desk: Desk, week: Week) -> None:
    wanted = Counter(
        (number, row.mark)
        for number in week.orders
        for row in desk.worked(desk.spec_of(number)[0]).build.bill.cut_list()
        for _ in range(row.quantity)
        if row.mark != "edge"
    )
    assert Counter((p.order, p.mark) for p in week.plan.pieces) == wanted
    edges = [c.wanted.order for bar in week.edges for c in bar.plan.cuts]
    assert sorted(edges) == sorted(week.orders)


def test_nothing_is_cut_from_more_than_lies_there(desk: Desk, week: Week) -> None:
    used = Counter(c.stick.tag for c in week.plan.sticks if c.stick.tag)
    assert used and set(used.values()) == {1}, "a remnant is used once"
    for buy in week.buys:
        taken = sum(c.stick == buy.stick for c in week.plan.sticks)
        assert taken == buy.count + buy.stick.on_hand


def test_look_alikes_with_another_wall_are_named(week: Week) -> None:
    assert ("tube 4 x 4 x 1/4", "tube 4 x 4 x 3/16", "tube 4 x 4 x 3/8") in week.alike


def test_the_longer_stick_is_four_per_cent_cheaper_per_foot(desk: Desk) -> None:
    short, long = (
        next(s for s in desk.cutting.sticks(["tube 3 x 3 x 1/4"]) if not s.tag and s.length == pytest.approx(x * INCH))
        for x in (240, 288)
    )
    assert long.price / long.length == pytest.approx(0.96 * short.price / short.length, rel=1e-3)
    assert long.on_hand == 2 and short.on_hand == 0


def test_what_is_too_late_to_buy_says_so_with_its_orders(week: Week) -> None:
    late = [b for b in week.buys if b.late]
    assert late and all(b.orders for b in late)
    assert "too late for that day" in late[0].in_words()


def test_an_order_that_builds_nothing_is_refused_with_those_that_do(desk: Desk) -> None:
    with pytest.raises(NotFoundError) as caught:
        desk.cutting.plan(["431G"])
    assert "431G" in str(caught.value) and "421M" in str(caught.value)


def test_a_bent_bar_moves_only_its_own_pieces_or_says_which_others_moved(desk: Desk, week: Week) -> None:
    bent = next(c for c in week.plan.sticks if len(c.placed) > 2)
    done = bent.placed[0].piece.tag
    mended, found = desk.cutting.mend(week, cut=[done], bent=[bent.number], seconds=1.0)
    assert Counter(p.tag for p in mended.plan.pieces) == Counter(p.tag for p in week.plan.pieces)
    lost = {p.piece.tag for p in bent.placed[1:]}
    assert lost <= {c.tag for c in found.changes} and done not in {c.tag for c in found.changes}
    assert all(c.why == "bent bar" for c in found.changes if c.tag in lost)


def test_a_stick_number_that_is_not_in_the_plan_is_refused(desk: Desk, week: Week) -> None:
    with pytest.raises(PlanInputError, match="999"):
        desk.cutting.mend(week, cut=[], bent=[999])


def test_more_blank_lengths_never_waste_more(desk: Desk) -> None:
    forecast = {x * INCH: n for x, n in ((54, 3.0), (60, 5.0), (72, 9.0), (84, 14.0), (90, 8.0), (96, 5.0))}
    curve = desk.cutting.stocking("flint", forecast)
    worth = [p.waste + 40 * INCH * p.undrilled for p in curve]
    assert len(curve) >= 2 and worth == sorted(worth, reverse=True)
    with pytest.raises(NotFoundError, match="not built so wide"):
        desk.cutting.stocking("flint", {55 * INCH: 1.0})
