"""What we promised: the crew plan of all open orders, kept in the records, asked, and mended when something happens."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, Final, Literal, NamedTuple

from plowwright.blade.build import Build
from plowwright.blade.spec import from_dict
from plowwright.desk.acting import Hand
from plowwright.desk.crew_kept import KIND, Kept, body_of, kept_of, mark_of, settled
from plowwright.desk.crew_standing import Standing
from plowwright.desk.crew_wall import CrewWall, Entry, waits_of
from plowwright.desk.order_more import Waits
from plowwright.desk.orders import Order
from plowwright.errors import EntryError, NotFoundError
from plowwright.shop.crew_jobs import Arrival, cure, moment
from plowwright.shop.crew_learning import Learned
from plowwright.shop.crew_model import Job, Report, Stop
from plowwright.shop.crew_plan import CrewPlan
from plowwright.shop.crew_promise import Answer, can_promise
from plowwright.shop.crew_replan import replan
from plowwright.shop.crewplan import plan
from plowwright.shop.stock_edges import needed_by
from plowwright.shop.stock_shortages import share
from plowwright.shop.stock_wants import blade_wants
from plowwright.store import records as r
from plowwright.store.commands import Command
from plowwright.units import counted

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

STEPS: Final = 500
"""Schedules built for a plan of a usual wall [-]: the same records give the same plan, to the minute."""
MEND_STEPS: Final = 1500
"""The same where a plan is mended [-]: what should stay where it was takes longer to find; most end sooner."""
ASK_STEPS: Final = 400
USUAL: Final = 20
"""Jobs of a usual wall [-]; of a longer one fewer schedules are built, so that a page does not wait longer."""
SECONDS: Final = 600.0
"""Longest a plan may take; the number of schedules ends it long before [s]."""
State = Literal["draft", "released"]


@dataclass(frozen=True, kw_only=True)
class Made:
    """A plan made now; nobody kept it yet.

    Attributes:
        plan: The plan; what moved is against `before`.
        before: The last plan kept, or None.
        entry: What it was made from.
        standing: What stands beside the orders.
        stamp: Number of the last event it knows of [-].
    """

    plan: CrewPlan
    before: CrewPlan | None
    entry: Entry
    standing: Standing
    stamp: int

    @property
    def changed(self) -> tuple[tuple[str, datetime, datetime], ...]:
        """Orders that are done at another moment than in the plan before: number, then, now."""
        if self.before is None:
            return ()
        was = {p.job: p.done for p in self.before.promises}
        return tuple((p.job, was[p.job], p.done) for p in self.plan.promises if p.job in was and was[p.job] != p.done)


@dataclass(frozen=True, kw_only=True)
class Question:
    """What is asked to be promised.

    Attributes:
        on: Day and hour, or a day.
        order: Number of an open order or quote, or "".
        blade: Choices of a blade that nobody ordered yet: series, width, mount, carrier, hoses, extras.
        rush: Whether it would be paid as a rush.
    """

    on: date
    order: str = ""
    blade: tuple[tuple[str, str], ...] = ()
    rush: bool = False


@dataclass(frozen=True, kw_only=True)
class Answered:
    """The answer to a question.

    Attributes:
        answer: Yes, no, pushes others, not found.
        what: What was asked for, in words.
        doubts: Parts of it of which nobody knows when they come.
        hurt: Other orders that then go short of a part, each in a sentence.
    """

    answer: Answer
    what: str
    doubts: tuple[str, ...]
    hurt: tuple[str, ...] = ()

    @property
    def word(self) -> str:
        """The answer in a word; a yes that hangs on a part nobody knows of, or takes another's, is none yet."""
        if self.answer.word == "yes" and self.hurt:
            return "pushes others"
        return "yes, if its parts come" if self.doubts and self.answer.word == "yes" else self.answer.word

    @property
    def sentence(self) -> str:
        """The answer as it is said on the phone."""
        text = self.answer.sentence().replace(f": {self.answer.word}.", f": {self.word}.", 1)
        if self.hurt:
            text = text.replace("No other promise gives way", "The hours are there, but it takes parts of others", 1)
            text += f" {'. '.join(self.hurt)}."
        if self.doubts:
            text += f" Nobody knows when these come: {', '.join(self.doubts)}."
        return text

    def as_dict(self) -> dict[str, Any]:
        """The same for a machine."""
        told = {"what": self.what, "word": self.word, "doubts": list(self.doubts), "hurt": list(self.hurt),
                "sentence": self.sentence}  # fmt: skip
        return {**self.answer.as_dict(), **told}


_ASKED: Final = "asked"
"""Stands for the number of a blade that has none yet."""


class _Parts(NamedTuple):
    coming: tuple[Arrival, ...]
    unknown: tuple[str, ...]
    hurt: tuple[str, ...]


