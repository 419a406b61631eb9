"""Works a blade out under all its load cases.

Linear, small displacements. Links along the springs, cylinder and stop carry pushes and pulls alike: whether a stop
would open or a spring would give way is for the reader of their forces.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from plowwright.blade import loads
from plowwright.blade.loads import Blade, LoadCase, LoadSettings
from plowwright.blade.shapes import Vec
from plowwright.blade.strength import capacity
from plowwright.blade.strength.analysis_results import Analysis, Collapse, Level, Transfer
from plowwright.blade.strength.analysis_solve import Side, Solved, solve
from plowwright.blade.strength.frame_hub import Hold, mount_root
from plowwright.blade.strength.frame_model import hinges, hung
from plowwright.blade.strength.frame_parts import across
from plowwright.blade.strength.plan import Role
from plowwright.errors import ModelError
from plowwright.physics import limit
from plowwright.physics.frame_elements import Flags, Floats
from plowwright.physics.threads import one_thread

AT_YIELD = 0.999
"""A section is at full yield from this share on [-]."""


@one_thread()
def analyse(blade: Blade, *, level: Level = 2, chosen: LoadSettings | None = None) -> Analysis:
    """A blade under all its load cases.

    Args:
        blade: The blade; a build is one.
        level: 1: moldboard as a lattice, for sweeps; 2: as a shell, for quotes.
        chosen: What the loads take on trust [-]; None for the rulebook's own.

    Raises:
        ModelError: A part or joint is missing, or the rulebook has no strength.toml.
        MechanismError: Something in the blade can move freely; names it.
    """
    cases = loads.cases(blade, chosen)
    found = solve(blade, cases, level)
    front, hub = found.front, found.hub
    beams = (*front.find.plan.beams, *hub.find.plan.beams)
    nodes = np.concatenate([front.frame.members.ends, hub.frame.members.ends + len(front.frame.nodes)])
    internal = np.concatenate([side.result.internal(np.array([0.0, 1.0])) for side in (front, hub)], axis=1)
    stress, share, at_end = _stresses(capacity.checker(beams), internal, len(beams))
    pins, springs = hinges(front.find), hung(front.find)
    names = [tie.name for tie in front.find.plan.ties]
    links = {beam.name: row for row, beam in enumerate(front.find.plan.beams) if beam.role == "link"}
    pulls = [links[f"trip link {number}"] for number in range(1, len(springs) + 1)]
    by_cylinder = np.array([case.held_by == "cylinder" for case in cases])
    pivot, d = blade.assembly.pivots.king_pin, blade.datum
    return Analysis(
        level=level,
        cases=cases,
        beams=beams,
        nodes=nodes,
        end_forces=np.concatenate([front.result.end_forces, hub.result.end_forces], axis=1),
        forces=np.concatenate([front.forces, hub.forces], axis=1),
        moved=np.concatenate([front.moved, hub.moved], axis=1),
        stress=stress,
        share=share,
        at_end=at_end,
        hinges=tuple(pin.id for pin in pins),
        hinge_forces=-front.result.spring_forces[:, [names.index(pin.id) for pin in pins]],
        springs=tuple(spring.id for spring in springs),
        spring_forces=-front.result.end_forces[:, pulls, 0],
        cylinder_force=np.where(by_cylinder, found.pushes, 0.0),
        stop_force=np.where(by_cylinder, 0.0, found.pushes),
        king_pin_forces=found.king_pin,
        king_pin_moment=np.array([sum(loads.turning(load, d, pivot) for load in case.board) for case in cases]),
        mount_forces=_on_mount(found),
        sleeve_forces=_through_sleeve(hub),
        mount_root=mount_root(hub.find),
        holds=_holds(found),
        held_at=_held_at(found),
        residual=np.maximum(front.result.residual, hub.result.residual),
        fold=lambda case, roles: _fold(found, cases, case, roles),
        board=found.board[0].recover(found.board[1]) if found.board else None,
    )


def _through_sleeve(hub: Side) -> Floats:
    """What pin and sleeve put on the mount plate, moments about the sleeve's root."""
    plan = hub.find.plan
    out = -hub.result.reactions[:, plan.numbers["mount plate"]]
    rear = hub.result.spring_forces[:, [tie.name for tie in plan.ties].index("oscillation, rear"), :3]
    arm = np.array(plan.places["oscillation pin, rear"]) - np.array(plan.places["mount plate"])
    out[:, :3] -= rear
    out[:, 3:] -= np.cross(arm, rear)
    return out


