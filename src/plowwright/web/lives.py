"""The pages of old blades: the history of one serial number, and recall by lot."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import quote, urlencode

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse, Response
from starlette.datastructures import FormData

from plowwright import units
from plowwright.desk.acting import Hand
from plowwright.desk.life_papers import PaperOf, paper_of
from plowwright.desk.lives import BladeFile, Lives, Photo, day_of, worn_said
from plowwright.errors import EntryError, NotFoundError, PlowwrightError
from plowwright.papers import svg
from plowwright.papers.life_line import life_line
from plowwright.papers.sheets import PaperName
from plowwright.shop.service import KINDS, STAMP, Chapter, Fitted
from plowwright.store import records as r
from plowwright.web import drawing, forms
from plowwright.web.acting import acted, form_of, photo_of, text

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_KINDS: Final = {
    "edge": "Edge turned or new", "restrictor": "Restrictors changed", "failure": "Something broke",
    "owner": "New owner", "note": "Note", "test card": "Timed again", "advice": "Advice given",
}  # fmt: skip
"""Chapters anybody may write; what was built and what was refitted is written when it is loaded."""
_LABELS: Final = {"booklet": "Owner's booklet", "wear card": "Wear card", "history": "History sheet"}
_PICTURES: Final = ("image/jpeg", "image/png", "image/webp", "image/gif")
"""Media a browser shows as a picture and nothing else."""
_WIDE: Final = 236.0


class LivesPages:
    """Answers the addresses of old blades.

    Args:
        desk: The shop's rules, records and past blades.
        page: Sets a template.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse]) -> None:
        self._desk, self._page = desk, page
        self.lives = Lives(desk)

    def add_to(self, app: FastAPI) -> None:
        """Put all of them on the application."""
        app.get("/history/{serial}", response_class=HTMLResponse)(self.history)
        app.post("/history/{serial}", response_model=None)(self.write)
        app.get("/history/{serial}/photo/{digest}", response_model=None)(self.photo)
        app.get("/history/{serial}/{name}.pdf", response_model=None)(self.paper)
        app.get("/recall", response_class=HTMLResponse)(self.recall)
        app.get("/recall.csv", response_model=None)(self.call_list)

    def history(self, request: Request, serial: str) -> HTMLResponse:
        """One blade as it stands, what happened to it, what fits it, and forms for a new chapter."""
        return self._history(request, serial, {}, None)

    def _history(
        self, request: Request, serial: str, typed: Mapping[str, str], error: PlowwrightError | None
    ) -> HTMLResponse:  # fmt: skip
        system = forms.system_of(request.query_params, request.cookies)
        with units.speaking(system):
            file = self.lives.blade(serial)
            view = self._view(file, system)
        view["typed"] = {"kind": request.query_params.get("kind", "edge"), **typed}
        view["replaces"] = typed.get("replaces") or request.query_params.get("replaces", "")
        if error is not None:
            view["error"] = error.as_dict()
        return self._page(request, "history.html", 422 if error is not None else 200, view=view)

    async def write(self, request: Request, serial: str) -> Response:
        """One chapter more, as the form has it; what was typed stays where it is refused."""
        form = await form_of(request)
        picture = await photo_of(form)
        photos = (Photo(data=picture[0], name=picture[1], media=picture[2]),) if picture else ()

        def do(hand: Hand) -> Mapping[str, Any]:
            told = chapter_of(form)
            return self.lives.write(hand, serial, **told, photos=photos)

        try:
            return await acted(request, form, do, f"/history/{quote(serial)}", self._desk)
        except NotFoundError:
            raise
        except PlowwrightError as error:
            typed = {name: text(form, name) for name in form}
            return self._history(request, serial, typed, error)

    def photo(self, serial: str, digest: str) -> Response:
        """A picture that went with a chapter of this blade."""
        with self._desk.book.reading() as reads:
            if not any(one.file == digest for one in reads.attached("blades", serial)):
                raise NotFoundError("no such picture is filed with this blade", value=digest[:12], where=serial)
            file = reads.get(r.KeptFile, digest)
        shown = file.media in _PICTURES
        return Response(
            self._desk.book.filing.read(digest), media_type=file.media if shown else "application/octet-stream",
            headers={"X-Content-Type-Options": "nosniff", "Content-Security-Policy": "sandbox"},
        )  # fmt: skip

    def paper(self, request: Request, serial: str, name: str) -> Response:
        """Booklet, wear card or history sheet as PDF."""
        which: Mapping[str, PaperOf] = {"booklet": "booklet", "wear-card": "wear card", "sheet": "history"}
        if name not in which:
            raise NotFoundError("no such paper", value=name, limit=", ".join(which), where=serial)
        system = forms.system_of(request.query_params, request.cookies)
        size: PaperName = "a4" if request.query_params.get("paper") == "a4" else "letter"
        made = paper_of(self.lives, self._desk.rulebook, serial, which[name], system=system, paper=size)
        called = forms.file_name(f"{serial} {which[name]}.pdf")
        return Response(made, media_type="application/pdf",
                        headers={"Content-Disposition": f'inline; filename="{called}"'})  # fmt: skip

    def recall(self, request: Request) -> HTMLResponse:
        """Who carries a lot, and whether it is still on."""
        lot, item = (request.query_params.get(name, "").strip() for name in ("lot", "item"))
        view: dict[str, Any] = {"lot": lot, "item": item, "lots": self.lives.lots()}
        if lot:
            rows = self.lives.recall(lot, item=item)
            still = sum(one.still for one in rows)
            view["rows"] = [
                {"serial": one.serial, "owner": one.owner or "not noted", "item": one.item, "place": one.place,
                 "since": f"{one.since:%d %b %Y}", "still": one.still}
                for one in rows
            ]  # fmt: skip
            none = f"No part of lot {lot} is noted on any blade. A lot is known only where somebody wrote it down."
            view["said"] = f"Lot {lot}: {still} still on, {len(rows) - still} since replaced." if rows else none
            view["list"] = f"/recall.csv?{urlencode({'lot': lot, 'item': item})}"
        return self._page(request, "recall.html", view=view)

    def call_list(self, request: Request) -> Response:
        """The same as a list to ring along."""
        lot = request.query_params.get("lot", "")
        made = self.lives.call_list(lot, item=request.query_params.get("item", ""))
        name = quote(f"recall {lot}.csv")
        return Response(made, media_type="text/csv; charset=utf-8",
                        headers={"Content-Disposition": f"attachment; filename*=UTF-8''{name}"})  # fmt: skip

    def _view(self, file: BladeFile, system: units.System) -> dict[str, Any]:
        record, stands = file.record, file.stands
        differs = self.lives.differs(file)
        facts = record.build.facts if record.build else {}
        view: dict[str, Any] = {
            "serial": file.serial,
            "name": record.blade.marks.get("name", ""),
            "facts": [
                ("Owner", file.owner or "not noted"),
                ("Machine", record.carrier.name if record.carrier else "not noted"),
                ("Winters", str(file.winters)),
                ("Mass as built", f"{facts['mass_lb']:,.0f} lb by the model" if "mass_lb" in facts else "not kept"),
                ("Rules of", f"{record.build.rulebook_day:%d %b %Y}" if record.build else "not kept"),
                ("Restrictors", file.life.stamp[0] or f"not known: {file.life.stamp[1]}"),
                ("Colour", str(record.blade.marks.get("colour", "")) or "not noted"),
                ("Order", record.blade.order or "before the records"),
            ],
            "note": record.blade.note,
            "doubts": file.doubts,
            "drawing": drawing.sheet(stands, system) if stands else "",
            "line": svg.write(life_line(file.life, today=file.today, width=_WIDE), title="its life along its winters",
                              inline=True, css_class="lifeline"),
            "chapters": [_chapter(one, file) for one in reversed(file.life.standing)],
            "gone": [_chapter(one, file) for one in file.life.chapters if one not in file.life.standing],
            "differs": differs if isinstance(differs, str) else "",
            "rows": [] if isinstance(differs, str) else [
                {"chapter": row.chapter, "what": row.what, "then": row.values[0], "now": row.values[1]}
                for row in differs.rows if row.chapter in _SHOWN
            ],
            "kinds": list(_KINDS.items()),
            "places": self.lives.places(),
            "papers": [(f"/history/{file.serial}/{name}.pdf", words) for name, words in (
                ("booklet", _LABELS["booklet"]), ("wear-card", _LABELS["wear card"]), ("sheet", _LABELS["history"]))],
            "numbers": [one.number for one in file.life.standing],
            "today": file.today.isoformat(),
        }  # fmt: skip
        if stands is not None:
            view["spares"] = [
                {"name": s.name, "count": s.count, "was": s.was, "now": s.now, "said": s.fit.sentence,
                 "verdict": s.fit.verdict, "tone": _TONES[s.fit.verdict]}
                for s in self.lives.spares(file.serial)
            ]  # fmt: skip
        return view


