"""The moldboard: bottom angle, skin, top, webs, ears, cutting edge and its bolts."""

from __future__ import annotations

from math import asin, pi, radians, sin, tan

from plowwright.blade.datum import Datum
from plowwright.blade.edge_bars import hole_volume
from plowwright.blade.making import Maker, X, Y, Z, along, hole_loop
from plowwright.blade.parts import Bend, Bolted, Hole, Joint, Part, Place, Solid, Vec, Weld
from plowwright.physics.regions import Loop, Region, circle, polygon
from plowwright.units.constants import INCH

SNIPE = 0.75 * INCH
"""Corner taken off a web's foot so that it clears the lap and its weld [m]."""


def parts(d: Datum, make: Maker) -> tuple[list[Part], list[Joint]]:
    """All parts and joints of the moldboard.

    Args:
        d: Sizes of the blade.
        make: Makes parts of the rulebook's stock.
    """
    pieces = [_edge(d, make), _angle(d, make), _skin(d, make), *_top(d, make)]
    joints: list[Joint] = []
    for part, seams in (*_webs(d, make), *_ears(d, make)):
        pieces.append(part)
        joints.extend(seams)
    bolts, held = _bolts(d, make)
    w, z = d.width / 2, d.shelf
    joints.append(
        Weld(
            id="skin to angle",
            joins=("skin", "bottom angle"),
            leg=d.series.welds.skin,
            start=(d.face, -w, z),
            end=(d.face, w, z),
            stitch=(d.series.welds.stitch, d.series.welds.stitch_pitch),
            joint="lap",
        )
    )
    return [*pieces, *bolts], [*joints, held]


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


def skin_profile(d: Datum) -> Loop:
    """The skin's section in the x-z plane as u = x, v = z, counter-clockwise [m].

    Args:
        d: Sizes of the blade.
    """
    a, t = d.arc, d.skin_wall
    top, foot = a.at(a.roll), a.at(-a.lean, t)
    fold = d.series.moldboard.top_fold
    # Front face, upwards: the arc's centre lies in front, so it turns clockwise with x to the right and z up.
    ends = [(a.x, a.z - d.lap, 0.0), (a.x, a.z, -tan((a.lean + a.roll) / 4)), (top[0], top[1], 0.0)]
    if fold:
        # The fold goes straight back; its underside meets the back of the arc at the height of the front's top.
        rear = asin((top[1] - a.z - a.radius * sin(a.lean)) / (a.radius + t))
        ends += [(top[0], top[1] + t, 0.0), (top[0] - fold, top[1] + t, 0.0), (top[0] - fold, top[1], 0.0)]
    else:
        rear = a.roll
    back = a.at(rear, t)
    ends.append((back[0], back[1], tan((a.lean + rear) / 4)))
    ends += [(foot[0], foot[1], 0.0), (a.x - t, foot[1], 0.0), (a.x - t, a.z - d.lap, 0.0)]
    return tuple(reversed(_reverse_bulges(ends)))


def _reverse_bulges(points: list[tuple[float, float, float]]) -> list[tuple[float, float, float]]:
    """Same loop prepared for reading backwards: each side's bulge moves to its other end and changes sign."""
    count = len(points)
    return [
        (points[i][0], points[i][1], -points[i - 1][2] if points[i - 1][2] else 0.0) for i in range(count)
    ]


def _skin(d: Datum, make: Maker) -> Part:
    board, a, t = d.series.moldboard, d.arc, d.skin_wall
    entry = make.rulebook.plates[board.skin]
    fold = board.top_fold or 0.0
    developed = d.lap + a.length + fold
    bends = [
        Bend(at=d.lap, radius=t, angle=-a.lean, length=0.0),
        Bend(at=d.lap, radius=a.radius, angle=a.lean + a.roll, length=a.length),
    ]
    if fold:
        bends.append(Bend(at=d.lap + a.length, radius=t, angle=-(radians(90) + a.roll), length=0.0))
    return Part(
        id="skin",
        mark="skin",
        name="rolled skin",
        group="moldboard",
        body="moldboard",
        kind="rolled",
        stock=board.skin,
        material=entry.material,
        density=make.density(entry.material),
        solids=(Solid(region=Region(outer=skin_profile(d)), start=-d.width / 2, end=d.width / 2),),
        # u = x, v = z makes w = u x v = -y.
        place=Place(origin=(0.0, 0.0, 0.0), u=X, v=Z),
        length=developed,
        width=d.width,
        thickness=t,
        bends=tuple(bends),
        operations=("cut plate", "roll outside", "fold"),
        finish="body colour",
    )


def _top(d: Datum, make: Maker) -> list[Part]:
    name = d.series.moldboard.top_member
    if not name:
        return []
    section = make.section(name)
    half, t = d.width / 2, section.wall or 0.0
    x, z = d.arc.at(d.arc.roll, d.skin_wall)
    if section.kind == "angle":
        a, b = section.width or 0.0, section.height or 0.0
        region = Region(outer=polygon(((0, -b), (0, 0), (-a, 0), (-a, -t), (-t, -t), (-t, -b))))
    else:
        large, small = make.sizes(name)
        region = Region(outer=polygon(((0, -large), (0, 0), (-small, 0), (-small, -large))))
    return [
        Part(
            id="top member",
            mark="top member",
            name="top member",
            group="moldboard",
            body="moldboard",
            kind="bar",
            stock=name,
            material=section.material,
            density=make.density(section.material),
            solids=(Solid(region=region, start=-half, end=half),),
            place=Place(origin=(x, 0.0, z), u=X, v=Z),
            length=d.width,
            operations=("saw",),
            finish="body colour",
        )
    ]


