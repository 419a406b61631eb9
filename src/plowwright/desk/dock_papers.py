"""Papers of the dock for one order, and the pack for a claim, as files."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING, Final, Literal, cast

from plowwright import units
from plowwright.desk.dock_view import DockView
from plowwright.desk.order_file import order_page
from plowwright.desk.order_more import more_of
from plowwright.desk.order_papers import OrderPapers
from plowwright.errors import NotFoundError
from plowwright.findings import Finding
from plowwright.papers import claim_pack as claims
from plowwright.papers.bill_of_lading import lading_sheet
from plowwright.papers.claim_pack import claim_cover
from plowwright.papers.content import Sheet
from plowwright.papers.dock_sheet import Page, written
from plowwright.papers.elevations import System
from plowwright.papers.load_slip import load_slip
from plowwright.papers.packing_list import packing_sheet
from plowwright.papers.sheets import PaperName
from plowwright.papers.weigh_ticket import weigh_ticket
from plowwright.shop.dock_freight import reweighed
from plowwright.shop.dock_load import Load
from plowwright.shop.dock_papers import BillOfLading, ClaimPiece, bill_of_lading, claim_pack
from plowwright.shop.worked import Worked, work_out
from plowwright.store import records as r

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

NAMES: Final = ("load slip", "packing list", "bill of lading", "weigh ticket")
"""Papers of an order at the dock."""
_PRICE: Final = "price of the blade"


@dataclass(frozen=True, kw_only=True)
class Claim:
    """A claim against the freight carrier.

    Attributes:
        kind: damage, reweigh or missing.
        load: What left.
        pieces: What the claim rests on, and whether the shop has it.
        attached: Photos and scans that belong to it.
        reweigh: The carrier's weight against the bill, where it was given.
    """

    kind: str
    load: Load
    pieces: tuple[ClaimPiece, ...]
    attached: tuple[r.Attachment, ...]
    reweigh: Finding | None = None


class DockPapers:
    """Writes the papers of the dock.

    Args:
        desk: The shop.
        system: Units on the papers.
        paper: Sheet size.
    """

    def __init__(self, desk: Desk, *, system: System = "us", paper: PaperName = "letter") -> None:
        self._desk = desk
        self._system: System = system
        self._paper: PaperName = paper
        self._view = DockView(desk)

    def paper(self, number: str, name: str) -> bytes:
        """One paper of an order as PDF.

        Args:
            number: Order number.
            name: One of `NAMES`.

        Raises:
            NotFoundError: No such paper, or it was not weighed yet.
        """
        if name not in NAMES:
            raise NotFoundError("no such paper at the dock", value=name, way_out=f"There are: {', '.join(NAMES)}.")
        with units.speaking(self._system):
            return self._paper_of(self._sheet(number, on=self._left(number)), number, name)

    def _paper_of(self, sheet: Sheet, number: str, name: str) -> bytes:
        page: Page = "scale" if name == "weigh ticket" else "loading"
        if name == "weigh ticket":
            return written(sheet, weigh_ticket(sheet, self._view.ticket(number)), page)
        load = self._view.load(number)
        if name == "bill of lading":
            return written(sheet, lading_sheet(sheet, self.bill(load, sheet), serial=load.serial), page)
        make = packing_sheet if name == "packing list" else load_slip
        return written(sheet, make(sheet, load), page)

    def bill(self, load: Load, sheet: Sheet) -> BillOfLading:
        """The bill of lading of a load.

        Args:
            load: The load.
            sheet: The blade and the day.
        """
        told = self._view.lading(load.number)
        terms = cast('Literal["prepaid", "collect", "not said"]', told["terms"])
        return bill_of_lading(sheet.build, load.piece, load.by, number=load.number, serial=load.serial, on=sheet.on,
                              ship_to=told["ship_to"], terms=terms)  # fmt: skip

    def claim(self, number: str, kind: str, *, reweigh: float | None = None) -> Claim:
        """What a claim rests on, and what of it the shop has.

        Args:
            number: Order number.
            kind: damage, reweigh or missing.
            reweigh: As the carrier weighed it, None where it does not matter [kg].

        Raises:
            EntryError: No such kind of claim.
            NotFoundError: The order has not left.
        """
        load = self._view.load(number)
        if load.state != "loaded":
            raise NotFoundError(f"{number} has not left the yard, so nothing can be claimed", value=load.state,
                                way_out="Load it first.")  # fmt: skip
        attached = self._view.attachments(number)
        have = ["bill of lading", "packing list", _PRICE, *(_what(one) for one in attached)]
        if load.weighed:
            have.append("scale ticket")
        pieces = claim_pack(kind, have)
        wanted = {piece.what for piece in pieces}
        with units.speaking(self._system):
            again = reweighed(load.piece, reweigh, self._view.dock.freight) if reweigh is not None else None
        return Claim(kind=kind, load=load, pieces=pieces, reweigh=again,
                     attached=tuple(one for one in attached if _what(one) in wanted))  # fmt: skip

    def claim_files(self, claim: Claim, *, said: str = "") -> dict[str, bytes]:
        """Everything of a claim, by the name of its file; the cover first.

        Args:
            claim: The claim.
            said: What happened, in the shop's words.
        """
        number = claim.load.number
        rest: dict[str, bytes] = {}
        for name in ("bill of lading", "packing list", *(["weigh ticket"] if claim.load.weighed else [])):
            rest[f"{number} {name}.pdf"] = self.paper(number, name)
        if any(piece.what == _PRICE for piece in claim.pieces):
            papers = OrderPapers(self._desk, paper=self._paper, system=self._system)
            rest[f"{number} order confirmation.pdf"] = papers.confirmation(order_page(self._desk, number))
        for at, one in enumerate(claim.attached, 1):
            kept, data = self._view.file(one.file or "")
            rest[f"{number} {at:02d} {_plain(_what(one))}{_ending(kept)}"] = data
        sheet = self._sheet(number)
        if claim.reweigh is not None:
            said = " ".join(filter(None, (said, f"{claim.reweigh.sentence}.")))
        cover = written(sheet, claim_cover(sheet, claim.kind, claim.load, claim.pieces, list(rest), said=said), "claim")
        return {f"{number} claim.pdf": cover, **rest}

    def claim_zip(self, claim: Claim, *, said: str = "") -> bytes:
        """The same in one ZIP.

        Args:
            claim: The claim.
            said: What happened, in the shop's words.
        """
        return claims.zipped(self.claim_files(claim, said=said), self._desk.now.date())

    def _left(self, number: str) -> date | None:
        """The day it left; a paper printed again for a claim is the one that went with it."""
        with self._desk.book.reading() as reads:
            gone = more_of(reads.get(r.Order, number).more).rest.get("loaded")
        return datetime.fromisoformat(gone["at"]).date() if gone else None

    def _sheet(self, number: str, *, on: date | None = None) -> Sheet:
        order = self._view.order(number)
        return Sheet(
            worked=self._worked(number), system=self._system, paper="us-letter" if self._paper == "letter" else "a4",
            on=on or self._desk.now.date(), number=order.number,
        )  # fmt: skip

    def _worked(self, number: str) -> Worked:
        build = self._view.build(self._view.order(number))
        if build.rulebook.fingerprint == self._desk.rulebook.fingerprint:
            return self._desk.worked(build.spec)
        return work_out(build.spec, build.rulebook, level=0)


def _what(one: r.Attachment) -> str:
    return one.note.partition(":")[0]


def _plain(text: str) -> str:
    return re.sub(r"[^A-Za-z0-9 ]", "", text)


def _ending(kept: r.KeptFile) -> str:
    return {"image/jpeg": ".jpg", "image/png": ".png", "application/pdf": ".pdf"}.get(kept.media, "")
