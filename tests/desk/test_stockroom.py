"""The stockroom of the invented shop: each command once, refusals in words, on SQLite and on PostgreSQL."""

from __future__ import annotations

import threading
from datetime import date

import pytest

from plowwright.blade.spec import Spec, from_dict
from plowwright.desk.acting import Hand, hand
from plowwright.desk.desk import Desk
from plowwright.desk.order_file import order_page
from plowwright.desk.selling_money import Till
from plowwright.desk.stock_answers import Answers
from plowwright.desk.stock_arrivals import Arrivals
from plowwright.desk.stock_counting import Counting
from plowwright.desk.stock_sales import Sales
from plowwright.desk.stockroom import Stockroom
from plowwright.errors import EntryError, NotFoundError, PlowwrightError, RefusedError
from plowwright.shop.stock_delivery import Delivery, layouts_of
from plowwright.shop.stock_items import item_of
from plowwright.store import records as r
from plowwright.store.checking import check
from plowwright.units import INCH

BLANK = "flat 6 x 1/2 blank, 90 in"
EDGE = "flat 6 x 1/2 blank, 102 in"
CYLINDER = "cylinder 3 x 1-1/2 x 12"
STICK = "stick of tube 3 x 3 x 1/4, 288 in"


def by(key: str) -> Hand:
    return hand("R.K.", key)


def flint_84() -> Spec:
    return from_dict({"series": "flint", "width": "84 in", "mount": "loader", "carrier": "skid steer", "hoses": "none"})


def deposit_in(desk: Desk, *numbers: str) -> None:
    """The deposits of these orders have come in: nothing is taken off the shelf before."""
    for number in numbers:
        file = order_page(desk, number).file
        short = file.order.deposit_cents - file.paid_cents
        if short > 0:
            Till(desk).pay(by(f"deposit {number}"), number, "deposit", short)


def holes(desk: Desk) -> tuple[float, ...]:
    return next(layouts_of(item_of(BLANK), desk.rulebook)).positions


def test_selling_two_84_in_edges_today_names_who_goes_short_and_until_when(either_shop: Desk) -> None:
    edge, bolts = Sales(either_shop).ask("84 edge with bolts", flint_84(), 2)
    assert [(s.want.order, s.want.day, s.until) for s in edge.newly] == [
        ("422D", date(2026, 11, 18), date(2026, 11, 30))
    ]
    assert edge.harmless == 1 and not bolts.newly


def test_a_sale_nobody_agreed_to_is_refused_and_an_agreed_one_is_issued_with_its_price(either_shop: Desk) -> None:
    sales = Sales(either_shop)
    with pytest.raises(RefusedError, match=r"somebody goes short who was not agreed to.*say that 422D may go short"):
        sales.sell(by("s"), "84 edge with bolts", flint_84(), 2, to="L.K.")
    done = sales.sell(by("s"), "84 edge with bolts", flint_84(), 2, to="L.K.", agreed=["422D"])
    assert done["said"] == "2 x 84 edge with bolts sold to L.K. for USD 312"
    again = sales.sell(by("s"), "84 edge with bolts", flint_84(), 2, to="L.K.", agreed=["422D"])
    assert again == done
    with either_shop.book.reading() as reads:
        line = reads.lines(EDGE, limit=1)[0]
        assert reads.balance(EDGE).on_hand == 1
    assert (line.kind, line.count, line.facts["cents"], line.facts["to"]) == ("issue", 2, 31200, "L.K.")
    short = {(t.short.want.order, t.short.want.what) for t in Answers(either_shop).short()}
    assert ("422D", "84 in edge of flat 6 x 1/2") in short
    assert check(either_shop.book).holds


def test_a_spare_for_an_old_blade_is_sold_by_its_own_rules(shop: Desk) -> None:
    want = Sales(shop).wanted("84 edge with bolts", None, 1, serial="F84-21-063")[0]
    assert want.serves == ("flat 6 x 1/2 bar, undrilled",)
    with pytest.raises(NotFoundError, match=r"no such blade on file.*F84-00-000"):
        Sales(shop).wanted("seal kit", None, 1, serial="F84-00-000")
    with pytest.raises(RefusedError, match="not as many are there"):
        Sales(shop).sell(by("s"), "seal kit", flint_84(), 9)


