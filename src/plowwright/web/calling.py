"""The page 'Who's calling': what the caller tells, in any order, and what can be said of it at once."""

from __future__ import annotations

import gc
import time
from collections import OrderedDict
from collections.abc import Callable, Hashable
from concurrent.futures import Future, ThreadPoolExecutor, wait
from dataclasses import dataclass, field
from threading import Lock
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import urlencode

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse

from plowwright.blade.build import Build
from plowwright.blade.carriers import Carrier
from plowwright.blade.work import Work
from plowwright.desk.fit import FitAnswer
from plowwright.errors import PlowwrightError
from plowwright.web import forms, telling
from plowwright.web.enquiry import SHOWN, answer_view, form_view, notes
from plowwright.web.forms import System
from plowwright.web.frames import Frames, look_view
from plowwright.web.jobs import asks_how_far, placed
from plowwright.web.telling import Told

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

AT_ONCE: Final = 0.4
"""How long an answer is waited for before its progress is shown [s]; a warm one takes a hundredth."""
_KEPT: Final = 24


@dataclass
class Answering:
    """One answer on its way or there.

    Attributes:
        begun: When it was asked for, by a clock that never goes back [s].
        left: Whether the wait for it was left.
        found: The answer, once it is.
    """

    begun: float = field(default_factory=time.monotonic)
    left: bool = False
    found: Future[FitAnswer] = field(default_factory=Future)


class Answers:
    """Answers one enquiry after the other; one that was left again before its turn is dropped.

    Args:
        desk: What answers them.
    """

    def __init__(self, desk: Desk) -> None:
        self._fit = desk.fit
        self._on_way: OrderedDict[Hashable, Answering] = OrderedDict()
        self._ranges: set[tuple[str, str]] = set()
        self._lock = Lock()
        self._hand = ThreadPoolExecutor(max_workers=1, thread_name_prefix="calling")

    def at_hand(self, carrier: Carrier, work: Work, system: System) -> FitAnswer | None:
        """The answer at once where the range of such machines was worked out before, None where it would take long.

        Args:
            carrier: The machine, as far as it is known.
            work: Its work.
            system: US or metric sentences.

        Raises:
            PlowwrightError: It cannot be answered.
        """
        return self._fit.answer(carrier, work, system) if _range_of(carrier) in self._ranges else None

    def answer(self, carrier: Carrier, work: Work, system: System, *, going: bool = False) -> Answering:
        """The answer to an enquiry, begun when it was not asked for before.

        Args:
            carrier: The machine, as far as it is known.
            work: Its work.
            system: US or metric sentences.
            going: Whether a page only asks how far it is; a wait that was left then stays left.
        """
        key = self._key(carrier, work, system)
        with self._lock:
            job = self._on_way.get(key)
            if job is not None and job.left and going:
                return job
            if job is not None:
                job.left = False
            if job is None or job.found.cancelled():
                self._drop()
                job = self._on_way[key] = Answering()
                job.found = self._hand.submit(self._work, carrier, work, system)
                while len(self._on_way) > _KEPT:
                    self._on_way.popitem(last=False)
        return job

    def _work(self, carrier: Carrier, work: Work, system: System) -> FitAnswer:
        found = self._fit.answer(carrier, work, system)
        self._ranges.add(_range_of(carrier))
        return found

    def warm(self) -> None:
        """Work the range out before anybody calls."""
        self._hand.submit(self._warm)

    def _warm(self) -> None:
        self._fit.warm()
        # The range stays for good. Looking through it for rubbish held an answer up by a twentieth of a second.
        gc.collect()
        gc.freeze()

    def leave(self, carrier: Carrier, work: Work, system: System) -> None:
        """Drop an answer that has not begun; what has begun ends by itself and is kept for the next time.

        Args:
            carrier: The machine, as far as it is known.
            work: Its work.
            system: US or metric sentences.
        """
        with self._lock:
            job = self._on_way.get(self._key(carrier, work, system))
            if job is not None:
                job.left = True
                job.found.cancel()

    def _key(self, carrier: Carrier, work: Work, system: System) -> Hashable:
        # What is known of frames changes an answer, so it is part of what was asked.
        return (carrier, work, system, len(self._fit.capacities))

    def _drop(self) -> None:
        for other in list(self._on_way):
            if not self._on_way[other].left and self._on_way[other].found.cancel():
                del self._on_way[other]


def _range_of(carrier: Carrier) -> tuple[str, str]:
    """What decides which blades are looked at: the machine's kind and its couplers."""
    couplers = carrier.known("couplers")
    return carrier.kind, couplers.text if couplers else ""


