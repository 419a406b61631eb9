"""What a blade is made of: parts, their solids and places, and the joints between them.

Blade axes: x forward from the face of the mount plate, y to the left seen from the seat, z up from the tip of a new
edge on level ground; all in metres. Every part is described once, at rest: straight, not tripped, level.
The body it belongs to says what moves it; `poses.py` does the moving.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import dist, inf
from typing import Literal

from plowwright.blade.shapes import Place, Solid, Vec

Body = Literal["mount", "hub", "frame", "moldboard", "link", "loose"]
Kind = Literal["bar", "plate", "rolled", "bought"]
Finish = Literal["body colour", "frame colour", "none"]
HoleKind = Literal["round", "plow bolt", "slot"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """A hole through a part, in the part's own u-v plane (plates) or along its length (bars).

    Attributes:
        along: Distance along the part: u of a plate, distance from its left or rear end for a bar [m].
        across: v of a plate, or distance from the face named by `datum` for a bar [m].
        diameter: Diameter, or side of a square hole [m].
        kind: Round, plow bolt (square with countersink) or slot.
        slot_length: Overall length of a slot along u [m].
        countersink: Greatest width of the countersink [m].
        depth: Metal it goes through [m].
        datum: Which face `across` is measured from, in words.
    """

    along: float
    across: float
    diameter: float
    kind: HoleKind = "round"
    slot_length: float = 0.0
    countersink: float = 0.0
    depth: float = 0.0
    datum: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class EndCut:
    """How a bar's end is cut.

    Attributes:
        angle: Away from a square cut [rad].
        across: The face over which the saw swings, in words ("the 3 in side").
    """

    angle: float = 0.0
    across: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """A bend or rolled length of a sheet.

    Attributes:
        at: Where it starts on the developed length, from the foot [m].
        radius: Radius of the inner or front face [m].
        angle: Angle turned [rad]; positive rolls forward.
        length: Developed length along the arc [m].
    """

    at: float
    radius: float
    angle: float
    length: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A part stretched between two points that belong to different bodies (cylinder, springs).

    Attributes:
        start: First point at rest [m].
        start_body: Body the first point moves with.
        end: Second point at rest [m].
        end_body: Body the second point moves with.
        follows: Which end this solid stays with ("start", "end") or "both" when it stretches.
    """

    start: Vec
    start_body: Body
    end: Vec
    end_body: Body
    follows: Literal["start", "end", "both"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One piece of one blade.

    Attributes:
        id: Unique in the blade, as "web 3".
        mark: What the shop writes on it; pieces with the same mark are alike.
        name: What it is, in plain words.
        group: Part group for mass and price.
        body: What moves it.
        kind: Bar, plate, rolled or bought.
        stock: Name of the section, plate or bought part in the rulebook.
        material: Material or grade by name.
        density: Mass per volume [kg/m3]; 0 for bought parts, whose mass is given.
        solids: Its shape in its own axes.
        place: Its place at rest.
        length: Cut length over the long points, or developed length [m].
        width: Other side of a plate's blank [m].
        thickness: Thickness of a plate or sheet [m].
        cuts: The two end cuts of a bar.
        holes: Holes in it.
        bends: Bends and rolls.
        operations: What is done to it, in order.
        finish: Which paint it gets.
        given_mass: Mass of a bought part [kg], or None.
        removed: Volume taken out by holes the solids do not show [m3].
        link: How it follows two bodies, or None.
    """

    id: str
    mark: str
    name: str
    group: str
    body: Body
    kind: Kind
    stock: str
    material: str
    density: float
    solids: tuple[Solid, ...]
    place: Place
    length: float = 0.0
    width: float = 0.0
    thickness: float = 0.0
    cuts: tuple[EndCut, EndCut] | None = None
    holes: tuple[Hole, ...] = ()
    bends: tuple[Bend, ...] = ()
    operations: tuple[str, ...] = ()
    finish: Finish = "frame colour"
    given_mass: float | None = None
    removed: float = 0.0
    link: Link | None = None

    def volume(self) -> float:
        """Volume of its solids less its holes [m3]."""
        return sum(s.volume() for s in self.solids) - self.removed

    def mass(self) -> float:
        """Mass: given for a bought part, volume times density for the rest [kg]."""
        return self.given_mass if self.given_mass is not None else self.volume() * self.density

    def centroid(self) -> Vec:
        """Centroid at rest, in blade axes [m]."""
        total = x = y = z = 0.0
        for solid in self.solids:
            volume = solid.volume()
            at = (solid.place or self.place).point(*solid.centroid())
            total += volume
            x, y, z = x + volume * at[0], y + volume * at[1], z + volume * at[2]
        if total == 0.0:
            return self.place.origin
        return (x / total, y / total, z / total)

    def paint_area(self) -> float:
        """Surface that gets paint, 0 where there is none [m2]."""
        return 0.0 if self.finish == "none" else sum(s.surface() for s in self.solids)


@dataclass(frozen=True, slots=True, kw_only=True)
class Weld:
    """Fillet seams of one size between two parts, at the places where the metal meets.

    Attributes:
        id: Unique in the blade.
        joins: The two parts it joins, by id.
        leg: Leg of the fillet [m].
        start: First point of the seam [m].
        end: Last point of the seam [m]; the same as the first when the seam closes on itself.
        sides: 1: one seam; 2: a second one beside it; 4: both and the two seams that close them to a ring [-].
        across: From the first seam to the second, (0, 0, 0) for a single one [m].
        via: Points the seam passes on its way, for an arc or a ring drawn in straight pieces [m].
        stitch: Length of each stitch and pitch [m], or None for a whole seam.
        joint: What kind of joint: tee, lap or corner.
    """

    id: str
    joins: tuple[str, str]
    leg: float
    start: Vec
    end: Vec
    sides: Literal[1, 2, 4] = 1
    across: Vec = (0.0, 0.0, 0.0)
    via: tuple[Vec, ...] = ()
    stitch: tuple[float, float] | None = None
    joint: Literal["tee", "lap", "corner"] = "tee"

    def lines(self) -> tuple[tuple[Vec, Vec], ...]:
        """The seams as straight pieces from point to point [m]; stitched seams run through, `share` is welded."""
        points = (self.start, *self.via, self.end)
        lines = list(pairwise(points))
        if self.sides > 1:
            a = self.across
            beside = [(x + a[0], y + a[1], z + a[2]) for x, y, z in points]
            lines += pairwise(beside)
            if self.sides > 2:
                lines += [(self.end, beside[-1]), (beside[0], self.start)]
        return tuple(lines)

    @property
    def share(self) -> float:
        """Share of the seams that is welded: stitch over pitch, 1 for whole seams [-]."""
        return min(1.0, self.stitch[0] / self.stitch[1]) if self.stitch else 1.0

    def length(self) -> float:
        """Welded length, all sides, without the gaps between stitches [m]."""
        return self.share * sum(dist(a, b) for a, b in self.lines())

    def middle(self) -> Vec:
        """Centroid of the seams as lines [m]."""
        total = x = y = z = 0.0
        for a, b in self.lines():
            run = dist(a, b)
            total += 2 * run
            x, y, z = x + run * (a[0] + b[0]), y + run * (a[1] + b[1]), z + run * (a[2] + b[2])
        return (x / total, y / total, z / total) if total else self.start


@dataclass(frozen=True, slots=True, kw_only=True)
class Bolted:
    """Parts held by bolts.

    Attributes:
        id: Unique in the blade.
        joins: Parts held together, by id.
        bolt: Bought part that holds them.
        positions: Where each bolt goes through [m].
        axis: Direction of the bolts [-].
    """

    id: str
    joins: tuple[str, ...]
    bolt: str
    positions: tuple[Vec, ...]
    axis: Vec


@dataclass(frozen=True, slots=True, kw_only=True)
class Pinned:
    """Parts that turn about a pin.

    Attributes:
        id: Unique in the blade.
        joins: Parts on the pin, by id.
        pin: Id of the pin's part, or of the bought part it comes with.
        position: Middle of the pin [m].
        axis: Direction of the pin [-].
        diameter: Diameter of the pin [m].
    """

    id: str
    joins: tuple[str, ...]
    pin: str
    position: Vec
    axis: Vec
    diameter: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sprung:
    """A spring between two bodies.

    Attributes:
        id: Unique in the blade.
        joins: The two parts it hangs between, by id.
        spring: Id of the spring's part.
        start: Hook on the moldboard [m].
        end: Hook at the anchor [m].
        preload: Stretch at rest [m].
    """

    id: str
    joins: tuple[str, str]
    spring: str
    start: Vec
    end: Vec
    preload: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Stopped:
    """Two parts that come to bear on each other and end a motion.

    Attributes:
        id: Unique in the blade.
        joins: The part that bears and the part it bears on, by id.
        motion: Which motion it ends; "yaw" is the hub's play about an upright axis, which is no pose.
        place: Middle of the contact, on the first part as it lies at rest [m].
        meets: The same point on the second part as it lies at rest [m].
        normal: Direction at rest in which the second part pushes on the first [-].
        at: Where the motion ends, by the pose's sign [rad].
        lever: Lever of the push about the axis of the motion [m].
    """

    id: str
    joins: tuple[str, str]
    motion: Literal["angle", "trip", "oscillation", "yaw"]
    place: Vec
    meets: Vec
    normal: Vec
    at: float
    lever: float


Joint = Weld | Bolted | Pinned | Sprung | Stopped


@dataclass(frozen=True, slots=True, kw_only=True)
class Pivots:
    """The lines about which bodies move.

    Attributes:
        king_pin: Point on the king pin's upright axis [m].
        hinge: Point on the hinge line, which lies along y [m].
        oscillation: Point on the oscillation axis, which lies along x [m].
        angle_stop: Greatest angle each way [rad].
        oscillation_stop: Greatest roll each way [rad]; inf where nothing stops it.
        trip_stop: Greatest trip [rad]; inf where nothing stops it. At rest the moldboard bears on its own stop.
    """

    king_pin: Vec
    hinge: Vec
    oscillation: Vec
    angle_stop: float
    oscillation_stop: float = inf
    trip_stop: float = inf


@dataclass(frozen=True, slots=True, kw_only=True)
class Assembly:
    """Every part and joint of one blade.

    Attributes:
        parts: All parts.
        joints: All joints.
        pivots: What moves about what.
        width: Width of the cutting edge [m].
        facts: Sizes worked out on the way, by name [m or rad].
    """

    parts: tuple[Part, ...]
    joints: tuple[Joint, ...]
    pivots: Pivots
    width: float
    facts: Mapping[str, float]

    def part(self, part_id: str) -> Part:
        """The part with this id; KeyError when there is none."""
        for part in self.parts:
            if part.id == part_id:
                return part
        raise KeyError(part_id)
