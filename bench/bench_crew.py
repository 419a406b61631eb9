"""Crew plans of made-up weeks: against priority rules, against one exact model of everything, a rush, a promise.

Few seeds, so that it stays under three minutes: three weeks of 30 orders, one of 100, two rushes into 20 orders.
"""

from __future__ import annotations

import time
from datetime import datetime, timedelta
from statistics import mean

from bench import Row
from plowwright.shop.crew_axis import axis
from plowwright.shop.crew_exact import Effort, solve
from plowwright.shop.crew_grid import done_at
from plowwright.shop.crew_promise import can_promise
from plowwright.shop.crew_replan import replan
from plowwright.shop.crew_rules import all_rules
from plowwright.shop.crew_variables import Wish
from plowwright.shop.crewplan import Order, plan
from tests.references.crew_shops import CALENDAR, blade, crew, machine_shop, week
from tests.sources.test_job_shop import TEN

ROOM = 1.1
"""Time up to the last promise, over what the crew needs [-]."""


def thirty() -> list[Row]:
    """Three weeks of 30 orders in 10 s each."""
    made = [plan(week(30, seed, ROOM), crew(), CALENDAR, (), 10.0) for seed in (1, 2, 3)]
    return [
        Row(name="weighted lateness over earliest promise first, 30 orders, 10 s, 3 weeks", limit=0.85,
            value=mean(m.objective / m.baseline for m in made)),
        Row(name="the same over the best rule", limit=0.97, value=mean(m.objective / m.best_rule for m in made)),
        Row(name="worst of them over the best rule", limit=1.0, value=max(m.objective / m.best_rule for m in made)),
        Row(name="first plan over the time given", limit=0.1, value=max(m.first_seconds for m in made) / 10.0),
    ]  # fmt: skip


def hundred(seconds: float = 20.0) -> list[Row]:
    """100 orders against the exact model of everything, begun from the best rule, in equal time.

    The exact model gets windows of ten days beyond where the rule has each job: left open it takes gigabytes.
    """
    jobs = week(100, 1, ROOM)
    made = plan(jobs, crew(), CALENDAR, (), seconds)
    grid = Order(jobs=tuple(jobs), crew=crew(), calendar=CALENDAR, started=()).grid(frozenset())
    begin = time.perf_counter()
    base = min(all_rules(grid).values(), key=lambda s: s.levels)
    latest = {n: 10 * grid.per_day + max(done_at(t, base.ends), t.due or 0) for n, t in enumerate(grid.tasks)}
    row, wish = axis(grid), Wish(free=frozenset(grid.free), least_finish=False, latest=latest)
    whole = solve(row, base, wish, Effort(seconds=seconds, work=None, seed=0,
                                          stopped=lambda: time.perf_counter() > begin + seconds))  # fmt: skip
    late = grid.hours(min(base.late, whole.schedule.late if whole.schedule is not None else base.late))
    return [
        Row(name="weighted lateness over one exact model of everything, 100 orders, 20 s", limit=0.9,
            value=made.objective / late),
        Row(name="the same over the best rule", limit=0.97, value=made.objective / made.best_rule),
    ]  # fmt: skip


def rush() -> list[Row]:
    """A rush into 20 orders, twice: what moves of the next two weeks, and what it costs against planning all anew.

    Both weeks have room for it. In an overfull one lateness comes first and most of the plan moves.
    """
    moved: list[float] = []
    cost: list[float] = []
    for seed in (2, 3):
        jobs = week(20, seed, 1.3)
        before = plan(jobs, crew(), CALENDAR, (), 5.0)
        all_jobs = [*jobs, blade("rush", "light", CALENDAR.now + timedelta(days=14), 6.0)]
        free = plan(all_jobs, crew(), CALENDAR, (), 8.0)
        mended = replan(all_jobs, crew(), CALENDAR, (), before, 8.0)
        soon = CALENDAR.now + timedelta(days=14)
        near = [a for a in before.assignments if a.begin < soon]
        moved.append(sum(m.was[1] < soon for m in mended.moved) / len(near))
        cost.append((mended.objective + 1.0) / (free.objective + 1.0))
    return [
        Row(name="share of the next two weeks' operations a rush moves, 2 weeks of 20 orders", value=mean(moved),
            limit=0.25, unit="share"),
        Row(name="lateness with the rush let in over planning all anew", value=max(cost), limit=1.02),
    ]  # fmt: skip


def promise() -> list[Row]:
    """How long a promise takes to answer, three Fridays at seven."""
    jobs = week(12, 4, 1.3)
    before = plan(jobs, crew(), CALENDAR, (), 5.0)
    taken: list[float] = []
    for day in (datetime(2026, 11, 20, 7), datetime(2026, 11, 27, 7), datetime(2026, 12, 11, 7)):
        answer = can_promise(blade("new", "standard", day), jobs, crew(), CALENDAR, (), before, 5.0)
        taken.append(answer.seconds)
    return [Row(name="longest answer to a promise asked for, given 5 s", value=max(taken), limit=7.0, unit="s")]


def run() -> list[Row]:
    """All rows, and the 10 x 10 job shop of 1963 to its optimum of 930 hours."""
    plan(week(2, 1), crew(), CALENDAR, (), 1.0)
    ten = plan(*machine_shop(TEN), (), 40.0)
    return [
        *thirty(),
        *hundred(),
        *rush(),
        *promise(),
        Row(name="job shop 10 x 10 over its optimum", value=ten.objective / 930.0, limit=1.0),
    ]
