"""Level 1 moldboard: a lattice of beams, for sweeps and live changes; never for welds.

Nodes stand on the skin at each web and level, and on the bottom member. What is assumed:

- a web with the skin that works with it is a T-beam, one section between two levels;
- between webs the skin is a strip at each level, its membrane only, and in each field two crossing bars that are as
  stiff in shear as the sheet: A = G t d^3 / (2 E a h);
- bottom angle and cutting edge bend and twist as one (the bolts neither slip nor part), about upright and level axes;
- a web's foot sits rigidly on the bottom member: what bends there is only seen at level 2;
- an ear is a beam from the hinge to its seams, where it bends a little way in; end overhangs of the skin are left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import dist, hypot, sqrt
from typing import Final

import numpy as np

from plowwright.blade import loads
from plowwright.blade.datum import Datum
from plowwright.blade.loads import BoardLoad
from plowwright.blade.parts import Part
from plowwright.blade.shapes import Vec
from plowwright.blade.strength import members
from plowwright.blade.strength.frame_model import hinges, hung
from plowwright.blade.strength.frame_parts import Finder, across, plus
from plowwright.blade.strength.members import Metal
from plowwright.physics import built_up, sections
from plowwright.physics.frame_elements import Floats, Whole
from plowwright.physics.materials import STEEL_SHEAR, STEEL_YOUNG
from plowwright.physics.regions import flatten
from plowwright.physics.sections import StrengthSection
from plowwright.units.constants import INCH

X: Final[Vec] = (1.0, 0.0, 0.0)
Y: Final[Vec] = (0.0, 1.0, 0.0)
Z: Final[Vec] = (0.0, 0.0, 1.0)
CLOSE: Final = 1.5 * INCH
"""Nodes of the bottom member nearer than this are not wanted for a load alone [m]."""
ROOT: Final = 0.3
"""How far into its seams an ear bends freely, from the rear of the shelf to their middle [-]; fitted to level 2."""
FINE: Final = 24
"""Pieces a spread load is cut into [-]."""


@dataclass(frozen=True, kw_only=True)
class Lattice:
    """Where a lattice takes its loads.

    Attributes:
        datum: Sizes of the blade.
        bottom_ys: Nodes of the bottom member along y [m].
        bottom: Their numbers [-].
        web_ys: Webs along y [m].
        levels: Heights of the rows of nodes on the skin, from the lowest above the shelf [m].
        skin: Their numbers, (levels, webs) [-].
        places: Places of all nodes of the plan, (n, 3) [m].
    """

    datum: Datum
    bottom_ys: tuple[float, ...]
    bottom: tuple[int, ...]
    web_ys: tuple[float, ...]
    levels: tuple[float, ...]
    skin: tuple[tuple[int, ...], ...]
    places: Floats

    def nodal(self, cases: Sequence[Sequence[BoardLoad]]) -> Floats:
        """Board loads on the nodes, force and moment kept, (c, n, 6) [N, N m].

        Args:
            cases: The loads of each case [N].
        """
        out = np.zeros((len(cases), len(self.places), 6))
        flat = [(row, load) for row, board in enumerate(cases) for load in board]
        for on in ("edge", "skin"):
            chosen = [(row, load) for row, load in flat if load.place.on == on]
            if chosen:
                self._spread(out, [row for row, _ in chosen], [load for _, load in chosen])
        return out

    def _spread(self, out: Floats, rows: list[int], board: list[BoardLoad]) -> None:
        """Add loads on one face: each cut into pieces, each piece to the nodes around it."""
        force = np.array([load.force for load in board])[:, None, None] / FINE
        ends = np.array([(load.place.y0, load.place.y1) for load in board])
        steps = (np.arange(FINE) + 0.5) / FINE
        ys = ends[:, :1] + steps * (ends[:, 1:] - ends[:, :1])
        at = np.array([loads.middle(load, self.datum) for load in board])
        points = np.empty((*ys.shape, 3))
        points[..., 0], points[..., 1], points[..., 2] = at[:, :1], ys, at[:, 2:]
        numbers, shares = self._shares(board[0].place.on, points)
        part = shares[..., None] * force
        arms = points[:, :, None] - self.places[numbers]
        where = (np.array(rows)[:, None, None], numbers)
        np.add.at(out[..., :3], where, part)
        np.add.at(out[..., 3:], where, across(arms, part))

    def _shares(self, on: str, points: Floats) -> tuple[Whole, Floats]:
        """Nodes that take a load at each of its pieces, and how much each takes, (loads, pieces, nodes)."""
        if on == "edge":
            first, share = _split(np.array(self.bottom_ys), points[..., 1])
            numbers = np.array(self.bottom)
            return np.stack((numbers[first], numbers[first + 1]), axis=-1), np.stack((1 - share, share), axis=-1)
        level, up = _split(np.array(self.levels), points[..., 2])
        web, left = _split(np.array(self.web_ys), points[..., 1])
        numbers = np.array(self.skin)
        nodes = [numbers[level + i, web + k] for i in (0, 1) for k in (0, 1)]
        shares = [u * s for u in (1 - up, up) for s in (1 - left, left)]
        return np.stack(nodes, axis=-1), np.stack(shares, axis=-1)


def _split(marks: Floats, at: Floats) -> tuple[Whole, Floats]:
    """Between which two marks each place lies, and its share of the way; beyond the last ones the nearest takes all."""
    first = np.clip(np.searchsorted(marks, at) - 1, 0, len(marks) - 2)
    return first, np.clip((at - marks[first]) / (marks[first + 1] - marks[first]), 0.0, 1.0)


def lay(find: Finder, at: Sequence[float]) -> Lattice:
    """Lay the moldboard into a plan that has the push frame.

    Args:
        find: Parts and joints of the blade.
        at: Where along the blade the bottom member wants a node for a load [m].
    """
    webs = sorted((part for part in find.parts.values() if part.mark == "web"), key=lambda part: part.place.origin[1])
    levels = _levels(find, webs)
    ys = _bottom(find, webs, at)
    _skin_nodes(find, webs, levels)
    for web, place in zip(webs, _tributary(webs), strict=True):
        _tee(find, web, levels, place)
    for right, left in pairwise(webs):
        _field(find, right, left, levels)
    _ears(find)
    _lugs(find, webs, levels)
    numbers = find.plan.numbers
    return Lattice(
        datum=find.blade.datum,
        bottom_ys=tuple(ys),
        bottom=tuple(numbers[name] for name in ys.values()),
        web_ys=tuple(web.place.origin[1] for web in webs),
        levels=tuple(levels[1:]),
        skin=tuple(tuple(numbers[_on(web, level)] for web in webs) for level in range(1, len(levels))),
        places=np.array([find.plan.places[name] for name in find.plan.labels]),
    )


def _on(web: Part, level: int) -> str:
    return f"bottom at {web.id}" if level == 0 else f"{web.id}, level {level}"


def _levels(find: Finder, webs: Sequence[Part]) -> list[float]:
    """Heights of the rows of nodes: shelf, half-way, where the springs hang, top of the webs [m]."""
    d = find.blade.datum
    top = webs[0].solids[0].region.bounds()[3]
    lug = min(max(hung(find)[0].start[2], d.shelf + 0.4 * (top - d.shelf)), top - 0.1 * (top - d.shelf))
    return [d.shelf, (d.shelf + lug) / 2, lug, top]


def _bottom(find: Finder, webs: Sequence[Part], at: Sequence[float]) -> dict[float, str]:
    """The bottom member with its nodes, by y."""
    d, plan, angle = find.blade.datum, find.plan, find.part("bottom angle")
    section = built_up.angle_with_edge_strength(d.leg_up, d.leg_back, d.angle_wall, d.edge_height, d.edge_wall, d.foot)
    origin = angle.place.origin
    x, z = origin[0] - section.centroid[0], origin[2] + section.centroid[1]
    names = {web.place.origin[1]: _on(web, 0) for web in webs}
    for y in (*sorted(at, key=abs), -d.width / 2, d.width / 2):
        if all(abs(y - known) > CLOSE for known in names) or abs(y) > d.width / 2 - 1e-6:
            names[y] = f"bottom at y {y / INCH:.1f} in"
    ordered = dict(sorted(names.items()))
    for y, name in ordered.items():
        plan.node(name, (x, y, z))
    steel = members.metal(angle, find.blade.rulebook)
    for number, (first, last) in enumerate(pairwise(ordered.values()), 1):
        plan.beam(f"bottom angle {number}", first, last, section, steel, part=angle.id, role="moldboard", up=Z)
    return ordered


def _skin_at(d: Datum, z: float, back: float) -> Vec:
    """A point of the skin at a height, in the blade's middle [m]."""
    x, up = d.arc.at(d.arc.phi_at_height(z), back)
    return (x, 0.0, up)


