"""What the fit says of one blade: the limit that bites and by how much, and one sentence why."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from plowwright import units
from plowwright.blade.carrier_facts import NAMES
from plowwright.blade.fit.beliefs import Belief
from plowwright.blade.fit.classes import nearest_rows
from plowwright.blade.fit.judging import Held, Judged
from plowwright.blade.fit.limits import LIMITS
from plowwright.findings import NEAR
from plowwright.rulebook.fit import CLASSES, Fit, Within

NOUNS: Final[Mapping[str, str]] = {
    "turn_tipping": "tipping load at full turn",
    "driver": "who drives",
    "ground": "ground",
    "gate": "gate",
    "kind": "kind of machine",
}
"""How a sentence calls what is no fact of a carrier file."""
PROPPED: Final = ("class", "ballast", "rear_axle", "rear_limit")
"""Checks that are never the nearest limit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bite:
    """The limit that bites.

    Attributes:
        key: Of `LIMITS`, or "class".
        title: What is held against what.
        value: Likely value [SI of its kind]; 0 for the class.
        limit: Likely limit [SI of its kind]; 0 for the class.
        kind: Kind of quantity, "" for the class.
        used: Share of the limit used at the likely values [-].
        assumed: Whether an unknown fact was taken as usual for it.
        text: The bite in words, by how much it is over or what is left.
    """

    key: str
    title: str
    value: float
    limit: float
    kind: str
    used: float
    assumed: bool
    text: str


def noun(fact: str) -> str:
    """How a sentence calls a fact.

    Args:
        fact: Name of it.
    """
    return NOUNS.get(fact) or NAMES[fact].noun


def bite_of(judged: Judged, at: int) -> Bite:
    """The limit that bites one blade hardest: of those that fail the worst, else the most used.

    Args:
        judged: The range, held against the machine.
        at: Which blade [-].
    """
    failing = [c for c in judged.checks if c.standing[at] == "fails"]
    if failing:
        # Checks stand in the order in which they are said; the class is the last.
        return _class_bite(judged, at) if failing[0].key == "class" else _bite(failing[0], at)
    # Ballast brings the rear axle just to its share: that bites nobody.
    among = [c for c in judged.checks if c.key not in PROPPED and c.standing[at] != "a note"]
    # What is assumed bites only where nothing known does, and a width only where it is near its limit.
    among = [c for c in among if not c.unknown] or among
    among = [c for c in among if LIMITS[c.key].kind == "mass" or float(c.used[1, at]) > NEAR] or among
    if not among:
        return _class_bite(judged, at)
    return _bite(max(among, key=lambda c: float(c.used[1, at])), at)


def _bite(check: Held, at: int) -> Bite:
    named = LIMITS[check.key]
    value, limit = float(check.value[1, at]), float(check.limit[1, at])
    left = units.say(abs(limit - value), named.kind)
    words = f"{left} over" if value > limit else f"{left} left"
    assumed = bool(check.unknown)
    return Bite(
        key=check.key,
        title=named.title,
        value=value,
        limit=limit,
        kind=named.kind,
        used=value / limit,
        assumed=assumed,
        text=f"{named.title}: {units.say(value, named.kind)} of {units.say(limit, named.kind)}, {words}"
        + (" (assumed)" if assumed else ""),
    )


def _class_bite(judged: Judged, at: int) -> Bite:
    text = f"{_class_name(judged, at)} is lighter than the machine asks for: {asks(judged)}"
    return Bite(key="class", title="duty class", value=0.0, limit=0.0, kind="", used=1.0, assumed=False, text=text)


def _class_name(judged: Judged, at: int) -> str:
    return CLASSES[int(judged.blades.duty_class[at])]


def asks(judged: Judged) -> str:
    """Power, lift and the class they ask for, one sentence; between two rules, what decides.

    Args:
        judged: The range, held against the machine.
    """
    check = next(c for c in judged.checks if c.key == "class")
    low, high = CLASSES[int(judged.asked.low)], CLASSES[int(judged.asked.high)]
    what = f"{_amount(judged, 'power')} with {_amount(judged, 'lift')}"
    if check.unknown:
        least, most = CLASSES[int(judged.could.low)], CLASSES[int(judged.could.high)]
        may = f"asks for {least} whatever it comes to" if least == most else f"may ask for {least} to {most}"
        return f"{what}: {may}; {_list([noun(f) for f in check.unknown])} not known"
    return f"{what} asks for {low}" if low == high else f"{what} lies between rules, {low} and {high}"


def decides(judged: Judged, rules: Fit) -> str:
    """What decides for a machine between two rules; "" inside one.

    Args:
        judged: The range, held against the machine.
        rules: Settings of fit.toml.
    """
    low, high = CLASSES[int(judged.asked.low)], CLASSES[int(judged.asked.high)]
    if low == high:
        return ""
    rows = nearest_rows(rules, judged.likely["power"], judged.lift)
    bounds = dict.fromkeys(f"{row.duty_class} is for {_missed(row, judged)}" for row in rows)
    told = "; ".join(bounds)
    drives = f"{low} where a careful owner drives, {high} for a hired driver or where nobody knows"
    return f"{told[:1].upper()}{told[1:]}. Who drives decides: {drives}"


def _missed(row: Within, judged: Judged) -> str:
    """The bounds of a row that the machine misses."""
    lift = "lift" if judged.blades.kind == "tractor" else "rated load"
    found: list[str] = []
    for value, kind, least, most, of in (
        (judged.likely["power"], "power", row.power_from, row.power_up_to, ""),
        (judged.lift, "mass", row.lift_from, row.lift_up_to, f" of {lift}"),
    ):
        if least is not None and value < least:
            found.append(f"{units.say(least, kind)}{of} and more")
        if most is not None and value > most:
            found.append(f"up to {units.say(most, kind)}{of}")
    if row.power_over is not None and judged.likely["power"] <= row.power_over:
        found.append(f"over {units.say(row.power_over, 'power')}")
    return " with ".join(found) or "just such machines"


