"""An order on its whole way, on SQLite and on PostgreSQL: quoted, ordered, paid, changed, released, called off."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from threading import Barrier, Thread

import pytest

from plowwright.blade import spec as specs
from plowwright.desk.acting import Hand, fresh_key
from plowwright.desk.desk import Desk
from plowwright.desk.docking import Docking
from plowwright.desk.enquiring import Enquiring
from plowwright.desk.order_copy import copy_of
from plowwright.desk.order_file import open_quotes, order_page
from plowwright.desk.order_more import CHAIN, more_of
from plowwright.desk.selling import Selling
from plowwright.desk.selling_changes import Changing
from plowwright.desk.selling_money import Till, cents_of
from plowwright.desk.selling_quotes import Quoting
from plowwright.desk.selling_words import For
from plowwright.errors import EntryError, NotFoundError, RefusedError
from plowwright.shop.orders import money
from plowwright.store import checking
from plowwright.store import records as r

FLINT = specs.from_dict({"series": "flint", "width": "84 in", "mount": "loader", "carrier": "skid steer",
                         "hoses": "flat-face", "extras": ["markers"]})  # fmt: skip
FRIDAY = datetime(2026, 11, 27, 7)


def hand(key: str = "") -> Hand:
    return Hand(who="R.K.", key=key or fresh_key())


def ordered(desk: Desk, number: str = "") -> str:
    """An order of a Flint 84, promised, its deposit in."""
    number = number or Quoting(desk).quote(hand(), FLINT, For(name="V.A.", carrier="K6"))["number"]
    Selling(desk).accept(hand(), number, FRIDAY)
    deposit = order_page(desk, number).file.order.deposit_cents
    Till(desk).pay(hand(), number, "deposit", deposit, "check 4411")
    return number


def finished(desk: Desk, number: str) -> None:
    """All its work, scale and match, as floor and dock write them."""

    def do(c):
        more = more_of(c.get(r.Order, number).more)
        for name in CHAIN:
            more = more.done(name, ended=datetime(2026, 11, 9, 8), by="D.V.")
        c.change(r.Order, number, more=replace(more, scale="holds", matched=True).as_dict())

    desk.book.run("work", do, who="D.V.", key=fresh_key())


def test_an_order_goes_its_whole_way_from_a_ring_to_loaded(either_shop: Desk) -> None:
    desk = either_shop
    kept = Enquiring(desk).keep(hand(), name="Q.S.", phone="555 0142", told=[("w_ground", "gravel")])
    quoted = Quoting(desk).quote(hand(), FLINT, For(name="Q.S.", phone="555 0142", carrier="K6",
                                                     enquiry=kept["enquiry"], wished=date(2026, 11, 27)))  # fmt: skip
    number = quoted["number"]
    assert number == "433R"
    page = order_page(desk, number)
    assert page.file.order.state == "quote" and page.file.build is not None and page.file.quote is not None
    assert page.file.quote.valid_until == date(2026, 12, 11)
    assert sum(round(100 * line["amount"]) for line in page.file.quote.lines) == page.file.order.cents
    assert Enquiring(desk).open() == ()
    answer = Selling(desk).accept(hand(), number, FRIDAY)
    assert answer["said"] == (
        f"433R is ordered, promised Fri 27 Nov, 07:00; {money(quoted['deposit_cents'])} of deposit is asked for"
    )
    with pytest.raises(RefusedError, match=r"433R cannot be released yet: USD .* of the deposit is missing"):
        Selling(desk).release(hand(), number)
    Till(desk).pay(hand(), number, "deposit", quoted["deposit_cents"])
    assert Selling(desk).release(hand(), number)["state"] == "released"
    with pytest.raises(RefusedError, match="not done: saw, plate and drill"):
        Selling(desk).advance(hand(), number, "done")
    finished(desk, number)
    for step in ("done", "weighed"):
        Selling(desk).advance(hand(), number, step)
    with pytest.raises(RefusedError, match="is still to be paid before it is loaded"):
        Selling(desk).advance(hand(), number, "loaded")
    left = order_page(desk, number)
    assert left.standing is not None
    Till(desk).pay(hand(), number, "balance", left.standing.balance_cents)
    with pytest.raises(RefusedError, match="Load it on its load slip"):
        Selling(desk).advance(hand(), number, "loaded")
    Docking(desk).stamp(hand(), number)
    assert Docking(desk).load(hand(), number, ticked="all")["said"].startswith("433R is loaded. The life record of")
    done = order_page(desk, number)
    assert done.step is None
    assert [h.what for h in done.history] == ["quote", "accept", "take money", "advance", "work", "advance", "advance",
                                              "take money", "give a serial number", "load"]  # fmt: skip
    assert {h.who for h in done.history} == {"R.K.", "D.V."}
    assert checking.check(desk.book).holds


def test_the_same_form_sent_twice_is_done_once(either_shop: Desk) -> None:
    desk, form = either_shop, hand("form 7731")
    first = Quoting(desk).quote(form, FLINT, For(name="V.A."))
    assert Quoting(desk).quote(form, FLINT, For(name="V.A.")) == first
    Selling(desk).accept(hand("yes"), first["number"], FRIDAY)
    once = Till(desk).pay(hand("check"), first["number"], "deposit", 10_000)
    assert Till(desk).pay(hand("check"), first["number"], "deposit", 10_000) == once
    assert order_page(desk, first["number"]).file.paid_cents == 10_000
    assert Quoting(desk).quote(hand(), FLINT, For(name="V.A."))["number"] == "434L"


def test_two_who_quote_at_once_get_two_numbers(either_shop: Desk) -> None:
    gate, found, failed = Barrier(4), [], []

    def quote(name: str) -> None:
        gate.wait()
        try:
            found.append(Quoting(either_shop).quote(hand(), FLINT, For(name=name))["number"])
        except Exception as fault:  # noqa: BLE001 - told below
            failed.append(fault)

    threads = [Thread(target=quote, args=(f"N.{i}",)) for i in range(4)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert not failed
    assert sorted(found) == ["433R", "434L", "435E", "436Y"]


def test_swapped_figures_and_wrong_letters_are_refused_with_the_near_number(shop: Desk) -> None:
    with pytest.raises(EntryError, match=r"the letter S does not belong to 472 \(given: 472S\).*Near it: 427S"):
        Selling(shop).hold(hand(), "472S", "he is thinking")
    with pytest.raises(EntryError, match=r"the letter G does not belong to 427.*427S"):
        order_page(shop, "427G")
    with pytest.raises(EntryError, match=r"no order has this number"):
        order_page(shop, "433R")
    assert order_page(shop, "427 s").number == "427S"


def test_425v_on_hold_is_not_released_and_432n_is_a_quote(shop: Desk) -> None:
    with pytest.raises(RefusedError, match=r"425V cannot be released yet: .*on hold: Sidewalk ice\. Over the machine"):
        Selling(shop).release(hand(), "425V")
    assert [(q.number, q.until, q.stands) for q in open_quotes(shop)] == [("432N", date(2026, 12, 11), True)]
    Selling(shop).lift(hand(), "425V", "ordered as Reed 48 instead")
    with pytest.raises(RefusedError, match="deposit is missing") as shut:
        Selling(shop).release(hand(), "425V")
    assert "hold" not in str(shut.value)


def test_a_quote_that_ran_out_is_quoted_again_at_todays_prices(shop: Desk) -> None:
    shop.book.keep_time_by(lambda: datetime(2026, 12, 14, 8))
    with pytest.raises(RefusedError, match=r"the quote ran out on 11 Dec 2026"):
        Selling(shop).accept(hand(), "432N", date(2026, 12, 20))
    again = Quoting(shop).quote_again(hand(), "432N")
    assert "quoted again at USD 3,565, the price stays; it stands until Wed 13 Jan" in again["said"]
    assert Selling(shop).accept(hand(), "432N", date(2027, 1, 8))["state"] == "order"
    with pytest.raises(RefusedError, match="432N is no quote any more"):
        Quoting(shop).quote_again(hand(), "432N")


def test_a_promise_lies_ahead(shop: Desk) -> None:
    with pytest.raises(EntryError, match=r"a promise lies ahead \(given: Tue 10 Nov\)"):
        Selling(shop).accept(hand(), "432N", date(2026, 11, 10))


def test_money_is_never_more_than_open_and_never_goes_back_twice(shop: Desk) -> None:
    till, number = Till(shop), ordered(shop)
    row = order_page(shop, number).file.order
    with pytest.raises(RefusedError, match=r"is not owed as much.*at most USD"):
        till.pay(hand(), number, "balance", row.cents)
    with pytest.raises(RefusedError, match=r"cannot get more back than came in"):
        till.pay(hand(), number, "refund", row.deposit_cents + 1)
    with pytest.raises(RefusedError, match=r"432N is not ordered yet"):
        till.pay(hand(), "432N", "deposit", 100)
    with pytest.raises(EntryError, match=r"money is one of these.*deposit, balance, refund"):
        till.pay(hand(), number, "tip", 100)
    line = order_page(shop, number).file.money[0].id
    assert till.reverse(hand(), number, line, "check came back")["paid_cents"] == 0
    with pytest.raises(RefusedError, match="was put right already"):
        till.reverse(hand(), number, line, "check came back")
    with pytest.raises(NotFoundError, match="no such line of money"):
        till.reverse(hand(), number, 9999, "check came back")
    assert [m.cents for m in order_page(shop, number).file.money] == [row.deposit_cents, -row.deposit_cents]


def test_a_sum_is_read_as_people_write_it() -> None:
    assert [cents_of(t) for t in ("1,046.40", "USD 1,046.40", "$1046.40", "85")] == [104_640, 104_640, 104_640, 8_500]
    for wrong in ("1.046,40", "85.5", "-85", "85 EUR", "1,04", ""):
        with pytest.raises(EntryError, match=r"Write it as USD 1,046\.40"):
            cents_of(wrong)
    with pytest.raises(EntryError, match="another currency"):
        cents_of("EUR 85")


def test_questions_keep_steel_uncut_until_they_are_answered(shop: Desk) -> None:
    row = order_page(shop, "422D")
    assert row.more.asks == ("pin sizes, measured on the machine",)
    Till(shop).pay(hand(), "422D", "deposit", row.file.order.deposit_cents)
    with pytest.raises(RefusedError, match="still to be asked: pin sizes"):
        Selling(shop).release(hand(), "422D")
    with pytest.raises(EntryError, match="no open question is called that"):
        Selling(shop).answer(hand(), "422D", "colour", "green")
    Selling(shop).answer(hand(), "422D", "pin", "1-1/4 in, 24 in apart, calipered")
    page = order_page(shop, "422D")
    assert page.answers[0]["said"] == "1-1/4 in, 24 in apart, calipered" and page.more.asks == ()
    assert Selling(shop).release(hand(), "422D")["state"] == "released"
    with pytest.raises(EntryError, match="a question says what is asked"):
        Selling(shop).ask(hand(), "421M", " ")


def test_a_pin_on_mount_asks_for_its_sizes_by_itself(shop: Desk) -> None:
    spec = replace(FLINT, mount="pin-on", carrier_kind="tractor", hoses="poppet")
    number = Quoting(shop).quote(hand(), spec, For(name="P.O.", carrier="K4"))["number"]
    assert "measured on the machine" in order_page(shop, number).more.asks[0]


def test_a_change_counts_when_the_customer_said_yes_and_keeps_its_new_build(either_shop: Desk) -> None:
    desk, number = either_shop, ordered(either_shop)
    changing, before = Changing(desk), order_page(either_shop, number).file.order
    wider = replace(FLINT, width=FLINT.width + 6 * 0.0254)
    noted = changing.write(hand(), number, "six inches wider", spec=wider, promise=date(2026, 12, 1))
    assert noted["cents"] == 5_700  # one step of the Flint's price list
    assert "USD 57 more; 4 days later" in noted["text"]
    with pytest.raises(RefusedError, match="has not said yes to: six inches wider"):
        Selling(desk).release(hand(), number)
    with pytest.raises(RefusedError, match="two new builds cannot both be built"):
        changing.write(hand(), number, "narrower after all", spec=replace(FLINT, width=FLINT.width - 6 * 0.0254))
    still = order_page(desk, number).file.order
    assert (still.cents, still.build, still.promise) == (before.cents, before.build, before.promise)
    assert changing.settle(hand(), number)["cents"] == before.cents + 5_700
    after = order_page(desk, number)
    assert after.file.order.promise == datetime(2026, 12, 1) and after.file.order.build != before.build
    assert desk.build_of(after.order).fingerprint == after.notes[0][1].build
    assert after.order.spec is not None and after.order.spec.width == pytest.approx(90 * 0.0254)
    with pytest.raises(RefusedError, match=r"no change of .* waits"):
        changing.settle(hand(), number)
    assert checking.check(desk.book).holds


def test_a_change_that_is_not_wanted_is_dropped_and_leaves_the_order_as_it_was(shop: Desk) -> None:
    number = ordered(shop)
    before = order_page(shop, number).file.order
    note = Changing(shop).write(hand(), number, "second colour", cents=8_500)["note"]
    Changing(shop).drop(hand(), number, note, "too dear")
    page = order_page(shop, number)
    assert page.notes == () and [d.note for d in page.dropped] == ["second colour"]
    assert page.file.order.cents == before.cents
    assert Selling(shop).release(hand(), number)["state"] == "released"
    with pytest.raises(RefusedError, match="settled already"):
        Changing(shop).settle(hand(), number, note)
    with pytest.raises(RefusedError, match="Make a new quote"):
        Changing(shop).write(hand(), "432N", "markers added", cents=4_100)


def test_a_step_back_takes_scale_and_stamp_with_it(shop: Desk) -> None:
    number = ordered(shop)
    Selling(shop).release(hand(), number)
    finished(shop, number)
    Selling(shop).advance(hand(), number, "done")
    Selling(shop).advance(hand(), number, "weighed")
    with pytest.raises(EntryError, match="needs its reason"):
        Selling(shop).step_back(hand(), number, "done", "")
    Selling(shop).step_back(hand(), number, "done", "its twin was on the scale")
    page = order_page(shop, number)
    assert (page.file.order.state, page.more.scale, page.more.matched) == ("done", "not weighed", None)
    with pytest.raises(RefusedError, match="has not been on the scale"):
        Selling(shop).advance(hand(), number, "weighed")


def test_an_order_called_off_frees_its_steel_and_keeps_its_number(either_shop: Desk) -> None:
    desk, number = either_shop, ordered(either_shop)
    item = next(b for b in desk.rack.bought if b.count > 0).stock
    desk.book.run(
        "reserve", lambda c: c.line(kind="reserve", item=item, count=1, order=number, needed=date(2026, 11, 20)).id,
        who="R.K.", key="res",
    )  # fmt: skip
    answer = Selling(desk).cancel(hand(), number, "bought another machine")
    assert "came in: settle what goes back" in answer["said"] and "1 reservation is free again" in answer["said"]
    page = order_page(desk, number)
    assert page.standing is None and page.cancelled == "bought another machine"
    assert all(one.count == 0 for one in page.file.reservations)
    with pytest.raises(RefusedError, match=r"was called off \(given: bought another machine\)"):
        Selling(desk).release(hand(), number)
    Till(desk).pay(hand(), number, "refund", page.file.paid_cents)
    with pytest.raises(RefusedError, match="not owed as much"):
        Till(desk).pay(hand(), number, "balance", 100)
    assert Quoting(desk).quote(hand(), FLINT, For(name="V.A."))["number"] != number
    assert number not in {order.number for order in desk.orders()}


def test_a_copy_of_an_old_serial_shows_what_differs_and_is_not_frozen_before_it_is_answered(shop: Desk) -> None:
    copy = copy_of(shop, "B90-22-017", machine="K4")
    assert {"machine", "rules"} <= {a.key for a in copy.found.asks} and copy.found.rows
    with pytest.raises(RefusedError, match=r"a copy of B90-22-017 is not frozen before this is answered"):
        Quoting(shop).quote(hand(), copy.spec, For(name="J.R."), copy=copy, answers={"machine": "yes, K4"})
    answers = {a.key: "yes" for a in copy.found.asks}
    number = Quoting(shop).quote(hand(), copy.spec, For(name="J.R."), copy=copy, answers=answers)["number"]
    page = order_page(shop, number)
    assert page.file.order.copied_from == "B90-22-017"
    assert page.more.rest["copy"]["answers"][0]["said"] == "yes"
    same = copy_of(shop, number)
    assert same.found.rows == () and [a.key for a in same.found.asks] == ["machine"]
    with pytest.raises(NotFoundError, match="no blade and no order is called this"):
        copy_of(shop, "B09-22-017")


def test_spares_and_refits_are_quoted_by_the_price_list(shop: Desk) -> None:
    quoted = Quoting(shop).quote_spares(hand(), ["Seal kit", "spring pair", "seal kit"], For(name="L.K."),
                                        serial="F84-21-063")  # fmt: skip
    assert quoted["cents"] == 2 * 4_100 + 6_800 and quoted["deposit_cents"] == 0
    assert order_page(shop, quoted["number"]).more.spares == ("seal kit", "seal kit", "spring pair")
    with pytest.raises(NotFoundError, match=r"the price list has no such spare.*84 in edge with bolts"):
        Quoting(shop).quote_spares(hand(), ["96 edge"], For(name="L.K."))
    refit = Quoting(shop).quote_refit(hand(), "B90-22-017", "K4", For(name="J.R."))
    page = order_page(shop, refit["number"])
    assert page.file.order.kind == "refit" and page.order.carrier == "K4" and refit["cents"] > 0
    assert page.more.serial == "B90-22-017" and page.file.quote is not None
    assert sum(round(100 * line["amount"]) for line in page.file.quote.lines) == refit["cents"]


def test_a_caller_is_found_by_name_and_number_and_a_namesake_is_not(shop: Desk) -> None:
    first = Enquiring(shop).keep(hand(), name="Z.Z.", phone="555 0100")
    assert "new here" in first["said"]
    again = Enquiring(shop).keep(hand(), name="z.z.", phone="(555) 0100")
    assert again["customer"] == first["customer"] and "known here" in again["said"]
    assert Enquiring(shop).keep(hand(), name="Z.Z.", phone="555 0199")["customer"] != first["customer"]
    machine = shop.strength.carrier("K7")
    kept = Enquiring(shop).keep(hand(), name="Z.Z.", phone="555 0100", carrier=machine)
    with shop.book.reading() as reads:
        row = reads.get(r.CarrierFacts, kept["carrier"])
    assert row.name == "K7" and {f["name"] for f in row.facts} >= {"power", "tipping_load"}
    with pytest.raises(EntryError, match="has no name"):
        Enquiring(shop).keep(hand(), name=" ")
    Enquiring(shop).close(hand(), first["enquiry"], "bought elsewhere")
    with pytest.raises(RefusedError, match="put away already"):
        Enquiring(shop).close(hand(), first["enquiry"], "bought elsewhere")
