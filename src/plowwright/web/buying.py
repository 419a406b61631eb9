"""The buying part of 'This week's cutting': which stick lengths to buy, and whether a price break pays."""

from __future__ import annotations

from collections.abc import Callable
from math import isfinite
from typing import TYPE_CHECKING, Any, Final

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse
from starlette.datastructures import QueryParams

from plowwright import units
from plowwright.errors import EntryError, PlowwrightError
from plowwright.shop.buying import LengthChoice, PriceBreak, price_break
from plowwright.web import forms
from plowwright.web.jobs import Jobs, asks_how_far, placed
from plowwright.web.steel import Plans
from plowwright.web.steel_asked import Asked, asked_of

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_KEPT: Final = 8
SECONDS: Final = 9.0
"""Time the comparison of stick lengths is given [s]."""
_FIELDS: Final = ("price", "break_price", "lot", "needed", "a_year")


class BuyingPart:
    """Answers the addresses of the part.

    Args:
        desk: The shop.
        page: Sets a template.
        plans: Plans of the week, so that the same pieces are compared.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse], plans: Plans) -> None:
        self._desk = desk
        self._page = page
        self._plans = plans
        self._jobs: Jobs[Asked, tuple[LengthChoice, ...], None] = Jobs("buying", kept=_KEPT)

    def add_to(self, app: FastAPI) -> None:
        """Put its addresses on the application."""
        app.get("/cutting/lengths", response_class=HTMLResponse)(self.lengths)
        app.get("/cutting/lengths/stop", response_class=HTMLResponse)(self.stop)
        app.get("/cutting/break", response_class=HTMLResponse)(self.lot)

    def lengths(self, request: Request) -> HTMLResponse:
        """The same pieces from each stick length alone and from all."""
        return self._lengths(request, stop=False)

    def stop(self, request: Request) -> HTMLResponse:
        """Compare the best found so far."""
        return self._lengths(request, stop=True)

    def _lengths(self, request: Request, *, stop: bool) -> HTMLResponse:
        asked = asked_of(request.query_params, self._desk.cutting).first
        job = self._jobs.job(asked, lambda job: self._desk.cutting.lengths(
            self._plans.job(asked).found.result().week, seconds=SECONDS, stop=job.stop.is_set),
            going=stop or asks_how_far(request))  # fmt: skip
        if stop:
            job.end()
        shown: dict[str, Any] = {"again": asked.query, "seconds": f"{SECONDS:g}"}
        if not job.done_at_once():
            shown |= {"waits": True, "waited": job.waited()}
        else:
            try:
                shown["said"] = [self._said(choice) for choice in job.found.result()]
            except PlowwrightError as error:
                shown["error"] = error.as_dict()
        page = self._page(request, "cutting-buying.html", lengths=shown)
        return placed(request, page, "lengths", waits="waits" in shown)

    def _said(self, choice: LengthChoice) -> str:
        return f"{self._desk.rulebook.shop.currency}: {choice.in_words()}"

    def lot(self, request: Request) -> HTMLResponse:
        """Whether a larger lot at a lower price pays."""
        query = request.query_params
        system = forms.system_of(query, request.cookies)
        shown: dict[str, Any] = {"typed": {name: query.get(name, "") for name in _FIELDS}}
        try:
            with units.speaking(system):
                shown["said"] = lot_of(query, self._desk.cutting.rules.buying.interest.value).in_words()
        except PlowwrightError as error:
            shown["error"] = error.as_dict()
        return self._page(request, "cutting-buying.html", 422 if "error" in shown else 200, lot=shown)


def lot_of(query: QueryParams, rate: float) -> PriceBreak:
    """A price break from what was typed.

    Args:
        query: `price` and `break_price` with their unit, `lot`, `needed` and `a_year` as counts.
        rate: What money costs in a year [-].

    Raises:
        EntryError: A price without a unit, or a count that is none.
        PlanInputError: Prices or counts that make no sense.
    """
    counts: dict[str, float] = {}
    for name, words in (
        ("lot", "sticks in the lot"),
        ("needed", "sticks needed now"),
        ("a_year", "sticks used in a year"),
    ):
        text = query.get(name, "").strip()
        try:
            counts[name] = float(text)
            if not isfinite(counts[name]):
                raise ValueError(text)
        except ValueError as error:
            raise EntryError(
                f"{words}: not a number", value=text or "nothing", where=words, way_out="Write 40."
            ) from error
    return price_break(
        price=units.si(query.get("price", ""), "money", "price of one"),
        break_price=units.si(query.get("break_price", ""), "money", "price in the lot"),
        break_count=int(counts["lot"]),
        needed=int(counts["needed"]),
        used_per_year=counts["a_year"],
        rate=rate,
    )
