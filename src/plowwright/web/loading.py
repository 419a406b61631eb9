"""The pages 'Load slip' (what is due to leave, and one slip) and the claim pack of a load that has left."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import urlencode

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from starlette.datastructures import FormData

from plowwright import units
from plowwright.desk.acting import Hand
from plowwright.desk.dock_papers import NAMES, Claim, DockPapers
from plowwright.desk.dock_view import DockView
from plowwright.desk.docking import TERMS, Docking
from plowwright.desk.floor_photo import upright
from plowwright.errors import EntryError, NotFoundError, PlowwrightError, RefusedError
from plowwright.findings import Finding
from plowwright.papers import svg
from plowwright.papers.claim_pack import TITLES
from plowwright.papers.lifting_picture import lifting_picture
from plowwright.shop.dock_load import CAUTIONS, Load
from plowwright.shop.dock_papers import CLAIMS, PackingRow, photographed
from plowwright.store import records as r
from plowwright.web import acting, forms
from plowwright.web.dock import TONES, measured, row_of
from plowwright.web.forms import System

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_PICTURE: Final = 184.0
_SIZES: Final = ("length", "depth", "height")


class LoadingPages:
    """Answers the addresses of these pages.

    Args:
        desk: The shop.
        page: Sets a template.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse]) -> None:
        self._desk = desk
        self._page = page
        self._view = DockView(desk)

    def add_to(self, app: FastAPI) -> None:
        """Put their addresses on the application."""
        app.get("/loading", response_class=HTMLResponse)(self.list)
        app.get("/loading/{number}", response_class=HTMLResponse)(self.slip)
        app.get("/loading/{number}/papers/{name}")(self.paper)
        app.get("/loading/{number}/files/{digest}")(self.file)
        for name, do in (("match", self._match), ("pack", self._pack), ("lading", self._lading), ("load", self._load)):
            app.post(f"/loading/{{number}}/{name}", response_class=HTMLResponse)(self._posted(name, do))
        app.post("/loading/{number}/photo", response_class=HTMLResponse)(self.photo)
        app.get("/claim/{number}", response_class=HTMLResponse)(self.claim)
        app.get("/claim/{number}/pack.zip")(self.pack)
        app.post("/claim/{number}/photo", response_class=HTMLResponse)(self.claim_photo)

    # The list and one slip ----------------------------------------------------------------------------------------

    def list(self, request: Request) -> HTMLResponse:
        """What is done and has not left, and what left last."""
        view = {
            "waiting": [row_of(one) for one in self._view.waiting()],
            "left": [row_of(one) for one in self._view.left()],
        }
        return self._page(request, "loading.html", view=view)

    def slip(self, request: Request, number: str) -> Response:
        """The load slip of one order."""
        own = self._view.number(number)
        if own != number:
            return RedirectResponse(f"/loading/{own}", status_code=307)
        return self._shown(request, own)

    def _shown(
        self, request: Request, number: str, *, error: PlowwrightError | None = None, form: FormData | None = None,
        opened: str = "",
    ) -> HTMLResponse:  # fmt: skip
        system = forms.system_of(request.query_params, request.cookies)
        with units.speaking(system):
            view = self._slip_view(number, system)
        if form is not None:
            view["typed"] |= {name: acting.text(form, name) for name in view["typed"] if name in form}
            view["ticked"] = [str(one) for one in form.getlist("tick")]
        view["opened"] = opened
        if form is not None and opened == "pack":
            view["crated"] = acting.text(form, "crated") == "yes"
        else:
            view["crated"] = bool(view["load"] and view["load"]["crated"])
        view["error"] = error.as_dict() if error is not None else None
        return self._page(request, "loading-slip.html", 422 if error is not None else 200, view=view)

    def _slip_view(self, number: str, system: System) -> dict[str, Any]:
        order = self._view.order(number)
        try:
            load = self._view.load(number)
            gates, rows = load.gates, load.rows
        except RefusedError:
            load, gates, rows = None, self._view.gates(number), self._view.rows(number)
        told = self._view.lading(number)
        metric = system == "metric"
        typed = {"stamp": "", "label": "", "length": "", "depth": "", "height": "", "mass": "", "note": "",
                 "ship_to": told["ship_to"], "terms": told["terms"]}  # fmt: skip
        return {
            "number": number, "customer": order.customer, "carrier": order.carrier, "kind": order.kind,
            "loaded": order.state == "loaded",
            "gates": [_gate(gate) for gate in gates],
            "go": bool(gates) and all(gate.verdict in ("holds", "near limit") for gate in gates),
            "rows": [_row(at, row) for at, row in enumerate(rows)], "ticked": [],
            "load": self._load_view(load, system) if load is not None else None,
            "papers": NAMES if load is not None else (), "terms": TERMS, "typed": typed,
            "photos": [_attached(number, one) for one in self._view.attachments(number)],
            "length_unit": "mm" if metric else "in", "mass_unit": "kg" if metric else "lb",
        }  # fmt: skip

    def _load_view(self, load: Load, system: System) -> dict[str, Any]:
        build = self._view.build(self._view.order(load.number))
        piece, travel = load.piece, load.travel
        picture = svg.write(lifting_picture(build, load.lift, width=_PICTURE, system=system), title="lifting points",
                            inline=True)  # fmt: skip

        def said(value: float, kind: str) -> str:
            return units.say(value, kind, system=system)

        return {
            "name": load.name, "serial": load.serial, "bare": said(load.bare, "mass"), "weighed": load.weighed,
            "size": " x ".join(said(s, "length") for s in (piece.length, piece.depth, piece.height)),
            "packed": said(piece.mass, "mass"), "stated": piece.stated, "crated": piece.crated,
            "class": f"{load.by.freight_class:g}", "class_said": load.by.finding.sentence,
            "near": load.by.finding.verdict == "near limit",
            "straight": said(travel.crosswise, "length"), "angled": said(travel.angled, "length"),
            "lengthwise": said(travel.lengthwise, "length"), "travel_said": _gate(travel.finding)["sentence"],
            "cure": _gate(load.cure), "lift": load.lift.sentence, "picture": picture, "cautions": CAUTIONS,
        }  # fmt: skip

    def _posted(
        self, name: str, do: Callable[[Hand, str, FormData], Mapping[str, Any]]
    ) -> Callable[..., Any]:
        """An address that takes a form of the slip, and shows the slip again."""

        async def posted(request: Request, number: str) -> Response:
            form = await acting.form_of(request)
            try:
                return await acting.acted(
                    request, form, lambda hand: do(hand, number, form), f"/loading/{number}", self._desk
                )
            except PlowwrightError as error:
                return self._shown(request, self._view.number(number), error=error, form=form, opened=name)

        return posted

    def _match(self, hand: Hand, number: str, form: FormData) -> Mapping[str, Any]:
        number = self._view.number(number)
        order = acting.text(form, "order") or number
        if self._view.number(order) != number:
            raise EntryError("this is the load slip of another order", value=order, limit=number,
                             way_out=f"Open the slip of {order}, or read the number again.")  # fmt: skip
        stamp, label = acting.text(form, "stamp"), acting.text(form, "label")
        return Docking(self._desk).match(hand, number, stamp=stamp, label=label)

    def _pack(self, hand: Hand, number: str, form: FormData) -> Mapping[str, Any]:
        length_unit, mass_unit = acting.text(form, "length_unit") or "in", acting.text(form, "mass_unit") or "lb"
        length, depth, height = (measured(acting.text(form, n), length_unit, "length", n) for n in _SIZES)
        return Docking(self._desk).pack(
            hand, number, length=length, depth=depth, height=height, crated=acting.text(form, "crated") == "yes",
            mass=measured(acting.text(form, "mass"), mass_unit, "mass", "mass"),
        )  # fmt: skip

    def _lading(self, hand: Hand, number: str, form: FormData) -> Mapping[str, Any]:
        return Docking(self._desk).lading(
            hand, number, ship_to=acting.text(form, "ship_to"), terms=acting.text(form, "terms")
        )

    def _load(self, hand: Hand, number: str, form: FormData) -> Mapping[str, Any]:
        ticked = {str(one) for one in form.getlist("tick")}
        return Docking(self._desk).load(hand, number, ticked=ticked)

    async def photo(self, request: Request, number: str) -> Response:
        """A photo at loading."""
        form = await acting.form_of(request)
        try:
            return await self._kept(request, number, form, f"/loading/{number}")
        except PlowwrightError as error:
            return self._shown(request, self._view.number(number), error=error, form=form)

    async def _kept(self, request: Request, number: str, form: FormData, path: str) -> Response:
        sent = await acting.photo_of(form)
        if sent is None:
            raise EntryError("there is no photo", where="photo", way_out="Take one, or choose the file of one.")
        data, name, _ = sent
        what = acting.text(form, "what") or "photos at loading"

        def do(hand: Hand) -> Mapping[str, Any]:
            return Docking(self._desk).photo(hand, number, upright(data, name), what=what,
                                             note=acting.text(form, "note"))  # fmt: skip

        return await acting.acted(request, form, do, path, self._desk)

    def paper(self, request: Request, number: str, name: str) -> Response:
        """One paper of the load."""
        system = forms.system_of(request.query_params, request.cookies)
        size = "a4" if request.query_params.get("paper") == "a4" else "letter"
        body = DockPapers(self._desk, system=system, paper=size).paper(number, name.removesuffix(".pdf"))
        called = forms.file_name(f"{number} {name}")
        return Response(body, media_type="application/pdf",
                        headers={"Content-Disposition": f'inline; filename="{called}"'})  # fmt: skip

    def file(self, number: str, digest: str) -> Response:
        """A photo or scan kept with the order."""
        if digest not in {one.file for one in self._view.attachments(number)}:
            raise NotFoundError("no such photo with this order", value=digest[:12], where=number)
        kept, data = self._view.file(digest)
        return Response(data, media_type=kept.media or "application/octet-stream")

    # Claims -------------------------------------------------------------------------------------------------------

    def claim(self, request: Request, number: str) -> HTMLResponse:
        """What a claim rests on, what of it is there, and the pack."""
        return self._claimed(request, self._view.number(number))

    def _claimed(
        self, request: Request, number: str, error: PlowwrightError | None = None, form: FormData | None = None
    ) -> HTMLResponse:
        system = forms.system_of(request.query_params, request.cookies)
        names = ("kind", "said", "reweigh", "what", "note")
        asked = {name: acting.text(form, name) if form else request.query_params.get(name, "") for name in names}
        with units.speaking(system):
            try:
                claim = self._claim_of(asked, number, system)
            except EntryError as fault:
                error = error or fault
                claim = DockPapers(self._desk, system=system).claim(number, CLAIMS[0])
        view = _claim_view(claim, asked["said"], asked["reweigh"])
        view |= {"what": asked["what"], "note": asked["note"]}
        view["error"] = error.as_dict() if error is not None else None
        return self._page(request, "claim.html", 422 if error is not None else 200, view=view)

    def _claim_of(self, asked: Mapping[str, str], number: str, system: System) -> Claim:
        again = asked.get("reweigh", "").strip()
        mass = measured(again, "kg" if system == "metric" else "lb", "mass", "reweigh") if again else None
        return DockPapers(self._desk, system=system).claim(number, asked.get("kind") or CLAIMS[0], reweigh=mass)

    def pack(self, request: Request, number: str) -> Response:
        """Everything of a claim in one ZIP."""
        system = forms.system_of(request.query_params, request.cookies)
        with units.speaking(system):
            claim = self._claim_of(request.query_params, self._view.number(number), system)
            body = DockPapers(self._desk, system=system).claim_zip(claim, said=request.query_params.get("said", ""))
        name = f"{claim.load.number} claim, {claim.kind}.zip"
        return Response(body, media_type="application/zip",
                        headers={"Content-Disposition": f'attachment; filename="{name}"'})  # fmt: skip

    async def claim_photo(self, request: Request, number: str) -> Response:
        """A photo or scan that a claim asks for."""
        form = await acting.form_of(request)
        kind = acting.text(form, "kind") or CLAIMS[0]
        try:
            about = {"kind": kind, **{name: acting.text(form, name) for name in ("said", "reweigh")}}
            return await self._kept(request, number, form, f"/claim/{number}?{urlencode(about)}")
        except PlowwrightError as error:
            return self._claimed(request, self._view.number(number), error, form)


