"""Steps of an order, its change notes, and copies of an earlier blade."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

import pytest

from plowwright.blade import spec as specs
from plowwright.blade.build import work_out
from plowwright.errors import EntryError
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.orders import STATES, Standing, advance, money, next_step, step_back
from plowwright.shop.orders_changes import after_changes, change, copied

DAY = date(2026, 11, 11)
READY = Standing(
    number="420A", state="quote", cents=281_900, deposit_cents=112_760, paid_cents=112_760, build="1a2b-3c4d",
    valid_until=date(2026, 12, 1), promised=True,
)  # fmt: skip


def test_an_order_goes_from_quote_to_loaded_when_every_gate_is_open() -> None:
    now = replace(READY, scale="holds", matched=True, cured=True, paid_cents=281_900)
    for to in STATES[2:]:
        now = replace(now, state=advance(now, to, DAY))
    assert now.state == "loaded"
    assert next_step(now, DAY) is None


def test_no_state_is_jumped_over() -> None:
    with pytest.raises(EntryError, match=r"420A is at quote.*given: released.*the next is order"):
        advance(READY, "released", DAY)


def test_a_quote_that_ran_out_does_not_become_an_order() -> None:
    with pytest.raises(EntryError, match=r"ran out on 01 Dec 2026.*quote it again at today's prices"):
        advance(READY, "order", date(2026, 12, 2))
    assert advance(READY, "order", date(2026, 12, 1)) == "order"


def test_nothing_is_released_before_the_deposit_is_in() -> None:
    short = replace(READY, state="order", paid_cents=100_000)
    with pytest.raises(EntryError, match=r"USD 127.60 of the deposit is missing.*USD 1,000.*at least USD 1,127.60"):
        advance(short, "released", DAY)


def test_an_order_on_hold_is_not_released_and_says_why() -> None:
    held = replace(READY, number="425V", state="order", hold="over the machine's load")
    with pytest.raises(EntryError, match=r"425V cannot be released yet: on hold: over the machine's load"):
        advance(held, "released", DAY)


def test_open_questions_keep_steel_uncut() -> None:
    asked = replace(READY, number="422D", state="order", asks=("pin sizes, measured",))
    with pytest.raises(EntryError, match=r"still to be asked: pin sizes, measured"):
        advance(asked, "released", DAY)


def test_a_blade_the_scale_stopped_is_not_weighed_until_it_is_explained() -> None:
    stopped = replace(READY, state="done", scale="stopped")
    with pytest.raises(EntryError, match=r"the scale stopped it"):
        advance(stopped, "weighed", DAY)
    assert advance(replace(stopped, scale="explained"), "weighed", DAY) == "weighed"


def test_a_blade_still_curing_or_unpaid_or_unmatched_is_not_loaded() -> None:
    almost = replace(READY, state="weighed", scale="holds", matched=None, cured=False)
    step = next_step(almost, DAY)
    assert step is not None
    assert not step.open
    assert [gate.title for gate in step.missing] == ["balance", "match", "cure"]
    assert "USD 1,691.40 is still to be paid" in step.missing[0].sentence


def test_the_owners_word_lets_goods_go_before_the_balance() -> None:
    almost = replace(READY, state="weighed", matched=True, cured=True, terms="R.K.: pays by the end of the month")
    assert advance(almost, "loaded", DAY) == "loaded"


def test_spares_are_counted_not_weighed_and_need_no_cure() -> None:
    spares = replace(READY, number="431G", kind="spares", build="", state="done")
    assert advance(spares, "weighed", DAY) == "weighed"
    step = next_step(replace(spares, state="weighed"), DAY)
    assert step is not None
    assert "cure" not in [gate.title for gate in step.gates]


def test_a_step_back_needs_a_reason_and_never_leaves_the_yard_again() -> None:
    weighed = replace(READY, state="weighed")
    assert step_back(weighed, "done", "wrong blade was on the scale") == "done"
    with pytest.raises(EntryError, match=r"needs its reason"):
        step_back(weighed, "done", "")
    with pytest.raises(EntryError, match=r"cannot go back there.*quote"):
        step_back(weighed, "quote", "changed his mind")
    with pytest.raises(EntryError, match=r"has left the yard"):
        step_back(replace(READY, state="loaded"), "done", "came back")


def test_a_change_note_says_price_and_day() -> None:
    note = change("420A", "released", "Markers added.", on=DAY, cents=4_100, promise_was=date(2026, 11, 20),
                  promise=date(2026, 11, 23))  # fmt: skip
    assert note.text == "11 Nov 2026: Markers added. USD 41 more; 3 days later, Mon 23 Nov; waits for a yes"
    assert note.after_release


def test_a_change_counts_once_the_customer_said_yes() -> None:
    was = datetime(2026, 11, 20, 7)
    one = change("420A", "order", "markers added", on=DAY, cents=4_100, promise_was=was)
    two = change("420A", "order", "no shoes", on=DAY, cents=-9_400, promise_was=was, promise=datetime(2026, 11, 19, 7))
    now = after_changes(281_900, was, [replace(one, settled=True), two])
    assert (now.cents, now.if_all, now.promise, now.unsettled) == (286_000, 276_600, was, ("no shoes",))
    assert after_changes(281_900, was, [replace(two, settled=True)]).promise == datetime(2026, 11, 19, 7)


def test_a_quote_is_not_changed_but_made_anew_and_a_loaded_blade_is_refitted() -> None:
    with pytest.raises(EntryError, match=r"Make a new quote"):
        change("420A", "quote", "markers added", on=DAY)
    with pytest.raises(EntryError, match=r"A change now is a refit"):
        change("420A", "loaded", "markers added", on=DAY)


def test_the_same_as_last_time_shows_what_differs_and_asks(demo_rules: Rulebook) -> None:
    entry = {"series": "basalt", "width": "90 in", "mount": "loader", "carrier": "skid steer", "hoses": "flat-face",
             "outlets": "left", "extras": ["shoes"]}  # fmt: skip
    then = work_out(specs.from_dict(entry), demo_rules, level=0)
    now = work_out(specs.from_dict({**entry, "mount": "pin-on", "carrier": "tractor", "hoses": "poppet"}), demo_rules,
                   level=0)  # fmt: skip
    copy = copied("B90-22-017", then, now, custom=["mount plate moved 2 in to the left"], machine_then="K7",
                  machine_now="K4")  # fmt: skip
    assert {"mount", "carrier", "hoses"} <= {row.what for row in copy.rows}
    asked = {ask.key: ask.ask for ask in copy.asks}
    assert asked["custom 1"] == "Is this wanted again: mount plate moved 2 in to the left?"
    assert asked["machine"] == "Is it for the same machine, K7?"
    assert "mount sizes" in asked
    assert [ask.key for ask in copy.unanswered(["custom 1", "machine"])] == ["mount sizes"]


def test_a_true_copy_for_the_same_machine_asks_nothing(demo_rules: Rulebook) -> None:
    spec = specs.from_dict({"series": "flint", "width": "84 in", "mount": "loader", "carrier": "skid steer",
                            "hoses": "flat-face"})  # fmt: skip
    build = work_out(spec, demo_rules, level=0)
    copy = copied("F84-21-063", build, build, machine_then="K6", machine_now="K6")
    assert copy.rows == ()
    assert copy.asks == ()


def test_money_is_read_in_whole_and_parts() -> None:
    assert (money(124_450), money(-4_100), money(5)) == ("USD 1,244.50", "-USD 41", "USD 0.05")