def _amount(judged: Judged, which: str) -> str:
    """Power or lift as it is known: as told, or what is usual of the kind."""
    if which == "power":
        name, value, kind, of = "power", judged.likely["power"], "power", ""
    else:
        check = next(c for c in judged.checks if c.key == "class")
        names = [n for n in (*check.unknown, *check.weak) if n != "power"]
        name = names[0] if names else ""
        value, kind = judged.lift, "mass"
        of = " of lift" if judged.blades.kind == "tractor" else " of rated load"
    belief = judged.known.get(name)
    said = f"{units.say(value, kind)}{of}"
    if belief is None or (belief.own is not None and belief.certain):
        return said
    if belief.own is None:
        return f"an assumed {said}"
    return f"{said} ({_as(belief)})"


def _as(belief: Belief) -> str:
    """How weak a fact is, in a word or two."""
    fact = belief.fact
    if fact is None:
        return "assumed"
    if fact.source in ("told", "guessed"):
        return fact.source
    return "height not said" if fact.name == "lift" and "height not said" in fact.what else "not said which"


def reason(judged: Judged, at: int, bite: Bite) -> str:
    """One sentence why a blade suits, would suit or does not suit.

    Args:
        judged: The range, held against the machine.
        at: Which blade [-].
        bite: The limit that bites it.
    """
    if any(c.standing[at] == "fails" for c in judged.checks):
        return f"{bite.text[:1].upper()}{bite.text[1:]}."
    needs = conditions(judged, at)
    if needs:
        return f"Would suit if {_list(list(needs))}."
    heavier = judged.blades.duty_class[at] > judged.asked.high
    opening = "Heavier than asked for, but carried" if heavier else "It is carried"
    if judged.ballast[at] > 0.0:
        opening += f" with {units.say(float(judged.ballast[at]), 'mass')} of ballast"
    near = ", near its limit:" if bite.used > NEAR else "; the nearest limit is"
    return f"{opening}{near} {bite.text}."


def conditions(judged: Judged, at: int) -> tuple[str, ...]:
    """What must be true for a blade to suit, as halves of a sentence.

    Args:
        judged: The range, held against the machine.
        at: Which blade [-].
    """
    waits = [c for c in judged.checks if c.standing[at] == "open"]
    weak = tuple(dict.fromkeys(f for c in waits for f in c.weak))
    worse = any(c.used[1, at] > 1.0 for c in waits if c.weak and c.key != "class")
    found = [_as_told(judged, weak, worse=worse)] if weak else []
    # What the axles wait for is said once, of the front axle.
    asked = [c for c in waits if c.unknown and c.key not in PROPPED]
    found += [_unknown_condition(judged, c, at) for c in asked]
    for check in waits:
        if check.key == "class" and not check.sure[at]:
            found.append(_class_condition(judged, check, at))
    # Open only because a fact that settles nothing is not known: it is named all the same.
    if waits and not found:
        found.append(f"{_list([noun(f) for c in waits for f in c.unknown])} is as usual of its kind")
    return tuple(found)


def _as_told(judged: Judged, facts: tuple[str, ...], *, worse: bool) -> str:
    """What was told and is not certain, in one breath."""
    said: list[str] = []
    told: dict[str, list[str]] = {}
    for name in facts:
        belief = judged.known[name]
        if belief.fact is None or belief.own is None:
            continue
        value, how = units.say(belief.own[1], belief.fact.quantity), _as(belief)
        if how == "height not said":
            said.append(f"it lifts its {value} at full height too")
        elif how == "not said which":
            said.append(f"its {noun(name)} really is {value}")
        else:
            told.setdefault(how, []).append(f"{noun(name)} of {value}")
    said += [f"its {_list(f)} {'is' if len(f) == 1 else 'are'} as {how}" for how, f in told.items()]
    return _list(said) + (" or better" if worse else "")


def _class_condition(judged: Judged, check: Held, at: int) -> str:
    own = judged.blades.duty_class[at]
    careful = "a careful owner drives it"
    if not check.unknown and own >= judged.asked.low:
        return careful
    if not check.unknown:
        return f"{careful}, for {CLASSES[int(own)]} is lighter than asked"
    waits = _list([noun(f) for f in check.unknown])
    return f"it asks for no more than {CLASSES[int(own)]} ({waits} not known)"


def _unknown_condition(judged: Judged, check: Held, at: int) -> str:
    value = float(check.value[1, at])
    if check.key == "lift":
        return f"its loader lifts at least {units.say(_needed(judged, check, 'lift', at), 'mass')} at the pins"
    if check.key == "clear_angled":
        return f"it is no wider than the {units.tape(float(check.limit[1, at]))} the blade clears at full angle"
    if check.key in ("operating", "turn"):
        fact, turned = ("turn_tipping", " at full turn") if check.key == "turn" else ("tipping_load", "")
        return f"its tipping load{turned} is at least {units.say(_needed(judged, check, fact, at), 'mass')}"
    if check.unknown == ("front_axle_limit",):
        return f"its front axle may carry {units.say(value, 'mass')}"
    if not any(judged.known[f].own for f in LIMITS[check.key].facts if f in judged.known):
        return "its front axle carries it (nothing is known of it)"
    return f"its front axle carries it ({_list([noun(f) for f in check.unknown])} not known)"


def _needed(judged: Judged, check: Held, fact: str, at: int) -> float:
    """What a fact that limits in proportion must at least be [SI of its kind]."""
    return float(check.value[1, at]) * judged.likely[fact] / float(check.limit[1, at])


def _list(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
