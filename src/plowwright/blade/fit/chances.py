"""How likely each blade suits with what is known, and what each further answer would settle.

Machines are tried that agree with what we know; what we do not know is taken as machines of the kind usually are. For
each fact that could be asked, the same machines are tried again with each of its answers. So two facts that change
nothing differ by exactly nothing, and no list of questions stands anywhere.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from plowwright.blade.fit.beliefs import (
    Belief,
    Indices,
    WorkAnswer,
    answers,
    draw,
    gate_width,
)
from plowwright.blade.fit.classes import stands_up
from plowwright.blade.fit.limits import lifts, limits
from plowwright.blade.fit.range import Range
from plowwright.physics.frame_elements import Floats
from plowwright.rulebook.fit import Fit, Usual
from plowwright.rulebook.suit import Suit

FEWEST: Final = 12
"""Machines tried of an unlikely kind."""
STEPS: Final = (2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43)
"""Primes whose roots step through the answers of one fact each, so that any few machines are a fair sample."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chances:
    """What trying machines of one kind gave.

    Attributes:
        blades: The range.
        suits: Share of machines each blade suits [-].
        by_answer: For each fact that can be asked: weight of each answer, and the share with it [-].
    """

    blades: Range
    suits: Floats
    by_answer: Mapping[str, tuple[tuple[float, Floats], ...]]


def chances(
    blades: Range,
    known: Mapping[str, Belief],
    work: Mapping[str, tuple[WorkAnswer, ...]],
    rules: Fit,
    usual: Usual,
    suit: Suit,
    *,
    weight: float = 1.0,
) -> Chances:
    """Try machines of one kind, and every answer to every open fact.

    Args:
        blades: The range.
        known: What is known of the machine.
        work: How driver, ground and gate may come out.
        rules: Settings of fit.toml.
        usual: What a machine of the kind usually is.
        suit: Settings of suit.toml.
        weight: How likely the machine is of this kind; an unlikely kind is tried on fewer machines [-].
    """
    tried = max(FEWEST, round(rules.answers.trials.value * min(1.0, 1.5 * weight)))
    ways = {name: answers(belief, rules) for name, belief in known.items()}
    weights: dict[str, tuple[float, ...]] = {
        **{name: tuple(a.weight for a in found) for name, found in ways.items()},
        **{name: tuple(a.weight for a in found) for name, found in work.items()},
    }
    askable = [name for name, belief in known.items() if belief.asked]
    askable += [name for name, found in work.items() if len(found) > 1]
    blocks = [(name, i) for name in askable for i in range(len(weights[name]))]
    picked = _picks(weights, blocks, tried)
    fine = _suits(blades, draw(known, ways, picked, usual), _work(work, picked, rules), rules, suit)
    share = fine.reshape(len(blocks) + 1, tried, -1).mean(axis=1)
    by_answer = {
        name: tuple((weights[name][i], share[at + 1]) for at, (n, i) in enumerate(blocks) if n == name)
        for name in askable
    }
    return Chances(blades=blades, suits=share[0], by_answer=by_answer)


def _picks(
    weights: Mapping[str, tuple[float, ...]], blocks: list[tuple[str, int]], tried: int
) -> dict[str, Indices]:
    """Which answer each machine has: a first block as it comes, then one block for each answer held fast."""
    steps = np.arange(tried) + 0.5
    picked: dict[str, Indices] = {}
    for (name, found), prime in zip(weights.items(), STEPS, strict=False):
        bounds = np.cumsum(found)[:-1]
        at_step = np.modf(steps * np.sqrt(prime))[0]
        one: Indices = (at_step[:, np.newaxis] >= bounds).sum(axis=1)
        every: Indices = np.tile(one, (len(blocks) + 1, 1))
        for at, (fact, answer) in enumerate(blocks):
            if fact == name:
                every[at + 1] = answer
        picked[name] = every.ravel()
    return picked


def _work(
    work: Mapping[str, tuple[WorkAnswer, ...]], picked: Mapping[str, Indices], rules: Fit
) -> dict[str, Floats]:
    careful = np.array([float(a.value == "owner") for a in work["driver"]])[picked["driver"]]
    widest = np.array([widest_on(a.value, rules) for a in work["ground"]])[picked["ground"]]
    gate = np.array([gate_width(a.value) for a in work["gate"]])[picked["gate"]]
    return {"careful": careful[:, None], "widest": widest[:, None], "gate": gate[:, None]}


def widest_on(ground: str, rules: Fit) -> float:
    """The widest blade a ground takes.

    Args:
        ground: As `Work.ground` names it.
        rules: Settings of fit.toml.

    Returns:
        Infinite where it takes any [m].
    """
    found = {str(key): row for key, row in rules.widest_on.items()}.get(ground)
    return float("inf") if found is None else found.width.value


def _suits(
    blades: Range, machine: Mapping[str, Floats], work: Mapping[str, Floats], rules: Fit, suit: Suit
) -> Floats:
    """1 where a blade suits a machine, else 0: machines by blades."""
    whole = {**machine, **work}
    fine, _ = stands_up(
        rules, blades.duty_class, blades.width, machine["power"], lifts(blades, machine), work["careful"]
    )
    for value, limit in limits(blades, whole, suit).values():
        fine = fine * (value <= limit)
    return fine


@dataclass(frozen=True, slots=True, kw_only=True)
class Gain:
    """What one answer would settle.

    Attributes:
        fact: Fact of the machine, or driver, ground, gate, kind.
        cut: Doubt about all blades it takes away, on average over its answers [bit].
        open_now: Blades whose answer is open now [-].
        settles: How many of them it would settle, on average over its answers [-].
    """

    fact: str
    cut: float
    open_now: int
    settles: float


def gains(by_answer: Mapping[str, tuple[tuple[float, Floats], ...]], settled: float) -> tuple[Gain, ...]:
    """What each fact would settle.

    Args:
        by_answer: For each fact: weight of each answer, and the share of machines each blade suits with it [-].
        settled: Chance from which a blade counts as settled, one way or the other [-].
    """
    found: list[Gain] = []
    for fact, ways in by_answer.items():
        now = np.sum([w * p for w, p in ways], axis=0)
        cut = float(_doubt(now).sum() - sum(w * _doubt(p).sum() for w, p in ways))
        left = sum(w * _open(p, settled) for w, p in ways)
        open_now = _open(now, settled)
        found.append(Gain(fact=fact, cut=cut, open_now=open_now, settles=max(0.0, open_now - left)))
    return tuple(found)


def _doubt(chance: Floats) -> Floats:
    """Entropy of a yes or no [bit]."""
    p = np.clip(chance, 1e-12, 1.0 - 1e-12)
    return np.where(
        (chance <= 0.0) | (chance >= 1.0), 0.0, -p * np.log2(p) - (1.0 - p) * np.log2(1.0 - p)
    )


def _open(chance: Floats, settled: float) -> int:
    return int(np.count_nonzero((chance > 1.0 - settled) & (chance < settled)))