def _skin_nodes(find: Finder, webs: Sequence[Part], levels: Sequence[float]) -> None:
    d = find.blade.datum
    for level, z in enumerate(levels[1:], 1):
        at = _skin_at(d, z, d.skin_wall / 2)
        for web in webs:
            find.plan.node(_on(web, level), (at[0], web.place.origin[1], at[2]))


def _tributary(webs: Sequence[Part]) -> list[float]:
    """Width of skin nearest to each web [m]."""
    ys = [web.place.origin[1] for web in webs]
    marks = [ys[0], *((a + b) / 2 for a, b in pairwise(ys)), ys[-1]]
    return [b - a for a, b in pairwise(marks)]


def _tee(find: Finder, web: Part, levels: Sequence[float], wide: float) -> None:
    d, plan, y = find.blade.datum, find.plan, web.place.origin[1]
    outline = flatten(web.solids[0].region.outer)
    # Shear lag leaves no more of the skin to a web than about half the web's height.
    flange = round(min(wide, (levels[-1] - levels[0]) / 2), 9)
    steel = members.metal(web, find.blade.rulebook)
    for number, (low, high) in enumerate(pairwise(levels)):
        depth = round(depth_at(outline, (low + high) / 2), 9)
        section = built_up.tee_strength(depth, web.thickness, flange, d.skin_wall)
        ends = [plus(_skin_at(d, z, d.skin_wall), X, section.centroid[1]) for z in (low, high)]
        plan.beam(
            f"{web.id}, {number + 1}",
            _on(web, number),
            _on(web, number + 1),
            section,
            steel,
            part=web.id,
            role="moldboard",
            up=X,
            start=(ends[0][0], y, ends[0][2]),
            end=(ends[1][0], y, ends[1][2]),
        )


