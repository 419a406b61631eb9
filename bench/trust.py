"""Level 1 against level 2 over many blades, level 2 against finer plates: figures for the page on how far to trust it.

Every difference is level 1 against level 2, or a coarse answer against a finer one, as a share of the finer: + is too
much. Nothing here is timed; the benches are for that.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache, partial
from pathlib import Path
from typing import Final
from unittest.mock import patch

import numpy as np

from plowwright import rulebook
from plowwright.blade.build import Build, work_out
from plowwright.blade.loads import LoadCase
from plowwright.blade.parts import Weld
from plowwright.blade.spec import Spec
from plowwright.blade.strength import shell
from plowwright.blade.strength.analysis import analyse
from plowwright.blade.strength.analysis_results import Analysis
from plowwright.blade.strength.shell_results import BoardResult
from plowwright.errors import ModelError
from plowwright.physics import built_up
from plowwright.physics.frame_elements import Floats
from plowwright.physics.threads import one_thread
from plowwright.units.constants import INCH

ROOT: Final = Path(__file__).resolve().parents[1]
DEMO: Final = "demo/rulebook"
COMMON: Final = "tests/rulebooks/common"
BLADES: Final[tuple[tuple[str, str, tuple[int, ...]], ...]] = (
    (DEMO, "reed", (48, 60, 72)),
    (DEMO, "flint", (54, 78, 102)),
    (DEMO, "basalt", (66, 84, 108)),
    (COMMON, "light", (48, 78)),
    (COMMON, "standard", (78, 114)),
    (COMMON, "heavy", (78, 114)),
)
"""Rules, series and widths, narrow to wide [in]."""
LEFT: Final = "strike left corner, straight"
GROUPS: Final = ("corner, straight", "corner, at full angle", "elsewhere along the edge", "whole width")
"""Load cases that are told together."""
GOALS: Final[Mapping[str, float]] = {"capacity": 0.03, "hinge": 0.10, "shelf": 0.05, "calculix": 0.03}
"""Differences that were aimed at [-]."""


@dataclass(frozen=True, kw_only=True)
class Levels:
    """One blade at both levels.

    Attributes:
        blade: Series and width, as "Reed 72 in".
        capacity: Force at which the push frame first yields, worst difference in each of GROUPS [-].
        part: Whether level 1 names the same part or its mirror image at the corner, straight.
        hinge: Force on the most loaded hinge, worst difference in each of GROUPS [-].
        spread: Force on any hinge, worst difference over the most loaded one's, in each of GROUPS [-].
        links: Force on a spring's line in a corner strike, worst difference over the strike [-].
        shelf: Greatest stress along the shelf's rear edge in a corner strike [-].
        shelf_elsewhere: The same in strikes elsewhere, over the stress of the corner strike [-].
        corner: How far the struck corner goes back, hub and oil with it [-].
        board: How far it goes back behind the line through the outer hinges [-].
        foot: Moment in the foot of the hinge web nearest to the strike, level 1's over level 2's [-].
        weld: Greatest pull on that foot's seam per length, level 1's over level 2's [-].
        end_weld: The same at the end web [-].
    """

    blade: str
    capacity: tuple[float, ...]
    part: bool
    hinge: tuple[float, ...]
    spread: tuple[float, ...]
    links: float
    shelf: float
    shelf_elsewhere: float
    corner: float
    board: float
    foot: float
    weld: float
    end_weld: float


@lru_cache(maxsize=2)
def rules(folder: str) -> rulebook.Rulebook:
    """A rulebook by its folder."""
    return rulebook.load(ROOT / folder)


def built(folder: str, series: str, width: float) -> Build:
    """A blade for a skid steer; width in inches."""
    spec = Spec(series=series, width=width * INCH, mount="loader", carrier_kind="skid steer", hoses="flat-face")
    return work_out(spec, rules(folder), level=0)


def every_blade() -> Iterator[tuple[str, str, int]]:
    """All of BLADES, one by one."""
    return ((folder, series, width) for folder, series, widths in BLADES for width in widths)


def levels(folder: str, series: str, width: float) -> Levels:
    """One blade at both levels."""
    build = built(folder, series, width)
    with one_thread():
        one, two = analyse(build, level=1), analyse(build, level=2)
    groups = [[case for case in two.cases if group_of(case) == name] for name in GROUPS]
    hinge, spread = zip(*(_hinges(one, two, cases) for cases in groups), strict=True)
    corners = [case.name for case in groups[0]]
    first = [found.first_yield(LEFT, ("frame",)).part for found in (one, two)]
    stress = [_shelf_stress(one, two, build), _need(two).shelf_stress]
    off = stress[0] - stress[1]
    rows = [one.number(name) for name in corners]
    elsewhere = [one.number(case.name) for case in groups[2]]
    row = one.number(LEFT)
    sag = [_corner(found, build)[row] for found in (one, two)]
    feet = _feet(one, two, build)
    return Levels(
        blade=f"{build.rulebook.series[series].name} {width:g} in",
        capacity=tuple(_worst([_yield_off(one, two, case) for case in cases]) for cases in groups),
        part=first[0] == first[1],
        hinge=hinge,
        spread=spread,
        links=float(np.abs(one.spring_forces[rows] - two.spring_forces[rows]).max()),
        shelf=_worst(off[rows] / stress[1][rows]),
        shelf_elsewhere=_worst(off[elsewhere] / stress[1][rows].max()),
        corner=float(sag[0][0] / sag[1][0] - 1),
        board=float(sag[0][1] / sag[1][1] - 1),
        foot=feet[0],
        weld=feet[1],
        end_weld=feet[2],
    )


def group_of(case: LoadCase) -> str | None:
    """Which of GROUPS a case belongs to; its own weight over a bump to none."""
    if not case.scales:
        return None
    if case.kind != "strike":
        return GROUPS[3]
    if "corner," not in case.name or "way" in case.name:
        return GROUPS[2]
    return GROUPS[1] if case.angle else GROUPS[0]


def _worst(shares: Sequence[float] | Floats) -> float:
    return float(max(shares, key=abs))


def _need(found: Analysis) -> BoardResult:
    if found.board is None:
        raise ModelError("a level 1 analysis has no shell", way_out="Analyse at level 2.")
    return found.board


def _yield_off(one: Analysis, two: Analysis, case: LoadCase) -> float:
    force = [found.first_yield(case.name, ("frame",)).force for found in (one, two)]
    return force[0] / force[1] - 1


def _hinges(one: Analysis, two: Analysis, cases: Sequence[LoadCase]) -> tuple[float, float]:
    """Worst difference at the most loaded hinge and at any, over the most loaded."""
    most: list[float] = []
    spread: list[float] = []
    for case in cases:
        row = one.number(case.name)
        mine, theirs = (found.hinge_forces[row, :, :3] for found in (one, two))
        size = np.linalg.norm(theirs, axis=1)
        at = int(np.argmax(size))
        most.append(float(np.linalg.norm(mine[at]) / size[at] - 1))
        spread.append(float(np.linalg.norm(mine - theirs, axis=1).max() / size[at]))
    return _worst(most), max(spread)


def _shelf_stress(one: Analysis, two: Analysis, build: Build) -> Floats:
    """Level 1's greatest stress along the shelf's rear edge in the sections that level 2 looks at, (c,) [Pa]."""
    d = build.datum
    section = built_up.angle_with_edge_strength(d.leg_up, d.leg_back, d.angle_wall, d.edge_height, d.edge_wall, d.foot)
    origin = build.assembly.part("bottom angle").place.origin
    places = _need(two).outline("shelf").places[:, 1]
    rear = max(y for y, _ in section.points)
    chosen = [k for k, (y, _) in enumerate(section.points) if y > rear - 1e-6]
    found = np.zeros(len(one.cases))
    for y in 0.5 * (places[1:] + places[:-1]):
        at = np.array([origin[0] - section.centroid[0], y, origin[2] + section.centroid[1]])
        put = _through(one, "bottom angle", at)
        for row, (force, moment) in enumerate(zip(put[:, :3], put[:, 3:], strict=True)):
            # The beam's own y runs back, its z up.
            stress = section.stresses(axial=force[1], moment_y=-moment[0], moment_z=moment[2], free=True)
            found[row] = max(found[row], *(abs(stress[k]) for k in chosen))
    return found


def _through(found: Analysis, part: str, at: Floats) -> Floats:
    """Force and moment about a point that the metal to its left puts on the metal to its right, (c, 6)."""
    out = np.zeros((len(found.cases), 6))
    for m in found.of(part):
        start, end = np.array(found.beams[m].start), np.array(found.beams[m].end)
        if start[1] <= at[1] < end[1]:
            own = found.forces[:, m, 0]
            out[:, :3] -= own[:, :3]
            out[:, 3:] -= own[:, 3:] + np.cross(start - at, own[:, :3])
    return out


def _corner(found: Analysis, build: Build) -> Floats:
    """How far the left end of the bottom member goes back, (c, 2): in all, and behind the line of the hinges [m]."""
    d = build.datum
    section = built_up.angle_with_edge_strength(d.leg_up, d.leg_back, d.angle_wall, d.edge_height, d.edge_wall, d.foot)
    level = build.assembly.part("bottom angle").place.origin[2] + section.centroid[1]
    if found.board is None:
        last = max(found.of("bottom angle"), key=lambda m: (found.beams[m].end[1], -abs(found.beams[m].end[2] - level)))
        moved = found.moved[:, last, 1, 0]
    else:
        line = found.board.outline("left end")
        moved = np.array([np.interp(level, line.places[:2, 2], case[:2, 0]) for case in line.moved])
    names = [beam.name for beam in found.beams]
    pins = [names.index(f"hinge pin {k}, right half") for k in (1, len(found.hinges))]
    right, left = (found.moved[:, m, 1, 0] for m in pins)
    across = (d.width / 2 - d.hinge_ys[-1]) / (d.hinge_ys[-1] - d.hinge_ys[0])
    line = left + (left - right) * across
    return -np.stack((moved, moved - line), axis=1)


def _feet(one: Analysis, two: Analysis, build: Build) -> tuple[float, float, float]:
    """Level 1 over level 2, left corner struck: moment in the hinge web's foot, pull on its seam, on the end web's."""
    board, row = _need(two), one.number(LEFT)
    pulls: list[float] = []
    moments: list[float] = []
    for web in (_struck_web(build), f"web {len(build.datum.web_ys)}"):
        mine = one.end_of(f"{web}, 1", start=True).about(board.web_foot_places[web])[row]
        theirs = board.web_feet[web][row]
        pulls.append(_pull(mine, build, web) / _pull(theirs, build, web))
        moments.append(float(mine[4] / theirs[4]))
    return moments[0], pulls[0], pulls[1]


def _struck_web(build: Build) -> str:
    """The web at the hinge nearest to the left corner."""
    ys = np.array(build.datum.web_ys)
    return f"web {int(np.argmin(np.abs(ys - build.datum.hinge_ys[-1]))) + 1}"


def _pull(foot: Floats, build: Build, web: str) -> float:
    """Greatest pull on the seam of a web's foot per length, from the forces in the web's plane [N/m]."""
    seams = (j for j in build.assembly.joints if isinstance(j, Weld) and j.joins == (web, "bottom angle"))
    long = max(seam.length() / len(seam.lines()) for seam in seams)
    return float(np.hypot(foot[0], abs(foot[2]) + 6 * abs(foot[4]) / long) / long)


@dataclass(frozen=True, kw_only=True)
class Sized:
    """The whole blade at one size of plates, left corner struck, against the finest.

    Attributes:
        blade: Series and width.
        size: Longest side of a plate [in].
        capacity: Force at which the push frame first yields [-].
        hinge: Force on the most loaded hinge [-].
        corner: How far the struck corner goes back behind the line of the hinges [-].
        weld: Greatest pull on the seam of the foot of the hinge web nearest to the strike, per length [-].
    """

    blade: str
    size: float
    capacity: float
    hinge: float
    corner: float
    weld: float


def by_size(folder: str, series: str, width: float, sizes: Sequence[float]) -> tuple[Sized, ...]:
    """One blade at several sizes of plates, the finest last; inches."""
    build = built(folder, series, width)
    web = _struck_web(build)
    rows: list[tuple[float, ...]] = []
    for size in sizes:
        with patch.object(shell, "board", partial(shell.board, size=size * INCH)), one_thread():
            found = analyse(build, level=2)
        row = found.number(LEFT)
        rows.append(
            (
                found.first_yield(LEFT, ("frame",)).force,
                float(np.linalg.norm(found.hinge_forces[row, :, :3], axis=1).max()),
                float(_corner(found, build)[row, 1]),
                _pull(_need(found).web_feet[web][row], build, web),
            )
        )
    name = f"{build.rulebook.series[series].name} {width:g} in"
    off = np.array(rows) / np.array(rows[-1]) - 1
    return tuple(
        Sized(blade=name, size=size, capacity=a, hinge=b, corner=c, weld=w)
        for size, (a, b, c, w) in zip(sizes, off.tolist(), strict=True)
    )
