"""The moldboard as flat plates for the shell solver, straight from the outlines it is built by.

Lines of nodes run up the section at every web, beside every ear, at both ends and between; the webs hang on their
lines. Analysis axes are the blade's own at rest: x forward, y left, z up from the tip of a new edge.

What the mesh does not see: bolts and stitches (plates that lap are one), holes, contact, residual stress.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from plowwright.blade.datum import Datum
from plowwright.blade.making import Maker
from plowwright.blade.moldboard import ear_side, web_outline
from plowwright.blade.strength.shell_profile import FINER, Profile, columns, divided, profile
from plowwright.errors import ModelError
from plowwright.physics.shell_blocks import Floats, Ints
from plowwright.units.constants import INCH

LEAST_SIZE = 0.25 * INCH
"""A finer mesh than this is a slip of the pen [m]."""
_LINES_APART = 1e-6


@dataclass(frozen=True, kw_only=True, eq=False)
class BoardMesh:
    """Nodes and plates of one moldboard.

    Attributes:
        profile: Rows and strips of its section.
        lines: Where the lines of nodes are along y, right to left, (l,) [m].
        web_lines: Number of each web's line [-].
        nodes: Places of all nodes: line after line, then web after web, (n, 3) [m].
        quads: Nodes of each plate: strips gap after gap, then webs, (m, 4) [-].
        offsets: From each node to the plate's corner, (m, 4, 3) [m].
        thickness: Thickness of each plate, (m,) [m].
        alike: Number of the first plate like each plate, (m,) [-].
        parts: Name of each plate's part: edge, leg, shelf, skin, fold or "web 1" and so on, (m,) [-].
        web_nodes: For each web its nodes, feet first, columns from the rear to the skin, (webs, rows, columns) [-].
        blocks: Block of each node for the solver, (n,) [-].
        parents: Parent of each block [-].
    """

    profile: Profile
    lines: Floats
    web_lines: tuple[int, ...]
    nodes: Floats
    quads: Ints
    offsets: Floats
    thickness: Floats
    alike: Ints
    parts: tuple[str, ...]
    web_nodes: Ints
    blocks: Ints
    parents: Ints

    @property
    def rows(self) -> int:
        """How many nodes a line has [-]."""
        return len(self.profile.places)

    def node(self, line: int, row: int) -> int:
        """Number of the node of a line and a row.

        Args:
            line: Number of the line, right to left [-].
            row: Row of the profile [-].
        """
        return line * self.rows + row

    @cached_property
    def by_part(self) -> dict[str, Ints]:
        """Numbers of the plates of each part."""
        names = np.array(self.parts)
        return {str(name): np.flatnonzero(names == name) for name in np.unique(names)}

    @cached_property
    def corners(self) -> Floats:
        """Places of the plates' corners, (m, 4, 3) [m]."""
        return self.nodes[self.quads] + self.offsets


def board_mesh(d: Datum, make: Maker, size: float) -> BoardMesh:
    """Nodes and plates of a blade's moldboard.

    Args:
        d: Sizes of the blade.
        make: Looks up stock.
        size: Longest side of a plate [m].

    Raises:
        ModelError: A size that no mesh can have.
    """
    if not LEAST_SIZE <= size <= d.width:
        raise ModelError(
            "the mesh of the moldboard cannot have plates of this size",
            value=f"{size / INCH:.3g} in",
            limit=f"{LEAST_SIZE / INCH:g} in to the blade's width",
            way_out="3 in is fine enough for every finding.",
        )
    section = profile(d, size)
    lines = _lines(d, make, size)
    flat = _strips(section, lines)
    web = _web(d, make, section, columns(d, size))
    return _joined(section, lines, flat, web, d.web_ys)


def _lines(d: Datum, make: Maker, size: float) -> Floats:
    """A line at both ends, at every web and close beside it, and at the outer face of every ear, where its seam is."""
    ear = make.thickness(d.row.web) / 2 + make.thickness(d.row.ear)
    faces = [y + ear_side(y) * ear for y in d.hinge_ys]
    close = (*d.web_ys, *faces)
    fixed = sorted({*close, -d.width / 2, d.width / 2})
    lines = [fixed[0]]
    for place in fixed[1:]:
        last = lines[-1]
        gap = place - last
        if gap < _LINES_APART:
            continue
        # An ear is joined to the two lines beside it, so nothing may come between them.
        if gap > 1.01 * ear:
            near = size / FINER
            if gap > 2 * near and _among(last, close):
                lines.append(last + near)
            stop = place - near if gap > 3 * near and _among(place, close) else place
            lines += divided(lines[-1], stop, size)
            if stop < place:
                lines.append(place)
        else:
            lines.append(place)
    return np.array(lines)


def _among(place: float, places: tuple[float, ...]) -> bool:
    return any(abs(place - other) < _LINES_APART for other in places)


@dataclass(frozen=True, slots=True)
class _Flat:
    """Plates of all strips."""

    nodes: Floats
    quads: Ints
    offsets: Floats
    thickness: Floats
    alike: Ints
    parts: list[str]


