"""What the papers of the dock share: their link, their line about the blade, both units, and how they are set."""

from __future__ import annotations

from datetime import UTC, datetime, time
from typing import Final, Literal

from plowwright import units
from plowwright.papers import content, pdf, qr
from plowwright.papers.content import Paper, Sheet

Page = Literal["scale", "loading", "claim"]
ADDRESSES: Final[dict[Page, str]] = {"scale": "scale?order=", "loading": "loading/", "claim": "claim/"}


def link(sheet: Sheet, page: Page) -> str:
    """What the code on a paper of the dock opens.

    Args:
        sheet: The blade and its order.
        page: Which page.
    """
    return f"{sheet.build.rulebook.shop.address_on_network.rstrip('/')}/{ADDRESSES[page]}{sheet.number}"


def about(sheet: Sheet, serial: str) -> str:
    """The line under the title: blade, class, serial number.

    Args:
        sheet: The blade.
        serial: Serial number, or "".
    """
    build = sheet.build
    said = f"{build.name}, {build.series.duty_class}, {units.counted(build.series.notches, 'notch', 'notches')}"
    return f"{said}; serial {serial}" if serial else f"{said}; no serial number yet"


def both(value: float, kind: str, sheet: Sheet) -> str:
    """A value in the sheet's units and in the others, for papers that leave the shop.

    Args:
        value: The value [SI].
        kind: mass, length or force.
        sheet: For the units that come first.
    """
    other = "metric" if sheet.system == "us" else "us"
    return f"{units.say(value, kind, system=sheet.system)} ({units.say(value, kind, system=other)})"


def written(sheet: Sheet, paper: Paper, page: Page) -> bytes:
    """The paper as PDF.

    Args:
        sheet: The blade, its order, units and day.
        paper: What it says.
        page: What its code opens.
    """
    return pdf.compile(
        content.source(paper.template), pictures={**paper.pictures, "qr": qr.svg(link(sheet, page))}, data=paper.data,
        when=datetime.combine(sheet.on, time(12), tzinfo=UTC),
    )  # fmt: skip
