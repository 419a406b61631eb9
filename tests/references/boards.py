"""Shell moldboards for tests, benches and the page on how far to trust them: loads, a plain hold, and figures."""

from __future__ import annotations

import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from plowwright.blade.assemble import assemble
from plowwright.blade.datum import Datum, work_out
from plowwright.blade.loads import BoardLoad, Patch
from plowwright.blade.making import Maker
from plowwright.blade.parts import Assembly
from plowwright.blade.spec import Spec
from plowwright.blade.strength import shell
from plowwright.blade.strength.shell import BoardBlock, ShellBoard
from plowwright.blade.strength.shell_results import BoardResult
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH
from tests.references import calculix
from tests.references.calculix import Compared

BLADES = (("reed", 72.0), ("flint", 84.0), ("basalt", 84.0))
SIZES = (6.0, 3.0, 2.0, 1.5)
"""Sizes of plates that convergence is shown over, inches."""
ROW = 2.0
"""Size of plates in the comparison with CalculiX, inches."""


def blade(rules: Rulebook, series: str = "flint", width: float = 84) -> tuple[Assembly, Datum]:
    """Parts and sizes of a blade for a skid steer; width in inches."""
    spec = Spec(series=series, width=width * INCH, mount="loader", carrier_kind="skid steer", hoses="flat-face")
    return assemble(spec, rules), work_out(spec, rules)


def strike(y: float, *, force: tuple[float, float, float] = (-1.0, 0.0, 0.0)) -> BoardLoad:
    """A newton on three inches of the edge's lowest inch."""
    place = Patch(y0=y - 1.5 * INCH, y1=y + 1.5 * INCH, z0=0.0, z1=1.0 * INCH, on="edge")
    return BoardLoad(force=force, place=place)


def strikes(d: Datum) -> list[list[BoardLoad]]:
    """Five strikes from the right to the left corner, one aslant at the right corner, and a push on the skin."""
    end = d.width / 2 - 1.5 * INCH
    cases = [[strike(y)] for y in np.linspace(-end, end, 5)]
    cases.append([strike(-end, force=(-1.0, 0.2, 0.3))])
    whole = Patch(y0=-d.width / 2, y1=d.width / 2, z0=d.shelf + INCH, z1=d.shelf + 12 * INCH, on="skin")
    cases.append([BoardLoad(force=(-1.0, 0.0, 0.0), place=whole)])
    return cases


def held(block: BoardBlock) -> np.ndarray:
    """Motion of the interface with pins held but free to turn, and lugs kept from going back or forward."""
    still = np.zeros((len(block.names), 6), dtype=bool)
    for k, name in enumerate(block.names):
        still[k, :3] = name.startswith("hinge")
        still[k, 0] = True
    free = ~still.ravel()
    motion = np.zeros_like(block.loads)
    motion[:, free] = np.linalg.solve(block.stiffness[np.ix_(free, free)], block.loads[:, free].T).T
    return motion


def worked(board: ShellBoard, cases: list[list[BoardLoad]], weight: np.ndarray | None = None) -> BoardResult:
    """A board under its loads, held as `held` says."""
    block = board.condensed(cases, weight)
    return block.recover(held(block))


@dataclass(frozen=True, kw_only=True)
class Converged:
    """Answers of one blade at one size of plates under a newton at the right corner.

    Attributes:
        blade: Series and width.
        size: Longest side of a plate [in].
        nodes: Number of nodes.
        corner: How far the struck corner goes back [m/N].
        shelf: Greatest stress along the shelf's rear edge [Pa/N].
        skin: Stress that 2 % of the skin exceeds [Pa/N].
        hinge_foot: Force in the foot of the web at the hinge nearest to the strike [N/N].
        end_foot: Force in the foot of the end web [N/N].
        seconds: From outlines to stresses, all cases of `strikes` [s].
    """

    blade: str
    size: float
    nodes: int
    corner: float
    shelf: float
    skin: float
    hinge_foot: float
    end_foot: float
    seconds: float


def mesh_convergence(rules: Rulebook, sizes: tuple[float, ...] = SIZES) -> tuple[Converged, ...]:
    """Each of BLADES at each size of plates, coarse to fine."""
    out: list[Converged] = []
    for series, width in BLADES:
        assembly, d = blade(rules, series, width)
        hinge = next(k + 1 for k, y in enumerate(d.web_ys) if abs(y - d.hinge_ys[0]) < 1e-6)
        for size in sizes:
            begin = time.perf_counter()
            board = shell.board(assembly, d, rules, size=size * INCH)
            found = worked(board, strikes(d))
            out.append(
                Converged(
                    blade=f"{rules.series[series].name} {width:g} in",
                    size=size,
                    nodes=len(board.joined.mesh.nodes),
                    corner=-float(found.outline("edge").moved[0, 0, 0]),
                    shelf=float(found.shelf_stress[0]),
                    skin=float(found.skin_stress[0]),
                    hinge_foot=float(np.linalg.norm(found.web_feet[f"web {hinge}"][0, :3])),
                    end_foot=float(np.linalg.norm(found.web_feet["web 1"][0, :3])),
                    seconds=time.perf_counter() - begin,
                )
            )
    return tuple(out)


@dataclass(frozen=True, kw_only=True)
class AgainstCalculix:
    """One blade by both programs, plates of ROW inches.

    Attributes:
        blade: Series and width.
        rows: Displacements, case by case.
        ours: Our time for all cases, from nodes to displacements [s].
        theirs: CalculiX's time for one case [s].
    """

    blade: str
    rows: tuple[Compared, ...]
    ours: float
    theirs: float


def against_calculix(rules: Rulebook, series: str, width: float, size: float = ROW) -> AgainstCalculix:
    """One blade by CalculiX and by us; width and size in inches."""
    _, d = blade(rules, series, width)
    with tempfile.TemporaryDirectory() as folder:
        rows, ours, theirs = calculix.compare(d, Maker(rulebook=rules), size=size * INCH, folder=Path(folder))
    return AgainstCalculix(blade=f"{rules.series[series].name} {width:g} in", rows=rows, ours=ours, theirs=theirs)
