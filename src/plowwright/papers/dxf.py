"""Writes DXF R2010 at true size: one file per plate part for the cutting table, and elevations.

A file carries no date and no random number: the same part always gives the same file, and a changed file
means a changed part. Layers have plain names. Coordinates are in the file's unit, set in its header.
"""

from __future__ import annotations

import io
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Literal

from ezdxf import new, options  # pyright: ignore[reportPrivateImportUsage]
from ezdxf import units as dxf_units
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment
from ezdxf.layouts.layout import Modelspace

from plowwright.errors import EntryError, ModelError
from plowwright.papers import fonts
from plowwright.papers.drawing import Picture
from plowwright.papers.marks import (
    BEND,
    CUT,
    HOLE,
    TEXT_LAYER,
    Circle,
    Label,
    Path,
    Pen,
    Vertex,
    as_vertices,
    flatten,
    walk,
)
from plowwright.papers.views import MM_PER_M, View

Units = Literal["in", "mm"]
PER_METRE: dict[str, float] = {"in": 1 / 0.0254, "mm": MM_PER_M}
MARKING = Pen(name="marking", layer="marking", width=0.25)
_PLACES = 7
_INK = 7
"""Colour number that shows black on white and white on black; layers tell lines apart, not colours."""
_ALIGN = {
    ("left", "base"): TextEntityAlignment.LEFT,
    ("middle", "base"): TextEntityAlignment.CENTER,
    ("right", "base"): TextEntityAlignment.RIGHT,
    ("left", "centre"): TextEntityAlignment.MIDDLE_LEFT,
    ("middle", "centre"): TextEntityAlignment.MIDDLE_CENTER,
    ("right", "centre"): TextEntityAlignment.MIDDLE_RIGHT,
    ("left", "top"): TextEntityAlignment.TOP_LEFT,
    ("middle", "top"): TextEntityAlignment.TOP_CENTER,
    ("right", "top"): TextEntityAlignment.TOP_RIGHT,
}
_lock = threading.Lock()


@dataclass(frozen=True, kw_only=True)
class RoundHole:
    """A round hole in a plate.

    Attributes:
        u: Centre [m].
        v: Centre [m].
        diameter: Diameter [m].
    """

    u: float
    v: float
    diameter: float


@dataclass(frozen=True, kw_only=True)
class BendLine:
    """Where a plate is folded.

    Attributes:
        start: One end, u and v [m].
        end: Other end, u and v [m].
        note: What the press has to know, written beside it, "" for nothing.
    """

    start: tuple[float, float]
    end: tuple[float, float]
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class PlateText:
    """A text marked on a plate.

    Attributes:
        u: Left end of its base line [m].
        v: Base line [m].
        text: The words.
        height: Height of a capital [m].
        rotate: Turned counter-clockwise [deg].
    """

    u: float
    v: float
    text: str
    height: float = 0.010
    rotate: float = 0.0


def plate_dxf(
    loops: Sequence[Sequence[Sequence[float]]],
    holes: Sequence[RoundHole] = (),
    bends: Sequence[BendLine] = (),
    texts: Sequence[PlateText] = (),
    *,
    units: Units,
    name: str,
) -> bytes:
    """One flat plate part: layers cut, holes, bend lines and marking.

    Args:
        loops: Outline first, counter-clockwise, then cut-outs; vertices (u, v, bulge) [m].
        holes: Round holes.
        bends: Fold lines.
        texts: Marking.
        units: Unit of the file.
        name: Mark of the part, for messages and the file's title.
    """
    _check_plate(loops, holes, name=name)
    factor = factor_of(units)
    with plain_document(units, title=name) as document:
        for pen in (CUT, HOLE, BEND, MARKING):
            add_layer(document, pen, dash_factor=factor / MM_PER_M * 4)
        space = document.modelspace()
        for loop in loops:
            add_polyline(space, as_vertices(loop), factor=factor, layer=CUT.layer, closed=True)
        for hole in holes:
            centre = (rounded(hole.u * factor), rounded(hole.v * factor))
            space.add_circle(centre, rounded(hole.diameter / 2 * factor), dxfattribs={"layer": HOLE.layer})
        for bend in bends:
            add_polyline(
                space, as_vertices((bend.start, bend.end)), factor=factor, layer=BEND.layer, closed=False
            )
            if bend.note:
                middle = [(a + b) / 2 for a, b in zip(bend.start, bend.end, strict=True)]
                add_text(
                    space,
                    PlateText(u=middle[0], v=middle[1] + 0.004, text=bend.note),
                    factor=factor,
                    pen=BEND,
                )
        for text in texts:
            add_text(space, text, factor=factor, pen=MARKING)
        return written(document)


