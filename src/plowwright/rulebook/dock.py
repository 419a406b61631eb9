"""What stock and dock take on trust: tolerances at receiving, scale, packing, freight (dock.toml)."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from plowwright.findings import BasisKind
from plowwright.rulebook.quantities import AboveLength, AboveNumber, Angle, Density, Length, Mass, Record, Share
from plowwright.rulebook.settings import Setting


class Receiving(Record):
    """How far what is delivered may be from what was ordered."""

    wall: Setting[Share]  # share of the wall
    size: Setting[AboveLength]  # on an outside size
    mass: Setting[Share]  # share of the listed mass per length
    template: Setting[AboveLength]  # a hole against its pin of the template
    walls: list[AboveLength] = Field(min_length=2)  # walls that tubes of one outside size are sold in


class Stock(Record):
    """When parts must lie there."""

    days_before: Setting[Annotated[int, Field(ge=0)]]  # working days between a part and the promise


class Cause(Record):
    """How likely one reason for a wrong weight is, before the scale has said anything."""

    weight: AboveNumber
    rests_on: BasisKind
    note: str = Field(min_length=8)


class Scale(Record):
    """When a blade is stopped, and what is thought of."""

    share: Setting[Share]  # allowed difference, share of the predicted mass
    least: Setting[Mass]  # but never less than this
    spread: Setting[Mass]  # standard deviation of one reading of a right blade
    dirt: Setting[Mass]  # mud, snow, more paint than usual: most that is believed
    stand: Setting[Mass]  # a paint stand left on the forks
    causes: dict[str, Cause]


class Packing(Record):
    """What stands around a blade that goes by freight."""

    around: Setting[Length]  # crate or skid beyond the blade, each side
    under: Setting[Length]  # skid under it
    pallet: Setting[Mass]  # skid and straps where there is no crate


class DensityBand(Record):
    """One row of the carriers' table: from this density on, that class."""

    from_: Annotated[Density, Field(alias="from")]
    freight_class: AboveNumber


class Freight(Record):
    """Classes by density."""

    bands: list[DensityBand] = Field(min_length=2)
    rests_on: BasisKind
    note: str = Field(min_length=8)
    near: Setting[Share]  # nearer than this share to a band's edge, measure again

    @model_validator(mode="after")
    def _rising(self) -> Freight:
        densities = [band.from_ for band in self.bands]
        if densities != sorted(densities) or len(set(densities)) < len(densities) or densities[0] > 0:
            raise ValueError("the bands run from the lightest at zero upwards, each from a higher density")
        return self


class Lifting(Record):
    """How a blade is lifted and carried."""

    spread: Setting[Share]  # distance between the two slings, share of the width
    sling: Setting[Angle]  # of a sling leg from the horizontal, at least
    road: Setting[Length]  # widest that is carried crosswise on the road without asking


class Dock(Record):
    """All settings of dock.toml."""

    receiving: Receiving
    stock: Stock
    scale: Scale
    packing: Packing
    freight: Freight
    lifting: Lifting
