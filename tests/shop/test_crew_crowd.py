"""More painted blades than stands when a plan begins: that is the past, and what is planned comes after it."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from plowwright.rulebook.reading import Rulebook
from plowwright.shop.crew_entry import with_room
from plowwright.shop.crew_jobs import calendar_of, crew_of, so_far
from plowwright.shop.crew_model import After, Job, Started
from plowwright.shop.crew_plan import CrewPlan
from plowwright.shop.crew_replan import replan
from plowwright.shop.crewplan import plan
from tests.shop.crew_demo import NOW, wall

PAINTED = datetime(2026, 11, 10, 15)


def standing(rules: Rulebook, count: int) -> tuple[list[Job], list[Started]]:
    """The demo's wall with so many painted blades, those that are painted there first."""
    jobs, started = wall(rules)
    there = {s.job for s in started if s.operation == "paint"}
    more = [j for j in jobs if j.number not in there and j.holds][: count - len(there)]
    for at, job in enumerate(more):
        started = [s for s in started if s.job != job.number]
        started += so_far(job, "painted", NOW, ended=PAINTED + timedelta(minutes=at))
    # The last of them waits a fortnight for its edge, so the others are gone long before it.
    jobs = [waiting(j) if more and j.number == more[-1].number else j for j in jobs]
    return jobs, started


def waiting(job: Job) -> Job:
    return replace(job, operations=tuple(
        replace(op, not_before=NOW + timedelta(days=14), waits_for="its edge") if op.name == "assemble" else op
        for op in job.operations
    ))  # fmt: skip


def most_at_once(made: CrewPlan, jobs: list[Job], begun: set[str], *, after: datetime) -> int:
    """Most blades that stand at one time from the moment the first one is painted that was not before."""
    spans = []
    for job in jobs:
        rows = {a.operation: a for a in made.assignments if a.job == job.number}
        spans.append((rows[job.holds_from].begin, made.promise(job.number).done, job.number))
    moments = [begin for begin, _, number in spans if number not in begun and begin >= after]
    return max(sum(a <= moment < b for a, b, _ in spans) for moment in moments)


@pytest.mark.parametrize("count", [5, 6])
def test_more_painted_blades_than_stands_are_planned_and_the_next_waits_for_room(
    demo_rules: Rulebook, count: int
) -> None:
    jobs, started = standing(demo_rules, count)
    begun = {s.job for s in started if s.operation == "paint"}
    assert len(begun) == count
    made = plan(jobs, crew_of(demo_rules), calendar_of(demo_rules, NOW), started, 60.0, steps=200)
    assert len(made.promises) == len(jobs)
    assert most_at_once(made, [j for j in jobs if j.holds], begun, after=NOW) <= 4


def test_a_crowded_shop_is_planned_again_too(demo_rules: Rulebook) -> None:
    jobs, started = standing(demo_rules, 5)
    crew, calendar = crew_of(demo_rules), calendar_of(demo_rules, NOW)
    before = plan(jobs, crew, calendar, started, 60.0, steps=100)
    later = replace(calendar, now=NOW + timedelta(hours=5))
    assert replan(jobs, crew, later, started, before, 60.0, steps=50).promises


def test_nothing_is_asked_of_a_shop_with_room(demo_rules: Rulebook) -> None:
    jobs, started = standing(demo_rules, 4)
    assert list(with_room(jobs, crew_of(demo_rules), calendar_of(demo_rules, NOW), started)) == jobs


def test_a_crowded_blade_that_waits_for_another_is_not_waited_for_by_that_one(demo_rules: Rulebook) -> None:
    """No ring: the one whose end hangs on a blade still to be painted keeps its stand."""
    jobs, started = standing(demo_rules, 5)
    begun = [s.job for s in started if s.operation == "paint"]
    other = next(j for j in jobs if j.holds and j.number not in begun)
    jobs = [
        replace(j, ready=(*j.ready, After(operation="paint", job=other.number))) if j.number in begun[:2] else j
        for j in jobs
    ]
    made = plan(jobs, crew_of(demo_rules), calendar_of(demo_rules, NOW), started, 60.0, steps=50)
    assert len(made.promises) == len(jobs)
