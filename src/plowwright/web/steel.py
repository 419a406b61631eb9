"""The page 'This week's cutting': one plan for the steel of the chosen orders, watched, stopped, printed and mended."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import urlencode

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse, Response
from starlette.datastructures import QueryParams

from plowwright.desk.acting import Hand
from plowwright.desk.cuts_kept import CutsKept
from plowwright.errors import NotFoundError, PlowwrightError, StoreError
from plowwright.papers.saw_sheet import mark_of
from plowwright.shop.cutting_model import Progress
from plowwright.web import acting, forms
from plowwright.web.acting import WHO
from plowwright.web.jobs import Job, Jobs, placed
from plowwright.web.steel_asked import Asked, asked_of
from plowwright.web.steel_kept import CutKeptPage
from plowwright.web.steel_view import FILES, Made, form_view, plan_view, waiting_view, written

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_KEPT: Final = 12


class Plans:
    """Plans, one after the other, the last few kept.

    Args:
        desk: What plans.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._jobs: Jobs[Asked, Made, Progress] = Jobs("cutting", kept=_KEPT)

    def job(self, asked: Asked) -> Job[Made, Progress]:
        """A plan, begun when it was not asked for before or was refused.

        Args:
            asked: Which.
        """
        # The plan before goes on the one hand first: a mended plan needs it done.
        before = self.job(asked.before) if asked.mishaps else None

        def work(job: Job[Made, Progress]) -> Made:
            cutting = self._desk.cutting
            printed = CutsKept(self._desk).draft(asked.plain) if self._desk.records is not None else None
            if printed is not None:
                week, changes, extra = printed
                return Made(week=week, changes=changes, extra=extra)
            if before is None:
                return Made(
                    week=cutting.plan(asked.orders, seconds=asked.seconds, progress=job.told, stop=job.stop.is_set)
                )
            last, old = asked.mishaps[-1], before.found.result()
            week, found = cutting.mend(
                old.week, cut=last.cut, miscut=last.miscut, bent=last.bent, seconds=min(6.0, asked.seconds)
            )
            return Made(week=week, changes=found.changes, extra=found.extra_cost)

        return self._jobs.job(asked, work)


class SteelPage:
    """Answers the addresses of the page.

    Args:
        desk: The shop's rules, orders and rack.
        page: Sets a template.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse]) -> None:
        self._desk = desk
        self._page = page
        self.plans = Plans(desk)

    def add_to(self, app: FastAPI) -> None:
        """Put its addresses on the application."""
        app.post("/cutting/release")(self.release)
        CutKeptPage(self._desk, self._page).add_to(app)
        app.get("/cutting", response_class=HTMLResponse)(self.sheet)
        app.get("/cutting/plan", response_class=HTMLResponse)(self.plan)
        app.get("/cutting/stop", response_class=HTMLResponse)(self.stop)
        app.get("/cutting/papers/{name}")(self.paper)

    def sheet(self, request: Request) -> HTMLResponse:
        """The page with its form; the plan loads by itself."""
        query, cutting = request.query_params, self._desk.cutting
        system = forms.system_of(query, request.cookies)
        view: dict[str, Any] = {}
        try:
            asked = asked_of(query, cutting)
            chosen = {o.number for o in cutting.chosen(asked.orders)}
            view = form_view(cutting, chosen, asked)
            status = 200
        except PlowwrightError as error:
            view = {**form_view(cutting, set(), None), "error": error.as_dict()}
            status = 422
        other = "metric" if system == "us" else "us"
        words = "Metric" if other == "metric" else "Inches and pounds"
        switch = {"href": f"/cutting?{urlencode([*query.multi_items(), ('units', other)])}", "words": words}
        page = self._page(request, "cutting.html", status, view=view, switch_units=switch, under_way=self._under_way())
        page.set_cookie("units", system, max_age=forms.YEAR, samesite="strict")
        return page

    def plan(self, request: Request) -> HTMLResponse:
        """The plan: how far it is, or what came of it."""
        query = request.query_params
        system = forms.system_of(query, request.cookies)
        try:
            asked = asked_of(query, self._desk.cutting)
            job = self.plans.job(asked)
            if job.done_at_once():
                shown = plan_view(job.found.result(), asked, self._desk, system)
            else:
                shown = waiting_view(job, asked)
        except PlowwrightError as error:
            shown = {"error": error.as_dict()}
        return placed(request, self._page(request, "cutting-plan.html", plan=shown), "plan", waits="waits" in shown)

    def stop(self, request: Request) -> HTMLResponse:
        """Take the best found so far."""
        asked = asked_of(request.query_params, self._desk.cutting)
        self.plans.job(asked.first).stop.set()
        return self.plan(request)

    def paper(self, request: Request, name: str) -> Response:
        """One paper of a plan that is made."""
        query = request.query_params
        if name not in FILES:
            raise NotFoundError("no such paper of a cut plan", value=name, way_out=f"There are: {', '.join(FILES)}.")
        asked = asked_of(query, self._desk.cutting)
        made = self.plans.job(asked).found.result()
        if name.endswith(".pdf") and self._desk.records is not None:
            _keep(self._desk, asked, made, request.cookies.get(WHO, ""))
        body = written(name, made, self._desk, forms.system_of(query, request.cookies), cut=asked.ticked)
        headers = {"Content-Disposition": f'inline; filename="{name}"'}
        return Response(body, media_type=FILES[name][1], headers=headers)


    def _under_way(self) -> list[dict[str, Any]]:
        if self._desk.records is None:
            return []
        return [
            {"number": held.number, "orders": ", ".join(held.version.orders), "left": held.left,
             "waiting": len(held.off.waiting),
             "sticks": len(held.week.plan.sticks), "short": len(held.version.wants)}
            for held in CutsKept(self._desk).open()
        ]  # fmt: skip

    async def release(self, request: Request) -> Response:
        """Cut by this plan."""
        form = await acting.form_of(request)
        query = QueryParams([(name, value) for name, value in form.multi_items() if isinstance(value, str)])

        def do(hand: Hand) -> dict[str, Any]:
            asked = asked_of(query, self._desk.cutting)
            made = self.plans.job(asked).found.result()
            return CutsKept(self._desk).release(hand, made.week, asked.plain)

        return await acting.acted(request, form, do, lambda answer: f"/cutting/kept/{answer['plan']}", self._desk)


def _keep(desk: Desk, asked: Asked, made: Made, who: str) -> None:
    """Keep what is printed; a sheet is printed all the same where somebody else holds the records."""
    key = f"print a cut plan {asked.plain['query']} {asked.mark} {mark_of(made.week.plan)}"
    with suppress(StoreError):
        CutsKept(desk).keep_printed(
            Hand(who=who or "the saw", key=key), asked.plain, made.week, made.changes, made.extra
        )
