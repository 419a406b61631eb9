"""What a shell moldboard answers: forces on its seams, stress off the singular points, lines to draw.

No stress is told from a single point: the foot's stress comes from the forces through its whole section, plates are
told by the 98th percentile by area, leaving out the plates at the corner of a web's foot.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from plowwright.blade.datum import Datum
from plowwright.blade.shapes import Vec
from plowwright.blade.strength.mesh import BoardMesh
from plowwright.blade.strength.shell_joins import Joined, Seam
from plowwright.physics.shell_blocks import Floats, Ints

PERCENTILE: Final = 0.98
"""Share of a part's area that is stressed less than what is told [-]."""
FOOT_PARTS: Final = ("edge", "leg", "shelf")


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """A line of the board to draw, bent.

    Attributes:
        name: "edge", "shelf", "top", or "web 1" and so on for a web's rear edge.
        places: Its points at rest, (p, 3) [m].
        moved: How far they moved, (c, p, 3) [m].
    """

    name: str
    places: Floats
    moved: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamForce:
    """Force and moment through one seam.

    Attributes:
        part: The part that pushes.
        at: Middle of the seam, about which the moment is [m].
        forces: Of the pushing part on the one it is welded to, (c, 6) [N, N m].
    """

    part: str
    at: Vec
    forces: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardResult:
    """A moldboard under its load cases, analysis axes.

    Attributes:
        displacements: Of all nodes, displacement and turn, (c, n, 6) [m, rad].
        web_feet: Force and moment of each web on the shelf at the middle of its foot, by web id, (c, 6) [N, N m].
        web_foot_places: Those middles, by web id [m].
        web_skins: The same of each web on the skin, about the middle of its front edge, by web id, (c, 6) [N, N m].
        web_skin_places: Those middles, by web id [m].
        ears: Forces of ears on webs and shelf, and of lugs on webs, by weld id [N, N m].
        shelf_stress: Greatest stress along the blade at the shelf's rear edge, from the forces through the section
            of edge and angle, (c,) [Pa].
        shelf_at: Where along the blade that is, (c,) [m].
        foot_forces: Through the section of edge and angle between two lines: pull, moment about x and about z, of the
            left part on the right, (c, gaps, 3) [N, N m].
        plate_stress: Von Mises stress at either face that only 2 % of a part's area exceeds, by "skin", "shelf",
            "edge and leg", "webs", (c,) [Pa].
        outlines: Lines to draw [m].
    """

    displacements: Floats
    web_feet: Mapping[str, Floats]
    web_foot_places: Mapping[str, Vec]
    web_skins: Mapping[str, Floats]
    web_skin_places: Mapping[str, Vec]
    ears: Mapping[str, SeamForce]
    shelf_stress: Floats
    shelf_at: Floats
    foot_forces: Floats
    plate_stress: Mapping[str, Floats]
    outlines: tuple[Outline, ...]

    @property
    def skin_stress(self) -> Floats:
        """Von Mises stress that only 2 % of the skin exceeds, (c,) [Pa]."""
        return self.plate_stress["skin"]

    def outline(self, name: str) -> Outline:
        """A line to draw by its name; KeyError when there is none."""
        return {line.name: line for line in self.outlines}[name]


def result(board: BoardMesh, joined: Joined, d: Datum, moved: Floats) -> BoardResult:
    """Everything told of a board.

    Args:
        board: Nodes and plates.
        joined: The same with ears and lugs.
        d: Sizes of the blade.
        moved: Displacements of all nodes, (c, n, 6) [m, rad].
    """
    feet, foot_places = _webs(board, joined, moved, foot=True)
    skins, skin_places = _webs(board, joined, moved, foot=False)
    foot = _foot_forces(board, joined, moved)
    stress = np.abs(_rear_stress(board, d, foot)).max(axis=2)
    worst = np.argmax(stress, axis=1)
    middles = 0.5 * (board.lines[1:] + board.lines[:-1])
    return BoardResult(
        displacements=moved,
        web_feet=feet,
        web_foot_places=foot_places,
        web_skins=skins,
        web_skin_places=skin_places,
        ears=_seams(joined, moved),
        shelf_stress=stress[np.arange(len(stress)), worst],
        shelf_at=middles[worst],
        foot_forces=foot,
        plate_stress=_plate_stress(board, joined, moved),
        outlines=_outlines(board, moved),
    )


def _about(forces: Floats, places: Floats, middle: Floats) -> Floats:
    """Nodal forces (c, k, 6) at places (k, 3) as one force and moment about a point, (c, 6)."""
    out = forces.sum(axis=1)
    out[:, 3:] += np.cross(places - middle, forces[..., :3]).sum(axis=1)
    return out


