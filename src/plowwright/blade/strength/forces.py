"""What force each load case is looked at with, and what that force rests on; the bases are kept apart by name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from plowwright import units
from plowwright.blade.giving_inputs import Brings
from plowwright.blade.loads import LoadCase
from plowwright.blade.tripping import Trip
from plowwright.rulebook.strength import Strength


@dataclass(frozen=True, kw_only=True)
class Forces:
    """The force of every load case that can be told.

    Attributes:
        by_case: Force by name of the case [N]; 1 for a case that does not scale.
        ground: What the strikes rest on, in words.
        strike: Force of the strikes [N], or None where nothing tells it.
        untold: Cases nothing is known for, by name, with the reason starting in lower case.
    """

    by_case: Mapping[str, float]
    ground: str
    strike: float | None
    untold: Mapping[str, str]


def forces_for(cases: Sequence[LoadCase], trip: Trip, brings: Brings | None, settings: Strength) -> Forces:
    """Forces of the load cases: by the carrier's weight as far as the trip lets them through, else by the trip alone.

    A strike is first a share of the carrier's weight; the trip lets no more through than its release force with the
    edge worn. The lesser of both is taken, and both are named. Without a carrier only the trip is left to tell it.

    Args:
        cases: The load cases.
        trip: How the moldboard trips.
        brings: What the carrier brings, or None while it is not known.
        settings: The rulebook's strength settings.
    """
    through = max(0.0, trip.release(trip.wear or 0.0))
    strike, ground = _strike(through, brings, settings)
    by_kind: dict[str, float | None] = {"strike": strike, "bump": 1.0}
    if brings is not None:
        weight = brings.weight.likely
        by_kind |= {
            "push": brings.packed_snow.likely,
            "back-drag": settings.loads.back_drag.value * weight,
            "down-force": settings.loads.down_force.value * weight,
        }
    known = {case.name: by_kind.get(case.kind) for case in cases}
    return Forces(
        by_case={name: force for name, force in known.items() if force is not None},
        ground=ground,
        strike=strike,
        untold={
            case.name: "the carrier's weight is not known" for case in cases if known[case.name] is None
        },
    )


def _strike(through: float, brings: Brings | None, settings: Strength) -> tuple[float, str]:
    said = f"{units.say(through, 'force')}, what the trip lets through with the edge worn"
    if brings is None:
        return through, said
    share = settings.strike.share_of_weight
    by_weight = brings.share_of_weight.likely
    weight_said = (
        f"{units.say(by_weight, 'force')}, {share.likely:.2g} of the weight of {brings.name} ({share.rests_on})"
    )
    if by_weight <= through:
        return by_weight, f"{weight_said}; the trip would let {units.say(through, 'force')} through"
    return through, f"{said}; {weight_said}, would be more and counts only with the trip frozen or jammed"
