"""The page 'Which blanks to stock': a forecast by width, and what one length, two, three ... would cost."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse
from starlette.datastructures import QueryParams

from plowwright import units
from plowwright.errors import EntryError, NotFoundError, PlowwrightError
from plowwright.papers import stocking, svg
from plowwright.rulebook.refusals import near_names
from plowwright.rulebook.schema import Series
from plowwright.web import forms
from plowwright.web.forms import System

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_WIDTH = 150.0


class BlanksPage:
    """Answers the address of the page.

    Args:
        desk: The shop's rules and orders.
        page: Sets a template.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse]) -> None:
        self._desk = desk
        self._page = page

    def add_to(self, app: FastAPI) -> None:
        """Put its address on the application."""
        app.get("/blanks", response_class=HTMLResponse)(self.sheet)

    def sheet(self, request: Request) -> HTMLResponse:
        """The forecast's form, and the curve it leads to."""
        query = request.query_params
        system = forms.system_of(query, request.cookies)
        view = form_view(self._desk, query, system)
        status = 200
        try:
            forecast = forecast_of(query, self._series(query))
            if forecast:
                view |= curve_view(self._desk, view["key"], forecast, system)
        except PlowwrightError as error:
            view["error"] = error.as_dict()
            status = 422
        other = "metric" if system == "us" else "us"
        words = "Metric" if other == "metric" else "Inches and pounds"
        switch = {"href": f"/blanks?{urlencode([*query.multi_items(), ('units', other)])}", "words": words}
        page = self._page(request, "blanks.html", status, view=view, switch_units=switch)
        page.set_cookie("units", system, max_age=forms.YEAR, samesite="strict")
        return page

    def _series(self, query: QueryParams) -> Series:
        known = self._desk.rulebook.series
        key = query.get("series", next(iter(known)))
        if key not in known:
            raise NotFoundError("no series is called so", value=key, way_out=near_names(key, list(known)))
        return known[key]


def _field(width: float) -> str:
    return f"w{units.inches(width):g}"


def form_view(desk: Desk, query: QueryParams, system: System) -> dict[str, Any]:
    """The form: series, and a count for each width, filled with the open orders where nothing is typed.

    Args:
        desk: The shop.
        query: What the form sent.
        system: US or metric.
    """
    known = desk.rulebook.series
    key = query.get("series", "")
    chosen = key if key in known else next(iter(known))
    typed = any(name.startswith("w") for name in query)
    return {
        "key": chosen,
        "series": [{"key": k, "words": s.name, "chosen": k == chosen} for k, s in known.items()],
        "widths": [
            {"name": _field(w), "words": units.say(w, "length", system=system),
             "count": query.get(_field(w), "") if typed else ""}
            for w in known[chosen].widths()
        ],
    }  # fmt: skip


def forecast_of(query: QueryParams, series: Series) -> dict[float, float]:
    """Edges expected by width [m], as typed; empty where nothing is.

    Args:
        query: What the form sent.
        series: Whose widths.

    Raises:
        EntryError: A count is no number, or below zero.
    """
    found: dict[float, float] = {}
    for width in series.widths():
        text = query.get(_field(width), "").strip()
        if not text:
            continue
        try:
            count = float(text)
        except ValueError:
            count = -1.0
        if count < 0:
            raise EntryError("a count of edges is a number", value=text, limit="0 or more",
                             where=units.tape(width), way_out="Write 12, or leave it empty.")  # fmt: skip
        if count > 0:
            found[width] = count
    return found


def curve_view(desk: Desk, key: str, forecast: dict[float, float], system: System) -> dict[str, Any]:
    """The curve and its table.

    Args:
        desk: The shop.
        key: Key of the series.
        forecast: Edges expected by width [m], as a count [-].
        system: US or metric.
    """
    series, cutting = desk.rulebook.series[key], desk.cutting
    price = desk.rulebook.sections[series.edges[0].edge].price
    found = stocking.costs_of(cutting.stocking(key, forecast), price=price, drilling=cutting.rules.edges.drilling.value)
    currency = desk.rulebook.shop.currency

    def said(value: float) -> str:
        return units.say(value, "length", system=system)

    rows = [
        {"count": len(c.point.lengths), "lengths": ", ".join(said(x) for x in c.point.lengths),
         "waste": said(c.point.waste), "undrilled": f"{c.point.undrilled:g}", "cost": f"{currency} {c.whole:,.0f}"}
        for c in found
    ]  # fmt: skip
    shown: dict[str, Any] = {"rows": rows, "edge": series.edges[0].edge}
    if len(found) > 1:
        page = stocking.picture(found, width=_WIDTH, currency=currency)
        shown["picture"] = svg.write(page, title="cost over the number of lengths", inline=True, prefix="blanks-")
        shown["sentence"] = stocking.sentence(found, currency=currency, system=system)
    return shown
