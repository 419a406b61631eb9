"""What angles and how: pins of the cylinder, what turns about the king pin, and which way each way of the rod goes."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot
from typing import Final

from plowwright.blade.build import Build
from plowwright.blade.mass import of_part
from plowwright.blade.parts import Pinned, Vec
from plowwright.blade.poses import Pose, apply, motions
from plowwright.errors import ModelError
from plowwright.physics.circuits import Cylinder, Way
from plowwright.physics.swing import Linkage, Turning
from plowwright.rulebook.swing import TurningRules

BASE_PIN: Final = "cylinder base"
ROD_PIN: Final = "cylinder rod end"
LEFT: Final = "left end forward"
RIGHT: Final = "right end forward"
_WITH_FRAME: Final = ("frame", "moldboard")


@dataclass(frozen=True, slots=True, kw_only=True)
class Turns:
    """What goes round with the blade about the king pin.

    Attributes:
        steel: Inertia of the blade's own parts about the king pin [kg m2].
        snow: Inertia of the snow allowed for, shown apart [kg m2].
        mass: Of the blade's own parts that turn [kg].
        reach: From the king pin to the end of the edge, in plan [m].
        half_width: Lever of a force square to the blade's face at its end [m].
    """

    steel: float
    snow: float
    mass: float
    reach: float
    half_width: float

    @property
    def turning(self) -> Turning:
        """For `angle_blade`, snow included."""
        return Turning(inertia=self.steel + self.snow, reach=self.reach)


def cylinder_of(build: Build) -> Cylinder:
    """The angle cylinder as bought.

    Args:
        build: The blade.

    Raises:
        ModelError: The bought part has no bore, rod or stroke.
    """
    name = build.datum.cylinder.cylinder
    part = build.rulebook.bought[name]
    if part.bore is None or part.rod is None or part.stroke is None:
        raise ModelError(
            "this cylinder has no sizes to swing by",
            value=name,
            limit="bore, rod and stroke",
            way_out='Add bore = "2-1/2 in", rod and stroke to it in bought.toml.',
        )
    return Cylinder(bore=part.bore, rod=part.rod, stroke=part.stroke, name=name)


def linkage_of(build: Build) -> Linkage:
    """Where the cylinder is pinned about the king pin, from the joints of the assembly.

    Args:
        build: The blade.

    Raises:
        ModelError: A pin is missing, or the cylinder loses its lever at a stop.
    """
    king, base, rod = build.assembly.pivots.king_pin, _pin(build, BASE_PIN), _pin(build, ROD_PIN)
    stop = build.assembly.pivots.angle_stop
    ends = [pin_to_pin(build, turn) for turn in (-stop, stop)]
    return Linkage(
        base=hypot(base[0] - king[0], base[1] - king[1]),
        lug=hypot(rod[0] - king[0], rod[1] - king[1]),
        shortest=min(ends),
        longest=max(ends),
    )


def pin_to_pin(build: Build, angle: float) -> float:
    """Length of the cylinder at an angle of the blade.

    Args:
        build: The blade.
        angle: Of the blade, + left end forward [rad].

    Returns:
        From base pin to rod pin in plan [m].
    """
    moved = motions(build.assembly.pivots, Pose(angle=angle))
    base, rod = apply(moved["hub"], _pin(build, BASE_PIN)), apply(moved["frame"], _pin(build, ROD_PIN))
    return hypot(rod[0] - base[0], rod[1] - base[1])


def ways_of(build: Build) -> dict[Way, str]:
    """Which end goes forward as the rod goes out and in; it depends on the side of the outlets.

    Args:
        build: The blade.
    """
    stop = build.assembly.pivots.angle_stop
    left_longer = pin_to_pin(build, stop) > pin_to_pin(build, -stop)
    return {"out": LEFT, "in": RIGHT} if left_longer else {"out": RIGHT, "in": LEFT}


def turns_of(build: Build, rules: TurningRules) -> Turns:
    """Inertia about the king pin of what turns with the push frame, and of the snow on it.

    I = sum of the parts' own by the parallel axis theorem; snow: m (W^2 / 12 + x^2), spread along the moldboard.

    Args:
        build: The blade.
        rules: `turning` of swing.toml.
    """
    king = build.assembly.pivots.king_pin
    moving = [share for share in build.tally.bodies if share.name in _WITH_FRAME]
    # Springs and eyebolts hang between frame and moldboard and go round with both; the cylinder's rod is left out.
    moving += [
        of_part(part)
        for part in build.parts
        if part.link and part.link.start_body in _WITH_FRAME and part.link.end_body in _WITH_FRAME
    ]
    edge = build.assembly.part("cutting edge")
    ahead = edge.centroid()[0] - king[0]
    width = build.spec.width
    return Turns(
        steel=sum(share.inertia_about(king)[2][2] for share in moving),
        snow=rules.snow.value * width * (width**2 / 12.0 + ahead**2),
        mass=sum(share.mass for share in moving),
        reach=hypot(ahead + edge.thickness / 2.0, width / 2.0),
        half_width=width / 2.0,
    )


def _pin(build: Build, name: str) -> Vec:
    for joint in build.assembly.joints:
        if isinstance(joint, Pinned) and joint.id == name:
            return joint.position
    raise ModelError(
        "the angle cylinder is not pinned to anything", value=name, way_out="Its joints come with the assembly."
    )
