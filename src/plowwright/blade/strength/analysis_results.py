"""What comes out of a blade's strength model, case by case: the records that joints, papers and sweeps read.

c cases, m members, h hinges, s springs. Everything is for the reference force of its case: 1 N where the case scales,
so multiply by the force itself. Axes are the push frame's own at rest; what belongs to hub and mount is turned back to
them, so that every place is the one the part has in the straight blade and every force stands in its body's own axes.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import dist
from typing import Final, Literal

import numpy as np

from plowwright.blade.loads import HeldBy, LoadCase
from plowwright.blade.shapes import Vec
from plowwright.blade.strength.plan import Beam, Role
from plowwright.blade.strength.shell_results import BoardResult
from plowwright.errors import NotFoundError
from plowwright.physics.frame_elements import Flags, Floats, Whole

Level = Literal[1, 2]
MEETS: Final = 1e-6
"""Ends nearer than this meet [m]."""
ALL_ROLES: Final[tuple[Role, ...]] = ("frame", "hub", "moldboard")


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """How the blade stands and what holds it there.

    Attributes:
        angle: Angle of the blade, + left end forward [rad].
        held_by: The cylinder or a stop.
    """

    angle: float
    held_by: HeldBy


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """How much of its yield a member uses in a case.

    Attributes:
        case: Name of the case.
        member: Name of the member.
        part: Id of the part.
        place: Where on it [m].
        stress: Von Mises stress for the case's reference force [Pa].
        share: The same over yield [-].
        force: Force of the case at which it would just yield [N].
    """

    case: str
    member: str
    part: str
    place: Vec
    stress: float
    share: float
    force: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Collapse:
    """When the beams fold up, plastic.

    Attributes:
        case: Name of the case.
        force: Force of the case at which they do [N]; a safe estimate.
        parts: Parts at full yield then, where the fold runs.
    """

    case: str
    force: float
    parts: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, eq=False)
class Line:
    """A part's axis, to draw it bent.

    Attributes:
        part: Id of the part.
        points: Undeformed, (k, 3) [m].
        moved: Displacement of each point, (c, k, 3) [m].
    """

    part: str
    points: Floats
    moved: Floats


@dataclass(frozen=True, kw_only=True, eq=False)
class Transfer:
    """What one part puts on another through the joints between them.

    Attributes:
        joins: Giving part and taking part, by id.
        place: Point that the moments are about [m].
        forces: Force and moment of the first part on the second, (c, 6) [N, N m].
    """

    joins: tuple[str, str]
    place: Vec
    forces: Floats

    def about(self, point: Vec) -> Floats:
        """The same with moments about another point, (c, 6) [N, N m].

        Args:
            point: The point [m].
        """
        out = self.forces.copy()
        out[:, 3:] += np.cross(np.array(self.place) - np.array(point), self.forces[:, :3])
        return out


@dataclass(frozen=True, kw_only=True, eq=False)
class Analysis:
    """A blade under all its load cases.

    Attributes:
        level: 1: moldboard as a lattice; 2: as a shell.
        cases: The load cases.
        beams: Members, as they lie in the straight blade.
        nodes: Numbers of the nodes at both ends of each member, (m, 2) [-].
        end_forces: On each member at its flexible ends, own axes, zero where a case has no such member,
            (c, m, 12) [N, N m].
        forces: The same along the axes of its body, moments about the ends, (c, m, 2, 6) [N, N m].
        moved: Displacements of the flexible ends, (c, m, 2, 3) [m].
        stress: Greatest von Mises stress of each member, 0 where it is not looked at, (c, m) [Pa].
        share: The same over yield, (c, m) [-].
        at_end: Whether that is at the far end, else at the start, (c, m).
        hinges: Ids of the hinges, right to left.
        hinge_forces: Of the moldboard on each hinge pin, force and moment, (c, h, 6) [N, N m].
        springs: Ids of the springs' joints, right to left.
        spring_forces: In the stiff link along each spring, + pulls; held against the preload it says whether the
            blade trips, (c, s) [N].
        cylinder_force: + pushes the rod in, (c,) [N].
        stop_force: + presses on the angling stop, (c,) [N].
        king_pin_forces: Of the push frame on the pin at the upper and the lower plate, axes of the push frame, also
            where the hub is turned, (c, 2, 3) [N].
        king_pin_moment: Of the board loads about the king pin's axis; + lessens the angle, (c,) [N m].
        mount_forces: All that the blade puts on the mount plate, moments about the root of the oscillation sleeve,
            (c, 6) [N, N m].
        sleeve_forces: The part of it that comes through the sleeve, same point, (c, 6) [N, N m].
        mount_root: That root [m].
        holds: What cylinder, stops and rub pads put on what they bear on, by ("hold", id of that part), and what a stop
            puts on the king-pin plate, by both ids; zero in cases where nothing bears.
        held_at: Number of the node that takes it over from such a part [-].
        residual: What the balance misses, as a share of the largest force, (c,) [-].
        fold: Works out the collapse of a case by its number and by the members that may yield.
        board: What happens inside a level 2 moldboard, cases in the same order; None at level 1.
    """

    level: Level
    cases: tuple[LoadCase, ...]
    beams: tuple[Beam, ...]
    nodes: Whole
    end_forces: Floats
    forces: Floats
    moved: Floats
    stress: Floats
    share: Floats
    at_end: Flags
    hinges: tuple[str, ...]
    hinge_forces: Floats
    springs: tuple[str, ...]
    spring_forces: Floats
    cylinder_force: Floats
    stop_force: Floats
    king_pin_forces: Floats
    king_pin_moment: Floats
    mount_forces: Floats
    sleeve_forces: Floats
    mount_root: Vec
    holds: Mapping[tuple[str, str], Transfer]
    held_at: Mapping[tuple[str, str], int]
    residual: Floats
    fold: Callable[[int, Sequence[Role]], Collapse] = field(repr=False)
    board: BoardResult | None = None

    def number(self, case: str) -> int:
        """Number of a case by its name.

        Args:
            case: Name of the case.

        Raises:
            NotFoundError: There is no such case.
        """
        for at, known in enumerate(self.cases):
            if known.name == case:
                return at
        raise NotFoundError(
            "no such load case", value=case, way_out="One of: " + "; ".join(known.name for known in self.cases)
        )

    def uses(self, case: str, roles: Sequence[Role] = ALL_ROLES) -> tuple[Use, ...]:
        """Members in the order in which they would yield, the first to yield in front.

        Args:
            case: Name of the case.
            roles: Which members are looked at: "frame" is push frame, hinge and towers, "hub" is king pin, hub,
                oscillation and cylinder arm, "moldboard" is a level 1 moldboard.
        """
        c = self.number(case)
        order = [int(m) for m in np.argsort(-self.share[c], kind="stable")]
        return tuple(self._use(c, m) for m in order if self.beams[m].role in roles and self.share[c, m] > 0)

    def first_yield(self, case: str, roles: Sequence[Role] = ALL_ROLES) -> Use:
        """The member that yields first, and at which force of the case.

        Args:
            case: Name of the case.
            roles: Which members are looked at, see `uses`.

        Raises:
            NotFoundError: There is no such case, or none of these members carries anything in it.
        """
        c = self.number(case)
        share = np.where([beam.role in roles for beam in self.beams], self.share[c], 0.0)
        first = int(np.argmax(share))
        if not share[first] > 0:
            raise NotFoundError("no member carries anything", value=f"{case}, {', '.join(roles)}")
        return self._use(c, first)

    def part_share(self, part: str) -> Floats:
        """Greatest share of yield in a part, case by case, (c,) [-].

        Args:
            part: Id of the part.
        """
        found: Floats = self.share[:, self.of(part)].max(axis=1, initial=0.0)
        return found

    def of(self, part: str) -> list[int]:
        """Numbers of the members that stand for a part.

        Args:
            part: Id of the part.
        """
        return [m for m, beam in enumerate(self.beams) if beam.part == part]

    def collapse(self, case: str, roles: Sequence[Role] = ("frame", "hub")) -> Collapse:
        """When the beams fold up; level 1 only.

        No yield anywhere is a safe state too, so where bending and twist meet in one section and the straight-line
        rule for them is on the safe side of it, first yield is the better answer and is taken.

        Args:
            case: Name of the case.
            roles: Which members may yield, see `uses`; the moldboard's own folding is nothing for a lattice.

        Raises:
            NotFoundError: There is no such case.
            ModelError: A level 2 analysis, whose shell has no plastic hinges.
        """
        found = self.fold(self.number(case), roles)
        return replace(found, force=max(found.force, self.first_yield(case, roles).force))

    def transfer(self, giving: str, taking: str) -> Transfer:
        """What one part puts on another where their members meet, all joints between the two together.

        Args:
            giving: Id of the part whose force is wanted.
            taking: Id of the part it acts on.

        Raises:
            NotFoundError: The two do not meet in the model.
        """
        theirs = {int(n) for m in self.of(taking) for n in self.nodes[m]}
        ends = [(m, e) for m in self.of(giving) for e in (0, 1) if int(self.nodes[m, e]) in theirs]
        # What bears on the giving part right at the other one goes on to it without a member between.
        passed = [self.holds[joins] for joins, node in self.held_at.items() if joins[1] == giving and node in theirs]
        if not ends and not passed:
            raise NotFoundError(f"{giving} and {taking} do not meet in the strength model")
        if not ends:
            return Transfer(joins=(giving, taking), place=passed[0].place, forces=passed[0].forces)
        found = self._through((giving, taking), ends)
        for held in passed:
            found.forces[:] += held.about(found.place)
        return found

    def end_of(self, member: str, *, start: bool) -> Transfer:
        """What a member puts on whatever holds its start or its far end.

        Args:
            member: Name of the member.
            start: Whether its start is meant, else its far end.
        """
        m = next((m for m, beam in enumerate(self.beams) if beam.name == member), None)
        if m is None:
            raise NotFoundError("no such member", value=member)
        return self._through((self.beams[m].part, ""), [(m, 0 if start else 1)])

    def lines(self) -> tuple[Line, ...]:
        """Axes of all parts, to draw them bent; a part may have several. At level 2 the moldboard is in `board`."""
        chains: list[tuple[str, list[tuple[int, int]]]] = []
        for m, beam in enumerate(self.beams):
            if beam.part == "skin" and not beam.checked:
                continue
            if chains and chains[-1][0] == beam.part and dist(self._place(*chains[-1][1][-1]), beam.start) < MEETS:
                chains[-1][1].append((m, 1))
            else:
                chains.append((beam.part, [(m, 0), (m, 1)]))
        return tuple(
            Line(
                part=part,
                points=np.array([self._place(m, e) for m, e in ends]),
                moved=np.stack([self.moved[:, m, e] for m, e in ends], axis=1),
            )
            for part, ends in chains
        )

    def _place(self, m: int, end: int) -> Vec:
        return self.beams[m].end if end else self.beams[m].start

    def _through(self, joins: tuple[str, str], ends: Sequence[tuple[int, int]]) -> Transfer:
        places = np.array([self._place(m, e) for m, e in ends])
        middle = places.mean(axis=0)
        forces = np.zeros((len(self.cases), 6))
        for (m, e), place in zip(ends, places, strict=True):
            own = self.forces[:, m, e]
            forces -= own
            forces[:, 3:] -= np.cross(place - middle, own[:, :3])
        return Transfer(joins=joins, place=(float(middle[0]), float(middle[1]), float(middle[2])), forces=forces)

    def _use(self, c: int, m: int) -> Use:
        beam, case, share = self.beams[m], self.cases[c], float(self.share[c, m])
        return Use(
            case=case.name,
            member=beam.name,
            part=beam.part,
            place=beam.end if self.at_end[c, m] else beam.start,
            stress=float(self.stress[c, m]),
            share=share,
            force=case.reference / share,
        )
