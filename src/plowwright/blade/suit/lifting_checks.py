"""Does it lift it: the rating moved to the blade's real centre of gravity, and the rated load as a comparison."""

from __future__ import annotations

from typing import Final

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.carrier_facts import Fact
from plowwright.blade.carriers import Carrier
from plowwright.blade.spans import Span
from plowwright.blade.suit import formulas
from plowwright.blade.suit.judging import judged, span_of, unknown
from plowwright.blade.suit.places import Reach, kind_of, of_spread, plus
from plowwright.blade.suit.results import Check
from plowwright.findings import Basis
from plowwright.physics import lifting
from plowwright.physics.lifting import RATED_SHARE, Undercarriage
from plowwright.rulebook.suit import Suit

AT_PINS: Final = (
    "at pins, full height", "at pins, height not said", "ahead of pins, full height", "ahead of pins, height not said",
    "at pins, low", "not said which",
)  # fmt: skip
"""What a lift can be, the most useful first."""
UNDERCARRIAGE: Final[dict[str, Undercarriage]] = {
    "skid steer": "wheels", "tracked loader": "tracks", "compact loader": "tracks", "tractor": "wheels",
    "wheel loader": "wheels",
}  # fmt: skip
"""What a kind stands on; compact loaders are taken to stand on tracks, the stricter rating."""
COMPARISON: Final = "a comparison: the standard is for buckets and forks; the machine maker's limits come first"


def lift_checks(build: Build, carrier: Carrier, reach: Reach, settings: Suit) -> tuple[Check, ...]:
    """Lift at the pins for tractors, rated operating load for loaders, full turn for articulated ones.

    Args:
        build: The blade.
        carrier: The machine.
        reach: Where the blade's weight acts.
        settings: suit.toml.
    """
    kind = kind_of(build, carrier)
    if kind == "tractor":
        return (_lift(build, carrier, reach, settings),)
    found = [_operating(build, carrier, reach, settings)]
    if kind == "wheel loader":
        found.append(_full_turn(build, carrier, reach, settings))
    if carrier.known("lift", *AT_PINS) is not None:
        found.append(_lift(build, carrier, reach, settings))
    return tuple(found)


def pivot_of(carrier: Carrier, settings: Suit) -> tuple[Span, tuple[Fact, ...]]:
    """From the loader's pivot to its pins: told, or a share of the wheelbase.

    Args:
        carrier: The machine.
        settings: suit.toml.
    """
    told = carrier.known("reach")
    if told is not None:
        return span_of(told), (told,)
    base = carrier.known("wheelbase")
    share = of_spread(settings.reach_over_wheelbase)
    if base is not None:
        return share.times(span_of(base)), (base,)
    return share.times(settings.kinds["tractor"].drawn.wheelbase), ()


def _lift(build: Build, carrier: Carrier, reach: Reach, settings: Suit) -> Check:
    title = "lift at the blade's centre of gravity"
    fact = carrier.known("lift", *AT_PINS)
    pivot, more = pivot_of(carrier, settings)
    ahead = plus(reach.from_pins, build.centre_of_gravity[0] - (0.0 if fact is None else fact.ahead or 0.0))
    basis = Basis(
        kind="handbook",
        formula="rated x R / (R + a): moments about the loader's pivot",
        inputs={
            "R, pivot to pins": f"{pivot.said('length')} (assumed where the book is silent)",
            "a, pins to the blade's centre of gravity": ahead.said("length"),
            "rated": "not known" if fact is None else fact.said(),
        },
        source="suit.toml, reach_over_wheelbase, plate_ahead_of_pins",
    )
    value = Span.sure(build.mass)
    if fact is None:
        return unknown("lift", title, ("lift",), kind="mass", basis=basis, value=value)
    rated = span_of(fact)
    limit = Span(
        low=formulas.at_center(rated.low, pivot.low, ahead.high),
        likely=formulas.at_center(rated.likely, pivot.likely, ahead.likely),
        high=formulas.at_center(rated.high, pivot.high, ahead.low),
    )
    said = units.say(fact.likely, "mass")
    because = f"The {said} {fact.what} are worth {units.say(limit.likely, 'mass')} there"
    if fact.what.endswith("low"):
        because += "; at full height it lifts less than low"
    # The wheelbase only guesses the reach, so a told one does not spoil a lift read in the book.
    return judged("lift", title, value, limit, kind="mass", facts=(fact, *(f for f in more if f.name == "reach")),
                  basis=basis, because=because + ".")  # fmt: skip


