"""What the stopwatch showed on the shop's test pack, brought over to the customer's machine.

The hole that explains both times on the pack is found first, then the same hole is put on the customer's pump. Where
the pack's own pump set the pace, its times say nothing of the hole, and nothing is brought over.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf, log
from typing import Final

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.carried import moved
from plowwright.blade.carriers import Carrier
from plowwright.blade.moving.geometry import LEFT, ways_of
from plowwright.blade.moving.judging import seconds
from plowwright.blade.moving.restrictors import rules_of
from plowwright.blade.moving.supplies import missing, supplied
from plowwright.blade.moving.swinging import circuit_of
from plowwright.errors import EntryError
from plowwright.physics.circuits import Circuit, Restrictors, Way
from plowwright.physics.hydraulics import SwingTimes, swing_times
from plowwright.physics.orifices import Restrictor

_FACTORS: Final = tuple(0.5 * 1.03**i for i in range(61))
"""Holes tried, as shares of the one the blade was to get: half to three times as wide [-]."""
_NEARER: Final = tuple(1.03 ** (i / 20) for i in range(-20, 21))
"""Holes tried around the best of them [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Timed:
    """A pair of times.

    Attributes:
        left: Stop to stop, left end forward [s].
        right: Stop to stop, right end forward [s].
    """

    left: float
    right: float

    @property
    def text(self) -> str:
        """Both times in words."""
        return f"{seconds(self.left)} left end forward, {seconds(self.right)} right end forward"


@dataclass(frozen=True, slots=True, kw_only=True)
class BroughtOver:
    """What the times on the pack mean on the customer's machine.

    Attributes:
        pack: As measured.
        expected: What the model has for the pack, None where the rulebook cannot say.
        carrier: On the customer's machine by the same holes, None where it cannot be told.
        name: Of the customer's machine, or "".
        said: The answer, or why there is none.
        sound: Whether one hole explains both times within what stopwatch and sums may be off.
    """

    pack: Timed
    expected: Timed | None
    carrier: Timed | None
    name: str
    said: str
    sound: bool


def brought_over(build: Build, carrier: Carrier | None, measured: Timed, *, oil: float | None = None) -> BroughtOver:
    """The times on the pack, on the customer's machine.

    Args:
        build: The blade.
        carrier: The customer's machine, as far as it is known.
        measured: On the shop's test pack.
        oil: In the blade's lines when it was timed, None for the setting of the pack [degC].

    Raises:
        EntryError: No time.
        ModelError: The cylinder cannot swing the blade, or the oil is too cold to know.

    Source: the balance of pressures and flows of `physics.hydraulics`; one hole fitted to both times, as
    `physics.stopwatch` does.
    """
    if not (0.0 < measured.left < inf and 0.0 < measured.right < inf):
        raise EntryError("two times are needed, one each way", value=measured.text, limit="over 0 s",
                         way_out="Stop to stop, three times each way; write the middle one down.")  # fmt: skip
    name = carrier.name if carrier else ""
    if build.rulebook.swing is None:
        return BroughtOver(pack=measured, expected=None, carrier=None, name=name, sound=False,
                           said="not brought over: the rules it was built by say nothing of how it swings")  # fmt: skip
    rules = rules_of(build)
    lengths = _lengths(build, carrier)
    left: Way = next(way for way, says in ways_of(build).items() if says == LEFT)
    pack = circuit_of(build, None, temperature=rules.pack.oil.value if oil is None else oil, lengths=lengths)
    plain = swing_times([pack])[0]
    expected = _pair(plain, left)
    answer = BroughtOver(pack=measured, expected=expected, carrier=None, name=name, said="", sound=False)
    if "pump" in (plain.rod_out.limited_by, plain.rod_in.limited_by):
        return replace(answer, said="not brought over: on the test pack its own pump sets the pace")
    factor, off = _hole(pack, measured, left)
    spread = rules.targets.time_off.value
    if off > spread:
        return replace(
            answer, said="not brought over: no one size of hole gives both times, the nearest is "
            f"{off * 100:.0f} % off; look for a restrictor that is missing or blocked",
        )  # fmt: skip
    if carrier is None or supplied(carrier, rules) is None:
        lacks = ", ".join(missing(carrier))
        return replace(answer, sound=True, said=f"not brought over: of the customer's machine ask for {lacks}")
    there = _scaled(circuit_of(build, carrier, lengths=lengths), factor)
    found = _pair(swing_times([there])[0], left)
    warm = units.say(rules.oil.tank.value, "temperature")
    told = supplied(carrier, rules)
    doubt = f", if {told.doubtful[0].name} is as {told.doubtful[0].source}" if told and told.doubtful else ""
    return replace(answer, carrier=found, sound=True,
                   said=f"on {name} by the same holes {found.text}, oil at {warm}{doubt}")  # fmt: skip


def _lengths(build: Build, carrier: Carrier | None) -> tuple[float, float] | None:
    plumbing = moved(build, carrier).plumbing
    return None if plumbing is None else plumbing.lengths


def _pair(times: SwingTimes, left: Way) -> Timed:
    out, back = times.rod_out.time, times.rod_in.time
    return Timed(left=out, right=back) if left == "out" else Timed(left=back, right=out)


def _hole(pack: Circuit, measured: Timed, left: Way) -> tuple[float, float]:
    """The share of the bought hole that comes nearest to both times, and how far off it still is [-]."""

    def off(one: Timed) -> float:
        pairs = ((one.left, measured.left), (one.right, measured.right))
        return max(abs(log(a / b)) if 0.0 < a < inf else inf for a, b in pairs)

    tried: dict[float, float] = {}
    near = 1.0
    for factors in (_FACTORS, _NEARER):
        sizes = [near * factor for factor in factors]
        found = swing_times([_scaled(pack, size) for size in sizes])
        tried |= {size: off(_pair(times, left)) for size, times in zip(sizes, found, strict=True)}
        near = min(tried, key=lambda size: tried[size])
    return near, tried[near]


def _scaled(circuit: Circuit, factor: float) -> Circuit:
    def size(hole: Restrictor | None) -> Restrictor | None:
        return None if hole is None else replace(hole, diameter=hole.diameter * factor)

    pair = circuit.restrictors
    return replace(circuit, restrictors=Restrictors(cap=size(pair.cap), rod=size(pair.rod)))
