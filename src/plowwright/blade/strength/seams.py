"""Every weld of a blade held against what goes through it, place by place.

Groups are all seams that join the same two parts, loaded by what the model says goes from one to the other. An ear
and the web it lies on stand on the shelf together, so that foot is one group. Web feet and stitched skins come from
the shell only (level 2): a lattice gets their moments wrong by up to a factor of two.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from plowwright import units
from plowwright.blade.loads import Blade
from plowwright.blade.parts import Weld
from plowwright.blade.strength.analysis_results import Analysis
from plowwright.blade.strength.joint_checks import (
    JointCheck,
    Kind,
    Unchecked,
    easing,
    family,
    safety_said,
    strength_settings,
)
from plowwright.blade.strength.mount_seams import lug_loads
from plowwright.blade.strength.seam_groups import Pair, WeldedJoint, by_pair, legs_said, welded
from plowwright.errors import NotFoundError
from plowwright.findings import Basis
from plowwright.physics.joints import Floats

_ONLY_SHELL: Final = "level 1 does not work out what goes through it; work the blade out at level 2"
_REASONS: Final = (
    ("stand pocket", "it carries the blade on its stand only"),
    ("gusset", "the frame is worked out without gussets, on the safe side"),
    ("top lip", "the carrier's own coupler presses on it in a way its maker knows"),
    ("rib", "it stiffens the mount plate, which is taken as stiff"),
    ("skin", "the shell takes skin and angle as one sheet along their lap"),
    ("cylinder lug", "the cylinder sits on the other side of this blade"),
    ("lug post", "the cylinder sits on the other side of this blade"),
    ("base bracket", "the cylinder sits on the other side of this blade"),
    ("oscillation stop", "the model holds the roll at the sleeve"),
    ("spring lug", "its load is the spring's; see the spring lugs"),
)


@dataclass(frozen=True, kw_only=True, eq=False)
class Through:
    """What goes through a group of seams.

    Attributes:
        name: The joint.
        rows: Its welds.
        kind: What sort of joint.
        at: Point of the moments [m].
        forces: Force and moment by case, (c, 6) [N, N m].
    """

    name: str
    rows: tuple[Weld, ...]
    kind: Kind
    at: Floats
    forces: Floats


@dataclass(frozen=True, kw_only=True, eq=False)
class SeamChecks:
    """The welds of one blade.

    Attributes:
        checks: Those that could be held against a force.
        unchecked: The others, with the reason.
    """

    checks: tuple[JointCheck, ...]
    unchecked: tuple[Unchecked, ...]


def check(blade: Blade, analysis: Analysis) -> SeamChecks:
    """Every weld of a blade.

    Args:
        blade: The blade.
        analysis: What goes through its joints.

    Raises:
        ModelError: A weld without length or leg; it is named.
    """
    pairs = by_pair(blade.assembly.joints)
    electrode = strength_settings(blade).weld.electrode.value
    # A weld that holds nothing is refused wherever it is, loaded or not.
    for rows in pairs.values():
        for weld in rows:
            if min(weld.length(), weld.leg) <= 0.0:
                welded(weld.id, (weld,), blade, electrode)
    left = dict(pairs)
    checks: list[JointCheck] = []
    for through in _through(blade, analysis, pairs):
        for weld in through.rows:
            left.pop(frozenset(weld.joins), None)
        checks.append(_checked(through, blade, analysis, electrode))
    return SeamChecks(checks=tuple(checks), unchecked=_unchecked(left, analysis))


def _through(blade: Blade, analysis: Analysis, pairs: Mapping[Pair, tuple[Weld, ...]]) -> Iterator[Through]:
    """Every group with its load, each pair of parts once."""
    if analysis.board is not None:
        yield from _shell(analysis, pairs)
    else:
        yield from _ears_of_the_lattice(blade, analysis, pairs)
    yield from _frame(blade, analysis, pairs)
    mount = pairs.get(frozenset(("oscillation sleeve", "mount plate")), ())
    if mount:
        yield Through(
            name="oscillation sleeve to mount plate",
            rows=mount,
            kind="weld",
            at=np.array(analysis.mount_root),
            forces=analysis.sleeve_forces,
        )
    for lug, (at, forces) in lug_loads(blade, analysis).items():
        rows = pairs.get(frozenset((lug, "mount plate")), ())
        if rows:
            yield Through(name=f"{lug} to mount plate", rows=rows, kind="weld", at=at, forces=forces)


def _frame(blade: Blade, analysis: Analysis, pairs: Mapping[Pair, tuple[Weld, ...]]) -> Iterator[Through]:
    """Seams between members of push frame and hub, and of what stands between two members without being one."""
    bodies = {part.id: part.body for part in blade.assembly.parts}
    for rows in pairs.values():
        giving, taking = rows[0].joins
        if bodies[giving] == "moldboard":
            continue
        held = analysis.holds.get(_held_by(giving))
        found = (np.array(held.place), held.forces) if held else _transfer(analysis, giving, taking)
        if found is not None:
            yield Through(name=f"{giving} to {taking}", rows=rows, kind="weld", at=found[0], forces=found[1])


def _held_by(giving: str) -> tuple[str, str]:
    """Between which parts the force is told that goes through a part's seam as well.

    What comes to the cylinder's lug goes on through its post, what a stop pushes through the pad on the plate.
    """
    if giving.startswith("stop pad"):
        return (giving.replace("stop pad", "angling stop"), "king-pin plate upper")
    return ("hold", giving.replace("lug post", "cylinder lug"))


def _transfer(analysis: Analysis, giving: str, taking: str) -> tuple[Floats, Floats] | None:
    """Place and forces between two parts, None when they do not meet in the model."""
    try:
        found = analysis.transfer(giving, taking)
    except NotFoundError:
        return None
    return np.array(found.place), found.forces


def _shell(analysis: Analysis, pairs: Mapping[Pair, tuple[Weld, ...]]) -> Iterator[Through]:
    board = analysis.board
    assert board is not None
    for web, force in board.web_feet.items():
        rows = pairs.get(frozenset((web, "bottom angle")), ())
        at = np.array(board.web_foot_places[web])
        total, name = force.copy(), f"{web} to bottom angle"
        ear = next((other for pair in pairs if web in pair for other in pair if other.startswith("ear ")), None)
        if ear is not None:
            beside = pairs.get(frozenset((ear, "bottom angle")), ())
            for weld in beside:
                total += _about(board.ears[weld.id].forces, np.array(board.ears[weld.id].at), at)
            rows, name = (*rows, *beside), f"{web} and {ear} to bottom angle"
        if rows:
            yield Through(name=name, rows=rows, kind="web foot", at=at, forces=total)
        skin = pairs.get(frozenset((web, "skin")), ())
        if skin:
            at = np.array(board.web_skin_places[web])
            yield Through(name=f"{web} to skin", rows=skin, kind="weld", at=at, forces=board.web_skins[web])
    for pair, rows in pairs.items():
        ear = next((part for part in pair if part.startswith("ear ")), None)
        if ear is None or "bottom angle" in pair:
            continue
        other = next(part for part in pair if part != ear)
        at = np.array(board.ears[rows[0].id].at)
        total = sum((_about(board.ears[w.id].forces, np.array(board.ears[w.id].at), at) for w in rows), np.zeros(6))
        yield Through(name=f"{ear} to {other}", rows=rows, kind="weld", at=at, forces=total)


def _ears_of_the_lattice(blade: Blade, analysis: Analysis, pairs: Mapping[Pair, tuple[Weld, ...]]) -> Iterator[Through]:
    """At level 1 an ear's seams on web and shelf take its hinge's force together, as one stiff group."""
    places = {joint.id: joint for joint in blade.assembly.joints}
    for number, hinge in enumerate(analysis.hinges):
        joint = places[hinge]
        ear = next(part for part in joint.joins if part.startswith("ear "))
        rows = tuple(weld for pair, found in pairs.items() if ear in pair for weld in found)
        position = np.array(getattr(joint, "position"))  # noqa: B009
        yield Through(
            name=f"{ear} to web and shelf",
            rows=rows,
            kind="weld",
            at=position,
            forces=-analysis.hinge_forces[:, number],
        )


def _checked(through: Through, blade: Blade, analysis: Analysis, electrode: float) -> JointCheck:
    joint = welded(through.name, through.rows, blade, electrode)
    found = joint.group.leg_stress(through.forces[:, :3], through.forces[:, 3:], through.at)
    # Leg stress times the leg is the force per length of weld; the greatest along each line.
    line = np.linalg.norm(found, axis=-1).max(axis=-1) * joint.group.legs
    allowed = joint.allowed * easing(blade, analysis.cases)[:, None]
    shares = line / allowed
    worst = np.argmax(shares, axis=1)
    at = np.arange(len(worst))
    most = int(worst[np.argmax(shares[at, worst])])
    return JointCheck(
        place=through.name,
        family=family(*_parts_of(through)),
        kind=through.kind,
        way="plate beside the weld" if joint.by_plate[most] else "throat of the weld",
        cases=analysis.cases,
        demand=line[at, worst],
        allowed=allowed[at, worst],
        use=shares[at, worst],
        quantity="force per length",
        basis=_basis(joint, blade, analysis),
        leg=None if joint.by_plate[most] else float(joint.group.legs[most]),
    )


def _parts_of(through: Through) -> tuple[str, ...]:
    return tuple(through.name.split(" to ", 1))


def _basis(joint: WeldedJoint, blade: Blade, analysis: Analysis) -> Basis:
    settings = strength_settings(blade)
    shell = "level 2, shell moldboard" if analysis.level == 2 else "level 1, lattice moldboard"
    return Basis(
        kind="standard",
        formula="force per length = k (F / K + theta x r) on the seams as lines; allowed 0.60 F_EXX x 0.707 leg / 2.00 "
        "or 0.60 Fu t / 2.00 beside it",
        inputs={
            "seams": f"{units.tape(joint.group.length)} in all, leg {legs_said(joint)}",
            "weld metal": settings.weld.electrode.said("stress"),
            "safety": safety_said(blade),
            "model": shell,
            "left out": "gain of seams loaded across; bearing of the plates on each other; give of tube faces",
        },
        source="AISC 360-16 J2.4, J4.2; AISC Manual part 8, elastic method",
    )


def _unchecked(left: Mapping[Pair, tuple[Weld, ...]], analysis: Analysis) -> tuple[Unchecked, ...]:
    found: dict[tuple[str, str], int] = {}
    for rows in left.values():
        a, b = rows[0].joins
        because = next((why for word, why in _REASONS if a.startswith(word)), "")
        if not because:
            of_board = a.startswith("web ") or b == "skin" or a == "skin"
            because = _ONLY_SHELL if analysis.level == 1 and of_board else "the model tells no force through it"
        key = (f"weld of {family(a, b)}", because)
        found[key] = found.get(key, 0) + 1
    return tuple(Unchecked(place=place, because=because) for place, because in found)


def _about(forces: Floats, at: Floats, point: Floats) -> Floats:
    """Forces and moments (c, 6) about another point."""
    out = forces.copy()
    out[:, 3:] += np.cross(at - point, forces[:, :3])
    return out
