"""Where a carrier holds the blade: told distances where there are any, else those of its kind, said to be assumed."""

from __future__ import annotations

from dataclasses import dataclass

from plowwright.blade.build import Build
from plowwright.blade.carrier_facts import Fact
from plowwright.blade.carriers import Carrier
from plowwright.blade.spans import Span
from plowwright.blade.suit.judging import span_of
from plowwright.blade.suit.results import Place, Places
from plowwright.rulebook.settings import Spread
from plowwright.rulebook.suit import Kind, KindPlaces, Suit

NOT_TOLD: Kind = "skid steer"
"""Kind whose sizes a picture takes while the kind is not known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """Where the blade's weight acts.

    Attributes:
        plate: Face of the mount plate ahead of the front axle [m], None while it cannot be told.
        low: Blade's centre of gravity ahead of the front axle, carried low [m], None likewise.
        lifted: The same with the arms level, where it is furthest [m], None likewise.
        from_pins: Face of the mount plate ahead of the pins [m].
        rated_ahead: Centre the rating is meant for ahead of the plate [m], None for machines rated at their pins.
        facts: Facts it leans on.
    """

    plate: Span | None
    low: Span | None
    lifted: Span | None
    from_pins: Span
    rated_ahead: Span | None
    facts: tuple[Fact, ...]


def of_spread(spread: Spread[float]) -> Span:
    """A setting's spread as a span [SI of its kind].

    Args:
        spread: The setting [SI of its kind].
    """
    return Span(low=spread.low, likely=spread.likely, high=spread.high)


def plus(one: Span, other: Span | float) -> Span:
    """The sum of two spans [SI of their kind].

    Args:
        one: First [SI of their kind].
        other: Second [SI of their kind].
    """
    o = other if isinstance(other, Span) else Span.sure(other)
    return Span(low=one.low + o.low, likely=one.likely + o.likely, high=one.high + o.high)


def kind_of(build: Build, carrier: Carrier) -> Kind:
    """Kind of the carrier, the blade's own choice while it is not told.

    Args:
        build: The blade.
        carrier: The machine.
    """
    return carrier.kind or build.spec.carrier_kind  # type: ignore[return-value]


def reach_of(build: Build, carrier: Carrier, settings: Suit) -> Reach:
    """Where the blade's weight acts on this carrier.

    Args:
        build: The blade.
        carrier: The machine.
        settings: suit.toml.
    """
    rows = settings.kinds.get(kind_of(build, carrier))
    from_pins = of_spread(settings.plate_ahead_of_pins[build.datum.mount.kind])
    told, pins = carrier.known("plate_ahead"), carrier.known("pins_ahead")
    plate: Span | None = None
    if told is not None:
        plate = span_of(told)
    elif pins is not None:
        plate = plus(span_of(pins), from_pins)
    elif rows is not None and rows.plate_ahead_of_axle is not None:
        plate = of_spread(rows.plate_ahead_of_axle)
    x = build.centre_of_gravity[0]
    low = None if plate is None else plus(plate, x)
    lifted = None if low is None else plus(low, of_spread(settings.swing_out))
    rated = rows.rated_ahead_of_plate if rows is not None else None
    return Reach(
        plate=plate,
        low=low,
        lifted=lifted,
        from_pins=from_pins,
        rated_ahead=None if rated is None else of_spread(rated),
        facts=(told,) if told is not None else (pins,) if pins is not None else (),
    )


def places_of(build: Build, carrier: Carrier, settings: Suit) -> Places:
    """Where things stand, for the drawing; what nobody told is taken of the kind and said to be assumed.

    Args:
        build: The blade.
        carrier: The machine.
        settings: suit.toml.
    """
    rows: KindPlaces = settings.kinds.get(kind_of(build, carrier)) or settings.kinds[NOT_TOLD]
    drawn = rows.drawn
    reach = reach_of(build, carrier, settings)

    def told(name: str, otherwise: float, *whats: str) -> Place:
        fact = carrier.known(name, *whats)
        return Place(value=otherwise, assumed=True) if fact is None else Place(value=fact.likely, assumed=False)

    pins = told("pins_ahead", drawn.pins_ahead)
    plate = reach.plate.likely if reach.plate is not None else pins.value + reach.from_pins.likely
    x = build.centre_of_gravity[0]
    out = settings.swing_out.likely

    def place(value: float) -> Place:
        return Place(value=value, assumed=True)

    return Places(
        wheelbase=told("wheelbase", drawn.wheelbase),
        pins_ahead=pins,
        plate_low=place(plate),
        plate_lifted=place(plate + out),
        rise_low=place(settings.carried_rise.value),
        rise_lifted=place(drawn.lift),
        cg_low=place(plate + x),
        cg_lifted=place(plate + out + x),
        tyre_radius=place(drawn.front_radius),
        rear_tyre_radius=place(drawn.rear_radius),
        width=told("width", drawn.width),
        height=place(drawn.height),
        ballast_behind=place(settings.ballast.behind.likely),
        articulation=told("articulation", settings.articulation.value),
        pin_height=told("pin_height", build.datum.mount.above_ground + 0.5 * build.datum.mount.height, "carried low"),
    )
