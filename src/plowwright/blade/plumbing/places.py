"""Where ports, guide and outlets sit at rest, and how they move: the blade in its poses, the carrier under its mount.

The mount plate stands still. Angle and oscillation move hub, frame and cylinder; dumping and the loader's arm move the
outlets, seen from the plate.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, sin
from typing import Final, Literal

import numpy as np

from plowwright.blade.build import Build
from plowwright.blade.making import minus, unit
from plowwright.blade.parts import Link, Part, Pinned
from plowwright.blade.plumbing.runs import Array, Ends
from plowwright.blade.poses import Matrix, Pose, apply, link_motion, motions, turn
from plowwright.blade.shapes import Vec
from plowwright.errors import ModelError
from plowwright.rulebook.plumbing import OutletRules, Plumbing
from plowwright.units.constants import INCH

AHEAD: Final[Vec] = (1.0, 0.0, 0.0)
BACK: Final[Vec] = (-1.0, 0.0, 0.0)
UP: Final[Vec] = (0.0, 0.0, 1.0)

Letter = Literal["A", "B"]

_ANGLES: Final = 13
"""Angles of the blade looked at, from stop to stop."""
_TILTS: Final = 11
_ARMS: Final = 5
_APART: Final = 3.0 * INCH
"""Between the two couplers, side by side, middle to middle [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A place where a hose's fitting sits, with the way it points.

    Attributes:
        at: Middle of the port's face [m].
        points: Direction in which the hose leaves [-].
    """

    at: Vec
    points: Vec


def cylinder_ports(build: Build, rules: Plumbing) -> dict[str, Spot]:
    """Ports on top of the barrel near its ends; which way their elbows point is for `elbows` to say.

    Args:
        build: The blade.
        rules: plumbing.toml.

    Raises:
        ModelError: The blade has no cylinder barrel.
    """
    barrel = _part(build, "cylinder barrel")
    solid, link = barrel.solids[0], _link(barrel)
    along = unit(minus(link.end, link.start))
    high = (build.rulebook.bought[barrel.stock].barrel or 3 * INCH) / 2
    near = rules.ports.from_end.value
    origin = link.start

    def at(distance: float) -> Vec:
        return (origin[0] + distance * along[0], origin[1] + distance * along[1], origin[2] + high)

    return {
        "cap port": Spot(at=at(solid.start + near), points=along),
        "rod port": Spot(at=at(solid.end - near), points=along),
    }


def elbows(port: Spot) -> dict[str, Spot]:
    """The ways a 90 degree elbow in a port on top of the barrel may be turned.

    Args:
        port: The port, pointing along the barrel to its gland.
    """
    x, y, _ = port.points
    # Away from the block, which lies behind the cylinder.
    ahead = (abs(y), -x if y > 0 else x, 0.0)
    turned: dict[str, Vec] = {
        "to the base": (-x, -y, 0.0),
        "forward": ahead,
        "to the rod": (x, y, 0.0),
        "back": (-ahead[0], -ahead[1], 0.0),
    }
    return {name: Spot(at=port.at, points=points) for name, points in turned.items()}


def block_ports(build: Build, rules: Plumbing) -> dict[str, Spot]:
    """Ports of the block: A of the cylinder at its outboard end, B in front, two to the carrier on top, test ports.

    The hose to the cap port turns back on itself over the base, the one to the rod port runs forward along the
    barrel: both have room to flex.

    Args:
        build: The blade.
        rules: plumbing.toml.

    Raises:
        ModelError: The blade has no valve block.
    """
    block = _part(build, "valve block")
    x, y, z = block.place.origin
    entry = build.rulebook.bought[block.stock]
    deep, tall, half = (entry.width or 3 * INCH) / 2, (entry.height or 3 * INCH) / 2, (block.length or 5 * INCH) / 2
    s, step = (1.0 if y >= 0.0 else -1.0), rules.ports.spacing.value / 2
    outboard, inboard, top = y + s * step, y - s * step, z + tall
    found = {
        "cylinder A": Spot(at=(x, y + s * half, z), points=(0.0, s, 0.0)),
        "cylinder B": Spot(at=(x + deep, inboard, z), points=AHEAD),
        "carrier A": Spot(at=(x, outboard, top), points=UP),
        "carrier B": Spot(at=(x, inboard, top), points=UP),
    }
    tests = {
        "test A": Spot(at=(x + deep, outboard, z), points=AHEAD),
        "test B": Spot(at=(x, y - s * half, z), points=(0.0, -s, 0.0)),
    }
    count = rules.ports.test_ports.value if _tested(build) else 0
    return found | dict(list(tests.items())[:count])


def guides(build: Build, rules: Plumbing) -> dict[Letter, Vec]:
    """Where the guide on the mount plate's top holds both hoses, behind the block, from where they run back level [m].

    It stands high enough for the hoses to come up from the block and turn back without a tight bend. The hose to
    outlet A is held outboard.

    Args:
        build: The blade.
        rules: plumbing.toml.
    """
    mount, block = build.datum.mount, block_ports(build, rules)
    port = block["carrier A"]
    plate = mount.above_ground + mount.height + rules.guide.above.value
    turned = port.at[2] + rules.ports.adapter.value + rules.hose.rigid.value + rules.guide.turn.value
    high = max(plate, turned)
    return {"A": (0.0, port.at[1], high), "B": (0.0, block["carrier B"].at[1], high)}


def outlets(place: OutletRules, side: float) -> dict[Letter, Vec]:
    """Both outlets with the blade carried low, A outboard of B, pointing forward [m].

    Args:
        place: Where this kind of carrier has them.
        side: 1 left, -1 right [-].
    """
    x, y, z = -place.behind.value, place.aside.value, place.height.value
    return {"A": (x, side * (y + _APART / 2), z), "B": (x, side * (y - _APART / 2), z)}


def blade_poses(build: Build) -> list[Pose]:
    """Rest, then poses over full angle and oscillation; the stops themselves are among them.

    Args:
        build: The blade.
    """
    stop, roll = build.assembly.pivots.angle_stop, build.assembly.pivots.oscillation_stop
    # Angle and oscillation do not work into each other: oscillation is looked at straight and at both stops.
    rolled = [Pose(angle=a, oscillation=o) for a in (-stop, 0.0, stop) for o in (-roll, roll)]
    return [Pose(), *(Pose(angle=float(a)) for a in np.linspace(-stop, stop, _ANGLES)), *rolled]


def carrier_moves(place: OutletRules) -> list[tuple[float, float]]:
    """Rest, then tilt of the plate (+ dumped forward) and lift of the arm (+ up), over dump, float and lift [rad].

    Args:
        place: Where this kind of carrier has its outlets and what moves them.
    """
    arms = [0.0] if place.on.value == "arm" else np.linspace(-place.down.value, place.up.value, _ARMS)
    return [(0.0, 0.0)] + [
        (float(tilt), float(lift)) for tilt in np.linspace(-place.back.value, place.dump.value, _TILTS) for lift in arms
    ]


def moved_outlet(place: OutletRules, at: Vec, direction: Vec, tilt: float, lift: float) -> tuple[Vec, Vec]:
    """An outlet as the mount plate sees it, with the plate tilted and the arm lifted.

    Args:
        place: Pivots, and what the outlet rides on.
        at: The outlet, blade carried low [m].
        direction: Where it points [-].
        tilt: Of the plate about its pins, + dumped forward [rad].
        lift: Of the arm about its pivot, + up [rad].

    Returns:
        Place [m] and direction [-] in the plate's axes.
    """
    if place.on.value == "machine":
        # What the arm does upwards, the machine does downwards, seen from the arm.
        pivot = (-place.arm_behind.value, place.arm_height.value)
        at, direction = _pitched(at, pivot, lift), _pitched(direction, (0.0, 0.0), lift)
    pins = (-place.pins_behind.value, place.pins_height.value)
    return _pitched(at, pins, -tilt), _pitched(direction, (0.0, 0.0), -tilt)


def _pitched(at: Vec, pivot: tuple[float, float], by: float) -> Vec:
    """Turned about an axis along y: + takes what lies ahead downwards."""
    x, z, c, s = at[0] - pivot[0], at[2] - pivot[1], cos(by), sin(by)
    return (pivot[0] + c * x + s * z, at[1], pivot[1] - s * x + c * z)


def cylinder_ends(build: Build, block: Spot, port: Spot, reach: float) -> Ends:
    """Both ends of a hose from block to cylinder, over full angle and oscillation.

    Args:
        build: The blade.
        block: Port of the block.
        port: Port of the cylinder.
        reach: From a port's face to where the hose begins to be free [m].
    """
    link = _link(_part(build, "cylinder barrel"))
    moved = [motions(build.assembly.pivots, pose) for pose in blade_poses(build)]
    return _ends([(m["hub"], block) for m in moved], [(link_motion(link, m), port) for m in moved], reach)


def block_to_guide(build: Build, block: Spot, through: Vec, reach: float) -> Ends:
    """Both ends of the piece of a hose from the block to the guide, over oscillation.

    Args:
        build: The blade.
        block: Port of the block.
        through: Guide on the mount plate [m].
        reach: From the port's face to where the hose begins to be free [m].
    """
    # The angle moves neither of the two: one angle stands for all.
    moved = [motions(build.assembly.pivots, pose) for pose in blade_poses(build) if pose.angle == 0.0]
    start = [_reached(m["hub"], block, reach) for m in moved]
    return _table(start, [(through, AHEAD)] * len(start))


def guide_to_outlet(place: OutletRules, through: Vec, outlet: Vec, reach: float) -> Ends:
    """Both ends of the piece of a hose from the guide to an outlet, over dump, float and lift.

    Args:
        place: Where this kind of carrier has its outlets and what moves them.
        through: Guide on the mount plate [m].
        outlet: The outlet, blade carried low [m].
        reach: From the outlet to where the hose begins to be free [m].
    """
    found: list[tuple[Vec, Vec]] = []
    for tilt, lift in carrier_moves(place):
        at, way = moved_outlet(place, outlet, AHEAD, tilt, lift)
        found.append(((at[0] + reach * way[0], at[1] + reach * way[1], at[2] + reach * way[2]), way))
    return _table([(through, BACK)] * len(found), found)


def _ends(first: list[tuple[Matrix, Spot]], second: list[tuple[Matrix, Spot]], reach: float) -> Ends:
    return _table([_reached(*one, reach) for one in first], [_reached(*one, reach) for one in second])


def _reached(matrix: Matrix, spot: Spot, reach: float) -> tuple[Vec, Vec]:
    at, way = apply(matrix, spot.at), unit(turn(matrix, spot.points))
    return (at[0] + reach * way[0], at[1] + reach * way[1], at[2] + reach * way[2]), way


def _table(start: list[tuple[Vec, Vec]], end: list[tuple[Vec, Vec]]) -> Ends:
    def array(rows: list[tuple[Vec, Vec]], which: int) -> Array:
        return np.array([row[which] for row in rows], dtype=np.float64)

    return Ends(start=array(start, 0), out=array(start, 1), end=array(end, 0), into=array(end, 1))


def base_side(build: Build) -> float:
    """Side of the cylinder's base pin: 1 left, -1 right [-].

    Args:
        build: The blade.
    """
    for joint in build.assembly.joints:
        if isinstance(joint, Pinned) and joint.id == "cylinder base":
            return 1.0 if minus(joint.position, build.assembly.pivots.king_pin)[1] >= 0.0 else -1.0
    raise ModelError(
        "the angle cylinder is not pinned to anything", value="cylinder base", way_out="It comes with the assembly."
    )


def _tested(build: Build) -> bool:
    """Whether the block has test ports: those that were superseded have none."""
    return build.rulebook.bought[build.series.valve_block].superseded_by is None


def _link(part: Part) -> Link:
    if part.link is None:
        raise ModelError("this part follows no pins", value=part.id, way_out="Give it both its pins as a link.")
    return part.link


def _part(build: Build, name: str) -> Part:
    for part in build.parts:
        if part.id == name:
            return part
    raise ModelError(
        "this blade has nothing to plumb", value=f"no {name}", way_out="Cylinder and valve block come with the series."
    )
