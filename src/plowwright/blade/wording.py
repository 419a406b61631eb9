"""How a comparison says its quantities: in inches and pounds, or in millimetres and kilograms."""

from __future__ import annotations

from dataclasses import dataclass

from plowwright.units import System, inches, pounds, say, tape


@dataclass(frozen=True, slots=True, kw_only=True)
class Wording:
    """The reader's units.

    Attributes:
        system: US trade units or metric.
    """

    system: System = "us"

    def size(self, length: float) -> str:
        """A length as a tape reads it.

        Args:
            length: The length [m].
        """
        return tape(length) if self.system == "us" else say(length, "length", system="metric")

    def sizes(self, lengths: list[float]) -> str:
        """Several lengths in a row, the unit once at the end.

        Args:
            lengths: The lengths [m].
        """
        if self.system == "us":
            return f"{', '.join(tape(x, unit=False) for x in lengths)} in"
        return f"{', '.join(f'{x * 1000:.0f}' for x in lengths)} mm"

    def bore(self, length: float) -> str:
        """A hole, pin or weld leg, to 1/32 in.

        Args:
            length: The size [m].
        """
        if self.system == "us":
            return tape(length, denominator=32)
        return say(length, "length", system="metric", style="decimal")

    def wall(self, length: float) -> str:
        """A wall or thickness as a caliper reads it.

        Args:
            length: The thickness [m].
        """
        return f"{inches(length):.3f} in" if self.system == "us" else f"{length * 1000:.2f} mm"

    def run(self, length: float) -> str:
        """A long run, as of a weld.

        Args:
            length: The length [m].
        """
        return say(length, "length", system=self.system, feet=True)

    def mass(self, mass: float) -> str:
        """A mass to a tenth.

        Args:
            mass: The mass [kg].
        """
        return f"{pounds(mass):.1f} lb" if self.system == "us" else f"{mass:.1f} kg"

    def whole_mass(self, mass: float) -> str:
        """A mass without decimals.

        Args:
            mass: The mass [kg].
        """
        return f"{pounds(mass):.0f} lb" if self.system == "us" else f"{mass:.0f} kg"

    def place(self, length: float) -> str:
        """A distance to a tenth of an inch or a millimetre.

        Args:
            length: The distance [m].
        """
        return f"{inches(length):.1f} in" if self.system == "us" else f"{length * 1000:.0f} mm"
