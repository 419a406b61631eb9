"""The page 'Receiving': what is on its way, and what was measured at the truck, held against what was ordered."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any, Final

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse, Response
from starlette.datastructures import FormData

from plowwright import units
from plowwright.desk.acting import Hand
from plowwright.desk.stock_answers import Answers
from plowwright.desk.stock_arrivals import Arrivals, Photo
from plowwright.errors import EntryError, NotFoundError, PlowwrightError
from plowwright.papers import content, finding_rows, pdf
from plowwright.papers.receiving_sheet import Load, Truck, asked_of, receiving_sheet
from plowwright.shop.stock_delivery import Delivery
from plowwright.shop.stock_items import item_of
from plowwright.shop.stock_receiving import Received
from plowwright.store import records as r
from plowwright.web import forms
from plowwright.web.acting import acted, form_of, photo_of, text
from plowwright.web.stock import count_of, day_of, item_href

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_SIZES: Final = (("wall", "Wall or thickness by caliper", "0.246 in"), ("width", "Width", "3 in"),
                 ("height", "Height", "3 in"))  # fmt: skip
_FIELDS: Final = ("name", "count", "lot", "wall", "width", "height", "weight", "holes", "bad", "rest")


class ReceivingPage:
    """Answers the addresses under /receiving.

    Args:
        desk: The shop.
        page: Sets a template.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse]) -> None:
        self._desk, self._page = desk, page
        self._answers, self._arrivals = Answers(desk), Arrivals(desk)

    def add_to(self, app: FastAPI) -> None:
        """Put its addresses on the application."""
        app.get("/receiving", response_class=HTMLResponse)(self.sheet)
        app.get("/receiving/papers/{name}")(self.paper)
        app.post("/receiving/{what}")(self.act)

    def sheet(self, request: Request) -> HTMLResponse:
        """What is on its way, each with its form."""
        return self._sheet(request, request.query_params)

    def _sheet(
        self, request: Request, told: Mapping[str, Any], *, error: PlowwrightError | None = None,
        found: Received | None = None, doing: str = "",
    ) -> HTMLResponse:  # fmt: skip
        system = forms.system_of(request.query_params, request.cookies)
        today = self._desk.now.date()
        typed = {name: str(told.get(name, "")) for name in _FIELDS}
        chosen = str(told.get("arrival", ""))
        view: dict[str, Any] = {
            "loads": [
                self._load(one, today, system, opened=str(one.id) == chosen) for one in self._answers.on_the_way()
            ],
            "rows": [row.item for row in self._answers.items()] + list(self._desk.rulebook.bought),
            "sizes": _SIZES,
            "typed": typed,
            "told": told, "doing": doing,
            "chosen": chosen,
            "found": found_view(found) if found else None,
            "error": error.as_dict() if error else None,
            "refused": [{"note": one.note, "day": f"{one.day:%a %d %b}"} for one in self._answers.refused()],
        }
        return self._page(request, "receiving.html", 422 if error else 200, view=view)

    def _load(self, one: r.Arrival, today: date, system: forms.System, *, opened: bool) -> dict[str, Any]:
        late = (today - one.due).days
        return {
            "id": one.id, "item": one.item, "count": one.count, "due": f"{one.due:%a %d %b}", "supplier": one.supplier,
            "note": one.note, "late": f"{late} day{'' if late == 1 else 's'} late" if late > 0 else "",
            "today": late == 0, "open": opened,
            "iso": max(one.due, today + timedelta(days=1)).isoformat(), "href": item_href(one.item),
            "asked": asked_of(one.item, self._desk.rulebook, system), "sort": sort_of(one.item),
        }  # fmt: skip

    async def act(self, request: Request, what: str) -> Response:
        """One form of the page: look, take in, late, cancel, order."""
        form = await form_of(request)
        if what == "look":
            return self._look(request, form)
        photo = await photo_of(form)
        does: dict[str, Callable[[Hand], Mapping[str, Any]]] = {
            "in": lambda hand: self._take_in(hand, form, photo),
            "late": lambda hand: self._arrivals.late(
                hand, count_of(form, "arrival"), day_of(form, "due"), reason=text(form, "reason")
            ),
            "cancel": lambda hand: self._arrivals.cancel(hand, count_of(form, "arrival"), text(form, "reason")),
        }
        if what not in does:
            raise NotFoundError("nothing is done at this address", value=what)
        try:
            return await acted(request, form, does[what], "/receiving", self._desk)
        except PlowwrightError as error:
            return self._sheet(request, form, error=error, doing=what)

    def _look(self, request: Request, form: FormData) -> HTMLResponse:
        """What the measurements say, before anything is written."""
        try:
            return self._sheet(request, form, found=self._arrivals.judge(delivery_of(form)))
        except PlowwrightError as error:
            return self._sheet(request, form, error=error)

    def _take_in(self, hand: Hand, form: FormData, photo: Photo | None) -> Mapping[str, Any]:
        arrival = count_of(form, "arrival") if text(form, "arrival") else None
        rest = day_of(form, "rest") if text(form, "rest") else None
        return self._arrivals.receive(hand, delivery_of(form), arrival=arrival, rest=rest, photo=photo)

    def paper(self, request: Request, name: str) -> Response:
        """The receiving sheet: of all that is on its way to fill in, or of one line as it was taken in."""
        query = request.query_params
        system = forms.system_of(query, request.cookies)
        today = self._desk.now.date()
        if name not in ("receiving sheet.pdf", "receiving sheet A4.pdf"):
            raise NotFoundError("no such paper here", value=name, way_out="There is: receiving sheet.pdf.")
        line = query.get("line", "")
        if line.isascii() and line.isdigit():
            with units.speaking(system):
                loads = [self._as_taken(int(query["line"]))]
        else:
            loads = [
                Load(item=one.item, count=one.count, due=one.due, number=str(one.id), supplier=one.supplier)
                for one in self._answers.on_the_way()
            ]
        paper = "a4" if "A4" in name else "us-letter"
        made = receiving_sheet(Truck(loads=loads, book=self._desk.rulebook, on=today, paper=paper, system=system))
        body = pdf.compile(content.source(made.template), pictures=made.pictures, data=made.data)
        return Response(body, media_type="application/pdf",
                        headers={"Content-Disposition": f'inline; filename="{name}"'})  # fmt: skip

    def _as_taken(self, number: int) -> Load:
        with self._desk.book.reading() as reads:
            line = reads.get(r.Line, number)
        if line.kind != "receive" or not line.facts:
            raise NotFoundError("nothing was measured on this line", value=str(number))
        facts = line.facts
        delivery = Delivery(
            item=line.item, count=line.count, lot=line.lot, wall=facts.get("wall_m"), width=facts.get("width_m"),
            height=facts.get("height_m"), mass_per_length=facts.get("mass_per_length_kg_m"),
            holes=tuple(facts.get("holes_m", ())), bad=facts.get("bad", ""),
        )  # fmt: skip
        return Load(item=line.item, count=line.count, due=line.day, number=str(facts.get("arrival", "")), lot=line.lot,
                    measured=delivery.words(), found=self._arrivals.judge(delivery))  # fmt: skip


