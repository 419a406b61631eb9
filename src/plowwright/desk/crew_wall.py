"""The open orders as jobs of a crew plan: what is done of them, what they wait for, who is there."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING, Final

from plowwright.desk.books import NO_DAY
from plowwright.desk.crew_standing import Doubts, Left, Standing
from plowwright.desk.order_more import More, more_of
from plowwright.desk.orders import Order
from plowwright.errors import NotFoundError, PlowwrightError, RulebookError
from plowwright.rulebook.refit import Job as RefitWork
from plowwright.shop.crew_jobs import CHAIN, STATES, Arrival, blade_job, calendar_of, crew_of, in_words, so_far
from plowwright.shop.crew_learning import Actual, Learned, hours_of, learn
from plowwright.shop.crew_model import Calendar, Crew, Job, Started
from plowwright.shop.crew_more_jobs import PACK, TAKE_IN, AtIt, due_soon, recorded, refit_job, spares_job
from plowwright.shop.refit_price import jobs_of
from plowwright.store import records as r

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

NOT_PLANNED: Final[Mapping[str, str]] = {
    "on hold": "on hold", "quote only": "only a quote", "enquiry": "only an enquiry", "done": "its work is done",
    "weighed": "its work is done", "loaded": "it is gone", "cancelled": "cancelled",
}  # fmt: skip
LINES: Final = 1000
"""How many of the last lines of hours are learned from: what the shop does now, not what it did years ago [-]."""
_LEFT: Final = re.compile(r"(\d+(?:\.\d+)?) h of welding left")


@dataclass(frozen=True, kw_only=True)
class Entry:
    """All that a plan is made from, and what is not in it.

    Attributes:
        orders: Every open order by its number.
        jobs: What is to be done.
        started: What is done or under way.
        crew: People and stations.
        calendar: The clock.
        left_out: Orders that are not planned, and why.
        doubts: What is not known.
    """

    orders: Mapping[str, Order]
    jobs: tuple[Job, ...]
    started: tuple[Started, ...]
    crew: Crew
    calendar: Calendar
    left_out: tuple[Left, ...]
    doubts: Doubts


class CrewWall:
    """Makes jobs of the wall.

    Args:
        desk: The shop.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._works: dict[tuple[str, str], tuple[RefitWork, ...]] = {}
        self._learned: tuple[int, tuple[Learned, ...]] | None = None

    def entry(self, standing: Standing) -> Entry:
        """The wall as it is now.

        Args:
            standing: What stands beside the orders.

        Raises:
            NotFoundError: The rulebook has no crew.
            PlowwrightError: An order makes no job.
        """
        desk = self._desk
        now = desk.now
        crew = crew_of(desk.rulebook, standing.absences())
        calendar = calendar_of(desk.rulebook, now)
        orders = {one.number: one for one in desk.orders()}
        more = self._more(tuple(orders))
        coming, unknown, said = self.coming()
        learned = self.learned() if standing.learned else ()
        jobs: list[Job] = []
        started: list[Started] = []
        left_out: list[Left] = []
        for number, order in orders.items():
            if order.state in NOT_PLANNED:
                why = NOT_PLANNED[order.state]
                left_out.append(Left(number=number, why=f"{why}: {order.note}" if order.note else why))
                continue
            waits = self._waits(order, standing, coming.get(number, ()), now.date())
            try:
                job = self.job(order, order.due, waits, standing, learned, said)
            except PlowwrightError as fault:
                left_out.append(Left(number=number, why=f"no job can be made of it: {fault.sentence()}"))
                continue
            jobs.append(job)
            started += self._so_far(order, more.get(number), job, crew, calendar)
        parts = {n: tuple(rows) for n, rows in unknown.items() if any(j.number == n for j in jobs)}
        return Entry(orders=orders, jobs=tuple(jobs), started=tuple(started), crew=crew, calendar=calendar,
                     left_out=tuple(left_out), doubts=Doubts(parts=parts, said=tuple(said)))  # fmt: skip

    def job(
        self, order: Order, due: date, waits: Sequence[Arrival], standing: Standing, learned: Sequence[Learned],
        said: list[str],
    ) -> Job:  # fmt: skip
        """The job of one order.

        Args:
            order: Which.
            due: Its promise, or the one asked about.
            waits: What it waits for.
            standing: What stands beside the orders.
            learned: Hours learned, none where plans go by the rulebook.
            said: Doubts in sentences; one is added where a refit cannot be worked out.

        Raises:
            PlowwrightError: It makes no job.
        """
        desk = self._desk
        promise = None if due == NO_DAY else due
        rush = order.number in standing.rush or (order.spec is not None and "rush" in order.spec.extras)
        if order.kind == "spares":
            return spares_job(desk.rulebook, order.number, promise, arrivals=waits, rush=rush)
        if order.kind == "refit":
            whole = [a for a in waits if a.operation == TAKE_IN]
            return refit_job(
                desk.rulebook, order.number, self._refit(order, said), promise,
                blade_comes=max(whole, key=lambda a: a.on.timetuple()) if whole else None,
                arrivals=[a for a in waits if a.operation != TAKE_IN], rush=rush, temperature=standing.temperature,
            )  # fmt: skip
        if order.spec is None:
            raise NotFoundError("an order without a blade, a refit or spares", value=order.number)
        series = order.spec.series
        return blade_job(
            desk.rulebook, order.number, series, promise, rush=rush, arrivals=waits,
            temperature=standing.temperature, more_hours=hours_of(learned, series),
        )  # fmt: skip

    def _more(self, numbers: Sequence[str]) -> dict[str, More]:
        if self._desk.records is None:
            return {}
        with self._desk.records.reading() as reads:
            return {one.number: more_of(one.more) for one in reads.find(r.Order, number=list(numbers))}

    def coming(self) -> tuple[dict[str, tuple[Arrival, ...]], dict[str, list[str]], list[str]]:
        """Parts of the open orders that are not here yet: by order, what comes when, and what nobody knows of."""
        today = self._desk.now.date()
        try:
            shared = self._desk.counter.shortages()
        except RulebookError as fault:
            return {}, {}, [f"Parts on their way are not looked at: {fault.sentence()}"]
        found: dict[str, list[Arrival]] = {}
        unknown: dict[str, list[str]] = {}
        for one in shared.given:
            if one.day > today:
                found.setdefault(one.want.order, []).append(_arrival(one.want.what, one.day))
        for one in shared.short:
            if one.until is None:
                unknown.setdefault(one.want.order, []).append(one.want.what)
            elif one.until > today:
                found.setdefault(one.want.order, []).append(_arrival(one.want.what, one.until))
        return {number: tuple(rows) for number, rows in found.items()}, unknown, []

    def _waits(self, order: Order, standing: Standing, coming: Sequence[Arrival], today: date) -> tuple[Arrival, ...]:
        """What an order waits for: as it says itself, as the shelf says, and later where somebody said so."""
        return waits_of(order, standing, coming, today)

    def _so_far(self, order: Order, more: More | None, job: Job, crew: Crew, calendar: Calendar) -> tuple[Started, ...]:
        if more is None:
            return _by_word(order, job, crew, calendar)
        own = {op.name for op in job.operations}
        done = {name: one.ended for name, one in more.work.items() if in_words(name) in own}
        at_it = [AtIt(operation=u.operation, person=u.by, begun=u.begun, left=u.left)
                 for u in more.under_way if in_words(u.operation) in own]  # fmt: skip
        return recorded(job, done, at_it, crew, calendar)

    def _refit(self, order: Order, said: list[str]) -> tuple[RefitWork, ...]:
        settings = self._desk.rulebook.refit
        if settings is None:
            raise RulebookError("this rulebook has no refit.toml", where=order.number,
                                way_out="Copy the one of a newer rulebook beside series.toml.")  # fmt: skip
        key = (order.serial, order.carrier)
        if key not in self._works:
            from plowwright.desk.refit import RefitDesk

            try:
                found = RefitDesk(self._desk).work_out(order.number, level=0)
                self._works[key] = tuple(jobs_of(found.refit, settings))
            except PlowwrightError as fault:
                said.append(f"{order.number}: the refit cannot be worked out, so all jobs of refit.toml are planned. "
                            f"{fault.sentence()}")  # fmt: skip
                return tuple(settings.jobs)
        return self._works[key]

    def learned(self) -> tuple[Learned, ...]:
        """What each operation takes by the hours that were worked; nothing learned where no records are kept."""
        book = {
            series: {name: float(getattr(hours, name)) for name, _ in CHAIN}
            for series, hours in self._desk.rulebook.data.hours.items()
        }
        if self._desk.records is None:
            return learn(book, [])
        with self._desk.records.reading() as reads:
            # Hours are only ever added to, so their last row says whether there is something new to learn.
            last = reads.find(r.Hours, newest=True, limit=1)
        stamp = last[0].id if last else 0
        if self._learned is None or self._learned[0] != stamp:
            self._learned = (stamp, learn(book, self._actuals(set(book))))
        return self._learned[1]

    def _actuals(self, series: set[str]) -> list[Actual]:
        if self._desk.records is None:
            return []
        with self._desk.records.reading() as reads:
            lines = reads.find(r.Hours, newest=True, limit=LINES)
            numbers = sorted({one.order for one in lines})
            orders = {o.number: o for o in reads.find(r.Order, number=numbers, kind="blade")}
            builds = {b.id: b for b in reads.find(r.KeptBuild, id=[o.build for o in orders.values() if o.build])}
        times: dict[tuple[str, str], float] = {}
        for one in lines:
            times[one.order, one.operation] = times.get((one.order, one.operation), 0.0) + 60.0 * one.minutes
        out: list[Actual] = []
        for (number, name), seconds in sorted(times.items()):
            order = orders.get(number)
            build = builds.get(order.build) if order is not None and order.build is not None else None
            if order is None or build is None or seconds <= 0.0 or name not in more_of(order.more).work:
                continue
            key = str(build.spec.get("series", ""))
            if key in series:
                out.append(Actual(order=number, series=key, operation=name, time=seconds))
        return out


