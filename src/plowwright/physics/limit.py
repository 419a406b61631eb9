"""How far the loads on a frame can grow before it folds up: plastic limit analysis by linear programming.

Lower bound theorem: any forces that balance the loads and exceed the yield of no section are safe. The largest factor
that still leaves such forces is sought, so the answer never overstates the frame, as far as its sections can turn
without breaking or buckling. Small displacements; yield is looked at where members end, so a member loaded along its
length is to be cut where its greatest moment may lie.

Source: lower bound theorem of plastic collapse, J. Baker and J. Heyman, Plastic Design of Frames 1 (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace

import numpy as np
from scipy.optimize import Bounds, milp
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import connected_components

from plowwright.errors import MechanismError, ModelError
from plowwright.physics.frame_elements import Flags, Floats, Placed, Whole, place
from plowwright.physics.frames import Frame, Loads, Springs

Table = csr_array[np.float64, tuple[int, int]]

_UNBOUNDED = 3
_NOTHING = 1e-9
_KIND = np.array([0, 1, 1, 1, 1, 1])
_WORDS = ("axial force", "torsion", *["bending about y"] * 2, *["bending about z"] * 2)
_OWN = ((0, 0, -1), (6, 0, 1), (3, 1, -1), (9, 1, 1), (4, 2, 1), (10, 3, 1), (5, 4, 1), (11, 5, 1))
_SHEARS = ((1, (4, 5), 1), (7, (4, 5), -1), (2, (2, 3), -1), (8, (2, 3), 1))


@dataclass(frozen=True, kw_only=True, eq=False)
class Capacities:
    """What each member's section can take of one force alone; inf where it never yields.

    Attributes:
        axial: Squash load, (m,) [N].
        torsion: Full plastic torque, (m,) [N m].
        bending_y: Full plastic moment about local y, (m,) [N m].
        bending_z: Full plastic moment about local z, (m,) [N m].
    """

    axial: Floats
    torsion: Floats
    bending_y: Floats
    bending_z: Floats


@dataclass(frozen=True, kw_only=True, eq=False)
class LimitState:
    """A frame at the point of folding.

    Attributes:
        factor: What the loads can be multiplied by; inf if nothing that yields is needed to carry them [-].
        used: Share of yield at the start and far end of each member, 1 where a hinge stands, (m, 2) [-].
    """

    factor: float
    used: Floats


def collapse(frame: Frame, loads: Loads, capacities: Capacities, *, case: int = 0) -> float:
    """Factor on the loads of one case at which the frame folds up [-].

    A section yields at |N|/Np + |T|/Tp + |My|/Mpy + |Mz|/Mpz = 1, which is on the safe side of the true rounded limit.

    Args:
        frame: A frame without blocks [m, N, Pa].
        loads: Load cases [N, N m, N/m].
        capacities: Of its members [N, N m].
        case: Number of the load case [-].

    Raises:
        MechanismError: The frame cannot carry the loads at any size.
        ModelError: A frame with blocks, a member without capacity, or no answer from the solver.
    """
    return limit_state(frame, loads, capacities, case=case).factor


def limit_state(frame: Frame, loads: Loads, capacities: Capacities, *, case: int = 0) -> LimitState:
    """The same with what it leaves of each member.

    Args:
        frame: A frame without blocks [m, N, Pa].
        loads: Load cases [N, N m, N/m].
        capacities: Of its members [N, N m].
        case: Number of the load case [-].

    Raises:
        MechanismError: The frame cannot carry the loads at any size.
        ModelError: A frame with blocks, a member without capacity, or no answer from the solver.
    """
    if frame.blocks:
        raise ModelError(
            "plastic collapse is worked out for frames of members only",
            value=f"{len(frame.blocks)} condensed parts",
            way_out="Model those parts as members for this question.",
        )
    limits = _limits(frame, capacities)
    used = np.zeros((len(limits), 2))
    if not np.isfinite(limits).any():
        return LimitState(factor=math.inf, used=used)
    frame, nodal, kept = _gathered(frame, loads, case, limits)
    limits = limits[kept]
    count = len(limits)
    placed = place(frame.nodes, frame.members)
    uniform = np.zeros((count, 3))
    if loads.uniform is not None:
        uniform = np.einsum("mij,mj->mi", placed.axes, loads.uniform[case][kept])
    units = _units(limits, placed)
    own, pull = _equations(frame, placed, np.where(np.isfinite(limits), limits, units[_KIND]), uniform)
    pull[: frame.supports.size] -= nodal.ravel()
    unit = np.resize(np.repeat(units, 3), len(pull))
    size = float(np.abs(pull / unit).max(initial=0.0))
    if size == 0.0:
        return LimitState(factor=math.inf, used=used)
    balance = own.scaled(1 / unit).joined(_column(pull / unit / size, at=own.width))
    balance = balance.only(np.concatenate((~frame.supports.ravel(), frame.releases.ravel())))
    along = np.abs(uniform[:, 0]) * placed.lengths / 2 / limits[:, 0] / size
    yields = _yields(np.isfinite(limits)).joined(_column(np.tile(along, 2), at=own.width)).table()
    factor, shares = _most(balance.table(), yields, free=slice(12 * count, own.width))
    if factor == 0.0:
        raise MechanismError(
            f"the frame cannot carry load case {loads.names[case]!r} at any size: it moves under it unhindered",
            way_out="Support it, or release fewer ends.",
        )
    # The solver may leave a force in both senses at once; what counts is their difference.
    net = shares[: 6 * count] - shares[6 * count : 12 * count]
    shares[: 12 * count] = np.concatenate((np.maximum(net, 0.0), np.maximum(-net, 0.0)))
    used[kept] = np.asarray(yields @ shares, dtype=np.float64).reshape(2, count).T
    return LimitState(factor=factor / size, used=used)


def _gathered(frame: Frame, loads: Loads, case: int, limits: Floats) -> tuple[Frame, Floats, Flags]:
    """The frame with nodes that unyielding members tie together made one node, its loads, and the members left, (m,).

    A member that bears any force passes on what a stiff body does, so the answer is the same with fewer unknowns.
    Nodes with supports or springs stay as they are, and so does a frame whose members are loaded along their length.
    """
    ends, count = frame.members.ends, len(frame.nodes)
    alone: Flags = np.asarray(frame.supports.any(axis=1), dtype=np.bool_)
    if frame.springs is not None:
        alone[frame.springs.ends[frame.springs.ends >= 0]] = True
    bound = frame.releases.any(axis=1) | alone[ends].any(axis=1)
    tying: Flags = np.asarray(np.isinf(limits).all(axis=1) & ~bound, dtype=np.bool_)
    if loads.uniform is not None:
        tying[:] = False
    pairs = ends[tying]
    graph = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(count, count))
    group: Whole = np.asarray(connected_components(graph, directed=False)[1], dtype=np.int64)
    first: Whole = np.unique(group, return_index=True)[1].astype(np.int64)
    arms = frame.nodes - frame.nodes[first[group]]
    put = loads.nodal[case].copy()
    put[:, 3:] += np.cross(arms, put[:, :3])
    nodal = np.zeros((len(first), 6))
    np.add.at(nodal, group, put)
    kept: Flags = group[ends[:, 0]] != group[ends[:, 1]]
    return _with_nodes(frame, first, group, arms, kept), nodal, kept


def _with_nodes(frame: Frame, first: Whole, group: Whole, arms: Floats, kept: Flags) -> Frame:
    """The frame on the first node of each group, with the members kept on longer arms."""
    members, springs = frame.members, frame.springs
    parts = {field.name: getattr(members, field.name)[kept] for field in fields(members) if field.name != "names"}
    parts["offset_start"] = parts["offset_start"] + arms[members.ends[kept, 0]]
    parts["offset_end"] = parts["offset_end"] + arms[members.ends[kept, 1]]
    parts["ends"] = group[parts["ends"]].astype(np.int64)
    names = tuple(name for name, stays in zip(members.names, kept.tolist(), strict=True) if stays)
    if springs is not None:
        springs = replace(springs, ends=np.where(springs.ends >= 0, group[springs.ends], -1))
    return Frame(
        nodes=frame.nodes[first],
        members=replace(members, names=names, **parts),
        supports=frame.supports[first],
        releases=frame.releases[kept],
        springs=springs,
        labels=tuple(frame.labels[int(k)] for k in first),
    )


def _most(balance: Table, yields: Table, *, free: slice) -> tuple[float, Floats]:
    """The greatest factor, which is the last unknown, and all unknowns; inf and zeros if nothing bounds it."""
    width = balance.shape[1]
    cost, lower = np.zeros(width), np.zeros(width)
    cost[-1], lower[free] = -1.0, -np.inf
    answer = milp(
        cost,
        bounds=Bounds(lower, np.full(width, np.inf)),
        constraints=((balance, 0.0, 0.0), (yields, -np.inf, 1.0)),
    )
    # No forces at all balance no loads, so what the solver calls unbounded or infeasible can only be unbounded.
    if answer.status == _UNBOUNDED or "unbounded" in str(answer.message).lower():
        return math.inf, np.zeros(width)
    if answer.x is None:
        raise ModelError("the plastic limit of the frame could not be worked out", value=str(answer.message))
    return (float(answer.x[-1]) if answer.x[-1] > _NOTHING else 0.0), answer.x


@dataclass(frozen=True, kw_only=True, eq=False)
class _Entries:
    """A sparse matrix as a list of its entries."""

    rows: Whole
    columns: Whole
    values: Floats
    height: int
    width: int

    def scaled(self, by: Floats) -> _Entries:
        """Every row multiplied."""
        return replace(self, values=self.values * by[self.rows])

    def only(self, kept: Flags) -> _Entries:
        """The rows kept, numbered anew."""
        number = np.cumsum(kept) - 1
        at = kept[self.rows]
        rows, columns, values = number[self.rows[at]], self.columns[at], self.values[at]
        return replace(self, rows=rows, columns=columns, values=values, height=int(kept.sum()))

    def joined(self, other: _Entries) -> _Entries:
        """The entries of both; the other's columns have their own numbers already."""
        return _Entries(
            rows=np.concatenate((self.rows, other.rows)),
            columns=np.concatenate((self.columns, other.columns)),
            values=np.concatenate((self.values, other.values)),
            height=self.height,
            width=max(self.width, other.width),
        )

    def table(self) -> Table:
        """As the solver takes it."""
        shape = (self.height, self.width)
        return coo_array((self.values, (self.rows, self.columns)), shape=shape).tocsr()