def elevation_dxf(picture: Picture, *, view: View, units: Units, name: str) -> bytes:
    """The lines of a picture at true size, with its dimensions as lines and text.

    The picture may hold several views at the scale of `view`; they keep their places on the page. Fillings
    are left out, so what a filled part covers on paper shows through here.

    Args:
        picture: What was drawn.
        view: The view whose model origin becomes the file's origin.
        units: Unit of the file.
        name: Title of the file.
    """
    # A view from behind runs to the left; its lines are written as seen, so that text stays readable.
    seen = replace(view, mirrored=False, model_x=-view.model_x) if view.mirrored else view
    factor = factor_of(units)
    with plain_document(units, title=name) as document:
        space = document.modelspace()
        true_size = view.ratio / MM_PER_M * factor
        layers: set[str] = set()
        for mark in walk(picture.marks):
            if mark.pen is not None and mark.pen.layer not in layers:
                layers.add(mark.pen.layer)
                add_layer(document, mark.pen, dash_factor=true_size)
        document.layers.add(TEXT_LAYER, color=_INK)
        for mark in walk(picture.marks):
            _mark(space, mark, seen=seen, factor=factor, true_size=true_size)
        return written(document)


def _mark(
    space: Modelspace, mark: Path | Circle | Label, *, seen: View, factor: float, true_size: float
) -> None:
    if isinstance(mark, Label):
        u, v = seen.model(mark.x, mark.y)
        entity = space.add_text(
            mark.text,
            height=rounded(fonts.cap_height(mark.size) * true_size),
            rotation=mark.rotate,
            dxfattribs={"layer": mark.pen.layer if mark.pen else TEXT_LAYER},
        )
        at = (rounded(u * factor), rounded(v * factor))
        entity.set_placement(at, align=_ALIGN[(mark.anchor, mark.stand)])
    elif isinstance(mark, Circle):
        if mark.pen is not None:
            u, v = seen.model(mark.x, mark.y)
            centre = (rounded(u * factor), rounded(v * factor))
            space.add_circle(centre, rounded(mark.radius * true_size), dxfattribs={"layer": mark.pen.layer})
    else:
        run = tuple((*seen.model(x, y), bulge) for x, y, bulge in mark.vertices)
        if mark.pen is not None:
            add_polyline(space, run, factor=factor, layer=mark.pen.layer, closed=mark.closed)
        elif len(run) == 3:
            corners = [(rounded(u * factor), rounded(v * factor)) for u, v, _ in run]
            space.add_solid([*corners, corners[-1]], dxfattribs={"layer": "dimensions"})


def _check_plate(
    loops: Sequence[Sequence[Sequence[float]]], holes: Sequence[RoundHole], *, name: str
) -> None:
    if not loops:
        raise ModelError(f"plate '{name}' has no outline", way_out="Give its outline as the first loop.")
    for index, loop in enumerate(loops):
        run = flatten(as_vertices(loop), closed=True)
        area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(run, run[1:] + run[:1], strict=True)) / 2
        if len(loop) < 2 or abs(area) < 1e-9:
            raise ModelError(
                f"loop {index + 1} of plate '{name}' encloses nothing", value=f"{area * 1e6:.3f} mm2"
            )
        if index == 0 and area < 0:
            raise ModelError(
                f"the outline of plate '{name}' runs clockwise", way_out="Give its corners counter-clockwise."
            )
    for hole in holes:
        if not hole.diameter > 0:
            raise ModelError(
                f"a hole of plate '{name}' has no size",
                value=f"{hole.diameter * MM_PER_M:g} mm at ({hole.u:.4f}, {hole.v:.4f}) m",
                limit="above 0 mm",
            )


