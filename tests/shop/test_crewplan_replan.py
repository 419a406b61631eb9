"""Sick, late part, cold shop, rush: the plan mended with as little moved as can be."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from plowwright.shop.crew_model import Away, Crew, Job, Started
from plowwright.shop.crew_plan import CrewPlan
from plowwright.shop.crew_replan import handed_over, replan
from plowwright.shop.crewplan import plan
from tests.references.crew_shops import CALENDAR, HOUR, blade, crew, week

JOBS: list[Job] = week(10, 1, room=1.4)


@pytest.fixture(scope="module")
def before() -> CrewPlan:
    return plan(JOBS, crew(), CALENDAR, (), 5.0)


def sick(name: str, days: float) -> Crew:
    base = crew()
    away = Away(begin=CALENDAR.now, end=CALENDAR.now + timedelta(days=days), why="sick")
    return replace(base, people=tuple(replace(p, away=(away,)) if p.name == name else p for p in base.people))


def test_nothing_new_moves_nothing(before: CrewPlan) -> None:
    again = replan(JOBS, crew(), CALENDAR, (), before, 1.0)
    assert again.moved == ()
    assert again.objective == pytest.approx(before.objective)


def test_a_sick_welder_does_nothing_until_he_is_back(before: CrewPlan) -> None:
    mended = replan(JOBS, sick("Welder", 2.0), CALENDAR, (), before, 4.0)
    assert mended.moved
    assert all(a.begin >= CALENDAR.now + timedelta(days=2) for a in mended.of("Welder"))
    named = {(m.job, m.operation) for m in mended.moved}
    was = {(a.job, a.operation): a for a in before.assignments}
    for one in mended.assignments:
        old = was[one.job, one.operation]
        assert ((one.job, one.operation) in named) == ((one.begin, one.person) != (old.begin, old.person))


def test_what_a_sick_man_had_begun_is_handed_over() -> None:
    begun = (Started(job="000", operation="weld", begun=datetime(2026, 11, 10, 13), person="Welder", left=4 * HOUR),)
    assert handed_over(begun, sick("Welder", 2.0), CALENDAR)[0].hand_over
    assert not handed_over(begun, sick("Painter", 2.0), CALENDAR)[0].hand_over


def test_a_late_part_moves_little_else(before: CrewPlan) -> None:
    last = max(JOBS, key=lambda j: before.promise(j.number).done)
    part = before.promise(last.number).done + timedelta(days=3)
    ops = tuple(replace(op, not_before=part, waits_for="its springs") if op.name == "assemble" else op
                for op in last.operations)  # fmt: skip
    jobs = [replace(j, operations=ops) if j is last else j for j in JOBS]
    mended = replan(jobs, crew(), CALENDAR, (), before, 3.0)
    assert "its springs" in mended.promise(last.number).cause
    assert {m.job for m in mended.moved} == {last.number}


def test_a_cold_shop_keeps_wet_paint_from_being_touched(before: CrewPlan) -> None:
    cold: list[Job] = []
    for job in JOBS:
        ops = tuple(replace(op, after=tuple(replace(a, lag=2 * a.lag) for a in op.after)) for op in job.operations)
        cold.append(replace(job, operations=ops, ready=tuple(replace(w, lag=2 * w.lag) for w in job.ready)))
    mended = replan(cold, crew(), CALENDAR, (), before, 4.0)
    ends = {a.job: a.end for a in mended.assignments if a.operation == "paint"}
    begins = {a.job: a.begin for a in mended.assignments if a.operation == "assemble"}
    assert all(begins[job] - ends[job] >= timedelta(hours=32) for job in ends)


def test_a_rush_is_let_in_with_few_moves(before: CrewPlan) -> None:
    rush = blade("rush", "light", datetime(2026, 11, 20, 16), weight=6.0)
    mended = replan([*JOBS, rush], crew(), CALENDAR, (), before, 5.0)
    near = [a for a in before.assignments if a.begin < CALENDAR.now + timedelta(days=14)]
    moved = [m for m in mended.moved if m.was[1] < CALENDAR.now + timedelta(days=14)]
    assert mended.promise("rush").mark != "late"
    assert len(moved) <= 0.5 * len(near)


def test_what_was_to_begin_today_stays_when_it_is_frozen(before: CrewPlan) -> None:
    until = CALENDAR.now.replace(hour=23)
    rush = blade("rush", "light", datetime(2026, 11, 19, 16), weight=6.0)
    mended = replan([*JOBS, rush], crew(), CALENDAR, (), before, 3.0, frozen_until=until)
    assert not [m for m in mended.moved if m.was[1] < until]
