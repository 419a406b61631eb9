"""The page 'Count sheet': what the book says of every item, to be printed, walked along the rack with and filled in."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import urlencode

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse, Response

from plowwright.desk.stock_answers import Answers
from plowwright.desk.stock_counting import Counting
from plowwright.errors import EntryError, NotFoundError, PlowwrightError
from plowwright.papers import content, count_sheet, pdf
from plowwright.papers.lists import write_csv, write_xlsx
from plowwright.shop.stock_counting import CountRow
from plowwright.shop.stock_counting import count_sheet as sheet_of
from plowwright.shop.stock_items import item_of
from plowwright.web.acting import acted, form_of, text
from plowwright.web.stock import item_href

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_FILES: Final = {
    "count sheet.pdf": "application/pdf",
    "count sheet A4.pdf": "application/pdf",
    "count sheet.csv": "text/csv",
    "count sheet.xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}
_GROUPS: Final = {"stick": "Sticks", "remnant": "Remnants of sticks", "sheet": "Sheets",
                  "sheet remnant": "Remnants of sheets", "blank": "Edge blanks", "part": "Parts in boxes"}  # fmt: skip


class CountingPage:
    """Answers the addresses under /counting.

    Args:
        desk: The shop.
        page: Sets a template.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse]) -> None:
        self._desk, self._page = desk, page
        self._answers, self._counting = Answers(desk), Counting(desk)

    def add_to(self, app: FastAPI) -> None:
        """Put its addresses on the application."""
        app.get("/counting", response_class=HTMLResponse)(self.sheet)
        app.get("/counting/papers/{name}")(self.paper)
        app.post("/counting")(self.count)

    def sheet(self, request: Request) -> HTMLResponse:
        """The sheet, to fill in."""
        return self._sheet(request, {})

    def _sheet(
        self, request: Request, typed: Mapping[str, str], *, error: PlowwrightError | None = None
    ) -> HTMLResponse:  # fmt: skip
        sought = request.query_params.get("sought", "") or typed.get("sought", "")
        groups: dict[str, list[dict[str, Any]]] = {title: [] for title in _GROUPS.values()}
        for number, row in enumerate(self._rows(sought)):
            name = f"{row.item}\n{row.lot}"
            groups[_GROUPS[item_of(row.item).sort]].append({
                "number": number, "item": row.item, "lot": row.lot, "book": row.book, "reserved": row.reserved,
                "key": name, "href": item_href(row.item), "typed": _said(typed, name),
            })  # fmt: skip
        view = {
            "groups": [{"title": title, "rows": rows} for title, rows in groups.items() if rows],
            "sought": sought, "files": list(_FILES), "error": error.as_dict() if error else None,
        }  # fmt: skip
        return self._page(request, "counting.html", 422 if error else 200, view=view)

    def _rows(self, sought: str) -> tuple[CountRow, ...]:
        return sheet_of(self._answers.balances(sought))

    async def count(self, request: Request) -> Response:
        """A filled-in sheet: what is off becomes lines of the ledger."""
        form = await form_of(request)
        typed = {name: value for name, value in form.items() if isinstance(value, str)}
        try:
            counted, seen = counted_of(form)
            sought = text(form, "sought")
            back = f"/counting?{urlencode({'sought': sought})}" if sought else "/counting"
            return await acted(
                request, form, lambda hand: self._counting.count(hand, counted, seen=seen), back, self._desk
            )
        except PlowwrightError as error:
            return self._sheet(request, typed, error=error)

    def paper(self, request: Request, name: str) -> Response:
        """The sheet on paper and as a list."""
        if name not in _FILES:
            raise NotFoundError("no such paper here", value=name, way_out=f"There are: {', '.join(_FILES)}.")
        rows, today = self._rows(request.query_params.get("sought", "")), self._desk.now.date()
        if name.endswith(".csv"):
            body = write_csv(count_sheet.rows_of(rows), count_sheet.COLUMNS)
        elif name.endswith(".xlsx"):
            body = write_xlsx(count_sheet.pages_of(rows), title="count sheet",
                              when=datetime.combine(today, datetime.min.time()))  # fmt: skip
        else:
            with self._desk.book.reading() as reads:
                last = reads.events(limit=1)
            made = count_sheet.count_sheet(
                count_sheet.Rack(rows=rows, shop=self._desk.rulebook.shop, on=today,
                                 mark=f"event {last[0].number if last else 0}",
                                 paper="a4" if "A4" in name else "us-letter")
            )  # fmt: skip
            body = pdf.compile(content.source(made.template), pictures=made.pictures, data=made.data)
        return Response(body, media_type=_FILES[name], headers={"Content-Disposition": f'inline; filename="{name}"'})


def counted_of(form: Mapping[str, Any]) -> tuple[dict[tuple[str, str], int], dict[tuple[str, str], int]]:
    """What was counted, and what the book said when the sheet was made.

    Args:
        form: Rows as `item0`, `lot0`, `book0`, `counted0` and so on; a row left empty was not seen.

    Raises:
        EntryError: A count that is none.
    """
    counted: dict[tuple[str, str], int] = {}
    seen: dict[tuple[str, str], int] = {}
    for name in form:
        number = name.removeprefix("counted")
        said = text(form, name)
        if name == number or not said:
            continue
        item, lot = text(form, f"item{number}"), text(form, f"lot{number}")
        if not item:
            continue
        if not (said.isascii() and said.isdigit()):
            raise EntryError("a count is a whole number", value=said, where=f"{item} {lot}".strip(),
                             limit="0 or more", way_out="Write 0 where nothing lies there.")  # fmt: skip
        counted[item, lot] = int(said)
        book = text(form, f"book{number}")
        if book.isascii() and book.isdigit():
            seen[item, lot] = int(book)
    return counted, seen


def _said(typed: Mapping[str, str], key: str) -> str:
    """What was typed into the row of this item and lot before it was refused."""
    item, _, lot = key.partition("\n")
    for name, value in typed.items():
        if name.startswith("item") and value == item and typed.get(f"lot{name[4:]}", "") == lot:
            return typed.get(f"counted{name[4:]}", "")
    return ""
