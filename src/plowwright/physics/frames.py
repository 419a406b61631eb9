"""Frames of straight beams in space, worked out for all load cases in one factorisation.

Small displacements, linear. Global axes are the caller's, right-handed. Freedoms of a node stand in the order
displacement along x, y, z [m], rotation about x, y, z [rad]; forces [N] and moments [N m] likewise. For the local axes
of a member see `frame_elements`. The answer is put back into the balance of every node before it is handed out, and
a frame with a loose part is refused by name: it never gives numbers.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plowwright.errors import ModelError
from plowwright.physics import frame_elements
from plowwright.physics.frame_elements import Flags, Floats, Members, Placed, Whole
from plowwright.physics.frame_equations import Factored, Part, factor
from plowwright.physics.frame_results import FrameResult

RESIDUAL_LIMIT = 1e-6
"""The most that the balance of forces may miss, as a share of the largest force of the case [-]."""
_POLISH = 1e-11
_TOGETHER = 1e-6


@dataclass(frozen=True, kw_only=True, eq=False)
class Springs:
    """Springs between the freedoms of two nodes at one place, or between a node and the ground.

    A spring that acts along a line between two places is a member with its ends released, not one of these: apart,
    the two forces of a spring across its line would make a moment that nothing answers. A lock need not be stiffer than
    some thousand times what it joins, 1e9 to 1e11 in a blade; beyond 1e12 digits are lost.

    Attributes:
        names: Name of each spring, for messages [-].
        ends: Node numbers, -1 for the ground, (s, 2) [-].
        stiffness: Along and about its own axes, (s, 6) [N/m, N m/rad].
        axes: Rows are its own x, y, z in global axes, (s, 3, 3) [-].
    """

    names: tuple[str, ...]
    ends: Whole
    stiffness: Floats
    axes: Floats


@dataclass(frozen=True, kw_only=True, eq=False)
class Block:
    """A part condensed to the nodes it is joined at, such as a shell.

    Attributes:
        nodes: Numbers of its k nodes, (k,) [-].
        stiffness: Between all their freedoms, node after node, (6 k, 6 k) [N/m, N, N m].
    """

    nodes: Whole
    stiffness: Floats


@dataclass(frozen=True, kw_only=True, eq=False)
class Loads:
    """Load cases. What loads a block is put on its nodes by the caller.

    Attributes:
        names: Name of each case [-].
        nodal: Forces and moments on the nodes, global axes, (c, n, 6) [N, N m].
        uniform: Forces along the flexible length of the members, global axes, (c, m, 3), or None [N/m].
    """

    names: tuple[str, ...]
    nodal: Floats
    uniform: Floats | None = None


@dataclass(frozen=True, kw_only=True, eq=False)
class Frame:
    """A frame.

    Attributes:
        nodes: Places of the nodes, (n, 3) [m].
        members: Its beams [m, N, Pa].
        supports: Which freedoms of the nodes are held still, (n, 6) [-].
        releases: Which end freedoms of the members carry nothing, start then far end, local axes, (m, 12) [-].
        springs: Its springs, or None.
        blocks: Its condensed parts.
        labels: Names of the nodes [-].
    """

    nodes: Floats
    members: Members
    supports: Flags
    releases: Flags
    springs: Springs | None = None
    blocks: tuple[Block, ...] = ()
    labels: tuple[str, ...]

    def solve(self, loads: Loads) -> FrameResult:
        """Displacements, reactions and forces under every load case.

        Args:
            loads: The cases [N, N m, N/m].

        Raises:
            MechanismError: Something can move freely; names the node or member and the freedom.
            ModelError: A member or spring that cannot be, or an answer that does not balance.
        """
        self._check(loads)
        placed = frame_elements.place(self.nodes, self.members)
        full = frame_elements.stiffness(self.members, placed.lengths)
        soft, carry = frame_elements.release(full, self.releases, self.members.names)
        back = placed.turn.transpose(0, 2, 1)
        members = Part(freedoms=_freedoms(self.members.ends), stiffness=back @ soft @ placed.turn)
        parts = [members, *self._springs(), *self._blocks()]
        cases = len(loads.names)
        uniform = np.zeros((len(full), 3, cases))
        if loads.uniform is not None:
            uniform = placed.axes @ loads.uniform.transpose(1, 2, 0)
        held = carry @ frame_elements.fixed_end(uniform, placed.lengths)
        forces = np.ascontiguousarray(loads.nodal.reshape(cases, -1).T)
        wanted = forces - _gather(members.freedoms, back @ held, len(forces))

        unreleased = np.zeros(self.supports.size)
        straight = np.einsum("mji,mjk,mki->mi", placed.turn, full, placed.turn, optimize=True)
        np.add.at(unreleased, members.freedoms, straight)
        size = float(placed.lengths.mean()) if len(full) else 1.0
        solver = factor(parts, self.supports, labels=self.labels, unreleased=unreleased, size=size)
        moved, missing, residual = self._balance(solver, parts, wanted, forces)
        ends = soft @ (placed.turn @ moved[members.freedoms]) + held
        return self._result(placed, moved, missing, ends, uniform, residual)

    def _check(self, loads: Loads) -> None:
        """Refuse tables whose sizes do not fit and springs stretched between two places."""
        nodes, members = len(self.nodes), len(self.members.names)
        cases = len(loads.names)
        wanted = {
            "labels": (len(self.labels), nodes),
            "supports": (self.supports.shape, (nodes, 6)),
            "releases": (self.releases.shape, (members, 12)),
            "nodal loads": (loads.nodal.shape, (cases, nodes, 6)),
        }
        if loads.uniform is not None:
            wanted["uniform loads"] = (loads.uniform.shape, (cases, members, 3))
        for name, (given, fitting) in wanted.items():
            if given != fitting:
                raise ModelError(f"the {name} do not fit the frame", value=str(given), limit=str(fitting))
        if self.springs is not None:
            ends = self.springs.ends
            apart = np.linalg.norm(self.nodes[ends[:, 1]] - self.nodes[ends[:, 0]], axis=1)
            apart[(ends < 0).any(axis=1)] = 0.0
            if bool((apart > _TOGETHER).any()):
                k = int(np.argmax(apart))
                raise ModelError(
                    "a spring joins two nodes that are not at one place",
                    where=f"spring {self.springs.names[k]!r}",
                    value=f"{apart[k]:.4g} m apart",
                    limit=f"{_TOGETHER:g} m",
                    way_out="Make it a member, or a member's rigid offset and a spring.",
                )

    def _springs(self) -> list[Part]:
        """Pieces of the springs to the ground and of those between nodes."""
        if self.springs is None:
            return []
        axes, ends = self.springs.axes, self.springs.ends
        own = np.zeros((len(axes), 6, 6))
        for at in (0, 3):
            rates = self.springs.stiffness[:, at : at + 3, None]
            own[:, at : at + 3, at : at + 3] = axes.transpose(0, 2, 1) @ (rates * axes)
        grounded = (ends < 0).any(axis=1)
        between = own[~grounded]
        return [
            Part(freedoms=_freedoms(ends[grounded].max(axis=1)[:, None]), stiffness=own[grounded]),
            Part(
                freedoms=_freedoms(ends[~grounded]),
                stiffness=np.block([[between, -between], [-between, between]]),
            ),
        ]

    def _blocks(self) -> list[Part]:
        return [Part(freedoms=_freedoms(block.nodes[None]), stiffness=block.stiffness[None]) for block in self.blocks]

    def _balance(
        self, solver: Factored, parts: list[Part], wanted: Floats, forces: Floats
    ) -> tuple[Floats, Floats, Floats]:
        """Displacements, what the nodes are short of (the supports' reactions among it) and the residual.

        One more solution for what is missing is added where very stiff pieces have cost digits.
        """
        moved = np.zeros_like(wanted)
        missing, residual = -wanted, np.ones(wanted.shape[1])
        for _ in range(3):
            moved = moved - solver.solve(missing)
            missing, residual = self._missing(parts, moved, wanted)
            if bool((residual <= _POLISH).all()):
                break
        worst = int(np.argmax(residual)) if residual.size else 0
        if residual.size and not residual[worst] <= RESIDUAL_LIMIT:
            raise ModelError(
                f"the answer for load case {worst + 1} does not balance",
                value=f"{residual[worst]:.3g} of its largest force is missing",
                limit=f"{RESIDUAL_LIMIT:g}",
                way_out="Stiffnesses too far apart are the usual cause: make the stiffest springs and links softer.",
            )
        return moved, missing, residual

    def _missing(self, parts: list[Part], moved: Floats, wanted: Floats) -> tuple[Floats, Floats]:
        """What the pieces answer to the displacements less what is wanted, and its share of the largest force."""
        answer = np.zeros_like(wanted)
        largest = _largest(wanted)
        for part in parts:
            own = part.stiffness @ moved[part.freedoms]
            answer += _gather(part.freedoms, own, len(wanted))
            largest = np.maximum(largest, _largest(own))
        missing = answer - wanted
        off = _largest(np.where(self.supports.reshape(-1, 1), 0.0, missing))
        share: Floats = off / np.where(largest > 0, largest, 1.0)
        return missing, np.maximum(share[0], share[1])

    def _result(
        self, placed: Placed, moved: Floats, missing: Floats, ends: Floats, uniform: Floats, residual: Floats
    ) -> FrameResult:
        cases, nodes = moved.shape[1], len(self.nodes)
        reactions = np.where(self.supports.reshape(-1, 1), missing, 0.0)
        return FrameResult(
            displacements=np.ascontiguousarray(moved.T).reshape(cases, nodes, 6),
            reactions=np.ascontiguousarray(reactions.T).reshape(cases, nodes, 6),
            end_forces=np.ascontiguousarray(ends.transpose(2, 0, 1)),
            spring_forces=self._spring_forces(moved),
            residual=residual,
            lengths=placed.lengths,
            axes=placed.axes,
            uniform=np.ascontiguousarray(uniform.transpose(2, 0, 1)),
        )

    def _spring_forces(self, moved: Floats) -> Floats:
        if self.springs is None:
            return np.zeros((moved.shape[1], 0, 6))
        # The ground's row stands last, so that node -1 finds it.
        by_node = np.concatenate((moved, np.zeros((6, moved.shape[1])))).reshape(-1, 2, 3, moved.shape[1])
        stretch = by_node[self.springs.ends[:, 1]] - by_node[self.springs.ends[:, 0]]
        own = np.einsum("sij,sajc->csai", self.springs.axes, stretch).reshape(moved.shape[1], -1, 6)
        return own * self.springs.stiffness


def _freedoms(nodes: Whole) -> Whole:
    """Numbers of all freedoms of the nodes of each piece: (k, w) to (k, 6 w)."""
    return (nodes[:, :, None] * 6 + np.arange(6)).reshape(len(nodes), 6 * nodes.shape[1])


def _gather(freedoms: Whole, own: Floats, count: int) -> Floats:
    """Sum at every freedom of what the pieces have there: (k, w, c) to (count, c)."""
    cases = own.shape[2]
    flat = np.add.outer(freedoms * cases, np.arange(cases, dtype=np.int64))
    total = np.bincount(flat.ravel(), own.ravel(), minlength=count * cases)
    return np.asarray(total, dtype=np.float64).reshape(count, cases)


def _largest(forces: Floats) -> Floats:
    """Largest force and largest moment of each case: (..., 6 w, c) to (2, c)."""
    cases = forces.shape[-1]
    by_kind = np.abs(forces).reshape(-1, 2, 3 * cases)
    return by_kind.max(axis=0, initial=0.0).reshape(2, 3, cases).max(axis=1)
