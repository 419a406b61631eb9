"""Ways through the shop that nobody plans for: called off after the stamp, changed on the scale, paid twice."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

import pytest

from plowwright.blade import spec as specs
from plowwright.blade.build import Build
from plowwright.desk.acting import Hand, fresh_key
from plowwright.desk.cuts_kept import CutsKept
from plowwright.desk.desk import Desk
from plowwright.desk.docking import Docking
from plowwright.desk.floor import Floor
from plowwright.desk.floor_chain import operations
from plowwright.desk.floor_right import FloorRight
from plowwright.desk.importing import Importing
from plowwright.desk.life_handing import issued
from plowwright.desk.lives import Lives
from plowwright.desk.order_file import order_page
from plowwright.desk.order_more import CHAIN, Done, more_of
from plowwright.desk.selling import Selling
from plowwright.desk.selling_changes import Changing
from plowwright.desk.selling_money import Till
from plowwright.desk.selling_quotes import Quoting
from plowwright.desk.selling_words import For
from plowwright.desk.stock_counting import Counting
from plowwright.desk.stock_sales import Sales
from plowwright.desk.stockroom import Stockroom
from plowwright.errors import EntryError, PlowwrightError, RefusedError
from plowwright.shop.dock import predicted
from plowwright.store import records as r
from plowwright.store.checking import check
from plowwright.units import INCH, LB

TUESDAY = datetime(2026, 11, 10, 15)
THURSDAY = datetime(2026, 11, 12, 8)


def by(who: str = "R.K.") -> Hand:
    return Hand(who=who, key=fresh_key())


def finished(shop: Desk, *numbers: str, painted: datetime = TUESDAY) -> None:
    """The floor has said done to every operation of these."""
    with shop.book.command("finished for a test", who="D.V.", key=fresh_key()) as c:
        for number in numbers:
            row = c.get(r.Order, number)
            more = replace(more_of(row.more), under_way=(), waits=(),
                           work={name: Done(ended=painted, by="D.V.") for name in operations(row.kind)})  # fmt: skip
            c.change(r.Order, number, state="done", more=more.as_dict())


def build_of(shop: Desk, number: str) -> Build:
    dock = Docking(shop)
    return dock.view.build(dock.view.order(number))


def weighed(shop: Desk, number: str) -> Docking:
    dock = Docking(shop)
    dock.weigh(by(), number, predicted(build_of(shop, number)))
    return dock


def row_of(shop: Desk, number: str) -> r.Order:
    with shop.book.reading() as reads:
        return reads.get(r.Order, number)


def paid(shop: Desk, number: str) -> None:
    page = order_page(shop, number)
    open_ = page.file.order.cents - page.file.paid_cents
    if open_ > 0:
        Till(shop).pay(by(), number, "balance", open_)


def test_the_serial_number_of_a_blade_called_off_is_never_given_again(shop: Desk) -> None:
    finished(shop, "418K", "419T")
    first = Docking(shop).stamp(by(), "418K")["serial"]
    Selling(shop).cancel(by(), "418K", "he sold his machine")
    second = Docking(shop).stamp(by(), "419T")["serial"]
    assert (first[-3:], second[-3:]) == ("001", "002"), "that number is stamped into a blade in the yard"


def test_the_stamp_of_a_blade_called_off_says_whose_it_was(shop: Desk) -> None:
    finished(shop, "418K", "419T")
    first = Docking(shop).stamp(by(), "418K")["serial"]
    Selling(shop).cancel(by(), "418K", "he sold his machine")
    told = weighed(shop, "419T").match(by(), "419T", stamp=f"419T {first}", label="419T")
    assert not told["holds"] and "that blade is 418K" in told["said"]


def test_a_blade_changed_after_it_was_weighed_goes_on_the_scale_again(either_shop: Desk) -> None:
    shop = either_shop
    finished(shop, "418K")
    dock = weighed(shop, "418K")
    dock.match(by(), "418K", stamp="418K", label="418K")
    spec = order_page(shop, "418K").order.spec
    assert spec is not None
    note = Changing(shop).write(by(), "418K", "one step wider", spec=replace(spec, width=spec.width + 6 * INCH))
    told = Changing(shop).settle(by(), "418K", note["note"])
    row = row_of(shop, "418K")
    assert row.state == "done" and more_of(row.more).scale == "not weighed" and more_of(row.more).matched is None
    assert "on the scale again" in told["said"]
    paid(shop, "418K")
    shop.book.keep_time_by(lambda: THURSDAY)
    with pytest.raises(RefusedError, match=r"418K cannot be weighed yet: it has not been on the scale"):
        dock.load(by(), "418K", ticked="all")
    assert dock.weigh(by(), "418K", predicted(build_of(shop, "418K")))["state"] == "weighed"


def test_a_stop_of_the_old_build_is_not_cleared_for_the_new_one(shop: Desk) -> None:
    finished(shop, "418K")
    dock = Docking(shop)
    dock.weigh(by(), "418K", predicted(build_of(shop, "418K")) - 30 * LB)
    spec = order_page(shop, "418K").order.spec
    assert spec is not None
    Changing(shop).write(by(), "418K", "one step wider", spec=replace(spec, width=spec.width + 6 * INCH))
    Changing(shop).settle(by(), "418K")
    with pytest.raises(RefusedError, match=r"418K is not stopped at the scale"):
        dock.clear(by(), "418K", measured="legs 0.25 in")


def test_an_order_is_loaded_at_the_dock_only_so_that_it_has_its_life_record(shop: Desk) -> None:
    finished(shop, "418K")
    weighed(shop, "418K").match(by(), "418K", stamp="418K", label="418K")
    paid(shop, "418K")
    shop.book.keep_time_by(lambda: THURSDAY)
    with pytest.raises(PlowwrightError, match=r"packing list ticked.*load slip"):
        Selling(shop).advance(by(), "418K", "loaded")
    assert row_of(shop, "418K").state == "weighed"


def test_a_spare_of_a_blade_that_is_in_for_a_refit_does_not_take_its_stamp(shop: Desk) -> None:
    serial = more_of(row_of(shop, "430W").more).serial
    for made in (False, True):
        if made:
            Quoting(shop).quote_spares(by(), ["seal kit"], For(name="V.A."), serial=serial)
            number = Quoting(shop).quote_spares(by(), ["seal kit"], For(name="V.A."), serial=serial)["number"]
            Selling(shop).accept(by(), number, date(2026, 11, 30))
        else:
            finished(shop, "430W")
            dock = weighed(shop, "430W")
        told = dock.match(by(), "430W", stamp=serial, label="430W")
        assert told["holds"], told["said"]


def test_money_of_a_change_never_makes_an_order_cost_less_than_nothing(shop: Desk) -> None:
    cents = row_of(shop, "421M").cents
    note = Changing(shop).write(by(), "421M", "much less of it", cents=-cents - 1)
    with pytest.raises(RefusedError, match=r"421M would cost less than nothing"):
        Changing(shop).settle(by(), "421M", note["note"])
    assert row_of(shop, "421M").cents == cents


def test_an_order_that_became_cheaper_than_its_deposit_can_still_be_paid_and_released(shop: Desk) -> None:
    row = row_of(shop, "421M")
    note = Changing(shop).write(by(), "421M", "most of it is taken off", cents=-(row.cents - row.deposit_cents) - 5_000)
    Changing(shop).settle(by(), "421M", note["note"])
    paid(shop, "421M")
    page = order_page(shop, "421M")
    assert page.file.paid_cents == page.file.order.cents < page.file.order.deposit_cents
    assert page.step is not None
    assert "deposit" not in [gate.title for gate in page.step.missing]


def test_a_lot_whose_issue_was_undone_is_not_in_the_life_record(shop: Desk) -> None:
    number, item = "423P", "edge blank 90 in"
    with shop.book.command("in", who="M.S.", key=fresh_key()) as c:
        c.line(kind="receive", item="trip spring 3/8", count=4, lot="H99")
        line = c.line(kind="issue", item="trip spring 3/8", count=2, lot="H99", order=number)
    build = build_of(shop, number)
    with shop.book.command("look", who="M.S.", key=fresh_key()) as c:
        assert [f.lot for f in issued(c, number, build) if f.lot == "H99"] == ["H99"], item
    Counting(shop).reverse(by(), line.id, "wrong box")
    with shop.book.command("look", who="M.S.", key=fresh_key()) as c:
        assert [f.lot for f in issued(c, number, build) if f.lot == "H99"] == []


def test_nothing_is_taken_off_the_shelf_for_a_quote(shop: Desk) -> None:
    with shop.book.command("in", who="M.S.", key=fresh_key()) as c:
        c.line(kind="receive", item="trip spring 3/8", count=4, lot="H99")
    with pytest.raises(RefusedError, match=r"432N is at quote: it takes nothing off the shelf"):
        Stockroom(shop).take(by(), "432N", "trip spring 3/8", 1)
    with pytest.raises(RefusedError, match=r"425V is on hold.*Lift the hold"):
        Stockroom(shop).take(by(), "425V", "trip spring 3/8", 1)


def test_a_refit_goes_the_whole_way_to_the_trailer(either_shop: Desk) -> None:
    shop, number = either_shop, "430W"
    serial = more_of(row_of(shop, number).more).serial
    before = Lives(shop).blade(serial)
    page = order_page(shop, number)
    if page.file.order.state == "order":
        Till(shop).pay(by(), number, "deposit", page.file.order.deposit_cents - page.file.paid_cents)
        for ask in page.more.asks:
            Selling(shop).answer(by(), number, ask, "asked and answered")
        if page.file.order.hold:
            Selling(shop).lift(by(), number, "settled")
        Selling(shop).release(by(), number)
    floor, now = Floor(shop), datetime(2026, 11, 12, 7)
    for operation in operations("refit"):
        now += timedelta(days=3)
        shop.book.keep_time_by(lambda now=now: now)
        more = more_of(row_of(shop, number).more)
        if operation in more.work:
            continue
        if any(one.operation == operation for one in more.waits):
            floor.here(by("D.V."), number, operation)
        test = {"left": "5.6 s", "right": "5.6 s", "oil": "70 F"} if operation == "test_and_weigh" else None
        floor.done(by("D.V."), number, operation, took="1 h", test=test)
    assert row_of(shop, number).state == "done"
    shop.book.keep_time_by(lambda: now + timedelta(days=3))
    dock = weighed(shop, number)
    assert row_of(shop, number).state == "weighed"
    assert dock.match(by(), number, stamp=f"{number} {serial}", label=number)["holds"]
    paid(shop, number)
    told = dock.load(by(), number, ticked="all")
    assert told["state"] == "loaded" and "The refit is in the life record" in told["said"]
    after = Lives(shop).blade(serial)
    assert [c.kind for c in after.life.chapters[len(before.life.chapters):]][:2] == ["refit", "test card"]
    assert after.record.blade.marks["mount"] != before.record.blade.marks["mount"]
    assert check(shop.book).holds


def test_an_order_of_spares_goes_the_whole_way_with_its_balance(either_shop: Desk) -> None:
    shop, number = either_shop, "431G"
    page = order_page(shop, number)
    if page.file.order.state == "order":
        short = page.file.order.deposit_cents - page.file.paid_cents
        if short > 0:
            Till(shop).pay(by(), number, "deposit", short)
        Selling(shop).release(by(), number)
    Floor(shop).done(by("M.S."), number, "pack", took="15 min")
    assert row_of(shop, number).state == "done"
    dock = Docking(shop)
    assert dock.match(by(), number, stamp=number, label=number)["holds"]
    if order_page(shop, number).file.order.cents > order_page(shop, number).file.paid_cents:
        with pytest.raises(RefusedError, match=r"still to be paid before it is loaded"):
            dock.load(by(), number, ticked="all")
    paid(shop, number)
    assert dock.load(by(), number, ticked="all")["state"] == "loaded"
    assert check(shop.book).holds


def at_once(*tries: Callable[[], Any]) -> list[Any]:
    """What each of them answered, or how it was refused; all begin at the same moment."""
    start, found = threading.Barrier(len(tries)), [None] * len(tries)

    def one(at: int, do: Callable[[], Any]) -> None:
        start.wait()
        try:
            found[at] = do()
        except PlowwrightError as refusal:
            found[at] = refusal

    threads = [threading.Thread(target=one, args=pair) for pair in enumerate(tries)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return found


def ready_to_release(shop: Desk) -> str:
    number = "421M"
    page = order_page(shop, number)
    short = page.file.order.deposit_cents - page.file.paid_cents
    if short > 0:
        Till(shop).pay(by(), number, "deposit", short)
    for ask in page.more.asks:
        Selling(shop).answer(by(), number, ask, "asked and answered")
    return number


def test_released_and_called_off_at_once_leaves_nothing_reserved(either_shop: Desk) -> None:
    number = ready_to_release(either_shop)
    released, off = at_once(
        lambda: Selling(either_shop).release(by(), number),
        lambda: Selling(either_shop).cancel(by(), number, "he sold his machine"),
    )
    assert isinstance(off, dict), off
    assert isinstance(released, dict) or "called off" in str(released) or "no open order" in str(released)
    assert row_of(either_shop, number).state == "cancelled"
    with either_shop.book.reading() as reads:
        assert [one for one in reads.find(r.Reservation, order=number) if one.count] == []
    assert check(either_shop.book).holds


def test_loaded_twice_at_once_is_loaded_once(either_shop: Desk) -> None:
    finished(either_shop, "418K")
    dock = weighed(either_shop, "418K")
    dock.match(by(), "418K", stamp="418K", label="418K")
    paid(either_shop, "418K")
    either_shop.book.keep_time_by(lambda: THURSDAY)
    found = at_once(*[lambda: Docking(either_shop).load(by(), "418K", ticked="all")] * 2)
    assert sorted(isinstance(one, dict) for one in found) == [False, True], found
    serial = more_of(row_of(either_shop, "418K").more).serial
    with either_shop.book.reading() as reads:
        assert sum(one.kind == "as-built" for one in reads.life(serial).chapters) == 1
    assert check(either_shop.book).holds


def test_quoted_at_once_by_four_gives_four_numbers(either_shop: Desk) -> None:
    found = at_once(*[
        lambda: Quoting(either_shop).quote_spares(by(), ["seal kit"], For(name="V.A."))["number"]
    ] * 4)  # fmt: skip
    assert len(set(map(str, found))) == 4 and all(isinstance(one, str) for one in found), found


def test_done_at_once_by_two_is_done_once_with_its_hours_once(either_shop: Desk) -> None:
    ready_to_release(either_shop)
    Selling(either_shop).release(by(), "421M")
    found = at_once(*[lambda: Floor(either_shop).done(by("D.V."), "421M", "saw", took="1 h")] * 2)
    assert sorted(isinstance(one, dict) for one in found) == [False, True], found
    with either_shop.book.reading() as reads:
        assert len(reads.find(r.Hours, order="421M", operation="saw")) == 1


def test_the_same_form_sent_by_two_at_once_is_done_once(either_shop: Desk) -> None:
    key = fresh_key()
    found = at_once(*[
        lambda: Till(either_shop).pay(Hand(who="R.K.", key=key), "421M", "balance", 10_000)
    ] * 3)  # fmt: skip
    assert all(one == found[0] for one in found) and isinstance(found[0], dict)
    assert CHAIN and check(either_shop.book).holds


def test_the_same_list_brought_in_by_three_at_once_is_brought_in_once(either_shop: Desk) -> None:
    data = b"item,section,length [in],width [in],lot,count,arrives,book\ntrip spring 3/8,,,,,31,,\n"
    found = at_once(*[lambda: Importing(either_shop).really(by(), "stock", data, "count.csv")["event"]] * 3)
    assert len({str(one) for one in found}) == 1 and isinstance(found[0], int), found
    with either_shop.book.reading() as reads:
        assert reads.balance("trip spring 3/8").on_hand == 31
    assert check(either_shop.book).holds


def test_the_last_pieces_are_sold_or_reserved_but_not_both(either_shop: Desk) -> None:
    shop, item = either_shop, "trip spring 3/8"
    number = ready_to_release(shop)
    Selling(shop).release(by(), number)
    Stockroom(shop).give_up(by(), number, "for a test")
    with shop.book.reading() as reads:
        others = [one for one in reads.find(r.Reservation, item=item) if one.count]
        there = reads.balance(item).on_hand
    for one in others:
        Stockroom(shop).give_up(by(), one.order or "", "for a test")
    if there != 2:
        Counting(shop).count(by(), {(item, ""): 2})
    blade = specs.from_dict({"series": "basalt", "width": "84 in", "mount": "loader", "carrier": "skid steer",
                             "hoses": "none"})  # fmt: skip
    at_once(
        lambda: Sales(shop).sell(by(), "spring pair", blade, 1, to="V.A.", agreed=[o.number for o in shop.orders()]),
        lambda: Stockroom(shop).reserve(by(), number),
    )
    with shop.book.reading() as reads:
        left = reads.balance(item)
        held = sum(one.count for one in reads.find(r.Reservation, item=item) if one.order == number)
        coming = sum(one.count for one in reads.arriving(item))
    assert left.on_hand >= 0 and held <= left.on_hand + coming
    report = check(shop.book)
    assert report.holds and not [note for line in report.lines for note in line.notes if item in note]


def test_what_no_database_can_hold_is_refused_in_words_on_both(either_shop: Desk) -> None:
    with either_shop.book.reading() as reads:
        before = reads.events(limit=1)[0].number
    for number in (10**12, 10**40):
        with pytest.raises(PlowwrightError) as refusal:
            Counting(either_shop).reverse(by(), number, "typed twice")
        assert "plowwright check" not in str(refusal.value), "that is no damage"
    if not either_shop.book.is_sqlite:
        with pytest.raises(EntryError, match=r"the records cannot hold this.*Look at what was typed"):
            Selling(either_shop).hold(by(), "421M", "nul \x00 in it")
    with either_shop.book.reading() as reads:
        assert reads.events(limit=1)[0].number == before


def test_a_key_of_another_form_is_refused_for_a_mishap_at_the_saw_too(shop: Desk) -> None:
    ready_to_release(shop)
    Selling(shop).release(by(), "421M")
    kept, key = CutsKept(shop), fresh_key()
    plan = kept.release(by(), shop.cutting.plan(["421M"], seconds=0.3), {"query": "a test"})["plan"]
    Till(shop).pay(Hand(who="R.K.", key=key), "421M", "balance", 1_000)
    with pytest.raises(EntryError, match=r"this key was given before, to 'take money'"):
        kept.mend(Hand(who="D.V.", key=key), plan, bent=[1], seconds=0.3)
    told = kept.mend(Hand(who="D.V.", key="bent"), plan, bent=[1], seconds=0.3)
    assert kept.mend(Hand(who="D.V.", key="bent"), plan, bent=[1], seconds=0.3) == told


def test_a_stop_of_before_the_work_was_taken_back_is_not_cleared_after_it_was_done_again(shop: Desk) -> None:
    finished(shop, "418K")
    dock = Docking(shop)
    dock.weigh(by(), "418K", predicted(build_of(shop, "418K")) - 30 * LB)
    FloorRight(shop).undo(by("D.V."), "418K", "test_and_weigh", "the wrong hoses were on")
    Floor(shop).done(by("D.V."), "418K", "test_and_weigh", took="1 h",
                     test={"left": "5.6 s", "right": "5.6 s", "oil": "70 F"})  # fmt: skip
    assert row_of(shop, "418K").state == "done"
    with pytest.raises(RefusedError, match=r"418K is not stopped at the scale.*not weighed"):
        dock.clear(by(), "418K", measured="legs 0.25 in")
