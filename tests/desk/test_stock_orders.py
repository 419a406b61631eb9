"""What every sort of order takes off the shelf, and when it may: blades, refits and spares alike."""

from __future__ import annotations

from datetime import date

import pytest

from plowwright.blade.spec import Spec, from_dict
from plowwright.desk.acting import Hand, fresh_key
from plowwright.desk.cuts_kept import CutsKept
from plowwright.desk.desk import Desk
from plowwright.desk.log import log_of
from plowwright.desk.order_file import order_page
from plowwright.desk.selling import Selling
from plowwright.desk.selling_money import Till
from plowwright.desk.selling_quotes import Quoting
from plowwright.desk.selling_words import For
from plowwright.desk.stock_answers import Answers
from plowwright.desk.stock_arrivals import Arrivals
from plowwright.desk.stock_counting import Counting
from plowwright.desk.stock_sales import Sales
from plowwright.desk.stockroom import Stockroom
from plowwright.errors import EntryError, NotFoundError, RefusedError
from plowwright.store import records as r
from plowwright.store.checking import check

SPRING = "trip spring 3/8"


def by(who: str = "M.S.") -> Hand:
    return Hand(who=who, key=fresh_key())


def ordered(shop: Desk, spares: list[str], day: date, serial: str = "") -> str:
    number = Quoting(shop).quote_spares(by(), spares, For(name="V.A."), serial=serial)["number"]
    Selling(shop).accept(by(), number, day)
    return number


def test_a_spare_two_orders_of_spares_ask_for_goes_short_by_the_second(shop: Desk) -> None:
    item, day = "seal kit", date(2026, 11, 24)
    with shop.book.reading() as reads:
        there = reads.balance(item)
    taken = sum(w.count for w in shop.counter.wants() if item in w.serves)
    free = there.on_hand + there.arriving - taken
    if free > 1:
        Counting(shop).count(by(), {(item, ""): there.on_hand - free + 1})
    first, second = ordered(shop, [item], day), ordered(shop, [item], date(2026, 11, 25))
    short = [one for one in Answers(shop).short() if one.short.want.order in (first, second)]
    assert [one.short.want.order for one in short] == [second]
    assert short[0].short.text == f"{second} goes short of {item} on Wed 25 Nov: none is on its way"
    assert item in [one.item for one in Answers(shop).to_buy()]


def test_parts_a_refit_puts_on_are_counted_while_its_blade_is_still_out(shop: Desk) -> None:
    refit = shop.order("430W")
    assert refit.state == "waiting for the blade"
    wants = shop.counter.needs.of(refit)
    assert [(w.what, w.count) for w in wants] == [("hose set, poppet", 1)], "what stays on the blade is not wanted"
    with shop.book.reading() as reads:
        now = reads.balance("hose set, poppet")
    others = sum(w.count for w in shop.counter.wants() if "hose set, poppet" in w.serves and w.order != "430W")
    for arrival in Answers(shop).on_the_way():
        if arrival.item == "hose set, poppet":
            Arrivals(shop).cancel(by(), arrival.id, "for a test")
    assert now.on_hand <= others
    assert "430W" in [one.short.want.order for one in Answers(shop).short()]


def test_what_a_refit_took_it_wants_no_more(shop: Desk) -> None:
    ready(shop, "430W")
    Selling(shop).release(by(), "430W")
    with shop.book.reading() as reads:
        assert [(one.item, one.count) for one in reads.find(r.Reservation, order="430W")] == [("hose set, poppet", 1)]
    Stockroom(shop).take(by(), "430W")
    assert not shop.counter.needs.of(shop.order("430W"))
    assert check(shop.book).holds


def test_a_spare_nobody_knows_the_parts_of_brings_no_list_down(shop: Desk) -> None:
    with shop.book.command("a spare of an older price list", who="R.K.", key=fresh_key()) as c:
        row = c.get(r.Order, "431G")
        c.change(r.Order, "431G", more={**row.more, "spares": [*row.more["spares"], "brass plate"]})
    assert [w.what for w in shop.counter.needs.of(shop.order("431G"))][-1] == "seal kit"


def test_what_is_on_its_way_and_comes_too_late_is_not_bought_again(shop: Desk) -> None:
    blank = "flat 8 x 5/8 blank, 108 in"
    assert blank not in [one.item for one in Answers(shop).to_buy()]
    told = next(one for one in Answers(shop).awaited() if one.item == blank)
    assert told.text == (
        "1 x flat 8 x 5/8 blank, 108 in for 423P: on the way, one comes Tue 17 Nov, too late for 11 Nov; "
        "ordered today none comes before 17 Nov"
    )


