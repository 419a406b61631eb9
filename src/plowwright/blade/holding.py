"""Will it hold: frame, joints, trip, kick and the order in which things give, for one blade on one carrier."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from plowwright.blade import giving, kick, trip_rules
from plowwright.blade.build import Build
from plowwright.blade.carriers import Carrier
from plowwright.blade.giving import Giving
from plowwright.blade.giving_inputs import Brings, Capacities, brings, capacities_of
from plowwright.blade.kick import LifeRatio
from plowwright.blade.spans import Span
from plowwright.blade.strength import findings as strength_findings
from plowwright.blade.strength import joints as joint_checks
from plowwright.blade.strength.analysis import analyse
from plowwright.blade.strength.analysis_results import Analysis, Level
from plowwright.blade.strength.forces import Forces, forces_for
from plowwright.blade.strength.joints import JointChecks
from plowwright.blade.strength.limits import limits
from plowwright.blade.trip_rules import SpringAdvice
from plowwright.blade.tripping import Trip, trip_of
from plowwright.findings import Basis, Finding, Verdict, not_checked
from plowwright.rulebook.strength import Strength
from plowwright.units.constants import INCH

EDGE_PUNCHED: Final = 1.5 * INCH
"""Bolt line of an edge-punched bar below its top, to compare with; common practice [m]."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Holding:
    """What a blade stands, and what comes first.

    Attributes:
        analysis: Frame, hub and moldboard under all load cases.
        joints: Its welds, pins, bolts and lugs.
        trip: How the moldboard trips.
        capacities: Forces at the edge at which each thing gives.
        brings: What the carrier brings, or None while its weight is not known.
        forces: The force each load case is looked at with.
        giving: The order in which things give.
        advice: How many springs this carrier asks for, or None while its weight is not known.
        ratio: Life of the web welds against those with the edge punched the other way, or None.
        findings: Every check of these.
    """

    analysis: Analysis
    joints: JointChecks
    trip: Trip
    capacities: Capacities
    brings: Brings | None
    forces: Forces
    giving: Giving
    advice: SpringAdvice | None
    ratio: LifeRatio | None
    findings: tuple[Finding, ...]


def hold(build: Build, carrier: Carrier | None = None, *, level: Level = 2) -> Holding | None:
    """Everything that can be said of a blade's strength; None where the rulebook has no strength.toml.

    Args:
        build: The blade.
        carrier: The machine that carries it, as far as it is known.
        level: 1: moldboard as a lattice, for sweeps; 2: as a shell, for quotes.

    Raises:
        ModelError: A part or joint is missing or cannot hold anything; it is named.
    """
    settings = build.rulebook.strength
    if settings is None:
        return None
    analysis = analyse(build, level=level)
    lattice = analysis if level == 1 else analyse(build, level=1)
    joints = joint_checks.check(build, analysis)
    trip = trip_of(build)
    sized = capacities_of(
        build,
        trip,
        limits(analysis, joints, "corner", plastic=lattice),
        limits(analysis, joints, "centre"),
    )
    capacities = replace(sized, level=strength_findings.level_said(analysis))
    brought = None if carrier is None else brings(carrier, settings, build.spec.width)
    forces = forces_for(analysis.cases, trip, brought, settings)
    push = trip_rules.steady_push(carrier, settings)
    order = giving.order(capacities, brought, settings)
    advice = None
    if push is not None and carrier is not None:
        weakest = _weakest(capacities)
        advice = trip_rules.advise(trip, settings, carrier=carrier.kind, push=push, capacity=weakest)
    ratio = _ratio(build, trip, settings, forces)
    found = Holding(
        analysis=analysis,
        joints=joints,
        trip=trip,
        capacities=capacities,
        brings=brought,
        forces=forces,
        giving=order,
        advice=advice,
        ratio=ratio,
        findings=(),
    )
    return _with_findings(found, build, settings, push)


def without_settings() -> Finding:
    """What is said where the rulebook has no strength settings."""
    return not_checked(
        title="strength",
        because="this rulebook has no strength.toml: copy the one of a newer rulebook beside series.toml",
        basis=Basis(kind="assumed", formula="settings of strength.toml"),
        place="blade",
    )


def _weakest(capacities: Capacities) -> Span | None:
    held = capacities.protected()
    return min(held.values(), key=lambda span: span.likely, default=None)


def _ratio(build: Build, trip: Trip, settings: Strength, forces: Forces) -> LifeRatio | None:
    """This edge against the same bar punched the other way."""
    if not forces.strike:
        return None
    own = kick.choice_of(build.datum, settings)
    other = kick.other_choice(build.datum, settings, EDGE_PUNCHED)
    return kick.life_ratio(own, other, settings, strongest=forces.strike, held_moment=trip.held_moment(0.0))


def _with_findings(found: Holding, build: Build, settings: Strength, push: Span | None) -> Holding:
    """The same with every check said."""
    bolts = found.capacities.corner.edge_bolts
    use = None
    if bolts is not None and found.forces.strike is not None:
        use = Span.sure(found.forces.strike).over(bolts)
    rows = (
        *found.giving.findings,
        *strength_findings.findings(build, found.analysis, found.forces, settings),
        *trip_rules.findings(found.trip, settings, capacities=found.capacities.protected(), push=push),
        *_springs(found, build),
        *kick.findings(build.datum, settings, found.ratio, use),
        *found.joints.findings(found.forces.by_case, found.forces.ground),
    )
    return replace(found, findings=rows)


def _springs(found: Holding, build: Build) -> Iterator[Finding]:
    title, place = "springs for this kind of carrier", trip_rules.PLACE
    advice = found.advice
    if advice is None:
        basis = Basis(kind="assumed", formula="push when the edge catches against the release force")
        yield not_checked(title=title, because="the carrier's weight is not known", basis=basis, place=place)
        return
    has = len(found.trip.lines)
    low, high = advice.least_count, advice.greatest_count
    verdict: Verdict = "near limit"
    if advice.count is not None and (low or 0) <= has <= (high if high is not None else 99):
        verdict = "holds"
    ends = f"{low if low is not None else 'none'} to {high if high is not None else 'none'}"
    yield Finding(
        title=title,
        sentence=f"{title}: {has} on this blade for a {build.spec.carrier_kind}; {advice.reason}",
        value=f"{has}",
        limit=f"{ends} by the assumptions' ends",
        margin="",
        verdict=verdict,
        basis=Basis(kind="assumed", formula=advice.decided_by, inputs={"springs asked for": str(advice.count)}),
        place=place,
    )