def _column(values: Floats, *, at: int) -> _Entries:
    """One column."""
    rows = np.flatnonzero(values)
    columns = np.full(len(rows), at)
    return _Entries(rows=rows, columns=columns, values=values[rows], height=len(values), width=at + 1)


def _limits(frame: Frame, capacities: Capacities) -> Floats:
    """What N, T, My at both ends and Mz at both ends may be, (m, 6); refuses what is not above zero."""
    c = capacities
    out = np.stack((c.axial, c.torsion, c.bending_y, c.bending_y, c.bending_z, c.bending_z), axis=1)
    bad = ~(out > 0)
    if bool(bad.any()):
        k, at = (int(found[0]) for found in np.nonzero(bad))
        raise ModelError(
            f"a member without capacity in {_WORDS[at]}",
            where=f"member {frame.members.names[k]!r}",
            value=f"{out[k, at]:g}",
            limit="more than 0",
            way_out="Release that freedom at its ends instead.",
        )
    return out


def _units(limits: Floats, placed: Placed) -> Floats:
    """A force and a moment of the frame's order, so that the solver works with numbers near one."""
    moments = limits[:, 1:][np.isfinite(limits[:, 1:])]
    forces = limits[:, 0][np.isfinite(limits[:, 0])]
    length = float(placed.lengths.mean())
    moment = float(np.median(moments)) if moments.size else float(np.median(forces)) * length if forces.size else 1.0
    return np.array([moment / length, moment])


