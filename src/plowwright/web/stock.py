"""The page "Steel and parts": what goes short by day and why, what to buy, a spare asked for and sold, every item."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import urlencode

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse, Response
from starlette.datastructures import FormData

from plowwright import units
from plowwright.blade.spec import Spec, from_dict
from plowwright.desk.acting import Hand
from plowwright.desk.selling_money import cents_of
from plowwright.desk.stock_answers import Answers, Standing
from plowwright.desk.stock_arrivals import Arrivals
from plowwright.desk.stock_counting import Counting
from plowwright.desk.stock_sales import Sales
from plowwright.desk.stockroom import Stockroom
from plowwright.errors import EntryError, NotFoundError, PlowwrightError
from plowwright.papers import buying_list, content, pdf, svg
from plowwright.papers.lists import write_csv, write_xlsx
from plowwright.papers.stock_picture import Gap, chart, strip
from plowwright.units import INCH
from plowwright.web.acting import acted, form_of, text

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_WIDE: Final = 236.0
_FILES: Final = {
    "buying list.pdf": "application/pdf",
    "buying list A4.pdf": "application/pdf",
    "buying list.csv": "text/csv",
    "buying list.xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}
_TYPED: Final = ("spare", "series", "width", "count", "serial", "to")


class StockPages:
    """Answers the addresses under /parts.

    Args:
        desk: The shop.
        page: Sets a template.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse]) -> None:
        self._desk, self._page = desk, page
        self._answers, self._sales = Answers(desk), Sales(desk)
        room, arrivals, counting = Stockroom(desk), Arrivals(desk), Counting(desk)
        self._does: dict[str, Callable[[Hand, FormData], Mapping[str, Any]]] = {
            "sell": lambda h, f: self._sales.sell(
                h, text(f, "spare"), self._spec(f), count_of(f, "count"), to=text(f, "to"), serial=text(f, "serial"),
                agreed=[str(one) for one in f.getlist("agreed")],
                taken=self._cents(text(f, "taken")),
            ),
            "order": lambda h, f: arrivals.order_in(
                h, text(f, "name"), count_of(f, "count"), day_of(f, "due"), supplier=text(f, "supplier"),
            ),
            "reserve": lambda h, f: room.reserve(h, text(f, "order")),
            "release": lambda h, f: room.give_up(h, text(f, "order"), text(f, "reason")),
            "take": lambda h, f: room.take(
                h, text(f, "order"), text(f, "name"), count_of(f, "count"), lot=text(f, "lot") or None
            ),
            "return": lambda h, f: room.give_back(
                h, text(f, "order"), text(f, "name"), count_of(f, "count"), lot=text(f, "lot")
            ),
            "scrap": lambda h, f: counting.scrap(
                h, text(f, "name"), count_of(f, "count"), text(f, "reason"), lot=text(f, "lot")
            ),
            "reverse": lambda h, f: counting.reverse(h, count_of(f, "line"), text(f, "reason")),
            "tag": lambda h, f: counting.tag(
                h, text(f, "stock"), units.si(text(f, "length"), "length", "length"),
                width=units.si(text(f, "width"), "length", "width") if text(f, "width") else 0.0, tag=text(f, "tag"),
            ),
        }  # fmt: skip

    def add_to(self, app: FastAPI) -> None:
        """Put its addresses on the application."""
        app.get("/parts", response_class=HTMLResponse)(self.parts)
        app.get("/parts/item", response_class=HTMLResponse)(self.item)
        app.get("/parts/papers/{name}")(self.paper)
        app.post("/parts/{what}")(self.act)

    def parts(self, request: Request) -> HTMLResponse:
        """What goes short on which day, what to buy, what a spare sold today would do, and all items."""
        return self._parts(request, request.query_params)

    def _parts(
        self, request: Request, told: Mapping[str, Any], *, error: PlowwrightError | None = None, doing: str = "",
    ) -> HTMLResponse:  # fmt: skip
        asked = told if doing in ("", "sell") else {}
        view: dict[str, Any] = {
            "series": [(k, s.name, k == asked.get("series")) for k, s in self._desk.rulebook.series.items()],
            "spares": [*self._desk.rulebook.prices.spares, *self._desk.rulebook.bought],
            "typed": {name: asked.get(name, "") for name in _TYPED}, "doing": doing, "told": told if doing else {},
            "sought": request.query_params.get("sought", ""),
            "orders": [o.number for o in self._desk.orders() if o.kind in ("blade", "spares")],
            "tomorrow": f"{self._desk.now.date():%Y-%m-%d}",
        }
        try:
            view |= self._what_is(view["sought"])
        except PlowwrightError as fault:
            error = error or fault
        try:
            if asked.get("spare"):
                view["sales"] = self._asked(asked)
        except PlowwrightError as fault:
            view["unasked"] = fault.as_dict() if error is None else None
        view["error"] = error.as_dict() if error is not None else None
        return self._page(request, "parts.html", 422 if error or view.get("unasked") else 200, view=view)

    def _what_is(self, sought: str) -> dict[str, Any]:
        answers, today, closed = self._answers, self._desk.now.date(), self._desk.closed
        short = answers.short()
        gaps = [
            Gap(order=t.short.want.order, what=_counted(t.short.want.count, t.short.want.what), day=t.short.want.day,
                until=t.short.until)
            for t in short
        ]  # fmt: skip
        drawn = svg.write(strip(gaps, today=today, width=_WIDE, closed=closed), title="what goes short by day",
                          inline=True, prefix="strip-") if gaps else ""  # fmt: skip
        return {
            "strip": drawn,
            "short": [
                {"order": t.short.want.order, "day": f"{t.short.want.day:%a %d %b}", "what": t.short.want.what,
                 "count": t.short.want.count, "cause": t.cause, "href": item_href(t.short.want.serves[0]),
                 "until": f"{t.short.until:%a %d %b}" if t.short.until else ""}
                for t in short
            ],
            "buys": [
                {"item": b.item, "count": b.count, "orders": b.orders, "needed": f"{b.needed:%a %d %b}",
                 "by": f"{b.order_by:%a %d %b}", "comes": f"{b.comes:%a %d %b}", "due": b.comes.isoformat(),
                 "late": b.late, "now": b.order_by <= today, "href": item_href(b.item)}
                for b in answers.to_buy()
            ],
            "awaited": [one.as_dict() | {"href": item_href(one.item)} for one in answers.awaited()],
            "refill": [u.as_dict() | {"href": item_href(u.item)} for u in answers.to_refill()],
            "rows": [
                {"item": row.item, "on_hand": row.on_hand, "reserved": row.reserved, "arriving": row.arriving,
                 "href": item_href(row.item)}
                for row in answers.items(sought)
            ],
            "files": list(_FILES),
        }  # fmt: skip

    def _cents(self, said: str) -> int | None:
        return cents_of(said, self._desk.rulebook.shop.currency, "the sum taken") if said else None

    def _asked(self, told: Mapping[str, Any]) -> dict[str, Any]:
        count = _whole(str(told.get("count") or "1"), "how many")
        serial = str(told.get("serial") or "")
        sales = self._sales.ask(str(told["spare"]), self._spec(told), count, serial=serial)
        cents = self._sales.price(str(told["spare"]), count)
        hurt = list(dict.fromkeys(s.want.order for one in sales for s in one.newly))
        return {
            "said": [{"text": one.text, "hurts": bool(one.newly) or not one.served} for one in sales],
            "hurt": hurt,
            "served": all(one.served for one in sales),
            "price": f"{cents / 100:,.2f} {self._desk.rulebook.shop.currency}" if cents is not None else "",
        }

    def _spec(self, told: Mapping[str, Any]) -> Spec | None:
        """The blade a spare is for; its mount and machine do not change edge, bolts, springs or seals."""
        if str(told.get("serial") or "").strip():
            return None
        book = self._desk.rulebook
        series = str(told.get("series") or next(iter(book.series)))
        known = book.series.get(series)
        width = str(told.get("width") or (f"{known.widths()[-1] / INCH:g} in" if known else "84 in"))
        mount, rule = next(iter(book.mounts.items()))
        entry = {"series": series, "width": width, "mount": mount, "carrier": rule.carriers[0],
                 "hoses": "none"}  # fmt: skip
        return from_dict(entry, where="the blade it is for")

    def item(self, request: Request) -> HTMLResponse:
        """One item: day by day, lots, what is on its way, its lines."""
        return self._item(request, request.query_params.get("name", ""))

    def _item(
        self, request: Request, name: str, *, error: PlowwrightError | None = None,
        told: Mapping[str, str] | None = None, doing: str = "",
    ) -> HTMLResponse:  # fmt: skip
        found = self._answers.item(name)
        view = item_view(found, self._desk.closed)
        view |= {"orders": [o.number for o in self._desk.orders()], "today": f"{self._desk.now.date():%Y-%m-%d}",
                 "told": told or {}, "doing": doing, "error": error.as_dict() if error else None}  # fmt: skip
        return self._page(request, "stock-item.html", 422 if error else 200, view=view)

    async def act(self, request: Request, what: str) -> Response:
        """One form of either page."""
        if what not in self._does:
            raise NotFoundError("nothing is done at this address", value=what)
        form = await form_of(request)
        name = text(form, "from")
        back = item_href(name) if name else "/parts"
        try:
            return await acted(request, form, lambda hand: self._does[what](hand, form), back, self._desk)
        except PlowwrightError as error:
            typed = {key: value for key, value in form.items() if isinstance(value, str)}
            if name:
                return self._item(request, name, error=error, told=typed, doing=what)
            return self._parts(request, typed, error=error, doing=what)

    def paper(self, request: Request, name: str) -> Response:
        """The buying list on paper and as a list."""
        if name not in _FILES:
            raise NotFoundError("no such paper here", value=name, way_out=f"There are: {', '.join(_FILES)}.")
        rows, today = self._answers.to_buy(), self._desk.now.date()
        if name.endswith(".csv"):
            body = write_csv(buying_list.rows_of(rows), buying_list.COLUMNS)
        elif name.endswith(".xlsx"):
            body = write_xlsx(buying_list.pages_of(rows), title="buying list",
                              when=datetime.combine(today, datetime.min.time()))  # fmt: skip
        else:
            made = buying_list.buying_list(
                buying_list.Buying(rows=rows, shop=self._desk.rulebook.shop, on=today, refill=self._answers.to_refill(),
                                   paper="a4" if "A4" in name else "us-letter")
            )  # fmt: skip
            body = pdf.compile(content.source(made.template), pictures=made.pictures, data=made.data)
        return Response(body, media_type=_FILES[name], headers={"Content-Disposition": f'inline; filename="{name}"'})


