"""Cut plans and nests kept in the records: released once, ticked, mended, and the same after a restart."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import pytest

from plowwright.desk.acting import Hand, hand
from plowwright.desk.cuts_kept import CutInHand, CutsKept
from plowwright.desk.desk import Desk
from plowwright.desk.nests_kept import NestsKept
from plowwright.desk.opening import open_records
from plowwright.desk.order_more import more_of
from plowwright.errors import EntryError, NotFoundError, PlanInputError
from plowwright.shop import cut_checker
from plowwright.shop.cutting_model import CutStick
from plowwright.store import checking
from plowwright.store import records as r

RK = "R.K."


def by(key: str = "") -> Hand:
    return hand(RK, key)


def to_the_floor(desk: Desk, numbers: Iterable[str]) -> None:
    """The orders released to the floor, as if deposit and answers were in."""
    with desk.book.command("release for a test", who=RK, key=hand(RK).key) as c:
        for number in numbers:
            c.change(r.Order, number, state="released", hold="")


def released(desk: Desk, *numbers: str, seconds: float = 1.0) -> CutInHand:
    to_the_floor(desk, numbers)
    week = desk.cutting.plan(numbers, seconds=seconds)
    number = CutsKept(desk).release(by(), week, {"query": "a test"})["plan"]
    return CutsKept(desk).at(number)


def on_hand(desk: Desk, item: str, lot: str | None = None) -> int:
    with desk.book.reading() as reads:
        rows = reads.find(r.OnHand, item=item) if lot is None else reads.find(r.OnHand, item=item, lot=lot)
    return sum(row.on_hand for row in rows)


def order_of(desk: Desk, number: str) -> r.Order:
    with desk.book.reading() as reads:
        return reads.get(r.Order, number)


def tags(stick: CutStick) -> list[str]:
    return [p.piece.tag for p in stick.placed]


def fetchable(plan: CutInHand) -> list[CutStick]:
    return [s for s in plan.week.plan.sticks if s.number in plan.version.fetched]


def receive_what_is_missing(desk: Desk, plan: CutInHand) -> None:
    with desk.book.command("receive for a test", who=RK, key=hand(RK).key) as c:
        for item in plan.version.wants.values():
            c.line(kind="receive", item=item, count=1)


def test_a_released_plan_takes_its_sticks_off_the_ledger_and_names_what_is_still_to_come(shop: Desk) -> None:
    before = on_hand(shop, "stick of tube 3 x 3 x 1/4, 288 in")
    remnant = on_hand(shop, "remnant of tube 3 x 3 x 1/4, 61-1/4 in", "R-112")
    plan = released(shop, "421M")
    used = [s.stick for s in plan.week.plan.sticks if s.stick.stock == "tube 3 x 3 x 1/4"]
    whole = sum(not s.tag and abs(s.length - 288 * 0.0254) < 1e-6 for s in used)
    assert whole or any(s.tag for s in used)
    assert on_hand(shop, "stick of tube 3 x 3 x 1/4, 288 in") == before - min(before, whole)
    assert remnant == 1
    left = on_hand(shop, "remnant of tube 3 x 3 x 1/4, 61-1/4 in", "R-112")
    assert left == 1 - sum(s.tag == "R-112" for s in used)
    assert len(plan.version.fetched) + len(plan.version.wants) == len(plan.week.plan.sticks)


def test_the_plan_at_its_number_is_the_same_after_a_restart(shop: Desk) -> None:
    plan = released(shop, "421M", "424H")
    folder = shop.book.folder
    assert folder is not None
    with open_records(folder, make=False) as book:
        again = CutsKept(Desk(shop.rulebook.folder, records=book)).at(plan.number)
    assert again.week == plan.week and again.version == plan.version


def test_an_order_that_is_not_released_or_on_hold_is_in_no_plan_and_is_named(shop: Desk) -> None:
    to_the_floor(shop, ["421M"])
    week = shop.cutting.plan(["421M", "422D"], seconds=1.0)
    with pytest.raises(EntryError, match=r"422D is at order.*released to the floor"):
        CutsKept(shop).release(by(), week, {})
    with shop.book.command("hold", who=RK, key="hold") as c:
        c.change(r.Order, "421M", hold="the customer rang")
    with pytest.raises(EntryError, match="421M is on hold"):
        CutsKept(shop).release(by(), shop.cutting.plan(["421M"], seconds=1.0), {})
    assert not CutsKept(shop).open()


def test_the_same_form_sent_twice_releases_once(shop: Desk) -> None:
    to_the_floor(shop, ["421M"])
    week = shop.cutting.plan(["421M"], seconds=1.0)
    first = CutsKept(shop).release(by("form 7"), week, {"query": "x"})
    again = CutsKept(shop).release(by("form 7"), week, {"query": "x"})
    assert first == again and len(CutsKept(shop).open()) == 1


def test_steel_of_a_released_plan_is_planned_for_nobody_else(shop: Desk) -> None:
    plan = released(shop, "421M")
    assert "421M" not in [o.number for o in shop.cutting.waiting()]
    assert "421M" in [o.number for o in shop.cutting.waiting(table=True)]
    with pytest.raises(PlanInputError, match=rf"421M \(in cut plan {plan.number}\)"):
        shop.cutting.plan(["421M"], seconds=1.0)
    stale = plan.week
    with pytest.raises(EntryError, match=f"421M is in cut plan {plan.number}"):
        CutsKept(shop).release(by(), stale, {})


def test_a_newer_plan_never_takes_what_an_older_one_has_taken_or_still_waits_for(shop: Desk) -> None:
    to_the_floor(shop, ["421M", "424H", "426B", "427S", "428C", "429J"])
    stale = shop.cutting.plan(["426B", "427S"], seconds=1.0)
    first = released(shop, "421M", "428C")
    wants = dict(first.version.wants)
    receive_what_is_missing(shop, first)
    second = CutsKept(shop).at(CutsKept(shop).release(by(), stale, {})["plan"])
    tagged = [s.stick.tag for plan in (first, second) for s in fetchable(plan) if s.stick.tag]
    assert len(tagged) == len(set(tagged))
    # What the first plan waited for is still there for it.
    for item in set(wants.values()):
        assert on_hand(shop, item) >= list(wants.values()).count(item)
    for stick in first.week.plan.sticks:
        CutsKept(shop).tick(by(), first.number, cut=tags(stick))
    assert not CutsKept(shop).at(first.number).left
    with shop.book.reading() as reads:
        assert all(row.on_hand >= 0 for row in reads.find(r.OnHand))


def test_a_remnant_that_somebody_took_is_refused_by_name(shop: Desk) -> None:
    to_the_floor(shop, ["421M"])
    week = shop.cutting.plan(["421M"], seconds=1.0)
    named = [s.stick for s in week.plan.sticks if s.stick.tag]
    assert named, "this test wants a plan with a remnant"
    with shop.book.command("take it", who=RK, key="take") as c:
        for one in c.find(r.OnHand, lot=named[0].tag):
            c.line(kind="scrap", item=one.item, lot=one.lot, count=1, reason="rusted through")
    with pytest.raises(EntryError, match=rf"not in the rack any more.*{named[0].tag}"):
        CutsKept(shop).release(by(), week, {})
    assert not CutsKept(shop).open() and on_hand(shop, "stick of tube 3 x 3 x 1/4, 288 in") == 2


def test_ticks_are_kept_as_new_versions_and_can_be_taken_back(shop: Desk) -> None:
    plan = released(shop, "421M")
    stick = next(s for s in fetchable(plan) if len(s.placed) > 1)
    one = tags(stick)[0]
    said = CutsKept(shop).tick(by(), plan.number, cut=[one])["said"]
    assert f"1 of {len(plan.week.pieces)} pieces cut" in said
    assert CutsKept(shop).at(plan.number).version.ticked == {one}
    CutsKept(shop).tick(by(), plan.number, not_cut=[one])
    assert not CutsKept(shop).at(plan.number).version.ticked
    with shop.book.reading() as reads:
        assert len(reads.find(r.Plan, kind=f"cut {plan.number}")) == 3


def test_a_stick_that_is_done_gives_its_drop_back_to_the_rack_under_a_tag_of_its_own(shop: Desk) -> None:
    plan = released(shop, "421M", "424H")
    stick = next(s for s in fetchable(plan) if s.kept)
    answer = CutsKept(shop).tick(by(), plan.number, cut=tags(stick))
    assert answer["drops"] == [stick.drop_tag] == [f"R{plan.number}-{stick.number}"]
    back = next(one for one in shop.rack.remnants if one.tag == stick.drop_tag)
    assert back.stock == stick.stick.stock and back.length == stick.drop
    assert back.book == pytest.approx(stick.stick.price - stick.cost, abs=0.005)
    with pytest.raises(EntryError, match="its drop is in the rack"):
        CutsKept(shop).tick(by(), plan.number, not_cut=tags(stick)[:1])


def test_a_stick_that_has_not_come_is_not_cut_and_is_fetched_once_it_is_received(shop: Desk) -> None:
    plan = released(shop, "421M", "424H", "426B", "427S")
    late = next(s for s in plan.week.plan.sticks if s.number not in plan.version.fetched)
    with pytest.raises(EntryError, match=rf"not in the rack.*stick {late.number}, .*Receive it first"):
        CutsKept(shop).tick(by(), plan.number, cut=tags(late)[:1])
    receive_what_is_missing(shop, plan)
    there = on_hand(shop, plan.version.wants[late.number])
    CutsKept(shop).tick(by(), plan.number, cut=tags(late)[:1])
    now = CutsKept(shop).at(plan.number)
    assert late.number in now.version.fetched and late.number not in now.version.wants
    assert on_hand(shop, plan.version.wants[late.number]) == there - 1


def test_an_order_is_cut_when_all_its_pieces_are_ticked(shop: Desk) -> None:
    plan = released(shop, "421M", "424H")
    receive_what_is_missing(shop, plan)
    mine = [p.tag for p in plan.week.pieces if p.order == "421M"]
    assert CutsKept(shop).tick(by(), plan.number, cut=mine[:-1])["orders_cut"] == []
    assert CutsKept(shop).tick(by(), plan.number, cut=mine[-1:])["orders_cut"] == ["421M"]
    more = more_of(order_of(shop, "421M").more)
    assert more.work["saw"].by == RK and more.work["saw"].ended == shop.now and "cut_plan" not in more.rest
    assert "421M" not in [o.number for o in shop.cutting.waiting()]
    with pytest.raises(PlanInputError, match="cut already"):
        shop.cutting.chosen(["421M"])
    assert [p.number for p in CutsKept(shop).open()] == [plan.number]
    CutsKept(shop).tick(by(), plan.number, cut=[p.tag for p in plan.week.pieces])
    assert not CutsKept(shop).open() and not CutsKept(shop).at(plan.number).left


def test_a_bent_stick_is_planned_again_and_what_is_not_used_goes_back(shop: Desk) -> None:
    plan = released(shop, "421M")
    receive_what_is_missing(shop, plan)
    bent = next(s for s in fetchable(plan) if not s.stick.tag)
    item = f"stick of {bent.stick.stock}, {round(bent.stick.length / 0.0254)} in"
    there = on_hand(shop, item)
    answer = CutsKept(shop).mend(by(), plan.number, bent=[bent.number], seconds=2.0)
    now = CutsKept(shop).at(plan.number)
    assert "1 tag to write again" in answer["said"] and now.changes
    assert bent.number not in {s.number for s in now.week.plan.sticks}
    assert sorted(p.tag for p in now.week.plan.pieces) == sorted(p.tag for p in plan.week.plan.pieces)
    # The bent bar itself never comes back.
    assert on_hand(shop, item) <= there
    assert on_hand(shop, item) + sum(s.stick == bent.stick for s in fetchable(now)) <= there + 1
    CutsKept(shop).tick(by(), plan.number, cut=[p.tag for s in fetchable(now) for p in (x.piece for x in s.placed)])


def test_a_miscut_after_its_stick_was_done_is_wanted_again_and_the_drop_in_the_rack_is_left_alone(shop: Desk) -> None:
    plan = released(shop, "421M", "424H")
    receive_what_is_missing(shop, plan)
    stick = next(s for s in fetchable(plan) if s.kept and len(s.placed) > 1)
    CutsKept(shop).tick(by(), plan.number, cut=[p.tag for p in plan.week.pieces if p.order == "421M"])
    CutsKept(shop).tick(by(), plan.number, cut=tags(stick))
    spoilt = tags(stick)[0]
    order = next(p.piece.order for p in stick.placed)
    CutsKept(shop).mend(by(), plan.number, miscut=[spoilt], seconds=2.0)
    now = CutsKept(shop).at(plan.number)
    kept = next(s for s in now.week.plan.sticks if s.number == stick.number)
    assert spoilt not in tags(kept) and kept.drop == stick.drop and kept.drop_tag == stick.drop_tag
    assert spoilt not in now.version.ticked and "saw" not in more_of(order_of(shop, order).more).work
    # Its drop lies in the rack, or the mended plan took it from there as any other remnant.
    from_drop = [s for s in now.week.plan.sticks if s.stick.tag == stick.drop_tag]
    assert [one.tag for one in shop.rack.remnants].count(stick.drop_tag) + len(from_drop) == 1
    at = next(s for s in now.week.plan.sticks if spoilt in tags(s))
    assert at.number != stick.number and any(c.tag == spoilt and c.why == "miscut" for c in now.changes)


def test_a_mended_plan_still_passes_the_checker(shop: Desk) -> None:
    plan = released(shop, "421M")
    first = fetchable(plan)[0]
    CutsKept(shop).tick(by(), plan.number, cut=tags(first)[:1])
    CutsKept(shop).mend(by(), plan.number, miscut=tags(first)[:1], seconds=2.0)
    week = CutsKept(shop).at(plan.number).week
    kerf, trim = shop.rulebook.shop.kerf, shop.rulebook.shop.end_trim
    cut_checker.check(week.plan, week.pieces, week.sticks, kerf, trim, shop.cutting.remnant_rule, ordered=False)


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ({"miscut": ["421M nothing"]}, "no piece of the plan has this tag"),
        ({"bent": [99]}, "no stick of the plan has this number"),
        ({}, "nothing is said to be wrong"),
    ],
)
def test_a_mishap_that_cannot_be_is_refused_and_nothing_changes(shop: Desk, what: dict, said: str) -> None:
    plan = released(shop, "421M")
    with pytest.raises(PlanInputError, match=said):
        CutsKept(shop).mend(by(), plan.number, **what)
    assert CutsKept(shop).at(plan.number) == plan


def test_a_plan_nobody_released_is_not_there_and_a_tag_nobody_wrote_is_refused(shop: Desk) -> None:
    with pytest.raises(NotFoundError, match=r"no released cut plan has this number.*77"):
        CutsKept(shop).at(77)
    plan = released(shop, "421M")
    with pytest.raises(EntryError, match=r"no piece of the plan.*421M ghost"):
        CutsKept(shop).tick(by(), plan.number, cut=["421M ghost"])
    with pytest.raises(NotFoundError, match="no released nest"):
        NestsKept(shop).at(plan.number)


def test_a_printed_draft_is_found_again_by_its_address_and_by_no_other(shop: Desk) -> None:
    week = shop.cutting.plan(["421M"], seconds=1.0)
    kept, asked = CutsKept(shop), {"query": "order=421M", "mark": shop.cutting.mark(["421M"])}
    kept.keep_printed(by("draft 1"), asked, week, (), 0.0)
    kept.keep_printed(by("draft 1"), asked, week, (), 0.0)
    found = kept.draft(asked)
    assert found is not None and found[0] == week
    assert kept.draft({**asked, "mark": "another"}) is None
    with shop.book.reading() as reads:
        assert len(reads.find(r.Plan, kind="cut", state="draft")) == 1


def test_the_mark_of_a_plan_changes_with_the_rack_and_with_nothing_else(shop: Desk) -> None:
    mark = shop.cutting.mark(["421M"])
    with shop.book.command("note", who=RK, key="n") as c:
        c.add(r.Customer, name="Z.Z.")
    assert shop.cutting.mark(["421M"]) == mark
    with shop.book.command("receive", who=RK, key="r") as c:
        c.line(kind="receive", item="stick of tube 3 x 3 x 1/4, 240 in", count=1)
    assert shop.cutting.mark(["421M"]) != mark


def test_a_nest_takes_its_sheets_puts_its_rests_away_and_ends_the_plate_of_its_orders(shop: Desk) -> None:
    to_the_floor(shop, ["421M"])
    kept = NestsKept(shop)
    nests = shop.nesting.plan(["421M"], seconds=1.0)
    number = kept.release(by(), nests, {})["plan"]
    held = kept.at(number)
    assert held.nests.outlines == nests.outlines
    assert "421M" in [o.number for o in shop.cutting.waiting()]
    assert "421M" not in [o.number for o in shop.cutting.waiting(table=True)]
    with shop.book.command("receive", who=RK, key="r") as c:
        for item in held.version.wants.values():
            c.line(kind="receive", item=item, count=1)
    answer = kept.tick(by(), number, cut=[o.tag for o in nests.outlines])
    assert answer["orders_cut"] == ["421M"] and not kept.at(number).left and not kept.open()
    put = {one.tag: one for one in shop.rack.sheet_remnants}
    rests = [rest for s in held.nests.plan.sheets for rest in s.rests]
    assert rests and answer["rests"] == [rest.tag for rest in rests]
    for rest in rests:
        sides = sorted((rest.box[2] - rest.box[0], rest.box[3] - rest.box[1]))
        assert [put[rest.tag].width, put[rest.tag].length] == pytest.approx(sides)
    more = more_of(order_of(shop, "421M").more)
    assert "plate_and_drill" in more.work and "saw" not in more.work


def test_saw_and_table_together_make_an_order_cut_on_the_wall(shop: Desk) -> None:
    plan = released(shop, "421M")
    number = NestsKept(shop).release(by(), shop.nesting.plan(["421M"], seconds=1.0), {})["plan"]
    for wants in (plan.version.wants, NestsKept(shop).at(number).version.wants):
        with shop.book.command("receive", who=RK, key=hand(RK).key) as c:
            for item in wants.values():
                c.line(kind="receive", item=item, count=1)
    assert shop.order("421M").state == "not started"
    CutsKept(shop).tick(by(), plan.number, cut=[p.tag for p in plan.week.pieces])
    NestsKept(shop).tick(by(), number, cut=[o.tag for o in NestsKept(shop).at(number).nests.outlines])
    assert shop.order("421M").state == "cut"


def test_the_records_hold_after_all_of_it(shop: Desk, tmp_path: Path) -> None:
    plan = released(shop, "421M", "424H")
    receive_what_is_missing(shop, plan)
    CutsKept(shop).mend(by(), plan.number, bent=[plan.week.plan.sticks[0].number], seconds=2.0)
    CutsKept(shop).tick(by(), plan.number, cut=[p.tag for p in plan.week.pieces if p.order == "424H"][:2])
    assert checking.check(shop.book).holds


def test_a_plan_is_released_and_ticked_on_either_database(either_shop: Desk) -> None:
    plan = released(either_shop, "424H")
    stick = fetchable(plan)[0]
    CutsKept(either_shop).tick(by(), plan.number, cut=tags(stick))
    again = CutsKept(either_shop).at(plan.number)
    assert again.version.done == {stick.number} and again.week == plan.week
