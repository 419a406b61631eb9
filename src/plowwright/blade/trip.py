"""What makes the moldboard trip and come back: spring towers, their bar and braces, lugs, springs, eyebolts."""

from __future__ import annotations

from plowwright import units
from plowwright.blade.datum import Datum
from plowwright.blade.making import Maker, X, Z, along, distance
from plowwright.blade.parts import Hole, Joint, Link, Part, Place, Solid, Sprung, Vec, Weld
from plowwright.blade.pushframe import Legs, legs
from plowwright.errors import ModelError
from plowwright.physics.regions import Loop, Region, circle
from plowwright.units.constants import INCH


def parts(d: Datum, make: Maker) -> tuple[list[Part], list[Joint]]:
    """Towers, braces, springs and eyebolts with their joints.

    Args:
        d: Sizes of the blade.
        make: Makes parts of the rulebook's stock.
    """
    return _towers(d, make, legs(d, make))


def spring_places(d: Datum) -> tuple[float, ...]:
    """Where springs hang along y: on the hinge webs, outer ones first, in pairs where springs outnumber webs [m].

    Args:
        d: Sizes of the blade.
    """
    count, hinges = d.springs.count, list(d.hinge_ys)
    if count == len(hinges):
        return tuple(hinges)
    if count < len(hinges):
        outer = hinges[: count // 2] + hinges[len(hinges) - count // 2 :]
        return tuple(sorted([*outer, 0.0] if count % 2 else outer))
    beside = 1.75 * INCH
    pairs = count // 2 // 2
    left = hinges[len(hinges) - pairs :]
    places = [y + off for y in left for off in (-beside, beside)]
    places = places + [-y for y in places]
    return tuple(sorted(places + ([0.0] if count % 2 else [])))


def _towers(d: Datum, make: Maker, run: Legs) -> tuple[list[Part], list[Joint]]:
    tower, size = d.series.tower, make.sizes(d.row.tower)[0]
    foot = d.hinge_z + d.beam_upright / 2
    top = foot + tower.height
    y_t = min(d.hinge_ys[-1], run.y1)
    pieces: list[Part] = []
    joints: list[Joint] = []
    for side, s in (("left", 1.0), ("right", -1.0)):
        tower_id, brace_id = f"tower {side}", f"brace {side}"
        pieces.append(
            make.bar(
                tower_id,
                "tower",
                "spring tower",
                stock=d.row.tower,
                start=(d.beam_x, s * y_t, foot),
                end=(d.beam_x, s * y_t, top),
                up=X,
                group="springs",
                body="frame",
            )
        )
        joints.append(
            Weld(
                id=f"{tower_id} to hinge beam",
                joins=(tower_id, "hinge beam"),
                leg=d.series.welds.frame,
                start=(d.beam_x - size / 2, s * y_t, foot),
                end=(d.beam_x + size / 2, s * y_t, foot),
                sides=4,
            )
        )
        x_low = run.x1 - max(4 * INCH, 0.8 * tower.height)
        low = (x_low, s * run.y_at(x_low), run.z + d.leg_size / 2)
        high = (d.beam_x - size / 2, s * y_t, max(top - size, foot + INCH))
        pieces.append(
            make.bar(
                brace_id,
                brace_id,
                f"tower brace, {side}",
                stock=d.series.stand_pocket,
                start=low,
                end=high,
                start_normal=Z,
                end_normal=X,
                group="springs",
                body="frame",
            )
        )
        small = make.sizes(d.series.stand_pocket)[0]
        for id_to, at in ((tower_id, high), (f"leg {side}", low)):
            joints.append(
                Weld(
                    id=f"{brace_id} to {id_to}",
                    joins=(brace_id, id_to),
                    leg=d.series.welds.moldboard,
                    start=(at[0], at[1] - small / 2, at[2]),
                    end=(at[0], at[1] + small / 2, at[2]),
                    sides=4,
                )
            )
    pieces.append(
        make.bar(
            "tower bar",
            "tower bar",
            "bar between the towers",
            stock=d.row.tower,
            start=(d.beam_x, -y_t + size / 2, top - size / 2),
            end=(d.beam_x, y_t - size / 2, top - size / 2),
            group="springs",
            body="frame",
        )
    )
    for side, s in (("left", 1.0), ("right", -1.0)):
        at = (d.beam_x, s * (y_t - size / 2), top - size / 2)
        joints.append(
            Weld(
                id=f"tower bar to tower {side}",
                joins=("tower bar", f"tower {side}"),
                leg=d.series.welds.frame,
                start=(at[0], at[1], at[2] - size / 2),
                end=(at[0], at[1], at[2] + size / 2),
                sides=4,
            )
        )
    some, seams = _springs(d, make, (d.beam_x + size / 2, top - size / 2))
    return [*pieces, *some], [*joints, *seams]


def _springs(d: Datum, make: Maker, anchor: tuple[float, float]) -> tuple[list[Part], list[Joint]]:
    spring, tower = make.entry(d.springs.spring), d.series.tower
    eyebolt = make.entry(tower.eyebolt)
    coil = (spring.coil or 2 * INCH) / 2
    loaded = (spring.free_length or 0.0) + tower.preload
    a = d.arc
    lug_x, _ = a.at(a.phi_at_height(tower.lug_height), d.skin_wall)
    lug_x -= 0.8 * d.series.moldboard.web_depth_middle
    pieces: list[Part] = []
    joints: list[Joint] = []
    reach = distance((lug_x, 0.0, tower.lug_height), (anchor[0], 0.0, anchor[1]))
    bolt_out = reach - loaded
    least, most = 0.75 * INCH, (eyebolt.length or 6 * INCH)
    if not least <= bolt_out <= most:
        raise ModelError(
            f"{d.series.name}: the springs do not reach between web and tower",
            value=f"{units.tape(reach)} between lug and anchor, spring {units.tape(loaded)} under preload",
            limit=f"{units.tape(least)} to {units.tape(most)} left for the eyebolt",
            way_out="Change lug_height or height of the tower in series.toml.",
        )
    share = loaded / reach
    for number, y in enumerate(spring_places(d), 1):
        web = min(range(len(d.web_ys)), key=lambda i: abs(d.web_ys[i] - y)) + 1
        start: Vec = (lug_x, y, tower.lug_height)
        end: Vec = (anchor[0], y, anchor[1])
        hook: Vec = (start[0] + (end[0] - start[0]) * share, y, start[2] + (end[2] - start[2]) * share)
        link = Link(start=start, start_body="moldboard", end=end, end_body="frame", follows="both")
        body = Region(outer=circle(0.0, 0.0, coil), inner=(circle(0.0, 0.0, coil - (spring.wire or INCH / 4)),))
        lug, weld = _lug(d, make, number, web, start)
        pieces.append(lug)
        joints.append(weld)
        pieces.append(
            make.bought(
                f"spring {number}",
                "trip spring",
                "trip spring",
                stock=d.springs.spring,
                solids=(Solid(region=body, start=coil, end=distance(start, hook) - coil),),
                place=along(start, end),
                group="springs",
                body="link",
                link=link,
                length=loaded,
            )
        )
        r = (eyebolt.diameter or 0.625 * INCH) / 2
        pieces.append(
            make.bought(
                f"eyebolt {number}",
                "eyebolt",
                "spring eyebolt with nuts",
                stock=tower.eyebolt,
                solids=(
                    Solid(region=Region(outer=circle(0.0, 0.0, r)), start=0.0, end=eyebolt.length or 6 * INCH),
                ),
                place=Place(origin=hook, u=along(start, end).u, v=along(start, end).v),
                group="springs",
                body="link",
                link=Link(start=start, start_body="moldboard", end=end, end_body="frame", follows="end"),
                length=eyebolt.length or 6 * INCH,
            )
        )
        joints.append(
            Sprung(
                id=f"spring {number} hung",
                joins=(f"web {web}", "tower bar"),
                spring=f"spring {number}",
                start=start,
                end=end,
                preload=tower.preload,
            )
        )
    return pieces, joints


def _lug(d: Datum, make: Maker, number: int, web: int, at: Vec) -> tuple[Part, Joint]:
    """A lug on the side of a web for one spring's hook; u = x, v = z."""
    t, r = make.thickness(d.row.ear), 1.0 * INCH
    lug_id = f"spring lug {number}"
    offset = (make.thickness(d.row.web) + t) / 2
    side = 1.0 if at[1] >= d.web_ys[web - 1] else -1.0
    y = d.web_ys[web - 1] + side * offset
    outline: Loop = ((0.0, -r, 0.0), (2.5 * INCH, -r, 0.0), (2.5 * INCH, r, 0.0), (0.0, r, 1.0))
    part = make.plate(
        lug_id,
        "spring lug",
        "spring lug on the web",
        stock=d.row.ear,
        outline=outline,
        origin=(at[0], y, at[2]),
        u=X,
        v=Z,
        group="springs",
        body="moldboard",
        holes=(Hole(along=0.0, across=0.0, diameter=0.75 * INCH, depth=t),),
        finish="body colour",
    )
    weld = Weld(
        id=f"{lug_id} to web {web}",
        joins=(lug_id, f"web {web}"),
        leg=d.series.welds.moldboard,
        start=(at[0] + 0.5 * INCH, y, at[2]),
        end=(at[0] + 2.5 * INCH, y, at[2]),
        sides=2,
        joint="lap",
    )
    return part, weld