def factor_of(units: str) -> float:
    """Units of a file in a metre [1/m].

    Args:
        units: "in" or "mm".

    Raises:
        EntryError: Any other.
    """
    if units not in PER_METRE:
        raise EntryError("a DXF file is written in inches or millimetres", value=units, limit="in, mm")
    return PER_METRE[units]


@contextmanager
def plain_document(units: str, *, title: str) -> Iterator[Drawing]:
    """A document without dates and random numbers; the library knows that only as a global switch.

    Args:
        units: What it is in.
        title: Its title.
    """
    with _lock:
        before = options.write_fixed_meta_data_for_testing
        options.write_fixed_meta_data_for_testing = True
        try:
            document = new("R2010")
            document.units = dxf_units.IN if units == "in" else dxf_units.MM
            document.header["$MEASUREMENT"] = 0 if units == "in" else 1
            document.header["$LUNITS"] = 2
            document.header.custom_vars.append("Title", title)
            yield document
        finally:
            options.write_fixed_meta_data_for_testing = before


def written(document: Drawing) -> bytes:
    """The file.

    Args:
        document: The drawing.
    """
    out = io.StringIO()
    document.write(out)
    return document.encode(out.getvalue())


def add_layer(document: Drawing, pen: Pen, *, dash_factor: float) -> None:
    """A layer with the width and the dashes of its pen.

    Args:
        document: The drawing.
        pen: Whose layer.
        dash_factor: Units of the file for 1 mm of dash [1/mm].
    """
    line = "CONTINUOUS"
    if pen.dash:
        line = pen.layer.upper()
        runs = [length * dash_factor * (1 if i % 2 == 0 else -1) for i, length in enumerate(pen.dash)]
        pattern = [rounded(value) for value in (sum(abs(run) for run in runs), *runs)]
        document.linetypes.add(line, pattern, description=pen.layer)
    layer = document.layers.add(pen.layer, color=_INK, linetype=line)
    layer.dxf.lineweight = round(pen.width * 100)


def add_polyline(space: Modelspace, run: Sequence[Vertex], *, factor: float, layer: str, closed: bool) -> None:
    """A run of straight lines and arcs.

    Args:
        space: Where to.
        run: Vertices with bulges [m].
        factor: Units of the file in a metre [1/m].
        layer: Name of its layer.
        closed: Whether the last vertex joins the first.
    """
    points = [(rounded(u * factor), rounded(v * factor), bulge) for u, v, bulge in run]
    attributes = {"layer": layer}
    if len(points) == 2 and not closed and points[0][2] == 0.0:
        space.add_line(points[0][:2], points[1][:2], dxfattribs=attributes)
    else:
        space.add_lwpolyline(points, format="xyb", close=closed, dxfattribs=attributes)


def add_text(space: Modelspace, text: PlateText, *, factor: float, pen: Pen) -> None:
    """A text.

    Args:
        space: Where to.
        text: Words, place and size.
        factor: Units of the file in a metre [1/m].
        pen: Whose layer.
    """
    entity = space.add_text(
        text.text,
        height=rounded(text.height * factor),
        rotation=text.rotate,
        dxfattribs={"layer": pen.layer},
    )
    entity.set_placement((rounded(text.u * factor), rounded(text.v * factor)))


def rounded(value: float) -> float:
    """A coordinate to the figures a file carries, never minus zero [any].

    Args:
        value: The coordinate [any].
    """
    return round(value, _PLACES) + 0.0
