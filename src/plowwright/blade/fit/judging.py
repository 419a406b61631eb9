"""Each blade of a range held against one machine: what holds, what fails, what is open and on which fact it waits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import product
from typing import Final, Literal

import numpy as np

from plowwright.blade.fit.beliefs import BETTER_LOW, Belief, answers, draw
from plowwright.blade.fit.chances import widest_on
from plowwright.blade.fit.classes import Asked, stands_up
from plowwright.blade.fit.limits import LIMITS, lifts, limits
from plowwright.blade.fit.range import Range
from plowwright.blade.suit.axles import ROUND
from plowwright.blade.suit.formulas import used
from plowwright.blade.work import Work
from plowwright.physics.frame_elements import Floats
from plowwright.rulebook.fit import Fit, Usual
from plowwright.rulebook.suit import Suit

Standing = Literal["holds", "open", "fails", "a note"]
ORDER: Final = tuple(LIMITS)
SCALES: Final = ("power", "mass")
"""Facts the usual values of others are scaled by; they enter no limit themselves."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Held:
    """One check over the whole range.

    Attributes:
        key: Of `LIMITS`, or "class".
        standing: How each blade stands.
        value: Best, likely and worst value by blades [SI of its kind]; empty for the class.
        limit: Best, likely and worst limit by blades [SI of its kind].
        unknown: Facts it waits for.
        weak: Facts it leans on that are told, guessed or doubtful.
        sure: Whether each blade holds whatever the open facts come to, as far as is usual; for the class only.
    """

    key: str
    standing: tuple[Standing, ...]
    value: Floats
    limit: Floats
    unknown: tuple[str, ...]
    weak: tuple[str, ...]
    sure: tuple[bool, ...] = ()

    @property
    def used(self) -> Floats:
        """Share of the limit used, best, likely and worst by blades [-]."""
        return used(self.value, self.limit)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Judged:
    """A range held against one machine.

    Attributes:
        blades: The range.
        checks: Every check.
        asked: Lightest and heaviest class with a say at the likely values, index into `CLASSES`.
        could: The same over every end of what is not certain.
        lift: Likely lift the class rules go by [kg].
        likely: Every fact at its likely value, told or usual [SI of each kind].
        ballast: Each blade asks for at the rear, 0 where none or where the axles are not known [kg].
        known: What is known of the machine.
    """

    blades: Range
    checks: tuple[Held, ...]
    asked: Asked
    could: Asked
    lift: float
    likely: Mapping[str, float]
    ballast: Floats
    known: Mapping[str, Belief]


def judge(
    blades: Range, known: Mapping[str, Belief], work: Work, rules: Fit, usual: Usual, suit: Suit
) -> Judged:
    """Hold every blade of a range against one machine.

    Args:
        blades: The range.
        known: What is known of the machine.
        work: The work, as far as it is known.
        rules: Settings of fit.toml.
        usual: What a machine of the kind usually is; gives no verdict.
        suit: Settings of suit.toml.
    """
    ways = {name: answers(belief, rules) for name, belief in known.items()}
    picked = {name: np.array(_ends(name)) for name in known}
    machine = draw(known, ways, picked, usual)
    told: dict[str, Floats] = {}
    if work.gate is not None:
        told["gate"] = np.full((3, 1), work.gate)
    widest = widest_on(work.ground, rules)
    if np.isfinite(widest):
        told["widest"] = np.full((3, 1), widest)
    if work.road:
        told["road"] = np.full((3, 1), suit.road_width.value)
    shape = (3, len(blades.builds))
    axle = known.get("front_axle_limit")
    by_front = axle is not None and axle.own is not None
    found = limits(blades, {**machine, **told}, suit, ends=True, by_front=by_front)
    checks = [
        _held(key, np.broadcast_to(value, shape), np.broadcast_to(limit, shape), known)
        for key, (value, limit) in sorted(found.items(), key=lambda row: ORDER.index(row[0]))
    ]
    ballast = np.zeros(len(blades.builds))
    if "ballast" in found and not any(known[f].own is None for f in LIMITS["ballast"].facts if f in known):
        ballast = np.ceil(found["ballast"][0][1] / ROUND - 1e-9) * ROUND
    by_class, asked, could = _class(blades, known, work, rules, usual)
    likely = {name: column[1:2] for name, column in machine.items()}
    return Judged(
        blades=blades,
        checks=(*checks, by_class),
        asked=asked,
        could=could,
        lift=float(lifts(blades, likely)[0, 0]),
        likely={name: float(column[0, 0]) for name, column in likely.items()},
        ballast=ballast,
        known=known,
    )


