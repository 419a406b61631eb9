"""Nests as DXF at true size: one file for each sheet, and one for each piece as the nest has it.

Layers of a sheet: "sheet", "openings", "outlines", "rest cuts", "holes to drill", "marking". The torch runs what is on
openings, outlines and rest cuts, and those stand in the file in the order in which they are cut: what lies inside comes
first. Arcs stay arcs. Nothing on the other layers is cut through.
"""

from __future__ import annotations

from math import hypot

from plowwright.errors import ModelError
from plowwright.papers.dxf import (
    MARKING,
    PlateText,
    RoundHole,
    Units,
    add_layer,
    add_polyline,
    add_text,
    factor_of,
    plain_document,
    plate_dxf,
    rounded,
    written,
)
from plowwright.papers.marks import Pen
from plowwright.papers.views import MM_PER_M
from plowwright.physics.regions import Loop, Region, rectangle
from plowwright.shop.nesting_model import NestedSheet, Outline, PlacedOutline
from plowwright.shop.nesting_order import cut_order

SHEET = Pen(name="sheet", layer="sheet", width=0.25)
OPENINGS = Pen(name="opening", layer="openings", width=0.5)
OUTLINES = Pen(name="outline", layer="outlines", width=0.5)
REST_CUTS = Pen(name="rest", layer="rest cuts", width=0.5)
DRILLED = Pen(name="drilled", layer="holes to drill", width=0.25)
PENS = {"opening": OPENINGS, "outline": OUTLINES, "rest": REST_CUTS}
LETTERS = 0.008
"""Height of the tags marked on pieces, as far as they have room for it [m]."""


def sheet_dxf(nested: NestedSheet, *, units: Units) -> bytes:
    """One sheet with all its cuts in the order in which they are made.

    Args:
        nested: The sheet with its pieces.
        units: Unit of the file.
    """
    factor = factor_of(units)
    with plain_document(units, title=f"sheet {nested.number}, {nested.sheet.in_words()}") as document:
        for pen in (SHEET, OPENINGS, OUTLINES, REST_CUTS, DRILLED, MARKING):
            add_layer(document, pen, dash_factor=factor / MM_PER_M)
        space = document.modelspace()
        border = rectangle(0.0, 0.0, nested.sheet.length, nested.sheet.width)
        add_polyline(space, border, factor=factor, layer=SHEET.layer, closed=True)
        for cut in cut_order(nested):
            closed = cut.kind != "rest"
            add_polyline(space, _from(cut.loop, cut.start), factor=factor, layer=PENS[cut.kind].layer, closed=closed)
        for placed in nested.placed:
            for loop in placed.outline.drilled:
                hole = _round_hole(placed.loop(loop), tag=placed.outline.tag)
                centre = (rounded(hole.u * factor), rounded(hole.v * factor))
                space.add_circle(centre, rounded(hole.diameter / 2 * factor), dxfattribs={"layer": DRILLED.layer})
            add_text(space, _tag(placed), factor=factor, pen=MARKING)
        for rest in nested.rests:
            low_x, low_y, high_x, high_y = rest.box
            height = min(0.03, (high_x - low_x) / 12)
            text = PlateText(u=low_x + 0.05, v=(low_y + high_y) / 2, text=rest.tag, height=height)
            add_text(space, text, factor=factor, pen=MARKING)
        return written(document)


def piece_dxf(outline: Outline, *, units: Units) -> bytes:
    """One piece in its own axes: outline and openings on layer cut, holes to drill on layer holes, its mark as text.

    Args:
        outline: The piece.
        units: Unit of the file.
    """
    middle = Region(outer=outline.outer, inner=(*outline.inner, *outline.drilled)).properties()
    return plate_dxf(
        [_counter_clockwise(outline.outer), *outline.inner],
        holes=[_round_hole(loop, tag=outline.tag) for loop in outline.drilled],
        texts=[PlateText(u=middle.u, v=middle.v, text=f"{outline.mark or outline.tag}, {outline.stock}", height=0.006)],
        units=units,
        name=outline.mark or outline.tag,
    )


def _counter_clockwise(loop: Loop) -> Loop:
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(loop, (*loop[1:], loop[0]), strict=True))
    if area > 0 or len(loop) < 3:
        return loop
    return tuple((v[0], v[1], -loop[at - 1][2]) for at, v in reversed(list(enumerate(loop))))


def _from(loop: Loop, start: tuple[float, float]) -> Loop:
    """The same loop begun at the vertex where the torch goes through."""
    at = min(range(len(loop)), key=lambda k: hypot(loop[k][0] - start[0], loop[k][1] - start[1]))
    return (*loop[at:], *loop[:at])


def _round_hole(loop: Loop, *, tag: str) -> RoundHole:
    """A full circle by its centre and diameter."""
    low_u, low_v, high_u, high_v = Region(outer=loop).bounds()
    u, v = (sum(p[k] for p in loop) / len(loop) for k in (0, 1))
    if len(loop) != 2 or any(abs(abs(p[2]) - 1) > 1e-9 for p in loop):
        raise ModelError(
            "a hole to drill is not round", where=tag, value=f"{high_u - low_u:.4f} m by {high_v - low_v:.4f} m",
            limit="two half circles", way_out="List it among the openings, which the table cuts.",
        )  # fmt: skip
    return RoundHole(u=u, v=v, diameter=hypot(loop[0][0] - loop[1][0], loop[0][1] - loop[1][1]))


def _tag(placed: PlacedOutline) -> PlateText:
    """The piece's tag along its longer extent, small enough to stay on it where it is narrow."""
    low_x, low_y, high_x, high_y = Region(outer=placed.loop(placed.outline.outer)).bounds()
    along, across = high_x - low_x, high_y - low_y
    upright = across > along
    room = max(along, across)
    height = min(LETTERS, room / (0.9 * max(6, len(placed.outline.tag))), min(along, across) / 3)
    p = Region(outer=placed.loop(placed.outline.outer)).properties()
    half = 0.4 * height * len(placed.outline.tag)
    u, v = (p.u + height / 2, p.v - half) if upright else (p.u - half, p.v - height / 2)
    return PlateText(u=u, v=v, text=placed.outline.tag, height=height, rotate=90.0 if upright else 0.0)
