"""The page 'Rule evidence': where the physics puts each width limit, and what a wall or a width on trial does to it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import wait
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import quote, urlencode

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse
from starlette.datastructures import QueryParams

from plowwright import units
from plowwright.blade.evidence import Evidence
from plowwright.errors import EntryError, NotFoundError, PlowwrightError
from plowwright.papers import evidence as pictures
from plowwright.papers import svg
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.refusals import near_names
from plowwright.web import forms, jobs
from plowwright.web.forms import System
from plowwright.web.jobs import Job, Jobs, asks_how_far, placed

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_KEPT: Final = 24
_WIDTH: Final = 136.0
_HEIGHT: Final = 80.0
_FIELDS: Final = {"leg": "Legs", "hinge_beam": "Hinge beam"}
"""Fields of a class row that the form offers, with their words."""


@dataclass(frozen=True, kw_only=True)
class Trial:
    """What is asked of one series.

    Attributes:
        series: Key of the series.
        changes: Fields of its class rows on trial.
        up_to: A width limit on trial [m], or None.
        system: US or metric sentences.
    """

    series: str
    changes: tuple[tuple[str, str], ...] = ()
    up_to: float | None = None
    system: System = "us"

    @property
    def ruled(self) -> Trial:
        """The same series by the rules in force."""
        return Trial(series=self.series, system=self.system)


Look = Job[Evidence, tuple[int, str]]
"""A look at a series: how many of its widths are begun, and the one that is being worked out."""


class EvidencePage:
    """Answers the addresses of the page.

    Args:
        desk: The shop's rules and carriers.
        page: Sets a template.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse]) -> None:
        self._rulebook = desk.rulebook
        self._strength = desk.strength
        self._page = page
        self._looks: Jobs[Trial, Evidence, tuple[int, str]] = Jobs("evidence", kept=_KEPT)

    def add_to(self, app: FastAPI) -> None:
        """Put its addresses on the application."""
        app.get("/evidence", response_class=HTMLResponse)(self.sheet)
        app.get("/evidence/look", response_class=HTMLResponse)(self.look)
        app.get("/evidence/stop", response_class=HTMLResponse)(self.stop)

    def sheet(self, request: Request) -> HTMLResponse:
        """The page with its form; each series loads by itself."""
        system = forms.system_of(request.query_params, request.cookies)
        view = evidence_view(self._rulebook, request.query_params, system)
        try:
            if view["trial"]:
                trial_of(request.query_params, self._rulebook)
        except PlowwrightError as error:
            view |= {"error": error.as_dict(), "trial": ""}
        other = "metric" if system == "us" else "us"
        words = "Metric" if other == "metric" else "Inches and pounds"
        switch = {"href": f"/evidence?{urlencode({'units': other})}", "words": words}
        status = 422 if "error" in view else 200
        page = self._page(request, "evidence.html", status, view=view, switch_units=switch)
        page.set_cookie("units", system, max_age=forms.YEAR, samesite="strict")
        return page

    def look(self, request: Request) -> HTMLResponse:
        """One series: how far it is, or what came of it."""
        return self._shown(request, stop=False)

    def stop(self, request: Request) -> HTMLResponse:
        """End a look that is on its way; what it found so far is dropped, what is done is shown."""
        return self._shown(request, stop=True)

    def _shown(self, request: Request, *, stop: bool) -> HTMLResponse:
        query = request.query_params
        on_trial = query.get("trial") == "yes"
        at = "trial" if on_trial else f"look-{quote(query.get('series', ''))}"
        try:
            trial = trial_of(query, self._rulebook, forms.system_of(query, request.cookies))
            asked = [trial.ruled, trial] if on_trial else [trial]
            if stop:
                for one in asked:
                    self._looks.drop(one)
            looks = [self._look(one, going=stop or asks_how_far(request)) for one in asked]
            wait([one.found for one in looks], timeout=jobs.AT_ONCE)
            again = query_of(query) + ("&trial=yes" if on_trial else "")
            shown = {"id": at, "again": again, **self._view(trial, looks, at)}
        except PlowwrightError as error:
            shown = {"error": error.as_dict()}
        return placed(request, self._page(request, "look.html", look=shown), at, waits="waits" in shown)

    def _look(self, trial: Trial, *, going: bool) -> Look:
        def work(look: Look) -> Evidence:
            def told(said: str) -> None:
                look.told_or_stopped(((look.reached or (0, ""))[0] + 1, said))

            return self._strength.evidence(
                trial.series, changes=dict(trial.changes), up_to=trial.up_to, told=told, system=trial.system
            )

        return self._looks.job(trial, work, going=going)

    def _view(self, trial: Trial, looks: Sequence[Look], at: str) -> dict[str, Any]:
        """One series: stopped, how far it is, or what came of it; the rules in force first where a trial is held to
        them."""
        if any(look.given_up for look in looks):
            return {"stopped": True}
        waits = [look for look in looks if not look.found.done()]
        if waits:
            said = next((look.reached[1] for look in waits if look.reached), "")
            return {
                "waits": True,
                "said": f"Working out {said}" if said else "Waiting for its turn",
                "done": sum(look.reached[0] for look in waits if look.reached),
                "widths": len(waits) * self._strength.widths(trial.series, trial.up_to),
                "waited": looks[-1].waited(),
            }
        found = looks[-1].found.result()
        base = looks[0].found.result() if len(looks) > 1 else None
        shown: dict[str, Any] = {
            "picture": _picture(found, system=trial.system, ruled=base, prefix=f"{at}-"),
            "sentences": list(found.sentences),
        }
        if base is not None:
            with units.speaking(trial.system):
                shown |= {"title": f"On trial: {_trial_said(trial)}", "compared": pictures.compared(base, found)}
        return shown


