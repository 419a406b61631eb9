"""Flat parts for the plasma table: one DXF for each mark, true size, holes and bend lines on layers of their own."""

from __future__ import annotations

from plowwright import units as trade
from plowwright.blade.build import Build
from plowwright.blade.parts import Part
from plowwright.papers.drawing import Picture
from plowwright.papers.dxf import BendLine, PlateText, RoundHole, Units, plate_dxf
from plowwright.papers.elevations import System
from plowwright.papers.marks import BEND, CUT, HOLE
from plowwright.papers.views import fit_view
from plowwright.physics.regions import Loop, Region, rectangle


def flat_parts(build: Build) -> list[Part]:
    """One part for each mark that is cut from plate or sheet.

    Args:
        build: The blade.
    """
    first: dict[str, Part] = {}
    for part in build.parts:
        if part.kind in ("plate", "rolled"):
            first.setdefault(part.mark, part)
    return list(first.values())


def plate_part_dxf(part: Part, *, units: Units) -> bytes:
    """A plate's outline or a sheet's developed blank.

    Args:
        part: The part.
        units: Unit of the file.
    """
    note = f"{part.mark}, {part.stock}"
    system: System = "us" if units == "in" else "metric"
    if part.kind == "rolled":
        loops: list[Loop] = [_blank(part).outer]
        bends = [
            BendLine(
                start=(0.0, b.at),
                end=(part.width, b.at),
                note=f"{trade.say(b.angle, 'angle')} R {trade.say(b.radius, 'length', system=system)}",
            )
            for b in part.bends
        ]
        text = PlateText(u=part.width / 2, v=part.length / 2, text=note, height=0.02)
        return plate_dxf(loops, bends=bends, texts=[text], units=units, name=part.mark)
    region = part.solids[0].region
    round_holes = [h for h in part.holes if h.kind == "round"]
    centres = {(round(h.along, 7), round(h.across, 7)) for h in round_holes}
    others = [loop for loop in region.inner if _middle(loop) not in centres]
    holes = [RoundHole(u=h.along, v=h.across, diameter=h.diameter) for h in round_holes]
    p = region.properties()
    texts = [PlateText(u=p.u, v=p.v, text=note, height=0.006)]
    return plate_dxf([region.outer, *others], holes=holes, texts=texts, units=units, name=part.mark)


def plate_part_picture(part: Part, *, width: float, height: float, system: System) -> Picture:
    """A flat part with its size, at the largest standard scale that fits: outline, holes, and bends as broken lines.

    Args:
        part: The part.
        width: Room across [mm].
        height: Room up [mm].
        system: US or metric dimensions.
    """
    region = _blank(part) if part.kind == "rolled" else part.solids[0].region
    left, low, right, high = region.bounds()
    page = Picture(width, height)
    view = fit_view((left, low, right, high), box=(14.0, 18.0, width - 28.0, height - 24.0))
    with page.group(part.id, part=part.id, title=part.name):
        page.polygon(view.points(region.outer), pen=CUT, fill="paper")
        for loop in region.inner:
            page.polygon(view.points(loop), pen=HOLE)
        for bend in part.bends:
            page.line(view.at(left, low + bend.at), view.at(right, low + bend.at), pen=BEND)
    size = [trade.say(length, "length", system=system) for length in (right - left, high - low)]
    page.dimension(view.at(left, low), view.at(right, low), text=size[0], offset=-6, along="horizontal")
    page.dimension(view.at(left, low), view.at(left, high), text=size[1], offset=6, along="vertical")
    page.text((14.0, 3.0), f"{part.mark}, {part.stock}; scale {view.title}", size=3.0)
    return page


def _blank(part: Part) -> Region:
    """The sheet a rolled part is made of, laid flat: foot below, as wide as the part."""
    return Region(outer=rectangle(0.0, 0.0, part.width, part.length))


def _middle(loop: Loop) -> tuple[float, float]:
    return (
        round(sum(p[0] for p in loop) / len(loop), 7),
        round(sum(p[1] for p in loop) / len(loop), 7),
    )
