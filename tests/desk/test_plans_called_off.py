"""An order called off while its steel lies at the saw: nothing more is cut for it, and no stick is forgotten there."""

from __future__ import annotations

import pytest

from plowwright.desk.cuts_kept import CutsKept
from plowwright.desk.desk import Desk
from plowwright.desk.nests_kept import NestsKept
from plowwright.desk.plan_stock import need_of
from plowwright.desk.selling import Selling
from plowwright.errors import EntryError, PlanInputError
from plowwright.shop import cut_checker
from plowwright.shop.cutting_model import CutStick
from plowwright.shop.nesting_model import Sheet
from plowwright.store import records as r
from plowwright.store.checking import check
from tests.desk.test_plans_kept import by, on_hand, order_of, receive_what_is_missing, released, tags, to_the_floor

GONE, GOES_ON = "421M", "424H"


def orders_on(stick: CutStick) -> set[str]:
    return {p.piece.order for p in stick.placed}


def mixed(desk: Desk) -> tuple[int, CutStick]:
    """A released plan of two orders, all its sticks there, and one of them that both lie on."""
    plan = released(desk, GONE, GOES_ON)
    receive_what_is_missing(desk, plan)
    both = [s for s in plan.week.plan.sticks if orders_on(s) == {GONE, GOES_ON}]
    assert both, "this test wants a stick with pieces of both orders"
    return plan.number, both[0]


def of(stick: CutStick, order: str) -> list[str]:
    return [p.piece.tag for p in stick.placed if p.piece.order == order]


def test_pieces_of_an_order_that_was_called_off_are_not_sawn_and_the_others_go_on(shop: Desk) -> None:
    number, stick = mixed(shop)
    said = Selling(shop).cancel(by(), GONE, "he sold his machine")["said"]
    assert f"cut plan {number}, {GONE} is called off" in said and "not to be cut" in said
    kept = CutsKept(shop)
    held = kept.at(number)
    assert set(of(stick, GONE)) <= held.off.unsawn and not held.off.kept
    with pytest.raises(EntryError, match=rf"{GONE} is called off, and this is not to be cut.*{of(stick, GONE)[0]}"):
        kept.tick(by(), number, cut=[of(stick, GONE)[0], of(stick, GOES_ON)[0]])
    assert not kept.at(number).version.ticked
    answer = kept.tick(by(), number, whole=[stick.number])
    now = kept.at(number)
    assert now.version.ticked == set(of(stick, GOES_ON)) and stick.number in now.version.done
    after = next(s for s in now.week.plan.sticks if s.number == stick.number)
    unsawn = sum(p.piece.centre_line for p in stick.placed if p.piece.order == GONE)
    assert tags(after) == of(stick, GOES_ON)
    assert after.drop >= stick.drop + unsawn - 1e-6, "what is not sawn is on the drop"
    if after.kept:
        assert answer["drops"] == [after.drop_tag] and on_hand_of_lot(shop, after.drop_tag) == 1
    with pytest.raises(EntryError, match="no piece of the plan has this tag"):
        kept.tick(by(), number, cut=of(stick, GONE)[:1])


def on_hand_of_lot(desk: Desk, lot: str) -> int:
    with desk.book.reading() as reads:
        return sum(row.on_hand for row in reads.find(r.OnHand, lot=lot))


def test_what_was_sawn_before_an_order_was_called_off_is_said_to_be_kept(shop: Desk) -> None:
    number, stick = mixed(shop)
    kept = CutsKept(shop)
    kept.tick(by(), number, cut=of(stick, GONE)[:1])
    said = Selling(shop).cancel(by(), GONE, "he sold his machine")["said"]
    assert "1 piece cut before is a kept piece" in said
    assert kept.at(number).off.kept == {of(stick, GONE)[0]}
    kept.tick(by(), number, cut=of(stick, GOES_ON))
    assert "saw" not in order_of(shop, GONE).more.get("work", {})


def test_a_plan_whose_only_order_was_called_off_stays_open_until_its_sticks_are_laid_back(shop: Desk) -> None:
    with shop.book.reading() as reads:
        items = {(one.item, one.lot): one.on_hand for one in reads.find(r.OnHand) if one.on_hand}
    plan = released(shop, GONE)
    taken = len(plan.version.fetched)
    said = Selling(shop).cancel(by(), GONE, "he sold his machine")["said"]
    kept = CutsKept(shop)
    assert f"nothing left to cut: {taken} stick" in said
    held = kept.open()[0]
    assert held.number == plan.number and held.left == 0 and not held.version.wants
    assert held.off.over and len(held.off.waiting) == taken
    with pytest.raises(PlanInputError, match=r"nothing is left to be sawn here.*Lay the sticks back"):
        kept.mend(by(), plan.number, bent=[plan.week.plan.sticks[0].number])
    answer = kept.lay_back(by("once"), plan.number)
    assert answer == kept.lay_back(by("once"), plan.number)
    assert f"{taken} stick" in answer["said"] and "laid back whole" in answer["said"]
    with shop.book.reading() as reads:
        assert items == {(one.item, one.lot): one.on_hand for one in reads.find(r.OnHand) if one.on_hand}
    assert not kept.open() and "cut_plan" not in order_of(shop, GONE).more
    with pytest.raises(EntryError, match="nothing is to be laid back"):
        kept.lay_back(by(), plan.number)
    with pytest.raises(EntryError, match="is called off, and this is not to be cut"):
        kept.tick(by(), plan.number, cut=tags(plan.week.plan.sticks[0])[:1])
    for one in plan.week.plan.sticks:
        if one.stick.tag:
            assert on_hand_of_lot(shop, one.stick.tag) == 1
    assert check(shop.book).holds


