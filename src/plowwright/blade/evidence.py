"""What stands behind a width limit: corner strength of a series over its widths, and past them, against strikes.

The rulebook's limit is the shop's rule. Here the strength model says where it stands: at which force the frame first
yields and folds up when its corner is struck, for every width offered and for some beyond, held against what light,
mid and heavy carriers bring. It does not prove the limit; it shows which assumption the limit would agree with.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from plowwright import units
from plowwright.blade.build import Build, work_out
from plowwright.blade.carriers import Carrier
from plowwright.blade.giving_inputs import brings, relief_lifts
from plowwright.blade.spans import Span
from plowwright.blade.spec import CARRIER_KINDS, CarrierKind, Spec, check
from plowwright.blade.strength.analysis import analyse
from plowwright.blade.strength.limits import FRAME, HUB, cases_at
from plowwright.blade.tripping import trip_of
from plowwright.errors import ModelError, SpecError
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.trial import tried
from plowwright.units.constants import INCH

Told = Callable[[str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class WidthPoint:
    """One width of a series.

    Attributes:
        width: Width of the blade [m].
        first_yield: Strike at the weaker corner, straight, at which the frame first yields [N].
        yields: Which part that is.
        plastic: The same at which it folds up [N].
        hub: The same at which the hub first yields [N].
        relief: Strike at the corner that lifts the relief [N], or None where no setting is known.
        trip: Release force from a new edge to the worst worn one [N].
    """

    width: float
    first_yield: float
    yields: str
    plastic: float
    hub: float
    relief: Span | None
    trip: Span


@dataclass(frozen=True, kw_only=True)
class Evidence:
    """A series over its widths.

    Attributes:
        series: Key of the series.
        name: Its name.
        limit: Widest blade of the rules in force [m].
        points: Widths, narrowest first.
        strikes: What carriers bring to the corner, by name [N].
        sentences: What follows, in words.
        on_trial: What was changed for this look, in words, or "".
    """

    series: str
    name: str
    limit: float
    points: tuple[WidthPoint, ...]
    strikes: Mapping[str, Span]
    sentences: tuple[str, ...]
    on_trial: str = ""

    def width_for(self, force: float) -> float | None:
        """The width at which the frame would first yield at a force; None where it does so at none or at all of them.

        Args:
            force: Strike at the corner [N].
        """
        for a, b in pairwise(self.points):
            if (a.first_yield - force) * (b.first_yield - force) <= 0 and a.first_yield != b.first_yield:
                share = (a.first_yield - force) / (a.first_yield - b.first_yield)
                return a.width + share * (b.width - a.width)
        return None


def three_carriers(carriers: Sequence[Carrier]) -> tuple[Carrier, ...]:
    """The lightest, the middle and the heaviest of those whose weight is known.

    Args:
        carriers: Carriers to choose from.
    """
    weighed = sorted((c for c in carriers if c.known("mass")), key=_mass)
    return tuple(dict.fromkeys((weighed[0], weighed[len(weighed) // 2], weighed[-1]))) if weighed else ()


def _mass(carrier: Carrier) -> float:
    fact = carrier.known("mass")
    return fact.likely if fact else 0.0


def evidence(
    rulebook: Rulebook,
    series: str,
    *,
    carriers: Sequence[Carrier] = (),
    beyond: int = 4,
    changes: Mapping[str, str] | None = None,
    up_to: float | None = None,
    told: Told = lambda said: None,
) -> Evidence:
    """Corner strength of a series over its widths, with the last row of its tables carried on past its limit.

    Args:
        rulebook: The rules in force.
        series: Key of the series.
        carriers: Carriers whose strikes are drawn behind.
        beyond: Steps of width past the limit [-].
        changes: Fields of the class rows on trial, as `{"leg": "tube 3 x 3 x 1/4"}`.
        up_to: A width limit on trial [m], or None for the one in force.
        told: Told each width before it is worked out.

    Raises:
        RulebookError: No such series, field or stock.
        ModelError: The rulebook has no strength.toml, or its rules give no blade.
    """
    settings = rulebook.strength
    if settings is None:
        raise ModelError(
            "this rulebook has no strength.toml, so no strength can be told",
            where=str(rulebook.folder),
            way_out="Put a strength.toml beside series.toml.",
        )
    entry = rulebook.series.get(series)
    limit = up_to or (entry.up_to_and_including if entry else 0.0)
    widest = limit + beyond * (entry.step if entry else 0.0)
    wider = tried(rulebook, series, changes=changes, up_to=widest)
    points: list[WidthPoint] = []
    for width in wider.series[series].widths():
        told(f"{wider.series[series].name} {units.tape(width)}")
        points.append(_point(wider, series, width))
    strikes = {
        f"{c.name}, {units.say(_mass(c), 'mass')}": b.share_of_weight
        for c in carriers
        if (b := brings(c, settings, limit)) is not None
    }
    found = Evidence(
        series=series,
        name=wider.series[series].name,
        limit=limit,
        points=tuple(points),
        strikes=strikes,
        sentences=(),
        on_trial=", ".join(f"{field} = {value}" for field, value in (changes or {}).items()),
    )
    return replace(found, sentences=tuple(_said(found)))


def any_spec(rulebook: Rulebook, series: str, width: float) -> Spec:
    """The plainest blade of a width: the first mount, carrier and hoses that may be chosen together.

    Args:
        rulebook: The rules.
        series: Key of the series.
        width: Width of the blade [m].

    Raises:
        SpecError: Nothing can be chosen.
    """
    refused: SpecError | None = None
    for mount in rulebook.mounts:
        for kind in rulebook.mounts[mount].carriers:
            for hoses in rulebook.options.get("hoses", {}):
                if kind not in CARRIER_KINDS:
                    continue
                chosen: CarrierKind = kind
                spec = Spec(series=series, width=width, mount=mount, carrier_kind=chosen, hoses=hoses)
                try:
                    check(spec, rulebook)
                except SpecError as error:
                    refused = error
                    continue
                return spec
    raise refused or SpecError("the rulebook offers no mount", where="mounts.toml", way_out="Add one.")


def _point(rulebook: Rulebook, series: str, width: float) -> WidthPoint:
    build: Build = work_out(any_spec(rulebook, series, width), rulebook, level=0)
    analysis = analyse(build, level=1)
    plain, _ = cases_at("corner")
    case = min(plain, key=lambda name: analysis.first_yield(name, FRAME).force)
    use = analysis.first_yield(case, FRAME)
    plastic = analysis.collapse(case, FRAME).force
    hub = min(analysis.first_yield(name, HUB).force for name in plain)
    trip = trip_of(build)
    new, worn = max(0.0, trip.release()), max(0.0, trip.release(trip.wear or 0.0))
    settings = rulebook.strength
    return WidthPoint(
        width=width,
        first_yield=use.force,
        yields=use.part,
        plastic=plastic,
        hub=hub,
        relief=None if settings is None else relief_lifts(build, settings.relief.of(series).value),
        trip=Span(low=new, likely=new, high=max(new, worn)),
    )


def _said(found: Evidence) -> list[str]:
    first, last = found.points[0], found.points[-1]
    at_limit = min(found.points, key=lambda p: abs(p.width - found.limit))
    fall = 1.0 - at_limit.first_yield / first.first_yield
    trial = f" with {found.on_trial} on trial" if found.on_trial else ""
    lines = [
        f"{found.name}{trial}: a strike at the corner first yields the frame at {_force(first.first_yield)} at "
        f"{units.tape(first.width)} and at {_force(at_limit.first_yield)} at its limit of {units.tape(found.limit)}, "
        f"{fall * 100:.0f} % less; at {units.tape(last.width)} it would be {_force(last.first_yield)}.",
        f"First to yield at the limit: {at_limit.yields}. It folds up at {_force(at_limit.plastic)}.",
    ]
    if at_limit.hub < at_limit.first_yield:
        lines.append(f"The hub it hangs on yields before that, at {_force(at_limit.hub)}.")
    if at_limit.relief is not None:
        lines.append(_relief_said(at_limit.relief, at_limit.first_yield))
    for name, strike in found.strikes.items():
        lines.append(_strike_said(found, name, strike))
    lines.append(
        "Consistent with the rule, not a proof of it: without trip or relief a wider blade is softer, and the force "
        "assumed decides where a limit would fall."
    )
    return lines


def _relief_said(relief: Span, first: float) -> str:
    if relief.high <= first:
        where = "before the first yield"
    elif relief.low >= first:
        where = "after the first yield: a lower setting would protect the frame"
    else:
        where = "on one side before and on the other after the first yield"
    return f"At the limit the relief lifts at {relief.said('force')}, {where}."


def _strike_said(found: Evidence, name: str, strike: Span) -> str:
    at = [found.width_for(force) for force in (strike.low, strike.likely, strike.high)]
    weakest = min(p.first_yield for p in found.points)
    strongest = max(p.first_yield for p in found.points)
    head = f"{name}, strikes of {strike.said('force')}"
    if strike.high < weakest:
        return f"{head}: under the first yield of every width looked at."
    if strike.low > strongest:
        return f"{head}: over the first yield of every width looked at."
    words: list[str] = []
    forces = (strike.low, strike.likely, strike.high)
    for label, force, width in zip(("low", "likely", "high"), forces, at, strict=True):
        if width is not None:
            words.append(f"{label} end meets first yield at {units.tape(round(width / INCH * 2) / 2 * INCH)}")
        else:
            words.append(f"{label} end stays {'under' if force < weakest else 'over'} it at every width")
    return f"{head}: " + "; ".join(words) + "."


def _force(value: float) -> str:
    return units.say(value, "force")
