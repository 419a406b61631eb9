"""Frame and moldboard held against their yield under every kind of load whose force is known."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from plowwright import units
from plowwright.blade.loads import Blade, Kind, LoadCase
from plowwright.blade.strength.analysis_results import Analysis, Use
from plowwright.blade.strength.forces import Forces
from plowwright.blade.strength.limits import FRAME_ROLES
from plowwright.findings import Basis, Finding, against_limit, not_checked
from plowwright.rulebook.settings import Setting
from plowwright.rulebook.strength import Strength

_BOARD_PARTS: Final = {
    "skin": "skin",
    "shelf": "bottom angle",
    "edge and leg": "bottom angle",
    "webs": "web 1",
}
"""Part whose yield a plate of the shell is held against; edge and angle are one plate, so the weaker counts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Group:
    """Cases that are told together.

    Attributes:
        said: What they are, in words.
        kind: Kind of load.
        angled: Whether the blade stands at full angle.
    """

    said: str
    kind: Kind
    angled: bool = False

    def has(self, case: LoadCase) -> bool:
        return case.kind == self.kind and bool(case.angle) == self.angled


_GROUPS: Final = (
    _Group(said="strikes, straight", kind="strike"),
    _Group(said="strikes at full angle", kind="strike", angled=True),
    _Group(said="steady push, straight", kind="push"),
    _Group(said="steady push at full angle", kind="push", angled=True),
    _Group(said="back-drag", kind="back-drag"),
    _Group(said="down-force", kind="down-force"),
    _Group(said="carried over a bump", kind="bump"),
)


def findings(blade: Blade, analysis: Analysis, forces: Forces, settings: Strength) -> tuple[Finding, ...]:
    """The hardest used member of the frame, and of the moldboard, for each kind of load.

    Args:
        blade: The blade.
        analysis: Its strength model.
        forces: Force of each load case.
        settings: The rulebook's strength settings.
    """
    return (
        *_frame(analysis, forces, settings),
        *(_board(blade, analysis, forces, settings) if analysis.board is not None else ()),
    )


def level_said(analysis: Analysis) -> str:
    """Which model the figures come from, in words."""
    return "level 2, shell moldboard and beam frame" if analysis.level == 2 else "level 1, lattice moldboard"


def _frame(analysis: Analysis, forces: Forces, settings: Strength) -> Iterator[Finding]:
    for group in _GROUPS:
        rows = [case for case in analysis.cases if group.has(case)]
        title, place = f"frame under {group.said}", "push frame"
        known = [case for case in rows if case.name in forces.by_case]
        if not known:
            if rows:
                because = next((forces.untold[c.name] for c in rows if c.name in forces.untold), "no force is known")
                yield not_checked(title=title, because=because, basis=_no_force(), place=place)
            continue
        worst, use = max(
            ((case, analysis.first_yield(case.name, FRAME_ROLES)) for case in known),
            key=lambda pair: forces.by_case[pair[0].name] / pair[1].force,
        )
        yield _used(title, analysis, worst, use, forces, settings)


def _used(
    title: str, analysis: Analysis, case: LoadCase, use: Use, forces: Forces, settings: Strength
) -> Finding:
    force = forces.by_case[case.name]
    safety = _safety(case, settings)
    stress = use.stress * force / case.reference
    strength = use.stress / use.share
    shown = f" at {units.say(force, 'force')}" if case.scales else ""
    share = stress * safety.value / strength
    return against_limit(
        stress,
        strength / safety.value,
        kind="stress",
        title=title,
        sentence=f"{title}: {use.part} has {units.say(stress, 'stress')} under {case.title}{shown}, "
        f"{share * 100:.0f} % of what is allowed; it would yield at {units.say(use.force, 'force')}"
        if case.scales
        else f"{title}: {use.part} has {units.say(stress, 'stress')}, {share * 100:.0f} % of what is allowed",
        place=use.part,
        basis=Basis(
            kind="handbook",
            formula="von Mises stress of the section from N, V, M and T at the member's ends, against yield / safety",
            inputs={
                "yield": units.say(strength, "stress"),
                "safety": safety.said("-"),
                "load case": case.title,
                **({"force": units.say(force, "force")} if case.scales else {}),
                **({"force rests on": forces.ground} if case.kind == "strike" else {}),
                **case.basis.inputs,
                "model": level_said(analysis),
            },
            source="beam theory; design wall 0.93 t of A500 tube by AISC 360 B4.2",
        ),
    )


def _board(blade: Blade, analysis: Analysis, forces: Forces, settings: Strength) -> Iterator[Finding]:
    board = analysis.board
    assert board is not None
    rows = [(c, case) for c, case in enumerate(analysis.cases) if case.name in forces.by_case]
    for name, stresses in board.plate_stress.items():
        material = blade.rulebook.materials[blade.assembly.part(_BOARD_PARTS[name]).material]
        if not rows or material.yield_strength is None:
            because = "no force is known" if not rows else f"{material.source or 'the rulebook'} gives no yield"
            yield not_checked(title=f"moldboard, {name}", because=because, basis=_no_force(), place=name)
            continue
        yield _plate(name, rows, [float(s) for s in stresses], material.yield_strength, analysis, forces, settings)


def _plate(
    name: str,
    rows: Sequence[tuple[int, LoadCase]],
    stresses: Sequence[float],
    strength: float,
    analysis: Analysis,
    forces: Forces,
    settings: Strength,
) -> Finding:
    def share(row: tuple[int, LoadCase]) -> float:
        c, case = row
        return stresses[c] * forces.by_case[case.name] / case.reference * _safety(case, settings).value

    c, case = max(rows, key=share)
    force, safety = forces.by_case[case.name], _safety(case, settings)
    shown = f" at {units.say(force, 'force')}" if case.scales else ""
    stress, title = stresses[c] * force / case.reference, f"moldboard, {name}"
    return against_limit(
        stress,
        strength / safety.value,
        kind="stress",
        title=title,
        sentence=f"{title}: {units.say(stress, 'stress')} under {case.title}{shown}, "
        f"{stress * safety.value / strength * 100:.0f} % of what is allowed",
        place=_BOARD_PARTS[name],
        basis=Basis(
            kind="handbook",
            formula="von Mises stress at either face that only 2 % of the part's area exceeds, against yield / safety",
            inputs={
                "yield": units.say(strength, "stress"),
                "safety": safety.said("-"),
                "load case": case.title,
                **({"force rests on": forces.ground} if case.kind == "strike" else {}),
                "model": level_said(analysis),
            },
            source="flat shell elements; corners of the web feet are left out, their welds are checked by themselves",
        ),
    )


def _safety(case: LoadCase, settings: Strength) -> Setting[float]:
    return settings.safety.strike if case.kind == "strike" else settings.safety.daily


def _no_force() -> Basis:
    return Basis(kind="assumed", formula="force of the load case by the carrier's weight")
