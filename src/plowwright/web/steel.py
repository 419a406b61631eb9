"""The page 'This week's cutting': one plan for the steel of the chosen orders, watched, stopped, printed and mended."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import urlencode

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse, Response
from starlette.datastructures import QueryParams

from plowwright import units
from plowwright.desk.cutting import CuttingDesk, Week
from plowwright.errors import NotFoundError, PlanInputError, PlowwrightError
from plowwright.papers import content, labels, pdf, svg
from plowwright.papers.lists import write_csv, write_xlsx
from plowwright.papers.saw_sheet import SawSheet, groups_of, mark_of, saw_sheet, stick_picture
from plowwright.papers.steel_lists import PLAN_COLUMNS, plan_rows, plan_sheets
from plowwright.shop.cutting_model import CutStick, Progress
from plowwright.shop.replan import Change
from plowwright.web import forms
from plowwright.web.forms import System
from plowwright.web.jobs import Job, Jobs, orders_view, reached_view

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_KEPT: Final = 12
_WIDTH: Final = 172.0
_FILES: Final = {
    "saw sheet.pdf": ("saw sheet", "application/pdf"),
    "changed sticks.pdf": ("only the sticks that changed", "application/pdf"),
    "labels of drops.pdf": ("labels for the drops", "application/pdf"),
    "cut plan.csv": ("the plan as CSV", "text/csv"),
    "cut plan.xlsx": (
        "the plan as a workbook", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    ),
}  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Mishap:
    """What went wrong at one moment.

    Attributes:
        cut: Tags cut well until then.
        miscut: Tags spoilt.
        bent: Numbers of bent sticks, as the plan then in hand had them.
    """

    cut: tuple[str, ...] = ()
    miscut: tuple[str, ...] = ()
    bent: tuple[int, ...] = ()

    def pairs(self) -> list[tuple[str, str]]:
        """Its part of an address."""
        found = [("cut", t) for t in self.cut] + [("miscut", t) for t in self.miscut]
        return found + [("bent", str(n)) for n in self.bent]


@dataclass(frozen=True, kw_only=True)
class Asked:
    """Which plan is meant.

    Attributes:
        orders: Numbers of the orders, none for all that wait.
        seconds: Time given [s].
        mishaps: What went wrong, one after the other, each said of the plan the one before it left.
        ticked: Tags cut well by now; they make no other plan.
    """

    orders: tuple[str, ...]
    seconds: float
    mishaps: tuple[Mishap, ...] = ()
    ticked: tuple[str, ...] = field(default=(), compare=False)

    @property
    def first(self) -> Asked:
        """The plan before any mishap."""
        return replace(self, mishaps=(), ticked=())

    @property
    def before(self) -> Asked:
        """The plan before the last mishap."""
        return replace(self, mishaps=self.mishaps[:-1], ticked=())

    def pairs(self) -> list[tuple[str, str]]:
        """The names and values that ask for it, in order; `then` parts one mishap from the next."""
        pairs: list[tuple[str, str]] = [("order", o) for o in self.orders] + [("seconds", f"{self.seconds:g}")]
        for number, mishap in enumerate(self.mishaps):
            pairs += [*([("then", str(number))] if number else []), *mishap.pairs()]
        return pairs + ([("then", str(len(self.mishaps)))] if self.mishaps else [])

    @property
    def query(self) -> str:
        """The part of an address that asks for it."""
        return urlencode([*self.pairs(), *(("cut", t) for t in self.ticked)])


@dataclass(frozen=True, kw_only=True)
class Made:
    """A plan, and what a mishap changed in it.

    Attributes:
        week: The plan with everything around it.
        changes: Tags issued again.
        extra: What the mishap costs in steel [money].
    """

    week: Week
    changes: tuple[Change, ...] = ()
    extra: float = 0.0


class Plans:
    """Plans, one after the other, the last few kept.

    Args:
        desk: What plans.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._jobs: Jobs[Asked, Made, Progress] = Jobs("cutting", kept=_KEPT)

    def job(self, asked: Asked) -> Job[Made, Progress]:
        """A plan, begun when it was not asked for before or was refused.

        Args:
            asked: Which.
        """
        # The plan before goes on the one hand first: a mended plan needs it done.
        before = self.job(asked.before) if asked.mishaps else None

        def work(job: Job[Made, Progress]) -> Made:
            cutting = self._desk.cutting
            if before is None:
                return Made(
                    week=cutting.plan(asked.orders, seconds=asked.seconds, progress=job.told, stop=job.stop.is_set)
                )
            last, old = asked.mishaps[-1], before.found.result()
            week, found = cutting.mend(
                old.week, cut=last.cut, miscut=last.miscut, bent=last.bent, seconds=min(6.0, asked.seconds)
            )
            return Made(week=week, changes=found.changes, extra=found.extra_cost)

        return self._jobs.job(asked, work)


