"""What joins the shell moldboard to the rest: ears to the hinge pins, lugs to the springs, along their own seams.

A seam is a row of stiff springs between the welded part, taken as rigid, and the plate under it, so that no force
enters the plates at a point. An ear is a short beam from its pin to the rear edge of the shelf, where its seams begin.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil, dist

import numpy as np

from plowwright.blade.datum import Datum
from plowwright.blade.making import Maker
from plowwright.blade.moldboard import ear_outline
from plowwright.blade.parts import Assembly, Pinned, Sprung, Weld
from plowwright.blade.shapes import Vec
from plowwright.blade.strength.members import bar
from plowwright.blade.strength.mesh import BoardMesh
from plowwright.errors import ModelError
from plowwright.physics import frame_elements
from plowwright.physics.frame_elements import Members
from plowwright.physics.materials import STEEL_POISSON, STEEL_SHEAR, STEEL_YOUNG
from plowwright.physics.sections import StrengthSection, angle_strength, flat_strength
from plowwright.physics.shell_blocks import Floats, Ints
from plowwright.physics.shell_mesh import Mesh, Pieces
from plowwright.units.constants import INCH

SEAM_STEP = 0.75 * INCH
"""Longest stretch of seam that one spring stands for [m]."""
SEAM_STIFFNESS = STEEL_SHEAR
"""Stiffness of a fillet per length of seam, in every direction [Pa]: its throat strained over about its own width,
hence the shear modulus; assumed.

Three times as much, or a third, moves the struck corner by about a hundredth and what web and ear together put on the
shelf by less, but shares the force differently between the seams of one ear: judge those as a group.
"""

_NO_SHARE = 1e-7
_CLOSE = 6
_SIGNS = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])


@dataclass(frozen=True, kw_only=True, eq=False)
class Seam:
    """One weld between an ear or lug and a plate of the board.

    Attributes:
        weld: Its id.
        part: The ear or lug.
        on: What it is welded to: a web, or the bottom angle.
        middle: Centroid of its lines [m].
        nodes: The node of the ear or lug first, then those of the plates under it, (k,) [-].
        stiffness: Between all their freedoms, (6 k, 6 k) [N/m, N, N m].
    """

    weld: str
    part: str
    on: str
    middle: Vec
    nodes: Ints
    stiffness: Floats


@dataclass(frozen=True, kw_only=True, eq=False)
class Joined:
    """The shell with its ears and lugs.

    Attributes:
        mesh: The shell, ready to be factored.
        kept: Numbers of the nodes that the frame shares, (k,) [-].
        names: Their names, "hinge 1 board" and so on, then "lug 1" and so on.
        seams: Seams of the ears and lugs.
    """

    mesh: Mesh
    kept: Ints
    names: tuple[str, ...]
    seams: tuple[Seam, ...]


def joined(board: BoardMesh, assembly: Assembly, d: Datum, make: Maker) -> Joined:
    """The board's mesh with ears and lugs on it.

    Args:
        board: Nodes and plates.
        assembly: Parts and joints of the blade.
        d: Sizes of the blade.
        make: Looks up stock.

    Raises:
        ModelError: An ear or lug without a seam, or a seam without length.
    """
    pins = [j for j in assembly.joints if isinstance(j, Pinned) and j.id.startswith("hinge ")]
    hung = [j for j in assembly.joints if isinstance(j, Sprung)]
    count = len(board.nodes)
    roots: list[Vec] = []
    beams: list[tuple[int, int]] = []
    seams: list[Seam] = []
    first_kept = count + len(pins)
    blocks: list[int] = []
    for at, pin in enumerate(pins):
        ear = next(name for name in pin.joins if name.startswith("ear "))
        welds = _welds(assembly, ear)
        y, height = pin.position[1], sum(w.middle()[2] for w in welds) / len(welds)
        roots.append((d.shelf_back, y, height))
        beams.append((first_kept + at, count + at))
        blocks.append(_block(board, y))
        seams += [_seam(board, weld, ear, count + at, roots[at]) for weld in welds]
    for at, hook in enumerate(hung):
        lug = f"spring lug {hook.spring.removeprefix('spring ')}"
        number = first_kept + len(pins) + at
        seams += [_seam(board, weld, lug, number, hook.start) for weld in _welds(assembly, lug)]
    places = [*(p.position for p in pins), *(h.start for h in hung)]
    nodes = np.concatenate([board.nodes, np.array([*roots, *places])])
    names = (*(f"{p.id} board" for p in pins), *(f"lug {k + 1}" for k in range(len(hung))))
    kept = first_kept + np.arange(len(places))
    ears = Pieces(nodes=np.array(beams), stiffness=_ear_beams(nodes, beams, assembly, d))
    pieces = [ears, *(Pieces(nodes=s.nodes[None], stiffness=s.stiffness[None]) for s in seams)]
    mesh = Mesh(
        nodes=nodes,
        quads=board.quads,
        offsets=board.offsets,
        thickness=board.thickness,
        young=STEEL_YOUNG,
        poisson=STEEL_POISSON,
        alike=board.alike,
        pieces=(*pieces, *_top_member(board, assembly, make)),
        blocks=np.concatenate([board.blocks, np.array(blocks), np.full(len(places), -1)]),
        parents=board.parents,
        labels=dict(zip((int(k) for k in kept), names, strict=True)),
    )
    return Joined(mesh=mesh, kept=kept, names=names, seams=tuple(seams))


def _welds(assembly: Assembly, part: str) -> list[Weld]:
    """The seams of an ear or lug, the welded part named first in them."""
    found = [j for j in assembly.joints if isinstance(j, Weld) and j.joins[0] == part]
    for weld in found:
        if weld.length() <= 0:
            raise ModelError(
                "a weld has no length, so it can carry nothing",
                where=weld.id,
                value="0 in",
                limit="more than 0 in",
                way_out="Look at where the two parts meet, or at the stitch in series.toml.",
            )
    if not found:
        raise ModelError(f"nothing holds {part}: it has no weld", where=part, way_out="Give it a seam.")
    return found


def _block(board: BoardMesh, y: float) -> int:
    """Block of the web's line nearest to y."""
    at = np.array(board.web_lines)
    line = int(at[np.argmin(np.abs(board.lines[at] - y))])
    return int(board.blocks[board.node(line, 0)])


