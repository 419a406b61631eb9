"""Long work behind a page: begun once, watched, stopped with the best so far, the last few kept."""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable, Collection, Hashable, Iterable
from concurrent.futures import Future, ThreadPoolExecutor, wait
from dataclasses import dataclass, field
from threading import Event, RLock
from typing import Any, Final, Generic, Protocol, TypeVar

from plowwright.desk.orders import Order

AT_ONCE: Final = 0.05
"""How long a page waits for work that may be done at once [s]."""

Asked = TypeVar("Asked", bound=Hashable)
Found = TypeVar("Found")
Reached = TypeVar("Reached")


@dataclass
class Job(Generic[Found, Reached]):
    """Work on its way or done.

    Attributes:
        begun: When it was asked for [s].
        reached: How far it has come.
        stop: Set when somebody pressed stop; the best so far is then taken.
        found: What came of it, once it is.
    """

    begun: float = field(default_factory=time.monotonic)
    reached: Reached | None = None
    stop: Event = field(default_factory=Event)
    found: Future[Found] = field(default_factory=Future[Found])

    def told(self, reached: Reached) -> None:
        """Keep how far it has come."""
        self.reached = reached

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

    def job(self, asked: Asked, work: Callable[[Job[Found, Reached]], Found]) -> Job[Found, Reached]:
        """A piece of work, begun when it was not asked for before or was refused.

        Args:
            asked: Which.
            work: Does it; watches the job's stop and tells the job how far it is.
        """
        with self._lock:
            job = self._jobs.get(asked)
            if job is None or (job.found.done() and job.found.exception()):
                job = self._jobs[asked] = Job[Found, Reached]()
                job.found = self._hand.submit(work, job)
            # What is looked at stays: a plan pushed out would be made anew, and need not come out the same.
            self._jobs.move_to_end(asked)
            while len(self._jobs) > self._kept:
                self._jobs.popitem(last=False)
            return job


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
