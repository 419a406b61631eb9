"""Push frame with moldboard, and hub, each factored once and solved for all load cases.

The push frame is worked first: what keeps the angle follows from the balance of moments about the king pin. What it
puts on the pin and on the hold then loads the hub, whose displacements move the push frame as a whole.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import nnls

from plowwright.blade.loads import Blade, LoadCase
from plowwright.blade.strength import lattice, shell
from plowwright.blade.strength.analysis_results import Level, State
from plowwright.blade.strength.analysis_weights import weights
from plowwright.blade.strength.frame_hub import CONTACT, Hold, hold, hub, pad_node
from plowwright.blade.strength.frame_model import hang, push_frame
from plowwright.blade.strength.frame_parts import Finder, Turn, across, finder
from plowwright.blade.strength.lattice import Lattice
from plowwright.blade.strength.plan import X_Y_Z, Plan
from plowwright.blade.strength.shell import BoardBlock
from plowwright.errors import ModelError
from plowwright.physics.frame_elements import Floats, Whole
from plowwright.physics.frame_results import FrameResult
from plowwright.physics.frames import Block, Frame, Loads

LEAST_ARM = 1e-3
"""Least arm about the king pin of what holds the angle [m]."""
KING_PIN = ("king pin at king-pin plate upper", "king pin at king-pin plate lower")


@dataclass(frozen=True, kw_only=True, eq=False)
class Side:
    """One of the two frames, solved.

    Attributes:
        find: Plan and parts.
        frame: The frame.
        loads: Its load cases [N, N m].
        result: Its answer.
        moved: Displacements of the flexible ends of its members, analysis axes or the hub's own, (c, m, 2, 3) [m].
        forces: On these ends, same axes, moments about the ends, (c, m, 2, 6) [N, N m].
    """

    find: Finder
    frame: Frame
    loads: Loads
    result: FrameResult
    moved: Floats
    forces: Floats


@dataclass(frozen=True, kw_only=True, eq=False)
class Solved:
    """A blade, solved.

    Attributes:
        front: Push frame and moldboard.
        hub: Hub and mount, axes of the straight blade.
        holds: What keeps the angle, case by case.
        pushes: How hard it pushes, (c,) [N].
        king_pin: Force of the push frame on the pin at the upper and the lower plate, analysis axes, (c, 2, 3) [N].
        on_hub: Loads on the hub's nodes without what the rub pads push, (c, n, 6) [N, N m].
        pads: Push of each rub pad, in the order of the joints, (c, k) [N].
        board: The shell's interface and how it moves, (c, 6 k), at level 2 [m, rad].
    """

    front: Side
    hub: Side
    holds: tuple[Hold, ...]
    pushes: Floats
    king_pin: Floats
    on_hub: Floats
    pads: Floats
    board: tuple[BoardBlock, Floats] | None


def solve(blade: Blade, cases: Sequence[LoadCase], level: Level) -> Solved:
    """Solve a blade for its load cases.

    Args:
        blade: The blade.
        cases: The load cases.
        level: 1: moldboard as a lattice; 2: as a shell.

    Raises:
        ModelError: A part or joint is missing; names it.
        MechanismError: Something can move freely; names it.
    """
    find = finder(blade, Plan())
    push_frame(find)
    hang(find)
    own = finder(blade, Plan())
    hub(own)
    pivot = blade.assembly.pivots.king_pin
    turns = [Turn(angle=case.angle, pivot=pivot) for case in cases]
    states = [State(angle=case.angle, held_by=case.held_by) for case in cases]
    known = {state: hold(find, Turn(angle=state.angle, pivot=pivot), state.held_by) for state in set(states)}
    holds = tuple(known[state] for state in states)
    table = _table(holds, find, own)
    board, nodal, blocks = _board(find, cases, level)
    pushes = _pushes(find, nodal, table, np.array(pivot))
    front = _side(find, [case.name for case in cases], nodal, blocks)
    on_pin = -front.result.spring_forces[:, _ties(find, "king pin, upper", "king pin, lower"), :3]
    # Rows are the turned axes: a vector times them is turned back.
    turned = np.array([[turn.direction(axis) for axis in X_Y_Z] for turn in turns])
    loaded = _on_hub(own, cases, np.einsum("cki,cji->ckj", on_pin, turned), pushes, table, turned)
    hubbed, pads = _hub_on_pads(own, cases, loaded)
    rigid = _rigid(find, own, front, hubbed, table, pushes, turned)
    shift, spin, about = rigid
    places = np.array([(beam.start, beam.end) for beam in find.plan.beams]) - about
    front.moved[:] += shift[:, None, None] + across(spin[:, None, None], places[None])
    return Solved(
        front=front,
        hub=hubbed,
        holds=holds,
        pushes=pushes,
        king_pin=on_pin,
        on_hub=loaded,
        pads=pads,
        board=(board, _motion(find, front, board, rigid)) if board is not None else None,
    )


def _board(
    find: Finder, cases: Sequence[LoadCase], level: Level
) -> tuple[BoardBlock | None, Floats, tuple[Block, ...]]:
    """Moldboard into the plan, and all loads on the push frame's nodes but the hold's."""
    blade, plan = find.blade, find.plan
    gravity = np.array([case.gravity for case in cases])
    laid: Lattice | None = None
    board: BoardBlock | None = None
    blocks: tuple[Block, ...] = ()
    if level == 1:
        laid = lattice.lay(find, sorted({case.at for case in cases if case.at is not None}))
        nodal = laid.nodal([case.board for case in cases])
    else:
        board = shell.board(blade.assembly, blade.datum, blade.rulebook).condensed(
            [case.board for case in cases], gravity
        )
        numbers = np.array([plan.numbers[name] for name in board.names])
        blocks = (Block(nodes=numbers, stiffness=board.stiffness),)
        nodal = np.zeros((len(cases), len(plan.labels), 6))
        nodal[:, numbers] = board.loads.reshape(len(cases), len(numbers), 6)
    for row in np.flatnonzero(gravity.any(axis=1)):
        bodies = ("frame", "link", "moldboard") if level == 1 else ("frame", "link")
        nodal[row] += weights(find, gravity[row], bodies)
    return board, nodal, blocks


@dataclass(frozen=True, kw_only=True, eq=False)
class _Table:
    """The holds as columns, one row for each case: numbers of their nodes, places, direction, stiffness."""

    frame_node: Whole
    frame_at: Floats
    hub_node: Whole
    hub_at: Floats
    direction: Floats
    stiffness: Floats


def _table(holds: Sequence[Hold], find: Finder, own: Finder) -> _Table:
    return _Table(
        frame_node=np.array([find.plan.numbers[one.frame_node] for one in holds]),
        frame_at=np.array([one.frame_at for one in holds]),
        hub_node=np.array([own.plan.numbers[one.hub_node] for one in holds]),
        hub_at=np.array([one.hub_at for one in holds]),
        direction=np.array([one.direction for one in holds]),
        stiffness=np.array([one.stiffness for one in holds]),
    )


def _places(find: Finder) -> Floats:
    return np.array([find.plan.places[name] for name in find.plan.labels])


def _pushes(find: Finder, nodal: Floats, table: _Table, pivot: Floats) -> Floats:
    """How hard each hold pushes so that nothing turns about the king pin; puts these forces on the nodes."""
    nodes = _places(find)
    x, y = (nodes - pivot)[:, 0], (nodes - pivot)[:, 1]
    turning = nodal[:, :, 1] @ x - nodal[:, :, 0] @ y + nodal[:, :, 5].sum(axis=1)
    arm = across(table.frame_at - pivot, table.direction)[:, 2]
    if bool((np.abs(arm) < LEAST_ARM).any()):
        raise ModelError(
            "what holds the blade's angle points at the king pin",
            value=f"arm {np.abs(arm).min():.2g} m",
            limit=f"{LEAST_ARM:g} m",
            way_out="Move the cylinder or the stop away from the king pin.",
        )
    pushes = -turning / arm
    force = pushes[:, None] * table.direction
    rows = np.arange(len(nodal))
    nodal[rows, table.frame_node, :3] += force
    nodal[rows, table.frame_node, 3:] += across(table.frame_at - nodes[table.frame_node], force)
    return pushes


def _on_hub(
    own: Finder, cases: Sequence[LoadCase], on_pin: Floats, pushes: Floats, table: _Table, turned: Floats
) -> Floats:
    plan = own.plan
    nodal = np.zeros((len(cases), len(plan.labels), 6))
    for k, name in enumerate(KING_PIN):
        nodal[:, plan.numbers[name], :3] += on_pin[:, k]
    force = -pushes[:, None] * np.einsum("ci,cji->cj", table.direction, turned)
    rows = np.arange(len(cases))
    nodal[rows, table.hub_node, :3] += force
    nodal[rows, table.hub_node, 3:] += across(table.hub_at - _places(own)[table.hub_node], force)
    for row, case in enumerate(cases):
        if any(case.gravity):
            nodal[row] += weights(own, case.gravity, ("hub", "mount"))
    return nodal


def _hub_on_pads(own: Finder, cases: Sequence[LoadCase], loaded: Floats) -> tuple[Side, Floats]:
    """The hub with those rub pads bearing that it leans on; a pad never pulls.

    The hub is solved once without pads, for the cases and for a unit push of each pad; how hard each pushes is then
    the answer of a small complementarity problem, linear in the size of the load.
    """
    found = own.stops("yaw")
    count, plan = len(cases), own.plan
    units = np.zeros((len(found), len(plan.labels), 6))
    for k, pad in enumerate(found):
        number = plan.numbers[pad_node(pad)]
        push = -np.array(pad.normal)
        units[k, number, :3] = push
        units[k, number, 3:] = np.cross(np.array(pad.meets) - np.array(plan.places[plan.labels[number]]), push)
    names = [*(case.name for case in cases), *(pad.id for pad in found)]
    both = _side(own, names, np.concatenate((loaded, units)), ())
    if not found:
        return both, np.zeros((count, 0))
    # Work of each unit push over each displacement: how far the arm has gone into the pad, and how far a push lifts it.
    moved = both.result.displacements
    into = -np.einsum("knf,cnf->ck", units, moved[:count])
    give = np.einsum("knf,jnf->kj", units, moved[count:]) + np.eye(len(found)) / CONTACT
    pushes = _leaning(0.5 * (give + give.T), into)
    return _together(both, pushes), pushes


def _leaning(give: Floats, into: Floats) -> Floats:
    """Pushes, none below zero, that keep what leans on them out, and push nowhere else: least squares of a root."""
    root = np.linalg.cholesky(give)
    wanted: Floats = np.asarray(np.linalg.solve(root, into.T), dtype=np.float64)
    return np.array([nnls(root.T, column)[0] for column in wanted.T])


def _together(both: Side, pushes: Floats) -> Side:
    """The cases with the pads' shares added."""
    count = len(pushes)

    def sums(rows: Floats) -> Floats:
        return rows[:count] + np.tensordot(pushes, rows[count:], axes=1)

    result = replace(
        both.result,
        displacements=sums(both.result.displacements),
        reactions=sums(both.result.reactions),
        end_forces=sums(both.result.end_forces),
        spring_forces=sums(both.result.spring_forces),
        uniform=sums(both.result.uniform),
        residual=both.result.residual[:count],
    )
    loads = Loads(names=both.loads.names[:count], nodal=sums(both.loads.nodal))
    return replace(both, result=result, loads=loads, moved=sums(both.moved), forces=sums(both.forces))


