"""The head of every page: a few words for the parts of the day, and under them the pages of the part one is in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One part of the head.

    Attributes:
        words: What it is called.
        pages: Its pages, the first one opens it: address and words.
        needs_records: Whether it is there only where records are kept.
    """

    words: str
    pages: tuple[tuple[str, str], ...]
    needs_records: bool = False


PARTS: Final = (
    Part(words="Today", pages=(("/today", "Today"), ("/floor", "On the floor"), ("/events", "What was done")),
         needs_records=True),
    Part(words="The wall", pages=(("/", "The wall"),)),
    Part(words="Who's calling", pages=(("/calling", "Who's calling"), ("/enquiries", "Enquiries and quotes"))),
    Part(words="What we promised", pages=(("/promised", "What we promised"),), needs_records=True),
    Part(words="Steel", pages=(
        ("/cutting", "This week's cutting"), ("/plates", "Sheets and holes"), ("/parts", "Steel and parts"),
        ("/receiving", "Receiving"), ("/counting", "Count sheet"),
    )),
    Part(words="Dock", pages=(("/scale", "On the scale"), ("/loading", "Load slips")), needs_records=True),
    Part(words="Old blades", pages=(("/find", "Find the blade"), ("/lessons", "Lessons"), ("/recall", "Recall"))),
    Part(words="Rules", pages=(("/evidence", "Rule evidence"), ("/import", "Bring your records"))),
)  # fmt: skip
_ONLY_RECORDS: Final = frozenset(
    {"/enquiries", "/receiving", "/counting", "/lessons", "/recall", "/import", "/events", "/floor", "/today"}
)
_INSIDE: Final = {"/order": "/enquiries", "/history": "/find", "/claim": "/loading", "/refit": "/find"}
"""Pages that are not in the head, and where they belong."""


def head_of(path: str, *, records: bool) -> dict[str, Any]:
    """The head as a page shows it.

    Args:
        path: Address of the page.
        records: Whether records are kept.
    """
    shown = [(part, _pages(part, records=records)) for part in PARTS if records or not part.needs_records]
    first = "/" + path.strip("/").split("/", maxsplit=1)[0]
    here = _INSIDE.get(first, first)
    own = next((pages for _, pages in shown if any(href == here for href, _ in pages)), ())
    return {
        "parts": [
            {"href": pages[0][0], "words": part.words, "here": any(href == here for href, _ in pages)}
            for part, pages in shown
            if pages
        ],
        "pages": [{"href": href, "words": words, "here": href == here} for href, words in own] if len(own) > 1 else [],
    }


def _pages(part: Part, *, records: bool) -> tuple[tuple[str, str], ...]:
    return tuple(page for page in part.pages if records or page[0] not in _ONLY_RECORDS)
