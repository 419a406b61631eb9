"""The saw sheet: each stick drawn to scale with its pieces, their tags, lengths as a tape reads them, mitres, boxes."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from datetime import date
from math import degrees, tan
from typing import Any, Final

from plowwright import units
from plowwright.papers import fonts, qr, svg
from plowwright.papers.content import Paper
from plowwright.papers.drawing import Picture
from plowwright.papers.elevations import System
from plowwright.papers.marks import CUT, DIMENSION, HATCH, HIDDEN, OUTLINE
from plowwright.papers.pdf import PaperSize
from plowwright.rulebook.schema import Shop
from plowwright.shop.cutting_model import CutPlan, CutStick, Placed
from plowwright.shop.replan import Change
from plowwright.units.constants import FOOT

_BAR_HIGH: Final = 7.0
_SKETCH: Final = (26.0, 6.0)
CAUTION: Final = (
    "Eyes, ears and gloves; a stick of 24 ft swings: hold its far end on a stand and clamp it before the blade turns."
)


@dataclass(frozen=True, kw_only=True)
class SawSheet:
    """What a saw sheet is made from.

    Attributes:
        plan: The cut plan.
        shop: Who cuts.
        on: Day the sheet carries.
        system: Units on it.
        paper: Sheet size.
        alike: Sections that only a caliper tells apart.
        only: Numbers of the sticks that are printed, all where left out.
        changes: Tags issued again, where a plan was mended.
        cut: Tags already cut, drawn hollow.
        released: Number the plan was released under, 0 while it is not.
    """

    plan: CutPlan
    shop: Shop
    on: date
    system: System = "us"
    paper: PaperSize = "us-letter"
    alike: Sequence[Sequence[str]] = ()
    only: Collection[int] | None = None
    changes: Sequence[Change] = ()
    cut: Collection[str] = field(default_factory=frozenset[str])
    released: int = 0

    @property
    def link(self) -> str:
        """Address of the plan's page on the shop's network."""
        kept = f"/kept/{self.released}" if self.released else ""
        return f"{self.shop.address_on_network.rstrip('/')}/cutting{kept}"

    @property
    def room(self) -> float:
        """Width between the margins [mm]."""
        return 184.0 if self.paper == "us-letter" else 178.0

    def sticks(self) -> list[CutStick]:
        """The sticks that are printed, in the saw's order."""
        return [c for c in self.plan.sticks if self.only is None or c.number in self.only]


def mark_of(plan: CutPlan) -> str:
    """Short mark of a plan, so that two sheets of different plans are not laid on one saw.

    Args:
        plan: The plan.
    """
    content = [[c.number, c.stick.stock, c.stick.length, [p.piece.tag for p in c.placed]] for c in plan.sticks]
    digest = hashlib.sha256(json.dumps(content).encode()).hexdigest()
    return f"{digest[:4]}-{digest[4:8]}"


def saw_sheet(sheet: SawSheet) -> Paper:
    """The sheet, ready to be set.

    Args:
        sheet: What it is made from.
    """
    plan, shop = sheet.plan, sheet.shop
    mark = mark_of(plan)
    sticks = sheet.sticks()
    pictures = {"qr": qr.svg(sheet.link)}
    longest = max((c.stick.length for c in sticks), default=1.0)
    blocks: list[dict[str, Any]] = []
    again = {c.tag for c in sheet.changes}
    for c in sticks:
        name = f"stick{c.number}"
        drawn = stick_picture(c, width=sheet.room, longest=longest, cut=sheet.cut, system=sheet.system)
        pictures[name] = svg.write(drawn, title=f"stick {c.number}")
        blocks.append(_block(c, name, sheet, pictures, again))
    title = "Saw sheet" if not sheet.changes else "Saw sheet, changed sticks"
    pieces = sum(len(c.placed) for c in sticks)
    about = (
        f"{units.counted(len(sticks), 'stick')}, {units.counted(pieces, 'piece')}."
        f" {_named(sheet, mark)}: cut from one plan only."
    )
    data = {
        "head": {
            "shop": f"{shop.name}, {shop.place}", "title": title, "order": "", "about": about, "fingerprint": mark,
            "marked": "plan", "paper": sheet.paper, "address": f"{sheet.on:%d %B %Y}",
        },
        "alike": "; ".join(", ".join(group) for group in sheet.alike),
        "changes": [c.in_words() for c in sheet.changes],
        "sticks": blocks,
        "cautions": [CAUTION],
        "notes": [
            f"Saw cut {_length(plan.kerf, sheet.system)}, {_length(plan.trim, sheet.system)} off each end of a stick. "
            "Lengths run over the long points.",
            f"Drops of {_length(plan.remnant_rule.least, sheet.system)} and more go back to the rack with their tag.",
        ],
    }  # fmt: skip
    return Paper(template="saw.typ", data=data, pictures=pictures)


