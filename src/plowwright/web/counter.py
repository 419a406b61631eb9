"""The pages at the counter: 'Steel and parts' (what goes short, a spare sold today) and 'Find the blade' by scraps."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, Final

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse
from starlette.datastructures import QueryParams

from plowwright import units
from plowwright.blade.spec import Spec, from_dict
from plowwright.errors import EntryError, PlowwrightError
from plowwright.shop.service_search import Found, Scraps
from plowwright.units import INCH

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

FIELDS: Final[Mapping[str, tuple[str, str]]] = {
    "width": ("Width, as measured", "83-1/2 in"),
    "gaps": ("First gaps of the edge's holes", "7-1/2 in, 11 in"),
    "bore": ("Bore of the angle cylinder", "3 in"),
    "pins": ("Hinge pins", "4"),
    "springs": ("Trip springs", "2"),
    "notches": ("Notches in the mount plate", "2"),
    "mount": ("How it couples: plate, pins or hook", "plate"),
    "colour": ("Colour of the moldboard", "fern green"),
    "phone_ends": ("A phone number ends in", "71"),
    "year": ("Year it was bought", "2021"),
}
"""What a caller may have, with its words and an example."""
_COUNTS: Final = ("pins", "springs", "notches", "year")
_LENGTHS: Final = ("width", "bore")


class CounterPages:
    """Answers the addresses of both pages.

    Args:
        desk: The shop's rules, orders, rack and past blades.
        page: Sets a template.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse]) -> None:
        self._desk = desk
        self._page = page

    def add_to(self, app: FastAPI) -> None:
        """Put both on the application."""
        app.get("/parts", response_class=HTMLResponse)(self.parts)
        app.get("/find", response_class=HTMLResponse)(self.find)

    def parts(self, request: Request) -> HTMLResponse:
        """What goes short on which day, and what a spare sold today would do to it."""
        query, counter = request.query_params, self._desk.counter
        view: dict[str, Any] = {
            "series": [(k, s.name, k == query.get("series")) for k, s in self._desk.rulebook.series.items()],
            "spares": [*self._desk.rulebook.prices.spares, *self._desk.rulebook.bought],
            "typed": {name: query.get(name, "") for name in ("spare", "width", "count")},
        }
        status = 200
        try:
            view["short"] = [
                {"order": s.want.order, "day": f"{s.want.day:%a %d %b}", "what": s.want.what, "count": s.want.count,
                 "until": f"{s.until:%a %d %b}" if s.until else ""}
                for s in counter.shortages().short
            ]  # fmt: skip
            if query.get("spare"):
                sales = counter.sell(query["spare"], self._spec(query), _count(query.get("count", "1"), "how many"))
                view["sales"] = [{"text": one.text, "hurts": bool(one.newly) or not one.served} for one in sales]
        except PlowwrightError as error:
            view["error"], status = error.as_dict(), 422
        return self._page(request, "parts.html", status, view=view)

    def _spec(self, query: QueryParams) -> Spec:
        """The blade a spare is for; its mount and machine do not change edge, bolts, springs or seals."""
        series = query.get("series") or next(iter(self._desk.rulebook.series))
        known = self._desk.rulebook.series.get(series)
        width = query.get("width") or (f"{known.widths()[-1] / INCH:g} in" if known else "84 in")
        mount, rule = next(iter(self._desk.rulebook.mounts.items()))
        entry = {"series": series, "width": width, "mount": mount, "carrier": rule.carriers[0],
                 "hoses": "none"}  # fmt: skip
        return from_dict(entry, where="the blade it is for")

    def find(self, request: Request) -> HTMLResponse:
        """A form for scraps, and the blades it may be with what to ask next."""
        query = request.query_params
        view: dict[str, Any] = {
            "fields": [
                {"name": name, "words": words, "like": like, "typed": query.get(name, "")}
                for name, (words, like) in FIELDS.items()
            ]
        }
        status = 200
        try:
            scraps = scraps_of(query)
            if scraps.told():
                view |= found_view(self._desk.counter.find(scraps))
        except PlowwrightError as error:
            view["error"], status = error.as_dict(), 422
        return self._page(request, "find.html", status, view=view)


def _count(text: str, where: str) -> int:
    if not text.strip().isdigit():
        raise EntryError("a count is a whole number", value=text or "nothing", where=where, way_out="Write 2.")
    return int(text)


def scraps_of(query: QueryParams) -> Scraps:
    """What a caller has, from what was typed.

    Args:
        query: Any of `FIELDS`.

    Raises:
        EntryError: A length without a unit, or a count that is none.
    """
    told: dict[str, Any] = {}
    for name, (words, _) in FIELDS.items():
        text = query.get(name, "").strip()
        if not text:
            continue
        if name in _LENGTHS:
            told[name] = units.si(text, "length", words)
        elif name == "gaps":
            told[name] = tuple(units.si(one.strip(), "length", words) for one in text.split(",") if one.strip())
        elif name in _COUNTS:
            told[name] = _count(text, words)
        else:
            told[name] = text
    return Scraps(**told)


def found_view(found: Found) -> dict[str, Any]:
    """The answer as the page shows it.

    Args:
        found: What the scraps gave.
    """
    return {
        "said": found.text,
        "rows": [
            {"serial": c.marks.serial, "name": c.marks.name, "owner": c.marks.owner, "chance": f"{100 * c.chance:.0f}",
             "agrees": ", ".join(c.agrees), "against": "; ".join(c.against)}
            for c in found.candidates
        ],
        "none": f"{100 * found.none:.0f}",
        "questions": [{"ask": q.ask, "settles": f"{100 * q.settles:.0f}"} for q in found.questions[:3]],
    }  # fmt: skip
