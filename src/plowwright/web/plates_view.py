"""Which nest an address asks for, what its pages show as plain values, and its papers."""

from __future__ import annotations

import io
import zipfile
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import urlencode

from starlette.datastructures import QueryParams

from plowwright import units
from plowwright.desk.cutting import CuttingDesk
from plowwright.desk.nesting import Nests
from plowwright.errors import PlanInputError, PlowwrightError
from plowwright.papers import content, pdf, svg
from plowwright.papers.lists import write_csv
from plowwright.papers.nest_files import sheet_files
from plowwright.papers.outline_lists import NEST_COLUMNS, nest_rows
from plowwright.papers.plate_sheet import PlateSheet, lie_of, mark_of, nest_picture, plate_sheet, rows_of
from plowwright.shop.nesting_limits import Progress
from plowwright.web.forms import System
from plowwright.web.jobs import Job, orders_view, reached_view

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_WIDTH: Final = 180.0
FILES: Final = {
    "plate sheet.pdf": ("plate sheet", "application/pdf"),
    "nest.csv": ("the nest as CSV", "text/csv"),
    "drawings.zip": ("DXF of every sheet and part", "application/zip"),
}


@dataclass(frozen=True, kw_only=True)
class Asked:
    """Which nest is meant.

    Attributes:
        orders: Numbers of the orders, none for all whose steel is uncut.
        seconds: Time given [s].
        mark: Of the orders and the plate it is made from; no part of an address.
    """

    orders: tuple[str, ...]
    seconds: float
    mark: str = ""

    @property
    def pairs(self) -> list[tuple[str, str]]:
        """The names and values that ask for it."""
        return [*(("order", o) for o in self.orders), ("seconds", f"{self.seconds:g}")]

    @property
    def plain(self) -> dict[str, str]:
        """What a nest that was printed is found again by."""
        return {"query": self.query, "mark": self.mark}

    @property
    def query(self) -> str:
        """The part of an address that asks for it."""
        return urlencode(self.pairs)


def asked_of(query: QueryParams, desk: Desk) -> Asked:
    """What an address asks for.

    Args:
        query: `order` as often as needed, `seconds`.
        desk: The shop.

    Raises:
        PlanInputError: Seconds are no number.
    """
    given = query.get("seconds", "").strip()
    try:
        seconds = float(given) if given else desk.nesting.rules.seconds.value
    except ValueError as error:
        raise PlanInputError("seconds are a number", value=given, way_out="Write 20.") from error
    if not 0.1 <= seconds <= 900:
        raise PlanInputError("a nest is given some seconds", value=given, limit="0.1 to 900", way_out="20 is usual.")
    orders = tuple(n.strip().upper() for n in query.getlist("order") if n.strip())
    try:
        mark = desk.cutting.mark(orders, table=True)
    except PlowwrightError:
        mark = ""  # said where the nest is asked for
    return Asked(orders=orders, seconds=seconds, mark=mark)


def form_view(cutting: CuttingDesk, chosen: set[str], asked: Asked | None) -> dict[str, Any]:
    """The form: orders whose steel is uncut with the hole sheet of each, and the seconds.

    Args:
        cutting: Knows which orders wait.
        chosen: Numbers that are ticked.
        asked: What was asked, None where it could not be taken.
    """
    return {
        "orders": orders_view(cutting.waiting(table=True), chosen),
        "seconds": f"{asked.seconds if asked else cutting.rules.plates.seconds.value:g}",
        "query": asked.query if asked else "",
    }


def waiting_view(job: Job[Nests, Progress], asked: Asked) -> dict[str, Any]:
    """How far a nest has come.

    Args:
        job: The nest.
        asked: Which it is.
    """
    return reached_view(job, "Waiting for its turn") | {"again": asked.query, "limit": f"{asked.seconds:g}"}


def nest_view(found: Nests, asked: Asked, desk: Desk, system: System) -> dict[str, Any]:
    """What came of a nest.

    Args:
        found: The nest.
        asked: Which it is.
        desk: The shop.
        system: US or metric.
    """
    plan, currency = found.plan, desk.rulebook.shop.currency

    def said(value: float) -> str:
        return units.say(value, "length", system=system)

    sheets: list[dict[str, Any]] = []
    for n in plan.sheets:
        size = f"{said(n.sheet.width)} x {said(n.sheet.length)}"
        rests = [f"{r.tag or 'rest'} {said(r.box[2] - r.box[0])} x {said(r.box[3] - r.box[1])}" for r in n.rests]
        table = desk.nesting.time_of(n)
        sheets.append({
            "number": n.number, "stock": n.sheet.stock, "rush": n.rush, "used": f"{100 * n.utilisation:.0f} %",
            "what": (f"remnant {n.sheet.tag}, {size}" if n.sheet.tag else f"sheet, {size}")
            + (", turned: its start is below" if lie_of(n, _WIDTH).turned else ""),
            "picture": svg.write(nest_picture(n, width=_WIDTH), title=f"sheet {n.number}", inline=True,
                                 prefix=f"n{n.number}-"),
            "rows": [{"numbers": numbers, "tag": tag, "count": count} for numbers, tag, count in rows_of(n)],
            "rests": "; ".join(rests) or "nothing worth keeping",
            "time": f"{units.counted(n.pierces, 'pierce')}, {said(table.cut_length)} of cut, "
            f"about {_minutes(table.seconds)} min",
        })  # fmt: skip
    sure = "no nest costs less" if plan.status == "proved best" else (
        f"the area alone asks for {currency} {plan.bound:,.0f}")  # fmt: skip
    return {
        "said": f"{units.counted(plan.sheets_used, 'sheet')}, {units.counted(len(plan.pieces), 'part')}, "
        f"{currency} {plan.cost:,.0f}; {sure}.",
        "status": plan.status, "mark": mark_of(plan), "seconds": f"{plan.seconds:.1f}",
        "used": f"{100 * plan.utilisation:.0f} % of the steel used is part.",
        "buys": [f"{count} of {sheet.in_words()}" for sheet, count in desk.nesting.bought(plan)],
        "sheets": sheets,
        "papers": [{"href": f"/plates/papers/{name}?{asked.query}", "name": name, "what": what}
                   for name, (what, _) in FILES.items()],
        "fields": asked.pairs,
    }  # fmt: skip


def _minutes(seconds: float) -> int:
    return max(1, round(seconds / 60))


def written(name: str, found: Nests, desk: Desk, system: System, *, released: int = 0) -> bytes:
    """One paper of a nest.

    Args:
        name: Which, of those the page lists.
        found: The nest.
        desk: The shop.
        system: US or metric.
        released: Number the nest was released under, 0 while it is not.
    """
    plan = found.plan
    if name == "nest.csv":
        return write_csv(nest_rows(plan), NEST_COLUMNS)
    if name == "drawings.zip":
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as pack:
            for file, body in sheet_files(plan, units="in" if system == "us" else "mm").items():
                pack.writestr(file, body)
        return out.getvalue()
    minutes = {n.number: desk.nesting.time_of(n).seconds for n in plan.sheets}
    paper = plate_sheet(PlateSheet(plan=plan, shop=desk.rulebook.shop, on=found.on, minutes=minutes, system=system,
                                   released=released))  # fmt: skip
    return pdf.compile(content.source(paper.template), pictures=paper.pictures, data=paper.data)
