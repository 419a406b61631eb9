"""The page of enquiries and quotes: who rang, what waits for a yes and until when; and keeping a call."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import urlencode

from fastapi import FastAPI, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse, Response
from starlette.datastructures import FormData, QueryParams

from plowwright.blade.carriers import Carrier
from plowwright.desk.acting import Hand
from plowwright.desk.enquiring import Enquiring, Rang, told_in_words
from plowwright.desk.order_file import Waiting, open_quotes
from plowwright.desk.selling_words import said_day
from plowwright.errors import PlowwrightError
from plowwright.shop.orders import money
from plowwright.web import acting, forms, telling
from plowwright.web.calling import spreads_of

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_OWN: Final = ("key", "who", "name", "phone", "note")
"""Fields that are not part of what was told of machine and work."""


class EnquiryPages:
    """Answers the addresses of enquiries.

    Args:
        desk: The shop.
        page: Sets a template.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse]) -> None:
        self._desk = desk
        self._page = page

    def add_to(self, app: FastAPI) -> None:
        """Put them on the application."""
        app.get("/enquiries", response_class=HTMLResponse)(self.sheet)
        app.post("/enquiries", response_class=HTMLResponse)(self.keep)
        app.post("/enquiries/{enquiry}/close", response_class=HTMLResponse)(self.close)

    def sheet(self, request: Request) -> HTMLResponse:
        """Open enquiries and quotes."""
        return self._show(request, {})

    async def keep(self, request: Request) -> Response:
        """Keep what a caller told: his name and number, and the fields of the page of the call as they stand there."""
        form = await acting.form_of(request)

        def do(hand: Hand) -> Mapping[str, Any]:
            told = QueryParams([(k, v) for k, v in form.multi_items() if isinstance(v, str) and k not in _OWN])
            return Enquiring(self._desk).keep(
                hand, name=acting.text(form, "name"), phone=acting.text(form, "phone"), note=acting.text(form, "note"),
                told=[(k, v) for k, v in told.multi_items() if v], carrier=self._machine(told, request),
            )  # fmt: skip

        return await self._acted(request, form, do)

    async def close(self, request: Request, enquiry: int) -> Response:
        """Put an enquiry away that comes to nothing."""
        form = await acting.form_of(request)

        def do(hand: Hand) -> Mapping[str, Any]:
            return Enquiring(self._desk).close(hand, enquiry, acting.text(form, "said"))

        return await self._acted(request, form, do, closing=enquiry)

    async def _acted(
        self, request: Request, form: FormData, do: Callable[[Hand], Mapping[str, Any]], *, closing: int = 0
    ) -> Response:
        try:
            return await acting.acted(request, form, do, "/enquiries", self._desk)
        except PlowwrightError as error:
            return await run_in_threadpool(self._show, request, form, error, closing)

    def _machine(self, told: QueryParams, request: Request) -> Carrier | None:
        system = forms.system_of(told, request.cookies)
        return telling.told_of(told, self._desk, spreads=spreads_of(self._desk), system=system).carrier

    def _show(
        self, request: Request, form: Mapping[str, Any], error: PlowwrightError | None = None, closing: int = 0
    ) -> HTMLResponse:
        enquiries, quotes = Enquiring(self._desk).open(), open_quotes(self._desk)
        today = self._desk.now.date()
        shown = ("name", "phone", "machine", "w_width", "note")
        typed = form.multi_items() if isinstance(form, FormData) else ()
        pairs = [(k, v) for k, v in typed if isinstance(v, str) and k not in (*shown, *_OWN)]
        view = {
            "summary": f"Open: {_so_many(len(enquiries), 'enquiry', 'enquiries')}, "
                       f"{_so_many(len(quotes), 'quote', 'quotes')}.",
            "enquiries": [_enquiry(one) for one in enquiries],
            "quotes": [_quote(one, (one.until - today).days if one.until else 0) for one in quotes],
            "typed": {name: acting.text(form, name) for name in shown},
            "hidden": pairs if not closing else [],
            "closing": closing,
            "said": acting.text(form, "said"),
            "there": any(one.id == closing for one in enquiries),
        }
        return self._page(request, "enquiries.html", 422 if error else 200, view=view,
                          refused=error.as_dict() if error else None)  # fmt: skip


def _so_many(count: int, one: str, more: str) -> str:
    return f"{count or 'no'} {one if count == 1 else more}"


def _enquiry(one: Rang) -> dict[str, Any]:
    machine = dict(one.told).get("machine", "")
    about = [("enquiry", str(one.id)), ("name", one.customer), ("phone", one.phone), ("machine", machine)]
    width = dict(one.told).get("w_width", "")
    return {
        "id": one.id, "day": f"{one.day:%a %d %b}", "customer": one.customer, "phone": one.phone,
        "machine": one.machine, "note": one.note, "told": ", ".join(told_in_words(one.told)),
        "calling": f"/calling?{urlencode(one.told)}",
        "quote": f"/order/new?{urlencode([(k, v) for k, v in about if v] + ([('width', width)] if width else []))}",
    }  # fmt: skip


def _quote(one: Waiting, days: int) -> dict[str, Any]:
    left = "today is the last day" if days == 0 else f"{days} day{'s' if days != 1 else ''} left"
    return {
        "number": one.number, "customer": one.customer, "what": one.what, "price": money(one.cents),
        "until": f"{one.until:%a %d %b}" if one.until else "", "stands": one.stands, "days": days, "left": left,
        "wished": said_day(one.wished) if one.wished else "",
    }  # fmt: skip
