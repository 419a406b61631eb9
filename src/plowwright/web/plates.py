"""The page 'Sheets and holes': the plate of the chosen orders laid on sheets, and the hole sheet of every edge."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import urlencode

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse, Response
from starlette.datastructures import QueryParams

from plowwright.desk.acting import Hand
from plowwright.desk.nesting import Nests
from plowwright.desk.nests_kept import NestsKept
from plowwright.errors import NotFoundError, PlowwrightError, StoreError
from plowwright.papers.plate_sheet import mark_of
from plowwright.shop.nesting_limits import Progress
from plowwright.web import acting, forms
from plowwright.web.acting import WHO
from plowwright.web.jobs import Job, Jobs, placed
from plowwright.web.plates_kept import NestKeptPage
from plowwright.web.plates_view import FILES, Asked, asked_of, form_view, nest_view, waiting_view, written

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_KEPT: Final = 8


class PlatesPage:
    """Answers the addresses of the page.

    Args:
        desk: The shop's rules, orders and rack.
        page: Sets a template.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse]) -> None:
        self._desk = desk
        self._page = page
        self._jobs: Jobs[Asked, Nests, Progress] = Jobs("nesting", kept=_KEPT)

    def add_to(self, app: FastAPI) -> None:
        """Put its addresses on the application."""
        app.post("/plates/release")(self.release)
        NestKeptPage(self._desk, self._page).add_to(app)
        app.get("/plates", response_class=HTMLResponse)(self.sheet)
        app.get("/plates/nest", response_class=HTMLResponse)(self.nest)
        app.get("/plates/stop", response_class=HTMLResponse)(self.stop)
        app.get("/plates/papers/{name}")(self.paper)

    def job(self, asked: Asked) -> Job[Nests, Progress]:
        """A nest, begun when it was not asked for before or was refused.

        Args:
            asked: Which.
        """

        def work(job: Job[Nests, Progress]) -> Nests:
            printed = NestsKept(self._desk).draft(asked.plain) if self._desk.records is not None else None
            if printed is not None:
                return printed
            return self._desk.nesting.plan(asked.orders, seconds=asked.seconds, progress=job.told, stop=job.stop.is_set)

        return self._jobs.job(asked, work)

    def sheet(self, request: Request) -> HTMLResponse:
        """The page with its form; the nest loads by itself."""
        query, cutting = request.query_params, self._desk.cutting
        system = forms.system_of(query, request.cookies)
        try:
            asked = asked_of(query, self._desk)
            view = form_view(cutting, {o.number for o in cutting.chosen(asked.orders, table=True)}, asked)
            status = 200
        except PlowwrightError as error:
            view = {**form_view(cutting, set(), None), "error": error.as_dict()}
            status = 422
        other = "metric" if system == "us" else "us"
        words = "Metric" if other == "metric" else "Inches and pounds"
        switch = {"href": f"/plates?{urlencode([*query.multi_items(), ('units', other)])}", "words": words}
        page = self._page(request, "plates.html", status, view=view, switch_units=switch, under_way=self._under_way())
        page.set_cookie("units", system, max_age=forms.YEAR, samesite="strict")
        return page

    def nest(self, request: Request) -> HTMLResponse:
        """The nest: how far it is, or what came of it."""
        query = request.query_params
        system = forms.system_of(query, request.cookies)
        try:
            asked = asked_of(query, self._desk)
            job = self.job(asked)
            done = job.done_at_once()
            shown = nest_view(job.found.result(), asked, self._desk, system) if done else waiting_view(job, asked)
        except PlowwrightError as error:
            shown = {"error": error.as_dict()}
        return placed(request, self._page(request, "plates-nest.html", nest=shown), "nest", waits="waits" in shown)

    def stop(self, request: Request) -> HTMLResponse:
        """Take the best found so far."""
        self.job(asked_of(request.query_params, self._desk)).stop.set()
        return self.nest(request)

    def paper(self, request: Request, name: str) -> Response:
        """One paper of a nest that is made."""
        query = request.query_params
        if name not in FILES:
            raise NotFoundError("no such paper of a nest", value=name, way_out=f"There are: {', '.join(FILES)}.")
        asked = asked_of(query, self._desk)
        found = self.job(asked).found.result()
        if name.endswith(".pdf") and self._desk.records is not None:
            _keep(self._desk, asked, found, request.cookies.get(WHO, ""))
        body = written(name, found, self._desk, forms.system_of(query, request.cookies))
        headers = {"Content-Disposition": f'inline; filename="{name}"'}
        return Response(body, media_type=FILES[name][1], headers=headers)

    def _under_way(self) -> list[dict[str, Any]]:
        if self._desk.records is None:
            return []
        return [
            {"number": held.number, "orders": ", ".join(held.version.orders), "left": held.left,
             "waiting": len(held.off.waiting),
             "sheets": len(held.nests.plan.sheets), "short": len(held.version.wants)}
            for held in NestsKept(self._desk).open()
        ]  # fmt: skip

    async def release(self, request: Request) -> Response:
        """Cut by this nest."""
        form = await acting.form_of(request)
        query = QueryParams([(name, value) for name, value in form.multi_items() if isinstance(value, str)])

        def do(hand: Hand) -> dict[str, Any]:
            asked = asked_of(query, self._desk)
            return NestsKept(self._desk).release(hand, self.job(asked).found.result(), asked.plain)

        return await acting.acted(request, form, do, lambda answer: f"/plates/kept/{answer['plan']}", self._desk)


def _keep(desk: Desk, asked: Asked, found: Nests, who: str) -> None:
    """Keep what is printed; a sheet is printed all the same where somebody else holds the records."""
    key = f"print a nest {asked.plain['query']} {asked.mark} {mark_of(found.plan)}"
    with suppress(StoreError):
        NestsKept(desk).keep_printed(Hand(who=who or "the plate table", key=key), asked.plain, found)
