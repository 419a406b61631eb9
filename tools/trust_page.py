"""Writes docs/how-far-to-trust-it.md: every figure from a run, the words from trust_page.md beside this file.

`make trust` runs it. It needs CalculiX (`ccx`) and takes a minute or two.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from bench import trust
from bench.trust import GOALS, GROUPS, Levels, Sized
from plowwright.blade.strength.shell import SIZE
from plowwright.units.constants import INCH
from tests.references import boards, calculix
from tests.references.boards import AgainstCalculix, Converged

HERE = Path(__file__).resolve().parent
WORDS = HERE / "trust_page.md"
PAGE = HERE.parent / "docs" / "how-far-to-trust-it.md"


def main() -> int:
    if not calculix.installed():
        print("CalculiX is not on this machine: install calculix-ccx, then run make trust again.")
        return 1
    print("Both levels over all blades ...")
    found = [trust.levels(*blade) for blade in trust.every_blade()]
    print("Smaller plates ...")
    rules = trust.rules(trust.DEMO)
    board = boards.mesh_convergence(rules)
    whole = [row for series, width in boards.BLADES for row in trust.by_size(trust.DEMO, series, width, boards.SIZES)]
    print("CalculiX ...")
    theirs = {
        size: [boards.against_calculix(rules, series, width, size) for series, width in boards.BLADES]
        for size in boards.SIZES
    }
    PAGE.write_text(page(found, board, whole, theirs), encoding="utf-8")
    print(f"Wrote {PAGE.relative_to(HERE.parent)}.")
    return 0


def page(
    found: Sequence[Levels],
    board: Sequence[Converged],
    whole: Sequence[Sized],
    theirs: dict[float, list[AgainstCalculix]],
) -> str:
    """The page as Markdown."""
    goals = {f"goal_{name}": f"{100 * goal:g} %" for name, goal in GOALS.items()}
    at_goal = [row.off for blade in theirs[boards.ROW] for row in blade.rows]
    return WORDS.read_text(encoding="utf-8").format(
        demo=trust.rules(trust.DEMO).fingerprint,
        common=trust.rules(trust.COMMON).fingerprint,
        goal_size=f"{boards.ROW:g}",
        finest=f"{boards.SIZES[-1]:g}",
        size=f"{SIZE / INCH:g}",
        short=_short(found, at_goal),
        capacity=capacity(found),
        capacity_said=_said([(name, [row.capacity[k] for row in found]) for k, name in enumerate(GROUPS)], "capacity"),
        hinges=hinges(found),
        hinges_said=_said([(name, [row.hinge[k] for row in found]) for k, name in enumerate(GROUPS)], "hinge"),
        shelf=shelf(found),
        shelf_said=_said([("corner, straight", [row.shelf for row in found])], "shelf"),
        feet=feet(found),
        feet_said=_feet_said(found),
        calculix=against(theirs),
        calculix_said=_said([(f"plates of {boards.ROW:g} in", at_goal)], "calculix", of="pushes"),
        board=_boards(board),
        whole=_whole(whole),
        mesh_said=_mesh_said(whole),
        **goals,
    )


def capacity(found: Iterable[Levels]) -> str:
    """Table of the push frame's first yield."""
    return table(("blade", *GROUPS), ((row.blade, *map(percent, row.capacity)) for row in found))


def hinges(found: Iterable[Levels]) -> str:
    """Table of the forces on hinges and along springs."""
    head = ("blade", *(f"most loaded: {name}" for name in GROUPS), "any hinge", "spring line")
    return table(
        head,
        (
            (
                row.blade,
                *map(percent, row.hinge),
                percent(max(row.spread), signed=False),
                percent(row.links, signed=False),
            )
            for row in found
        ),
    )


def shelf(found: Iterable[Levels]) -> str:
    """Table of shelf stress and deflection."""
    head = ("blade", "shelf, corner", "shelf, elsewhere", "corner, in all", "corner, moldboard alone")
    return table(
        head,
        ((row.blade, *map(percent, (row.shelf, row.shelf_elsewhere, row.corner, row.board))) for row in found),
    )


def feet(found: Iterable[Levels]) -> str:
    """Table of what level 1 would say of the webs' feet."""
    head = ("blade", "moment, hinge web", "pull on the seam, hinge web", "pull on the seam, end web")
    return table(head, ((row.blade, *map(times, (row.foot, row.weld, row.end_weld))) for row in found))


def against(theirs: dict[float, list[AgainstCalculix]]) -> str:
    """Table of displacements against CalculiX."""
    rows: list[tuple[str, ...]] = []
    for at in range(len(boards.BLADES)):
        for case in range(len(calculix.CASES)):
            blades = [blades[at] for blades in theirs.values()]
            name = f"{blades[0].blade}, {blades[0].rows[case].case}"
            rows.append((name, *(percent(blade.rows[case].off) for blade in blades)))
    return table(("blade and push", *(f"{size:g} in" for size in theirs)), rows)


