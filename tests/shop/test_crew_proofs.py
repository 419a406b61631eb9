"""What the planner says is proved, held against shops small enough to be counted out; begun work in crowded places."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import datetime, time, timedelta

import numpy as np
import pytest

from plowwright.shop.crew_axis import axis, pieces
from plowwright.shop.crew_bound import proved_late
from plowwright.shop.crew_build import Schedule
from plowwright.shop.crew_exact import Effort, crowded, solve
from plowwright.shop.crew_model import After, Away, Crew, Job, Operation, Person, Started, Station
from plowwright.shop.crew_nights import allowed
from plowwright.shop.crew_promise import can_promise
from plowwright.shop.crew_replan import replan
from plowwright.shop.crew_rules import all_rules
from plowwright.shop.crew_variables import Wish
from plowwright.shop.crewplan import Order, plan
from tests.references.crew_shops import CALENDAR, HOUR, blade, crew, hours, week


def at(day: int, clock: str = "00:00") -> datetime:
    return datetime.combine(datetime(2026, 11, day).date(), time.fromisoformat(clock))


def begun(left_a: float, left_b: float) -> tuple[Started, ...]:
    """The welder has two blades on the bench at once."""
    done = [Started(job=job, operation=op, begun=at(9, "08:00"), ended=at(9, "10:00"), person="Owner")
            for job in "ab" for op in ("saw", "plate")]  # fmt: skip
    return (
        *done,
        Started(job="a", operation="weld", begun=at(10, "13:00"), person="Welder", left=left_a * HOUR),
        Started(job="b", operation="weld", begun=at(10, "15:00"), person="Welder", left=left_b * HOUR),
    )


JOBS = [blade("a", "light", at(30)), blade("b", "light", at(30)), blade("c", "light", at(12, "16:00"))]


@pytest.mark.parametrize("left", [(5.0, 5.0), (2.0, 5.0)])
@pytest.mark.parametrize("turned", [False, True])
def test_two_blades_begun_by_one_welder_are_planned_one_after_the_other(
    left: tuple[float, float], *, turned: bool
) -> None:
    started = begun(*left)
    made = plan(JOBS, crew(), CALENDAR, started[::-1] if turned else started, 60.0, steps=600)
    own = [a for a in made.of("Welder") if a.end > CALENDAR.now and not a.settled]
    last = max(a.end for a in made.assignments if a.operation == "weld" and a.settled)
    assert all(a.begin >= last for a in own)
    assert made.bound <= made.objective


def test_two_blades_begun_by_one_welder_do_not_prove_a_promise_impossible() -> None:
    """What is under way overlaps in the past; that makes nothing impossible."""
    started = begun(2.0, 5.0)
    before = plan(JOBS[:2], crew(), CALENDAR, started, 60.0, steps=150)
    asked = blade("c", "light", at(16, "16:00"))
    answer = can_promise(asked, JOBS[:2], crew(), CALENDAR, started, before, 60.0, steps=400)
    assert answer.word == "yes"


def test_two_at_one_saw_leave_it_free_only_when_both_are_done() -> None:
    started = (
        Started(job="a", operation="saw", begun=at(11, "07:00"), person="Owner", left=HOUR),
        Started(job="b", operation="saw", begun=at(11, "07:30"), person="Welder", left=7 * HOUR),
    )
    made = plan(JOBS, crew(), CALENDAR, started, 60.0, steps=150)
    cut = {a.job: a for a in made.assignments if a.operation == "saw"}
    assert cut["c"].begin >= max(cut["a"].end, cut["b"].end)


def outside(due: datetime) -> list[Job]:
    """Work that ends with the day, then 30 hours at the galvaniser's, then an hour more."""
    ops = (
        Operation(name="weld", work="weld", time=8.0 * HOUR),
        Operation(name="outside", time=30.0 * HOUR, after=(After(operation="weld"),)),
        Operation(name="fit", work="weld", time=HOUR, after=(After(operation="outside"),)),
    )
    return [Job(number="1", operations=ops, due=due)]


WELDER = Crew(people=(Person(name="Welder", skills=frozenset(["weld"]), hours=hours(("08:00", "16:00"))),))


def test_outside_work_begins_in_the_evening_and_is_not_proved_to_wait_for_morning() -> None:
    """Begun next morning it would be back after the second day is over."""
    due = at(13, "09:00")
    made = plan(outside(due), WELDER, CALENDAR, (), 60.0, steps=150)
    gone = next(a for a in made.assignments if a.operation == "outside")
    assert (gone.begin, gone.end) == (at(11, "16:00"), at(12, "22:00"))
    assert made.objective == 0.0
    before = plan(outside(at(30)), WELDER, CALENDAR, (), 60.0, steps=50)
    late = replace(outside(at(17))[0], number="2")
    assert can_promise(late, outside(at(30)), WELDER, CALENDAR, (), before, 60.0, steps=50).word == "yes"


def exact(jobs: list[Job], latest: datetime) -> Schedule | None:
    """What the exact model finds when the first job must be done by a moment; None where it proves there is nothing."""
    grid = Order(jobs=tuple(jobs), crew=WELDER, calendar=CALENDAR, started=()).grid(frozenset())
    base = min(all_rules(grid).values(), key=lambda s: s.levels)
    wish = Wish(free=frozenset(grid.free), least_finish=False, latest={0: grid.slot_of(latest)})
    effort = Effort(seconds=60.0, work=10.0, seed=0, stopped=lambda: False)
    solved = solve(axis(grid), base, wish, effort, bounded=False)
    assert solved.impossible == (solved.schedule is None)
    return solved.schedule


