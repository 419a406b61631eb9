"""What the carrier checks take on trust (suit.toml): where a carrier holds what, ballast, gates, road, snow, power."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from plowwright.rulebook.quantities import AboveLength, AboveSpeed, Angle, Length, Record, Share
from plowwright.rulebook.settings import Setting, Spread

Kind = Literal["skid steer", "tracked loader", "compact loader", "tractor", "wheel loader"]
MountKind = Literal["plate", "pins", "hook"]


class Drawn(Record):
    """Sizes of a kind of carrier that only its picture takes, where nobody has told them."""

    wheelbase: AboveLength
    pins_ahead: Length  # of the front axle
    front_radius: AboveLength
    rear_radius: AboveLength
    width: AboveLength  # over tyres or tracks
    height: AboveLength
    lift: AboveLength  # how far the plate rises at full lift


class KindPlaces(Record):
    """Where a kind of carrier holds its attachment; what checks lean on is a spread."""

    plate_ahead_of_axle: Spread[Length] | None = None  # loaders without pins: face of the plate, carried low
    rated_ahead_of_plate: Spread[Length] | None = None  # centre of the bucket the rating is meant for
    drawn: Drawn


class Ballast(Record):
    """What can be hung on the rear."""

    behind: Spread[AboveLength]  # its centre behind the rear axle
    greatest: Setting[Share]  # share of the empty carrier's weight


class Scrapes(Record):
    """Friction of the edge on the ground, share of the weight on it."""

    pavement: Spread[Share]  # gravel as well
    packed_snow: Spread[Share]
    ice: Spread[Share]


class Snowing(Record):
    """Snow and push."""

    state: Setting[str]  # as the table of densities names it
    to_ground: Spread[Share]  # of the engine's power
    on_edge: Spread[Share]  # of the blade's weight that scrapes, loader in float
    scrapes: Scrapes
    fastest: Setting[AboveSpeed]
    slowest: Setting[AboveSpeed]  # slower than this is no clearing
    told_at: Setting[AboveSpeed]  # at which the depth is told in words
    rear_drive: Spread[Share]  # of the weight on driven rear wheels, where the axles are not known


class Suit(Record):
    """All settings of suit.toml."""

    plate_ahead_of_pins: dict[MountKind, Spread[Length]]
    reach_over_wheelbase: Spread[Annotated[float, Field(gt=0)]]  # tractors: loader pivot to pins
    swing_out: Spread[Length]  # how much further ahead the pins stand with the arms level than carried low
    kinds: dict[Kind, KindPlaces]
    ballast: Ballast
    rear_least: Setting[Share]  # loaders: least share of the whole that stays on the rear axle
    road_width: Setting[AboveLength]
    most_overlap: Setting[Share]  # of the path, so that both wheels run on cleared ground
    gate_room: Setting[Length]  # both sides together
    articulation: Setting[Angle]
    joint_share: Setting[Share]  # joint behind the front axle, share of the wheelbase
    carried_rise: Setting[AboveLength]  # edge over the ground when carried low
    snow: Snowing