def item_href(name: str) -> str:
    """Address of an item's page.

    Args:
        name: As the ledger calls it.
    """
    return f"/parts/item?{urlencode({'name': name})}"


def item_view(found: Standing, closed: tuple[date, ...]) -> dict[str, Any]:
    """One item as its page shows it.

    Args:
        found: How it stands.
        closed: Days the shop is closed.
    """
    drawn = svg.write(chart(found.days, width=_WIDE, closed=closed), title=f"{found.item} day by day", inline=True,
                      prefix="days-")  # fmt: skip
    return {
        "item": found.item,
        "text": found.text.removeprefix(f"{found.item}: "),
        "chart": drawn,
        "days": [
            {"day": f"{d.day:%a %d %b}", "comes": d.comes or "", "goes": d.goes or "", "left": d.left,
             "orders": ", ".join(d.orders)}
            for d in found.days.days
        ],
        "lots": [{"lot": lot or "no lot", "count": count} for lot, count in found.now.lots.items()],
        "held": [{"order": h.order or "nobody", "day": f"{h.needed:%a %d %b}", "count": h.count}
                 for h in found.now.held],
        "arriving": [{"id": a.id, "count": a.count, "due": f"{a.due:%a %d %b}", "supplier": a.supplier, "note": a.note}
                     for a in found.arriving],
        "lines": [
            {"id": one.id, "day": f"{one.day:%d %b %Y}", "kind": one.kind, "count": one.count, "lot": one.lot,
             "order": one.order or "", "reason": one.reason, "needed": f"{one.needed:%d %b}" if one.needed else "",
             "undoes": one.reverses}
            for one in found.lines
        ],
        "use": found.use.text.removeprefix(f"{found.item}: ") if found.use else "",
    }  # fmt: skip


def count_of(form: Mapping[str, Any], name: str) -> int:
    """A count out of a form.

    Args:
        form: The form.
        name: Of the field.

    Raises:
        EntryError: It is none.
    """
    return _whole(text(form, name) or "1", name)


def day_of(form: Mapping[str, Any], name: str) -> date:
    """A day out of a form.

    Args:
        form: The form.
        name: Of the field.

    Raises:
        EntryError: It is none.
    """
    said = text(form, name)
    try:
        return date.fromisoformat(said)
    except ValueError as fault:
        raise EntryError("not a day", value=said or "nothing", where=name, way_out="Write 2026-11-20.") from fault


def _whole(said: str, where: str) -> int:
    if not (said.strip().isascii() and said.strip().isdigit()):
        raise EntryError("a count is a whole number", value=said or "nothing", where=where, way_out="Write 2.")
    return int(said)


def _counted(count: int, what: str) -> str:
    return what if count == 1 else f"{count} x {what}"