def depth_at(outline: Sequence[tuple[float, float]], z: float) -> float:
    """How deep a web is at a height, from its rear edge to the skin [m].

    Args:
        outline: Its outline, x and z [m].
        z: The height [m].
    """
    xs: list[float] = []
    for (x0, z0), (x1, z1) in zip(outline, (*outline[1:], outline[0]), strict=True):
        if (z0 <= z) != (z1 <= z):
            xs.append(x0 + (x1 - x0) * (z - z0) / (z1 - z0))
    return max(xs) - min(xs)


def _field(find: Finder, right: Part, left: Part, levels: Sequence[float]) -> None:
    """The skin between two webs: strips along it and crossing bars in each field."""
    d, plan, skin = find.blade.datum, find.plan, find.part("skin")
    steel = members.metal(skin, find.blade.rulebook)
    ys = (right.place.origin[1], left.place.origin[1])
    rows = [_skin_at(d, z, d.skin_wall / 2) for z in levels]
    heights = [dist(a, b) for a, b in pairwise(rows)]
    for level in range(1, len(levels)):
        top = level == len(levels) - 1
        high = (heights[level - 1] + (0.0 if top else heights[level])) / 2
        plan.beam(
            f"skin, level {level}, {right.id} to {left.id}",
            _on(right, level),
            _on(left, level),
            _top(find, high) if top else _strip(high, d.skin_wall),
            steel,
            part=skin.id,
            role="moldboard",
            up=Z,
        )
    wide = ys[1] - ys[0]
    for level, high in enumerate(heights):
        long = hypot(wide, high)
        area = STEEL_SHEAR * d.skin_wall * long**3 / (2 * STEEL_YOUNG * wide * high)
        # Such a bar carries what the sheet carries when it yields in shear.
        most = steel.yield_strength / sqrt(3) * d.skin_wall * long / 2
        shear = Metal(name=f"{steel.name}, in shear", yield_strength=most / area)
        for a, b, way in ((0, 1, "up"), (1, 0, "down")):
            ends = ((right, ys[0], level + a), (left, ys[1], level + b))
            start, end = ((rows[at][0], y, rows[at][2]) for _, y, at in ends)
            plan.beam(
                f"skin, field {level + 1}, {right.id} to {left.id}, {way}",
                _on(right, level + a),
                _on(left, level + b),
                members.axial(STEEL_YOUNG * area / long, long),
                shear,
                part=skin.id,
                role="moldboard",
                up=X,
                start=start,
                end=end,
                free=("start y", "start z", "end x", "end y", "end z"),
                checked=False,
            )