class CallingPage:
    """Answers the addresses of the page.

    Args:
        desk: The shop's rules and carriers.
        page: Sets a template.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse]) -> None:
        self._desk = desk
        self._page = page
        self._answers = Answers(desk)
        self._frames = Frames(desk.fit)

    def add_to(self, app: FastAPI) -> None:
        """Put its addresses on the application."""
        app.get("/calling", response_class=HTMLResponse)(self.sheet)
        app.get("/calling/answer", response_class=HTMLResponse)(self.answer)
        app.get("/calling/stop", response_class=HTMLResponse)(self.stop)
        app.get("/calling/frames", response_class=HTMLResponse)(self.frames)
        app.get("/calling/frames/stop", response_class=HTMLResponse)(self.stop_frames)

    def warm(self) -> None:
        """Work out what the first caller would wait for."""
        self._answers.warm()

    def sheet(self, request: Request) -> HTMLResponse:
        """The page with its form; the answer stands beside it at once where it is at hand."""
        told, system = self._told(request)
        pairs = [*told.pairs(), ("units", "metric" if system == "us" else "us")]
        switch = {
            "href": f"/calling?{urlencode(pairs)}", "words": "Metric" if system == "us" else "Inches and pounds"
        }  # fmt: skip
        view = {**form_view(told, self._desk, system), "answer": self._answer(told, system)}
        page = self._page(request, "calling.html", view=view, switch_units=switch)
        page.set_cookie("units", system, max_age=forms.YEAR, samesite="strict")
        return page

    def answer(self, request: Request) -> HTMLResponse:
        """What a changed field changes: the answer, and the words beside the fields."""
        told, system = self._told(request)
        answer = self._answer(told, system, going=asks_how_far(request))
        view = {"answer": answer, "notes": notes(told), "query": told.query}
        waits = "again" in answer
        name = "calling-answer.html" if waits and asks_how_far(request) else "calling-changed.html"
        page = self._page(request, name, view=view)
        page.headers["HX-Replace-Url"] = f"/calling?{told.query}"
        return placed(request, page, "answer", waits=waits)

    def stop(self, request: Request) -> HTMLResponse:
        """Leave the wait for an answer."""
        told, system = self._told(request)
        self._answers.leave(told.machine, told.work, system)
        return self._page(request, "calling-answer.html", view={"answer": {"stopped": True, "query": told.query}})

    def frames(self, request: Request) -> HTMLResponse:
        """What the frames of the blades shown stand: begun at the first call, then how far it is, then the answer."""
        told, system = self._told(request)
        view: dict[str, Any] = {"query": told.query}
        builds = self._builds(told, system)
        look = self._frames.look(builds, going=asks_how_far(request))
        wait([look.found], timeout=AT_ONCE / 4)
        waits = not look.given_up and not look.found.done()
        if look.given_up:
            view["stopped"] = True
        elif waits:
            view |= look_view(look, len(builds))
        else:
            view["found"] = True
            try:
                look.found.result()
            except PlowwrightError as error:
                view["error"] = error.sentence()
        return placed(request, self._page(request, "calling-frames.html", frames=view), "frames", waits=waits)

    def stop_frames(self, request: Request) -> HTMLResponse:
        """End the look at the frames."""
        told, system = self._told(request)
        self._frames.stop(self._builds(told, system))
        return self._page(request, "calling-frames.html", frames={"query": told.query, "stopped": True})

    def _builds(self, told: Told, system: System) -> list[Build]:
        """The blades shown in full that are still possible."""
        rows = self._desk.fit.answer(told.machine, told.work, system).rows
        return [row.option.build for row in rows[:SHOWN] if row.verdict != "does not suit"]

    def _told(self, request: Request) -> tuple[Told, System]:
        system = forms.system_of(request.query_params, request.cookies)
        spreads = spreads_of(self._desk)
        return telling.told_of(request.query_params, self._desk, spreads=spreads, system=system), system

    def _answer(self, told: Told, system: System, *, going: bool = False) -> dict[str, Any]:
        try:
            found = self._answers.at_hand(told.machine, told.work, system)
            if found is None:
                job = self._answers.answer(told.machine, told.work, system, going=going)
                wait([job.found], timeout=AT_ONCE)
                if job.left:
                    return {"stopped": True, "query": told.query}
                if not job.found.done() or job.found.cancelled():
                    return {"again": told.query, "waited": round(time.monotonic() - job.begun), "query": told.query}
                found = job.found.result()
            return answer_view(found, told, system)
        except PlowwrightError as error:
            return {"error": error.as_dict(), "query": told.query}


def spreads_of(desk: Desk) -> Any:
    """The spreads of the rulebook in force.

    Args:
        desk: The shop's rules.
    """
    rules = desk.rulebook.strength
    return telling.Spreads.from_rules(rules.fact_spreads) if rules else telling.ASSUMED
