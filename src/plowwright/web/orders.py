"""The page of one order: the blade drawn, how far it is and what the next step asks for, and every form of its way."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import quote

from fastapi import FastAPI, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from plowwright.blade.spec import Spec
from plowwright.desk.acting import Hand
from plowwright.desk.order_file import ABOUT, OrderPage, order_page
from plowwright.desk.order_papers import OrderPapers
from plowwright.desk.selling import Selling
from plowwright.desk.selling_changes import Changing
from plowwright.desk.selling_money import Till, cents_of
from plowwright.desk.selling_quotes import Quoting
from plowwright.desk.selling_words import day_of, words
from plowwright.errors import EntryError, NotFoundError, PlowwrightError
from plowwright.store import records as r
from plowwright.store.commands import Command
from plowwright.web import acting, forms, wall
from plowwright.web.heads import head_of
from plowwright.web.orders_new import NewOrder
from plowwright.web.orders_view import page_view

if TYPE_CHECKING:
    from starlette.datastructures import FormData

    from plowwright.desk.desk import Desk

ACTS: Final = ("accept", "again", "release", "pay", "reverse", "terms", "hold", "lift", "ask", "answer", "change",
               "settle", "drop", "back", "cancel", "note")  # fmt: skip
"""What can be sent to an order, in the words of its forms."""
PICTURES: Final = ("image/jpeg", "image/png", "image/webp", "image/gif")
"""Photos a page shows; any other file is handed out to be saved."""


class OrderPages:
    """Answers the addresses of orders.

    Args:
        desk: The shop.
        page: Sets a template.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse]) -> None:
        self._desk = desk
        self._page = page
        self._new = NewOrder(desk, page)
        self._drawn = lru_cache(maxsize=128)(lambda spec, rules: wall.standing(desk.rules_of(rules), spec))

    def add_to(self, app: FastAPI) -> None:
        """Put its addresses on the application."""
        self._new.add_to(app)
        app.get("/order/{number}", response_class=HTMLResponse)(self.sheet)
        app.get("/order/{number}/quote.pdf")(self.quote)
        app.get("/order/{number}/order confirmation.pdf")(self.confirmation)
        app.get("/order/{number}/change note {note}.pdf")(self.change_note)
        app.get("/order/{number}/photo/{digest}")(self.photo)
        app.post("/order/{number}/{act}", response_class=HTMLResponse)(self.act)

    def sheet(self, request: Request, number: str) -> Response:
        """The page."""
        found = order_page(self._desk, number)
        if found.number != number:
            return RedirectResponse(f"/order/{found.number}", status_code=307)
        return self._show(request, found)

    async def act(self, request: Request, number: str, act: str) -> Response:
        """Do what a form asks; where it is refused the page comes back with what was typed."""
        if act not in ACTS:
            raise NotFoundError("nothing of this kind is done to an order", value=act, limit=", ".join(ACTS))
        form = await acting.form_of(request)
        photo = await acting.photo_of(form)
        found = await run_in_threadpool(order_page, self._desk, number)

        def do(hand: Hand) -> Mapping[str, Any]:
            return self._do(act, hand, found, form, photo)

        try:
            return await acting.acted(request, form, do, f"/order/{quote(found.number)}", self._desk)
        except PlowwrightError as error:
            return await run_in_threadpool(self._show, request, found, act=act, form=form, error=error)

    def _do(
        self, act: str, hand: Hand, page: OrderPage, form: FormData, photo: tuple[bytes, str, str] | None
    ) -> Mapping[str, Any]:
        number, selling, changing = page.number, Selling(self._desk), Changing(self._desk)

        def said(name: str = "said") -> str:
            return acting.text(form, name)

        todo: dict[str, Callable[[], Mapping[str, Any]]] = {
            "accept": lambda: selling.accept(hand, number, day_of(said("day"), said("hour"), "the promise")),
            "again": lambda: Quoting(self._desk).quote_again(hand, number),
            "release": lambda: selling.release(hand, number),
            "pay": lambda: Till(self._desk).pay(hand, number, said("kind"), self._cents(said("sum")), said()),
            "reverse": lambda: Till(self._desk).reverse(hand, number, _whole(said("line")), said()),
            "terms": lambda: Till(self._desk).terms(hand, number, said()),
            "hold": lambda: selling.hold(hand, number, said()),
            "lift": lambda: selling.lift(hand, number, said()),
            "ask": lambda: selling.ask(hand, number, said()),
            "answer": lambda: selling.answer(hand, number, said("ask"), said()),
            "change": lambda: self._change(changing, hand, page, form),
            "settle": lambda: changing.settle(hand, number, _whole(said("note"))),
            "drop": lambda: changing.drop(hand, number, _whole(said("note")), said()),
            "back": lambda: selling.step_back(hand, number, said("to"), said()),
            "cancel": lambda: selling.cancel(hand, number, said()),
            "note": lambda: self._note(hand, number, said(), photo),
        }
        return todo[act]()

    def _change(self, changing: Changing, hand: Hand, page: OrderPage, form: FormData) -> Mapping[str, Any]:
        day, sum_ = acting.text(form, "day"), acting.text(form, "sum")
        ordered = page.order.spec
        spec = None
        if ordered is not None:
            query = forms.QueryParams([(k, v) for k, v in form.multi_items() if isinstance(v, str)])
            wanted = forms.spec_of(query, ordered=ordered, rulebook=self._desk.rulebook)
            spec = wanted if wanted.choices() != ordered.choices() or abs(wanted.width - ordered.width) > 1e-4 else None
        less = acting.text(form, "less") == "less"
        cents = (-1 if less else 1) * self._cents(sum_) if sum_ else None
        promise = day_of(day, acting.text(form, "hour"), "the promise") if day else None
        return changing.write(hand, page.number, acting.text(form, "said"), cents=cents, promise=promise, spec=spec)

    def _note(self, hand: Hand, number: str, said: str, photo: tuple[bytes, str, str] | None) -> Mapping[str, Any]:
        note = said if photo else words(said, "a note says something, or has a photo")

        def do(c: Command) -> dict[str, Any]:
            kept = c.keep_file(photo[0], name=photo[1], media=photo[2]) if photo else None
            c.add(r.Attachment, about=ABOUT, key=number, day=c.at.date(), note=note, file=kept.digest if kept else None)
            return {"said": f"{number}: {note or 'a photo'} is kept", "number": number}

        return self._desk.book.run("note", do, who=hand.who, key=hand.key, asked={"order": number, "note": note})

    def _cents(self, text: str) -> int:
        return cents_of(text, self._desk.rulebook.shop.currency, "the sum")

    def _show(
        self, request: Request, found: OrderPage, *, act: str = "", form: FormData | None = None,
        error: PlowwrightError | None = None,
    ) -> HTMLResponse:  # fmt: skip
        system = forms.system_of(request.query_params, request.cookies)
        typed: dict[str, Any] = {k: v for k, v in form.items() if isinstance(v, str)} if form is not None else {}
        if form is not None:
            typed["extras"] = form.getlist("extras")
        view = page_view(found, self._desk, system=system, draw=self._draw, act=act, typed=typed)
        refused = error.as_dict() if error else None
        quoted = found.file.order.state in ("enquiry", "quote")
        head = head_of("/enquiries" if quoted else "/", records=True)
        return self._page(request, "order.html", 422 if error else 200, view=view, refused=refused, head=head)

    def _draw(self, spec: Spec, rules: str) -> str:
        return self._drawn(spec, rules)

    # Papers and photos --------------------------------------------------------------------------------------------

    def quote(self, request: Request, number: str) -> Response:
        """The quote as it was frozen."""
        found = order_page(self._desk, number)
        return _pdf(self._papers(request).quote(found), f"{found.number} quote")

    def confirmation(self, request: Request, number: str) -> Response:
        """The order confirmation as of now."""
        found = order_page(self._desk, number)
        return _pdf(self._papers(request).confirmation(found), f"{found.number} order confirmation")

    def change_note(self, request: Request, number: str, note: str) -> Response:
        """A change note for the customer."""
        found = order_page(self._desk, number)
        return _pdf(self._papers(request).change(found, _whole(note)), f"{found.number} change note {note}")

    def photo(self, number: str, digest: str) -> Response:
        """A photo kept with the order."""
        found = order_page(self._desk, number)
        if digest not in {one.file for one in found.file.attachments}:
            raise NotFoundError("no such photo of this order", value=digest[:12], where=found.number)
        with self._desk.book.reading() as reads:
            kept = reads.get(r.KeptFile, digest)
        shown = kept.media if kept.media in PICTURES else "application/octet-stream"
        return Response(self._desk.book.filing.read(digest), media_type=shown,
                        headers={"X-Content-Type-Options": "nosniff"})  # fmt: skip

    def _papers(self, request: Request) -> OrderPapers:
        paper = "a4" if request.query_params.get("paper") == "a4" else "letter"
        return OrderPapers(self._desk, paper=paper, system=forms.system_of(request.query_params, request.cookies))


def _pdf(data: bytes, name: str) -> Response:
    headers = {"Content-Disposition": f'inline; filename="{name}.pdf"'}
    return Response(data, media_type="application/pdf", headers=headers)


def _whole(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) < 10):
        raise EntryError("not a number of a line", value=text or "nothing", way_out="Take it from the order's page.")
    return int(text)


