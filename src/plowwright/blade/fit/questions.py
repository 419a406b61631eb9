"""The questions that would narrow an answer most: computed from what each answer would settle, never a fixed list."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Final

import numpy as np

from plowwright.blade.carriers import Carrier
from plowwright.blade.fit.chances import Gain, gains
from plowwright.blade.fit.ranking import Fitted, OneKind, fit, settings
from plowwright.blade.fit.saying import noun
from plowwright.blade.work import Work
from plowwright.physics.frame_elements import Floats
from plowwright.rulebook.fit import Fit
from plowwright.rulebook.reading import Rulebook

LEAST_CUT: Final = 1e-6
"""Doubt below which an answer changes nothing [bit]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One question for the phone.

    Attributes:
        fact: Fact of the machine, or kind, driver, ground, gate.
        ask: The sentence to say.
        why: Why it is asked.
        gain: Doubt about all blades it takes away, on average over its answers [bit].
        settles: How many open blades it would settle, on average over its answers [-].
        open_now: Blades whose answer is open now [-].
        waits: Blades that cannot be told to suit before it is known for certain [-].
        changes: What it would settle, in words.
        again: Whether it was told already and is asked for its source.
    """

    fact: str
    ask: str
    why: str
    gain: float
    settles: float
    open_now: int
    waits: int
    changes: str
    again: bool


def next_questions(
    carrier: Carrier, work: Work, rulebook: Rulebook, *, most: int = 3
) -> tuple[Question, ...]:
    """The questions that would narrow the answer most, the best first.

    Args:
        carrier: The machine, as far as it is known.
        work: Its work, as far as it is known.
        rulebook: The rules in force.
        most: How many [-].

    Raises:
        RulebookError: The rulebook has no fit.toml or no suit.toml.
    """
    return questions(fit(carrier, work, rulebook), settings(rulebook)[0], most=most)


def questions(fitted: Fitted, rules: Fit, *, most: int = 3) -> tuple[Question, ...]:
    """The questions to an answer that stands already.

    Args:
        fitted: The answer.
        rules: Settings of fit.toml.
        most: How many [-].
    """
    waits = _waits(fitted)
    found = [
        g for g in gains(_by_answer(fitted.kinds), rules.worth.settled.value) if g.cut > LEAST_CUT or waits[g.fact]
    ]
    # What settles most comes first; of what settles nothing by itself, what most blades wait for.
    found.sort(key=lambda g: (-(g.cut if g.cut > LEAST_CUT else 0.0), -waits[g.fact]))
    return tuple(_question(g, waits[g.fact], fitted, rules) for g in found[:most])


def _waits(fitted: Fitted) -> Counter[str]:
    """How many blades wait for each fact: nothing fails, and a check leans on it that is open."""
    found: Counter[str] = Counter()
    for one in fitted.kinds:
        checks = one.judged.checks
        for at in range(len(one.judged.blades.builds)):
            if any(c.standing[at] == "fails" for c in checks):
                continue
            found.update({f for c in checks if c.standing[at] == "open" for f in (*c.unknown, *c.weak)})
    return found


def _by_answer(kinds: tuple[OneKind, ...]) -> dict[str, tuple[tuple[float, Floats], ...]]:
    """For each fact, weight and chances of each answer, every series and width once and over all kinds it may be of."""
    bases = [_once(one, one.chances.suits) for one in kinds]
    facts = dict.fromkeys(fact for one in kinds for fact in one.chances.by_answer)
    found: dict[str, tuple[tuple[float, Floats], ...]] = {}
    for fact in facts:
        with_it = next(one for one in kinds if fact in one.chances.by_answer)
        weights = [w for w, _ in with_it.chances.by_answer[fact]]
        found[fact] = tuple(
            (weight, np.sum([_part(one, base, fact, i) for one, base in zip(kinds, bases, strict=True)], axis=0))
            for i, weight in enumerate(weights)
        )
    if len(kinds) > 1:
        found["kind"] = tuple((one.weight, base) for one, base in zip(kinds, bases, strict=True))
    return found


def _part(one: OneKind, base: Floats, fact: str, answer: int) -> Floats:
    ways = one.chances.by_answer.get(fact, ())
    return one.weight * (_once(one, ways[answer][1]) if answer < len(ways) else base)


def _once(one: OneKind, shares: Floats) -> Floats:
    """Chance of each series and width, the best of its mounts; a range lists them mount by mount."""
    mounts = len({build.spec.mount for build in one.judged.blades.builds})
    return shares.reshape(mounts, -1).max(axis=0)


def _question(gain: Gain, waits: int, fitted: Fitted, rules: Fit) -> Question:
    put = rules.questions.get(gain.fact)
    again = any(
        belief.own is not None for one in fitted.kinds if (belief := one.judged.known.get(gain.fact)) is not None
    )
    ask = put.ask if put else f"What is its {noun(gain.fact)}?"
    return Question(
        fact=gain.fact,
        ask=f"You said it already, but can you read it off the plate or the book? {ask}" if again else ask,
        why=put.why if put else "blades lean on it",
        gain=gain.cut,
        settles=gain.settles,
        open_now=gain.open_now,
        waits=waits,
        changes=_changes(gain, waits),
        again=again,
    )


def _changes(gain: Gain, waits: int) -> str:
    count = round(gain.settles)
    blades = f"{gain.open_now} open blade{'s' if gain.open_now != 1 else ''}"
    if count:
        return f"would settle {count} of {blades}"
    if gain.cut > LEAST_CUT and gain.open_now:
        return f"would narrow {blades}, settles none by itself"
    if not waits:
        return "would make sure of what is likely"
    return f"{waits} blade{'s wait' if waits != 1 else ' waits'} for it"
