"""What is known of a machine beside what may be assumed of it: the ground the fit and its questions stand on.

A belief about a fact is what was told of it, or what machines of the kind usually are. Assumptions never give a
verdict; they say how an answer may fall, so that the questions that settle most come first.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from math import exp, log
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plowwright import units
from plowwright.blade.carrier_facts import Fact
from plowwright.blade.carriers import Carrier
from plowwright.blade.spec import CarrierKind
from plowwright.blade.suit.axles import BEHIND
from plowwright.blade.suit.lifting_checks import AT_PINS, UNDERCARRIAGE
from plowwright.blade.work import Work
from plowwright.physics.frame_elements import Floats
from plowwright.physics.lifting import RATED_SHARE, full_turn_tipping
from plowwright.rulebook.fit import Fit, Usual
from plowwright.rulebook.settings import Spread
from plowwright.rulebook.suit import Suit

Indices = NDArray[np.intp]

LOADER_FACTS: Final = ("power", "mass", "tipping_load", "width")
FACTS_OF: Final[Mapping[CarrierKind, tuple[str, ...]]] = {
    "tractor": (
        "power", "mass", "lift", "wheelbase", "front_axle", "rear_axle", "front_axle_limit", "pins_ahead", "width"
    ),
    "skid steer": LOADER_FACTS,
    "tracked loader": LOADER_FACTS,
    "compact loader": LOADER_FACTS,
    "wheel loader": ("power", "mass", "tipping_load", "turn_tipping", "width"),
}  # fmt: skip
"""Facts the fit leans on, by kind of carrier, in the order they are worked out from one another."""
AXLED: Final = ("wheelbase", "front_axle", "rear_axle", "front_axle_limit")
"""Facts that together let the front axle of a loader be looked at; nobody is asked for them."""
BETTER_LOW: Final = frozenset({"front_axle", "pins_ahead", "plate_ahead", "width", "power"})
"""Facts of which less is better for a blade."""
OUT_OF_KIND: Final = 0.25
"""How fast a power outside what a kind usually has counts against the kind, logarithm of the ratio [-]; assumed."""
AGAINST_KIND: Final = 0.1
"""Factor on a kind that is not described by a fact we were told, such as a tipping load of a tractor [-]; assumed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Belief:
    """One fact as far as we have it.

    Attributes:
        name: Which, one of `FACTS_OF`.
        own: Low, likely and high of what is known, None while it is unknown [SI of its kind].
        certain: Whether it may carry a *suits*.
        trust: How often what is known is what it was taken for [-].
        fact: The fact it comes from, None while it is unknown.
    """

    name: str
    own: tuple[float, float, float] | None = None
    certain: bool = False
    trust: float = 1.0
    fact: Fact | None = None

    @property
    def asked(self) -> bool:
        """Whether there is something to ask: unknown, or not certain."""
        return self.own is None or not self.certain


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One way a fact may come out when asked.

    Attributes:
        level: 0 low, 1 likely, 2 high.
        usual: Whether it tends to what machines of the kind usually are, instead of what we were told.
        weight: How often [-].
    """

    level: int
    usual: bool
    weight: float


def believe(carrier: Carrier, kind: CarrierKind, rules: Fit, suit: Suit) -> dict[str, Belief]:
    """What is known of each fact the fit leans on.

    Args:
        carrier: The machine, as far as it is known.
        kind: Its kind, or the kind it is taken for.
        rules: Settings of fit.toml.
        suit: Settings of suit.toml.
    """
    names = [n for n in FACTS_OF[kind] if n != "pins_ahead" or carrier.known("plate_ahead") is None]
    found = {name: _belief(name, carrier, kind, rules, suit) for name in names}
    # What is known beyond that counts; nobody is asked for it, and nothing usual stands beside it.
    more = ["reach", "plate_ahead", "ballast"]
    if kind == "tractor":
        more.append("rear_axle_limit")
    else:
        at_pins = carrier.known("lift", *AT_PINS) is not None
        more += ["pins_ahead", *(["lift", "wheelbase"] if at_pins else [])]
        more += AXLED if not carrier.unknown(*AXLED) else []
    for name in more:
        belief = _belief(name, carrier, kind, rules, suit)
        if belief.own is not None and name not in found:
            found[name] = replace(belief, trust=1.0)
    return found


def _belief(name: str, carrier: Carrier, kind: CarrierKind, rules: Fit, suit: Suit) -> Belief:
    factor = 1.0
    if name == "turn_tipping":
        fact = carrier.known("tipping_load", "full turn")
        if fact is None:
            return _turned(carrier, rules, suit)
    elif name == "tipping_load":
        fact = carrier.known("lift", "rated")
        if fact is not None:
            factor = 1.0 / RATED_SHARE[UNDERCARRIAGE[kind]]
        else:
            fact = carrier.known("tipping_load", "straight")
    elif name == "lift":
        fact = carrier.known("lift", *AT_PINS)
    else:
        fact = carrier.known(name)
    if fact is None:
        return Belief(name=name)
    own = (fact.low * factor, fact.likely * factor, fact.high * factor)
    return Belief(name=name, own=own, certain=fact.certain, trust=_trust(fact, rules), fact=fact)


def _trust(fact: Fact, rules: Fit) -> float:
    if fact.certain:
        return 1.0
    doubtful = bool(fact.doubt) or "not said" in fact.what or fact.source in ("plate", "book")
    return float(getattr(rules.trust, "doubtful" if doubtful else fact.source).value)


def _turned(carrier: Carrier, rules: Fit, suit: Suit) -> Belief:
    """Tipping load at full turn from that straight, where the book does not say it."""
    straight, base = carrier.known("tipping_load", "straight"), carrier.known("wheelbase")
    if straight is None or base is None:
        return Belief(name="turn_tipping")
    turn = carrier.known("articulation")
    angle = suit.articulation.value if turn is None else turn.likely
    joint = suit.joint_share.value * base.likely
    low, high = full_turn_tipping(straight.likely, angle, joint=joint, wheelbase=base.likely)
    own = (low * straight.low / straight.likely, 0.5 * (low + high), high * straight.high / straight.likely)
    certain = all(f is None or f.certain for f in (straight, base, turn))
    return Belief(name="turn_tipping", own=own, certain=certain, trust=_trust(straight, rules), fact=straight)


def answers(belief: Belief, rules: Fit) -> tuple[Answer, ...]:
    """How a fact may come out, with weights that sum to one.

    Args:
        belief: What is known of it.
        rules: Settings of fit.toml.
    """
    weights = (rules.answers.low.value, rules.answers.likely.value, rules.answers.high.value)
    whole = sum(weights)
    trust = belief.trust if belief.own is not None else 0.0
    own = [Answer(level=i, usual=False, weight=trust * w / whole) for i, w in enumerate(weights) if trust > 0.0]
    rest = 1.0 - trust
    if not own:
        return tuple(Answer(level=i, usual=True, weight=w / whole) for i, w in enumerate(weights))
    wrong = [Answer(level=i, usual=True, weight=rest / 2.0) for i in (0, 2) if rest > 1e-9]
    return (*own, *wrong)


def usual_of(
    name: str, levels: Indices, drawn: Mapping[str, Floats], known: Mapping[str, Belief], usual: Usual
) -> Floats:
    """What machines of a kind usually are, scaled by the power or weight of each.

    Args:
        name: Fact.
        levels: 0 low, 1 likely, 2 high, one for each machine.
        drawn: What is settled of each machine already [SI of each kind].
        known: What is known.
        usual: Settings of the kind.

    Returns:
        The fact of each machine [SI of its kind].

    Source: `kinds` of fit.toml, assumed.
    """
    if name == "power":
        mass = known["mass"].own
        if mass is None:
            return _three(usual.power)[levels]
        return mass[1] / _three(usual.mass_per_power)[levels]
    if name == "mass":
        return drawn["power"] * _three(usual.mass_per_power)[levels]
    mass = drawn["mass"]
    if name == "rear_axle":
        return np.maximum(mass - drawn["front_axle"], 0.1 * mass)
    cube = np.cbrt(mass / usual.at_mass)
    scale: Floats
    scale, spread = {
        "lift": (mass, usual.lift_share),
        "tipping_load": (mass, usual.tipping_share),
        "turn_tipping": (drawn.get("tipping_load", mass), usual.turn_share),
        "front_axle": (mass, usual.front_share),
        "front_axle_limit": (mass, usual.front_limit_share),
        "pins_ahead": (drawn.get("wheelbase", cube), usual.pins_share),
        "wheelbase": (cube, usual.wheelbase),
        "width": (cube, usual.width),
    }[name]
    # A kind without the entry is not held against it: every level is the same.
    return scale if spread is None else scale * _three(spread)[levels]


def _three(spread: Spread[float]) -> Floats:
    return np.array(spread.three)


def draw(
    known: Mapping[str, Belief], ways: Mapping[str, tuple[Answer, ...]], picked: Mapping[str, Indices], usual: Usual
) -> dict[str, Floats]:
    """Machines as columns: each fact as told or as usual, by the answer picked.

    Args:
        known: What is known, in the order the facts are worked out.
        ways: How each may come out.
        picked: Which of the ways, one for each machine.
        usual: Settings of the kind.

    Returns:
        Columns of facts [SI of each kind].

    Source: the told facts and fit.toml.
    """
    drawn: dict[str, Floats] = {}
    for name, belief in known.items():
        pick = picked[name]
        level = np.array([a.level for a in ways[name]])[pick]
        if belief.own is None:
            drawn[name] = usual_of(name, level, drawn, known, usual)
            continue
        value = np.array(belief.own)[level]
        if belief.trust < 1.0:
            wrong = np.array([a.usual for a in ways[name]])[pick]
            # What was misheard still sounds like it: half-way to what such machines usually are, in ratio.
            heard = np.sqrt(belief.own[1] * usual_of(name, level, drawn, known, usual))
            value = np.where(wrong, heard, value)
        drawn[name] = value
    lift = known.get("lift")
    if lift is not None and lift.fact is not None and lift.fact.ahead:
        drawn["lift_ahead"] = np.full(len(drawn["lift"]), lift.fact.ahead)
    ballast = known.get("ballast")
    if ballast is not None and ballast.fact is not None:
        # In the wheels, or nobody knows where, it lifts nothing off the front axle.
        drawn["ballast_behind"] = np.full(len(drawn["ballast"]), float(ballast.fact.what == BEHIND))
    return {name: value[:, np.newaxis] for name, value in drawn.items()}


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkAnswer:
    """One answer about the work.

    Attributes:
        value: owner or hired; a ground; "none" or a gate.
        weight: How often [-].
    """

    value: str
    weight: float


def work_answers(work: Work, rules: Fit) -> dict[str, tuple[WorkAnswer, ...]]:
    """How driver, ground and gate may come out; one answer each where they are told.

    Args:
        work: The work, as far as it is known.
        rules: Settings of fit.toml.
    """
    told = {
        "driver": work.driver,
        "ground": work.ground,
        "gate": "" if work.gate is None else f"{work.gate:.6f} m",
    }
    found: dict[str, tuple[WorkAnswer, ...]] = {}
    for name, value in told.items():
        if value:
            found[name] = (WorkAnswer(value=value, weight=1.0),)
            continue
        chances = getattr(rules.work, name)
        whole = sum(c.weight for c in chances)
        found[name] = tuple(WorkAnswer(value=c.answer, weight=c.weight / whole) for c in chances)
    return found


@lru_cache(maxsize=64)
def gate_width(answer: str) -> float:
    """Width of a gate.

    Args:
        answer: "none", or a width with its unit.

    Returns:
        Infinite where there is none [m].
    """
    return float("inf") if answer == "none" else units.si(answer, "length", "gate")


def kinds_of(carrier: Carrier, rules: Fit, open_kinds: tuple[CarrierKind, ...]) -> dict[CarrierKind, float]:
    """Which kinds a machine may be, with weights that sum to one.

    Args:
        carrier: The machine, as far as it is known.
        rules: Settings of fit.toml.
        open_kinds: Kinds the rulebook has mounts for and says what is usual of.

    Returns:
        Weight of each [-].
    """
    if carrier.kind:
        return {kind: 1.0 for kind in open_kinds if kind == carrier.kind}
    weights = [rules.kinds[kind].weight * _fits(carrier, kind, rules) for kind in open_kinds]
    whole = sum(weights)
    return {kind: weight / whole for kind, weight in zip(open_kinds, weights, strict=True) if weight / whole > 1e-3}


def _fits(carrier: Carrier, kind: CarrierKind, rules: Fit) -> float:
    usual, factor = rules.kinds[kind], 1.0
    for name, low, high in (
        ("power", usual.power.low, usual.power.high),
        ("mass", usual.power.low * usual.mass_per_power.low, usual.power.high * usual.mass_per_power.high),
    ):
        fact = carrier.known(name)
        if fact is not None:
            off = max(0.0, log(low / fact.likely), log(fact.likely / high))
            factor *= exp(-((off / OUT_OF_KIND) ** 2))
    if carrier.known("tipping_load") is not None and kind == "tractor":
        factor *= AGAINST_KIND
    lift = carrier.known("lift")
    if lift is not None and "pins" in lift.what and kind not in ("tractor", "wheel loader"):
        factor *= AGAINST_KIND
    return max(factor, 1e-6)
