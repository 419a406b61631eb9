"""The page 'Lessons': failures against the winters of all blades, and changes of rules with reason and effects."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from typing import TYPE_CHECKING, Any, Final

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse, Response

from plowwright.desk.acting import Hand
from plowwright.desk.lessons import Change, Lessons
from plowwright.desk.lives import day_of
from plowwright.errors import EntryError, PlowwrightError
from plowwright.papers import svg
from plowwright.papers.drawing import Picture
from plowwright.papers.marks import GROUND, HAIR, OUTLINE
from plowwright.shop.service_lessons import GROUPINGS, Group
from plowwright.web.acting import acted, form_of, text
from plowwright.web.jobs import Jobs, asks_how_far, placed

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_KEPT: Final = 8
_WIDE: Final = 70.0
_HIGH: Final = 6.0
_TONES: Final = {"more than the rest": "fails", "fewer than the rest": "holds", "cannot be told apart": "not"}


class LessonsPage:
    """Answers the address of the page.

    Args:
        desk: The shop's records and rulebooks.
        page: Sets a template.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse]) -> None:
        self._desk, self._page = desk, page
        self.lessons = Lessons(desk)
        self._jobs: Jobs[date, Change, tuple[int, int]] = Jobs("lessons", kept=_KEPT)

    def add_to(self, app: FastAPI) -> None:
        """Put it on the application."""
        app.get("/lessons", response_class=HTMLResponse)(self.show)
        app.get("/lessons/effects", response_class=HTMLResponse)(self.effects)
        app.get("/lessons/stop", response_class=HTMLResponse)(self.stop)
        app.post("/lessons", response_model=None)(self.write)

    def show(self, request: Request) -> HTMLResponse:
        """Failures of one grouping, rule changes, and a form to write one down."""
        return self._show(request, {}, None)

    def effects(self, request: Request) -> HTMLResponse:
        """What one change of rules does to every blade: how far it is, or the list."""
        return self._effects(request, stop=False)

    def stop(self, request: Request) -> HTMLResponse:
        """Leave it."""
        return self._effects(request, stop=True)

    def _effects(self, request: Request, *, stop: bool) -> HTMLResponse:
        day = day_of(request.query_params.get("change", ""), "rule change")
        if day is None:
            raise EntryError("which change of rules is not said", way_out="Choose its day on the page Lessons.")
        job = self._jobs.job(day, lambda job: self.lessons.change(
            day, progress=lambda done, of: job.told((done, of)), stop=job.stop.is_set),
            going=asks_how_far(request))  # fmt: skip
        if stop:
            job.stop.set()
        shown: dict[str, Any] = {"day": day.isoformat()}
        if job.done_at_once() or stop:
            try:
                shown["lines"] = job.found.result().lines
            except PlowwrightError as error:
                shown["error"] = error.as_dict()
        else:
            shown["done"], shown["of"] = job.reached or (0, 1)
        page = self._page(request, "lessons-effects.html", change=shown)
        return placed(request, page, f"effects-{shown['day']}", waits="done" in shown)

    async def write(self, request: Request) -> Response:
        """A rule change written down, with the failures it was made for."""
        form = await form_of(request)
        answers = [one for one in form.getlist("answers") if isinstance(one, str) and one]

        def do(hand: Hand) -> Mapping[str, Any]:
            day = day_of(text(form, "change"), "rule change")
            if day is None:
                raise EntryError("which change of rules is not said", way_out="Choose its day.")
            return self.lessons.write(hand, day, text(form, "reason"), answers=answers)

        try:
            return await acted(request, form, do, "/lessons", self._desk)
        except PlowwrightError as error:
            typed = {"reason": text(form, "reason"), "change": text(form, "change"), "answers": answers}
            return self._show(request, typed, error)

    def _show(self, request: Request, typed: Mapping[str, Any], error: PlowwrightError | None) -> HTMLResponse:
        by = request.query_params.get("by", GROUPINGS[0])
        refused = error
        rows: tuple[Group, ...] = ()
        try:
            rows = self.lessons.groups(by)
        except EntryError as fault:
            refused = refused or fault
        most = max((row.high for row in rows), default=1.0)
        view: dict[str, Any] = {
            "by": by,
            "groupings": GROUPINGS,
            "rows": [
                {"name": row.name, "failures": row.failures, "winters": row.exposure, "rate": f"{row.rate:.1f}",
                 "band": f"{row.low:.1f} to {row.high:.1f}", "verdict": row.verdict, "tone": _TONES[row.verdict],
                 "blades": row.blades, "bar": _bar(row, most)}
                for row in rows
            ],
            "changes": [
                {"day": one.day.isoformat(), "said": f"{one.day:%d %b %Y}", "before": f"{one.before:%d %b %Y}",
                 "reason": one.reason}
                for one in self.lessons.days()
            ],
            "written": [
                {"said": f"{one.day:%d %b %Y}", "reason": one.reason, "by": one.by, "places": ", ".join(one.places),
                 "before": one.before.text, "since": one.since.text, "number": one.number}
                for one in self.lessons.written()
            ],
            "places": self.lessons.places(),
            "typed": typed,
        }  # fmt: skip
        if refused is not None:
            view["error"] = refused.as_dict()
        return self._page(request, "lessons.html", 422 if refused is not None else 200, view=view)


def _bar(row: Group, most: float) -> str:
    """The band as a bar from its low to its high end, the rate itself as a stroke across it."""
    page = Picture(_WIDE, _HIGH)
    scale = (_WIDE - 2.0) / max(most, 1e-9)
    page.line((1.0, 0.4), (_WIDE - 1.0, 0.4), pen=HAIR)
    low, high, at = (1.0 + scale * value for value in (row.low, row.high, row.rate))
    page.rectangle(low, 1.6, max(high - low, 0.3), 2.4, pen=OUTLINE, fill="tint")
    page.line((at, 0.6), (at, _HIGH - 0.6), pen=GROUND)
    said = f"{row.name}: {row.rate:.1f} in a hundred, {row.low:.1f} to {row.high:.1f}"
    return svg.write(page, title=said, inline=True, css_class="band")