def _stations(weld: Weld) -> Iterator[tuple[Vec, float]]:
    """Places along a weld with the welded length each stands for [m]."""
    for a, b in weld.lines():
        run = dist(a, b)
        count = max(2, ceil(run / SEAM_STEP)) if run > 0 else 0
        for i in range(count):
            share = (i + 0.5) / count
            place = tuple(p + (q - p) * share for p, q in zip(a, b, strict=True))
            yield (place[0], place[1], place[2]), run / count * weld.share


def _seam(board: BoardMesh, weld: Weld, part: str, body: int, place: Vec) -> Seam:
    other = weld.joins[1] if weld.joins[1].startswith("web ") else "shelf"
    plates = board.by_part[other]
    plane = (0, 2) if other != "shelf" else (1, 0)
    stations = list(_stations(weld))
    points = np.array([p for p, _ in stations])
    found, shares = _under(board.corners[plates][..., plane], points[:, plane])
    under = plates[found]
    carriers = board.quads[under]
    corners = board.corners[under]
    # What the node's turn moves: on its arm to the plate's corner, and from the plate's middle out to the seam.
    out = points - np.einsum("pi,pij->pj", shares, corners)
    arms = corners - board.nodes[carriers] + out[:, None]
    # A place on the line between two plates is carried by that line alone.
    bears = shares > _NO_SHARE
    nodes = np.concatenate(([body], np.unique(carriers[bears])))
    rows = np.zeros((len(points), 3, 6 * len(nodes)))
    rows[:, :, :6] = -_carried(points - np.array(place))
    for corner in range(4):
        where = 1 + np.searchsorted(nodes[1:], carriers[:, corner])
        motion = shares[:, corner, None, None] * _carried(arms[:, corner])
        for p in np.flatnonzero(bears[:, corner]):
            rows[p, :, 6 * where[p] : 6 * where[p] + 6] += motion[p]
    rates = SEAM_STIFFNESS * np.array([length for _, length in stations])
    flat = rows.reshape(-1, rows.shape[2])
    return Seam(
        weld=weld.id,
        part=part,
        on=weld.joins[1],
        middle=weld.middle(),
        nodes=nodes,
        stiffness=flat.T @ (np.repeat(rates, 3)[:, None] * flat),
    )


def _carried(arms: Floats) -> Floats:
    """Displacement at the end of rigid arms from a node's six freedoms, (p, 3, 6)."""
    out = np.zeros((len(arms), 3, 6))
    out[:, [0, 1, 2], [0, 1, 2]] = 1.0
    x, y, z = arms.T
    out[:, 0, 4], out[:, 0, 5] = z, -y
    out[:, 1, 3], out[:, 1, 5] = -z, x
    out[:, 2, 3], out[:, 2, 4] = y, -x
    return out