def _equations(frame: Frame, placed: Placed, sizes: Floats, uniform: Floats) -> tuple[_Entries, Floats]:
    """What the own forces, and the loads along the members, put on the nodes and on the members' ends.

    Rows: freedoms of the nodes, then the twelve end forces of each member. Columns: the six own forces of each member
    as shares of `sizes` in the plus sense, the same in the minus sense, the springs.
    """
    count, nodes = len(sizes), frame.supports.size
    shape = np.zeros((count, 12, 6))
    for row, column, value in _OWN:
        shape[:, row, column] = value
    for row, columns, sign in _SHEARS:
        for column in columns:
            shape[:, row, column] = sign / placed.lengths
    shape *= sizes[:, None, :]
    back = placed.turn.transpose(0, 2, 1)
    freedoms = (frame.members.ends[:, :, None] * 6 + np.arange(6)).reshape(count, 12)
    rows = np.concatenate((freedoms, nodes + np.arange(12 * count).reshape(count, 12)), axis=1)
    values = np.concatenate((back @ shape, shape), axis=1)
    member, row, force = np.nonzero(values)
    picked, at = values[member, row, force], member * 6 + force
    both = _Entries(
        rows=np.tile(rows[member, row], 2),
        columns=np.concatenate((at, at + 6 * count)),
        values=np.concatenate((picked, -picked)),
        height=nodes + 12 * count,
        width=12 * count,
    )
    ends = np.zeros((count, 12))
    ends[:, 0:3] = ends[:, 6:9] = -uniform * placed.lengths[:, None] / 2
    pull = np.concatenate((np.zeros(nodes), ends.ravel()))
    np.add.at(pull, freedoms, np.einsum("mij,mj->mi", back, ends))
    return (both if frame.springs is None else both.joined(_springs(frame.springs, both))), pull