def _ends(name: str) -> tuple[int, int, int]:
    if name in SCALES:
        return 1, 1, 1
    return (0, 1, 2) if name in BETTER_LOW else (2, 1, 0)


def _held(key: str, value: Floats, limit: Floats, known: Mapping[str, Belief]) -> Held:
    facts = [known[name] for name in LIMITS[key].facts if name in known]
    unknown = tuple(f.name for f in facts if f.own is None)
    weak = tuple(f.name for f in facts if f.own is not None and not f.certain)
    # A value that equals its limit holds; rounding in the last place must not turn it over.
    fits = value <= limit + 1e-9 * np.abs(limit)
    standing: list[Standing]
    if unknown:
        # What clears even the widest machine of its kind and weight waits for no tape; what carries the blade does.
        standing = ["a note" if key == "clear_angled" and clears else "open" for clears in fits[2]]
    elif weak:
        standing = ["open" if good else "fails" for good in fits[0]]
    else:
        standing = ["holds" if good else "fails" for good in fits[1]]
    return Held(key=key, standing=tuple(standing), value=value, limit=limit, unknown=unknown, weak=weak)


def _class(
    blades: Range, known: Mapping[str, Belief], work: Work, rules: Fit, usual: Usual
) -> tuple[Held, Asked, Asked]:
    """The class rule over every end of what is not certain; rows name round figures, so a book's is taken as said."""
    names = [n for n in ("power", *_lift_facts(blades)) if n in known]
    spans = [((0, 1, 2) if known[n].asked else (1,)) for n in names]
    drivers = {"owner": (1.0,), "hired": (0.0,)}.get(work.driver, (1.0, 0.0))
    rows = list(product(*spans, drivers))
    ways = {name: answers(belief, rules) for name, belief in known.items()}
    picked = {name: np.ones(len(rows), dtype=np.intp) for name in known}
    for at, name in enumerate(names):
        picked[name] = np.array([row[at] for row in rows], dtype=np.intp)
    machine = draw(known, ways, picked, usual)
    careful = np.array([[row[-1]] for row in rows])
    fine, asked = stands_up(
        rules, blades.duty_class, blades.width, machine["power"], lifts(blades, machine), careful
    )
    always, never = fine.min(axis=0) > 0.5, fine.max(axis=0) < 0.5
    unknown = tuple(n for n in names if known[n].own is None)
    weak = tuple(n for n in names if known[n].own is not None and not known[n].certain)
    # Nobody told its power or lift: what is usual of the kind may say it is likely too light, never that it is.
    standing = tuple[Standing, ...](
        "holds" if a and not unknown and not weak else "open" if a or not n or unknown else "fails"
        for a, n in zip(always, never, strict=True)
    )
    empty = np.zeros((3, len(blades.builds)))
    likely = len(rows) // 2
    low, high = asked.low[likely, 0], asked.high[likely, 0]
    held = Held(
        key="class",
        standing=standing,
        value=empty,
        limit=empty + 1.0,
        unknown=unknown,
        weak=weak,
        sure=tuple(bool(a) for a in always),
    )
    could = Asked(low=np.array(asked.low.min()), high=np.array(asked.high.max()))
    return held, Asked(low=np.array(low), high=np.array(high)), could


def _lift_facts(blades: Range) -> tuple[str, ...]:
    if blades.kind == "tractor":
        return ("lift",)
    return ("turn_tipping",) if blades.kind == "wheel loader" else ("tipping_load",)
