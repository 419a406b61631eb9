"""What the saw's and the plate table's plans take on trust, and how steel is bought (cutting.toml)."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from plowwright.rulebook.quantities import AboveLength, AboveNumber, Angle, Length, Money, Record
from plowwright.rulebook.settings import Setting

PartOf = Annotated[float, Field(ge=0, lt=1)]
Count = Annotated[int, Field(ge=0)]


class StickPrice(Record):
    """What a stick length costs against the price list's price per foot."""

    length: AboveLength
    cheaper: Setting[PartOf]  # share of the list price


class Remnants(Record):
    """Drops that go back to the rack; the least useful length stands in shop.toml."""

    value_share: Setting[PartOf]  # worth of a kept drop, share of what its stick cost per length
    handling: Setting[Money]  # tagging and racking one
    places: Setting[Count]  # how many more of one section the rack takes


class Saw(Record):
    """How a cut plan is searched for and mended."""

    seconds: Setting[AboveNumber]
    worth_a_tag: Setting[Money]  # what writing one more tag again must save
    ready_days: Setting[Count]  # working days from sawing to the promise


class CutSpeed(Record):
    """How fast the plate table cuts one thickness and what a pierce takes."""

    up_to: AboveLength
    per_minute: AboveLength
    pierce: Annotated[float, Field(gt=0)]  # seconds


class Plates(Record):
    """How parts are laid on sheets."""

    gap: Setting[AboveLength]  # between two parts, the kerf counted
    edge: Setting[AboveLength]  # between a part and the sheet's edge
    turns: Setting[list[Angle]]
    seconds: Setting[AboveNumber]
    least_remnant: Setting[AboveLength]  # shorter side of a rest worth keeping
    value_share: Setting[PartOf]
    speeds: list[CutSpeed] = Field(min_length=1)


class Buying(Record):
    """Lead times and what money in the yard costs."""

    interest: Setting[PartOf]  # a year
    steel_days: Setting[Count]  # working days
    by_stock: dict[str, Setting[Count]] = Field({})

    def days(self, stock: str) -> int:
        """Working days until a section or sheet is here.

        Args:
            stock: Its name.
        """
        return self.by_stock.get(stock, self.steel_days).value


class Edges(Record):
    """Edges from drilled blanks."""

    blank_extra: Setting[PartOf]  # what a drilled blank costs more than its bar, share
    drilling: Setting[Money]  # one undrilled bar, laid out, drilled and countersunk here
    spares: dict[str, Setting[Count]] = Field({})  # edges to have on the shelf, by "series width"


class Paper(Record):
    """How floor sheets are printed."""

    check_square: Setting[Length]  # printed on every sheet that is measured from


class Fitting(Record):
    """How square and flat a blade is when it is welded."""

    diagonals: Setting[AboveLength]  # greatest difference of two diagonals
    twist: Setting[AboveLength]  # greatest gap under one corner of four


class Cutting(Record):
    """All settings of cutting.toml."""

    sticks: list[StickPrice] = Field([])
    remnants: Remnants
    saw: Saw
    plates: Plates
    buying: Buying
    edges: Edges
    paper: Paper
    fitting: Fitting

    def discounts(self) -> dict[float, float]:
        """What each stick length is cheaper, share of the list price [-], by length [m]."""
        return {row.length: row.cheaper.value for row in self.sticks}
