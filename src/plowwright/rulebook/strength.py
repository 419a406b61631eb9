"""What strength, trip and strike checks take on trust, as named settings of the rulebook (strength.toml).

Every setting carries what it rests on beside its value, so that a finding can say *assumed* where it is assumed. A
setting that nobody knows to a figure is a spread of three: low, likely, high; what leans on it is answered as a band.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from plowwright.findings import BasisKind
from plowwright.rulebook.quantities import (
    AboveLength,
    AboveNumber,
    AbovePressure,
    AboveSpeed,
    AboveSpringRate,
    AboveStress,
    Record,
    Share,
)
from plowwright.rulebook.settings import Setting, Spread

CarrierKind = Literal["any", "skid steer", "tracked loader", "compact loader", "tractor", "wheel loader"]
Driving = Literal["gentle", "rough"]


class Steel(Record):
    """Elastic constants of all steel."""

    young: Setting[AboveStress]
    shear: Setting[AboveStress]
    poisson: Setting[Annotated[float, Field(gt=0, lt=0.5)]]


class WeldMetal(Record):
    """Weld metal of the shop's wire."""

    electrode: Setting[AboveStress]  # least tensile strength of the deposit


class Safety(Record):
    """What yield is divided by before it is a limit."""

    daily: Setting[AboveNumber]  # pushing, carrying, back-drag: every hour
    strike: Setting[AboveNumber]  # the rare hit: yield just not reached


class EdgeBolts(Record):
    """The plow bolts of the cutting edge, and how many share one strike."""

    grade: Setting[Annotated[str, Field(min_length=2)]]  # as `physics/bolts.py` names it; coarse threads
    sharing_corner: Spread[AboveNumber]
    sharing_centre: Spread[AboveNumber]


class SpringWire(Record):
    """Wire of the trip springs: least tensile strength is at_one_inch / d^exponent, d in inches."""

    shear: Setting[AboveStress]
    at_one_inch: Setting[AboveStress]
    exponent: Setting[Annotated[float, Field(ge=0, lt=1)]]


class Relief(Record):
    """Crossover relief of the angle cylinder."""

    default: Setting[AbovePressure]
    by_series: dict[str, Setting[AbovePressure]] = Field({})
    light_advice: Setting[AbovePressure]  # what to try first where the frame yields before the relief lifts
    least: Setting[AbovePressure]  # below this the blade rides into its stops in ordinary snow

    def of(self, series: str) -> Setting[AbovePressure]:
        """The setting a series leaves the shop with.

        Args:
            series: Key of the series.
        """
        return self.by_series.get(series, self.default)


class Traction(Record):
    """What a carrier can push for each pound it weighs."""

    pavement: Spread[AboveNumber]
    packed_snow: Spread[AboveNumber]
    ice: Spread[AboveNumber]
    chains_or_tracks: Spread[AboveNumber]  # on packed snow
    turning_share: Spread[AboveNumber]  # wheels' distance from where the carrier swings about, share of wheelbase


class Strike(Record):
    """Three bases of a strike's force, kept apart."""

    share_of_weight: Spread[AboveNumber]
    contact_stiffness: Spread[AboveSpringRate]
    speed: Spread[AboveSpeed]
    uplift: Setting[Annotated[float, Field(ge=0, le=1)]]  # upward part, share of the force along the ground


class Loads(Record):
    """Loads that are not strikes."""

    bump: Setting[AboveNumber]  # times its own weight, carried over a bump
    down_force: Setting[Annotated[float, Field(ge=0, le=1)]]  # share of the carrier's weight put on the edge
    back_drag: Setting[Annotated[float, Field(ge=0, le=1)]]  # share of the carrier's weight pulled backwards


class Wear(Record):
    """How far an edge is worn before it is turned or renewed."""

    left_below_angle: Setting[AboveLength]  # what still hangs below the bottom angle then
    greatest_jump: Setting[AboveNumber]  # kick of a renewed edge over that of the worn one, on an old blade
    greatest: Setting[AboveLength]  # never more than this, however deep the edge hangs


class TripRules(Record):
    """When a trip is right, and why a carrier gets the springs it gets."""

    most_of_least_capacity: Setting[Share]  # worst release against the weakest of frame, cylinder and relief
    edge_share: Spread[Share]  # of the carrier's push that comes in at the edge; the rest lies on the skin
    peak_gentle: Spread[AboveNumber]  # push when the edge catches, over the steady push
    peak_rough: Spread[AboveNumber]
    friction: Spread[AboveNumber]  # edge on what it meets, while it climbs over
    least_return: Setting[AboveNumber]  # closing moment of the springs over the weight's opening one, tripped
    driving: dict[CarrierKind, Setting[Driving]]

    def drives(self, carrier: str) -> Driving:
        """How a kind of carrier is taken to be driven.

        Args:
            carrier: Kind of carrier.
        """
        found = {str(kind): setting for kind, setting in self.driving.items()}
        setting = found.get(carrier) or found.get("any")
        return setting.value if setting else "rough"


class Details(Record):
    """Detail categories of welds: stress range at two million cycles."""

    web_toe: Setting[AboveStress]
    web_root: Setting[AboveStress]
    frame_toe: Setting[AboveStress]
    ear_root: Setting[AboveStress]


class StrikeRow(Record):
    """One row of a winter of strikes."""

    name: str
    share: Share  # of the strongest strike counted here
    times: AboveNumber  # a winter


class Spectrum(Record):
    """A winter of strikes, to be edited; only ratios between edges are ever drawn from it."""

    rests_on: BasisKind
    note: str = Field(min_length=8)
    rows: list[StrikeRow] = Field(min_length=1)


class FactSpreads(Record):
    """How far a fact about a carrier may be off by where it comes from, share of the value either way."""

    plate: Setting[Annotated[float, Field(ge=0, lt=1)]]
    book: Setting[Annotated[float, Field(ge=0, lt=1)]]
    told: Setting[Annotated[float, Field(ge=0, lt=1)]]
    guessed: Setting[Annotated[float, Field(ge=0, lt=1)]]


class Strength(Record):
    """All settings of strength.toml."""

    steel: Steel
    weld: WeldMetal
    safety: Safety
    edge_bolts: EdgeBolts
    spring_wire: SpringWire
    relief: Relief
    traction: Traction
    strike: Strike
    loads: Loads
    wear: Wear
    trip: TripRules
    details: Details
    spectrum: Spectrum
    fact_spreads: FactSpreads
