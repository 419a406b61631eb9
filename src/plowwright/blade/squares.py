"""What is measured before the last seam: diagonals that must be equal, and corners that must lie in one plane."""

from __future__ import annotations

from dataclasses import dataclass
from math import dist
from typing import Any

from plowwright.blade.build import Build
from plowwright.blade.parts import Part
from plowwright.blade.shapes import Vec
from plowwright.units import inches


@dataclass(frozen=True, slots=True, kw_only=True)
class Diagonals:
    """Two distances that are equal when it is square.

    Attributes:
        name: What is measured.
        between: From where to where, in words.
        left: Ends of the one [m].
        right: Ends of the other [m].
    """

    name: str
    between: str
    left: tuple[Vec, Vec]
    right: tuple[Vec, Vec]

    @property
    def length(self) -> float:
        """What both should be [m]."""
        return 0.5 * (dist(*self.left) + dist(*self.right))

    def as_dict(self) -> dict[str, Any]:
        """For a machine."""
        return {"name": self.name, "between": self.between, "length_in": round(inches(self.length), 3)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Plane:
    """Four corners that lie in one plane when it is not twisted.

    Attributes:
        name: What lies on the table.
        corners: Where the gap is felt, in words.
        places: Those corners [m].
    """

    name: str
    corners: tuple[str, ...]
    places: tuple[Vec, ...]


def box_of(part: Part) -> tuple[Vec, Vec]:
    """Least and greatest corner of a part at rest, in blade axes [m].

    Args:
        part: The part.
    """
    points: list[Vec] = []
    for solid in part.solids:
        place = solid.place or part.place
        low_u, low_v, high_u, high_v = solid.region.bounds()
        for u in (low_u, high_u):
            for v in (low_v, high_v):
                points.append(place.point(u, v, solid.start + solid.start_slope[0] * u + solid.start_slope[1] * v))
                points.append(place.point(u, v, solid.end + solid.end_slope[0] * u + solid.end_slope[1] * v))
    low, high = (tuple(pick(p[axis] for p in points) for axis in range(3)) for pick in (min, max))
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])


def diagonals_of(build: Build) -> tuple[Diagonals, ...]:
    """The diagonals of moldboard, push frame and mount plate.

    Args:
        build: The blade.
    """
    part = build.assembly.part
    found: list[Diagonals] = []
    angle, skin = box_of(part("bottom angle")), box_of(part("skin"))
    foot, top = (angle[1][0], angle[0][2]), (skin[1][0], skin[1][2])
    found.append(
        Diagonals(
            name="moldboard",
            between="foot of the bottom angle at one end to the top of the skin at the other",
            left=((foot[0], angle[1][1], foot[1]), (top[0], skin[0][1], top[1])),
            right=((foot[0], angle[0][1], foot[1]), (top[0], skin[1][1], top[1])),
        )
    )
    beam, pin = box_of(part("hinge beam")), build.assembly.pivots.king_pin
    low = box_of(part("king-pin plate lower"))[0][2]
    middle = (pin[0], pin[1], low)
    found.append(
        Diagonals(
            name="push frame",
            between="lower front corner of the hinge beam to the middle of the king-pin hole, both sides",
            left=((beam[1][0], beam[1][1], beam[0][2]), middle),
            right=((beam[1][0], beam[0][1], beam[0][2]), middle),
        )
    )
    plate = box_of(part("mount plate"))
    found.append(
        Diagonals(
            name="mount plate",
            between="corner to corner",
            left=((plate[1][0], plate[1][1], plate[0][2]), (plate[1][0], plate[0][1], plate[1][2])),
            right=((plate[1][0], plate[0][1], plate[0][2]), (plate[1][0], plate[1][1], plate[1][2])),
        )
    )
    return tuple(found)


def planes_of(build: Build) -> tuple[Plane, ...]:
    """What is laid on the table to feel for twist.

    Args:
        build: The blade.
    """
    part = build.assembly.part
    beam, lower = box_of(part("hinge beam")), box_of(part("king-pin plate lower"))
    pin = build.assembly.pivots.king_pin
    z = beam[0][2]
    angle, skin = box_of(part("bottom angle")), box_of(part("skin"))
    return (
        Plane(
            name="push frame, top down on the table",
            corners=("hinge beam left", "hinge beam right", "king-pin plate left", "king-pin plate right"),
            places=(
                (beam[0][0], beam[1][1], z), (beam[0][0], beam[0][1], z), (pin[0], lower[1][1], lower[0][2]),
                (pin[0], lower[0][1], lower[0][2]),
            ),
        ),
        Plane(
            name="moldboard, face down on the table",
            corners=("top left", "top right", "foot left", "foot right"),
            places=(
                (skin[1][0], skin[1][1], skin[1][2]), (skin[1][0], skin[0][1], skin[1][2]),
                (angle[1][0], angle[1][1], angle[0][2]), (angle[1][0], angle[0][1], angle[0][2]),
            ),
        ),
    )  # fmt: skip
