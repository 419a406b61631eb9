"""What makes the moldboard trip and come back: spring towers, their bar and braces, lugs, springs, eyebolts."""

from __future__ import annotations

from typing import Literal

from plowwright import units
from plowwright.blade.datum import Datum
from plowwright.blade.making import Maker, X, Z, along, distance, end_seam
from plowwright.blade.moldboard import LEAST_RUN, web_rear
from plowwright.blade.parts import Hole, Joint, Link, Part, Sprung, Weld
from plowwright.blade.pushframe import Legs, legs
from plowwright.blade.shapes import Place, Solid, Vec
from plowwright.blade.swings import BRACE_FOOT
from plowwright.errors import ModelError
from plowwright.physics.regions import Loop, Region, circle, polygon
from plowwright.units.constants import INCH

SPRING_BESIDE = 1.75 * INCH
"""From a web's middle to the springs beside it [m]: clears the coil and leaves room for the hook on the lug's bolt."""

EYE = 0.75 * INCH
"""Least room for an eyebolt's eye between the hook and the bar [m]."""

NUT = 1.25 * INCH
"""Thread that stands behind the anchor [m]: the nuts; what is longer is cut off when the springs are set."""


def parts(d: Datum, make: Maker) -> tuple[list[Part], list[Joint]]:
    """Towers, braces, springs and eyebolts with their joints.

    Args:
        d: Sizes of the blade.
        make: Makes parts of the rulebook's stock.
    """
    return _towers(d, make, legs(d, make))


