"""Every drawing of a nest as files: one DXF for each sheet, one for each different part."""

from __future__ import annotations

from plowwright.papers.dxf import Units
from plowwright.papers.nest_dxf import piece_dxf, sheet_dxf
from plowwright.shop.nesting_model import NestPlan, Outline

_FORBIDDEN = '/\\:*?"<>|'


def sheet_files(plan: NestPlan, *, units: Units = "in") -> dict[str, bytes]:
    """Drawings by the name of their file.

    Args:
        plan: The nest.
        units: What the drawings are in.
    """
    found: dict[str, bytes] = {}
    for nested in plan.sheets:
        found[f"sheet {nested.number}, {_plain(nested.sheet.tag or nested.sheet.stock)}.dxf"] = sheet_dxf(
            nested, units=units
        )
    seen: set[tuple[object, ...]] = set()
    for outline in plan.pieces:
        key = _shape(outline)
        if key not in seen:
            seen.add(key)
            found[f"parts/{_plain(outline.tag)}.dxf"] = piece_dxf(outline, units=units)
    return found


def _plain(name: str) -> str:
    return "".join("-" if letter in _FORBIDDEN else letter for letter in name)


def _shape(outline: Outline) -> tuple[object, ...]:
    """What makes two parts one drawing: stock and outlines, not whose they are."""
    return outline.stock, outline.mark, outline.outer, outline.inner, outline.drilled
