"""Evenings: opened only when a promise is late without them, and closed again where they save nothing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from datetime import date, datetime, timedelta

from plowwright.shop.crew_axis import axis
from plowwright.shop.crew_build import Schedule, built
from plowwright.shop.crew_exact import solve
from plowwright.shop.crew_grid import Grid, Night, done_at
from plowwright.shop.crew_limits import Limits
from plowwright.shop.crew_model import DAYS, Calendar, Crew, Person
from plowwright.shop.crew_stay import stay
from plowwright.shop.crew_variables import Wish

_STEPS = 50
"""What trying to close one evening counts where steps are counted [-]."""
Made = Callable[[frozenset[Night]], Grid]
"""Builds the problem with the evenings given."""


def allowed(
    crew: Crew, calendar: Calendar, days: int, *, per_week: bool, kept: frozenset[Night] = frozenset()
) -> frozenset[Night]:
    """Evenings that may be worked: all of them, or up to each person's number a week, those kept before the first ones.

    Args:
        crew: The people.
        calendar: The clock.
        days: How far ahead [day].
        per_week: Whether the number a week counts.
        kept: Evenings of an earlier plan; a day below 0 is over and only counts.
    """
    out: set[Night] = set()
    for number, person in enumerate(crew.people):
        used: Counter[tuple[int, int]] = Counter()
        own = sorted(day for who, day in kept if who == number)
        for day in [*own, *(d for d in range(days) if d not in own)]:
            on = calendar.now.date() + timedelta(days=day)
            week = on.isocalendar()[:2]
            if per_week and used[week] >= person.nights:
                continue
            if day >= 0 and not _may_stay(person, on, calendar):
                continue
            used[week] += 1
            if day >= 0:
                out.add((number, day))
    return frozenset(out)


def _may_stay(person: Person, day: date, calendar: Calendar) -> bool:
    """Whether he works that day and can be there for some of its evening."""
    own = [h.end for h in person.hours if h.day == DAYS[day.weekday()]]
    if not person.nights or not person.night or day in calendar.closed or not own:
        return False
    begin = max(datetime.combine(day, max(own)), calendar.now)
    end = datetime.combine(day, max(own)) + timedelta(seconds=person.night)
    return begin < end and not any(a.begin <= begin and end <= a.end for a in person.away)


def fewest(
    made: Made, nights: frozenset[Night], schedule: Schedule, limits: Limits
) -> tuple[Grid, Schedule, frozenset[Night]]:
    """Close one evening after the other, the latest first, as long as no promise becomes later.

    Args:
        made: Builds the problem.
        nights: The evenings open.
        schedule: The schedule with them.
        limits: When to end [-].
    """
    grid, kept = made(nights), nights
    last = max(schedule.ends, default=0) // grid.per_day
    used = frozenset(n for n in nights if n[1] <= last)
    again = _again(made, used, grid, schedule)
    if again is not None and not _later(grid, schedule, again[1]):
        grid, schedule = again
        kept = used
    for rounds, night in enumerate(sorted(used, key=lambda n: (-n[1], n[0]))):
        if limits.halt(rounds * _STEPS):
            break
        trial = kept - {night}
        again = _again(made, trial, grid, schedule)
        if again is None or _later(grid, schedule, again[1]):
            again = _around(made(trial), night, schedule, limits, rounds)
        if again is not None and not _later(grid, schedule, again[1]):
            grid, schedule = again
            kept = trial
    return grid, schedule, kept


def _later(grid: Grid, was: Schedule, now: Schedule) -> bool:
    """Whether the jobs are later together, or one is that was not late before."""
    if now.late > was.late + 1e-9:
        return True
    return any(t.due is not None and done_at(t, was.ends) <= t.due < done_at(t, now.ends) for t in grid.tasks)


def _around(grid: Grid, night: Night, schedule: Schedule, limits: Limits, rounds: int) -> tuple[Grid, Schedule] | None:
    """Plan anew, exactly, the jobs worked on in an evening that is closed, and those near them."""
    person, day = night
    morning, slots = day * grid.per_day, set(grid.slots[person])
    touched = {
        grid.ops[at].job for at in grid.free
        if schedule.who[at] == person and not _there(grid, at, schedule, slots)
    }  # fmt: skip
    if not touched:
        return None

    def far(number: int) -> int:
        return min(abs(schedule.begins[at] - morning) for at in grid.tasks[number].ops)

    open_jobs = {grid.ops[at].job for at in grid.free} - touched
    near = sorted(open_jobs, key=far)[: max(2, 6 - len(touched))]
    free = frozenset(at for at in grid.free if grid.ops[at].job in touched or grid.ops[at].job in near)
    caps = {
        n: max(t.due, done_at(t, schedule.ends)) for n, t in enumerate(grid.tasks) if t.due is not None
    }  # fmt: skip
    wish = Wish(free=free, latest=caps)
    solved = solve(axis(grid), schedule, wish, limits.effort(1.0, rounds), bounded=False)
    return (grid, solved.schedule) if solved.schedule is not None else None


def _there(grid: Grid, at: int, schedule: Schedule, slots: set[int]) -> bool:
    """Whether an operation can still be worked where it is on the person's slots."""
    inside = sum(slot in slots for slot in range(schedule.begins[at], schedule.ends[at]))
    return inside >= grid.ops[at].time and schedule.begins[at] in slots and schedule.ends[at] - 1 in slots


def _again(made: Made, nights: frozenset[Night], grid: Grid, schedule: Schedule) -> tuple[Grid, Schedule] | None:
    """The schedule placed again on another calendar: where it was, in its order, or by whoever is first."""
    other = made(nights)
    order: Sequence[int] = sorted(grid.free, key=lambda at: (schedule.begins[at], schedule.ends[at]))
    who = {at: p for at in grid.free if (p := schedule.who[at]) is not None}
    was = {at: (schedule.who[at], schedule.begins[at]) for at in grid.free}
    tried = [s for s in (stay(other, was), built(other, order, who), built(other, order)) if s is not None]
    return (other, min(tried, key=lambda s: s.levels)) if tried else None
