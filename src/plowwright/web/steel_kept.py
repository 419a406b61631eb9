"""The page of a released cut plan: each stick ticked piece by piece, what went wrong said, the rest planned again."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse, Response
from starlette.datastructures import FormData

from plowwright.desk.acting import Hand
from plowwright.desk.cuts_kept import CutInHand, CutsKept
from plowwright.desk.plans_called_off import Off
from plowwright.desk.plans_kept import ticked_at
from plowwright.errors import NotFoundError, PlanInputError, PlowwrightError
from plowwright.shop.cutting_called_off import without
from plowwright.units import counted
from plowwright.web import acting, forms
from plowwright.web.forms import System
from plowwright.web.steel_asked import Asked
from plowwright.web.steel_view import FILES, Made, plan_view, written

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk


class CutKeptPage:
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
        app.get("/cutting/kept/{number}", response_class=HTMLResponse)(self.sheet)
        app.post("/cutting/kept/{number}")(self.said)
        app.get("/cutting/kept/{number}/papers/{name}")(self.paper)

    def sheet(self, request: Request, number: int) -> HTMLResponse:
        """The plan as it stands."""
        return self._shown(request, number)

    def _shown(
        self, request: Request, number: int, error: PlowwrightError | None = None, form: FormData | None = None
    ) -> HTMLResponse:
        system = forms.system_of(request.query_params, request.cookies)
        held = CutsKept(self._desk).at(number)
        other = "metric" if system == "us" else "us"
        words = "Metric" if other == "metric" else "Inches and pounds"
        switch = {"href": f"/cutting/kept/{number}?units={other}", "words": words}
        view = kept_view(held, self._desk, system)
        if form is not None:
            ticked = still_ticked(form, self._desk, "cut", number, set(held.version.ticked))
            for piece in (p for stick in view["sticks"] for row in stick["rows"] for p in row["pieces"]):
                piece["cut"] = piece["tag"] in ticked
            view["typed"] = {name: acting.text(form, name) for name in ("miscut", "bent")}
        page = self._page(request, "cutting-kept.html", 422 if error else 200, plan=view, switch_units=switch,
                          error=error.as_dict() if error else None)  # fmt: skip
        page.set_cookie("units", system, max_age=forms.YEAR, samesite="strict")
        return page

    async def said(self, request: Request, number: int) -> Response:
        """Ticks, a stick that is cut, or a mishap."""
        form = await acting.form_of(request)

        def do(hand: Hand) -> dict[str, Any]:
            kept = CutsKept(self._desk)
            cut, not_cut = ticks_of(form, self._desk, "cut", number)
            if pressed := acting.text(form, "whole"):
                return kept.tick(hand, number, cut=cut, not_cut=not_cut, whole=numbers_of(pressed))
            if acting.text(form, "what") == "lay back":
                return kept.lay_back(hand, number)
            if acting.text(form, "what") == "mishap":
                miscut = [t for t in (acting.text(form, "miscut"),) if t]
                return kept.mend(hand, number, cut=cut, miscut=miscut, bent=numbers_of(acting.text(form, "bent")))
            return kept.tick(hand, number, cut=cut, not_cut=not_cut)

        try:
            return await acting.acted(request, form, do, f"/cutting/kept/{number}", self._desk)
        except PlowwrightError as error:
            return self._shown(request, number, error, form)

    def paper(self, request: Request, number: int, name: str) -> Response:
        """One paper of the plan as it stands."""
        if name not in FILES:
            raise NotFoundError("no such paper of a cut plan", value=name, way_out=f"There are: {', '.join(FILES)}.")
        held = CutsKept(self._desk).at(number)
        system = forms.system_of(request.query_params, request.cookies)
        # What was called off is not on the saw's papers any more; a plan of nothing else keeps its last ones.
        week = held.week if held.off.over else replace(held.week, plan=without(held.week.plan, held.off.unsawn))
        made = Made(week=week, changes=held.changes, extra=held.extra)
        body = written(name, made, self._desk, system, cut=held.version.ticked, released=number)
        return Response(body, media_type=FILES[name][1],
                        headers={"Content-Disposition": f'inline; filename="{name}"'})  # fmt: skip


def ticks_of(form: FormData, desk: Desk, sort: str, number: int) -> tuple[set[str], set[str]]:
    """What somebody ticked, and what he took a tick from, since the sheet he had before him was made.

    What another one ticked meanwhile stays ticked.

    Args:
        form: What he sent, with the row of the sheet he saw.
        desk: The shop.
        sort: "cut" or "nest".
        number: Of the plan.

    Raises:
        PlanInputError: The sheet is not of this plan.
    """
    row = acting.text(form, "row")
    if not (row.isascii() and row.isdigit()):
        raise PlanInputError("this form is of no plan", value=row, way_out="Open the plan's page again.")
    with desk.book.reading() as reads:
        shown = ticked_at(reads, sort, number, int(row))
    sent = {value for name, value in form.multi_items() if name == "cut" and isinstance(value, str)}
    return sent - shown, set(shown) - sent


def still_ticked(form: FormData, desk: Desk, sort: str, number: int, kept: set[str]) -> set[str]:
    """What is ticked on a sheet that is shown again because it was refused: nothing that was ticked is lost.

    Args:
        form: What somebody sent.
        desk: The shop.
        sort: "cut" or "nest".
        number: Of the plan.
        kept: What the records have as ticked.

    Raises:
        PlanInputError: The sheet is not of this plan.
        NotFoundError: It is of no state the plan was in.
    """
    cut, not_cut = ticks_of(form, desk, sort, number)
    return (kept | cut) - not_cut


def numbers_of(text: str, bar: str = "stick") -> list[int]:
    """Numbers of sticks or sheets as somebody typed them.

    Args:
        text: What he typed.
        bar: "stick" or "sheet".

    Raises:
        PlanInputError: One is no number.
    """
    try:
        return [int(n) for n in text.replace(",", " ").split()]
    except ValueError as error:
        raise PlanInputError(f"a {bar} has a number", value=text,
                             way_out=f"It stands at the left of each {bar}.") from error  # fmt: skip


def _made(held: CutInHand) -> Made:
    return Made(week=held.week, changes=held.changes, extra=held.extra)


def kept_view(held: CutInHand, desk: Desk, system: System) -> dict[str, Any]:
    """A released plan as its page shows it.

    Args:
        held: The plan.
        desk: The shop.
        system: US or metric.
    """
    version, total = held.version, len(held.week.pieces)
    asked = Asked(orders=held.week.orders, seconds=1.0, ticked=tuple(version.ticked))
    view = plan_view(_made(held), asked, desk, system)
    for stick in view["sticks"]:
        number = stick["number"]
        stick["done"] = number in version.done
        stick["short"] = number not in version.fetched
        stick.update(off_view(held.off, version.laid_back, number))
        for piece in (p for row in stick["rows"] for p in row["pieces"]):
            piece.update(tag_view(held.off, piece["tag"]))
    view["papers"] = [{**p, "href": f"/cutting/kept/{held.number}/papers/{p['name']}"} for p in view["papers"]]
    return {
        **view, "number": held.number, "row": version.row, "orders": ", ".join(held.week.orders), "who": version.who,
        "when": f"{version.released:%a %d %b, %H:%M}", "left": held.left,
        "progress": f"{len(version.ticked)} of {counted(total, 'piece')} cut, {len(version.done)} of "
        f"{counted(len(view['sticks']), 'stick')} done",
        "short": "; ".join(sorted(set(version.wants.values()))), "off": held.off.in_words,
        "waiting": bool(held.off.waiting),
    }  # fmt: skip


def off_view(off: Off, laid_back: Collection[int], number: int) -> dict[str, Any]:
    """How a stick or sheet stands of which something was called off.

    Args:
        off: What was called off.
        laid_back: Numbers of those that were laid back.
        number: Its number.
    """
    return {"idle": number in off.idle, "laid_back": number in laid_back}


def tag_view(off: Off, tag: str) -> dict[str, Any]:
    """How a piece stands that was called off.

    Args:
        off: What was called off.
        tag: Its tag.
    """
    return {"unsawn": tag in off.unsawn, "spare": tag in off.kept}
