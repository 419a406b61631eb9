"""How blades are matched to machines (fit.toml): class rules, and what is taken of a machine nobody has described.

Class rules are rows by power and lift, each with its reason. What a machine of a kind usually is (`kinds`) gives no
verdict: it says what an answer on the phone may be, so that the questions that settle most come first.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, model_validator

from plowwright import units
from plowwright.errors import UnitError
from plowwright.findings import BasisKind
from plowwright.rulebook.quantities import AboveLength, AboveNumber, AboveSpeed, Record, Share
from plowwright.rulebook.settings import Setting, Spread

DutyClass = Literal["light", "standard", "heavy"]
Kind = Literal["skid steer", "tracked loader", "compact loader", "tractor", "wheel loader"]
Ground = Literal["pavement", "gravel", "sidewalk", "mixed"]
CLASSES: tuple[DutyClass, ...] = ("light", "standard", "heavy")
"""Duty classes, lightest first."""


def _mass_per_power(value: object) -> float:
    mass, bar, power = str(value).partition("/")
    if not bar:
        raise UnitError(
            "weight for each horsepower needs both units", value=str(value), way_out="Write 110 lb/hp or 68 kg/kW."
        )
    return units.si(mass, "mass") / units.si(f"1 {power}", "power")


def _power(value: object) -> float:
    return units.si(value if isinstance(value, str) else str(value), "power")


def _weight(value: object) -> float:
    return units.si(value if isinstance(value, str) else str(value), "mass")


Power = Annotated[float, BeforeValidator(_power), Field(gt=0)]
Weight = Annotated[float, BeforeValidator(_weight), Field(gt=0)]
MassPerPower = Annotated[float, BeforeValidator(_mass_per_power), Field(gt=0)]


class Within(Record):
    """A row by power and lift; a bound that is left out does not bind."""

    power_from: Power | None = None
    power_over: Power | None = None  # likewise from, itself not included
    power_up_to: Power | None = None  # included
    lift_from: Weight | None = None
    lift_up_to: Weight | None = None  # included

    @model_validator(mode="after")
    def _in_order(self) -> Within:
        low = self.power_from or self.power_over
        if low is not None and self.power_up_to is not None and low > self.power_up_to:
            raise ValueError("power goes from the lower to the higher; these are not in that order")
        if self.lift_from is not None and self.lift_up_to is not None and self.lift_from > self.lift_up_to:
            raise ValueError("lift goes from the lower to the higher; these are not in that order")
        return self


class Call(Within):
    """Which class a machine of such power and lift asks for."""

    duty_class: DutyClass
    rests_on: BasisKind
    note: str = Field(min_length=8)


class Allowance(Within):
    """A class lighter than asked for that will do all the same."""

    duty_class: DutyClass
    driver: Literal["owner", "any"] = "owner"
    width_up_to: AboveLength
    rests_on: BasisKind
    note: str = Field(min_length=8)


class Between(Record):
    """Machines between two class rules."""

    reach: Setting[AboveNumber]  # a rule still has a say where power or lift miss it by no more than this factor


class Trust(Record):
    """How often a number that is not off a plate or a book is what it was taken for."""

    told: Setting[Share]
    guessed: Setting[Share]
    doubtful: Setting[Share]  # a reading with a doubt, or not said which


class Answers(Record):
    """How an answer on the phone falls: weights of low, likely and high."""

    low: Setting[Share]
    likely: Setting[Share]
    high: Setting[Share]
    trials: Setting[Annotated[int, Field(ge=8, le=512)]]  # machines tried for each answer


class Usual(Record):
    """What a machine of a kind usually is; scaled by its power or weight where one of them is known."""

    weight: Annotated[float, Field(gt=0)]  # callers who have one, against the other kinds
    power: Spread[Power]
    mass_per_power: Spread[MassPerPower]
    lift_share: Spread[Share] | None = None  # lift at the pins over weight
    tipping_share: Spread[Share] | None = None  # tipping load over weight
    turn_share: Spread[Share] | None = None  # tipping load at full turn over straight
    front_share: Spread[Share] | None = None  # of the weight on the front axle, nothing attached
    front_limit_share: Spread[AboveNumber] | None = None  # greatest load of the front axle over the machine's weight
    at_mass: Weight  # of the machine the next two stand for; both grow with the cube root of the weight
    wheelbase: Spread[AboveLength] | None = None
    width: Spread[AboveLength]
    pins_share: Spread[Share] | None = None  # pins ahead of the front axle over the wheelbase


class Chance(Record):
    """One answer about the work and how often it comes."""

    answer: str = Field(min_length=2)
    weight: Annotated[float, Field(gt=0)]


class WorkAnswers(Record):
    """How often callers give which answer about their work."""

    rests_on: BasisKind
    note: str = Field(min_length=8)
    driver: list[Chance] = Field(min_length=2)
    ground: list[Chance] = Field(min_length=2)
    gate: list[Chance] = Field(min_length=2)  # "none" or a width


class WidestOn(Record):
    """The widest blade a ground takes."""

    width: Setting[AboveLength]


class HardDay(Record):
    """The snow a blade should still be pushed through; only the order of the answer leans on it."""

    depth: Setting[AboveLength]
    snow: Setting[Annotated[str, Field(min_length=3)]]  # state of the snow, as the density table names it
    speed: Setting[AboveSpeed]


class Worth(Record):
    """What a blade is worth to the caller beside what it clears; only the order of the answer leans on it."""

    asked: Setting[Share]  # class the machine asks for
    lighter: Setting[Share]  # lighter, on an allowance or between rules
    heavier: Setting[Share]  # heavier than asked for, each class
    least_chance: Setting[Share]  # blades less likely than this are left out of the price range
    settled: Setting[Share]  # a blade counts as settled from this chance on, one way or the other


class Ask(Record):
    """How a question is put on the phone."""

    ask: str = Field(min_length=8)
    why: str = Field(min_length=8)


class Fit(Record):
    """All settings of fit.toml."""

    calls: list[Call] = Field(min_length=1)
    allowances: list[Allowance] = Field([])
    between: Between
    trust: Trust
    answers: Answers
    kinds: dict[Kind, Usual] = Field(min_length=1)
    work: WorkAnswers
    widest_on: dict[Ground, WidestOn] = Field({})
    hard_day: HardDay
    worth: Worth
    questions: dict[str, Ask] = Field(min_length=3)
