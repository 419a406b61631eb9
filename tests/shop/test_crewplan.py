"""The crew plan: hours, nights, cure, stands, promises; every plan passes the checker."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time, timedelta
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plowwright.errors import PlanInputError
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.crew_jobs import calendar_of, crew_of
from plowwright.shop.crew_model import After, Away, Calendar, Job, Operation, Person, Progress, Started
from plowwright.shop.crew_plan import CrewPlan
from plowwright.shop.crewplan import plan
from tests.references.crew_shops import CALENDAR, HOUR, blade, crew, hours, week
from tests.shop.crew_demo import NOW, wall


def at(day: int, clock: str = "00:00") -> datetime:
    return datetime.combine(datetime(2026, 11, day).date(), time.fromisoformat(clock))


def one(made: CrewPlan, job: str, operation: str) -> tuple[str, datetime, datetime]:
    found = next(a for a in made.assignments if (a.job, a.operation) == (job, operation))
    return found.person, found.begin, found.end


@pytest.fixture(scope="module")
def demo(demo_rules: Rulebook) -> CrewPlan:
    jobs, started = wall(demo_rules)
    return plan(jobs, crew_of(demo_rules), calendar_of(demo_rules, NOW), started, 8.0)


def test_423p_is_shown_late_because_its_edge_is_due_on_the_17th(demo: CrewPlan) -> None:
    promise = demo.promise("423P")
    assert promise.mark == "late"
    assert promise.cause == "assemble waits for its edge, 108 in, due Tue 17 Nov"
    assert promise.soonest.date() == at(17).date()


def test_all_other_promises_of_the_demo_are_kept(demo: CrewPlan) -> None:
    assert {job for job, late in demo.lateness.items() if late} == {"423P"}
    assert demo.status == "proved best"


def test_418k_needs_an_evening_to_be_ready_on_friday_at_seven(demo: CrewPlan) -> None:
    assert demo.promise("418K").mark == "needs a night"
    assert demo.overtime > 0.0
    assert all(who in ("R.K.", "D.V.") for who, _ in demo.nights)


def test_a_blade_alone_takes_its_hours_its_cure_and_no_more() -> None:
    made = plan([blade("001", "light", at(30))], crew(), CALENDAR, (), 2.0)
    assert made.objective == 0.0 and made.status == "proved best"
    _, _, painted = one(made, "001", "paint")
    _, begin, _ = one(made, "001", "assemble")
    assert begin >= painted + timedelta(hours=16)
    assert made.promise("001").done >= painted + timedelta(hours=36)


def test_work_begun_in_the_afternoon_goes_on_next_morning() -> None:
    job = Job(number="1", operations=(Operation(name="weld", work="weld", time=12 * HOUR),), due=at(30))
    made = plan([job], crew(), replace(CALENDAR, now=at(11, "14:30")), (), 1.0)
    who, begin, end = one(made, "1", "weld")
    assert (who, begin) == ("Welder", at(11, "14:30"))
    assert end == at(13, "08:00")


def test_cure_runs_over_the_weekend() -> None:
    ops = (
        Operation(name="paint", work="paint", time=2 * HOUR),
        Operation(name="assemble", work="assemble", time=HOUR, after=(After(operation="paint", lag=60 * HOUR),)),
    )
    made = plan([Job(number="1", operations=ops, due=at(30))], crew(), replace(CALENDAR, now=at(13, "14:00")), (), 1.0)
    assert one(made, "1", "paint")[2] == at(13, "16:00")
    assert one(made, "1", "assemble")[1] == at(16, "11:00")


def test_a_cold_shop_makes_the_same_blade_later() -> None:
    warm = plan([blade("1", "light", at(30))], crew(), CALENDAR, (), 1.0)
    cold = plan([blade("1", "light", at(30), cure=32.0)], crew(), CALENDAR, (), 1.0)
    assert cold.promise("1").done - warm.promise("1").done >= timedelta(hours=16)


def test_what_is_under_way_stays_with_its_person_and_its_begin() -> None:
    jobs = week(4, 3)
    started = (
        Started(job="002", operation="weld", begun=at(10, "13:00"), person="Welder", left=5 * HOUR),
        Started(job="002", operation="saw", begun=at(9, "08:00"), ended=at(9, "10:00"), person="Owner"),
        Started(job="002", operation="plate", begun=at(9, "10:00"), ended=at(9, "12:00"), person="Owner"),
    )
    made = plan(jobs, crew(), CALENDAR, started, 2.0)
    assert one(made, "002", "weld") == ("Welder", at(10, "13:00"), at(11, "13:30"))


def test_an_evening_is_worked_only_when_a_promise_asks_for_it() -> None:
    late = plan(week(6, 5), crew(), CALENDAR, (), 2.0)
    helped = plan(week(6, 5), crew(nights=2), CALENDAR, (), 4.0)
    assert late.overtime == 0.0
    assert helped.objective <= late.objective
    calm = plan(week(4, 5, room=4.0), crew(nights=2), CALENDAR, (), 3.0)
    assert calm.objective == 0.0 and calm.overtime == 0.0


def test_the_search_beats_the_earliest_promise_first() -> None:
    made = plan(week(12, 1, room=1.1), crew(), CALENDAR, (), 6.0)
    assert made.objective <= 0.85 * made.baseline
    assert made.objective <= made.best_rule
    assert made.first_seconds < 0.6


def test_a_small_week_is_proved_by_the_exact_model() -> None:
    made = plan(week(5, 3, room=0.8), crew(), CALENDAR, (), 12.0)
    assert made.status == "proved best"
    assert made.bound == pytest.approx(made.objective)
    assert made.bound > 0.0


def test_the_same_steps_and_seed_give_the_same_plan() -> None:
    first, second = (plan(week(6, 4), crew(), CALENDAR, (), 60.0, steps=150, seed=7) for _ in range(2))
    assert first.assignments == second.assignments
    assert first.objective == second.objective


def test_stopping_gives_the_best_so_far() -> None:
    told: list[Progress] = []
    made = plan(week(12, 1), crew(), CALENDAR, (), 30.0, progress=told.append, stop=lambda: bool(told))
    assert made.seconds < 5.0
    assert made.status in ("stopped", "proved best")
    assert told and told[0].stage


def test_five_blades_never_stand_on_four_stands() -> None:
    jobs = [blade(f"{n}", "light", at(13), edge=datetime(2026, 12, 7, 8)) for n in range(5)]
    made = plan(jobs, crew(), CALENDAR, (), 2.0)
    painted = sorted(one(made, f"{n}", "paint")[1] for n in range(5))
    assert painted[4] >= min(made.promise(f"{n}").done for n in range(5))


def test_a_stand_taken_before_the_plan_stays_taken() -> None:
    jobs = [blade(f"{n}", "light", at(13), edge=datetime(2026, 12, 7, 8)) for n in range(4)] + [
        blade("new", "light", at(20))
    ]
    done = ("saw", "plate", "weld", "clean", "paint")
    started = tuple(Started(job=f"{n}", operation=op, begun=at(9, "08:00"), ended=at(9, "12:00"))
                    for n in range(4) for op in done)  # fmt: skip
    made = plan(jobs, crew(), CALENDAR, started, 3.0)
    assert one(made, "new", "paint")[1] >= min(made.promise(f"{n}").done for n in range(4))


@pytest.mark.parametrize(
    ("job", "says"),
    [
        (Job(number="9", operations=(Operation(name="plane", work="plane", time=HOUR),)), "nobody may do this"),
        (Job(number="9", operations=()), "a job with nothing to do"),
        (Job(number="9", operations=(Operation(name="saw", work="saw", time=-1.0),)), "a time that is none"),
        (Job(number="9", operations=(Operation(name="saw", work="saw", time=HOUR, stations=("lathe",)),)), "lathe"),
        (Job(number="9", operations=(Operation(name="saw", work="saw", time=HOUR, after=(After(operation="a"),)),)),
         "waits for an operation that is not there"),
        (Job(number="9", operations=(Operation(name="a", time=1.0, after=(After(operation="b"),)),
                                     Operation(name="b", time=1.0, after=(After(operation="a"),)))), "in a ring"),
        (Job(number="9", operations=(Operation(name="saw", work="saw", time=10 * HOUR, in_one_day=True),)),
         "longer than anybody's day (given: 10 h); limit: 9 h"),
    ],
)  # fmt: skip
def test_a_job_that_cannot_be_is_refused_with_its_reason(job: Job, says: str) -> None:
    with pytest.raises(PlanInputError) as caught:
        plan([job], crew(), CALENDAR, (), 1.0)
    assert says in str(caught.value) and "9" in str(caught.value)


def test_no_time_is_refused_with_the_value() -> None:
    with pytest.raises(PlanInputError, match=r"given: 0\.0 s"):
        plan(week(1, 1), crew(), CALENDAR, (), 0.0)


def test_something_begun_tomorrow_is_refused() -> None:
    begun = Started(job="000", operation="saw", begun=at(12, "08:00"), person="Owner", left=HOUR)
    with pytest.raises(PlanInputError, match=r"begun or done in the future .*Thu 12 Nov 08:00"):
        plan(week(1, 1), crew(), CALENDAR, (begun,), 1.0)


def test_hours_that_end_before_they_begin_are_refused() -> None:
    base = crew()
    odd = Person(name="Odd", skills=frozenset(["saw"]), hours=(replace(hours(("07:00", "12:00"))[0], end=time(6)),))
    with pytest.raises(PlanInputError, match=r"Odd: hours that cannot be .*Mon 07:00-06:00"):
        plan(week(1, 1), replace(base, people=(*base.people, odd)), CALENDAR, (), 1.0)


def test_an_odd_slot_is_refused() -> None:
    with pytest.raises(PlanInputError, match="1000 s"):
        plan(week(1, 1), crew(), Calendar(now=CALENDAR.now, slot=1000.0), (), 1.0)


@settings(max_examples=12, deadline=None)
@given(
    orders=st.integers(1, 7),
    seed=st.integers(0, 10_000),
    room=st.floats(0.2, 2.0),
    nights=st.integers(0, 2),
    sick=st.integers(0, 2),
    slot=st.sampled_from([900.0, 1800.0]),
)
def test_every_plan_passes_the_checker(
    orders: int, seed: int, room: float, nights: int, sick: int, slot: float
) -> None:
    """`plan` itself calls the checker; here nobody twice, cure and begun work are looked at once more."""
    base = crew(nights)
    away = Away(begin=at(16, "06:10"), end=at(18, "13:20"), why="sick")
    people = tuple(replace(p, away=(away,)) if n == sick else p for n, p in enumerate(base.people))
    started = (Started(job="000", operation="saw", begun=at(11, "07:30"), person="Owner", left=2 * HOUR),)
    jobs = week(orders, seed, room)
    calendar = replace(CALENDAR, slot=slot)
    made = plan(jobs, replace(base, people=people), calendar, started, 60.0, steps=30)
    for person in people:
        own = made.of(person.name)
        assert all(a.end <= b.begin for a, b in pairwise(own))
        assert not any(away.begin < a.begin < away.end for a in own if person.away and a.begin > calendar.now)
    for job in jobs:
        painted, fitted = one(made, job.number, "paint"), one(made, job.number, "assemble")
        assert fitted[1] - painted[2] >= timedelta(hours=16)
    assert one(made, "000", "saw")[:2] == ("Owner", at(11, "07:30"))
    assert made.bound <= made.objective
