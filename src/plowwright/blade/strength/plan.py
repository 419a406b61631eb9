"""Collects named nodes and members of a blade's strength model and hands them over as a frame.

All places are analysis axes: the push frame's own at rest. A member knows the part whose metal it stands for, so that
every answer can be told by part.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final, Literal

import numpy as np

from plowwright.blade.shapes import Vec
from plowwright.blade.strength.members import Metal
from plowwright.errors import ModelError
from plowwright.physics.frame_elements import Flags, Floats, Members, Whole
from plowwright.physics.frames import Block, Frame, Springs
from plowwright.physics.materials import STEEL_SHEAR, STEEL_YOUNG
from plowwright.physics.sections import StrengthSection

Role = Literal["frame", "hub", "moldboard", "link"]
FREE: Final = {"x": 3, "y": 4, "z": 5}
"""Which freedom of an end lets it turn about its own x, y or z."""
STILL: Final = (True,) * 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Beam:
    """One member.

    Attributes:
        name: Unique name.
        part: Id of the part whose metal it is.
        role: Push frame with hinge and towers, hub with mount, moldboard, or a link that stands for no beam.
        ends: Numbers of its two nodes [-].
        start: Where its flexible length starts [m].
        end: Where it ends [m].
        section: Cross-section [m].
        metal: What it is made of.
        up: Direction near its local z [-].
        free: End freedoms that carry nothing, as numbers 0 to 11 [-].
        checked: Whether its stress is looked at.
    """

    name: str
    part: str
    role: Role
    ends: tuple[int, int]
    start: Vec
    end: Vec
    section: StrengthSection
    metal: Metal
    up: Vec
    free: tuple[int, ...] = ()
    checked: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Tie:
    """A spring between two nodes at one place, or between a node and the ground.

    Attributes:
        name: Unique name.
        ends: Numbers of its two nodes, -1 for the ground [-].
        stiffness: Along and about its own axes [N/m, N m/rad].
        axes: Its own x, y, z [-].
    """

    name: str
    ends: tuple[int, int]
    stiffness: tuple[float, ...]
    axes: tuple[Vec, Vec, Vec]


X_Y_Z: Final[tuple[Vec, Vec, Vec]] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """What has been collected so far; filled through its methods only.

    Attributes:
        places: Places of the nodes, by name [m].
        numbers: Numbers of the nodes, by name; a node may have more than one name [-].
        labels: First name of each node.
        still: Nodes held still in all six freedoms.
        beams: Members.
        ties: Springs.
    """

    places: dict[str, Vec] = field(default_factory=dict[str, Vec])
    numbers: dict[str, int] = field(default_factory=dict[str, int])
    labels: list[str] = field(default_factory=list[str])
    still: set[str] = field(default_factory=set[str])
    beams: list[Beam] = field(default_factory=list[Beam])
    ties: list[Tie] = field(default_factory=list[Tie])

    def node(self, name: str, place: Vec, *, still: bool = False) -> str:
        """A node; the same name at the same place is the same node.

        Args:
            name: Unique name, as messages say it.
            place: Where it is [m].
            still: Whether it is held in all six freedoms.

        Raises:
            ModelError: The name is taken by another place.
        """
        known = self.places.setdefault(name, place)
        if max(abs(a - b) for a, b in zip(known, place, strict=True)) > 1e-9:
            raise ModelError("two places under one name", where=f"node {name!r}", value=f"{known} and {place}")
        if name not in self.numbers:
            self.numbers[name] = len(self.labels)
            self.labels.append(name)
        if still:
            self.still.add(name)
        return name

    def also(self, name: str, known: str) -> str:
        """Another name for a node that is there.

        Args:
            name: The other name.
            known: The name it has.
        """
        self.numbers[name] = self.numbers[known]
        self.places[name] = self.places[known]
        return name

    def beam(
        self,
        name: str,
        first: str,
        last: str,
        section: StrengthSection,
        metal: Metal,
        *,
        part: str,
        role: Role,
        up: Vec,
        start: Vec | None = None,
        end: Vec | None = None,
        free: Sequence[str] = (),
        checked: bool = True,
    ) -> None:
        """A member between two nodes.

        Args:
            name: Unique name.
            first: Node at its start.
            last: Node at its far end.
            section: Cross-section [m].
            metal: What it is made of.
            part: Id of the part.
            role: What it belongs to.
            up: Direction near its local z [-].
            start: Where its flexible length starts, None at the node [m].
            end: Where it ends, None at the node [m].
            free: Ends that turn freely, as "start y" or "end z", own axes.
            checked: Whether its stress is looked at.
        """
        loose = tuple(FREE[turn.split()[1]] + (6 if turn.startswith("end") else 0) for turn in free)
        self.beams.append(
            Beam(
                name=name,
                part=part,
                role=role,
                ends=(self.numbers[first], self.numbers[last]),
                start=self.places[first] if start is None else start,
                end=self.places[last] if end is None else end,
                section=section,
                metal=metal,
                up=up,
                free=loose,
                checked=checked,
            )
        )

    def tie(
        self,
        name: str,
        first: str,
        last: str | None,
        stiffness: tuple[float, ...],
        axes: tuple[Vec, Vec, Vec] = X_Y_Z,
    ) -> None:
        """A spring between two nodes at one place, or between a node and the ground.

        Args:
            name: Unique name.
            first: The one node.
            last: The other, None for the ground.
            stiffness: Along and about its axes [N/m, N m/rad].
            axes: Its own x, y, z [-].
        """
        other = -1 if last is None else self.numbers[last]
        self.ties.append(Tie(name=name, ends=(self.numbers[first], other), stiffness=stiffness, axes=axes))

    def frame(self, blocks: tuple[Block, ...] = ()) -> Frame:
        """All of it as a frame.

        Args:
            blocks: Condensed parts on its nodes [N/m, N, N m].
        """
        nodes = _array([self.places[name] for name in self.labels], (0, 3))
        supports = np.zeros((len(nodes), 6), dtype=np.bool_)
        for name in self.still:
            supports[self.numbers[name]] = True
        return Frame(
            nodes=nodes,
            members=members(self.beams, nodes),
            supports=supports,
            releases=_releases(self.beams),
            springs=_springs(self.ties) if self.ties else None,
            blocks=blocks,
            labels=tuple(self.labels),
        )


def members(beams: Sequence[Beam], nodes: Floats) -> Members:
    """Members as the frame solver wants them.

    Args:
        beams: The members [m, N, Pa].
        nodes: Places of all nodes, (n, 3) [m].
    """
    ends: Whole = np.array([beam.ends for beam in beams], dtype=np.int64).reshape(-1, 2)
    s = np.array(
        [(b.area, b.shear_y, b.shear_z, b.torsion, b.inertia_y, b.inertia_z) for b in (beam.section for beam in beams)]
    ).reshape(-1, 6)
    return Members(
        names=tuple(beam.name for beam in beams),
        ends=ends,
        area=s[:, 0],
        shear_y=s[:, 1],
        shear_z=s[:, 2],
        torsion=s[:, 3],
        inertia_y=s[:, 4],
        inertia_z=s[:, 5],
        young=np.full(len(beams), STEEL_YOUNG),
        shear_modulus=np.full(len(beams), STEEL_SHEAR),
        up=_array([beam.up for beam in beams], (0, 3)),
        offset_start=_array([beam.start for beam in beams], (0, 3)) - nodes[ends[:, 0]],
        offset_end=_array([beam.end for beam in beams], (0, 3)) - nodes[ends[:, 1]],
    )


def _releases(beams: Sequence[Beam]) -> Flags:
    out: Flags = np.zeros((len(beams), 12), dtype=np.bool_)
    for row, beam in enumerate(beams):
        out[row, list(beam.free)] = True
    return out


def _springs(ties: Sequence[Tie]) -> Springs:
    return Springs(
        names=tuple(tie.name for tie in ties),
        ends=np.array([tie.ends for tie in ties], dtype=np.int64),
        stiffness=np.array([tie.stiffness for tie in ties], dtype=np.float64),
        axes=np.array([tie.axes for tie in ties], dtype=np.float64),
    )


def _array(rows: Sequence[Vec], empty: tuple[int, int]) -> Floats:
    return np.array(rows, dtype=np.float64) if rows else np.zeros(empty)
