"""The plate sheet: each nest to scale with its parts numbered in the order they are cut, tags, rests, table time."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from math import cos, pi, sin
from typing import Any, Final

import shapely

from plowwright import units
from plowwright.papers import fonts, qr, svg
from plowwright.papers.content import Paper
from plowwright.papers.drawing import Picture
from plowwright.papers.elevations import System
from plowwright.papers.marks import CUT, DIMENSION, HATCH, HOLE, OUTLINE, flatten
from plowwright.papers.pdf import PaperSize
from plowwright.papers.views import View
from plowwright.rulebook.schema import Shop
from plowwright.shop.nesting_model import NestedSheet, NestPlan, PlacedOutline
from plowwright.shop.nesting_order import cut_order

CAUTION: Final = (
    "Cut plate is hot and sharp, and a part may tip between the slats: let it cool, pull it with the magnet, gloves on."
    " Torch light and fume: shield, extraction on."
)
_SIZES: Final = (5.2, 4.2, 3.4, 2.7, 2.2)
_TALLEST: Final = 120.0
"""Height of a turned sheet's drawing at most, so that its list stays on its page [mm]."""
_BEYOND: Final = 0.05
"""How much of a rest that runs on is still drawn [m]."""
_WORTH_TURNING: Final = 1.25
_EVEN: Final = 0.001


@dataclass(frozen=True, kw_only=True)
class PlateSheet:
    """What a plate sheet is made from.

    Attributes:
        plan: The nest.
        shop: Who cuts.
        on: Day the sheet carries.
        minutes: Table time of each sheet by its number [s].
        system: Units on it.
        paper: Sheet size.
        released: Number the nest was released under, 0 while it is not.
    """

    plan: NestPlan
    shop: Shop
    on: date
    minutes: Mapping[int, float]
    system: System = "us"
    paper: PaperSize = "us-letter"
    released: int = 0

    @property
    def link(self) -> str:
        """Address of the nest's page on the shop's network."""
        kept = f"/kept/{self.released}" if self.released else ""
        return f"{self.shop.address_on_network.rstrip('/')}/plates{kept}"

    @property
    def room(self) -> float:
        """Width between the margins [mm]."""
        return 184.0 if self.paper == "us-letter" else 178.0


def mark_of(plan: NestPlan) -> str:
    """Short mark of a nest.

    Args:
        plan: The nest.
    """
    content = [
        [n.number, n.sheet.stock, [(p.outline.tag, round(p.x, 6), round(p.y, 6), round(p.turn, 6)) for p in n.placed]]
        for n in plan.sheets
    ]
    digest = hashlib.sha256(json.dumps(content).encode()).hexdigest()
    return f"{digest[:4]}-{digest[4:8]}"


def plate_sheet(sheet: PlateSheet) -> Paper:
    """The sheet, ready to be set.

    Args:
        sheet: What it is made from.
    """
    plan, shop = sheet.plan, sheet.shop
    mark = mark_of(plan)
    pictures = {"qr": qr.svg(sheet.link)}
    blocks: list[dict[str, Any]] = []
    for nest in plan.sheets:
        name = f"sheet{nest.number}"
        pictures[name] = svg.write(nest_picture(nest, width=sheet.room), title=f"sheet {nest.number}")
        blocks.append(_block(nest, name, sheet))
    about = (
        f"{units.counted(plan.sheets_used, 'sheet')}, {units.counted(len(plan.pieces), 'part')}, "
        f"{100 * plan.utilisation:.0f} % of the steel is part."
        f" Nest {f'{sheet.released}, ' if sheet.released else ''}{mark}: cut from one nest only."
    )
    data = {
        "head": {
            "shop": f"{shop.name}, {shop.place}", "title": "Plate sheet", "order": "", "about": about,
            "fingerprint": mark, "marked": "nest", "paper": sheet.paper, "address": f"{sheet.on:%d %B %Y}",
        },
        "sheets": blocks,
        "caution": CAUTION,
        "notes": [
            f"At least {_length(plan.gap, sheet.system)} between parts and {_length(plan.edge, sheet.system)} to the "
            "edge. Numbers are the order of cutting: what lies in an opening first, openings before outlines.",
        ],
    }  # fmt: skip
    return Paper(template="plate.typ", data=data, pictures=pictures)


def _length(value: float, system: System) -> str:
    return units.say(value, "length", system=system)


def _block(nest: NestedSheet, name: str, sheet: PlateSheet) -> dict[str, Any]:
    s = nest.sheet
    size = f"{_length(s.width, sheet.system)} x {_length(s.length, sheet.system)}"
    rests: list[str] = []
    for r in nest.rests:
        across, up = r.box[2] - r.box[0], r.box[3] - r.box[1]
        rests.append(f"{r.tag or 'rest'}: {_length(across, sheet.system)} x {_length(up, sheet.system)}")
    minutes = max(1, round(sheet.minutes[nest.number] / 60))
    cut = f"{_length(nest.cut_length, sheet.system)} of cut" if sheet.system == "metric" else (
        f"{units.inches(nest.cut_length) / 12:,.0f} ft of cut")  # fmt: skip
    return {
        "number": nest.number,
        "title": s.stock,
        "what": (f"remnant {s.tag}, {size}" if s.tag else f"sheet, {size}")
        + (", turned: its start is below" if lie_of(nest, sheet.room).turned else ""),
        "rush": nest.rush,
        "picture": name,
        "rows": [[numbers, tags, str(count)] for numbers, tags, count in rows_of(nest)],
        "rests": "; ".join(rests) if rests else "none worth keeping",
        "time": f"{cut}, {nest.pierces} pierces, about {minutes} min on the table",
        "used": f"{100 * nest.utilisation:.0f} %",
    }


