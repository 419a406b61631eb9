"""The page 'Sheets and holes': the plate of the chosen orders laid on sheets, and the hole sheet of every edge."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import urlencode

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse, Response
from starlette.datastructures import QueryParams

from plowwright import units
from plowwright.desk.cutting import CuttingDesk
from plowwright.desk.nesting import Nests
from plowwright.errors import NotFoundError, PlanInputError, PlowwrightError
from plowwright.papers import content, pdf, svg
from plowwright.papers.lists import write_csv
from plowwright.papers.nest_files import sheet_files
from plowwright.papers.outline_lists import NEST_COLUMNS, nest_rows
from plowwright.papers.plate_sheet import PlateSheet, lie_of, mark_of, nest_picture, plate_sheet, rows_of
from plowwright.shop.nesting_limits import Progress
from plowwright.web import forms
from plowwright.web.forms import System
from plowwright.web.jobs import Job, Jobs, orders_view, reached_view

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_KEPT: Final = 8
_WIDTH: Final = 180.0
_FILES: Final = {
    "plate sheet.pdf": ("plate sheet", "application/pdf"),
    "nest.csv": ("the nest as CSV", "text/csv"),
    "drawings.zip": ("DXF of every sheet and part", "application/zip"),
}


@dataclass(frozen=True, kw_only=True)
class Asked:
    """Which nest is meant.

    Attributes:
        orders: Numbers of the orders, none for all whose steel is uncut.
        seconds: Time given [s].
    """

    orders: tuple[str, ...]
    seconds: float

    @property
    def query(self) -> str:
        """The part of an address that asks for it."""
        return urlencode([*(("order", o) for o in self.orders), ("seconds", f"{self.seconds:g}")])


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
            return self._desk.nesting.plan(asked.orders, seconds=asked.seconds, progress=job.told, stop=job.stop.is_set)

        return self._jobs.job(asked, work)

    def sheet(self, request: Request) -> HTMLResponse:
        """The page with its form; the nest loads by itself."""
        query, cutting = request.query_params, self._desk.cutting
        system = forms.system_of(query, request.cookies)
        try:
            asked = asked_of(query, self._desk)
            view = form_view(cutting, {o.number for o in cutting.chosen(asked.orders)}, asked)
            status = 200
        except PlowwrightError as error:
            view = {**form_view(cutting, set(), None), "error": error.as_dict()}
            status = 422
        other = "metric" if system == "us" else "us"
        words = "Metric" if other == "metric" else "Inches and pounds"
        switch = {"href": f"/plates?{urlencode([*query.multi_items(), ('units', other)])}", "words": words}
        page = self._page(request, "plates.html", status, view=view, switch_units=switch)
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
        return self._page(request, "plates-nest.html", nest=shown)

    def stop(self, request: Request) -> HTMLResponse:
        """Take the best found so far."""
        self.job(asked_of(request.query_params, self._desk)).stop.set()
        return self.nest(request)

    def paper(self, request: Request, name: str) -> Response:
        """One paper of a nest that is made."""
        query = request.query_params
        if name not in _FILES:
            raise NotFoundError("no such paper of a nest", value=name, way_out=f"There are: {', '.join(_FILES)}.")
        found = self.job(asked_of(query, self._desk)).found.result()
        body = written(name, found, self._desk, forms.system_of(query, request.cookies))
        headers = {"Content-Disposition": f'inline; filename="{name}"'}
        return Response(body, media_type=_FILES[name][1], headers=headers)


def asked_of(query: QueryParams, desk: Desk) -> Asked:
    """What an address asks for.

    Args:
        query: `order` as often as needed, `seconds`.
        desk: The shop.

    Raises:
        PlanInputError: Seconds are no number.
    """
    given = query.get("seconds", "").strip()
    try:
        seconds = float(given) if given else desk.nesting.rules.seconds.value
    except ValueError as error:
        raise PlanInputError("seconds are a number", value=given, way_out="Write 20.") from error
    if not 0.1 <= seconds <= 900:
        raise PlanInputError("a nest is given some seconds", value=given, limit="0.1 to 900", way_out="20 is usual.")
    return Asked(orders=tuple(n.strip().upper() for n in query.getlist("order") if n.strip()), seconds=seconds)


def form_view(cutting: CuttingDesk, chosen: set[str], asked: Asked | None) -> dict[str, Any]:
    """The form: orders whose steel is uncut with the hole sheet of each, and the seconds.

    Args:
        cutting: Knows which orders wait.
        chosen: Numbers that are ticked.
        asked: What was asked, None where it could not be taken.
    """
    return {
        "orders": orders_view(cutting.waiting(), chosen),
        "seconds": f"{asked.seconds if asked else cutting.rules.plates.seconds.value:g}",
        "query": asked.query if asked else "",
    }


def waiting_view(job: Job[Nests, Progress], asked: Asked) -> dict[str, Any]:
    """How far a nest has come.

    Args:
        job: The nest.
        asked: Which it is.
    """
    return reached_view(job, "Waiting for its turn") | {"again": asked.query, "limit": f"{asked.seconds:g}"}


def nest_view(found: Nests, asked: Asked, desk: Desk, system: System) -> dict[str, Any]:
    """What came of a nest.

    Args:
        found: The nest.
        asked: Which it is.
        desk: The shop.
        system: US or metric.
    """
    plan, currency = found.plan, desk.rulebook.shop.currency

    def said(value: float) -> str:
        return units.say(value, "length", system=system)

    sheets: list[dict[str, Any]] = []
    for n in plan.sheets:
        size = f"{said(n.sheet.width)} x {said(n.sheet.length)}"
        rests = [f"{r.tag or 'rest'} {said(r.box[2] - r.box[0])} x {said(r.box[3] - r.box[1])}" for r in n.rests]
        table = desk.nesting.time_of(n)
        sheets.append({
            "number": n.number, "stock": n.sheet.stock, "rush": n.rush, "used": f"{100 * n.utilisation:.0f} %",
            "what": (f"remnant {n.sheet.tag}, {size}" if n.sheet.tag else f"sheet, {size}")
            + (", turned: its start is below" if lie_of(n, _WIDTH).turned else ""),
            "picture": svg.write(nest_picture(n, width=_WIDTH), title=f"sheet {n.number}", inline=True,
                                 prefix=f"n{n.number}-"),
            "rows": [{"numbers": numbers, "tag": tag, "count": count} for numbers, tag, count in rows_of(n)],
            "rests": "; ".join(rests) or "nothing worth keeping",
            "time": f"{n.pierces} pierces, {said(table.cut_length)} of cut, about {_minutes(table.seconds)} min",
        })  # fmt: skip
    sure = "no nest costs less" if plan.status == "proved best" else (
        f"the area alone asks for {currency} {plan.bound:,.0f}")  # fmt: skip
    return {
        "said": f"{plan.sheets_used} sheets, {len(plan.pieces)} parts, {currency} {plan.cost:,.0f}; {sure}.",
        "status": plan.status, "mark": mark_of(plan), "seconds": f"{plan.seconds:.1f}",
        "used": f"{100 * plan.utilisation:.0f} % of the steel used is part.",
        "buys": [f"{count} of {sheet.in_words()}" for sheet, count in desk.nesting.bought(plan)],
        "sheets": sheets,
        "papers": [{"href": f"/plates/papers/{name}?{asked.query}", "name": name, "what": what}
                   for name, (what, _) in _FILES.items()],
    }  # fmt: skip


def _minutes(seconds: float) -> int:
    return max(1, round(seconds / 60))


def written(name: str, found: Nests, desk: Desk, system: System) -> bytes:
    """One paper of a nest.

    Args:
        name: Which, of those the page lists.
        found: The nest.
        desk: The shop.
        system: US or metric.
    """
    plan = found.plan
    if name == "nest.csv":
        return write_csv(nest_rows(plan), NEST_COLUMNS)
    if name == "drawings.zip":
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as pack:
            for file, body in sheet_files(plan, units="in" if system == "us" else "mm").items():
                pack.writestr(file, body)
        return out.getvalue()
    minutes = {n.number: desk.nesting.time_of(n).seconds for n in plan.sheets}
    paper = plate_sheet(PlateSheet(plan=plan, shop=desk.rulebook.shop, on=found.on, minutes=minutes, system=system))
    return pdf.compile(content.source(paper.template), pictures=paper.pictures, data=paper.data)
