"""Sizes as a rulebook writes them, with their units, and the record every entry is made of.

A size that cannot be zero (`Above...`) is refused at zero: a spring of no rate or a wall of no thickness would run
through every formula behind it and come out as an answer.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from plowwright import units
from plowwright.errors import UnitError
from plowwright.units.kinds import kind_named


def _quantity(kind: str) -> Callable[[Any], float]:
    def convert(value: Any) -> float:
        return units.si(value if isinstance(value, str) else str(value), kind)

    return convert


def _above_zero(kind: str) -> Callable[[Any], float]:
    convert = _quantity(kind)

    def checked(value: Any) -> float:
        found = convert(value)
        if not found > 0.0:
            named = kind_named(kind)
            raise UnitError(
                f"{named.noun} of zero cannot be worked with",
                value=str(value),
                limit="above zero",
                way_out=f"Write {named.example}, or leave the line out where the field is optional.",
            )
        return found

    return checked


Length = Annotated[float, BeforeValidator(_quantity("length"))]
Mass = Annotated[float, BeforeValidator(_quantity("mass"))]
LinearMass = Annotated[float, BeforeValidator(_quantity("linear_mass"))]
ArealMass = Annotated[float, BeforeValidator(_quantity("areal_mass"))]
Angle = Annotated[float, BeforeValidator(_quantity("angle"))]
Pressure = Annotated[float, BeforeValidator(_quantity("pressure"))]
SpringRate = Annotated[float, BeforeValidator(_quantity("spring_rate"))]
Force = Annotated[float, BeforeValidator(_quantity("force"))]
Density = Annotated[float, BeforeValidator(_quantity("density"))]
Money = Annotated[float, BeforeValidator(_quantity("money"))]
MoneyPerHour = Annotated[float, BeforeValidator(_quantity("money_per_hour"))]
MoneyPerMass = Annotated[float, BeforeValidator(_quantity("money_per_mass"))]
MoneyPerLength = Annotated[float, BeforeValidator(_quantity("money_per_length"))]
MoneyPerArea = Annotated[float, BeforeValidator(_quantity("money_per_area"))]
Time = Annotated[float, BeforeValidator(_quantity("time"))]
Stress = Annotated[float, BeforeValidator(_quantity("stress"))]
Speed = Annotated[float, BeforeValidator(_quantity("speed"))]
AboveLength = Annotated[float, BeforeValidator(_above_zero("length"))]
AbovePressure = Annotated[float, BeforeValidator(_above_zero("pressure"))]
AboveStress = Annotated[float, BeforeValidator(_above_zero("stress"))]
AboveSpeed = Annotated[float, BeforeValidator(_above_zero("speed"))]
AboveSpringRate = Annotated[float, BeforeValidator(_above_zero("spring_rate"))]
AboveNumber = Annotated[float, Field(gt=0)]
Share = Annotated[float, Field(gt=0, le=1)]


class Record(BaseModel):
    """Base of every entry: frozen, and a field the schema does not know is refused, not ignored."""

    model_config = ConfigDict(extra="forbid", frozen=True)
