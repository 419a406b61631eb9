"""The moldboard: skin, top, webs and ears; its foot with edge and bolts is in `bottom.py`."""

from __future__ import annotations

from math import asin, cos, pi, radians, sin, tan

from plowwright.blade import bottom
from plowwright.blade.datum import Datum
from plowwright.blade.making import Maker, X, Z
from plowwright.blade.parts import Bend, Hole, Joint, Part, Weld
from plowwright.blade.shapes import Place, Solid
from plowwright.physics.regions import Loop, Region, polygon
from plowwright.units.constants import INCH

SNIPE = 0.75 * INCH
"""Corner taken off a web's foot so that it clears the lap and its weld [m]."""

EAR_LAP = 2.0 * INCH
"""How far an ear reaches forward on the shelf from its rear edge [m]."""

HEEL = 0.75 * INCH
"""Height of the face with which an ear bears on the hinge beam [m]."""

LEAST_RUN = 0.75 * INCH
"""Seams shorter than this are left out [m]."""

SKIN_STEPS = 6
"""Straight pieces a seam along the skin's arc is drawn in; six are short of the arc by less than 1 in 1,000 [-]."""


def parts(d: Datum, make: Maker) -> tuple[list[Part], list[Joint]]:
    """All parts and joints of the moldboard.

    Args:
        d: Sizes of the blade.
        make: Makes parts of the rulebook's stock.
    """
    pieces = [*bottom.bars(d, make), _skin(d, make)]
    joints: list[Joint] = []
    for part, seams in (*_top(d, make), *_webs(d, make), *_ears(d, make)):
        pieces.append(part)
        joints.extend(seams)
    w, z = d.width / 2, d.shelf
    joints.append(
        Weld(
            id="skin to angle",
            joins=("skin", "bottom angle"),
            leg=d.series.welds.skin,
            start=(d.face, -w, z),
            end=(d.face, w, z),
            stitch=_stitch(d),
            joint="lap",
        )
    )
    plow_bolts, held = bottom.bolts(d, make)
    return [*pieces, *plow_bolts], [*joints, held]


def _stitch(d: Datum) -> tuple[float, float]:
    return d.series.welds.stitch, d.series.welds.stitch_pitch


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
    return [(points[i][0], points[i][1], -points[i - 1][2] if points[i - 1][2] else 0.0) for i in range(count)]


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