def _on_mount(found: Solved) -> Floats:
    """All that the blade puts on the mount plate, moments about the sleeve's root: by balance of the hub."""
    plan = found.hub.find.plan
    arms = np.array([plan.places[name] for name in plan.labels]) - np.array(plan.places["mount plate"])
    out = found.on_hub.sum(axis=1)
    out[:, 3:] += across(arms, found.on_hub[..., :3]).sum(axis=1)
    return out


def _holds(found: Solved) -> Mapping[tuple[str, str], Transfer]:
    """What cylinder, stops and rub pads put on what they bear on."""
    count = len(found.holds)
    out: dict[tuple[str, str], Transfer] = {}

    def onto(part: str, place: Vec, giving: str = "hold") -> Floats:
        joins = (giving, part)
        return out.setdefault(joins, Transfer(joins=joins, place=place, forces=np.zeros((count, 6)))).forces

    numbers = found.hub.find.plan.numbers
    for row, one in enumerate(found.holds):
        onto(one.frame_part, one.frame_at, _holder(one))[row, :3] = found.pushes[row] * np.array(one.direction)
        onto(one.hub_part, one.hub_at)[row, :3] = found.on_hub[row, numbers[one.hub_node], :3]
    for k, pad in enumerate(found.hub.find.stops("yaw")):
        onto(pad.joins[0], pad.place)[:, :3] = found.pads[:, k, None] * np.array(pad.normal)
    ties = [tie.name for tie in found.hub.find.plan.ties]
    couple = found.hub.result.spring_forces[:, ties.index("oscillation, stop"), 3]
    for stop in found.hub.find.stops("oscillation"):
        # A stop that is met with the left end down pushes it up: its couple on the hub is plus.
        push = np.maximum(0.0, -couple * np.sign(stop.at)) / stop.lever
        onto(stop.joins[0], stop.place)[:, :3] = push[:, None] * np.array(stop.normal)
    return out


def _holder(one: Hold) -> str:
    """A king-pin plate is held by much else; what a stop puts on it goes by the stop's own name."""
    return one.hub_part if one.hub_part.startswith("angling stop") else "hold"


def _held_at(found: Solved) -> Mapping[tuple[str, str], int]:
    """Nodes that take over what bears on a part that has no member of its own there."""
    front, hub = found.front.find.plan.numbers, found.hub.find.plan.numbers
    out: dict[tuple[str, str], int] = {}
    for one in found.holds:
        out[_holder(one), one.frame_part] = front[one.frame_node]
        out["hold", one.hub_part] = hub[one.hub_node] + len(found.front.frame.nodes)
    return out


def _stresses(check: capacity.Checker, internal: Floats, count: int) -> tuple[Floats, Floats, Flags]:
    found = check.stress(internal[:, check.rows])
    c = len(internal)
    stress, share, at_end = np.zeros((c, count)), np.zeros((c, count)), np.zeros((c, count), dtype=np.bool_)
    stress[:, check.rows] = found.max(axis=2)
    share[:, check.rows] = found.max(axis=2) / check.yields
    at_end[:, check.rows] = found[:, :, 1] > found[:, :, 0]
    return stress, share, at_end


def _fold(found: Solved, cases: Sequence[LoadCase], case: int, roles: Sequence[Role]) -> Collapse:
    """The weaker of push frame and hub; the forces between them follow from balance, so each folds by itself."""
    if found.board is not None:
        raise ModelError(
            "plastic collapse is worked out at level 1 only",
            value=cases[case].name,
            way_out="Analyse the blade at level 1: a shell has no plastic hinges.",
        )
    least, parts = np.inf, ()
    for side in (found.front, found.hub):
        beams = side.find.plan.beams
        if not any(beam.role in roles for beam in beams):
            continue
        state = limit.limit_state(side.frame, side.loads, capacity.capacities(beams, roles), case=case)
        if state.factor < least:
            full = [beam.part for beam, used in zip(beams, state.used, strict=True) if used.max() > AT_YIELD]
            least, parts = state.factor, tuple(dict.fromkeys(full))
    return Collapse(case=cases[case].name, force=least * cases[case].reference, parts=parts)