def test_the_one_large_cylinder_goes_to_whoever_reserves_first_and_the_other_is_named(either_shop: Desk) -> None:
    room = Stockroom(either_shop)
    first = room.reserve(by("1"), "418k")
    assert "22 pieces reserved for 418K" in first["said"] and not first["lacking"]
    second = room.reserve(by("2"), "421M")
    assert second["lacking"][0]["text"] == f"{CYLINDER} by Tue 17 Nov: free on Tue 08 Dec"
    assert room.reserve(by("3"), "418K")["said"] == "nothing more reserved for 418K"


def test_an_order_that_reserves_out_of_turn_is_told_who_goes_short_by_it(shop: Desk) -> None:
    done = Stockroom(shop).reserve(by("1"), "421M")
    assert f"by it 418K goes short of {CYLINDER} on Wed 11 Nov: one comes on Tue 08 Dec" in done["said"]
    back = Stockroom(shop).give_up(by("2"), "421M", "called off")
    assert back["said"].endswith("reserved for 421M are free again: called off")
    with pytest.raises(EntryError, match="nothing is reserved"):
        Stockroom(shop).give_up(by("3"), "421M", "again")


def test_one_poppet_set_serves_one_of_four_orders_until_the_others_come(shop: Desk) -> None:
    found = Answers(shop).item("hose set, poppet")
    assert found.now.on_hand == 1
    assert {o for d in found.days.days for o in d.orders} == {"422D", "424H", "429J", "430W"}
    assert next((d.day, d.left) for d in found.days.days) == (date(2026, 11, 18), 4)
    assert Stockroom(shop).reserve(by("1"), "429J")["reserved"][0]["count"] == 1


def test_what_an_order_took_it_needs_no_more_and_nothing_is_counted_twice(either_shop: Desk) -> None:
    room, before = Stockroom(either_shop), len(either_shop.counter.shortages().short)
    done = room.take(by("1"), "420A")
    assert done["said"] == "20 pieces taken for 420A"
    assert not [w for w in either_shop.counter.wants() if w.order == "420A"]
    assert len(either_shop.counter.shortages().short) == before
    assert room.take(by("2"), "420A")["said"] == "420A needs nothing more off the shelf"
    back = room.give_back(by("3"), "420A", EDGE)
    assert back["said"] == f"1 x {EDGE} laid back from 420A"
    assert [w.what for w in either_shop.counter.wants() if w.order == "420A"] == ["84 in edge of flat 6 x 1/2"]
    with pytest.raises(EntryError, match=r"420A has taken only 0 of it"):
        room.give_back(by("4"), "420A", EDGE)
    assert check(either_shop.book).holds


def test_what_is_missing_is_said_when_an_order_takes_what_there_is(shop: Desk) -> None:
    room = Stockroom(shop)
    deposit_in(shop, "418K", "421M")
    room.take(by("1"), "418K")
    done = room.take(by("2"), "421M")
    assert done["missing"] == [CYLINDER]
    with pytest.raises(EntryError, match=r"only 0 on hand"):
        room.take(by("3"), "421M", CYLINDER)
    with pytest.raises(EntryError, match="481K"):
        room.take(by("4"), "481K")


def test_what_others_reserved_is_not_taken(shop: Desk) -> None:
    room = Stockroom(shop)
    deposit_in(shop, "421M")
    room.reserve(by("1"), "418K")
    with pytest.raises(EntryError, match=r"Spoken for by 418K"):
        room.take(by("2"), "421M", CYLINDER)


def test_an_arrival_that_slips_takes_the_reservations_with_it_and_names_them(either_shop: Desk) -> None:
    room, arrivals = Stockroom(either_shop), Arrivals(either_shop)
    new = arrivals.order_in(by("o"), "edge marker", 6, date(2026, 11, 16))["arrival"]
    with either_shop.book.command("reserve all", who="x", key="all") as c:
        c.line(kind="reserve", item="edge marker", count=18, order="426B", needed=date(2026, 11, 27))
    done = arrivals.late(by("l"), new, date(2026, 12, 7), reason="the maker is behind")
    assert done["said"] == (
        "6 x edge marker now come on Mon 07 Dec instead of Mon 16 Nov; 426B loses its reservation of 4"
    )
    gone = arrivals.cancel(by("c"), new, "they make none this year")
    assert gone["freed"] == []
    with pytest.raises(EntryError, match=f"arrival {new} has been cancelled already"):
        arrivals.late(by("x"), new, date(2026, 12, 8))
    with pytest.raises(EntryError, match=r"does not come before today"):
        arrivals.order_in(by("y"), "skid shoe", 1, date(2026, 11, 10))
    with pytest.raises(NotFoundError, match=r"knows no such.*skid shoe"):
        arrivals.order_in(by("z"), "skid sho", 1, date(2026, 11, 20))
    assert room.needs is not None and check(either_shop.book).holds