def trial_of(query: QueryParams, rulebook: Rulebook, system: System = "us") -> Trial:
    """What an address asks of a series.

    Args:
        query: `series`, fields of the form, `up_to`.
        rulebook: The rules in force.
        system: US or metric.

    Raises:
        NotFoundError: No such series.
        EntryError: The width limit has no unit, or is no length.
    """
    key = query.get("series", "")
    if key not in rulebook.series:
        raise NotFoundError("no series is called so", value=key, way_out=near_names(key, list(rulebook.series)))
    changes = tuple((name, query[name]) for name in _FIELDS if query.get(name))
    limit = query.get("up_to", "").strip()
    up_to = units.si(limit, "length", "width limit") if limit else None
    if up_to is not None and not 0.5 < up_to < 6.0:
        raise EntryError(
            "that is no width of a blade", value=limit, limit="20 in to 19 ft", where="width limit",
            way_out='Write it as "84 in" or "7-0".',
        )  # fmt: skip
    return Trial(series=key, changes=changes, up_to=up_to, system=system)


def evidence_view(rulebook: Rulebook, query: QueryParams, system: System = "us") -> dict[str, Any]:
    """The page: the form, and one place for each series.

    Args:
        rulebook: The rules in force.
        query: What is on trial.
        system: US or metric.
    """
    chosen = query.get("series", "")
    return {
        "series": [
            {"key": key, "words": f"{s.name}, {s.duty_class}", "chosen": key == chosen,
             "limit": units.say(s.up_to_and_including, "length", system=system)}
            for key, s in rulebook.series.items()
        ],
        "fields": [
            {"name": name, "words": words, "stocks": _stocks(rulebook, name, query.get(name, ""))}
            for name, words in _FIELDS.items()
        ],
        "up_to": query.get("up_to", ""),
        "trial": query_of(query) if chosen in rulebook.series and _on_trial(query) else "",
    }  # fmt: skip


def _on_trial(query: QueryParams) -> bool:
    return any(query.get(name, "").strip() for name in (*_FIELDS, "up_to"))


def query_of(query: QueryParams) -> str:
    """The part of an address that says what is on trial.

    Args:
        query: What the form sent.
    """
    return urlencode({name: query[name] for name in ("series", *_FIELDS, "up_to") if query.get(name)})


def _stocks(rulebook: Rulebook, name: str, chosen: str) -> list[dict[str, Any]]:
    """Tubes of the outside sizes the series use there, in every wall on the rulebook's list."""
    used = {getattr(row, name) for series in rulebook.series.values() for row in series.rows}
    outsides = {stock.rpartition(" x ")[0] for stock in used}
    found = sorted(key for key in rulebook.sections if key.rpartition(" x ")[0] in outsides)
    return [{"value": key, "chosen": key == chosen} for key in found]


def _trial_said(trial: Trial) -> str:
    said = [f"{_FIELDS[name].lower()} of {value}" for name, value in trial.changes]
    if trial.up_to is not None:
        said.append(f"up to {units.say(trial.up_to, 'length')}")
    return ", ".join(said)


def _picture(found: Evidence, *, system: System, ruled: Evidence | None, prefix: str) -> str:
    page = pictures.width_curves(found, width=_WIDTH, height=_HEIGHT, system=system, ruled=ruled)
    return svg.write(page, title=f"{found.name}: corner strength over width", inline=True, prefix=prefix)