def web_outline(d: Datum) -> Loop:
    """A web's outline with u = x, v = z, counter-clockwise; its front edge follows the back of the skin [m].

    Args:
        d: Sizes of the blade.
    """
    board, a, t = d.series.moldboard, d.arc, d.skin_wall
    top = a.at(a.roll, t)
    inset = d.skin_wall if board.top_fold else 0.0
    z_top = min(top[1], a.z + (board.body_height - a.z) - inset)
    phi_top = a.phi_at_height(z_top - t * sin(a.roll))
    front_top = a.at(phi_top, t)
    snipe = a.phi_at_height(a.z + SNIPE)
    front_low = a.at(snipe, t)
    z_mid = 0.5 * (a.z + z_top)
    mid = a.at(a.phi_at_height(z_mid), t)
    rear_foot = d.shelf_back + INCH / 4
    bulge = -tan((phi_top - snipe) / 4)
    return (
        (front_low[0] - SNIPE, a.z, 0.0),
        (front_low[0], front_low[1], bulge),
        (front_top[0], front_top[1], 0.0),
        (front_top[0] - board.web_depth_top, front_top[1], 0.0),
        (mid[0] - board.web_depth_middle, z_mid, 0.0),
        (min(rear_foot, front_low[0] - 2 * SNIPE), a.z, 0.0),
    )


def _webs(d: Datum, make: Maker) -> list[tuple[Part, list[Joint]]]:
    shape = web_outline(d)
    welds = d.series.welds
    stitch = (welds.stitch, welds.stitch_pitch)
    rows: list[tuple[Part, list[Joint]]] = []
    for number, y in enumerate(d.web_ys, 1):
        web_id = f"web {number}"
        # u = x, v = z: w points to the right (-y); thickness is centred on y.
        part = make.plate(
            web_id,
            "web",
            "web",
            stock=d.row.web,
            outline=shape,
            origin=(0.0, y, 0.0),
            u=X,
            v=Z,
            group="moldboard",
            body="moldboard",
            finish="body colour",
        )
        foot0, foot1 = (shape[0][0], y, d.shelf), (shape[5][0], y, d.shelf)
        low: Vec = (shape[1][0], y, shape[1][1])
        high: Vec = (shape[2][0], y, shape[2][1])
        seams: list[Joint] = [
            Weld(
                id=f"{web_id} to shelf",
                joins=(web_id, "bottom angle"),
                leg=welds.moldboard,
                start=foot0,
                end=foot1,
                sides=2,
            ),
            Weld(
                id=f"{web_id} to skin",
                joins=(web_id, "skin"),
                leg=welds.skin,
                start=low,
                end=high,
                sides=2,
                stitch=stitch,
            ),
        ]
        rows.append((part, seams))
    return rows


def ear_outline(d: Datum) -> Loop:
    """A moldboard ear with u = x, v = z: laps the web's foot and reaches behind the shelf to the hinge line [m].

    Args:
        d: Sizes of the blade.
    """
    r = min(d.series.hinge.behind_shelf, 1.5 * INCH) * 0.98
    x, z, back = d.hinge_x, d.hinge_z, d.shelf_back
    step = max(d.shelf, z)
    points: list[tuple[float, float, float]] = [(x - r, z, 1.0), (x + r, z, 0.0)]
    if d.shelf > z:
        points.append((x + r, d.shelf, 0.0))
    points += [(back + 2 * INCH, step, 0.0), (back + 1.5 * INCH, step + 3 * INCH, 0.0)]
    points += [(x - r * 0.4, step + 2.5 * INCH, 0.0)]
    return tuple(points)


def _ears(d: Datum, make: Maker) -> list[tuple[Part, list[Joint]]]:
    rows: list[tuple[Part, list[Joint]]] = []
    t_web, t_ear = make.thickness(d.row.web), make.thickness(d.row.ear)
    pin = make.sizes(d.series.hinge.pin)[0]
    hole = Hole(along=d.hinge_x, across=d.hinge_z, diameter=pin + INCH / 32, depth=t_ear)
    shape = ear_outline(d)
    step = max(d.shelf, d.hinge_z)
    for number, y in enumerate(d.hinge_ys, 1):
        # Ears stand on the inner side of their web, the middle one to the left.
        side = -1.0 if y > 1e-9 else 1.0
        web = next(i for i, w in enumerate(d.web_ys, 1) if abs(w - y) < 1e-6)
        ear_id, at = f"ear {number}", y + side * (t_web + t_ear) / 2
        part = make.plate(
            ear_id,
            "ear",
            "moldboard ear",
            stock=d.row.ear,
            outline=shape,
            origin=(0.0, at, 0.0),
            u=X,
            v=Z,
            group="hinge",
            body="moldboard",
            holes=(hole,),
            finish="body colour",
        )
        leg = d.series.welds.frame
        seams: list[Joint] = [
            Weld(
                id=f"{ear_id} to web {web}",
                joins=(ear_id, f"web {web}"),
                leg=leg,
                start=(d.shelf_back + 2 * INCH, at, step),
                end=(d.shelf_back + 1.5 * INCH, at, step + 3 * INCH),
                joint="lap",
                sides=2,
            ),
            Weld(
                id=f"{ear_id} to shelf",
                joins=(ear_id, "bottom angle"),
                leg=leg,
                start=(d.shelf_back, at, d.shelf),
                end=(d.shelf_back + 2 * INCH, at, d.shelf),
                sides=1,
            ),
        ]
        rows.append((part, seams))
    return rows


def _bolts(d: Datum, make: Maker) -> tuple[list[Part], Joint]:
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
