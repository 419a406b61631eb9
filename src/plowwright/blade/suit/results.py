"""What comes out when a blade is held against a carrier: checks, axles, ballast, widths, snow, where things stand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields
from typing import Any, Final, Literal

from plowwright.blade.build import Build
from plowwright.blade.carriers import Carrier
from plowwright.blade.spans import Span
from plowwright.blade.work import Work
from plowwright.findings import Finding

Verdict = Literal["suits", "would suit if", "does not suit", "cannot be told"]
CAUTIONS: Final = (
    "Lifting and tipping: the machine maker's limits come first; carry the blade low, and never lift it over anybody.",
    "Crush and pinch: nobody between blade and machine, or within reach of the blade while it angles or trips.",
    "On the road: width, lamps and markers by local rules; angle the blade full and lock it where they ask for it.",
    "These are estimates, not the work of a licensed engineer. Local rules come first.",
)
"""What stands with every answer; it can be added to, not switched off."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One limit of the machine or the work.

    Attributes:
        key: Short name, stable.
        title: What is held against what.
        value: The value [SI of its kind], None while it cannot be worked out.
        limit: Its limit [SI of its kind], None likewise.
        kind: Kind of quantity of both.
        used: Share of the limit that is used [-], None likewise.
        facts: Facts it leans on, by name.
        finding: What is said of it.
        binds: Whether a blade that fails it does not suit; else it is a comparison or a note.
    """

    key: str
    title: str
    value: Span | None
    limit: Span | None
    kind: str
    used: Span | None
    facts: tuple[str, ...]
    finding: Finding
    binds: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """One distance for the drawing.

    Attributes:
        value: The distance [m], or an angle [rad].
        assumed: Whether nobody told it.
    """

    value: float
    assumed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Places:
    """Where things stand on the machine; ahead of the front axle unless said otherwise.

    Attributes:
        wheelbase: Axle to axle [m].
        pins_ahead: Loader pins [m].
        plate_low: Face of the mount plate, carried low [m].
        plate_lifted: The same at full lift, or with the arms level [m].
        rise_low: Edge over the ground, carried low [m].
        rise_lifted: The same at full lift [m].
        cg_low: Blade's centre of gravity, carried low [m].
        cg_lifted: The same where it is furthest ahead [m].
        tyre_radius: Of the front wheels or rollers [m].
        rear_tyre_radius: Of the rear ones [m].
        width: Over tyres or tracks [m].
        height: Of the machine [m].
        ballast_behind: Ballast behind the rear axle [m].
        articulation: Greatest turn of the joint [rad].
        pin_height: Pins over the ground, carried low [m].
    """

    wheelbase: Place
    pins_ahead: Place
    plate_low: Place
    plate_lifted: Place
    rise_low: Place
    rise_lifted: Place
    cg_low: Place
    cg_lifted: Place
    tyre_radius: Place
    rear_tyre_radius: Place
    width: Place
    height: Place
    ballast_behind: Place
    articulation: Place
    pin_height: Place

    def named(self) -> Iterator[tuple[str, Place]]:
        """Every place by its name."""
        for one in fields(self):
            yield one.name, getattr(self, one.name)


@dataclass(frozen=True, slots=True, kw_only=True)
class AxleRow:
    """Loads on both axles in one position.

    Attributes:
        key: bare, low, lifted, low ballasted or lifted ballasted.
        title: The position in words.
        front: On the front axle [kg].
        rear: On the rear axle [kg].
    """

    key: str
    title: str
    front: Span
    rear: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class AxlesShown:
    """Loads on both axles in every position.

    Attributes:
        rows: Position by position.
        front_limit: Of the front axle [kg], None while it is not known.
        front_finding: What is said of the front axle.
        rear_finding: What is said of the rear axle.
    """

    rows: tuple[AxleRow, ...]
    front_limit: Span | None
    front_finding: Finding
    rear_finding: Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class BallastShown:
    """Ballast at the rear.

    Attributes:
        mass: How much [kg].
        behind: Its centre behind the rear axle [m].
        by: Rule that asks for it.
        finding: What is said of it.
    """

    mass: Span
    behind: Span
    by: str
    finding: Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class Widths:
    """What it clears, and what it takes.

    Attributes:
        straight: Path cleared, blade straight [m].
        full_angle: Path cleared at full angle [m].
        angle: Full angle [rad].
        left: Edge's left end left of the middle, blade at full angle with that end back [m].
        right: The forward end's distance from the middle then [m].
        machine: Over tyres or tracks [m], None while it is not known.
        gate: Narrowest gate [m], None where there is none.
        travel: Over the whole blade at full angle [m].
        whole: Over the whole blade, straight [m].
        findings: What is said of them.
    """

    straight: float
    full_angle: float
    angle: float
    left: float
    right: float
    machine: Span | None
    gate: float | None
    travel: float
    whole: float
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SnowEnvelope:
    """Depth against speed on one ground at one angle.

    Attributes:
        ground: Which ground.
        angle: Of the blade [rad].
        speeds: Of the carrier [m/s].
        sure: Depth that even the hard bracket allows [m].
        perhaps: Depth that the easy bracket allows [m].
        clear_width: Path it clears [m].
        grip: Of the carrier there, least and greatest [-].
    """

    ground: str
    angle: float
    speeds: tuple[float, ...]
    sure: tuple[float, ...]
    perhaps: tuple[float, ...]
    clear_width: float
    grip: tuple[float, float]


@dataclass(frozen=True, kw_only=True, eq=False)
class Suit:
    """A blade on a carrier.

    Attributes:
        build: The blade.
        carrier: The machine, as far as it is known.
        work: What is done with it, as far as it was told.
        checks: Every limit.
        axles: Axle loads, None while they are not known.
        ballast: Ballast, None where none is asked for or nothing is known.
        widths: What it clears and takes.
        envelopes: Snow it pushes, ground by ground; none while the machine's weight is not known.
        places: Where things stand, for the drawing.
        findings: Every check said.
        missing: Facts to ask for, those that block most first.
        verdict: Whether it suits.
        sentence: The same in a sentence, with the limit that bites.
        cautions: What goes with it.
    """

    build: Build
    carrier: Carrier
    work: Work
    checks: tuple[Check, ...]
    axles: AxlesShown | None
    ballast: BallastShown | None
    widths: Widths
    envelopes: tuple[SnowEnvelope, ...]
    places: Places
    findings: tuple[Finding, ...]
    missing: tuple[str, ...]
    verdict: Verdict
    sentence: str
    cautions: tuple[str, ...] = CAUTIONS

    def check(self, key: str) -> Check | None:
        """A check by its key, None where this carrier has none of it.

        Args:
            key: Its short name.
        """
        return next((c for c in self.checks if c.key == key), None)

    def as_dict(self) -> dict[str, Any]:
        """The answer for a machine."""
        return {
            "blade": self.build.name,
            "carrier": self.carrier.name,
            "verdict": self.verdict,
            "sentence": self.sentence,
            "missing": list(self.missing),
            "checks": [{"key": c.key, "binds": c.binds, **c.finding.as_dict()} for c in self.checks],
            "ballast_kg": None if self.ballast is None else round(self.ballast.mass.likely, 1),
            "cautions": list(self.cautions),
        }
