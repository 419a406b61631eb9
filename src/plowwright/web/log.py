"""The page 'What was done': the events of the records by day, and one of them opened."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import urlencode

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse

from plowwright.desk.floor_chain import clock
from plowwright.desk.log import log_of, opened
from plowwright.errors import PlowwrightError

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk


WORDS: Final = {"advance": "next step", "cancel": "call off", "load": "loaded", "match": "read together",
                "lift": "lift the hold"}  # fmt: skip
"""Commands whose name in the records is no word of the shop."""


class LogPages:
    """Answers /events.

    Args:
        desk: The shop.
        page: Sets a template.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse]) -> None:
        self._desk = desk
        self._page = page

    def add_to(self, app: FastAPI) -> None:
        """Put the address on the application."""
        app.get("/events", response_class=HTMLResponse)(self.events)

    def events(self, request: Request) -> HTMLResponse:
        """The log, or one event of it."""
        query = request.query_params
        if query.get("event", "").isascii() and query.get("event", "").isdigit():
            found = opened(self._desk, int(query["event"]))
            return self._page(request, "log-event.html", one=found, at=clock(found.entry.at), words=WORDS)
        typed = {name: query.get(name, "").strip() for name in ("order", "by")}
        before = query.get("before", "")
        view: dict[str, Any] = {"days": [], "typed": typed, "older": ""}
        status, error = 200, None
        try:
            log = log_of(self._desk, order=typed["order"], who=typed["by"],
                         before=int(before) if before.isascii() and before.isdigit() else None)  # fmt: skip
            view["days"] = [(clock(day), entries) for day, entries in log.days]
            if log.before is not None:
                asked = {name: value for name, value in typed.items() if value}
                view["older"] = f"/events?{urlencode({**asked, 'before': log.before})}"
        except PlowwrightError as fault:
            status, error = 422, fault.as_dict()
        return self._page(request, "log.html", status, view=view, words=WORDS, error=error)
