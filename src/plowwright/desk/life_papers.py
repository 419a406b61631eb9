"""The papers about a blade that left: owner's booklet, wear card, history sheet."""

from __future__ import annotations

from typing import Final, Literal

from plowwright import units
from plowwright.desk.lives import Lives
from plowwright.errors import NotFoundError
from plowwright.papers.booklet import booklet
from plowwright.papers.history_sheet import SerialSheet, as_pdf, history_sheet
from plowwright.papers.sheets import PaperName
from plowwright.papers.wear_card import wear_card
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.service_parts import spares_for

PaperOf = Literal["booklet", "wear card", "history"]
_PAPERS: Final = {"booklet": booklet, "wear card": wear_card, "history": history_sheet}


def paper_of(
    lives: Lives, rulebook: Rulebook, serial: str, name: PaperOf, *, system: units.System = "us",
    paper: PaperName = "letter",
) -> bytes:  # fmt: skip
    """One of the papers about a blade that left, as PDF.

    Args:
        lives: The life records.
        rulebook: The rules in force.
        serial: Of the blade.
        name: Which.
        system: Units on it.
        paper: Sheet size.

    Raises:
        NotFoundError: Not on file, or nothing is kept of how it was built.
    """
    file = lives.blade(serial)
    if file.stands is None:
        raise NotFoundError("nothing is kept of how it was built, so there is no paper", value=file.serial)
    bare = [one for one in file.record.tickets if "crate" not in one.packed]
    with units.speaking(system):
        sheet = SerialSheet(
            serial=file.serial, build=file.stands, life=file.life, today=rulebook,
            spares=spares_for(file.stands, rulebook, life=file.life), owner=file.owner,
            carrier=file.record.carrier.name if file.record.carrier else "",
            weighed=bare[-1].mass if bare else None, doubts=file.doubts, system=system,
            paper="us-letter" if paper == "letter" else "a4", on=file.today,
        )  # fmt: skip
        return as_pdf(sheet, _PAPERS[name](sheet))
