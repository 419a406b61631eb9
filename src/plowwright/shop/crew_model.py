"""What a crew plan is made from: jobs, people, stations and the calendar.

Working time is counted on people's own hours: an operation begun at four goes on next morning. Waits (cure, outside
work) run on the wall clock, nights and Sundays included.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time

DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


@dataclass(frozen=True, slots=True, kw_only=True)
class After:
    """An operation that must be finished before another begins.

    Attributes:
        operation: Its name.
        lag: Wall time between its end and the other's start [s].
        job: Number of its job, "" for the same one.
    """

    operation: str
    lag: float = 0.0
    job: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """One piece of work, or one wait.

    Attributes:
        name: What it is; no two of one job share a name.
        time: Working time, or wall time of a wait [s].
        work: The skill it needs; "" for a wait, at which nobody stands.
        after: What must be finished before.
        stations: Kinds of station it takes, one of each.
        keeps: How long its stations stay taken after its end, on the wall clock [s].
        not_before: When what it needs is here; None where all is here.
        waits_for: What that is, in words.
        in_one_day: Whether it may not run over a night.
    """

    name: str
    time: float
    work: str = ""
    after: tuple[After, ...] = ()
    stations: tuple[str, ...] = ()
    keeps: float = 0.0
    not_before: datetime | None = None
    waits_for: str = ""
    in_one_day: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """All work on one order.

    Attributes:
        number: Order number with its check letter.
        operations: Its operations and waits.
        due: The promise; None where nothing was promised.
        weight: What an hour late counts against other orders [-].
        ready: Waits that must be over before it can go, besides the end of all operations.
        holds: Kind of station it keeps from one operation until it goes, or "".
        holds_from: The operation from whose start on.
    """

    number: str
    operations: tuple[Operation, ...]
    due: datetime | None = None
    weight: float = 1.0
    ready: tuple[After, ...] = ()
    holds: str = ""
    holds_from: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours:
    """Hours of one day of the week.

    Attributes:
        day: Mon, Tue, ...
        begin: When they begin.
        end: When they end.
    """

    day: str
    begin: time
    end: time


@dataclass(frozen=True, slots=True, kw_only=True)
class Away:
    """Time in which somebody is not there.

    Attributes:
        begin: From when.
        end: Until when.
        why: Sick, holiday, on the road.
    """

    begin: datetime
    end: datetime
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody of the crew.

    Attributes:
        name: As it stands on the wall.
        skills: What he may do.
        hours: His hours of the week.
        away: When he is not there.
        nights: Evenings a week he works longer when a promise asks for it [-].
        night: How long he then stays after his last hour [s].
    """

    name: str
    skills: frozenset[str]
    hours: tuple[Hours, ...]
    away: tuple[Away, ...] = ()
    nights: int = 0
    night: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """Places of one kind.

    Attributes:
        name: Saw, plasma table, bench, paint bay, stand.
        count: How many there are [-].
    """

    name: str
    count: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Crew:
    """People and places.

    Attributes:
        people: Who is there.
        stations: What is there.
    """

    people: tuple[Person, ...]
    stations: tuple[Station, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Calendar:
    """The clock of a plan.

    Attributes:
        now: The moment it is made; nothing new begins before.
        closed: Days on which nobody works.
        slot: Finest division of time; work and waits are rounded up to it [s].
        tight: A promise with less than this in hand is tight [s].
    """

    now: datetime
    closed: frozenset[date] = frozenset()
    slot: float = 900.0
    tight: float = 86400.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Started:
    """An operation that is under way or done.

    Attributes:
        job: Order number.
        operation: Which one.
        begun: When it began.
        person: Who is at it, "" for a wait.
        left: Work still to do from now on, 0 once it is done [s].
        ended: When it was done; None while it is under way.
        hand_over: Whether another may finish it.
    """

    job: str
    operation: str
    begun: datetime
    person: str = ""
    left: float = 0.0
    ended: datetime | None = None
    hand_over: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """How far a plan has come.

    Attributes:
        late: Weighted hours late of the best plan so far [h].
        bound: What is proved so far [h].
        seconds: Since the start [s].
        stage: What is being tried, in words.
    """

    late: float
    bound: float
    seconds: float
    stage: str


Report = Callable[[Progress], None]
"""Called now and then with how far it has come."""
Stop = Callable[[], bool]
"""Asked now and then; True ends the search, and the best so far is handed back."""