def test_what_comes_sooner_if_ordered_today_than_what_is_on_its_way_is_on_the_list(shop: Desk) -> None:
    blank = "flat 8 x 5/8 blank, 108 in"
    arrival = next(one for one in Answers(shop).on_the_way() if one.item == blank)
    Arrivals(shop).late(by(), arrival.id, date(2026, 11, 25), reason="the driller is ill")
    row = next(one for one in Answers(shop).to_buy() if one.item == blank)
    assert row.text == (
        "1 x flat 8 x 5/8 blank, 108 in for 423P: order by Thu 05 Nov; too late for 11 Nov, comes 17 Nov if ordered "
        "today; what is on its way comes only 25 Nov"
    )
    assert blank not in [one.item for one in Answers(shop).awaited()]


@pytest.mark.parametrize("item", ["", SPRING])
def test_nothing_is_taken_for_an_order_before_its_deposit_is_in(shop: Desk, item: str) -> None:
    page = order_page(shop, "421M")
    assert page.file.order.state == "order"
    short = page.file.order.deposit_cents - page.file.paid_cents
    assert short > 0
    with pytest.raises(RefusedError, match=r"421M: USD 1,210\.80 of the deposit is missing: nothing is bought or cut"):
        Stockroom(shop).take(by(), "421M", item)
    with shop.book.reading() as reads:
        assert not reads.find(r.Line, order="421M", kind="issue")
    Till(shop).pay(by(), "421M", "deposit", short)
    assert "taken for 421M" in Stockroom(shop).take(by(), "421M", item)["said"]


def test_a_form_sent_again_after_the_order_has_left_gets_its_first_answer(shop: Desk) -> None:
    ready(shop, "421M")
    room = Stockroom(shop)
    held = room.reserve(Hand(who="M.S.", key="hold"), "421M")
    taken = room.take(Hand(who="M.S.", key="take"), "421M", SPRING, 2)
    with shop.book.command("loaded for a test", who="R.K.", key=fresh_key()) as c:
        c.change(r.Order, "421M", state="loaded")
    assert room.reserve(Hand(who="M.S.", key="hold"), "421M") == held
    assert room.take(Hand(who="M.S.", key="take"), "421M", SPRING, 2) == taken
    with pytest.raises(NotFoundError, match="no open order has this number"):
        room.take(by(), "421M", SPRING)


def test_the_sum_taken_over_the_counter_stands_once_on_the_ledger_and_in_what_was_done(shop: Desk) -> None:
    told = ("edge with bolts", flint_84())
    done = Sales(shop).sell(by("R.K."), *told, to="L.K.", taken=15_000, agreed=[o.number for o in shop.orders()])
    assert done["said"].startswith("1 x edge with bolts sold to L.K., not on the price list; USD 150 taken")
    with shop.book.reading() as reads:
        event = reads.events(limit=1)[0]
        lines = reads.find(r.Line, event=event.number, kind="issue")
    assert len(lines) > 1
    assert [line.facts.get("taken_cents") for line in lines] == [15_000] + [None] * (len(lines) - 1)
    assert "USD 150 taken" in log_of(shop, limit=1).entries[0].said
    with pytest.raises(EntryError, match=r"a sum that is none.*given: USD -1"):
        Sales(shop).sell(by("R.K."), *told, taken=-100)


def flint_84() -> Spec:
    return from_dict({"series": "flint", "width": "84 in", "mount": "loader", "carrier": "skid steer", "hoses": "none"})


def ready(shop: Desk, number: str) -> None:
    page = order_page(shop, number)
    short = page.file.order.deposit_cents - page.file.paid_cents
    if short > 0:
        Till(shop).pay(by(), number, "deposit", short)
    for ask in page.more.asks:
        Selling(shop).answer(by(), number, ask, "asked and answered")
    if page.file.order.hold:
        Selling(shop).lift(by(), number, "settled")


def test_a_drop_is_nothing_that_can_be_ordered_again(shop: Desk) -> None:
    with shop.book.command("release for a test", who="R.K.", key="a test") as c:
        for number in ("421M", "424H"):
            c.change(r.Order, number, state="released", hold="")
    CutsKept(shop).release(by("R.K."), shop.cutting.plan(["421M", "424H"], seconds=0.3), {"query": "a test"})
    with shop.book.reading() as reads:
        assert any("remnant" in line.item for line in reads.find(r.Line, kind="issue")), "the plan took one"
    assert not [one.item for one in Answers(shop).to_refill() if "remnant" in one.item]