def _arm(reach: Reach) -> tuple[Span, Span] | None:
    """From the front axle to the rating's own centre, and from there to the blade's centre of gravity."""
    if reach.plate is None or reach.rated_ahead is None or reach.low is None:
        return None
    rated = plus(reach.plate, reach.rated_ahead)
    x = reach.low.likely - reach.plate.likely
    r = reach.rated_ahead
    return rated, Span(low=x - r.high, likely=x - r.likely, high=x - r.low)


def _basis(build: Build, share: float, arm: tuple[Span, Span] | None, fact: Fact | None, name: str) -> Basis:
    inputs = {name: "not known" if fact is None else fact.said(), "share": f"{100 * share:.0f} %"}
    if arm is not None:
        inputs |= {
            "front axle to the bucket's load centre": arm[0].said("length"),
            "from there to the blade's centre of gravity": arm[1].said("length"),
        }
    return Basis(
        kind="standard",
        formula="share of tipping load x R / (R + a)",
        inputs=inputs,
        source="ISO 14397-1: 50 % of the tipping load on wheels, 35 % on tracks",
    )


def _held(tipping: Span, share: float, arm: tuple[Span, Span] | None) -> Span:
    rated = tipping.times(share)
    if arm is None:
        return rated
    r, a = arm
    ends = [
        formulas.at_center(t, k, d)
        for t, k, d in ((rated.low, r.low, a.high), (rated.likely, r.likely, a.likely), (rated.high, r.high, a.low))
    ]
    return Span(low=ends[0], likely=ends[1], high=ends[2])


def _operating(build: Build, carrier: Carrier, reach: Reach, settings: Suit) -> Check:
    title = "rated operating load (a comparison)"
    share = RATED_SHARE[UNDERCARRIAGE[kind_of(build, carrier)]]
    value, arm = Span.sure(build.mass), _arm(reach)
    rated = carrier.known("lift", "rated")
    fact = rated if rated is not None else carrier.known("tipping_load", "straight")
    basis = _basis(build, share, arm, fact, "rated load" if rated is not None else "tipping load, straight")
    if fact is None:
        return unknown("operating", title, ("tipping_load",), kind="mass", basis=basis, value=value)
    limit = _held(span_of(fact), 1.0 if rated is not None else share, arm)
    return judged("operating", title, value, limit, kind="mass", facts=(fact,), basis=basis,
                  because=f"It is {COMPARISON}.")  # fmt: skip


def _full_turn(build: Build, carrier: Carrier, reach: Reach, settings: Suit) -> Check:
    title = "rated operating load at full turn (a comparison)"
    share, value, arm = RATED_SHARE["wheels"], Span.sure(build.mass), _arm(reach)
    fact = carrier.known("tipping_load", "full turn")
    straight, base = carrier.known("tipping_load", "straight"), carrier.known("wheelbase")
    basis = _basis(build, share, arm, fact, "tipping load, full turn")
    if fact is not None:
        return judged("turn", title, value, _held(span_of(fact), share, arm), kind="mass", facts=(fact,), basis=basis,
                      because=f"It is {COMPARISON}.")  # fmt: skip
    if straight is None or base is None:
        missing = ["tipping_load"] if straight is None else ["wheelbase"]
        return unknown("turn", title, missing, kind="mass", basis=basis, value=value)
    turn = carrier.known("articulation")
    joint = settings.joint_share.value * base.likely
    angle = settings.articulation.value if turn is None else turn.likely
    low, high = lifting.full_turn_tipping(straight.likely, angle, joint=joint, wheelbase=base.likely)
    ratio = (straight.low / straight.likely, straight.high / straight.likely)
    tipping = Span(low=low * ratio[0], likely=0.5 * (low + high), high=high * ratio[1])
    basis = _basis(build, share, arm, straight, "tipping load, straight")
    facts = tuple(f for f in (straight, base, turn) if f is not None)
    return judged("turn", title, value, _held(tipping, share, arm), kind="mass", facts=facts, basis=basis,
                  because="The book's own figure at full turn goes before this one.")  # fmt: skip
