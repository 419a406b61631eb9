"""The page 'On the scale': who hangs on it, what it says, the stop, what to measure first, and letting it go on."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, Final

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse, Response
from starlette.datastructures import FormData

from plowwright import units
from plowwright.desk.acting import Hand
from plowwright.desk.dock_view import DockView, Hanging
from plowwright.desk.docking import Docking
from plowwright.errors import PlowwrightError
from plowwright.papers import finding_rows
from plowwright.shop.dock_ticket import WeighTicket
from plowwright.web import acting, forms
from plowwright.web.forms import System

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

TONES: Final[Mapping[str, str]] = {"holds": "holds", "near limit": "near", "fails": "fails", "not checked": "not",
                                   "stopped": "fails", "explained": "near", "not weighed": "not"}  # fmt: skip
"""How a word is set."""
_BARE: Final = re.compile(r"\d[\d.,/ -]*")


class ScalePage:
    """Answers the addresses of the page.

    Args:
        desk: The shop.
        page: Sets a template.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse]) -> None:
        self._desk = desk
        self._page = page
        self._view = DockView(desk)

    def add_to(self, app: FastAPI) -> None:
        """Put its addresses on the application."""
        app.get("/scale", response_class=HTMLResponse)(self.sheet)
        app.post("/scale", response_class=HTMLResponse)(self.weigh)
        app.post("/scale/clear", response_class=HTMLResponse)(self.clear)

    def sheet(self, request: Request) -> HTMLResponse:
        """The page; of one order with its last ticket."""
        return self._shown(request, request.query_params.get("order", ""))

    async def weigh(self, request: Request) -> Response:
        """A number from the scale: kept as a ticket, or refused with the form as it was typed."""
        form = await acting.form_of(request)

        def do(hand: Hand) -> Mapping[str, Any]:
            mass = measured(acting.text(form, "mass"), acting.text(form, "unit") or "lb", "mass", "scale")
            looked = [str(one) for one in form.getlist("looked")]
            return Docking(self._desk).weigh(hand, acting.text(form, "order"), mass, looked=looked)

        return await self._acted(request, form, do)

    async def clear(self, request: Request) -> Response:
        """A stop cleared by a measurement or a reason."""
        form = await acting.form_of(request)

        def do(hand: Hand) -> Mapping[str, Any]:
            return Docking(self._desk).clear(
                hand, acting.text(form, "order"), measured=acting.text(form, "measured"),
                explained=acting.text(form, "explained"),
            )  # fmt: skip

        return await self._acted(request, form, do)

    async def _acted(
        self, request: Request, form: FormData, do: Callable[[Hand], Mapping[str, Any]]
    ) -> Response:
        try:
            return await acting.acted(request, form, do, lambda answer: f"/scale?order={answer['order']}", self._desk)
        except PlowwrightError as error:
            return self._shown(request, acting.text(form, "order"), error=error, form=form)

    def _shown(
        self, request: Request, order: str, *, error: PlowwrightError | None = None, form: FormData | None = None
    ) -> HTMLResponse:
        system = forms.system_of(request.query_params, request.cookies)
        waiting = self._view.waiting()
        chosen, ticket = "", None
        if order:
            try:
                chosen = self._view.number(order)
                ticket = self._view.ticket(chosen)
            except PlowwrightError as fault:
                # An order that was not weighed yet is no fault; a number that cannot be is.
                error = error or (fault if not chosen else None)
        typed = {name: acting.text(form or {}, name) for name in ("mass", "unit", "measured", "explained")}
        view: dict[str, Any] = {
            "rows": [row_of(one) for one in waiting if one.name],
            "chosen": chosen,
            "ticket": ticket_view(ticket, system) if ticket is not None else None,
            "stopped": any(one.number == chosen and one.scale == "stopped" for one in waiting),
            "error": error.as_dict() if error is not None else None,
            "typed": typed,
            "unit": typed["unit"] or ("kg" if system == "metric" else "lb"),
        }
        return self._page(request, "scale.html", 422 if error is not None else 200, view=view)


def measured(text: str, unit: str, kind: str, where: str) -> float:
    """What a big field and its unit say; a unit typed into the field itself goes first.

    Args:
        text: As typed.
        unit: As chosen beside it.
        kind: mass or length.
        where: What messages call the field.

    Raises:
        EntryError: No such quantity.
    """
    said = text.strip()
    return units.si(f"{said} {unit}" if _BARE.fullmatch(said) else said, kind, where)


def row_of(one: Hanging) -> dict[str, Any]:
    """One blade of a list.

    Args:
        one: The blade.
    """
    said = {"stopped": "stopped at the scale", "explained": "was off, explained", "holds": "weighed, agrees"}
    return {
        "number": one.number,
        "name": one.name,
        "customer": one.customer,
        "state": one.state,
        "scale": said.get(one.scale, "not weighed yet"),
        "tone": TONES[one.scale],
        "serial": one.serial,
        "promise": f"{one.promise:%a} {one.promise.day} {one.promise:%b}" if one.promise else "no day",
        "missing": one.missing,
    }


def ticket_view(ticket: WeighTicket, system: System) -> dict[str, Any]:
    """A ticket as the page shows it.

    Args:
        ticket: As it was kept.
        system: Units.
    """
    weighed = ticket.weighed
    finding = weighed.finding

    def said(mass: float) -> str:
        return units.say(mass, "mass", system=system)

    sign = "+" if weighed.difference >= 0 else "-"
    listed = {cause.said for cause in ticket.shown}
    return {
        "verdict": ticket.verdict,
        "tone": TONES[ticket.verdict],
        "sentence": finding.sentence,
        "serial": ticket.serial,
        "by": ticket.by,
        "at": f"{ticket.at:%a} {ticket.at.day} {ticket.at:%b, %H:%M}",
        "found": said(weighed.found),
        "mass_lb": f"{units.pounds(weighed.found):.6g}",
        "predicted": said(weighed.predicted),
        "difference": f"{sign}{said(abs(weighed.difference))}",
        "allowed": said(weighed.allowed),
        "build": said(ticket.build),
        "oil": said(ticket.oil),
        "learned": said(ticket.learned),
        "learned_said": ticket.learned_said,
        "bar": finding_rows.bar_inline(title=finding.title, verdict=finding.verdict, used=finding.used or 0.0,
                                       least=False),
        "causes": [
            {
                "chance": f"{100 * cause.chance:.0f}",
                "kind": cause.kind,
                "said": cause.said[:1].upper() + cause.said[1:],
                "change": "any" if cause.change is None else
                f"{'+' if cause.change >= 0 else '-'}{said(abs(cause.change))}",
                "look": cause.look,
            }
            for cause in ticket.shown
        ],
        "looked": ticket.looked,
        "kinds": list(dict.fromkeys(c.kind for c in ticket.weighed.causes if c.kind != "unknown")),
        "cleared": ticket.cleared,
        "unseen": [one.said for one in weighed.unseen if one.said not in listed],
    }  # fmt: skip