def _webs(board: BoardMesh, joined: Joined, moved: Floats, *, foot: bool) -> tuple[dict[str, Floats], dict[str, Vec]]:
    """Forces of each web on the shelf or on the skin: what its nodes there put on it, turned round.

    The plates under a seam of an ear or lug hand its forces to their corners. Corners on the shelf or skin get their
    share through the web as well.
    """
    deep = board.web_nodes.shape[2] - 1
    forces: dict[str, Floats] = {}
    places: dict[str, Vec] = {}
    for k, grid in enumerate(board.web_nodes):
        name = f"web {k + 1}"
        plates = board.by_part[name]
        plates = plates[:deep] if foot else plates[deep - 1 :: deep]
        # Corners run from the rear foot forwards, then up: 0 and 1 stand on the foot, 1 and 2 on the skin.
        corners = [0, 1] if foot else [1, 2]
        ends = board.corners[plates[[0, -1]]]
        middle = 0.5 * (ends[0, 0] + ends[1, 1]) if foot else 0.5 * (ends[0, 2] + ends[1, 2])
        there = grid[0] if foot else grid[1:, -1]
        put = [joined.mesh.forces(moved, plates)[:, :, corners].reshape(len(moved), -1, 6)]
        nodes = [board.quads[plates][:, corners].ravel()]
        for seam in joined.seams:
            if seam.on == name:
                put.append(_put(seam, moved))
                nodes.append(seam.nodes)
        carriers = np.concatenate(nodes)
        here = np.isin(carriers, there)
        forces[name] = -_about(np.concatenate(put, axis=1)[:, here], joined.mesh.nodes[carriers[here]], middle)
        places[name] = (float(middle[0]), float(middle[1]), float(middle[2]))
    return forces, places


def _put(seam: Seam, moved: Floats) -> Floats:
    """Forces that its nodes put on a seam, (c, k, 6)."""
    own = moved[:, seam.nodes].reshape(len(moved), -1)
    return (own @ seam.stiffness).reshape(len(moved), -1, 6)


def _seams(joined: Joined, moved: Floats) -> dict[str, SeamForce]:
    out: dict[str, SeamForce] = {}
    for seam in joined.seams:
        put = _put(seam, moved)[:, 1:]
        out[seam.weld] = SeamForce(
            part=seam.part,
            at=seam.middle,
            forces=-_about(put, joined.mesh.nodes[seam.nodes[1:]], np.array(seam.middle)),
        )
    return out


def _foot_forces(board: BoardMesh, joined: Joined, moved: Floats) -> Floats:
    """Pull and moments through edge and angle in the middle of each gap, about the section's centroid."""
    strips = [k for k, s in enumerate(board.profile.strips) if s.part in FOOT_PARTS]
    count, gaps = len(board.profile.strips), len(board.lines) - 1
    plates = (np.arange(gaps)[:, None] * count + np.array(strips)).ravel()
    put = joined.mesh.forces(moved, plates).reshape(len(moved), gaps, len(strips), 4, 6)
    places = joined.mesh.nodes[board.quads[plates]].reshape(gaps, len(strips), 4, 3)
    x, z, _, _ = _foot_section(board)
    ends: list[Floats] = []
    for corners, sign in (([0, 3], -1.0), ([1, 2], 1.0)):
        force = sign * put[:, :, :, corners]
        arm = places[:, :, corners] - np.array([x, 0.0, z])
        fx, fy, fz = force[..., 0], force[..., 1], force[..., 2]
        # Moments about x and z through the gap's own end; the force across the section has no arm along y there.
        about_x = force[..., 3] - arm[..., 2] * fy
        about_z = force[..., 5] + arm[..., 0] * fy
        ends.append(np.stack([fy, about_x, about_z], axis=-1).sum(axis=(2, 3)))
        del fx, fz
    return 0.5 * (ends[0] + ends[1])


def _foot_section(board: BoardMesh) -> tuple[float, float, float, Floats]:
    """Centroid (x, z), area, and second moments [[xx, xz], [xz, zz]] of edge and angle as strips of plate."""
    rows: list[tuple[float, float, float, float, float, float]] = []
    for s in board.profile.strips:
        if s.part not in FOOT_PARTS:
            continue
        (xa, za), (xb, zb) = (board.profile.places[r] for r in s.rows)
        (ax, az), (bx, bz) = s.arms
        run = np.array([xb + bx - xa - ax, zb + bz - za - az])
        length = float(np.hypot(*run))
        rows.append((0.5 * (xa + ax + xb + bx), 0.5 * (za + az + zb + bz), length * s.thickness, *run, s.thickness))
    table = np.array(rows)
    area = table[:, 2].sum()
    x, z = (table[:, :2] * table[:, 2:3]).sum(axis=0) / area
    about = np.zeros((2, 2))
    for u, v, a, du, dv, t in table:
        at, run = np.array([u - x, v - z]), np.array([du, dv])
        across = np.array([-dv, du]) / np.hypot(du, dv) * t
        about += a * (np.outer(at, at) + np.outer(run, run) / 12 + np.outer(across, across) / 12)
    return float(x), float(z), float(area), about


