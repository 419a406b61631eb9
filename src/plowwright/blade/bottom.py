"""The moldboard's foot: the bottom angle, the cutting edge bolted to it and the plow bolts."""

from __future__ import annotations

from math import pi

from plowwright.blade.datum import Datum
from plowwright.blade.edge_bars import hole_volume
from plowwright.blade.making import Maker, Y, Z, along, hole_loop
from plowwright.blade.parts import Bolted, Hole, Joint, Part
from plowwright.blade.shapes import Place, Solid, Vec
from plowwright.physics.regions import Loop, Region, circle, polygon
from plowwright.units.constants import INCH


def bars(d: Datum, make: Maker) -> list[Part]:
    """Cutting edge and bottom angle.

    Args:
        d: Sizes of the blade.
        make: Makes parts of the rulebook's stock.
    """
    return [_edge(d, make), _angle(d, make)]


def _edge(d: Datum, make: Maker) -> Part:
    bar = d.layout.rule.bar
    assert bar is not None  # work_out always gives the bar
    holes = tuple(
        Hole(
            along=at,
            across=d.bolt_line,
            diameter=bar.hole.size,
            kind="plow bolt",
            countersink=bar.hole.head_diameter,
            depth=d.edge_wall,
            datum="bottom of the edge",
        )
        for at in d.layout.positions
    )
    section = make.section(d.edge.edge)
    square = bar.hole.size**2 * d.edge_wall
    outer = polygon(((0, 0), (d.width, 0), (d.width, d.edge_height), (0, d.edge_height)))
    region = Region(outer=outer, inner=tuple(hole_loop(h) for h in holes))
    return Part(
        id="cutting edge",
        mark="edge",
        name="cutting edge",
        group="cutting edge",
        body="moldboard",
        kind="bar",
        stock=d.edge.edge,
        material=section.material,
        density=make.density(section.material),
        solids=(Solid(region=region, start=0.0, end=d.edge_wall),),
        place=Place(origin=(d.edge_back, -d.width / 2, 0.0), u=Y, v=Z),
        length=d.width,
        width=d.edge_height,
        thickness=d.edge_wall,
        holes=holes,
        operations=("saw", "punch or drill"),
        finish="none",
        removed=len(holes) * (hole_volume(bar.hole, d.edge_wall) - square),
    )


def _angle(d: Datum, make: Maker) -> Part:
    bar = d.layout.rule.bar
    assert bar is not None
    t, half = d.angle_wall, d.width / 2
    size = bar.hole.size
    holes = tuple(
        Hole(along=at, across=d.bolt_line - d.foot, diameter=size, depth=t, datum="foot of the upright leg")
        for at in d.layout.positions
    )
    # Own axes: u back from the front face, v up; the shelf lies along the top.
    up, back = d.leg_up, d.leg_back
    shape: Loop = polygon(((0, 0), (t, 0), (t, up - t), (back, up - t), (back, up), (0, up)))
    section = make.section(d.series.moldboard.bottom_angle)
    return Part(
        id="bottom angle",
        mark="bottom angle",
        name="bottom angle",
        group="moldboard",
        body="moldboard",
        kind="bar",
        stock=d.series.moldboard.bottom_angle,
        material=section.material,
        density=make.density(section.material),
        solids=(Solid(region=Region(outer=shape), start=-half, end=half),),
        place=Place(origin=(d.face, 0.0, d.foot), u=(-1.0, 0.0, 0.0), v=Z),
        length=d.width,
        holes=holes,
        operations=("saw", "drill"),
        finish="body colour",
        removed=len(holes) * pi / 4 * size * size * t,
    )


def bolts(d: Datum, make: Maker) -> tuple[list[Part], Joint]:
    """Edge bolts and what they hold.

    Args:
        d: Sizes of the blade.
        make: Makes parts of the rulebook's stock.
    """
    bolt = make.entry(d.edge.bolt)
    r = (bolt.diameter or 0.625 * INCH) / 2
    length = bolt.length or 2 * INCH
    front = d.edge_back + d.edge_wall
    pieces: list[Part] = []
    points: list[Vec] = []
    solid = Solid(region=Region(outer=circle(0.0, 0.0, r)), start=0.0, end=length)
    for number, at in enumerate(d.layout.positions, 1):
        y = at - d.width / 2
        points.append((front, y, d.bolt_line))
        pieces.append(
            make.bought(
                f"edge bolt {number}",
                "edge bolt",
                "plow bolt with nut",
                stock=d.edge.bolt,
                solids=(solid,),
                place=along((front, y, d.bolt_line), (front - 1.0, y, d.bolt_line)),
                group="cutting edge",
                body="moldboard",
                length=length,
            )
        )
    held = Bolted(
        id="edge bolts",
        joins=("cutting edge", "bottom angle"),
        bolt=d.edge.bolt,
        positions=tuple(points),
        axis=(-1.0, 0.0, 0.0),
    )
    return pieces, held
