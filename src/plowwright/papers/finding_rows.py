"""Findings as papers show them: a bar and its words, and what they rest on told once for all that share it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from plowwright.findings import Finding
from plowwright.papers import bars, svg
from plowwright.papers.drawing import Picture

_MOST_DRAWN = 3.0
"""A bar ends at so many times its limit; what lies beyond reads its numbers [-]."""
_INLINE = 84.0


def row(finding: Finding, *, name: str, bar: str, below: str = "") -> dict[str, Any]:
    """One finding as the paper's `finding` sets it.

    Args:
        finding: The finding.
        name: What it is called on the paper.
        bar: Name of its picture.
        below: What stands under its name, as what it rests on.
    """
    return {
        "name": name,
        "value": finding.value or because(finding),
        "limit": finding.limit,
        "sense": "",
        "margin": finding.margin,
        "verdict": finding.verdict,
        "basis": below,
        "bar": bar,
    }


def bar(finding: Finding) -> str:
    """Its bar as SVG: value over limit, whichever way the limit points."""
    least = finding.limit.startswith("at least")
    sense: bars.Sense = "at least" if least else "at most"
    ratio = _ratio(finding.used or 0.0, least=least)
    return bars.bar_svg(name=finding.title, ratio=ratio, verdict=finding.verdict, sense=sense)


def bar_inline(*, title: str, verdict: bars.Verdict, used: float, least: bool) -> str:
    """The same bar for the middle of a page.

    Args:
        title: What was checked.
        verdict: The verdict.
        used: Share of the limit that is used [-].
        least: Whether the limit is the least allowed.
    """
    page = Picture(width=_INLINE + 2.0, height=bars.BAR_HEIGHT + 4.4)
    sense: bars.Sense = "at least" if least else "at most"
    bars.bar(page, 1.0, 2.2, _INLINE, ratio=_ratio(used, least=least), verdict=verdict, sense=sense)
    return svg.write(page, title=f"{title}: {verdict}", inline=True)


def _ratio(used: float, *, least: bool) -> float:
    used = min(used, _MOST_DRAWN)
    return (1 / used if used > 0 else _MOST_DRAWN) if least else used


def because(finding: Finding) -> str:
    """Why it was not checked, or ""."""
    return finding.sentence.partition("not checked ")[2] if finding.verdict == "not checked" else ""


def said(finding: Finding) -> str:
    """What was found, without the title it begins with."""
    rest = finding.sentence.removeprefix(f"{finding.title}: ")
    return rest[:1].upper() + rest[1:] + ("" if rest.endswith(".") else ".")


def basis(finding: Finding) -> str:
    """What it rests on, in one line."""
    said = [finding.basis.kind, finding.basis.formula, finding.basis.source]
    return ": ".join(s for s in said[:2] if s) + (f" ({said[2]})" if said[2] else "")


@dataclass(frozen=True, kw_only=True)
class Ground:
    """What several findings rest on together.

    Attributes:
        kind: Standard, handbook and so on.
        formula: The formula or the rule.
        source: Edition and clause, or "".
        shared: Inputs that are the same for all of them, with their values.
        rows: Number and title of each finding, with its own inputs.
    """

    kind: str
    formula: str
    source: str
    shared: tuple[tuple[str, str], ...]
    rows: tuple[tuple[str, str, tuple[tuple[str, str], ...]], ...]

    def as_dict(self) -> dict[str, Any]:
        """The same for a template."""
        return {
            "kind": self.kind,
            "formula": self.formula,
            "source": self.source,
            "shared": _joined(self.shared),
            "rows": [[number, title, _joined(own)] for number, title, own in self.rows],
        }


def grounds(findings: Sequence[tuple[str, Finding]], *, said: Sequence[str] = ()) -> list[Ground]:
    """What findings rest on, each formula once, with the numbers that went into each finding.

    Args:
        findings: Each with the number it carries on the paper.
        said: Inputs that the paper says elsewhere for all of them.
    """
    gathered: dict[tuple[str, str, str], list[tuple[str, Finding]]] = {}
    for number, finding in findings:
        key = (finding.basis.kind, finding.basis.formula, finding.basis.source)
        gathered.setdefault(key, []).append((number, finding))
    found: list[Ground] = []
    for (kind, formula, source), held in gathered.items():
        inputs = [{n: v for n, v in f.basis.inputs.items() if v and n not in said} for _, f in held]
        shared = {n: v for n, v in inputs[0].items() if len(held) > 1 and all(i.get(n) == v for i in inputs)}
        rows = tuple(
            (number, f.title, tuple((n, v) for n, v in own.items() if n not in shared))
            for (number, f), own in zip(held, inputs, strict=True)
        )
        found.append(Ground(kind=kind, formula=formula, source=source, shared=tuple(shared.items()), rows=rows))
    return found


def _joined(pairs: Sequence[tuple[str, str]]) -> str:
    return "; ".join(f"{name} {value}" for name, value in pairs)