def test_the_exact_model_knows_that_outside_work_goes_on_at_night() -> None:
    assert exact(outside(at(30)), at(13, "09:00")) is not None
    assert exact(outside(at(30)), at(13, "08:45")) is None


def test_a_job_that_others_wait_for_is_not_proved_late_because_they_take_long() -> None:
    first = Job(number="1", operations=(Operation(name="weld", work="weld", time=4 * HOUR),))
    second = Job(number="2", operations=(
        Operation(name="long", work="weld", time=20 * HOUR, after=(After(operation="weld", job="1"),)),))  # fmt: skip
    assert exact([first, second], at(11, "12:00")) is not None
    assert exact([first, second], at(11, "11:45")) is None


def test_work_of_no_time_in_the_first_hour_makes_nothing_impossible() -> None:
    ops = (
        Operation(name="look", work="weld", time=0.0),
        Operation(name="weld", work="weld", time=HOUR, after=(After(operation="look", lag=2 * HOUR),)),
    )
    assert exact([Job(number="1", operations=ops)], at(11, "11:00")) is not None
    assert exact([Job(number="1", operations=ops)], at(11, "10:45")) is None


def test_fewer_evenings_allowed_than_the_plan_before_had_are_kept_to() -> None:
    jobs = [Job(number="1", operations=(Operation(name="weld", work="weld", time=24 * HOUR),), due=at(13, "12:00"))]

    def staying(evenings: int) -> Crew:
        return replace(WELDER, people=tuple(replace(p, nights=evenings, night=2 * HOUR) for p in WELDER.people))

    before = plan(jobs, staying(2), CALENDAR, (), 60.0, steps=300)
    assert len(before.nights) == 2
    mended = replan(jobs, staying(1), CALENDAR, (), before, 60.0, steps=300)
    assert len(mended.nights) == 1
    assert mended.promise("1").done == at(13, "14:00")


def test_an_evening_worked_on_tuesday_counts_on_wednesday() -> None:
    base = crew(nights=1)
    two = frozenset([(1, -1)])
    assert (1, 0) in allowed(base, CALENDAR, 4, per_week=True)
    assert not [day for who, day in allowed(base, CALENDAR, 4, per_week=True, kept=two) if who == 1]


def test_an_evening_on_which_somebody_is_sick_is_not_his_evening_of_the_week() -> None:
    away = Away(begin=at(11), end=at(12), why="sick")
    base = crew(nights=1)
    sick = replace(base, people=tuple(replace(p, away=(away,)) if p.name == "Welder" else p for p in base.people))
    assert [day for who, day in sorted(allowed(sick, CALENDAR, 4, per_week=True)) if who == 1] == [1]


def test_more_fixed_than_there_is_room_for_takes_all_there_is() -> None:
    assert crowded([(0, 5), (0, 9)], 1) == [(0, 5, 1), (5, 9, 1)]
    assert crowded([(0, 5), (0, 9), (2, 7)], 2) == [(0, 2, 2), (2, 5, 2), (5, 7, 2), (7, 9, 1)]
    assert crowded([(0, 5), (5, 9), (3, 3)], 1) == [(0, 5, 1), (5, 9, 1)]


def test_a_function_of_the_row_splits_into_pieces_that_give_it_back() -> None:
    draw = random.Random(1)
    for _ in range(300):
        values = np.cumsum([draw.choice([0, 0, 1, 1, 1, 7]) for _ in range(40)])
        low = draw.randrange(20)
        high = low + draw.randrange(19)
        made = pieces(values, low, high)
        for x in range(low, high + 1):
            holds = [p for p in made if p.first <= x and (p.last is None or x <= p.last)]
            assert max((x + p.value) if p.follows else p.value for p in holds) == values[x]


@pytest.mark.parametrize("seed", range(8))
def test_no_bound_is_above_what_the_exact_model_proves_the_best(seed: int) -> None:
    grid = Order(jobs=tuple(week(4, seed, 0.5)), crew=crew(), calendar=CALENDAR, started=()).grid(frozenset())
    base = min(all_rules(grid).values(), key=lambda s: s.levels)
    effort = Effort(seconds=60.0, work=20.0, seed=0, stopped=lambda: False)
    solved = solve(axis(grid), base, Wish(free=frozenset(grid.free), least_finish=False), effort)
    best = base.late if solved.schedule is None else solved.schedule.late
    assert solved.closed
    assert proved_late(grid) <= best + 1e-6


def test_a_week_with_more_work_than_hours_is_proved_late() -> None:
    """Four welds of eight hours, all promised for the first evening: one on time, then one, two and three days late."""
    jobs = [Job(number=n, operations=(Operation(name="weld", work="weld", time=8 * HOUR),), due=at(11, "16:00"))
            for n in "abcd"]  # fmt: skip
    grid = Order(jobs=tuple(jobs), crew=WELDER, calendar=CALENDAR, started=()).grid(frozenset())
    assert grid.hours(proved_late(grid)) == pytest.approx(24.0 + 48.0 + 120.0)
    made = plan(jobs, WELDER, CALENDAR, (), 60.0, steps=100)
    assert made.status == "proved best"


def test_a_station_has_room_again_after_what_is_fixed() -> None:
    """Frozen work is taken in the order of its begins, whatever the order of the jobs."""
    jobs = week(8, 2, 1.2)
    before = plan(jobs, crew(), CALENDAR, (), 60.0, steps=300)
    until = CALENDAR.now + timedelta(days=10)
    again = replan(jobs[::-1], crew(), CALENDAR, (), before, 60.0, steps=150, frozen_until=until)
    assert not [m for m in again.moved if m.was[1] < until]
    assert Station(name="bench", count=2) in crew().stations
