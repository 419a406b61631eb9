"""The page 'Bring your records': a list is chosen, read without writing, looked through, then brought in as one."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from threading import Lock
from typing import TYPE_CHECKING, Any, Final

from fastapi import FastAPI, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from plowwright.desk.import_rows import CODES, Noted, ReadRow
from plowwright.desk.importing import KINDS, SAID, DryRun, Importing
from plowwright.errors import EntryError, NotFoundError, PlowwrightError
from plowwright.papers.lists import Column, write_csv
from plowwright.store.records import Event
from plowwright.web import acting, forms

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_KEPT: Final = 8
_SHOWN: Final = 200
"""Rows a page shows at most; the list of all that was noted can be had as a file [-]."""
_MEDIA: Final = {
    "csv": "text/csv", "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}  # fmt: skip
_ORDER: Final = {"wrong": 0, "new": 1, "already there": 2, "left out": 3}
_COLUMNS: Final = tuple(
    Column(field=name, heading=heading, decimals=0)
    for name, heading in (
        ("line", "line"), ("sort", "what becomes of it"), ("code", "code"), ("column", "column"), ("what", "what"),
        ("value", "given"), ("limit", "limit"), ("way_out", "way out"),
    )
)  # fmt: skip


class ImportPage:
    """Answers the addresses of the page.

    Args:
        desk: The shop's rules and records.
        page: Sets a template.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse]) -> None:
        self._desk = desk
        self._page = page
        self._importing = Importing(desk)
        # What was read, so that the same bytes are written that were looked at.
        self._read: OrderedDict[str, tuple[DryRun, bytes]] = OrderedDict()
        self._lock = Lock()

    def add_to(self, app: FastAPI) -> None:
        """Put its addresses on the application."""
        app.get("/import", response_class=HTMLResponse)(self.sheet)
        app.post("/import", response_class=HTMLResponse)(self.dry_run)
        app.post("/import/really")(self.really)
        app.get("/import/noted/{key}")(self.noted)
        app.get("/import/{which}/{name}")(self.file)

    def sheet(self, request: Request) -> HTMLResponse:
        """The page with its form, or what was brought in a moment ago."""
        number = request.query_params.get(acting.DONE, "")
        audit: list[dict[str, str]] = []
        if number.isascii() and number.isdigit():
            with self._desk.book.reading() as reads:
                event = reads.look(Event, int(number))
            if event is not None and isinstance(event.answer, dict):
                audit = event.answer.get("audit", [])
        return self._shown(request, audit=audit)

    async def dry_run(self, request: Request) -> HTMLResponse:
        """Read a list; nothing is written."""
        form = await acting.form_of(request)
        kind = acting.text(form, "kind")
        sent = await acting.photo_of(form, "list")
        try:
            if sent is None:
                raise EntryError("no list was chosen", way_out="Choose a .csv or .xlsx file.")
            data, name, _ = sent
            found = await run_in_threadpool(self._importing.dry_run, kind, data, name)
        except PlowwrightError as error:
            return self._shown(request, 422, error=error.as_dict(), kind=kind)
        self._keep(found, data)
        return self._shown(request, dry=dry_view(found), kind=kind)

    async def really(self, request: Request) -> Response:
        """Write what was looked at."""
        form = await acting.form_of(request)
        dry, data = self._kept(acting.text(form, "list"))
        try:
            hand = acting.hand_of(request, form)
            answer = await run_in_threadpool(self._importing.really, hand, dry.kind, data, dry.name)
        except PlowwrightError as error:
            again = await run_in_threadpool(self._importing.dry_run, dry.kind, data, dry.name)
            return self._shown(request, 422, error=error.as_dict(), dry=dry_view(again), kind=dry.kind)
        response = RedirectResponse(f"/import?{acting.DONE}={answer['event']}", status_code=303)
        response.set_cookie(acting.WHO, hand.who, max_age=acting.YEAR, samesite="strict", httponly=True)
        return response

    def noted(self, key: str) -> Response:
        """Everything noted about a list, as a list."""
        dry, _ = self._kept(key)
        body = write_csv([one.as_dict() for one in dry.noted], _COLUMNS)
        return _download(body, f"noted in {dry.name.rsplit('.', 1)[0]}.csv")

    def file(self, which: str, name: str) -> Response:
        """A template, or what the records have in the same form."""
        kind, _, ending = name.rpartition(".")
        make = {"template": self._importing.template, "list": self._importing.listed}.get(which)
        if make is None or ending not in _MEDIA:
            raise NotFoundError("there is no such list", value=f"{which}/{name}", way_out="Ask for orders.xlsx.")
        return _download(make(kind, f".{ending}"), name if which == "list" else f"template of {name}")

    def _shown(self, request: Request, status: int = 200, **values: Any) -> HTMLResponse:
        kind = values.get("kind") or KINDS[0]
        kinds = [{"value": k, "words": words, "chosen": k == kind} for k, words in SAID.items()]
        return self._page(request, "import.html", status, **{"dry": None, "error": None, "audit": [], **values},
                          kinds=kinds)  # fmt: skip

    def _keep(self, dry: DryRun, data: bytes) -> None:
        with self._lock:
            self._read[key_of(dry)] = (dry, data)
            while len(self._read) > _KEPT:
                self._read.popitem(last=False)

    def _kept(self, key: str) -> tuple[DryRun, bytes]:
        with self._lock:
            if key not in self._read:
                raise NotFoundError("this list is not at hand any more", way_out="Choose the file again.")
            return self._read[key]


def key_of(dry: DryRun) -> str:
    """What a list that was read is found again by.

    Args:
        dry: What it says.
    """
    return f"{dry.kind}-{dry.digest[:24]}"


def dry_view(dry: DryRun) -> dict[str, Any]:
    """A dry run as the page shows it, what is wrong first.

    Args:
        dry: The dry run.
    """
    rows = sorted(dry.rows, key=lambda row: (_ORDER[row.outcome], row.line))
    codes = dict.fromkeys(one.code for one in dry.noted)
    return {
        "said": dry.said(), "key": key_of(dry), "open": dry.is_open, "kind": dry.kind, "new": dry.count("new"),
        "wrong": dry.count("wrong"), "done": dry.done, "rows": [_row(row) for row in rows[:_SHOWN]],
        "more": max(0, len(rows) - _SHOWN), "words": SAID[dry.kind],
        "codes": [{"code": code, "means": CODES[code], "count": sum(one.code == code for one in dry.noted)}
                  for code in codes],
    }  # fmt: skip


def _row(row: ReadRow) -> dict[str, Any]:
    return {"line": row.line, "said": row.said, "outcome": row.outcome, "mark": row.outcome.replace(" ", "-"),
            "noted": [_noted(one) for one in row.noted]}  # fmt: skip


def _noted(one: Noted) -> dict[str, str]:
    words = {"wrong": "wrong", "changed": "changed", "there": "there", "look": "look"}[one.sort]
    return {**{name: str(value) for name, value in one.as_dict().items()}, "word": words}


def _download(body: bytes, name: str) -> Response:
    return Response(body, media_type=_MEDIA[name.rsplit(".", 1)[1]],
                    headers={"Content-Disposition": f'attachment; filename="{forms.file_name(name)}"'})  # fmt: skip
