"""The plate of the open orders at the desk: every plate once, from what there is, and how long the table cuts."""

from __future__ import annotations

from collections import Counter

import pytest

from plowwright.desk.desk import Desk
from plowwright.desk.nesting import Nests
from plowwright.errors import NotFoundError
from plowwright.units.constants import INCH


@pytest.fixture(scope="module")
def desk() -> Desk:
    return Desk.demo()


@pytest.fixture(scope="module")
def nests(desk: Desk) -> Nests:
    return desk.nesting.plan(["421M", "424H"], seconds=2.0)


def test_every_flat_plate_of_the_bills_is_laid_once_and_rolled_skins_are_left_to_the_roller(
    desk: Desk, nests: Nests
) -> None:
    wanted = Counter(
        (number, row.mark)
        for number in nests.orders
        for row in desk.worked(desk.spec_of(number)[0]).build.bill.plate_list()
        if row.kind != "rolled"
        for _ in range(row.quantity)
    )
    assert Counter((o.order, o.mark) for o in nests.plan.pieces) == wanted
    assert not any("skin" in o.mark for o in nests.plan.pieces)


def test_remnants_behind_the_table_are_offered_and_none_is_used_twice(desk: Desk, nests: Nests) -> None:
    offered = {s.tag for s in desk.nesting.sheets({o.stock for o in nests.outlines}) if s.tag}
    assert offered == {"P-41", "P-44"}
    used = Counter(n.sheet.tag for n in nests.plan.sheets if n.sheet.tag)
    assert set(used) <= offered and max(used.values(), default=1) == 1


def test_table_time_is_cut_length_over_speed_pierces_and_the_way_between(desk: Desk, nests: Nests) -> None:
    for nest in nests.plan.sheets:
        found = desk.nesting.time_of(nest)
        thickness = desk.rulebook.plates[nest.sheet.stock].thickness
        row = next(r for r in desk.nesting.rules.speeds if thickness <= r.up_to + 1e-6)
        cutting = nest.cut_length / row.per_minute * 60 + nest.pierces * row.pierce
        assert found.seconds == pytest.approx(cutting + found.travel / 0.25)
    half = next(n for n in nests.plan.sheets if n.sheet.stock == "plate 1/2")
    # 40 in a minute and 1.3 s a pierce, by hand.
    by_hand = half.cut_length / (40 * INCH) * 60 + 1.3 * half.pierces
    found = desk.nesting.time_of(half)
    assert found.seconds - found.travel / 0.25 == pytest.approx(by_hand)


def test_only_sheets_beyond_those_on_hand_are_bought(desk: Desk, nests: Nests) -> None:
    for sheet, count in desk.nesting.bought(nests.plan):
        assert count == sum(n.sheet == sheet for n in nests.plan.sheets) - sheet.on_hand > 0
        assert sheet.buyable


def test_an_order_without_a_blade_is_refused(desk: Desk) -> None:
    with pytest.raises(NotFoundError, match="431G"):
        desk.nesting.plan(["431G"], seconds=1.0)
