"""What a crew plan says: who does what when, how each promise stands, and what moved against an earlier plan."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, Literal

Status = Literal["proved best", "not proved", "stopped"]
Mark = Literal["safe", "tight", "needs a night", "late", "no promise"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Assignment:
    """One operation with its person and time.

    Attributes:
        job: Order number.
        operation: Its name.
        person: Who does it, "" for a wait.
        begin: When it begins.
        end: When it is finished.
        overtime: Of it, worked in the evening [s].
        settled: Whether it was under way or done when the plan was made.
    """

    job: str
    operation: str
    person: str
    begin: datetime
    end: datetime
    overtime: float = 0.0
    settled: bool = False

    def as_dict(self) -> dict[str, Any]:
        """The same for a machine; overtime in hours."""
        return {
            "job": self.job, "operation": self.operation, "person": self.person,
            "begin": self.begin.isoformat(timespec="minutes"), "end": self.end.isoformat(timespec="minutes"),
            "overtime_h": round(self.overtime / 3600, 2), "settled": self.settled,
        }  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Promise:
    """How one promise stands.

    Attributes:
        job: Order number.
        due: The promise, None where there is none.
        done: When it can go.
        weight: What an hour late counts [-].
        mark: Safe, tight, needs a night, late or no promise.
        cause: What it waits for last, in words.
        soonest: When it could go with the whole shop to itself; nothing makes it sooner.
    """

    job: str
    due: datetime | None
    done: datetime
    weight: float
    mark: Mark
    cause: str
    soonest: datetime

    @property
    def late(self) -> float:
        """How late it is [s]."""
        return 0.0 if self.due is None else max(0.0, (self.done - self.due).total_seconds())

    @property
    def in_hand(self) -> timedelta | None:
        """Time between done and promised; None without a promise or where it is late."""
        return self.due - self.done if self.due is not None and self.done <= self.due else None

    def as_dict(self) -> dict[str, Any]:
        """The same for a machine; late in hours."""
        return {
            "job": self.job,
            "due": self.due.isoformat(timespec="minutes") if self.due else None,
            "done": self.done.isoformat(timespec="minutes"),
            "soonest": self.soonest.isoformat(timespec="minutes"),
            "late_h": round(self.late / 3600, 2), "weight": self.weight, "mark": self.mark, "cause": self.cause,
        }  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """An operation that is not where it was in an earlier plan.

    Attributes:
        job: Order number.
        operation: Its name.
        was: Person and begin before.
        now: Person and begin in this plan.
    """

    job: str
    operation: str
    was: tuple[str, datetime]
    now: tuple[str, datetime]

    @property
    def near(self) -> datetime:
        """The sooner of both begins."""
        return min(self.was[1], self.now[1])


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewPlan:
    """Who does what when.

    Attributes:
        assignments: All operations, by begin.
        promises: How each job stands, in the order given.
        objective: Weighted hours late [h].
        bound: No plan can be less late [h].
        bound_from: Where the bound comes from, in words.
        overtime: Worked in evenings [h].
        finish: Weighted hours until the jobs are done; less means more in hand [h].
        nights: Evenings worked, person and day.
        status: Whether the lateness is proved the least, not proved, or the search was stopped.
        seconds: Time it took [s].
        first_seconds: Time until the first whole plan [s].
        baseline: Weighted hours late when the earliest promise always goes first [h].
        best_rule: Weighted hours late of the best priority rule [h].
        method: How it was found, in words.
        moved: What is not where it was in the earlier plan.
    """

    assignments: tuple[Assignment, ...]
    promises: tuple[Promise, ...]
    objective: float
    bound: float
    bound_from: str
    overtime: float
    finish: float
    nights: tuple[tuple[str, date], ...]
    status: Status
    seconds: float
    first_seconds: float
    baseline: float
    best_rule: float
    method: str
    moved: tuple[Move, ...] = ()

    @property
    def lateness(self) -> dict[str, float]:
        """How late each job is, by its number [h]."""
        return {p.job: p.late / 3600 for p in self.promises}

    @property
    def gap(self) -> float:
        """How far above the bound, as a share of the objective [-]."""
        over = self.objective - self.bound
        return over / self.objective if over > 1e-9 else 0.0

    def promise(self, job: str) -> Promise:
        """How one order stands.

        Args:
            job: Its number.
        """
        return next(p for p in self.promises if p.job == job)

    def of(self, person: str) -> tuple[Assignment, ...]:
        """Somebody's own list, by begin.

        Args:
            person: Whose.
        """
        return tuple(a for a in self.assignments if a.person == person)

    def as_dict(self) -> dict[str, Any]:
        """The plan for a machine; times in hours."""
        return {
            "objective_h": round(self.objective, 3),
            "bound_h": round(self.bound, 3),
            "bound_from": self.bound_from,
            "status": self.status,
            "seconds": round(self.seconds, 3),
            "overtime_h": round(self.overtime, 2),
            "baseline_h": round(self.baseline, 3),
            "method": self.method,
            "nights": [{"person": who, "day": day.isoformat()} for who, day in self.nights],
            "promises": [p.as_dict() for p in self.promises],
            "assignments": [a.as_dict() for a in self.assignments],
            "moved": [
                {"job": m.job, "operation": m.operation,
                 "was": [m.was[0], m.was[1].isoformat(timespec="minutes")],
                 "now": [m.now[0], m.now[1].isoformat(timespec="minutes")]}
                for m in self.moved
            ],
        }  # fmt: skip