def _arrival(what: str, day: date) -> Arrival:
    return Arrival(operation="assemble", what=what, on=day)


def waits_of(order: Order, standing: Standing, coming: Sequence[Arrival], today: date) -> tuple[Arrival, ...]:
    """What an order waits for: as it says itself, as the shelf says, and later where somebody said so.

    Args:
        order: Which.
        standing: Says what comes later.
        coming: Its parts that are on their way.
        today: The day of the plan.
    """
    usual = {"blade": "", "refit": TAKE_IN, "spares": PACK}[order.kind]
    found = [Arrival(operation=_at(one.operation, order.kind), what=one.what, on=one.on) for one in order.waits]
    found += [replace(one, operation=PACK) if order.kind == "spares" else one for one in coming]
    for later in standing.later:
        if later.order != order.number:
            continue
        hit = [at for at, one in enumerate(found) if not later.what or later.what.casefold() in one.what.casefold()]
        if hit:
            found = [replace(one, on=later.on) if at in hit else one for at, one in enumerate(found)]
        else:
            found.append(Arrival(operation=usual or "assemble", what=later.what or "a part", on=later.on))
    return tuple(due_soon(one, today) for one in found)


def _at(operation: str, kind: str) -> str:
    """The operation that waits; what a refit names otherwise is its taking in, and spares are only packed."""
    if kind == "spares":
        return PACK
    names = [name for name, _ in CHAIN]
    return operation if operation in names else TAKE_IN if kind == "refit" else "assemble"


def _by_word(order: Order, job: Job, crew: Crew, calendar: Calendar) -> tuple[Started, ...]:
    """What is done of an order of a file, by its word on the wall; paint is taken as done the afternoon before."""
    if order.kind != "blade":
        return ()
    now = calendar.now
    welding = order.state == "welding"
    state = "cut" if welding else order.state
    if state not in STATES:
        return ()
    painted = datetime.combine(now.date() - timedelta(days=1), time(15)) if state == "painted" else None
    left = _LEFT.search(order.note)
    able = next((p.name for p in crew.people if "fit_and_weld" in p.skills and "clean" in p.skills), "")
    who = able or next((p.name for p in crew.people if "fit_and_weld" in p.skills), "")
    return so_far(job, state, now, ended=painted, person=who if welding else "",
                  left=float(left.group(1)) * 3600.0 if left else None)  # fmt: skip
