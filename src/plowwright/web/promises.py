"""The page 'What we promised': who does what when, each promise with its mark, and what would move if something did."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import urlencode

from fastapi import FastAPI, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse, Response

from plowwright.desk.crew_kept import mark_of
from plowwright.desk.crew_papers import (
    Stands,
    calendar_of_promises,
    names_of_papers,
    stands_kept,
    stands_made,
    written,
)
from plowwright.desk.crew_standing import Standing
from plowwright.desk.promising import Answered, Made, Promising, Question
from plowwright.errors import EntryError, PlowwrightError
from plowwright.papers.calendar_file import MEDIA
from plowwright.shop.crew_model import Progress
from plowwright.web.acting import acted, form_of, text
from plowwright.web.jobs import Job, Jobs, asks_how_far, placed
from plowwright.web.promises_asked import Trial, question_of, standing_after, trial_of, typed_of
from plowwright.web.promises_view import (
    answer_view,
    kept_view,
    learned_view,
    made_view,
    marks,
    waiting_view,
)

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_KEPT: Final = 10


class PromisePages:
    """Answers the addresses of the page.

    Args:
        desk: The shop.
        page: Sets a template.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse]) -> None:
        self._desk, self._page = desk, page
        self.promising = Promising(desk)
        self._plans: Jobs[Trial, Made, Progress] = Jobs("promises", kept=_KEPT)
        self._answers: Jobs[tuple[Question, int], Answered, Progress] = Jobs("promise", kept=_KEPT)

    def add_to(self, app: FastAPI) -> None:
        """Put its addresses on the application."""
        app.get("/promised", response_class=HTMLResponse)(self.sheet)
        app.get("/promised/plan", response_class=HTMLResponse)(self.plan)
        app.get("/promised/stop", response_class=HTMLResponse)(self.stop)
        app.get("/promised/answer", response_class=HTMLResponse)(self.answer)
        app.get("/promised/answer/stop", response_class=HTMLResponse)(self.stop_answer)
        app.post("/promised/keep")(self.keep)
        app.get("/promised/calendar.ics")(self.calendar)
        app.get("/promised/papers/{name}")(self.paper)

    def sheet(self, request: Request) -> HTMLResponse:
        """The plan that stands, the promises by day, and the forms."""
        return self._sheet(request, request.query_params, None)

    def _sheet(self, request: Request, query: Mapping[str, Any], refused: PlowwrightError | None) -> HTMLResponse:
        """The page with its forms filled in as they were; what was looked at is looked at again."""
        kept = self.promising.kept()
        crew = self._desk.rulebook.crew
        view: dict[str, Any] = {
            "plan": kept_view(self._desk, kept) if kept else None,
            "marks": marks(), "papers": names_of_papers(self._desk),
            "people": [one.name for one in crew.people] if crew else [],
            "orders": [{"number": o.number, "who": o.customer} for o in self._desk.orders()],
            "series": [{"key": key, "name": one.name} for key, one in self._desk.rulebook.series.items()],
            "learned": learned_view(self.promising.learned(), self._desk),
            "standing": kept.standing if kept else Standing(),
            "typed": typed_of(query),
            "error": refused.as_dict() if refused else None,
        }  # fmt: skip
        if view["orders"] and ("what" in query or kept is None):
            try:
                view["trial"] = trial_of(query, self.promising.stamp).query
            except PlowwrightError as error:
                view["error"] = (refused or error).as_dict()
        return self._page(request, "promised.html", 422 if view["error"] else 200, view=view)

    def plan(self, request: Request) -> HTMLResponse:
        """A plan that is looked at: how far it is, or what it moves."""
        return self._shown(request, stop=False)

    def stop(self, request: Request) -> HTMLResponse:
        """Take the best found so far."""
        return self._shown(request, stop=True)

    def _shown(self, request: Request, *, stop: bool) -> HTMLResponse:
        status = 200
        shown: dict[str, Any]
        try:
            trial = trial_of(request.query_params, self.promising.stamp)
            job = self._job(trial)
            if stop:
                job.stop.set()
            if job.done_at_once():
                shown = {**made_view(self._desk, job.found.result()), "trial": trial}
            else:
                shown = waiting_view(job, trial.query)
        except PlowwrightError as error:
            shown, status = {"error": error.as_dict()}, 422
        shown["back"] = str(request.query_params) if "error" in shown else ""
        name = "promised-plan.html" if _is_part(request) else "promised-looked.html"
        page = self._page(request, name, status, plan=shown, marks=marks())
        return placed(request, page, "looked", waits="waits" in shown)

    def _job(self, trial: Trial) -> Job[Made, Progress]:
        standing = standing_after(trial, self.promising.standing(), self._desk.now)

        def work(job: Job[Made, Progress]) -> Made:
            return self.promising.plan(standing, anew=trial.what == "anew", progress=job.told, stop=job.stop.is_set)

        return self._plans.job(trial, work)

    def answer(self, request: Request) -> HTMLResponse:
        """Whether something can be promised; asking moves nothing."""
        return self._answered(request, stop=False)

    def stop_answer(self, request: Request) -> HTMLResponse:
        """What is known so far; asked once more it is looked for anew."""
        return self._answered(request, stop=True)

    def _answered(self, request: Request, *, stop: bool) -> HTMLResponse:
        query, status = request.query_params, 200
        plain = urlencode([(name, value) for name, value in query.multi_items() if name != "going"])
        shown: dict[str, Any]
        try:
            asked = question_of(query, self._desk.now)
            job = self._answers.job(
                (asked, self.promising.stamp), lambda job: self.promising.ask(asked, stop=job.stop.is_set),
                going=stop or asks_how_far(request),
            )  # fmt: skip
            if stop:
                job.end()
            if job.done_at_once():
                shown = answer_view(self._desk, job.found.result(), self.promising.standing())
            else:
                shown = {"waits": True, "query": plain, "waited": job.waited()}
        except PlowwrightError as error:
            shown, status = {"error": error.as_dict()}, 422
        shown["back"] = plain
        name = "promised-answer.html" if _is_part(request) else "promised-asked.html"
        return placed(request, self._page(request, name, status, answer=shown), "answer", waits="waits" in shown)

    async def keep(self, request: Request) -> Response:
        """Keep a plan that was looked at, or release it; where it is refused, what was typed stays and it is looked
        at again."""
        form = await form_of(request)
        fields: Mapping[str, Any] = {name: text(form, name) for name in form}
        state = "released" if text(form, "release") else "draft"
        stamp, mark = text(form, "stamp"), text(form, "mark")

        def do(hand: Any) -> Mapping[str, Any]:
            seen = int(stamp) if stamp.isascii() and stamp.isdigit() and len(stamp) < 16 else self.promising.stamp
            made = self._job(trial_of(fields, seen)).found.result()
            found = mark_of(made.plan)
            if made.stamp != seen or mark not in ("", found):
                # Another one was made since, after an event or a restart: nobody has seen it.
                raise EntryError(
                    "this is not the plan that was looked at any more", value=mark or f"event {seen}",
                    limit=f"{found}, event {made.stamp}", way_out="Look at the plan below, and keep that one.",
                )  # fmt: skip
            return self.promising.keep(hand, made, state)

        try:
            return await acted(request, form, do, "/promised", self._desk)
        except PlowwrightError as error:
            return await run_in_threadpool(self._sheet, request, fields, error)

    def calendar(self) -> Response:
        """The promises as a calendar file."""
        body = calendar_of_promises(self._desk, self._stands())
        return Response(body, media_type=MEDIA, headers={"Content-Disposition": 'inline; filename="promises.ics"'})

    def paper(self, request: Request, name: str) -> Response:
        """One paper of the plan that stands."""
        size = "a4" if request.query_params.get("paper") == "a4" else "us-letter"
        body = written(self._desk, name, self._stands(), paper=size)
        headers = {"Content-Disposition": f'inline; filename="{name}"'}
        return Response(body, media_type="application/pdf", headers=headers)

    def _stands(self) -> Stands:
        """The plan that stands: the last one kept, else the one of this moment."""
        kept = self.promising.kept()
        if kept is not None:
            return stands_kept(kept)
        return stands_made(self._job(trial_of({}, self.promising.stamp)).found.result(), self._desk.now)


def _is_part(request: Request) -> bool:
    """Whether a page that is open asks for a part of itself; without scripts the whole page is asked for."""
    return request.headers.get("HX-Request") == "true"