def _rear_stress(board: BoardMesh, d: Datum, foot: Floats) -> Floats:
    """Stress along the blade at the upper and lower corner of the shelf's rear edge, (c, gaps, 2)."""
    x, z, area, about = _foot_section(board)
    # stress = N/A + a x' + b z', with Mx = -(a Ixz + b Izz) and Mz = a Ixx + b Ixz.
    slopes = np.linalg.solve(about, np.stack([foot[..., 2], -foot[..., 1]])[..., None].reshape(2, -1))
    a, b = slopes.reshape(2, *foot.shape[:2])
    points = np.array([[d.shelf_back - x, d.shelf - z], [d.shelf_back - x, d.shelf - d.angle_wall - z]])
    return foot[..., :1] / area + a[..., None] * points[:, 0] + b[..., None] * points[:, 1]


def _plate_stress(board: BoardMesh, joined: Joined, moved: Floats) -> dict[str, Floats]:
    groups = {
        "skin": ("skin", "fold"),
        "shelf": ("shelf",),
        "edge and leg": ("edge", "leg"),
        "webs": tuple(f"web {k + 1}" for k in range(len(board.web_lines))),
    }
    left_out = _at_corners(board)
    out: dict[str, Floats] = {}
    for name, parts in groups.items():
        plates = np.concatenate([board.by_part[part] for part in parts if part in board.by_part])
        plates = plates[~np.isin(plates, left_out)]
        if len(plates):
            stress = _von_mises(joined, moved, plates)
            out[name] = _exceeded_by_few(stress, joined.mesh.areas(plates))
    return out


def _at_corners(board: BoardMesh) -> Ints:
    """Plates that touch the front corner of a web's foot, or its rear one: answers there grow without end."""
    feet = np.array(board.profile.feet)
    points = np.concatenate(
        [np.array(board.web_lines) * board.rows + row for row in (feet[0], feet[-1], board.profile.skin[0])]
    )
    return np.flatnonzero(np.isin(board.quads, points).any(axis=1))


def _von_mises(joined: Joined, moved: Floats, plates: Ints) -> Floats:
    """The greater of both faces in the middle of each plate, (c, plates)."""
    found = joined.mesh.resultants(moved, plates)
    t = joined.mesh.thickness[plates][:, None]
    pull, bend = found[..., :3] / t, 6 * found[..., 3:] / t**2
    faces: list[Floats] = []
    for side in (pull + bend, pull - bend):
        x, y, xy = side[..., 0], side[..., 1], side[..., 2]
        faces.append(np.sqrt(x * x - x * y + y * y + 3 * xy * xy))
    return np.maximum(faces[0], faces[1])


def _exceeded_by_few(stress: Floats, areas: Floats) -> Floats:
    """The stress that the share PERCENTILE of the area stays under, between plates in proportion, (c,)."""
    order = np.argsort(stress, axis=1)
    ranked = np.take_along_axis(stress, order, axis=1)
    ranked_areas = np.take_along_axis(np.broadcast_to(areas, stress.shape), order, axis=1)
    below: Floats = np.cumsum(ranked_areas, axis=1) - 0.5 * ranked_areas
    out = np.empty(len(stress))
    for c, (share, values) in enumerate(zip(below / areas.sum(), ranked, strict=True)):
        out[c] = np.interp(PERCENTILE, share, values)
    return out


def _outlines(board: BoardMesh, moved: Floats) -> tuple[Outline, ...]:
    lines = np.arange(len(board.lines)) * board.rows
    section = board.profile
    rows = {"edge": section.tip, "shelf": section.shelf[0], "top": section.skin[-1]}
    chosen = {name: lines + row for name, row in rows.items()}
    chosen |= {f"web {k + 1}": nodes[:, 0] for k, nodes in enumerate(board.web_nodes)}
    up = [section.tip, section.corner, *section.skin]
    chosen |= {name: line + np.array(up) for name, line in (("right end", lines[0]), ("left end", lines[-1]))}
    return tuple(
        Outline(name=name, places=board.nodes[nodes], moved=moved[:, nodes, :3]) for name, nodes in chosen.items()
    )
