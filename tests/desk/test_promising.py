"""What we promised, at the desk of the invented shop: the plan kept, asked, and mended when something happens."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from types import SimpleNamespace

import pytest

from plowwright.desk.acting import Hand, hand
from plowwright.desk.crew_kept import mark_of
from plowwright.desk.crew_rows import Row, rows_of
from plowwright.desk.crew_standing import Standing, standing_of
from plowwright.desk.desk import Desk
from plowwright.desk.order_more import more_of
from plowwright.desk.promising import Made, Promising, Question
from plowwright.errors import EntryError, NotFoundError, PlanInputError
from plowwright.store import records as r

STEPS = 30


def made_of(desk: Desk, standing: Standing | None = None) -> Made:
    return Promising(desk).plan(standing, steps=STEPS)


def keep(desk: Desk, made: Made, key: str = "form 1") -> dict[str, object]:
    return Promising(desk).keep(Hand(who="R.K.", key=key), made)


def test_an_order_at_work_keeps_its_friday_at_seven_though_no_plan_was_kept() -> None:
    asked = Promising(Desk.demo()).ask(Question(on=datetime(2026, 11, 13, 7), order="418K"))
    assert asked.answer.word == "yes" and asked.answer.plan is not None
    assert asked.answer.plan.promise("418K").done <= datetime(2026, 11, 13, 7) and not asked.answer.pushed


def test_423p_is_shown_late_with_its_cause(shop: Desk) -> None:
    promise = made_of(shop).plan.promise("423P")
    assert promise.mark == "late" and promise.cause == "assemble waits for its edge, 108 in, due Tue 17 Nov"
    assert promise.done.date() == date(2026, 11, 17)


def test_425v_on_hold_and_the_quote_432n_are_not_planned_and_say_why(shop: Desk) -> None:
    made = made_of(shop)
    left = {one.number: one.why for one in made.entry.left_out}
    assert set(left) == {"425V", "432N"}
    assert left["425V"].startswith("on hold") and left["432N"].startswith("only a quote")
    assert not {"425V", "432N"} & {p.job for p in made.plan.promises}


def test_418k_is_ready_for_friday_at_seven(shop: Desk) -> None:
    promise = made_of(shop).plan.promise("418K")
    assert promise.due == datetime(2026, 11, 13, 7) and promise.done <= promise.due and promise.mark != "late"
    weld = next(a for a in made_of(shop).plan.assignments if (a.job, a.operation) == ("418K", "fit and weld"))
    assert weld.person == "D.V." and weld.end == datetime(2026, 11, 11, 11)


def test_419t_still_cures_and_cannot_be_strapped_before_its_time(shop: Desk) -> None:
    """Painted Tuesday at three, 36 hours to strap: not before three at night on Thursday (*common practice*)."""
    painted = datetime(2026, 11, 10, 15)
    assert made_of(shop).plan.promise("419T").done >= painted + timedelta(hours=36)
    answer = Promising(shop).ask(Question(on=datetime(2026, 11, 12, 2), order="419T"), steps=STEPS).answer
    assert answer.word == "no" and answer.soonest >= painted + timedelta(hours=36)


def test_432ns_wish_is_shown_impossible_with_the_first_day_there_is(shop: Desk) -> None:
    found = Promising(shop).ask(Question(on=date(2026, 12, 15), order="432N"), steps=STEPS)
    assert found.word == "no" and "Proved" in found.answer.why and "its edge, 120 in, due Wed 23 Dec" in found.sentence
    assert found.answer.first is not None and found.answer.first.date() in (date(2026, 12, 23), date(2026, 12, 24))


def test_a_refit_waits_for_its_blade_and_spares_for_nothing_but_hands(shop: Desk) -> None:
    rows = {(a.job, a.operation): a for a in made_of(shop).plan.assignments}
    assert rows["430W", "take in"].begin >= datetime(2026, 12, 1)
    assert rows["431G", "pack"].end <= datetime(2026, 11, 11, 16, 30)


def test_the_same_records_give_the_same_plan(shop: Desk) -> None:
    assert mark_of(made_of(shop).plan) == mark_of(made_of(shop).plan)


def test_a_kept_plan_is_read_back_to_the_minute_and_once_only(shop: Desk) -> None:
    made = made_of(shop)
    first = keep(shop, made)
    assert first["said"] == "Crew plan 1 kept: 13 orders, 423P, 421M late, 0 operations moved."
    assert keep(shop, made) == first
    kept = Promising(shop).kept()
    assert kept is not None and kept.plan == made.plan and (kept.who, kept.state) == ("R.K.", "draft")
    assert {one.number for one in kept.left_out} == {"425V", "432N"}
    with shop.book.reading() as reads:
        assert reads.count(r.Plan, kind="crew") == 1


def test_a_plan_made_before_something_was_written_is_not_kept(shop: Desk) -> None:
    made = made_of(shop)
    with shop.book.command("note", who="D.V.", key="n") as c:
        c.add(r.Customer, name="Z.Z.")
    with pytest.raises(EntryError, match="something was written down since this plan was made"):
        keep(shop, made)
    assert Promising(shop).kept() is None


def test_nothing_is_kept_where_no_records_are_open() -> None:
    desk = Desk.demo()
    made = made_of(desk)
    assert made.plan.promise("423P").mark == "late" and made.plan.promise("418K").mark != "late"
    with pytest.raises(NotFoundError, match="no records are open here"):
        Promising(desk).keep(hand("R.K."), made)


def test_somebody_sick_is_planned_away_and_stays_so_in_the_next_plan(shop: Desk) -> None:
    keep(shop, made_of(shop))
    away = Promising(shop).standing().sick("D.V.", datetime(2026, 11, 12), datetime(2026, 11, 13, 23, 59))
    made = made_of(shop, away)
    assert made.plan.moved
    for one in made.plan.of("D.V."):
        assert not datetime(2026, 11, 12, 6) <= one.begin <= datetime(2026, 11, 13, 20)
    keep(shop, made, "form 2")
    assert Promising(shop).standing() == away
    assert made_of(shop).standing.away == away.away
    back = made_of(shop, Promising(shop).standing().back("D.V."))
    assert back.standing.away == ()


def test_looking_at_what_would_move_writes_nothing(shop: Desk) -> None:
    keep(shop, made_of(shop))
    before = Promising(shop).stamp
    made_of(shop, Promising(shop).standing().late("423P", "edge", date(2026, 11, 24)))
    Promising(shop).ask(Question(on=datetime(2026, 12, 4, 7), order="428C"), steps=STEPS)
    assert Promising(shop).stamp == before


def test_a_part_that_comes_later_moves_its_order_and_is_written_to_it_when_kept(shop: Desk) -> None:
    keep(shop, made_of(shop))
    made = made_of(shop, Promising(shop).standing().late("423P", "edge", date(2026, 11, 24)))
    promise = made.plan.promise("423P")
    assert promise.done.date() == date(2026, 11, 24) and "due Tue 24 Nov" in promise.cause
    assert ("423P", datetime(2026, 11, 17, 17, 30)) in [(n, was) for n, was, _ in made.changed]
    keep(shop, made, "form 2")
    with shop.book.reading() as reads:
        waits = more_of(reads.get(r.Order, "423P").more).waits
    assert [w.on for w in waits] == [date(2026, 11, 24)]


def test_a_cold_shop_makes_paint_cure_longer_and_says_who_is_late_by_it(shop: Desk) -> None:
    keep(shop, made_of(shop))
    made = made_of(shop, replace(Promising(shop).standing(), temperature=10.0))
    assert made.plan.promise("419T").done >= datetime(2026, 11, 10, 15) + timedelta(hours=72)
    assert {p.job for p in made.plan.promises if p.mark == "late"} >= {"418K", "419T"}
    with pytest.raises(PlanInputError, match="paint does not cure by any row"):
        made_of(shop, Standing(temperature=2.0))


def test_a_rush_weighs_more_than_the_others(shop: Desk) -> None:
    weights = {p.job: p.weight for p in made_of(shop, Standing(rush=("428C",))).plan.promises}
    assert weights["428C"] == weights["418K"] == 3.0 and weights["427S"] == 1.0


def test_hours_noted_on_the_floor_are_learned_and_planned_by_only_when_asked_for(shop: Desk) -> None:
    with shop.book.command("hours", who="D.V.", key="h") as c:
        for number in ("418K", "421M", "423P", "425V"):
            order = c.get(r.Order, number)
            more = more_of(order.more).done("fit_and_weld", ended=datetime(2026, 11, 10, 12), by="D.V.")
            c.change(r.Order, number, more=more.as_dict())
            for minutes in (500, 460):
                c.add(r.Hours, order=number, operation="fit_and_weld", person="D.V.", day=date(2026, 11, 10),
                      minutes=minutes)  # fmt: skip
    row = next(x for x in Promising(shop).learned() if (x.series, x.operation) == ("basalt", "fit_and_weld"))
    assert (row.blades, row.told) == (4, "takes longer") and 12 < row.hours / 3600 < 16
    plain = made_of(shop).entry
    longer = made_of(shop, Standing(learned=True)).entry

    def weld(entry) -> float:
        job = next(j for j in entry.jobs if j.number == "421M")
        return next(op.time for op in job.operations if op.name == "fit and weld")

    assert weld(plain) == 12 * 3600.0 and weld(longer) == row.hours


def test_a_blade_nobody_ordered_can_be_asked_for_and_parts_nobody_knows_of_are_named(shop: Desk) -> None:
    blade = (("series", "flint"), ("width", "84 in"), ("hoses", "flat-face"))
    found = Promising(shop).ask(Question(on=datetime(2026, 12, 18, 7), blade=blade), steps=STEPS)
    assert found.what == "Flint 84 in" and found.answer.word == "yes" and found.answer.plan is not None
    assert found.word == "yes, if its parts come" and "crossover relief block" in found.doubts
    assert "Nobody knows when these come" in found.sentence


def test_a_moment_that_has_passed_and_an_unknown_order_are_refused(shop: Desk) -> None:
    promising = Promising(shop)
    with pytest.raises(EntryError, match="that moment has passed"):
        promising.ask(Question(on=datetime(2026, 11, 10, 7), order="418K"))
    with pytest.raises(NotFoundError, match="472S"):
        promising.ask(Question(on=datetime(2026, 12, 10, 7), order="472S"))
    with pytest.raises(NotFoundError, match="nobody of the crew has this name"):
        made_of(shop, Standing().sick("Q.Q.", datetime(2026, 11, 12), datetime(2026, 11, 13)))
    with pytest.raises(NotFoundError, match="999Z"):
        made_of(shop, Standing().late("999Z", "", date(2026, 11, 13)))


def test_what_stands_beside_the_orders_comes_back_from_the_records_as_it_was() -> None:
    one = Standing(temperature=12.5, rush=("428C",), learned=True).sick(
        "D.V.", datetime(2026, 11, 12), datetime(2026, 11, 13)
    ).late("423P", "edge", date(2026, 11, 24))  # fmt: skip
    assert standing_of(one.as_dict()) == one and standing_of({}) == Standing()
    assert one.sentences()[0] == "D.V. is away (sick) from Thu 12 Nov to Fri 13 Nov."
    assert one.at(datetime(2026, 11, 14)).away == ()
    with pytest.raises(EntryError, match="an absence ends after it begins"):
        one.sick("M.S.", datetime(2026, 11, 13), datetime(2026, 11, 12))


def test_a_blade_that_takes_the_parts_of_others_is_no_plain_yes(shop: Desk) -> None:
    blade = {"series": "flint", "width": "84 in", "hoses": "flat-face"}
    found = Promising(shop).ask(Question(blade=tuple(blade.items()), on=datetime(2026, 11, 20, 7)), steps=100)
    assert found.answer.word == "yes" and found.word == "pushes others"
    assert any(text.startswith("428C goes short of") for text in found.hurt)
    assert "it takes parts of others" in found.sentence and "No other promise gives way" not in found.sentence


def test_a_blade_that_is_done_and_still_here_after_its_promise_is_late_on_the_wall(shop: Desk) -> None:
    plan = made_of(shop).plan
    gone_by = replace(plan, promises=tuple(p for p in plan.promises if p.job != "419T"))
    why = {"419T": "its work is done"}

    def row(state: str, now: datetime) -> Row:
        orders = [replace(o, state=state) for o in shop.orders() if o.number == "419T"]
        at = SimpleNamespace(rulebook=shop.rulebook, orders=lambda: orders, now=now, build_of=shop.build_of)
        return rows_of(at, gone_by, why)[0]  # type: ignore[arg-type]

    promise = datetime(2026, 11, 13, 7)
    assert row("done", promise - timedelta(hours=1)).mark == ""
    late = row("weighed", promise + timedelta(days=3))
    assert (late.mark, late.in_hand, late.waits) == ("late", "3 days late", "its work is done; it is still here")
    assert row("on hold", promise + timedelta(days=3)).mark == ""
