"""A finding: one checked fact with its value, limit, margin, verdict and the basis it rests on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final, Literal

from plowwright import units

Verdict = Literal["holds", "near limit", "fails", "not checked"]
BasisKind = Literal["standard", "handbook", "paper", "library", "shop rule", "common practice", "assumed"]

NEAR: Final = 0.9
"""Share of a limit from which a value that holds is called near it [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Basis:
    """What a finding rests on.

    Attributes:
        kind: What sort of ground it is.
        formula: The formula or the rule, in one line.
        inputs: What went in, each with its unit, by name.
        source: Edition and clause, file and line, or "" where the trade knows it.
    """

    kind: BasisKind
    formula: str
    inputs: Mapping[str, str] = field(default_factory=dict[str, str])
    source: str = ""

    def as_dict(self) -> dict[str, Any]:
        """The basis for a machine."""
        return {
            "kind": self.kind,
            "formula": self.formula,
            "inputs": dict(self.inputs),
            "source": self.source,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One checked fact.

    Attributes:
        title: What was checked, in a few words.
        sentence: What was found, one sentence with the values in it.
        value: The value found, as people read it, with its unit.
        limit: The limit it is held against, likewise; "" where a verdict needs none.
        margin: What is left, likewise; "" where there is no scale.
        verdict: holds, near limit, fails, or not checked (then the sentence says why).
        basis: What it rests on.
        place: File and line, part or joint it concerns, or "".
        used: Share of the limit that is used [-]; None where there is no scale to measure it on.
    """

    title: str
    sentence: str
    value: str
    limit: str
    margin: str
    verdict: Verdict
    basis: Basis
    place: str = ""
    used: float | None = None

    @property
    def text(self) -> str:
        """Place and sentence in one line."""
        return f"{self.place}: {self.sentence}" if self.place else self.sentence

    def as_dict(self) -> dict[str, Any]:
        """The finding for a machine."""
        return {
            "title": self.title,
            "sentence": self.sentence,
            "value": self.value,
            "limit": self.limit,
            "margin": self.margin,
            "used": None if self.used is None else round(self.used, 4),
            "verdict": self.verdict,
            "basis": self.basis.as_dict(),
            "place": self.place,
        }


def verdict_of(used: float, *, near: float = NEAR) -> Verdict:
    """The verdict on a share of a limit.

    Args:
        used: Value over limit for a greatest, limit over value for a least [-].
        near: Share from which it is near the limit [-].
    """
    # A value that equals its limit holds; rounding in the last place must not turn it over.
    if not used <= 1.0 + 1e-9:
        return "fails"
    return "near limit" if used > near + 1e-9 else "holds"


def against_limit(
    value: float,
    limit: float,
    *,
    kind: str,
    title: str,
    basis: Basis,
    place: str = "",
    sentence: str = "",
    least: bool = False,
    near: float = NEAR,
) -> Finding:
    """Hold a value against a limit.

    Args:
        value: The value, in the unit its kind is held in [SI].
        limit: The limit, likewise [SI].
        kind: Kind of quantity of both, such as `force`, or "-" for a plain number.
        title: What was checked.
        basis: What it rests on.
        place: What it concerns.
        sentence: The finding in words, or "" to have one made.
        least: Whether the limit is the least allowed instead of the greatest.
        near: Share of the limit from which a value is near it [-].
    """
    over, under = (limit, value) if least else (value, limit)
    used = over / under if under > 0 else (0.0 if over <= 0 else float("inf"))
    verdict = verdict_of(used, near=near)
    said, bound, left = (_say(v, kind) for v in (value, limit, abs(limit - value)))
    bound = f"{'at least' if least else 'at most'} {bound}"
    margin = (
        f"{left} {'over' if verdict == 'fails' and not least else 'short' if verdict == 'fails' else 'left'}"
    )
    return Finding(
        title=title,
        sentence=sentence or f"{title}: {said}, allowed {bound}, {margin}",
        value=said,
        limit=bound,
        margin=margin,
        verdict=verdict,
        basis=basis,
        place=place,
        used=used,
    )


def not_checked(*, title: str, because: str, basis: Basis, place: str = "") -> Finding:
    """A check that could not be made.

    Args:
        title: What would have been checked.
        because: Why it was not, starting in lower case.
        basis: What it would rest on.
        place: What it concerns.
    """
    return Finding(
        title=title,
        sentence=f"{title}: not checked because {because}",
        value="",
        limit="",
        margin="",
        verdict="not checked",
        basis=basis,
        place=place,
    )


def _say(value: float, kind: str) -> str:
    return f"{value:.3g}" if kind == "-" else units.say(value, kind)