def spring_places(d: Datum) -> tuple[float, ...]:
    """Where springs hang along y: one beside each hinge web on its inner side, outer webs first [m].

    More springs than that go to the middle web's other side, then to the outer sides. A coil would cut into a web it
    hung behind.

    Args:
        d: Sizes of the blade.
    """
    count = d.springs.count
    half = [y for y in reversed(d.hinge_ys) if y > 1e-9]
    middle = len(d.hinge_ys) % 2 == 1 and count % 2 == 0
    places = [y - SPRING_BESIDE for y in half]
    places += [SPRING_BESIDE] if middle else []
    places += [y + SPRING_BESIDE for y in reversed(half)]
    left = places[: count // 2]
    return tuple(sorted([*left, *(-y for y in left), *([SPRING_BESIDE] if count % 2 else [])]))


def _towers(d: Datum, make: Maker, run: Legs) -> tuple[list[Part], list[Joint]]:
    tower, size = d.series.tower, make.sizes(d.row.tower)[0]
    foot = d.hinge_z + d.beam_upright / 2
    top = foot + tower.height
    y_t = min(d.hinge_ys[-1], run.y1)
    pieces: list[Part] = []
    joints: list[Joint] = []
    for side, s in (("left", 1.0), ("right", -1.0)):
        post = make.bar(
            f"tower {side}",
            "tower",
            "spring tower",
            stock=d.row.tower,
            start=(d.beam_x, s * y_t, foot),
            end=(d.beam_x, s * y_t, top),
            up=X,
            group="springs",
            body="frame",
        )
        pieces.append(post)
        joints.append(_all_round(post, "start", "hinge beam", d.series.welds.frame))
        brace, seams = _brace(d, make, run, post, s)
        pieces.append(brace)
        joints.extend(seams)
    # Behind the towers, from the outermost spring to that on the other side.
    places = spring_places(d)
    out = max(y_t + size / 2, places[-1] + INCH, -places[0] + INCH)
    x, z = d.beam_x - size, top - size / 2
    bar = make.bar(
        "tower bar",
        "tower bar",
        "bar behind the towers",
        stock=d.row.tower,
        start=(x, -out, z),
        end=(x, out, z),
        group="springs",
        body="frame",
    )
    pieces.append(bar)
    joints += [
        Weld(
            id=f"tower bar to tower {side}",
            joins=("tower bar", f"tower {side}"),
            leg=d.series.welds.frame,
            start=(x + size / 2, s * (y_t - size / 2), z - size / 2),
            end=(x + size / 2, s * (y_t + size / 2), z - size / 2),
            sides=2,
            across=(0.0, 0.0, size),
        )
        for side, s in (("left", 1.0), ("right", -1.0))
    ]
    # The nut under the bar.
    some, seams = _springs(d, make, (x, top - size))
    return [*pieces, *some], [*joints, *seams]


def _brace(d: Datum, make: Maker, run: Legs, post: Part, s: float) -> tuple[Part, list[Joint]]:
    """An upright plate behind a tower: along the leg's upper face, over the hinge beam, up the tower's rear face.

    It stands as far inboard as the tower's flat face allows, because the leg runs inwards below it.
    """
    size, t = make.sizes(d.row.tower)[0], make.thickness(d.row.ear)
    flat = size / 2 - 2 * make.wall(d.row.tower)
    y = post.place.origin[1] - s * (flat - t / 2)
    leg_top, beam_top = run.z + d.leg_size / 2, d.hinge_z + d.beam_upright / 2
    # Further back the leg would leave its foot.
    offset = run.y1 - abs(y)
    foot = min(BRACE_FOOT, (offset + run.half_width(d) - t / 2) / run.slope)
    rear, face, tower = run.x1 - foot, run.x1, d.beam_x - size / 2
    # Below the bar stand the ends of the eyebolts with their nuts.
    step, high = beam_top - leg_top, beam_top + max(0.0, d.series.tower.height - size - NUT - INCH / 8) - leg_top
    outline = [(0.0, 0.0), (face - rear, 0.0)]
    if step > 1e-6:
        outline.append((face - rear, step))
    outline += [(tower - rear, step), (tower - rear, high), (0.0, 0.75 * INCH)]
    side, leg = post.id.removeprefix("tower "), d.series.welds.moldboard
    part = make.plate(
        f"brace {side}",
        "brace",
        "tower brace",
        stock=d.row.ear,
        outline=polygon(outline),
        origin=(rear, y, leg_top),
        u=X,
        v=Z,
        group="springs",
        body="frame",
    )
    runs = (
        (f"leg {side}", (rear, leg_top), (face, leg_top)),
        ("hinge beam", (face, beam_top), (tower, beam_top)),
        (post.id, (tower, beam_top), (tower, leg_top + high)),
    )
    seams: list[Joint] = [
        Weld(
            id=f"{part.id} to {to}",
            joins=(part.id, to),
            leg=leg,
            start=(start[0], y - s * t / 2, start[1]),
            end=(end[0], y - s * t / 2, end[1]),
            sides=2,
            across=(0.0, s * t, 0.0),
        )
        for to, start, end in runs
        if abs(end[0] - start[0]) + abs(end[1] - start[1]) > LEAST_RUN
    ]
    return part, seams


def _all_round(bar: Part, end: Literal["start", "end"], to: str, leg: float) -> Weld:
    first, last, across = end_seam(bar, end)
    return Weld(id=f"{bar.id} to {to}", joins=(bar.id, to), leg=leg, start=first, end=last, sides=4, across=across)


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
    # The eyebolt's shank goes slanting through the bar.
    through = make.sizes(d.row.tower)[0] * reach / (tower.lug_height - anchor[1])
    least, most = EYE + through, (eyebolt.length or 6 * INCH) - NUT
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
                solids=(Solid(region=Region(outer=circle(0.0, 0.0, r)), start=0.0, end=bolt_out + NUT),),
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
    """A lug on the side of a web for one spring's hook; u = x, v = z. It laps the web by an inch and a half or more."""
    t, r = make.thickness(d.row.ear), 1.0 * INCH
    lug_id, side = f"spring lug {number}", 1.0 if at[1] >= d.web_ys[web - 1] else -1.0
    face = d.web_ys[web - 1] + side * make.thickness(d.row.web) / 2
    low, high = (web_rear(d, at[2] + up) for up in (-r, r))
    front = max(low, high) + 1.5 * INCH
    outline: Loop = ((0.0, -r, 0.0), (front - at[0], -r, 0.0), (front - at[0], r, 0.0), (0.0, r, 1.0))
    part = make.plate(
        lug_id,
        "spring lug",
        "spring lug on the web",
        stock=d.row.ear,
        outline=outline,
        origin=(at[0], face + side * t / 2, at[2]),
        u=X,
        v=Z,
        group="springs",
        body="moldboard",
        holes=(Hole(along=0.0, across=0.0, diameter=0.75 * INCH, depth=t),),
        finish="body colour",
    )
    # Round the lug's end, from the web's rear edge below to the same above.
    weld = Weld(
        id=f"{lug_id} to web {web}",
        joins=(lug_id, f"web {web}"),
        leg=d.series.welds.moldboard,
        start=(low, face, at[2] - r),
        via=((front, face, at[2] - r), (front, face, at[2] + r)),
        end=(high, face, at[2] + r),
        joint="lap",
    )
    return part, weld
