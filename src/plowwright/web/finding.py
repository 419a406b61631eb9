"""The page 'Find the blade': whatever scraps a caller has, the blades it may be, and what to ask next."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, Final

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse
from starlette.datastructures import QueryParams

from plowwright import units
from plowwright.desk.life_finding import Finder
from plowwright.errors import EntryError, PlowwrightError
from plowwright.shop.service_search import Found, Scraps

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


class FindPage:
    """Answers the address of the page, from the records or, where none are kept, from the list of past blades.

    Args:
        desk: The shop.
        page: Sets a template.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse]) -> None:
        self._desk, self._page = desk, page
        self._finder = Finder(desk)

    def add_to(self, app: FastAPI) -> None:
        """Put it on the application."""
        app.get("/find", response_class=HTMLResponse)(self.find)

    def find(self, request: Request) -> HTMLResponse:
        """A form for scraps, and the blades it may be with what to ask next."""
        query = request.query_params
        view: dict[str, Any] = {
            "fields": [
                {"name": name, "words": words, "like": like, "typed": query.get(name, "")}
                for name, (words, like) in FIELDS.items()
            ],
            "links": self._desk.records is not None,
        }
        status = 200
        try:
            scraps = scraps_of(query)
            if scraps.told():
                view |= found_view(self._finder.find(scraps))
        except PlowwrightError as error:
            view["error"], status = error.as_dict(), 422
        return self._page(request, "find.html", status, view=view)


def scraps_of(query: QueryParams) -> Scraps:
    """What a caller has, from what was typed.

    Args:
        query: Any of `FIELDS`.

    Raises:
        EntryError: A length without a unit, or a count that is none.
    """
    told: dict[str, Any] = {}
    for name, (words, _) in FIELDS.items():
        typed = query.get(name, "").strip()
        if not typed:
            continue
        if name in _LENGTHS:
            told[name] = units.si(typed, "length", words)
        elif name == "gaps":
            told[name] = tuple(units.si(one.strip(), "length", words) for one in typed.split(",") if one.strip())
        elif name in _COUNTS:
            if not (typed.isascii() and typed.isdigit()):
                raise EntryError("a count is a whole number", value=typed, where=words, way_out="Write 2.")
            told[name] = int(typed)
        else:
            told[name] = typed
    return Scraps(**told)


def found_view(found: Found) -> dict[str, Any]:
    """The answer as the page shows it.

    Args:
        found: What the scraps gave.
    """
    return {
        "said": found.text.partition(" Ask: ")[0],
        "rows": [
            {"serial": c.marks.serial, "name": c.marks.name, "owner": c.marks.owner, "chance": f"{100 * c.chance:.0f}",
             "agrees": ", ".join(one.replace("_", " ") for one in c.agrees), "against": "; ".join(c.against)}
            for c in found.candidates
        ],
        "none": f"{100 * found.none:.0f}",
        "questions": [{"ask": q.ask, "key": q.key, "settles": f"{100 * q.settles:.0f}"} for q in found.questions[:3]],
    }  # fmt: skip
