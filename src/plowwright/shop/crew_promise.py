"""Can this be promised? Yes with a checked plan behind it, no only where it is proved, who is pushed, or not found.

Nothing is promised or moved by asking.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, Literal

from plowwright.errors import PlanInputError
from plowwright.shop.crew_answer import said
from plowwright.shop.crew_axis import axis
from plowwright.shop.crew_bound import alone
from plowwright.shop.crew_build import Schedule, built
from plowwright.shop.crew_entry import check_entry
from plowwright.shop.crew_exact import solve
from plowwright.shop.crew_grid import Grid, done_at
from plowwright.shop.crew_insert import broken, caps, giving_way, inserted
from plowwright.shop.crew_limits import Limits
from plowwright.shop.crew_model import Calendar, Crew, Job, Started, Stop
from plowwright.shop.crew_nights import fewest
from plowwright.shop.crew_plan import CrewPlan
from plowwright.shop.crew_search import WHOLE_JOBS, Found, mend
from plowwright.shop.crew_stay import nights_of, places, stay
from plowwright.shop.crew_variables import Wish
from plowwright.shop.crewplan import Order, answer, limits_of

Word = Literal["yes", "no", "pushes others", "not found, ask again"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pushed:
    """A promise that would give way.

    Attributes:
        job: Order number.
        due: What it was promised for.
        was: When it would have been done.
        now: When it would be done.
    """

    job: str
    due: datetime | None
    was: datetime
    now: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """The answer to a promise asked for.

    Attributes:
        word: Yes, no, pushes others, or not found.
        job: Order number.
        asked: Day and hour asked for.
        soonest: Proved: it cannot be done before.
        first: The first moment found at which no other promise gives way; None where none was found.
        pushed: Who gives way, with a plan that keeps what was asked.
        nights: Evenings the answer needs [-].
        why: The ground, in words.
        plan: The checked plan behind the answer, None for a bare no.
        seconds: Time it took [s].
    """

    word: Word
    job: str
    asked: datetime
    soonest: datetime
    first: datetime | None
    pushed: tuple[Pushed, ...]
    nights: int
    why: str
    plan: CrewPlan | None
    seconds: float

    def sentence(self) -> str:
        """The answer as it is said on the phone."""
        text = f"{self.job} for {said(self.asked)}: {self.word}. {self.why}"
        if self.word != "yes" and self.first is not None:
            text += f" First without pushing anybody: {said(self.first)}."
        return text

    def as_dict(self) -> dict[str, Any]:
        """The same for a machine."""
        return {
            "word": self.word, "job": self.job, "asked": self.asked.isoformat(timespec="minutes"),
            "soonest": self.soonest.isoformat(timespec="minutes"),
            "first": self.first.isoformat(timespec="minutes") if self.first else None,
            "pushed": [{"job": p.job, "was": p.was.isoformat(timespec="minutes"),
                        "now": p.now.isoformat(timespec="minutes")} for p in self.pushed],
            "nights": self.nights, "why": self.why, "seconds": round(self.seconds, 3),
        }  # fmt: skip


def can_promise(
    job: Job,
    jobs: Sequence[Job],
    crew: Crew,
    calendar: Calendar,
    started: Sequence[Started],
    before: CrewPlan,
    seconds: float,
    *,
    steps: int | None = None,
    seed: int = 0,
    stop: Stop | None = None,
) -> Answer:
    """Ask whether a job can be promised beside all that is promised already.

    Args:
        job: The job asked about, its due moment the one asked for.
        jobs: All other jobs.
        crew: People and stations.
        calendar: The clock.
        started: What is under way or done.
        before: The plan that stands.
        seconds: Time given [s].
        steps: Schedules that may be built instead, to be repeatable [-].
        seed: Of the search.
        stop: Asked now and then.

    Raises:
        PlanInputError: It asks for no moment, or something makes no sense.
    """
    if job.due is None:
        raise PlanInputError("no moment is asked for", where=job.number, way_out="Ask for a day and an hour.")
    others = [j for j in jobs if j.number != job.number]
    check_entry([*others, job], crew, calendar, started, seconds)
    task = Order(jobs=(*others, job), crew=crew, calendar=calendar, started=tuple(started))
    limits = limits_of(task, seconds, steps=steps, seed=seed, stop=stop)
    return _Asked(task, before, limits).answer()


class _Asked:
    def __init__(self, task: Order, before: CrewPlan, limits: Limits) -> None:
        self.task, self.before, self.limits = task, before, limits
        self.plain = task.grid(frozenset())
        stood = nights_of(before, task.crew, self.plain)
        self.evenings = task.evenings(self.plain, stood)
        self.nights = self.evenings & stood
        self.number = len(task.jobs) - 1
        self.job = task.jobs[-1]
        widest = task.widest(self.plain)
        self.soonest = int(alone(widest)[self.number])
        self.widest = widest

    def answer(self) -> Answer:
        asked = self.plain.tasks[self.number].due
        assert asked is not None
        grid = self.task.grid(self.nights)
        if self.soonest > asked:
            first = self._first(grid)
            return self._say("no", grid, first, "Proved: with the whole shop to itself it is not done before "
                             f"{said(grid.when(self.soonest))}; {self._reason()}.", show=None)  # fmt: skip
        kept = self._kept(grid, self.limits.part(0.3))
        if kept is not None:
            return self._say("yes", grid, kept, "No other promise gives way.", show=kept)
        evenings = self.evenings
        if evenings != self.nights:
            wide = self.task.grid(evenings)
            kept = self._kept(wide, self.limits.part(0.4))
            if kept is not None:
                closed, fewer, _ = fewest(self.task.grid, evenings, kept, self.limits)
                if not self._breaks(closed, fewer):
                    wide, kept = closed, fewer
                return self._say("yes", wide, kept, "No other promise gives way, with evenings worked.", show=kept)
        if self._impossible(self.limits.part(0.5)):
            return self._say("no", grid, self._first(grid), "Proved: no plan keeps it and all other promises.",
                             show=None)  # fmt: skip
        return self._pushing(grid)

    def _caps(self, grid: Grid) -> dict[int, int]:
        """The last slot by which each job must be done: its promise, or where it stands if that is later."""
        return caps(grid, {self.number}, self.before)

    def _breaks(self, grid: Grid, schedule: Schedule, *, but: int | None = None) -> list[int]:
        return [n for n in broken(grid, schedule, self._caps(grid)) if n != but]

    def _bases(self, grid: Grid) -> list[Schedule]:
        was = places(grid, self.before)
        tried = [stay(grid, was), stay(grid, was, first=[self.number])]
        own = [at for at in grid.order if grid.ops[at].job == self.number and grid.ops[at].fixed is None]
        rest = sorted((at for at in grid.free if at in was), key=lambda at: was[at][1])
        for share in (0.0, 0.1, 0.2, 0.35, 0.5, 0.75):
            cut = round(share * len(rest))
            tried.append(built(grid, [*rest[:cut], *own, *rest[cut:]]))
        return [s for s in tried if s is not None]

    def _kept(self, grid: Grid, limits: Limits) -> Schedule | None:
        """A schedule that keeps the new promise and all others."""
        bases = self._bases(grid)
        for base in bases:
            if not self._breaks(grid, base):
                return base
        quiet = [b for b in bases if not self._breaks(grid, b, but=self.number)]
        if not quiet:
            return None
        new, latest, was = {self.number}, self._caps(grid), places(grid, self.before)
        found = giving_way(grid, quiet[0], new, latest, limits.part(0.4), was)
        if found is not None and not broken(grid, found, latest):
            return found
        return inserted(axis(grid), quiet[0], new, latest, limits)

    def _impossible(self, limits: Limits) -> bool:
        """Whether one exact model of everything, with every evening open, has no such schedule."""
        grid = self.widest
        if sum(any(grid.ops[at].fixed is None for at in t.ops) for t in grid.tasks) > WHOLE_JOBS:
            return False
        base = next(iter(self._bases(grid)), None)
        if base is None:
            return False
        wish = Wish(free=frozenset(grid.free), least_finish=False, latest=self._caps(grid))
        effort = limits.effort(limits.left() if limits.steps is None else limits.steps / 100)
        return solve(axis(grid), base, wish, effort, bounded=False).impossible

    def _first(self, grid: Grid) -> Schedule | None:
        """The schedule in which it is done soonest while nobody is pushed."""
        quiet = [b for b in self._bases(grid) if not self._breaks(grid, b, but=self.number)]
        if not quiet:
            return None
        return min(quiet, key=lambda s: done_at(grid.tasks[self.number], s.ends))

    def _pushing(self, grid: Grid) -> Answer:
        """What gives way when it must be kept."""
        first = self._first(grid)
        heavy = replace(grid, tasks=tuple(
            replace(t, weight=1000.0 * t.weight + 1000.0) if n == self.number else t for n, t in enumerate(grid.tasks)
        ))  # fmt: skip
        base = min(self._bases(heavy), key=lambda s: s.levels)
        best, _ = mend(axis(heavy), base, self.limits.part(1.0))
        best = replace(best, late=sum(
            t.weight * max(0, done_at(t, best.ends) - t.due) for t in grid.tasks if t.due is not None
        ))  # fmt: skip
        late = self._breaks(grid, best)
        if self.number in late:
            return self._say("not found, ask again", grid, first, "No plan was found that keeps it, and none is "
                             "proved impossible.", show=None)  # fmt: skip
        if not late:
            return self._say("yes", grid, best, "No other promise gives way.", show=best)
        names = ", ".join(grid.tasks[n].number for n in late)
        return self._say("pushes others", grid, first, f"It can be kept if {names} give way.", show=best)

    def _reason(self) -> str:
        late = [op for op in self.job.operations if op.not_before is not None]
        if late:
            op = max(late, key=lambda o: o.not_before or self.task.calendar.now)
            assert op.not_before is not None
            return f"{op.name} waits for {op.waits_for or 'what it needs'}, due {said(op.not_before)}"
        return "its own work and cure take that long"

    def _say(self, word: Word, grid: Grid, first: Schedule | None, why: str, *, show: Schedule | None) -> Answer:
        behind = show if show is not None else first
        made = self._plan(grid, behind) if behind is not None else None
        pushed: list[Pushed] = []
        if word == "pushes others" and made is not None:
            was = {p.job: p.done for p in self.before.promises}
            pushed = [
                Pushed(job=p.job, due=p.due, was=was[p.job], now=p.done) for p in made.promises
                if p.job in was and p.due is not None and p.done > max(p.due, was[p.job])
            ]  # fmt: skip
        return Answer(
            word=word, job=self.job.number, asked=self.job.due or self.task.calendar.now,
            soonest=grid.when(self.soonest),
            first=grid.when(done_at(grid.tasks[self.number], first.ends)) if first is not None else None,
            pushed=tuple(pushed), nights=len(made.nights) if made is not None else 0, why=why, plan=made,
            seconds=time.perf_counter() - self.limits.begin,
        )  # fmt: skip

    def _plan(self, grid: Grid, schedule: Schedule) -> CrewPlan:
        found = Found(schedule=schedule, bound=0.0, bound_from="nothing: a promise was asked for", method="asked",
                      baseline=schedule.late, best_rule=schedule.late, first_seconds=0.0)  # fmt: skip
        return answer(self.task, grid, found, found, self.limits, before=self.before)
