"""The pages of one shop, served on its own machine: nothing is asked of any other."""

from __future__ import annotations

import gc
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import quote

from fastapi import FastAPI, Request
from fastapi.responses import FileResponse, HTMLResponse, JSONResponse, PlainTextResponse, RedirectResponse, Response
from fastapi.staticfiles import StaticFiles
from fastapi.templating import Jinja2Templates

from plowwright.blade.spec import Spec
from plowwright.errors import EntryError, MissingToolError, NotFoundError, PlowwrightError
from plowwright.papers import svg
from plowwright.units import counted
from plowwright.web import forms, pages, side, solid, wall
from plowwright.web.acting import around
from plowwright.web.ahead import Ahead
from plowwright.web.blanks import BlanksPage
from plowwright.web.buying import BuyingPart
from plowwright.web.calling import CallingPage
from plowwright.web.counting import CountingPage
from plowwright.web.dock import ScalePage
from plowwright.web.enquiries import EnquiryPages
from plowwright.web.evidence import EvidencePage
from plowwright.web.finding import FindPage
from plowwright.web.floor import FloorPages
from plowwright.web.heads import head_of
from plowwright.web.holding import HoldingPart, said_machine
from plowwright.web.importing import ImportPage
from plowwright.web.jobs import asks_how_far, placed
from plowwright.web.lessons import LessonsPage
from plowwright.web.lives import LivesPages
from plowwright.web.loading import LoadingPages
from plowwright.web.log import LogPages
from plowwright.web.moving import MovingPage
from plowwright.web.orders import OrderPages
from plowwright.web.pages import Asked
from plowwright.web.plates import PlatesPage
from plowwright.web.promises import PromisePages
from plowwright.web.receiving import ReceivingPage
from plowwright.web.refitting import RefitPage
from plowwright.web.steel import SteelPage
from plowwright.web.stock import StockPages
from plowwright.web.suiting import SuitingPage
from plowwright.web.today import TodayPage
from plowwright.web.writing import Writing

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

HERE = Path(__file__).parent
READING: Final = (FindPage, StockPages)
"""Pages that do without records."""
KEEPING: Final = (
    StockPages, CountingPage, ReceivingPage, EnquiryPages, OrderPages, PromisePages, TodayPage, FloorPages, LogPages,
    ScalePage, LoadingPages, FindPage, LivesPages, LessonsPage, RefitPage, ImportPage,
)  # fmt: skip
"""Pages over the shop's records."""


def create_app(desk: Desk) -> FastAPI:
    """The pages for one desk.

    Args:
        desk: The shop's rules, orders and what can be worked out from them.
    """
    app = FastAPI(title="Plowwright", docs_url=None, redoc_url=None, openapi_url=None)
    app.mount("/static", StaticFiles(directory=HERE / "static"), name="static")
    sheets = Sheets(desk)
    sheets.add_to(app)
    app.state.warm = sheets.warm
    return app