def _named(sheet: SawSheet, mark: str) -> str:
    return f"Cut plan {sheet.released}, {mark}" if sheet.released else f"Plan {mark}"


def _length(value: float, system: System) -> str:
    return units.say(value, "length", system=system)


def groups_of(c: CutStick) -> list[tuple[int, list[Placed]]]:
    """Pieces that follow each other and are cut alike, with the number of the first.

    Args:
        c: The stick.
    """
    found: list[tuple[int, list[Placed]]] = []
    for number, placed in enumerate(c.placed, 1):
        if found and _alike(found[-1][1][-1], placed):
            found[-1][1].append(placed)
        else:
            found.append((number, [placed]))
    return found


def _alike(one: Placed, other: Placed) -> bool:
    return (
        abs(one.piece.length - other.piece.length) < 1e-6
        and all(abs(a - b) < 1e-9 for a, b in zip(one.ends, other.ends, strict=True))
        and one.flipped == other.flipped
    )


def _numbers(first: int, group: Sequence[Placed]) -> str:
    return str(first) if len(group) == 1 else f"{first}-{first + len(group) - 1}"


def _block(c: CutStick, name: str, sheet: SawSheet, pictures: dict[str, str], again: Collection[str]) -> dict[str, Any]:
    rows: list[dict[str, Any]] = []
    for first, group in groups_of(c):
        sketch = ""
        if any(abs(a) > 1e-9 for a in group[0].ends):
            sketch = _sketch_name(group[0])
            pictures.setdefault(sketch, svg.write(mitre_sketch(group[0]), title="mitres"))
        tags = [p.piece.tag + (" (new tag)" if p.piece.tag in again else "") for p in group]
        rows.append({
            "numbers": _numbers(first, group), "length": _length(group[0].piece.length, sheet.system),
            "sketch": sketch, "tags": ", ".join(_short(tags)), "ends": _ends_said(group[0]),
            "done": [p.piece.tag in sheet.cut for p in group],
        })  # fmt: skip
    drop = f"keep {_length(c.drop, sheet.system)}, tag it {c.drop_tag}" if c.kept else (
        f"{_length(c.drop, sheet.system)} to scrap")  # fmt: skip
    shared = f"{c.shared_cuts} shared mitre cut{'s' if c.shared_cuts > 1 else ''}" if c.shared_cuts else ""
    stick = f"remnant {c.stick.tag}" if c.stick.tag else "stick"
    return {
        "number": c.number,
        "title": c.stick.stock,
        "what": f"{stick}, {_length(c.stick.length, sheet.system)}",
        "rush": c.rush,
        "picture": name,
        "rows": rows,
        "drop": drop,
        "shared": shared,
    }


def _short(tags: Sequence[str]) -> list[str]:
    """Tags that differ only in their count together: 422D tower 1/2, 2/2."""
    out: list[str] = []
    base = ""
    for tag in tags:
        head, _, tail = tag.rpartition(" ")
        if head and head == base and "/" in tail:
            out.append(tail)
        else:
            out.append(tag)
        base = head if "/" in tail else ""
    return out


def _ends_said(placed: Placed) -> str:
    left, right = (round(degrees(a), 1) for a in placed.ends)
    if not left and not right:
        return ""
    side = next((e.side for e in placed.piece.ends if e and e.side), "")
    said = f"{abs(left):g} deg left, {abs(right):g} deg right" if left and right else (
        f"{abs(left or right):g} deg {'left' if left else 'right'}")  # fmt: skip
    turned = ", turn it over" if placed.flipped else ""
    return f"{said}{', across ' + side if side else ''}{turned}"


