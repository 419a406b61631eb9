"""The checker finds every way in which a crew plan can be wrong."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from plowwright.errors import PlanFaultError
from plowwright.shop.crew_checker import check
from plowwright.shop.crew_model import Job, Started
from plowwright.shop.crew_plan import Assignment, CrewPlan
from plowwright.shop.crewplan import plan
from tests.references.crew_shops import CALENDAR, HOUR, blade, crew

DUE = datetime(2026, 12, 11, 16)
JOBS: list[Job] = [blade("A", "light", DUE), blade("B", "heavy", DUE, edge=datetime(2026, 11, 24, 11))]
STARTED = (Started(job="A", operation="saw", begun=datetime(2026, 11, 10, 13), person="Owner", left=HOUR),)
CREW = crew(nights=1)


@pytest.fixture(scope="module")
def good() -> CrewPlan:
    return plan(JOBS, CREW, CALENDAR, STARTED, 2.0)


def changed(good: CrewPlan, job: str, operation: str, change: Callable[[Assignment], Assignment]) -> CrewPlan:
    rows = tuple(change(a) if (a.job, a.operation) == (job, operation) else a for a in good.assignments)
    return replace(good, assignments=rows)


def refused(broken: CrewPlan, says: str) -> None:
    with pytest.raises(PlanFaultError) as fault:
        check(broken, JOBS, CREW, CALENDAR, STARTED)
    assert says in str(fault.value)


def by(days: float) -> Callable[[Assignment], Assignment]:
    step = timedelta(days=days)
    return lambda a: replace(a, begin=a.begin + step, end=a.end + step)


def test_a_good_plan_passes(good: CrewPlan) -> None:
    check(good, JOBS, CREW, CALENDAR, STARTED)


def test_lost_work_is_found(good: CrewPlan) -> None:
    refused(replace(good, assignments=good.assignments[:-1]), "an operation is not in the plan")


def test_work_done_twice_is_found(good: CrewPlan) -> None:
    refused(replace(good, assignments=(*good.assignments, good.assignments[-1])), "in the plan more than once")


def test_work_nobody_asked_for_is_found(good: CrewPlan) -> None:
    extra = replace(good.assignments[-1], operation="polish")
    refused(replace(good, assignments=(*good.assignments, extra)), "nobody asked for is in the plan (given: ")


def test_work_in_the_past_is_found(good: CrewPlan) -> None:
    refused(changed(good, "B", "saw", by(-7)), "work begins in the past")


def test_somebody_who_may_not_is_found(good: CrewPlan) -> None:
    broken = changed(good, "A", "paint", lambda a: replace(a, person="Owner"))
    refused(broken, "A, paint: somebody does what he may not (given: Owner); limit: Painter")


def test_work_before_its_part_is_here_is_found(good: CrewPlan) -> None:
    refused(changed(good, "B", "assemble", by(-7)), "its edge, Tue 24 Nov 11:00")


def test_wet_paint_is_found(good: CrewPlan) -> None:
    painted = next(a for a in good.assignments if (a.job, a.operation) == ("A", "paint"))
    broken = changed(good, "A", "assemble", lambda a: replace(a, begin=painted.end, end=painted.end))
    refused(broken, "begins before another is finished and its wait over")


def test_time_that_is_too_short_is_found(good: CrewPlan) -> None:
    broken = changed(good, "A", "test", lambda a: replace(a, end=a.end - timedelta(minutes=30)))
    refused(broken, "an operation has less time than it takes (given: 0.50 h); limit: 1.00 h")


def test_work_in_the_night_is_found(good: CrewPlan) -> None:
    broken = changed(
        good, "A", "test", lambda a: replace(a, begin=a.begin.replace(hour=22), end=a.end.replace(hour=23))
    )
    refused(broken, "while its person is not there")


def test_two_places_at_once_are_found(good: CrewPlan) -> None:
    weld = next(a for a in good.assignments if (a.job, a.operation) == ("A", "weld"))
    broken = changed(good, "B", "weld", lambda a: replace(a, person=weld.person, begin=weld.begin,
                                                          end=weld.end + timedelta(days=7)))  # fmt: skip
    assert weld.begin >= CALENDAR.now
    with pytest.raises(PlanFaultError):
        check(broken, JOBS, CREW, CALENDAR, STARTED)


def test_begun_work_that_is_moved_is_found(good: CrewPlan) -> None:
    refused(changed(good, "A", "saw", by(1)), "an operation that was begun is moved")
    refused(changed(good, "A", "saw", lambda a: replace(a, person="Welder")), "that was begun is moved")


def test_a_crowded_bay_is_found(good: CrewPlan) -> None:
    alone = replace(CREW, stations=tuple(replace(s, count=1) for s in CREW.stations))
    five = [blade(f"{n}", "light", DUE, edge=datetime(2026, 12, 7, 8)) for n in range(3)]
    crowded = plan(five, CREW, CALENDAR, (), 1.0)
    with pytest.raises(PlanFaultError, match=r"stand, .*taken by more than there is room for .*limit: 1 places"):
        check(crowded, five, alone, CALENDAR, ())


def test_more_evenings_than_somebody_works_are_found(good: CrewPlan) -> None:
    days = tuple(("Welder", datetime(2026, 11, day).date()) for day in (17, 18))
    refused(replace(good, nights=days), "more evenings in a week than somebody works (given: 2); limit: 1")


def test_a_lie_about_a_promise_is_found(good: CrewPlan) -> None:
    first = good.promises[0]
    refused(replace(good, promises=(replace(first, done=first.done - timedelta(days=1)), *good.promises[1:])),
            "a job is not done when the plan says")  # fmt: skip
    refused(replace(good, promises=(replace(first, mark="late"), *good.promises[1:])), "not as it is marked")


def test_a_wrong_sum_and_a_wrong_bound_are_found(good: CrewPlan) -> None:
    refused(replace(good, objective=1.0), "the lateness does not add up")
    refused(replace(good, bound=2.0), "less late than its bound")
