"""The kick: what a strike at the edge puts into the foot of the moldboard, and how it changes as the edge wears.

Lever of the kick = edge below its bolt line + bolt line to weld. An edge-punched edge wears its lever from long to
short and jumps back when it is renewed; a centre-punched one starts at half its width, is turned end for end in its own
plane, and wears that half once more. Two edges are only ever compared; how long a weld lasts in years is never said.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, TypedDict, Unpack

import numpy as np

from plowwright.blade.datum import Datum
from plowwright.blade.spans import Span, against
from plowwright.errors import ModelError
from plowwright.findings import Basis, Finding, not_checked
from plowwright.physics import bolts, fatigue
from plowwright.physics.fatigue import SNCurve, Spectrum, Stage, Strike, kick_damage
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.strength import Strength
from plowwright.units import tape

Punching = Literal["edge-punched", "centre-punched"]
Measure = Literal["bolt line", "weld"]
PLACE: Final = "edge and web feet"
STAGES: Final = 20
"""Steps into which the wear of one side of an edge is cut [-]."""
_ABOVE_THE_KNEE: Final = 1e9


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeChoice:
    """One way to put an edge on a blade.

    Attributes:
        name: How people call it.
        punching: Where its holes are.
        below: Edge below its bolt line when new [m].
        hang: Edge below the foot of the bottom angle when new [m].
        wear: How far one side wears before it is turned or renewed [m].
        sides: How many sides it wears: two where it can be turned end for end [-].
        to_weld: From the bolt line up to the weld of the webs on the shelf [m].
        hinge: Hinge line above the tip of the new edge [m].
    """

    name: str
    punching: Punching
    below: float
    hang: float
    wear: float
    sides: int
    to_weld: float
    hinge: float

    def lever(self, worn: float, measure: Measure = "weld") -> float:
        """Lever of a strike at the tip [m].

        Args:
            worn: Worn off this side [m].
            measure: What the lever is taken to: the web's weld, or the bolt line.
        """
        return self.below - worn + (self.to_weld if measure == "weld" else 0.0)

    @property
    def spent(self) -> float:
        """Height of steel it gives over its life, all sides [m]."""
        return self.wear * self.sides

    @property
    def jump(self) -> float:
        """Kick of the turned or renewed edge over that of the worn one, same strike [-]."""
        return self.lever(0.0) / self.lever(self.wear)

    def path(self) -> tuple[tuple[float, float], ...]:
        """Lever against steel spent, with the jump at each turn [m, m]."""
        found: list[tuple[float, float]] = []
        for side in range(self.sides):
            found += [(side * self.wear, self.lever(0.0)), ((side + 1) * self.wear, self.lever(self.wear))]
        return tuple(found)


def choice_of(d: Datum, settings: Strength) -> EdgeChoice:
    """The edge a blade has.

    Args:
        d: Sizes of the blade.
        settings: strength.toml.
    """
    middle = abs(d.bolt_line - d.edge_height / 2) < 1e-4
    return _choice(
        d, settings, below=d.bolt_line, punching="centre-punched" if middle else "edge-punched", height=d.edge_height
    )


def other_choice(d: Datum, settings: Strength, from_top: float) -> EdgeChoice:
    """The same bar punched the other way, bolted through the same holes of the bottom angle.

    Args:
        d: Sizes of the blade.
        settings: strength.toml.
        from_top: Hole line of an edge-punched bar below its top [m]; not used for a centre-punched one.
    """
    middle = abs(d.bolt_line - d.edge_height / 2) < 1e-4
    if middle:
        return _choice(d, settings, below=d.edge_height - from_top, punching="edge-punched", height=d.edge_height)
    return _choice(d, settings, below=d.edge_height / 2, punching="centre-punched", height=d.edge_height)


def _choice(d: Datum, settings: Strength, *, below: float, punching: Punching, height: float) -> EdgeChoice:
    above_foot = d.bolt_line - d.foot
    hang = below - above_foot
    wear = max(0.0, min(hang - settings.wear.left_below_angle.value, settings.wear.greatest.value))
    if not above_foot > 0.0:
        raise ModelError(
            "the edge bolts sit below the foot of the bottom angle",
            value=f"bolt line {tape(d.bolt_line)}, foot {tape(d.foot)} above the tip",
            way_out="Let the edge hang less, or move its hole line up.",
        )
    return EdgeChoice(
        name=f"{punching} {tape(height)} edge",
        punching=punching,
        below=below,
        hang=hang,
        wear=wear,
        sides=2 if punching == "centre-punched" else 1,
        to_weld=d.shelf - d.bolt_line,
        # The hinge stays where it is on the moldboard; a deeper edge lifts it.
        hinge=d.hinge_z + hang - d.foot,
    )


def web_moment(choice: EdgeChoice, force: float, worn: float = 0.0) -> float:
    """Kick at the web's foot: force times lever [N m].

    Args:
        choice: The edge.
        force: Strike at the tip [N].
        worn: Worn off this side [m].
    """
    return force * choice.lever(worn)


def bolt_capacity(d: Datum, rulebook: Rulebook, *, corner: bool) -> Span | None:
    """Strike at the edge at which the edge bolts reach their proof load by prying on the angle's toe [N].

    T = F (L - e) / e, L bolt line to tip of a new edge, e bolt line to the foot of the angle. None where nothing pries
    or the rulebook has no settings.

    Args:
        d: Sizes of the blade.
        rulebook: The rules in force.
        corner: Whether the strike is at the end of the edge.
    """
    settings = rulebook.strength
    pried = bolts.pried_tension(1.0, d.bolt_line, d.bolt_line - d.foot)
    if settings is None or pried <= 0.0:
        return None
    size = rulebook.bought[d.edge.bolt].diameter or 0.0
    grade = bolts.grade(settings.edge_bolts.grade.value, size)
    proof = bolts.proof_load(size, bolts.coarse_pitch(size), grade.proof)
    share = settings.edge_bolts.sharing_corner if corner else settings.edge_bolts.sharing_centre
    return Span(low=share.low, likely=share.likely, high=share.high).times(proof / pried)


@dataclass(frozen=True, slots=True, kw_only=True)
class RatioCase:
    """The ratio of two lives under one assumption.

    Attributes:
        name: The assumption in words.
        ratio: Strikes the first edge's welds bear over those the other's bear [-].
    """

    name: str
    ratio: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LifeRatio:
    """How two edges compare for the web welds, under every assumption on the table; a band, never a figure.

    Attributes:
        first: The one asked about.
        other: The one it is held against.
        cases: Each assumption with its ratio.
    """

    first: EdgeChoice
    other: EdgeChoice
    cases: tuple[RatioCase, ...]

    @property
    def band(self) -> Span:
        """Least, middle and greatest ratio [-]."""
        ratios = sorted(case.ratio for case in self.cases)
        return Span(low=ratios[0], likely=float(np.median(ratios)), high=ratios[-1])

    def sentence(self) -> str:
        """The band in words, with what sets its ends."""
        low = min(self.cases, key=lambda c: c.ratio)
        high = max(self.cases, key=lambda c: c.ratio)
        return (
            f"Web welds bear {self.band.said('-')} times as many strikes with the {self.first.name} as with the "
            f"{self.other.name}: least if {low.name}, most if {high.name}. Strikes are compared; "
            "years are never promised."
        )


def life_ratio(
    first: EdgeChoice,
    other: EdgeChoice,
    settings: Strength,
    *,
    strongest: float,
    held_moment: float | None = None,
    stress_per_moment: float | None = None,
) -> LifeRatio:
    """The ratio of lives of the web welds between two edges under the usual assumptions.

    Args:
        first: The edge asked about.
        other: The one it is held against.
        settings: strength.toml, for the spectrum and the weld's detail category.
        strongest: Strike that counts as the whole of the spectrum's share [N].
        held_moment: What the trip holds about the hinge, springs less weight [N m], or None to leave the trip out.
        stress_per_moment: Nominal stress at the web's toe per kick [Pa/(N m)]; None takes one slope throughout.
    """
    curve = SNCurve(category=settings.details.web_toe.value)
    scale = _ABOVE_THE_KNEE if stress_per_moment is None else stress_per_moment
    rows = settings.spectrum.rows
    random = tuple(Strike(name=r.name, force=r.share * strongest, count=r.times) for r in rows)
    one = (Strike(name="one force", force=strongest, count=1.0),)

    def case(name: str, strikes: tuple[Strike, ...], **how: Unpack[_How]) -> RatioCase:
        harm = [_damage(edge, strikes, curve=how.get("curve", curve), scale=scale, how=how) for edge in (first, other)]
        return RatioCase(name=name, ratio=fatigue.life_ratio(*harm))

    cases = [
        case("every strike has one force and the lever runs to the bolt line", one, measure="bolt line"),
        case("every strike has one force and the lever runs to the weld", one),
        case("strikes are the rulebook's spectrum, without the trip", random),
    ]
    if stress_per_moment is None:
        weak = SNCurve(category=curve.category, steep=curve.flat)
        cases.append(case("strikes are weak, on the flat part of the weld's curve", one, curve=weak))
    if held_moment is not None:
        endless = (Strike(name="more than the trip lets through", force=1e12, count=1.0),)
        cases += [
            case("strikes are the rulebook's spectrum, cut off by the trip", random, held_moment=held_moment),
            case("every strike is cut off by the trip", endless, held_moment=held_moment),
        ]
    return LifeRatio(first=first, other=other, cases=tuple(cases))


class _How(TypedDict, total=False):
    measure: Measure
    held_moment: float
    curve: SNCurve


def _damage(edge: EdgeChoice, strikes: tuple[Strike, ...], *, curve: SNCurve, scale: float, how: _How) -> float:
    held = how.get("held_moment")
    worn = [edge.wear * (k + 0.5) / STAGES for k in range(STAGES)]
    stages = [
        Stage(
            lever=edge.lever(w, how.get("measure", "weld")),
            share=1.0 / STAGES,
            cap=None if held is None else max(0.0, held) / (edge.hinge - w),
        )
        for w in worn
    ]
    spectrum = Spectrum(name="strikes", strikes=strikes)
    return kick_damage(spectrum, stages, stress_per_moment=scale, curve=curve)


def findings(
    d: Datum, settings: Strength | None, ratio: LifeRatio | None, bolt_use: Span | None
) -> tuple[Finding, ...]:
    """What can be said of the kick of this blade's edge.

    Args:
        d: Sizes of the blade.
        settings: strength.toml, or None.
        ratio: This edge's welds against those with the bar punched the other way, or None where it was not worked out.
        bolt_use: Strike over the force at which the edge bolts reach proof [-], or None where no strike is known.
    """
    if settings is None:
        basis = Basis(kind="assumed", formula="settings of strength.toml")
        return (not_checked(title="kick", because="this rulebook has no strength.toml", basis=basis, place=PLACE),)
    edge = choice_of(d, settings)
    found = [renewal(edge, edge, settings), _bolts(d, settings, bolt_use)]
    if ratio is not None:
        found.append(_said(ratio, settings))
    return tuple(found)


def renewal(old: EdgeChoice, new: EdgeChoice, settings: Strength, worn: float | None = None) -> Finding:
    """What putting on a new edge does to the kick: the warning for a deep edge on an old blade.

    Args:
        old: The edge that comes off.
        new: The edge that goes on, or the same one turned.
        settings: strength.toml.
        worn: Worn off the old one [m], or None for as far as it may wear.
    """
    before, after = old.lever(old.wear if worn is None else worn), new.lever(0.0)
    jump, most = after / before, settings.wear.greatest_jump
    over = jump > most.value
    done = "turned end for end" if old == new and new.sides == 2 else "renewed"
    sentence = (
        f"When the edge is {done} the kick of the same strike goes from a lever of {tape(before)} to {tape(after)}, "
        f"{jump:.2f} times."
    )
    if over:
        sentence += " The web feet of an old blade have lived with the short lever: look there for cracks first."
    return Finding(
        title="kick after the edge is turned or renewed",
        sentence=sentence,
        value=f"{jump:.2f} times",
        limit=f"at most {most.value:g} times without a look at the web feet",
        margin="",
        verdict="near limit" if over else "holds",
        basis=Basis(
            kind="assumed",
            formula="(below the bolt line + bolt line to weld), new over worn",
            inputs={
                "below the bolt line, new": tape(new.below),
                "bolt line to weld": tape(new.to_weld),
                "lever before": tape(before),
                "look at the web feet above": most.said("-"),
            },
        ),
        place=PLACE,
        used=jump / most.value,
    )


def _bolts(d: Datum, settings: Strength, use: Span | None) -> Finding:
    to_toe = d.bolt_line - d.foot
    title = "edge bolts, pried over the toe of the angle by a strike at the tip of a new edge"
    basis = Basis(
        kind="assumed",
        formula="T = F (L - e) / e against the proof load of the bolts that share it",
        inputs={
            "L, bolt line to tip": tape(d.bolt_line),
            "e, bolt line to toe": tape(to_toe),
            "bolts": f"{d.edge.bolt}, {settings.edge_bolts.grade.said('-')}",
            "sharing at the end": settings.edge_bolts.sharing_corner.said("-"),
            "sharing between": settings.edge_bolts.sharing_centre.said("-"),
        },
        source="statics; SAE J429 proof stress, ASME B1.1 area",
    )
    if use is None:
        return not_checked(title=title, because="no strike force is known for this carrier", basis=basis, place=PLACE)
    return against(use, Span.sure(1.0), kind="-", title=title, basis=basis, place=PLACE)


def _said(ratio: LifeRatio, settings: Strength) -> Finding:
    return Finding(
        title="web welds: this edge against the same bar punched the other way",
        sentence=ratio.sentence(),
        value=f"{ratio.band.said('-')} times",
        limit="",
        margin="",
        verdict="holds",
        basis=Basis(
            kind="assumed",
            formula="Miner's sum over the wear of the edge, S-N slopes 3 and 5, strike times lever as the range",
            inputs={case.name: f"{case.ratio:.2f}" for case in ratio.cases}
            | {
                f"{edge.name}: lever new to worn": f"{tape(edge.lever(0.0))} to {tape(edge.lever(edge.wear))}, "
                f"{edge.sides} side{'s' if edge.sides > 1 else ''}, {tape(edge.spent)} of steel spent"
                for edge in (ratio.first, ratio.other)
            }
            | {"spectrum": f"{settings.spectrum.note} ({settings.spectrum.rests_on})"},
            source="EN 1993-1-9 (from memory); a ratio of strikes, never a life in years",
        ),
        place=PLACE,
    )