def _sketch_name(placed: Placed) -> str:
    left, right = (round(degrees(a) * 10) for a in placed.ends)
    return f"mitre{left}x{right}".replace("-", "m")


def stick_picture(
    c: CutStick, *, width: float, longest: float, cut: Collection[str] = (), system: System = "us"
) -> Picture:
    """One stick to scale, its pieces numbered from the left, the drop hatched.

    Args:
        c: The stick.
        width: What the longest stick of the sheet takes [mm].
        longest: Length of that stick [m].
        cut: Tags already cut.
        system: Whether the ruler under it has feet or metres.
    """
    scale = (width - 2.0) / longest
    page = Picture(width=width, height=_BAR_HIGH + 6.5)
    low, high = 1.0, 1.0 + _BAR_HIGH
    end = 1.0 + c.stick.length * scale
    page.rectangle(1.0, low, end - 1.0, _BAR_HIGH, pen=OUTLINE)
    for placed in c.placed:
        done = placed.piece.tag in cut
        shape = _outline(placed, scale, low, high)
        page.polygon(shape, pen=HIDDEN if done else CUT, fill="none" if done else "tint")
    for first, group in groups_of(c):
        numbers = _numbers(first, group)
        begin, finish = 1.0 + group[0].from_to[0] * scale, 1.0 + group[-1].from_to[1] * scale
        size = next((s for s in (4.2, 3.4, 2.6) if fonts.text_width(numbers, size=s) < finish - begin - 0.6), 0.0)
        if size:
            at = ((begin + finish) / 2, (low + high) / 2)
            page.text(at, numbers, size=size, anchor="middle", stand="centre", weight="bold", halo=len(group) > 1)
    last = c.placed[-1].from_to[1] if c.placed else 0.0
    drop = [(max(1.0 + last * scale, end - c.drop * scale), low), (end, low), (end, high)]
    drop.append((drop[0][0], high))
    if drop[1][0] - drop[0][0] > 1.0:
        page.hatch([drop], spacing=1.6, pen=HATCH)
        if c.kept and drop[1][0] - drop[0][0] > 22.0:
            place = ((drop[0][0] + drop[1][0]) / 2, (low + high) / 2)
            page.text(place, c.drop_tag, size=3.4, anchor="middle", stand="centre", halo=True)
    _ruler(page, c.stick.length, scale, high, system)
    return page


def _ruler(page: Picture, length: float, scale: float, high: float, system: System) -> None:
    """A tick each foot along the stick, or each quarter of a metre: how far to carry it."""
    step, long, unit = (FOOT, 5, "ft") if system == "us" else (0.25, 4, "m")
    for at in range(int(length / step + 1e-6) + 1):
        x = 1.0 + at * step * scale
        named = at % long == 0
        page.line((x, high), (x, high + (2.2 if named else 1.1)), pen=DIMENSION)
        if named:
            said = f"{at * (1 if system == 'us' else step):g} {unit}" if at else "0"
            # The last word stays on the paper where the stick is as long as the paper is wide.
            centre = min(x, page.width - fonts.text_width(said, size=2.4) / 2 - 0.2)
            page.text((centre, high + 2.6), said, size=2.4, anchor="middle" if at else "left")


def _outline(placed: Placed, scale: float, low: float, high: float) -> list[tuple[float, float]]:
    """Corners of a piece seen on its side: the far face on top."""
    begin = 1.0 + placed.start * scale
    finish = begin + placed.piece.centre_line * scale
    left, right = placed.ends
    half = 0.5 * placed.depth * scale
    a, b = half * tan(left), half * tan(right)
    return [(begin + a, low), (finish - b, low), (finish + b, high), (begin - a, high)]


def mitre_sketch(placed: Placed) -> Picture:
    """A piece with its end cuts at their true angles, shortened in the middle.

    Args:
        placed: The piece as it lies on the saw, far face on top.
    """
    wide, tall = _SKETCH
    page = Picture(width=wide, height=tall)
    low, high = 0.6, tall - 0.6
    a, b = (0.5 * (high - low) * tan(angle) for angle in placed.ends)
    begin, finish = 4.0, wide - 4.0
    shape = [(begin + a, low), (finish - b, low), (finish + b, high), (begin - a, high)]
    page.polygon(shape, pen=CUT, fill="tint")
    return page