class Promising:
    """Plans, asks and keeps.

    Args:
        desk: The shop.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._wall = CrewWall(desk)

    @property
    def stamp(self) -> int:
        """Number of the last event [-]; 0 where no records are kept."""
        return self._desk.seen.stamp[0]

    def kept(self, state: State | None = None) -> Kept | None:
        """The last plan kept, or None.

        Args:
            state: Only of this state.
        """
        if self._desk.records is None:
            return None
        with self._desk.records.reading() as reads:
            row = reads.last_plan(KIND, state=state)
            event = reads.look(r.Event, row.event) if row else None
        return kept_of(row, event.who if event else "") if row else None

    def standing(self) -> Standing:
        """What stands beside the orders since the last plan was kept."""
        last = self.kept()
        return (last.standing if last else Standing()).at(self._desk.now)

    def learned(self) -> tuple[Learned, ...]:
        """What each operation takes by the hours that were worked."""
        return self._wall.learned()

    def plan(
        self, standing: Standing | None = None, *, anew: bool = False, steps: int | None = None,
        progress: Report | None = None, stop: Stop | None = None,
    ) -> Made:  # fmt: skip
        """Plan all open orders as they are now; the last plan kept is mended where there is one.

        Args:
            standing: What stands beside the orders; left out, what stood with the last plan.
            anew: Whether everything may move.
            steps: Schedules that may be built [-]; left out, by how many orders there are.
            progress: Told how far it has come.
            stop: Asked now and then.

        Raises:
            NotFoundError: The rulebook has no crew, or somebody away is none of it.
            PlanInputError: Something makes no sense.
            NoPlanInTimeError: Stopped before there was one.
        """
        stamp, last = self.stamp, self.kept()
        now = (standing if standing is not None else last.standing if last else Standing()).at(self._desk.now)
        self._check(now)
        entry = self._wall.entry(now)
        if not entry.jobs:
            raise NotFoundError("nothing is to be planned", value=f"{len(entry.orders)} open orders",
                                way_out="Take an order in first.")  # fmt: skip
        before = last.plan if last else None
        mending = before is not None and not anew
        count = steps or steps_for(MEND_STEPS if mending else STEPS, len(entry.jobs))
        if before is None or anew:
            found = plan(entry.jobs, entry.crew, entry.calendar, entry.started, SECONDS, before=before, steps=count,
                         progress=progress, stop=stop)  # fmt: skip
        else:
            found = replan(entry.jobs, entry.crew, entry.calendar, entry.started, before, SECONDS, steps=count,
                           progress=progress, stop=stop)  # fmt: skip
        return Made(plan=found, before=before, entry=entry, standing=now, stamp=stamp)

    def _check(self, standing: Standing) -> None:
        """Refuse what the entry would not notice: an order nobody has."""
        for number in (*standing.rush, *(one.order for one in standing.later)):
            self._desk.order(number)
        if standing.temperature is not None:
            cure(self._desk.rulebook, standing.temperature)

    def ask(self, question: Question, *, steps: int | None = None, stop: Stop | None = None) -> Answered:
        """Ask whether something can be promised; nothing is moved or written by asking.

        Args:
            question: What and when.
            steps: Schedules that may be built [-]; left out, by how many orders there are.
            stop: Asked now and then.

        Raises:
            NotFoundError: No such order.
            EntryError: The moment has passed, or the blade cannot be built.
        """
        desk = self._desk
        on = question.on if isinstance(question.on, datetime) else moment(desk.rulebook, question.on)
        if on <= desk.now:
            raise EntryError("that moment has passed", value=f"{on:%a %d %b %Y %H:%M}",
                             limit=f"now, {desk.now:%a %d %b %Y %H:%M}", way_out="Ask for a later one.")  # fmt: skip
        last = self.kept()
        standing = self.standing()
        entry = self._wall.entry(standing)
        job, what, parts, own = self._asked(question, on, entry, standing)
        others = [one for one in entry.jobs if one.number != job.number]
        started = [one for one in entry.started if one.job != job.number] + own
        count = steps or steps_for(ASK_STEPS, len(others))
        # Without a kept plan it is held against that of this moment.
        # It is part of that where it is on the wall already, so that its place is its own.
        before = last.plan if last else plan(entry.jobs, entry.crew, entry.calendar, entry.started,
                                             SECONDS, steps=count, stop=stop)  # fmt: skip
        found = can_promise(job, others, entry.crew, entry.calendar, started, _known(before, others), SECONDS,
                            steps=count, stop=stop)  # fmt: skip
        return Answered(answer=found, what=what, doubts=parts.unknown, hurt=parts.hurt)

    def _asked(
        self, question: Question, on: datetime, entry: Entry, standing: Standing
    ) -> tuple[Job, str, _Parts, list[Any]]:
        learned = self.learned() if standing.learned else ()
        today = self._desk.now.date()
        if question.order:
            order = self._desk.order(question.order)
            if question.rush:
                standing = replace(standing, rush=(*standing.rush, order.number))
            coming, unknown, said = self._wall.coming()
            parts = _Parts(coming.get(order.number, ()), tuple(unknown.get(order.number, ())), ())
            if order.spec is not None and order.state == "quote only":
                # A mere quote takes nothing off the shelf yet; were it promised, it would.
                parts = self._parts(self._desk.build_of(order), on, known=order.waits)
            waits = waits_of(order, standing, parts.coming, today)
            job = self._wall.job(order, on, waits, standing, learned, said)
            own = [s for s in entry.started if s.job == order.number]
            return job, f"{order.number}, {order.customer}", parts, own
        if not question.blade:
            raise EntryError("nothing is asked for", way_out="Give an order's number, or series and width.")
        entry_of = dict(question.blade)
        extras = ["rush"] if question.rush else []
        spec = from_dict({"mount": "loader", "carrier": "skid steer", "hoses": "none", **entry_of, "extras": extras},
                         where="what is asked for")  # fmt: skip
        build = self._desk.worked(spec).build
        asked = Order(number=_ASKED, customer="", carrier="", kind="blade", spec=spec, due=on, state="not started",
                      note="")  # fmt: skip
        parts = self._parts(build, on)
        waits = waits_of(asked, standing, parts.coming, today)
        job = self._wall.job(asked, on, waits, standing, learned, [])
        return replace(job, number=build.name), build.name, parts, []

    def _parts(self, build: Build, on: datetime, *, known: Sequence[Waits] = ()) -> _Parts:
        """What a blade that is not on the wall takes off the shelf: when it comes, and whose it would be."""
        counter, today = self._desk.counter, self._desk.now.date()
        day = needed_by(on, counter.dock.stock.days_before.value, today=today)
        shared = share([*counter.wants(), *blade_wants(build, order=_ASKED, day=day)], counter.supplies())
        own = [s for s in shared.short if s.want.order == _ASKED]
        comes = [(g.want.what, g.day) for g in shared.given if g.want.order == _ASKED and g.day > today]
        comes += [(s.want.what, s.until) for s in own if s.until is not None]
        was = {(s.want.order, s.want.what): s.until for s in counter.shortages().short}
        edge = any("edge" in one.what for one in known)
        return _Parts(
            coming=tuple(Arrival(operation="assemble", what=what, on=day) for what, day in comes),
            # What the order itself says it waits for has its day.
            unknown=tuple(s.want.what for s in own if s.until is None and not (edge and " edge of " in s.want.what)),
            hurt=tuple(
                s.text for s in shared.short
                if s.want.order != _ASKED and was.get((s.want.order, s.want.what), date.min) != s.until
            ),
        )  # fmt: skip

    def keep(self, hand: Hand, made: Made, state: State = "draft") -> dict[str, Any]:
        """Keep a plan in the records: one command, refused where anything was written since the plan was made.

        Args:
            hand: Who keeps it.
            made: The plan.
            state: Draft, or released to the floor.

        Raises:
            EntryError: Something was written since.
            NotFoundError: No records are open.
        """

        def do(c: Command) -> dict[str, Any]:
            if c.number - 1 != made.stamp:
                raise EntryError(
                    "something was written down since this plan was made", value=f"event {c.number - 1}",
                    limit=f"event {made.stamp}", way_out="Plan again, look at it, and keep that one.",
                )  # fmt: skip
            standing = settled(c, made.standing)
            row = c.add(r.Plan, kind=KIND, state=state, at=c.at, asked={"standing": standing.as_dict()},
                        body=body_of(made.plan, made.entry.left_out, made.entry.doubts.sentences()))  # fmt: skip
            late = [p.job for p in made.plan.promises if p.mark == "late"]
            said = f"Crew plan {row.id} {'released' if state == 'released' else 'kept'}: "
            said += f"{counted(len(made.plan.promises), 'order')}, {', '.join(late) or 'none'} late, "
            said += f"{counted(len(made.plan.moved), 'operation')} moved."
            return {"said": said, "plan": row.id, "mark": mark_of(made.plan), "late": late}

        name = "release the crew plan" if state == "released" else "keep the crew plan"
        asked = {"standing": made.standing.as_dict(), "state": state}
        return self._desk.book.run(name, do, who=hand.who, key=hand.key, asked=asked)


def _known(before: CrewPlan, others: Sequence[Job]) -> CrewPlan:
    """The plan before, of what is still to be done: what left the wall since is no promise any more."""
    numbers = {job.number for job in others}
    return replace(before, promises=tuple(p for p in before.promises if p.job in numbers),
                   assignments=tuple(a for a in before.assignments if a.job in numbers))  # fmt: skip


def steps_for(steps: int, jobs: int) -> int:
    """Schedules that may be built, fewer on a long wall [-].

    Args:
        steps: Of a usual wall [-].
        jobs: How many jobs there are [-].
    """
    return max(60, round(steps * min(1.0, USUAL / max(1, jobs))))