def _under(corners: Floats, points: Floats) -> tuple[Ints, Floats]:
    """The plate under each point and the shares of its four corners; a point beside all plates goes to the nearest.

    Bilinear co-ordinates by Newton's method, on the few plates whose middles are nearest to each point.
    """
    away = np.linalg.norm(points[:, None] - corners.mean(axis=1), axis=2)
    close = np.argsort(away, axis=1)[:, :_CLOSE]
    chosen = corners[close]
    own = np.zeros((*close.shape, 2))
    for _ in range(5):
        shares, slope = _bilinear(own, chosen)
        missing = points[:, None] - (shares[..., None, :] @ chosen)[..., 0, :]
        a, b, c, e = slope[..., 0, 0], slope[..., 0, 1], slope[..., 1, 0], slope[..., 1, 1]
        step = np.stack([e * missing[..., 0] - c * missing[..., 1], a * missing[..., 1] - b * missing[..., 0]], -1)
        own = np.clip(own + step / (a * e - b * c)[..., None], -3.0, 3.0)
    shares, _ = _bilinear(np.clip(own, -1.0, 1.0), chosen)
    beside = np.linalg.norm(points[:, None] - (shares[..., None, :] @ chosen)[..., 0, :], axis=2)
    # Between plates that share the place, the first in the list: not one or the other as rounding has it.
    found = np.argmin(np.where(beside < beside.min(axis=1, keepdims=True) + 1e-9, close, len(corners)), axis=1)
    each = np.arange(len(points))
    return close[each, found], shares[each, found]


def _bilinear(own: Floats, corners: Floats) -> tuple[Floats, Floats]:
    """Shares of the corners (..., 4) and change of place with the own co-ordinates (..., 2 own, 2 places)."""
    factors = 1 + own[..., None, :] * _SIGNS
    shares = 0.25 * factors[..., 0] * factors[..., 1]
    along = 0.25 * np.stack([_SIGNS[:, 0] * factors[..., 1], _SIGNS[:, 1] * factors[..., 0]], axis=-2)
    return shares, along @ corners


def _ear_beams(nodes: Floats, beams: list[tuple[int, int]], assembly: Assembly, d: Datum) -> Floats:
    """Ears as upright flats on edge, as deep as they are at the pin."""
    deep = 2 * (d.hinge_x - ear_outline(d)[0][0])
    # Local z lies across the ear, so that bending about it stays in the ear's plane.
    sections = [flat_strength(deep, assembly.part(f"ear {k + 1}").thickness) for k in range(len(beams))]
    return _beams(nodes, np.array(beams), sections, up=(0.0, 1.0, 0.0), arm=(0.0, 0.0, 0.0))


def _top_member(board: BoardMesh, assembly: Assembly, make: Maker) -> list[Pieces]:
    """A bar along the top of the skin, its centroid on a rigid arm from the skin's uppermost row."""
    found = [part for part in assembly.parts if part.id == "top member"]
    if not found:
        return []
    part = found[0]
    stock = make.section(part.stock)
    if stock.kind == "angle":
        section = angle_strength(stock.width or 0.0, stock.height or 0.0, stock.wall or 0.0)
    else:
        section = bar(part, make.rulebook)
    row = board.profile.skin[-1]
    line = np.arange(len(board.lines))
    ends = np.stack([line[:-1], line[1:]], axis=1) * board.rows + row
    place, (x, z) = part.centroid(), board.profile.places[row]
    many = [section] * len(ends)
    arm = (place[0] - x, 0.0, place[2] - z)
    return [Pieces(nodes=ends, stiffness=_beams(board.nodes, ends, many, up=(0.0, 0.0, 1.0), arm=arm))]


def _beams(nodes: Floats, ends: Ints, sections: list[StrengthSection], *, up: Vec, arm: Vec) -> Floats:
    """Stiffness of beams, global axes, both ends on the same rigid arm from their nodes, (m, 12, 12)."""
    count = len(ends)
    arms = np.tile(np.array(arm), (count, 1))
    members = Members(
        names=tuple(f"bar {k + 1} of the moldboard" for k in range(count)),
        ends=ends,
        area=np.array([s.area for s in sections]),
        shear_y=np.array([s.shear_y for s in sections]),
        shear_z=np.array([s.shear_z for s in sections]),
        torsion=np.array([s.torsion for s in sections]),
        inertia_y=np.array([s.inertia_y for s in sections]),
        inertia_z=np.array([s.inertia_z for s in sections]),
        young=np.full(count, STEEL_YOUNG),
        shear_modulus=np.full(count, STEEL_SHEAR),
        up=np.tile(np.array(up), (count, 1)),
        offset_start=arms,
        offset_end=arms,
    )
    placed = frame_elements.place(nodes, members)
    local = frame_elements.stiffness(members, placed.lengths)
    return placed.turn.transpose(0, 2, 1) @ local @ placed.turn
