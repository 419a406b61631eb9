"""The bar a cutting edge is made of, and the holes in it: size, hole line, volume and mass.

Everything is a float in metres and kilograms. Front means the face that meets the snow; the
countersinks of the plow bolts are on that face.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from plowwright import units
from plowwright.errors import EdgeError
from plowwright.units.constants import INCH

TOLERANCE = INCH / 32
"""Two places closer than this count as the same place [m]."""

Punching = Literal["centre-punched", "edge-punched"]
HoleShape = Literal["square", "round"]


def tape(length: float) -> str:
    """A length as it is read on a tape, to the nearest 1/32 in (0.1 mm while speaking metric).

    Args:
        length: [m].
    """
    return units.tape(length, denominator=32)


def tape_list(lengths: tuple[float, ...]) -> str:
    """Several places as one text: `3, 15 and 27 in`.

    Args:
        lengths: [m].
    """
    if not lengths:
        return "none"
    *before, last = (tape(length) for length in lengths)
    return f"{', '.join(one.rsplit(' ', 1)[0] for one in before)} and {last}" if before else last


@dataclass(frozen=True, kw_only=True)
class PlowBoltHole:
    """One hole for a countersunk plow bolt.

    Attributes:
        size: Side of the square, or diameter of a round hole [m].
        shape: "square" or "round" [-].
        head_diameter: Diameter of the countersink on the front face [m]; equal to or less than the hole
            means no countersink.
        countersink_angle: Included angle of the countersink [rad].

    Raises:
        EdgeError: A size that is not above zero, or an angle outside 0 to pi.
    """

    size: float
    shape: HoleShape
    head_diameter: float
    countersink_angle: float

    def __post_init__(self) -> None:
        if not self.size > 0:
            raise EdgeError(
                "a bolt hole needs a size above zero",
                value=tape(self.size),
                limit="above 0 in",
                way_out='Give the side of the square or the diameter, for example "5/8 in".',
            )
        if not 0 < self.countersink_angle < math.pi:
            raise EdgeError(
                "the countersink's included angle is out of range",
                value=f"{math.degrees(self.countersink_angle):g} deg",
                limit="above 0 and below 180 deg",
                way_out="Give the included angle of the bolt head, for example 80 deg.",
            )


def hole_volume(hole: PlowBoltHole, thickness: float) -> float:
    """Steel one hole removes from the bar [m3].

    V = A t + pi h (D^2 + D d + d^2) / 12 - A h. A is the hole's area (s^2, or pi s^2 / 4), d the diameter
    of a circle of that area, D the head diameter, h = (D - d) / (2 tan(angle / 2)) the depth at which the
    cone has narrowed to d. Where h would pass the back face the cone is cut off there.

    An approximation: the four slivers between the square and the cone below the front face are taken as
    if the square were a circle of the same area. Basis: geometry.

    Worked example: 5/8 in square through 1/2 in without a countersink: 0.625^2 x 0.5 = 0.1953 in3.

    Args:
        hole: The hole.
        thickness: Thickness of the bar [m].

    Raises:
        EdgeError: Thickness not above zero.
    """
    if not thickness > 0:
        raise EdgeError(
            "a bar needs a thickness above zero",
            value=tape(thickness),
            limit="above 0 in",
            way_out='Give the thickness of the edge, for example "1/2 in".',
        )
    area = hole.size**2 if hole.shape == "square" else math.pi * hole.size**2 / 4
    through = math.sqrt(4 * area / math.pi)
    if hole.head_diameter <= through:
        return area * thickness
    slope = math.tan(hole.countersink_angle / 2)
    depth = min((hole.head_diameter - through) / (2 * slope), thickness)
    narrow = hole.head_diameter - 2 * depth * slope
    cone = math.pi * depth * (hole.head_diameter**2 + hole.head_diameter * narrow + narrow**2) / 12
    return cone + area * (thickness - depth)


def bar_mass(*, height: float, thickness: float, length: float, density: float) -> float:
    """Mass of a plain flat bar before its holes [kg]: height x thickness x length x density.

    Worked example: 6 x 1/2 x 84 in of 7850 kg/m3 steel is 32.42 kg (71.5 lb).

    Args:
        height: [m].
        thickness: [m].
        length: [m].
        density: [kg/m3].
    """
    return height * thickness * length * density


@dataclass(frozen=True, kw_only=True)
class EdgeBar:
    """The flat bar of a cutting edge and the line its holes stand on.

    Attributes:
        height: Height of a new edge [m].
        thickness: [m].
        hole_line: From the top edge down to the centres of the holes [m].
        hole: The bolt hole.

    Raises:
        EdgeError: The hole line lies outside the bar, or a hole breaks through its top or foot.
    """

    height: float
    thickness: float
    hole_line: float
    hole: PlowBoltHole

    def __post_init__(self) -> None:
        if not (self.height > 0 and self.thickness > 0):
            raise EdgeError(
                "an edge needs a height and a thickness above zero",
                value=f"{tape(self.height)} x {tape(self.thickness)}",
                limit="above 0 in",
                way_out='Give both, for example "6 in" and "1/2 in".',
            )
        half = self.hole.size / 2
        if not half < self.hole_line < self.height - half:
            raise EdgeError(
                "the hole line leaves no steel between the holes and the bar's top or foot",
                value=f"{tape(self.hole_line)} from the top of a {tape(self.height)} bar",
                limit=f"between {tape(half)} and {tape(self.height - half)}",
                way_out=f"The mid-line of this bar is {tape(self.height / 2)} from its top.",
            )

    @property
    def punching(self) -> Punching:
        """Centre-punched when the hole line is the mid-line of the height, else edge-punched [-]."""
        on_mid_line = abs(self.hole_line - self.height / 2) <= TOLERANCE
        return "centre-punched" if on_mid_line else "edge-punched"

    def mass(self, *, length: float, holes: int, density: float) -> float:
        """Mass of the edge with its holes out [kg].

        Args:
            length: [m].
            holes: How many holes, used or not [-].
            density: [kg/m3].
        """
        plain = bar_mass(height=self.height, thickness=self.thickness, length=length, density=density)
        return plain - holes * hole_volume(self.hole, self.thickness) * density