def numbered(nest: NestedSheet) -> list[tuple[int, PlacedOutline]]:
    """Every part with its place in the order of cutting, from 1.

    Args:
        nest: The sheet.
    """
    by_tag = {p.outline.tag: p for p in nest.placed}
    tags = [cut.tag for cut in cut_order(nest) if cut.kind == "outline"]
    return [(number, by_tag[tag]) for number, tag in enumerate(tags, 1)]


def rows_of(nest: NestedSheet) -> list[tuple[str, str, int]]:
    """Parts of one order and mark together: their numbers on the drawing, the tag, how many.

    Args:
        nest: The sheet.
    """
    found: dict[tuple[str, str], list[int]] = {}
    for number, placed in numbered(nest):
        o = placed.outline
        found.setdefault((o.order, o.mark or o.tag), []).append(number)
    return [
        (", ".join(map(str, numbers)), f"{order} {mark}".strip(), len(numbers))
        for (order, mark), numbers in sorted(found.items())
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lie:
    """How a sheet lies on the paper.

    Attributes:
        turned: Whether its start is at the foot of the drawing instead of at the left.
        reach: How far from its start it is drawn; what is beyond is rest [m].
        scale: Millimetres of paper for each metre of sheet [mm/m].
    """

    turned: bool
    reach: float
    scale: float


def lie_of(nest: NestedSheet, width: float) -> Lie:
    """Along the paper as a rule; turned and without most of its rest where that makes the numbers readable.

    Args:
        nest: The sheet.
        width: Room across [mm].
    """
    s = nest.sheet
    along = Lie(turned=False, reach=s.length, scale=(width - 2.0) / s.length)
    whole = (r.box[0] for r in nest.rests if r.box[2] > s.length - _EVEN and r.box[3] - r.box[1] > s.width - _EVEN)
    begins = next(whole, s.length)
    reach = min(s.length, begins + _BEYOND)
    turned = Lie(turned=True, reach=reach, scale=min((width - 2.0) / s.width, (_TALLEST - 2.0) / reach))
    return turned if turned.scale > _WORTH_TURNING * along.scale else along


def nest_picture(nest: NestedSheet, *, width: float) -> Picture:
    """One sheet to scale, its parts with their openings, numbered; rests hatched.

    Args:
        nest: The sheet.
        width: Room across [mm].
    """
    s, lie = nest.sheet, lie_of(nest, width)
    wide, tall = (s.width, lie.reach) if lie.turned else (s.length, s.width)
    page = Picture(width, tall * lie.scale + 2.0)
    left = (width - wide * lie.scale) / 2
    view = View(ratio=1000.0 / lie.scale, x=left, y=1.0)
    page.rectangle(left, 1.0, wide * lie.scale, tall * lie.scale, pen=OUTLINE)
    for rest in nest.rests:
        a, b, c, d = rest.box
        if lie.turned:
            a, b, c, d = s.width - d, a, s.width - b, min(c, lie.reach)
        corners = [view.at(a, b), view.at(c, b), view.at(c, d), view.at(a, d)]
        page.hatch([corners], spacing=2.6, pen=HATCH)
        page.polygon(corners, pen=DIMENSION)
        said = (rest.tag or "rest") + (" runs on" if lie.reach < rest.box[2] else "")
        page.text(view.at((a + c) / 2, (b + d) / 2), said, size=4.0, anchor="middle", stand="centre", halo=True)
    for number, placed in numbered(nest):
        _part(page, view, _turned(placed, s.width) if lie.turned else placed, number)
    return page


def _turned(placed: PlacedOutline, width: float) -> PlacedOutline:
    """A part as it lies when the sheet is turned a quarter counter-clockwise."""
    return replace(placed, x=width - placed.y, y=placed.x, turn=placed.turn + pi / 2)


def _part(page: Picture, view: View, placed: PlacedOutline, number: int) -> None:
    o = placed.outline
    with page.group(o.tag, part=o.tag, title=o.tag):
        page.polygon(view.points(placed.loop(o.outer)), pen=CUT, fill="tint")
        for loop in o.inner:
            page.polygon(view.points(placed.loop(loop)), pen=CUT, fill="paper")
        for loop in o.drilled:
            page.polygon(view.points(placed.loop(loop)), pen=HOLE)
        spot, room = widest_spot(placed)
        words = str(number)
        size = next((z for z in _SIZES if fonts.text_width(words, size=z) < view.length(2 * room) * 1.15), 0.0)
        page.text(view.at(*spot), words, size=size or _SIZES[-1], anchor="middle", stand="centre", weight="bold",
                  halo=not size)  # fmt: skip


def widest_spot(placed: PlacedOutline) -> tuple[tuple[float, float], float]:
    """Where a number fits best on a part as it lies, and how much room it has to all sides [m].

    Args:
        placed: The part.
    """
    o = placed.outline
    shape = shapely.Polygon(
        flatten(o.outer, closed=True), [flatten(loop, closed=True) for loop in (*o.inner, *o.drilled)]
    )
    circle = shapely.maximum_inscribed_circle(shape if shape.is_valid else shape.buffer(0), tolerance=0.002)
    (u, v), (a, b) = circle.coords[0], circle.coords[-1]
    c, s = cos(placed.turn), sin(placed.turn)
    return (placed.x + c * u - s * v, placed.y + s * u + c * v), ((u - a) ** 2 + (v - b) ** 2) ** 0.5
