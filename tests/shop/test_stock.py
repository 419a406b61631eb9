"""The stock ledger: nothing below zero, nothing promised twice, nothing edited."""

from __future__ import annotations

import random
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.errors import EntryError, NotFoundError
from plowwright.shop.stock import add, add_all, loss, reversal, take
from plowwright.shop.stock_book import Arriving, Entry, LineKind, applied, balance, overdrawn, standing
from plowwright.shop.stock_counting import count_lines, count_sheet
from plowwright.shop.stock_dates import dated

DAY = date(2026, 11, 11)
EDGE = "flat 6 x 1/2 blank, 90 in"
SIX = Arriving(item=EDGE, count=6, due=date(2026, 11, 30))


def later(days: int) -> date:
    return DAY + timedelta(days=days)


def line(kind: LineKind, count: int, **more: object) -> Entry:
    return Entry(**{"kind": kind, "item": EDGE, "count": count, "day": DAY, **more})  # type: ignore[arg-type]


FIVE = add((), line("receive", 5))


def test_a_balance_is_the_sum_of_its_lines() -> None:
    book = add_all((), [line("receive", 5), line("issue", 2), line("return", 1), line("scrap", 1), line("count", -1)])
    assert balance(book, EDGE).on_hand == 2
    assert [one.id for one in book] == [1, 2, 3, 4, 5]


def test_nothing_is_taken_that_is_not_there() -> None:
    with pytest.raises(EntryError, match=r"only 5 on hand.*given: issue 6.*limit: 5"):
        add(FIVE, line("issue", 6))


def test_a_lot_does_not_lend_to_another_lot() -> None:
    book = add(add((), line("receive", 3, lot="H1")), line("receive", 3, lot="H2"))
    with pytest.raises(EntryError, match=r"only 3 on hand, lot H1"):
        add(book, line("issue", 4, lot="H1"))


def test_what_is_reserved_for_friday_cannot_be_sold_today() -> None:
    book = add(FIVE, line("reserve", 5, order="420A", needed=later(9)))
    with pytest.raises(EntryError, match=r"5 would be reserved up to 20 Nov, and only 4 will be there.*420A"):
        add(book, line("issue", 1))


def test_what_arrives_too_late_does_not_serve_an_earlier_day() -> None:
    book = add(FIVE, line("reserve", 5, order="420A", needed=later(2)))
    with pytest.raises(EntryError, match=r"6 would be reserved up to 27 Nov, and only 5"):
        add(book, line("reserve", 1, order="427S", needed=later(16)), [SIX])
    assert balance(add(book, line("reserve", 1, order="428C", needed=later(20)), [SIX]), EDGE).reserved == 6


def test_two_people_cannot_take_the_last_one() -> None:
    book = add((), line("receive", 1))
    first = add_all(book, take(balance(book, EDGE), 1, order="420A", day=DAY))
    with pytest.raises(EntryError, match=r"Somebody may have just taken it"):
        add(first, line("issue", 1, order="421M"))
    with pytest.raises(EntryError, match=r"only 0 on hand"):
        take(balance(first, EDGE), 1, order="421M", day=DAY)


def test_two_people_cannot_reserve_the_last_one() -> None:
    book = add(add((), line("receive", 1)), line("reserve", 1, order="420A", needed=later(1)))
    with pytest.raises(EntryError, match=r"2 would be reserved up to 13 Nov, and only 1"):
        add(book, line("reserve", 1, order="421M", needed=later(2)))


def test_an_order_that_takes_its_pieces_gives_its_reservation_back() -> None:
    book = add(FIVE, line("reserve", 2, order="420A", needed=later(9)))
    lines = take(balance(book, EDGE), 2, order="420A", day=DAY)
    assert [(one.kind, one.count) for one in lines] == [("release", 2), ("issue", 2)]
    now = balance(add_all(book, lines), EDGE)
    assert (now.on_hand, now.reserved) == (3, 0)