def _springs(springs: Springs, members: _Entries) -> _Entries:
    """What the force of each spring that has a rate takes off the nodes: one column each, without limit."""
    spring, freedom = np.nonzero(springs.stiffness > 0)
    axes = springs.axes[spring, freedom % 3]
    at = (freedom // 3 * 3)[:, None] + np.arange(3)
    number = members.width + np.arange(len(spring))
    nodes = springs.ends[spring]
    near, far = nodes[:, 0] >= 0, nodes[:, 1] >= 0
    return _Entries(
        rows=np.concatenate((nodes[near, 0, None] * 6 + at[near], nodes[far, 1, None] * 6 + at[far])).ravel(),
        columns=np.repeat(np.concatenate((number[near], number[far])), 3),
        values=np.concatenate((-axes[near], axes[far])).ravel(),
        height=members.height,
        width=members.width + len(spring),
    )


def _yields(finite: Flags) -> _Entries:
    """Yield of the start ends, then of the far ends: the sum of the shares of each force is at most one.

    The load along the axis, added to it by the caller, counts at both ends, on the safe side at one of them.
    """
    count = len(finite)
    rows: list[Whole] = []
    columns: list[Whole] = []
    for end, forces in enumerate(((0, 1, 2, 4), (0, 1, 3, 5))):
        chosen = np.zeros((count, 6), dtype=bool)
        chosen[:, forces] = finite[:, forces]
        member, force = np.nonzero(chosen)
        rows += [member + end * count] * 2
        columns += [member * 6 + force, member * 6 + force + 6 * count]
    at = np.concatenate(rows)
    return _Entries(
        rows=at, columns=np.concatenate(columns), values=np.ones(len(at)), height=2 * count, width=12 * count
    )
