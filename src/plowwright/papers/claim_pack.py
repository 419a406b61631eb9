"""The claim pack: a cover that says what is in it and what is missing, and everything together as one ZIP."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any, Final

from plowwright.papers.content import Paper, Sheet
from plowwright.papers.dock_sheet import about, both
from plowwright.shop.dock_load import Load
from plowwright.shop.dock_papers import ClaimPiece

TITLES: Final = {
    "damage": "Claim for damage on the way",
    "reweigh": "Against a reweigh",
    "missing": "Claim for pieces missing",
}
_ASKS: Final = {
    "damage": "Keep the blade and its packing as they are until somebody of the carrier has seen them, or has said in "
    "writing that nobody will.",
    "reweigh": "Ask for the carrier's reweigh notice with its scale's number and day.",
    "missing": "Ask the carrier in writing to trace the pieces, with the bill's number.",
}
NOTE: Final = "Time limits for a claim are in the carrier's terms and in the law: look there the day it is noticed."
"""Common practice."""


def claim_cover(
    sheet: Sheet, kind: str, load: Load, pieces: Sequence[ClaimPiece], files: Sequence[str], *, said: str = ""
) -> Paper:
    """The cover of a claim pack.

    Args:
        sheet: The blade, its order and the units.
        kind: damage, reweigh or missing.
        load: What left.
        pieces: What the claim rests on.
        files: Names of the files in the pack.
        said: What happened, in the shop's words, or "".
    """
    data: dict[str, Any] = {
        "head": sheet.head("Claim pack", about(sheet, load.serial)),
        "title": TITLES[kind],
        "facts": [
            ["Order and bill", load.number], ["Serial number", load.serial or "none"],
            ["Mass when it left", both(load.piece.mass, "mass", sheet)], ["Class billed", f"{load.by.freight_class:g}"],
            ["Size when it left", " x ".join(sheet.length(s) for s in (load.piece.length, load.piece.depth,
                                                                      load.piece.height))],
            ["For", load.customer or "not said"],
        ],
        "said": f"{said[:1].upper()}{said[1:]}",
        "there": [[piece.what, piece.why] for piece in pieces if piece.there],
        "missing": [[piece.what, piece.why] for piece in pieces if not piece.there],
        "files": list(files),
        "ask": _ASKS[kind],
        "note": NOTE,
    }  # fmt: skip
    return Paper(template="claim-pack.typ", data=data)


def zipped(files: Mapping[str, bytes], on: date) -> bytes:
    """All files in one ZIP, the same bytes for the same files and day.

    Args:
        files: What is in each file, by its name.
        on: Day the files carry.
    """
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as pack:
        for name, data in files.items():
            entry = zipfile.ZipInfo(name, date_time=(on.year, on.month, on.day, 12, 0, 0))
            entry.compress_type = zipfile.ZIP_DEFLATED
            pack.writestr(entry, data)
    return out.getvalue()
