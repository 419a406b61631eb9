"""Threads of hydraulic ports and ends by open standards: O-ring boss, 37 degree flare, tapered pipe."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final, Literal

from plowwright.errors import EntryError
from plowwright.physics.hoses import PIPE_THREADS, STRAIGHT_THREADS

Family = Literal["ORB", "JIC", "NPT"]
STANDARDS: Final[dict[str, tuple[str, str]]] = {
    "ORB": ("SAE J1926", "O-ring boss"),
    "JIC": ("SAE J514", "37 degree flare"),
    "NPT": ("ASME B1.20.1", "tapered pipe, sealed in the thread"),
}
_WRITTEN: Final = re.compile(r"^\s*(ORB|JIC|NPT)\s+(\S+)\s*$")


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread:
    """A thread of a port or an end.

    Attributes:
        family: ORB, JIC or NPT.
        size: Dash size, sixteenths of an inch of bore, or the nominal pipe size.
        turns: Diameter and threads to the inch, from memory of the standard.
        standard: Which standard it is of.
        seals: How it seals.
    """

    family: Family
    size: str
    turns: str
    standard: str
    seals: str

    @property
    def short(self) -> str:
        """As a bench says it: "ORB 6"."""
        return f"{self.family} {self.size}"

    @property
    def said(self) -> str:
        """In full: family, size, thread and standard."""
        return f"{self.short} ({self.turns}, {self.standard})"


def thread(written: str, *, where: str = "") -> Thread:
    """A thread as a rulebook writes it.

    Args:
        written: "ORB 6", "JIC 6" or "NPT 1/2".
        where: File and field, for messages.

    Raises:
        EntryError: Another family, or a size it does not come in.

    >>> thread("ORB 6").said
    'ORB 6 (9/16-18, SAE J1926)'
    """
    found = _WRITTEN.match(written)
    if found is None:
        raise EntryError(
            "no such thread",
            value=written or "nothing",
            limit="ORB (O-ring boss), JIC (37 degree flare) or NPT (pipe), then the size",
            way_out='Write "ORB 6", "JIC 6" or "NPT 1/2".',
            where=where,
        )
    family, size = found.group(1), found.group(2)
    sizes = _pipe() if family == "NPT" else {str(dash): turns for dash, turns in STRAIGHT_THREADS.items()}
    if size not in sizes:
        raise EntryError(
            f"{family} does not come in this size",
            value=size,
            limit=", ".join(sizes),
            way_out="Dash 6 is 3/8 in bore, dash 8 is 1/2 in; pipe threads go by their nominal size.",
            where=where,
        )
    standard, seals = STANDARDS[family]
    return Thread(
        family="NPT" if family == "NPT" else "ORB" if family == "ORB" else "JIC",
        size=size,
        turns=sizes[size],
        standard=standard,
        seals=seals,
    )


def _pipe() -> dict[str, str]:
    return {size: f"{size}-{per_inch:g}" for size, (_, per_inch) in PIPE_THREADS.items()}
