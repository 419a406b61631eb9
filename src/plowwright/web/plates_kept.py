"""The page of a released nest: each sheet ticked part by part, its rests put away when it is done."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse, Response
from starlette.datastructures import FormData

from plowwright.desk.acting import Hand
from plowwright.desk.nests_kept import NestInHand, NestsKept
from plowwright.errors import NotFoundError, PlowwrightError
from plowwright.shop.nesting_order import cut_order
from plowwright.units import counted
from plowwright.web import acting, forms
from plowwright.web.forms import System
from plowwright.web.plates_view import FILES, Asked, nest_view, written
from plowwright.web.steel_kept import numbers_of, off_view, still_ticked, tag_view, ticks_of

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk


class NestKeptPage:
    """Answers the addresses of the page.

    Args:
        desk: The shop's rules and records.
        page: Sets a template.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse]) -> None:
        self._desk = desk
        self._page = page

    def add_to(self, app: FastAPI) -> None:
        """Put its addresses on the application."""
        app.get("/plates/kept/{number}", response_class=HTMLResponse)(self.sheet)
        app.post("/plates/kept/{number}")(self.said)
        app.get("/plates/kept/{number}/papers/{name}")(self.paper)

    def sheet(self, request: Request, number: int) -> HTMLResponse:
        """The nest as it stands."""
        return self._shown(request, number)

    def _shown(
        self, request: Request, number: int, error: PlowwrightError | None = None, form: FormData | None = None
    ) -> HTMLResponse:
        system = forms.system_of(request.query_params, request.cookies)
        held = NestsKept(self._desk).at(number)
        other = "metric" if system == "us" else "us"
        words = "Metric" if other == "metric" else "Inches and pounds"
        switch = {"href": f"/plates/kept/{number}?units={other}", "words": words}
        view = kept_view(held, self._desk, system)
        if form is not None:
            ticked = still_ticked(form, self._desk, "nest", number, set(held.version.ticked))
            for part in (p for sheet in view["sheets"] for p in sheet["parts"]):
                part["cut"] = part["tag"] in ticked
        page = self._page(request, "plates-kept.html", 422 if error else 200, nest=view, switch_units=switch,
                          error=error.as_dict() if error else None)  # fmt: skip
        page.set_cookie("units", system, max_age=forms.YEAR, samesite="strict")
        return page

    async def said(self, request: Request, number: int) -> Response:
        """Ticks, or a sheet that is cut."""
        form = await acting.form_of(request)

        def do(hand: Hand) -> dict[str, Any]:
            kept = NestsKept(self._desk)
            cut, not_cut = ticks_of(form, self._desk, "nest", number)
            if pressed := acting.text(form, "whole"):
                return kept.tick(hand, number, cut=cut, not_cut=not_cut, whole=numbers_of(pressed, "sheet"))
            if acting.text(form, "what") == "lay back":
                return kept.lay_back(hand, number)
            return kept.tick(hand, number, cut=cut, not_cut=not_cut)

        try:
            return await acting.acted(request, form, do, f"/plates/kept/{number}", self._desk)
        except PlowwrightError as error:
            return self._shown(request, number, error, form)

    def paper(self, request: Request, number: int, name: str) -> Response:
        """One paper of the nest as it stands."""
        if name not in FILES:
            raise NotFoundError("no such paper of a nest", value=name, way_out=f"There are: {', '.join(FILES)}.")
        held = NestsKept(self._desk).at(number)
        system = forms.system_of(request.query_params, request.cookies)
        body = written(name, held.nests, self._desk, system, released=number)
        return Response(body, media_type=FILES[name][1],
                        headers={"Content-Disposition": f'inline; filename="{name}"'})  # fmt: skip


def kept_view(held: NestInHand, desk: Desk, system: System) -> dict[str, Any]:
    """A released nest as its page shows it.

    Args:
        held: The nest.
        desk: The shop.
        system: US or metric.
    """
    version, total = held.version, len(held.nests.outlines)
    view = nest_view(held.nests, Asked(orders=held.nests.orders, seconds=1.0), desk, system)
    # In the order of cutting, which numbers them in the drawing too.
    parts = {n.number: [c.tag for c in cut_order(n) if c.kind == "outline"] for n in held.nests.plan.sheets}
    for sheet in view["sheets"]:
        number = sheet["number"]
        sheet["parts"] = [
            {"number": at, "tag": tag, "cut": tag in version.ticked} | tag_view(held.off, tag)
            for at, tag in enumerate(parts[number], 1)
        ]
        sheet["done"] = number in version.done
        sheet["short"] = number not in version.fetched
        sheet.update(off_view(held.off, version.laid_back, number))
    view["papers"] = [{**p, "href": f"/plates/kept/{held.number}/papers/{p['name']}"} for p in view["papers"]]
    return {
        **view, "number": held.number, "row": version.row, "orders": ", ".join(held.nests.orders), "who": version.who,
        "when": f"{version.released:%a %d %b, %H:%M}",
        "progress": f"{len(version.ticked)} of {counted(total, 'part')} cut, {len(version.done)} of "
        f"{counted(len(view['sheets']), 'sheet')} done",
        "short": "; ".join(sorted(set(version.wants.values()))), "off": held.off.in_words,
        "waiting": bool(held.off.waiting),
    }  # fmt: skip