def test_a_mistake_is_undone_by_a_new_line_once() -> None:
    book = add(FIVE, line("receive", 50))
    undone = add(book, reversal(book, 2, day=DAY, reason="5 was meant, typed twice"))
    assert balance(undone, EDGE).on_hand == 5
    assert undone[:2] == book
    with pytest.raises(EntryError, match=r"line 2 was reversed already, by line 3"):
        reversal(undone, 2, day=DAY, reason="again")
    with pytest.raises(EntryError, match=r"line 3 is a reversal itself"):
        reversal(undone, 3, day=DAY, reason="no")
    with pytest.raises(NotFoundError, match=r"no such line"):
        reversal(undone, 9, day=DAY, reason="no")
    with pytest.raises(EntryError, match=r"says why"):
        reversal(book, 2, day=DAY, reason=" ")


def test_a_receipt_whose_pieces_are_gone_cannot_be_reversed() -> None:
    book = add(FIVE, line("issue", 3))
    with pytest.raises(EntryError, match=r"only 2 on hand"):
        add(book, reversal(book, 1, day=DAY, reason="wrong pieces"))


def test_a_line_that_is_no_true_opposite_is_refused() -> None:
    with pytest.raises(EntryError, match=r"does not undo line 1.*receive -4.*receive -5"):
        add(FIVE, line("receive", -4, reverses=1, reason="miscounted"))


def test_lines_without_sense_are_refused_with_the_way_out() -> None:
    with pytest.raises(EntryError, match=r"needs the day"):
        add(FIVE, line("reserve", 1, order="420A"))
    with pytest.raises(EntryError, match=r"only a count line or a reversal may be negative.*issue -1"):
        add(FIVE, line("issue", -1))
    with pytest.raises(EntryError, match=r"no pieces"):
        add(FIVE, line("issue", 0))
    with pytest.raises(EntryError, match=r"only 0 reserved for 420A"):
        add(FIVE, line("release", 1, order="420A", needed=later(3)))


def test_a_blank_found_cracked_takes_it_from_the_order_that_needs_it_last() -> None:
    book = add_all(FIVE, [line("reserve", 3, order="420A", needed=later(9)),
                          line("reserve", 2, order="427S", needed=later(16))])  # fmt: skip
    lines = loss(balance(book, EDGE), [], line("scrap", 1, reason="cracked at a hole"))
    assert [(one.kind, one.order, one.count) for one in lines] == [("release", "427S", 1), ("scrap", None, 1)]
    now = balance(add_all(book, lines), EDGE)
    assert (now.on_hand, now.reserved) == (4, 4)


def test_the_count_sheet_puts_the_book_right_and_names_who_loses() -> None:
    book = add(FIVE, line("reserve", 5, order="427S", needed=later(16)))
    sums = [balance(book, EDGE)]
    rows = count_sheet(sums, {(EDGE, ""): 3})
    assert rows[0].text == f"{EDGE}: book 5, counted 3, 2 fewer"
    lines = count_lines(sums, rows, day=DAY, who="M.S.")
    assert [(one.kind, one.count, one.order) for one in lines] == [("release", 2, "427S"), ("count", -2, None)]
    assert balance(add_all(book, lines), EDGE).on_hand == 3
    assert count_sheet(sums)[0].text == f"{EDGE}: book 5, not counted"
    with pytest.raises(EntryError, match=r"0 or more"):
        count_sheet(sums, {(EDGE, ""): -1})


def test_two_short_lots_of_one_item_take_from_the_reservations_only_what_both_lack() -> None:
    book = add_all((), [line("receive", 3, lot="H1"), line("receive", 3, lot="H2"),
                        line("reserve", 5, order="427S", needed=later(16))])  # fmt: skip
    sums = [balance(book, EDGE)]
    lines = count_lines(sums, count_sheet(sums, {(EDGE, "H1"): 2, (EDGE, "H2"): 1}), day=DAY, who="M.S.")
    assert [(one.kind, one.count) for one in lines] == [("count", -1), ("release", 2), ("count", -2)]
    now = balance(add_all(book, lines), EDGE)
    assert (now.on_hand, now.reserved) == (3, 3)


def test_available_by_a_day_is_on_hand_and_arriving_less_needed() -> None:
    book = add_all(FIVE, [line("reserve", 2, order="420A", needed=later(9)),
                          line("reserve", 3, order="427S", needed=later(19))])  # fmt: skip
    days = dated(balance(book, EDGE), [SIX], today=DAY)
    assert [days.available(d) for d in (DAY, later(9), later(18), later(19), later(40))] == [5, 3, 3, 6, 6]
    assert days.free(DAY) == 3
    assert days.first_free(4) == date(2026, 11, 30)
    assert days.first_free(7) is None


