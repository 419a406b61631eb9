"""Crew plans of made-up weeks: against priority rules, against one exact model of everything, a rush, a promise.

Each row is the mean of ten seeded weeks. Two weeks are planned at a time, each on a core of its own.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from datetime import datetime, timedelta
from functools import partial
from math import inf
from os import cpu_count
from statistics import mean
from typing import TypeVar

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

Got = TypeVar("Got")
ROOM = 1.1
"""Time up to the last promise, over what the crew needs [-]."""
SEEDS = range(1, 11)
RUSH_ROOM = {"looser": 1.3, "overfull": 1.1}
"""Weeks of 20 orders into which a rush comes; of the looser ones too, six in ten break promises without it."""
RUSH_SECONDS = 32.0
"""Given to each plan of the weeks a rush comes into [s]. It is time by the clock, so a slow machine needs more. Where a
loop of 20 million products takes 2.7 s, overfull weeks moved 0.18 at 1.00, looser ones 0.20 at 1.05 and, again, 0.20 at
0.95. The lateness of single weeks, planned anew or mended, differs by a tenth from run to run, and one of the looser
weeks is half of all their lateness: the ratio of the means can come out on either side of its limit by chance."""


def each(one: Callable[[int], Got]) -> list[Got]:
    """What comes of each week, two at a time.

    Args:
        one: Plans the week of a seed.
    """
    with ProcessPoolExecutor(max_workers=min(2, cpu_count() or 1)) as two:
        return list(two.map(one, SEEDS))


def of_thirty(seed: int) -> tuple[float, float, float, float]:
    """Lateness [h], that of two rules [h], and the share of the time until the first plan [-], 30 orders in 10 s.

    Args:
        seed: Of the week.
    """
    made = plan(week(30, seed, ROOM), crew(), CALENDAR, (), 10.0)
    return made.objective, made.baseline, made.best_rule, made.first_seconds / 10.0


def over(value: float, other: float) -> float:
    """One lateness over another; where neither is late they are the same [-].

    Args:
        value: The one [h].
        other: The other [h].
    """
    return value / other if other > 0.0 else 1.0 if value <= 0.0 else inf


def thirty() -> list[Row]:
    """Ten weeks of 30 orders in 10 s each."""
    made = each(of_thirty)
    return [
        Row(name="weighted lateness over earliest promise first, 30 orders, 10 s, 10 weeks", limit=0.85,
            value=mean(over(late, due) for late, due, _, _ in made)),
        Row(name="the same over the best rule", limit=0.97, value=mean(over(late, rule) for late, _, rule, _ in made)),
        Row(name="worst of them over the best rule", limit=1.0,
            value=max(over(late, rule) for late, _, rule, _ in made)),
        Row(name="first plan over the time given", limit=0.1, value=max(first for _, _, _, first in made)),
    ]  # fmt: skip


def of_hundred(seed: int) -> tuple[float, float, float]:
    """Lateness of the plan, of the exact model of everything and of the best rule, 100 orders in 20 s [h].

    The exact model begins from the best rule and gets windows of ten days beyond where the rule has each job: left
    open it takes gigabytes. Its building counts in its time.

    Args:
        seed: Of the week.
    """
    seconds = 20.0
    jobs = week(100, seed, ROOM)
    made = plan(jobs, crew(), CALENDAR, (), seconds)
    grid = Order(jobs=tuple(jobs), crew=crew(), calendar=CALENDAR, started=()).grid(frozenset())
    begin = time.perf_counter()
    base = min(all_rules(grid).values(), key=lambda s: s.levels)
    latest = {n: 10 * grid.per_day + max(done_at(t, base.ends), t.due or 0) for n, t in enumerate(grid.tasks)}
    row, wish = axis(grid), Wish(free=frozenset(grid.free), least_finish=False, latest=latest)
    whole = solve(row, base, wish, Effort(seconds=seconds, work=None, seed=0,
                                          stopped=lambda: time.perf_counter() > begin + seconds))  # fmt: skip
    late = grid.hours(min(base.late, whole.schedule.late if whole.schedule is not None else base.late))
    return made.objective, late, made.best_rule


def hundred() -> list[Row]:
    """Ten weeks of 100 orders against the exact model of everything in equal time."""
    made = each(of_hundred)
    return [
        Row(name="weighted lateness over one exact model of everything, 100 orders, 20 s, 10 weeks", limit=0.9,
            value=mean(over(late, whole) for late, whole, _ in made)),
        Row(name="worst of them over the best rule", limit=1.0, value=max(over(late, rule) for late, _, rule in made)),
    ]  # fmt: skip


def of_rush(seed: int, room: float) -> tuple[float, float, float]:
    """Share of the next two weeks' operations that move [-], lateness with the rush let in and planned all anew [h].

    Args:
        seed: Of the week.
        room: Time up to the last promise, over what the crew needs [-].
    """
    jobs = week(20, seed, room)
    before = plan(jobs, crew(), CALENDAR, (), RUSH_SECONDS)
    soon = CALENDAR.now + timedelta(days=14)
    all_jobs = [*jobs, blade("rush", "light", soon, 6.0)]
    free = plan(all_jobs, crew(), CALENDAR, (), RUSH_SECONDS)
    mended = replan(all_jobs, crew(), CALENDAR, (), before, RUSH_SECONDS)
    near = [a for a in before.assignments if a.begin < soon]
    return sum(m.was[1] < soon for m in mended.moved) / len(near), mended.objective, free.objective


def rush() -> list[Row]:
    """A rush let into weeks of 20 orders; lateness is added up, for many a week can do without any."""
    rows: list[Row] = []
    for name, room in RUSH_ROOM.items():
        made = each(partial(of_rush, room=room))
        rows += [
            Row(name=f"share of the next two weeks' operations a rush moves, 20 orders, 10 weeks {name}",
                value=mean(moved for moved, _, _ in made), limit=0.25, unit="share"),
            Row(name=f"lateness with the rush let in over planning all anew in equal time, means, {name}",
                limit=1.02, value=over(mean(late for _, late, _ in made), mean(free for _, _, free in made))),
        ]  # fmt: skip
    return rows


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
