"""Helical springs, extension springs above all: rate, stress in the body and in the hooks, strength, life.

Turning is positive with stretch. Strengths of spring wire are fitted as A / d^m and are those of the handbook, from
memory; a spring maker's figure for one spring goes before them.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from plowwright import units
from plowwright.errors import ModelError
from plowwright.units.constants import INCH, PSI

_KSI = 1000.0 * PSI


@dataclass(frozen=True, slots=True, kw_only=True)
class Wire:
    """Spring wire.

    Attributes:
        name: What it is called [-].
        strength: A of the tensile strength A / d^m, for d in inches [Pa].
        exponent: m of the same [-].
        shear_modulus: Shear modulus [Pa].
        young: Modulus of elasticity [Pa].
        source: Where the figures come from [-].
    """

    name: str
    strength: float
    exponent: float
    shear_modulus: float
    young: float
    source: str

    def tensile(self, diameter: float) -> float:
        """Tensile strength of the wire: A / d^m.

        Args:
            diameter: Diameter of the wire [m].

        Returns:
            Strength [Pa].
        """
        return self.strength / (diameter / INCH) ** self.exponent


_SHIGLEY = "Shigley's Mechanical Engineering Design, tables 10-4 and 10-5, from memory"
MUSIC_WIRE = Wire(
    name="music wire", strength=201 * _KSI, exponent=0.145, shear_modulus=11_850 * _KSI, young=29_000 * _KSI,
    source=_SHIGLEY,
)  # fmt: skip
HARD_DRAWN = Wire(
    name="hard-drawn wire", strength=140 * _KSI, exponent=0.190, shear_modulus=11_500 * _KSI, young=28_600 * _KSI,
    source=_SHIGLEY,
)  # fmt: skip
OIL_TEMPERED = Wire(
    name="oil-tempered wire", strength=147 * _KSI, exponent=0.187, shear_modulus=11_200 * _KSI, young=28_500 * _KSI,
    source=_SHIGLEY,
)  # fmt: skip
WIRES = (MUSIC_WIRE, HARD_DRAWN, OIL_TEMPERED)


def wahl(index: float) -> float:
    """Curvature and direct shear: (4 C - 1) / (4 C - 4) + 0.615 / C.

    Args:
        index: Mean diameter over wire [-].

    Returns:
        Factor on the stress [-].

    Source: A. M. Wahl, Mechanical Springs; Shigley 10-2 (from memory).

    >>> round(wahl(5.0), 4)
    1.3105
    """
    return (4 * index - 1) / (4 * index - 4) + 0.615 / index


def bergstraesser(index: float) -> float:
    """The same by Bergstraesser: (4 C + 2) / (4 C - 3), within 1 % of Wahl's.

    Args:
        index: Mean diameter over wire [-].

    Returns:
        Factor on the stress [-].

    Source: Shigley 10-2 (from memory).
    """
    return (4 * index + 2) / (4 * index - 3)


def helical_rate(wire: float, mean: float, active: float, shear_modulus: float, *, name: str = "spring") -> float:
    """Rate of a helical spring: G d^4 / (8 D^3 N).

    Args:
        wire: Diameter of the wire, d [m].
        mean: Mean diameter of the coil, D [m].
        active: Active coils, N [-].
        shear_modulus: Shear modulus [Pa].
        name: The spring, for messages.

    Returns:
        Force per stretch [N/m].

    Raises:
        ModelError: A size is zero or less, so that there is no rate; the spring is named.

    Source: Shigley 10-3 (from memory); a spring maker holds it within 5 to 10 %.
    """
    for what, value in (("wire", wire), ("mean diameter", mean), ("active coils", active), ("modulus", shear_modulus)):
        if not value > 0.0:
            raise ModelError(
                f"{name}: no rate follows from its sizes",
                value=f"{what} {value:g}",
                limit="more than 0",
                way_out="Measure the spring and give wire, coil and active coils.",
            )
    return shear_modulus * wire**4 / (8 * mean**3 * active)


@dataclass(frozen=True, slots=True, kw_only=True)
class ExtensionSpring:
    """A close-wound extension spring with a hook or loop at each end.

    Attributes:
        name: The spring, for messages.
        wire: Diameter of the wire [m].
        mean: Mean diameter of the coil [m].
        rate: Force per stretch [N/m].
        initial: Initial tension wound in [N].
        tensile: Tensile strength of the wire [Pa].
        hook: Mean radius of the hook's bend; None for half the mean diameter [m].
        hook_root: Mean radius of the bend from the body to the hook; None for half the mean diameter [m].

    Raises:
        ModelError: Rate, wire or coil is zero or less, or the coil is no wider than its wire; the spring is named.
    """

    name: str
    wire: float
    mean: float
    rate: float
    initial: float
    tensile: float
    hook: float | None = None
    hook_root: float | None = None

    def __post_init__(self) -> None:
        if not self.rate > 0.0:
            raise ModelError(
                f"{self.name}: a spring without rate holds nothing",
                value=units.say(self.rate, "spring_rate"),
                limit="more than 0 lb/in",
                way_out="Give the spring maker's rate, or wire, coil and active coils.",
            )
        if not self.mean > 2.0 * self.wire > 0.0:
            raise ModelError(
                f"{self.name}: the coil is too tight for its wire",
                value=f"mean diameter {units.say(self.mean, 'length', style='decimal')}, "
                f"wire {units.say(self.wire, 'length', style='decimal')}",
                limit="mean diameter over twice the wire; makers like 4 to 12 times",
            )

    @property
    def index(self) -> float:
        """Mean diameter over wire [-]."""
        return self.mean / self.wire

    def force(self, stretch: float) -> float:
        """Force at a stretch from free: initial tension + rate x stretch, 0 when not stretched.

        Args:
            stretch: Beyond the free length [m].

        Returns:
            Force [N].

        Source: Shigley 10-11 (from memory).
        """
        return self.initial + self.rate * stretch if stretch > 0.0 else 0.0

    def energy(self, start: float, end: float) -> float:
        """Work between two stretches: initial (x2 - x1) + rate (x2^2 - x1^2) / 2.

        Args:
            start: First stretch [m].
            end: Second stretch [m].

        Returns:
            Energy taken up [J].

        Source: integral of `force`.
        """
        a, b = max(start, 0.0), max(end, 0.0)
        return self.initial * (b - a) + 0.5 * self.rate * (b * b - a * a)

    def body_stress(self, force: float) -> float:
        """Shear in the coils: K 8 F D / (pi d^3), K by Bergstraesser.

        Args:
            force: Pull [N].

        Returns:
            Stress at the inside of the coil [Pa].

        Source: Shigley 10-2 (from memory).
        """
        return bergstraesser(self.index) * 8 * force * self.mean / (pi * self.wire**3)

    def hook_bending(self, force: float) -> float:
        """Normal stress at the top of the hook: F (K_A 16 D / (pi d^3) + 4 / (pi d^2)).

        K_A = (4 C1^2 - C1 - 1) / (4 C1 (C1 - 1)), C1 = 2 r1 / d.

        Args:
            force: Pull [N].

        Returns:
            Stress [Pa].

        Source: Shigley 10-11 (from memory).
        """
        c = 2 * (self.mean / 2 if self.hook is None else self.hook) / self.wire
        k = (4 * c * c - c - 1) / (4 * c * (c - 1))
        return force * (k * 16 * self.mean / (pi * self.wire**3) + 4 / (pi * self.wire**2))

    def hook_shear(self, force: float) -> float:
        """Shear where the hook leaves the body: K_B 8 F D / (pi d^3), K_B = (4 C2 - 1) / (4 C2 - 4), C2 = 2 r2 / d.

        Args:
            force: Pull [N].

        Returns:
            Stress [Pa].

        Source: Shigley 10-11 (from memory).
        """
        c = 2 * (self.mean / 2 if self.hook_root is None else self.hook_root) / self.wire
        return (4 * c - 1) / (4 * c - 4) * 8 * force * self.mean / (pi * self.wire**3)

    def uses(self, force: float) -> dict[str, float]:
        """Share of what the wire may bear at rest, by place.

        Allowable shares of the tensile strength: 0.50 in the body's shear, 0.40 in the hook's shear, 0.75 in the
        hook's bending (oil-tempered and hard-drawn wire).

        Args:
            force: Pull [N].

        Returns:
            Shares by place: body, hook bending, hook root [-].

        Source: Shigley table 10-7 (from memory).
        """
        return {
            "body": self.body_stress(force) / (0.50 * self.tensile),
            "hook bending": self.hook_bending(force) / (0.75 * self.tensile),
            "hook root": self.hook_shear(force) / (0.40 * self.tensile),
        }

    def fatigue_safety(self, least: float, greatest: float) -> dict[str, float]:
        """Safety against fatigue for endless cycles between two pulls, by place.

        Gerber with Zimmerli's unpeened strengths, 35 ksi amplitude at 55 ksi mean in shear, ultimate in shear
        0.67 of tensile; the hook's bending by dividing the shear amplitude by 0.577 (distortion energy).

        Args:
            least: Least pull of the cycle [N].
            greatest: Greatest pull of the cycle [N].

        Returns:
            Factors by place; over 1 lasts [-]. An estimate: springs vary, shocks and rust are not in it.

        Source: Shigley 10-9 and 10-12 (from memory).
        """
        shear_ultimate = 0.67 * self.tensile
        limit = 35 * _KSI / (1 - (55 * _KSI / shear_ultimate) ** 2)
        amplitude, mean = (greatest - least) / 2, (greatest + least) / 2
        return {
            "body": gerber(self.body_stress(amplitude), self.body_stress(mean), limit, shear_ultimate),
            "hook bending": gerber(self.hook_bending(amplitude), self.hook_bending(mean), limit / 0.577, self.tensile),
            "hook root": gerber(self.hook_shear(amplitude), self.hook_shear(mean), limit, shear_ultimate),
        }


def gerber(amplitude: float, mean: float, endurance: float, ultimate: float) -> float:
    """Safety by Gerber's parabola: n Sa / Se + (n Sm / Su)^2 = 1 solved for n.

    Args:
        amplitude: Stress amplitude [Pa].
        mean: Mean stress [Pa].
        endurance: Fully reversed endurance strength [Pa].
        ultimate: Ultimate strength [Pa].

    Returns:
        Factor on both stresses; infinite without stress [-].

    Source: Shigley 6-12 (from memory).
    """
    a, b = (mean / ultimate) ** 2, amplitude / endurance
    if a == 0.0:
        return 1.0 / b if b > 0.0 else float("inf")
    return (-b + (b * b + 4 * a) ** 0.5) / (2 * a)