class SteelPage:
    """Answers the addresses of the page.

    Args:
        desk: The shop's rules, orders and rack.
        page: Sets a template.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse]) -> None:
        self._desk = desk
        self._page = page
        self.plans = Plans(desk)

    def add_to(self, app: FastAPI) -> None:
        """Put its addresses on the application."""
        app.get("/cutting", response_class=HTMLResponse)(self.sheet)
        app.get("/cutting/plan", response_class=HTMLResponse)(self.plan)
        app.get("/cutting/stop", response_class=HTMLResponse)(self.stop)
        app.get("/cutting/papers/{name}")(self.paper)

    def sheet(self, request: Request) -> HTMLResponse:
        """The page with its form; the plan loads by itself."""
        query, cutting = request.query_params, self._desk.cutting
        system = forms.system_of(query, request.cookies)
        view: dict[str, Any] = {}
        try:
            asked = asked_of(query, cutting)
            chosen = {o.number for o in cutting.chosen(asked.orders)}
            view = form_view(cutting, chosen, asked)
            status = 200
        except PlowwrightError as error:
            view = {**form_view(cutting, set(), None), "error": error.as_dict()}
            status = 422
        other = "metric" if system == "us" else "us"
        words = "Metric" if other == "metric" else "Inches and pounds"
        switch = {"href": f"/cutting?{urlencode([*query.multi_items(), ('units', other)])}", "words": words}
        page = self._page(request, "cutting.html", status, view=view, switch_units=switch)
        page.set_cookie("units", system, max_age=forms.YEAR, samesite="strict")
        return page

    def plan(self, request: Request) -> HTMLResponse:
        """The plan: how far it is, or what came of it."""
        query = request.query_params
        system = forms.system_of(query, request.cookies)
        try:
            asked = asked_of(query, self._desk.cutting)
            job = self.plans.job(asked)
            if job.done_at_once():
                shown = plan_view(job.found.result(), asked, self._desk, system)
            else:
                shown = waiting_view(job, asked)
        except PlowwrightError as error:
            shown = {"error": error.as_dict()}
        return self._page(request, "cutting-plan.html", plan=shown)

    def stop(self, request: Request) -> HTMLResponse:
        """Take the best found so far."""
        asked = asked_of(request.query_params, self._desk.cutting)
        self.plans.job(asked.first).stop.set()
        return self.plan(request)

    def paper(self, request: Request, name: str) -> Response:
        """One paper of a plan that is made."""
        query = request.query_params
        if name not in _FILES:
            raise NotFoundError("no such paper of a cut plan", value=name, way_out=f"There are: {', '.join(_FILES)}.")
        asked = asked_of(query, self._desk.cutting)
        made = self.plans.job(asked).found.result()
        body = written(name, made, self._desk, forms.system_of(query, request.cookies), cut=asked.ticked)
        headers = {"Content-Disposition": f'inline; filename="{name}"'}
        return Response(body, media_type=_FILES[name][1], headers=headers)


def asked_of(query: QueryParams, cutting: CuttingDesk) -> Asked:
    """What an address asks for.

    Args:
        query: `order`, `seconds`, and of each mishap `cut`, `miscut`, `bent`, each as often as needed, with `then`
            before the next mishap.
        cutting: What plans.

    Raises:
        PlanInputError: Seconds or a stick's number are no numbers.
    """
    given = query.get("seconds", "").strip()
    try:
        seconds = float(given) if given else cutting.rules.saw.seconds.value
        mishaps, ticked = _mishaps_of(query)
    except ValueError as error:
        raise PlanInputError(
            "seconds and sticks are numbers", value=", ".join([given, *query.getlist("bent")]),
            way_out="Write 12 for the seconds, and the numbers at the left of the saw sheet for sticks.",
        ) from error  # fmt: skip
    if not 0.1 <= seconds <= 600:
        raise PlanInputError("a plan is given some seconds", value=given, limit="0.1 to 600", way_out="12 is usual.")
    orders = tuple(n.strip().upper() for n in query.getlist("order") if n.strip())
    return Asked(orders=orders, seconds=seconds, mishaps=mishaps, ticked=ticked)


def _mishaps_of(query: QueryParams) -> tuple[tuple[Mishap, ...], tuple[str, ...]]:
    """What went wrong, step by step, and what is ticked as cut after the last of them."""
    steps: list[list[tuple[str, str]]] = [[]]
    for name, value in query.multi_items():
        if name == "then":
            steps.append([])
        steps[-1].append((name, value))
    found: list[Mishap] = []
    cut: tuple[str, ...] = ()
    for step in steps:
        bent = {int(n) for name, text in step if name == "bent" for n in text.replace(",", " ").split()}
        miscut = tuple(t.strip() for name, t in step if name == "miscut" and t.strip())
        cut = tuple(t for name, t in step if name == "cut" and t not in miscut) or cut
        # Pieces ticked as cut with nothing wrong are no reason to plan again: the plan in hand stands.
        if miscut or bent:
            found.append(Mishap(cut=cut, miscut=miscut, bent=tuple(sorted(bent))))
    return tuple(found), cut


def form_view(cutting: CuttingDesk, chosen: set[str], asked: Asked | None) -> dict[str, Any]:
    """The form: orders whose steel is uncut, and the seconds.

    Args:
        cutting: What plans.
        chosen: Numbers that are ticked.
        asked: What was asked, None where it could not be taken.
    """
    return {
        "orders": orders_view(cutting.waiting(), chosen),
        "seconds": f"{asked.seconds if asked else cutting.rules.saw.seconds.value:g}",
        "query": asked.query if asked else "",
    }


def waiting_view(job: Job[Made, Progress], asked: Asked) -> dict[str, Any]:
    """How far a plan has come.

    Args:
        job: The plan.
        asked: Which it is.
    """
    reached = job.reached
    turn = "Finding room for what lost its place" if asked.mishaps else "Waiting for its turn"
    gap = ""
    if reached is not None and reached.bound > 0 and reached.cost < float("inf"):
        gap = f"{100 * (reached.cost / reached.bound - 1):.1f} % over the bound"
    return reached_view(job, turn) | {"gap": gap, "again": asked.query, "limit": f"{asked.seconds:g}"}


def plan_view(made: Made, asked: Asked, desk: Desk, system: System) -> dict[str, Any]:
    """What came of a plan.

    Args:
        made: The plan.
        asked: Which it is.
        desk: The shop.
        system: US or metric.
    """
    plan, week = made.week.plan, made.week
    longest = max(c.stick.length for c in plan.sticks)
    currency = desk.rulebook.shop.currency
    sure = "no plan costs less"
    if plan.status != "proved best":
        sure += f" than {currency} {plan.bound:,.0f}: at most {100 * plan.gap:.2f} % over the best"
    numbers = {c.now for c in made.changes}
    return {
        "said": f"{len(plan.sticks)} sticks, {len(plan.pieces)} pieces, {currency} {plan.cost:,.0f}; {sure}.",
        "status": plan.status, "mark": mark_of(plan), "seconds": f"{plan.seconds:.1f}",
        "alike": "; ".join(", ".join(group) for group in week.alike),
        "changes": [c.in_words() for c in made.changes],
        "extra": f"{currency} {made.extra:,.0f}" if made.changes else "",
        "sticks": [
            _stick(c, longest, asked, system, changed=c.number in numbers, again={x.tag for x in made.changes})
            for c in plan.sticks
        ],
        "edges": [
            {"tag": cut.wanted.tag, "bar": bar.bar, "steps": " ".join(cut.steps),
             "from": "undrilled bar" if not cut.blank else f"{units.say(cut.blank, 'length', system=system)} blank",
             "buy": cut.bought}
            for bar in week.edges
            for cut in bar.plan.cuts
        ],
        "buys": [{"said": b.in_words(), "orders": ", ".join(b.orders), "late": b.late,
                  "cost": f"{currency} {b.cost:,.0f}"} for b in week.buys],
        "papers": [
            {"href": f"/cutting/papers/{name}?{asked.query}", "name": name, "what": what}
            for name, (what, _) in _FILES.items()
            if made.changes or name != "changed sticks.pdf"
        ],
        "fields": asked.pairs(), "first": asked.first.query, "before": asked.before.query,
    }  # fmt: skip


def _stick(
    c: CutStick, longest: float, asked: Asked, system: System, *, changed: bool, again: set[str]
) -> dict[str, Any]:
    def said(value: float) -> str:
        return units.say(value, "length", system=system)

    drop = f"keep {said(c.drop)} as {c.drop_tag}" if c.kept else f"{said(c.drop)} to scrap"
    page = stick_picture(c, width=_WIDTH, longest=longest, cut=asked.ticked, system=system)
    return {
        "number": c.number, "stock": c.stick.stock, "rush": c.rush, "changed": changed, "drop": drop,
        "what": f"{'remnant ' + c.stick.tag if c.stick.tag else 'stick'}, {said(c.stick.length)}",
        "picture": svg.write(page, title=f"stick {c.number}", inline=True, prefix=f"s{c.number}-"),
        "rows": [
            {"numbers": first if len(group) == 1 else f"{first} to {first + len(group) - 1}",
             "length": said(group[0].piece.length),
             "pieces": [{"tag": p.piece.tag, "cut": p.piece.tag in asked.ticked, "new": p.piece.tag in again}
                        for p in group]}
            for first, group in groups_of(c)
        ],
    }  # fmt: skip


def written(name: str, made: Made, desk: Desk, system: System, *, cut: Collection[str] = ()) -> bytes:
    """One paper of a plan.

    Args:
        name: Which, of those the page lists.
        made: The plan.
        desk: The shop.
        system: US or metric.
        cut: Tags already cut, drawn hollow.
    """
    plan, shop = made.week.plan, desk.rulebook.shop
    if name == "cut plan.csv":
        return write_csv(plan_rows(plan), PLAN_COLUMNS)
    if name == "cut plan.xlsx":
        return write_xlsx(plan_sheets(plan), title="cut plan", when=datetime.combine(made.week.on, datetime.min.time()))
    if name == "labels of drops.pdf":
        found = labels.labels(labels.of_drops(plan, shop, system), shop=shop, paper="us-letter")
    else:
        only = {c.now for c in made.changes} if name == "changed sticks.pdf" else None
        found = saw_sheet(
            SawSheet(plan=plan, shop=shop, on=made.week.on, system=system, alike=made.week.alike, only=only,
                     changes=made.changes if only else (), cut=cut),
        )  # fmt: skip
    return pdf.compile(content.source(found.template), pictures=found.pictures, data=found.data)
