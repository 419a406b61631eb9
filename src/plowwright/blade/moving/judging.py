"""How a swing's values are said and judged: bands, told numbers that carry no *holds*, and what is still to ask."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Final

from plowwright import units
from plowwright.blade.carrier_facts import NAMES, Fact, Source
from plowwright.blade.spans import Span
from plowwright.findings import Basis, Finding, Verdict, not_checked, verdict_of

Said = Callable[[float], str]

ASK: Final = {
    "pressure": "the relief of its auxiliary outlets, in psi, off the plate or the book",
    "flow": "the flow of its auxiliary outlets, in gpm, standard and high-flow apart",
}
"""How to ask for a fact a swing leans on."""

_AS: Final[Mapping[Source, str]] = {
    "told": "told",
    "guessed": "guessed",
    "book": "the book has it",
    "plate": "the plate has it",
}


def seconds(time: float) -> str:
    """A time of a swing, to a tenth.

    Args:
        time: Time [s].
    """
    return "not at all" if time == float("inf") else f"{time:.1f} s"


def end_speed(speed: float) -> str:
    """Speed of the blade's end, as in/s or mm/s.

    Args:
        speed: Speed [m/s].
    """
    return f"{units.say(speed, 'length', style='decimal', digits=0)}/s"


def joules(energy: float) -> str:
    """An energy: the borrowed limit is in joules.

    Args:
        energy: Energy [J].
    """
    return f"{energy:.3g} J"


def kilowatts(power: float) -> str:
    """A power turned to heat, in kilowatts as heaters have it.

    Args:
        power: Power [W].
    """
    return f"{power / 1000.0:.1f} kW"


def pressure(value: float) -> str:
    """A pressure, to its three figures.

    Args:
        value: Pressure [Pa].
    """
    return units.say(value, "pressure", digits=0)


def force(value: float) -> str:
    """A force.

    Args:
        value: Force [N].
    """
    return units.say(value, "force")


def span_said(span: Span, say: Said) -> str:
    """A span in words: one value where its ends read alike.

    Args:
        span: The span.
        say: How one value is said.
    """
    one, two = say(span.low), say(span.high)
    if one == two:
        return one
    number, _, unit = one.rpartition(" ")
    return f"{number} to {two}" if number and two.endswith(f" {unit}") else f"{one} to {two}"


def told(facts: Sequence[Fact]) -> str:
    """The facts that carry no *holds*, as they were told.

    Args:
        facts: Facts the value leans on.
    """
    return " and ".join(_really(f) for f in facts if not f.certain)


def _really(fact: Fact) -> str:
    text = f"the {NAMES[fact.name].noun} really is {units.say(fact.likely, fact.quantity)} as {_AS[fact.source]}"
    if "not said" in fact.what:
        text += f" ({fact.what})"
    return f"{text} ({fact.doubt.rstrip('.')})" if fact.doubt else text


def judged(
    value: Span,
    limit: float,
    *,
    say: Said,
    title: str,
    basis: Basis,
    place: str,
    facts: Sequence[Fact] = (),
    least: bool = False,
    because: str = "",
    near: float = 0.9,
) -> Finding:
    """Hold a band against a limit; where it leans on told numbers it never holds, and fails only at its best end too.

    Args:
        value: The value [SI of its kind].
        limit: The limit [SI of its kind].
        say: How a value is said.
        title: What was checked.
        basis: What it rests on.
        place: What it concerns.
        facts: Facts of the carrier it leans on.
        least: Whether the limit is the least allowed instead of the greatest.
        because: What it means, one more sentence.
        near: Share of the limit from which a value is near it [-].
    """

    def used_at(one: float) -> float:
        if least:
            return limit / one if one > 0.0 else float("inf")
        return one / limit

    used = used_at(value.likely)
    worst, best = max(used_at(value.low), used_at(value.high)), min(used_at(value.low), used_at(value.high))
    verdict: Verdict = verdict_of(used, near=near)
    if verdict == "holds" and worst > 1.0 + 1e-9:
        verdict = "near limit"
    said, bound = span_said(value, say), f"{'at least' if least else 'at most'} {say(limit)}"
    reason = told(facts)
    text = f"{title}: {said}, wanted {bound}"
    # A value without a spread does not show what it would be at the facts' best end.
    if reason and not (verdict == "fails" and best > 1.0 + 1e-9 and not value.known):
        text = f"would {'fail' if verdict == 'fails' else 'hold'} if {reason}: {text}"
        verdict = "not checked"
    return Finding(
        title=title,
        sentence=f"{text}; {because}" if because else text,
        value=said,
        limit=bound,
        margin=f"{used * 100:.0f} % used at the likely values" if used < 100.0 else "many times over",
        verdict=verdict,
        basis=basis,
        place=place,
        used=used,
    )


def to_ask(title: str, names: Sequence[str], *, basis: Basis, place: str, carrier: str = "") -> Finding:
    """A check that waits for a fact, with what to ask.

    Args:
        title: What would have been checked.
        names: Facts that are missing.
        basis: What it would rest on.
        place: What it concerns.
        carrier: Name of the carrier, "" where none was given.
    """
    if not carrier:
        return not_checked(title=title, because="no carrier was given", basis=basis, place=place)
    nouns = " and ".join(NAMES[name].noun for name in names)
    ask = "; ".join(ASK[name] for name in names)
    because = f"the {nouns} of {carrier} {'is' if len(names) == 1 else 'are'} not known: ask for {ask}"
    return not_checked(title=title, because=because, basis=basis, place=place)
