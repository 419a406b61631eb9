"""Can this be promised: yes only with a plan behind it, no only where it is proved."""

from __future__ import annotations

from datetime import date, datetime

import pytest

from plowwright.errors import PlanInputError
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.crew_jobs import blade_job, calendar_of, crew_of
from plowwright.shop.crew_model import Calendar, Crew, Job, Started
from plowwright.shop.crew_plan import CrewPlan
from plowwright.shop.crew_promise import Answer, can_promise
from plowwright.shop.crewplan import plan
from tests.references.crew_shops import CALENDAR, blade, crew, week
from tests.shop.crew_demo import NOW, SIX_WEEKS, wall

Shop = tuple[list[Job], Crew, Calendar, list[Started], CrewPlan]


@pytest.fixture(scope="module")
def shop(demo_rules: Rulebook) -> Shop:
    jobs, started = wall(demo_rules)
    people, calendar = crew_of(demo_rules), calendar_of(demo_rules, NOW)
    return jobs, people, calendar, started, plan(jobs, people, calendar, started, 6.0)


def asked(shop: Shop, job: Job, seconds: float = 5.0) -> Answer:
    jobs, people, calendar, started, before = shop
    return can_promise(job, jobs, people, calendar, started, before, seconds)


def test_432n_cannot_be_had_on_the_15th_and_the_first_date_is_told(shop: Shop, demo_rules: Rulebook) -> None:
    answer = asked(shop, blade_job(demo_rules, "432N", "basalt", date(2026, 12, 15), arrivals=[SIX_WEEKS]))
    assert answer.word == "no"
    assert "Proved" in answer.why and "its edge, 120 in, due Wed 23 Dec" in answer.why
    assert answer.first is not None and answer.first.date() in (date(2026, 12, 23), date(2026, 12, 24))
    assert answer.plan is not None and answer.plan.promise("432N").done == answer.first
    assert answer.seconds < 6.0


def test_a_friday_at_seven_is_answered_yes_with_a_plan(shop: Shop, demo_rules: Rulebook) -> None:
    friday = datetime(2026, 12, 4, 7)
    answer = asked(shop, blade_job(demo_rules, "433A", "flint", friday))
    assert answer.word == "yes"
    assert answer.plan is not None and answer.plan.promise("433A").done <= friday
    before = shop[4]
    for promise in before.promises:
        if promise.due is not None:
            assert answer.plan.promise(promise.job).done <= max(promise.due, promise.done), promise.job


def test_tomorrow_at_seven_is_proved_impossible(shop: Shop, demo_rules: Rulebook) -> None:
    answer = asked(shop, blade_job(demo_rules, "433A", "flint", datetime(2026, 11, 12, 7)))
    assert answer.word == "no"
    assert answer.soonest > datetime(2026, 11, 12, 7)
    assert "with the whole shop to itself" in answer.sentence()


def test_a_full_week_says_who_is_pushed_or_that_it_cannot_be() -> None:
    jobs = week(9, 3, room=0.9)
    before = plan(jobs, crew(), CALENDAR, (), 3.0)
    answer = can_promise(blade("new", "heavy", datetime(2026, 11, 18, 16)), jobs, crew(), CALENDAR, (), before, 4.0)
    assert answer.word in ("pushes others", "no", "not found, ask again")
    if answer.word == "pushes others":
        assert answer.pushed and answer.plan is not None
        assert answer.plan.promise("new").mark != "late"
        assert all(p.now > p.was for p in answer.pushed)
    if answer.word == "no":
        assert "Proved" in answer.why


def test_asking_moves_no_promise(shop: Shop, demo_rules: Rulebook) -> None:
    before = shop[4].as_dict()
    asked(shop, blade_job(demo_rules, "433A", "flint", datetime(2026, 11, 27, 7)))
    assert shop[4].as_dict() == before


def test_a_question_without_a_moment_is_refused(shop: Shop, demo_rules: Rulebook) -> None:
    with pytest.raises(PlanInputError, match="no moment is asked for"):
        asked(shop, blade_job(demo_rules, "433A", "flint", None))


def test_the_answer_reads_as_it_is_said_on_the_phone(shop: Shop, demo_rules: Rulebook) -> None:
    answer = asked(shop, blade_job(demo_rules, "433A", "reed", datetime(2026, 12, 18, 7)))
    assert answer.sentence().startswith("433A for Fri 18 Dec 07:00: yes. No other promise gives way")
    assert answer.as_dict()["word"] == "yes"