def test_a_delivery_is_measured_racked_by_its_lot_and_the_rest_stays_on_its_way(either_shop: Desk) -> None:
    arrivals = Arrivals(either_shop)
    with pytest.raises(RefusedError, match=r"not racked before it is laid on the hole template"):
        arrivals.receive(by("1"), Delivery(item=BLANK, count=6), arrival=1)
    good = Delivery(item=BLANK, count=4, lot="H7", holes=holes(either_shop), wall=0.5 * INCH)
    done = arrivals.receive(by("1"), good, arrival=1)
    assert done["said"] == (
        f"4 x {BLANK} taken in, lot H7: as ordered; 2 still to come on Mon 30 Nov, as arrival 6"
    )
    assert arrivals.receive(by("1"), good, arrival=1) == done
    with either_shop.book.reading() as reads:
        line = reads.lines(BLANK, limit=1)[0]
        assert line.facts["wall_m"] == pytest.approx(0.5 * INCH)
        assert len(line.facts["holes_m"]) == len(holes(either_shop))
        assert reads.balance(BLANK) == type(reads.balance(BLANK))(item=BLANK, on_hand=9, reserved=0, arriving=2)
    with pytest.raises(EntryError, match=r"arrival 1 has come already"):
        arrivals.receive(by("2"), good, arrival=1)
    with pytest.raises(EntryError, match=r"arrival 2 is of something else"):
        arrivals.receive(by("3"), good, arrival=2)


def test_what_fails_is_not_racked_but_kept_as_refused_with_its_reason(shop: Desk) -> None:
    arrivals = Arrivals(shop)
    new = arrivals.order_in(by("o"), STICK, 3, date(2026, 11, 16), supplier="the dealer")["arrival"]
    thin = Delivery(item=STICK, count=3, wall=0.188 * INCH)
    done = arrivals.receive(by("r"), thin, arrival=new, rest=date(2026, 11, 20))
    assert done["racked"] == 0 and done["looks_like"] == ["tube 3 x 3 x 3/16"]
    assert "3 still to come on Fri 20 Nov" in done["said"]
    with shop.book.reading() as reads:
        assert reads.balance(STICK).on_hand == 2 and reads.get(r.Arrival, new).state == "cancelled"
    assert "it measures as tube 3 x 3 x 3/16" in Answers(shop).refused()[0].note
    arrivals.receive(by("u"), Delivery(item="skid shoe", count=2, bad="bent"))
    assert "refused, 2 of 2: skid shoe: sent back. bent" in Answers(shop).refused()[0].note


def test_a_photo_of_the_tag_is_kept_beside_the_line(shop: Desk) -> None:
    done = Arrivals(shop).receive(
        by("1"), Delivery(item="skid shoe", count=2), photo=(b"a photo", "tag.jpg", "image/jpeg")
    )
    with shop.book.reading() as reads:
        assert [a.note for a in reads.attached("ledger", done["line"])] == ["tag"]


def test_scrap_and_count_name_who_loses_and_a_line_is_undone_with_its_reason(either_shop: Desk) -> None:
    room, counting = Stockroom(either_shop), Counting(either_shop)
    room.reserve(by("1"), "418K")
    done = counting.scrap(by("2"), CYLINDER, 1, "dropped")
    assert done["said"] == f"1 x {CYLINDER} scrapped: dropped; 418K loses its reservation of 1"
    with either_shop.book.reading() as reads:
        number = reads.lines(CYLINDER, limit=1)[0].id
    undone = counting.reverse(by("3"), number, "was the small one")
    assert f"line {number} (scrap 1 x {CYLINDER}) is undone by line" in undone["said"]
    for wrong, said in ((number, "reversed already"), (number + 1, "reversal itself"), (9999, "no such line")):
        with pytest.raises(PlowwrightError, match=said):
            counting.reverse(by(f"w{wrong}"), wrong, "again")
    with pytest.raises(EntryError, match="says why"):
        counting.reverse(by("4"), number, " ")
    with pytest.raises(EntryError, match=r"only 8 on hand"):
        counting.scrap(by("5"), "skid shoe", 9, "rust")
    assert check(either_shop.book).holds


