"""Pins and the lugs they go through: shear, bending, bearing, net section, shear-out.

Allowable strengths. Plates and bearing follow AISC 360 D5 and J7; the pin's own bending, which AISC leaves to
mechanics, follows the load spread of EN 1993-1-8 3.13.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from plowwright import units
from plowwright.errors import ModelError
from plowwright.physics.welds import SAFETY
from plowwright.units.constants import INCH

_YIELD_SAFETY = 1.67
"""Safety factor on yield, allowable loads [-] (AISC 360 D2, F1)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """A round pin in double shear between two outer plates and one inner one.

    Attributes:
        diameter: Diameter [m].
        yield_strength: Yield of the pin [Pa].
        tensile: Tensile strength of the pin [Pa].
        inner: Thickness of the inner plate or plates together [m].
        outer: Thickness of each outer plate [m].
        gap: Play between inner and each outer plate [m].
    """

    diameter: float
    yield_strength: float
    tensile: float
    inner: float
    outer: float
    gap: float = 0.0

    def moment(self, force: float) -> float:
        """Greatest bending moment in the pin: F/8 (b + 4 c + 2 a).

        Bearing is taken even over each plate; that is on the safe side once the pin bends.

        Args:
            force: Force on the inner plate [N].

        Returns:
            Moment [N m].

        Source: EN 1993-1-8 3.13.2, figure 3.11 (from memory).
        """
        return force / 8 * (self.inner + 4 * self.gap + 2 * self.outer)

    def allowable_in_shear(self) -> float:
        """Allowable force, two planes: 2 x 0.6 Fu A / 2.00 on the full area [N].

        Source: as the solid area of AISC 360-16 D5.1(b).
        """
        return 2 * 0.6 * self.tensile * pi / 4 * self.diameter**2 / SAFETY

    def allowable_in_bending(self) -> float:
        """Allowable force by bending: Fy Z / 1.67 against the moment, Z = d^3 / 6 but at most 1.6 S [N].

        Source: AISC 360-16 F11.1 for rounds, plastic moment.
        """
        elastic = pi * self.diameter**3 / 32
        plastic = min(self.diameter**3 / 6, 1.6 * elastic)
        return self.yield_strength * plastic / _YIELD_SAFETY / self.moment(1.0)

    def allowable_together(self) -> float:
        """Allowable force with shear and bending in one place: squares of both shares add to 1 [N].

        Source: EN 1993-1-8 table 3.10 (from memory).
        """
        shear, bending = self.allowable_in_shear(), self.allowable_in_bending()
        return 1.0 / (1.0 / shear**2 + 1.0 / bending**2) ** 0.5


def allowable_pin_bearing(diameter: float, thickness: float, yield_strength: float) -> float:
    """Allowable bearing of a pin on a plate: 1.8 Fy d t / 2.00.

    Args:
        diameter: Diameter of the pin [m].
        thickness: Thickness of the plate [m].
        yield_strength: Lower yield of pin and plate [Pa].

    Returns:
        Force [N]. A pin that turns under load wears; handbooks ask for far less then.

    Source: AISC 360-16 J7(a).
    """
    return 1.8 * yield_strength * diameter * thickness / SAFETY


@dataclass(frozen=True, slots=True, kw_only=True)
class Lug:
    """A plate with a pin through it.

    Attributes:
        name: What it is called, for messages.
        thickness: Thickness [m].
        hole: Diameter of its hole [m].
        beyond: From the hole's rim to the plate's end, along the force [m].
        beside: From the hole's rim to the plate's edge, across the force, on the one side [m].
        other_side: The same on the other side [m].
        yield_strength: Yield [Pa].
        tensile: Tensile strength [Pa].
    """

    name: str
    thickness: float
    hole: float
    beyond: float
    beside: float
    other_side: float
    yield_strength: float
    tensile: float

    def __post_init__(self) -> None:
        for what, value in (
            ("beyond", self.beyond),
            ("beside", self.beside),
            ("beside", self.other_side),
        ):
            if value <= 0.0:
                raise ModelError(
                    f"{self.name}: the pin's hole breaks out of the plate",
                    value=f"{units.say(value, 'length', style='decimal')} of metal {what} the hole",
                    limit="more than none",
                    way_out="Make the lug larger or the pin smaller.",
                )

    def allowable_net(self) -> float:
        """Allowable pull by the net section: Fu t be / 2.00 a side, be = 2 t + 0.63 in, at most what is there [N].

        Source: AISC 360-16 D5.1(a), written for sides that differ.
        """
        most = 2 * self.thickness + 0.63 * INCH
        return self.tensile * self.thickness * (min(most, self.beside) + min(most, self.other_side)) / SAFETY

    def allowable_shear_out(self, pin: float) -> float:
        """Allowable pull by the pin shearing out: 0.6 Fu 2 t (a + d / 2) / 2.00.

        Args:
            pin: Diameter of the pin [m].

        Returns:
            Force [N].

        Source: AISC 360-16 D5.1(b).
        """
        return 0.6 * self.tensile * 2 * self.thickness * (self.beyond + pin / 2) / SAFETY

    def allowable_bearing(self, pin: float) -> float:
        """Allowable force by bearing, the plate's yield counting.

        Args:
            pin: Diameter of the pin [m].

        Returns:
            Force [N].

        Source: AISC 360-16 J7.
        """
        return allowable_pin_bearing(pin, self.thickness, self.yield_strength)

    def allowable(self, pin: float) -> tuple[float, str]:
        """The least of the three, and which it is.

        Args:
            pin: Diameter of the pin [m].

        Returns:
            Force [N] and "net section", "shear-out" or "bearing".
        """
        rows = (
            (self.allowable_net(), "net section"),
            (self.allowable_shear_out(pin), "shear-out"),
            (self.allowable_bearing(pin), "bearing"),
        )
        return min(rows)
