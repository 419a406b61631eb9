"""The wear card: what is measured on one blade each month of winter, new and at its end, with room to write."""

from __future__ import annotations

from typing import Final

from plowwright.papers.content import Paper
from plowwright.papers.history_sheet import SerialSheet
from plowwright.units import INCH

PIN_WEAR: Final = INCH / 16
"""Wear of a hinge pin at which it is renewed, *common practice* [m]."""
SPRING_SET: Final = 0.02
"""Share of its length by which a spring that stays longer is tired, *common practice* [-]."""
Row = tuple[str, str, str, str]
"""What is measured, how, new, and at its end."""


def rows_of(sheet: SerialSheet) -> tuple[Row, ...]:
    """What wears on one blade, with this blade's numbers.

    Args:
        sheet: The blade and the units.
    """
    build = sheet.build
    d, book = build.datum, build.rulebook
    left = sheet.today.strength.wear.left_below_angle.value if sheet.today.strength else None
    end = "ask the shop" if left is None else f"{sheet.length(left)}: turn or renew"
    rows: list[Row] = [
        (f"edge, {place}", "steel below the bottom angle", sheet.length(d.foot), end)
        for place in ("left end", "middle", "right end")
    ]
    pins = [part for part in build.parts if part.mark == "hinge pin"]
    size = book.sections[pins[0].stock].diameter if pins and pins[0].stock in book.sections else None
    if pins and size is not None:
        rows.append((f"hinge pins, {len(pins)}", "thickness where it is thinnest", sheet.length(size),
                     f"{sheet.length(size - PIN_WEAR)}: renew"))  # fmt: skip
    free = book.bought[d.springs.spring].free_length if d.springs.spring in book.bought else None
    if free is not None:
        rows.append((f"trip springs, {d.springs.count}", "hook to hook, taken off", sheet.length(free),
                     f"{sheet.length(free * (1.0 + SPRING_SET))} or gaps: renew the pair"))  # fmt: skip
    rows.append(("seconds each way", "stop to stop, oil warm", sheet.seconds, "a tenth off: ask the shop"))
    return tuple(rows)


def wear_card(sheet: SerialSheet) -> Paper:
    """The card, ready to be set: half a sheet to cut out, the other half its twin for the cab.

    Args:
        sheet: The blade and the units.
    """
    data = {
        "head": sheet.head("Wear card", f"{sheet.build.name}. Cut along the line: one for the cab, one for the shop."),
        "serial": sheet.serial,
        "name": sheet.build.name,
        "rows": [list(row) for row in rows_of(sheet)],
        "turn": turn_said(sheet),
        "note": "Ends for pins and springs are common practice of the trade, not a maker's limit. Blade on the ground, "
        "engine off, springs slack before a hand goes in.",
    }
    return Paper(template="wear-card.typ", data=data)


def turn_said(sheet: SerialSheet) -> str:
    """Whether the edge of a blade may be turned, and how.

    Args:
        sheet: The blade.
    """
    layout = sheet.build.datum.layout
    why = layout.flip_reason().partition(": ")[2] or layout.flip_reason()
    if layout.is_flippable():
        return f"The edge may be turned in its own plane, end for end, never face for face. {_begun(why)}"
    return f"The edge is not turned: renew it. {_begun(why)}"


def _begun(text: str) -> str:
    said = text.strip().rstrip(".")
    return f"{said[:1].upper()}{said[1:]}." if said else ""
