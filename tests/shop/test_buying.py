"""Buying advice for sticks."""

from __future__ import annotations

from datetime import date
from math import inf

import pytest

from plowwright.errors import PlanInputError
from plowwright.shop.buying import compare_lengths, price_break, to_order, working_days_before
from plowwright.shop.cutting import plan
from plowwright.shop.cutting_model import Piece, RemnantRule, Stick
from plowwright.units.constants import INCH

KERF, TRIM, RULE = INCH / 8, INCH / 2, RemnantRule(least=inf)
PIECES = [Piece(stock="tube", length=100 * INCH, tag=f"{o}-{n}", order=o) for o in ("421M", "426B") for n in range(4)]
STICK = Stick(stock="tube", length=240 * INCH, price=100.0, on_hand=1)
DAYS = {"421M": date(2026, 11, 20), "426B": date(2026, 12, 2)}


def test_what_the_rack_lacks_is_ordered_in_time_for_the_saw() -> None:
    found = plan(PIECES, [STICK], KERF, TRIM, RULE, 5.0)
    (line,) = to_order(found, saw_days=DAYS, lead_days={"tube": 5}, today=date(2026, 11, 11))
    assert (line.count, line.cost) == (3, 300.0)
    assert line.needed_by == date(2026, 11, 20)
    assert (line.order_by, line.late) == (date(2026, 11, 13), False)
    assert "order by 13 Nov for the saw on 20 Nov" in line.in_words()


def test_an_order_that_comes_too_late_says_so() -> None:
    found = plan(PIECES, [STICK], KERF, TRIM, RULE, 5.0)
    (line,) = to_order(found, saw_days=DAYS, lead_days={"tube": 10}, today=date(2026, 11, 11))
    assert line.late and line.in_words().endswith("too late for that day")


def test_nothing_is_ordered_when_the_rack_holds_enough() -> None:
    found = plan(PIECES, [Stick(stock="tube", length=240 * INCH, price=100.0, on_hand=9)], KERF, TRIM, RULE, 5.0)
    assert to_order(found, saw_days=DAYS, lead_days={}, today=date(2026, 11, 11)) == ()


def test_a_section_without_lead_time_is_refused() -> None:
    found = plan(PIECES, [STICK], KERF, TRIM, RULE, 5.0)
    with pytest.raises(PlanInputError, match=r"no lead time is known .* \(given: tube\)"):
        to_order(found, saw_days=DAYS, lead_days={"angle": 3}, today=date(2026, 11, 11))


def test_working_days_skip_the_weekend() -> None:
    assert working_days_before(date(2026, 11, 16), 1) == date(2026, 11, 13)


def test_twenty_and_twenty_four_feet_are_compared_on_the_same_pieces() -> None:
    pieces = [Piece(stock="tube", length=95 * INCH, tag=f"p{n}") for n in range(6)]
    sticks = [
        Stick(stock="tube", length=240 * INCH, price=100.0),
        Stick(stock="tube", length=288 * INCH, price=115.0),
    ]
    found = compare_lengths(pieces, sticks, KERF, TRIM, RULE, 6.0)
    by_lengths = {tuple(round(x / INCH) for x in c.lengths): c.plan.cost for c in found}
    assert by_lengths == {(240,): 300.0, (288,): 230.0, (240, 288): 230.0}
    assert found[0].in_words() == "24 ft: 230.00"


def test_a_price_break_pays_only_while_the_lot_does_not_lie_too_long() -> None:
    quick = price_break(price=100, break_price=92, break_count=40, needed=10, used_per_year=60, rate=0.12)
    slow = price_break(price=100, break_price=99, break_count=40, needed=0, used_per_year=10, rate=0.12)
    assert quick.gain == pytest.approx(320 - 82.8) and "pays" in quick.in_words()
    assert slow.gain < 0 and "does not pay" in slow.in_words()
    with pytest.raises(PlanInputError, match="a price break needs prices"):
        price_break(price=100, break_price=99, break_count=0, needed=0, used_per_year=10, rate=0.12)