class Sheets:
    """Answers every address from one desk.

    Args:
        desk: The shop's rules and orders.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._templates = Jinja2Templates(directory=HERE / "templates")
        self._templates.env.globals["counted"] = counted
        self._writing = Writing(desk)
        self._ahead = Ahead(desk)
        self._holding = HoldingPart(desk, self._page, self._asked_by)
        self._evidence = EvidencePage(desk, self._page)
        self._steel = SteelPage(desk, self._page)
        self._buying = BuyingPart(desk, self._page, self._steel.plans)
        self._plates = PlatesPage(desk, self._page)
        self._blanks = BlanksPage(desk, self._page)
        self._kept = [make(desk, self._page) for make in (KEEPING if desk.records else READING)]
        self._calling = CallingPage(desk, self._page)
        self._suiting = SuitingPage(desk, self._page, self._asked_by)
        self._moving = MovingPage(desk, self._page, self._asked_by)
        self._standing = lru_cache(maxsize=256)(lambda spec: wall.standing(desk.rulebook, spec))

    def add_to(self, app: FastAPI) -> None:
        """Put every address on the application."""
        get = app.get
        get("/healthz", response_class=PlainTextResponse)(lambda: "ok")
        get("/empty", response_class=HTMLResponse)(self.empty)
        get("/", response_class=HTMLResponse)(self.wall)
        get("/side", response_class=HTMLResponse)(self.side)
        get("/blade", response_class=HTMLResponse)(self.blade)
        get("/blade/answer", response_class=HTMLResponse)(self.answer)
        get("/blade/pose")(self.pose)
        get("/blade/shapes")(self.shapes)
        get("/blade/papers", response_class=HTMLResponse)(self.papers)
        get("/blade/papers/stop", response_class=HTMLResponse)(self.stop_papers)
        get("/blade/papers/{name:path}")(self.paper)
        self._holding.add_to(app)
        self._evidence.add_to(app)
        self._steel.add_to(app)
        self._buying.add_to(app)
        self._plates.add_to(app)
        self._blanks.add_to(app)
        for pages_of in self._kept:
            pages_of.add_to(app)
        self._calling.add_to(app)
        self._suiting.add_to(app)
        self._moving.add_to(app)
        get("/blade/{number}", response_class=HTMLResponse)(self.ordered)
        app.exception_handler(PlowwrightError)(self.refused)
        app.exception_handler(404)(self.nowhere)

    def warm(self) -> None:
        """Work out beside the pages what the first caller would wait for."""
        self._calling.warm()

    def _page(self, request: Request, name: str, status: int = 200, **values: Any) -> HTMLResponse:
        shared = {
            "shop": self._desk.rulebook.shop,
            "clock": wall.clock_said(self._desk.now),
            "picture_rules": svg.stylesheet(),
            "head": head_of(request.url.path, records=self._desk.records is not None),
            "polled": asks_how_far(request),
            **around(request, self._desk),
        }
        return self._templates.TemplateResponse(request, name, {**shared, **values}, status_code=status)

    def empty(self, request: Request) -> HTMLResponse:
        """A sheet with nothing on it: what any page costs on this machine."""
        return self._page(request, "sheet.html")

    def wall(self, request: Request) -> HTMLResponse:
        """Every order."""
        desk = self._desk
        view = wall.wall_view(desk.orders(), rulebook=desk.rulebook, now=desk.now, draw=self._standing)
        return self._page(request, "wall.html", **view)

    def ordered(self, request: Request, number: str) -> Response:
        """The blade of one order, as ordered."""
        order = self._desk.order(number)
        if order.spec is None:
            raise NotFoundError(
                f"order {order.number} has no blade of its own to draw", value=order.kind, where="the wall",
                way_out="A refit or a sale of spares builds nothing new; it stays on the wall.",
            )  # fmt: skip
        if order.number != number:
            return RedirectResponse(f"/blade/{order.number}", status_code=307)
        return self._blade(request, self._asked(request, number=number))

    def blade(self, request: Request) -> Response:
        """Any blade the shop can build, as the address says."""
        asked = self._asked_by(request)
        if "step" in request.query_params:
            return RedirectResponse(f"/blade?{asked.query}", status_code=303)
        return self._blade(request, asked)

    def _blade(self, request: Request, asked: Asked) -> HTMLResponse:
        rulebook = self._desk.rulebook
        clash: dict[str, Any] | None = None
        shown = asked
        try:
            found = self._ahead.blade(asked.spec, asked.system)
        except EntryError as error:
            valid = forms.nearest_valid(asked.spec, rulebook)
            found = self._ahead.blade(valid, asked.system)
            clash = self._clash(error, asked, f"the nearest that can be built, {found['name']}")
            shown = replace(asked, spec=valid)
        view = pages.blade_view(shown, found, rulebook)
        view["groups"] = pages.choices(asked.spec, rulebook)
        view |= self._around(shown)
        view["width"] = forms.width_said(asked.spec.width, asked.system)
        other = "metric" if asked.system == "us" else "us"
        turned = replace(asked, system=other)
        words = "Metric" if other == "metric" else "Inches and pounds"
        switch = {"href": f"/blade?{turned.query}&units={other}", "words": words}
        status = 422 if clash else 200
        page = self._page(request, "blade.html", status, view=view, clash=clash, switch_units=switch)
        page.set_cookie("units", asked.system, max_age=forms.YEAR, samesite="strict")
        return page

    def answer(self, request: Request) -> HTMLResponse:
        """What a changed option changes: drawing, title block, lists; or the clash, the last drawing left alone."""
        number = request.query_params.get("order", "")
        try:
            asked = self._asked(request, number=number)
        except EntryError as error:
            return self._clashing(request, {**error.as_dict(), "shown": "what it showed before", "ways": []})
        try:
            found = self._ahead.blade(asked.spec, asked.system)
        except EntryError as error:
            return self._clashing(request, self._clash(error, asked, "what it showed before"))
        view = pages.blade_view(asked, found, self._desk.rulebook)
        view |= self._around(asked)
        page = self._page(request, "changing.html", view=view)
        page.headers["HX-Push-Url"] = f"/blade?{asked.query}"
        return page

    def _around(self, asked: Asked) -> dict[str, Any]:
        """What can be held against a blade: orders to lay beside it, its own first, and carriers."""
        numbers = [order.number for order in self._desk.orders() if order.spec]
        beside = sorted(numbers, key=lambda number: number != asked.order)
        return {"beside": beside, "machines": self._holding.choices(asked)}

    def _clashing(self, request: Request, clash: dict[str, Any]) -> HTMLResponse:
        page = self._page(request, "clash.html", 422, clash=clash)
        page.headers["HX-Retarget"] = "#clash"
        page.headers["HX-Reswap"] = "innerHTML"
        return page

    def _clash(self, error: EntryError, asked: Asked, shown: str) -> dict[str, Any]:
        ways = [
            {"words": way.words, "query": replace(asked, spec=way.spec).query}
            for way in forms.ways_out(asked.spec, self._desk.rulebook, asked.system)
        ]
        return {**error.as_dict(), "shown": shown, "ways": ways}

    def _asked(self, request: Request, *, number: str) -> Asked:
        order = self._desk.order(number) if number else None
        ordered: Spec | None = order.spec if order else None
        query = request.query_params
        return Asked(
            spec=forms.spec_of(query, ordered=ordered, rulebook=self._desk.rulebook),
            system=forms.system_of(query, request.cookies),
            order=order.number if order else "",
            ordered=ordered,
            customer=order.customer if order else "",
            machine=said_machine(query.get("machine", ""), order.carrier if order else ""),
        )

    def _asked_by(self, request: Request) -> Asked:
        return self._asked(request, number=request.query_params.get("order", ""))

    def pose(self, request: Request) -> JSONResponse:
        """Where every part is when the blade is angled, tripped and rolled, by the one model."""
        asked = self._asked_by(request)
        try:
            return JSONResponse(solid.pose(self._desk.worked(asked.spec).build, request.query_params))
        except EntryError as error:
            return JSONResponse({**error.as_dict(), "said": error.sentence()}, status_code=422)

    def shapes(self, request: Request) -> JSONResponse:
        """Every part of the blade at rest, for the solid view."""
        asked = self._asked_by(request)
        return JSONResponse(solid.shapes(self._desk.worked(asked.spec).build))

    def papers(self, request: Request) -> HTMLResponse:
        """The papers of a blade: begun at the first call, what is being written at the next, then all of them."""
        return self._papers(request, stop=False)

    def stop_papers(self, request: Request) -> HTMLResponse:
        """Leave off writing."""
        return self._papers(request, stop=True)

    def _papers(self, request: Request, *, stop: bool) -> HTMLResponse:
        asked = self._asked_by(request)
        solids = request.query_params.get("solids") == "yes"
        carrier = self._holding.carrier(asked)
        if stop:
            self._writing.stop(asked, carrier, solids=solids)
        job = self._writing.job(asked, carrier, solids=solids, going=stop or asks_how_far(request))
        query = asked.query + ("&solids=yes" if solids else "")
        shown: dict[str, Any] = {"query": query}
        if job.given_up:
            shown["stopped"] = True
        elif not job.found.done():
            shown |= {"waits": True, "said": job.reached or "the first paper", "waited": job.waited()}
        else:
            try:
                found = job.found.result()
            except PlowwrightError as error:
                shown["error"] = error.sentence()
            else:
                shown["written"] = [
                    {"name": name, "what": one.what, "href": f"/blade/papers/{quote(name)}?{query}"}
                    for name, one in found.items()
                ]
        return placed(request, self._page(request, "papers.html", job=shown), "papers", waits="waits" in shown)

    def paper(self, request: Request, name: str) -> FileResponse:
        """One paper; written first when it is not yet."""
        asked = self._asked_by(request)
        carrier = self._holding.carrier(asked)
        found = self._writing.file(asked, carrier, name, solids=request.query_params.get("solids") == "yes")
        return FileResponse(found, filename=found.name)

    def side(self, request: Request) -> HTMLResponse:
        """Two or more blades, only what differs."""
        system = forms.system_of(request.query_params, request.cookies)
        return self._page(request, "side.html", **side.side_view(self._desk, request.query_params, system))

    def refused(self, request: Request, error: Exception) -> HTMLResponse:
        """An error as a page: what, value, limit, way out."""
        found = error if isinstance(error, PlowwrightError) else PlowwrightError(str(error))
        status = 404 if isinstance(found, NotFoundError) else 501 if isinstance(found, MissingToolError) else 422
        heading = "Not here" if status == 404 else "Not taken"
        return self._page(request, "refused.html", status, error={**found.as_dict(), "heading": heading})

    def nowhere(self, request: Request, error: Exception) -> HTMLResponse:
        """An address without a page."""
        lost = NotFoundError("there is no sheet at this address", value=request.url.path, way_out="Begin at the wall.")
        return self.refused(request, lost)


def run(desk: Desk, *, host: str, port: int) -> None:
    """Serve until stopped.

    Args:
        desk: The shop's rules and orders.
        host: Address to answer on.
        port: Port to answer on.
    """
    import uvicorn

    app = create_app(desk)
    app.state.warm()
    # All that is loaded by now stays. Looking through it for rubbish held an answer up by a tenth of a second.
    gc.collect()
    gc.freeze()
    uvicorn.run(app, host=host, port=port, log_level="warning")