def test_a_count_puts_the_book_right_unless_it_has_moved_since(either_shop: Desk) -> None:
    counting = Counting(either_shop)
    done = counting.count(by("1"), {(BLANK, ""): 3, ("skid shoe", ""): 8}, seen={(BLANK, ""): 5})
    assert done["said"] == f"2 rows counted, 1 off: {BLANK}: book 5, counted 3, 2 fewer"
    with pytest.raises(EntryError, match=r"the book has moved from 5 to 3 since this sheet was made"):
        counting.count(by("2"), {(BLANK, ""): 4}, seen={(BLANK, ""): 5})
    with pytest.raises(EntryError, match=r"nothing was counted"):
        counting.count(by("3"), {})
    with either_shop.book.reading() as reads:
        assert reads.balance(BLANK).on_hand == 3


def test_a_drop_gets_the_next_free_tag_and_lies_in_the_rack(shop: Desk) -> None:
    counting = Counting(shop)
    done = counting.tag(by("1"), "tube 3 x 3 x 1/4", 40.3 * INCH)
    assert done["tag"] == "R-119" and done["item"] == "remnant of tube 3 x 3 x 1/4, 40-1/4 in"
    lying = next(one for one in shop.rack.remnants if one.tag == "R-119")
    assert lying.length == pytest.approx(40.3 * INCH)
    with pytest.raises(EntryError, match=r"hangs on another remnant.*R-112"):
        counting.tag(by("2"), "tube 3 x 3 x 1/4", 1.0, tag="R-112")


def test_two_who_want_the_last_cylinder_get_one_and_one_plain_answer(either_shop: Desk) -> None:
    got: list[str] = []
    refused: list[str] = []
    start = threading.Barrier(2)
    deposit_in(either_shop, "418K", "421M")
    either_shop.counter.wants()

    def take(order: str) -> None:
        start.wait()
        try:
            Stockroom(either_shop).take(hand("D.V.", f"take {order}"), order, CYLINDER)
            got.append(order)
        except EntryError as fault:
            refused.append(fault.what)

    writers = [threading.Thread(target=take, args=(order,)) for order in ("418K", "421M")]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    assert len(got) == 1 and refused == ["only 0 on hand"]
    assert check(either_shop.book).holds


def test_what_to_buy_says_by_when_with_the_closed_day_left_out(shop: Desk) -> None:
    rows = {row.item: row for row in Answers(shop).to_buy()}
    assert CYLINDER not in rows, "one comes on 8 December, and ordered today none comes before the 17th"
    assert rows["crossover relief block"].count == 2
    assert rows["crossover relief block"].comes == date(2026, 12, 3), "not the 2nd: the shop is closed on the 26th"


def test_every_item_answers_and_an_unknown_one_names_near_ones(shop: Desk) -> None:
    answers = Answers(shop)
    for row in answers.items():
        assert answers.item(row.item).now.on_hand == row.on_hand
    with pytest.raises(NotFoundError, match="skid shoe"):
        answers.item("skid sho")
    assert [row.item for row in answers.items("6 x 1/2 blank 90")] == [BLANK]


def test_plain_files_answer_the_same_questions_and_write_nothing(demo_dir: object) -> None:
    desk = Desk.demo()
    told = {t.short.want.order for t in Answers(desk).short()}
    assert {"423P", "431G", "421M"} <= told
    assert Answers(desk).item(BLANK).now.on_hand == 5
    with pytest.raises(NotFoundError, match="no records are open here"):
        Counting(desk).scrap(hand("R.K."), "skid shoe", 1, "bent")


def test_items_at_their_reorder_point_are_named_by_what_was_really_issued(shop: Desk) -> None:
    room = Stockroom(shop)
    deposit_in(shop, "421M")
    for number in ("418K", "421M", "420A"):
        room.take(by(number), number)
    found = {one.item: one for one in Answers(shop).to_refill()}
    assert CYLINDER not in found, "three of them are on their way"
    assert found["crossover relief block"].left == 4 == found["crossover relief block"].point
    one = Answers(shop).item("crossover relief block").use
    assert one is not None and one.most == 3 and one.text.endswith("used 0.1 a week over 26 weeks, 3 in the busiest")