_SHOWN: Final = ("class row", "parts", "holes", "mass")
_TONES: Final = {"holds": "holds", "near limit": "near", "fails": "fails", "not checked": "not"}


def _chapter(one: Chapter, file: BladeFile) -> dict[str, Any]:
    marker = f"chapter {one.number}:"
    return {
        "number": one.number, "kind": one.kind, "day": f"{one.day:%d %b %Y}", "said": one.said, "place": one.place,
        "facts": [(name.replace("_", " "), value) for name, value in one.facts.items()],
        "fitted": [f"{part.item} at {part.place}" for part in one.fitted],
        "lots": sorted({part.lot for part in one.fitted if part.lot}),
        "photos": [photo.file for photo in file.record.attachments if photo.file and photo.note.startswith(marker)],
        "failed": one.kind == "failure",
        "puts_right": one.replaces,
    }  # fmt: skip


def chapter_of(form: FormData) -> dict[str, Any]:
    """A chapter as a form holds it.

    Args:
        form: As it came.

    Raises:
        EntryError: A field cannot be read.
    """
    kind = text(form, "kind")
    if kind not in KINDS:
        raise EntryError("no chapter is called that", value=kind, limit=", ".join(KINDS))
    facts = {name: text(form, field) for name, field in _FACTS.get(kind, ()) if text(form, field)}
    if kind == "edge":
        facts |= worn_said(text(form, "left"))
    item = text(form, "item")
    place = text(form, "place")
    fitted = (Fitted(item=item, place=place or kind, lot=text(form, "lot")),) if item else ()
    replaces = text(form, "replaces")
    if replaces and not (replaces.isascii() and replaces.isdigit()):
        raise EntryError("a chapter has a number", value=replaces, where="puts right", way_out="Write it as 12.")
    return {
        "kind": kind, "said": text(form, "said"), "day": day_of(text(form, "day"), "day"), "place": place,
        "facts": facts, "fitted": fitted, "replaces": int(replaces) if replaces else None,
    }  # fmt: skip


_FACTS: Final[Mapping[str, tuple[tuple[str, str], ...]]] = {
    "owner": (("owner", "owner"),),
    "restrictor": ((STAMP, "stamp"),),
    "test card": (("left end forward", "left_s"), ("right end forward", "right_s"), (STAMP, "stamp")),
}
"""Facts a chapter of a sort carries: name, and field of the form."""