def sort_of(item: str) -> str:
    """What is measured on an item: "bar", "sheet", "blank" or "part".

    Args:
        item: As the ledger calls it.
    """
    return {"stick": "bar", "remnant": "bar", "sheet remnant": "sheet"}.get(item_of(item).sort, item_of(item).sort)


def delivery_of(form: Mapping[str, Any]) -> Delivery:
    """What came and was measured, from what was typed.

    Args:
        form: `name`, `count`, `lot`, sizes with their unit, `weight` per length, `holes` parted by commas, `bad`.

    Raises:
        EntryError: No item, a size without a unit, or a count that is none.
    """
    name = text(form, "name")
    if not name:
        raise EntryError("nobody says what came", way_out="Choose an arrival, or name the item.")
    sizes = {key: units.si(text(form, key), "length", words) if text(form, key) else None for key, words, _ in _SIZES}
    weight = text(form, "weight")
    places = [one.strip() for one in text(form, "holes").split(",") if one.strip()]
    holes = tuple(units.si(one, "length", "holes of the template") for one in places)
    return Delivery(
        item=name, count=count_of(form, "count"), lot=text(form, "lot"), holes=holes, bad=text(form, "bad"),
        mass_per_length=units.si(weight, "linear_mass", "weight of a foot") if weight else None, **sizes,
    )  # fmt: skip


def found_view(found: Received) -> dict[str, Any]:
    """What a receiving sheet says, as the page shows it.

    Args:
        found: The sheet.
    """
    return {
        "text": found.text,
        "racked": found.racked,
        "verdict": found.verdict,
        "rows": [
            {"title": f.title, "verdict": f.verdict, "said": finding_rows.said(f), "limit": f.limit,
             "bar": finding_rows.bar_inline(title=f.title, verdict=f.verdict, used=f.used, least=False)
             if f.used is not None else "",
             "basis": finding_rows.basis(f)}
            for f in found.findings
        ],
    }  # fmt: skip