def _top(d: Datum, make: Maker) -> list[tuple[Part, list[Joint]]]:
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
    part = Part(
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
    # Along its upper corner, where the back of the skin ends.
    seam = Weld(
        id="top member to skin",
        joins=("top member", "skin"),
        leg=d.series.welds.skin,
        start=(x, -half, z),
        end=(x, half, z),
        stitch=_stitch(d),
    )
    return [(part, [seam])]


def _web_front(d: Datum) -> tuple[float, float]:
    """How far the skin leans forward where a web's front edge begins above its snipe, and where it ends [rad]."""
    board, a, t = d.series.moldboard, d.arc, d.skin_wall
    inset = d.skin_wall if board.top_fold else 0.0
    z_top = min(a.at(a.roll, t)[1], board.body_height - inset)
    return a.phi_at_height(a.z + SNIPE), a.phi_at_height(z_top - t * sin(a.roll))


def web_outline(d: Datum) -> Loop:
    """A web's outline with u = x, v = z, counter-clockwise; its front edge follows the back of the skin [m].

    Args:
        d: Sizes of the blade.
    """
    board, a, t = d.series.moldboard, d.arc, d.skin_wall
    low, high = _web_front(d)
    front_low, front_top = a.at(low, t), a.at(high, t)
    inset = d.skin_wall if board.top_fold else 0.0
    z_mid = 0.5 * (a.z + min(a.at(a.roll, t)[1], board.body_height - inset))
    mid = a.at(a.phi_at_height(z_mid), t)
    rear_foot = d.shelf_back + INCH / 4
    return (
        (front_low[0] - SNIPE, a.z, 0.0),
        (front_low[0], front_low[1], -tan((high - low) / 4)),
        (front_top[0], front_top[1], 0.0),
        (front_top[0] - board.web_depth_top, front_top[1], 0.0),
        (mid[0] - board.web_depth_middle, z_mid, 0.0),
        (min(rear_foot, front_low[0] - 2 * SNIPE), a.z, 0.0),
    )


def web_rear(d: Datum, z: float) -> float:
    """A web's rear edge along x at a height [m].

    Args:
        d: Sizes of the blade.
        z: Height above the edge tip [m].
    """
    shape = web_outline(d)
    (x0, z0, _), (x1, z1, _) = (shape[5], shape[4]) if z <= shape[4][1] else (shape[4], shape[3])
    return x0 + (x1 - x0) * (z - z0) / (z1 - z0)


def _webs(d: Datum, make: Maker) -> list[tuple[Part, list[Joint]]]:
    shape, t = web_outline(d), make.thickness(d.row.web)
    rows: list[tuple[Part, list[Joint]]] = []
    for number, y in enumerate(d.web_ys, 1):
        # u = x, v = z: w points to the right (-y); thickness is centred on y.
        part = make.plate(
            f"web {number}",
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
        rows.append((part, _web_seams(d, part.id, shape, y, t)))
    return rows


def ear_side(y: float) -> float:
    """Which side of its web a moldboard ear stands on: the inner one, the middle one to the left; +1 is left [-].

    Args:
        y: The web's place along y [m].
    """
    return -1.0 if y > 1e-9 else 1.0


def _web_seams(d: Datum, web_id: str, shape: Loop, y: float, t: float) -> list[Joint]:
    """Both faces on the shelf and the skin; where an ear laps the foot there is metal only on the other face."""
    welds, hinged = d.series.welds, any(abs(h - y) < 1e-6 for h in d.hinge_ys)
    # The first seam lies on the face away from the ear, the second on the ear's.
    toward = ear_side(y)
    face, across = y - toward * t / 2, (0.0, toward * t, 0.0)
    front, rear = shape[0][0], shape[5][0]
    seams: list[Joint] = [
        Weld(
            id=f"{web_id} to shelf",
            joins=(web_id, "bottom angle"),
            leg=welds.moldboard,
            start=(front, face, d.shelf),
            end=(rear, face, d.shelf),
            sides=1 if hinged else 2,
            across=(0.0, 0.0, 0.0) if hinged else across,
        )
    ]
    clear = d.shelf_back + EAR_LAP
    if hinged and front - clear > LEAST_RUN:
        seams.append(
            Weld(
                id=f"{web_id} to shelf, before the ear",
                joins=(web_id, "bottom angle"),
                leg=welds.moldboard,
                start=(front, face + across[1], d.shelf),
                end=(clear, face + across[1], d.shelf),
            )
        )
    a, back = d.arc, d.skin_wall
    low, high = _web_front(d)
    steps = tuple(a.at(low + (high - low) * i / SKIN_STEPS, back) for i in range(1, SKIN_STEPS))
    seams.append(
        Weld(
            id=f"{web_id} to skin",
            joins=(web_id, "skin"),
            leg=welds.skin,
            start=(shape[1][0], face, shape[1][1]),
            end=(shape[2][0], face, shape[2][1]),
            via=tuple((x, face, z) for x, z in steps),
            sides=2,
            across=across,
            stitch=_stitch(d),
        )
    )
    return seams


def ear_outline(d: Datum) -> Loop:
    """A moldboard ear with u = x, v = z: laps the web's foot, reaches behind the shelf to the hinge line [m].

    Its heel bears on the hinge beam under the springs' preload until the moldboard trips.

    Args:
        d: Sizes of the blade.
    """
    r = min(d.series.hinge.behind_shelf, 1.5 * INCH) * 0.98
    x, z, foot = d.hinge_x, d.hinge_z, d.shelf
    if foot >= z:
        eye = [(x - r, z, 1.0), (x + r, z, 0.0), (x + r, foot, 0.0)]
    else:
        # The eye reaches above the shelf: its round ends there.
        rise = asin(min(1.0, (z - foot) / r))
        eye = [(x - r, z, tan((pi - rise) / 4)), (x + r * cos(rise), z - r * sin(rise), 0.0)]
    front, top = ear_front(d)
    beam, high, low = ear_heel(d)
    return (
        *eye,
        (*front, 0.0),
        (*top, 0.0),
        (x - r * 0.4, top[1] - INCH / 2, 0.0),
        (beam, high, 0.0),
        (beam, low, 0.0),
    )


def ear_heel(d: Datum) -> tuple[float, float, float]:
    """Where an ear bears on the hinge beam's front face: along x, and its upper and lower end above the edge tip [m].

    Args:
        d: Sizes of the blade.
    """
    high = d.hinge_z + d.beam_upright / 2 - HEEL / 2
    return d.beam_x + d.beam_deep / 2, high, high - HEEL


def ear_front(d: Datum) -> tuple[tuple[float, float], tuple[float, float]]:
    """Foot and top of an ear's front edge, x and z [m].

    Args:
        d: Sizes of the blade.
    """
    return (d.shelf_back + EAR_LAP, d.shelf), (d.shelf_back + EAR_LAP - INCH / 2, d.shelf + 3 * INCH)


def _ears(d: Datum, make: Maker) -> list[tuple[Part, list[Joint]]]:
    rows: list[tuple[Part, list[Joint]]] = []
    t_web, t_ear = make.thickness(d.row.web), make.thickness(d.row.ear)
    pin = make.sizes(d.series.hinge.pin)[0]
    hole = Hole(along=d.hinge_x, across=d.hinge_z, diameter=pin + INCH / 32, depth=t_ear)
    shape = ear_outline(d)
    for number, y in enumerate(d.hinge_ys, 1):
        side = ear_side(y)
        web = next(i for i, w in enumerate(d.web_ys, 1) if abs(w - y) < 1e-6)
        part = make.plate(
            f"ear {number}",
            "ear",
            "moldboard ear",
            stock=d.row.ear,
            outline=shape,
            origin=(0.0, y + side * (t_web + t_ear) / 2, 0.0),
            u=X,
            v=Z,
            group="hinge",
            body="moldboard",
            holes=(hole,),
            finish="body colour",
        )
        faces = (y + side * t_web / 2, y + side * (t_web / 2 + t_ear))
        rows.append((part, _ear_seams(d, part.id, f"web {web}", faces)))
    return rows


def _ear_seams(d: Datum, ear_id: str, web_id: str, faces: tuple[float, float]) -> list[Joint]:
    """Round the ear's front and top on the web's face, down the web's rear edge, and along the shelf outside."""
    leg, (inner, outer) = d.series.welds.frame, faces
    shape = ear_outline(d)
    (x0, z0, _), (x1, z1, _) = shape[-4], shape[-3]
    (xa, za, _), (xb, zb, _) = web_outline(d)[5], web_outline(d)[4]
    # Where the ear's top edge crosses the web's rear edge, or the end of the top edge when the web lies under it all.
    share = ((xa - x0) * (zb - za) - (za - z0) * (xb - xa)) / ((x1 - x0) * (zb - za) - (z1 - z0) * (xb - xa))
    share = min(1.0, max(0.0, share))
    cross = (x0 + share * (x1 - x0), inner, z0 + share * (z1 - z0))
    front, top = ear_front(d)
    return [
        Weld(
            id=f"{ear_id} to {web_id}",
            joins=(ear_id, web_id),
            leg=leg,
            start=(front[0], inner, front[1]),
            via=((top[0], inner, top[1]),),
            end=cross,
            joint="lap",
        ),
        Weld(
            id=f"{ear_id} to {web_id}, rear edge",
            joins=(ear_id, web_id),
            leg=leg,
            start=(xa, inner, za),
            end=cross,
            joint="lap",
        ),
        Weld(
            id=f"{ear_id} to shelf",
            joins=(ear_id, "bottom angle"),
            leg=leg,
            start=(d.shelf_back, outer, d.shelf),
            end=(front[0], outer, d.shelf),
        ),
    ]
