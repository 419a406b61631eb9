"""What the order of giving is made from: the blade's capacities at the edge, and what a carrier brings to it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import pi
from typing import Literal

from plowwright.blade.build import Build
from plowwright.blade.carriers import Carrier
from plowwright.blade.kick import bolt_capacity
from plowwright.blade.spans import Span
from plowwright.blade.tripping import Trip
from plowwright.physics import strike
from plowwright.rulebook.settings import Spread
from plowwright.rulebook.strength import Strength
from plowwright.units.constants import GRAVITY

Place = Literal["corner", "centre"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Force at one place of the edge at which each thing gives; None while it has not been worked out.

    Attributes:
        first_yield: The first member of the push frame yields [N].
        yields: Which member that is, in words.
        angled: The same with the blade at full angle, on its stop or held by the cylinder [N].
        angled_yields: Which member that is then.
        plastic: The push frame folds up [N].
        hinge_pins: The hardest loaded hinge pin reaches its limit [N].
        hub: What holds the frame to the mount yields: hub, oscillation, cylinder arm [N].
        hub_yields: Which part of it that is.
        king_pin: King pin or what holds the cylinder reaches its limit [N].
        mount: The mount reaches its limit [N].
        edge_bolts: The edge bolts reach proof [N].
        relief: The crossover relief lifts; None where a strike does not turn the blade [N].
    """

    first_yield: Span | None = None
    yields: str = "push frame"
    angled: Span | None = None
    angled_yields: str = "push frame"
    plastic: Span | None = None
    hinge_pins: Span | None = None
    hub: Span | None = None
    hub_yields: str = "hub"
    king_pin: Span | None = None
    mount: Span | None = None
    edge_bolts: Span | None = None
    relief: Span | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Capacities:
    """What a blade can take before each thing gives, as plain numbers.

    Attributes:
        name: Of the blade.
        duty_class: Its class.
        corner: At the end of the edge.
        centre: In the middle of the edge.
        trip: Release force, from a new edge to the worst worn one [N].
        relief_setting: What the relief is set to [Pa], or None where the rulebook does not say.
        level: Level of the strength model behind the frame's figures, or "" where there is none.
        notes: Basis of single figures by their field, where it is more than the field says.
    """

    name: str
    duty_class: str
    corner: Limits
    centre: Limits
    trip: Span
    relief_setting: float | None = None
    level: str = ""
    notes: Mapping[str, str] = field(default_factory=dict[str, str])

    def at(self, place: Place) -> Limits:
        """The limits at a place of the edge.

        Args:
            place: corner or centre.
        """
        return self.corner if place == "corner" else self.centre

    def protected(self) -> dict[str, Span]:
        """What the trip has to come before, by name: the weakest of frame, cylinder side and relief at the corner."""
        held = {
            "push frame": self.corner.first_yield,
            "push frame at full angle": self.corner.angled,
            self.corner.hub_yields: self.corner.hub,
            "king pin and cylinder": self.corner.king_pin,
            "relief": self.corner.relief,
            "edge bolts": self.corner.edge_bolts,
        }
        return {name: span for name, span in held.items() if span is not None}


@dataclass(frozen=True, slots=True, kw_only=True)
class Brings:
    """What a carrier brings to the edge.

    Attributes:
        name: Of the carrier.
        weight: Its weight [N].
        pavement: Push before its wheels or tracks spin on bare pavement [N].
        packed_snow: The same on packed snow [N].
        ice: The same on ice [N].
        swung: Force at the corner that swings it round on packed snow [N], or None while its wheelbase is unknown.
        share_of_weight: Steady force of a strike by its weight [N].
        contact_peak: First peak of the contact, over before anything answers [N].
    """

    name: str
    weight: Span
    pavement: Span
    packed_snow: Span
    ice: Span
    swung: Span | None
    share_of_weight: Span
    contact_peak: Span


def capacities_of(build: Build, trip: Trip, corner: Limits | None = None, centre: Limits | None = None) -> Capacities:
    """Everything that follows from the sizes alone, with the strength model's limits filled in where there are any.

    Args:
        build: The blade.
        trip: Its trip.
        corner: Limits of the strength model at the corner, or None.
        centre: The same in the middle, or None.
    """
    settings = build.rulebook.strength
    pressure = None if settings is None else settings.relief.of(build.spec.series).value
    corner, centre = corner or Limits(), centre or Limits()
    new, worn = trip.release(), trip.release(trip.wear or 0.0)
    return Capacities(
        name=build.name,
        duty_class=build.series.duty_class,
        corner=replace(
            corner,
            edge_bolts=corner.edge_bolts or bolt_capacity(build.datum, build.rulebook, corner=True),
            relief=None if pressure is None else relief_lifts(build, pressure),
        ),
        centre=replace(
            centre, edge_bolts=centre.edge_bolts or bolt_capacity(build.datum, build.rulebook, corner=False)
        ),
        trip=Span(low=max(0.0, new), likely=max(0.0, new), high=max(0.0, worn)),
        relief_setting=pressure,
    )


def relief_lifts(build: Build, pressure: float) -> Span:
    """Push at the end of the straight blade that lifts the relief: least with the rod pulled, most with it pushed [N].

    Args:
        build: The blade.
        pressure: Setting of the relief [Pa].
    """
    cylinder = build.rulebook.bought[build.datum.cylinder.cylinder]
    bore, rod = cylinder.bore or 0.0, cylinder.rod or 0.0
    arm, out = build.assembly.facts["cylinder arm"], build.spec.width / 2
    full, ring = pi / 4 * bore**2, pi / 4 * (bore**2 - rod**2)
    low, high = (strike.relief_release(pressure, area, arm, out).low for area in (ring, full))
    return Span(low=low, likely=(low + high) / 2, high=high)


def brings(carrier: Carrier, settings: Strength, width: float) -> Brings | None:
    """What a carrier brings to the edge, or None while its weight is unknown.

    Args:
        carrier: The carrier.
        settings: strength.toml.
        width: Of the blade [m].
    """
    mass = carrier.known("mass")
    if mass is None:
        return None
    weight = Span(low=mass.low, likely=mass.likely, high=mass.high).times(GRAVITY)
    grip = settings.traction
    tracked = carrier.kind in ("tracked loader", "compact loader")
    snow = weight.times(_span(grip.chains_or_tracks if tracked else grip.packed_snow))
    base = carrier.known("wheelbase")
    swung = None
    if base is not None:
        arm = _span(grip.turning_share).times(Span(low=base.low, likely=base.likely, high=base.high))
        swung = snow.times(arm).over(width / 2)
    hit = settings.strike
    ends = [
        strike.contact_peak(v, m, k, k).low
        for v, m, k in zip(
            hit.speed.three, (mass.low, mass.likely, mass.high), hit.contact_stiffness.three, strict=True
        )
    ]
    return Brings(
        name=carrier.name,
        weight=weight,
        pavement=weight.times(_span(grip.pavement)),
        packed_snow=snow,
        ice=weight.times(_span(grip.ice)),
        swung=swung,
        share_of_weight=weight.times(_span(hit.share_of_weight)),
        contact_peak=Span(low=ends[0], likely=ends[1], high=ends[2]),
    )


def _span(spread: Spread[float]) -> Span:
    return Span(low=spread.low, likely=spread.likely, high=spread.high)
