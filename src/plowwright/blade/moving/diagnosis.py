"""What a stopwatch in the customer's yard says about a blade: times and oil temperature in, what to send out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final, Literal

from plowwright.blade.build import Build
from plowwright.blade.carrier_facts import Fact
from plowwright.blade.carriers import Carrier
from plowwright.blade.moving import judging
from plowwright.blade.moving.geometry import LEFT, ways_of
from plowwright.blade.moving.restrictors import fitted, rules_of
from plowwright.blade.moving.results import CAUTIONS
from plowwright.blade.moving.supplies import Supplied, missing, supplied
from plowwright.blade.moving.swinging import circuit_of
from plowwright.physics.circuits import Circuit, Way
from plowwright.physics.hydraulics import swing_times
from plowwright.physics.stopwatch import Cause, Name, causes

Sending = Literal["nothing", "restrictor pair", "one restrictor", "seal kit"]

SEND: Final[Mapping[Name, Sending]] = {
    "as built": "nothing",
    "drilled out": "restrictor pair",
    "plugged": "restrictor pair",
    "cap-side restrictor missing": "one restrictor",
    "rod-side restrictor missing": "one restrictor",
    "both restrictors missing": "restrictor pair",
    "pump too small": "nothing",
    "oil colder than told": "nothing",
    "internal leak": "seal kit",
}
"""What goes into the parcel for each cause."""

_NEEDS_FLOW: Final = ("pump too small", "both restrictors missing")
"""Causes that cannot be told apart from others while the pump's flow is unknown."""

DANGEROUS: Final = (
    "drilled out",
    "cap-side restrictor missing",
    "rod-side restrictor missing",
    "both restrictors missing",
)
"""Causes with which the blade is not to be used until they are mended."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Diagnosis:
    """What two times say.

    Attributes:
        causes: Every cause, best first, times by the rod's way.
        send: What to send for the best one.
        drill: The drill the restrictors were made with, as stamped on them.
        sentence: The answer in words.
        alike: Other causes that explain the times as well.
        expected: Times it should have then, left and right end forward; None while unknown [s].
        leans_on: Facts of the carrier it leans on.
        missing: Facts to ask before more can be told.
        stop: Whether the blade is to stand still until it is mended.
        cautions: What goes with it.
    """

    causes: tuple[Cause, ...]
    send: Sending | None
    drill: str
    sentence: str
    alike: tuple[Name, ...]
    expected: tuple[float, float] | None
    leans_on: tuple[Fact, ...]
    missing: tuple[str, ...]
    stop: bool
    cautions: tuple[str, ...] = CAUTIONS

    @property
    def best(self) -> Cause | None:
        """The best cause, None where none fits."""
        return self.causes[0] if self.causes and self.causes[0].fits else None

    def as_dict(self) -> dict[str, Any]:
        """The diagnosis for a machine."""
        return {
            "sentence": self.sentence,
            "send": self.send,
            "drill": self.drill,
            "stop": self.stop,
            "alike": list(self.alike),
            "expected_s": None if self.expected is None else [round(t, 2) for t in self.expected],
            "missing": list(self.missing),
            "leans_on": [fact.as_dict() for fact in self.leans_on],
            "causes": [
                {
                    "name": c.name, "rod_out_s": round(c.rod_out, 2), "rod_in_s": round(c.rod_in, 2),
                    "off": round(c.off, 3), "fits": c.fits, "sentence": c.sentence,
                }
                for c in self.causes
            ],
            "cautions": list(self.cautions),
        }  # fmt: skip


def diagnose(
    build: Build,
    carrier: Carrier | None,
    left_forward: float,
    right_forward: float,
    temperature: float,
) -> Diagnosis:
    """What the times say, best cause first, and what to send.

    Args:
        build: The blade as it left the shop.
        carrier: The machine it is on, as far as it is known.
        left_forward: Stop to stop, left end forward [s].
        right_forward: Stop to stop, right end forward [s].
        temperature: Of the oil in the blade's lines [degC].

    Raises:
        NotFoundError: The rulebook has no swing.toml.
        ModelError: No times, or the oil is too cold to know.
    """
    rules, pair, supply = rules_of(build), fitted(build), supplied(carrier, rules_of(build))
    stamped = pair.drill.text
    lacks = missing(carrier)
    if supply is None or carrier is None:
        name = "the carrier" if carrier is None else carrier.name
        return Diagnosis(
            causes=(), send=None, drill=stamped, alike=(), expected=None, leans_on=(), missing=lacks, stop=False,
            sentence=f"cannot be told: the relief of {name} is not known; ask for {judging.ASK['pressure']}",
        )  # fmt: skip
    built = circuit_of(build, carrier, temperature=temperature)
    left: Way = next(way for way, says in ways_of(build).items() if says == LEFT)
    by_way = (left_forward, right_forward) if left == "out" else (right_forward, left_forward)
    found = causes(built, *by_way, spread=rules.targets.time_off.value)
    if supply.flow is None:
        found = tuple(c for c in found if c.name not in _NEEDS_FLOW)
    best = found[0] if found[0].fits else None
    expected = _expected(built, left)
    return Diagnosis(
        causes=found,
        send=None if best is None else SEND[best.name],
        drill=stamped,
        sentence=_sentence(found, stamped, expected, supply),
        alike=tuple(c.name for c in found[1:] if c.fits),
        expected=expected,
        leans_on=supply.facts,
        missing=lacks,
        stop=best is not None and best.name in DANGEROUS,
    )


def _expected(built: Circuit, left: Way) -> tuple[float, float]:
    times = swing_times([built])[0]
    pair = times.rod_out.time, times.rod_in.time
    return pair if left == "out" else (pair[1], pair[0])


def _sentence(
    found: tuple[Cause, ...],
    stamped: str,
    expected: tuple[float, float],
    supply: Supplied,
) -> str:
    best = found[0]
    should = (
        f"as built it takes {judging.seconds(expected[0])} left end forward and {judging.seconds(expected[1])} right "
        f"end forward, restrictors stamped {stamped}"
    )
    if not best.fits:
        nearest = f"nearest is {best.name}, {best.off * 100:.0f} % off"
        text = f"no single cause explains both times; {nearest}; take the times again with warm oil; {should}"
    else:
        text = f"{best.name}: {best.sentence}; {should}"
        if best.name in DANGEROUS:
            text += "; do not use it until they are fitted: it swings faster than it was made to"
        others = [c.name for c in found[1:] if c.fits]
        if others:
            text += f"; the same times could come from: {', '.join(others)}"
    if supply.flow is None:
        text += f"; the pump and missing restrictors cannot be judged: ask for {judging.ASK['flow']}"
    if supply.doubtful:
        text = f"would be so if {judging.told(supply.doubtful)}: {text}"
    return text