def test_what_is_left_of_a_begun_stick_is_laid_back_as_a_drop_of_its_true_length(shop: Desk) -> None:
    plan = released(shop, GONE)
    receive_what_is_missing(shop, plan)
    stick = max(plan.week.plan.sticks, key=lambda s: len(s.placed))
    first = stick.placed[0]
    kept = CutsKept(shop)
    kept.tick(by(), plan.number, cut=[first.piece.tag])
    Selling(shop).cancel(by(), GONE, "he sold his machine")
    answer = kept.lay_back(by(), plan.number)
    drop = f"R{plan.number}-{stick.number}"
    assert answer["drops"] == [drop]
    back = next(one for one in shop.rack.remnants if one.tag == drop)
    kerf = shop.rulebook.shop.kerf
    assert back.length <= stick.stick.length - first.from_to[1] - kerf + 1e-6
    assert back.length > stick.stick.length - first.from_to[1] - 2 * kerf - stick.placed[0].depth - 0.001
    assert not kept.open() and check(shop.book).holds


def test_after_a_mishap_nothing_is_planned_for_an_order_that_was_called_off(shop: Desk) -> None:
    number, stick = mixed(shop)
    Selling(shop).cancel(by(), GONE, "he sold his machine")
    kept = CutsKept(shop)
    with pytest.raises(EntryError, match=rf"{GONE} is called off"):
        kept.mend(by(), number, miscut=of(stick, GONE)[:1])
    kept.tick(by(), number, cut=of(stick, GOES_ON)[:1])
    kept.mend(by(), number, miscut=of(stick, GOES_ON)[:1], seconds=2.0)
    held = kept.at(number)
    assert not [p for p in held.week.plan.pieces if p.order == GONE] and not held.off.unsawn
    rules = shop.rulebook.shop
    cut_checker.check(held.week.plan, held.week.pieces, held.week.sticks, rules.kerf, rules.end_trim,
                      shop.cutting.remnant_rule, ordered=False)  # fmt: skip
    receive_what_is_missing(shop, held)
    for one in held.week.plan.sticks:
        kept.tick(by(), number, whole=[one.number])
    assert not kept.open() and "saw" in order_of(shop, GOES_ON).more["work"]
    assert check(shop.book).holds


def test_a_plan_with_a_called_off_order_closes_when_the_others_are_cut_and_the_rest_is_laid_back(shop: Desk) -> None:
    number, _ = mixed(shop)
    Selling(shop).cancel(by(), GONE, "he sold his machine")
    kept = CutsKept(shop)
    held = kept.at(number)
    live = [p.tag for p in held.week.plan.pieces if p.order == GOES_ON]
    kept.tick(by(), number, cut=live)
    held = kept.at(number)
    if held.off.waiting:
        assert [one.number for one in kept.open()] == [number] and held.left == 0
        kept.lay_back(by(), number)
    assert not kept.open()
    assert check(shop.book).holds


def test_parts_of_an_order_that_was_called_off_are_not_cut_from_a_nest(shop: Desk) -> None:
    to_the_floor(shop, [GONE, GOES_ON])
    kept = NestsKept(shop)
    number = kept.release(by(), shop.nesting.plan([GONE, GOES_ON], seconds=1.0), {})["plan"]
    with shop.book.command("receive", who="R.K.", key="r") as c:
        for item in kept.at(number).version.wants.values():
            c.line(kind="receive", item=item, count=1)
    mine = [o.tag for o in kept.at(number).nests.outlines if o.order == GONE]
    kept.tick(by(), number, cut=mine[:1])
    said = Selling(shop).cancel(by(), GONE, "he sold his machine")["said"]
    assert f"nest {number}, {GONE} is called off" in said and "1 piece cut before is a kept piece" in said
    with pytest.raises(EntryError, match=rf"{GONE} is called off, and this is not to be cut.*{mine[1]}"):
        kept.tick(by(), number, cut=mine[1:2])
    for sheet in kept.at(number).nests.plan.sheets:
        if {p.outline.order for p in sheet.placed} != {GONE}:
            kept.tick(by(), number, whole=[sheet.number])
    held = kept.at(number)
    assert held.left == 0 and "plate_and_drill" in order_of(shop, GOES_ON).more["work"]
    if held.off.waiting:
        assert [one.number for one in kept.open()] == [number]
        kept.lay_back(by(), number)
    assert not kept.open() and "plate_and_drill" not in order_of(shop, GONE).more.get("work", {})
    assert check(shop.book).holds


def test_sheets_of_a_nest_whose_only_order_was_called_off_are_laid_back_whole(either_shop: Desk) -> None:
    shop = either_shop
    to_the_floor(shop, [GONE])
    kept = NestsKept(shop)
    nests = shop.nesting.plan([GONE], seconds=1.0)
    before = {s.sheet: on_hand(shop, sheet_name(s.sheet)) for s in nests.plan.sheets if not s.sheet.tag}
    number = kept.release(by(), nests, {})["plan"]
    Selling(shop).cancel(by(), GONE, "he sold his machine")
    assert [one.number for one in kept.open()] == [number] and kept.open()[0].left == 0
    kept.lay_back(by(), number)
    assert not kept.open()
    assert {sheet: on_hand(shop, sheet_name(sheet)) for sheet in before} == before
    assert check(shop.book).holds


def sheet_name(sheet: Sheet) -> str:
    return need_of(sheet).item
