"""What a refit takes on trust: hours, margin, and what an old blade is looked over for (refit.toml)."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from plowwright.findings import BasisKind
from plowwright.rulebook.quantities import AboveLength, Record, Time
from plowwright.rulebook.settings import Setting

When = Literal["always", "mount", "cylinder", "hoses", "springs", "extras"]
"""What of a blade must change for a job to be done."""

PartOfPrice = Annotated[float, Field(ge=0, lt=1)]


class Job(Record):
    """One job of a refit and its hours."""

    when: When
    work: Literal["saw", "plate_and_drill", "fit_and_weld", "clean", "paint", "assemble", "test_and_weigh"]
    time: Time
    rests_on: BasisKind
    note: str = Field(min_length=8)  # what is done


class Ask(Record):
    """One thing an old blade is looked over for before anything is promised."""

    part: str  # mark of a part, or of what is looked at
    ask: str = Field(min_length=8)
    rests_on: BasisKind
    note: str = Field(min_length=8)  # why


class Refit(Record):
    """All settings of refit.toml."""

    margin: Setting[PartOfPrice]  # share of the price of what has no list price
    pin_play: Setting[AboveLength]  # on the diameter, from which a pin and its bore are renewed
    jobs: list[Job] = Field(min_length=1)
    asks: list[Ask] = Field(min_length=1)
