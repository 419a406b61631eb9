"""Will it hold, as papers and pages show it: findings by place, the order of giving, the blade bent."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal

from plowwright import units
from plowwright.blade import kick, trip_rules
from plowwright.blade.build import Build
from plowwright.blade.giving_inputs import Place
from plowwright.blade.holding import Holding
from plowwright.blade.strength.findings import level_said
from plowwright.findings import Finding, Verdict
from plowwright.papers import bent, finding_rows, giving, svg
from plowwright.papers.drawing import Picture
from plowwright.papers.elevations import System

WORST_FIRST: Final[tuple[Verdict, ...]] = ("fails", "near limit", "not checked", "holds")
_COUNTED: Final[dict[Verdict, tuple[str, str]]] = {
    "fails": ("fails", "fail"),
    "near limit": ("is near the limit", "are near the limit"),
    "not checked": ("was not checked", "were not checked"),
    "holds": ("holds", "hold"),
}
CAUTIONS: Final = (
    "Springs are under load: back the eyebolts off before a pin is driven out. Oil stays under pressure in a blocked"
    " cylinder: lower the blade and release it before a hose is opened. Keep clear of the blade's ends and of the"
    " hinge line when it angles or trips.",
    "Steel that was struck hard may be cracked where no paint is broken yet: look at the web feet, the hinge ears and"
    " the mount after a strike that stopped the carrier, and at every turn of the edge. Never stand under the blade.",
)
"""What may hurt somebody or spoil a blade that holds on paper."""
CHAPTERS: Final = (
    "Order of giving",
    "Frame and moldboard",
    "Welds",
    "Pins and bolts",
    "Trip",
    "Edge, kick and wear",
)


@dataclass(frozen=True, kw_only=True)
class Chapter:
    """Findings about one place of the blade.

    Attributes:
        name: The place.
        findings: What was checked there, the worst first.
    """

    name: str
    findings: tuple[Finding, ...]

    @property
    def open(self) -> tuple[Finding, ...]:
        """Those that fail or are near their limit."""
        return tuple(f for f in self.findings if f.verdict in ("fails", "near limit"))

    @property
    def held(self) -> tuple[Finding, ...]:
        """Those that hold."""
        return tuple(f for f in self.findings if f.verdict == "holds")

    @property
    def unsaid(self) -> tuple[Finding, ...]:
        """Those that were not checked."""
        return tuple(f for f in self.findings if f.verdict == "not checked")


def chapters(holding: Holding) -> tuple[Chapter, ...]:
    """The findings of a blade's strength by place, empty places left out.

    Args:
        holding: What the blade stands.
    """
    kinds = {f"{check.family}: {check.way}": check.kind for check in holding.joints.checks}
    order = {f.title for f in holding.giving.findings}
    gathered: dict[str, list[Finding]] = {name: [] for name in CHAPTERS}
    for finding in holding.findings:
        gathered[_chapter(finding, kinds, order)].append(finding)
    return tuple(
        Chapter(name=name, findings=tuple(sorted(held, key=_badness))) for name, held in gathered.items() if held
    )


def _chapter(finding: Finding, kinds: dict[str, str], order: set[str]) -> str:
    if finding.title in order:
        return "Order of giving"
    if finding.place == trip_rules.PLACE:
        return "Trip"
    if finding.place == kick.PLACE:
        return "Edge, kick and wear"
    kind = kinds.get(finding.title, "")
    if kind in ("weld", "web foot") or finding.title.startswith(("weld ", "least leg", "greatest leg")):
        return "Welds"
    if kind or finding.title.startswith(("spring lug", "eyebolt", "pins ")):
        return "Pins and bolts"
    return "Frame and moldboard"


def _badness(finding: Finding) -> tuple[int, float]:
    return WORST_FIRST.index(finding.verdict), -(finding.used or 0.0)


def counted(findings: Sequence[Finding]) -> str:
    """How findings stand, in one sentence, the worst first.

    Args:
        findings: The findings.
    """
    said: list[str] = []
    for verdict in WORST_FIRST:
        count = sum(f.verdict == verdict for f in findings)
        if count:
            said.append(f"{count} {_COUNTED[verdict][0 if count == 1 else 1]}")
    return f"{units.counted(len(findings), 'check')}: {', '.join(said)}." if said else "Nothing was checked."


def on_what(build: Build) -> str:
    """The carrier a blade was held against, in words.

    Args:
        build: The blade, with its strength looked at.
    """
    carrier = build.carrier
    if carrier is None:
        return "carrier not known"
    known = carrier.known("mass")
    return f"{carrier.name}, {carrier.kind}" + ("" if known else ", weight not known")


def model_said(holding: Holding) -> str:
    """Which model the figures come from, and what the strikes rest on.

    Args:
        holding: What the blade stands.
    """
    cases = len(holding.analysis.cases)
    return f"Model: {level_said(holding.analysis)}, {cases} load cases. Strikes: {holding.forces.ground}."


def hardest(holding: Holding, sort: Literal["straight", "angled"]) -> str:
    """Name of the corner strike under which a part of frame or hub is nearest to its yield.

    Args:
        holding: What the blade stands.
        sort: With the blade straight or at full angle.
    """
    wanted = [
        case
        for case in holding.analysis.cases
        if case.kind == "strike"
        and bool(case.angle) == (sort == "angled")
        and ("corner" in case.name and "of the way" not in case.name)
    ]
    worst = min(wanted, key=lambda case: holding.analysis.first_yield(case.name).force / _force(holding, case.name))
    return worst.name


def _force(holding: Holding, case: str) -> float:
    return holding.forces.by_case.get(case, 1.0)


def bent_pictures(
    holding: Holding, *, width: float, system: System, beside: bool = False
) -> Iterator[tuple[str, Picture]]:
    """The blade bent by its hardest corner strikes, straight and at full angle.

    Args:
        holding: What the blade stands.
        width: Width of each picture [mm].
        system: Units of the words.
        beside: Whether the views of each stand beside each other.

    Returns:
        The load case in words, and its picture.
    """
    for sort in ("straight", "angled"):
        name = hardest(holding, sort)
        case = holding.analysis.cases[holding.analysis.number(name)]
        force = _force(holding, name)
        picture = bent.bent(holding.analysis, name, force=force, width=width, system=system, beside=beside)
        yield case.title, picture


def giving_pictures(holding: Holding, *, width: float, system: System) -> Iterator[tuple[Place, Picture]]:
    """What gives first at the corner and at the centre, where anything is known.

    Args:
        holding: What the blade stands.
        width: Width of each picture [mm].
        system: Units of the scale.
    """
    places: tuple[Place, ...] = ("corner", "centre")
    for place in places:
        key = place == places[-1]
        picture = giving.order_of_giving(holding.giving, place, width=width, system=system, key=key)
        if picture is not None:
            yield place, picture


def sentences(holding: Holding) -> list[str]:
    """What the order of giving means, without the lists that its pictures already show.

    Args:
        holding: What the blade stands.
    """
    return [said for said in holding.giving.sentences if not said.startswith("Strike at the ")]


def below(finding: Finding) -> str:
    """Where it is; of what does not simply hold also what was found, with its way out."""
    place = "" if finding.place in finding.title else finding.place
    if finding.verdict == "holds":
        return place
    return f"{place}. {finding_rows.said(finding)}" if place else finding_rows.said(finding)


def short(build: Build, pictures: dict[str, str], *, width: float, system: System) -> dict[str, Any] | None:
    """The part of the build sheet: order of giving, and what fails or is near its limit; None where strength is unsaid.

    Args:
        build: The blade.
        pictures: Takes the pictures of the part.
        width: Room on the paper [mm].
        system: Units on the paper.
    """
    holding = build.holding
    if holding is None:
        return None
    for place, picture in giving_pictures(holding, width=width, system=system):
        pictures[place] = svg.write(picture, title=f"what gives first at the {place} of the edge")
    rows: list[dict[str, Any]] = []
    for finding in (f for chapter in chapters(holding) for f in chapter.open):
        name = f"strength{len(rows)}" if finding.used is not None else ""
        if name:
            pictures[name] = finding_rows.bar(finding)
        rows.append(finding_rows.row(finding, name=finding.title, bar=name, below=below(finding)))
    return {
        "title": f"Will it hold: on {on_what(build)}",
        "said": counted(holding.findings),
        "order": [name for name in ("corner", "centre") if name in pictures],
        "rows": rows,
        "model": model_said(holding),
    }


def own_findings(build: Build) -> tuple[Finding, ...]:
    """Findings of geometry and rules alone, those of its strength and of its carrier left out.

    Args:
        build: The blade, at any level.
    """
    if build.holding is None:
        return build.findings
    return build.findings[: len(build.findings) - len(build.holding.findings) - len(build.on_carrier)]


def lines(build: Build) -> list[str]:
    """Strength in a few plain lines: the order of giving, and what fails or is near its limit.

    Args:
        build: The blade, with its strength looked at.
    """
    holding = build.holding
    if holding is None:
        return []
    return [
        f"Will it hold, on {on_what(build)}: {counted(holding.findings)}",
        model_said(holding),
        *holding.giving.sentences,
        *(f"{f.verdict}: {f.text}" for chapter in chapters(holding) for f in chapter.open),
    ]