def _strips(section: Profile, lines: Floats) -> _Flat:
    rows, strips, count = len(section.places), section.strips, len(lines)
    places = np.array(section.places)
    nodes = np.empty((count, rows, 3))
    nodes[..., 0], nodes[..., 1], nodes[..., 2] = places[:, 0], lines[:, None], places[:, 1]
    pairs = np.array([s.rows for s in strips])
    first = (np.arange(count - 1) * rows)[:, None]
    a, b = first + pairs[:, 0], first + pairs[:, 1]
    # Round each plate: along y first, so that its own first axis is the blade's y.
    quads = np.stack([a, a + rows, b + rows, b], axis=-1).reshape(-1, 4)
    arms = np.zeros((len(strips), 4, 3))
    given = np.array([s.arms for s in strips])
    arms[:, [0, 1], 0], arms[:, [0, 1], 2] = given[:, 0, 0:1], given[:, 0, 1:2]
    arms[:, [2, 3], 0], arms[:, [2, 3], 2] = given[:, 1, 0:1], given[:, 1, 1:2]
    gaps = np.round(np.diff(lines), 9)
    _, like = np.unique(gaps, return_index=True)
    same = like[np.searchsorted(np.unique(gaps), gaps)]
    return _Flat(
        nodes=nodes.reshape(-1, 3),
        quads=quads,
        offsets=np.tile(arms, (count - 1, 1, 1)),
        thickness=np.tile(np.array([s.thickness for s in strips]), count - 1),
        alike=(same[:, None] * len(strips) + np.arange(len(strips))).ravel(),
        parts=[s.part for s in strips] * (count - 1),
    )


@dataclass(frozen=True, slots=True)
class _Web:
    """One web: where its corners are in its plane, and the arms from the nodes that carry them."""

    grid: Floats  # (rows, columns, 2): x and z of the corners
    arms: Floats  # (rows, columns, 2)
    thickness: float


def _web(d: Datum, make: Maker, section: Profile, deep: int) -> _Web:
    """Corners level with the skin's rows; the lowest row stands on the shelf, the foremost column on the skin."""
    shape = web_outline(d)
    places = np.array(section.places)
    rear = np.array([(shape[5][0], shape[5][1]), (shape[4][0], shape[4][1]), (shape[3][0], shape[3][1])])
    front = [d.arc.at(phi, d.skin_wall) for phi in section.lean[:-1]] + [(shape[2][0], shape[2][1])]
    grid = np.empty((len(front) + 1, deep + 1, 2))
    arms = np.zeros_like(grid)
    feet = places[list(section.feet)]
    grid[0, :, 0], grid[0, :, 1] = feet[:, 0], d.shelf
    arms[0] = grid[0] - feet
    share = np.linspace(0.0, 1.0, deep + 1)
    for row, (x, z) in enumerate(front, 1):
        back = float(np.interp(z, rear[:, 1], rear[:, 0]))
        grid[row, :, 0], grid[row, :, 1] = back + share * (x - back), z
    arms[1:, -1] = grid[1:, -1] - places[list(section.skin)]
    return _Web(grid, arms, make.thickness(d.row.web))


def _joined(section: Profile, lines: Floats, flat: _Flat, web: _Web, web_ys: tuple[float, ...]) -> BoardMesh:
    """All plates; each web's own nodes make a block that hangs on the block of its line."""
    rows, high = len(section.places), len(web.grid)
    deep = len(web.grid[0]) - 1
    own = (high - 1) * deep
    count, webs = len(lines), len(web_ys)
    at = tuple(int(np.argmin(np.abs(lines - y))) for y in web_ys)
    numbers = np.empty((webs, high, deep + 1), dtype=np.int64)
    order = np.arange(own, dtype=np.int64).reshape(high - 1, deep)
    nodes = [flat.nodes]
    for k, (line, y) in enumerate(zip(at, web_ys, strict=True)):
        numbers[k, 0] = line * rows + np.array(section.feet)
        numbers[k, 1:, -1] = line * rows + np.array(section.skin)
        numbers[k, 1:, :-1] = count * rows + k * own + order
        inner = web.grid[1:, :-1].reshape(-1, 2)
        nodes.append(np.column_stack([inner[:, 0], np.full(own, y), inner[:, 1]]))
    quads: Ints = _round(numbers).reshape(-1, 4)
    arms = np.zeros((high, deep + 1, 3))
    arms[..., 0], arms[..., 2] = web.arms[..., 0], web.arms[..., 1]
    each = (high - 1) * deep
    offsets = np.stack([arms[:-1, :-1], arms[:-1, 1:], arms[1:, 1:], arms[1:, :-1]], axis=2).reshape(each, 4, 3)
    first = len(flat.quads)
    line_blocks = webs + np.arange(count)
    like: Ints = np.arange(first, first + each, dtype=np.int64)
    return BoardMesh(
        profile=section,
        lines=lines,
        web_lines=at,
        nodes=np.concatenate(nodes),
        quads=np.concatenate([flat.quads, quads]),
        offsets=np.concatenate([flat.offsets, np.tile(offsets, (webs, 1, 1))]),
        thickness=np.concatenate([flat.thickness, np.full(each * webs, web.thickness)]),
        alike=np.concatenate([flat.alike, *([like] * webs)]),
        parts=(*flat.parts, *(f"web {k + 1}" for k in range(webs) for _ in range(each))),
        web_nodes=numbers,
        blocks=np.concatenate([np.repeat(line_blocks, rows), np.repeat(np.arange(webs), own)]),
        parents=np.concatenate([webs + np.array(at, dtype=np.int64), np.minimum(line_blocks + 1, webs + count - 1)]),
    )


def _round(numbers: Ints) -> Ints:
    """Nodes round each plate of grids of nodes: forwards first, then up."""
    return np.stack([numbers[:, :-1, :-1], numbers[:, :-1, 1:], numbers[:, 1:, 1:], numbers[:, 1:, :-1]], axis=-1)
