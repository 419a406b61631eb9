"""Level 2 moldboard: a shell straight from the blade's outlines, condensed onto hinge pins and springs.

Analysis axes are the push frame's own at rest, which are the blade's: x forward, y left, z up. The board never turns
in the model, so one factorisation serves every pose.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from plowwright.blade.datum import Datum
from plowwright.blade.loads import BoardLoad
from plowwright.blade.making import Maker
from plowwright.blade.parts import Assembly
from plowwright.blade.strength.mesh import BoardMesh, board_mesh
from plowwright.blade.strength.shell_joins import Joined, joined
from plowwright.blade.strength.shell_loads import pushed, weighed
from plowwright.blade.strength.shell_results import BoardResult, result
from plowwright.errors import ModelError
from plowwright.physics import shells
from plowwright.physics.shell_blocks import Floats
from plowwright.physics.shells import Condensed, Factored
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH

SIZE: Final = 3.0 * INCH
"""Longest side of a plate; half of it moves capacity and deflection by about a hundredth [m]."""


@dataclass(frozen=True, kw_only=True, eq=False)
class BoardBlock:
    """The board under some load cases, seen from its hinges and lugs.

    Attributes:
        board: The board.
        names: Names of its interface nodes, in order.
        stiffness: Between all their freedoms, (6 k, 6 k) [N/m, N, N m].
        loads: What the cases put on them, (c, 6 k) [N, N m].
        nodal: Loads on all nodes of the shell, (c, n, 6) [N, N m].
        condensed: The half-solved shell [N/m, N, N m].
    """

    board: ShellBoard
    names: tuple[str, ...]
    stiffness: Floats
    loads: Floats
    nodal: Floats
    condensed: Condensed

    def recover(self, motion: Floats) -> BoardResult:
        """What happens inside the board.

        Args:
            motion: Displacements of the interface nodes, (c, 6 k) [m, rad].

        Raises:
            ModelError: An answer that does not balance.
        """
        moved = self.board.factored.expand(self.condensed, motion, self.nodal)
        return result(self.board.mesh, self.board.joined, self.board.datum, moved)


@dataclass(frozen=True, kw_only=True, eq=False)
class ShellBoard:
    """A blade's moldboard as a shell.

    Attributes:
        datum: Sizes of the blade.
        mesh: Nodes and plates.
        joined: The same with ears and lugs.
        mass: Mass of all parts of the moldboard [kg].
    """

    datum: Datum
    mesh: BoardMesh
    joined: Joined
    mass: float

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the interface nodes: "hinge 1 board" and so on, then "lug 1" and so on."""
        return self.joined.names

    @cached_property
    def factored(self) -> Factored:
        """The shell factored with its interface nodes kept."""
        return shells.factor(self.joined.mesh, kept=self.joined.kept)

    def condensed(self, board_loads: Sequence[Sequence[BoardLoad]], accelerations: Floats | None = None) -> BoardBlock:
        """The board as a stiffness and loads on its interface nodes.

        Args:
            board_loads: The loads of each case.
            accelerations: That act on the board's own mass in each case, (c, 3), or None [m/s2].

        Raises:
            MechanismError: A part of the board that nothing holds.
            ModelError: A load beside the board.
        """
        mesh = self.joined.mesh
        nodal = pushed(self.mesh, len(mesh.nodes), board_loads)
        if accelerations is not None:
            if accelerations.shape != (len(board_loads), 3):
                raise ModelError(
                    "the accelerations do not fit the load cases",
                    value=str(accelerations.shape),
                    limit=str((len(board_loads), 3)),
                )
            if accelerations.any():
                nodal += weighed(mesh, self.mass, accelerations)
        found = self.factored.condense(nodal)
        return BoardBlock(
            board=self,
            names=self.names,
            stiffness=found.stiffness,
            loads=found.loads,
            nodal=nodal,
            condensed=found,
        )

    def block(
        self, board_loads: Sequence[Sequence[BoardLoad]], accelerations: Floats | None = None
    ) -> tuple[Floats, Floats, tuple[str, ...]]:
        """Stiffness (6 k, 6 k), reduced loads (c, 6 k) and names of the interface nodes; see `condensed`.

        Args:
            board_loads: The loads of each case.
            accelerations: That act on the board's own mass in each case, (c, 3), or None [m/s2].
        """
        found = self.condensed(board_loads, accelerations)
        return found.stiffness, found.loads, found.names

    def recover(
        self,
        motion: Floats,
        board_loads: Sequence[Sequence[BoardLoad]],
        accelerations: Floats | None = None,
    ) -> BoardResult:
        """What happens inside the board; `condensed(...).recover(...)` does it without condensing the loads again.

        Args:
            motion: Displacements of the interface nodes, (c, 6 k) [m, rad].
            board_loads: The loads of each case.
            accelerations: That act on the board's own mass in each case, (c, 3), or None [m/s2].
        """
        return self.condensed(board_loads, accelerations).recover(motion)


def board(assembly: Assembly, datum: Datum, rulebook: Rulebook, *, size: float = SIZE) -> ShellBoard:
    """The moldboard of a blade as a shell.

    Args:
        assembly: Parts and joints.
        datum: Sizes of the blade.
        rulebook: The rules in force.
        size: Longest side of a plate [m].

    Raises:
        ModelError: A size no mesh can have, or an ear or lug without a weld.
    """
    make = Maker(rulebook=rulebook)
    mesh = board_mesh(datum, make, size)
    return ShellBoard(
        datum=datum,
        mesh=mesh,
        joined=joined(mesh, assembly, datum, make),
        mass=sum(part.mass() for part in assembly.parts if part.body == "moldboard"),
    )
