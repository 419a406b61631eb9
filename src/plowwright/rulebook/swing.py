"""What the angling checks take on trust (swing.toml): oil, temperatures, targets, restrictors, relief, test pack."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from plowwright import units
from plowwright.errors import NotFoundError
from plowwright.physics import drills
from plowwright.physics.oil import GRADES
from plowwright.physics.relief import Order
from plowwright.rulebook.quantities import (
    AboveLength,
    AboveNumber,
    AbovePressure,
    AboveSpeed,
    Density,
    Force,
    LinearMass,
    Pressure,
    Record,
    Share,
    Time,
)
from plowwright.rulebook.settings import Setting, Spread


def _degrees(value: object) -> float:
    return units.si(value if isinstance(value, str) else str(value), "temperature")


def _flow(value: object) -> float:
    return units.si(value if isinstance(value, str) else str(value), "flow")


def _volume(value: object) -> float:
    return units.si(value if isinstance(value, str) else str(value), "volume")


def _grade(value: int) -> int:
    if value not in GRADES:
        raise ValueError(f"no such oil grade (given: VG {value}); ISO 3448 has {', '.join(map(str, GRADES))}")
    return value


def _drawer(names: list[str]) -> list[str]:
    for name in names:
        try:
            drills.named(name)
        except NotFoundError as error:
            raise ValueError(error.sentence()) from error
    return names


Temperature = Annotated[float, BeforeValidator(_degrees)]
Flow = Annotated[float, BeforeValidator(_flow), Field(gt=0)]
Volume = Annotated[float, BeforeValidator(_volume), Field(ge=0)]
Grade = Annotated[int, AfterValidator(_grade)]
PartShare = Annotated[float, Field(ge=0, lt=1)]
Drills = Annotated[list[str], AfterValidator(_drawer)]


class OilRules(Record):
    """The oil a carrier is taken to run, and how warm it is."""

    grade: Setting[Grade]
    index: Setting[AboveNumber]
    density: Setting[Density]
    pour: Setting[Temperature]
    bulk: Spread[AbovePressure]  # with the air and hose it works with
    tank: Setting[Temperature]  # carrier warmed up
    lines: Spread[Temperature]  # the blade's own hoses and cylinder, first swing of the day: low is the coldest
    most_cold: Setting[AboveNumber]  # first swing over warm swing that still passes for working

    @model_validator(mode="after")
    def _in_order(self) -> OilRules:
        if not self.pour.value <= self.lines.low <= self.lines.high <= self.tank.value:
            raise ValueError("the oil runs from pour over lines (low to high) to tank, coldest first; these do not")
        return self


class CarrierRules(Record):
    """What no plate says about a carrier's outlets."""

    droop: Spread[PartShare]  # share of its flow the pump loses at the relief's pressure
    back: Spread[Pressure]  # in the return
    lines_volume: Setting[Volume]  # oil between its outlets and its valve, both lines


class LineRules(Record):
    """Hoses and couplers for their losses, until plumbing says what is really fitted."""

    bore: Setting[AboveLength]
    length: Setting[AboveLength]  # of each
    bends: Setting[AboveNumber]  # speed heads
    coupler_loss: Setting[AboveNumber]  # speed heads
    coupler_cold: Setting[AboveNumber]  # further loss over the Reynolds number


class Ratings(Record):
    """Working pressures, until plumbing or the bought part says its own."""

    cylinder: Setting[AbovePressure]
    valve_block: Setting[AbovePressure]
    hoses: Setting[AbovePressure]
    couplers: Setting[AbovePressure]


class TargetRules(Record):
    """What a swing should keep to; the least time is the series' own."""

    end_speed: Setting[AboveSpeed]
    energy: Setting[AboveNumber]  # joules
    time_off: Setting[PartShare]  # hole, stopwatch and model may be off by so much before a time counts as too short


class RestrictorRules(Record):
    """How restrictors are made and sized."""

    length: Setting[AboveLength]  # of the hole
    tolerance: Setting[AboveLength]  # either way
    drawer: Setting[Drills]  # names of the drills there are; none for the whole table
    sized_at: Setting[AbovePressure]  # highest carrier relief a blade may meet


class ReliefRules(Record):
    """The crossover relief beside its setting, which is in strength.toml."""

    order: Setting[Order]
    flow: Setting[Flow]  # it is made for
    override: Setting[Share]  # its pressure rises by up to that flow
    lag: Setting[Time]
    clear: Setting[AboveNumber]  # its setting over the pressure at work
    to_tank: Setting[bool]  # whether squeezed oil finds a way to the tank with the carrier's valve shut
    accumulator: Setting[Volume]
    equal_areas: Setting[bool]  # whether the cylinder has a rod at both ends


class PackRules(Record):
    """The shop's test pack."""

    flow: Setting[Flow]
    relief: Setting[AbovePressure]
    oil: Setting[Temperature]


class TurningRules(Record):
    """What goes round with the blade, and what holds it back."""

    snow: Setting[LinearMass]  # lying on the moldboard while it angles
    end_force: Setting[Force]  # at the blade's end, against or with the way it goes


class SlamRules(Record):
    """What happens without restrictors, as everyone in the trade knows it."""

    least: Setting[Flow]
    most: Setting[Flow]
    shown: Setting[list[Flow]]  # pumps the swing is shown at


class Swing(Record):
    """All settings of swing.toml."""

    oil: OilRules
    carrier: CarrierRules
    lines: LineRules
    ratings: Ratings
    targets: TargetRules
    restrictors: RestrictorRules
    relief: ReliefRules
    pack: PackRules
    turning: TurningRules
    slam: SlamRules
