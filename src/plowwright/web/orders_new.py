"""A new quote: a blade as the address says it, the same as last time, an old blade for another machine, spares."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import quote

from fastapi import FastAPI, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse, Response
from starlette.datastructures import QueryParams

from plowwright.blade.spec import Spec
from plowwright.desk.acting import Hand
from plowwright.desk.order_copy import Copy, copy_of
from plowwright.desk.order_prices import Offer, blade_offer, refit_offer, spares_offer
from plowwright.desk.selling_quotes import Quoting
from plowwright.desk.selling_words import For, day_of
from plowwright.errors import PlowwrightError
from plowwright.shop.orders import money
from plowwright.units import counted
from plowwright.web import acting, forms, wall
from plowwright.web.orders_view import options_of

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_ANSWER: Final = "answer "
"""How the field of an answer begins; the key of its question follows."""
_TYPED: Final = ("name", "phone", "machine", "day", "hour", "note", "ask", "enquiry")
_ASKED: Final = ("copy", "refit", "to", "serial", "spares", "units", *forms.FIELDS, "extras", "chosen")
"""What says which thing is quoted; everything else is about whom it is for."""


class NewOrder:
    """Answers the address of a new quote.

    Args:
        desk: The shop.
        page: Sets a template.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse]) -> None:
        self._desk = desk
        self._page = page

    def add_to(self, app: FastAPI) -> None:
        """Put it on the application, before the address of an order takes "new" for a number."""
        app.get("/order/new", response_class=HTMLResponse)(self.sheet)
        app.post("/order/new", response_class=HTMLResponse)(self.quote)

    def sheet(self, request: Request) -> HTMLResponse:
        """What would be quoted, and who for."""
        return self._show(request, request.query_params)

    async def quote(self, request: Request) -> Response:
        """Quote it; where that is refused the page comes back with what was typed."""
        form = await acting.form_of(request)
        told = QueryParams([(k, v) for k, v in form.multi_items() if isinstance(v, str)])

        def do(hand: Hand) -> Mapping[str, Any]:
            return self._quote(hand, told)

        try:
            return await acting.acted(request, form, do, lambda a: f"/order/{quote(a['number'])}", self._desk)
        except PlowwrightError as error:
            return await run_in_threadpool(self._show, request, told, error)

    def _quote(self, hand: Hand, told: QueryParams) -> Mapping[str, Any]:
        quoting = Quoting(self._desk)
        day, enquiry = told.get("day", "").strip(), told.get("enquiry", "")
        whom = For(
            name=told.get("name", ""), phone=told.get("phone", ""), carrier=told.get("machine", "").strip(),
            enquiry=int(enquiry) if enquiry.isascii() and enquiry.isdigit() else None,
            wished=day_of(day, told.get("hour", ""), "the wish") if day else None, note=told.get("note", ""),
            asks=tuple(filter(None, [told.get("ask", "").strip()])),
        )  # fmt: skip
        if told.get("refit"):
            return quoting.quote_refit(hand, told["refit"], told.get("to", ""), whom)
        if told.getlist("spares"):
            return quoting.quote_spares(hand, told.getlist("spares"), whom, serial=told.get("serial", ""))
        copy = self._copy(told)
        answers = {k.removeprefix(_ANSWER): v for k, v in told.items() if k.startswith(_ANSWER)}
        return quoting.quote(hand, self._spec(told, copy), whom, copy=copy, answers=answers)

    def _copy(self, told: QueryParams) -> Copy | None:
        if not told.get("copy"):
            return None
        machine = told.get("machine", "").strip()
        plain = copy_of(self._desk, told["copy"], machine=machine)
        spec = self._spec(told, plain)
        return plain if spec == plain.spec else copy_of(self._desk, told["copy"], machine=machine, spec=spec)

    def _spec(self, told: QueryParams, copy: Copy | None) -> Spec:
        spec = forms.spec_of(told, ordered=copy.spec if copy else None, rulebook=self._desk.rulebook)
        return replace(spec, number="", customer="", note="")

    def _offer(self, told: QueryParams) -> tuple[str, Offer | None, Copy | None]:
        if told.get("refit"):
            return "refit", refit_offer(self._desk, told["refit"], told.get("to", "")), None
        if told.getlist("spares"):
            return "spares", spares_offer(self._desk.rulebook, told.getlist("spares"), told.get("serial", "")), None
        if told.get("copy") or told.get("series"):
            copy = self._copy(told)
            return "blade", blade_offer(self._desk, self._spec(told, copy)), copy
        return "", None, None

    def _options(self, request: Request, told: QueryParams, offer: Offer | None) -> dict[str, Any]:
        system = forms.system_of(told, request.cookies)
        spec = offer.build.spec if offer and offer.build else forms.first_spec(self._desk.rulebook)
        typed = {**dict(told.items()), "extras": told.getlist("extras")} if "chosen" in told and offer is None else None
        found = options_of(spec, self._desk, system, typed)
        return found if offer or not told.get("width") else {**found, "width": told["width"]}

    def _show(self, request: Request, told: QueryParams, error: PlowwrightError | None = None) -> HTMLResponse:
        kind, offer, copy, refused = "", None, None, error
        try:
            kind, offer, copy = self._offer(told)
        except PlowwrightError as fault:
            refused = error or fault
        typed = {name: told.get(name, "") for name in _TYPED} | {
            k: v for k, v in told.items() if k.startswith(_ANSWER)
        }  # fmt: skip
        if copy is not None and not typed["name"]:
            typed |= {"name": copy.customer, "machine": typed["machine"] or copy.machine}
        view = {
            "title": f"The same as {copy.what}" if copy else "A new quote", "kind": kind,
            "name": offer.name if offer else "", "typed": typed, "copied": copy.what if copy else "",
            "drawing": wall.standing(self._desk.rulebook, offer.build.spec) if offer and offer.build else "",
            "offer": _offered(offer) if offer else None,
            "differs": [(row.what, row.values[0], row.values[1]) for row in copy.found.rows] if copy else [],
            "asks": [{"key": a.key, "ask": a.ask, "why": a.why} for a in copy.found.asks] if copy else [],
            "hidden": [(k, v) for k, v in told.multi_items() if k in _ASKED or k == "enquiry"],
            "options": self._options(request, told, offer) if kind in ("", "blade") else None,
            "spares": list(self._desk.rulebook.prices.spares),
            "machines": [carrier.name for carrier in self._desk.strength.carriers.values()],
        }  # fmt: skip
        return self._page(request, "order-new.html", 422 if refused else 200, view=view,
                          refused=_refused(refused, view["asks"]) if refused else None)  # fmt: skip


def _refused(error: PlowwrightError, asks: Sequence[Mapping[str, str]]) -> dict[str, Any]:
    """A refusal as the page says it; questions stand in the form below with their fields, and are not said twice."""
    told = error.as_dict()
    open_ = str(told.get("where") or "").split("; ")
    if asks and set(open_) <= {one["key"] for one in asks}:
        asked = counted(len(asks), "question")
        return {**told, "where": "", "value": f"{len(open_)} of {asked} below without an answer"}
    return told


def _offered(offer: Offer) -> dict[str, Any]:
    return {
        "lines": [(line.label, money(round(100 * line.amount)) if line.amount else "included") for line in offer.lines],
        "total": money(offer.cents),
        "deposit": money(offer.deposit_cents) if offer.deposit_cents else "none",
        "days": offer.valid_days,
    }
