"""Verdicts from facts: a number told over the phone never gives a pass, only "would hold if"; unknown stays unknown."""

from __future__ import annotations

from collections.abc import Sequence

from plowwright import units
from plowwright.blade.carrier_facts import NAMES, Fact
from plowwright.blade.spans import Span, against
from plowwright.blade.suit.results import Check
from plowwright.findings import Basis, Finding, Verdict, not_checked, verdict_of

PLACE = "carrier"


def span_of(fact: Fact) -> Span:
    """The spread of a fact.

    Args:
        fact: The fact.
    """
    return Span(low=fact.low, likely=fact.likely, high=fact.high)


def share(value: Span, limit: Span, *, least: bool = False) -> Span:
    """Share of a limit that is used, best and worst ends carried [-].

    Args:
        value: Value [SI of its kind].
        limit: Limit [SI of its kind].
        least: Whether the limit is the least allowed.
    """
    over, under = (limit, value) if least else (value, limit)
    ends = [
        a / b if b > 0.0 else float("inf") if a > 0.0 else 0.0
        for a, b in ((over.low, under.high), (over.likely, under.likely), (over.high, under.low))
    ]
    low, likely, high = ends
    return Span(low=min(low, likely), likely=likely, high=max(likely, high))


def judged(
    key: str,
    title: str,
    value: Span,
    limit: Span,
    *,
    kind: str,
    facts: Sequence[Fact],
    basis: Basis,
    least: bool = False,
    binds: bool = True,
    because: str = "",
) -> Check:
    """A check whose every fact is known, told ones kept apart.

    Args:
        key: Short name.
        title: What is held against what.
        value: The value [SI of its kind].
        limit: The limit [SI of its kind].
        kind: Kind of quantity of both.
        facts: Facts it leans on.
        basis: What it rests on.
        least: Whether the limit is the least allowed.
        binds: Whether failing it means that the blade does not suit.
        because: One more sentence.
    """
    found = share(value, limit, least=least)
    doubtful = [f for f in facts if not f.certain]
    if not doubtful:
        finding = against(value, limit, kind=kind, title=title, basis=basis, place=PLACE, least=least, because=because)
    else:
        finding = _told(title, value, limit, found, kind, doubtful, basis, least=least, because=because)
    names = tuple(dict.fromkeys(f.name for f in facts))
    return Check(key=key, title=title, value=value, limit=limit, kind=kind, used=found, facts=names, finding=finding,
                 binds=binds)  # fmt: skip


def _told(
    title: str, value: Span, limit: Span, found: Span, kind: str, doubtful: Sequence[Fact], basis: Basis, *,
    least: bool, because: str,
) -> Finding:  # fmt: skip
    """Fails where even the best end does; else it would hold, or would not, if what was told is right."""
    said, bound = value.said(kind), f"{'at least' if least else 'at most'} {limit.said(kind)}"
    shown = f"{found.likely * 100:.0f} %" if found.likely < 100 else "many times"
    verdict: Verdict = "not checked"
    if verdict_of(found.low) == "fails":
        verdict = "fails"
        words = "it fails even at the best end"
    elif verdict_of(found.likely) == "fails":
        words = f"would not hold if {_as_told(doubtful)}"
    else:
        words = f"would hold if {_as_told(doubtful)}"
    head = f"{title}: {words}: {said}, wanted {bound}"
    return Finding(
        title=title,
        sentence=f"{head}. {because}".strip() if because else head,
        value=said,
        limit=bound,
        margin=f"{shown} used at what was told",
        verdict=verdict,
        basis=basis,
        place=PLACE,
        used=found.likely,
    )


def _as_told(facts: Sequence[Fact]) -> str:
    return " and ".join(_one_told(f) for f in facts)


def _one_told(f: Fact) -> str:
    value = f.text if f.quantity == "word" else units.say(f.likely, f.quantity)
    doubt = f" ({f.doubt.rstrip('.')})" if f.doubt else ""
    if f.source in ("plate", "book") and not f.doubt:
        # Its number is sure, what it means is not.
        meant = "at full height" if f.name == "lift" else NAMES[f.name].whats[0]
        return f"the {value} of the {f.source} are meant {meant}"
    more = f", {f.what}" if "not said" in f.what else ""
    return f"{NAMES[f.name].noun} is {value} as {'guessed' if f.source == 'guessed' else 'told'}{doubt}{more}"


def unknown(
    key: str, title: str, names: Sequence[str], *, kind: str, basis: Basis, value: Span | None = None,
    binds: bool = True,
) -> Check:  # fmt: skip
    """A check that waits for facts.

    Args:
        key: Short name.
        title: What would be held against what.
        names: Facts to ask for.
        kind: Kind of quantity.
        basis: What it would rest on.
        value: The value, where it can be worked out [SI of its kind].
        binds: Whether failing it would mean that the blade does not suit.
    """
    nouns = [NAMES[n].noun if n in NAMES else n for n in names]
    asked = nouns[0] if len(nouns) == 1 else ", ".join(nouns[:-1]) + " and " + nouns[-1]
    verb = "is" if len(nouns) == 1 else "are"
    finding = not_checked(title=title, because=f"{asked} {verb} not known: ask", basis=basis, place=PLACE)
    return Check(key=key, title=title, value=value, limit=None, kind=kind, used=None, facts=tuple(names),
                 finding=finding, binds=binds)  # fmt: skip