def test_a_part_that_slips_shows_whose_reservation_no_longer_stands() -> None:
    book = add(FIVE, line("reserve", 5, order="420A", needed=later(9)))
    book = add(book, line("reserve", 4, order="428C", needed=later(20)), [SIX])
    slipped = Arriving(item=EDGE, count=6, due=later(30))
    found = overdrawn(balance(book, EDGE), [slipped])
    assert found is not None
    assert (found.day, found.held, found.there, found.orders) == (later(20), 9, 5, ("420A", "428C"))


KINDS = st.sampled_from(
    ["receive", "reserve", "release", "issue", "return", "scrap", "count", "reverse", "take", "loss"]
)
EVENT = st.tuples(KINDS, st.integers(1, 4), st.integers(0, 12), st.sampled_from(["420A", "421M", "427S"]),
                  st.sampled_from(["", "H1"]))  # fmt: skip
COMING = (Arriving(item=EDGE, count=2, due=later(4)), Arriving(item=EDGE, count=3, due=later(9)))


def play(book: tuple[Entry, ...], event: tuple[str, int, int, str, str]) -> tuple[Entry, ...]:
    kind, count, days, order, lot = event
    try:
        if kind == "reverse":
            return add(book, reversal(book, days + 1, day=DAY, reason="wrong"), COMING)
        if kind == "take":
            return add_all(book, take(balance(book, EDGE), count, order=order, day=DAY), COMING)
        if kind == "loss":
            return add_all(book, loss(balance(book, EDGE), COMING, line("scrap", count, lot=lot)), COMING)
        held = {"needed": later(days), "order": order} if kind in ("reserve", "release") else {"lot": lot}
        signed = -count if kind == "count" and days % 2 else count
        return add(book, line(kind, signed, **held), COMING)  # type: ignore[arg-type]
    except (EntryError, NotFoundError):
        return book


@given(st.lists(EVENT, max_size=40))
def test_after_any_history_nothing_is_below_zero_and_reserved_never_above_what_will_be_there(
    events: list[tuple[str, int, int, str, str]],
) -> None:
    book: tuple[Entry, ...] = ()
    for event in events:
        before, book = book, play(book, event)
        assert book[: len(before)] == before
        now = balance(book, EDGE)
        assert all(n > 0 for n in now.lots.values())
        assert all(one.count > 0 for one in now.held)
        for day in range(14):
            held = sum(one.count for one in now.held if one.needed <= later(day))
            there = now.on_hand + sum(c.count for c in COMING if c.due <= later(day))
            assert held <= there


@given(st.lists(EVENT, max_size=30))
def test_sums_kept_beside_the_ledger_are_those_of_the_ledger(events: list[tuple[str, int, int, str, str]]) -> None:
    book: tuple[Entry, ...] = ()
    for event in events:
        book = play(book, event)
    now = standing(EDGE, {}, [])
    for one in book:
        now = applied(now, one)
    assert now == balance(book, EDGE)


@given(st.lists(EVENT, max_size=30), st.integers(0, 1_000))
def test_sums_agree_whatever_order_the_lines_are_read_in(
    events: list[tuple[str, int, int, str, str]], seed: int
) -> None:
    book: tuple[Entry, ...] = ()
    for event in events:
        book = play(book, event)
    mixed = list(book)
    random.Random(seed).shuffle(mixed)
    assert balance(mixed, EDGE) == balance(book, EDGE)


@given(st.lists(EVENT, max_size=20), st.permutations(["420A", "421M", "427S"]))
def test_of_several_who_want_the_last_ones_only_as_many_get_one_as_there_are(
    events: list[tuple[str, int, int, str, str]], people: list[str]
) -> None:
    book: tuple[Entry, ...] = ()
    for event in events:
        book = play(book, event)
    free = dated(balance(book, EDGE), COMING, today=DAY).free(DAY)
    got = 0
    for _ in range(free + 1):
        for who in people:
            after = play(book, ("issue", 1, 0, who, ""))
            after = after if after != book else play(book, ("issue", 1, 0, who, "H1"))
            got += after != book
            book = after
    assert got == free
