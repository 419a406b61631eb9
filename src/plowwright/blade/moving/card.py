"""The test card: what the stopwatch must show on the pack and on the customer's machine, and what else is proved."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.moving import judging
from plowwright.blade.moving.geometry import LEFT
from plowwright.blade.moving.restrictors import rules_of
from plowwright.blade.moving.results import CAUTIONS, Seconds, Swinging
from plowwright.blade.spans import Span
from plowwright.physics.circuits import Way
from plowwright.physics.hydraulics import Limit
from plowwright.units.constants import INCH, PSI

PACK_NAME: Final = "test pack"
HELD: Final = 5.0
"""How long the lever is held at each stop before looking for oil; common practice [s]."""


def checks() -> tuple[str, ...]:
    """What is proved besides the times, in the units spoken; common practice."""
    return (
        "Stop to stop three times each way, lever held; write the middle one down.",
        f"Both stops touch: no gap over {units.tape(INCH / 16)}, neither side early.",
        f"Hold the lever at each stop for {judging.seconds(HELD)}, then look for oil at every fitting with a card, "
        "never by hand.",
        "Push an end by hand with the lever in the middle: it must not creep. Creep is a leaking piston or relief.",
        "Trip: pry the foot back until it lets go; it must come back by itself and seat on its stop.",
        "Roll: each end lifts freely on the oscillation pin and comes to its stops.",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class CardRow:
    """One time the stopwatch must show.

    Attributes:
        on: The test pack, or the carrier's name.
        says: Which end goes forward.
        way: Of the rod.
        expected: Likely time [s].
        low: Least time that passes [s].
        high: Greatest time that passes [s].
        oil: Temperature of the oil it stands for [degC].
        limited_by: What sets the pace.
        note: What to know before trusting it, or "".
    """

    on: str
    says: str
    way: Way
    expected: float
    low: float
    high: float
    oil: float
    limited_by: Limit
    note: str = ""

    @property
    def sentence(self) -> str:
        """The row in words."""
        text = (
            f"{self.on}, {self.says}: {judging.seconds(self.expected)}, passes from {judging.seconds(self.low)} to "
            f"{judging.seconds(self.high)}, oil at {units.say(self.oil, 'temperature')}"
        )
        return f"{text}; {self.note}" if self.note else text


@dataclass(frozen=True, slots=True, kw_only=True)
class TestCard:
    """What is proved before a blade leaves, and what the customer times in the first hour.

    Attributes:
        drill: Stamped on both restrictors.
        pack: Flow and relief of the pack in words.
        rows: Times to be seen, left end forward first, pack before carrier.
        first_swing: Times of a cold first swing, left and right end forward, each likely to slowest [s].
        cold: Temperature of the blade's lines for them [degC].
        relief: Setting of the crossover relief, or None where no rulebook says [Pa].
        checks: What else is proved.
        missing: Facts to ask before the carrier's rows can stand.
        cautions: What goes with it.
    """

    __test__ = False  # its name begins like a test's

    drill: str
    pack: str
    rows: tuple[CardRow, ...]
    first_swing: tuple[Span, Span]
    cold: float
    relief: float | None
    checks: tuple[str, ...]
    missing: tuple[str, ...]
    cautions: tuple[str, ...] = CAUTIONS

    def as_dict(self) -> dict[str, Any]:
        """The card for a machine."""
        return {
            "drill": self.drill,
            "pack": self.pack,
            "rows": [
                {
                    "on": r.on, "says": r.says, "expected_s": round(r.expected, 2), "low_s": round(r.low, 2),
                    "high_s": round(r.high, 2), "oil_c": round(r.oil, 1), "limited_by": r.limited_by, "note": r.note,
                }
                for r in self.rows
            ],
            "first_swing_s": [[round(s.likely, 1), round(s.high, 1)] for s in self.first_swing],
            "cold_c": round(self.cold, 1),
            "relief_psi": None if self.relief is None else round(self.relief / PSI),
            "checks": list(self.checks),
            "missing": list(self.missing),
            "cautions": list(self.cautions),
        }  # fmt: skip


def card_of(build: Build, moved: Swinging) -> TestCard:
    """The test card of a blade whose swing is at hand.

    Args:
        build: The blade.
        moved: Its swing.

    Raises:
        NotFoundError: The rulebook has no swing.toml.
    """
    rules, carrier = rules_of(build), moved.carrier
    spare = rules.targets.time_off.value
    order: tuple[Way, Way] = ("out", "in") if moved.ways["out"] == LEFT else ("in", "out")
    rows = [_row(PACK_NAME, moved, way, moved.on_pack, rules.pack.oil.value, spare) for way in order]
    if moved.on_carrier is not None and carrier is not None:
        rows += [_row(carrier.name, moved, way, moved.on_carrier, rules.oil.tank.value, spare) for way in order]
    likely = moved.cold[1]
    cold = {"out": likely.out, "in": likely.in_}
    pack = rules.pack
    return TestCard(
        drill=moved.fitted.drill.text,
        pack=f"{units.say(pack.flow.value, 'flow')} at {judging.pressure(pack.relief.value)}",
        rows=tuple(rows),
        first_swing=(cold[order[0]], cold[order[1]]),
        cold=likely.temperature,
        relief=None if moved.relief is None else moved.relief.setting,
        checks=checks(),
        missing=moved.missing,
    )


def _row(on: str, moved: Swinging, way: Way, times: Seconds, oil: float, spare: float) -> CardRow:
    """The band is hole and supply; the stopwatch and the sums may be off by a little more either way."""
    span, by = times.of(way), times.by(way)
    notes: list[str] = []
    if by == "pump":
        notes.append("the pump sets the pace: this time says nothing of the restrictors")
    if on != PACK_NAME and moved.supplied is not None:
        doubtful = moved.supplied.doubtful
        if doubtful:
            notes.append(f"would hold if {judging.told(doubtful)}")
        if moved.supplied.flow is None:
            notes.append("its flow is not known: a small pump is slower")
    return CardRow(
        on=on,
        says=moved.ways[way],
        way=way,
        expected=span.likely,
        low=span.low * (1.0 - spare / 2.0),
        high=span.high * (1.0 + spare / 2.0),
        oil=oil,
        limited_by=by,
        note="; ".join(notes),
    )
