"""Flat parts for the plasma table: one DXF for each mark, true size, holes and bend lines on layers of their own."""

from __future__ import annotations

from plowwright import units as trade
from plowwright.blade.build import Build
from plowwright.blade.parts import Part
from plowwright.papers.dxf import BendLine, PlateText, RoundHole, Units, plate_dxf
from plowwright.physics.regions import Loop, rectangle


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
    if part.kind == "rolled":
        loops: list[Loop] = [rectangle(0.0, 0.0, part.width, part.length)]
        bends = [
            BendLine(
                start=(0.0, b.at),
                end=(part.width, b.at),
                note=f"{trade.say(b.angle, 'angle')} R {trade.tape(b.radius)}",
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


def _middle(loop: Loop) -> tuple[float, float]:
    return (
        round(sum(p[0] for p in loop) / len(loop), 7),
        round(sum(p[1] for p in loop) / len(loop), 7),
    )
