"""What an order reserves at its release, and why somebody goes short."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from plowwright.shop.buying import working_days_before
from plowwright.shop.stock import forced
from plowwright.shop.stock_book import Arriving, Balance, Entry, applied, overdrawn, standing
from plowwright.shop.stock_buying import use_of, working_days_after
from plowwright.shop.stock_causes import cause
from plowwright.shop.stock_edges import needed_by
from plowwright.shop.stock_holding import hold, let_go
from plowwright.shop.stock_shortages import Supply, Want, share

DAY = date(2026, 11, 11)
THANKS = date(2026, 11, 26)


def later(days: int) -> date:
    return DAY + timedelta(days=days)


def want(order: str, days: int, *serves: str, count: int = 1) -> Want:
    return Want(order=order, what="edge", day=later(days), serves=serves, count=count)


def there(item: str, count: int, *held: tuple[str, date, int]) -> Balance:
    return standing(item, {"": count}, held)


def test_an_order_reserves_of_the_item_that_wastes_least_and_then_of_the_next() -> None:
    found = hold([want("420A", 6, "90", "102", count=3)], {"90": there("90", 2), "102": there("102", 4)}, [], today=DAY)
    assert [(e.item, e.count, e.needed) for e in found.lines] == [("90", 2, later(6)), ("102", 1, later(6))]
    assert not found.lacking and found.pieces == 3


def test_a_piece_that_comes_too_late_is_not_reserved_and_its_day_is_said() -> None:
    found = hold([want("420A", 6, "90", count=2)], {"90": there("90", 1)},
                 [Arriving(item="90", count=1, due=later(9))], today=DAY)  # fmt: skip
    assert found.pieces == 1
    assert found.lacking[0].text == "edge by Tue 17 Nov: free on Fri 20 Nov"
    none = hold([want("420A", 6, "90")], {}, [], today=DAY)
    assert none.lacking[0].text == "edge by Tue 17 Nov: none is on its way"


def test_what_was_reserved_before_is_not_reserved_again() -> None:
    now = there("90", 5, ("420A", later(6), 2))
    assert hold([want("420A", 6, "90", count=2)], {"90": now}, [], today=DAY).lines == ()
    assert hold([want("420A", 6, "90", count=3)], {"90": now}, [], today=DAY).pieces == 1


def test_what_is_reserved_for_a_later_day_keeps_an_earlier_order_from_the_last_one() -> None:
    found = hold([want("421M", 2, "90")], {"90": there("90", 1, ("420A", later(6), 1))}, [], today=DAY)
    assert not found.lines and found.lacking[0].first is None


def test_an_order_called_off_gives_back_all_it_had_of_every_item() -> None:
    lines = let_go([there("90", 5, ("420A", later(6), 2), ("421M", later(7), 1)), there("102", 1, ("420A", DAY, 1))],
                   "420A", today=DAY, reason="called off")  # fmt: skip
    assert [(e.kind, e.item, e.count) for e in lines] == [("release", "90", 2), ("release", "102", 1)]


def test_an_arrival_that_slips_frees_those_who_need_theirs_last() -> None:
    now = there("90", 1, ("420A", later(6), 1), ("428C", later(20), 2))
    lines = forced(now, [Arriving(item="90", count=2, due=later(30))], day=DAY, reason="slipped")
    assert [(e.order, e.count, e.reason) for e in lines] == [("428C", 2, "slipped")]


@given(st.lists(st.tuples(st.sampled_from("AB"), st.integers(0, 8), st.integers(1, 3)), max_size=6),
       st.lists(st.tuples(st.sampled_from(["90", "102"]), st.integers(0, 8), st.integers(1, 3)), max_size=4),
       st.integers(0, 4), st.integers(0, 4))  # fmt: skip
def test_whatever_orders_reserve_one_after_the_other_no_day_is_overdrawn(
    asked: list[tuple[str, int, int]], coming: list[tuple[str, int, int]], first: int, second: int
) -> None:
    on_way = [Arriving(item=item, count=count, due=later(day)) for item, day, count in coming]
    now = {"90": there("90", first), "102": there("102", second)}
    for order, day, count in asked:
        found = hold([want(order, day, "90", "102", count=count)], now, on_way, today=DAY)
        for line in found.lines:
            now[line.item] = applied(now[line.item], line)
        for stands in now.values():
            assert overdrawn(stands, on_way) is None


def test_a_cause_says_who_gets_what_there_is_and_what_comes() -> None:
    wants = [Want(order=o, what="cylinder", day=later(d), serves=("cylinder",)) for o, d in (("418K", 0), ("421M", 6))]
    supplies = [Supply(item="cylinder", count=1, day=DAY), Supply(item="cylinder", count=3, day=later(27))]
    shared = share(wants, supplies)
    said = cause(shared.short[0], shared, supplies, today=DAY)
    assert said == "1 on hand for 418K (11 Nov), 3 come on Tue 08 Dec"
    bare = share(wants, [])
    assert cause(bare.short[0], bare, [], today=DAY) == "none on hand and none on its way"


def test_what_is_reserved_goes_to_its_order_though_another_needs_one_sooner() -> None:
    early = want("418K", 0, "90")
    held = Want(order="421M", what="edge", day=later(6), serves=("90",), held=True)
    short = share([early, held], [Supply(item="90", count=1, day=DAY)]).short
    assert [one.want.order for one in short] == ["418K"]


def test_days_the_shop_is_closed_are_no_working_days() -> None:
    closed = (THANKS,)
    assert working_days_before(date(2026, 11, 27), 1, closed=closed) == date(2026, 11, 25)
    assert working_days_after(date(2026, 11, 25), 1, closed=closed) == date(2026, 11, 27)
    assert needed_by(date(2026, 11, 30), 2, today=DAY, closed=closed) == date(2026, 11, 25)
    assert needed_by(date(2026, 11, 30), 2, today=DAY) == THANKS


def test_a_reorder_point_comes_from_what_was_really_issued() -> None:
    issued = [(DAY - timedelta(days=7 * week), 2) for week in range(10)] + [(DAY - timedelta(days=3), 3)]
    found = use_of("skid shoe", issued, today=DAY, weeks=10, lead_days=10, left=7)
    assert found is not None
    assert (found.per_week, found.most, found.point, found.due) == (2.3, 5, 8, True)
    assert use_of("skid shoe", [(DAY, 2), (DAY, -2)], today=DAY, weeks=10, lead_days=5, left=0) is None


def test_lines_of_the_past_beyond_the_weeks_looked_at_do_not_count() -> None:
    old = Entry(kind="issue", item="x", count=9, day=DAY - timedelta(days=400))
    assert use_of("x", [(old.day, old.count)], today=DAY, weeks=26, lead_days=5, left=0) is None
