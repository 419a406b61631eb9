"""The same moldboard worked out by CalculiX with second-order shells (S8R): the outside check of the shell solver.

CalculiX is a general finite-element program (Debian package calculix-ccx, program `ccx`). Both programs get the same
plates between the same nodes, held and pushed at the same places; CalculiX gets a node in the middle of each side as
well, on the skin's arc where the side lies there. Supports and loads are plain ones, so that plates are compared with
plates: the ears, their seams and the frame are not part of this check.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from plowwright.blade.datum import Datum
from plowwright.blade.making import Maker
from plowwright.blade.strength.mesh import BoardMesh, board_mesh
from plowwright.physics import shells
from plowwright.physics.materials import STEEL_POISSON, STEEL_YOUNG
from plowwright.physics.shell_assembly import Flags
from plowwright.physics.shell_blocks import Floats, Ints
from plowwright.physics.shell_mesh import Mesh
from plowwright.units.constants import INCH

CASES = ("right corner", "centre", "uniform")
CORNER = 6.0 * INCH
"""Length of tip that a corner or centre push is spread over, about [m]."""
EAR = 3.0 * INCH
"""How high above the shelf the rear edge of a hinge web is held [m]."""


@dataclass(frozen=True, kw_only=True)
class Compared:
    """Displacement where the push is, by us and by CalculiX.

    Attributes:
        case: Which push.
        ours: Displacement along the push, mean over the pushed tip [m/N].
        theirs: The same by CalculiX [m/N].
    """

    case: str
    ours: float
    theirs: float

    @property
    def off(self) -> float:
        """By which share ours is too soft (+) or too stiff (-) [-]."""
        return self.ours / self.theirs - 1


def installed() -> bool:
    """Whether CalculiX can be run here."""
    return shutil.which("ccx") is not None


def plain(board: BoardMesh) -> tuple[Mesh, Floats]:
    """The board's plates without ears, and how far each lies off its nodes along its normal, over its thickness.

    CalculiX moves a plate along its normal only, so the short arms at the ends of skin and webs are left out on both
    sides of the comparison.
    """
    corners = board.nodes[board.quads]
    normal = np.cross(corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1])
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    upright = np.isin(np.array(board.parts), ["edge", "leg"])
    along = np.where(upright, np.einsum("mi,mi->m", normal, board.offsets.mean(axis=1)), 0.0)
    mesh = Mesh(
        nodes=board.nodes,
        quads=board.quads,
        offsets=along[:, None, None] * np.repeat(normal[:, None], 4, axis=1),
        thickness=board.thickness,
        young=STEEL_YOUNG,
        poisson=STEEL_POISSON,
        alike=board.alike,
        blocks=board.blocks,
        parents=board.parents,
    )
    return mesh, along / board.thickness


def held(board: BoardMesh, d: Datum) -> Flags:
    """Hinge webs held along their rear edges from above the ears to the lugs.

    A long support, for at the end of a short one the answer of either program grows with every finer mesh.
    """
    out = np.zeros((len(board.nodes), 6), dtype=bool)
    for k, y in enumerate(d.web_ys):
        if any(abs(y - h) < 1e-6 for h in d.hinge_ys):
            rear = board.web_nodes[k, :, 0]
            z = board.nodes[rear, 2]
            out[rear[(z > d.shelf + EAR) & (z < d.series.tower.lug_height)], :3] = True
    return out


def pushed_tips(board: BoardMesh) -> dict[str, Ints]:
    """Lines whose tips are pushed in each case, in a row."""
    lines = board.lines
    corner = np.arange(int(np.searchsorted(lines, lines[0] + CORNER - 1e-9)) + 1)
    middle = np.flatnonzero(np.abs(lines) <= 0.5 * CORNER + 1e-9)
    return dict(zip(CASES, (corner, middle, np.arange(len(lines))), strict=True))


def compare(d: Datum, make: Maker, *, size: float, folder: Path) -> tuple[tuple[Compared, ...], float, float]:
    """Both programs on one blade: displacements, our seconds for all cases, CalculiX's for the first case alone.

    Args:
        d: Sizes of the blade.
        make: Looks up stock.
        size: Longest side of a plate [m].
        folder: Where CalculiX works.
    """
    board = board_mesh(d, make, size)
    tips = pushed_tips(board)
    mesh, off = plain(board)
    hold = held(board, d)
    begin = time.perf_counter()
    loads = np.zeros((len(CASES), len(board.nodes), 6))
    for c, lines in enumerate(tips.values()):
        loads[c, lines * board.rows + board.profile.tip, 0] = -_shares(board.lines[lines])
    moved = shells.factor(mesh, held=hold).solve(loads)
    seconds = time.perf_counter() - begin
    write_deck(folder / "board.inp", board, d, off, hold, tips)
    begin = time.perf_counter()
    theirs = run(folder, len(board.nodes), tuple(tips))
    each = (time.perf_counter() - begin) / len(tips)
    rows: list[Compared] = []
    for c, (case, lines) in enumerate(tips.items()):
        nodes, weight = lines * board.rows + board.profile.tip, _shares(board.lines[lines])
        rows.append(
            Compared(
                case=case,
                ours=float(-weight @ moved[c, nodes, 0]),
                theirs=float(-weight @ theirs[case][nodes, 0]),
            )
        )
    return tuple(rows), seconds, each


def _shares(at: Floats) -> Floats:
    """One newton spread evenly along straight pieces between places, on their ends [N]."""
    runs = np.diff(at) / (at[-1] - at[0])
    out = np.zeros(len(at))
    out[:-1] += runs / 2
    out[1:] += runs / 2
    return out


def sides(board: BoardMesh, d: Datum) -> tuple[Floats, Ints]:
    """Nodes in the middle of all sides, and for each plate the numbers of its four, counted after the corners."""
    ends = np.stack([board.quads, np.roll(board.quads, -1, axis=1)], axis=-1).reshape(-1, 2)
    unique, number = np.unique(np.sort(ends, axis=1), axis=0, return_inverse=True)
    middle = 0.5 * (board.nodes[unique[:, 0]] + board.nodes[unique[:, 1]])
    skin = np.isin(unique % board.rows, board.profile.skin).all(axis=1)
    skin &= (unique < len(board.lines) * board.rows).all(axis=1)
    arc, half = d.arc, d.skin_wall / 2
    centre = np.array([arc.x + arc.radius * np.cos(arc.lean), arc.z + arc.radius * np.sin(arc.lean)])
    out = middle[skin][:, [0, 2]] - centre
    out *= ((arc.radius + half) / np.linalg.norm(out, axis=1))[:, None]
    middle[np.flatnonzero(skin)[:, None], [0, 2]] = centre + out
    return middle, len(board.nodes) + number.reshape(-1, 4)


def write_deck(path: Path, board: BoardMesh, d: Datum, off: Floats, hold: Flags, tips: dict[str, Ints]) -> None:
    """The CalculiX deck: one step for each push."""
    middle, mids = sides(board, d)
    lines = ["*NODE, NSET=ALL"]
    lines += [f"{k}, {x:.9e}, {y:.9e}, {z:.9e}" for k, (x, y, z) in enumerate(np.vstack([board.nodes, middle]), 1)]
    kinds = np.round(np.column_stack([board.thickness, off]), 9)
    unique, kind = np.unique(kinds, axis=0, return_inverse=True)
    for k, (thickness, share) in enumerate(unique):
        lines.append(f"*ELEMENT, TYPE=S8R, ELSET=KIND{k}")
        for plate in np.flatnonzero(kind.ravel() == k):
            nodes = [*board.quads[plate], *mids[plate]]
            lines.append(f"{plate + 1}, " + ", ".join(str(int(n) + 1) for n in nodes))
        # CalculiX counts the offset from the plate's middle to the nodes, ours runs from the nodes to the middle.
        lines += [f"*SHELL SECTION, ELSET=KIND{k}, MATERIAL=STEEL, OFFSET={-share:.9f}", f"{thickness:.9e}"]
    lines += ["*MATERIAL, NAME=STEEL", "*ELASTIC", f"{STEEL_YOUNG:.6e}, {STEEL_POISSON}", "*BOUNDARY"]
    by_side = {tuple(sorted(pair)): n for pair, n in _side_numbers(board, mids)}
    still = [*np.argwhere(hold[:, :3])]
    still += [(n, f) for (a, b), n in by_side.items() for f in range(3) if hold[a, f] and hold[b, f]]
    lines += [f"{node + 1}, {freedom + 1}, {freedom + 1}" for node, freedom in still]
    for chosen in tips.values():
        lines += ["*STEP", "*STATIC", "*CLOAD, OP=NEW"]
        force = _quadratic(board, chosen, by_side)
        lines += [f"{node + 1}, 1, {value:.9e}" for node, value in force.items()]
        lines += ["*NODE FILE, OUTPUT=2D", "U", "*END STEP"]
    path.write_text("\n".join(lines) + "\n", encoding="ascii")


def _side_numbers(board: BoardMesh, mids: Ints) -> list[tuple[tuple[int, int], int]]:
    ends = np.stack([board.quads, np.roll(board.quads, -1, axis=1)], axis=-1).reshape(-1, 2)
    return [((int(a), int(b)), int(n)) for (a, b), n in zip(ends, mids.ravel(), strict=True)]


def _quadratic(board: BoardMesh, lines: Ints, by_side: dict[tuple[int, ...], int]) -> dict[int, float]:
    """One newton backwards, spread evenly along the pushed tip: a sixth, four sixths and a sixth on each side."""
    nodes = lines * board.rows + board.profile.tip
    at = board.lines[lines]
    force: dict[int, float] = {}
    for a, b, run in zip(nodes[:-1], nodes[1:], np.diff(at) / (at[-1] - at[0]), strict=True):
        for node, share in ((int(a), 1 / 6), (by_side[(int(a), int(b))], 4 / 6), (int(b), 1 / 6)):
            force[node] = force.get(node, 0.0) - share * float(run)
    return force


def run(folder: Path, count: int, cases: tuple[str, ...]) -> dict[str, Floats]:
    """Run the deck and read the displacements of the first `count` nodes, case by case."""
    done = subprocess.run(
        ["ccx", "board"],
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "OMP_NUM_THREADS": "1"},
    )
    found = folder / "board.frd"
    if done.returncode or not found.exists():
        raise RuntimeError(f"ccx ended with {done.returncode}: {done.stdout[-800:]}")
    out: list[Floats] = []
    inside = False
    for line in found.read_text(encoding="ascii").splitlines():
        if line.startswith(" -4  DISP"):
            out.append(np.full((count, 3), np.nan))
            inside = True
        elif inside and line.startswith(" -1"):
            node = int(line[3:13])
            if node <= count:
                out[-1][node - 1] = [float(line[13 + 12 * k : 25 + 12 * k]) for k in range(3)]
        elif line.startswith(" -3"):
            inside = False
    return dict(zip(cases, out, strict=True))
