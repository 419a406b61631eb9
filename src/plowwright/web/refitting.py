"""The page behind the refit sheet's code: what is kept, changed, bought, looked at, what gives first, price, papers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse, Response

from plowwright import units
from plowwright.blade.refit_rows import RefitRow
from plowwright.desk.life_refit import refit_of
from plowwright.desk.refit import Refitted
from plowwright.errors import NotFoundError
from plowwright.papers import refit_sheet, svg
from plowwright.papers.refit_mount import side_by_side
from plowwright.papers.refit_sheet import RefitSheet
from plowwright.papers.sheets import PaperName
from plowwright.shop.lines import money
from plowwright.store.records import Blade, Chapter
from plowwright.web import forms
from plowwright.web.jobs import Job, Jobs

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_KEPT: Final = 12
_WIDE: Final = 180.0
_OPEN: Final = 8
_TONES: Final = {"holds": "holds", "near limit": "near", "fails": "fails", "not checked": "not"}


@dataclass(frozen=True, slots=True)
class Asked:
    """One refit: order or serial number, the machine where the order does not say it, the units, chapters on file."""

    what: str
    to: str
    system: units.System
    chapters: int


class RefitPage:
    """Answers the addresses of refits.

    Args:
        desk: The shop.
        page: Sets a template.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse]) -> None:
        self._desk, self._page = desk, page
        self._jobs: Jobs[Asked, Refitted, str] = Jobs("refits", kept=_KEPT)

    def add_to(self, app: FastAPI) -> None:
        """Put them on the application."""
        app.get("/refit/{number}", response_class=HTMLResponse)(self.show)
        app.get("/refit/{number}/{name}.pdf", response_model=None)(self.paper)

    def show(self, request: Request, number: str) -> HTMLResponse:
        """The refit, or that it is being worked out."""
        asked = self._asked(request, number)
        job = self._job(asked)
        if not job.done_at_once():
            waits = {"waits": True, "number": number, "again": str(request.url.include_query_params()),
                     "waited": job.waited()}  # fmt: skip
            return self._page(request, "refit.html", view=waits)
        return self._page(request, "refit.html", view=self._view(asked, job.found.result()))

    def paper(self, request: Request, number: str, name: str) -> Response:
        """Refit sheet or quote as PDF."""
        makers = {"sheet": refit_sheet.refit_sheet, "quote": refit_sheet.quote_sheet}
        if name not in makers:
            raise NotFoundError("no such paper", value=name, limit=", ".join(makers), where=number)
        asked = self._asked(request, number)
        found = self._job(asked).found.result()
        size: PaperName = "a4" if request.query_params.get("paper") == "a4" else "letter"
        with units.speaking(asked.system):
            sheet = RefitSheet(
                refit=found.refit, price=found.price, system=asked.system, paper=size, on=self._desk.now.date(),
                number=found.order.number if found.order else "",
            )  # fmt: skip
            made = refit_sheet.as_pdf(sheet, makers[name](sheet))
        return Response(made, media_type="application/pdf")

    def _asked(self, request: Request, number: str) -> Asked:
        system = forms.system_of(request.query_params, request.cookies)
        return Asked(number.strip().upper(), request.query_params.get("to", ""), system, self._chapters())

    def _chapters(self) -> int:
        """One more after each chapter: what is known of a blade then may be more."""
        if self._desk.records is None:
            return 0
        with self._desk.records.reading() as reads:
            return reads.count(Chapter)

    def _job(self, asked: Asked) -> Job[Refitted, str]:
        return self._jobs.job(asked, lambda _: refit_of(self._desk, asked.what, asked.to, system=asked.system))

    def _view(self, asked: Asked, found: Refitted) -> dict[str, Any]:
        refit, price = found.refit, found.price
        with units.speaking(asked.system):
            drawn = side_by_side(refit, width=_WIDE, system=asked.system)
        query = f"?to={asked.to}" if asked.to else ""
        holding = refit.new.holding
        open_ = sorted((f for f in refit.findings if f.verdict != "holds"),
                       key=lambda f: refit_sheet.WORST_FIRST.index(f.verdict))  # fmt: skip
        return {
            "waits": False,
            "number": asked.what,
            "serial": refit.existing.serial,
            "on_file": self._on_file(refit.existing.serial),
            "title": f"{refit.existing.serial} for {refit.carrier.name}",
            "from": refit.existing.carrier_name or "machine not noted",
            "picture": svg.write(drawn, title=f"mount of {refit.existing.serial}, old and new", inline=True),
            "lever": refit.lever_note,
            "lists": [
                {"name": name.capitalize(), "rows": [self._row(row, found) for row in getattr(refit, name)]}
                for name in ("change", "buy", "check", "keep")
            ],
            "first": list(holding.giving.sentences[:2]) if holding else [],
            "suit": refit.suit.sentence if refit.suit else "",
            "findings": [{"verdict": f.verdict, "tone": _TONES[f.verdict], "said": f.text} for f in open_[:_OPEN]],
            "more": max(0, len(open_) - _OPEN),
            "lines": [(line.label, money(line.amount, price.currency)) for line in price.lines],
            "total": money(price.total, price.currency),
            "deposit": money(price.deposit, price.currency),
            "doubts": list(price.doubts),
            "papers": [(f"/refit/{asked.what}/sheet.pdf{query}", "Refit sheet"),
                       (f"/refit/{asked.what}/quote.pdf{query}", "Refit quote")],
            "cautions": refit_sheet.CAUTIONS,
        }  # fmt: skip

    def _on_file(self, serial: str) -> bool:
        if self._desk.records is None:
            return False
        with self._desk.records.reading() as reads:
            return reads.look(Blade, serial) is not None

    def _row(self, row: RefitRow, found: Refitted) -> dict[str, Any]:
        amount = found.price.of(row)
        return {
            "act": row.act, "part": row.pieces, "why": row.why, "stock": row.instead or row.stock,
            "price": "" if amount is None else money(amount, found.price.currency),
        }  # fmt: skip
