"""The traveller: one sheet that goes with a blade from saw to scale, every operation on it, and its paint tag."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from plowwright import units
from plowwright.blade.build import Build
from plowwright.papers import pdf, qr, svg
from plowwright.papers.clock import moment
from plowwright.papers.content import DISCLAIMER, Paper, Sheet, source
from plowwright.papers.drawing import Picture
from plowwright.papers.marks import GROUND, THIN
from plowwright.papers.outlines import fill_of, outlines
from plowwright.papers.views import View

_RATIO = 50.0
"""The standing blade is drawn this many times smaller than life [-]."""
_CAUTIONS = (
    "Lift at the marked points only; nobody stands under it. Weld in moving air; grind paint and zinc off first. "
    "Springs are under load, oil under pressure goes through skin.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One operation on the traveller; what is "" is written in by hand.

    Attributes:
        name: The operation in words.
        about: Working time by the rulebook, in words, or "".
        note: What it waits for, or "".
        begun: When it was begun, in words.
        ended: When it was done, in words.
        hours: Working time in all, in words.
        by: Who did it.
        done: Whether it is done.
    """

    name: str
    about: str = ""
    note: str = ""
    begun: str = ""
    ended: str = ""
    hours: str = ""
    by: str = ""
    done: bool = False

    def as_dict(self) -> dict[str, Any]:
        """The same for the template."""
        return {"name": self.name, "about": self.about, "note": self.note, "begun": self.begun, "ended": self.ended,
                "hours": self.hours, "by": self.by, "done": self.done}  # fmt: skip


def traveller(
    sheet: Sheet, rows: Sequence[Row], *, due: str, customer: str, cure: tuple[tuple[float, float, float], ...],
    painted: str = "", twins: Sequence[str] = (), asks: Sequence[str] = (),
) -> Paper:  # fmt: skip
    """The sheet of one order.

    Args:
        sheet: The blade, its order and the units.
        rows: Its operations.
        due: The promise, in words.
        customer: Who it is for, and on what.
        cure: Shop temperature [degC], wait to handle and wait to strap [s], a row for each.
        painted: When it was painted, in words, or "".
        twins: What tells it from blades that look like it.
        asks: What is still to be asked.
    """
    build = sheet.build
    what = f"{build.name}, {build.series.duty_class}, {units.counted(build.series.notches, 'notch', 'notches')}"
    tag = {
        "number": sheet.number, "what": what, "painted": painted,
        "rows": [
            f"at {units.say(at, 'temperature', system=sheet.system)}: handle after {units.say(handle, 'time')}, strap "
            f"after {units.say(strap, 'time')}"
            for at, handle, strap in cure
        ],
    }  # fmt: skip
    data = {
        "head": {**sheet.head("Traveller", what), "about": ""},
        "what": [["Blade", what], ["For", customer], ["Promised", due],
                 ["Weight by the model", units.say(build.mass, "mass", system=sheet.system)]],
        "twins": list(twins), "asks": list(asks), "rows": [row.as_dict() for row in rows],
        "cautions": list(_CAUTIONS), "disclaimer": DISCLAIMER, "tag": tag if cure else {},
    }  # fmt: skip
    return Paper(template="traveller.typ", data=data, pictures={"standing": _standing(build)})


def write(sheet: Sheet, paper: Paper) -> bytes:
    """The sheet as PDF; its code opens the order's floor page.

    Args:
        sheet: For the shop's address.
        paper: The traveller.
    """
    shop = sheet.build.rulebook.shop
    code = qr.svg(f"{shop.address_on_network.rstrip('/')}/floor/{sheet.number}")
    return pdf.compile(source(paper.template), pictures={**paper.pictures, "qr": code}, data=paper.data, when=moment())


def _standing(build: Build) -> str:
    """The blade from the front on its ground line."""
    parts = sorted((p for p in build.parts if p.body != "loose"), key=lambda p: p.centroid()[0])
    shapes = [(part, shape) for part in parts for shape in outlines(part, across=1, up=2)]
    wide = 2 * max(abs(x) for _, shape in shapes for x, _ in shape)
    high = max(y for _, shape in shapes for _, y in shape)
    page = Picture(width=wide * 1000 / _RATIO + 4, height=high * 1000 / _RATIO + 3)
    view = View(ratio=_RATIO, x=page.width / 2, y=1.0, mirrored=True)
    for part, shape in shapes:
        page.polygon(view.points(shape), pen=THIN, fill=fill_of(part))
    page.line((0.0, 1.0), (page.width, 1.0), pen=GROUND)
    return svg.write(page, title=build.name)
