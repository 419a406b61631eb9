"""The history sheet: one blade's life on paper, chapter by chapter, and what all papers about a serial share."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from typing import Any, Final

from plowwright import units
from plowwright.blade.build import Build
from plowwright.papers import content, elevations, pdf, qr, svg
from plowwright.papers.content import DISCLAIMER, Paper
from plowwright.papers.elevations import System
from plowwright.papers.pdf import PaperSize
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.dock import hung
from plowwright.shop.service import STAMP, Life
from plowwright.shop.service_parts import Spare

_BOTH: Final = "seconds_each_way"
_QUIET: Final = ("owner",)
"""Facts the sheet says elsewhere."""
_CHANGED: Final = {"restrictor": ", before the restrictors were changed", "refit": ", before the refit"}
"""What makes the seconds on file those of another blade."""


@dataclass(frozen=True, kw_only=True)
class SerialSheet:
    """What all papers about one blade that left the shop share.

    Attributes:
        serial: Serial number.
        build: The blade as it stands, by its own rules.
        life: Its chapters.
        today: The rules in force, for what the old ones do not say.
        spares: What fits it today.
        owner: Who has it, or "".
        carrier: The machine it is on, or "".
        weighed: What a scale said of it without crate, None where none did [kg].
        doubts: What must be known before its numbers are trusted.
        system: Units on the paper.
        paper: Sheet size.
        on: Day the paper carries.
    """

    serial: str
    build: Build
    life: Life
    today: Rulebook
    spares: tuple[Spare, ...]
    owner: str
    carrier: str
    weighed: float | None
    doubts: tuple[str, ...]
    system: System
    paper: PaperSize
    on: date

    def link(self) -> str:
        """What the QR code opens on the shop's network."""
        return f"{self.today.shop.address_on_network.rstrip('/')}/history/{self.serial}"

    def head(self, title: str, about: str = "") -> dict[str, Any]:
        """Head and foot of a sheet.

        Args:
            title: What the sheet is.
            about: One line under the head.
        """
        shop = self.today.shop
        return {
            "shop": f"{shop.name}, {shop.place}", "title": title, "order": self.serial, "about": about,
            "fingerprint": self.build.fingerprint, "paper": self.paper, "address": f"{self.on:%d %B %Y}",
        }  # fmt: skip

    def length(self, value: float) -> str:
        """A length in the sheet's units.

        Args:
            value: [m].
        """
        return units.say(value, "length", system=self.system)

    @property
    def mass(self) -> str:
        """What it weighs without a crate, and whether a scale or the model says so."""
        value = sum(hung(self.build).values()) if self.weighed is None else self.weighed
        how = "by the model" if self.weighed is None else "weighed"
        return f"{units.say(value, 'mass', system=self.system)}, {how}"

    @property
    def stamp(self) -> str:
        """What is stamped on the restrictors, or that nobody knows."""
        told, where = self.life.stamp
        return f"{told} ({where})" if told else f"not known: {where}"

    @property
    def seconds(self) -> str:
        """Seconds each way as the test card has them, or that there is none."""
        card = self.life.last("test card")
        if card is None:
            return "nothing noted"
        told = [
            f"{'' if name == _BOTH else name.replace('_', ' ')} {value}".strip()
            for name, value in card.facts.items()
            if name != STAMP
        ]
        since = [c.kind for c in self.life.standing if c.kind in ("restrictor", "refit") and c.day > card.day]
        changed = _CHANGED[since[-1]] if since else ""
        return f"{'; '.join(told) or card.said} ({card.day:%d %b %Y}{changed})"


def as_pdf(sheet: SerialSheet, paper: Paper) -> bytes:
    """A paper about one serial as PDF.

    Args:
        sheet: What all papers about it share.
        paper: The paper, as `booklet`, `wear_card` or `history_sheet` made it.
    """
    when = datetime.combine(sheet.on, time(12), tzinfo=UTC)
    pictures = {**paper.pictures, "qr": qr.svg(sheet.link())}
    return pdf.compile(content.source(paper.template), pictures=pictures, data=paper.data, when=when)


def history_sheet(sheet: SerialSheet) -> Paper:
    """The life of one blade, ready to be set.

    Args:
        sheet: The blade, its chapters and the units.
    """
    build = sheet.build
    data = {
        "head": sheet.head("History", f"{build.name}, {build.series.duty_class} class"),
        "what": [
            ["Owner", sheet.owner or "not noted"],
            ["Machine", sheet.carrier or "not noted"],
            ["Winters", str(sheet.life.winters(sheet.on))],
            ["Mass", sheet.mass],
            ["Rules it was built by", f"{build.rulebook.version.date:%d %b %Y}"],
            ["Restrictors stamped", sheet.stamp],
        ],
        "doubts": list(sheet.doubts),
        "chapters": [
            [f"{one.day:%d %b %Y}", one.kind, one.said, one.place, _facts(one.facts),
             "; ".join(f"{part.item} at {part.place}{f', lot {part.lot}' if part.lot else ''}" for part in one.fitted)]
            for one in sheet.life.standing
        ],
        "gone": len(sheet.life.chapters) - len(sheet.life.standing),
        "on": [[place, part.item, part.lot or "not noted"] for place, part in sorted(sheet.life.fitted_on().items())],
        "disclaimer": DISCLAIMER,
    }  # fmt: skip
    front = elevations.picture_of(build, "front", width=100.0, height=46.0)
    return Paper(template="history.typ", data=data,
                 pictures={"front": svg.write(front, title=f"{build.name} from the front")})  # fmt: skip


def _facts(facts: Mapping[str, str]) -> str:
    return "; ".join(f"{name.replace('_', ' ')} {value}" for name, value in facts.items() if name not in _QUIET)