def _side(find: Finder, names: Sequence[str], nodal: Floats, blocks: tuple[Block, ...]) -> Side:
    frame = find.plan.frame(blocks)
    put = Loads(names=tuple(names), nodal=nodal)
    result = frame.solve(put)
    c, m = result.end_forces.shape[:2]
    forces = result.end_forces.reshape(c, m, 4, 3) @ result.axes
    members = frame.members
    arms = np.stack((members.offset_start, members.offset_end), axis=1)
    ends = result.displacements[:, members.ends]
    moved = ends[..., :3] + across(ends[..., 3:], arms[None])
    return Side(find=find, frame=frame, loads=put, result=result, moved=moved, forces=forces.reshape(c, m, 2, 6))


def _rigid(
    find: Finder, own: Finder, front: Side, hubbed: Side, table: _Table, pushes: Floats, turned: Floats
) -> tuple[Floats, Floats, Floats]:
    """How the push frame moves as a whole with the pin and the hold: shift, spin, and the point the shift is of."""
    shifts = hubbed.result.displacements
    pin = np.stack([shifts[:, own.plan.numbers[name], :3] for name in KING_PIN], axis=1)
    pin = np.einsum("cki,cij->ckj", pin, turned)
    upper, lower = (np.array(find.plan.places[f"king-pin plate {where}"]) for where in ("upper", "lower"))
    apart = pin[:, 0] - pin[:, 1]
    high = upper[2] - lower[2]
    spin = np.stack((-apart[:, 1] / high, apart[:, 0] / high, np.zeros(len(pin))), axis=1)
    arm = table.frame_at - upper
    here = _moves(find, front, table.frame_node, table.frame_at) + pin[:, 0] + across(spin, arm)
    there = np.einsum("ci,cij->cj", _moves(own, hubbed, table.hub_node, table.hub_at), turned)
    stretch = np.einsum("ci,ci->c", here - there, table.direction)
    spin[:, 2] = (-pushes / table.stiffness - stretch) / across(arm, table.direction)[:, 2]
    return pin[:, 0], spin, upper


def _moves(find: Finder, side: Side, node: Whole, at: Floats) -> Floats:
    """Displacements of points held rigidly by nodes, one for each case, (c, 3)."""
    move = side.result.displacements[np.arange(len(node)), node]
    found: Floats = move[:, :3] + across(move[:, 3:], at - _places(find)[node])
    return found


def _motion(find: Finder, front: Side, board: BoardBlock, rigid: tuple[Floats, Floats, Floats]) -> Floats:
    """Displacements of the shell's interface, (c, 6 k)."""
    shift, spin, about = rigid
    plan = find.plan
    numbers = [plan.numbers[name] for name in board.names]
    out = front.result.displacements[:, numbers].copy()
    arms = np.array([plan.places[name] for name in board.names]) - about
    out[..., :3] += shift[:, None] + across(spin[:, None], arms[None])
    out[..., 3:] += spin[:, None]
    return out.reshape(len(out), -1)


def _ties(find: Finder, *names: str) -> list[int]:
    known = [tie.name for tie in find.plan.ties]
    return [known.index(name) for name in names]
