"""Chapters of a blade's life in one cell of a list, and back.

    2022-01-20 edge at edge: turned end for end | 2022-12-21 failure at leg to hinge beam: crack ground out
    2019-09-18 test card: proved [seconds each way = 3.8 s] (fitted: seal kit at angle cylinder, lot S-3)

One chapter follows the other after a bar or on a new line.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import datetime
from typing import Any, Final

from plowwright.desk.import_days import read_moment
from plowwright.errors import EntryError
from plowwright.shop.service import KINDS, Chapter

EXAMPLE: Final = "2022-01-20 edge at edge: turned end for end | 2023-11-10 edge: new edge"
_CHAPTER: Final = re.compile(
    rf"(?P<day>\S+(?: \w+ \d{{4}})?) (?P<kind>{'|'.join(re.escape(kind) for kind in KINDS)})"
    r"(?: at (?P<place>[^:]+))?: (?P<said>.+)",
    re.IGNORECASE,
)
_FITTED: Final = re.compile(r"^(?P<said>.*?) ?\(fitted: (?P<list>.+)\)$")
_FACTS: Final = re.compile(r"^(?P<said>.*?) ?\[(?P<list>[^\[\]]*=[^\[\]]*)\]$")
_PART: Final = re.compile(r"(?P<item>.+?) at (?P<place>.+?)(?:, lot (?P<lot>.+))?")


def read_chapters(text: str) -> list[dict[str, Any]]:
    """Chapters as plain values, as a list of past blades has them.

    Args:
        text: The cell.

    Raises:
        EntryError: One of them cannot be read; it is named with an example.
    """
    return [_chapter(part.strip()) for part in re.split(r"[|\n]", text) if part.strip()]


def _chapter(text: str) -> dict[str, Any]:
    found = _CHAPTER.fullmatch(text)
    if found is None:
        raise EntryError("a chapter that cannot be read", value=text[:80], limit=", ".join(KINDS),
                         way_out=f"Write it as {EXAMPLE.split(' | ', maxsplit=1)[0]}.")  # fmt: skip
    day = read_moment(found["day"])[0]
    said, fitted, facts = found["said"].strip(), list[dict[str, str]](), dict[str, str]()
    if listed := _FITTED.match(said):
        said, fitted = listed["said"].strip(), [_part(part.strip(), text) for part in listed["list"].split(";")]
    if noted := _FACTS.match(said):
        said = noted["said"].strip()
        facts = {k.strip(): v.strip() for k, _, v in (one.partition("=") for one in noted["list"].split(";")) if k}
    return {
        "kind": found["kind"].lower(), "day": day.date() if isinstance(day, datetime) else day, "said": said,
        "place": (found["place"] or "").strip(), "facts": facts, "fitted": fitted,
    }  # fmt: skip


def _part(text: str, chapter: str) -> dict[str, str]:
    found = _PART.fullmatch(text)
    if found is None:
        raise EntryError(
            "a fitted part that cannot be read", value=text, limit="item at place, lot L", where=chapter[:40],
            way_out="Write it as (fitted: seal kit at angle cylinder, lot S-3).",
        )  # fmt: skip
    return {"item": found["item"], "place": found["place"], "lot": found["lot"] or ""}


def chapters_said(chapters: Iterable[Chapter]) -> str:
    """Chapters in one cell.

    Args:
        chapters: In the order in which they are written.
    """
    return " | ".join(_said(one) for one in chapters)


def _said(one: Chapter) -> str:
    place = f" at {_plain(one.place)}" if one.place else ""
    text = f"{one.day:%Y-%m-%d} {one.kind}{place.replace(':', ',')}: {_plain(one.said)}"
    if one.facts:
        text += f" [{'; '.join(f'{_plain(k)} = {_plain(v)}' for k, v in one.facts.items())}]"
    if one.fitted:
        parts = [f"{f.item} at {f.place}" + (f", lot {f.lot}" if f.lot else "") for f in one.fitted]
        text += f" (fitted: {'; '.join(parts)})"
    return text


def _plain(text: str) -> str:
    """Without the marks that part one chapter from the next."""
    return " ".join(text.replace("|", "/").split())