def _boards(board: Sequence[Converged]) -> str:
    head = (
        "blade",
        "plates",
        "corner goes back",
        "shelf stress",
        "skin stress",
        "force in hinge web's foot",
        "end web's",
    )
    rows: list[tuple[str, ...]] = []
    finest = {row.blade: row for row in board}
    for row in board:
        best = finest[row.blade]
        parts: tuple[Callable[[Converged], float], ...] = (
            lambda a: a.corner,
            lambda a: a.shelf,
            lambda a: a.skin,
            lambda a: a.hinge_foot,
            lambda a: a.end_foot,
        )
        if row is not best:
            rows.append((row.blade, f"{row.size:g} in", *(percent(part(row) / part(best) - 1) for part in parts)))
    return table(head, rows)


def _whole(whole: Sequence[Sized]) -> str:
    head = (
        "blade",
        "plates",
        "frame's first yield",
        "most loaded hinge",
        "corner, moldboard alone",
        "pull on hinge web's seam",
    )
    return table(
        head,
        (
            (row.blade, f"{row.size:g} in", *map(percent, (row.capacity, row.hinge, row.corner, row.weld)))
            for row in whole
            if row.size != boards.SIZES[-1]
        ),
    )


def _short(found: Sequence[Levels], at_goal: Sequence[float]) -> str:
    corner = max(abs(row.capacity[0]) for row in found)
    hinge = max(abs(row.hinge[0]) for row in found)
    stress = max(abs(row.shelf) for row in found)
    rows = (
        ("frame, corner struck straight, level 1 against 2", corner, GOALS["capacity"]),
        ("most loaded hinge, the same", hinge, GOALS["hinge"]),
        ("shelf stress, the same", stress, GOALS["shelf"]),
        ("frame, any load case", max(abs(share) for row in found for share in row.capacity), GOALS["capacity"]),
        ("most loaded hinge, any load case", max(abs(share) for row in found for share in row.hinge), GOALS["hinge"]),
        ("level 2 against CalculiX, how far the edge goes back", max(map(abs, at_goal)), GOALS["calculix"]),
    )
    head = (f"worst of {len(found)} blades", "difference", "goal", "goal met")
    return table(
        head,
        (
            (name, percent(value, signed=False), f"{100 * goal:g} %", "yes" if value <= goal else "no")
            for name, value, goal in rows
        ),
    )


def _said(groups: Sequence[tuple[str, Sequence[float]]], goal: str, of: str = "blades") -> str:
    """How many stay within the goal, in words."""
    out: list[str] = []
    for name, shares in groups:
        inside = sum(abs(share) <= GOALS[goal] for share in shares)
        out.append(f"- {name}: {inside} of {len(shares)} {of} within the goal, worst {percent(max(shares, key=abs))}")
    return "\n".join(out)


def _feet_said(found: Sequence[Levels]) -> str:
    wrong = sum(row.foot < 0 for row in found)
    pulls = [pull for row in found for pull in (row.weld, row.end_weld)]
    return (
        f"On {wrong} of {len(found)} blades level 1 turns the foot the wrong way; the pull on a seam comes out at\n"
        f"{times(min(pulls))} to {times(max(pulls))} times level 2's."
    )


def _mesh_said(whole: Sequence[Sized]) -> str:
    own = [row for row in whole if row.size * INCH == SIZE]
    frame = max(abs(share) for row in own for share in (row.capacity, row.hinge, row.corner))
    seam = max((row.weld for row in own), key=abs)
    return (
        f"There frame, hinges and deflection lie within {percent(frame, signed=False)} of the finest;\n"
        f"the pull on the seam of a web's foot is {percent(seam)} off at worst."
    )


def percent(share: float, *, signed: bool = True) -> str:
    """A share in percent, two figures that mean something."""
    text = f"{100 * share:+.1f}" if signed else f"{100 * share:.1f}"
    return ("0.0" if float(text) == 0 else text.replace("-", "−")) + " %"


def times(share: float) -> str:
    """How many times as much."""
    return f"{share:.1f}".replace("-", "−")


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A Markdown table, figures to the right."""
    lines = [list(head), *map(list, rows)]
    widths = [max(len(line[k]) for line in lines) for k in range(len(head))]

    def put(line: Sequence[str]) -> str:
        cells = [
            text.ljust(w) if k == 0 else text.rjust(w) for k, (text, w) in enumerate(zip(line, widths, strict=True))
        ]
        return f"| {' | '.join(cells)} |"

    rule = ["-" * width if k == 0 else "-" * (width - 1) + ":" for k, width in enumerate(widths)]
    return "\n".join([put(lines[0]), put(rule), *map(put, lines[1:])])


if __name__ == "__main__":
    sys.exit(main())