def _strip(high: float, thick: float) -> StrengthSection:
    """A strip of skin along the blade: its area, and the bending of a thin sheet in both ways."""
    flat = sections.flat_strength(round(thick, 9), round(high, 9))
    return replace(flat, inertia_y=flat.inertia_z, points=((0.0, 0.0),))


def _top(find: Finder, high: float) -> StrengthSection:
    """The topmost strip with the fold or the top member behind it, local y backwards, local z up."""
    d = find.blade.datum
    strip = _strip(high, d.skin_wall)
    behind = find.parts.get("top member")
    fold = d.series.moldboard.top_fold or 0.0
    if behind is not None:
        p = behind.solids[0].region.properties()
        area, own, level, reach = p.area, p.uu, p.vv, abs(p.u)
    elif fold:
        area, own, level, reach = fold * d.skin_wall, d.skin_wall * fold**3 / 12, fold * d.skin_wall**3 / 12, fold / 2
    else:
        return strip
    # Fold and skin bend about an upright axis as one angle.
    working = high * d.skin_wall
    together = reach**2 * area * working / (area + working)
    return replace(
        strip, area=strip.area + area, inertia_z=strip.inertia_z + own + together, inertia_y=strip.inertia_y + level
    )


def _ears(find: Finder) -> None:
    plan, rules = find.plan, find.blade.rulebook
    webs = {part.place.origin[1]: part for part in find.parts.values() if part.mark == "web"}
    for number, pin in enumerate(hinges(find), 1):
        ear = find.part(f"ear {number}")
        eye, seams = members.hole(ear), find.seams(ear.id)
        middles = [seam.middle() for seam in seams]
        rear, high = min(seam.start[0] for seam in seams), sum(at[2] for at in middles) / len(seams)
        root = rear + ROOT * (sum(at[0] for at in middles) / len(seams) - rear)
        web = webs[min(webs, key=lambda y: abs(y - eye[1]))]
        boss = 2 * (eye[2] - ear.solids[0].region.bounds()[1])
        plan.beam(
            ear.id,
            f"hinge {number} board",
            _on(web, 0),
            members.strip(boss, ear.thickness),
            members.metal(ear, rules),
            part=ear.id,
            role="moldboard",
            up=Y,
            start=(pin.position[0], eye[1], pin.position[2]),
            end=(root, eye[1], high),
        )


def _lugs(find: Finder, webs: Sequence[Part], levels: Sequence[float]) -> None:
    for number, joint in enumerate(hung(find), 1):
        lug = find.part(f"spring lug {number}")
        web = next(part for part in webs if part.id in joint.joins)
        level = min(range(1, len(levels)), key=lambda i: abs(levels[i] - joint.start[2]))
        reach = lug.solids[0].region.bounds()[2]
        root = plus(joint.start, X, 0.6 * reach)
        find.plan.beam(
            lug.id,
            _on(web, level),
            f"lug {number}",
            members.strip(2 * abs(lug.solids[0].region.bounds()[1]), lug.thickness),
            members.metal(lug, find.blade.rulebook),
            part=lug.id,
            role="moldboard",
            up=Y,
            start=root,
        )
