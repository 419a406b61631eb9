"""Whether a blade trips when it should: release against push and capacity, springs, return, and how many springs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import atan, degrees
from typing import Final

from plowwright import units
from plowwright.blade.carriers import Carrier
from plowwright.blade.spans import Span, against
from plowwright.blade.tripping import Trip
from plowwright.findings import Basis, Finding, not_checked
from plowwright.rulebook.strength import Strength
from plowwright.units import tape
from plowwright.units.constants import GRAVITY

PLACE: Final = "trip springs"
MOST_SPRINGS: Final = 8
_NO_SETTINGS: Final = "this rulebook has no strength.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class SpringAdvice:
    """How many of the series' springs a use of the blade asks for.

    Attributes:
        count: Springs [-], or None where no number of these springs will do.
        preload: Least and greatest stretch at rest that will do [m], or None.
        least_count: Count where the assumptions are at their light end [-], or None.
        greatest_count: Count where they are at their heavy end [-], or None.
        reason: Why, in words.
        decided_by: Which bound or assumption decides.
    """

    count: int | None
    preload: Span | None
    least_count: int | None
    greatest_count: int | None
    reason: str
    decided_by: str


def steady_push(carrier: Carrier | None, settings: Strength | None) -> Span | None:
    """What a carrier can push on packed snow, steadily [N]; None while its weight or the settings are unknown.

    Args:
        carrier: The carrier.
        settings: strength.toml, or None.
    """
    mass = carrier.known("mass") if carrier else None
    if carrier is None or mass is None or settings is None:
        return None
    tracked = carrier.kind in ("tracked loader", "compact loader")
    grip = settings.traction.chains_or_tracks if tracked else settings.traction.packed_snow
    share = Span(low=grip.low, likely=grip.likely, high=grip.high)
    return share.times(Span(low=mass.low, likely=mass.likely, high=mass.high)).times(GRAVITY)


def at_the_edge(push: Span, settings: Strength) -> Span:
    """The part of a push that comes in at the edge; the pile on the skin lies about at the hinge line [N].

    Args:
        push: Steady push of the carrier [N].
        settings: strength.toml.
    """
    part = settings.trip.edge_share
    return push.times(Span(low=part.low, likely=part.likely, high=part.high))


def findings(
    trip: Trip, settings: Strength | None, *, capacities: Mapping[str, Span], push: Span | None
) -> tuple[Finding, ...]:
    """Every check of the trip.

    Args:
        trip: The trip.
        settings: strength.toml, or None.
        capacities: Force at the edge at which something else gives, by its name ("push frame", "relief") [N].
        push: Steady push of the carrier [N], or None while it is not known.
    """
    if settings is None:
        basis = Basis(kind="assumed", formula="settings of strength.toml")
        return (not_checked(title="trip", because=_NO_SETTINGS, basis=basis, place=PLACE),)
    return (
        _holds_up(trip),
        _worst(trip, settings, capacities),
        _new(trip, settings, push),
        _returns(trip, settings),
        _climbs(trip, settings),
        _stress(trip),
        _life(trip),
    )


def _release_basis(trip: Trip, **inputs: str) -> Basis:
    line = trip.lines[0]
    return Basis(
        kind="handbook",
        formula="F = (n T r - weight moment) / (hinge height - wear), T = initial tension + rate x stretch at rest",
        inputs={
            "springs": str(len(trip.lines)),
            "rate": units.say(line.spring.rate, "spring_rate"),
            "initial tension": units.say(line.spring.initial, "force"),
            "stretch at rest": units.tape(line.preload),
            "lever of the springs": units.say(line.arm(0.0), "length", style="decimal"),
            "weight moment": units.say(trip.weight_moment(0.0), "torque"),
            "hinge height": tape(trip.hinge_height),
            **inputs,
        },
        source="statics about the hinge line",
    )


def _holds_up(trip: Trip) -> Finding:
    return against(
        Span.sure(trip.spring_moment(0.0)),
        Span.sure(trip.weight_moment(0.0)),
        kind="torque",
        title="springs against the moldboard's weight at rest",
        basis=_release_basis(trip),
        place=PLACE,
        least=True,
    )


def _worst(trip: Trip, settings: Strength, capacities: Mapping[str, Span]) -> Finding:
    title = "release force, edge worn, against the weakest of what it protects"
    share, wear = settings.trip.most_of_least_capacity, trip.wear or 0.0
    basis = _release_basis(
        trip,
        **{"wear": tape(wear), "share of the weakest": share.said("-")},
        **{name: span.said("force") for name, span in capacities.items()},
    )
    if not capacities:
        return not_checked(
            title=title, because="no capacity of frame, cylinder or relief is known yet", basis=basis, place=PLACE
        )
    weakest = min(capacities, key=lambda name: capacities[name].likely)
    rise = trip.hinge_height / (trip.hinge_height - wear) - 1.0
    limit = capacities[weakest].times(share.value)
    step = trip.greatest_lip(limit.likely, wear)
    return against(
        Span.sure(trip.release(wear)),
        limit,
        kind="force",
        title=title,
        basis=basis,
        place=PLACE,
        because=f"The weakest is the {weakest}. With {tape(wear)} worn off, the release force is {rise * 100:.0f} % "
        "above that of a new edge: re-set the springs when the edge is turned. Caught higher up it takes more; "
        f"it still trips in time over steps up to {tape(step)}.",
    )


def _new(trip: Trip, settings: Strength, push: Span | None) -> Finding:
    title = "release force, new edge, against the part of the steady push that comes in at the edge"
    basis = _release_basis(trip, **{"part at the edge": settings.trip.edge_share.said("-")})
    if push is None:
        return not_checked(title=title, because="the carrier's weight is not known", basis=basis, place=PLACE)
    release, wanted = trip.release(), at_the_edge(push, settings)
    need = trip.preload_for(wanted.likely)
    room = min(trip.lines[0].room, trip.lines[0].greatest_stretch)
    way = (
        f"A stretch at rest of {tape(need)} would do it."
        if need <= room
        else f"It would take {tape(need)} of stretch at rest; there is room for {tape(max(0.0, room))}: more springs, "
        "stiffer ones, or lugs further out."
    )
    return against(
        Span.sure(max(0.0, release)),
        wanted,
        kind="force",
        title=title,
        basis=basis,
        place=PLACE,
        least=True,
        because="" if release >= wanted.likely else f"It would trip on hard snow alone. {way}",
    )


def _returns(trip: Trip, settings: Strength) -> Finding:
    return against(
        Span.sure(trip.return_ratio()),
        Span.sure(settings.trip.least_return.value),
        kind="-",
        title="return by itself: closing moment of the springs over the opening one of the weight",
        basis=Basis(
            kind="assumed",
            formula="least over the whole trip of springs / weight",
            inputs={
                "greatest trip angle": units.say(trip.greatest_angle, "angle"),
                "least ratio": settings.trip.least_return.said("-"),
            },
        ),
        place=PLACE,
        least=True,
    )


def _climbs(trip: Trip, settings: Strength) -> Finding:
    grip = settings.trip.friction
    back, down = trip.tip_path(trip.greatest_angle)
    weight = trip.blade_weight
    return against(
        Span(low=trip.lift(grip.high), likely=trip.lift(grip.likely), high=trip.lift(grip.low)),
        Span(low=0.25 * weight, likely=0.5 * weight, high=weight),
        kind="force",
        title="lift of the leaning face at the greatest trip, against the blade's weight on its edge",
        basis=Basis(
            kind="assumed",
            formula="push x tan(lean - angle of friction), against a quarter, half and all of the blade's weight",
            inputs={
                "friction": grip.said("-"),
                "greatest trip angle": units.say(trip.greatest_angle, "angle"),
                "push there": units.say(trip.push(trip.greatest_angle), "force"),
                "tip goes back": tape(back),
                "tip goes down": tape(down),
                "energy to trip": units.say(trip.energy(), "torque"),
            },
            source="springs stretched to what their maker allows",
        ),
        place=PLACE,
        least=True,
        because=f"At {degrees(trip.greatest_angle):.0f} deg the springs are at the end of their stretch; the tip has "
        f"gone back {tape(back)} and the blade must ride up over what it met.",
    )


def _stress(trip: Trip) -> Finding:
    uses = trip.spring_uses()
    line = trip.lines[0]
    hook = max(uses, key=lambda place: uses[place])
    body = uses["body"]
    return against(
        Span(low=body, likely=body, high=max(body, uses[hook])),
        Span.sure(1.0),
        kind="-",
        title="stress of the springs at the stretch their maker allows, share of what the wire may bear",
        basis=Basis(
            kind="handbook",
            formula="body and hook stresses over 0.50, 0.75 and 0.40 of the wire's tensile strength",
            inputs={
                "wire": tape(line.spring.wire),
                "tensile strength": units.say(line.spring.tensile, "stress"),
                "pull": units.say(line.tension(trip.greatest_angle), "force"),
                **{place: f"{use:.2f}" for place, use in uses.items()},
            },
            source="Shigley, extension springs (from memory); hooks taken as full loops of the coil's size (assumed)",
        ),
        place=PLACE,
        because=f"The body first, the {hook} at the far end: its bend is assumed, the spring maker knows it."
        if hook != "body"
        else "",
    )


def _life(trip: Trip) -> Finding:
    safety = trip.spring_life()
    weakest = min(safety, key=lambda place: safety[place])
    body = safety["body"]
    return against(
        Span(low=min(body, safety[weakest]), likely=body, high=body),
        Span.sure(1.0),
        kind="-",
        title="fatigue of the springs between rest and the greatest trip, factor for endless trips",
        basis=Basis(
            kind="handbook",
            formula="Gerber with Zimmerli's unpeened strengths",
            inputs={place: f"{factor:.2f}" for place, factor in safety.items()},
            source="Shigley, extension springs (from memory); rust and shock are not in it, hooks assumed",
        ),
        place=PLACE,
        least=True,
        because=f"The body at the likely value, the {weakest} at the far end." if weakest != "body" else "",
    )


def advise(trip: Trip, settings: Strength, *, carrier: str, push: Span, capacity: Span | None) -> SpringAdvice:
    """How many of these springs a kind of carrier asks for, and with how much stretch at rest.

    Enough that the push when the edge catches does not trip a new edge; little enough that a worn edge still trips
    before the weakest part gives, that the eyebolt has thread left, and that the face can lean past the friction.

    Args:
        trip: The trip with the series' own springs.
        settings: strength.toml.
        carrier: Kind of carrier.
        push: Its steady push [N].
        capacity: Force at the edge that the trip must stay under [N], or None while it is not known.
    """
    drives, at_edge = settings.trip.drives(carrier), at_the_edge(push, settings)
    peak = settings.trip.peak_gentle if drives == "gentle" else settings.trip.peak_rough
    target = at_edge.times(Span(low=peak.low, likely=peak.likely, high=peak.high))
    share = settings.trip.most_of_least_capacity.value
    limit = None if capacity is None else capacity.likely * share
    lean = atan(settings.trip.friction.likely)
    leaving = _preload_leaving(trip, lean)
    fewest = [_fewest(trip, force, limit, leaving) for force in (target.low, target.likely, target.high)]
    light, likely, heavy = (found[0] for found in fewest)
    window, bound = fewest[1][1], fewest[1][2]
    about = (
        f"{drives} driving takes the push when the edge catches as {peak.low:g} to {peak.high:g} times the steady "
        f"{at_edge.said('force')} at the edge: {target.said('force')} ({peak.rests_on})"
    )
    if likely is None:
        reason = f"no number of these springs up to {MOST_SPRINGS} will do: {about}; what stands against it is {bound}"
    else:
        reason = f"{likely} springs: {about}"
        reason += f"; one fewer is stopped by {bound}" if bound else ""
    return SpringAdvice(
        count=likely,
        preload=window,
        least_count=light,
        greatest_count=heavy,
        reason=reason,
        decided_by=bound if light == heavy else f"the assumed peak of the push for {drives} driving",
    )


def _fewest(trip: Trip, target: float, limit: float | None, leaving: float) -> tuple[int | None, Span | None, str]:
    """Fewest springs that reach a release force, their window of preload, and what stopped one fewer.

    `leaving` is the greatest preload that leaves the travel to lean past the friction [m].
    """
    stopped = ""
    for count in range(2, MOST_SPRINGS + 1):
        tried = trip.with_springs(count=count)
        least = max(0.0, tried.preload_for(target))
        bounds = {
            "the eyebolt's last thread": tried.lines[0].room,
            "the travel left to lean past the friction": leaving,
        }
        if limit is not None:
            bounds["the weakest part, edge worn"] = tried.preload_for(limit, trip.wear or 0.0)
        bound = min(bounds, key=lambda name: bounds[name])
        if least <= bounds[bound]:
            return count, Span(low=least, likely=(least + bounds[bound]) / 2, high=bounds[bound]), stopped
        stopped = bound
    return None, None, stopped


def _preload_leaving(trip: Trip, lean: float) -> float:
    """Greatest stretch at rest that still leaves a trip angle [m]: what the spring may stretch less what that takes."""
    line = trip.lines[0]
    if trip.with_springs(preload=0.0, count=1).greatest_angle <= lean:
        return 0.0
    return line.greatest_stretch - (line.length(lean) - line.length(0.0))
