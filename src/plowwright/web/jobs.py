"""Long work behind a page: begun once, watched, stopped, the last few kept."""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable, Collection, Hashable, Iterable
from concurrent.futures import Future, ThreadPoolExecutor, wait
from dataclasses import dataclass, field
from threading import Event, RLock
from typing import Any, Final, Generic, Protocol, TypeVar

from fastapi import Request
from fastapi.responses import HTMLResponse

from plowwright.desk.orders import Order

AT_ONCE: Final = 0.05
"""How long a page waits for work that may be done at once [s]."""

Asked = TypeVar("Asked", bound=Hashable)
Found = TypeVar("Found")
Reached = TypeVar("Reached")


class Stopped(Exception):
    """Somebody pressed stop, and nothing was found that could be taken."""


def asks_how_far(request: Request) -> bool:
    """Whether an open page asks how far work is that it saw on its way. That begins nothing which was stopped since.

    Args:
        request: What is asked.
    """
    return request.query_params.get("going") == "yes"


def placed(request: Request, page: HTMLResponse, at: str, *, waits: bool) -> HTMLResponse:
    """An answer sent to its place: how far it is to its own, so that the press beside it stays; the end to the whole.

    Args:
        request: What is asked.
        page: The answer.
        at: Name of the part of the page it belongs to.
        waits: Whether it says how far work is.
    """
    if asks_how_far(request) and not waits:
        page.headers["HX-Retarget"] = f"#{at}"
        page.headers["HX-Reswap"] = "innerHTML"
    return page


@dataclass
class Job(Generic[Found, Reached]):
    """Work on its way or done.

    Attributes:
        begun: When it was asked for [s].
        reached: How far it has come.
        stop: Set when somebody pressed stop; the best so far is then taken, where there is one.
        given_up: Whether it was stopped, and is to be begun anew when somebody asks for it again.
        found: What came of it, once it is.
    """

    begun: float = field(default_factory=time.monotonic)
    reached: Reached | None = None
    stop: Event = field(default_factory=Event)
    given_up: bool = False
    found: Future[Found] = field(default_factory=Future[Found])

    def told(self, reached: Reached) -> None:
        """Keep how far it has come."""
        self.reached = reached

    def told_or_stopped(self, reached: Reached) -> None:
        """Keep how far work has come that has no best so far.

        Raises:
            Stopped: Somebody pressed stop.
        """
        if self.stop.is_set():
            raise Stopped
        self.reached = reached

    def end(self) -> None:
        """Take what is known so far; asked for once more, it is looked for anew."""
        if not self.found.done():
            self.given_up = True
            self.stop.set()

    @property
    def came_to_nothing(self) -> bool:
        """Whether it is over without a result: refused, gone wrong, or stopped before there was one."""
        return self.found.cancelled() or (self.found.done() and self.found.exception() is not None)

    def done_at_once(self) -> bool:
        """Whether it is done, or is within the moment a page waits."""
        wait([self.found], timeout=AT_ONCE)
        return self.found.done()

    def waited(self) -> int:
        """Since it was asked for, in whole seconds [s]."""
        return round(time.monotonic() - self.begun)


class Jobs(Generic[Asked, Found, Reached]):
    """One piece of work after the other, the last few looked at kept.

    Args:
        name: Of the thread, for who looks at the machine.
        kept: How many are kept [-].
    """

    def __init__(self, name: str, *, kept: int) -> None:
        self._kept = kept
        self._jobs: OrderedDict[Asked, Job[Found, Reached]] = OrderedDict()
        self._lock = RLock()
        self._hand = ThreadPoolExecutor(max_workers=1, thread_name_prefix=name)

    def job(
        self, asked: Asked, work: Callable[[Job[Found, Reached]], Found], *, going: bool = False
    ) -> Job[Found, Reached]:
        """A piece of work, begun when it was not asked for before, was refused or was dropped.

        Args:
            asked: Which.
            work: Does it; watches the job's stop and tells the job how far it is.
            going: Whether a page only asks how far it is: what was refused or dropped then stays so.
        """
        with self._lock:
            job = self._jobs.get(asked)
            if job is None or (not going and (job.came_to_nothing or job.given_up)):
                job = self._jobs[asked] = Job[Found, Reached]()
                job.found = self._hand.submit(work, job)
            # What is looked at stays: a plan pushed out would be made anew, and need not come out the same.
            self._jobs.move_to_end(asked)
            while len(self._jobs) > self._kept:
                self._jobs.popitem(last=False)
            return job

    def drop(self, asked: Asked) -> None:
        """End work that has no best so far; what is done stays.

        Args:
            asked: Which.
        """
        with self._lock:
            job = self._jobs.get(asked)
            if job is not None and not job.found.done():
                job.end()
                job.found.cancel()


class Stage(Protocol):
    """What a plan tells of itself on its way: what it is at, in words, and how many stocks are finished of how many."""

    @property
    def stock(self) -> str: ...
    @property
    def stage(self) -> str: ...
    @property
    def done(self) -> int: ...
    @property
    def total(self) -> int: ...


ReachedStage = TypeVar("ReachedStage", bound=Stage)


def reached_view(job: Job[Found, ReachedStage], waiting: str) -> dict[str, Any]:
    """How far a plan has come, as a page shows it.

    Args:
        job: The plan.
        waiting: What is said before it has told anything.
    """
    reached = job.reached
    said = waiting if reached is None else f"{reached.stock}: {reached.stage}"
    done, total = (0, 1) if reached is None else (reached.done, reached.total)
    return {"waits": True, "said": said, "done": done, "total": total, "waited": job.waited()}


def orders_view(orders: Iterable[Order], chosen: Collection[str]) -> list[dict[str, Any]]:
    """The orders a plan can take in, as a page lists them.

    Args:
        orders: In the page's order.
        chosen: Numbers that are ticked.
    """
    return [
        {"number": o.number, "customer": o.customer, "due": f"{o.due:%a %d %b}", "chosen": o.number in chosen}
        for o in orders
    ]
