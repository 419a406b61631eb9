"""How the audit words its findings."""

from __future__ import annotations

from plowwright.findings import Basis, BasisKind, Finding, Verdict


def rule(formula: str, *, kind: BasisKind = "shop rule", source: str = "", **inputs: str) -> Basis:
    """The basis of an audit finding.

    Args:
        formula: The rule in one line.
        kind: What sort of ground it is.
        source: Where it is written.
        inputs: What went in, by name.
    """
    return Basis(kind=kind, formula=formula, inputs=inputs, source=source)


def fault(
    title: str,
    sentence: str,
    *,
    basis: Basis,
    place: str,
    value: str = "",
    limit: str = "",
    margin: str = "none",
    verdict: Verdict = "fails",
) -> Finding:
    """A finding of the audit that does not hold, or that the owner should know."""
    return Finding(
        title=title,
        sentence=sentence,
        value=value,
        limit=limit,
        margin=margin,
        verdict=verdict,
        basis=basis,
        place=place,
    )


def holds(title: str, promise: str) -> Finding:
    """A check that found nothing."""
    return Finding(
        title=title,
        sentence=f"{promise[:1].upper()}{promise[1:]}.",
        value="0 faults",
        limit="0 faults",
        margin="none needed",
        verdict="holds",
        basis=rule(promise),
    )


def percent(share: float, *, decimals: int = 1) -> str:
    """A share as text in per cent.

    Args:
        share: Part of the whole [-].
        decimals: Figures after the point.
    """
    return f"{100 * share:.{decimals}f} %"


def listed(items: list[str]) -> str:
    """Items as a sentence lists them: a, b and c."""
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} and {items[-1]}"
