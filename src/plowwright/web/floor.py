"""The pages of the floor: who are you, your work in big slips, the sheet of one operation with three big answers."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final

from fastapi import FastAPI, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse, Response
from starlette.datastructures import FormData

from plowwright.desk.acting import Hand
from plowwright.desk.floor import Floor
from plowwright.desk.floor_chain import clock, said_minutes
from plowwright.desk.floor_finish import TEST, TIMES, card_rows
from plowwright.desk.floor_people import Slip, late, work_of
from plowwright.desk.floor_photo import Photo, upright
from plowwright.desk.floor_right import FloorRight
from plowwright.desk.floor_sheet import CAUTIONS, FloorOrder, Step, order_on_floor, traveller_of, twins_of
from plowwright.desk.floor_words import FloorWords
from plowwright.desk.orders import Order
from plowwright.errors import NotFoundError, PlowwrightError
from plowwright.store import records as r
from plowwright.units import inches
from plowwright.web import forms, wall
from plowwright.web.acting import WHO, acted, form_of, photo_of, text
from plowwright.web.orders_view import holds
from plowwright.web.pages import notches_said

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_PAPER: Final = "/blade/papers/{}.pdf?order="
PAPERS: Final[Mapping[str, tuple[tuple[str, str], ...]]] = {
    "saw": (("Cut list", _PAPER.format("cut list")),),
    "plate_and_drill": (("Hole sheet", _PAPER.format("hole sheet")),),
    "fit_and_weld": (("Fitting sheet", _PAPER.format("fitting sheet")),),
    "assemble": (("Kit list", _PAPER.format("kit list")), ("Hose sheet", _PAPER.format("hose sheet"))),
    "test_and_weigh": (("Test card", _PAPER.format("test card")), ("On the scale", "/scale?order=")),
}
"""What lies beside somebody at each operation; the traveller with its paint tag goes with all of them."""
TOGETHER: Final[Mapping[str, tuple[str, str]]] = {
    "saw": ("Saw sheet, in This week's cutting", "/cutting"),
    "plate_and_drill": ("Plate sheet, in Sheets and holes", "/plates"),
}
"""Papers of all orders together."""
_KIND: Final = {"refit": "Refit of", "spares": "Spares for"}


class FloorPages:
    """Answers every address under /floor.

    Args:
        desk: The shop.
        page: Sets a template.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse]) -> None:
        self._desk = desk
        self._page = page
        self._standing = lru_cache(maxsize=256)(lambda spec: wall.standing(desk.rulebook, spec))

    def add_to(self, app: FastAPI) -> None:
        """Put every address on the application."""
        app.get("/floor", response_class=HTMLResponse)(self.people)
        app.get("/floor/photo/{digest}")(self.photo)
        app.get("/floor/{number}/traveller.pdf")(self.traveller)
        app.post("/floor/{number}/settle")(self.settle)
        app.get("/floor/{number}", response_class=HTMLResponse)(self.order)
        app.get("/floor/{number}/{operation}", response_class=HTMLResponse)(self.sheet)
        app.post("/floor/{number}/{operation}/{act}")(self.act)

    # Looking ------------------------------------------------------------------------------------------------------

    def people(self, request: Request) -> HTMLResponse:
        """Everybody by name; below, the slips of whoever is at this screen."""
        with self._desk.book.reading() as reads:
            work = work_of(self._desk, reads)
        name = request.query_params.get(WHO, "") or request.cookies.get(WHO, "")
        mine = work.of(name)
        view = {
            "by": work.by,
            "people": [
                {"name": one.name, "hours": one.hours or "not here today", "here": one.name == name,
                 "now": ", ".join(f"{s.words}, {s.order.number}" for s in one.now)}
                for one in work.people
            ],
            "name": mine.name if mine else "",
            "now": [self._slip(s) for s in mine.now] if mine else [],
            "next": [self._slip(s) for s in mine.next] if mine else [],
        }  # fmt: skip
        page = self._page(request, "floor.html", view=view, **({"who": mine.name} if mine else {}))
        if mine:
            page.set_cookie(WHO, mine.name, max_age=forms.YEAR, samesite="strict", httponly=True)
        return page

    def order(self, request: Request, number: str) -> HTMLResponse:
        """Everything that was done and said of one order."""
        return self._order(request, number, None)

    def sheet(self, request: Request, number: str, operation: str) -> HTMLResponse:
        """The sheet of one operation."""
        return self._sheet(request, number, operation, None, {}, "")

    def _order(
        self, request: Request, number: str, error: PlowwrightError | None, typed: Mapping[str, str] | None = None
    ) -> HTMLResponse:  # fmt: skip
        found = order_on_floor(self._desk, number)
        view = {**self._head(found), "steps": [self._step(step) for step in found.steps]}
        return self._page(request, "floor-order.html", 422 if error else 200, view=view, typed=typed or {},
                          error=error.as_dict() if error else None)  # fmt: skip

    def _sheet(
        self, request: Request, number: str, operation: str, error: PlowwrightError | None, typed: Mapping[str, str],
        act: str,
    ) -> HTMLResponse:  # fmt: skip
        found = order_on_floor(self._desk, number)
        step = found.step(operation)
        name = request.query_params.get(WHO, "") or request.cookies.get(WHO, "")
        view = {
            **self._head(found),
            **self._step(step),
            "caution": CAUTIONS[step.operation],
            "papers": self._papers(found, step),
            "test": self._test(found, typed) if step.operation == TEST else [],
            "me": name,
            "mine": any(one.by == name for one in step.at_it),
            "spent": self._spent(step, name),
        }
        return self._page(request, "floor-sheet.html", 422 if error else 200, view=view, typed=typed, act=act,
                          error=error.as_dict() if error else None)  # fmt: skip

    def photo(self, digest: str) -> Response:
        """A kept photo, after its digest was checked."""
        with self._desk.book.reading() as reads:
            file = reads.look(r.KeptFile, digest)
        if file is None or not file.media.startswith("image/"):
            raise NotFoundError("no photo is kept under this address", value=digest, way_out="Go back to its order.")
        headers = {"Cache-Control": "private, max-age=31536000, immutable", "X-Content-Type-Options": "nosniff"}
        return Response(self._desk.book.filing.read(digest), media_type=file.media, headers=headers)

    def traveller(self, request: Request, number: str) -> Response:
        """The traveller as PDF."""
        query = request.query_params
        system = forms.system_of(query, request.cookies)
        data = traveller_of(self._desk, number, system=system, paper=query.get("paper", "letter"))
        named = {"Content-Disposition": f'inline; filename="{forms.file_name(f"traveller {number}.pdf")}"'}
        return Response(data, media_type="application/pdf", headers=named)

    # Writing ------------------------------------------------------------------------------------------------------

    async def act(self, request: Request, number: str, operation: str, act: str) -> Response:
        """Begin, lay down, done, problem, note, here, right or hours: one form each."""
        form = await form_of(request)
        typed = {name: value for name, value in form.items() if isinstance(value, str)}
        try:
            do = await self._do(form, number, operation, act)
            return await acted(request, form, do, f"/floor/{number.strip().upper()}/{operation}", self._desk)
        except PlowwrightError as error:
            refused = error
        try:
            return await run_in_threadpool(self._sheet, request, number, operation, refused, typed, act)
        except PlowwrightError:
            raise refused from None  # no such order or operation: there is no sheet to say it on

    async def settle(self, request: Request, number: str) -> Response:
        """A problem is settled."""
        form = await form_of(request)
        words = FloorWords(self._desk)
        try:
            return await acted(
                request, form, lambda hand: words.settle(hand, number, text(form, "problem"), text(form, "how")),
                f"/floor/{number.strip().upper()}", self._desk,
            )  # fmt: skip
        except PlowwrightError as error:
            typed = {name: text(form, name) for name in ("problem", "how")}
            return await run_in_threadpool(self._order, request, number, error, typed)

    async def _do(self, form: FormData, number: str, op: str, act: str) -> Callable[[Hand], Mapping[str, Any]]:
        floor, right, words = Floor(self._desk), FloorRight(self._desk), FloorWords(self._desk)
        photo = await self._photo(form) if act in ("problem", "note") else None
        said = {name: text(form, name) for name in ("took", "when", "what", "where", "text", "reason", "row")}
        row = int(said["row"]) if said["row"].isascii() and said["row"].isdigit() else None
        acts: dict[str, Callable[[Hand], Mapping[str, Any]]] = {
            "begin": lambda hand: floor.begin(hand, number, op),
            "laydown": lambda hand: floor.lay_down(hand, number, op),
            "done": lambda hand: floor.done(
                hand, number, op, took=said["took"], when=said["when"], test={n: text(form, n) for n in TIMES}
            ),
            "here": lambda hand: floor.here(hand, number, op),
            "problem": lambda hand: words.problem(
                hand, number, op, said["what"], where=said["where"], hold=text(form, "hold") == "yes", photo=photo
            ),
            "note": lambda hand: words.note(hand, number, op, said["text"], photo=photo),
            "right": lambda hand: right.undo(
                hand, number, op, said["reason"], hours_too=text(form, "keep_hours") != "yes"
            ),
            "hours": lambda hand: right.hours(hand, number, op, said["took"], said["reason"], row=row),
        }
        if act not in acts:
            raise NotFoundError("nothing like that is done here", value=act, limit=", ".join(acts))
        return acts[act]

    async def _photo(self, form: FormData) -> Photo | None:
        sent = await photo_of(form)
        if sent is None:
            return None
        data, name, _ = sent
        return await run_in_threadpool(upright, data, name)

    # What the templates show --------------------------------------------------------------------------------------

    def _blade(self, order: Order) -> dict[str, Any]:
        base = {"number": order.number, "customer": order.customer, "carrier": order.carrier, "note": order.note,
                "due": clock(order.due), "late": late(order, self._desk.now), "state": order.state}  # fmt: skip
        if order.spec is None:
            whole = _KIND.get(order.kind, order.kind)
            return {**base, "what": f"{whole} {order.serial}".strip(), "class": ", ".join(order.spares), "drawing": "",
                    "rush": False}  # fmt: skip
        series = self._desk.rulebook.series[order.spec.series]
        return {
            **base, "what": f"{series.name} {inches(order.spec.width):g} in", "drawing": self._standing(order.spec),
            "class": f"{series.duty_class}, {notches_said(series.notches)} in the mount plate",
            "rush": "rush" in order.spec.extras,
        }  # fmt: skip

    def _slip(self, slip: Slip) -> dict[str, Any]:
        twins = twins_of(self._desk, slip.order)
        return {
            **self._blade(slip.order), "operation": slip.operation, "words": slip.words, "about": _about(slip.about),
            "begun": clock(slip.begun) if slip.begun else "", "planned": clock(slip.planned) if slip.planned else "",
            "shut": slip.shut.why if slip.shut else "", "problems": slip.problems,
            "twin": twins[0].sentence if twins else "",
        }  # fmt: skip

    def _head(self, found: FloorOrder) -> dict[str, Any]:
        following = found.next
        return {
            **self._blade(found.order),
            "note": found.row.note,  # the hold is said by itself
            "hold": found.row.hold,
            "problems": [{"said": one, "holds": holds(one, found.row.hold)} for one in found.more.problems],
            "held_by_problem": any(holds(one, found.row.hold) for one in found.more.problems),
            "twins": [twin.sentence for twin in found.twins],
            "notes": [{"note": one.note, "day": clock(one.day), "file": one.file} for one in found.notes],
            "serial": found.more.serial,
            "coming": {"operation": following.operation, "words": following.words} if following else None,
            "blade": found.order.spec is not None,
        }

    def _step(self, step: Step) -> dict[str, Any]:
        return {
            "operation": step.operation, "words": step.words, "about": _about(step.about),
            "done": {"by": step.done.by or "nobody noted who", "at": clock(step.done.ended)} if step.done else None,
            "at_it": [{"by": one.by, "since": clock(one.begun)} for one in step.at_it],
            "shut": step.shut if step.done is None else None, "waits": step.waits if step.done is None else (),
            "hours": [{"row": row.id, "by": row.person, "day": clock(row.day), "took": said_minutes(row.minutes)}
                      for row in step.hours],
        }  # fmt: skip

    def _papers(self, found: FloorOrder, step: Step) -> list[dict[str, str]]:
        if found.order.spec is None:
            return []
        number = found.row.number
        rows = [(words, f"{href}{number}") for words, href in PAPERS.get(step.operation, ())]
        rows += [TOGETHER[step.operation]] if step.operation in TOGETHER else []
        rows += [("Traveller and paint tag", f"/floor/{number}/traveller.pdf")]
        return [{"words": words, "href": href} for words, href in rows]

    def _test(self, found: FloorOrder, typed: Mapping[str, str]) -> list[dict[str, str]]:
        rows = card_rows(self._desk, found.row.number)
        passes = {row.says: f"passes {row.low:.1f} to {row.high:.1f} s" for row in rows}
        return [
            {"name": name, "words": words, "passes": passes.get(words, ""), "typed": typed.get(name, ""),
             "like": "70 F" if name == "oil" else "5.6 s", "kept": found.more.test.get(name, "")}
            for name, (_, words) in TIMES.items()
        ]  # fmt: skip

    def _spent(self, step: Step, name: str) -> str:
        mine = [one for one in step.at_it if one.by == name]
        minutes = sum(Floor(self._desk).minutes(name, one.begun, self._desk.now) for one in mine)
        return said_minutes(minutes) if minutes else ""


def _about(seconds: float | None) -> str:
    return "" if seconds is None else said_minutes(round(seconds / 60))