def _gate(finding: Finding) -> dict[str, str]:
    sentence = finding.sentence
    return {
        "title": finding.title, "verdict": finding.verdict, "tone": TONES[finding.verdict],
        "sentence": sentence[:1].upper() + sentence[1:],
    }  # fmt: skip


def _row(at: int, row: PackingRow) -> dict[str, Any]:
    return {"at": str(at), "count": row.count, "name": row.name, "where": row.where, "note": row.note}


def _attached(number: str, one: r.Attachment) -> dict[str, str]:
    return {"note": one.note, "day": f"{one.day.day} {one.day:%b}", "href": f"/loading/{number}/files/{one.file}"}


def _claim_view(claim: Claim, said: str, reweigh: str) -> dict[str, Any]:
    load = claim.load
    query = urlencode({"kind": claim.kind, "said": said, "reweigh": reweigh})
    return {
        "number": load.number, "name": load.name, "serial": load.serial, "customer": load.customer,
        "kind": claim.kind, "title": TITLES[claim.kind], "kinds": [(kind, TITLES[kind]) for kind in CLAIMS],
        "said": said, "reweigh": reweigh, "again": _gate(claim.reweigh) if claim.reweigh is not None else None,
        "there": [piece for piece in claim.pieces if piece.there],
        "missing": [piece for piece in claim.pieces if not piece.there],
        "photos": [_attached(load.number, one) for one in claim.attached],
        "asked": photographed(claim.kind), "pack": f"/claim/{load.number}/pack.zip?{query}",
        "mass": units.say(load.piece.mass, "mass"), "class": f"{load.by.freight_class:g}",
    }  # fmt: skip
